//! Times a header of eight primaries and two secondaries: heat, frame, static solution and modes; a bracket moved; every single change.
//!
//! `cargo run --release -p strength --example strength_times [FOLDER]`. The header is invented; processor time is printed. In FOLDER the
//! header (frame.json, bracket.json) and the heat of a primary (heat.json) are left in the forms of `checks/strength/cases`, with our
//! figures, for `bench/strength.py`.

use std::path::Path;
use std::time::Instant;

use geom::{Centreline, Vec3};
use serde_json::{Value, json};
use strength::frame::{Body, End, Fitting, Frame, Hold, Slide, Tube};
use strength::heat::{HotTube, Outside};
use strength::help::{Helper, Place, mark};
use strength::material::Material;
use strength::modes::modes;
use strength::section::{Flexibility, Section};
use strength::stress::worst_range;
use strength::table::Table;

/// A collector's metal, K.
const COLLECTOR: f64 = 873.15;

/// 0 degrees Celsius, K.
const ZERO_C: f64 = 273.15;

/// Stress factor of the welds at both ends of a tube.
const END_WELD: f64 = 1.3;

/// Modes that are reported.
const MODES: usize = 8;

const SECTION: Section = Section { od: 0.04445, wall: 0.00165 };

fn material() -> Material {
    let young = [(293.15, 200e9), (573.15, 179e9), (773.15, 165e9), (973.15, 142e9)];
    let expansion = [(293.15, 15.7e-6), (573.15, 17e-6), (773.15, 18e-6), (973.15, 18.7e-6)];
    Material {
        young: Table::new(young.to_vec()).expect("rows that increase"),
        poisson: 0.3,
        density: 7900.0,
        expansion: Table::new(expansion.to_vec()).expect("rows that increase"),
        reference: 293.15,
    }
}

/// A tube with gas in it; `inside`: heat transfer to its wall, W/m2K.
fn hot_tube(length: f64, gas: f64, inside: f64) -> HotTube {
    HotTube {
        section: SECTION,
        length,
        mass_flow: 0.03,
        gas_in: gas,
        gas: None,
        gas_cp: vec![893.7, 0.510_74, -1.245_1e-4],
        inside,
        outside: Outside { transfer: 30.0, emissivity: 0.8, air: 353.0, surroundings: 353.0, wrap: None },
        conductivity: Table::constant(21.0),
        flange: 523.0,
    }
}

/// Metal along a tube, K over m: the middle of three heat transfers, as every job's tube is solved.
fn heated(length: f64, gas: f64) -> Table {
    let solved = [120.0, 180.0, 260.0].map(|inside| hot_tube(length, gas, inside).solve().expect("it settles"));
    solved[1].wall_table().expect("finite temperatures")
}

fn body(at: [f64; 3]) -> Body {
    Body {
        at: Vec3::from_array(at) / 1000.0,
        held: false,
        growth: material().growth(COLLECTOR),
        mass: 1.2,
        offset: Vec3::new(0.05, 0.0, -0.03),
        inertia: [0.0; 3],
        spring: [0.0; 6],
        holds: Vec::new(),
        load: [0.0; 6],
    }
}

fn tube(points: &[[f64; 3]], ends: (End, End), gas: f64) -> Tube {
    let points: Vec<Vec3> = points.iter().map(|p| Vec3::from_array(*p)).collect();
    let line = Centreline::from_points(&points, &vec![66.7; points.len() - 2]).expect("a tube");
    let temperature = heated(line.length() / 1000.0, gas);
    let (start, end) = ends;
    let flexibility = Flexibility::Code;
    Tube { line, section: SECTION, material: material(), flexibility, temperature, start, end, fittings: Vec::new() }
}

/// Two banks of four, each into a collector, each with a secondary that ends free beside the other.
fn header() -> Frame {
    let mut frame =
        Frame { tubes: Vec::new(), bodies: vec![body([-500.0, 260.0, -420.0]), body([-500.0, -260.0, -420.0])] };
    for (bank, side) in [1.0, -1.0].into_iter().enumerate() {
        for k in 0..4 {
            let x = 150.0 - 105.0 * f64::from(k);
            let points = [
                [x, 180.0 * side, 0.0],
                [x, 330.0 * side, -20.0],
                [x - 60.0, (380.0 - 20.0 * f64::from(k)) * side, -240.0 - 10.0 * f64::from(k)],
                [-280.0 - 10.0 * f64::from(k), 300.0 * side, -400.0 + 30.0 * f64::from(k)],
                [-500.0, (260.0 + 25.0 * (f64::from(k) - 1.5)) * side, -420.0],
            ];
            frame.tubes.push(tube(&points, (End::Fixed([0.0; 6]), End::Body(bank)), 1123.0));
        }
    }
    for (bank, side) in [1.0, -1.0].into_iter().enumerate() {
        let points = [[-500.0, 260.0 * side, -420.0], [-800.0, 200.0 * side, -430.0], [-1200.0, 190.0 * side, -430.0]];
        frame.tubes.push(tube(&points, (End::Body(bank), End::Free), 1050.0));
    }
    frame
}

