//! Whether a welding torch reaches a joint, all around, past the other tubes.
//!
//! The torch is a cup and behind it a body, two capsules on one straight axis that ends at the weld. At
//! [`PLACES`] places around the joint it is tried square to the wall and leant along and around the tube. It
//! reaches a place when one of these holds it clear of everything that counts: all runs but the stretch of
//! its own tube beside the joint, or, on the car, the keep-outs too. What the welder's hand and eye need is
//! not in it. The sizes of the torch and its leans are common practice, no source; the distances are exact.

use std::f64::consts::TAU;

use geom::{Element, Straight, Vec3, any_perpendicular, distance_element_solid, distance_elements_below, rotate_about};
use job::model::Job;

use crate::laid::{Laid, LaidElement};

/// Places around a joint where the torch is tried: every 30 degrees.
pub const PLACES: usize = 12;

/// Own tube nearer to the joint than this counts as the weld itself, in outside diameters.
const BESIDE_ODS: f64 = 1.0;

/// A TIG torch, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Torch {
    /// From the weld to the mouth of the cup.
    pub stick_out: f64,
    /// Outside diameter of the cup.
    pub cup_od: f64,
    /// Length of the cup.
    pub cup_length: f64,
    /// Diameter of the body behind it, with the fingers that hold it.
    pub body_od: f64,
    /// Length of body that has to go in line before the handle turns away.
    pub body_length: f64,
}

impl Default for Torch {
    /// A small torch with a number 6 to 8 cup and a short back cap: common practice, no source.
    fn default() -> Self {
        Torch { stick_out: 8.0, cup_od: 16.0, cup_length: 30.0, body_od: 28.0, body_length: 50.0 }
    }
}

/// A weld around a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weld {
    /// Index of the run.
    pub run: usize,
    /// Arc length from the run's start, mm.
    pub station: f64,
}

/// What one lean of the torch runs into at one place.
#[derive(Debug, Clone, PartialEq)]
struct Try {
    /// Indices of the runs in the way, its own included.
    runs: Vec<usize>,
    /// Whether a keep-out is.
    keepout: bool,
}

/// What stands in the way of a torch at one weld.
#[derive(Debug, Clone, PartialEq)]
pub struct Reach {
    /// Every lean at every place around.
    tries: Vec<Vec<Try>>,
}

impl Reach {
    /// Share of the circumference that is reached on the bench when only the runs of `present` are there.
    pub fn share(&self, present: &dyn Fn(usize) -> bool) -> f64 {
        self.count(&|t| !t.runs.iter().any(|r| present(*r)))
    }

    /// Share of the circumference that is reached on the car, all runs and keep-outs there.
    pub fn share_on_car(&self) -> f64 {
        self.count(&|t| t.runs.is_empty() && !t.keepout)
    }

    /// The runs that are in the way of any try, in order, without `own`.
    pub fn blockers(&self, own: usize) -> Vec<usize> {
        let mut found: Vec<usize> = self.tries.iter().flatten().flat_map(|t| t.runs.iter().copied()).collect();
        found.sort_unstable();
        found.dedup();
        found.retain(|r| *r != own);
        found
    }

    fn count(&self, free: &dyn Fn(&Try) -> bool) -> f64 {
        let reached = self.tries.iter().filter(|leans| leans.iter().any(free)).count();
        reached as f64 / self.tries.len() as f64
    }
}

/// Tries the torch all around a weld.
pub fn reach(job: &Job, runs: &[Laid], weld: Weld, torch: &Torch) -> Reach {
    let own = &runs[weld.run];
    let frame = own.line.at(weld.station);
    let across = any_perpendicular(frame.forward);
    let beside = BESIDE_ODS * 2.0 * own.radius;
    let mut near: Vec<(usize, f64, Vec<LaidElement>)> = Vec::new();
    let farthest = own.radius + torch.stick_out + torch.cup_length + torch.body_length + 0.5 * torch.body_od;
    for (index, run) in runs.iter().enumerate() {
        let stretches = if index == weld.run {
            let mut parts = run.stretches(0.0, weld.station - beside);
            parts.extend(run.stretches(weld.station + beside, run.line.length()));
            parts
        } else {
            run.stretches(0.0, run.line.length())
        };
        let within = |s: &LaidElement| {
            let (middle, radius) = s.element.ball();
            (middle - frame.origin).length() - radius - run.radius < farthest
        };
        near.push((index, run.radius, stretches.into_iter().filter(within).collect()));
    }
    let place = |k: usize| {
        let normal = rotate_about(across, frame.forward, TAU * k as f64 / PLACES as f64);
        let tip = frame.origin + normal * own.radius;
        leans(normal, frame.forward).map(|axis| tried(job, &near, &torch_at(tip, axis, torch))).to_vec()
    };
    Reach { tries: (0..PLACES).map(place).collect() }
}

