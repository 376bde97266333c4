//! Times a header of eight primaries and two secondaries: heat, frame, static solution and modes; then every single change.
//!
//! `cargo run --release -p strength --example speed`. The header is invented; what is timed is printed, the least of five runs.

use std::time::Instant;

use geom::{Centreline, Vec3};
use strength::frame::{Body, End, Fitting, Frame, Hold, Slide, Tube};
use strength::heat::{HotTube, Outside};
use strength::help::{Helper, Place, mark};
use strength::material::Material;
use strength::modes::modes;
use strength::section::{Flexibility, Section};
use strength::table::Table;

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

/// Metal along a tube, K over m.
fn heated(length: f64, gas: f64) -> Table {
    let tube = HotTube {
        section: SECTION,
        length,
        mass_flow: 0.03,
        gas_in: gas,
        gas: None,
        gas_cp: vec![893.7, 0.510_74, -1.245_1e-4],
        inside: 180.0,
        outside: Outside { transfer: 30.0, emissivity: 0.8, air: 353.0, surroundings: 353.0, wrap: None },
        conductivity: Table::constant(21.0),
        flange: 523.0,
    };
    let solved = tube.solve().expect("it settles");
    solved.wall_table().expect("finite temperatures")
}

fn body(at: [f64; 3]) -> Body {
    Body {
        at: Vec3::from_array(at) / 1000.0,
        held: false,
        growth: 0.011,
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

fn least(what: &str, mut work: impl FnMut()) {
    let mut best = f64::INFINITY;
    for _ in 0..5 {
        let begun = Instant::now();
        work();
        best = best.min(begun.elapsed().as_secs_f64());
    }
    println!("{what}: {:.1} ms", 1000.0 * best);
}

fn main() {
    least("heat of ten tubes and the header", || drop(header()));
    let frame = header();
    least("frame put together", || drop(frame.system().expect("a sound header")));
    least("frame put together and solved", || drop(frame.stand().expect("a sound header")));
    let system = frame.system().expect("a sound header");
    least("eight modes", || drop(modes(&system, 8).expect("a sound header")));
    least("every single change", || {
        let mut marked = frame.clone();
        for tube in 0..10 {
            for (from, to) in [(0.03, 0.1), (0.3, 0.4)] {
                mark(&mut marked, tube, 0.5 * (from + to));
            }
        }
        let stiff = cold(&marked);
        let helper = Helper::of(&marked, &stiff, 1.3).expect("a sound header");
        let mut count = 0;
        for place in helper.places().into_iter().chain([Place::Body(0), Place::Body(1)]) {
            let trial = helper.trial(place).expect("a node");
            for stiffness in [[1e6, 1e6], [0.0, 1e6], [1e6, 0.0]] {
                count += usize::from(trial.with(&Hold { along: Vec3::X, stiffness }).stress_per_g > 0.0);
            }
        }
        for (tube, at) in (0..10).flat_map(|t| [(t, 0.065), (t, 0.35)]) {
            count += usize::from(helper.slip(tube, at, Slide::default()).is_some());
        }
        let slips =
            marked.tubes.iter().flat_map(|t| &t.fittings).filter(|(_, f)| matches!(f, Fitting::Mass(_))).count();
        println!("  {count} changes, {slips} of them slip joints");
    });
}
