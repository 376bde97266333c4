//! Laws that every plan obeys, hand-checked plans, and optima found by trying everything.

mod generator;

use std::sync::atomic::AtomicBool;

use cutplan::{CutError, CutPlan, CutSettings, ItemShape, StockRef};
use generator::{FAMILIES, SMALL, Sample, sample};
use geom::{Centreline, Frame, LraStep, Vec3};
use job::Monitor;
use job::model::{BendStock, CutPer, KerfAt, Money, Remnant, StraightStock};
use job::routes::{Route, Routes, RunId};
use proptest::prelude::*;

fn quick() -> CutSettings {
    CutSettings { steps: 2_000_000, ..CutSettings::default() }
}

fn solve(sample: &Sample) -> CutPlan {
    let plan = cutplan::plan(&sample.routes, &sample.job(), &quick(), &mut Monitor::silent()).expect("it can be cut");
    check(sample, &plan);
    plan
}

/// Recounted, and nothing lost: pieces + what is left and sawn = the stock used.
fn check(sample: &Sample, plan: &CutPlan) {
    let runs = cutplan::centrelines(&sample.routes).expect("tubes");
    assert_eq!(cutplan::recount(plan, &runs, &sample.job()).err(), None, "{}", sample.name);
    assert!(plan.lower_bound <= plan.cost);
    let route: f64 = runs.iter().map(|(_, c)| c.length()).sum();
    assert!((plan.pieces_length() - route).abs() < 1e-2);
    for (i, item) in plan.items.iter().enumerate() {
        let mut places: Vec<[f64; 2]> = plan.pieces.iter().filter(|p| p.item == i).map(|p| p.at).collect();
        places.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let pieces: f64 = places.iter().map(|p| p[1] - p[0]).sum();
        let mut between = places[0][0] + item.shape.length() - places[places.len() - 1][1];
        between += places.windows(2).map(|p| p[1][0] - p[0][1]).sum::<f64>();
        assert!((pieces + between - item.shape.length()).abs() < 1e-6);
        assert!(places.windows(2).all(|p| p[1][0] - p[0][1] > sample.saw.kerf - 1e-3));
        let kept: f64 = plan.offcuts.iter().filter(|o| o.item == i).map(|o| o.at[1] - o.at[0]).sum();
        assert!(kept <= between + 1e-9);
    }
}

/// One run fed from steps, with U-bends of CLR 75 and legs of 100, sticks of 1000.
fn one_run(steps: &[LraStep], last: f64) -> Sample {
    let mut one = sample(&FAMILIES[0], 1);
    let start = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z };
    let (points, radii) = Centreline::from_steps(start, steps, last).expect("a tube").to_points();
    one.routes.runs[0] = Route { points, radii, ..one.routes.runs[0].clone() };
    one
}

fn step(length: f64, rotation_deg: f64, angle_deg: f64) -> LraStep {
    LraStep { length, rotation: rotation_deg.to_radians(), angle: angle_deg.to_radians(), clr: 75.0 }
}

#[test]
fn a_right_angle_with_two_straights_is_one_bend_two_pieces() {
    // The arc carries one straight on a leg, the other straight is cut from the other leg:
    // 24 + 14 + 2 x 2.5 = 43.
    let plan = solve(&one_run(&[step(50.0, 0.0, 90.0)], 60.0));
    assert_eq!((plan.cost, plan.joints, plan.proven), (Money(43_000), 1, true));
    assert_eq!(plan.items.len(), 1);
}

#[test]
fn a_u_turn_as_bought_is_one_piece_without_a_saw_cut() {
    let mut sample = one_run(&[step(100.0, 0.0, 180.0)], 100.0);
    let plan = solve(&sample);
    assert_eq!((plan.cost, plan.joints, plan.cuts, plan.proven), (Money(26_500), 0, 0, true));
    sample.cost.cut_per = CutPer::Saw;
    assert_eq!(solve(&sample).cost, Money(24_000));
}

