//! Shock tubes, a shock through a wave of density, and a simple wave.

use gas::field::State;
use gas::medium::Perfect;
use gas::network::{End, Network, plain_duct};
use serde_json::{Value, json};

use super::{Answer, cells, cells_of, number, number_after, numbers, run, with};

/// Points over which the start is averaged in a cell.
const POINTS: usize = 64;

/// Runs a tube of `length` from `start(x)` and gives rho, u and p by cell.
fn tube(gas: Perfect, length: f64, n: usize, time: f64, start: impl Fn(f64) -> State) -> Vec<State> {
    let dx = length / n as f64;
    // Mean of the conserved quantities over the cell.
    let mean = |i: usize| {
        let (mut rho, mut momentum, mut energy) = (0.0, 0.0, 0.0);
        for k in 0..POINTS {
            let s = start((i as f64 + (k as f64 + 0.5) / POINTS as f64) * dx);
            rho += s.rho;
            momentum += s.rho * s.u;
            energy += s.p / (gas.gamma - 1.0) + 0.5 * s.rho * s.u * s.u;
        }
        let points = POINTS as f64;
        let (rho, u) = (rho / points, momentum / rho);
        State { rho, u, p: (gas.gamma - 1.0) * (energy / points - 0.5 * rho * u * u), burned: 0.0 }
    };
    let duct = plain_duct(length, n, 1.0);
    let mut net = Network::new(gas, &[duct], vec![[End::Endless; 2]], |_, i| mean(i));
    run(&mut net, time);
    cells_of(&net, 0).collect()
}

fn columns(states: &[State]) -> Value {
    let column = |pick: fn(&State) -> f64| states.iter().map(pick).collect::<Vec<f64>>();
    json!({"rho": column(|s| s.rho), "u": column(|s| s.u), "p": column(|s| s.p)})
}

pub fn shock_tube(item: &Value) -> Answer {
    let side = |key: &str| -> Result<State, String> {
        let s = item.get(key).ok_or_else(|| format!("\"{key}\" is missing"))?;
        Ok(State { rho: number(s, "rho")?, u: number(s, "u")?, p: number(s, "p")?, burned: 0.0 })
    };
    let (left, right) = (side("left")?, side("right")?);
    let gas = Perfect { gamma: number(item, "gamma")?, r: 1.0 };
    let (length, x0, time) = (number(item, "length")?, number(item, "x0")?, number(item, "time")?);
    let mut grids = Vec::new();
    let mut finest = Vec::new();
    for grid in item.get("grids").and_then(Value::as_array).into_iter().flatten() {
        let states = tube(gas, length, cells(grid, "cells")?, time, |x| if x < x0 { left } else { right });
        grids.push(with(grid, columns(&states)));
        if states.len() >= finest.len() {
            finest = states;
        }
    }
    let [p_star, u_star] = star(&finest, x0 / length);
    Ok(with(item, json!({"grids": grids, "p_star": p_star, "u_star": u_star})))
}

/// Pressure and velocity between the waves, from the cells near the contact: the median of those within a twentieth of
/// the tube of where the gas of the diaphragm is.
fn star(states: &[State], x0: f64) -> [f64; 2] {
    let n = states.len();
    let middle = (x0 * n as f64) as usize;
    let near = |pick: fn(&State) -> f64| {
        let from = middle.saturating_sub(n / 40);
        let mut values: Vec<f64> = states[from..(middle + n / 40 + 1).min(n)].iter().map(pick).collect();
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    [near(|s| s.p), near(|s| s.u)]
}

pub fn shu_osher(item: &Value) -> Answer {
    let text = item.get("definition").and_then(Value::as_str).unwrap_or_default();
    let left = State {
        rho: number_after(text, "state rho")?,
        u: number_after(text, " u ")?,
        p: number_after(text, " p ")?,
        burned: 0.0,
    };
    let (base, swing) = (number_after(text, "rho=")?, number_after(text, "+")?);
    let (waves, shift) = (number_after(text, "sin(")?, number_after(text, "(x-")?);
    let (x0, length) = (number_after(text, "x0=")?, number_after(text, "L=")?);
    let gas = Perfect { gamma: number(item, "gamma")?, r: 1.0 };
    let states = tube(gas, length, cells(item, "cells")?, number(item, "time")?, |x| {
        if x < x0 {
            left
        } else {
            State { rho: base + swing * (waves * (x - shift)).sin(), u: 0.0, p: 1.0, burned: 0.0 }
        }
    });
    let greatest = states.iter().map(|s| s.rho).fold(0.0, f64::max);
    let mut answer = with(item, columns(&states));
    answer["max_rho"] = json!(greatest);
    Ok(answer)
}

pub fn simple_wave(item: &Value) -> Answer {
    let g = number(item, "gamma")?;
    let (eps, pulse) = (number(item, "eps")?, numbers(item, "pulse")?);
    let [a, b] = pulse[..] else { return Err("two numbers are expected at \"pulse\"".into()) };
    let start = |x: f64| {
        let swing = 1.0 - (std::f64::consts::TAU * (x - a) / (b - a)).cos();
        let u = if x > a && x < b { 0.25 * eps * swing * swing } else { 0.0 };
        let c = 1.0 + 0.5 * (g - 1.0) * u;
        State { rho: g * c.powf(2.0 / (g - 1.0)), u, p: c.powf(2.0 * g / (g - 1.0)), burned: 0.0 }
    };
    let gas = Perfect { gamma: g, r: 1.0 };
    let states = tube(gas, number(item, "length")?, cells(item, "cells")?, number(item, "time")?, start);
    Ok(with(item, columns(&states)))
}
