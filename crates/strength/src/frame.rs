//! A header as one system of equations: tubes, rigid bodies, slip joints and brackets.
//!
//! Every node moves as u = T q + g: q the unknowns, T what ties the node to them, g a given movement. A free node has six
//! unknowns of its own; one that is built in has none and g is its movement; one on a rigid body moves with the body, and g
//! is the growth of the body's arm; beyond a slip joint a node has the motion of the one before it and two unknowns more,
//! along the tangent and about it. So all of these hold exactly, and no stiff spring stands for a rigid thing.

use geom::{Centreline, Element, Vec3};

use crate::element::{ElementMatrices, Stretch};
use crate::material::Material;
use crate::matrix::{Matrix, apply, product, rigid, transposed, zero};
use crate::section::{Flexibility, Section};
use crate::skyline::{Factors, Loose, Sparse};
use crate::table::Table;

/// mm in a metre: geometry comes in mm.
const MM: f64 = 1000.0;

/// Longest element, m: the tenth mode of a header moves by less than 0.1 % when this is halved.
const LONGEST: f64 = 0.1;

/// Places nearer than this along a tube are one, m: an element of no length has no stiffness.
const SAME_PLACE: f64 = 1e-6;

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

/// Something at one place of a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fitting {
    /// The tube is cut and joined again so that it slides along and turns about its tangent, without friction.
    Slip,
    /// Springs to ground in x, y, z (N/m) and about x, y, z (Nm/rad): a bracket.
    Spring(Six),
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
struct Motion {
    /// Unknown and the motion that one of it gives.
    terms: Vec<(usize, Six)>,
    given: Six,
}

impl Motion {
    fn of(&self, unknowns: &[f64]) -> Six {
        let mut out = self.given;
        for (unknown, each) in &self.terms {
            out.iter_mut().zip(each).for_each(|(sum, by)| *sum += by * unknowns[*unknown]);
        }
        out
    }
}

/// An element with its nodes.
#[derive(Debug, Clone)]
struct Member {
    tube: usize,
    from: f64,
    shape: Element,
    /// Nodes at both ends.
    nodes: [usize; 2],
    matrices: ElementMatrices,
}

/// A node of a tube.
#[derive(Debug, Clone)]
struct Node {
    tube: usize,
    /// Distance from the start, m.
    at: f64,
    motion: Motion,
}

/// The system of a frame.
#[derive(Debug, Clone)]
pub struct System {
    nodes: Vec<Node>,
    members: Vec<Member>,
    bodies: Vec<Motion>,
    /// Tube and distance, or body, that each unknown belongs to.
    owners: Vec<Owner>,
    pub(crate) stiffness: Sparse,
    pub(crate) mass: Sparse,
    load: Vec<f64>,
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
        let mut building = Building::default();
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
        let system = self.system()?;
        let factors = system.factors()?;
        Ok(system.standing(&factors.solve(&system.load)))
    }
}

impl System {
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

    /// Translation and turn of the places of each tube for a vector of unknowns.
    pub(crate) fn motion_of_tubes(&self, unknowns: &[f64]) -> Vec<Vec<(f64, Six)>> {
        let mut tubes = vec![Vec::new(); self.tubes];
        for node in &self.nodes {
            tubes[node.tube].push((node.at, node.motion.of(unknowns)));
        }
        tubes
    }

    fn standing(&self, unknowns: &[f64]) -> Standing {
        let mut stretches = vec![Vec::new(); self.tubes];
        for member in &self.members {
            let [near, far] = member.nodes.map(|n| self.nodes[n].motion.of(unknowns));
            let moved: [f64; 12] = std::array::from_fn(|i| if i < 6 { near[i] } else { far[i - 6] });
            let mut all = apply(&member.matrices.stiffness, &moved);
            all.iter_mut().zip(member.matrices.growth).for_each(|(force, growth)| *force -= growth);
            let ends = [0, 6].map(|first| std::array::from_fn(|i| all[first + i]));
            stretches[member.tube].push(StretchForces { from: member.from, shape: member.shape, ends });
        }
        let ends = |all: &Vec<StretchForces>| {
            let near = all.first().map_or([0.0; 6], |f| f.ends[0]);
            [near, all.last().map_or([0.0; 6], |f| f.ends[1])]
        };
        Standing {
            bodies: self.bodies.iter().map(|b| b.of(unknowns)).collect(),
            ends: stretches.iter().map(ends).collect(),
            tubes: self.motion_of_tubes(unknowns),
            stretches,
        }
    }
}

fn built_in(moved: Six) -> Motion {
    Motion { terms: Vec::new(), given: moved }
}

