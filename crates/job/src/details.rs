//! What of flanges, collectors and joints is needed to draw them at full size, beyond what routing needs. Lengths in
//! mm, angles in rad.

use geom::Vec3;

use crate::body::{USUAL_BODY, USUAL_CLEARANCE, USUAL_CONE, USUAL_LEAN};

/// The shape of a flange's openings. Its middle is the port's centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OpeningShape {
    /// A circle.
    Round {
        /// Diameter of the opening, mm.
        diameter: f64,
    },
    /// An ellipse, where a round tube ends on a plate that is not square to it: worked out, never read from a file.
    Ellipse {
        /// Its longer axis.
        width: f64,
        /// Its shorter axis.
        height: f64,
    },
    /// Two half circles and two straights.
    Oval {
        /// The longer way across.
        width: f64,
        /// The shorter way across: the diameter of the half circles.
        height: f64,
    },
    /// A rectangle with round corners.
    Rectangular {
        /// Across.
        width: f64,
        /// Up.
        height: f64,
        /// Radius of its corners.
        corner: f64,
    },
    /// A circle cut off by a straight below its centre.
    D {
        /// Diameter of the circle.
        diameter: f64,
        /// From its centre down to the straight.
        flat: f64,
    },
}

impl OpeningShape {
    /// From its middle to its farthest point, mm.
    pub fn reach(&self) -> f64 {
        match *self {
            OpeningShape::Round { diameter } | OpeningShape::D { diameter, .. } => 0.5 * diameter,
            OpeningShape::Ellipse { width, .. } | OpeningShape::Oval { width, .. } => 0.5 * width,
            OpeningShape::Rectangular { width, height, corner } => {
                (0.5 * width - corner).hypot(0.5 * height - corner) + corner
            }
        }
    }

    /// Whether it is another one of the same shape, all sizes within `off` mm.
    pub fn is_near(&self, other: &OpeningShape, off: f64) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
            && self.sizes().iter().zip(other.sizes()).all(|(a, b)| (a - b).abs() < off)
    }

    fn sizes(&self) -> [f64; 3] {
        match *self {
            OpeningShape::Round { diameter } => [diameter, 0.0, 0.0],
            OpeningShape::Ellipse { width, height } | OpeningShape::Oval { width, height } => [width, height, 0.0],
            OpeningShape::Rectangular { width, height, corner } => [width, height, corner],
            OpeningShape::D { diameter, flat } => [diameter, flat, 0.0],
        }
    }

    /// From its middle to its nearest side, mm.
    pub fn nearest(&self) -> f64 {
        match *self {
            OpeningShape::Round { diameter } => 0.5 * diameter,
            OpeningShape::Ellipse { height, .. } | OpeningShape::Oval { height, .. } => 0.5 * height,
            OpeningShape::Rectangular { width, height, .. } => 0.5 * width.min(height),
            OpeningShape::D { diameter, flat } => flat.min(0.5 * diameter),
        }
    }
}

/// How a tube, or the transition before it, meets its flange.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Meets {
    /// It ends on the plate's outer face.
    Butt,
    /// It goes through the plate to the port face.
    Through,
    /// It ends on the floor of a pocket in the outer face.
    Pocket {
        /// Depth of the pocket.
        depth: f64,
    },
}

/// A flange of one or more ports.
#[derive(Debug, Clone, PartialEq)]
pub struct FlangeDetail {
    /// Name of the flange.
    pub name: String,
    /// The cylinders whose ports it holds.
    pub cylinders: Vec<u32>,
    /// Thickness of the plate.
    pub thickness: f64,
    /// Metal around openings and holes.
    pub rim: f64,
    /// Its openings; the tube's outside when not given.
    pub opening: Option<OpeningShape>,
    /// How far the openings are turned, counter-clockwise seen along the flow.
    pub turn: f64,
    /// How its tubes meet it, where that is said.
    pub meets: Option<Meets>,
    /// Length of the sheet between an opening that is not round and its tube, along the flow.
    pub transition: Option<f64>,
    /// Diameter of the holes for the job's bolts; by the bolts' sockets when not given.
    pub bolt_hole: Option<f64>,
    /// More holes: centre and diameter.
    pub holes: Vec<(Vec3, f64)>,
}

impl FlangeDetail {
    /// What is taken for a port of which nothing is said: a plate of 10 mm with 8 mm around opening and holes (common
    /// practice, no source), the opening as wide as the tube.
    pub fn usual(name: &str, cylinders: Vec<u32>) -> Self {
        FlangeDetail {
            name: name.into(),
            cylinders,
            thickness: 10.0,
            rim: 8.0,
            opening: None,
            turn: 0.0,
            meets: None,
            transition: None,
            bolt_hole: None,
            holes: Vec::new(),
        }
    }

