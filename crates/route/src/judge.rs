//! What routes miss and where, quickly enough to be asked at every move of a hand: gaps from the exact report, the rest
//! from the recount. It says the same as the slow recount but for what lies within its tolerances (held by a test).

use geom::Vec3;
use job::model::Job;
use job::routes::{Routes, RunId};

use crate::clearance::{Approach, Clearance, clearance};
use crate::finding::{Miss, Shortfall};
use crate::recount::recount_but_gaps;

/// A miss and where it is.
#[derive(Debug, Clone, PartialEq)]
pub struct MissAt {
    /// What is missed.
    pub miss: Miss,
    /// Arc length along the run, mm, where it is at one place.
    pub at: Option<f64>,
    /// The place on the centreline, where it is at one place.
    pub place: Option<Vec3>,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Every gap; `None` when a run is not a valid tube or not one of the job's.
    pub clearance: Option<Clearance>,
    /// What is missed, in the order of [`crate::finding::Requirement`].
    pub misses: Vec<MissAt>,
}

/// Judges the routes of a job.
pub fn judge(job: &Job, routes: &Routes) -> Judged {
    let plain = |miss| MissAt { miss, at: None, place: None };
    let mut misses: Vec<MissAt> = recount_but_gaps(job, routes).into_iter().map(plain).collect();
    let clearance = clearance(job, routes).ok();
    misses.extend(clearance.iter().flat_map(|c| &c.violations).map(|(run, approach)| gap_miss(run, approach)));
    misses.sort_by_key(|m| m.miss.requirement());
    Judged { clearance, misses }
}

fn gap_miss(run: &RunId, approach: &Approach) -> MissAt {
    let &Approach { gap, need, at, place, .. } = approach;
    let what = Shortfall::TooClose { to: approach.to.neighbour(), gap, need, at };
    MissAt { miss: Miss::of(run, approach.short(), what), at: Some(at), place: Some(place) }
}
