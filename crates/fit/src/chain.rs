//! A run as a chain: from the start frame, at every joint a shift, an offset, a kink and a turn, then leg, arc, leg.
//!
//! Order at a joint: shift along the flow; step along `up` and along `right` = flow x up; kink about `up`, then about the
//! new `right`; roll about the new flow. A piece then goes straight by its first leg, along an arc towards `up` and
//! straight by its second leg. Every figure acts as a small twist (v, w) at the place where it stands: a point q behind it
//! moves by v + w x (q - place), a direction d by w x d. That is the exact first derivative (rigid chains and twists:
//! Murray, Li, Sastry 1994, from memory); the tests hold it against differences.

use geom::{Frame, Vec3};

/// What a figure of a link is. Lengths in mm, angles in rad.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slot {
    /// Length along the flow at the joint before the piece.
    Shift,
    /// Offset along `up` there.
    StepUp,
    /// Offset along `right` there.
    StepRight,
    /// Kink about `up` there.
    KinkUp,
    /// Kink about `right` there.
    KinkRight,
    /// Turn about the flow there.
    Roll,
    /// Straight before the arc; the whole length of a straight piece.
    LegIn,
    /// Centreline radius; 0 of a straight piece.
    Clr,
    /// Angle of the arc; 0 of a straight piece.
    Angle,
    /// Straight behind the arc.
    LegOut,
}

/// Figures of the start: its place in x, y, z, kinks about its `up` and `right`.
pub const START: usize = 0;
/// Figures of the inlet: its place in x, y, z, kinks about its `up` and `right`.
pub const INLET: usize = 5;
/// Figures before those of the links.
const HEAD: usize = 10;
/// Figures of one link.
const PER_LINK: usize = 10;

/// Index of a figure of link `link` in the list of all figures.
pub fn figure(link: usize, slot: Slot) -> usize {
    HEAD + PER_LINK * link + slot as usize
}

/// The fixed parts of a chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chain {
    /// Where it starts, `up` being the inward side of the first bend.
    pub start: Frame,
    /// Where it is to end.
    pub inlet: Frame,
    /// Number of links: a joint and the piece behind it.
    pub links: usize,
}

/// A small motion of all that lies behind a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Twist {
    /// Velocity of the place, mm for each unit of the figure.
    pub v: Vec3,
    /// Rotation, rad for each unit of the figure.
    pub w: Vec3,
    /// The place.
    pub at: Vec3,
}

impl Twist {
    const NONE: Twist = Twist { v: Vec3::ZERO, w: Vec3::ZERO, at: Vec3::ZERO };

    /// A motion without a turn.
    fn slide(v: Vec3) -> Twist {
        Twist { v, ..Twist::NONE }
    }

    /// How a point behind the place moves.
    pub fn moves(&self, point: Vec3) -> Vec3 {
        self.v + self.w.cross(point - self.at)
    }

    /// How a direction behind the place changes.
    pub fn turns(&self, direction: Vec3) -> Vec3 {
        self.w.cross(direction)
    }
}

/// Where the pieces lie for some figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// The start.
    pub start: Frame,
    /// Frame at the start of each piece, `up` towards the centre of its bend.
    pub entry: Vec<Frame>,
    /// Frame at the end of each piece.
    pub exit: Vec<Frame>,
    /// Where the inlet is.
    pub inlet: Frame,
    /// The twist of every figure.
    pub twists: Vec<Twist>,
}

impl Laid {
    /// The end of the run: of its last piece.
    pub fn end(&self) -> Frame {
        *self.exit.last().expect("a run has pieces")
    }

    /// Whether a figure moves the inlet.
    pub fn moves_inlet(figure: usize) -> bool {
        (INLET..HEAD).contains(&figure)
    }

    /// Whether a figure moves the entry of a piece.
    pub fn moves_entry(figure: usize, link: usize) -> bool {
        figure < INLET || (figure >= HEAD && figure < HEAD + PER_LINK * link + Slot::LegIn as usize)
    }

    /// Whether a figure moves the exit of a piece.
    pub fn moves_exit(figure: usize, link: usize) -> bool {
        figure < INLET || (figure >= HEAD && figure < HEAD + PER_LINK * (link + 1))
    }
}

