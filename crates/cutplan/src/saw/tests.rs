//! Saw work of hand-made plans.

use job::model::{Cost, CutPer, KerfAt, Money, Saw, Stock, Tube};
use job::routes::RunId;

use super::*;
use crate::marks::blank;
use crate::plan::{Item, ItemShape, Offcut, Piece, StockRef};

struct Shop {
    tube: Tube,
    stock: Stock,
    saw: Saw,
    cost: Cost,
}

impl Shop {
    fn new(kerf: f64) -> Self {
        Shop {
            tube: Tube { od: 40.0, wall: 2.0, material: "304".into(), nominal: None },
            stock: Stock::default(),
            saw: Saw { kerf, kerf_at: KerfAt::Inside, min_straight: 10.0, min_arc: 0.05 },
            cost: Cost { joint: Money(0), cut: Money(0), cut_per: CutPer::Saw },
        }
    }

    fn job(&self) -> CutJob<'_> {
        CutJob {
            primary: &self.tube,
            secondary: &self.tube,
            tail: &self.tube,
            stock: &self.stock,
            shelf: &[],
            saw: &self.saw,
            cost: &self.cost,
        }
    }
}

fn plan(shape: ItemShape, pieces: &[[f64; 2]], offcuts: &[[f64; 2]]) -> CutPlan {
    let item = Item { id: "x1".into(), stock: StockRef::Bend(0), name: "x".into(), od: 40.0, shape, price: Money(0) };
    let piece = |at: &[f64; 2]| Piece {
        mark: "1A".into(),
        run: RunId::Primary { cylinder: 1 },
        from: 0.0,
        to: at[1] - at[0],
        item: 0,
        at: *at,
        reversed: false,
        leg_in: 0.0,
        angle: 0.0,
        leg_out: 0.0,
        cuts: [blank(), blank()],
        clocking: None,
    };
    CutPlan {
        cost: Money(0),
        lower_bound: Money(0),
        proven: true,
        joints: 0,
        cuts: 0,
        items: vec![item],
        pieces: pieces.iter().map(piece).collect(),
        offcuts: offcuts.iter().map(|at| Offcut { item: 0, at: *at }).collect(),
    }
}

#[test]
fn a_stick_is_cut_from_the_free_end_towards_what_is_held() {
    let shop = Shop::new(2.0);
    let plan = plan(ItemShape::Straight { length: 1000.0 }, &[[0.0, 100.0], [102.0, 300.0]], &[[302.0, 1000.0]]);
    let work = saw_work(&plan, 0, &shop.job());
    let parts: Vec<Part> = work.stretches.iter().map(|s| s.part).collect();
    assert_eq!(parts, [Part::Piece(0), Part::Piece(1), Part::Offcut(0)]);
    assert_eq!(work.cuts.len(), 2);
    // The long rest is held: the first cut is the far one.
    assert_eq!((work.cuts[0].number, work.cuts[1].number), (1, 2));
    assert!(!work.cuts[0].hold_start && work.cuts[0].held == 898.0 && work.cuts[1].held == 698.0);
    assert_eq!((work.cuts[1].line, work.cuts[1].kerf, work.cuts[1].kerf_after), (300.0, [300.0, 302.0], true));
}

#[test]
fn neighbours_a_kerf_apart_share_a_cut_and_others_have_two() {
    let shop = Shop::new(2.0);
    let shared = plan(ItemShape::Straight { length: 202.0 }, &[[0.0, 100.0], [102.0, 202.0]], &[]);
    assert_eq!(saw_work(&shared, 0, &shop.job()).cuts.len(), 1);
    let apart = plan(ItemShape::Straight { length: 210.0 }, &[[0.0, 100.0], [110.0, 210.0]], &[]);
    let work = saw_work(&apart, 0, &shop.job());
    assert_eq!(work.cuts.len(), 2);
    assert_eq!(work.stretches[1], Stretch { at: [102.0, 108.0], part: Part::Scrap });
    assert!(work.cuts[0].kerf_after && !work.cuts[1].kerf_after);
    assert_eq!(work.cuts[1].line, 110.0);
}

#[test]
fn a_kerf_in_an_arc_is_measured_at_the_inside() {
    let shop = Shop::new(1.6);
    let bend = ItemShape::Bend { clr: 60.0, angle: 3.0, legs: [50.0, 80.0] };
    let plan = plan(bend, &[[0.0, 110.0]], &[]);
    let work = saw_work(&plan, 0, &shop.job());
    assert_eq!(work.cuts.len(), 1);
    let cut = work.cuts[0];
    assert!((cut.kerf[1] - cut.kerf[0] - 60.0 * (1.6_f64 / 40.0).asin()).abs() < 1e-9);
    let CutPlace::Arc { angle, outside, inside, .. } = cut.place else { panic!("{:?}", cut.place) };
    assert!((angle - 1.0).abs() < 1e-9 && (outside - 80.0).abs() < 1e-9 && (inside - 40.0).abs() < 1e-9);
}

#[test]
fn a_whole_item_in_one_piece_needs_no_cut() {
    let shop = Shop::new(1.6);
    let work = saw_work(&plan(ItemShape::Straight { length: 300.0 }, &[[0.0, 300.0]], &[]), 0, &shop.job());
    assert!(work.cuts.is_empty());
    assert_eq!(work.stretches.len(), 1);
}

#[test]
fn every_millimetre_is_a_stretch_or_a_kerf() {
    let shop = Shop::new(1.6);
    let bend = ItemShape::Bend { clr: 76.2, angle: std::f64::consts::PI, legs: [100.0, 100.0] };
    let plan = plan(bend, &[[20.0, 140.0], [150.0, 230.0], [300.0, 400.0]], &[]);
    let work = saw_work(&plan, 0, &shop.job());
    let stretches: f64 = work.stretches.iter().map(|s| s.at[1] - s.at[0]).sum();
    let kerfs: f64 = work.cuts.iter().map(|c| c.kerf[1] - c.kerf[0]).sum();
    assert!((stretches + kerfs - bend.length()).abs() < 1e-9);
    let mut numbers: Vec<u32> = work.cuts.iter().map(|c| c.number).collect();
    numbers.sort_unstable();
    assert_eq!(numbers, [1, 2, 3, 4, 5, 6]);
}
