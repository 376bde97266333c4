//! Error and time of the solver on Sod's shock tube, for `bench/gas`: one line of JSON for each number of cells.
//!
//! `cargo run --release -p gas --example gas_times -- 60 260 1000`

use std::time::Instant;

use gas::field::State;
use gas::medium::{Medium, Mixture, Perfect};
use gas::network::{End, Network, plain_duct};

fn main() {
    let cells: Vec<usize> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let perfect = Perfect { gamma: 1.4, r: 1.0 };
    for n in if cells.is_empty() { vec![60, 260, 1000] } else { cells } {
        let (mut best, mut l1, mut steps) = (f64::INFINITY, 0.0, 0);
        for _ in 0..(200_000 / n).clamp(5, 400) {
            let mut net = tube(perfect, n, 1.0);
            let started = Instant::now();
            steps = run(&mut net, 0.2);
            best = best.min(started.elapsed().as_secs_f64());
            l1 = error(&net, n);
        }
        let ns = best * 1e9 / (steps * n) as f64;
        let real = real_gas(n);
        println!(
            "{}",
            serde_json::json!({"cells": n, "steps": steps, "l1_rho": l1, "ns_per_cell_update": ns, "ns_with_real_gas_and_walls": real})
        );
    }
}

fn tube<M: Medium>(medium: M, n: usize, scale: f64) -> Network<M> {
    Network::new(medium, &[plain_duct(1.0, n, 1.0)], vec![[End::Endless; 2]], |_, i| {
        let left = 2 * i < n;
        let (rho, p) = if left { (1.0, 1.0) } else { (0.125, 0.1) };
        State { rho, u: 0.0, p: p * scale, burned: 0.0 }
    })
}

fn run<M: Medium>(net: &mut Network<M>, until: f64) -> usize {
    let mut steps = 0;
    while net.time < until * (1.0 - 1e-12) {
        let dt = net.longest_step().min(until - net.time);
        net.step(dt);
        steps += 1;
    }
    steps
}

/// Exact density of Sod's problem at t = 0.2, averaged over cells by 64 points.
fn error<M: Medium>(net: &Network<M>, n: usize) -> f64 {
    (0..n)
        .map(|i| {
            let exact: f64 = (0..64).map(|k| sod((i as f64 + (k as f64 + 0.5) / 64.0) / n as f64)).sum();
            (net.field.cell(0, i).rho - exact / 64.0).abs()
        })
        .sum::<f64>()
        / n as f64
}

fn sod(x: f64) -> f64 {
    let (g, p, u) = (1.4_f64, 0.303_130_178_051, 0.927_452_620_049);
    let c = g.sqrt();
    let xi = (x - 0.5) / 0.2;
    let tail = u - c * (p_power(p, g));
    let m = (g - 1.0) / (g + 1.0);
    let ratio: f64 = p / 0.1;
    let right = 0.125 * (ratio + m) / (m * ratio + 1.0);
    let shock = u * right / (right - 0.125);
    if xi < -c {
        1.0
    } else if xi < tail {
        (2.0 / (g + 1.0) - (g - 1.0) / (g + 1.0) * xi / c).powf(2.0 / (g - 1.0))
    } else if xi < u {
        p.powf(1.0 / g)
    } else if xi < shock {
        right
    } else {
        0.125
    }
}

fn p_power(p: f64, g: f64) -> f64 {
    p.powf((g - 1.0) / (2.0 * g))
}

/// Nanoseconds per cell update with the mixture's equation of state, friction and heat.
fn real_gas(n: usize) -> f64 {
    let mut duct = plain_duct(1.0, n, 1.3e-3);
    for wall in &mut duct.walls {
        *wall = gas::field::Wall { friction: None, temperature: Some(700.0), heat_factor: 2.3, ..*wall };
    }
    let mut best = f64::INFINITY;
    for _ in 0..20 {
        let gas = Mixture::air_and_octane();
        let mut net = Network::new(gas, std::slice::from_ref(&duct), vec![[End::Closed; 2]], |_, i| {
            let left = 2 * i < n;
            let (rho, p) = if left { (0.8, 2.5e5) } else { (0.4, 1.0e5) };
            State { rho, u: 0.0, p, burned: 1.0 }
        });
        let started = Instant::now();
        let steps = 20_000 / n + 200;
        for _ in 0..steps {
            let dt = net.longest_step();
            net.step(dt);
        }
        best = best.min(started.elapsed().as_secs_f64() * 1e9 / (steps * n) as f64);
    }
    best
}