impl Chain {
    /// Number of figures.
    pub fn figures(&self) -> usize {
        HEAD + PER_LINK * self.links
    }

    /// Where all lies, with the twist of every figure.
    pub fn lay(&self, figures: &[f64]) -> Laid {
        let mut twists = vec![Twist::NONE; self.figures()];
        let start = moved(self.start, &figures[START..INLET], |i, twist| twists[START + i] = twist);
        let inlet = moved(self.inlet, &figures[INLET..HEAD], |i, twist| twists[INLET + i] = twist);
        let (mut entry, mut exit) = (Vec::with_capacity(self.links), Vec::with_capacity(self.links));
        let mut at = start;
        for (figures, twists) in self.of_links(figures).zip(twists[HEAD..].chunks_exact_mut(PER_LINK)) {
            at = joint(at, figures, |i, twist| twists[i] = twist);
            entry.push(at);
            at = piece(at, figures, |i, twist| twists[i] = twist);
            exit.push(at);
        }
        Laid { start, entry, exit, inlet, twists }
    }

    /// How the end then misses the inlet: what `lay` gives, without the rest and several times as fast.
    pub fn miss(&self, figures: &[f64]) -> Miss {
        let none = |_: usize, _: Twist| {};
        let start = moved(self.start, &figures[START..INLET], none);
        let inlet = moved(self.inlet, &figures[INLET..HEAD], none);
        let end = self.of_links(figures).fold(start, |at, figures| piece(joint(at, figures, none), figures, none));
        Miss::of(&end, &inlet)
    }

    /// The figures of each link.
    fn of_links<'a>(&self, figures: &'a [f64]) -> impl Iterator<Item = &'a [f64]> {
        figures[HEAD..].chunks_exact(PER_LINK).take(self.links)
    }

    /// Length of the centreline, mm: pieces and what lies between them.
    pub fn length(&self, figures: &[f64]) -> f64 {
        let of = |f: &[f64]| {
            let at = |slot: Slot| f[slot as usize];
            at(Slot::Shift) + at(Slot::LegIn) + at(Slot::Clr) * at(Slot::Angle) + at(Slot::LegOut)
        };
        self.of_links(figures).map(of).sum()
    }

    /// How the length changes with a figure, mm for each unit of it.
    pub fn length_slope(&self, figures: &[f64], index: usize) -> f64 {
        let Some(slot) = index.checked_sub(HEAD).map(|i| i % PER_LINK) else { return 0.0 };
        let link = index - slot;
        match slot {
            s if [Slot::Shift, Slot::LegIn, Slot::LegOut].iter().any(|of| s == *of as usize) => 1.0,
            s if s == Slot::Clr as usize => figures[link + Slot::Angle as usize],
            s if s == Slot::Angle as usize => figures[link + Slot::Clr as usize],
            _ => 0.0,
        }
    }
}

/// A start or inlet moved in x, y, z and kinked about its `up` and `right`; `note` gets the twist of each figure.
fn moved(mut at: Frame, figures: &[f64], mut note: impl FnMut(usize, Twist)) -> Frame {
    at.origin += Vec3::new(figures[0], figures[1], figures[2]);
    Vec3::AXES.into_iter().enumerate().for_each(|(i, v)| note(i, Twist { v, w: Vec3::ZERO, at: at.origin }));
    kinked(at, [figures[3], figures[4]], |i, twist| note(3 + i, twist))
}

/// Kinked about `up`, then about the new `right`.
fn kinked(mut at: Frame, [about_up, about_right]: [f64; 2], mut note: impl FnMut(usize, Twist)) -> Frame {
    let kink = |w: Vec3| Twist { v: Vec3::ZERO, w, at: at.origin };
    note(0, kink(at.up));
    if about_up != 0.0 {
        let (sin, cos) = about_up.sin_cos();
        at.forward = at.forward * cos - at.right() * sin;
    }
    note(1, kink(at.right()));
    if about_right != 0.0 {
        at = rolled_up(at, about_right);
    }
    at
}

