//! Figures from outside, kept in `checks/gas` with their sources.

#![allow(clippy::unwrap_used)]

use gas::cylinder::Burn;
use gas::ends::nozzle_flow;
use gas::field::{At, State};
use gas::losses::{bend, friction_smooth};
use gas::medium::{Gas, Medium, Mixture, Perfect};
use gas::network::{End, Network, plain_duct};
use gas::species::{Species, viscosity};
use gas::vessel::Vessel;

/// The cells of `checks/gas/<name>.csv` below its head; a file without rows fails.
fn rows(name: &str) -> Vec<Vec<String>> {
    let path = format!("{}/../../checks/gas/{name}.csv", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap();
    // No cell in quotes holds anything but a comma.
    let split =
        |line: &str| line.replace(", frozen", " frozen").split(',').map(|c| c.trim_matches('"').to_string()).collect();
    let rows: Vec<Vec<String>> = text.lines().skip(1).filter(|l| !l.is_empty()).map(split).collect();
    assert!(!rows.is_empty(), "{path}");
    rows
}

fn numbers(name: &str) -> Vec<Vec<f64>> {
    rows(name).iter().map(|r| r.iter().map(|c| c.parse().unwrap_or(f64::NAN)).collect()).collect()
}

#[test]
fn flow_through_a_valve() {
    for r in numbers("valve_mass_flow_function") {
        let ours = nozzle_flow(1.0, 1.0, 1.0 / r[1], r[0], 1.0);
        assert!((ours - r[2]).abs() < 1e-5, "{r:?}: {ours}");
    }
}

#[test]
fn burned_part_of_the_charge() {
    for r in numbers("wiebe") {
        let burn = Burn { start: 0.0, duration: 1.0, a: r[0], m: r[1], heat: 1.0 };
        // Ours is scaled so that all burns.
        let ours = burn.burned(r[3]) * (1.0 - (-r[0]).exp());
        assert!((ours - r[2]).abs() < 1e-5, "{r:?}: {ours}");
    }
}

#[test]
fn a_vessel_blows_down() {
    for gamma in [1.3, 1.4] {
        let gas = Perfect { gamma, r: 287.0 };
        let (p0, t0, volume, area) = (5e5, 900.0, 5e-4, 2e-4);
        let tau = volume / (area * (gamma * gas.r * t0).sqrt());
        let rows: Vec<_> = numbers("vessel_blowdown").into_iter().filter(|r| (r[0] - gamma).abs() < 1e-9).collect();
        assert!(rows.len() > 5);
        let air = State { rho: 1e5 / (gas.r * t0), u: 0.0, p: 1e5, burned: 0.0 };
        let ends = vec![[End::Vessel(0, area), End::Endless]];
        let mut net = Network::new(gas, &[plain_duct(0.2, 20, 300.0 * area)], ends, |_, _| air);
        net.vessels.push(Vessel::new(&gas, volume, p0, t0, 0.0));
        for r in rows.iter().filter(|r| r[2] <= 2.0) {
            let time = r[2] * tau;
            while net.time < time * (1.0 - 1e-12) {
                let dt = net.longest_step().min(time - net.time).min(0.01 * tau);
                net.step(dt);
            }
            let ours = net.vessels[0].p() / p0;
            assert!((ours - r[3]).abs() < 0.01, "{r:?}: {ours}");
        }
    }
}

#[test]
fn shock_tubes_with_closed_ends() {
    let gas = Perfect { gamma: 1.4, r: 287.0 };
    let (p1, t) = (1e5, 300.0);
    let a1 = (gas.gamma * gas.r * t).sqrt();
    let n = 800;
    for r in numbers("shock_tube_ideal_g1p4") {
        let still = |p: f64| State { rho: p / (gas.r * t), u: 0.0, p, burned: 0.0 };
        let ends = vec![[End::Closed, End::Closed]];
        let mut net =
            Network::new(gas, &[plain_duct(2.0, n, 1.0)], ends, |_, i| still(if i < n / 2 { r[0] * p1 } else { p1 }));
        let until = |net: &mut Network<Perfect>, time: f64| {
            while net.time < time {
                net.step(net.longest_step().min(time - net.time + 1e-12));
            }
        };
        // The shock has run 0.8 m; the contact u2 / Ms of that.
        until(&mut net, 0.8 / (r[2] * a1));
        let contact = 0.8 * r[3] / r[2];
        let cell = net.field.cell(0, ((1.0 + 0.5 * (contact + 0.8)) * n as f64 / 2.0) as usize);
        assert!((cell.p / p1 / r[1] - 1.0).abs() < 0.01, "{r:?}: {}", cell.p / p1);
        assert!((cell.u / a1 - r[3]).abs() < 0.01 * r[3], "{r:?}: {}", cell.u / a1);
        assert!((cell.p / (cell.rho * gas.r * t) / r[4] - 1.0).abs() < 0.01, "{r:?}");
        // A little behind the closed end, after it is reflected.
        until(&mut net, 1.06 / (r[2] * a1));
        let wall = net.field.end_state(0, At::Finish).p / p1;
        assert!((wall / r[6] - 1.0).abs() < 0.01, "{r:?}: {wall}");
    }
}

#[test]
fn bends_of_90_degrees() {
    let mut seen = 0;
    for r in numbers("bend_loss").iter().filter(|r| r[0] == 1e5 && r[1] == 90.0) {
        let ours = bend(r[1], r[2]) + friction_smooth(1e5) * r[2] * std::f64::consts::FRAC_PI_2;
        assert!((ours / r[3] - 1.0).abs() < 0.25, "{r:?}: {ours}");
        seen += 1;
    }
    assert_eq!(seen, 5);
}

#[test]
fn properties_of_air_and_exhaust() {
    use Species::{CarbonDioxide, Nitrogen, Oxygen, Water};
    for r in rows("gas_properties") {
        let parts: &[(Species, f64)] = if r[0] == "air" {
            &[(Oxygen, 1.0), (Nitrogen, 3.76)]
        } else {
            &[(CarbonDioxide, 8.0), (Water, 9.0), (Nitrogen, 47.0)]
        };
        let gas = Mixture::only(Gas::fit(parts).unwrap());
        let v: Vec<f64> = r[1..].iter().map(|c| c.parse().unwrap()).collect();
        let (t, gamma) = (v[0], gas.gamma(v[0], 0.0));
        let sound = (gamma * gas.fresh.r * t).sqrt();
        for (ours, theirs, part) in [(gamma, v[3], 0.01), (sound, v[4], 0.01), (viscosity(parts, t), v[5], 0.02)] {
            assert!((ours / theirs - 1.0).abs() < part, "{r:?}: {ours}");
        }
    }
}
