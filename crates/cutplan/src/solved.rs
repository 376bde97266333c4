//! A plan with what it was found from: the runs divided into instances of one tube each, solved one after the other.

use std::borrow::Cow;

use geom::Centreline;
use job::model::{Money, Tube};
use job::routes::{Routes, RunId};
use job::{Monitor, StepsAhead};

use crate::instance::{Instance, RunShape};
use crate::solve::{self, Start};
use crate::{CutError, CutJob, CutPlan, CutSettings, layout, recount, run_numbers};

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
pub(crate) struct Solved {
    pub runs: Vec<(RunId, Centreline)>,
    pub instances: Vec<Instance>,
    pub states: Vec<solve::State>,
    pub plan: CutPlan,
}

impl Solved {
    pub fn of(
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
pub(crate) fn assemble(
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