/// Turned about `right`, the flow towards `up`.
fn rolled_up(at: Frame, angle: f64) -> Frame {
    let (sin, cos) = angle.sin_cos();
    Frame { origin: at.origin, forward: at.forward * cos + at.up * sin, up: at.up * cos - at.forward * sin }
}

fn joint(mut at: Frame, figures: &[f64], mut note: impl FnMut(usize, Twist)) -> Frame {
    for (slot, v) in [at.forward, at.up, at.right()].into_iter().enumerate() {
        note(slot, Twist::slide(v));
        at.origin += v * figures[slot];
    }
    let first = Slot::KinkUp as usize;
    at = kinked(at, [figures[first], figures[first + 1]], |i, twist| note(first + i, twist));
    note(Slot::Roll as usize, Twist { v: Vec3::ZERO, w: at.forward, at: at.origin });
    let roll = figures[Slot::Roll as usize];
    if roll != 0.0 {
        let (sin, cos) = roll.sin_cos();
        at.up = at.up * cos + at.right() * sin;
    }
    at
}

fn piece(mut at: Frame, figures: &[f64], mut note: impl FnMut(usize, Twist)) -> Frame {
    note(Slot::LegIn as usize, Twist::slide(at.forward));
    at.origin += at.forward * figures[Slot::LegIn as usize];
    let (clr, angle) = (figures[Slot::Clr as usize], figures[Slot::Angle as usize]);
    if clr > 0.0 {
        let (sin, half) = (angle.sin(), (0.5 * angle).sin());
        let chord = at.forward * sin + at.up * (2.0 * half * half);
        let axis = at.right();
        at = rolled_up(at, angle);
        at.origin += chord * clr;
        note(Slot::Clr as usize, Twist::slide(chord));
        note(Slot::Angle as usize, Twist { v: at.forward * clr, w: axis, at: at.origin });
    }
    note(Slot::LegOut as usize, Twist::slide(at.forward));
    at.origin += at.forward * figures[Slot::LegOut as usize];
    at
}

/// How the end of a run lies to its inlet: place along the inlet's axis and across it, mm, and the two parts of the flow
/// across that axis (rad while small).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Miss {
    /// Along, across, across, mm; then the direction's two parts.
    pub parts: [f64; 5],
    /// Angle between both axes, rad.
    pub angle: f64,
}

impl Miss {
    /// Of an end against an inlet.
    pub fn of(end: &Frame, inlet: &Frame) -> Miss {
        let (off, across) = (end.origin - inlet.origin, [inlet.up, inlet.right()]);
        let parts = [
            off.dot(inlet.forward),
            off.dot(across[0]),
            off.dot(across[1]),
            end.forward.dot(across[0]),
            end.forward.dot(across[1]),
        ];
        let sine = end.forward.cross(inlet.forward).length();
        Miss { parts, angle: sine.atan2(end.forward.dot(inlet.forward)) }
    }

    /// Distance of the places, mm.
    pub fn distance(&self) -> f64 {
        (self.parts[0].powi(2) + self.across().powi(2)).sqrt()
    }

    /// Distance across the inlet's axis, mm.
    pub fn across(&self) -> f64 {
        self.parts[1].hypot(self.parts[2])
    }

    /// How the parts change with a figure, for each unit of it.
    pub fn slope(laid: &Laid, index: usize) -> [f64; 5] {
        let (end, inlet, twist) = (laid.end(), laid.inlet, laid.twists[index]);
        let axes = [inlet.forward, inlet.up, inlet.right()];
        let off = end.origin - inlet.origin;
        if Laid::moves_inlet(index) {
            let back = -twist.v;
            let turned = axes.map(|a| twist.turns(a));
            return [
                back.dot(axes[0]) + off.dot(turned[0]),
                back.dot(axes[1]) + off.dot(turned[1]),
                back.dot(axes[2]) + off.dot(turned[2]),
                end.forward.dot(turned[1]),
                end.forward.dot(turned[2]),
            ];
        }
        let (moves, turns) = (twist.moves(end.origin), twist.turns(end.forward));
        [moves.dot(axes[0]), moves.dot(axes[1]), moves.dot(axes[2]), turns.dot(axes[1]), turns.dot(axes[2])]
    }
}

#[cfg(test)]
mod tests;
