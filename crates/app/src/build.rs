//! Builds a job: routes, cut plan and report into one folder, the job's own folder left alone.

use std::io;
use std::path::Path;

use cutplan::file::PlanFile;
use cutplan::quote::{Quote, quote};
use cutplan::{CutJob, CutPlan, CutSettings};
use job::model::{Job, Units};
use job::rates::Rates;
use job::routes::Routes;
use job::{JobExtras, Opened};
use job::{Monitor, NEVER};
use route::RouteSettings;
use serde_json::{Value, json};

use crate::alternatives::{Alternative, choose};
use crate::cut_job::CutReport;
use crate::export_job::exported;
use crate::export_work::{ExportSettings, Format, Made, Work};
use crate::file_set::FileSet;
use crate::gas_more::gas_paragraph;
use crate::papers_job::{PaperSettings, Papers, Printed, plan_text, print_papers};
use crate::price_job::{quote_summary, quote_text};
use crate::quote_file::QuoteFile;
use crate::report::{alternatives_text, cut_text, routes_text};
use crate::reserve_job::cut_with_reserve;
use crate::route_job::{Found, RouteReport, route_job};
use crate::summary::{length_spread, rounded, run_lines};
use crate::view::finding::UnmetView;

/// How a job is built.
#[derive(Debug, Clone, Default)]
pub struct BuildSettings {
    /// The router's.
    pub route: RouteSettings,
    /// The nester's.
    pub cut: CutSettings,
    /// How many alternatives to set side by side; 0 and 1: only the best answer.
    pub alternatives: usize,
    /// Prices and time standards of the quote.
    pub rates: Rates,
    /// How the papers are made; `None`: none are.
    pub papers: Option<PaperSettings>,
    /// What stands in the files beside the job: flanges, templates, the bending machine.
    pub beside: JobExtras,
    /// The shop's terms for the customer; `None`: the program's own.
    pub terms: Option<String>,
    /// The text of gas.json, where the job has one.
    pub gas: Option<String>,
}

/// What was built.
#[derive(Debug, Clone)]
pub struct Built {
    /// Whether every requirement is met and the runs can be cut.
    pub met: bool,
    /// `summary.json`.
    pub summary: Value,
    /// `report.txt`.
    pub text: String,
}

