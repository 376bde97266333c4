//! A four-cylinder engine with a 4-into-1 header, 20 speeds: torque and time, for `bench/gas`.
//!
//! `cargo run --release -p gas --example sweep -- [cell in mm]`

use std::f64::consts::PI;
use std::time::Instant;

use gas::cycle::{Settings, Sweep};
use gas::cylinder::{Burn, Geometry, ValveGear};
use gas::engine::{Engine, Friction, Link, Pipe};

fn main() {
    let dx: f64 = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(20.0);
    let engine = four(0.8);
    let started = Instant::now();
    let settings = Settings { dx: dx * 1e-3, ..Settings::default() };
    let mut sweep = Sweep::new(&engine, settings).expect("the engine is sound");
    let (mut updates, mut cycles) = (0, 0);
    for i in 0..20 {
        let rpm = 7500.0 - f64::from(i) * 4500.0 / 19.0;
        let p = sweep.run(rpm, |_, _| true).expect("it runs");
        updates += p.updates;
        cycles += p.cycles;
        println!(
            "{rpm:6.0} rpm {:7.2} Nm  VE {:.4}  pumping {:6.0} Pa  exhaust {:4.0} K peak {:.0} kPa cycles {} {}",
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

/// An invented engine: 2 litres, four cylinders, four valves each.
fn four(primary: f64) -> Engine {
    let deg = PI / 180.0;
    let pipe = |ends, length, d: f64, hot: bool| Pipe {
        ends,
        profile: vec![(0.0, d)],
        length,
        bends: vec![],
        roughness: 30e-6,
        wall_k: if hot { 800.0 } else { 320.0 },
        heat_factor: 2.0,
        start: if hot { [1.05e5, 900.0, 1.0] } else { [1.0e5, 300.0, 0.0] },
    };
    let mut pipes = Vec::new();
    for c in 0..4 {
        pipes.push(pipe([Link::Exhaust(c), Link::Junction(0)], primary, 0.041, true));
        pipes.push(pipe([Link::Open(0), Link::Intake(c)], 0.35, 0.045, false));
    }
    let mut collector = pipe([Link::Junction(0), Link::Open(0)], 0.6, 0.057, true);
    collector.profile = vec![(0.0, 0.082), (0.15, 0.057)];
    pipes.push(collector);
    Engine {
        geometry: Geometry { bore: 0.086, stroke: 0.086, rod: 0.144, compression_ratio: 11.0 },
        firing: [0.0, 3.0, 1.0, 2.0].map(|k| k * PI).to_vec(),
        exhaust: ValveGear {
            count: 2,
            diameter: 0.029,
            lift: 0.0098,
            opens: PI - 62.0 * deg,
            closes: 2.0 * PI + 26.0 * deg,
            timed_at_lift: 0.0,
            discharge: 0.7,
        },
        intake: ValveGear {
            count: 2,
            diameter: 0.034,
            lift: 0.0103,
            opens: 2.0 * PI - 28.0 * deg,
            closes: 3.0 * PI + 64.0 * deg,
            timed_at_lift: 0.0,
            discharge: 0.7,
        },
        burn: Burn { start: -22.0 * deg, duration: 55.0 * deg, a: 5.0, m: 2.0, heat: 2.6e6 },
        wall_k: 450.0,
        friction: Friction { base: 0.4e5, by_peak: 0.005, by_speed: 0.09e5, by_square: 9e-4 * 1e5 },
        pipes,
        surroundings: vec![[1.01325e5, 300.0, 0.0]],
        plenums: vec![],
        reference: [1.01325e5, 300.0],
    }
}
