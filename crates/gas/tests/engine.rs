//! A whole engine: it settles, repeats itself, and does what engines do.

#![allow(clippy::unwrap_used)]

#[path = "../examples/sweep/four.rs"]
mod four;

use four::four;
use gas::cycle::{CycleError, Point, Settings, Sweep};
use gas::engine::{Engine, EngineError, Link};

fn run(engine: &Engine, rpm: f64) -> Point {
    Sweep::new(engine, Settings::default()).unwrap().run(rpm, |_, _| true).unwrap()
}

#[test]
fn every_speed_settles_and_its_figures_are_those_of_engines() {
    let engine = four(0.8);
    let mut sweep = Sweep::new(&engine, Settings::default()).unwrap();
    for rpm in [1000.0, 3000.0, 5000.0, 7000.0, 9000.0, 12000.0] {
        let p = sweep.run(rpm, |_, _| true).unwrap();
        assert!(p.settled && p.cycles < 15, "{rpm}: {} {}", p.cycles, p.residual);
        // Naturally aspirated maximum 1.15 (practical limit of four-valve engines); peak pressures 2 to 5 MPa at ordinary
        // compression, higher at 11.
        assert!((0.3..1.2).contains(&p.volumetric_efficiency), "{rpm}: {}", p.volumetric_efficiency);
        for c in &p.cylinders {
            assert!((2e6..10e6).contains(&c.peak), "{rpm}: {}", c.peak);
            assert!((900.0..1500.0).contains(&c.exhaust_k), "{rpm}: {}", c.exhaust_k);
            assert!((0.0..0.5).contains(&c.residual));
        }
        // Equal runners and even firing: every cylinder breathes alike.
        let masses: Vec<f64> = p.cylinders.iter().map(|c| c.trapped).collect();
        let spread = masses.iter().fold(0.0_f64, |m, v| m.max((v / masses[0] - 1.0).abs()));
        assert!(spread < 0.01, "{rpm}: {spread}");
    }
}

#[test]
fn fresh_mass_in_is_what_burns_and_leaves() {
    let p = run(&four(0.8), 5000.0);
    for c in &p.cylinders {
        // Trapped fresh gas is at most what came in; what is missing was lost through the exhaust in overlap.
        let fresh = c.trapped * (1.0 - c.residual);
        assert!(fresh <= c.inducted * 1.002 && fresh > 0.9 * c.inducted, "{fresh} of {}", c.inducted);
        // Indicated efficiency below that of the Otto cycle of the same ratio with gamma 1.25: 1 - 11^-0.25 = 0.45.
        let efficiency = c.work / (fresh * 2.6e6);
        assert!((0.2..0.45).contains(&efficiency), "{efficiency}");
    }
}

#[test]
fn the_same_run_gives_the_same_bits_and_length_matters() {
    let a = run(&four(0.8), 4500.0);
    assert_eq!(a, run(&four(0.8), 4500.0));
    let b = run(&four(0.75), 4500.0);
    let change = (b.volumetric_efficiency / a.volumetric_efficiency - 1.0).abs();
    assert!(change > 1e-3 && change < 0.1, "{change}");
}

#[test]
fn power_falls_as_a_nozzle_closes_the_exhaust() {
    // NACA TR 765: power falls with the area of the stack's nozzle.
    let mut last = f64::INFINITY;
    for area in [2.0e-3, 1.2e-3, 0.7e-3] {
        let mut engine = four(0.8);
        engine.pipes.last_mut().unwrap().ends[1] = Link::Nozzle(0, area);
        let power = run(&engine, 5000.0).power;
        assert!(power < last, "{area}: {power}");
        last = power;
    }
}

#[test]
fn cells_of_20_mm_are_close_to_finer_ones() {
    let engine = four(0.8);
    let at = |dx: f64| {
        let mut sweep = Sweep::new(&engine, Settings { dx, tolerance: 2e-4, ..Settings::default() }).unwrap();
        sweep.run(5600.0, |_, _| true).unwrap()
    };
    let (coarse, fine) = (at(0.020), at(0.008));
    assert!((coarse.torque / fine.torque - 1.0).abs() < 2e-3, "{} {}", coarse.torque, fine.torque);
}

#[test]
fn cells_do_not_matter_behind_a_narrow_port() {
    let mut engine = four(0.9);
    (0..8).step_by(2).for_each(|k| engine.pipes[k].profile = vec![(0.0, 0.024), (0.06, 0.041)]);
    let at = |dx: f64| {
        let mut sweep = Sweep::new(&engine, Settings { dx, ..Settings::default() }).unwrap();
        sweep.run(9000.0, |_, _| true).unwrap()
    };
    let (coarse, fine) = (at(0.020), at(0.010));
    assert!(coarse.cycles < 10 && fine.cycles < 10, "{} {}", coarse.cycles, fine.cycles);
    assert!((coarse.torque / fine.torque - 1.0).abs() < 5e-3, "{} {}", coarse.torque, fine.torque);
}

