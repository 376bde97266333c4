//! Scratch.
#[path = "../tests/families/mod.rs"]
mod families;
use route::problem::Problem;
use route::search::drive::{Settings, search};
use std::time::Instant;

fn main() {
    let effort: usize = std::env::args().nth(1).map_or(12, |s| s.parse().unwrap());
    let seeds: u64 = std::env::args().nth(2).map_or(5, |s| s.parse().unwrap());
    let only = std::env::args().nth(3);
    for variant in 0..3 {
    for (name, job) in [("four", families::inline_four(variant)), ("v8", families::v8_bank(variant)), ("six", families::inline_six(variant)), ("turbo", families::turbo(variant))] {
        if only.as_ref().is_some_and(|o| o != name) { continue; }
        for seed in 0..seeds {
            let t = Instant::now();
            let problem = Problem::new(&job, &[]);
            let mut log = Vec::new();
            let found = search(&problem, Settings { seed, effort, rounds: 12, room: 0.0 }, &mut |c| { log.push((t.elapsed().as_secs_f64(), c.score)); true });
            let first = log.first().copied().unwrap_or((9.9, 99.0));
            for c in found.candidates.iter().take(2) {
                let mut st = c.state.clone();
                let scope = route::search::evaluate::Scope { active: (0..problem.runs.len()).collect(), fixed: vec![], joint: true };
                let t2 = Instant::now();
                let w = route::search::polish::polish(&problem, &mut st, &scope, 60, 0.0);
                let dt = t2.elapsed();
                let wts = route::search::evaluate::Weights { turn: 0.0, length: 0.0, margin: 0.0, step: 0.5, room: 0.0 };
                let mut ev = route::search::evaluate::Evaluator::new(&problem, &st, scope, wts);
                ev.cost(&st);
                println!("   polish {:.3} -> {:.3} worst {w:.4} fine {:.5} {dt:?} {:?} {:?}", c.score, route::search::score::score(&problem, &st), ev.sink().worst, ev.sink().worst_tag, (0..4).map(|i| (ev.path(i).length*10.0).round()/10.0).collect::<Vec<_>>());
            }
            let best = &found.candidates.first();
            let ok = found.candidates.iter().filter(|c| c.worst == 0.0).count();
            println!("{name}{variant} seed {seed}: first {:.3}s {:.2}  final {:.2} worst {:.2} holding {ok} in {:.2}s | {}", first.0, first.1, best.map_or(0.0, |b| b.score), best.map_or(9.0, |b| b.worst), t.elapsed().as_secs_f64(),
               log.iter().step_by(1 + log.len()/6).map(|l| format!("{:.1}:{:.2}", l.0, l.1)).collect::<Vec<_>>().join(" "));
        }
    }}
}