/// Directions that the torch is tried in: square to the wall, leant 35 degrees either way along the tube,
/// and 35 degrees either way around it. 35 degrees: more and the gas no longer covers the puddle (common
/// practice, no source).
fn leans(normal: Vec3, flow: Vec3) -> [Vec3; 5] {
    let lean = 35.0_f64.to_radians();
    let side = flow.cross(normal);
    [
        normal,
        rotate_about(normal, side, lean),
        rotate_about(normal, side, -lean),
        rotate_about(normal, flow, lean),
        rotate_about(normal, flow, -lean),
    ]
}

/// Axis and radius of cup and body.
fn torch_at(tip: Vec3, axis: Vec3, torch: &Torch) -> [(Element, f64); 2] {
    let part = |from: f64, length: f64, od: f64| {
        // A capsule's round end lies within its length here, so that it does not dig into the tube.
        let start = tip + axis * (from + 0.5 * od).min(from + length);
        (Element::Straight(Straight { start, direction: axis, length: (length - 0.5 * od).max(0.01) }), 0.5 * od)
    };
    let cup = torch.stick_out;
    let body = cup + torch.cup_length;
    [part(cup, torch.cup_length, torch.cup_od), part(body, torch.body_length, torch.body_od)]
}

fn tried(job: &Job, near: &[(usize, f64, Vec<LaidElement>)], parts: &[(Element, f64); 2]) -> Try {
    let hits = |stretches: &[LaidElement], radius: f64| {
        parts
            .iter()
            .any(|(axis, r)| stretches.iter().any(|s| distance_elements_below(axis, &s.element, radius + r).is_some()))
    };
    let runs = near.iter().filter(|(_, radius, stretches)| hits(stretches, *radius)).map(|(i, _, _)| *i).collect();
    let keepout =
        job.keepouts.iter().any(|k| parts.iter().any(|(axis, r)| distance_element_solid(axis, &k.shape, *r).is_some()));
    Try { runs, keepout }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::Centreline;
    use job::routes::RunId;

    fn straight(at: Vec3) -> Laid {
        let line = Centreline::from_points(&[at, at + Vec3::X * 400.0], &[]).unwrap();
        let id = RunId::Primary { cylinder: 1 };
        Laid { id, line, radius: 20.0, start_stub: 0.0, end_stub: 0.0, leaves: None, enters: None }
    }

    fn job() -> Job {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/straight-six");
        let mut job = job::open(&job::Folder::of(std::path::Path::new(folder))).unwrap().job;
        job.keepouts.clear();
        job
    }

    #[test]
    fn a_tube_alone_is_reached_all_around() {
        let reach = reach(&job(), &[straight(Vec3::ZERO)], Weld { run: 0, station: 200.0 }, &Torch::default());
        assert_eq!(reach.share(&|_| true), 1.0);
        assert!(reach.blockers(0).is_empty());
    }

    #[test]
    fn a_tube_close_by_takes_the_side_it_stands_on_until_it_is_away() {
        let runs = [straight(Vec3::ZERO), straight(Vec3::Y * 45.0)];
        let reach = reach(&job(), &runs, Weld { run: 0, station: 200.0 }, &Torch::default());
        let share = reach.share(&|_| true);
        assert!(share > 0.4 && share < 1.0, "{share}");
        assert_eq!(reach.share(&|r| r == 0), 1.0);
        assert_eq!(reach.blockers(0), [1]);
    }

    #[test]
    fn a_tube_farther_than_the_torch_is_not_in_the_way() {
        let runs = [straight(Vec3::ZERO), straight(Vec3::Y * 180.0)];
        let reach = reach(&job(), &runs, Weld { run: 0, station: 200.0 }, &Torch::default());
        assert_eq!(reach.share(&|_| true), 1.0);
    }
}