/// Progress of a build.
pub enum Progress<'a> {
    /// A better answer of the router.
    Route(&'a Found),
    /// A better cut plan.
    Cut(&'a CutPlan),
    /// A warning about the papers.
    Warning(String),
}

/// Builds `opened` into the folder `out`; what is said to people has its lengths in the unit of the papers.
///
/// # Errors
/// When a file can't be written; the last build then stays whole.
pub fn build(
    opened: &Opened,
    last: Option<&Routes>,
    out: &Path,
    settings: &BuildSettings,
    progress: &(dyn Fn(Progress) + Sync),
) -> io::Result<Built> {
    // Now rather than after the search, when the place cannot be written.
    std::fs::create_dir_all(out)?;
    let asked = settings.papers.as_ref().and_then(|p| p.units);
    let (job, units) = (&opened.job, asked.unwrap_or(opened.job.units));
    let route_settings = RouteSettings { varied: settings.alternatives > 1, ..settings.route };
    let mut better = Monitor::reporting(|found: &Found| progress(Progress::Route(found)));
    let routed = route_job(job, last, route_settings, units, &mut better);
    let alternatives = if settings.alternatives > 1 && routed.routed.met {
        choose(job, &routed.routed.answers, settings.alternatives, &settings.rates)
    } else {
        Vec::new()
    };
    let mut plans = Monitor::reporting(|plan: &CutPlan| progress(Progress::Cut(plan)));
    let cut = routed.routes().map(|r| cut_with_reserve(job, &CutJob::of(job), r, &settings.cut, &mut plans));
    let not_cut = cut.as_ref().and_then(|c| c.as_ref().err()).map(|error| UnmetView::of_cut(error, units));
    let met = routed.unmet.is_empty() && not_cut.is_none();
    let plan = cut.as_ref().and_then(|c| c.as_ref().ok());
    // Routes that were cut are tubes, so that they can be priced too.
    let quote = match (routed.routes(), plan) {
        (Some(routes), Some(cut)) => quote(&opened.job, routes, &cut.plan, &settings.rates).ok(),
        _ => None,
    };
    let made = match (routed.routes(), plan) {
        (Some(routes), Some(cut)) if met => Some(exports(job, units, routes, &cut.plan, settings)),
        _ => None,
    };
    let answer = BuildInputs {
        job,
        units,
        met,
        routed: &routed,
        cut: plan,
        not_cut: not_cut.as_ref(),
        quote: quote.as_ref(),
        alternatives: &alternatives,
        gas: settings.gas.as_deref(),
        exported: made.as_ref(),
    };
    let mut built = Built { met, summary: summary(&answer), text: text(&answer) };
    let mut files = FileSet::default();
    if let Some(made) = &made {
        made.files.iter().for_each(|(name, bytes)| files.add(format!("exports/{name}"), bytes.as_slice()));
    }
    if let Some(set) = papers(&answer, settings)? {
        built.summary["hash"] = json!(set.hash);
        built.summary["seconds"]["papers"] = json!(rounded(set.seconds));
        set.files.into_iter().for_each(|f| files.add(format!("papers/{}", f.reader.file()), f.pdf.bytes));
        set.warnings.into_iter().for_each(|w| progress(Progress::Warning(w)));
    }
    answer_files(&answer, &mut files)?;
    built.summary["files"] = json!(files.names());
    // A later build replaces these two, and never removes them: a person may have gone on with the routes.
    if let Some(routes) = routed.routes() {
        files.add("routes.toml", job::routes_text(routes, opened.job.units));
    }
    files.add("report.txt", built.text.as_str());
    files.write(out, &built.summary)?;
    Ok(built)
}

/// The papers, when they are wanted and there is a cut plan to print.
fn papers(answer: &BuildInputs<'_>, settings: &BuildSettings) -> io::Result<Option<Papers>> {
    let (Some(paper), Some(routes), Some(cut)) = (&settings.papers, answer.routed.routes(), answer.cut) else {
        return Ok(None);
    };
    let unmet: Vec<String> = answer.unmet().map(UnmetView::sentence).collect();
    let plan = plan_text(&cut.plan).map_err(io::Error::other)?;
    let routes_text = job::routes_text(routes, answer.job.units);
    let printed = Printed {
        job: answer.job,
        routes,
        plan: &cut.plan,
        quote: answer.quote,
        unmet: &unmet,
        routes_text: &routes_text,
        plan_text: &plan,
        details: &settings.beside.details,
        terms: settings.terms.as_deref(),
        slips: &[],
    };
    print_papers(printed, paper, &NEVER).map(Some).map_err(io::Error::other)
}

/// What is exported of a job whose requirements hold: all but STL, which 3MF holds too with names and colours.
fn exports(job: &Job, units: Units, routes: &Routes, plan: &CutPlan, settings: &BuildSettings) -> Made {
    let work = Work { job, units, routes, plan: Some(plan), rates: &settings.rates, beside: &settings.beside };
    let formats = Format::ALL.into_iter().filter(|f| *f != Format::Stl).collect();
    let date = settings.papers.as_ref().map(|p| p.date.clone()).unwrap_or_default();
    match exported(&work, &ExportSettings { formats, date, ..ExportSettings::default() }, &NEVER) {
        Ok(made) => made,
        Err(why) => Made { warnings: vec![why.to_string()], ..Made::default() },
    }
}

/// All that the files of a build are made from.
struct BuildInputs<'a> {
    job: &'a Job,
    /// The unit of lengths in the report.
    units: Units,
    /// Whether every requirement is met and the runs can be cut.
    met: bool,
    routed: &'a RouteReport,
    cut: Option<&'a CutReport>,
    /// Why the runs cannot be cut.
    not_cut: Option<&'a UnmetView>,
    quote: Option<&'a Quote>,
    alternatives: &'a [Alternative],
    gas: Option<&'a str>,
    exported: Option<&'a Made>,
}

impl BuildInputs<'_> {
    /// Every requirement that is not met: the router's and the cut plan's.
    fn unmet(&self) -> impl Iterator<Item = &UnmetView> {
        self.routed.unmet.iter().chain(self.not_cut)
    }
}

