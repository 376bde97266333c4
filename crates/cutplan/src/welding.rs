//! Order of tacking and welding over all runs, with the reach of a torch at every joint.
//!
//! The order of the runs is found from the last to the first: the last one on is the one whose welds to
//! flange and collector a torch reaches best with all others there; it is taken away and the question asked
//! again. Joints between pieces are tacked run by run and, where a torch does not reach all around them
//! with every run in place, are welded with the run alone on the bench. The rules of the order are common
//! practice, no source; the reach is computed (see [`route::torch`]).

use job::catalogue::material;
use job::model::Job;
use job::routes::{Routes, RunId};
use route::laid::lay;
use route::torch::{Reach, Torch, Weld, reach};

use crate::CutError;
use crate::assembly::{JointKind, RunAssembly};

/// Where a joint is welded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Station {
    /// With its run alone on the bench, off the car and off the jig: the others would be in the way.
    BenchAlone,
    /// On the jig with all runs tacked in place.
    OnJig,
    /// On the jig before runs that come later are put in.
    BeforeLater,
    /// A torch does not reach all around it even then: see its share.
    HardToReach,
}

/// A joint with its reach.
#[derive(Debug, Clone, PartialEq)]
pub struct WeldStep {
    /// Index of the run in the routes.
    pub run: usize,
    /// Index of the joint in the run's assembly.
    pub joint: usize,
    /// Share of the circumference reached with the run alone.
    pub alone: f64,
    /// Share reached with all runs there, off the car.
    pub together: f64,
    /// Share reached with all runs there, on the car.
    pub on_car: f64,
    /// Runs that are in the way with all there.
    pub blockers: Vec<RunId>,
    /// Where it is welded.
    pub station: Station,
}

impl WeldStep {
    /// Whether it must be welded off the car.
    pub fn off_car(&self) -> bool {
        self.on_car < 1.0
    }
}

/// How all runs are tacked and welded.
#[derive(Debug, Clone, PartialEq)]
pub struct Welding {
    /// Indices of the runs in the order in which they are put in and tacked.
    pub order: Vec<usize>,
    /// All joints that are welded, run by run in that order, each run along the flow.
    pub steps: Vec<WeldStep>,
}

/// The order of tacking and welding.
///
/// # Errors
/// [`CutError::BadRoute`] when a route is no tube or not one of the job's.
pub fn welding(job: &Job, routes: &Routes, runs: &[RunAssembly], torch: &Torch) -> Result<Welding, CutError> {
    let Ok(laid) = lay(job, routes) else {
        return Ok(Welding { order: (0..runs.len()).collect(), steps: Vec::new() });
    };
    let mut joints: Vec<(usize, usize, Reach)> = Vec::new();
    for (run, assembly) in runs.iter().enumerate() {
        for (k, joint) in assembly.joints.iter().enumerate().filter(|(_, j)| j.kind.welded()) {
            joints.push((run, k, reach(job, &laid, Weld { run, station: joint.station }, torch)));
        }
    }
    let order = order(runs, &joints);
    let mut steps = Vec::new();
    for (place, &run) in order.iter().enumerate() {
        let there = &order[..=place];
        for (_, k, reach) in joints.iter().filter(|j| j.0 == run) {
            steps.push(step(runs, run, *k, reach, there));
        }
    }
    Ok(Welding { order, steps })
}

/// The order of the runs, from the last to the first and turned round.
fn order(runs: &[RunAssembly], joints: &[(usize, usize, Reach)]) -> Vec<usize> {
    let mut left: Vec<usize> = (0..runs.len()).collect();
    let mut order = Vec::new();
    while !left.is_empty() {
        let share = |run: usize| {
            let ends = joints.iter().filter(|(r, k, _)| *r == run && runs[run].joints[*k].kind != JointKind::Pieces);
            ends.map(|(_, _, reach)| reach.share(&|r| left.contains(&r))).sum::<f64>()
        };
        let last = left.iter().copied().reduce(|best, run| if share(run) >= share(best) { run } else { best });
        let Some(last) = last else { break };
        left.retain(|r| *r != last);
        order.push(last);
    }
    order.reverse();
    order
}

fn step(runs: &[RunAssembly], run: usize, joint: usize, reach: &Reach, there: &[usize]) -> WeldStep {
    let alone = reach.share(&|r| r == run);
    let together = reach.share(&|_| true);
    let in_order = reach.share(&|r| there.contains(&r));
    let between = runs[run].joints[joint].kind == JointKind::Pieces;
    let station = match () {
        () if together >= 1.0 => Station::OnJig,
        () if between && alone >= 1.0 => Station::BenchAlone,
        () if in_order >= 1.0 => Station::BeforeLater,
        () if between && alone > in_order => Station::BenchAlone,
        () => Station::HardToReach,
    };
    let blockers = reach.blockers(run).into_iter().map(|r| runs[r].run.clone()).collect();
    WeldStep { run, joint, alone, together, on_car: reach.share_on_car(), blockers, station }
}

/// Whether the inside of a tube of that material is purged: all but low-carbon and aluminised steel.
pub fn purged(material_name: &str) -> bool {
    !matches!(material(material_name).map_or("", |m| m.name.as_str()), "" | "low-carbon" | "aluminised")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stainless_is_purged_and_mild_steel_is_not() {
        assert!(purged("304L") && purged("titanium 2"));
        assert!(!purged("low-carbon") && !purged("aluminised"));
    }
}
