//! Solves the generated instances and prints a table: `cargo run --release --example measure -- [family] [seeds] [steps]`.

#[path = "../tests/generator/mod.rs"]
mod generator;

use std::time::Instant;

fn main() {
    let mut args = std::env::args().skip(1);
    let wanted = args.next().unwrap_or_default();
    let seeds: u64 = args.next().and_then(|a| a.parse().ok()).unwrap_or(1);
    let mut settings = cutplan::CutSettings::default();
    if let Some(steps) = args.next().and_then(|a| a.parse().ok()) {
        settings.steps = steps;
    }
    println!("instance             runs arcs      cost     bound proven     first  first s   best s    all s");
    for family in generator::FAMILIES.iter().chain(generator::SMALL).filter(|f| f.name.contains(&wanted)) {
        for seed in 1..=seeds {
            let sample = generator::sample(family, seed);
            let job = sample.job();
            let begin = Instant::now();
            let mut first = None;
            let mut best = (f64::INFINITY, 0.0);
            let plan = cutplan::plan(&sample.routes, &job, &settings, &mut |p| {
                let now = begin.elapsed().as_secs_f64();
                first.get_or_insert((p.cost.units(), now));
                if p.cost.units() < best.0 {
                    best = (p.cost.units(), now);
                }
            });
            let seconds = begin.elapsed().as_secs_f64();
            let (first, at) = first.unwrap_or_default();
            match &plan {
                Ok(p) => println!(
                    "{:<20} {:>4} {:>4} {:>9.1} {:>9.1} {:>6} {:>9.1} {:>8.3} {:>8.3} {:>8.3}",
                    sample.name,
                    family.runs,
                    family.arcs,
                    p.cost.units(),
                    p.lower_bound.units(),
                    p.proven,
                    first,
                    at,
                    best.1,
                    seconds
                ),
                Err(e) => println!("{:<20} {e}", sample.name),
            }
            if let Ok(p) = &plan {
                let runs = cutplan::centrelines(&sample.routes).expect("routes are tubes");
                if let Err(faults) = cutplan::recount(p, &runs, &job) {
                    println!("  FAULTS {faults:?}");
                }
            }
        }
    }
}
