//! `cargo run --release -p bench-routing -- [FAMILY…] [--variants 0-2] [--seeds 1-10] [--effort N] [--csv FILE]`:
//! families of invented jobs, each with several variants and seeds: is each met, does the slow recount agree, when does the
//! first answer stand, what is the score. One line for each family; one row for each run in the CSV.

mod settings;
mod table;

use std::time::Instant;

use job::Monitor;
use job::model::Job;
use route::recount::recount;
use route::{RouteSettings, route};

use settings::{FAMILIES, Settings};
use table::Row;

#[path = "../../../crates/route/tests/families/mod.rs"]
#[allow(missing_docs, clippy::unwrap_used)]
mod families;

/// The one of the program that is measured.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() {
    let settings = match Settings::read(std::env::args().skip(1)) {
        Ok(settings) => settings,
        Err(why) => {
            eprintln!("{why}");
            std::process::exit(2);
        }
    };
    let mut rows = Vec::new();
    for (name, make) in FAMILIES.iter().filter(|f| settings.wants(f.0)) {
        for variant in settings.variants.clone() {
            rows.extend(settings.seeds.clone().map(|seed| once(name, *make, variant, seed, settings.effort)));
        }
        let here: Vec<&Row> = rows.iter().filter(|r| r.family == *name).collect();
        table::print(name, &here);
    }
    if let Some(file) = &settings.csv
        && let Err(error) = std::fs::write(file, table::csv(&rows))
    {
        eprintln!("{}: {error}", file.display());
        std::process::exit(2);
    }
}

/// One job routed once: made (with any mesh it has read and indexed), searched, recounted.
fn once(family: &'static str, make: fn(u32) -> Job, variant: u32, seed: u64, effort: usize) -> Row {
    let begun = Instant::now();
    let job = make(variant);
    let mut first = f64::NAN;
    let settings = RouteSettings { seed, effort, ..RouteSettings::default() };
    let mut monitor = Monitor::reporting(|_| {
        if first.is_nan() {
            first = begun.elapsed().as_secs_f64();
        }
    });
    let routed = route(&job, None, settings, &mut monitor);
    drop(monitor);
    let seconds = begun.elapsed().as_secs_f64();
    let answer = routed.answers.first();
    Row {
        family,
        variant,
        seed,
        met: routed.met,
        refused: routed.met && answer.is_none_or(|a| !recount(&job, &a.routes).is_empty()),
        first,
        seconds,
        score: answer.map_or(f64::NAN, |a| a.score),
        bends: answer.map_or(0, |a| a.bends),
        turn: answer.map_or(f64::NAN, |a| a.turn.to_degrees()),
        relaxed: routed.relaxations.first().filter(|r| r.met).map_or(String::new(), |r| format!("{:?}", r.change)),
        spread: answer.map_or(f64::NAN, |a| a.spread),
    }
}
