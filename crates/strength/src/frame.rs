//! A header as one system of equations: tubes, rigid bodies, slip joints and brackets.
//!
//! Every node moves as u = T q + g: q the unknowns, T what ties the node to them, g a given movement. A free node has six
//! unknowns of its own; one that is built in has none and g is its movement; one on a rigid body moves with the body, and g
//! is the growth of the body's arm; beyond a slip joint a node has the motion of the one before it and two unknowns more,
//! along the tangent and about it. So all of these hold exactly, and no stiff spring stands for a rigid thing.

mod building;

use geom::{Centreline, Element, Vec3};

use crate::element::ElementMatrices;
use crate::material::Material;
use crate::matrix::{Matrix, apply, zero};
use crate::section::{Flexibility, Section};
use crate::skyline::{Factors, Loose, Sparse};
use crate::table::Table;
use building::{Building, built_in};

pub(crate) use building::dot;

/// mm in a metre: geometry comes in mm.
const MM: f64 = 1000.0;

/// Longest element, m: the tenth mode of a header moves by less than 0.1 % when this is halved.
const LONGEST: f64 = 0.1;

/// Places nearer than this along a tube are one, m: an element of no length has no stiffness.
const SAME_PLACE: f64 = 1e-6;

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

/// Bellows that take the place of a straight length of tube: as long as a beam of their stiffness, twisted as the tube is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bellows {
    /// Length, m.
    pub length: f64,
    /// Stiffness along the tube, N/m.
    pub axial: f64,
    /// Force across the tube over the movement of one end, both ends kept parallel, N/m.
    pub lateral: f64,
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

/// How a node moves with the unknowns.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Motion {
    /// Unknown and the motion that one of it gives.
    pub(crate) terms: Vec<(usize, Six)>,
    pub(crate) given: Six,
}

impl Motion {
    pub(crate) fn of(&self, unknowns: &[f64]) -> Six {
        self.from(self.given, unknowns)
    }

    /// The motion by the unknowns alone.
    pub(crate) fn of_unknowns(&self, unknowns: &[f64]) -> Six {
        self.from([0.0; 6], unknowns)
    }

    fn from(&self, given: Six, unknowns: &[f64]) -> Six {
        let mut out = given;
        for (unknown, each) in &self.terms {
            out.iter_mut().zip(each).for_each(|(sum, by)| *sum += by * unknowns[*unknown]);
        }
        out
    }
}

/// An element with its nodes.
#[derive(Debug, Clone)]
pub(crate) struct Member {
    tube: usize,
    from: f64,
    shape: Element,
    /// Nodes at both ends.
    pub(crate) nodes: [usize; 2],
    pub(crate) matrices: ElementMatrices,
}

/// A node of a tube.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub(crate) tube: usize,
    /// Distance from the start, m.
    pub(crate) at: f64,
    pub(crate) motion: Motion,
}

/// The system of a frame.
#[derive(Debug, Clone)]
pub struct System {
    pub(crate) nodes: Vec<Node>,
    pub(crate) members: Vec<Member>,
    pub(crate) bodies: Vec<Motion>,
    /// Masses beside those of the tubes, with the motion they follow.
    pub(crate) weights: Vec<(Motion, Matrix<6, 6>)>,
    /// The two unknowns of each slip joint, along and about the tangent, with its tube and place.
    pub(crate) slides: Vec<(usize, f64, [usize; 2])>,
    /// Tube and distance, or body, that each unknown belongs to.
    owners: Vec<Owner>,
    pub(crate) stiffness: Sparse,
    pub(crate) mass: Sparse,
    pub(crate) load: Vec<f64>,
    tubes: usize,
}

#[derive(Debug, Clone, Copy)]
enum Owner {
    Tube(usize, f64),
    Body(usize),
}

/// How a frame stands still under its loads, movements and growth.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Translation and turn of each body, m and rad.
    pub bodies: Vec<Six>,
    /// Force and moment that the ground, or the body, puts on both ends of each tube, N and Nm.
    pub ends: Vec<[Six; 2]>,
    /// For each tube, places from its start, m, and their translation and turn.
    pub tubes: Vec<Vec<(f64, Six)>>,
    /// For each tube, its stretches in the order of the flow.
    pub stretches: Vec<Vec<StretchForces>>,
    /// Tube and place, m, of each slip joint, and how far it slides, m: positive apart.
    pub slides: Vec<(usize, f64, f64)>,
}

/// What the ends of a stretch of tube carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StretchForces {
    /// Where it begins along its tube, m.
    pub from: f64,
    /// The straight, or the part of a bend, mm.
    pub shape: Element,
    /// Force and moment on the near and the far end, N and Nm.
    pub ends: [Six; 2],
}

impl Frame {
    /// Puts the system together.
    ///
    /// # Errors
    /// [`FrameError::BeyondTube`], [`FrameError::BadTube`].
    pub fn system(&self) -> Result<System, FrameError> {
        self.built(Building::default())
    }

