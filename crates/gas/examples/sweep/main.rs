//! A four-cylinder engine with a 4-into-1 header, 20 speeds: torque and time, for `bench/gas`.
//!
//! `cargo run --release -p gas --example sweep -- [cell in mm [tolerance]]`

mod four;

use std::time::Instant;

use four::four;
use gas::cycle::{Settings, Sweep};

fn main() {
    let dx: f64 = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(20.0);
    let tolerance: f64 = std::env::args().nth(2).and_then(|a| a.parse().ok()).unwrap_or(Settings::default().tolerance);
    let engine = four(0.8);
    let started = Instant::now();
    let settings = Settings { dx: dx * 1e-3, tolerance, ..Settings::default() };
    let mut sweep = Sweep::new(&engine, settings).expect("the engine is sound");
    let (mut updates, mut cycles) = (0, 0);
    for i in 0..20 {
        let rpm = 7500.0 - f64::from(i) * 4500.0 / 19.0;
        let p = sweep.run(rpm, |_, _| true).expect("it runs");
        updates += p.updates;
        cycles += p.cycles;
        println!(
            "{rpm:6.0} rpm {:9.4} Nm  VE {:.6}  pumping {:6.0} Pa  exhaust {:4.0} K peak {:.0} kPa cycles {} {}",
            p.torque,
            p.volumetric_efficiency,
            p.pumping,
            p.cylinders[0].exhaust_k,
            p.cylinders[0].peak / 1e3,
            p.cycles,
            p.settled
        );
    }
    let s = started.elapsed().as_secs_f64();
    println!("{s:.3} s, {cycles} cycles, {updates} cell updates, {:.2} ns each", s * 1e9 / updates as f64);
}
