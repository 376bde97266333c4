//! The routing problem as C functions: one and the same objective, requirements and gradients for our solver and
//! for a general one that is called from Python.
//!
//! A bench holds a job of one family, the structures that the search itself would try (its picks) and one
//! evaluator. Variables are offsets in mm from the start's own; requirements are mm missed (positive: missed).

mod given;
mod slots;

use std::slice;
use std::time::Instant;

use given::Given;
use route::search::evaluate::{Evaluator, Scope, Weights};
use route::search::path::TubePath;
use route::search::repair::{FRESH, repair};
use route::search::sequential_quadratic::polish;
use route::search::state::{State, lay};
use route::search::verify::{strict_miss, whole};
use slots::Slots;

/// Iterations of our polish, as the search has it.
const POLISH: usize = 40;

/// How far from being missed a requirement still has a gradient, mm.
const LOOK: f64 = 400.0;

/// A job with starts, and the evaluator of the one in work.
pub struct Bench {
    given: Given,
    start: usize,
    rows: Option<Evaluator<'static>>,
    sums: Option<Evaluator<'static>>,
    slots: Slots,
}

/// Opens variant `variant` of family `family` (0 to 3: inline four, V8 bank, inline six, turbo) with `starts`
/// starts; null for another family or when there are none.
#[unsafe(no_mangle)]
pub extern "C" fn bench_open(family: u32, variant: u32, seed: u64, starts: u32) -> *mut Bench {
    match Given::new(family, variant, seed, starts as usize) {
        Some(given) => {
            Box::into_raw(Box::new(Bench { given, start: 0, rows: None, sums: None, slots: Slots::default() }))
        }
        None => std::ptr::null_mut(),
    }
}

/// Number of starts.
///
/// # Safety
/// `bench` comes from [`bench_open`].
#[unsafe(no_mangle)]
pub unsafe extern "C" fn bench_starts(bench: *const Bench) -> u32 {
    unsafe { &*bench }.given.starts.len() as u32
}

/// Puts start `start` in work: points looked at every `step` mm along the runs, gaps with `margin` mm to spare, and
/// the requirements at `block` neighbouring points taken together as the one missed most. Writes the number
/// of variables and of requirements.
///
/// # Safety
/// `bench` comes from [`bench_open`], `start` lies below [`bench_starts`], `sizes` has room for two.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn bench_begin(
    bench: *mut Bench,
    start: u32,
    step: f64,
    margin: f64,
    block: u32,
    sizes: *mut u32,
) {
    let (bench, sizes) = unsafe { (&mut *bench, slice::from_raw_parts_mut(sizes, 2)) };
    bench.start = start as usize;
    let (problem, state) = (bench.given.problem, &bench.given.starts[bench.start]);
    let weights = Weights { turn: 1.0, length: 0.0, margin, spared: 0.0, step, room: 0.0 };
    let mut rows = Evaluator::new(problem, state, whole(problem), weights);
    rows.tell_rows(state, LOOK);
    bench.slots = Slots::new(problem, state, &rows, block as usize);
    sizes[0] = rows.freedoms() as u32;
    sizes[1] = bench.slots.count() as u32;
    bench.rows = Some(rows);
    bench.sums = Some(Evaluator::new(problem, state, whole(problem), weights));
}

/// Turning (rad) and its gradient, and every requirement with its own (row by row), at `x`; the wall-clock seconds of
/// the plain evaluation. A requirement farther than the look from being missed has the value of the look and no gradient.
///
/// # Safety
/// [`bench_begin`] was called; the arrays have its sizes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn bench_evaluate(
    bench: *mut Bench,
    x: *const f64,
    objective: *mut f64,
    gradient: *mut f64,
    rows: *mut f64,
    jacobian: *mut f64,
    seconds: *mut f64,
) {
    let bench = unsafe { &mut *bench };
    let Some(evaluator) = &mut bench.rows else { return };
    let (n, m) = (evaluator.freedoms(), bench.slots.count());
    let x = unsafe { slice::from_raw_parts(x, n) };
    let (objective, gradient) = unsafe { (&mut *objective, slice::from_raw_parts_mut(gradient, n)) };
    let rows = unsafe { slice::from_raw_parts_mut(rows, m) };
    let jacobian = unsafe { slice::from_raw_parts_mut(jacobian, m * n) };
    let began = Instant::now();
    let start = &bench.given.starts[bench.start];
    let state = evaluator.moved(start, x);
    evaluator.linearise(&state);
    let sink = evaluator.sink_mut();
    *objective = sink.cost - sink.missed;
    gradient.iter_mut().zip(&sink.g).for_each(|(to, g)| *to = 2.0 * g);
    jacobian.fill(0.0);
    rows.fill(-LOOK);
    for row in sink.rows.iter().flatten() {
        let slot = bench.slots.of(row.tag);
        if row.miss > rows[slot] {
            rows[slot] = row.miss;
            jacobian[slot * n..(slot + 1) * n].copy_from_slice(&row.gradient);
        }
    }
    unsafe { *seconds = began.elapsed().as_secs_f64() };
}

