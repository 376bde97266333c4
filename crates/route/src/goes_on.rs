//! Whether the finished header can be put on.
//!
//! The header is slid along the user's straight moves, the last of which ends at the seated place.
//! All its tubes move as one; where a tube's surface would enter a keep-out the header is stuck.
//! Keep-outs that hold ports are left out within the stubs, as in the report on gaps. Tools are not
//! there yet, so their ways do not count.
//!
//! At each position the gap g of a run to a solid is exact. Moving by less than g cannot close it,
//! so the next position to look at is g farther on: conservative advancement (Mirtich 1996, section
//! 2.3; from memory). It never steps over a contact.

use geom::{Vec3, distance_element_solid};
use job::model::{Job, Keepout};
use job::routes::{Routes, RunId};

use crate::laid::{Laid, LaidElement, LaidError, lay};

/// A gap below this is a contact, mm.
///
/// It is also the shortest step: ten times less would take ten times as many steps past a surface
/// that is only just missed.
const TOUCH: f64 = 0.01;

/// The first thing that the header meets.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// Which of the moves, from 1.
    pub step: usize,
    /// How far along that move, mm.
    pub along: f64,
    /// Way left to the seated place then, along this move and those after it, mm.
    pub before_seated: f64,
    /// The run that touches.
    pub run: RunId,
    /// Arc length on it, mm.
    pub at: f64,
    /// The place on its centreline at the moment of contact.
    pub place: Vec3,
    /// The keep-out's name.
    pub keepout: String,
}

/// Slides the header along `moves` (mm, in order); the first contact, or `None` when it goes on.
///
/// # Errors
/// [`LaidError`] when a route is no tube.
pub fn goes_on(job: &Job, routes: &Routes, moves: &[Vec3]) -> Result<Option<Contact>, LaidError> {
    let runs = lay(job, routes)?;
    for (i, step) in moves.iter().enumerate() {
        let after: Vec3 = moves[i + 1..].iter().sum();
        let left: f64 = moves[i + 1..].iter().map(|m| m.length()).sum();
        let slide = Slide { from: -after - *step, step: *step };
        let mut first: Option<Contact> = None;
        for run in &runs {
            for keepout in &job.keepouts {
                let until = first.as_ref().map_or(step.length(), |c| c.along);
                if let Some(hit) = slide.first_contact(run, keepout, until) {
                    first = Some(Contact {
                        step: i + 1,
                        along: hit.along,
                        before_seated: step.length() - hit.along + left,
                        run: run.id.clone(),
                        at: hit.at,
                        place: hit.place,
                        keepout: keepout.name.clone(),
                    });
                }
            }
        }
        if first.is_some() {
            return Ok(first);
        }
    }
    Ok(None)
}

/// One straight move.
struct Slide {
    /// Where the header is at its start, seen from the seated place.
    from: Vec3,
    step: Vec3,
}

struct Hit {
    along: f64,
    at: f64,
    place: Vec3,
}

impl Slide {
    /// Where the run first touches the keep-out before `until` mm of this move.
    fn first_contact(&self, run: &Laid, keepout: &Keepout, until: f64) -> Option<Hit> {
        let (from, to) = if keepout.holds_ports {
            (run.start_stub, run.line.length() - run.end_stub)
        } else {
            (0.0, run.line.length())
        };
        let stretches = run.stretches(from, to);
        let direction = self.step.normalize_or_zero();
        let mut along = 0.0;
        loop {
            let offset = self.from + direction * along;
            // Farther away than the rest of the way is never reached.
            let (distance, at, place) = nearest(&stretches, keepout, offset, run.radius + until - along)?;
            let gap = distance - run.radius;
            if gap <= TOUCH {
                return Some(Hit { along, at, place });
            }
            along += gap;
            if along > until {
                return None;
            }
        }
    }
}

/// Least distance of the moved pieces to a keep-out, with the place, if not above `limit`.
fn nearest(stretches: &[LaidElement], keepout: &Keepout, offset: Vec3, limit: f64) -> Option<(f64, f64, Vec3)> {
    let mut best = (limit + TOUCH, None);
    for stretch in stretches {
        let moved = stretch.element.shifted(offset);
        if let Some(a) = distance_element_solid(&moved, &keepout.shape, best.0) {
            best = (a.distance, Some((stretch.station + a.at, moved.point(a.at))));
        }
    }
    best.1.map(|(at, place)| (best.0, at, place))
}