/// A system as it grows.
#[derive(Default)]
struct Building {
    nodes: Vec<Node>,
    members: Vec<Member>,
    bodies: Vec<Motion>,
    owners: Vec<Owner>,
    /// Fittings with their node.
    fittings: Vec<(usize, Fitting)>,
}

impl Building {
    fn unknown(&mut self, owner: Owner) -> usize {
        self.owners.push(owner);
        self.owners.len() - 1
    }

    fn free(&mut self, owner: Owner) -> Motion {
        let unit = |k: usize| std::array::from_fn(|i| f64::from(u8::from(i == k)));
        Motion { terms: (0..6).map(|k| (self.unknown(owner), unit(k))).collect(), given: [0.0; 6] }
    }

    fn node(&mut self, tube: usize, at: f64, motion: Motion) -> usize {
        self.nodes.push(Node { tube, at, motion });
        self.nodes.len() - 1
    }

    fn at_end(&mut self, index: usize, end: &End, place: Vec3, at: f64, bodies: &[Body]) -> Result<Motion, FrameError> {
        Ok(match end {
            End::Free => self.free(Owner::Tube(index, at)),
            End::Fixed(moved) => built_in(*moved),
            End::Body(body) => {
                let (motion, body) = self.bodies.get(*body).zip(bodies.get(*body)).ok_or(FrameError::BadTube(index))?;
                let arm = place - body.at;
                let carry = rigid(arm);
                let mut given = apply(&carry, &motion.given);
                (arm * body.growth).to_array().iter().zip(&mut given).for_each(|(growth, sum)| *sum += growth);
                Motion { terms: motion.terms.iter().map(|(k, each)| (*k, apply(&carry, each))).collect(), given }
            }
        })
    }

    /// Beyond a slip joint: as before it, and along and about the tangent.
    fn slipped(&mut self, tube: usize, at: f64, before: usize, tangent: Vec3) -> usize {
        let mut motion = self.nodes[before].motion.clone();
        let t = tangent.to_array();
        for first in [0, 3] {
            let along: Six = std::array::from_fn(|i| if (first..first + 3).contains(&i) { t[i - first] } else { 0.0 });
            motion.terms.push((self.unknown(Owner::Tube(tube, at)), along));
        }
        self.node(tube, at, motion)
    }

    fn tube(&mut self, index: usize, tube: &Tube, bodies: &[Body]) -> Result<(), FrameError> {
        let length = tube.line.length() / MM;
        if let Some((at, _)) = tube.fittings.iter().find(|(at, _)| !(-SAME_PLACE..=length + SAME_PLACE).contains(at)) {
            return Err(FrameError::BeyondTube { tube: index, at: *at });
        }
        let stretches = stretches(tube);
        let start = tube.line.at(0.0).origin / MM;
        let motion = self.at_end(index, &tube.start, start, 0.0, bodies)?;
        let mut near = self.node(index, 0.0, motion);
        near = self.fit(index, tube, near, tube.line.at(0.0).forward);
        let count = stretches.len();
        for (k, stretch) in stretches.into_iter().enumerate() {
            let at = if k + 1 == count { length } else { stretch.from + stretch.length() };
            let place = stretch.place(stretch.length());
            let motion = if k + 1 == count {
                self.at_end(index, &tube.end, place, at, bodies)?
            } else {
                self.free(Owner::Tube(index, at))
            };
            let far = self.node(index, at, motion);
            let matrices = stretch.matrices().ok_or(FrameError::BadTube(index))?;
            let (from, shape) = (stretch.from, stretch.shape);
            self.members.push(Member { tube: index, from, shape, nodes: [near, far], matrices });
            near = self.fit(index, tube, far, stretch.shape.direction(stretch.shape.length()));
        }
        Ok(())
    }

    /// Puts the fittings at a node; gives the node at which the tube goes on.
    fn fit(&mut self, index: usize, tube: &Tube, node: usize, tangent: Vec3) -> usize {
        let at = self.nodes[node].at;
        let mut on = node;
        for (_, fitting) in tube.fittings.iter().filter(|(place, _)| (place - at).abs() <= SAME_PLACE) {
            if matches!(fitting, Fitting::Slip) {
                on = self.slipped(index, at, on, tangent);
            } else {
                self.fittings.push((node, *fitting));
            }
        }
        on
    }

