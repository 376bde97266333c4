use geom::{Centreline, Vec3};

use super::*;
use crate::assembly::assembly;
use crate::{CutJob, CutSettings, plan};

/// Three runs side by side into a plate, `gap` mm from one another.
fn welding_of(gap: f64) -> (Vec<RunAssembly>, Welding) {
    let apart = |k: usize| (50.0 + gap) * k as f64;
    let text = include_str!("three_in_a_row.toml");
    let text = [("SECOND", 1), ("THIRD", 2)]
        .into_iter()
        .fold(text.to_string(), |text, (word, k)| text.replace(word, &format!("{:.1}", apart(k))));
    let job = job::read_job("job.toml", text.as_bytes(), "test", &job::no_mesh_files, None)
        .unwrap_or_else(|p| panic!("{p}"))
        .0;
    let runs = (0..3).map(|k| {
        let line =
            Centreline::from_points(&[Vec3::new(-apart(k), 0.0, 0.0), Vec3::new(-apart(k), 300.0, 0.0)], &[]).unwrap();
        let (points, radii) = line.to_points();
        let run = RunId::Primary { cylinder: k as u32 + 1 };
        job::routes::Route { run, collector: "main".into(), inlet: k + 1, points, radii, locked: false }
    });
    let routes = Routes { runs: runs.collect(), ..Routes::default() };
    let settings = CutSettings { steps: 20_000, ..CutSettings::default() };
    let plan = plan(&routes, &CutJob::of(&job), &settings, &mut job::Monitor::silent()).unwrap();
    let runs = assembly(&job, &routes, &plan).unwrap();
    let welding = welding(&job, &routes, &runs, &Torch::default()).unwrap();
    (runs, welding)
}

fn welded(runs: &[RunAssembly]) -> Vec<(usize, usize)> {
    let joints = |(run, r): (usize, &RunAssembly)| -> Vec<(usize, usize)> {
        r.joints.iter().enumerate().filter(|(_, j)| j.kind.welded()).map(|(k, _)| (run, k)).collect()
    };
    runs.iter().enumerate().flat_map(joints).collect()
}

#[test]
fn every_joint_is_welded_once_and_phases_follow_one_another() {
    for gap in [4.0, 60.0] {
        let (runs, welding) = welding_of(gap);
        let mut done: Vec<(usize, usize)> = welding.steps.iter().map(|s| (s.run, s.joint)).collect();
        assert!(welding.steps.windows(2).all(|w| w[0].phase <= w[1].phase));
        done.sort_unstable();
        assert_eq!(done, welded(&runs));
        assert!(welding.steps.iter().all(|s| s.tacks.len() >= 3), "{:?}", welding.steps);
    }
}

#[test]
fn what_is_not_reached_says_what_else_can_be_done() {
    let (_, far) = welding_of(120.0);
    assert!(far.steps.iter().all(|s| s.share() >= 1.0 && s.remedy.is_none() && s.blockers.is_empty()));
    let (_, near) = welding_of(4.0);
    let missed: Vec<&WeldStep> = near.steps.iter().filter(|s| s.share() < 1.0).collect();
    assert!(!missed.is_empty() && missed.iter().all(|s| s.remedy.is_some() && !s.missed().is_empty()));
    // The first run in is reached all around: the others come later.
    let first = near.order[0];
    assert!(missed.iter().all(|s| s.run != first), "{missed:?}");
}

#[test]
fn stainless_is_purged_and_mild_steel_is_not() {
    assert!(purged("304L") && purged("titanium 2"));
    assert!(!purged("low-carbon") && !purged("aluminised"));
}
