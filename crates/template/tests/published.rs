//! Wrap curves against solids of a modelling kernel and tabled closed forms (checks/templates).

use std::path::Path;

use template::cope::{BendCope, Cope};
use template::merge::Merge;
use template::mitre::MitredBend;

/// Rows of a table after its head: the kind of cut, its measures, the angle around the tube (rad), the height (mm).
fn rows(name: &str) -> Vec<(String, Vec<f64>, f64, f64)> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks/templates").join(name);
    let text = std::fs::read_to_string(file).expect("the check holds its figures");
    let row = |line: &str| {
        let mut cells = line.split(',');
        let kind = cells.next().expect("a kind").to_string();
        let numbers: Vec<f64> = cells.filter(|c| !c.is_empty()).map(|c| c.parse().expect("a number")).collect();
        let [measures @ .., phi, s] = &numbers[..] else { panic!("{line}") };
        (kind, measures.to_vec(), phi.to_radians(), *s)
    };
    text.lines().skip(1).map(row).collect()
}

fn cope(m: &[f64]) -> Cope {
    Cope { branch_od: m[0], run_od: m[1], angle: m[2].to_radians(), offset: m[3] }
}

fn merge(m: &[f64], outlet_od: f64) -> Merge {
    Merge { tubes: m[0] as usize, od: m[1], gap: m[2], lean: m[3].to_radians(), outlet_od, wall: 1.65 }
}

/// High end of a mitre of that tilt, as the template of a bend of two segments draws it.
fn mitre(od: f64, tilt: f64, phi: f64) -> f64 {
    let bend = MitredBend { od, clr: 2.0 * od, angle: 2.0 * tilt.to_radians(), segments: 2, legs: [0.0, 0.0] };
    0.5 * od * bend.tilt().tan() * phi.cos()
}

#[test]
fn cuts_lie_where_the_kernel_finds_them() {
    let rows = rows("expected.csv");
    assert!(rows.len() > 400, "only {} rows", rows.len());
    for (kind, m, phi, wanted) in rows {
        let found = match kind.as_str() {
            "cope" => cope(&m).at(phi),
            "bend" => {
                let [branch_od, run_od, clr] = [m[0], m[1], m[2]];
                let [bend, at, out, lean] = [m[3], m[4], m[5], m[6]].map(f64::to_radians);
                BendCope { branch_od, run_od, clr, bend, at, out, lean }.end(phi).expect("it meets the bend")
            }
            "merge" => merge(&m, m[4]).end(phi),
            "mitre" => mitre(m[0], m[1], phi),
            other => panic!("{other}"),
        };
        assert!((found - wanted).abs() < 0.01, "{kind} {m:?} at {:.0}: {found}, not {wanted}", phi.to_degrees());
    }
}

#[test]
fn cuts_lie_where_the_tables_have_them() {
    for (kind, m, phi, wanted) in rows("closed.csv") {
        let (found, tolerance) = match kind.as_str() {
            "cope" => (cope(&m).at(phi), 0.0015),
            "merge" => (merge(&m, 57.15).meets(phi), 0.006),
            // High to low.
            "mitre" => (2.0 * mitre(m[0], m[1], phi), 0.0015),
            other => panic!("{other}"),
        };
        assert!((found - wanted).abs() < tolerance, "{kind} {m:?} at {:.0}: {found}, not {wanted}", phi.to_degrees());
    }
}

#[test]
fn the_drawn_curve_is_the_cut_on_paper() {
    let merge = merge(&[4.0, 44.45, 2.0, 8.0], 63.5);
    let drawing = merge.template("m", job::model::Units::Mm).expect("sound measures");
    let template::Shape::Polyline { vertices, .. } = &drawing.paths[0].shape else { panic!("a curve") };
    let radius = 0.5 * 44.45 + 0.05;
    for v in vertices {
        assert!((v.at.y - merge.end(v.at.x / radius)).abs() < 1e-9);
    }
    assert!((vertices[vertices.len() - 1].at.x - std::f64::consts::TAU * radius).abs() < 1e-9);
}
