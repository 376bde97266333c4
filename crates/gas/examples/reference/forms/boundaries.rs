//! Orifice starts, blowdown of a vessel, flow with friction, reflected shocks.

use gas::ends::critical_ratio;
use gas::field::{At, State, Wall};
use gas::medium::Perfect;
use gas::network::{End, Network, plain_duct};
use gas::vessel::Vessel;
use serde_json::{Value, json};

use super::{Answer, Form, each_at, mean_between, number, numbers, run, with};

pub fn boundaries(file: &Value) -> Answer {
    let mut values = serde_json::Map::new();
    let forms: [(&str, Form); 4] = [
        ("orifice_start", orifice_start),
        ("vessel_blowdown", vessel_blowdown),
        ("fanno", fanno),
        ("reflected_shock", reflected_shock),
    ];
    for (key, form) in forms {
        if let Some(v) = each_at(file, key, form)? {
            values.insert(key.into(), v);
        }
    }
    Ok(with(file, Value::Object(values)))
}

fn gas_of(item: &Value) -> Result<Perfect, String> {
    Ok(Perfect { gamma: number(item, "gamma")?, r: number(item, "R").unwrap_or(287.0) })
}

/// Where the pressure falls through the middle between `high` and `low`, looked for from the far end, m.
fn front(net: &Network<Perfect>, high: f64, low: f64) -> f64 {
    let span = net.field.spans()[0];
    // At first the gas is still: rounding is no front.
    if high < 1.01 * low {
        return 0.0;
    }
    let middle = 0.5 * (high + low);
    for i in (1..span.cells).rev() {
        let (a, b) = (net.field.cell(0, i - 1).p, net.field.cell(0, i).p);
        if a >= middle && b < middle {
            return (i as f64 - 0.5 + (a - middle) / (a - b)) * span.dx;
        }
    }
    0.0
}

fn orifice_start(item: &Value) -> Answer {
    let gas = gas_of(item)?;
    let (p0, t0, part) = (number(item, "p0")?, number(item, "T0")?, number(item, "area_ratio")?);
    let (p, t) = (number(item, "pipe_p")?, number(item, "pipe_T")?);
    let still = State { rho: p / (gas.r * t), u: 0.0, p, burned: 0.0 };
    let ends = vec![[End::Nozzle(0, part), End::Endless]];
    let mut net = Network::new(gas, &[plain_duct(1.0, 1000, 1.0)], ends, |_, _| still);
    net.add_outside(p0, t0, 0.0);
    let c = (gas.gamma * gas.r * t).sqrt();
    let step = |net: &mut Network<Perfect>, to: f64| {
        while front(net, net.field.cell(0, 5).p, p) < to {
            net.step(net.longest_step());
            if net.time > 2.0 / c {
                break;
            }
        }
        (front(net, net.field.cell(0, 5).p, p), net.time)
    };
    let (x1, t1) = step(&mut net, 0.45);
    let (x2, t2) = step(&mut net, 0.85);
    let contact = net.field.cell(0, 5).u * t2;
    let (from, to) = (contact + 0.3 * (x2 - contact), x2 - 0.15 * (x2 - contact));
    let temperature = |s: State| s.p / (s.rho * gas.r);
    let p_star = mean_between(&net, 0, from, to, |s| s.p);
    Ok(with(
        item,
        json!({
            "p_star": p_star,
            "u_star": mean_between(&net, 0, from, to, |s| s.u),
            "T_shocked": mean_between(&net, 0, from, to, temperature),
            "T_behind_contact": mean_between(&net, 0, 0.3 * contact, 0.7 * contact, temperature),
            "mass_flux": -net.flow(0, At::Start)[0],
            "shock_speed": (x2 - x1) / (t2 - t1),
            "choked": p_star / p0 < critical_ratio(gas.gamma),
        }),
    ))
}

