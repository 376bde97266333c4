//! Steady flow through a nozzle.

use gas::field::{At, Duct, State, Wall};
use gas::medium::Perfect;
use gas::network::{End, Network};
use serde_json::{Value, json};

use super::{Answer, cells, cells_of, number, number_after, sound, with};

/// Most steps to the steady state.
const MOST_STEPS: usize = 400_000;
/// Steady when the mass flow of all cells differs by no more than this part.
const STEADY: f64 = 1e-9;

pub fn nozzle(item: &Value) -> Answer {
    let gas = Perfect { gamma: number(item, "gamma")?, r: number(item, "R")? };
    let (p0, t0) = (number(item, "p0")?, number(item, "T0")?);
    let (length, n) = (number(item, "length")?, cells(item, "cells")?);
    let text = item.get("area").and_then(Value::as_str).unwrap_or_default();
    let (base, bend, middle) = (number_after(text, "")?, number_after(text, "+")?, number_after(text, "(x-")?);
    let area = |x: f64| base + bend * (x - middle) * (x - middle);
    let dx = length / n as f64;
    // Faces whose mean is the area at the middle of the cell would not be continuous; the faces are exact.
    let areas = (0..=n).map(|i| area(i as f64 * dx)).collect();
    let duct = Duct { dx, areas, walls: vec![Wall::NONE; n] };
    let exit = item.get("p_exit").and_then(Value::as_f64);
    let last = exit.unwrap_or(0.1 * p0);
    let finish = if exit.is_some() { End::Open(1) } else { End::Endless };
    let mut net = Network::new(gas, &[duct], vec![[End::Open(0), finish]], |_, i| {
        let part = (i as f64 + 0.5) / n as f64;
        let p = p0 * (last / p0).powf(part);
        let t = t0 * (p / p0).powf((gas.gamma - 1.0) / gas.gamma);
        let cp = gas.gamma * gas.r / (gas.gamma - 1.0);
        State { rho: p / (gas.r * t), u: (2.0 * cp * (t0 - t)).max(0.0).sqrt(), p, burned: 0.0 }
    });
    net.add_outside(p0, t0, 0.0);
    net.add_outside(last, t0, 0.0);
    let mut steps = 0;
    while steps < MOST_STEPS {
        for _ in 0..200 {
            net.step(net.longest_step());
        }
        steps += 200;
        let flows: Vec<f64> = [At::Start, At::Finish].iter().map(|a| net.flow(0, *a)[0].abs()).collect();
        let inner: Vec<f64> = (0..n).map(|i| net.field.cell(0, i)).map(|s| s.rho * s.u).collect();
        let spread = (flows[0] - flows[1]).abs() / flows[0];
        if spread < STEADY && inner.iter().all(|m| *m > 0.0) {
            break;
        }
    }
    let column = |pick: &dyn Fn(State) -> f64| cells_of(&net, 0).map(pick).collect::<Vec<f64>>();
    let mach = column(&|s| s.u / sound(&gas, &s));
    let mut values = json!({
        "mdot": net.flow(0, At::Finish)[0],
        "x": (0..n).map(|i| (i as f64 + 0.5) * dx).collect::<Vec<f64>>(),
        "p": column(&|s| s.p),
        "T": column(&|s| s.p / (s.rho * gas.r)),
        "steps": steps,
    });
    if item.get("x_shock").is_some() {
        // Where the Mach number falls through 1 behind the throat.
        let at = (1..n).rfind(|i| mach[i - 1] >= 1.0 && mach[*i] < 1.0);
        let x = at.map(|i| (i as f64 - 0.5 + (mach[i - 1] - 1.0) / (mach[i - 1] - mach[i])) * dx);
        values["x_shock"] = json!(x);
    }
    values["mach"] = json!(mach);
    Ok(with(item, values))
}
