//! A header as one system of equations: tubes, rigid bodies, slip joints and brackets.
//!
//! Every node moves as u = T q + g: q the unknowns, T what ties the node to them, g a given movement. A free node has six
//! unknowns of its own; one that is built in has none and g is its movement; one on a rigid body moves with the body, and g
//! is the growth of the body's arm; beyond a slip joint a node has the motion of the one before it and two unknowns more,
//! along the tangent and about it. So all of these hold exactly, and no stiff spring stands for a rigid thing.

mod building;
mod parts;
mod system;

use geom::Element;

use crate::matrix::apply;
use crate::skyline::{Factors, Loose};
use building::{Building, built_in};

pub use crate::element::Bellows;
pub use parts::{Body, End, Fitting, Frame, FrameError, Hold, Six, Slide, TOGETHER, Tube};
use system::Owner;
pub use system::System;
pub(crate) use system::{Member, Motion, Node};

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
