//! What collectors take up behind their inlet planes.
//!
//! A run that neither enters nor leaves a collector keeps the gap between tubes from its body. A run that does is left
//! out within the stub and 1.5 OD beside it: there the tubes of the collector lie against one another.

use geom::{Frame, Solid, Vec3};
use job::inlets::entering_od;
use job::model::{Job, Keepout};

use crate::laid::Laid;

/// Reach of a collector's own gap beyond the stub, in outside diameters.
pub const NEAR_INLET_ODS: f64 = 1.5;

/// Distance of the places looked at along a body, mm.
const STEP: f64 = 5.0;

/// One solid of a collector's body.
#[derive(Debug, Clone)]
pub struct BodySolid {
    /// Index of the collector.
    pub collector: usize,
    /// The solid, with the gap that tubes keep from it.
    pub keepout: Keepout,
    /// Balls along it: centre and radius, mm. They touch its side from within, and reach beyond its flat ends.
    pub balls: Vec<(Vec3, f64)>,
}

/// The solids of all bodies, named "collector NAME", for collectors that stand where `frame` says.
pub fn bodies(job: &Job, frame: impl Fn(usize) -> Frame) -> Vec<BodySolid> {
    let mut all = Vec::new();
    for (collector, c) in job.collectors.iter().enumerate() {
        let Some(body) = &c.body else { continue };
        for shape in body.solids(c, &frame(collector), entering_od(job, c)) {
            let (name, clearance, balls) = (format!("collector {}", c.name), job.clearance.tubes, balls(&shape));
            all.push(BodySolid { collector, keepout: Keepout { name, shape, clearance, holds_ports: false }, balls });
        }
    }
    all
}

impl BodySolid {
    /// The part of a run that must keep away from it, mm from its start.
    pub fn counts(&self, run: &Laid) -> (f64, f64) {
        let beside = NEAR_INLET_ODS * 2.0 * run.radius;
        let from = if run.leaves == Some(self.collector) { run.start_stub + beside } else { 0.0 };
        let until = if run.enters == Some(self.collector) { run.end_stub + beside } else { 0.0 };
        (from, run.line.length() - until)
    }
}

fn balls(solid: &Solid) -> Vec<(Vec3, f64)> {
    let (from, to, radii) = match solid {
        Solid::Cylinder { from, to, radius } => (*from, *to, [*radius; 2]),
        Solid::Cone { from, to, radii } => (*from, *to, *radii),
        _ => return Vec::new(),
    };
    let steps = ((to - from).length() / STEP).ceil().max(1.0) as usize;
    let at = |share: f64| (from.lerp(to, share), radii[0] + (radii[1] - radii[0]) * share);
    (0..=steps).map(|i| at(i as f64 / steps as f64)).collect()
}
