//! A map of 20 speeds by 15 lengths of the four-cylinder engine of the example `sweep`, in cells of 30 mm on two threads: time,
//! for `bench/gas`. Speeds are taken by fives, each five from a cold start, as the program does.
//!
//! `cargo run --release -p gas --example gas_map`

#[path = "sweep/four.rs"]
mod four;

use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

use four::four;
use gas::cycle::{Settings, Sweep};

const LENGTHS: usize = 15;
const SPEEDS: usize = 20;
const CHUNK: usize = 5;

fn main() {
    let settings = Settings { dx: 0.030, ..Settings::default() };
    let (next, cycles) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let work = || {
        loop {
            let task = next.fetch_add(1, Ordering::Relaxed);
            let (length, first) = (task / (SPEEDS / CHUNK), task % (SPEEDS / CHUNK) * CHUNK);
            if length >= LENGTHS {
                break;
            }
            let engine = four(0.56 + 0.035 * length as f64);
            let mut sweep = Sweep::new(&engine, settings).expect("the engine is sound");
            for i in first..first + CHUNK {
                let rpm = 3000.0 + 4500.0 * i as f64 / (SPEEDS - 1) as f64;
                let point = sweep.run(rpm, |_, _| true).expect("it runs");
                cycles.fetch_add(point.cycles, Ordering::Relaxed);
            }
        }
    };
    let started = Instant::now();
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(work);
        }
    });
    let s = started.elapsed().as_secs_f64();
    println!("{s:.2} s, {} cycles", cycles.into_inner());
}