#[test]
fn an_arc_beyond_the_stock_is_split_and_planes_alike_are_one_arc() {
    // 135 + 135 degrees in one plane are one arc of 270: at least two U-bends, and with the split
    // two legs are carried: 48 + 14 + 2 x 2.5 = 67.
    let plan = solve(&one_run(&[step(40.0, 0.0, 135.0), step(0.0, 0.0, 135.0)], 40.0));
    assert_eq!((plan.cost, plan.proven), (Money(67_000), true));
    assert_eq!(plan.pieces.len(), 2);
    assert_eq!(plan.pieces[0].clocking.as_ref().map(|c| c.angle), Some(0.0));
}

#[test]
fn a_run_without_a_bend_is_cut_from_sticks() {
    // 500 mm from one stick: 18 + 2.5; 1500 mm from two: 36 + 14 + 2 x 2.5.
    let plan = solve(&one_run(&[], 500.0));
    assert_eq!((plan.cost, plan.pieces.len(), plan.proven), (Money(20_500), 1, true));
    let plan = solve(&one_run(&[], 1500.0));
    assert_eq!((plan.cost, plan.pieces.len(), plan.proven), (Money(55_000), 2, true));
    let mut none = one_run(&[], 500.0);
    none.stock = job::model::Stock::default();
    let failed = cutplan::plan(&none.routes, &none.job(), &quick(), &mut Monitor::silent());
    assert!(matches!(failed, Err(CutError::NoStraightStock { .. })), "{failed:?}");
}

#[test]
fn marks_say_what_the_tape_reads() {
    let plan = solve(&one_run(&[step(50.0, 0.0, 90.0), step(30.0, 90.0, 60.0)], 60.0));
    let mut angles = Vec::new();
    for piece in &plan.pieces {
        assert_eq!(plan.items[piece.item].od, 42.4);
        for cut in piece.cuts {
            if let cutplan::CutPlace::Arc { angle, outside, centre, inside } = cut.place {
                assert!((outside - (75.0 + 21.2) * angle).abs() < 1e-9);
                assert!((centre - 75.0 * angle).abs() < 1e-9 && (inside - (75.0 - 21.2) * angle).abs() < 1e-9);
            }
        }
        assert_ne!(piece.cuts[0].upstream, piece.cuts[1].upstream);
        if piece.angle > 0.0 {
            angles.push(piece.angle.to_degrees());
        }
        let clr = match plan.items[piece.item].shape {
            ItemShape::Bend { clr, .. } => clr,
            ItemShape::Straight { .. } => 0.0,
        };
        assert!((piece.leg_in + piece.leg_out + clr * piece.angle - (piece.to - piece.from)).abs() < 1e-3);
    }
    assert!((angles.iter().sum::<f64>() - 150.0).abs() < 1e-4);
    let clocking = plan.pieces.iter().find_map(|p| p.clocking.clone().filter(|c| c.angle.abs() > 0.1));
    let clocking = clocking.expect("the two bends stand at right angles");
    assert!(
        (clocking.angle.to_degrees() - 90.0).abs() < 1e-6 && (clocking.around - 21.2 * clocking.angle).abs() < 1e-9
    );
}

#[test]
fn the_file_gives_the_plan_back() {
    let plan = solve(&sample(&FAMILIES[6], 2));
    let text = cutplan::file::PlanFile::from(&plan).to_json().expect("finite");
    let again = cutplan::file::PlanFile::from_json(&text).expect("its own text");
    assert_eq!(again, cutplan::file::PlanFile::from(&plan));
    let read = again.to_plan().expect("whole");
    assert_eq!((read.cost, read.pieces.len(), read.items.len()), (plan.cost, plan.pieces.len(), plan.items.len()));
    assert!(cutplan::file::PlanFile::from_json(&text.replacen("\"format\": 1", "\"format\": 9", 1)).is_err());
}