/// Plan, quote and alternatives as files.
fn answer_files(answer: &BuildInputs<'_>, files: &mut FileSet) -> io::Result<()> {
    for (i, alternative) in answer.alternatives.iter().enumerate() {
        files.add(
            format!("alternatives/{}/routes.toml", i + 1),
            job::routes_text(&alternative.routes, answer.job.units),
        );
    }
    if let Some(cut) = answer.cut {
        files.add("cutplan.json", PlanFile::from(&cut.plan).to_json().map_err(io::Error::other)?);
    }
    if let Some(quote) = answer.quote {
        files.add("quote.json", QuoteFile::of(quote, answer.job.units).to_json()?);
    }
    Ok(())
}

fn summary(answer: &BuildInputs<'_>) -> Value {
    let BuildInputs { job, met, routed, cut, quote, alternatives, .. } = *answer;
    let plan = cut.map(|c| &c.plan);
    let lines = routed.routes().map_or(Vec::new(), |r| run_lines(job, r, plan));
    let mut summary = json!({
        "format": 1,
        "job": job.name,
        "met": met,
        "unmet": answer.unmet().collect::<Vec<_>>(),
        "relaxations": routed.relaxations,
        "length_spread_mm": length_spread(&lines),
        "runs": lines,
        "seconds": {
            "route": rounded(routed.seconds),
            "first_answer": routed.first_seconds.map(rounded),
            "cut": cut.map(|c| rounded(c.seconds)),
        },
    });
    if let Some(plan) = plan {
        summary["joints"] = json!(plan.joints);
        summary["cut"] = cut_summary(plan);
    }
    if let Some(exported) = answer.exported {
        summary["exports"] = {
            let names: Vec<&str> = exported.files.iter().map(|(name, _)| name.as_str()).collect();
            json!({"files": names, "warnings": exported.warnings})
        };
    }
    if let Some(quote) = quote {
        summary["quote"] = quote_summary(&QuoteFile::of(quote, job.units));
    }
    if !alternatives.is_empty() {
        let list: Vec<Value> = alternatives
            .iter()
            .enumerate()
            .map(|(i, a)| json!({"number": i + 1, "best_at": a.best_at, "figures": a.figures}))
            .collect();
        summary["alternatives"] = json!(list);
    }
    summary
}

fn cut_summary(plan: &CutPlan) -> Value {
    let stock: Vec<Value> = plan
        .stock_lines()
        .iter()
        .map(|l| json!({"item": l.name, "count": l.count, "price": l.price.units()}))
        .collect();
    json!({
        "cost": plan.cost.units(),
        "lower_bound": plan.lower_bound.units(),
        "proven": plan.proven,
        "yield": rounded(plan.yield_ratio()),
        "stock": stock,
        "pieces": plan.pieces.len(),
        "cuts": plan.cuts,
    })
}

fn text(answer: &BuildInputs<'_>) -> String {
    let BuildInputs { job, units, routed, cut, quote, alternatives, .. } = *answer;
    let mut out = format!("{}\n{}\n\n", job.name, "=".repeat(job.name.chars().count()));
    out.push_str(&routes_text(job, units, routed, answer.not_cut.map_or(Ok(cut.map(|c| &c.plan)), Err)));
    if let Some(cut) = cut {
        out.push('\n');
        out.push_str(&cut_text(units, &cut.plan));
    }
    if let Some(quote) = quote {
        out.push('\n');
        out.push_str(&quote_text(quote, units));
    }
    for warning in answer.exported.iter().flat_map(|e| &e.warnings) {
        out.push_str(&format!("\nExports: {warning}.\n"));
    }
    if let (Some(gas), Some(routes)) = (answer.gas, routed.routes()) {
        out.push_str(&gas_paragraph(gas, &run_lines(job, routes, None)));
    }
    if !alternatives.is_empty() {
        out.push_str("\nAlternatives, each in its folder under alternatives/:\n\n");
        out.push_str(&alternatives_text(units, alternatives));
    }
    out.push_str(&format!("\n{}\n", papers::CAUTION));
    out
}
