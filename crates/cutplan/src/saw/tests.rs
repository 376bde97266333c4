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
            saw: Saw { kerf, kerf_at: KerfAt::Inside, min_straight: 10.0, min_arc: 0.05, reserve: None },
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
            ports: &[],
            slips: &[],
            couplings: &[],
            cylinders: 0,
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
        reserve: Default::default(),
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
    let parts: Vec<Outcome> = work.stretches.iter().map(|s| s.part).collect();
    assert_eq!(parts, [Outcome::Piece(0), Outcome::Piece(1), Outcome::Offcut(0)]);
    assert_eq!(work.cuts.len(), 2);
    // The long rest is held: the first cut is the far one.
    assert_eq!((work.cuts[0].number, work.cuts[1].number), (1, 2));
    assert!(!work.cuts[0].hold_start && work.cuts[0].held == 898.0 && work.cuts[1].held == 698.0);
    let last = &work.cuts[1];
    assert_eq!((last.saw.line, last.kerf, last.kerf_after), (300.0, [300.0, 302.0], true));
    assert_eq!((last.beside, last.second), (Some(Outcome::Offcut(0)), None));
    // Square cuts of a stick leave nothing to true.
    assert!(!work.cuts[0].second.is_some_and(|f| f.trued()));
}

#[test]
fn cuts_go_from_both_ends_to_the_longest_stretch() {
    let shop = Shop::new(2.0);
    let lengths = [[0.0, 50.0], [52.0, 352.0], [354.0, 404.0], [406.0, 456.0]];
    let work = saw_work(&plan(ItemShape::Straight { length: 456.0 }, &lengths, &[]), 0, &shop.job());
    let order: Vec<(u32, bool, f64)> = work.cuts.iter().map(|c| (c.number, c.hold_start, c.held)).collect();
    assert_eq!(order, [(1, false, 404.0), (3, true, 300.0), (2, true, 352.0)]);
    assert_eq!(work.in_order().iter().map(|c| c.saw.piece).collect::<Vec<_>>(), [0, 2, 1]);
}

#[test]
fn neighbours_less_than_two_blades_apart_share_a_cut_and_others_have_two() {
    let shop = Shop::new(2.0);
    let stick = |second: f64, length: f64| {
        let shape = ItemShape::Straight { length };
        saw_work(&plan(shape, &[[0.0, 100.0], [second, length]], &[]), 0, &shop.job())
    };
    assert_eq!(stick(102.0, 202.0).cuts.len(), 1);
    let close = stick(103.5, 203.5);
    assert_eq!((close.cuts.len(), close.stretches.len()), (1, 2));
    let second = close.cuts[0].second.unwrap();
    assert!(second.trued() && second.over.iter().all(|o| (o - 1.5).abs() < 1e-9), "{second:?}");
    let work = stick(110.0, 210.0);
    assert_eq!(work.cuts.len(), 2);
    assert_eq!(work.stretches[1], SawnStretch { at: [102.0, 108.0], part: Outcome::Scrap });
    assert!(work.cuts[0].kerf_after && !work.cuts[1].kerf_after);
    assert_eq!((work.cuts[1].saw.line, work.cuts[1].second), (110.0, None));
    // The far piece comes off first; then the ring of 6 mm, off the piece that is held.
    assert_eq!((work.cuts[1].number, work.cuts[0].ring, work.cuts[1].ring), (1, Some(6.0), None));
}

#[test]
fn an_end_narrower_than_the_blade_comes_off_as_chips() {
    let shop = Shop::new(2.0);
    let work = saw_work(&plan(ItemShape::Straight { length: 300.0 }, &[[0.0, 298.8]], &[]), 0, &shop.job());
    assert_eq!((work.cuts.len(), work.cuts[0].ring, work.cuts[0].beside), (1, Some(0.0), None));
}

/// A bend of CLR 60 and OD 40 by 3 rad with a cut between two pieces at 1 rad.
fn parted(kerf_at: KerfAt, spare: f64) -> (SawCut, f64) {
    let mut shop = Shop::new(1.6);
    shop.saw.kerf_at = kerf_at;
    let radius = if kerf_at == KerfAt::Inside { 40.0 } else { 60.0 };
    let gap = (1.6_f64 / radius).asin() + spare;
    let bend = ItemShape::Bend { clr: 60.0, angle: 3.0, legs: [50.0, 80.0] };
    let plan = plan(bend, &[[0.0, 110.0], [110.0 + 60.0 * gap, 310.0]], &[]);
    let work = saw_work(&plan, 0, &shop.job());
    assert_eq!(work.cuts.len(), 1);
    (work.cuts[0], gap)
}

#[test]
fn a_cut_between_two_pieces_on_a_bend_has_two_faces() {
    let (cut, gap) = parted(KerfAt::Inside, 0.0);
    let CutPlace::Arc { angle, outside, inside, .. } = cut.saw.place else { panic!("{:?}", cut.saw) };
    assert!((angle - 1.0).abs() < 1e-9 && (outside - 80.0).abs() < 1e-9 && (inside - 40.0).abs() < 1e-9);
    // The shorter piece is sawn to its line; on the other the blade leaves r sin(gap) - blade: 80/40 - 1 blades outside.
    assert_eq!((cut.saw.piece, cut.kerf_after, cut.beside), (0, true, Some(Outcome::Piece(1))));
    let second = cut.second.unwrap();
    let CutPlace::Arc { angle, outside, .. } = second.place else { panic!("{second:?}") };
    assert!((angle - 1.0 - gap).abs() < 1e-9 && (outside - 80.0 * (1.0 + gap)).abs() < 1e-9);
    assert!((second.over[0] - 1.6).abs() < 1e-9 && second.over[1].abs() < 1e-9 && second.trued(), "{second:?}");
    // From the end of leg 1 the tape reads 50 more.
    let end = from_end(&ItemShape::Bend { clr: 60.0, angle: 3.0, legs: [50.0, 80.0] }, &cut.saw.place);
    assert_eq!(end.leg, 1);
    assert!((end.outside - 130.0).abs() < 1e-9 && (end.inside - 90.0).abs() < 1e-9);
}

#[test]
fn a_blade_counted_at_the_centreline_reaches_into_the_second_face_inside() {
    let (cut, _) = parted(KerfAt::Centreline, 0.0);
    let over = cut.second.unwrap().over;
    // 80/60 - 1 and 40/60 - 1 blades.
    assert!((over[0] - 1.6 / 3.0).abs() < 1e-9 && (over[1] + 1.6 / 3.0).abs() < 1e-9, "{over:?}");
}

#[test]
fn a_gap_a_little_wider_than_the_blade_is_still_one_cut() {
    let (cut, gap) = parted(KerfAt::Inside, 0.001);
    let over = cut.second.unwrap().over;
    assert!((over[1] - (40.0 * gap.sin() - 1.6)).abs() < 1e-9 && over[0] > over[1]);
}

#[test]
fn a_kerf_in_an_arc_is_measured_at_the_inside() {
    let shop = Shop::new(1.6);
    let bend = ItemShape::Bend { clr: 60.0, angle: 3.0, legs: [50.0, 80.0] };
    let work = saw_work(&plan(bend, &[[0.0, 110.0]], &[]), 0, &shop.job());
    assert_eq!(work.cuts.len(), 1);
    let cut = work.cuts[0];
    assert!((cut.kerf[1] - cut.kerf[0] - 60.0 * (1.6_f64 / 40.0).asin()).abs() < 1e-9);
    assert_eq!(cut.second, None);
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
