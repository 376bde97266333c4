//! Search and proof by turns, for the runs of one tube.

use std::sync::atomic::{AtomicBool, Ordering};

use geom::Centreline;
use job::routes::RunId;
use job::{StepsAhead, UNCOUNTED};

use crate::bound::prove::{Proof, plain_bound};
use crate::error::CutError;
use crate::instance::Instance;
use crate::search::decode::{Decoder, MISSING};
use crate::search::improve::{HOT, Scored, Search};
use crate::search::packing::Packing;
use crate::settings::CutSettings;
use crate::solution::Solution;

/// Steps of the first search: 0.1 s for four runs, 0.2 s for twelve. Two thirds more steps find first plans no cheaper.
const FIRST: u64 = 200_000;

/// Steps of the quick plan: 10 to 20 ms. It is mostly within 3 % of the best in the end.
const QUICK_STEPS: u64 = 12_000;

/// Up to so many arcs of one CLR a proof is tried before the first search: mostly the quick plan is the best there is.
const FEW_ARCS: usize = 16;

/// Steps of that turn.
const SHORT_TURN: u64 = 80_000;

/// Budget below which the first plan is all: a relaxation alone may take as much.
const LEAST_TO_PROVE: u64 = 40_000;

/// Steps of one turn of search and of one turn of proof.
const TURN: u64 = 150_000;

/// Steps of the search for less waste and a larger offcut once the cost is proven.
const POLISH: u64 = 20_000;

/// The best plan so far and its bound.
#[derive(Debug, Clone)]
pub(crate) struct State {
    pub best: Scored,
    /// No plan costs less, thousandths.
    pub bound: i64,
}

impl State {
    fn is_proven(&self) -> bool {
        self.bound >= self.best.score.cost
    }

    pub fn solution(&self, instance: &Instance) -> Solution {
        if let Some(solution) = &self.best.solution {
            return solution.clone();
        }
        let mut decoder = Decoder::new(instance);
        decoder.evaluate(&self.best.packing);
        decoder.solution(&self.best.packing)
    }
}

/// The beginning of a search: a quick plan within a fiftieth of a second, then the first plan to be content with.
pub(crate) struct Start<'a> {
    instance: &'a Instance,
    search: Search<'a>,
    packing: Packing,
    bound: i64,
}

impl<'a> Start<'a> {
    /// Searches for a quick plan.
    pub fn new(instance: &'a Instance, settings: &CutSettings) -> Self {
        let mut search = Search::new(instance, settings.seed);
        let packing = search.begin();
        let bound = plain_bound(instance);
        search.anneal(&packing, QUICK_STEPS.min(settings.steps), bound);
        Start { instance, search, packing, bound }
    }

    /// The quick plan, when it is complete.
    pub fn quick_plan(&self) -> Option<State> {
        self.state(self.search.best.clone())
    }

    fn state(&self, best: Option<Scored>) -> Option<State> {
        let best = best.filter(|b| b.score.cost < MISSING)?;
        let bound = self.bound.min(best.score.cost);
        Some(State { best, bound })
    }

