//! The chain of every run of the examples, and first order against exact builds.
#![allow(clippy::unwrap_used)]

mod jobs;

use fit::{Builds, Limit, Shop, forecast, sources::terms};
use job::fit::Quality;

const LIMIT: Limit = Limit { within: 1.0, angle: std::f64::consts::PI / 180.0, slip: 0.0 };

/// Routes are written with seven decimals of a millimetre, plans with four, and angles with five of a degree.
#[test]
fn the_chain_of_every_run_ends_where_its_route_does() {
    for name in jobs::EXAMPLES {
        for run in jobs::runs(name).1 {
            assert!(run.gap_to_route() < 3e-4, "{name} {}: {}", run.id, run.gap_to_route());
            let (end, route) = (run.laid().end(), run.chain.inlet);
            assert!(end.forward.angle_between(route.forward) < 1e-5, "{name} {}", run.id);
            assert!((run.chain.length(&run.drawn) - run.length).abs() < 1e-3, "{name} {}", run.id);
        }
    }
}

#[test]
fn first_order_agrees_with_exact_builds() {
    for name in jobs::EXAMPLES {
        for run in jobs::runs(name).1 {
            for quality in [Quality::Usual, Quality::Careful] {
                let shop = Shop::usual(quality, run.wall);
                let first = forecast(&run, &shop, LIMIT);
                let builds = Builds::of(&run, &run.drawn, &terms(&run, &shop), 20_000, 7);
                let place = builds.sd(0).hypot(builds.sd(1).hypot(builds.sd(2)));
                let direction = builds.sd(3).hypot(builds.sd(4));
                for (a, b) in [(first.sd_place(), place), (first.sd_direction, direction)] {
                    assert!((a / b - 1.0).abs() < 0.02, "{name} {}: {a} {b}", run.id);
                }
                // Along the inlet little moves in first order: what is square to it counts as well.
                let along = first.sd_along / builds.sd(0);
                assert!((along - 1.0).abs() < 0.04, "{name} {}: {along}", run.id);
                let exact = builds.chance(|m| LIMIT.holds(m)).share;
                assert!((first.goes_in.share - exact).abs() < 0.01);
                let exact = builds.chance(|m| LIMIT.sliding(f64::INFINITY).holds(m)).share;
                assert!((first.goes_in_along_free.share - exact).abs() < 0.01);
            }
        }
    }
}

/// A pair cut last to measurement goes in far more often than a run as drawn, and says what its pieces need more.
#[test]
fn a_closing_pair_is_the_best_remedy() {
    let (job, runs) = jobs::runs("hill-climb-four");
    let run = &runs[2];
    let shop = Shop::usual(Quality::Usual, run.wall);
    let ways = fit::remedies(run, &shop, LIMIT, &jobs::limits(&job, run));
    let best = &ways[0];
    assert_eq!(best.kind, fit::RemedyKind::ClosingPair);
    assert!(best.chance.share > 0.8 && best.chance.builds >= 500, "{best:?}");
    let drawn = ways.iter().find(|w| w.kind == fit::RemedyKind::AsDrawn).unwrap();
    assert!(drawn.chance.share < 0.05);
    assert_eq!(best.reserve.len(), best.cut_last.len());
    assert!(best.reserve.iter().any(|r| r.leg_in + r.leg_out > 0.5 || r.angle > 0.005), "{:?}", best.reserve);
}
