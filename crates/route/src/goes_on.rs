//! Whether the finished header can be put on.
//!
//! The header is slid along the user's straight moves, the last of which ends at the seated place.
//! Its tubes and the bodies of its collectors move as one; where a surface would enter a keep-out the header is stuck.
//! Keep-outs that hold ports are left out within the stubs and for bodies, as in the report on gaps. Tools are not
//! there yet, so their ways do not count.
//!
//! At each position the gap g of a run to a solid is exact. Moving by less than g cannot close it,
//! so the next position to look at is g farther on: conservative advancement (Mirtich 1996, section
//! 2.3; from memory). It never steps over a contact.

use geom::{Vec3, distance_element_solid};
use job::model::{Job, Keepout};
use job::parts::part_ways;
use job::routes::{Routes, RunId};

use crate::approach::{Approach, Other};
use crate::bodies::{BodySolid, bodies};
use crate::clearance::{Clearance, clearance};
use crate::laid::{Laid, LaidElement, LaidError, frame_of, lay};

/// A gap below this is a contact, mm.
///
/// It is also the shortest step: ten times less would take ten times as many steps past a surface
/// that is only just missed.
const TOUCH: f64 = 0.01;

/// A part of the header.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HeaderPart {
    /// A run.
    Run(RunId),
    /// The body of a collector, by name.
    Body(String),
}

/// The first thing that the header meets.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// Which of the moves, from 1.
    pub step: usize,
    /// How far along that move, mm.
    pub along: f64,
    /// Way left to the seated place then, along this move and those after it, mm.
    pub before_seated: f64,
    /// What touches.
    pub part: HeaderPart,
    /// The place on its axis at the moment of contact.
    pub place: Vec3,
    /// The keep-out's name.
    pub keepout: String,
}

/// Slides the header along `moves` (mm, in order); the first contact, or `None` when it goes on.
///
/// # Errors
/// [`LaidError`] when a route is not a valid tube.
pub fn goes_on(job: &Job, routes: &Routes, moves: &[Vec3]) -> Result<Option<Contact>, LaidError> {
    let runs = lay(job, routes)?;
    let bodies = bodies(job, |c| frame_of(job, routes, c));
    let name = |body: &BodySolid| job.collectors[body.collector].name.clone();
    for (i, step) in moves.iter().enumerate() {
        let after: Vec3 = moves[i + 1..].iter().sum();
        let left: f64 = moves[i + 1..].iter().map(|m| m.length()).sum();
        let slide = Slide { from: -after - *step, step: *step };
        let mut first: Option<Contact> = None;
        let mut offer = |hit: Hit, part: HeaderPart, keepout: &Keepout| {
            let before_seated = step.length() - hit.along + left;
            let keepout = keepout.name.clone();
            first = Some(Contact { step: i + 1, along: hit.along, before_seated, part, place: hit.place, keepout });
            hit.along
        };
        let mut until = step.length();
        for keepout in &job.keepouts {
            for run in &runs {
                if let Some(hit) = slide.run_contact(run, keepout, until) {
                    until = offer(hit, HeaderPart::Run(run.id.clone()), keepout);
                }
            }
            for body in bodies.iter().filter(|_| !keepout.holds_ports) {
                if let Some(hit) = slide.body_contact(body, keepout, until) {
                    until = offer(hit, HeaderPart::Body(name(body)), keepout);
                }
            }
        }
        if first.is_some() {
            return Ok(first);
        }
    }
    Ok(None)
}

/// Whether the header goes on as the job asks, with room for its sensors.
pub fn can_be_put_on(job: &Job, routes: &Routes) -> bool {
    let contact = |moves: &Vec<Vec3>| goes_on(job, routes, moves).ok().flatten();
    sensors_free(job, routes) && job.goes_on.as_ref().and_then(contact).is_none()
}

/// Whether the ways of all parts are free.
fn sensors_free(job: &Job, routes: &Routes) -> bool {
    let names: Vec<String> = part_ways(job, routes).into_iter().map(|w| w.way.name).collect();
    let of_part =
        |a: &Approach| matches!(&a.to, Other::Keepout(name) if names.iter().any(|n| name.contains(n.as_str())));
    let free = |c: Clearance| c.runs.iter().flat_map(|r| &r.keepouts).all(|a| a.holds() || !of_part(a));
    names.is_empty() || clearance(job, routes).is_ok_and(free)
}

/// One straight move.
struct Slide {
    /// Where the header is at its start, seen from the seated place.
    from: Vec3,
    step: Vec3,
}

struct Hit {
    along: f64,
    place: Vec3,
}

impl Slide {
    /// Where the run first touches the keep-out before `until` mm of this move.
    fn run_contact(&self, run: &Laid, keepout: &Keepout, until: f64) -> Option<Hit> {
        let (from, to) = if keepout.holds_ports {
            (run.start_stub, run.line.length() - run.end_stub)
        } else {
            (0.0, run.line.length())
        };
        let elements = run.stretches(from, to);
        self.first_contact(until, |offset, limit| {
            let (distance, place) = nearest(&elements, keepout, offset, run.radius + limit)?;
            Some((distance - run.radius, place))
        })
    }

    /// Where the body first touches the keep-out before `until` mm of this move.
    fn body_contact(&self, body: &BodySolid, keepout: &Keepout, until: f64) -> Option<Hit> {
        self.first_contact(until, |offset, limit| {
            let gaps = body.balls.iter().map(|&(centre, radius)| {
                let place = centre + offset;
                (keepout.shape.nearest(place, radius + limit + TOUCH).distance - radius, place)
            });
            gaps.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|nearest| nearest.0 <= limit)
        })
    }

    /// Advances by the gap until it closes; `gap` gives gap and place at an offset, or none when it is above the limit.
    fn first_contact(&self, until: f64, gap: impl Fn(Vec3, f64) -> Option<(f64, Vec3)>) -> Option<Hit> {
        let direction = self.step.normalize_or_zero();
        let mut along = 0.0;
        loop {
            // Farther away than the rest of the way is never reached.
            let (gap, place) = gap(self.from + direction * along, until - along)?;
            if gap <= TOUCH {
                return Some(Hit { along, place });
            }
            along += gap;
            if along > until {
                return None;
            }
        }
    }
}

/// Least distance of the moved pieces to a keep-out, with the place, if not above `limit`.
fn nearest(elements: &[LaidElement], keepout: &Keepout, offset: Vec3, limit: f64) -> Option<(f64, Vec3)> {
    let mut best = (limit + TOUCH, None);
    for laid in elements {
        let moved = laid.element.shifted(offset);
        if let Some(a) = distance_element_solid(&moved, &keepout.shape, best.0) {
            best = (a.distance, Some(moved.point(a.at)));
        }
    }
    best.1.map(|place| (best.0, place))
}
