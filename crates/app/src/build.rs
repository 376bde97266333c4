//! Builds a job: routes, cut plan and report into one folder, the job's own folder left alone.

use std::io;
use std::path::{Path, PathBuf};

use cutplan::file::PlanFile;
use cutplan::quote::file::QuoteFile;
use cutplan::quote::{Quote, quote};
use cutplan::{CutError, CutPlan, CutSettings};
use job::model::Job;
use job::rates::Rates;
use job::routes::Routes;
use job::{Beside, Opened};
use job::{write_atomic, write_routes};
use route::RouteSettings;
use route::search::solve::Answer;
use serde_json::{Value, json};

use crate::alternatives::{Alternative, choose};
use crate::cut_job::{CutReport, cut_job};
use crate::export_job::{ExportError, ExportSettings, Exported, Format, Work, export};
use crate::leftovers;
use crate::papers_job::{self, PaperSettings, Papers, Printed, content_hash, plan_text, print_papers, write_papers};
use crate::price_job::{quote_summary, quote_text};
use crate::report::{alternatives_text, cut_text, routes_text};
use crate::route_job::{RouteReport, route_job};
use crate::summary::{length_spread, rounded, run_lines};

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
    pub beside: Beside,
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

/// News of a build on its way.
pub enum News<'a> {
    /// A better answer of the router, and the seconds passed.
    Route(&'a Answer, f64),
    /// A better cut plan.
    Cut(&'a CutPlan),
    /// Something to be said of the papers.
    Warning(String),
}

/// Builds `opened` into the folder `out`.
///
/// # Errors
/// When a file can't be written; those written before stay whole.
pub fn build(
    opened: &Opened,
    last: Option<&Routes>,
    out: &Path,
    settings: &BuildSettings,
    tell: &(dyn Fn(News) + Sync),
) -> io::Result<Built> {
    let job = &opened.job;
    std::fs::create_dir_all(out)?;
    let before = leftovers::listed(out);
    let route_settings = RouteSettings { varied: settings.alternatives > 1, ..settings.route };
    let mut routed = route_job(job, last, route_settings, &mut |answer, seconds| {
        tell(News::Route(answer, seconds));
        true
    });
    let alternatives = if settings.alternatives > 1 && routed.routed.met {
        choose(job, &routed.routed.answers, settings.alternatives, &settings.rates)
    } else {
        Vec::new()
    };
    let cut = routed.routes().map(|r| cut_job(job, r, &settings.cut, &mut |p| tell(News::Cut(p))));
    if let Some(Err(error)) = &cut {
        routed.unmet.push(cut_miss(error));
        routed.routed.met = false;
    }
    let plan = cut.as_ref().and_then(|c| c.as_ref().ok());
    // Routes that were cut are tubes, so that they can be priced too.
    let quote = match (routed.routes(), plan) {
        (Some(routes), Some(cut)) => quote(job, routes, &cut.plan, &settings.rates).ok(),
        _ => None,
    };
    let exported = match (routed.routes(), plan) {
        (Some(routes), Some(cut)) if routed.routed.met => Some(exports(job, routes, &cut.plan, settings, out)?),
        _ => None,
    };
    let answer = Answered {
        opened,
        routed: &routed,
        cut: plan,
        quote: quote.as_ref(),
        alternatives: &alternatives,
        exported: exported.as_ref(),
    };
    let mut built = Built { met: routed.routed.met, summary: summary(&answer), text: text(&answer) };
    let mut files: Vec<String> = exported.iter().flat_map(|e| &e.names).map(|n| format!("exports/{n}")).collect();
    if let Some(set) = papers(&answer, settings)? {
        write_papers(&set, &out.join("papers").join("papers.pdf"))?;
        files.push("papers/papers.pdf".into());
        built.summary["hash"] = json!(set.hash);
        built.summary["seconds"]["papers"] = json!(rounded(set.seconds));
        set.warnings.into_iter().for_each(|w| tell(News::Warning(w)));
    }
    files.extend(answer_files(&answer));
    built.summary["files"] = json!(files);
    // Before the new summary is written: a build that is stopped here still has the old list to go by.
    leftovers::remove(out, &before, &files)?;
    write(&answer, out, &built)?;
    Ok(built)
}

/// The papers, when they are wanted and there is a cut plan to print.
fn papers(answer: &Answered<'_>, settings: &BuildSettings) -> io::Result<Option<Papers>> {
    let (Some(settings), Some(routes), Some(cut)) = (&settings.papers, answer.routed.routes(), answer.cut) else {
        return Ok(None);
    };
    let unmet: Vec<String> = answer
        .routed
        .unmet
        .iter()
        .map(|m| m.run.as_ref().map_or(m.message.clone(), |run| format!("{run}: {}", m.message)))
        .collect();
    let job = &answer.opened.job;
    let plan = plan_text(&cut.plan).map_err(io::Error::other)?;
    let quote = papers_job::quote_text(answer.quote).map_err(io::Error::other)?;
    let hash = content_hash(&job::routes_text(routes, job.units), &plan, quote.as_deref());
    let printed = Printed { routes, plan: &cut.plan, quote: answer.quote, unmet: &unmet, hash: &hash };
    print_papers(job, printed, settings).map(Some).map_err(io::Error::other)
}

fn cut_miss(error: &CutError) -> crate::summary::UnmetLine {
    crate::summary::UnmetLine { requirement: "cut".into(), run: None, by: 1.0, message: error.to_string() }
}

/// What is exported of a job whose requirements hold: all but STL, which 3MF holds too with names and colours.
///
/// # Errors
/// When a file can't be written.
fn exports(job: &Job, routes: &Routes, plan: &CutPlan, settings: &BuildSettings, out: &Path) -> io::Result<Exported> {
    let work = Work { job, routes, plan: Some(plan), rates: &settings.rates, beside: &settings.beside };
    let formats = Format::ALL.into_iter().filter(|f| *f != Format::Stl).collect();
    match export(&work, &ExportSettings { formats, ..ExportSettings::default() }, &out.join("exports")) {
        Ok(exported) => Ok(exported),
        Err(ExportError::Write { file, error }) => {
            Err(io::Error::new(error.kind(), format!("{}: {error}", file.display())))
        }
        Err(why) => Ok(Exported { warnings: vec![why.to_string()], ..Exported::default() }),
    }
}

/// All that a build brought.
struct Answered<'a> {
    opened: &'a Opened,
    routed: &'a RouteReport,
    cut: Option<&'a CutReport>,
    quote: Option<&'a Quote>,
    alternatives: &'a [Alternative],
    exported: Option<&'a Exported>,
}

