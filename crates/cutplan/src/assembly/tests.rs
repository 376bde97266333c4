//! Assembly of a hand-made run against closed forms.

use std::f64::consts::{FRAC_PI_2, PI};

use geom::Vec3;
use job::model::Money;
use job::routes::{Route, RunId};

use super::*;
use crate::marks::blank;
use crate::plan::{CutPlan, Item, ItemShape, Piece, StockRef};

fn piece(mark: &str, from: f64, to: f64, legs: [f64; 2], angle: f64) -> Piece {
    Piece {
        mark: mark.into(),
        run: RunId::Primary { cylinder: 1 },
        from,
        to,
        item: 0,
        at: [from, to],
        reversed: false,
        reserve: Default::default(),
        leg_in: legs[0],
        angle,
        leg_out: legs[1],
        cuts: [blank(), blank()],
        clocking: None,
    }
}

/// 100 mm along y, a quarter bend of CLR 60 to z, a quarter bend of CLR 60 to x, 50 mm.
fn example() -> (job::model::Job, Routes, CutPlan) {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/straight-six");
    let mut job = job::open(&job::Folder::of(std::path::Path::new(folder))).unwrap().job;
    job.primary.tube.od = 40.0;
    job.primary.tube.wall = 2.0;
    let points =
        vec![Vec3::ZERO, Vec3::new(0.0, 160.0, 0.0), Vec3::new(0.0, 160.0, 120.0), Vec3::new(110.0, 160.0, 120.0)];
    let run = RunId::Primary { cylinder: 1 };
    let collector = job.collectors[0].name.clone();
    let route = Route { run, collector, inlet: 1, points, radii: vec![60.0, 60.0], locked: false };
    let arc = 60.0 * FRAC_PI_2;
    let pieces = vec![
        piece("1A", 0.0, 100.0, [100.0, 0.0], 0.0),
        piece("1B", 100.0, 100.0 + arc, [0.0, 0.0], FRAC_PI_2),
        piece("1C", 100.0 + arc, 150.0 + 2.0 * arc, [0.0, 50.0], FRAC_PI_2),
    ];
    let item = Item {
        id: "b1".into(),
        stock: StockRef::Bend(0),
        name: "bend".into(),
        od: 40.0,
        shape: ItemShape::Straight { length: 400.0 },
        price: Money(0),
    };
    let plan = CutPlan {
        cost: Money(0),
        lower_bound: Money(0),
        proven: true,
        joints: 2,
        cuts: 0,
        items: vec![item],
        pieces,
        offcuts: Vec::new(),
    };
    (job, Routes { runs: vec![route], collectors: Vec::new() }, plan)
}

#[test]
fn joints_lie_where_the_pencil_puts_them() {
    let (job, routes, plan) = example();
    let run = &assembly(&job, &routes, &plan).unwrap()[0];
    let names: Vec<&str> = run.joints.iter().map(|j| j.name.as_str()).collect();
    assert_eq!(names[..3], ["port 1-1A", "1A-1B", "1B-1C"]);
    let places = [[0.0, 0.0, 0.0], [0.0, 100.0, 0.0], [0.0, 160.0, 60.0], [110.0, 160.0, 120.0]];
    for (joint, [x, y, z]) in run.joints.iter().zip(places) {
        assert!((joint.place - Vec3::new(x, y, z)).length() < 1e-9, "{joint:?}");
        assert!((joint.reach - Vec3::new(x, y, z).length()).abs() < 1e-9);
        // Out along y, left of it (z x y) is -x, up is z.
        let [out, left, up] = joint.from_start;
        assert!((out - y).abs() < 1e-9 && (left + x).abs() < 1e-9 && (up - z).abs() < 1e-9, "{joint:?}");
    }
}

#[test]
fn on_a_vertical_tube_the_line_looks_to_the_front_and_says_so() {
    assert!(looks_up(Vec3::Y) && looks_up(Vec3::new(0.0, 0.3, -0.95).normalize()));
    assert!(!looks_up(Vec3::Z) && !looks_up(-Vec3::Z));
}

#[test]
fn match_marks_say_the_clocking_between_two_bends() {
    let (job, routes, plan) = example();
    let run = &assembly(&job, &routes, &plan).unwrap()[0];
    // At the port: up is the reference; the first bend turns up, so that its outside looks down.
    assert_eq!(run.joints[0].marks[0].line, MarkLine::Up);
    assert!((run.joints[0].marks[1].angle - PI).abs() < 1e-9);
    // Flow up z, outside of 1B along +y, outside of 1C along -x: a quarter turn right-handed about z.
    let marks = &run.joints[2].marks;
    let outside = |m: &str| MarkLine::Outside(m.into());
    assert_eq!([marks[0].line.clone(), marks[1].line.clone()], [outside("1B"), outside("1C")]);
    assert!((marks[1].angle - FRAC_PI_2).abs() < 1e-9 && (marks[1].around - 20.0 * FRAC_PI_2).abs() < 1e-9);
    let [a, b] = mark_places(&run.joints[2], 20.0)[..] else { panic!() };
    assert!((a - Vec3::new(0.0, 180.0, 60.0)).length() < 1e-9 && (b - Vec3::new(-20.0, 160.0, 60.0)).length() < 1e-9);
}

#[test]
fn chords_are_those_of_the_circle() {
    let (job, routes, plan) = example();
    let run = &assembly(&job, &routes, &plan).unwrap()[0];
    assert_eq!(run.chords.len(), 5);
    let straight = &run.chords[0];
    assert!((straight.outside - 100.0).abs() < 1e-9 && (straight.inside - 100.0).abs() < 1e-9);
    let bend = &run.chords[1];
    assert!((bend.outside - 2.0 * 80.0 * (0.25 * PI).sin()).abs() < 1e-9);
    assert!((bend.inside - 2.0 * 40.0 * (0.25 * PI).sin()).abs() < 1e-9);
    // Over 1B and 1C: from (0, 100, -20) to (110, 160, 140).
    let both = &run.chords[4];
    assert_eq!(both.pieces, ["1B", "1C"]);
    assert!((both.outside - Vec3::new(110.0, 60.0, 160.0).length()).abs() < 1e-9, "{both:?}");
}

#[test]
fn the_volume_is_the_bore_times_the_way() {
    let (job, routes, plan) = example();
    let run = &assembly(&job, &routes, &plan).unwrap()[0];
    assert!((run.volume - 0.25 * PI * 36.0 * 36.0 * run.length).abs() < 1e-6);
}
