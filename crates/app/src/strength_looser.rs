//! A run made longer and looser as a single change: its first and its last leg are longer, so that it takes a wider way and bends
//! more easily. What it then misses of the clearances is looked at, its length is not: the others can be made as long.

use job::model::Job;
use job::routes::{Route, Routes};
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use route::finding::Requirement;
use route::judge::judge;

use crate::strength_model::{StrengthModel, strength_model};

/// How much longer its legs are tried, mm, the most first.
const LONGER: [f64; 2] = [40.0, 20.0];

/// A change of length that is one, mm.
const LEAST: f64 = 5.0;

/// A run on a wider way, with the whole header so.
pub struct Looser {
    /// The way.
    pub route: Route,
    /// How much longer it is, mm.
    pub longer: f64,
    /// The header with it.
    pub model: StrengthModel,
}

/// Every run that can be made looser where it stands.
pub fn looser(job: &Job, routes: &Routes, gas: Option<&str>) -> Vec<Looser> {
    let missed = others_missed(job, routes);
    let wider = |route: &Route| {
        LONGER.iter().find_map(|by| {
            let (wider, longer) = widened(route, *by)?;
            let mut all = routes.clone();
            *all.runs.iter_mut().find(|r| r.run == route.run)? = wider.clone();
            (others_missed(job, &all) <= missed).then_some(())?;
            Some(Looser { route: wider, longer, model: strength_model(job, &all, gas).ok()? })
        })
    };
    routes.runs.par_iter().filter(|route| !route.locked).filter_map(wider).collect()
}

/// A run with its first and last leg longer, and how much longer it is, mm; `None` where that is not a valid tube.
fn widened(route: &Route, by: f64) -> Option<(Route, f64)> {
    let last = route.points.len().checked_sub(1).filter(|last| *last >= 3)?;
    let mut wider = route.clone();
    for (leg, from) in [(1, 0), (last - 1, last)] {
        wider.points[leg] += (route.points[leg] - route.points[from]).try_normalize()? * by;
    }
    let longer = wider.centreline().ok()?.length() - route.centreline().ok()?.length();
    (longer > LEAST).then_some((wider, longer))
}

/// Requirements missed but for lengths.
fn others_missed(job: &Job, routes: &Routes) -> usize {
    judge(job, routes).misses.iter().filter(|m| m.miss.requirement() != Requirement::Length).count()
}

#[cfg(test)]
mod tests {
    use geom::Vec3;
    use job::routes::RunId;

    use super::*;

    #[test]
    fn a_wider_way_starts_and_ends_as_before() {
        let points = [[0.0, 0.0, 0.0], [0.0, 150.0, 0.0], [-200.0, 260.0, 0.0], [-400.0, 260.0, 0.0]];
        let points = points.map(Vec3::from).to_vec();
        let run = RunId::Primary { cylinder: 1 };
        let route = Route { run, collector: "main".into(), inlet: 1, points, radii: vec![60.0; 2], locked: false };
        let (wider, longer) = widened(&route, 30.0).unwrap();
        assert_eq!((wider.points[1], wider.points[2]), (Vec3::new(0.0, 180.0, 0.0), Vec3::new(-170.0, 260.0, 0.0)));
        assert_eq!((wider.points[0], wider.points[3]), (route.points[0], route.points[3]));
        assert!(longer > 5.0 && longer < 60.0, "{longer}");
        assert!(widened(&Route { points: route.points[..3].to_vec(), radii: vec![60.0], ..route }, 30.0).is_none());
    }
}
