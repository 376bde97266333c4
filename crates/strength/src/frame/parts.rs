//! What a frame is made of: tubes with their fittings and ends, rigid bodies; and why one has no solution.

use geom::{Centreline, Vec3};

use crate::element::Bellows;
use crate::material::Material;
use crate::matrix::{Matrix, zero};
use crate::section::{Flexibility, Section};
use crate::table::Table;

/// mm in a metre: geometry comes in mm.
pub(super) const MM: f64 = 1000.0;

/// Longest element, m: the tenth mode of a header moves by less than 0.1 % when this is halved.
pub(super) const LONGEST: f64 = 0.1;

/// Places nearer than this along a tube are one, m: an element of no length has no stiffness.
pub(super) const SAME_PLACE: f64 = 1e-6;

/// A fitting this near to a node, m, is put there: a shorter element would be so stiff that rounding shows, and nobody puts a bracket
/// more exactly.
pub const TOGETHER: f64 = 5e-4;

/// Translation x, y, z and turn x, y, z; or force and moment.
pub type Six = [f64; 6];

/// What holds an end of a tube.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// Nothing.
    Free,
    /// Built in, and moved so far, m and rad.
    Fixed(Six),
    /// Welded to a body, by its index.
    Body(usize),
}

/// How a slip joint resists.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Slide {
    /// Stiffness of the springs that hold it together, along the tangent, N/m, and about it, Nm/rad; 0 without springs.
    pub springs: [f64; 2],
    /// Axial force, N, that friction puts on both sides of it: positive pushes them together.
    pub push: f64,
}

/// A support that is stiff in one way along a direction and in another across it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hold {
    /// Unit vector.
    pub along: Vec3,
    /// Stiffness along it and across it, N/m.
    pub stiffness: [f64; 2],
}

impl Hold {
    /// As a stiffness matrix.
    pub fn matrix(&self) -> Matrix<6, 6> {
        let (a, [along, across]) = (self.along.to_array(), self.stiffness);
        let mut out = zero();
        for i in 0..3 {
            out[i][i] = across;
            for j in 0..3 {
                out[i][j] += (along - across) * a[i] * a[j];
            }
        }
        out
    }
}

/// Something at one place of a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fitting {
    /// The tube is cut and joined again so that it slides along and turns about its tangent.
    Slip(Slide),
    /// Springs to ground in x, y, z (N/m) and about x, y, z (Nm/rad).
    Spring(Six),
    /// A bracket.
    Hold(Hold),
    /// From here on bellows.
    Bellows(Bellows),
    /// A mass without size, kg.
    Mass(f64),
    /// A force, N, and a moment, Nm.
    Load(Six),
}

/// A tube.
#[derive(Debug, Clone, PartialEq)]
pub struct Tube {
    /// Its centreline, mm.
    pub line: Centreline,
    /// Cross-section.
    pub section: Section,
    /// Metal.
    pub material: Material,
    /// How soft its bends are.
    pub flexibility: Flexibility,
    /// Metal temperature, K, over the length from its start, m.
    pub temperature: Table,
    /// What holds its start.
    pub start: End,
    /// What holds its end.
    pub end: End,
    /// Fittings by their distance from the start, m.
    pub fittings: Vec<(f64, Fitting)>,
}

/// A rigid body: a collector or a turbo.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// Its place, m.
    pub at: Vec3,
    /// Whether it cannot move.
    pub held: bool,
    /// Growth of its arms over their drawn length.
    pub growth: f64,
    /// Mass, kg.
    pub mass: f64,
    /// Place of the mass from `at`, m.
    pub offset: Vec3,
    /// Moments of inertia about axes through the mass's centre, kg m2.
    pub inertia: [f64; 3],
    /// Springs to ground, N/m and Nm/rad.
    pub spring: Six,
    /// Brackets at its mass.
    pub holds: Vec<Hold>,
    /// Force and moment, N and Nm.
    pub load: Six,
}

/// A header.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Frame {
    /// Tubes.
    pub tubes: Vec<Tube>,
    /// Bodies.
    pub bodies: Vec<Body>,
}

/// Why a frame has no solution.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FrameError {
    /// Nothing keeps a part of the tube from moving.
    #[error("nothing holds tube {tube} at {at} m from its start")]
    LooseTube {
        /// Index of the tube.
        tube: usize,
        /// Distance from its start, m.
        at: f64,
    },
    /// Nothing keeps a body from moving.
    #[error("nothing holds body {0}")]
    LooseBody(usize),
    /// A fitting beyond the tube.
    #[error("a fitting of tube {tube} at {at} m lies beyond the tube")]
    BeyondTube {
        /// Index of the tube.
        tube: usize,
        /// Distance from its start, m.
        at: f64,
    },
    /// A tube without stiffness or a body that there is not.
    #[error("tube {0} has no stiffness, or an end on a body that there is not")]
    BadTube(usize),
}
