//! Figures that a pencil gives.
#![allow(clippy::unwrap_used)]

use fit::chain::figure;
use fit::{
    Chain, End, Freedom, Joining, Limit, Limits, Miss, Part, Run, Shop, Slot, State, correct, cut_open, forecast,
};
use geom::{Frame, Vec3};
use job::fit::Quality;
use job::routes::RunId;

/// A run of pieces [leg in, CLR, angle, leg out] from the origin along x, bends towards y, into `inlet`.
fn run(pieces: &[[f64; 4]], inlet: Frame) -> Run {
    let start = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Y };
    let chain = Chain { start, inlet, links: pieces.len() };
    let mut drawn = vec![0.0; chain.figures()];
    for (k, [leg_in, clr, angle, leg_out]) in pieces.iter().enumerate() {
        drawn[figure(k, Slot::LegIn)] = *leg_in;
        drawn[figure(k, Slot::Clr)] = *clr;
        drawn[figure(k, Slot::Angle)] = *angle;
        drawn[figure(k, Slot::LegOut)] = *leg_out;
    }
    let part = |(k, p): (usize, &[f64; 4])| Part {
        mark: format!("1{k}"),
        joint: format!("{k}"),
        joining: Joining::Weld,
        item: k,
        clr: p[1],
        ends: [End::Leg, End::Leg],
        whole: false,
        line: 0.0,
        sides: [0.0; 2],
        reserve: Default::default(),
    };
    Run {
        id: RunId::Primary { cylinder: 1 },
        chain,
        parts: pieces.iter().enumerate().map(part).collect(),
        od: 40.0,
        wall: 1.5,
        inlet: None,
        closing: String::new(),
        slides_in: false,
        length: chain.length(&drawn),
        drawn,
    }
}

/// Two straights of 300 mm in line, only the welds pull, by 0.5 degrees each way: the second joint moves the end by 2.618 mm
/// a direction, the first by twice that.
#[test]
fn two_straights_bend_at_their_joints() {
    let inlet = Frame { origin: Vec3::X * 600.0, forward: Vec3::X, up: Vec3::Y };
    let run = run(&[[300.0, 0.0, 0.0, 0.0], [300.0, 0.0, 0.0, 0.0]], inlet);
    let none = Shop {
        cut: 0.0,
        squareness: 0.0,
        clocking: 0.0,
        gap: 0.0,
        step: 0.0,
        shrinkage: 0.0,
        shrinkage_sd: 0.0,
        port: 0.0,
        port_angle: 0.0,
        pull: 0.5f64.to_radians(),
        ..Shop::usual(Quality::Usual, 1.5)
    };
    let told = forecast(&run, &none, Limit { within: 1.0, angle: 0.02, slip: 0.0 });
    let one = 300.0 * 0.5f64.to_radians();
    assert!((one - 2.618).abs() < 1e-3);
    assert!((told.sd_across - (2.0 * (one * one + 4.0 * one * one)).sqrt()).abs() < 1e-9, "{}", told.sd_across);
    assert!((told.sd_direction - 2.0 * 0.5f64.to_radians()).abs() < 1e-12);
    assert!(told.sd_along < 1e-12 && told.mean_along.abs() < 1e-12);
}

/// One bend in a plane: its legs end where the tangent lines at start and inlet cross, less R tan(a / 2).
#[test]
fn one_bend_in_a_plane_is_the_crossing_of_two_lines() {
    let turn = 1.2_f64;
    let along = Vec3::new(turn.cos(), turn.sin(), 0.0);
    let crossing = Vec3::X * 180.0;
    let end = crossing + along * 150.0;
    let inlet = Frame { origin: end, forward: along, up: Vec3::Z };
    // Drawn for another inlet.
    let run = run(&[[110.0, 76.2, 1.1, 90.0]], inlet);
    let free = [Freedom::of(State::Uncut)];
    let limits = [Limits { min_straight: 12.0, min_arc: 0.1, leg: 200.0, beside: [0.0; 2] }];
    let done = correct(&run, &run.drawn, &run.drawn, &free, &limits);
    let back = 76.2 * (0.5 * turn).tan();
    let is = |slot| done.figures[figure(0, slot)];
    assert!(done.met, "{:?}", done.after);
    for (found, pencil) in [
        (is(Slot::LegIn), 180.0 - back),
        (is(Slot::Angle), turn),
        (is(Slot::LegOut), 150.0 - back),
        (is(Slot::Roll), 0.0),
    ] {
        assert!((found - pencil).abs() < 1e-6, "{found} {pencil}");
    }
    // Within bounds that are too tight the end stays away, and no bound is passed.
    let tight = [Limits { leg: 50.0, ..limits[0] }];
    let near = correct(&run, &run.drawn, &run.drawn, &free, &tight);
    assert!(!near.met && near.figures[figure(0, Slot::LegIn)] <= 110.0 + 1e-9);
}

