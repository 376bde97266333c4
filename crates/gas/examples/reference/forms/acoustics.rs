//! Small pulses: what a step and a junction reflect, and at which frequencies pipes ring.

use gas::field::State;
use gas::medium::Perfect;
use gas::network::{End, Network, plain_duct};
use serde_json::{Value, json};

use super::{Answer, Form, each_at, number, numbers, with};

const GAMMA: f64 = 1.4;
const P: f64 = 1e5;
/// Height of the pulses over the pressure: small enough to be linear.
const SMALL: f64 = 1e-5;

pub fn acoustics(file: &Value) -> Answer {
    let mut values = serde_json::Map::new();
    let forms: [(&str, Form); 4] = [
        ("area_step", area_step),
        ("junction", junction),
        ("quarter_wave", quarter_wave),
        ("header_modes", header_modes),
    ];
    for (key, form) in forms {
        if let Some(v) = each_at(file, key, form)? {
            values.insert(key.into(), v);
        }
    }
    Ok(with(file, Value::Object(values)))
}

/// A gas at rest whose speed of sound is `c`, and its density.
fn still(c: f64) -> (Perfect, f64) {
    (Perfect { gamma: GAMMA, r: 287.0 }, GAMMA * P / (c * c))
}

/// A wave of pressure `dp` running along the pipe (`way` 1) or against it (-1).
fn wave(rho: f64, c: f64, dp: f64, way: f64) -> State {
    State { rho: rho + dp / (c * c), u: way * dp / (rho * c), p: P + dp, burned: 0.0 }
}

/// Sends a pulse down pipe 0 of a junction of pipes of 1 m; pressure that comes back and that goes into pipe 1, over it.
fn pulse(areas: &[f64]) -> [f64; 2] {
    let c = 340.0;
    let (gas, rho) = still(c);
    let n = 200;
    let ducts: Vec<_> = areas.iter().map(|a| plain_duct(1.0, n, *a)).collect();
    let ends = (0..areas.len())
        .map(|k| if k == 0 { [End::Endless, End::Junction(0)] } else { [End::Junction(0), End::Endless] });
    let shape = |x: f64| SMALL * P * (-((x - 0.5) / 0.08).powi(2)).exp();
    let mut net = Network::new(gas, &ducts, ends.collect(), |k, i| {
        let x = (i as f64 + 0.5) / n as f64;
        wave(rho, c, if k == 0 { shape(x) } else { 0.0 }, 1.0)
    });
    let sent: f64 = (0..n).map(|i| net.field.cell(0, i).p - P).sum();
    while net.time < 1.0 / c {
        net.step(net.longest_step());
    }
    let sum = |k: usize| (0..n).map(|i| net.field.cell(k, i).p - P).sum::<f64>() / sent;
    [sum(0), sum(1)]
}

fn area_step(item: &Value) -> Answer {
    let [r, t] = pulse(&[number(item, "A1")?, number(item, "A2")?]);
    Ok(with(item, json!({"R_p": r, "T_p": t})))
}

fn junction(item: &Value) -> Answer {
    let mut areas = numbers(item, "areas")?;
    let incident = number(item, "incident")? as usize;
    if incident >= areas.len() || areas.len() < 2 {
        return Err("two areas at least, and \"incident\" one of them".into());
    }
    areas.swap(0, incident);
    let [r, t] = pulse(&areas);
    Ok(with(item, json!({"R_p": r, "T_p": t})))
}

/// Cells of a pipe that rings.
fn ringing_cells(length: f64, dx: f64) -> usize {
    ((length / dx).round() as usize).max(8)
}

/// The lowest `count` frequencies of `signal` taken every `dt` seconds: peaks of its spectrum under a four-term
/// Blackman-Harris window (side lobes below 1e-4), each made fine by a parabola.
fn peaks(signal: &[f64], dt: f64, count: usize, highest: f64) -> Vec<f64> {
    let n = signal.len();
    let mean = signal.iter().sum::<f64>() / n as f64;
    let tau = std::f64::consts::TAU;
    let windowed: Vec<f64> = (0..n)
        .map(|i| {
            let a = tau * i as f64 / n as f64;
            (signal[i] - mean) * (0.35875 - 0.48829 * a.cos() + 0.14128 * (2.0 * a).cos() - 0.01168 * (3.0 * a).cos())
        })
        .collect();
    let power = |f: f64| {
        // Goertzel's recurrence.
        let w = 2.0 * (tau * f * dt).cos();
        let (mut a, mut b) = (0.0, 0.0);
        for x in &windowed {
            (a, b) = (x + w * a - b, a);
        }
        (a * a + b * b - w * a * b).max(1e-300).ln()
    };
    let step = 0.5 / (n as f64 * dt);
    let bins: Vec<f64> = (1..(highest / step) as usize).map(|i| power(i as f64 * step)).collect();
    let top = bins.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    // Six bins are the width of the window's main lobe.
    let is_peak = |i: &usize| {
        let near = i.saturating_sub(4)..(i + 5).min(bins.len());
        bins[*i] > top - 14.0 && near.into_iter().all(|j| bins[j] <= bins[*i])
    };
    let fine = |i: usize| {
        let (l, m, r) = (bins[i - 1], bins[i], bins[i + 1]);
        (i as f64 + 1.0 + 0.5 * (l - r) / (l - 2.0 * m + r)) * step
    };
    (1..bins.len() - 1).filter(is_peak).map(fine).take(count).collect()
}

