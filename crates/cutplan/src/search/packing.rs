//! Which arcs stand on which bends: the part of a plan that the search changes.

use crate::ids::ArcId;
use crate::instance::Instance;

/// Most arcs on one bend. A full turn of the least arc of 5 degrees with a kerf of 1 degree would
/// hold 60; routes have far larger bends. A packing that wants more is not tried.
pub(crate) const MOST: usize = 14;

/// One bend and the arcs on it. An arc that stands on several bends is split between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bin {
    pub kind: u16,
    len: u16,
    arcs: [u16; MOST],
}

impl Bin {
    pub fn new(kind: usize) -> Self {
        Bin { kind: kind as u16, len: 0, arcs: [0; MOST] }
    }

    pub fn arcs(&self) -> &[u16] {
        &self.arcs[..self.len as usize]
    }

    /// Adds an arc; false when there is no place left or it is there already.
    pub fn push(&mut self, arc: usize) -> bool {
        if self.len as usize == MOST || self.arcs().contains(&(arc as u16)) {
            return false;
        }
        self.arcs[self.len as usize] = arc as u16;
        self.len += 1;
        true
    }

    pub fn remove(&mut self, arc: usize) {
        if let Some(at) = self.arcs().iter().position(|&a| a as usize == arc) {
            self.len -= 1;
            self.arcs[at] = self.arcs[self.len as usize];
        }
    }
}

/// A packing, and the order in which straights are given legs.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Packing {
    pub bins: Vec<Bin>,
    /// Straights in the order in which they ask for legs.
    pub order: Vec<u16>,
}

impl Packing {
    /// Every arc by itself where it fits, largest first onto the first bend with room; larger ones
    /// in parts.
    pub fn first_fit(instance: &Instance) -> Self {
        let mut packing = Packing { bins: Vec::new(), order: (0..instance.straights.len() as u16).collect() };
        packing.order.sort_by(|&a, &b| {
            instance.straights[b as usize].length.total_cmp(&instance.straights[a as usize].length).then(a.cmp(&b))
        });
        let mut arcs: Vec<usize> = (0..instance.arcs.len()).collect();
        arcs.sort_by(|&a, &b| instance.arcs[b].angle.total_cmp(&instance.arcs[a].angle).then(a.cmp(&b)));
        let mut rooms: Vec<f64> = Vec::new();
        for arc in arcs {
            packing.place_first_fit(instance, arc, &mut rooms);
        }
        packing
    }

    /// The arcs one after another, each bend filled to its end and arcs split where one is full:
    /// the packing that needs least angle, for stock that is short.
    pub fn filled(instance: &Instance, arcs: &[usize]) -> Self {
        let mut packing = Packing { bins: Vec::new(), order: (0..instance.straights.len() as u16).collect() };
        for class in 0..instance.classes.len() {
            let c = instance.classes[class];
            let mut room = -1.0;
            for &arc in arcs.iter().filter(|&&a| instance.arcs[a].class == class) {
                let least = instance.least_arc(ArcId(arc));
                let mut rest = instance.arcs[arc].angle;
                for _ in 0..64 {
                    let part = if rest <= room + c.fit { rest } else { room.min(rest - least) };
                    if part >= least - 1e-9
                        && let Some(bin) = packing.bins.last_mut()
                        && bin.push(arc)
                    {
                        rest -= part;
                        room -= part + c.kerf;
                    }
                    if rest <= c.fit {
                        break;
                    }
                    let Some(kind) = packing.kind_to_open(instance, class, rest) else { break };
                    packing.bins.push(Bin::new(kind));
                    room = instance.bends[kind].angle;
                }
            }
        }
        packing
    }

    /// Puts one arc onto the first bend with room, or opens bends for it. `rooms` holds the free
    /// angle of every bend (with one kerf more than the bend has).
    fn place_first_fit(&mut self, instance: &Instance, arc: usize, rooms: &mut Vec<f64>) {
        let need = &instance.arcs[arc];
        let class = instance.classes[need.class];
        let mut rest = need.angle;
        for (bin, room) in self.bins.iter_mut().zip(rooms.iter_mut()) {
            let same = instance.bends[bin.kind as usize].class == need.class;
            if same && rest + class.kerf <= *room + class.fit && bin.push(arc) {
                *room -= rest + class.kerf;
                return;
            }
        }
        let least = instance.least_arc(ArcId(arc));
        for _ in 0..64 {
            let Some(kind) = self.kind_to_open(instance, need.class, rest) else { break };
            let angle = instance.bends[kind].angle;
            let mut bin = Bin::new(kind);
            bin.push(arc);
            self.bins.push(bin);
            if angle + class.fit >= rest {
                rooms.push(angle - rest);
                return;
            }
            // Leave enough for the last part to be held.
            let part = angle.min(rest - least);
            rooms.push(angle - part);
            rest -= part;
        }
        // The counted stock is used up: parts onto whatever has room; decoding judges the result.
        for (bin, room) in self.bins.iter_mut().zip(rooms.iter_mut()) {
            let same = instance.bends[bin.kind as usize].class == need.class;
            if same && rest > 0.0 && *room - class.kerf >= least && bin.push(arc) {
                let part = (*room - class.kerf).min(rest);
                *room -= part + class.kerf;
                rest -= part;
            }
        }
    }

    /// The kind to open for an arc: one that holds it at the least price per angle, else the largest.
    fn kind_to_open(&self, instance: &Instance, class: usize, angle: f64) -> Option<usize> {
        let fit = instance.classes[class].fit;
        let left = |k: usize| match instance.bends[k].count {
            Some(count) => self.bins.iter().filter(|b| b.kind as usize == k).count() < count as usize,
            None => true,
        };
        let kinds = || (0..instance.bends.len()).filter(|&k| instance.bends[k].class == class && left(k));
        let rate = |k: usize| instance.bends[k].price as f64 / instance.bends[k].angle;
        kinds()
            .filter(|&k| instance.bends[k].angle + fit >= angle)
            .min_by(|&a, &b| rate(a).total_cmp(&rate(b)))
            .or_else(|| kinds().max_by(|&a, &b| instance.bends[a].angle.total_cmp(&instance.bends[b].angle)))
    }
}
