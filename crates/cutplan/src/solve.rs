//! Search and proof by turns, for the runs of one tube.

use geom::Centreline;
use job::routes::RunId;

use crate::bound::prove::{Proof, plain_bound};
use crate::error::CutError;
use crate::instance::Instance;
use crate::search::decode::{Decoder, MISSING};
use crate::search::improve::{Scored, Search};
use crate::settings::CutSettings;
use crate::solution::Solution;

/// Steps of the first search, and more for every arc: 0.05 to 0.25 s. Twice as many take the
/// first plan beyond a third of a second on twelve runs.
const FIRST: u64 = 40_000;
const FIRST_PER_ARC: u64 = 6_500;

/// Steps of one turn of search and of one turn of proof.
const TURN: u64 = 150_000;

/// Steps of the search for less waste and a larger offcut once the cost is proven.
const POLISH: u64 = 20_000;

/// Arcs for which the whole budget of steps is meant; fewer get their share.
const ARCS_OF_BUDGET: u64 = 45;

/// The best plan so far and its bound.
#[derive(Debug, Clone)]
pub(crate) struct State {
    pub best: Scored,
    /// No plan costs less, thousandths.
    pub bound: i64,
}

impl State {
    pub fn solution(&self, instance: &Instance) -> Solution {
        if let Some(solution) = &self.best.solution {
            return solution.clone();
        }
        let mut decoder = Decoder::new(instance);
        decoder.evaluate(&self.best.packing);
        decoder.solution(&self.best.packing)
    }
}

/// The first plan.
pub(crate) fn start(
    instance: &Instance,
    runs: &[(RunId, Centreline)],
    settings: &CutSettings,
) -> Result<State, CutError> {
    let mut search = Search::new(instance, settings.seed);
    let first = search.begin();
    let bound = plain_bound(instance);
    let steps = FIRST + FIRST_PER_ARC * instance.arcs.len() as u64;
    search.anneal(&first, steps.min(settings.steps), bound);
    match search.best.take() {
        Some(best) if best.score.cost < MISSING => {
            let bound = bound.min(best.score.cost);
            Ok(State { best, bound })
        }
        best => Err(no_plan(instance, runs, best)),
    }
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

/// Better plans and higher bounds by turns until they meet or the steps are spent; `progress` sees
/// every change.
pub(crate) fn improve(
    instance: &Instance,
    start: &State,
    settings: &CutSettings,
    progress: &mut dyn FnMut(&State),
) -> State {
    let budget = settings.steps * (instance.arcs.len() as u64 + 1).min(ARCS_OF_BUDGET) / ARCS_OF_BUDGET;
    let mut state = start.clone();
    let mut search = Search::new(instance, settings.seed.wrapping_add(1));
    search.best = Some(state.best.clone());
    if !instance.per_piece && budget > FIRST {
        by_twin(instance, settings, &mut state, &mut search);
        progress(&state);
    }
    let open = state.bound < state.best.score.cost;
    if open && budget > FIRST {
        let mut proof = Proof::new(instance, &state.solution(instance), state.best.score.cost, budget / 2);
        take(&mut state, &mut search, &mut proof, progress);
        let mut proving = true;
        while state.bound < state.best.score.cost && search.spent + proof.spent < budget {
            let packing = state.best.packing.clone();
            search.anneal(&packing, TURN, state.bound);
            take(&mut state, &mut search, &mut proof, progress);
            let until = proof.spent + TURN;
            while proving && state.bound < state.best.score.cost && proof.spent < until {
                proving = prove_once(&mut search, &mut proof, budget);
                take(&mut state, &mut search, &mut proof, progress);
            }
        }
    }
    let packing = state.best.packing.clone();
    search.anneal(&packing, POLISH.min(settings.steps), i64::MIN);
    if let Some(best) = search.best.filter(|b| b.score.better_than(&state.best.score)) {
        state.best = best;
    }
    state
}

/// Bound and plan from the twin that charges one cut a piece and takes the price of one cut off each item.
///
/// An item from which p pieces are cut needs at least p - 1 saw cuts, so that no plan costs less by saw cuts than
/// the twin says.
fn by_twin<'a>(instance: &'a Instance, settings: &CutSettings, state: &mut State, search: &mut Search<'a>) {
    let Some((twin, given)) = instance.piece_twin() else { return };
    let half = CutSettings { steps: settings.steps / 2, ..*settings };
    let mut turned = Search::new(&twin, settings.seed);
    turned.anneal(&state.best.packing, TURN.min(half.steps / 4), i64::MIN);
    let Some(best) = turned.best.take().filter(|b| b.score.cost < MISSING) else { return };
    let first = State { best, bound: 0 };
    let solved = improve(&twin, &first, &half, &mut |_| ());
    state.bound = state.bound.max((solved.bound - given).min(state.best.score.cost));
    search.anneal(&solved.best.packing, TURN, state.bound);
    if let Some(best) = search.best.as_ref().filter(|b| b.score.better_than(&state.best.score)) {
        state.best = best.clone();
    }
}

/// One node of the proof; its relaxation is also tried as a packing.
fn prove_once<'a>(search: &mut Search<'a>, proof: &mut Proof<'a>, budget: u64) -> bool {
    let mut relaxed = Vec::new();
    let more = proof.step(budget / 4, &mut |master| relaxed = master.in_use());
    if let Some(packing) = search.offer_patterns(&relaxed) {
        search.anneal(&packing, 4_000, proof.bound());
    }
    more
}

/// Takes over what search and proof have found.
fn take(state: &mut State, search: &mut Search<'_>, proof: &mut Proof<'_>, progress: &mut dyn FnMut(&State)) {
    let mut changed = false;
    if let Some(best) = search.best.as_ref().filter(|b| b.score.better_than(&state.best.score)) {
        changed = best.score.cost < state.best.score.cost;
        state.best = best.clone();
        proof.lower_known(state.best.score.cost);
    }
    let bound = proof.bound().min(state.best.score.cost);
    if bound > state.bound {
        state.bound = bound;
        changed = true;
    }
    if changed {
        progress(state);
    }
}
