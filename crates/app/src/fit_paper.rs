//! How a build comes out, as it is printed: spread of the joints for the inspection sheet, and the correction slip.

use cutplan::assembly::RunAssembly;
use cutplan::{CutJob, CutPlan};
use fit::{Run, Shop, joint_spread};
use job::fit::ShopRecord;
use job::model::Job;
use job::routes::Routes;
use papers::bench::{Slip, SlipPiece, SlipTurn};

use crate::fit_report::{FitReport, RunFit};

/// Two standard deviations of the place of each joint behind a piece, mm, for a shop of usual quality.
pub(crate) fn spreads(job: &Job, routes: &Routes, runs: &[RunAssembly], plan: &CutPlan) -> Vec<Vec<f64>> {
    let cut = CutJob::of(job);
    let spread = |(route, assembly)| {
        let route: &job::routes::Route = route;
        let run = Run::of(route, assembly, plan, cut.start_of(&route.run))?;
        let shop = Shop::of(&ShopRecord::default(), run.wall);
        Some(joint_spread(&run, &shop).into_iter().map(|sd| 2.0 * sd).collect())
    };
    routes.runs.iter().zip(runs).map(|pair| spread(pair).unwrap_or_default()).collect()
}

impl FitReport {
    /// The correction of every run as it is printed; empty before anything was built.
    pub fn slips(&self) -> Vec<Slip> {
        if self.begun { self.runs.iter().map(|run| self.slip(run)).collect() } else { Vec::new() }
    }

    fn slip(&self, run: &RunFit) -> Slip {
        let whole = run.build.run.parts.len();
        let (done, from, open) = match &run.cut_open {
            Some(open) => (&open.correction, run.made_again(open), open.link),
            None => (&run.correction, whole, whole),
        };
        let pieces = run.pieces(&done.figures, from).into_iter();
        let turns = run.clockings(&done.figures, open).into_iter();
        Slip {
            run: run.build.run.id.to_string(),
            off: [&run.correction.before, &done.after].map(|m| [m.distance(), m.angle]),
            chance: run.chance.map(|both| both.map(|c| c.share)),
            remarks: self.remarks(run),
            pieces: pieces.map(|p| SlipPiece { mark: p.mark, was: p.was, is: p.is }).collect(),
            turns: turns.map(|c| SlipTurn { to: c.to, past: c.from_mark }).collect(),
            slides: run.slides(&done.figures).into_iter().map(|s| (s.joint, [s.was, s.is])).collect(),
        }
    }
}