fn vessel_blowdown(item: &Value) -> Answer {
    let gas = gas_of(item)?;
    let (p0, t0) = (number(item, "p0")?, number(item, "T0")?);
    let (volume, opening) = (number(item, "V")?, number(item, "A_eff")?);
    // Into a wide pipe of low pressure: choked all the time.
    let p = 0.01 * p0;
    let c = (gas.gamma * gas.r * t0).sqrt();
    let times = numbers(item, "times")?;
    let shortest = times.iter().copied().fold(f64::INFINITY, f64::min);
    let dx = 0.01 * shortest * c;
    let still = State { rho: p / (gas.r * t0), u: 0.0, p, burned: 0.0 };
    let ends = vec![[End::Vessel(0, opening), End::Endless]];
    let mut net = Network::new(gas, &[plain_duct(20.0 * dx, 20, 50.0 * opening)], ends, |_, _| still);
    net.vessels.push(Vessel::new(&gas, volume, p0, t0, 0.0));
    let (mut ps, mut ts) = (Vec::new(), Vec::new());
    for time in times {
        run(&mut net, time);
        ps.push(net.vessels[0].p());
        ts.push(net.vessels[0].t());
    }
    Ok(with(item, json!({"p": ps, "T": ts})))
}

fn fanno(item: &Value) -> Answer {
    let gas = gas_of(item)?;
    let (p0, t0, p_exit) = (number(item, "p0")?, number(item, "T0")?, number(item, "p_exit")?);
    let (length, d) = (number(item, "L")?, number(item, "D")?);
    let area = 0.25 * std::f64::consts::PI * d * d;
    let n = 200;
    let mut duct = plain_duct(length, n, area);
    duct.walls = vec![Wall { friction: Some(number(item, "f_darcy")?), ..Wall::NONE }; n];
    let start = State { rho: p_exit / (gas.r * t0), u: 0.0, p: p_exit, burned: 0.0 };
    let mut net = Network::new(gas, &[duct], vec![[End::Open(0), End::Open(1)]], |_, _| start);
    net.add_outside(p0, t0, 0.0);
    net.add_outside(p_exit, t0, 0.0);
    let c = (gas.gamma * gas.r * t0).sqrt();
    run(&mut net, 80.0 * length / c);
    let state = |at: At| net.field.end_state(0, at);
    let mach = |s: State| s.u.abs() / (gas.gamma * s.p / s.rho).sqrt();
    let (first, last) = (state(At::Start), state(At::Finish));
    Ok(with(
        item,
        json!({
            "M_in": mach(first),
            "M_out": mach(last),
            "p_in": first.p,
            "mass_flux": net.flow(0, At::Finish)[0] / area,
        }),
    ))
}

fn reflected_shock(item: &Value) -> Answer {
    let gas = gas_of(item)?;
    let g = gas.gamma;
    let (rho1, p1, mach) = (number(item, "rho1")?, number(item, "p1")?, number(item, "Ms")?);
    let c1 = (g * p1 / rho1).sqrt();
    // The start: the states of both sides of a shock of that Mach number (Rankine-Hugoniot).
    let square = mach * mach;
    let p = p1 * (1.0 + 2.0 * g / (g + 1.0) * (square - 1.0));
    let rho = rho1 * (g + 1.0) * square / ((g - 1.0) * square + 2.0);
    let u = 2.0 * c1 / (g + 1.0) * (mach - 1.0 / mach);
    let n = 800;
    let behind = State { rho, u, p, burned: 0.0 };
    let ahead = State { rho: rho1, u: 0.0, p: p1, burned: 0.0 };
    let ends = vec![[End::Endless, End::Closed]];
    let mut net = Network::new(gas, &[plain_duct(1.0, n, 1.0)], ends, |_, i| if 2 * i < n { behind } else { ahead });
    run(&mut net, 0.4 / (mach * c1));
    let (p2, u2) = (mean_between(&net, 0, 0.6, 0.8, |s| s.p), mean_between(&net, 0, 0.6, 0.8, |s| s.u));
    // Until the reflected shock has run back a quarter of the tube or so.
    run(&mut net, 0.8 / (mach * c1));
    let span = 0.12;
    let p5 = mean_between(&net, 0, 1.0 - span, 0.995, |s| s.p);
    Ok(with(item, json!({"p2": p2, "u2": u2, "p5": p5})))
}
