//! A plan before it is laid out: which fragment of which arc stands where on which bend, which
//! straight each leg carries, and what is cut from what is left.

use crate::ids::{ArcId, KindId, StickId, StraightId};
use crate::instance::{Instance, Side};

/// An arc, or a part of one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fragment {
    pub arc: ArcId,
    /// Its angle, rad.
    pub angle: f64,
}

/// One bend of stock that is used.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct BendUse {
    pub kind: KindId,
    /// From the first tangent line to the second. A fragment that carries a leg stands at its end.
    pub fragments: Vec<Fragment>,
    /// For each leg, the side of its fragment whose straight it carries.
    pub owns: [Option<Side>; 2],
    /// How much of each leg is carried, mm.
    pub carry: [f64; 2],
    /// Straight pieces cut from each leg: indices of fillers.
    pub fillers: [Vec<usize>; 2],
}

/// One stick that is used.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct StickUse {
    pub kind: StickId,
    pub fillers: Vec<usize>,
}

/// A straight piece that is part of a straight of a route.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Filler {
    pub straight: StraightId,
    pub length: f64,
}

/// A whole plan for one instance.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Solution {
    pub bends: Vec<BendUse>,
    pub sticks: Vec<StickUse>,
    pub fillers: Vec<Filler>,
}

impl BendUse {
    /// Angle of the arc that no fragment and no cut takes, rad; slightly negative within the fit.
    pub fn slack(&self, instance: &Instance) -> f64 {
        let kind = &instance.bends[self.kind];
        let Some(class) = instance.classes.get(kind.class) else { return kind.angle };
        let taken: f64 = self.fragments.iter().map(|f| f.angle).sum();
        kind.angle - taken - class.kerf * (self.fragments.len().max(1) - 1) as f64
    }

    /// Places of the fragments on the arc, rad from the first tangent line.
    ///
    /// They are pushed towards the ends that carry legs, and where none does away from the larger
    /// leg, so that what is left stays in one piece with that leg.
    pub fn places(&self, instance: &Instance) -> Vec<[f64; 2]> {
        let kind = &instance.bends[self.kind];
        let Some(class) = instance.classes.get(kind.class) else { return Vec::new() };
        let slack = self.slack(instance);
        let n = self.fragments.len();
        let at_end = match self.owns {
            [_, Some(_)] if n == 1 => 1,
            [Some(_), Some(_)] => 1,
            [None, Some(_)] => n,
            [Some(_), None] => 0,
            [None, None] if kind.legs[0] > kind.legs[1] => n,
            [None, None] => 0,
        };
        let mut at = 0.0;
        let mut places = Vec::with_capacity(n);
        for (i, fragment) in self.fragments.iter().enumerate() {
            if i + at_end == n {
                at += slack;
            }
            places.push([at, at + fragment.angle]);
            at += fragment.angle + class.kerf;
        }
        places
    }
}

impl Solution {
    /// Takes out stock from which nothing is cut.
    pub fn drop_unused(&mut self) {
        self.bends.retain(|b| !(b.fragments.is_empty() && b.fillers.iter().all(Vec::is_empty)));
        self.sticks.retain(|s| !s.fillers.is_empty());
    }

    /// Saw cuts of the layout (rule 5).
    pub fn saw_cuts(&self, instance: &Instance) -> i64 {
        let bends: i64 = self.bends.iter().map(|b| self.cuts_of_bend(instance, b)).sum();
        bends + self.sticks.iter().map(|s| self.cuts_of_stick(instance, s)).sum::<i64>()
    }

    fn cuts_of_stick(&self, instance: &Instance, used: &StickUse) -> i64 {
        let n = used.fillers.len();
        let taken: f64 = used.fillers.iter().map(|&f| self.fillers[f].length).sum();
        let rest = instance.sticks[used.kind].length - taken - instance.kerf * (n.max(1) - 1) as f64;
        n as i64 - i64::from(rest <= NEAR)
    }

    fn cuts_of_bend(&self, instance: &Instance, used: &BendUse) -> i64 {
        let kind = &instance.bends[used.kind];
        let places = used.places(instance);
        let (Some(first), Some(last)) = (places.first(), places.last()) else {
            return used.fillers.iter().map(|f| f.len() as i64).sum();
        };
        let class = &instance.classes[kind.class];
        let mut cuts = 0;
        for pair in places.windows(2) {
            let gap = pair[1][0] - pair[0][1];
            cuts += if (gap - class.kerf) * class.clr > NEAR { 2 } else { 1 };
        }
        let flush = [first[0] * class.clr <= NEAR, (kind.angle - last[1]) * class.clr <= NEAR];
        for leg in [0, 1] {
            let fillers: f64 = used.fillers[leg].iter().map(|&f| self.fillers[f].length).sum();
            let n = used.fillers[leg].len() as i64;
            let rest = kind.legs[leg] - used.carry[leg] - fillers - instance.kerf * n as f64;
            // Fillers stand at the mill end, each with a cut; the fragment's own end is cut too
            // unless it is the mill end or shares the last filler's cut.
            let own = match (flush[leg], n) {
                (false, _) => 1,
                (true, 0) => i64::from(kind.legs[leg] - used.carry[leg] > NEAR),
                (true, _) => i64::from(rest > NEAR),
            };
            cuts += n + own;
        }
        cuts
    }
}

/// Places closer than this are one when cuts are counted, mm; as in the recount.
pub(crate) const NEAR: f64 = 1e-3;
