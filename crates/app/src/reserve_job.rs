//! Cuts a job with a reserve: what its closing pairs will be trimmed by is planned before the saw.

use std::time::Instant;

use cutplan::assembly::assembly;
use cutplan::{
    CutError, CutJob, CutPlan, CutSettings, Lengthening, Longer, ReserveCost, ReserveSettings, plan_with_reserve,
};
use fit::chain::figure;
use fit::{Run, Shop, Slot};
use job::Monitor;
use job::fit::FitRecord;
use job::model::{Job, Reserving};
use job::routes::Routes;
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

use crate::cut_job::{CutReport, cut_job};
use crate::fit_job::limit;
use crate::fit_record::limits;

/// A reserve is planned in whole steps of this: mm, and rad of an arc. No saw or tape asks for a finer one.
const STEP: [f64; 2] = [1.0, 0.5 * std::f64::consts::PI / 180.0];

/// Shortest drawn straight that is left longer, mm: a leg is trimmed, not made up of its reserve.
const LEAST_LEG: f64 = 3.0;

/// Plans the cuts of `routes` as [`cut_job`] does, with a reserve on the pieces that are to be cut last.
///
/// # Errors
/// [`CutError`] when the runs cannot be made from the stock.
pub fn cut_with_reserve(
    job: &Job,
    cut: &CutJob<'_>,
    routes: &Routes,
    settings: &CutSettings,
    monitor: &mut Monitor<CutPlan>,
) -> Result<CutReport, CutError> {
    let cost = match job.saw.reserve {
        Some(Reserving::Never) => return cut_job(cut, routes, settings, monitor),
        Some(Reserving::Always) => ReserveCost::Any,
        Some(Reserving::WhenFree) | None => ReserveCost::Nothing,
    };
    let begun = Instant::now();
    let want = |plan: &CutPlan| lengthenings(job, routes, plan);
    let plan = plan_with_reserve(routes, cut, settings, ReserveSettings { want: &want, cost }, monitor)?;
    Ok(CutReport { plan, seconds: begun.elapsed().as_secs_f64() })
}

/// What the pieces of each run's best closing pair are to have more, for a shop of usual quality.
pub fn lengthenings(job: &Job, routes: &Routes, plan: &CutPlan) -> Vec<Lengthening> {
    let Ok(assembled) = assembly(job, routes, plan) else { return Vec::new() };
    let cut = CutJob::of(job);
    let runs: Vec<Run> = routes
        .runs
        .iter()
        .zip(&assembled)
        .filter_map(|(route, a)| Run::of(route, a, plan, cut.start_of(&route.run)))
        .collect();
    let lengthenings: Vec<Vec<Lengthening>> = runs.par_iter().map(|run| lengthenings_of_run(job, run, plan)).collect();
    lengthenings.concat()
}

fn lengthenings_of_run(job: &Job, run: &Run, plan: &CutPlan) -> Vec<Lengthening> {
    let record = FitRecord::default();
    let shop = Shop::of(&record.shop, run.wall);
    let limit = limit(&record, run);
    let mut lengthenings = Vec::new();
    for left in fit::reserve(run, &shop, limit, &limits(job, run)) {
        let part = &run.parts[left.link];
        let Some(piece) = plan.pieces.iter().find(|p| p.mark == part.mark) else { continue };
        let drawn = |slot| run.drawn[figure(left.link, slot)];
        let [leg_in, leg_out] = [drawn(Slot::LegIn), drawn(Slot::LegOut)];
        let mut straight = |at: f64, long: f64, more: f64| {
            let more = (more / STEP[0]).ceil() * STEP[0];
            if long >= LEAST_LEG && more > 0.0 {
                lengthenings.push(Lengthening { run: run.id.clone(), at, longer: Longer::Straight(more) });
            }
        };
        straight(piece.from + 0.5 * leg_in, leg_in, left.leg_in);
        straight(piece.to - 0.5 * leg_out, leg_out, left.leg_out);
        let more = (left.angle / STEP[1]).ceil() * STEP[1];
        if part.is_bend() && more > 0.0 {
            let at = 0.5 * (piece.from + leg_in + piece.to - leg_out);
            lengthenings.push(Lengthening { run: run.id.clone(), at, longer: Longer::Arc(more) });
        }
    }
    lengthenings
}
