//! The least costs of small instances found by an exact model outside (checks/cut-optima).

mod generator;

use std::path::PathBuf;

use cutplan::{CutJob, CutSettings};
use geom::Vec3;
use job::Monitor;
use job::model::{BendStock, Cost, CutPer, KerfAt, Money, Saw, Stock, StraightStock, Tube};
use job::routes::{Route, Routes, RunId};
use serde_json::Value;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../checks/cut-optima")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn routes(given: &Value) -> Routes {
    let runs = given["runs"].as_array().expect("runs");
    let route = |(i, run): (usize, &Value)| Route {
        run: RunId::Primary { cylinder: i as u32 + 1 },
        collector: String::new(),
        inlet: 0,
        points: run["points"]
            .as_array()
            .expect("points")
            .iter()
            .map(|p| Vec3::new(number(&p[0]), number(&p[1]), number(&p[2])))
            .collect(),
        radii: run["radii"].as_array().expect("radii").iter().map(number).collect(),
        locked: false,
    };
    Routes { runs: runs.iter().enumerate().map(route).collect(), collectors: Vec::new() }
}

fn stock(given: &Value, tube: &Tube) -> Stock {
    let count = |v: &Value| v["count"].as_u64().map(|c| c as u32);
    let price = |v: &Value| Money(v["price"].as_i64().expect("a price"));
    let bends = given["bends"].as_array().expect("bends").iter().map(|b| BendStock {
        name: "bend".into(),
        od: tube.od,
        wall: tube.wall,
        clr: number(&b["clr"]),
        angle: number(&b["angle_deg"]).to_radians(),
        legs: [number(&b["legs"][0]), number(&b["legs"][1])],
        price: price(b),
        count: count(b),
    });
    let sticks = given["sticks"].as_array().expect("sticks").iter().map(|s| StraightStock {
        name: "stick".into(),
        od: tube.od,
        wall: tube.wall,
        length: number(&s["length"]),
        price: price(s),
        count: count(s),
    });
    Stock { bends: bends.collect(), straights: sticks.collect(), remnants: Vec::new() }
}

#[test]
fn small_instances_cost_what_the_exact_model_says() {
    let table = std::fs::read_to_string(folder().join("expected.csv")).expect("expected.csv is there");
    let (mut compared, mut proven_by_saw) = (0, 0);
    for line in table.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let name = format!("{}, a cut a {}", cells[0], cells[1]);
        let text = std::fs::read_to_string(folder().join(format!("given/{}.json", cells[0]))).expect("given");
        let given: Value = serde_json::from_str(&text).expect("json");
        let tube =
            Tube { od: number(&given["od"]), wall: number(&given["wall"]), material: String::new(), nominal: None };
        let stock = stock(&given, &tube);
        let saw = Saw {
            kerf: number(&given["kerf"]),
            kerf_at: if given["kerf_at"] == "inside" { KerfAt::Inside } else { KerfAt::Centreline },
            min_straight: number(&given["min_straight"]),
            min_arc: number(&given["min_arc_deg"]).to_radians(),
            reserve: None,
        };
        let cost = Cost {
            joint: Money(given["joint"].as_i64().expect("joint")),
            cut: Money(given["cut"].as_i64().expect("cut")),
            cut_per: if cells[1] == "saw" { CutPer::Saw } else { CutPer::Piece },
        };
        let tubes = [&tube; 3];
        let [primary, secondary, tail] = tubes;
        let job = CutJob {
            primary,
            secondary,
            tail,
            stock: &stock,
            shelf: &[],
            saw: &saw,
            cost: &cost,
            ports: &[],
            slips: &[],
            couplings: &[],
            cylinders: 0,
        };
        let settings = CutSettings { steps: 9_000_000, ..CutSettings::default() };
        let plan = cutplan::plan(&routes(&given), &job, &settings, &mut Monitor::silent()).expect("it can be cut");
        let (most, least): (f64, f64) = (cells[2].parse().expect("cost"), cells[3].parse().expect("bound"));
        assert!(
            plan.lower_bound.units() <= most + 1e-3,
            "{name}: bound {} above the optimum {most}",
            plan.lower_bound.units()
        );
        assert!(plan.cost.units() >= least - 1e-2, "{name}: cost {} below the bound {least}", plan.cost.units());
        if cells[4] == "yes" {
            assert!((plan.cost.units() - most).abs() < 1e-2, "{name}: cost {} not {most}", plan.cost.units());
            compared += 1;
        }
        proven_by_saw += usize::from(cells[1] == "saw" && plan.proven);
    }
    assert!(compared >= 33, "only {compared} optima compared");
    assert!(proven_by_saw >= 2, "without legs every saw cut is proven: {proven_by_saw}");
}

#[test]
fn bends_without_straights_are_proven_with_each_saw_cut_charged() {
    let tube = Tube { od: 44.45, wall: 1.65, material: String::new(), nominal: None };
    let bend = BendStock {
        name: "bend".into(),
        od: tube.od,
        wall: tube.wall,
        clr: 76.2,
        angle: std::f64::consts::PI,
        legs: [0.0, 0.0],
        price: Money(24_000),
        count: None,
    };
    let stick = StraightStock {
        name: "stick".into(),
        od: tube.od,
        wall: tube.wall,
        length: 1000.0,
        price: Money(18_000),
        count: None,
    };
    let stock = Stock { bends: vec![bend], straights: vec![stick], remnants: Vec::new() };
    let saw = Saw { kerf: 1.6, kerf_at: KerfAt::Inside, min_straight: 12.0, min_arc: 0.09, reserve: None };
    let cost = Cost { joint: Money(14_000), cut: Money(2_500), cut_per: CutPer::Saw };
    let job = CutJob {
        primary: &tube,
        secondary: &tube,
        tail: &tube,
        stock: &stock,
        shelf: &[],
        saw: &saw,
        cost: &cost,
        ports: &[],
        slips: &[],
        couplings: &[],
        cylinders: 0,
    };
    // Three runs of one bend of 130 degrees each: they do not fit on two half circles.
    let (setback, turn) = (76.2 * 65f64.to_radians().tan(), 130f64.to_radians());
    let end = [setback * (1.0 + turn.cos()), setback * turn.sin(), 0.0];
    let run = serde_json::json!({"points": [[0.0, 0.0, 0.0], [setback, 0.0, 0.0], end], "radii": [76.2]});
    let routes = routes(&serde_json::json!({"runs": [run, run, run]}));
    let plan = cutplan::plan(&routes, &job, &CutSettings::default(), &mut Monitor::silent()).expect("it can be cut");
    // Each has a bend of its own and one cut.
    assert_eq!((plan.cost.units(), plan.lower_bound.units(), plan.proven), (79.5, 79.5, true));
}
