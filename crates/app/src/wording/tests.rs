use cutplan::CutError;
use job::model::Units;
use job::routes::RunId;
use route::finding::{Change, Neighbour, Shortfall};
use template::DrawingError;

#[test]
fn an_error_speaks_the_unit_of_its_reader() {
    let run = RunId::Primary { cylinder: 2 };
    let error = CutError::NoBendOfClr { run, bend: 1, clr: 63.5, od: 44.45, wall: 1.651, near: Some(76.2) };
    let inches = super::cut(&error, Units::Inch);
    assert!(inches.contains("CLR 2.500 in for tube 1 3/4 x 0.065 in"), "{inches}");
    assert!(inches.contains("nearest CLR 3.000 in") && !inches.contains("mm"), "{inches}");
    let mm = super::cut(&error, Units::Mm);
    assert!(mm.contains("CLR 63.50 mm for tube 44.45 x 1.65 mm"), "{mm}");
}

#[test]
fn a_gap_names_the_obstacle_the_place_and_the_need() {
    let what = Shortfall::TooClose { to: Neighbour::Keepout("shaft".into()), gap: 3.2, need: 12.0, at: 120.0 };
    let said = super::shortfall(&what, Units::Mm);
    assert_eq!(said, "3.20 mm clear of shaft at 120.0 mm from its start; 12.00 mm needed");
    let what = Shortfall::TooClose { to: Neighbour::Itself, gap: -2.0, need: 5.0, at: 10.0 };
    assert!(super::shortfall(&what, Units::Mm).starts_with("overlaps itself by 2.00 mm"));
}

#[test]
fn changes_are_instructions_in_the_unit_of_the_reader() {
    let change = Change::ReduceClearance { keepout: "rail".into(), from: 12.7, to: 6.35 };
    assert_eq!(super::change(&change, Units::Inch), "reduce the clearance to rail from 1/2 in to 1/4 in");
}

#[test]
fn less_clearance_to_a_line_names_the_heat_shield() {
    let less = |keepout: &str| {
        super::change(&Change::ReduceClearance { keepout: keepout.into(), from: 75.0, to: 12.0 }, Units::Mm)
    };
    for name in ["fuel line", "Brake hoses", "wiring loom"] {
        assert!(less(name).contains("only behind a heat shield"), "{name}");
    }
    assert!(!less("frame rail").contains("heat shield"));
}

#[test]
fn sleeves_that_meet_say_the_gap_that_the_collector_needs() {
    let error = DrawingError::SleevesMeet { inlets: [1, 2], more: 1.8, gap: 3.8 };
    assert!(super::drawing(&error, Units::Mm).contains("needs a gap of at least 3.80 mm"));
    assert!(super::drawing(&error, Units::Inch).contains("0.150 in"));
}
