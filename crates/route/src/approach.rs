//! Where runs come close to something.

use geom::{Solid, Vec3, distance_element_solid};
use job::routes::RunId;

use crate::finding::Neighbour;
use crate::laid::LaidElement;

/// A gap may be this much under the needed one and still count as kept, mm: the error promised.
pub const TOLERANCE: f64 = 0.01;

/// What a run comes close to.
#[derive(Debug, Clone, PartialEq)]
pub enum Other {
    /// Another run, and the place along it, mm.
    Run {
        /// The run.
        run: RunId,
        /// Arc length from its start, mm.
        at: f64,
    },
    /// The same run farther on.
    Itself {
        /// Arc length from its start, mm.
        at: f64,
    },
    /// A keep-out or a tool's way, by its name.
    Keepout(String),
    /// The body of a collector, by its name.
    Body(String),
}

impl Other {
    /// What it is, without the place.
    pub fn neighbour(&self) -> Neighbour {
        match self {
            Other::Run { run, .. } => Neighbour::Run(run.clone()),
            Other::Itself { .. } => Neighbour::Itself,
            Other::Keepout(name) => Neighbour::Keepout(name.clone()),
            Other::Body(name) => Neighbour::Body(name.clone()),
        }
    }
}

impl std::fmt::Display for Other {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Other::Run { run, .. } => write!(f, "{run}"),
            Other::Itself { .. } => write!(f, "itself"),
            Other::Keepout(name) => write!(f, "{name}"),
            Other::Body(name) => write!(f, "collector {name}"),
        }
    }
}

/// Where a run comes close to something.
#[derive(Debug, Clone, PartialEq)]
pub struct Approach {
    /// To what.
    pub to: Other,
    /// Gap from surface to surface, mm; negative: they run into one another.
    pub gap: f64,
    /// Gap needed there, mm.
    pub need: f64,
    /// Arc length on the run from its start, mm.
    pub at: f64,
    /// The place on the run's centreline.
    pub place: Vec3,
}

impl Approach {
    /// How much is missing, mm; negative when there is more than enough.
    pub fn short(&self) -> f64 {
        self.need - self.gap
    }

    /// Whether it is enough.
    pub fn holds(&self) -> bool {
        self.short() <= TOLERANCE
    }
}

/// What one run comes close to.
#[derive(Debug, Clone, PartialEq)]
pub struct RunClearance {
    /// The run.
    pub run: RunId,
    /// The least gap to another run where the gap between tubes is needed.
    pub tubes: Option<Approach>,
    /// The least gap to another run beside the inlets of a collector, where its own gap is enough.
    pub at_inlets: Option<Approach>,
    /// The least gap to each keep-out and tool's way, nearest first.
    pub keepouts: Vec<Approach>,
    /// The least gap to itself, when below 2 OD.
    pub itself: Option<Approach>,
}

/// Where pieces of a run come nearest to a solid.
pub(crate) fn nearest_on(stretches: &[LaidElement], solid: &Solid) -> Option<(geom::Approach, LaidElement)> {
    let mut best: Option<(geom::Approach, LaidElement)> = None;
    for stretch in stretches {
        let limit = best.as_ref().map_or(f64::INFINITY, |(a, _)| a.distance);
        if let Some(approach) = distance_element_solid(&stretch.element, solid, limit) {
            best = Some((approach, *stretch));
        }
    }
    best
}