#[test]
fn what_cannot_be_cut_says_why() {
    let fails = |sample: &Sample| {
        cutplan::plan(&sample.routes, &sample.job(), &quick(), &mut Monitor::silent()).expect_err("it cannot be cut")
    };
    let mut other_clr = one_run(&[step(50.0, 0.0, 90.0)], 60.0);
    other_clr.stock.bends[0].clr = 90.0;
    assert!(matches!(fails(&other_clr), CutError::NoBendOfClr { bend: 1, near: Some(n), .. } if n == 90.0));
    let mut other_tube = one_run(&[step(50.0, 0.0, 90.0)], 60.0);
    other_tube.stock.bends[0].od = 50.8;
    assert!(matches!(fails(&other_tube), CutError::NoBendOfClr { near: None, .. }));
    let mut short = one_run(&[step(8.0, 0.0, 90.0)], 60.0);
    short.stock.bends[0].legs = [0.0, 0.0];
    assert!(matches!(fails(&short), CutError::StraightTooShort { straight: 1, .. }));
    let mut no_stick = one_run(&[step(50.0, 0.0, 90.0)], 60.0);
    no_stick.stock.bends[0].legs = [0.0, 0.0];
    no_stick.stock.straights.clear();
    assert!(matches!(fails(&no_stick), CutError::NoStraightStock { straight: 1, .. }));
    let mut few = one_run(&[step(50.0, 0.0, 130.0), step(20.0, 90.0, 130.0)], 60.0);
    few.stock.bends[0].count = Some(1);
    assert!(matches!(fails(&few), CutError::NotEnoughBends { .. }));
    let mut wide = one_run(&[step(50.0, 0.0, 90.0)], 60.0);
    wide.saw.kerf = 60.0;
    assert!(matches!(fails(&wide), CutError::KerfTooWide { .. }));
    let mut two_short = one_run(&[step(8.0, 0.0, 90.0), step(8.0, 90.0, 90.0)], 8.0);
    two_short.stock.bends[0].count = Some(1);
    two_short.stock.bends[0].legs = [8.0, 0.0];
    assert!(cutplan::plan(&two_short.routes, &two_short.job(), &quick(), &mut Monitor::silent()).is_err());
    let none = Routes::default();
    assert_eq!(
        cutplan::plan(&none, &few.job(), &quick(), &mut Monitor::silent()).expect_err("no runs"),
        CutError::NoRuns
    );
}

#[test]
fn the_same_input_gives_the_same_plan_and_progress_only_improves() {
    let sample = sample(&FAMILIES[5], 3);
    let mut shown: Vec<CutPlan> = Vec::new();
    let first = cutplan::plan(
        &sample.routes,
        &sample.job(),
        &quick(),
        &mut Monitor::reporting(|p: &CutPlan| shown.push(p.clone())),
    )
    .expect("cut");
    assert_eq!(solve(&sample), first);
    assert!(!shown.is_empty());
    for pair in shown.windows(2) {
        assert!(pair[1].cost <= pair[0].cost && pair[1].lower_bound >= pair[0].lower_bound);
    }
    shown.iter().for_each(|p| check(&sample, p));
    // Stopped at once: whole, with a bound that holds, and not yet what more steps find.
    let stop = AtomicBool::new(true);
    let stopped =
        cutplan::plan(&sample.routes, &sample.job(), &quick(), &mut Monitor::new(&stop, |_| ())).expect("cut");
    check(&sample, &stopped);
    assert!(stopped.lower_bound < first.lower_bound && stopped.cost >= first.cost, "{stopped:?}");
}

