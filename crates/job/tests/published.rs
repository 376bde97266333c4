//! Figures from outside, kept in `checks/` with their sources.
#![allow(clippy::unwrap_used)]

use std::path::Path;

use geom::{Centreline, Frame, LraStep, Vec3};
use job::{catalogue, firing};

/// The rows of `checks/<folder>/expected.csv` after the heading; a folder without rows fails.
fn expected(folder: &str) -> Vec<Vec<String>> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks").join(folder).join("expected.csv");
    let text = std::fs::read_to_string(&file).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
    let rows: Vec<Vec<String>> = text
        .lines()
        .skip(1)
        .map(|line| {
            let mut fields = vec![String::new()];
            let mut quoted = false;
            for c in line.chars() {
                match c {
                    '"' => quoted = !quoted,
                    ',' if !quoted => fields.push(String::new()),
                    c => fields.last_mut().unwrap().push(c),
                }
            }
            fields
        })
        .collect();
    assert!(!rows.is_empty(), "{} holds no checks", file.display());
    rows
}

fn number(field: &str) -> f64 {
    field.parse().unwrap()
}

#[test]
fn pipe_and_gauges_agree_with_an_independent_package() {
    let mut pipes = 0;
    for row in expected("pipe") {
        if row[0] == "pipe" {
            let pipe = catalogue::pipe_by_nps(number(&row[1]), &row[2])
                .unwrap_or_else(|| panic!("no NPS {} {}", row[1], row[2]));
            assert!(
                (pipe.od - number(&row[3])).abs() < 0.005 && (pipe.wall - number(&row[4])).abs() < 0.005,
                "{row:?} {pipe:?}"
            );
            let by_dn = catalogue::pipe_by_dn(pipe.dn, &row[2].to_lowercase()).unwrap();
            assert_eq!(by_dn, pipe);
            pipes += 1;
        } else {
            let wall = catalogue::gauge_wall(row[1].parse().unwrap()).unwrap();
            assert!((wall - number(&row[4])).abs() < 0.001, "{row:?} {wall}");
        }
    }
    assert_eq!(pipes, catalogue::pipes().len(), "every pipe of the catalogue is checked");
}

#[test]
fn elbows_agree_with_the_standard() {
    let rows = expected("elbows");
    for row in &rows {
        let nominal = catalogue::parse_inches(&row[0]).unwrap();
        let elbow = catalogue::elbow(nominal, &row[1]).unwrap_or_else(|| panic!("no {} {}", row[0], row[1]));
        let clr = number(&row[3]) * 25.4 / if row[2] == "O" { 2.0 } else { 1.0 };
        assert!((elbow.clr - clr).abs() < 0.01, "{row:?} {elbow:?}");
    }
    // Long radius is 1.5 x nominal size but for the two smallest.
    for elbow in catalogue::elbows().iter().filter(|e| e.name.starts_with("LR") && e.nominal >= 1.0) {
        assert!((elbow.clr - 1.5 * elbow.nominal * 25.4).abs() < 0.01, "{elbow:?}");
    }
}

#[test]
fn groups_agree_with_an_exhaustive_search() {
    for row in expected("firing") {
        let order: Vec<u32> = row[1].split('-').map(|c| c.parse().unwrap()).collect();
        let cylinders: Vec<u32> = row[2].split(' ').map(|c| c.parse().unwrap()).collect();
        let wanted: Vec<Vec<u32>> =
            row[3].split(' ').map(|g| g.split('+').map(|c| c.parse().unwrap()).collect()).collect();
        assert_eq!(firing::groups(&order, &cylinders, wanted.len()).unwrap(), wanted, "{row:?}");
        for (group, gaps) in wanted.iter().zip(row[4].split(' ')) {
            let gaps: Vec<f64> = gaps.split('/').map(number).collect();
            assert_eq!(firing::gaps_deg(&order, group).unwrap(), gaps, "{row:?}");
        }
    }
}

#[test]
fn worked_examples_come_out() {
    let steel = catalogue::material("304").unwrap();
    let start = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z };
    let bend = |length: f64, degrees: f64, clr: f64, last: f64| {
        let step = LraStep { length, rotation: 0.0, angle: f64::to_radians(degrees), clr };
        Centreline::from_steps(start, &[step], last).unwrap()
    };
    let eighth = bend(100.0, 45.0, 76.2, 100.0).to_points().0[1];
    for row in expected("worked-examples") {
        let value = match row[0].as_str() {
            "NPS 1 1/2 sch 10S inside diameter" => {
                let size = job::quantity::size("1 1/2 NPS sch 10S").unwrap();
                size.od - 2.0 * size.wall
            }
            "LR 90 elbow of NPS 1 1/2 arc on the centreline" => {
                bend(0.0, 90.0, catalogue::elbow(1.5, "LR 90").unwrap().clr, 0.0).length()
            }
            "growth of 600 mm of 304 from 20 to 500 C" => 600.0 * 480.0 * 1e-6 * steel.expansion.at(500.0).unwrap(),
            "mass of 44.45 x 1.65 of 304 per metre" => {
                std::f64::consts::PI * (44.45 - 1.65) * 1.65 * 1e-6 * steel.density
            }
            "U-bend CLR 76.2 with 101.6 legs" => bend(101.6, 180.0, 76.2, 101.6).length(),
            "45 degree bend CLR 76.2 arc" => bend(0.0, 45.0, 76.2, 0.0).length(),
            "45 degree bend CLR 76.2 setback" => eighth.x - 100.0,
            other => panic!("no computation for {other}"),
        };
        assert!((value - number(&row[1])).abs() <= number(&row[3]), "{row:?} {value}");
    }
}

#[test]
fn every_figure_of_the_catalogue_is_read_and_has_a_source() {
    assert!(catalogue::tubes().len() > 40 && catalogue::sockets().len() >= 9 && catalogue::walls().len() >= 7);
    assert!(catalogue::tubes().iter().all(|t| !t.source.is_empty()));
    assert!(catalogue::gauges().iter().all(|g| !g.source.is_empty()));
    assert!(catalogue::pipes().iter().all(|p| !p.source.is_empty() && p.wall < 0.5 * p.od));
    assert!(catalogue::elbows().iter().all(|e| !e.source.is_empty()));
    assert!(catalogue::bends().iter().all(|b| b.source.contains("price invented") && b.clr > 0.5 * b.od));
    assert!(catalogue::sticks().iter().all(|s| s.source.contains("price invented") && s.length > 0.0));
    assert_eq!(catalogue::materials().len(), 10);
    for material in catalogue::materials() {
        assert!(material.sources.iter().all(|(_, source)| !source.is_empty()), "{}", material.name);
        assert!((4000.0..9000.0).contains(&material.density), "{}", material.name);
        assert!((400.0..1200.0).contains(&material.service_c), "{}", material.name);
        for series in [&material.expansion, &material.conductivity, &material.specific_heat, &material.modulus] {
            assert!(!series.points.is_empty(), "{}", material.name);
            assert!(series.points.iter().all(|p| p.1.is_finite() && p.1 > 0.0), "{}", material.name);
            assert!(series.points.windows(2).all(|p| p[0].0 < p[1].0), "{}", material.name);
        }
        // Every name leads to this material and no other.
        for name in material.also.iter().chain([&material.name, &material.title]) {
            assert_eq!(catalogue::material(name).unwrap().name, material.name, "{name}");
        }
    }
}