/// Two straights of 300 mm in line that go 40 mm into each other: what is welded stays, and the slip joint alone takes up 7 mm along
/// the flow; of 15 mm it takes up a quarter of its overlap.
#[test]
fn a_slip_joint_takes_up_what_is_off_along_it() {
    let inlet = Frame { origin: Vec3::X * 553.0, forward: Vec3::X, up: Vec3::Y };
    let mut run = run(&[[300.0, 0.0, 0.0, 0.0], [300.0, 0.0, 0.0, 0.0]], inlet);
    run.parts[1].joining = Joining::Slip { overlap: 40.0 };
    run.drawn[figure(1, Slot::Shift)] = -40.0;
    let welded = [Freedom::of(State::Welded); 2];
    let limits = [Limits { min_straight: 12.0, min_arc: 0.1, leg: 200.0, beside: [0.0; 2] }; 2];
    let done = correct(&run, &run.drawn, &run.drawn, &welded, &limits);
    assert!(done.met && (done.figures[figure(1, Slot::Shift)] + 47.0).abs() < 1e-6, "{:?}", done.after);
    run.chain.inlet.origin = Vec3::X * 575.0;
    let short = correct(&run, &run.drawn, &run.drawn, &welded, &limits);
    assert!(!short.met && (short.after.distance() - 5.0).abs() < 1e-3, "{:?}", short.after);
    assert_eq!(cut_open(&run, &run.drawn, &run.drawn, &welded, &limits).map(|open| open.link), Some(0));
}

/// A coupling is welded on both sides: twice the variance of what welds do, and twice their mean.
#[test]
fn a_coupling_counts_as_two_welds() {
    let inlet = Frame { origin: Vec3::X * 620.0, forward: Vec3::X, up: Vec3::Y };
    let mut run = run(&[[300.0, 0.0, 0.0, 0.0], [300.0, 0.0, 0.0, 0.0]], inlet);
    run.parts[1].joining = Joining::Coupling { turns: false };
    run.drawn[figure(1, Slot::Shift)] = 20.0;
    let welds = Shop {
        cut: 0.0,
        squareness: 0.0,
        clocking: 0.0,
        gap: 0.0,
        step: 0.0,
        pull: 0.0,
        port: 0.0,
        port_angle: 0.0,
        ..Shop::usual(Quality::Usual, 1.5)
    };
    let found = forecast(&run, &welds, Limit { within: 1.0, angle: 0.02, slip: 0.0 });
    assert!((found.mean_along + 3.0 * 0.3).abs() < 1e-9, "{}", found.mean_along);
    assert!((found.sd_along - 3f64.sqrt() * 0.1).abs() < 1e-9, "{}", found.sd_along);
}

/// An end that slides by 12 mm goes in where it is 12 mm and the limit off along its inlet, and no farther.
#[test]
fn an_end_that_slides_goes_in_from_farther_along() {
    let limit = Limit { within: 1.0, angle: 0.02, slip: 12.0 };
    let off = |along: f64, across: f64| Miss { parts: [along, across, 0.0, 0.0, 0.0], angle: 0.0 };
    assert!(limit.holds(&off(-12.9, 0.0)) && limit.holds(&off(11.0, 0.9)));
    assert!(!limit.holds(&off(13.1, 0.0)) && !limit.holds(&off(0.0, 1.1)) && !limit.holds(&off(12.8, 0.8)));
    assert!(!limit.butted().holds(&off(1.1, 0.0)) && limit.sliding(20.0).holds(&off(20.5, 0.0)));
}