#[test]
fn tubes_of_other_sizes_are_nested_apart() {
    let one = sample(&SMALL[0], 1);
    let mut two = sample(&SMALL[0], 1);
    let mut tail = two.routes.runs[0].clone();
    tail.run = RunId::Tail { from: "main".into() };
    two.routes.runs.push(tail);
    let large = job::model::Tube { od: 60.3, ..two.tube.clone() };
    let mut more: Vec<BendStock> = two.stock.bends.clone();
    more.iter_mut().for_each(|b| b.od = 60.3);
    two.stock.bends.extend(more);
    let mut sticks: Vec<StraightStock> = two.stock.straights.clone();
    sticks.iter_mut().for_each(|s| s.od = 60.3);
    two.stock.straights.extend(sticks);
    let job = cutplan::CutJob { tail: &large, ..two.job() };
    let plan = cutplan::plan(&two.routes, &job, &quick(), &mut Monitor::silent()).expect("cut");
    let runs = cutplan::centrelines(&two.routes).expect("tubes");
    assert_eq!(cutplan::recount(&plan, &runs, &job).err(), None);
    assert!(plan.pieces.iter().all(|p| plan.items[p.item].od == job.tube_of(&p.run).od));
    assert!(plan.cost >= solve(&one).cost);
}

/// Every way to share arcs out among groups, each group on as few bends as hold it: the least cost
/// of arcs that follow one another without straights on bends without legs. A group on k bends has
/// k - 1 arcs split.
fn best_by_trying(angles: &[f64], kerf: f64, bend: f64, price: i64, piece: i64) -> i64 {
    type Costs<'a> = &'a dyn Fn(&[(f64, usize)]) -> i64;
    fn go(i: usize, groups: &mut Vec<(f64, usize)>, angles: &[f64], cost: Costs<'_>) -> i64 {
        if i == angles.len() {
            return cost(groups);
        }
        let mut best = i64::MAX;
        for g in 0..groups.len() {
            groups[g].0 += angles[i];
            groups[g].1 += 1;
            best = best.min(go(i + 1, groups, angles, cost));
            groups[g].0 -= angles[i];
            groups[g].1 -= 1;
        }
        groups.push((angles[i], 1));
        best = best.min(go(i + 1, groups, angles, cost));
        groups.pop();
        best
    }
    let cost = |groups: &[(f64, usize)]| {
        groups
            .iter()
            .map(|&(sum, n)| {
                let bends = ((sum + kerf * (n - 1) as f64) / bend - 1e-9).ceil() as i64;
                bends * price + (n as i64 + bends - 1) * piece
            })
            .sum()
    };
    go(0, &mut Vec::new(), angles, &cost)
}

#[test]
fn arcs_alone_cost_what_trying_everything_finds() {
    let mut proven = 0;
    for (round, angles) in [
        vec![100.0, 100.0, 100.0, 100.0, 100.0],
        vec![95.0, 60.0, 120.0, 85.0, 40.0, 70.0],
        vec![170.0, 20.0, 150.0, 60.0, 110.0, 90.0],
        vec![50.0, 50.0, 50.0, 50.0, 50.0, 50.0, 50.0],
        vec![130.0, 130.0, 130.0, 130.0, 55.0],
    ]
    .iter()
    .enumerate()
    {
        // Trying everything knows no least arc, which none of these optima needs.
        let steps: Vec<LraStep> = angles.iter().map(|&a| step(0.0, 90.0, a)).collect();
        let mut sample = one_run(&steps, 0.0);
        sample.stock.bends[0].legs = [0.0, 0.0];
        let kerf = (1.6f64 / (75.0 - 21.2)).asin().to_degrees();
        let expected = best_by_trying(angles, kerf, 180.0, 24_000, 16_500) - 14_000;
        let plan = solve(&sample);
        assert_eq!(plan.cost, Money(expected), "round {round}");
        proven += usize::from(plan.proven);
    }
    assert!(proven >= 4, "{proven} of 5 proven");
}

