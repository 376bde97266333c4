//! Cut plans: how runs are divided into pieces, which stock each piece is cut from, and where.
//!
//! Pieces and joints are chosen together with the nesting, under the rules of cutting:
//! 1. Two arcs of one CLR, plane and sense with no straight between are one arc.
//! 2. A piece is one contiguous stretch of an item: leg+arc, arc, arc+leg, leg+arc+leg (only with
//!    the item's whole arc), or a straight out of a leg or stick. Pieces may be turned.
//! 3. Joints are square to the centreline; a cut in a bend costs the angle asin(kerf / (CLR -
//!    OD/2)), or asin(kerf / CLR) where the blade's width counts at the centreline.
//! 4. A cut that parts leg from arc lies on the straight side of the tangent point.
//! 5. Mill ends are usable as they are; neighbours one kerf apart share one cut.
//! 6. A piece with arc has at least min(min_arc, the route's arc); a straight one min_straight.
//! 7. Cost = items + joint x (pieces - runs) + cut x (pieces, or saw cuts made).
//! 8. A slip joint divides a run in two for all of this; the part upstream is longer by the overlap.
//!
//! The crate reads no file and no clock and prints nothing. Effort is counted in steps.

pub mod assembly;
mod bound;
mod cut_job;
mod error;
pub mod figures;
pub mod file;
mod fit;
mod ids;
mod instance;
mod layout;
mod marks;
mod numbers;
mod plan;
pub mod quote;
mod recount;
mod reserve;
pub mod saw;
mod search;
mod settings;
mod solution;
mod solve;
pub mod welding;

pub use cut_job::{CutJob, StockItem};
pub use error::CutError;
pub use numbers::run_numbers;
pub use plan::{Clocking, CutMark, CutPlace, CutPlan, Item, ItemShape, Offcut, Piece, Reserve, StockLine, StockRef};
pub use recount::{PlanFault, Recount, TubeStretch, recount};
pub use reserve::{Lengthening, Longer, ReserveCost, ReserveSettings, plan_with_reserve};
pub use settings::CutSettings;

use std::borrow::Cow;

use geom::Centreline;
use job::model::{Money, Tube};
use job::routes::{Routes, RunId};
use job::{Monitor, StepsAhead};

use instance::{Instance, RunShape};
use solve::Start;

/// The cheapest cut plan found for all runs of a job, with a bound that no plan can be below.
///
/// Runs of different tubes are nested separately. `monitor` hears of the first plan, of every better one and whenever
/// the bound rises; each plan it is given is whole and correct. When it is stopped, the best plan and bound so far are
/// the answer.
///
/// # Errors
/// [`CutError`]: why the runs cannot be cut from the stock.
pub fn plan(
    routes: &Routes,
    job: &CutJob<'_>,
    settings: &CutSettings,
    monitor: &mut Monitor<CutPlan>,
) -> Result<CutPlan, CutError> {
    Solved::of(routes, job, settings, monitor).map(|solved| solved.plan)
}

/// A plan with what it was found from.
struct Solved {
    runs: Vec<(RunId, Centreline)>,
    instances: Vec<Instance>,
    states: Vec<solve::State>,
    plan: CutPlan,
}

impl Solved {
    fn of(
        routes: &Routes,
        job: &CutJob<'_>,
        settings: &CutSettings,
        monitor: &mut Monitor<CutPlan>,
    ) -> Result<Solved, CutError> {
        let stop = monitor.stop_flag();
        let runs = centrelines(routes)?;
        check_partings(&runs, job)?;
        let instances = instances(&runs, job)?;
        let assembled = |states: &[solve::State]| {
            assemble(&instances, states, job, &runs, settings).expect("a plan without reserve gives none to its pieces")
        };
        let starts: Vec<Start<'_>> = instances.iter().map(|i| Start::new(i, settings)).collect();
        if let Some(quick_plans) = starts.iter().map(Start::quick_plan).collect::<Option<Vec<_>>>() {
            monitor.report(&assembled(&quick_plans));
        }
        let firsts = starts.into_iter().map(|s| s.finish(&runs, settings)).collect::<Result<Vec<_>, _>>()?;
        let mut states: Vec<solve::State> = firsts.iter().map(|f| f.state.clone()).collect();
        monitor.report(&assembled(&states));
        let share = CutSettings { steps: settings.steps / instances.len() as u64, ..*settings };
        let ahead: Vec<StepsAhead> = instances.iter().map(|_| monitor.pace().ahead(share.steps)).collect();
        for (g, ((instance, first), ahead)) in instances.iter().zip(firsts).zip(ahead).enumerate() {
            let mut now = states.clone();
            states[g] = solve::improve(instance, first, &share, (stop, ahead), &mut |state| {
                now[g] = state.clone();
                monitor.report(&assembled(&now));
            });
        }
        let plan = assembled(&states);
        debug_assert_eq!(recount(&plan, &runs, job).err(), None);
        Ok(Solved { runs, instances, states, plan })
    }
}

