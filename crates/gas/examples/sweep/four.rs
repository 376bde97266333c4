//! An invented engine of two litres, as the example `sweep` and the tests run it.

use std::f64::consts::PI;

use gas::cylinder::{Burn, Geometry, ValveGear};
use gas::engine::{Engine, Friction, Link, Merging, Pipe};

/// Four cylinders of four valves with a 4-into-1 header; `primary` is the length of its primaries, m.
pub fn four(primary: f64) -> Engine {
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
        merging: vec![Merging { junction: 0, trunk: pipes.len() - 1, lean: 10.0 * deg }],
        pipes,
        surroundings: vec![[1.01325e5, 300.0, 0.0]],
        plenums: vec![],
        reference: [1.01325e5, 300.0],
    }
}
