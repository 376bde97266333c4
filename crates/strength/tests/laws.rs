//! Closed forms that can be worked by hand, and laws that hold for any frame.

use std::f64::consts::PI;

use geom::{Centreline, Vec3};
use proptest::prelude::*;
use strength::frame::{Bellows, Body, End, Fitting, Frame, FrameError, Six, Slide, Tube};
use strength::material::Material;
use strength::modes::modes;
use strength::section::{Flexibility, Section};
use strength::table::Table;

const E: f64 = 200e9;

fn metal() -> Material {
    Material {
        young: Table::constant(E),
        poisson: 0.3,
        density: 7900.0,
        expansion: Table::constant(17e-6),
        reference: 293.15,
    }
}

fn tube(points: &[Vec3], radii: &[f64], start: End, end: End) -> Tube {
    Tube {
        line: Centreline::from_points(points, radii).expect("a sound case"),
        section: Section { od: 0.04445, wall: 0.00165 },
        material: metal(),
        flexibility: Flexibility::Code,
        temperature: Table::constant(293.15),
        start,
        end,
        fittings: Vec::new(),
    }
}

fn straight(length: f64, start: End, end: End) -> Tube {
    tube(&[Vec3::ZERO, Vec3::new(length, 0.0, 0.0)], &[], start, end)
}

fn bent(start: End, end: End) -> Tube {
    let points = [(0.0, 0.0, 0.0), (180.0, 0.0, 0.0), (180.0, 150.0, 0.0), (180.0, 150.0, 240.0)].map(Vec3::from);
    tube(&points, &[66.675, 76.2], start, end)
}

const HELD: End = End::Fixed([0.0; 6]);

fn frame(tube: Tube) -> Frame {
    Frame { tubes: vec![tube], bodies: Vec::new() }
}

fn last(frame: &Frame) -> Six {
    frame.stand().expect("a sound case").tubes[0].last().expect("a sound case").1
}

fn inertia() -> f64 {
    Section { od: 0.04445, wall: 0.00165 }.second_moment()
}

#[test]
fn a_cantilever_bends_by_the_cube_of_its_length() {
    // P L^3 / 3 EI and P L / k G A; at the end it turns by P L^2 / 2 EI.
    let mut tube = straight(600.0, HELD, End::Free);
    tube.fittings = vec![(0.6, Fitting::Load([0.0, 100.0, 0.0, 0.0, 0.0, 0.0]))];
    let section = tube.section;
    let shear = 100.0 * 0.6 / (section.shear_factor(0.3) * section.area() * E / 2.6);
    let moved = last(&frame(tube));
    assert!((moved[1] / (100.0 * 0.6_f64.powi(3) / (3.0 * E * inertia()) + shear) - 1.0).abs() < 1e-9);
    assert!((moved[5] / (100.0 * 0.36 / (2.0 * E * inertia())) - 1.0).abs() < 1e-9);
}

#[test]
fn a_heated_bar_between_two_walls_pushes_with_its_whole_growth() {
    // E A alpha dT, whatever its length.
    let mut tube = straight(500.0, HELD, HELD);
    tube.temperature = Table::constant(293.15 + 300.0);
    let force = E * tube.section.area() * 17e-6 * 300.0;
    let ends = frame(tube).stand().expect("a sound case").ends[0];
    assert!((ends[0][0] / force - 1.0).abs() < 1e-9 && (ends[1][0] / force + 1.0).abs() < 1e-9);
}

#[test]
fn a_straight_tube_shakes_at_the_frequencies_of_a_beam() {
    // Clamped and free: (1.8751 / L)^2 sqrt(EI / rho A) / 2 pi, twice, once in each plane; shear and rotary inertia lower it
    // by less than 1 %.
    let frame = frame(straight(600.0, HELD, End::Free));
    let found = modes(&frame.system().expect("a sound case"), 2).expect("a sound case");
    let section = frame.tubes[0].section;
    let beam = (1.875_104_f64 / 0.6).powi(2) * (E * inertia() / (7900.0 * section.area())).sqrt() / (2.0 * PI);
    for mode in &found {
        assert!((0.99..1.0).contains(&(mode.frequency / beam)), "{} for {beam}", mode.frequency);
    }
    assert!((found[0].frequency / found[1].frequency - 1.0).abs() < 1e-9, "both planes alike");
}

#[test]
fn a_mass_on_a_light_tube_is_a_spring_and_a_mass() {
    let mut tube = straight(300.0, HELD, End::Free);
    tube.material.density = 1e-6;
    tube.fittings = vec![(0.3, Fitting::Mass(5.0))];
    let section = tube.section;
    let soft = 0.3_f64.powi(3) / (3.0 * E * inertia()) + 0.3 / (section.shear_factor(0.3) * section.area() * E / 2.6);
    let found = modes(&frame(tube).system().expect("a sound case"), 1).expect("a sound case")[0].frequency;
    assert!((found / (1.0 / (soft * 5.0)).sqrt() * 2.0 * PI - 1.0).abs() < 1e-7, "{found}");
}

#[test]
fn a_slip_joint_takes_up_growth_and_carries_what_lies_across() {
    let mut tube = straight(500.0, HELD, HELD);
    tube.temperature = Table::constant(593.15);
    tube.fittings =
        vec![(0.2, Fitting::Slip(Slide::default())), (0.3, Fitting::Load([0.0, 100.0, 0.0, 0.0, 0.0, 0.0]))];
    let ends = frame(tube).stand().expect("a sound case").ends[0];
    assert!(ends[0][0].abs() < 1e-6, "nothing along it: {}", ends[0][0]);
    assert!((ends[0][1] + ends[1][1] + 100.0).abs() < 1e-6 && ends[0][1] < -10.0);
}

