//! Solves the generated instances, or the job in a folder by its routes, and prints a table:
//! `cargo run --release --example measure -- [family | folder] [seeds] [steps]`.

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
    println!(
        "instance             runs arcs      cost     bound proven    first first s  by 0.3 s   best s  yield  offcut    all s"
    );
    let folder = std::path::Path::new(&wanted);
    if folder.join("job.toml").is_file() {
        let opened = job::open(&job::Folder::of(folder)).unwrap_or_else(|p| panic!("{p}"));
        let routes = job::open_routes(&job::Folder::of(folder), &opened.job).unwrap_or_else(|p| panic!("{p}"));
        let (routes, _) = routes.unwrap_or_default();
        line(&opened.job.name, &routes, &cutplan::CutJob::of(&opened.job), &settings);
        return;
    }
    for family in generator::FAMILIES.iter().chain(generator::SMALL).filter(|f| f.name.contains(&wanted)) {
        for seed in 1..=seeds {
            let sample = generator::sample(family, seed);
            line(&sample.name, &sample.routes, &sample.job(), &settings);
        }
    }
}

/// Solves one instance and prints its line of the table.
fn line(name: &str, routes: &job::routes::Routes, job: &cutplan::CutJob<'_>, settings: &cutplan::CutSettings) {
    let begin = Instant::now();
    let mut first = None;
    let (mut best, mut soon) = ((f64::INFINITY, 0.0), f64::INFINITY);
    let mut monitor = job::Monitor::reporting(|p: &cutplan::CutPlan| {
        let now = begin.elapsed().as_secs_f64();
        first.get_or_insert((p.cost.units(), now));
        if now <= 0.3 {
            soon = p.cost.units();
        }
        if p.cost.units() < best.0 {
            best = (p.cost.units(), now);
        }
    });
    let plan = cutplan::plan(routes, job, settings, &mut monitor);
    drop(monitor);
    let seconds = begin.elapsed().as_secs_f64();
    let plan = match plan {
        Ok(plan) => plan,
        Err(e) => return println!("{name:<20} {e:?}"),
    };
    let runs = cutplan::centrelines(routes).expect("routes are tubes");
    let arcs: usize = runs.iter().map(|(_, line)| line.bends().count()).sum();
    let offcut = plan.offcuts.iter().map(|o| o.at[1] - o.at[0]).fold(0.0, f64::max);
    let (first, at) = first.unwrap_or_default();
    println!(
        "{name:<20} {:>4} {arcs:>4} {:>9.1} {:>9.1} {:>6} {first:>9.1} {at:>8.3} {soon:>9.1} {:>8.3} {:>6.3} {offcut:>7.1} {seconds:>8.3}",
        runs.len(),
        plan.cost.units(),
        plan.lower_bound.units(),
        plan.proven,
        best.1,
        plan.yield_ratio(),
    );
    if let Err(faults) = cutplan::recount(&plan, &runs, job) {
        println!("  FAULTS {faults:?}");
    }
}
