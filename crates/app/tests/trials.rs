//! Routes changed by hand, judged quickly: the quick judge says what the slow recount says.

#![allow(clippy::unwrap_used)]

use std::path::Path;

use app::trial::{RunEdit, changed};
use app::view::Xyz;
use job::Monitor;
use job::routes::Routes;
use oorandom::Rand64;
use route::finding::Requirement;
use route::judge::judge;
use route::recount::recount;
use route::{RouteSettings, route};

/// Gaps that lie as near to what is needed as this are left to the two tolerances, mm.
const NEAR: f64 = 0.05;

fn misses(list: impl Iterator<Item = (Requirement, Option<String>, f64)>) -> Vec<(Requirement, Option<String>)> {
    let mut found: Vec<_> = list.filter(|m| m.2 > NEAR).map(|m| (m.0, m.1)).collect();
    found.sort();
    found.dedup();
    found
}

#[test]
fn the_quick_judge_says_what_the_slow_recount_says() {
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/hill-climb-four");
    let job = job::open(&job::Folder::of(&example)).unwrap().job;
    let routed = route(&job, None, RouteSettings { effort: 0, ..RouteSettings::default() }, &mut Monitor::silent());
    let mut routes: Routes = routed.answers[0].routes.clone();
    assert!(judge(&job, &routes).misses.is_empty());
    let mut random = Rand64::new(5);
    let mut missed = 0;
    for turn in 0..40 {
        let k = turn % routes.runs.len();
        let run = &routes.runs[k];
        let index = 1 + random.rand_range(0..run.radii.len() as u64) as usize;
        let mut throw = || 120.0 * (random.rand_float() - 0.5);
        let to = Xyz((run.points[index] + geom::Vec3::new(throw(), throw(), throw())).to_array());
        let edit = RunEdit::MovePoint { run: run.run.to_string(), index, to };
        let Ok(moved) = changed(&routes, &[], Some(&edit), job.units) else { continue };
        let ends = |r: &Routes| [r.runs[k].points[0], *r.runs[k].points.last().unwrap()];
        assert_eq!(ends(&moved), ends(&routes));
        let quick = judge(&job, &moved).misses.into_iter().map(|m| m.miss);
        let named = |m: route::finding::Miss| (m.requirement(), m.run.map(|r| r.to_string()), m.by);
        let (quick, slow) = (misses(quick.map(named)), misses(recount(&job, &moved).into_iter().map(named)));
        assert_eq!(quick, slow, "turn {turn}: {edit:?}");
        missed += usize::from(!quick.is_empty());
        routes = moved;
    }
    assert!(missed > 20, "{missed}");
}
