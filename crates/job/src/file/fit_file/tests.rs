//! The record of a build as it is written, in both units, and what is wrong with bad ones.

use super::*;

const GOOD: &str = r#"
format = 1
plan = "5f0c31d2a9e4"
[shop]
quality = "careful"
clocking = 0.7
clr = 0.008
shrinkage_allowed = true
[measuring]
place = 0.6
direction = 0.2
[goes_in]
within = 2.0
slip = 12.0
[[piece]]
mark = "1A"
state = "welded"
[[piece]]
mark = "1C"
state = "cut"
left_long = 8.0
left_angle = 3.0
[[measured]]
after = "1B"
on = 2026-05-03
at = [-91.8, 87.8, -34.8]
axis = [0.0, 0.64, -0.77]
line = [0.02, 0.76, 0.64]
distances = [{ from = "port 1", is = 310.5 }, { from = [0.0, 1.0, 2.0], is = 20.5 }]
[[measured]]
inlet = "merge 2"
points = [[0, 0, 0], [0, 80, 0]]
[[strip]]
joint = "1A-1B"
off = 1.7
[[chord]]
pieces = ["1A", "1B"]
outside = 212.4
inside = 171.0
[[corrected]]
on = 2026-05-04
run = "primary 1"
piece = "1C"
was = { leg_in = 10.0, angle = 40.0, leg_out = 5.0 }
is = { leg_in = 11.0, angle = 41.0, leg_out = 5.0, turned = -14.6 }
"#;

#[test]
fn a_whole_record_is_read() {
    let (fit, problems) = read("fit.toml", GOOD.as_bytes(), Units::Mm);
    assert!(problems.is_empty(), "{problems:?}");
    let fit = fit.unwrap();
    assert_eq!(fit.plan.unwrap().0, "5f0c31d2a9e4");
    assert_eq!((fit.shop.quality, fit.shop.clr, fit.goes_in.slip), (Quality::Careful, Some(0.008), Some(12.0)));
    assert!((fit.shop.clocking.unwrap().to_degrees() - 0.7).abs() < 1e-9);
    assert_eq!((fit.measuring.place, fit.measuring.point, fit.pieces.len()), (0.6, 0.3, 2));
    assert_eq!(fit.measured[0].distances.len(), 2);
    assert_eq!(fit.measured[0].on.as_deref(), Some("2026-05-03"));
    assert_eq!(fit.measured[1].what, Spotted::Inlet("merge 2".into()));
    let (piece, is) = fit.corrected[0].piece.clone().unwrap();
    assert_eq!((piece.as_str(), is.leg_in), ("1C", 11.0));
    assert!((is.turned.to_degrees() + 14.6).abs() < 1e-9);
}

#[test]
fn bare_numbers_are_in_the_jobs_unit() {
    let text = "format = 1\n[measuring]\nplace = 0.02\n[[chord]]\npieces = [\"1A\"]\noutside = \"2 1/2 in\"\n";
    let fit = read("fit.toml", text.as_bytes(), Units::Inch).0.unwrap();
    assert!((fit.measuring.place - 0.508).abs() < 1e-12);
    assert!((fit.chords[0].outside.unwrap() - 63.5).abs() < 1e-12);
    // What is not given stays in mm.
    assert_eq!(fit.measuring.distance, 0.5);
}

#[test]
fn everything_that_is_wrong_is_said_with_its_line() {
    let bad = GOOD
        .replace("after = \"1B\"\n", "")
        .replace("state = \"welded\"", "state = \"wedled\"")
        .replace("place = 0.6", "place = 0.0")
        .replace("[[0, 0, 0], [0, 80, 0]]", "[[0, 0, 0], [0, 0, 0]]")
        .replace("outside = 212.4\ninside = 171.0\n", "");
    let (fit, problems) = read("fit.toml", bad.as_bytes(), Units::Mm);
    assert!(fit.is_none());
    let said: String = problems.iter().map(ToString::to_string).collect();
    for word in ["which end was measured", "wedled", "`place` cannot be 0", "less than 1 mm apart", "says no length"] {
        assert!(said.contains(word), "{word}: {said}");
    }
    assert!(problems.iter().all(|p| !p.hint.is_empty() && !p.expected.is_empty() && p.place.spot.is_some()), "{said}");
}

/// The record in the manual is read without a word, and the manual names every key.
#[test]
fn the_manual_is_true() {
    let manual = include_str!("../../../../../docs/fit.md");
    let block = manual.split("```toml\n").nth(1).unwrap().split("```").next().unwrap();
    let (fit, problems) = read("fit.toml", block.as_bytes(), Units::Mm);
    assert!(fit.is_some() && problems.is_empty(), "{problems:?}");
    for key in keys() {
        let named = [format!("\n{} = ", key.name), format!("[{}]", key.name), format!("{} = ", key.name)];
        assert!(named.iter().any(|n| manual.contains(n)), "{}", key.name);
    }
}
