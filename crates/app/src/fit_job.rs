//! How a build comes out: the forecast before the saw, and what is to be changed as measured.
//!
//! For callers: [`fit_job`] with the saved record; [`fit_text`] with a record that is being typed (a fit.toml's text, saved or
//! not). [`FitReport::to_json`] is the whole answer (docs/fit.md), [`FitReport::slips`] what is printed. To accept: append
//! [`FitReport::corrected`] to fit.toml, and save the routes of [`FitReport::as_built`] as asbuilt.toml.

use cutplan::assembly::assembly;
use cutplan::{CutJob, CutPlan};
use fit::correction::chance;
use fit::sources::{built, built_terms, coming_terms};
use fit::{Chance, Limit, Run, SLIP, Shop, State, correct, cut_open, estimate, forecast, remedies};
use job::fit::{FitRecord, GoesIn};
use job::model::Job;
use job::problem::Problem;
use job::rates::Rates;
use job::routes::Routes;
use job::{Opened, Problems};
use rayon::iter::{IntoParallelIterator, ParallelIterator};

use crate::data_digits::data_digits;
use crate::fit_bench::RunBuild;
use crate::fit_gaps::Drawn;
use crate::fit_record::builds;
use crate::fit_report::{FitReport, RunFit};
use crate::fit_work::ExtraWork;
use crate::open_job::{JobPart, Planned};

/// Farthest that a plan's chain may end from its route, mm: more is another plan.
const SAME_ROUTE: f64 = 0.05;

/// Forecast and correction of a job with its plan.
///
/// # Errors
/// Everything that is wrong with fit.toml, or that the plan is of other routes.
pub fn fit_job(planned: Planned<'_>) -> Result<FitReport, Problems> {
    planned.open.require(&[JobPart::Fit])?;
    match &planned.open.fit {
        Some(file) => fit_text(planned, &file.shown, &file.bytes),
        None => fit_record(planned, &FitRecord::default()),
    }
}

/// Forecast and correction with the text of a fit.toml, saved or not: what the page asks for while a person types readings.
/// Messages call it by that name.
///
/// # Errors
/// As [`fit_job`].
pub fn fit_text(planned: Planned<'_>, name: &str, text: &[u8]) -> Result<FitReport, Problems> {
    let (record, problems) = job::file::fit_file::read(name, text, planned.opened.job.units);
    let mut problems = Problems(problems);
    problems.sort();
    let record = match record {
        Some(record) if !problems.has_errors() => record,
        _ => return Err(problems),
    };
    let mut report = fit_record(planned, &record)?;
    problems.0.append(&mut report.warnings.0);
    Ok(FitReport { warnings: problems, ..report })
}

/// Forecast and correction with a record of the build.
///
/// # Errors
/// As [`fit_job`].
pub fn fit_record(planned: Planned<'_>, record: &FitRecord) -> Result<FitReport, Problems> {
    let Planned { opened, routes, plan, .. } = planned;
    let runs = runs(opened, routes, plan)?;
    let mut problems = Vec::new();
    let same = record.plan.as_ref().map(|(digits, spot)| (digits, spot, data_digits(planned).unwrap_or_default()));
    if let Some((given, spot, digits)) = same.filter(|(given, _, digits)| *given != digits) {
        let message = format!("this record is of plan {given}, and the plan here is {digits}");
        problems.push(
            Problem::error("other-plan", message)
                .at(spot.clone())
                .expected(format!("\"{digits}\""))
                .hint("put back the routes.toml and cutplan.json that the sheets were printed from"),
        );
    }
    let (builds, wrong) = builds(&opened.job, routes, runs, record);
    problems.extend(wrong);
    let mut problems = Problems(problems);
    problems.sort();
    if problems.has_errors() {
        return Err(problems);
    }
    let warnings = problems;
    let rates = &planned.open.rates;
    let items = plan.items.iter().map(|i| i.name.clone()).collect();
    let begun = builds.iter().any(|b| !b.readings.is_empty() || b.freedoms.iter().any(|f| f.state > State::Uncut));
    let runs = builds.into_par_iter().map(|build| run_fit(build, record, rates, begun)).collect();
    let mut report = FitReport { runs, begun, gaps: Vec::new(), warnings, items, units: opened.job.units };
    if begun && planned.open.routable() {
        report.keep_gaps(&opened.job, routes);
    }
    report.runs.iter_mut().for_each(|run| run.chance = run.chances(record));
    Ok(report)
}

