//! Single changes against frames that carry them from the start, and what an engine's shake does.

use geom::{Centreline, Vec3};
use strength::frame::{Body, End, Fitting, Frame, Hold, Slide, Tube};
use strength::help::{Helper, Outcome, Place, mark};
use strength::material::Material;
use strength::modes::modes;
use strength::section::{Flexibility, Section};
use strength::shake::QUALITY;
use strength::table::Table;

fn tube(y: f64, hot: f64) -> Tube {
    let points = [(0.0, y, 0.0), (150.0, y, 0.0), (260.0, 0.6 * y, -180.0), (560.0, 0.2 * y, -260.0)].map(Vec3::from);
    Tube {
        line: Centreline::from_points(&points, &[66.7, 66.7]).expect("a sound case"),
        section: Section { od: 0.04445, wall: 0.00165 },
        material: Material {
            young: Table::constant(165e9),
            poisson: 0.3,
            density: 7900.0,
            expansion: Table::constant(18e-6),
            reference: 293.15,
        },
        flexibility: Flexibility::Code,
        temperature: Table::constant(hot),
        start: End::Fixed([0.0; 6]),
        end: End::Body(0),
        fittings: Vec::new(),
    }
}

/// Three tubes of different temperatures into one collector.
fn header() -> Frame {
    let body = Body {
        at: Vec3::new(0.56, 0.0, -0.26),
        held: false,
        growth: 0.01,
        mass: 1.4,
        offset: Vec3::new(0.06, 0.0, -0.02),
        inertia: [0.0; 3],
        spring: [0.0; 6],
        holds: Vec::new(),
        load: [0.0; 6],
    };
    let tubes = vec![tube(120.0, 900.0), tube(0.0, 950.0), tube(-130.0, 980.0)];
    let mut frame = Frame { tubes, bodies: vec![body] };
    mark(&mut frame, 1, 0.07);
    mark(&mut frame, 2, 0.40);
    frame
}

/// What another frame does when nothing is changed in it.
fn afresh(frame: &Frame) -> Outcome {
    Helper::of(frame, frame, 1.3).expect("a sound case").before()
}

fn same(found: &Outcome, whole: &Outcome, shaking: f64) {
    for (a, b) in found.ranges.iter().zip(&whole.ranges) {
        assert!((a.range / b.range - 1.0).abs() < 1e-8 && (a.at - b.at).abs() < 1e-9, "{a:?} {b:?}");
    }
    for (a, b) in found.frequencies.iter().zip(&whole.frequencies) {
        assert!((a / b - 1.0).abs() < 1e-4, "{:?} {:?}", found.frequencies, whole.frequencies);
    }
    assert!((found.stress_per_g / whole.stress_per_g - 1.0).abs() < shaking, "{found:?} {whole:?}");
}

const HOLD: Hold = Hold { along: Vec3::new(0.6, 0.0, 0.8), stiffness: [0.0, 1e6] };

#[test]
fn a_bracket_tried_does_what_a_bracket_built_in_does() {
    let frame = header();
    let helper = Helper::of(&frame, &frame, 1.3).unwrap();
    let mut built = frame.clone();
    built.tubes[2].fittings.push((0.40, Fitting::Hold(HOLD)));
    same(&helper.bracket(Place::Tube(2, 0.40), &HOLD).unwrap(), &afresh(&built), 0.02);
    let mut built = frame.clone();
    built.bodies[0].holds.push(HOLD);
    same(&helper.bracket(Place::Body(0), &HOLD).unwrap(), &afresh(&built), 0.02);
    let growth = helper.growth(Place::Body(0)).unwrap();
    assert!(growth.x > 2e-3 && growth.length() < 2e-2, "{growth}");
    assert!(helper.places().contains(&Place::Tube(1, 0.07)) && helper.bracket(Place::Tube(1, 0.0123), &HOLD).is_none());
}

#[test]
fn a_slip_joint_tried_does_what_one_built_in_does() {
    let frame = header();
    let helper = Helper::of(&frame, &frame, 1.3).unwrap();
    for slide in [Slide::default(), Slide { springs: [2e4, 10.0], push: 50.0 }] {
        let mut built = frame.clone();
        built.tubes[1].fittings.push((0.07, Fitting::Slip(slide)));
        let tried = helper.slip(1, 0.07, slide).unwrap().unwrap();
        same(&tried, &afresh(&built), 1e-3);
        let slides = built.stand().unwrap().slides;
        assert!((tried.slides - slides[0].2).abs() < 1e-9 && slides[0].0 == 1, "{slides:?}");
    }
    let locked = helper.axial(1, 0.07).unwrap();
    assert!(locked.abs() > 50.0, "the middle tube is hotter than its neighbours' mean: {locked}");
}

#[test]
fn one_mass_shaken_is_one_degree_of_freedom() {
    // A mass on a light cantilever: M = Q m g L at the root, along y or z.
    let mut tube = tube(0.0, 293.15);
    tube.line = Centreline::from_points(&[Vec3::ZERO, Vec3::new(300.0, 0.0, 0.0)], &[]).unwrap();
    tube.material.density = 1e-6;
    tube.end = End::Free;
    tube.fittings = vec![(0.3, Fitting::Mass(2.0))];
    let (section, frame) = (tube.section, Frame { tubes: vec![tube], bodies: Vec::new() });
    let system = frame.system().unwrap();
    let mode = &modes(&system, 1).unwrap()[0];
    let shake = system.shake(&frame, mode, 1.0);
    let mass: f64 = shake.shares.iter().map(|g| g * g).sum();
    assert!((mass - 2.0).abs() < 1e-6, "{mass}");
    let expected = QUALITY * 2.0 * 9.806_65 * 0.3 / section.modulus();
    assert!((shake.stress_per_g / expected - 1.0).abs() < 1e-5 && shake.at == (0, 0.0), "{shake:?} {expected}");
}

#[test]
fn one_tube_hotter_is_that_tube_heated() {
    // Expansion and stiffness do not change with the temperature here: 60 K are a strain of 18e-6 x 60.
    let frame = header();
    let tried = Helper::of(&frame, &frame, 1.3).unwrap().hotter(1, 18e-6 * 60.0);
    let mut hot = frame.clone();
    hot.tubes[1].temperature = Table::constant(950.0 + 60.0);
    for (a, b) in tried.iter().zip(&afresh(&hot).ranges) {
        assert!((a.range / b.range - 1.0).abs() < 1e-8 && (a.at - b.at).abs() < 1e-9, "{a:?} {b:?}");
    }
}

#[test]
fn a_bracket_a_hair_from_the_end_of_a_bend_stands_at_it() {
    let mut frame = header();
    let end = frame.tubes[0].line.stations().nth(1).unwrap().0 / 1000.0;
    frame.tubes[0].fittings.push((end, Fitting::Hold(HOLD)));
    let there = afresh(&frame);
    for off in [-3e-4, 4e-5, 3e-4] {
        frame.tubes[0].fittings[0].0 = end + off;
        same(&afresh(&frame), &there, 1e-9);
    }
}