    /// The first plan.
    pub fn finish(mut self, runs: &[(RunId, Centreline)], settings: &CutSettings) -> Result<First<'a>, CutError> {
        let tried = match self.try_to_prove(settings) {
            Some(first) if first.state.is_proven() => return Ok(first),
            tried => tried,
        };
        let mut second = Search::new(self.instance, !settings.seed);
        second.hot = HOT[1];
        let steps = FIRST.min(settings.steps);
        let (first, packing, bound) = (&mut self.search, &self.packing, self.bound);
        rayon::join(|| first.anneal(packing, steps, bound), || second.anneal(packing, steps, bound));
        let better = |a: Scored, b: Scored| if b.score.better_than(&a.score) { b } else { a };
        let best = self.search.best.take().into_iter().chain(second.best).reduce(better);
        let Some(mut state) = self.state(best.clone()) else { return Err(no_plan(self.instance, runs, best)) };
        let Some(First { state: earlier, proving }) = tried else { return Ok(First { state, proving: None }) };
        if earlier.best.score.better_than(&state.best.score) {
            state.best = earlier.best;
        }
        state.bound = state.bound.max(earlier.bound).min(state.best.score.cost);
        Ok(First { state, proving })
    }

    /// One short turn of search and proof side by side, where that is likely to prove a plan.
    fn try_to_prove(&self, settings: &CutSettings) -> Option<First<'a>> {
        let Instance { arcs, classes, bends, per_piece, .. } = self.instance;
        let simple = *per_piece && classes.len() == 1 && bends.iter().all(|b| b.count.is_none());
        if !simple || arcs.len() > FEW_ARCS || settings.steps <= LEAST_TO_PROVE {
            return None;
        }
        let mut state = self.quick_plan()?;
        let mut search = Search::new(self.instance, settings.seed.wrapping_add(2));
        let mut proving = Proving::new(self.instance, &state, settings.steps);
        rayon::join(|| search.anneal(&self.packing, SHORT_TURN, self.bound), || proving.turn(SHORT_TURN));
        take(&mut state, &mut search, &mut proving, &mut |_| ());
        Some(First { state, proving: Some(proving) })
    }
}

/// The first plan, with the proof where one is begun.
pub(crate) struct First<'a> {
    pub state: State,
    proving: Option<Proving<'a>>,
}

/// Why the nearest try is no plan.
fn no_plan(instance: &Instance, runs: &[(RunId, Centreline)], best: Option<Scored>) -> CutError {
    let mut missing = Vec::new();
    if let Some(best) = best {
        let mut decoder = Decoder::new(instance);
        decoder.evaluate(&best.packing);
        for &s in &decoder.missing {
            let straight = &instance.straights[s];
            let run = runs[instance.runs[straight.run].route].0.clone();
            missing.push((run, straight.place, straight.length));
        }
    }
    CutError::NoPlan { missing }
}

/// Better plans and higher bounds side by side until they meet, the steps are spent or `stop` is true; `ahead` counts the
/// steps, `progress` sees every change.
pub(crate) fn improve<'a>(
    instance: &'a Instance,
    First { mut state, proving }: First<'a>,
    settings: &CutSettings,
    (stop, ahead): (&AtomicBool, StepsAhead<'_>),
    progress: &mut dyn FnMut(&State),
) -> State {
    let budget = settings.steps;
    let mut search = Search::new(instance, settings.seed.wrapping_add(1));
    search.best = Some(state.best.clone());
    if !instance.per_piece && budget > LEAST_TO_PROVE {
        per_piece_relaxation(instance, settings, stop, &mut state, &mut search);
        progress(&state);
    }
    if !state.is_proven() && budget > LEAST_TO_PROVE {
        let proving = proving.unwrap_or_else(|| Proving::new(instance, &state, budget));
        side_by_side(proving, budget, (stop, ahead), &mut state, &mut search, progress);
    }
    let packing = state.best.packing.clone();
    search.anneal(&packing, POLISH.min(settings.steps), i64::MIN);
    if let Some(best) = search.best.filter(|b| b.score.better_than(&state.best.score)) {
        state.best = best;
    }
    state
}

/// Search and proof on a thread each. They hear of one another only between turns, which are counted in steps, so that
/// the plan does not depend on which of them is quicker.
fn side_by_side(
    mut proving: Proving<'_>,
    budget: u64,
    (stop, mut ahead): (&AtomicBool, StepsAhead<'_>),
    state: &mut State,
    search: &mut Search<'_>,
    progress: &mut dyn FnMut(&State),
) {
    let mut before = 0;
    for hot in HOT.into_iter().rev().cycle() {
        search.hot = hot;
        let (packing, bound) = (state.best.packing.clone(), state.bound);
        rayon::join(|| search.anneal(&packing, TURN, bound), || proving.turn(TURN));
        take(state, search, &mut proving, progress);
        let spent = search.spent + proving.spent();
        ahead.step(spent.saturating_sub(before));
        before = spent;
        if state.is_proven() || spent >= budget || stop.load(Ordering::Relaxed) {
            return;
        }
    }
}

/// The proof, with a search of its own that makes plans of what the relaxations say.
struct Proving<'a> {
    instance: &'a Instance,
    /// Nothing before the root has been relaxed.
    proof: Option<Proof<'a>>,
    rounding: Search<'a>,
    start: State,
    budget: u64,
    /// There are nodes left to look at.
    open: bool,
}

