//! Whether a welding torch reaches a joint, all around, past all that is there.
//!
//! The torch is a cup and behind it a body, two capsules on one straight axis that ends at the weld. At
//! [`PLACES`] places around the joint it is tried square to the wall and leant along and around the tube. It
//! reaches a place when one of these holds it clear of everything that counts: pieces of runs, but for the stretch of
//! the joint's own tube beside it, bodies of collectors, and on the vehicle the keep-outs too. What is there at a time is asked when
//! the answer is read, so that one set of tries serves every order of work. What the welder's hand and eye need is
//! not in it. The sizes of the torch and its leans are common practice, no source; the distances are exact.

use std::f64::consts::TAU;

use geom::{Element, Solid, Straight, Vec3, distance_element_solid, distance_elements_below, rotate_about};
use job::inlets::entering_od;
use job::model::{Collector, Job};
use job::routes::Routes;

use crate::laid::{Laid, LaidElement, frame_of};

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
    /// Unit direction from the centre of the joint to its first place; the others follow clockwise seen along the flow.
    pub first: Vec3,
}

/// Something that can be in the way of a torch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Neighbour {
    /// A piece of a run, both by their index.
    Piece {
        /// Index of the run.
        run: usize,
        /// Index of the piece along the run.
        piece: usize,
    },
    /// The body of a collector, by its index in the job.
    Body(usize),
}

/// What one lean of the torch runs into at one place.
#[derive(Debug, Clone, PartialEq)]
struct Try {
    parts: Vec<Neighbour>,
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
    /// Which places are reached off the vehicle when only the parts of `present` are there.
    pub fn places(&self, present: &dyn Fn(Neighbour) -> bool) -> [bool; PLACES] {
        self.free(&|t| !t.parts.iter().any(|p| present(*p)))
    }

    /// The same on the vehicle, with the keep-outs.
    pub fn places_on_vehicle(&self, present: &dyn Fn(Neighbour) -> bool) -> [bool; PLACES] {
        self.free(&|t| !t.keepout && !t.parts.iter().any(|p| present(*p)))
    }

    /// Share of the circumference that is reached off the vehicle when only the parts of `present` are there.
    pub fn share(&self, present: &dyn Fn(Neighbour) -> bool) -> f64 {
        share(&self.places(present))
    }

    /// The parts of `present` that are in the way at places which no lean reaches, in order.
    pub fn blockers(&self, present: &dyn Fn(Neighbour) -> bool) -> Vec<Neighbour> {
        let reached = self.places(present);
        let blocked = self.tries.iter().zip(reached).filter(|(_, reached)| !reached).flat_map(|(leans, _)| leans);
        let mut found: Vec<Neighbour> = blocked.flat_map(|t| t.parts.iter().copied()).filter(|p| present(*p)).collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    fn free(&self, clear: &dyn Fn(&Try) -> bool) -> [bool; PLACES] {
        std::array::from_fn(|k| self.tries[k].iter().any(clear))
    }
}

/// Share of the places that are reached.
pub fn share(places: &[bool; PLACES]) -> f64 {
    places.iter().filter(|reached| **reached).count() as f64 / PLACES as f64
}

/// All that a torch may run into.
pub struct Surroundings<'a> {
    job: &'a Job,
    runs: &'a [Laid],
    /// Where the pieces of each run begin and the last ends, mm.
    cuts: Vec<Vec<f64>>,
    /// Bodies of collectors, each with its index.
    bodies: Vec<(usize, Vec<Solid>)>,
}

impl<'a> Surroundings<'a> {
    /// Runs as they lie, cut into pieces: `cuts` has for each run where its pieces begin and, last, its end, mm.
    pub fn new(job: &'a Job, routes: &Routes, runs: &'a [Laid], cuts: Vec<Vec<f64>>) -> Self {
        let body = |(index, collector): (usize, &Collector)| {
            let od = entering_od(job, collector);
            let solids = collector.body.as_ref()?.solids(collector, &frame_of(job, routes, index), od);
            Some((index, solids))
        };
        let bodies = job.collectors.iter().enumerate().filter_map(body).collect();
        Surroundings { job, runs, cuts, bodies }
    }

    /// Tries the torch all around a weld.
    pub fn reach(&self, weld: Weld, torch: &Torch) -> Reach {
        let own = &self.runs[weld.run];
        let frame = own.line.at(weld.station);
        let near = self.near(weld, torch);
        let place = |k: usize| {
            let normal = rotate_about(weld.first, frame.forward, TAU * k as f64 / PLACES as f64);
            let tip = frame.origin + normal * own.radius;
            leans(normal, frame.forward).map(|axis| self.tried(&near, &torch_at(tip, axis, torch))).to_vec()
        };
        Reach { tries: (0..PLACES).map(place).collect() }
    }

