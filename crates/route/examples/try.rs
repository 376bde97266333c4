//! Scratch.
#[path = "../tests/families/mod.rs"]
mod families;
use oorandom::Rand64;
use route::problem::Problem;
use route::search::{assign, evaluate::Scope, pick::Table, pool, repair, score, state::*};
use std::time::Instant;

fn main() {
    for (name, job) in [
        ("four", families::inline_four(0)),
        ("v8", families::v8_bank(0)),
        ("six", families::inline_six(0)),
        ("turbo", families::turbo(0)),
    ] {
        let t = Instant::now();
        let problem = Problem::new(&job, &[]);
        let rs = RunState { end: 0, clrs: vec![], t: [0.0; 2], free: vec![], via_leg: vec![], legs: vec![] };
        let state =
            State { runs: vec![rs; problem.runs.len()], moves: vec![[0.0; 4]; problem.seats.len()], mids: [0.0; 3] };
        let lens = vec![None; problem.runs.len()];
        let pool = pool::build(&problem, &state, pool::PoolSettings { seed: 1, starts: 12, most_bends: 4 }, &lens);
        println!("{name}: pool {:?}", t.elapsed());
        for row in &pool.rows {
            println!(
                "   {:?} best {:?}",
                row.iter().map(|c| c.len()).collect::<Vec<_>>(),
                row.iter().map(|c| c.first().map(|e| (e.score * 100.0).round() / 100.0)).collect::<Vec<_>>()
            );
        }
        let table = Table::new(&problem, &pool);
        println!("   table {:?}", t.elapsed());
        let open: Vec<Vec<bool>> = pool.rows.iter().map(|r| r.iter().map(|c| !c.is_empty()).collect()).collect();
        let all = assign::assignments(&problem, &open, 1);
        println!("   assignments {} {:?}", all.len(), t.elapsed());
        let mut rng = Rand64::new(7);
        for a in 0..12 {
            let t = Instant::now();
            let mut ranked: Vec<(f64, Vec<_>)> = (0..6)
                .map(|_| {
                    let x = &all[rng.rand_range(0..all.len() as u64) as usize];
                    let x: Vec<_> = x.iter().map(|e| Some(*e)).collect();
                    table.pick(&x, &mut rng, 3)
                })
                .collect();
            ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
            let (price, pick) = ranked.swap_remove(0);
            let mut s = state.clone();
            for (i, e) in pick.iter().enumerate() {
                s.runs[i] = e.unwrap().rs.clone();
            }
            let t1 = t.elapsed();
            let before = score::score(&problem, &s);
            s.mids = [pick.iter().map(|e| e.unwrap().length).sum::<f64>() / pick.len() as f64; 3];
            let scope = Scope { active: (0..problem.runs.len()).collect(), fixed: vec![], joint: true };
            let solved = repair::repair(&problem, &mut s, scope, repair::FRESH, 0.0);
            println!(
                "   {a}: price {price:.2} before {before:.2} worst {:.3} score {:.3} evals {} pick {t1:?} all {:?}",
                solved.worst,
                score::score(&problem, &s),
                solved.evaluations,
                t.elapsed()
            );
        }
    }
}