    fn finish(self, frame: &Frame) -> System {
        let size = self.owners.len();
        let mut system = System {
            nodes: self.nodes,
            members: Vec::new(),
            bodies: self.bodies,
            owners: self.owners,
            stiffness: Sparse::new(size),
            mass: Sparse::new(size),
            load: vec![0.0; size],
            tubes: frame.tubes.len(),
        };
        for member in &self.members {
            system.take_member(member);
        }
        system.members = self.members;
        for (node, fitting) in self.fittings {
            let motion = system.nodes[node].motion.clone();
            match fitting {
                Fitting::Slip => {}
                Fitting::Spring(spring) => system.take_spring(&motion, &spring),
                Fitting::Mass(mass) => system.take_mass(&motion, &diagonal([mass, mass, mass, 0.0, 0.0, 0.0])),
                Fitting::Load(load) => system.take_load(&motion, &load),
            }
        }
        for (body, motion) in frame.bodies.iter().zip(system.bodies.clone()) {
            system.take_spring(&motion, &body.spring);
            system.take_load(&motion, &body.load);
            let carry = rigid(body.offset);
            let [x, y, z] = body.inertia;
            let own = diagonal([body.mass, body.mass, body.mass, x, y, z]);
            system.take_mass(&motion, &product(&transposed(&carry), &product(&own, &carry)));
        }
        system
    }
}

/// The stretches of a tube that become elements.
fn stretches(tube: &Tube) -> Vec<Stretch<'_>> {
    let mut out: Vec<Stretch<'_>> = Vec::new();
    for (station, shape) in tube.line.stations() {
        let (from, length) = (station / MM, shape.length() / MM);
        if length <= SAME_PLACE {
            continue;
        }
        let mut cuts: Vec<f64> = vec![0.0];
        cuts.extend(tube.fittings.iter().map(|(at, _)| at - from).filter(|at| *at > 0.0 && *at < length));
        cuts.push(length);
        cuts.sort_by(f64::total_cmp);
        cuts.dedup_by(|a, b| *a - *b <= SAME_PLACE);
        if let Some(last) = cuts.last_mut() {
            *last = length;
        }
        let bend = if let geom::Element::Arc(arc) = shape { arc.angle } else { 0.0 };
        for pair in cuts.windows(2) {
            let parts = ((pair[1] - pair[0]) / LONGEST).ceil().max(1.0);
            let each = (pair[1] - pair[0]) / parts;
            for part in 0..parts as usize {
                let begin = pair[0] + each * part as f64;
                out.push(Stretch {
                    shape: shape.part(begin * MM, ((begin + each) * MM).min(shape.length())),
                    bend,
                    from: from + begin,
                    section: tube.section,
                    material: &tube.material,
                    temperature: &tube.temperature,
                    flexibility: tube.flexibility,
                });
            }
        }
    }
    out
}

fn diagonal(values: Six) -> Matrix<6, 6> {
    let mut out = zero();
    values.iter().enumerate().for_each(|(i, value)| out[i][i] = *value);
    out
}

impl System {
    fn take_member(&mut self, member: &Member) {
        let ends = member.nodes.map(|n| self.nodes[n].motion.clone());
        let mut terms: Vec<(usize, [f64; 12])> = Vec::new();
        let mut given = [0.0; 12];
        for (side, motion) in ends.iter().enumerate() {
            for (k, each) in &motion.terms {
                let wide = std::array::from_fn(|i| if i / 6 == side { each[i - 6 * side] } else { 0.0 });
                terms.push((*k, wide));
            }
            (0..6).for_each(|i| given[6 * side + i] = motion.given[i]);
        }
        let held = apply(&member.matrices.stiffness, &given);
        for (k, each) in &terms {
            let stiff = apply(&member.matrices.stiffness, each);
            let heavy = apply(&member.matrices.mass, each);
            self.load[*k] += dot(each, &member.matrices.growth) - dot(each, &held);
            for (other, by) in &terms {
                self.stiffness.add(*other, *k, dot(by, &stiff));
                self.mass.add(*other, *k, dot(by, &heavy));
            }
        }
    }

    fn take_spring(&mut self, motion: &Motion, spring: &Six) {
        for (k, each) in &motion.terms {
            self.load[*k] -= (0..6).map(|i| each[i] * spring[i] * motion.given[i]).sum::<f64>();
            for (other, by) in &motion.terms {
                let stiffness: f64 = (0..6).map(|i| each[i] * spring[i] * by[i]).sum();
                if stiffness != 0.0 {
                    self.stiffness.add(*other, *k, stiffness);
                }
            }
        }
    }

    fn take_mass(&mut self, motion: &Motion, mass: &Matrix<6, 6>) {
        for (k, each) in &motion.terms {
            let heavy = apply(mass, each);
            for (other, by) in &motion.terms {
                self.mass.add(*other, *k, dot(by, &heavy));
            }
        }
    }

    fn take_load(&mut self, motion: &Motion, load: &Six) {
        for (k, each) in &motion.terms {
            self.load[*k] += dot(each, load);
        }
    }
}

fn dot<const N: usize>(a: &[f64; N], b: &[f64; N]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
