//! Scratch.
#[path = "../tests/families/mod.rs"]
mod families;
use route::problem::Problem;
use route::search::{drive::Settings, solve::solve};
use std::time::Instant;

fn main() {
    let effort: usize = std::env::args().nth(1).map_or(12, |s| s.parse().unwrap());
    let seeds: u64 = std::env::args().nth(2).map_or(5, |s| s.parse().unwrap());
    let only = std::env::args().nth(3);
    for variant in 0..3 {
        for (name, job) in [
            ("four", families::inline_four(variant)),
            ("v8", families::v8_bank(variant)),
            ("six", families::inline_six(variant)),
            ("turbo", families::turbo(variant)),
        ] {
            if only.as_ref().is_some_and(|o| o != name) {
                continue;
            }
            for seed in 0..seeds {
                let t = Instant::now();
                let problem = Problem::new(&job, &[]);
                let mut log = Vec::new();
                let settings = Settings { seed, effort, rounds: 12, room: 0.0 };
                let out = solve(&problem, None, settings, &mut |c| {
                    log.push((t.elapsed().as_secs_f64(), c.score));
                    true
                });
                let first = log.first().copied().unwrap_or((9.9, 99.0));
                let all = t.elapsed().as_secs_f64();
                let t = Instant::now();
                let again =
                    solve(&problem, Some(&out.answers[0].routes), Settings { effort: 0, ..settings }, &mut |_| true);
                println!(
                    "{name}{variant} seed {seed}: {} first {:.3}s {:.2}  final {:.3} answers {} miss {:?} in {:.2}s again {} {:.1}ms| {}",
                    out.met,
                    first.0,
                    first.1,
                    out.answers[0].score,
                    out.answers.len(),
                    out.miss,
                    all,
                    again.met,
                    t.elapsed().as_secs_f64() * 1e3,
                    log.iter()
                        .step_by(1 + log.len() / 6)
                        .map(|l| format!("{:.1}:{:.2}", l.0, l.1))
                        .collect::<Vec<_>>()
                        .join(" ")
                );
            }
        }
    }
}
