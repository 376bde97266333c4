//! How a build comes out: the forecast before the saw, and what is to be changed as measured.
//!
//! For callers: [`fit_job`] with the saved record; [`fit_text`] with a record that is being typed (a fit.toml's text, saved or
//! not). [`FitReport::to_json`] is the whole answer (docs/fit.md), [`FitReport::slips`] what is printed. To accept: append
//! [`FitReport::corrected`] to fit.toml, and save the routes of [`FitReport::as_built`] as asbuilt.toml.

use cutplan::assembly::assembly;
use cutplan::{CutJob, CutPlan};
use fit::chain::figure;
use fit::correction::{chance, clocking};
use fit::sources::{built, built_terms, coming_terms};
use fit::{
    Chance, Correction, CutOpen, Estimate, Forecast, Limit, Remedy, Run, SLIP, Shop, Slot, State, correct, cut_open,
    estimate, forecast, remedies,
};
use job::fit::{FitRecord, GoesIn};
use job::model::{Job, Units};
use job::problem::Problem;
use job::rates::Rates;
use job::routes::Routes;
use job::{Opened, Problems};
use rayon::iter::{IntoParallelIterator, ParallelIterator};
use route::finding::Miss;

use crate::fit_gaps::Drawn;
use crate::fit_record::{RunBuild, builds};
use crate::fit_work::ExtraWork;
use crate::open_job::{JobPart, Planned};
use crate::papers_job::data_digits;

/// Farthest that a plan's chain may end from its route, mm: more is another plan.
const SAME_ROUTE: f64 = 0.05;

/// What is known of a build.
#[derive(Debug)]
pub struct FitReport {
    /// Its runs, in the order of the routes.
    pub runs: Vec<RunFit>,
    /// True when something was cut, joined or measured.
    pub begun: bool,
    /// Clearances that the corrected build no longer keeps, where the drawing does.
    pub gaps: Vec<Miss>,
    /// What only looks wrong.
    pub warnings: Problems,
    /// Names of the plan's items.
    pub items: Vec<String>,
    /// The job's units.
    pub units: Units,
}

/// What is known of a run.
#[derive(Debug)]
pub struct RunFit {
    /// The run as it is being built.
    pub build: RunBuild,
    /// How well the shop works.
    pub shop: Shop,
    /// What is to be expected of it.
    pub forecast: Forecast,
    /// What can be done about it before the saw, the best first; empty once it is being built.
    pub remedies: Vec<Remedy>,
    /// What each of these costs beside the plan.
    pub work: Vec<ExtraWork>,
    /// Where it is.
    pub estimate: Estimate,
    /// What is to be changed.
    pub correction: Correction,
    /// Whether that is more than the least change, so that clearances are kept.
    pub keeps_gaps: bool,
    /// The weld to cut open when that does not do.
    pub cut_open: Option<CutOpen>,
    /// Chance to go in as planned and as corrected; `None` before anything is built.
    pub chance: Option<[Chance; 2]>,
}

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

/// A piece as it is to be made.
#[derive(Debug, Clone, PartialEq)]
pub struct NewPiece {
    /// Its mark.
    pub mark: String,
    /// Straight before the arc, angle (rad) and straight behind it as planned, mm.
    pub was: [f64; 3],
    /// The same as corrected.
    pub is: [f64; 3],
}

/// A clocking as it is to be set.
#[derive(Debug, Clone, PartialEq)]
pub struct NewClocking {
    /// The piece with the bend.
    pub to: String,
    /// As planned, rad.
    pub was: f64,
    /// As corrected, rad.
    pub is: f64,
    /// Past the match mark of its joint, which is where the plan has it, rad.
    pub from_mark: f64,
}

/// A slip joint that is to be pushed in otherwise than drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct NewSlide {
    /// The piece behind it, whose end is expanded.
    pub to: String,
    /// The joint.
    pub joint: String,
    /// The overlap as planned, mm.
    pub was: f64,
    /// As corrected, mm.
    pub is: f64,
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

    /// Its figures as built and corrected, with a weld cut open where nothing less does.
    pub(crate) fn final_figures(&self) -> &[f64] {
        self.cut_open.as_ref().map_or(&self.correction.figures, |open| &open.correction.figures)
    }

    /// The pieces that are still to be cut, in a correction.
    pub fn pieces(&self, figures: &[f64], from: usize) -> Vec<NewPiece> {
        let run = &self.build.run;
        (0..run.parts.len())
            .filter(|&k| k >= from || self.build.freedoms[k].state <= State::Cut)
            .map(|k| {
                let of = |all: &[f64]| [Slot::LegIn, Slot::Angle, Slot::LegOut].map(|s| all[figure(k, s)]);
                NewPiece { mark: run.parts[k].mark.clone(), was: of(&self.build.planned), is: of(figures) }
            })
            .collect()
    }

    /// The clockings that are still to be set, in a correction: also that of a joint that is cut open.
    pub fn clockings(&self, figures: &[f64], from: usize) -> Vec<NewClocking> {
        let run = &self.build.run;
        let open = run.parts[from.min(run.parts.len())..].iter().position(fit::Part::is_bend).map(|n| from + n);
        (0..run.parts.len())
            .filter(|&k| run.parts[k].is_bend())
            .filter(|&k| {
                let first = run.bend_before(k).map_or(0, |b| b + 1);
                let loose = |j: usize| self.build.freedoms[j].state < State::Welded || run.parts[j].joining.turns();
                let free = (first..=k).any(loose);
                free || open == Some(k)
            })
            .map(|k| NewClocking {
                to: run.parts[k].mark.clone(),
                was: clocking(run, &self.build.planned, k),
                is: clocking(run, figures, k),
                from_mark: figures[figure(k, Slot::Roll)] - self.build.planned[figure(k, Slot::Roll)],
            })
            .collect()
    }

    /// The slip joints of the run, in a correction.
    pub fn slides(&self, figures: &[f64]) -> Vec<NewSlide> {
        let run = &self.build.run;
        let slips = (0..run.parts.len()).filter(|&k| run.parts[k].joining.slides() > 0.0);
        let of = |all: &[f64], k: usize| -all[figure(k, Slot::Shift)];
        let slide = |k: usize| NewSlide {
            to: run.parts[k].mark.clone(),
            joint: run.parts[k].joint.clone(),
            was: of(&self.build.planned, k),
            is: of(figures, k),
        };
        slips.map(slide).collect()
    }

    /// Name of what a joint or piece is called in answers.
    pub fn place(&self, what: fit::Figure, link: usize) -> &str {
        let part = &self.build.run.parts[link];
        if what == fit::Figure::Clocking { &part.joint } else { &part.mark }
    }

    /// How far the face at a weld that is cut open is dressed out of square, rad.
    pub fn dressed(&self, open: &CutOpen) -> f64 {
        let by =
            |slot| open.correction.figures[figure(open.link, slot)] - self.estimate.figures[figure(open.link, slot)];
        if open.keep { by(Slot::KinkUp).hypot(by(Slot::KinkRight)) } else { 0.0 }
    }

    /// From which piece on a cut-open weld makes all again; beyond the last one when the pieces are kept.
    pub fn made_again(&self, open: &CutOpen) -> usize {
        if open.keep { self.build.run.parts.len() } else { open.link }
    }
}