#[test]
fn bellows_give_as_stiff_as_they_are() {
    // 100 mm of 60 N/mm along and 40 N/mm across between a held tube and one whose end is held too: nearly all of a movement is theirs.
    let bellows = Bellows { length: 0.1, axial: 6e4, lateral: 4e4 };
    let force = |moved: Six| {
        let mut tube = straight(200.0, HELD, End::Fixed(moved));
        tube.fittings = vec![(0.05, Fitting::Bellows(bellows))];
        frame(tube).stand().expect("a sound case").ends[0][1]
    };
    let along = force([1e-3, 0.0, 0.0, 0.0, 0.0, 0.0])[0];
    assert!((along / 60.0 - 1.0).abs() < 1e-3, "{along}");
    let across = force([0.0, 1e-3, 0.0, 0.0, 0.0, 0.0])[1];
    assert!((across / 40.0 - 1.0).abs() < 0.01, "{across}");
}

#[test]
fn what_nothing_holds_is_named() {
    assert!(matches!(frame(straight(300.0, End::Free, End::Free)).stand(), Err(FrameError::LooseTube { tube: 0, .. })));
    let mut slipped = straight(300.0, HELD, End::Free);
    slipped.fittings = vec![(0.1, Fitting::Slip(Slide::default()))];
    assert!(matches!(frame(slipped).stand(), Err(FrameError::LooseTube { .. })));
    let mut beyond = straight(300.0, HELD, End::Free);
    beyond.fittings = vec![(0.4, Fitting::Mass(1.0))];
    assert_eq!(frame(beyond).stand(), Err(FrameError::BeyondTube { tube: 0, at: 0.4 }));
}

fn six() -> impl Strategy<Value = Six> {
    prop::array::uniform6(-1.0..1.0)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn a_rigid_motion_of_its_supports_strains_nothing(shift in prop::array::uniform3(-1.0..1.0)) {
        let [x, y, z]: [f64; 3] = shift;
        let moved = End::Fixed([x, y, z, 0.0, 0.0, 0.0]);
        let ends = frame(bent(moved.clone(), moved)).stand().expect("a sound case").ends[0];
        prop_assert!(ends.iter().flatten().all(|f| f.abs() < 1e-3), "{ends:?}");
    }

    #[test]
    fn free_growth_strains_nothing(hot in 300.0..1000.0_f64) {
        let mut tube = bent(HELD, End::Free);
        tube.temperature = Table::constant(hot);
        let standing = frame(tube).stand().expect("a sound case");
        prop_assert!(standing.ends[0].iter().flatten().all(|f| f.abs() < 1e-3));
        // The end moves by its distance from the start times the growth.
        let end = standing.tubes[0].last().expect("a sound case").1;
        let growth = 17e-6 * (hot - 293.15);
        for (moved, place) in end.iter().zip([0.18, 0.15, 0.24]) {
            prop_assert!((moved - growth * place).abs() < 1e-9);
        }
    }

    #[test]
    fn a_load_here_moves_there_as_one_there_moves_here(a in six(), b in six()) {
        let at = |place: f64, load: Six| {
            let mut tube = bent(HELD, End::Free);
            tube.fittings = vec![(place, Fitting::Load(load)), (0.1, Fitting::Mass(0.0)), (0.3, Fitting::Mass(0.0))];
            frame(tube).stand().expect("a sound case").tubes[0].clone()
        };
        let moved = |tube: &[(f64, Six)], place: f64| tube.iter().find(|(s, _)| (s - place).abs() < 1e-9).expect("a sound case").1;
        let work = |force: &Six, motion: &Six| force.iter().zip(motion).map(|(f, m)| f * m).sum::<f64>();
        let (first, second) = (at(0.1, a), at(0.3, b));
        let (one, other) = (work(&b, &moved(&first, 0.3)), work(&a, &moved(&second, 0.1)));
        prop_assert!((one - other).abs() <= 1e-9 * (one.abs() + other.abs()) + 1e-15, "{one} {other}");
    }

    #[test]
    fn loads_and_supports_balance_and_add_up(load in six(), push in six()) {
        let with = |loads: &[Six]| {
            let mut tube = bent(HELD, End::Body(0));
            tube.fittings = loads.iter().map(|l| (0.2, Fitting::Load(*l))).collect();
            let body = Body {
                at: Vec3::new(0.18, 0.15, 0.24),
                held: false,
                growth: 0.0,
                mass: 0.0,
                offset: Vec3::ZERO,
                inertia: [0.0; 3],
                holds: Vec::new(),
                spring: [1e5, 2e5, 3e5, 1e3, 1e3, 1e3],
                load: [0.0; 6],
            };
            Frame { tubes: vec![tube], bodies: vec![body] }.stand().expect("a sound case")
        };
        let (one, other, both) = (with(&[load]), with(&[push]), with(&[load, push]));
        for i in 0..6 {
            let sum = one.bodies[0][i] + other.bodies[0][i];
            prop_assert!((both.bodies[0][i] - sum).abs() <= 1e-9 * both.bodies[0].iter().fold(1e-9, |m: f64, v| m.max(v.abs())));
        }
        let [start, end] = one.ends[0];
        for ((a, b), put_on) in start.iter().zip(&end).zip(&load).take(3) {
            prop_assert!((a + b + put_on).abs() < 1e-8);
        }
    }
}