    /// From the port face, square to it, to where the tube or its transition ends on the plate, mm.
    pub fn floor(&self) -> f64 {
        match self.meets {
            None | Some(Meets::Through) => 0.0,
            Some(Meets::Butt) => self.thickness,
            Some(Meets::Pocket { depth }) => self.thickness - depth,
        }
    }

    /// From the port face along a flow that leans `lean` rad from square to it, to the square end of a tube of outside
    /// diameter `od` mm. A leaning tube without a transition starts where its longer side ends on the plate, and is cut
    /// there by its template; never before the port face.
    pub fn seat(&self, lean: f64, od: f64) -> f64 {
        let along = self.floor() / lean.cos();
        match (self.meets, self.transition) {
            (None, _) => 0.0,
            (_, Some(length)) => along + length,
            (_, None) => (along - 0.5 * od * lean.tan()).max(0.0),
        }
    }
}

/// How a collector takes its tubes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CollectorStyle {
    /// The tubes lean together, are cut where they meet and welded.
    Merge,
    /// The tubes slide into sleeves.
    Slip,
}

/// How a collector is made.
#[derive(Debug, Clone, PartialEq)]
pub struct CollectorDetail {
    /// The collector's name in the job.
    pub name: String,
    /// How it takes its tubes.
    pub style: CollectorStyle,
    /// How far each tube leans inward.
    pub lean: f64,
    /// Outside diameter of the outlet; twice the area of one tube when not given.
    pub outlet_od: Option<f64>,
    /// Wall of the sheet; the tube's when not given.
    pub wall: Option<f64>,
    /// Outside diameter after the outlet cone, when there is one.
    pub cone_to: Option<f64>,
    /// Length of the outlet cone.
    pub cone_length: f64,
    /// Diametral clearance of a slip joint.
    pub clearance: f64,
    /// How far the tubes slide in; the tube's diameter, at least 25 mm, when not given.
    pub insertion: Option<f64>,
    /// Length of a slip collector's body.
    pub body: f64,
    /// The two openings of a twin entry; as wide as the tubes' bores when not given.
    pub entry: Option<EntryDetail>,
    /// Holes of a turbo's flange: centre right of and above the collector's axis, seen along the flow, and diameter.
    pub holes: Vec<([f64; 2], f64)>,
}

/// The openings of a turbo's divided flange: rectangles on either side of the bar between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EntryDetail {
    /// Of each opening, along the bar.
    pub width: f64,
    /// Of each opening, across the bar.
    pub height: f64,
    /// Radius of its corners.
    pub corner: f64,
    /// Thickness of the bar.
    pub divider: f64,
}

impl CollectorDetail {
    /// What is taken for a collector of which nothing is said: a merge with tubes leaning 7.5 degrees, no cone (common
    /// practice, no source).
    pub fn usual(name: &str) -> Self {
        CollectorDetail {
            name: name.into(),
            style: CollectorStyle::Merge,
            lean: USUAL_LEAN,
            outlet_od: None,
            wall: None,
            cone_to: None,
            cone_length: USUAL_CONE,
            clearance: USUAL_CLEARANCE,
            insertion: None,
            body: USUAL_BODY,
            entry: None,
            holes: Vec::new(),
        }
    }
}

/// Where a tube joins the side of another.
#[derive(Debug, Clone, PartialEq)]
pub struct CopeDetail {
    /// Name of the cope.
    pub name: String,
    /// Outside diameter of the tube that is coped.
    pub branch_od: f64,
    /// Outside diameter of the tube it sits on.
    pub run_od: f64,
    /// Angle between the axes.
    pub angle: f64,
    /// How far they pass one another.
    pub offset: f64,
    /// The bend it sits on, when it sits on one.
    pub bend: Option<BendDetail>,
}

/// The bend that a cope sits on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BendDetail {
    /// Its centreline radius.
    pub clr: f64,
    /// Angle of the bend.
    pub angle: f64,
    /// Where on it the branch stands.
    pub at: f64,
    /// Which way around the tube the branch leaves, from the outside of the bend.
    pub out: f64,
}

/// A bend of straight segments.
#[derive(Debug, Clone, PartialEq)]
pub struct MitreDetail {
    /// Name of the mitre.
    pub name: String,
    /// Outside diameter of the tube.
    pub od: f64,
    /// Radius of the circle that the segments' axes touch.
    pub clr: f64,
    /// Angle of the bend.
    pub angle: f64,
    /// Number of segments.
    pub segments: usize,
    /// Straights at its ends.
    pub legs: [f64; 2],
}

/// All that `flange.toml` and `templates.toml` say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Details {
    /// Flanges.
    pub flanges: Vec<FlangeDetail>,
    /// Collectors.
    pub collectors: Vec<CollectorDetail>,
    /// Copes.
    pub copes: Vec<CopeDetail>,
    /// Mitred bends.
    pub mitres: Vec<MitreDetail>,
}
