//! Why a drawing can't be made.

use std::fmt;

use job::model::Units;
use job::show::{exact_with_unit, size_with_unit};

/// What is wrong with the measures of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub enum Problem {
    /// A measure that must be above 0 and is not, or is no number.
    NotPositive {
        /// Which.
        what: &'static str,
        /// Its value, mm.
        value: f64,
    },
    /// A flange without an opening.
    NoPort,
    /// An opening whose sizes do not go together.
    Opening {
        /// The port's number.
        port: u32,
        /// What it needs.
        why: &'static str,
    },
    /// A bolt hole that runs into an opening.
    HoleInOpening {
        /// The hole, from 1.
        hole: usize,
        /// The port's number.
        port: u32,
    },
    /// Two openings that overlap.
    OpeningsMeet {
        /// The ports' numbers.
        ports: [u32; 2],
    },
    /// Sleeves of a slip collector that stand in one another.
    SleevesMeet {
        /// The inlets, from 1.
        inlets: [usize; 2],
        /// How much gap is missing, mm.
        more: f64,
        /// The gap that the collector needs, mm.
        gap: f64,
    },
    /// A branch that is too wide, or too far aside, to end on the run all around.
    NoSaddle {
        /// Diameter of the branch, mm.
        branch_od: f64,
        /// Diameter of the run, mm.
        run_od: f64,
        /// How far the axes pass one another, mm.
        offset: f64,
    },
    /// A branch that misses the bend or runs off its end.
    MissesBend {
        /// The angle around the branch, degrees.
        at_deg: f64,
    },
    /// An angle out of its range.
    Angle {
        /// Which.
        what: &'static str,
        /// Its value, degrees.
        degrees: f64,
        /// Lower bound.
        above: f64,
        /// Upper bound.
        below: f64,
    },
    /// Too few tubes, segments or the like.
    TooFew {
        /// What of.
        what: &'static str,
        /// How many.
        count: usize,
        /// How many it takes.
        least: usize,
    },
    /// An outlet too wide or too narrow for the tubes that run together.
    Outlet {
        /// Outside diameter of the outlet, mm.
        outlet: f64,
        /// Least, mm.
        least: f64,
        /// Most, mm.
        most: f64,
    },
}

impl Problem {
    /// The problem in words, its lengths in `units`.
    pub fn said(&self, units: Units) -> String {
        let (exact, size) = (|l: f64| exact_with_unit(l, units), |l: f64| size_with_unit(l, units));
        match self {
            Problem::NotPositive { what, value } => format!("{what} is {}; it must be above 0", exact(*value)),
            Problem::NoPort => "a flange needs at least one port".into(),
            Problem::Opening { port, why } => format!("the opening of port {port} needs {why}"),
            Problem::HoleInOpening { hole, port } => {
                format!("bolt hole {hole} runs into the opening of port {port}")
            }
            Problem::OpeningsMeet { ports: [a, b] } => format!("the openings of ports {a} and {b} overlap"),
            Problem::SleevesMeet { inlets: [a, b], more, gap } => format!(
                "the sleeves of inlets {a} and {b} overlap by {}: a slip collector of this sheet needs a gap of at least {} \
                 between its tubes, set as `gap` of the collector in job.toml",
                exact(*more),
                exact(*gap)
            ),
            Problem::NoSaddle { branch_od, run_od, offset } => format!(
                "a tube of {} that meets {} aside of the middle does not end on one of {} all around",
                size(*branch_od),
                exact(*offset),
                size(*run_od)
            ),
            Problem::MissesBend { at_deg } => {
                format!("at {at_deg:.0} degrees around it the branch does not meet the bend within its arc")
            }
            Problem::Angle { what, degrees, above, below } => {
                format!("{what} is {degrees:.2} degrees; it must be above {above:.0} and below {below:.0}")
            }
            Problem::TooFew { what, count, least } => format!("{what}: {count} are too few; it takes at least {least}"),
            Problem::Outlet { outlet, least, most } => format!(
                "an outlet of {} does not go with these tubes; it must lie between {} and {}",
                exact(*outlet),
                exact(*least),
                exact(*most)
            ),
        }
    }
}

impl fmt::Display for Problem {
    /// In millimetres.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.said(Units::Mm))
    }
}

impl std::error::Error for Problem {}
