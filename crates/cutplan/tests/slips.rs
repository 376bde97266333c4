//! Slip joints in a cut plan: two stretches that are cut and welded each by itself.

mod generator;

use cutplan::{CutError, CutJob, CutSettings};
use generator::{SMALL, sample};
use job::Monitor;
use job::parts::{Coupling, CouplingKind, SlipJoint, straights};
use job::routes::RunId;

fn slip(run: &RunId, at: f64, overlap: f64) -> SlipJoint {
    SlipJoint { run: run.clone(), at, overlap, springs: false, friction: 100.0 }
}

#[test]
fn a_slip_joint_parts_a_run_and_the_tube_upstream_is_longer_by_the_overlap() {
    let sample = sample(&SMALL[1], 1);
    let runs = cutplan::centrelines(&sample.routes).expect("tubes");
    let (run, line) = &runs[0];
    let (from, to) = straights(line).into_iter().find(|(a, b)| *a > 1.0 && b - a > 70.0).expect("a long straight");
    let at = (0.5 * (from + to - 40.0) * 1000.0).round() / 1000.0;
    let slips = [slip(run, at, 40.0)];
    let job = CutJob { slips: &slips, ..sample.job() };
    let settings = CutSettings { steps: 200_000, ..CutSettings::default() };
    let plan = cutplan::plan(&sample.routes, &job, &settings, &mut Monitor::silent()).expect("it can be cut");
    let counted = cutplan::recount(&plan, &runs, &job).expect("every rule is kept");
    assert_eq!(plan.joints as usize, plan.pieces.len() - runs.len() - 1, "the slip joint is not welded");
    assert_eq!(counted.joints, plan.joints);
    let own: Vec<_> = plan.pieces.iter().filter(|p| p.run == *run).collect();
    let before = own.iter().position(|p| (p.to - (at + 40.0)).abs() < 1e-3).expect("a piece ends in the joint");
    assert!((own[before + 1].from - at).abs() < 1e-3, "{} {}", own[before + 1].from, at);
    let whole = runs.iter().map(|(_, l)| l.length()).sum::<f64>() + 40.0;
    assert!((plan.pieces_length() - whole).abs() < 0.01);
    let marks: Vec<&str> = own.iter().map(|p| p.mark.as_str()).collect();
    assert!(marks.windows(2).all(|w| w[0] < w[1]), "letters go on behind the joint: {marks:?}");
    // Without the slip joint the same plan is a false one, and the other way round.
    assert!(cutplan::recount(&plan, &runs, &sample.job()).is_err());
    let welded =
        cutplan::plan(&sample.routes, &sample.job(), &settings, &mut Monitor::silent()).expect("it can be cut");
    assert!(cutplan::recount(&welded, &runs, &job).is_err());
}

#[test]
fn a_slip_joint_on_a_bend_is_refused() {
    let sample = sample(&SMALL[1], 1);
    let runs = cutplan::centrelines(&sample.routes).expect("tubes");
    let bend = runs[0].1.bends().next().expect("a bend").from;
    let slips = [slip(&runs[0].0, bend - 10.0, 40.0)];
    let job = CutJob { slips: &slips, ..sample.job() };
    let refused = cutplan::plan(&sample.routes, &job, &CutSettings::default(), &mut Monitor::silent());
    assert!(matches!(refused, Err(CutError::SlipOffStraight { overlap: 40.0, .. })), "{refused:?}");
}

#[test]
fn a_clamp_parts_a_run_and_there_is_no_tube_within_it() {
    let sample = sample(&SMALL[1], 1);
    let runs = cutplan::centrelines(&sample.routes).expect("tubes");
    let (run, line) = &runs[0];
    let (from, to) = straights(line).into_iter().find(|(a, b)| *a > 1.0 && b - a > 70.0).expect("a long straight");
    let at = (0.5 * (from + to - 20.0) * 1000.0).round() / 1000.0;
    let clamp = |at: f64| [Coupling { run: run.clone(), at, width: 20.0, kind: CouplingKind::VBand, mass: None }];
    let couplings = clamp(at);
    let job = CutJob { couplings: &couplings, ..sample.job() };
    let settings = CutSettings { steps: 200_000, ..CutSettings::default() };
    let plan = cutplan::plan(&sample.routes, &job, &settings, &mut Monitor::silent()).expect("it can be cut");
    let counted = cutplan::recount(&plan, &runs, &job).expect("every rule is kept");
    assert_eq!(plan.joints as usize, plan.pieces.len() - runs.len() - 1, "the clamp is not welded");
    assert_eq!(counted.joints, plan.joints);
    let own: Vec<_> = plan.pieces.iter().filter(|p| p.run == *run).collect();
    let before = own.iter().position(|p| (p.to - at).abs() < 1e-3).expect("a piece ends before the clamp");
    assert!((own[before + 1].from - (at + 20.0)).abs() < 1e-3, "{} {at}", own[before + 1].from);
    let whole = runs.iter().map(|(_, l)| l.length()).sum::<f64>() - 20.0;
    assert!((plan.pieces_length() - whole).abs() < 0.01);
    let bend = line.bends().next().expect("a bend").from;
    let couplings = clamp(bend - 10.0);
    let job = CutJob { couplings: &couplings, ..sample.job() };
    let refused = cutplan::plan(&sample.routes, &job, &CutSettings::default(), &mut Monitor::silent());
    assert!(matches!(refused, Err(CutError::JointOffStraight { width: 20.0, .. })), "{refused:?}");
}
