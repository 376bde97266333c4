//! Why a drawing cannot be made.

/// What is wrong with the measures of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub enum DrawingError {
    /// A measure that must be above 0 and is not, or is no number.
    NotPositive {
        /// The measure.
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
        /// What is needed.
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
        /// The measure.
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
        /// The measure.
        what: &'static str,
        /// The number given.
        count: usize,
        /// The least number.
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
    /// A flange of a port that the job does not have.
    NoPortOfCylinder {
        /// The cylinder.
        cylinder: u32,
    },
    /// A port whose flow leans too far from square to its face.
    PortLeans {
        /// The cylinder.
        cylinder: u32,
        /// How far, degrees.
        degrees: f64,
    },
    /// A port, bolt or hole that lies off the face of the others.
    OffFace {
        /// The port or hole.
        place: FacePlace,
        /// How far, mm.
        off: f64,
    },
}

/// A place on a flange's face, numbers from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FacePlace {
    /// The port of a cylinder.
    Port(u32),
    /// A bolt of the port of a cylinder.
    Bolt {
        /// The bolt.
        bolt: usize,
        /// The cylinder.
        cylinder: u32,
    },
    /// A hole of flange.toml.
    Hole(usize),
}

/// Something that could not be drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Omission {
    /// A drawing left out because its measures do not go together.
    NotDrawn {
        /// The flange, collector, cope or mitred bend.
        name: String,
        /// Why.
        why: DrawingError,
    },
    /// A collector of templates.toml that the job does not have.
    UnknownCollector {
        /// The name.
        name: String,
    },
}
