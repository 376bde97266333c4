//! Reserve: more on the item for straights and arcs that are cut last, to measurement.
//!
//! A straight or an arc that is to be longer is a longer one to cut: the search plans it so, and the layout gives what is more
//! to the pieces of it. First all that is wanted is tried at once, from the plan that is known, and where it costs more than
//! without it the half of it and the other half: what is left costs nothing, and is nearly all that can be had so. Paid for,
//! all is planned whatever it costs.

use job::routes::{Routes, RunId};
use job::{Monitor, NEVER, UNCOUNTED};

use crate::instance::{Instance, Longer};
use crate::search::improve::{HOT, Search};
use crate::solved::{Solved, assemble};
use crate::{CutError, CutJob, CutPlan, CutSettings, recount, solve};

/// Steps of one try: 20 to 50 ms.
const TRY: u64 = 40_000;

/// Tries of one job at most.
const MOST_TRIES: usize = 48;

/// A straight or an arc of a run that is to be longer on its item.
#[derive(Debug, Clone, PartialEq)]
pub struct Lengthening {
    /// The run.
    pub run: RunId,
    /// A place within the straight or the arc, mm along the route.
    pub at: f64,
    /// What it is to have more.
    pub longer: Longer,
}

/// What a reserve may cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReserveCost {
    /// Nothing: only what fits in a plan that costs no more.
    Nothing,
    /// What it costs, also a bend more.
    Any,
}

/// What a plan is to keep as reserve.
#[derive(Clone, Copy)]
pub struct ReserveSettings<'a> {
    /// What is to be longer, once a plan without reserve is known.
    pub want: &'a dyn Fn(&CutPlan) -> Vec<Lengthening>,
    /// What that may cost.
    pub cost: ReserveCost,
}

/// The cheapest plan found as by [`crate::plan()`], with a reserve on what `reserve` wants.
///
/// With [`ReserveCost::Nothing`] cost and bound are those without a reserve.
///
/// # Errors
/// As [`crate::plan()`].
pub fn plan_with_reserve(
    routes: &Routes,
    job: &CutJob<'_>,
    settings: &CutSettings,
    reserve: ReserveSettings<'_>,
    monitor: &mut Monitor<CutPlan>,
) -> Result<CutPlan, CutError> {
    let stop = monitor.stop_flag();
    let solved = Solved::of(routes, job, settings, monitor)?;
    if stop.load(std::sync::atomic::Ordering::Relaxed) {
        return Ok(solved.plan);
    }
    let lengthenings = (reserve.want)(&solved.plan);
    if lengthenings.is_empty() {
        return Ok(solved.plan);
    }
    let mut task = Task { solved: &solved, job, settings, tries: 0 };
    let found = match reserve.cost {
        ReserveCost::Nothing => task.free(&lengthenings),
        ReserveCost::Any => task.paid(&lengthenings).or_else(|| task.free(&lengthenings)),
    };
    let plan = found.unwrap_or_else(|| solved.plan.clone());
    monitor.report(&plan);
    Ok(plan)
}

/// A plan to which a reserve is added.
struct Task<'a> {
    solved: &'a Solved,
    job: &'a CutJob<'a>,
    settings: &'a CutSettings,
    tries: usize,
}

impl Task<'_> {
    /// As much of the lengthenings as costs nothing.
    fn free(&mut self, lengthenings: &[Lengthening]) -> Option<CutPlan> {
        let mut granted = Vec::new();
        let mut best = None;
        self.add(lengthenings, &mut granted, &mut best);
        best
    }

    /// Adds lengthenings to those granted, and where they cost something each half of them.
    fn add(&mut self, lengthenings: &[Lengthening], granted: &mut Vec<Lengthening>, best: &mut Option<CutPlan>) {
        if lengthenings.is_empty() || self.tries >= MOST_TRIES {
            return;
        }
        let all: Vec<Lengthening> = granted.iter().chain(lengthenings).cloned().collect();
        if let Some(plan) = self.at_no_cost(&all) {
            (*granted, *best) = (all, Some(plan));
        } else if lengthenings.len() > 1 {
            let (first, second) = lengthenings.split_at(lengthenings.len() / 2);
            self.add(first, granted, best);
            self.add(second, granted, best);
        }
    }

    /// A plan with those lengthenings that costs what the plain one does.
    fn at_no_cost(&mut self, lengthenings: &[Lengthening]) -> Option<CutPlan> {
        self.tries += 1;
        let longer = longer(self.solved, lengthenings)?;
        let mut states = self.solved.states.clone();
        for (k, instance) in longer.iter().enumerate().filter(|(_, i)| i.has_reserve()) {
            let plain = &self.solved.states[k];
            let mut search = Search::new(instance, self.settings.seed);
            search.hot = HOT[1];
            search.anneal(&plain.best.packing, TRY, plain.best.score.cost);
            let found = search.best.filter(|b| b.score.cost <= plain.best.score.cost)?;
            states[k].best = found;
        }
        let plan = self.plan(&longer, &states)?;
        // Where saw cuts are charged, a mill end kept as reserve may save one: then it is no plan of the same cost.
        (plan.cost == self.solved.plan.cost).then_some(plan)
    }

    /// The best plan with all lengthenings.
    fn paid(&mut self, lengthenings: &[Lengthening]) -> Option<CutPlan> {
        let longer = longer(self.solved, lengthenings)?;
        let mut states = self.solved.states.clone();
        for (k, instance) in longer.iter().enumerate().filter(|(_, i)| i.has_reserve()) {
            let first = solve::Start::new(instance, self.settings).finish(&self.solved.runs, self.settings).ok()?;
            states[k] = solve::improve(instance, first, self.settings, (&NEVER, UNCOUNTED.ahead(0)), &mut |_| ());
        }
        self.plan(&longer, &states)
    }

    fn plan(&self, instances: &[Instance], states: &[solve::State]) -> Option<CutPlan> {
        let plan = assemble(instances, states, self.job, &self.solved.runs, self.settings)?;
        let sound = recount(&plan, &self.solved.runs, self.job);
        debug_assert_eq!(sound.as_ref().err(), None);
        sound.is_ok().then_some(plan)
    }
}

/// The instances with straights and arcs longer; `None` when a lengthening is of none.
fn longer(solved: &Solved, lengthenings: &[Lengthening]) -> Option<Vec<Instance>> {
    let mut instances = solved.instances.clone();
    for lengthening in lengthenings {
        let added = instances.iter_mut().any(|instance| {
            let within = |section: [f64; 2]| section[0] <= lengthening.at && lengthening.at < section[1];
            let run = instance.runs.iter().position(|r| solved.runs[r.route].0 == lengthening.run && within(r.section));
            run.is_some_and(|run| {
                instance.lengthen(run, lengthening.at - instance.runs[run].section[0], lengthening.longer)
            })
        });
        if !added {
            return None;
        }
    }
    Some(instances)
}
