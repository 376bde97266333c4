//! What the bench prints of a build: how far joints may lie from the drawing, and the correction of what is not welded.

/// How a build comes out, as it is printed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BenchPaper {
    /// Of each run in the order of the routes, of each piece's downstream end along the flow: two standard deviations of its
    /// place when all is made as drawn, mm.
    pub spreads: Vec<Vec<f64>>,
    /// Corrections as measured; empty before anything was.
    pub slips: Vec<Slip>,
}

/// The correction of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct Slip {
    /// The run.
    pub run: String,
    /// How far its end lies off its inlet with the rest made as planned and as corrected: mm and rad.
    pub off: [[f64; 2]; 2],
    /// Chance to go in, as planned and as corrected; `None` before anything is joined.
    pub chance: Option<[f64; 2]>,
    /// What stands out and what is to be done before the pieces: a weld to cut open, in words.
    pub remarks: Vec<String>,
    /// The pieces to cut.
    pub pieces: Vec<SlipPiece>,
    /// The joints to turn from their match marks.
    pub turns: Vec<SlipTurn>,
    /// Slip joints of the run, by name: overlap as planned and as corrected, mm.
    pub slides: Vec<(String, [f64; 2])>,
}

/// A piece that is cut differently.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipPiece {
    /// Its mark.
    pub mark: String,
    /// Entry leg (or length), mm, angle, rad, and exit leg, mm, as planned.
    pub was: [f64; 3],
    /// The same as corrected.
    pub is: [f64; 3],
}

/// A joint that is turned.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipTurn {
    /// The piece with the bend.
    pub to: String,
    /// From its match mark by the right-hand rule about the flow, rad.
    pub past: f64,
}