#[test]
fn every_family_recounts() {
    let settings = CutSettings { steps: 100_000, ..CutSettings::default() };
    for family in FAMILIES {
        let sample = sample(family, 11);
        let plan =
            cutplan::plan(&sample.routes, &sample.job(), &settings, &mut Monitor::silent()).expect("it can be cut");
        check(&sample, &plan);
    }
}

/// What is left of a bend of the sample's stock, at no price.
fn left_over(sample: &Sample) -> BendStock {
    let bend = sample.stock.bends[0].clone();
    BendStock { angle: 95f64.to_radians(), legs: [60.0, 0.0], price: Money(0), count: None, ..bend }
}

#[test]
fn counted_remnants_alone_serve_when_they_suffice() {
    let mut sample = one_run(&[step(50.0, 0.0, 90.0)], 60.0);
    let bend = left_over(&sample);
    sample.stock.remnants.push(Remnant::Bend(bend));
    let plan = solve(&sample);
    assert!(plan.items.iter().any(|i| i.stock == StockRef::Remnant(0)));
    // The arc with a leg of 60 from the shelf; 50 mm from a bought stick: 18 + 14 + 5.
    assert_eq!((plan.cost, plan.proven), (Money(37_000), true));
    sample.saw.kerf_at = KerfAt::Centreline;
    assert_eq!(solve(&sample).cost, Money(37_000));
}

#[test]
fn the_shelf_counts_on_behind_the_jobs_own_remnants() {
    let mut sample = one_run(&[step(50.0, 0.0, 90.0)], 60.0);
    let bend = left_over(&sample);
    let short = BendStock { angle: 20f64.to_radians(), legs: [0.0, 0.0], ..bend.clone() };
    sample.stock.remnants.push(Remnant::Bend(short));
    let shelf = [Remnant::Bend(bend)];
    let job = cutplan::CutJob { shelf: &shelf, ..sample.job() };
    let plan = cutplan::plan(&sample.routes, &job, &quick(), &mut Monitor::silent()).unwrap();
    let runs = cutplan::centrelines(&sample.routes).unwrap();
    assert_eq!(cutplan::recount(&plan, &runs, &job).err(), None);
    assert!(plan.items.iter().any(|i| i.stock == StockRef::Remnant(1)), "{:?}", plan.items);
    assert_eq!(sample.stock.remnants.len(), 1, "what is offered is no part of the job's stock");
    // Without the shelf the plan is of other stock.
    let faults = cutplan::recount(&plan, &runs, &sample.job()).unwrap_err();
    assert!(faults.contains(&cutplan::PlanFault::Price { stock: StockRef::Remnant(1) }), "{faults:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn a_turned_or_mirrored_instance_costs_the_same(family in 0..SMALL.len(), seed in 20u64..1000) {
        let plain = sample(&SMALL[family], seed);
        let mut turned = sample(&SMALL[family], seed);
        for route in &mut turned.routes.runs {
            route.points.reverse();
            route.radii.reverse();
            route.points.iter_mut().for_each(|p| p.y = -p.y);
        }
        let (a, b) = (solve(&plain), solve(&turned));
        prop_assert!(a.lower_bound <= b.cost && b.lower_bound <= a.cost);
        if a.proven && b.proven {
            prop_assert_eq!(a.cost, b.cost);
        }
    }

    #[test]
    fn free_stock_on_the_shelf_never_raises_the_cost(family in 0..SMALL.len(), seed in 20u64..1000, angle in 40.0..170.0f64) {
        let plain = sample(&SMALL[family], seed);
        let mut more = sample(&SMALL[family], seed);
        let mut bend = more.stock.bends[0].clone();
        bend.angle = angle.to_radians();
        bend.legs = [30.0, 0.0];
        bend.price = Money(0);
        more.stock.remnants.push(Remnant::Bend(bend));
        let (a, b) = (solve(&plain), solve(&more));
        prop_assert!(b.lower_bound <= a.cost && (!b.proven || b.cost <= a.cost));
    }
}
