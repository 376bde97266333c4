//! Routes: where every run's centreline goes.

use geom::{Centreline, CentrelineError, Frame, Vec3};

/// One run: a primary, a secondary or a tail pipe.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum RunId {
    /// From a cylinder's port to a collector.
    Primary {
        /// Number of the cylinder.
        cylinder: u32,
    },
    /// From a collector to the next.
    Secondary {
        /// The collector it leaves.
        from: String,
    },
    /// From the last collector out.
    Tail {
        /// The collector it leaves.
        from: String,
    },
}

impl std::fmt::Display for RunId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            RunId::Primary { cylinder } => write!(f, "primary {cylinder}"),
            RunId::Secondary { from } => write!(f, "secondary {from}"),
            RunId::Tail { from } => write!(f, "tail {from}"),
        }
    }
}

impl std::str::FromStr for RunId {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let bad = || format!("`{text}` is no run; expected for example `primary 1`");
        let (kind, rest) = text.split_once(' ').ok_or_else(bad)?;
        match kind {
            "primary" => Ok(RunId::Primary { cylinder: rest.parse().map_err(|_| bad())? }),
            "secondary" => Ok(RunId::Secondary { from: rest.into() }),
            "tail" => Ok(RunId::Tail { from: rest.into() }),
            _ => Err(bad()),
        }
    }
}

/// The route of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct Route {
    /// The run that goes this way.
    pub run: RunId,
    /// The collector it enters; empty for a tail or a trial piece without one.
    pub collector: String,
    /// The inlet it enters, from 1; 0 for a tail or a trial piece without one.
    pub inlet: usize,
    /// Start, intersection points and end, mm.
    pub points: Vec<Vec3>,
    /// CLR at each intersection point, mm.
    pub radii: Vec<f64>,
    /// Kept as it is when the rest is routed.
    pub locked: bool,
}

impl Route {
    /// Centreline of the route.
    ///
    /// # Errors
    /// [`CentrelineError`] when the points and radii are no tube.
    pub fn centreline(&self) -> Result<Centreline, CentrelineError> {
        Centreline::from_points(&self.points, &self.radii)
    }
}

/// Where a collector that may move came to stand.
#[derive(Debug, Clone, PartialEq)]
pub struct CollectorPlace {
    /// The collector's name.
    pub name: String,
    /// Centre of the inlet plane, flow and roll.
    pub frame: Frame,
}

/// All routes of a job.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Routes {
    /// In the order primaries, secondaries, tails, each as in the job.
    pub runs: Vec<Route>,
    /// Collectors that stand elsewhere than drawn.
    pub collectors: Vec<CollectorPlace>,
}

impl Routes {
    /// What a new search starts from: all runs to resume, else only the locked ones.
    pub fn to_start_from(&self, resume: bool) -> Routes {
        let runs = self.runs.iter().filter(|r| resume || r.locked).cloned().collect();
        Routes { runs, collectors: self.collectors.clone() }
    }
}
