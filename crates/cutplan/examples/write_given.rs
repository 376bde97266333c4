//! Writes the small instances as JSON for the outside check:
//! `cargo run --release -p cutplan --example write_given -- checks/cut-optima/given`.

#[path = "../tests/generator/mod.rs"]
mod generator;

use job::model::{CutPer, KerfAt, Remnant};
use serde_json::{Value, json};

fn main() {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "checks/cut-optima/given".into());
    for family in generator::SMALL {
        for seed in 1..=3 {
            let sample = generator::sample(family, seed);
            let path = format!("{folder}/{}.json", sample.name);
            let text = serde_json::to_string_pretty(&as_json(&sample)).expect("all numbers are finite");
            std::fs::write(&path, text + "\n").expect("the folder can be written");
        }
    }
}

fn as_json(sample: &generator::Sample) -> Value {
    let runs: Vec<Value> = sample
        .routes
        .runs
        .iter()
        .map(|r| {
            let points: Vec<[f64; 3]> = r.points.iter().map(|p| [p.x, p.y, p.z]).collect();
            json!({"points": points, "radii": r.radii})
        })
        .collect();
    let bend = |b: &job::model::BendStock| json!({"clr": b.clr, "angle_deg": b.angle.to_degrees(), "legs": b.legs, "price": b.price.0, "count": b.count});
    let stick = |s: &job::model::StraightStock| json!({"length": s.length, "price": s.price.0, "count": s.count});
    let mut bends: Vec<Value> = sample.stock.bends.iter().map(bend).collect();
    let mut sticks: Vec<Value> = sample.stock.straights.iter().map(stick).collect();
    for remnant in &sample.stock.remnants {
        match remnant {
            Remnant::Bend(b) => bends.push(bend(b)),
            Remnant::Straight(s) => sticks.push(stick(s)),
        }
    }
    json!({
        "name": sample.name, "od": sample.tube.od, "wall": sample.tube.wall, "runs": runs,
        "bends": bends, "sticks": sticks,
        "kerf": sample.saw.kerf, "kerf_at": if sample.saw.kerf_at == KerfAt::Inside { "inside" } else { "centreline" },
        "min_straight": sample.saw.min_straight, "min_arc_deg": sample.saw.min_arc.to_degrees(),
        "joint": sample.cost.joint.0, "cut": sample.cost.cut.0,
        "cut_per": if sample.cost.cut_per == CutPer::Piece { "piece" } else { "saw" },
    })
}
