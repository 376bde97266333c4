//! Laws that hold whatever the gas does: nothing is lost, nothing starts by itself, the same comes out again.

#![allow(clippy::unwrap_used)]

use gas::field::{Duct, State, Wall};
use gas::medium::{Medium, Mixture, Perfect};
use gas::network::{End, Network, plain_duct};
use gas::vessel::Vessel;
use proptest::prelude::*;

/// A pipe whose area goes up and down.
fn wavy(cells: usize) -> Duct {
    let areas = (0..=cells).map(|i| 1e-3 * (1.5 + (0.7 * i as f64).sin())).collect();
    Duct { dx: 0.02, areas, walls: vec![Wall::NONE; cells] }
}

fn still(medium: &impl Medium, p: f64, t: f64, burned: f64) -> State {
    State { rho: p / (medium.gas_constant(burned) * t), u: 0.0, p, burned }
}

#[test]
fn a_gas_at_rest_stays_at_rest_to_the_last_bit() {
    let medium = Mixture::air_and_octane();
    let ends = vec![[End::Closed, End::Junction(0)], [End::Junction(0), End::Closed], [End::Junction(0), End::Closed]];
    let ducts = [wavy(30), wavy(17), plain_duct(0.5, 20, 3e-3)];
    let start = still(&medium, 1.2e5, 700.0, 1.0);
    let mut net = Network::new(medium, &ducts, ends, |_, _| start);
    let first: Vec<f64> =
        (0..3).flat_map(|k| (0..10).map(move |i| (k, i))).map(|(k, i)| net.field.cell(k, i).p).collect();
    for _ in 0..500 {
        net.step(net.longest_step());
    }
    for k in 0..3 {
        for i in 0..net.field.spans()[k].cells {
            let cell = net.field.cell(k, i);
            assert_eq!(cell.u, 0.0, "pipe {k}, cell {i}");
            if i < 10 {
                assert_eq!(cell.p, first[10 * k + i]);
            }
        }
    }
}

/// A closed network with a vessel and a junction, full of a strong blow.
fn closed_network(seed: [f64; 4]) -> Network<Mixture> {
    let medium = Mixture::air_and_octane();
    let ends = vec![
        [End::Closed, End::Junction(0)],
        [End::Junction(0), End::Vessel(0, 4e-4)],
        [End::Junction(0), End::Closed],
        [End::Vessel(0, 9e-4), End::Closed],
    ];
    let ducts = [wavy(25), wavy(18), plain_duct(0.4, 21, 3e-3), wavy(12)];
    let mut net = Network::new(medium, &ducts, ends, |k, i| {
        let high = if (k + i) % 9 < 4 { 1.0 } else { 0.0 };
        let burned = if k == 0 { seed[3] } else { 1.0 - seed[3] };
        State {
            u: 60.0 * seed[0] * high,
            ..still(&medium, 1e5 * (1.0 + seed[1] * high), 350.0 + 900.0 * seed[2], burned)
        }
    });
    net.vessels.push(Vessel::new(&medium, 5e-4, 1e5 * (1.0 + 4.0 * seed[1]), 1200.0, seed[3]));
    net
}

/// Runs a closed network: mass and energy are kept, pressure and density stay positive, and burned fractions stay between 0 and
/// 1 to `slack`.
fn keeps_all(seed: [f64; 4], slack: f64) {
    let mut net = closed_network(seed);
    let before = net.totals();
    for _ in 0..600 {
        net.step(net.longest_step());
    }
    let after = net.totals();
    for (a, b) in before.iter().zip(after) {
        assert!((a - b).abs() < 1e-12 * a.abs(), "{a} became {b}");
    }
    for k in 0..4 {
        for i in 0..net.field.spans()[k].cells {
            let s = net.field.cell(k, i);
            assert!(
                s.rho > 0.0 && s.p > 0.0 && (-slack..=1.0 + slack).contains(&s.burned),
                "pipe {k}, cell {i}: {s:?}"
            );
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn a_closed_network_keeps_mass_and_energy(
        a in 0.0..1.0_f64, b in 0.0..2.0_f64, c in 0.0..1.0_f64, d in 0.0..1.0_f64
    ) {
        keeps_all([a, b, c, d], 1e-12);
    }
}

#[test]
fn gas_that_chokes_where_it_leaves_a_junction_is_kept() {
    keeps_all([0.8426590818014835, 1.9038537012978376, 0.15769637029965577, 0.0], 1e-8);
}

#[test]
fn the_same_start_gives_the_same_bits() {
    let run = || {
        let mut net = closed_network([0.7, 1.3, 0.4, 0.2]);
        for _ in 0..400 {
            net.step(net.longest_step());
        }
        net.totals()
    };
    assert_eq!(run(), run());
    let other = std::thread::spawn(run).join().unwrap();
    assert_eq!(run(), other);
}

#[test]
fn a_wave_to_the_left_is_the_mirror_of_one_to_the_right() {
    let medium = Perfect { gamma: 1.35, r: 290.0 };
    let n = 80;
    let run = |way: f64| {
        let mut net = Network::new(medium, &[plain_duct(1.0, n, 1e-3)], vec![[End::Closed; 2]], |_, i| {
            let i = if way > 0.0 { i } else { n - 1 - i };
            let high = if i < 20 { 2.0 } else { 1.0 };
            State { u: way * 20.0, ..still(&medium, 1e5 * high, 500.0, 0.0) }
        });
        while net.time < 2e-3 {
            net.step(net.longest_step().min(2.0001e-3 - net.time));
        }
        (0..n).map(|i| net.field.cell(0, i).p).collect::<Vec<f64>>()
    };
    let (right, mut left) = (run(1.0), run(-1.0));
    left.reverse();
    for (a, b) in right.iter().zip(left) {
        assert!((a - b).abs() < 1e-9 * a);
    }
}