impl<'a> Proving<'a> {
    fn new(instance: &'a Instance, state: &State, budget: u64) -> Self {
        let mut rounding = Search::new(instance, 0);
        rounding.best = Some(state.best.clone());
        Proving { instance, proof: None, rounding, start: state.clone(), budget, open: true }
    }

    fn spent(&self) -> u64 {
        self.proof.as_ref().map_or(0, |p| p.spent) + self.rounding.spent
    }

    /// About `steps` steps of nodes; each one's relaxation is also tried as a packing.
    fn turn(&mut self, steps: u64) {
        let until = self.spent() + steps;
        let Proving { instance, proof, rounding, start, budget, open } = self;
        let proof = proof
            .get_or_insert_with(|| Proof::new(instance, &start.solution(instance), start.best.score.cost, *budget / 2));
        while *open && proof.bound() < proof.known && proof.spent + rounding.spent < until {
            let mut relaxed = Vec::new();
            *open = proof.step(*budget / 4, &mut |master| relaxed = master.in_use());
            if let Some(packing) = rounding.offer_patterns(&relaxed) {
                rounding.anneal(&packing, 4_000, proof.bound());
            }
            if let Some(best) = &rounding.best {
                proof.lower_known(best.score.cost);
            }
        }
    }
}

/// Bound and plan from the twin that charges one cut a piece and takes the price of one cut off each item.
///
/// An item from which p pieces are cut needs at least p - 1 saw cuts, so that no plan costs less by saw cuts than
/// the twin says.
fn per_piece_relaxation<'a>(
    instance: &'a Instance,
    settings: &CutSettings,
    stop: &AtomicBool,
    state: &mut State,
    search: &mut Search<'a>,
) {
    let Some((twin, given)) = instance.piece_twin() else { return };
    let half = CutSettings { steps: settings.steps / 2, ..*settings };
    let mut turned = Search::new(&twin, settings.seed);
    turned.anneal(&state.best.packing, TURN.min(half.steps / 4), i64::MIN);
    let Some(best) = turned.best.take().filter(|b| b.score.cost < MISSING) else { return };
    let first = First { state: State { best, bound: 0 }, proving: None };
    let solved = improve(&twin, first, &half, (stop, UNCOUNTED.ahead(0)), &mut |_| ());
    state.bound = state.bound.max((solved.bound - given).min(state.best.score.cost));
    search.anneal(&solved.best.packing, TURN, state.bound);
    if let Some(best) = search.best.as_ref().filter(|b| b.score.better_than(&state.best.score)) {
        state.best = best.clone();
    }
}

/// Takes over what search and proof have found, and tells each of them of the other's.
fn take(state: &mut State, search: &mut Search<'_>, proving: &mut Proving<'_>, progress: &mut dyn FnMut(&State)) {
    let mut changed = false;
    for found in [&search.best, &proving.rounding.best].into_iter().flatten() {
        if found.score.better_than(&state.best.score) {
            changed |= found.score.cost < state.best.score.cost;
            state.best = found.clone();
        }
    }
    search.best = Some(state.best.clone());
    proving.rounding.best = Some(state.best.clone());
    if let Some(proof) = &mut proving.proof {
        proof.lower_known(state.best.score.cost);
        let bound = proof.bound().min(state.best.score.cost);
        if bound > state.bound {
            state.bound = bound;
            changed = true;
        }
    }
    if changed {
        progress(state);
    }
}
