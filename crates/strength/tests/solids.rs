//! Flexibility of bends and stress at a cold flange against solid models: `checks/strength_solids`.

use std::path::Path;

use strength::flange_weld::{TemperatureRise, weld_stress};
use strength::section::{Flexibility, Section};

/// Name and figures of each row of expected.csv.
fn rows() -> Vec<(String, Vec<f64>)> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks/strength_solids/expected.csv");
    let text = std::fs::read_to_string(file).expect("the check holds its figures");
    let row = |line: &str| {
        let (name, rest) = line.split_once(',').expect("a name and figures");
        let figures = rest.split(',').filter(|c| !c.is_empty()).map(|c| c.parse().expect("a number"));
        (name.to_string(), figures.collect())
    };
    text.lines().skip(1).map(row).collect()
}

fn section(od: f64, wall: f64) -> Section {
    Section { od: od / 1000.0, wall: wall / 1000.0 }
}

#[test]
fn bends_are_as_soft_as_solids() {
    let mut held = 0;
    for (name, row) in rows().into_iter().filter(|(name, _)| name.starts_with("bend")) {
        let [od, wall, clr, angle, k_in, k_out] = row[..] else { panic!("{name}: six figures") };
        let of = |how: Flexibility| how.factors(&section(od, wall), clr / 1000.0, angle.to_radians());
        let fitted = of(Flexibility::Fitted);
        assert!((fitted[0] / k_in - 1.0).abs() < 0.09 && (fitted[1] / k_out - 1.0).abs() < 0.09, "{name}: {fitted:?}");
        let code = of(Flexibility::Code);
        assert!(code[0] > k_in && code[1] > k_out, "{name}: the code takes a bend for softer than it is: {code:?}");
        held += 1;
    }
    assert!(held >= 8, "only {held} bends were there to hold");
}

#[test]
fn a_weld_at_a_cold_flange_bears_what_a_solid_bears() {
    let mut held = 0;
    for (name, row) in rows().into_iter().filter(|(name, _)| name.starts_with("weld")) {
        let [od, wall, hotter, over, mpa] = row[..] else { panic!("{name}: five figures") };
        let rise = TemperatureRise { hotter, over: over / 1000.0 };
        let stress = weld_stress(&section(od, wall), 165e9, 0.3, 18e-6, rise) / 1e6;
        assert!((1.0..1.08).contains(&(stress / mpa)), "{name}: {stress} for {mpa}");
        held += 1;
    }
    assert!(held >= 4, "only {held} welds were there to hold");
}
