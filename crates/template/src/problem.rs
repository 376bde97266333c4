//! Why a drawing can't be made.

/// What is wrong with the measures of a drawing.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Problem {
    /// A measure that must be above 0 and is not, or is no number.
    #[error("{what} is {value}; it must be above 0")]
    NotPositive {
        /// Which.
        what: &'static str,
        /// Its value, mm or rad.
        value: f64,
    },
    /// A flange without an opening.
    #[error("a flange needs at least one port")]
    NoPort,
    /// An opening whose sizes do not go together.
    #[error("the opening of port {port} needs {why}")]
    Opening {
        /// The port's number.
        port: u32,
        /// What it needs.
        why: &'static str,
    },
    /// A bolt hole that runs into an opening.
    #[error("bolt hole {hole} runs into the opening of port {port}")]
    HoleInOpening {
        /// The hole, from 1.
        hole: usize,
        /// The port's number.
        port: u32,
    },
    /// Two openings that overlap.
    #[error("the openings of ports {} and {} overlap", ports[0], ports[1])]
    OpeningsMeet {
        /// The ports' numbers.
        ports: [u32; 2],
    },
    /// A branch that is too wide, or too far aside, to end on the run all around.
    #[error(
        "a tube of {branch_od:.2} mm that meets {offset:.2} mm aside of the middle does not end on one of {run_od:.2} mm all around"
    )]
    NoSaddle {
        /// Diameter of the branch, mm.
        branch_od: f64,
        /// Diameter of the run, mm.
        run_od: f64,
        /// How far the axes pass one another, mm.
        offset: f64,
    },
    /// A branch that misses the bend or runs off its end.
    #[error("at {at_deg:.0} degrees around it the branch does not meet the bend within its arc")]
    MissesBend {
        /// The angle around the branch, degrees.
        at_deg: f64,
    },
    /// An angle out of its range.
    #[error("{what} is {degrees:.2} degrees; it must be above {above:.0} and below {below:.0}")]
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
    #[error("{what}: {count} are too few; it takes at least {least}")]
    TooFew {
        /// What of.
        what: &'static str,
        /// How many.
        count: usize,
        /// How many it takes.
        least: usize,
    },
    /// An outlet too wide or too narrow for the tubes that run together.
    #[error(
        "an outlet of {outlet:.2} mm does not go with these tubes; it must lie between {least:.2} and {most:.2} mm"
    )]
    Outlet {
        /// Outside diameter of the outlet, mm.
        outlet: f64,
        /// Least, mm.
        least: f64,
        /// Most, mm.
        most: f64,
    },
}
