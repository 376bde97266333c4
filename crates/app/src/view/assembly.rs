//! The order in which a header goes together on the vehicle, one run after another.

use cutplan::CutError;
use cutplan::assembly::{RunAssembly, assembly};
use cutplan::welding::{Groups, TackPlace, WeldStep, Welding, welding};
use job::routes::RunId;
use route::torch::Torch;
use serde::Serialize;
use utoipa::ToSchema;

use super::{Xyz, xyz};
use crate::open_job::Planned;

/// How a header goes together on the vehicle.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AssemblyView {
    /// The runs in the order in which they are put in.
    pub steps: Vec<AssemblyStep>,
}

/// A run that is put in.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AssemblyStep {
    /// Name of the run.
    pub run: String,
    /// Whether it starts at a port, and so goes onto its studs.
    pub onto_studs: bool,
    /// Marks of the pieces that are already on its flange.
    pub at_flange: Vec<String>,
    /// Marks of the pieces that go in now, as one group.
    pub group: Vec<String>,
    /// Marks of the pieces that are already on its collector.
    pub at_collector: Vec<String>,
    /// Unit direction of the flow at its start: off the studs.
    pub off: Xyz,
    /// Tacks to make before the next run goes in.
    pub tacks: Vec<TackView>,
}

/// A joint that is tacked.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TackView {
    /// Name of the joint.
    pub joint: String,
    /// O'clock of its tacks: 12 is the joint's reference line, clockwise looking downstream.
    pub hours: Vec<usize>,
    /// Whether it is tacked on the jig, because a torch has no room on the vehicle.
    pub on_jig: bool,
}

/// The order of assembly of a planned header.
///
/// # Errors
/// [`CutError`] when a route is not a valid tube or not one of the job's.
pub fn assembly_view(planned: Planned<'_>) -> Result<AssemblyView, CutError> {
    let Planned { opened, routes, plan, .. } = planned;
    let runs = assembly(&opened.job, routes, plan)?;
    let welds = welding(&opened.job, routes, &runs, &Torch::default())?;
    let mark = |piece: usize| plan.pieces[piece].mark.clone();
    Ok(AssemblyView { steps: welds.order.iter().map(|run| step(&runs[*run], *run, &welds, &mark)).collect() })
}

fn step(assembly: &RunAssembly, run: usize, welds: &Welding, mark: &dyn Fn(usize) -> String) -> AssemblyStep {
    let Groups { pieces, at_flange, at_collector } = welds.groups[run];
    let marks = |from: usize, to: usize| assembly.pieces[from..to].iter().map(|p| mark(*p)).collect();
    let tack = |s: &WeldStep| TackView {
        joint: assembly.joints[s.joint].name.clone(),
        hours: s.tacks.clone(),
        on_jig: s.tacked == TackPlace::Jig,
    };
    let mut closing: Vec<&WeldStep> = welds.steps.iter().filter(|s| s.run == run && s.closes()).collect();
    closing.sort_by_key(|s| s.joint);
    AssemblyStep {
        run: assembly.run.to_string(),
        onto_studs: matches!(assembly.run, RunId::Primary { .. }),
        at_flange: marks(0, at_flange),
        group: marks(at_flange, pieces - at_collector),
        at_collector: marks(pieces - at_collector, pieces),
        off: xyz(assembly.joints[0].flow),
        tacks: closing.into_iter().map(tack).collect(),
    }
}