    /// Stretches of tube that the torch can come near, with the piece and radius of each.
    fn near(&self, weld: Weld, torch: &Torch) -> Vec<Near> {
        let own = &self.runs[weld.run];
        let centre = own.line.at(weld.station).origin;
        let beside = BESIDE_ODS * 2.0 * own.radius;
        let farthest = own.radius + torch.stick_out + torch.cup_length + torch.body_length + 0.5 * torch.body_od;
        let mut near = Vec::new();
        for (run, laid) in self.runs.iter().enumerate() {
            for (piece, ends) in self.cuts[run].windows(2).enumerate() {
                let stretches = if run == weld.run {
                    let mut parts = laid.stretches(ends[0], ends[1].min(weld.station - beside));
                    parts.extend(laid.stretches(ends[0].max(weld.station + beside), ends[1]));
                    parts
                } else {
                    laid.stretches(ends[0], ends[1])
                };
                let within = |s: &LaidElement| {
                    let (middle, radius) = s.element.ball();
                    (middle - centre).length() - radius - laid.radius < farthest
                };
                let stretches: Vec<LaidElement> = stretches.into_iter().filter(within).collect();
                if !stretches.is_empty() {
                    near.push(Near { part: Neighbour::Piece { run, piece }, radius: laid.radius, stretches });
                }
            }
        }
        near
    }

    fn tried(&self, near: &[Near], torch: &[(Element, f64); 2]) -> Try {
        let hits = |n: &Near| {
            let meets = |s: &LaidElement, axis: &Element, r: f64| {
                distance_elements_below(axis, &s.element, n.radius + r).is_some()
            };
            torch.iter().any(|(axis, r)| n.stretches.iter().any(|s| meets(s, axis, *r)))
        };
        let solid = |shape: &Solid| torch.iter().any(|(axis, r)| distance_element_solid(axis, shape, *r).is_some());
        let mut parts: Vec<Neighbour> = near.iter().filter(|n| hits(n)).map(|n| n.part).collect();
        let bodies = self.bodies.iter().filter(|(_, solids)| solids.iter().any(solid));
        parts.extend(bodies.map(|(index, _)| Neighbour::Body(*index)));
        Try { parts, keepout: self.job.keepouts.iter().any(|k| solid(&k.shape)) }
    }
}

/// A piece near a weld.
struct Near {
    part: Neighbour,
    /// Outside radius of the tube, mm.
    radius: f64,
    stretches: Vec<LaidElement>,
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

    /// The reach of the middle of the first of some straight tubes, each in one piece but the first, which is in two.
    fn middle(runs: &[Laid]) -> Reach {
        let cuts = (0..runs.len()).map(|k| if k == 0 { vec![0.0, 200.0, 400.0] } else { vec![0.0, 400.0] }).collect();
        let weld = Weld { run: 0, station: 200.0, first: Vec3::Z };
        Surroundings::new(&job(), &Routes::default(), runs, cuts).reach(weld, &Torch::default())
    }

    #[test]
    fn a_tube_alone_is_reached_all_around() {
        let reach = middle(&[straight(Vec3::ZERO)]);
        assert_eq!(reach.share(&|_| true), 1.0);
        assert!(reach.blockers(&|_| true).is_empty());
    }

    #[test]
    fn a_tube_close_by_takes_the_side_it_stands_on_until_it_is_away() {
        let reach = middle(&[straight(Vec3::ZERO), straight(Vec3::Y * 45.0)]);
        let share = reach.share(&|_| true);
        assert!(share > 0.4 && share < 1.0, "{share}");
        assert_eq!(reach.share(&|p| matches!(p, Neighbour::Piece { run: 0, .. })), 1.0);
        assert_eq!(reach.blockers(&|_| true), [Neighbour::Piece { run: 1, piece: 0 }]);
        // Seen along x with z first, clockwise: y points to the left, where nine o'clock is.
        let places = reach.places(&|_| true);
        assert!(places[0] && places[3] && places[6] && !places[9], "{places:?}");
    }

    #[test]
    fn a_tube_farther_than_the_torch_is_not_in_the_way() {
        assert_eq!(middle(&[straight(Vec3::ZERO), straight(Vec3::Y * 180.0)]).share(&|_| true), 1.0);
    }
}