/// The centrelines of all runs, for [`recount()`].
///
/// # Errors
/// [`CutError::NoRuns`], [`CutError::BadRoute`].
pub fn centrelines(routes: &Routes) -> Result<Vec<(RunId, Centreline)>, CutError> {
    if routes.runs.is_empty() {
        return Err(CutError::NoRuns);
    }
    routes
        .runs
        .iter()
        .map(|route| match route.centreline() {
            Ok(centreline) => Ok((route.run.clone(), centreline)),
            Err(reason) => Err(CutError::BadRoute { run: route.run.clone(), reason }),
        })
        .collect()
}

/// One instance for each tube, in the order in which the tubes first occur.
fn instances(runs: &[(RunId, Centreline)], job: &CutJob<'_>) -> Result<Vec<Instance>, CutError> {
    let mut tubes: Vec<&Tube> = Vec::new();
    let same = |a: &Tube, b: &Tube| a.is_same_size(b.od, b.wall);
    for (run, _) in runs {
        let tube = job.tube_of(run);
        if !tubes.iter().any(|t| same(t, tube)) {
            tubes.push(tube);
        }
    }
    let mut out = Vec::new();
    for tube in tubes {
        let shapes: Vec<RunShape<'_>> = runs
            .iter()
            .enumerate()
            .filter(|(_, (run, _))| same(job.tube_of(run), tube))
            .flat_map(|(route, (id, line))| shapes(route, id, line, job))
            .collect();
        out.push(Instance::new(tube, &shapes, job)?);
    }
    Ok(out)
}

/// A run, divided at its slip joints.
fn shapes<'a>(route: usize, id: &'a RunId, line: &'a Centreline, job: &CutJob<'_>) -> Vec<RunShape<'a>> {
    let mut bends_before = 0;
    let shape = |section: [f64; 2]| {
        let whole = section[0] <= 0.0 && section[1] >= line.length();
        let centreline = if whole { Cow::Borrowed(line) } else { Cow::Owned(line.stretch(section[0], section[1])) };
        let bends = centreline.bends().count();
        bends_before += bends;
        RunShape { route, id, section, bends_before: bends_before - bends, centreline }
    };
    job.sections(id, line.length()).into_iter().map(shape).collect()
}

/// Slip joints and couplings that do not lie in one straight of their run, or beyond it.
fn check_partings(runs: &[(RunId, Centreline)], job: &CutJob<'_>) -> Result<(), CutError> {
    let sound = |of: &RunId, from: f64, to: f64| {
        let Some((run, line)) = runs.iter().find(|(run, _)| run == of) else { return true };
        let within = |(a, b): &(f64, f64)| from >= a - SLIP_OFF && to <= b + SLIP_OFF;
        from > job.start_of(run) && job::parts::straights(line).iter().any(within)
    };
    if let Some(slip) = job.slips.iter().find(|s| !sound(&s.run, s.at, s.at + s.overlap)) {
        return Err(CutError::SlipOffStraight { run: slip.run.clone(), at: slip.at, overlap: slip.overlap });
    }
    match job.couplings.iter().find(|c| !sound(&c.run, c.at, c.end())) {
        Some(c) => Err(CutError::JointOffStraight { run: c.run.clone(), at: c.at, width: c.width }),
        None => Ok(()),
    }
}

/// How far a slip joint or coupling may reach beyond its straight, mm: routes are written with three decimals.
const SLIP_OFF: f64 = 0.01;

/// The plan of all instances as they stand; `None` when no pieces can have the reserve of theirs.
fn assemble(
    instances: &[Instance],
    states: &[solve::State],
    job: &CutJob<'_>,
    runs: &[(RunId, Centreline)],
    settings: &CutSettings,
) -> Option<CutPlan> {
    let mut plan = CutPlan {
        cost: Money(0),
        lower_bound: Money(0),
        proven: false,
        joints: 0,
        cuts: 0,
        items: Vec::new(),
        pieces: Vec::new(),
        offcuts: Vec::new(),
    };
    let numbers = run_numbers(runs.iter().map(|(run, _)| run), job.cylinders);
    for (instance, state) in instances.iter().zip(states) {
        if !layout::add_to_plan(&mut plan, instance, &state.solution(instance), runs, &numbers) {
            return None;
        }
    }
    layout::finish(&mut plan, job, runs, settings.least_offcut);
    plan.lower_bound = Money(states.iter().map(|s| s.bound).sum::<i64>().min(plan.cost.0));
    plan.proven = plan.lower_bound == plan.cost;
    Some(plan)
}
