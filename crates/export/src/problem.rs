//! Why something can't be exported.

/// What stands against an export.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Problem {
    /// A route that is no tube.
    #[error("{run}: {reason}")]
    BadRoute {
        /// The run.
        run: String,
        /// Why.
        reason: geom::CentrelineError,
    },
    /// A bend so tight that the tube would run through itself.
    #[error(
        "{part} has a bend of CLR {clr:.2} mm, not above half of the diameter of {od:.2} mm: the tube would run through itself"
    )]
    TightBend {
        /// The run or piece.
        part: String,
        /// The centreline radius, mm.
        clr: f64,
        /// Outside diameter, mm.
        od: f64,
    },
    /// A wall that leaves no bore.
    #[error("{part} has a wall of {wall:.2} mm in a tube of {od:.2} mm: there is no bore left")]
    NoBore {
        /// The run or piece.
        part: String,
        /// The wall, mm.
        wall: f64,
        /// Outside diameter, mm.
        od: f64,
    },
    /// A name that is neither a run nor a piece.
    #[error("there is no run or piece called `{asked}`; there are {known}")]
    UnknownPart {
        /// What was asked for.
        asked: String,
        /// What there is.
        known: String,
    },
    /// Nothing to export.
    #[error("there is nothing to export: the job has no routed run")]
    Empty,
    /// A bed on which nothing can be printed.
    #[error(
        "a bed of {bed} mm is too small for trial pieces of a tube of {od:.2} mm: every way must be at least {least:.0} mm"
    )]
    SmallBed {
        /// The bed.
        bed: String,
        /// Outside diameter, mm.
        od: f64,
        /// What is needed, mm.
        least: f64,
    },
    /// A file that grew beyond what its format can hold.
    #[error("{what} is too large for {format}")]
    TooLarge {
        /// What.
        what: String,
        /// The format.
        format: &'static str,
    },
    /// A writer of a format that refused.
    #[error("{format}: {message}")]
    Writer {
        /// The format.
        format: &'static str,
        /// What it said.
        message: String,
    },
}
