//! Figures of hand-made plans add up.

use std::f64::consts::PI;

use job::model::{Cost, CutPer, KerfAt, Money, Saw, Stock, Tube};
use job::routes::RunId;

use super::*;
use crate::marks::blank;
use crate::plan::{Item, StockRef};

const INCH: Steps = Steps { length: 0.0254, angle: PI / 18000.0 };

fn item(shape: ItemShape) -> Item {
    Item { id: "x".into(), stock: StockRef::Bend(0), name: "x".into(), od: 40.0, shape, price: Money(0) }
}

/// A piece of item `item` at `at`, with its leg, arc and leg, from `from` on the route.
fn piece(item: usize, at: [f64; 2], from: f64, [leg_in, angle, leg_out]: [f64; 3]) -> Piece {
    Piece {
        mark: "1A".into(),
        run: RunId::Primary { cylinder: 1 },
        from,
        to: from + at[1] - at[0],
        item,
        at,
        reversed: false,
        reserve: Default::default(),
        leg_in,
        angle,
        leg_out,
        cuts: [blank(), blank()],
        clocking: None,
    }
}

fn shown(items: Vec<Item>, pieces: Vec<Piece>, offcuts: Vec<Offcut>, steps: Steps) -> CutPlan {
    let tube = Tube { od: 40.0, wall: 2.0, material: "304".into(), nominal: None };
    let (stock, cost) = (Stock::default(), Cost { joint: Money(0), cut: Money(0), cut_per: CutPer::Piece });
    let saw = Saw { kerf: 1.6, kerf_at: KerfAt::Inside, min_straight: 10.0, min_arc: 0.05, reserve: None };
    let [primary, secondary, tail] = [&tube; 3];
    let job = CutJob {
        primary,
        secondary,
        tail,
        stock: &stock,
        shelf: &[],
        saw: &saw,
        cost: &cost,
        ports: &[],
        slips: &[],
        couplings: &[],
        cylinders: 0,
    };
    let (lower_bound, proven, joints, cuts) = (Money(0), true, 0, 0);
    let plan = CutPlan { cost: Money(0), lower_bound, proven, joints, cuts, items, pieces, offcuts };
    in_steps(&plan, steps, &job)
}

/// Whether a length is a whole number of steps.
fn whole(mm: f64, steps: Steps) -> bool {
    (mm / steps.length - (mm / steps.length).round()).abs() < 1e-6
}

#[test]
fn a_stick_adds_up_from_its_left_end() {
    let mut pieces = Vec::new();
    let (mut at, mut from) = (0.0, 0.0);
    for length in [123.456, 77.777, 200.013, 54.321] {
        pieces.push(piece(0, [at, at + length], from, [length, 0.0, 0.0]));
        at += length + 1.6;
        from += length;
    }
    let rest = vec![Offcut { item: 0, at: [at, 1000.0] }];
    let stick = item(ItemShape::Straight { length: 1000.0 });
    for (steps, blade) in [(INCH, 63.0 * 0.0254), (Steps { length: 0.1, ..INCH }, 1.6)] {
        let plan = shown(vec![stick.clone()], pieces.clone(), rest.clone(), steps);
        let mut at = 0.0;
        for (shown, piece) in plan.pieces.iter().zip(&pieces) {
            assert!(whole(shown.from, steps) && whole(shown.to, steps) && whole(shown.leg_in, steps));
            assert!((shown.from - piece.from).abs() <= 0.5 * steps.length + 1e-9, "it drifts");
            assert!((shown.leg_in - (shown.to - shown.from)).abs() < 1e-9);
            assert!((shown.at[0] - at).abs() < 1e-9 && (shown.at[1] - at - shown.leg_in).abs() < 1e-9);
            at = shown.at[1] + blade;
        }
        assert!((plan.offcuts[0].at[0] - at).abs() < 0.02, "{:?}", plan.offcuts);
    }
}

#[test]
fn pieces_of_a_bend_hang_on_its_tangent_lines() {
    let shape = ItemShape::Bend { clr: 60.0, angle: PI, legs: [50.03, 80.07] };
    let gap = (1.6_f64 / 40.0).asin();
    let first = [50.03 - 31.234, 50.03 + 60.0 * 0.7];
    let middle = [first[1] + 60.0 * gap, first[1] + 60.0 * (gap + 0.9)];
    let end = 50.03 + 60.0 * PI;
    let last = [end - 60.0 * 1.1, end + 40.027];
    let pieces = vec![
        piece(0, first, 0.0, [31.234, 0.7, 0.0]),
        piece(0, middle, 100.0, [0.0, 0.9, 0.0]),
        piece(0, last, 200.0, [0.0, 1.1, 40.027]),
        piece(0, [end + 80.07 - 20.0, end + 80.07], 300.0, [20.0, 0.0, 0.0]),
    ];
    let plan = shown(vec![item(shape)], pieces.clone(), Vec::new(), INCH);
    let ItemShape::Bend { angle, legs, .. } = plan.items[0].shape else { panic!() };
    let [t1, t2] = [legs[0], legs[0] + 60.0 * angle];
    let at = |k: usize| plan.pieces[k].at;
    assert!((t1 - at(0)[0] - plan.pieces[0].leg_in).abs() < 1e-9);
    assert!((at(0)[1] - t1 - 60.0 * plan.pieces[0].angle).abs() < 1e-9);
    assert!((t2 - at(2)[0] - 60.0 * plan.pieces[2].angle).abs() < 1e-9);
    assert!((at(2)[1] - t2 - plan.pieces[2].leg_out).abs() < 1e-9);
    // The piece beyond the bend keeps its mill end.
    assert!((at(3)[1] - plan.items[0].shape.length()).abs() < 1e-9);
    for (shown, piece) in plan.pieces.iter().zip(&pieces) {
        assert!((shown.angle - piece.angle).abs() <= 0.5 * INCH.angle + 1e-12);
        assert!((shown.at[0] - piece.at[0]).abs() < 0.06 && (shown.at[1] - piece.at[1]).abs() < 0.06, "{shown:?}");
        let drawn = ((shown.at[0] - t1) / 60.0, (shown.at[1] - t1) / 60.0);
        for angle in [drawn.0, drawn.1].into_iter().filter(|a| *a > 1e-9 && *a < PI - 1e-4) {
            let parts = angle / INCH.angle;
            assert!((parts - parts.round()).abs() < 1e-6, "{angle} is on no step");
        }
    }
}