/// The runs of a plan.
fn runs(opened: &Opened, routes: &Routes, plan: &CutPlan) -> Result<Vec<Run>, Problems> {
    let other = |message: String| {
        Problems::one(
            Problem::error("other-routes", message)
                .in_file("cutplan.json")
                .expected("the cut plan of these routes")
                .hint("cut the job again, or put back the routes that were cut"),
        )
    };
    let assembled =
        assembly(&opened.job, routes, plan).map_err(|e| other(crate::wording::cut(&e, opened.job.units)))?;
    let cut = CutJob::of(&opened.job);
    let mut runs = Vec::new();
    for (route, assembly) in routes.runs.iter().zip(&assembled) {
        let run = Run::of(route, assembly, plan, cut.start_of(&route.run))
            .ok_or_else(|| other(format!("the plan has no pieces of {}", route.run)))?;
        if run.gap_to_route() > SAME_ROUTE {
            let gap = job::show::exact_with_unit(run.gap_to_route(), opened.job.units);
            return Err(other(format!("the pieces of {} end {gap} from the end of its route", route.run)));
        }
        runs.push(run);
    }
    Ok(runs)
}

/// When the end of a run goes in: what the record says, or how far it slides into a collector that is slid into.
pub(crate) fn limit(record: &FitRecord, run: &Run) -> Limit {
    let GoesIn { within, angle, slip } = record.goes_in;
    Limit { within, angle, slip: slip.unwrap_or(if run.slides_in { SLIP } else { 0.0 }) }
}

fn run_fit(build: RunBuild, record: &FitRecord, rates: &Rates, begun: bool) -> RunFit {
    let run = &build.run;
    let shop = Shop::of(&record.shop, run.wall);
    let limit = limit(record, run);
    let states = build.states();
    let count = built(&states);
    let terms = built_terms(run, &shop, &states);
    let estimate = estimate(run, &build.planned, &terms, count, &build.readings);
    let now = &estimate.figures;
    let correction = correct(run, &build.planned, now, &build.freedoms, &build.limits);
    let cut_open =
        if correction.met { None } else { cut_open(run, &build.planned, now, &build.freedoms, &build.limits) };
    let remedies = if begun { Vec::new() } else { remedies(run, &shop, limit, &build.limits) };
    let work = remedies.iter().map(|r| ExtraWork::of(r, run, rates)).collect();
    RunFit {
        shop,
        work,
        forecast: forecast(run, &shop, limit),
        remedies,
        estimate,
        correction,
        keeps_gaps: false,
        cut_open,
        chance: None,
        build,
    }
}

impl FitReport {
    /// Solves corrections that lose clearances again so that they keep them where that can be, and notes what stays lost.
    fn keep_gaps(&mut self, job: &Job, routes: &Routes) {
        let drawn = Drawn::of(job, routes);
        for k in 0..self.runs.len() {
            let built = self.as_built(routes);
            let run = &mut self.runs[k];
            if let Some(kept) = drawn.kept(&run.build, &run.estimate.figures, &run.correction, &built) {
                run.correction = kept;
                run.keeps_gaps = true;
            }
        }
        self.gaps = drawn.lost(&self.as_built(routes));
    }
}

impl RunFit {
    /// Chance to go in as planned and as corrected, counted on simulated builds; `None` before anything is built.
    fn chances(&self, record: &FitRecord) -> Option<[Chance; 2]> {
        let (run, states) = (&self.build.run, self.build.states());
        let limit = limit(record, run);
        let coming = coming_terms(run, &Shop::of(&record.shop, run.wall), &states);
        let of = |figures: &[f64]| chance(run, &self.build.planned, &self.estimate, (figures, &states), &coming, limit);
        (built(&states) > 0).then(|| [of(&self.estimate.figures), of(&self.correction.figures)])
    }
}
