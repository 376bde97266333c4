//! The system of equations of a frame: nodes, how they move with the unknowns, elements between them.

use geom::Element;

use super::parts::Six;
use crate::element::ElementMatrices;
use crate::matrix::Matrix;
use crate::skyline::Sparse;

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
    pub(super) tube: usize,
    pub(super) from: f64,
    pub(super) shape: Element,
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
    pub(super) owners: Vec<Owner>,
    pub(crate) stiffness: Sparse,
    pub(crate) mass: Sparse,
    pub(crate) load: Vec<f64>,
    pub(super) tubes: usize,
}

#[derive(Debug, Clone, Copy)]
pub(super) enum Owner {
    Tube(usize, f64),
    Body(usize),
}
