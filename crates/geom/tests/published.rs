//! Figures from outside: `checks/`.

use std::path::{Path, PathBuf};

use geom::{Centreline, Vec3, distance_centrelines, outside_volume};

fn check(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks").join(name)
}

/// The rows of an `expected.csv` after its head, as numbers.
fn expected(name: &str) -> Vec<Vec<f64>> {
    let text = std::fs::read_to_string(check(name).join("expected.csv")).expect("the check holds its figures");
    text.lines().skip(1).map(|line| line.split(',').map(|v| v.parse().expect("a number")).collect()).collect()
}

fn tube(value: &serde_json::Value) -> Centreline {
    let numbers = |v: &serde_json::Value| -> Vec<f64> {
        v.as_array().expect("a list").iter().map(|n| n.as_f64().expect("a number")).collect()
    };
    let point = |v: &serde_json::Value| Vec3::from_slice(&numbers(v));
    let points: Vec<Vec3> = value["points"].as_array().expect("points").iter().map(point).collect();
    Centreline::from_points(&points, &numbers(&value["radii"])).expect("a tube")
}

#[test]
fn swept_tubes_are_those_of_the_kernel() {
    let text = std::fs::read_to_string(check("swept-tubes").join("given.json")).expect("the check holds its tubes");
    let given: Vec<serde_json::Value> = serde_json::from_str(&text).expect("JSON");
    let expected = expected("swept-tubes");
    assert!(given.len() == 60 && expected.len() == 60);
    let mut between = 0;
    for (case, row) in given.iter().zip(&expected) {
        let od = case["od"].as_f64().expect("a number");
        let (a, b) = (tube(&case["tubes"][0]), tube(&case["tubes"][1]));
        assert!((a.length() - row[1]).abs() < 1e-5 && (b.length() - row[2]).abs() < 1e-5, "{row:?}");
        for (line, volume) in [(&a, row[3]), (&b, row[4])] {
            assert!((outside_volume(od, line.length()) / volume - 1.0).abs() < 1e-6, "{row:?}");
        }
        let closest = distance_centrelines(&a, &b);
        assert!((closest.distance - row[5]).abs() < 0.005, "{row:?} {closest:?}");
        let gap = (closest.distance - od).max(0.0);
        let at_an_end =
            [(closest.at_a, &a), (closest.at_b, &b)].iter().any(|(s, l)| *s < 1e-6 || *s > l.length() - 1e-6);
        assert!(row[6] > gap - 0.005, "{row:?} {closest:?}");
        if !at_an_end {
            between += 1;
            assert!((row[6] - gap).abs() < 0.005, "{row:?} {closest:?}");
        }
    }
    assert!(between >= 10, "only {between} pairs are nearest away from their ends");
}
