//! Joints that come apart and bellows as the metal that they are: mass and size on the tube of their run.

use geom::{Centreline, Solid};

use super::listed::Coupling;
use crate::model::Job;

/// Outside diameter of a joint beyond that of its tube, mm: a clamp of two lips, a two-bolt flange across its bolts, the waves of a
/// bellows (common practice, no source).
const BEYOND_TUBE: [f64; 3] = [26.0, 60.0, 16.0];

/// Mass of a joint that gives none, kg for each mm of tube diameter (common practice, no source).
const USUAL_MASS: [f64; 3] = [0.008, 0.015, 0.006];

impl Coupling {
    /// Its mass, kg, with both halves.
    pub fn mass(&self, job: &Job) -> f64 {
        self.mass.unwrap_or(USUAL_MASS[self.kind.index()] * job.tube_of(&self.run).od)
    }

    /// Its outside radius, mm.
    pub fn radius(&self, job: &Job) -> f64 {
        0.5 * (job.tube_of(&self.run).od + BEYOND_TUBE[self.kind.index()])
    }

    /// The cylinder that stands for it on its run.
    pub fn solid(&self, job: &Job, line: &Centreline) -> Solid {
        let [from, to] = [self.at, self.end()].map(|at| line.at(at.min(line.length())).origin);
        Solid::Cylinder { from, to, radius: self.radius(job) }
    }
}