/// Sum of squares missed plus `turn` times the turning, and its gradient, at `x`.
///
/// # Safety
/// [`bench_begin`] was called; the arrays have its sizes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn bench_penalty(bench: *mut Bench, x: *const f64, turn: f64, cost: *mut f64, g: *mut f64) {
    let bench = unsafe { &mut *bench };
    let Some(evaluator) = &mut bench.sums else { return };
    let n = evaluator.freedoms();
    let (x, cost) = unsafe { (slice::from_raw_parts(x, n), &mut *cost) };
    let g = unsafe { slice::from_raw_parts_mut(g, n) };
    evaluator.weights.turn = turn;
    let state = evaluator.moved(&bench.given.starts[bench.start], x);
    let sink = evaluator.linearise(&state);
    *cost = sink.cost;
    g.iter_mut().zip(&sink.g).for_each(|(to, g)| *to = 2.0 * g);
}

/// What is missed to the letter of the job (mm, points 1 mm apart, no margin) at `x`, and the turning in rad.
///
/// # Safety
/// [`bench_begin`] was called; `x` has its size, `out` room for two.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn bench_judge(bench: *const Bench, x: *const f64, out: *mut f64) {
    let bench = unsafe { &*bench };
    let Some(evaluator) = &bench.rows else { return };
    let x = unsafe { slice::from_raw_parts(x, evaluator.freedoms()) };
    let state = evaluator.moved(&bench.given.starts[bench.start], x);
    judge(bench, &state, unsafe { slice::from_raw_parts_mut(out, 2) });
}

/// Ours: the start in work repaired and, with `polished`, its turning taken out. Writes what is missed and the turning as
/// [`bench_judge`] does; `judged` tells whether at all, so that the judging can be left out of the time taken.
///
/// # Safety
/// [`bench_begin`] was called; `out` has room for two.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn bench_ours(bench: *const Bench, polished: bool, judged: bool, out: *mut f64) {
    let bench = unsafe { &*bench };
    let (problem, mut state) = (bench.given.problem, bench.given.starts[bench.start].clone());
    let solved = repair(problem, &mut state, whole(problem), FRESH, 0.0);
    if polished && solved.worst < 0.02 {
        polish(problem, &mut state, &whole(problem), POLISH, 0.0);
    }
    if judged {
        judge(bench, &state, unsafe { slice::from_raw_parts_mut(out, 2) });
    }
}

/// Our polish alone, from `x`: how much turning it still takes out of another's answer.
///
/// # Safety
/// [`bench_begin`] was called; `x` has its size, `out` room for two.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn bench_polish(bench: *const Bench, x: *const f64, out: *mut f64) {
    let bench = unsafe { &*bench };
    let Some(evaluator) = &bench.rows else { return };
    let x = unsafe { slice::from_raw_parts(x, evaluator.freedoms()) };
    let mut state = evaluator.moved(&bench.given.starts[bench.start], x);
    let scope: Scope = whole(bench.given.problem);
    polish(bench.given.problem, &mut state, &scope, POLISH, 0.0);
    judge(bench, &state, unsafe { slice::from_raw_parts_mut(out, 2) });
}

/// Closes a bench.
///
/// # Safety
/// `bench` comes from [`bench_open`] and is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn bench_close(bench: *mut Bench) {
    drop(unsafe { Box::from_raw(bench) });
}

fn judge(bench: &Bench, state: &State, out: &mut [f64]) {
    let problem = bench.given.problem;
    out[0] = strict_miss(problem, state).0;
    let mut path = TubePath::default();
    out[1] = 0.0;
    for (i, run) in state.runs.iter().enumerate() {
        lay(problem, i, run, &state.moves, &mut path);
        out[1] += path.turn();
    }
}