fn cold(frame: &Frame) -> Frame {
    let mut frame = frame.clone();
    frame.tubes.iter_mut().for_each(|t| t.material.young = Table::constant(200e9));
    frame
}

/// The header with a bracket on its third tube.
fn bracketed(at: f64) -> Frame {
    let mut frame = header();
    frame.tubes[2].fittings.push((at, Fitting::Spring([1e6, 1e6, 1e6, 0.0, 0.0, 0.0])));
    frame
}

/// What the page asks for while a bracket is dragged: heat, stress ranges, six modes and what shaking does in each.
fn bracket_moved(at: f64) -> f64 {
    let frame = bracketed(at);
    let stands = cold(&frame).stand().expect("a sound header");
    let ranges = frame.tubes.iter().zip(&stands.stretches).map(|(t, s)| worst_range(&t.section, s, END_WELD).range);
    let system = frame.system().expect("a sound header");
    let found = modes(&system, 6).expect("a sound header");
    let shaken = found.iter().map(|m| system.shake(&frame, m, END_WELD).stress_per_g);
    ranges.chain(shaken).fold(0.0, f64::max)
}

/// Every bracket and slip joint, solved; gives how many.
fn every_change(frame: &Frame) -> usize {
    let mut marked = frame.clone();
    let slips: Vec<(usize, f64)> = (0..10).flat_map(|t| [(t, 0.065), (t, 0.35)]).collect();
    slips.iter().for_each(|(tube, at)| mark(&mut marked, *tube, *at));
    let stiff = cold(&marked);
    let helper = Helper::of(&marked, &stiff, END_WELD).expect("a sound header");
    let mut count = 0;
    for place in helper.places().into_iter().chain([Place::Body(0), Place::Body(1)]) {
        let trial = helper.trial(place).expect("a node");
        for stiffness in [[1e6, 1e6], [0.0, 1e6], [1e6, 0.0]] {
            count += usize::from(trial.with(&Hold { along: Vec3::X, stiffness }).stress_per_g > 0.0);
        }
    }
    count + slips.iter().filter(|(tube, at)| helper.slip(*tube, *at, Slide::default()).is_some()).count()
}

/// Seconds of processor time of this thread (Linux), else none.
fn processor() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(text.split_whitespace().next()?.parse::<f64>().ok()? * 1e-9)
}

/// The mean of as many runs as take half a second.
fn timed(what: &str, mut work: impl FnMut()) {
    let (began, before) = (Instant::now(), processor());
    let mut runs = 0;
    while began.elapsed().as_secs_f64() < 0.5 {
        work();
        runs += 1;
    }
    let seconds = before.zip(processor()).map_or(began.elapsed().as_secs_f64(), |(a, b)| b - a);
    println!("{what}: {:.1} ms", 1000.0 * seconds / f64::from(runs));
}

fn main() {
    let frame = header();
    if let Some(folder) = std::env::args().nth(1) {
        leave(Path::new(&folder), &frame).expect("the folder can be written");
    }
    timed("heat of ten tubes, three heat transfers each", || drop(header()));
    timed("frame put together", || drop(frame.system().expect("a sound header")));
    timed("frame put together without mass and solved", || drop(frame.stand().expect("a sound header")));
    let system = frame.system().expect("a sound header");
    timed("eight modes", || drop(modes(&system, MODES).expect("a sound header")));
    timed("heat, frame and modes", || {
        let system = header().system().expect("a sound header");
        drop((system.stand(), modes(&system, MODES)));
    });
    let mut at = 0.3;
    timed("a bracket moved: heat, both frames, six modes, stresses", || {
        at = if at > 0.5 { 0.3 } else { at + 0.01 };
        assert!(bracket_moved(at) > 0.0);
    });
    let mut count = 0;
    timed("every single change", || count = every_change(&frame));
    println!("  {count} changes");
}

