//! Why something can't be exported.

use std::fmt;

use job::model::Units;
use job::show::{exact_with_unit, size_with_unit};

/// What stands against an export.
#[derive(Debug, Clone, PartialEq)]
pub enum Problem {
    /// A route that is no tube.
    BadRoute {
        /// The run.
        run: String,
        /// Why.
        reason: geom::CentrelineError,
    },
    /// A bend so tight that the tube would run through itself.
    TightBend {
        /// The run or piece.
        part: String,
        /// The centreline radius, mm.
        clr: f64,
        /// Outside diameter, mm.
        od: f64,
    },
    /// A wall that leaves no bore.
    NoBore {
        /// The run or piece.
        part: String,
        /// The wall, mm.
        wall: f64,
        /// Outside diameter, mm.
        od: f64,
    },
    /// A name that is neither a run nor a piece.
    UnknownPart {
        /// What was asked for.
        asked: String,
        /// What there is.
        known: String,
    },
    /// Nothing to export.
    Empty,
    /// A bed on which nothing can be printed.
    SmallBed {
        /// The bed.
        bed: String,
        /// Outside diameter, mm.
        od: f64,
        /// What is needed, mm.
        least: f64,
    },
    /// A file that grew beyond what its format can hold.
    TooLarge {
        /// What.
        what: String,
        /// The format.
        format: &'static str,
    },
    /// A writer of a format that refused.
    Writer {
        /// The format.
        format: &'static str,
        /// What it said.
        message: String,
    },
}

impl Problem {
    /// The problem in words, its lengths in `units`.
    pub fn said(&self, units: Units) -> String {
        let (exact, size) = (|l: f64| exact_with_unit(l, units), |l: f64| size_with_unit(l, units));
        match self {
            Problem::BadRoute { run, reason } => format!("{run}: {reason}"),
            Problem::TightBend { part, clr, od } => format!(
                "{part} has a bend of CLR {}, not above half of the diameter of {}: the tube would run through itself",
                exact(*clr),
                size(*od)
            ),
            Problem::NoBore { part, wall, od } => {
                format!("{part} has a wall of {} in a tube of {}: there is no bore left", exact(*wall), size(*od))
            }
            Problem::UnknownPart { asked, known } => {
                format!("there is no run or piece called `{asked}`; there are {known}")
            }
            Problem::Empty => "there is nothing to export: the job has no routed run".into(),
            Problem::SmallBed { bed, od, least } => format!(
                "a bed of {bed} mm is too small for trial pieces of a tube of {}: every way must be at least {least:.0} mm",
                size(*od)
            ),
            Problem::TooLarge { what, format } => format!("{what} is too large for {format}"),
            Problem::Writer { format, message } => format!("{format}: {message}"),
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
