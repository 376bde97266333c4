//! Quotes: figures that can be checked by hand, and laws.

#![allow(clippy::unwrap_used)]

use std::f64::consts::PI;

use cutplan::quote::{COIN, Group, Quote, quote, work};
use cutplan::{CutJob, CutPlan, CutSettings, plan};
use geom::{Centreline, Frame, LraStep, Vec3};
use job::model::{Job, Money};
use job::rates::Rates;
use job::routes::{Route, Routes, RunId};
use proptest::prelude::*;

const JOB: &str = r#"
format = 1
units = "mm"
[tube]
od = 50.0
wall = 2.0
material = "304L"
[clearance]
tubes = 5
keepouts = 5
[[port]]
cylinder = 1
at = [0, 0, 0]
axis = [1, 0, 0]
[[collector]]
name = "main"
at = [1000, 0, 0]
axis = [1, 0, 0]
up = [0, 0, 1]
inlets = 1
[[stock.bend]]
clr = 100
angle = 180
legs = [100, 100]
price = 24.0
[[stock.straight]]
length = 1000
price = 18.0
[saw]
kerf = 2
min_straight = 10
min_arc = 5
[cost]
joint = 14.0
cut = 2.5
"#;

fn job() -> Job {
    job::read_job("job.toml", JOB.as_bytes(), "test", &job::no_mesh_files, None).unwrap_or_else(|p| panic!("{p}")).0
}

/// One run from the port into the collector.
fn routes(steps: &[LraStep], last: f64) -> Routes {
    let start = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z };
    let (points, radii) = Centreline::from_steps(start, steps, last).unwrap().to_points();
    let run = RunId::Primary { cylinder: 1 };
    let route = Route { run, collector: "main".into(), inlet: 1, points, radii, locked: false };
    Routes { runs: vec![route], ..Routes::default() }
}

fn bend(length: f64, angle_deg: f64) -> LraStep {
    LraStep { length, rotation: 0.0, angle: angle_deg.to_radians(), clr: 100.0 }
}

fn cut(job: &Job, routes: &Routes) -> CutPlan {
    let settings = CutSettings { steps: 20_000, ..CutSettings::default() };
    plan(routes, &CutJob::of(job), &settings, &mut job::Monitor::silent()).unwrap()
}

fn priced(steps: &[LraStep], last: f64, rates: &Rates) -> Quote {
    let (job, routes) = (job(), routes(steps, last));
    quote(&job, &routes, &cut(&job, &routes), rates).unwrap()
}

fn amount(quote: &Quote, what: &str) -> Option<Money> {
    quote.lines.iter().find(|l| l.what == what).map(|l| l.amount)
}

#[test]
fn a_straight_run_from_one_stick_is_counted_by_hand() {
    // 500 mm of one stick: one piece, one saw cut, welds at flange and collector: 2 x pi x 50 mm.
    let (job, routes) = (job(), routes(&[], 500.0));
    let plan = cut(&job, &routes);
    let work = work(&job, &routes, &plan, &Rates::default()).unwrap();
    assert_eq!((work.pieces, work.bend_cuts, work.straight_cuts, work.joints(), work.welds()), (1, 0, 1, 1, 2));
    assert!((work.weld_length() - 314.159).abs() < 1e-3);
    // At 100 mm a minute with the arc on a quarter of the time.
    assert!((work.runs[0].arc_min - PI).abs() < 1e-5);
    // 48 mm mean diameter x 2 mm x pi x 500 mm at 7900 kg/m3.
    let density = job::catalogue::material("304L").unwrap().density;
    assert!((work.mass() - PI * 48.0 * 2.0 * 500.0 * 1e-9 * density).abs() < 1e-9);
    // Torch 3.14 x 9, purge 12.57 x 6, and twice 8 x the bore of 46 mm: to tack and to weld.
    let argon = PI * 9.0 + 4.0 * PI * 6.0 + 2.0 * 8.0 * 0.25 * PI * 46.0 * 46.0 * 500e-6;
    assert!((work.runs[0].argon_l - argon).abs() < 1e-4, "{}", work.runs[0].argon_l);

    let quote = quote(&job, &routes, &plan, &Rates::default()).unwrap();
    assert_eq!(amount(&quote, "straight 1000"), Some(Money(18_000)));
    assert_eq!(amount(&quote, "port flange"), Some(Money(14_000)));
    // A single run meets no other: a flange, and no collector to build.
    assert_eq!(amount(&quote, "collector or turbo flange"), Some(Money(32_000)));
    assert_eq!(amount(&quote, "build collectors"), None);
    // 4 min at 62 an hour: 4.1354 with 0.0667 h, to the coin.
    assert_eq!(amount(&quote, "fit up joints"), Some(Money(4_140)));
    // 12.566 min = 0.2094 h: 12.9828.
    assert_eq!(amount(&quote, "weld"), Some(Money(12_980)));
    assert!(quote.invented && quote.margin_rate == 20_000);
}