/// Writes the cases with what we make of them.
fn leave(folder: &Path, frame: &Frame) -> std::io::Result<()> {
    for (name, frame) in [("frame.json", frame), ("bracket.json", &bracketed(0.3))] {
        std::fs::write(folder.join(name), case(frame).to_string())?;
    }
    let tube = hot_tube(frame.tubes[0].line.length() / 1000.0, 1123.0, 180.0);
    std::fs::write(folder.join("heat.json"), heat_case(&tube).to_string())
}

fn rows(table: &Table, place: impl Fn(f64) -> f64, figure: impl Fn(f64) -> f64) -> Value {
    table.places().map(|x| json!([place(x), figure(table.at(x))])).collect()
}

/// A frame in the form of the checks, lengths mm and temperatures degrees Celsius.
fn case(frame: &Frame) -> Value {
    let metal = material();
    let celsius = |t: f64| t - ZERO_C;
    let body = |(k, b): (usize, &Body)| {
        let [at, offset] = [b.at, b.offset].map(|v| (1000.0 * v).to_array());
        json!({"name": format!("collector {k}"), "at_mm": at, "temperature_C": celsius(COLLECTOR), "mass_kg": b.mass,
            "mass_offset_mm": offset})
    };
    let end = |end: &End| match end {
        End::Free => json!({}),
        End::Fixed(_) => json!({"fixed": true}),
        End::Body(k) => json!({"body": format!("collector {k}")}),
    };
    let tube = |(k, t): (usize, &Tube)| {
        let (points, radii) = t.line.to_points();
        let points: Vec<[f64; 3]> = points.iter().map(|p| p.to_array()).collect();
        json!({"name": k.to_string(), "od_mm": 1000.0 * SECTION.od, "wall_mm": 1000.0 * SECTION.wall, "points_mm": points,
            "radii_mm": radii, "start": end(&t.start), "end": end(&t.end),
            "temperature_C": rows(&t.temperature, |x| 1000.0 * x, celsius)})
    };
    let bracket = |(k, t): (usize, &Tube)| {
        let spring = |(at, f): &(f64, Fitting)| match f {
            Fitting::Spring(six) => Some(json!({"tube": k.to_string(), "at_mm": 1000.0 * at, "spring_N_per_m": six})),
            _ => None,
        };
        t.fittings.iter().filter_map(spring).collect::<Vec<Value>>()
    };
    let stands = frame.stand().expect("a sound header");
    let found = modes(&frame.system().expect("a sound header"), MODES).expect("a sound header");
    json!({
        "bend_flexibility": "1.65/h",
        "material": {"poisson": metal.poisson, "density_kg_m3": metal.density, "reference_C": celsius(metal.reference),
            "E_GPa": rows(&metal.young, celsius, |e| e / 1e9),
            "mean_alpha_1e-6": rows(&metal.expansion, celsius, |a| a * 1e6)},
        "bodies": frame.bodies.iter().enumerate().map(body).collect::<Vec<_>>(),
        "tubes": frame.tubes.iter().enumerate().map(tube).collect::<Vec<_>>(),
        "brackets": frame.tubes.iter().enumerate().flat_map(bracket).collect::<Vec<_>>(),
        "modes": MODES,
        "ours": {"bodies_m": stands.bodies, "starts_N": stands.ends.iter().map(|e| e[0]).collect::<Vec<_>>(),
            "frequencies_Hz": found.iter().map(|m| m.frequency).collect::<Vec<_>>()},
    })
}

/// A tube's heat in the form of the checks.
fn heat_case(tube: &HotTube) -> Value {
    let places = [5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 400.0];
    let solved = tube.solve().expect("it settles");
    let wall: Vec<f64> = places.iter().map(|s| solved.wall(s / 1000.0) - ZERO_C).collect();
    json!({
        "od_mm": 1000.0 * SECTION.od, "wall_mm": 1000.0 * SECTION.wall, "length_mm": 1000.0 * tube.length,
        "mass_flow_kg_s": tube.mass_flow, "gas_in_C": tube.gas_in - ZERO_C, "gas_cp_J_kgK_poly_of_K": tube.gas_cp,
        "inside_W_m2K": tube.inside, "outside_W_m2K": tube.outside.transfer, "emissivity": tube.outside.emissivity,
        "air_C": tube.outside.air - ZERO_C, "surroundings_C": tube.outside.surroundings - ZERO_C,
        "wall_conductivity_W_mK": rows(&tube.conductivity, |t| t - ZERO_C, |k| k), "flange_C": tube.flange - ZERO_C,
        "stations_mm": places, "ours_wall_C": wall,
    })
}
