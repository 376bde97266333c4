//! Why something cannot be exported.

/// Why something cannot be exported.
#[derive(Debug, Clone, PartialEq)]
pub enum ExportError {
    /// A route that is not a valid tube.
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
        /// The requested name.
        asked: String,
        /// The existing names.
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
        /// The part that is too large.
        what: String,
        /// The format.
        format: &'static str,
    },
    /// A writer of a format that refused.
    Writer {
        /// The format.
        format: &'static str,
        /// Message of the library.
        message: String,
    },
}