/// The answer's own files, as `write` writes them; routes are left out, for a person may have gone on with them.
fn answer_files(answer: &Answered<'_>) -> Vec<String> {
    let mut files: Vec<String> =
        (1..=answer.alternatives.len()).map(|i| format!("alternatives/{i}/routes.toml")).collect();
    files.extend(answer.cut.map(|_| "cutplan.json".to_string()));
    files.extend(answer.quote.map(|_| "quote.json".to_string()));
    files
}

fn write(answer: &Answered<'_>, out: &Path, built: &Built) -> io::Result<()> {
    let Answered { opened, routed, cut, quote, alternatives, .. } = *answer;
    if let Some(routes) = routed.routes() {
        write_routes(&out.join("routes.toml"), routes, opened.job.units)?;
    }
    for (i, alternative) in alternatives.iter().enumerate() {
        let folder: PathBuf = out.join("alternatives").join((i + 1).to_string());
        std::fs::create_dir_all(&folder)?;
        write_routes(&folder.join("routes.toml"), &alternative.routes, opened.job.units)?;
    }
    if let Some(cut) = cut {
        let text = PlanFile::from(&cut.plan).to_json().map_err(io::Error::other)?;
        write_atomic(&out.join("cutplan.json"), text.as_bytes())?;
    }
    if let Some(quote) = quote {
        write_atomic(&out.join("quote.json"), QuoteFile::from(quote).to_json()?.as_bytes())?;
    }
    let summary = serde_json::to_string_pretty(&built.summary)?;
    write_atomic(&out.join("summary.json"), summary.as_bytes())?;
    write_atomic(&out.join("report.txt"), built.text.as_bytes())
}

fn summary(answer: &Answered<'_>) -> Value {
    let Answered { opened, routed, cut, quote, alternatives, .. } = *answer;
    let job = &opened.job;
    let plan = cut.map(|c| &c.plan);
    let lines = routed.routes().map_or(Vec::new(), |r| run_lines(job, r, plan));
    let mut summary = json!({
        "format": 1,
        "job": job.name,
        "met": routed.routed.met,
        "unmet": routed.unmet,
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
        summary["exports"] = json!({"files": exported.names, "warnings": exported.warnings});
    }
    if let Some(quote) = quote {
        summary["quote"] = quote_summary(quote);
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

fn text(answer: &Answered<'_>) -> String {
    let Answered { opened, routed, cut, quote, alternatives, .. } = *answer;
    let job = &opened.job;
    let mut out = format!("{}\n{}\n\n", job.name, "=".repeat(job.name.chars().count()));
    out.push_str(&routes_text(job, routed, cut.map(|c| &c.plan)));
    if let Some(cut) = cut {
        out.push('\n');
        out.push_str(&cut_text(job, &cut.plan));
    }
    if let Some(quote) = quote {
        out.push('\n');
        out.push_str(&quote_text(quote));
    }
    for warning in answer.exported.iter().flat_map(|e| &e.warnings) {
        out.push_str(&format!("\nExports: {warning}.\n"));
    }
    if !alternatives.is_empty() {
        out.push_str("\nAlternatives, each in its folder under alternatives/:\n\n");
        out.push_str(&alternatives_text(job, alternatives));
    }
    out
}