    /// The same with tubes of no mass, which is put together in half the time: for what stands still.
    pub(crate) fn massless_system(&self) -> Result<System, FrameError> {
        self.built(Building::massless())
    }

    fn built(&self, mut building: Building) -> Result<System, FrameError> {
        for (index, body) in self.bodies.iter().enumerate() {
            let motion = if body.held { built_in([0.0; 6]) } else { building.free(Owner::Body(index)) };
            building.bodies.push(motion);
        }
        for (index, tube) in self.tubes.iter().enumerate() {
            building.tube(index, tube, &self.bodies)?;
        }
        Ok(building.finish(self))
    }

    /// Solves it.
    ///
    /// # Errors
    /// [`FrameError`].
    pub fn stand(&self) -> Result<Standing, FrameError> {
        self.massless_system()?.stand()
    }
}

impl System {
    /// How it stands still.
    ///
    /// # Errors
    /// [`FrameError::LooseTube`], [`FrameError::LooseBody`].
    pub fn stand(&self) -> Result<Standing, FrameError> {
        Ok(self.standing(&self.factors()?.solve(&self.load)))
    }

    /// The factorised stiffness.
    ///
    /// # Errors
    /// [`FrameError::LooseTube`], [`FrameError::LooseBody`].
    pub fn factors(&self) -> Result<Factors, FrameError> {
        Factors::of(&self.stiffness).map_err(|Loose(unknown)| match self.owners[unknown] {
            Owner::Tube(tube, at) => FrameError::LooseTube { tube, at },
            Owner::Body(body) => FrameError::LooseBody(body),
        })
    }

    /// How the mass of a body moves.
    pub(crate) fn mass_of_body(&self, index: usize, body: &Body) -> Option<Motion> {
        Some(building::at_mass(self.bodies.get(index)?, body))
    }

    /// Translation and turn of the places of each tube for a vector of unknowns.
    pub(crate) fn motion_of_tubes(&self, unknowns: &[f64]) -> Vec<Vec<(f64, Six)>> {
        let mut tubes = vec![Vec::new(); self.tubes];
        for node in &self.nodes {
            tubes[node.tube].push((node.at, node.motion.of(unknowns)));
        }
        tubes
    }

    /// What the ends of every member carry: with growth and given movements, or by the unknowns alone, as in a mode.
    pub(crate) fn forces(&self, unknowns: &[f64], by_unknowns_alone: bool) -> Vec<[f64; 12]> {
        let of = |member: &Member| {
            let moved = self.moved(member, unknowns, by_unknowns_alone);
            let mut all = apply(&member.matrices.stiffness, &moved);
            if !by_unknowns_alone {
                all.iter_mut().zip(member.matrices.growth).for_each(|(force, growth)| *force -= growth);
            }
            all
        };
        self.members.iter().map(of).collect()
    }

    /// The forces of all members, tube by tube.
    pub(crate) fn by_tube(&self, forces: &[[f64; 12]]) -> Vec<Vec<StretchForces>> {
        let mut stretches = vec![Vec::new(); self.tubes];
        for (member, all) in self.members.iter().zip(forces) {
            let ends = [0, 6].map(|first| std::array::from_fn(|i| all[first + i]));
            stretches[member.tube].push(StretchForces { from: member.from, shape: member.shape, ends });
        }
        stretches
    }

    /// What every stretch carries, tube by tube.
    pub(crate) fn stretches(&self, unknowns: &[f64], by_unknowns_alone: bool) -> Vec<Vec<StretchForces>> {
        self.by_tube(&self.forces(unknowns, by_unknowns_alone))
    }

    /// Movement of both ends of a member.
    pub(crate) fn moved(&self, member: &Member, unknowns: &[f64], by_unknowns_alone: bool) -> [f64; 12] {
        let [near, far] = member.nodes.map(|n| {
            let motion = &self.nodes[n].motion;
            if by_unknowns_alone { motion.of_unknowns(unknowns) } else { motion.of(unknowns) }
        });
        std::array::from_fn(|i| if i < 6 { near[i] } else { far[i - 6] })
    }

    fn standing(&self, unknowns: &[f64]) -> Standing {
        let stretches = self.stretches(unknowns, false);
        let ends = |all: &Vec<StretchForces>| {
            let near = all.first().map_or([0.0; 6], |f| f.ends[0]);
            [near, all.last().map_or([0.0; 6], |f| f.ends[1])]
        };
        Standing {
            bodies: self.bodies.iter().map(|b| b.of(unknowns)).collect(),
            ends: stretches.iter().map(ends).collect(),
            tubes: self.motion_of_tubes(unknowns),
            slides: self.slides.iter().map(|(tube, at, [along, _])| (*tube, *at, unknowns[*along])).collect(),
            stretches,
        }
    }
}