#[test]
fn low_carbon_steel_is_not_purged() {
    let (mut job, routes) = (job(), routes(&[], 500.0));
    job.primary.tube.material = "low-carbon".into();
    let plan = cut(&job, &routes);
    let quote = quote(&job, &routes, &plan, &Rates::default()).unwrap();
    assert_eq!(amount(&quote, "set up the purge"), None);
    assert!((quote.work.runs[0].argon_l - PI * 9.0).abs() < 1e-4);
}

#[test]
fn the_shops_margin_and_tax_are_added_once() {
    let mut rates = Rates::default();
    rates.set_price("margin_percent", Money(10_000));
    rates.set_price("tax_percent", Money(19_000));
    let quote = priced(&[bend(60.0, 90.0)], 70.0, &rates);
    let near = |of: Money, percent: i64, amount: Money| (of.0 * percent - amount.0 * 100).abs() <= 50 * COIN;
    assert!(near(quote.direct, 10, quote.margin) && near(quote.net, 19, quote.tax), "{quote:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn lines_add_up_and_every_amount_is_whole_coins(
        angle in 20.0..170.0f64, first in 20.0..300.0f64, last in 20.0..900.0f64, tax in 0i64..30_000, margin in 0i64..90_000,
    ) {
        let mut rates = Rates::default();
        rates.set_price("tax_percent", Money(tax));
        rates.set_price("margin_percent", Money(margin));
        let quote = priced(&[bend(first, angle)], last, &rates);
        let sum: i64 = quote.lines.iter().map(|l| l.amount.0).sum();
        prop_assert_eq!(sum, quote.direct.0);
        prop_assert_eq!(quote.direct.0 + quote.margin.0, quote.net.0);
        prop_assert_eq!(quote.net.0 + quote.tax.0, quote.total.0);
        for line in &quote.lines {
            prop_assert_eq!(line.amount.0 % COIN, 0);
            let exact = line.quantity * line.unit_price.0 as f64;
            prop_assert!((exact - line.amount.0 as f64).abs() <= 0.5 * COIN as f64 + 1e-6, "{:?}", line);
        }
    }

    #[test]
    fn a_joint_more_at_the_same_stock_is_never_cheaper(
        angle in 30.0..150.0f64, at in 0.2..0.8f64,
    ) {
        let (job, routes) = (job(), routes(&[bend(60.0, angle)], 80.0));
        let plan = cut(&job, &routes);
        let rates = Rates::default();
        let one = quote(&job, &routes, &plan, &rates).unwrap();
        // The same plan with its first piece in two.
        let mut more = plan.clone();
        let mut half = more.pieces[0].clone();
        half.from += at * (half.to - half.from);
        more.pieces[0].to = half.from;
        more.pieces.insert(1, half);
        let two = quote(&job, &routes, &more, &rates).unwrap();
        prop_assert_eq!(two.work.joints(), one.work.joints() + 1);
        prop_assert!(two.total > one.total);
        prop_assert_eq!(two.sum(Group::Bends), one.sum(Group::Bends));
    }

    #[test]
    fn twice_the_rate_is_twice_the_line(rate in 1i64..200_000, last in 30.0..900.0f64) {
        let (mut once, mut twice) = (Rates::default(), Rates::default());
        once.set_price("labour_per_hour", Money(rate));
        twice.set_price("labour_per_hour", Money(2 * rate));
        let (a, b) = (priced(&[bend(50.0, 80.0)], last, &once), priced(&[bend(50.0, 80.0)], last, &twice));
        for (x, y) in a.lines.iter().zip(&b.lines) {
            let factor = if x.group == Group::Labour { 2 } else { 1 };
            prop_assert!((factor * x.amount.0 - y.amount.0).abs() <= 2 * COIN, "{:?} {:?}", x, y);
        }
    }
}

#[test]
fn bends_of_the_inch_size_make_a_tube_of_the_millimetre_size() {
    // One pipe by two standards: 48.26 and 48.3; 2.77 and 2.8.
    let mut job = job();
    job.primary.tube.od = 48.3;
    job.primary.tube.wall = 2.8;
    job.stock.bends.iter_mut().for_each(|b| (b.od, b.wall) = (48.26, 2.77));
    job.stock.straights.iter_mut().for_each(|s| (s.od, s.wall) = (48.26, 2.77));
    let plan = cut(&job, &routes(&[bend(100.0, 60.0)], 100.0));
    assert!(!plan.pieces.is_empty());
}
