//! Plans with a reserve: they cost what the plain ones do, and every long piece keeps the rules of cutting.

mod generator;

use cutplan::file::PlanFile;
use cutplan::{CutPlan, CutSettings, ItemShape, Lengthening, Longer, PlanFault, Reserve, ReserveCost, ReserveSettings};
use generator::{FAMILIES, SMALL, Sample, sample};
use job::Monitor;

/// Two degrees and five millimetres on every second bend and the straight before it.
fn lengthenings(plan: &CutPlan) -> Vec<Lengthening> {
    let bent = plan.pieces.iter().filter(|p| p.angle > 0.3).step_by(2);
    bent.flat_map(|p| {
        let arc = 0.5 * (p.from + p.leg_in + p.to - p.leg_out);
        let lengthening = |at: f64, longer: Longer| Lengthening { run: p.run.clone(), at, longer };
        let straight = (p.leg_in > 3.0).then(|| lengthening(p.from + 0.5 * p.leg_in, Longer::Straight(5.0)));
        [Some(lengthening(arc, Longer::Arc(2f64.to_radians()))), straight].into_iter().flatten()
    })
    .collect()
}

fn planned(sample: &Sample, cost: ReserveCost) -> [CutPlan; 2] {
    let settings = CutSettings { steps: 100_000, ..CutSettings::default() };
    let job = sample.job();
    let plain = cutplan::plan(&sample.routes, &job, &settings, &mut Monitor::silent()).expect("it can be cut");
    let reserve = ReserveSettings { want: &lengthenings, cost };
    let monitor = &mut Monitor::silent();
    let long = cutplan::plan_with_reserve(&sample.routes, &job, &settings, reserve, monitor).expect("cut");
    let runs = cutplan::centrelines(&sample.routes).expect("tubes");
    assert_eq!(cutplan::recount(&long, &runs, &job).err(), None, "{}", sample.name);
    [plain, long]
}

fn total(plan: &CutPlan) -> [f64; 2] {
    let sum = |of: &dyn Fn(&Reserve) -> f64| plan.pieces.iter().map(|p| of(&p.reserve)).sum();
    [sum(&|r| r.leg_in + r.leg_out), sum(&|r| r.angle.to_degrees())]
}

#[test]
fn a_free_reserve_changes_neither_cost_nor_bound() {
    let mut given = [0.0; 2];
    for family in FAMILIES.iter().take(3).chain(SMALL) {
        let sample = sample(family, 5);
        let [plain, long] = planned(&sample, ReserveCost::Nothing);
        assert_eq!((plain.cost, plain.lower_bound, plain.joints), (long.cost, long.lower_bound, long.joints));
        for piece in &long.pieces {
            let item = &long.items[piece.item].shape;
            let clr = if let ItemShape::Bend { clr, .. } = item { *clr } else { 0.0 };
            let more = piece.reserve.leg_in + piece.reserve.leg_out + clr * piece.reserve.angle;
            assert!((piece.at[1] - piece.at[0] - (piece.to - piece.from) - more).abs() < 5e-3, "{piece:?}");
            let drawn: f64 = piece.reserve_at(item).iter().map(|r| r[1] - r[0]).sum();
            assert!((drawn - more).abs() < 1e-9, "{piece:?}");
        }
        let back = PlanFile::from_json(&PlanFile::from(&long).to_json().unwrap()).unwrap().to_plan().unwrap();
        let runs = cutplan::centrelines(&sample.routes).unwrap();
        assert_eq!(cutplan::recount(&back, &runs, &sample.job()).err(), None, "{}", sample.name);
        assert!((total(&back)[0] - total(&long)[0]).abs() < 1e-3);
        (0..2).for_each(|k| given[k] += total(&long)[k]);
    }
    assert!(given.iter().all(|g| *g > 10.0), "hardly any reserve was given: {given:?}");
}

#[test]
fn a_paid_reserve_is_whole() {
    for family in FAMILIES.iter().take(3) {
        let [plain, long] = planned(&sample(family, 5), ReserveCost::Any);
        let asked: Vec<Lengthening> = lengthenings(&plain);
        let angle = asked.iter().filter(|w| matches!(w.longer, Longer::Arc(_))).count() as f64 * 2.0;
        assert!((total(&long)[1] - angle).abs() < 1e-6 && long.cost >= plain.cost, "{:?}", total(&long));
    }
}

#[test]
fn a_reserve_that_is_not_there_is_a_fault() {
    let sample = sample(&FAMILIES[0], 5);
    let [_, long] = planned(&sample, ReserveCost::Nothing);
    let runs = cutplan::centrelines(&sample.routes).unwrap();
    let faults = |change: &dyn Fn(&mut Reserve)| {
        let mut plan = long.clone();
        let k = plan.pieces.iter().position(|p| p.angle > 0.0 && p.leg_in <= 0.0).expect("an arc without entry leg");
        change(&mut plan.pieces[k].reserve);
        cutplan::recount(&plan, &runs, &sample.job()).err().unwrap_or_default()
    };
    let is = |f: &PlanFault| matches!(f, PlanFault::Reserve { .. });
    assert!(faults(&|r| r.leg_in = 4.0).iter().any(is), "there is no straight to be longer");
    assert!(faults(&|r| r.angle = -0.1).iter().any(is));
    assert!(!faults(&|r| r.angle += 0.01).is_empty(), "the item is not as long as that");
}