/// Lets pipes of equal speed of sound ring after `start(pipe, x)` Pa, and listens at the start of pipe 0.
fn ring(
    lengths: &[(f64, f64)],
    ends: Vec<[End; 2]>,
    c: f64,
    time: f64,
    dx: f64,
    start: impl Fn(usize, f64) -> f64,
) -> (Vec<f64>, f64) {
    let (gas, rho) = still(c);
    let ducts: Vec<_> = lengths.iter().map(|(l, a)| plain_duct(*l, ringing_cells(*l, dx), *a)).collect();
    let cell: Vec<f64> = ducts.iter().map(|d| d.dx).collect();
    let mut net = Network::new(gas, &ducts, ends, |k, i| wave(rho, c, start(k, (i as f64 + 0.5) * cell[k]), 0.0));
    net.add_outside(P, P / (gas.r * rho), 0.0);
    let dt = 0.85 * cell.iter().copied().fold(f64::INFINITY, f64::min) / (c * (1.0 + 10.0 * SMALL));
    let mut heard = Vec::new();
    while net.time < time {
        net.step(dt);
        heard.push((net.field.cell(0, 0).p - P) / (SMALL * P));
    }
    (heard, dt)
}

fn quarter_wave(item: &Value) -> Answer {
    let (length, c, radius) = (number(item, "L")?, number(item, "c")?, number(item, "radius")?);
    let count = numbers(item, "f_no_end_correction").map_or(3, |f| f.len());
    let modes = |length: f64| {
        let dx = length / 160.0;
        let width = length / (2.0 * count as f64 + 2.0);
        let time = 120.0 * length / c;
        let (heard, dt) = ring(&[(length, 1e-3)], vec![[End::Closed, End::Open(0)]], c, time, dx, |_, x| {
            SMALL * P * (-(x / width).powi(2)).exp()
        });
        peaks(&heard, dt, count, (2.0 * count as f64 + 0.5) * c / (4.0 * length))
    };
    let corrected = length + 0.6133 * radius;
    Ok(with(item, json!({"f_no_end_correction": modes(length), "f_with_0p6133r": modes(corrected)})))
}

fn header_modes(item: &Value) -> Answer {
    let primaries = number(item, "primaries")? as usize;
    if !(1..=24).contains(&primaries) {
        return Err("1 to 24 primaries are expected".into());
    }
    let c = number(item, "c")?;
    let (l1, a1) = (number(item, "L1")?, number(item, "A1")?);
    let (l2, a2) = (number(item, "L2")?, number(item, "A2")?);
    let count = |key: &str| numbers(item, key).map_or(0, |f| f.len());
    let longest = l1 + l2;
    let highest =
        |key: &str| numbers(item, key).map_or(0.0, |f| f.iter().copied().fold(0.0, f64::max)) + 0.2 * c / longest;
    let dx = c / highest("f_in_phase") / 100.0;
    let width = c / highest("f_in_phase") / 4.0;
    let shape = |x: f64| SMALL * P * (-(x / width).powi(2)).exp();
    let modes = |n: usize, sign: &dyn Fn(usize) -> f64, key: &str| {
        let mut pipes = vec![(l1, a1); n];
        pipes.push((l2, a2));
        let mut ends = vec![[End::Closed, End::Junction(0)]; n];
        ends.push([End::Junction(0), End::Open(0)]);
        let (heard, dt) =
            ring(&pipes, ends, c, 100.0 * longest / c, dx, |k, x| if k < n { sign(k) * shape(x) } else { 0.0 });
        peaks(&heard, dt, count(key), highest(key))
    };
    let together = modes(primaries, &|_| 1.0, "f_in_phase");
    // One against another; a header of one is joined by a second to have such a mode.
    let apart = modes(primaries.max(2), &|k| [1.0, -1.0].get(k).copied().unwrap_or(0.0), "f_out_of_phase");
    Ok(with(item, json!({"f_in_phase": together, "f_out_of_phase": apart})))
}
