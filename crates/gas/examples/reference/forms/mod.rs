//! The forms of reference files, and what reads numbers from them.

pub mod acoustics;
pub mod boundaries;
pub mod nozzle;
pub mod properties;
pub mod tubes;

use gas::field::State;
use gas::medium::{Medium, Perfect};
use gas::network::Network;
use serde_json::{Value, json};

/// What a form computes.
pub type Answer = Result<Value, String>;
/// Computes one item.
pub type Form = fn(&Value) -> Answer;

/// Computes every item of `file`.
pub fn compute(file: &Value) -> Answer {
    let first = file.get(0).unwrap_or(file);
    let has = |key: &str| first.get(key).is_some();
    if has("grids") {
        each(file, tubes::shock_tube)
    } else if has("pulse") {
        each(file, tubes::simple_wave)
    } else if has("definition") {
        each(file, tubes::shu_osher)
    } else if has("area") {
        each(file, nozzle::nozzle)
    } else if has("tables") {
        each(file, properties::properties)
    } else if ["area_step", "junction", "quarter_wave", "header_modes"].iter().any(|k| has(k)) {
        each(file, acoustics::acoustics)
    } else if ["orifice_start", "vessel_blowdown", "fanno", "reflected_shock"].iter().any(|k| has(k)) {
        each(file, boundaries::boundaries)
    } else {
        Err("none of the seven forms: shock tubes, Shu-Osher, simple waves, nozzles, acoustics, boundaries, gas properties".into())
    }
}

fn each(file: &Value, compute: impl Fn(&Value) -> Answer) -> Answer {
    match file {
        Value::Array(items) => Ok(Value::Array(items.iter().map(compute).collect::<Result<_, _>>()?)),
        one => compute(one),
    }
}

/// Computes every item of the list at `key`, when there is one.
pub fn each_at(file: &Value, key: &str, compute: impl Fn(&Value) -> Answer) -> Result<Option<Value>, String> {
    file.get(key).map(|items| each(items, compute)).transpose()
}

/// The number at `key`.
pub fn number(item: &Value, key: &str) -> Result<f64, String> {
    item.get(key).and_then(Value::as_f64).ok_or_else(|| format!("a number is expected at \"{key}\""))
}

/// The numbers at `key`.
pub fn numbers(item: &Value, key: &str) -> Result<Vec<f64>, String> {
    let list = item.get(key).and_then(Value::as_array);
    let list = list.and_then(|l| l.iter().map(Value::as_f64).collect());
    list.ok_or_else(|| format!("a list of numbers is expected at \"{key}\""))
}

/// The whole number at `key`, of cells.
pub fn cells(item: &Value, key: &str) -> Result<usize, String> {
    let n = number(item, key)?;
    if (2.0..=1e6).contains(&n) { Ok(n as usize) } else { Err(format!("2 to 1000000 cells are expected at \"{key}\"")) }
}

/// The item with some values replaced.
pub fn with(item: &Value, values: Value) -> Value {
    let mut item = item.clone();
    if let (Some(old), Value::Object(new)) = (item.as_object_mut(), values) {
        old.extend(new);
        old.insert("provenance".into(), json!("computed by the solver of the crate gas"));
    }
    item
}

/// The text behind `mark`, read as a number up to what cannot be part of one.
pub fn number_after(text: &str, mark: &str) -> Result<f64, String> {
    let at = text.find(mark).ok_or_else(|| format!("\"{mark}\" is expected in \"{text}\""))?;
    let rest = text[at + mark.len()..].trim_start();
    let mut last = ' ';
    let end = rest.find(|c: char| {
        let sign = "+-".contains(c) && (last == ' ' || last == 'e');
        last = c;
        !(sign || c.is_ascii_digit() || ".e".contains(c))
    });
    let word = &rest[..end.unwrap_or(rest.len())];
    word.parse().map_err(|_| format!("a number is expected behind \"{mark}\" in \"{text}\""))
}

/// Steps to the time `until`.
pub fn run<M: Medium>(net: &mut Network<M>, until: f64) {
    while net.time < until * (1.0 - 1e-12) {
        let dt = net.longest_step().min(until - net.time);
        net.step(dt);
    }
}

/// Cells of pipe `k`.
pub fn cells_of<M: Medium>(net: &Network<M>, k: usize) -> impl Iterator<Item = State> + '_ {
    (0..net.field.spans()[k].cells).map(move |i| net.field.cell(k, i))
}

/// Speed of sound of a perfect gas.
pub fn sound(gas: &Perfect, s: &State) -> f64 {
    (gas.gamma * s.p / s.rho).sqrt()
}

/// Mean of cells between two parts of pipe `k`'s length, of what `pick` takes from each.
pub fn mean_between<M: Medium>(net: &Network<M>, k: usize, from: f64, to: f64, pick: impl Fn(State) -> f64) -> f64 {
    let span = net.field.spans()[k];
    let index = |x: f64| ((x / span.dx) as usize).min(span.cells - 1);
    let (a, b) = (index(from), index(to).max(index(from)));
    (a..=b).map(|i| pick(net.field.cell(k, i))).sum::<f64>() / (b - a + 1) as f64
}
