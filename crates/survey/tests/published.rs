//! Figures from outside: `checks/survey`.

use std::path::Path;

use survey::DVec3;
use survey::tape::fit::{Quality, Weighing, fit};
use survey::tape::frame::{Frame, Upright};
use survey::tape::network::{Network, Reading, ReadingKind};

/// Rows of expected.csv that begin with `what`: name and numbers.
fn expected(what: &str) -> Vec<(String, Vec<f64>)> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks/survey/expected.csv");
    let text = std::fs::read_to_string(file).expect("the check holds its figures");
    let rows = text.lines().map(|l| l.split(',').collect::<Vec<&str>>()).filter(|r| r[0] == what);
    rows.map(|r| (r[1].to_string(), r[2..].iter().filter_map(|v| v.parse().ok()).collect())).collect()
}

#[test]
fn the_level_net_is_that_of_its_page() {
    let given = [
        (0, 1, -0.749, 1.1),
        (0, 2, -1.274, 1.8),
        (0, 3, -2.890, 1.4),
        (1, 2, -0.530, 1.5),
        (1, 3, -2.141, 1.9),
        (2, 3, -1.614, 0.9),
    ];
    let reading = |(a, b, m, km): (usize, usize, f64, f64)| Reading {
        kind: ReadingKind::Height([a, b]),
        value: m * 1e3,
        sd: 0.7 * km,
    };
    let network = Network::new(4, given.map(reading).to_vec());
    let used = [true; 6];
    let mut x: Vec<DVec3> = (0..4).map(|i| DVec3::new(1e5 * f64::from(i), 0.0, 0.0)).collect();
    let chi2 = fit(&network, &mut x, Weighing { used: &used, scale: None }, 20);
    let m0 = (chi2 / 3.0).sqrt();
    assert!((m0 - expected("level m0")[0].1[0]).abs() < 0.005);
    let quality = Quality::of(&network, &x, &used).unwrap();
    for (i, (name, figures)) in expected("level point").iter().enumerate() {
        assert!((101_345.0 + x[i].z - x[3].z - 1e3 * figures[0]).abs() < 0.05, "{name}");
        let row = [(3 * i + 2, 1.0), (11, -1.0)];
        assert!((m0 * quality.covariance.quadratic(&row).sqrt() - figures[1]).abs() < 0.005, "{name}");
    }
    for (i, (name, figures)) in expected("level reading").iter().enumerate() {
        // A correction is added to the reading; an error here is taken from it.
        assert!((-quality.errors[i] - figures[0]).abs() < 0.0051, "{name}");
        assert!((quality.redundancy(&network, i) - figures[1]).abs() < 0.051, "{name}");
    }
}

/// Distances between known points, held to a micrometre.
fn held(known: &[DVec3]) -> impl Iterator<Item = Reading> + '_ {
    let of = |i: usize, j: usize| Reading {
        kind: ReadingKind::Distance([j, i]),
        value: known[i].distance(known[j]),
        sd: 1e-3,
    };
    (0..known.len()).flat_map(move |i| (0..i).map(move |j| of(i, j)))
}

/// The place from distances to known points, mm, found from `start`, and the expected one, both in axes of known points.
fn place(known: &[DVec3], distances: &[f64], start: DVec3, expected: &[f64], frame: Frame) -> [DVec3; 2] {
    let last = known.len();
    let read = |(i, m): (usize, &f64)| Reading { kind: ReadingKind::Distance([i, last]), value: 1e3 * m, sd: 1.0 };
    let network = Network::new(last + 1, distances.iter().enumerate().map(read).chain(held(known)).collect());
    let with = |p: DVec3| known.iter().copied().chain([p]).collect::<Vec<DVec3>>();
    let mut x = with(start);
    let used = vec![true; network.readings.len()];
    fit(&network, &mut x, Weighing { used: &used, scale: None }, 100);
    let there = with(DVec3::from_slice(expected) * 1e3);
    [x, there].map(|x| frame.map(&x).expect("axes")[last])
}

#[test]
fn the_two_places_from_three_distances_are_those_of_the_article() {
    let known = [[50.0, 150.0, 13.0], [100.0, 50.0, 11.0], [200.0, 120.0, 12.0]].map(|p| DVec3::from_array(p) * 1e3);
    let frame = Frame { origin: 0, forward: [0, 1], upright: Upright::Up(2) };
    let expected = expected("three distances");
    assert_eq!(expected.len(), 2);
    for ((name, figures), z) in expected.iter().zip([-30e3, 60e3]) {
        let start = DVec3::new(110e3, 110e3, z);
        let [ours, theirs] = place(&known, &[74.760, 84.623, 82.608], start, figures, frame);
        assert!(ours.distance(theirs) < 0.2, "{name}: {ours} {theirs}");
    }
}

#[test]
fn the_place_from_six_distances_is_that_of_scipy() {
    let known = [
        [27.297, -4.953, 1.47],
        [20.693, -4.849, 1.93],
        [22.590, 0.524, 1.2],
        [17.113, -3.003, 2.17],
        [22.554, 4.727, 1.77],
        [22.447, -7.880, 1.6],
    ]
    .map(|p| DVec3::from_array(p) * 1e3);
    let measured = [3.652, 7.036, 4.586, 9.960, 7.542, 7.883];
    let frame = Frame { origin: 0, forward: [0, 1], upright: Upright::Up(4) };
    let start = DVec3::new(26_000.0, -1_000.0, 1_000.0);
    let [ours, theirs] = place(&known, &measured, start, &expected("multilateration")[0].1, frame);
    assert!(ours.distance(theirs) < 0.1, "{ours} {theirs}");
}
