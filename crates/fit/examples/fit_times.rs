//! Times forecast, exact builds, correction and remedies of the examples' runs:
//! `cargo run --release -p fit --example fit_times`.
#![allow(clippy::unwrap_used)]

#[path = "../tests/jobs/mod.rs"]
mod jobs;

use std::time::Instant;

use fit::chain::figure;
use fit::sources::terms;
use fit::{Builds, Freedom, Limit, Shop, Slot, State, correct, forecast, remedies};
use job::fit::Quality;

fn main() {
    let limit = Limit { within: 1.0, angle: 1f64.to_radians() };
    println!("run                          forecast ms  500 builds ms  correction ms  remedies ms");
    for name in jobs::EXAMPLES {
        let (job, runs) = jobs::runs(name);
        for run in runs {
            let shop = Shop::usual(Quality::Usual, run.wall);
            let limits = jobs::limits(&job, &run);
            let ms = |begin: Instant| begin.elapsed().as_secs_f64() * 1000.0;
            let begin = Instant::now();
            let _ = forecast(&run, &shop, limit);
            let forecast_ms = ms(begin);
            let begin = Instant::now();
            let _ = Builds::of(&run, &run.drawn, &terms(&run, &shop), 500, 1);
            let builds_ms = ms(begin);
            let states = (0..run.parts.len()).map(|k| if k == 0 { State::Welded } else { State::Uncut });
            let free = states.map(Freedom::of);
            let freedoms: Vec<Freedom> = free.collect();
            let mut built = run.drawn.clone();
            built[figure(0, Slot::Roll)] += 0.03;
            built[figure(0, Slot::LegIn)] += 2.0;
            let begin = Instant::now();
            let done = correct(&run, &run.drawn, &built, &freedoms, &limits);
            let correct_ms = ms(begin);
            let begin = Instant::now();
            let _ = remedies(&run, &shop, limit, &limits);
            let label = format!("{name} {}", run.id);
            println!(
                "{label:30} {forecast_ms:9.2} {builds_ms:14.2} {correct_ms:14.2} {:12.1}  met {}",
                ms(begin),
                done.met
            );
        }
    }
}