#[test]
fn it_stops_when_asked_and_refuses_what_cannot_be() {
    let engine = four(0.8);
    let mut sweep = Sweep::new(&engine, Settings::default()).unwrap();
    assert_eq!(sweep.run(5000.0, |cycle, _| cycle < 2).unwrap_err(), CycleError::Stopped);
    let mut few = Sweep::new(&engine, Settings { most_cycles: 1, ..Settings::default() }).unwrap();
    assert!(!few.run(5000.0, |_, _| true).unwrap().settled);

    let refused = |change: fn(&mut Engine)| {
        let mut engine = four(0.8);
        change(&mut engine);
        engine.start(0.02).err().unwrap()
    };
    assert_eq!(refused(|e| e.exhaust.closes = e.exhaust.opens - 0.1), EngineError::Valve);
    assert_eq!(refused(|e| e.intake.lift = 0.0), EngineError::Valve);
    assert_eq!(refused(|e| e.geometry.rod = 0.01), EngineError::Geometry);
    assert_eq!(refused(|e| e.pipes[0].length = f64::NAN), EngineError::Pipe(0));
    assert_eq!(refused(|e| e.pipes[0].ends[0] = Link::Closed), EngineError::Bare(0));
    assert_eq!(refused(|e| e.pipes[2].ends[1] = Link::Open(7)), EngineError::Link(2));
}

/// The engine with a plenum behind a throttle, at `p` Pa.
fn with_plenum(p: f64) -> Engine {
    let mut engine = four(0.4);
    engine.surroundings.push([p, 310.0, 0.0]);
    engine.plenums.push([3.5e-3, p, 310.0, 0.0]);
    for pipe in &mut engine.pipes {
        if let Link::Intake(_) = pipe.ends[1] {
            pipe.ends[0] = Link::Plenum(0);
            pipe.start = [p, 310.0, 0.0];
        }
    }
    let mut throttle = engine.pipes[1].clone();
    throttle.ends = [Link::Open(1), Link::Plenum(0)];
    (throttle.profile, throttle.length) = (vec![(0.0, 0.066)], 0.1);
    engine.pipes.push(throttle);
    engine
}

#[test]
fn a_turbo_with_a_plenum_settles_and_traps_more() {
    let mut turbo = with_plenum(1.9e5);
    turbo.surroundings.push([1.1e5, 900.0, 1.0]);
    for pipe in &mut turbo.pipes {
        if pipe.ends == [Link::Junction(0), Link::Open(0)] {
            pipe.ends[1] = Link::Nozzle(2, 8e-4);
            pipe.length = 0.09;
        }
    }
    let mut boosted = Sweep::new(&turbo, Settings::default()).unwrap();
    let open = with_plenum(1.01325e5);
    let mut plain = Sweep::new(&open, Settings::default()).unwrap();
    for rpm in [2500.0, 4500.0, 6500.0] {
        let (a, b) = (boosted.run(rpm, |_, _| true).unwrap(), plain.run(rpm, |_, _| true).unwrap());
        assert!(a.settled && b.settled, "{rpm}: {} {}", a.residual, b.residual);
        let ratio = a.cylinders[0].trapped / b.cylinders[0].trapped;
        assert!((1.3..2.2).contains(&ratio), "{rpm}: {ratio}");
    }
}

#[test]
fn odd_sizes_settle_too() {
    let change: [fn(&mut Engine); 4] = [
        // A big two-valve V8's bank, a port much narrower than the tube, a tiny tube, a huge one.
        |e| {
            (e.geometry.bore, e.geometry.stroke) = (0.1048, 0.09525);
            (e.exhaust.count, e.exhaust.diameter, e.exhaust.lift) = (1, 0.041, 0.0132);
            (e.intake.count, e.intake.diameter, e.intake.lift) = (1, 0.053, 0.013);
        },
        |e| (0..8).step_by(2).for_each(|k| e.pipes[k].profile = vec![(0.0, 0.024), (0.06, 0.041)]),
        |e| (0..8).step_by(2).for_each(|k| e.pipes[k].profile = vec![(0.0, 0.025)]),
        |e| (0..8).step_by(2).for_each(|k| e.pipes[k].profile = vec![(0.0, 0.036), (0.05, 0.07)]),
    ];
    for (i, change) in change.into_iter().enumerate() {
        let mut engine = four(0.9);
        change(&mut engine);
        let mut sweep = Sweep::new(&engine, Settings::default()).unwrap();
        for rpm in [1500.0, 5000.0, 9000.0] {
            let p = sweep.run(rpm, |_, _| true).unwrap();
            assert!(p.settled, "{i}, {rpm} rpm: {}", p.residual);
        }
    }
}
