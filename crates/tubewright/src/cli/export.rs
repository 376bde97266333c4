//! `tubewright export`: solids, meshes, drawings and tables for other programs and machines.

use std::path::PathBuf;

use app::export_job::{ExportError, Exported, export};
use app::export_work::{ExportSettings, FixtureSheet, Format, SHEET, TOLERANCE, Work};
use app::fit_job::fit_job;
use app::open_job::{JobPart, OpenJob};
use app::papers_job::PapersError;
use app::wording;
use cutplan::CutPlan;
use export::Body;
use export::trial::Printing;
use job::routes::Routes;
use job::{Folder, Problem, Problems};

use super::opened::{JobArgs, Plan};
use crate::exit::{Failure, Outcome, eprint_line, not_cut, print};

/// Options of `export`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pub job: JobArgs,
    /// Formats: step, stl, 3mf, glb, dxf, svg, xyz, lra, cutlist, quote, fixture, all
    #[arg(short, long, value_name = "FORMAT", value_delimiter = ',', required = true)]
    format: Vec<String>,
    /// Only this run or piece, e.g. "primary 1" or 1A
    #[arg(long, value_name = "RUN OR PIECE")]
    of: Option<String>,
    /// Hollow tubes (default)
    #[arg(long, conflicts_with = "solid")]
    hollow: bool,
    /// Solid rods
    #[arg(long)]
    solid: bool,
    /// stl and 3mf as trial pieces to print, keyed together: for fitting only, never for gas or heat
    #[arg(long)]
    trial: bool,
    /// Bed and height of the printer in mm, for trial pieces and a fixture's plates
    #[arg(long, value_name = "XxYxZ", default_value = "220x220x250")]
    bed: String,
    /// Thickness of a fixture's sheet, mm
    #[arg(long, value_name = "MM", default_value_t = SHEET.thickness)]
    sheet: f64,
    /// Width of the laser's cut that a fixture's lines are moved outward by half of, mm; 0: the machine makes up for it
    #[arg(long, value_name = "MM", default_value_t = SHEET.kerf)]
    kerf: f64,
    /// Gap all around between the keys of trial pieces, and what slots of a fixture are wider than its sheet, mm
    #[arg(long, value_name = "MM", default_value_t = Printing::default().play)]
    play: f64,
    /// How far meshes may be from the true surface, mm
    #[arg(long, value_name = "MM", default_value_t = TOLERANCE)]
    tolerance: f64,
    /// The header as it was built and corrected by fit.toml, whole or by --of
    #[arg(long)]
    as_built: bool,
    /// Date in the STEP header (a fixed one if omitted, so that files can be compared)
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = app::papers_job::date, default_value = "", hide_default_value = true)]
    date: String,
    /// The folder to write into
    #[arg(short, long, value_name = "OUT", default_value = "exports")]
    out: PathBuf,
}

/// Exports the job.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let settings = settings(args)?;
    let (folder, open) = args.job.open(&[JobPart::Job, JobPart::Extras, JobPart::Routes])?;
    let (opened, beside, routes) = (open.require_job()?, open.require_extras()?, open.require_routes()?);
    let needs_plan = settings.formats.iter().any(|f| f.needs_plan());
    if needs_plan {
        open.require_cutting()?;
    }
    let plan = match plan(&folder, &open)? {
        Ok(plan) => Some(plan),
        Err(why) if needs_plan => return Ok(not_cut(&why, args.job.json)),
        Err(why) => {
            eprint_line(&format!("the runs are exported whole, not in pieces: {why}"));
            None
        }
    };
    let built = if args.as_built { Some(as_built(&folder, &open, args)?) } else { None };
    let (routes, plan) = built.as_ref().map_or((routes, plan.as_ref()), |(routes, plan)| (routes, Some(plan)));
    let (job, units) = (&opened.job, opened.job.units);
    let work = Work { job, units, routes, plan, rates: open.require_rates()?, beside };
    let done = export(&work, &settings, &args.out).map_err(|error| failure(error, args))?;
    report(&done, args);
    Ok(Outcome::Done)
}

/// The header as it was built and corrected.
fn as_built(folder: &Folder, open: &OpenJob, args: &Args) -> Result<(Routes, CutPlan), Failure> {
    let wrong = |why: String| args.job.not_as_built(why, "a build that was measured");
    if open.fit.is_none() {
        return Err(wrong(PapersError::NotMeasured.to_string()));
    }
    let units = open.require_job()?.job.units;
    let plan = Plan::of(folder, open)?.map_err(|e| wrong(wording::cut(&e, units)))?;
    let planned = open.planned_by(&plan.plan, &plan.text)?;
    let report = fit_job(planned)?;
    Ok((report.as_built(planned.routes), report.plan_as_built(planned.plan)))
}

fn report(done: &Exported, args: &Args) {
    for warning in &done.warnings {
        eprint_line(&format!("warning: {warning}"));
    }
    let files: Vec<String> = done.files.iter().map(|f| f.display().to_string()).collect();
    if args.job.json {
        print(&serde_json::json!({"format": 1, "files": files, "warnings": done.warnings}).to_string());
    } else {
        print(&files.join("\n"));
    }
}

fn failure(error: ExportError, args: &Args) -> Failure {
    match error {
        problem @ ExportError::Refused(..) => {
            let problem = Problem::error("export", problem.to_string()).in_file(args.job.job.display().to_string());
            Problems::one(problem.expected("what can be exported").hint("see `tubewright export --help`")).into()
        }
        problem @ ExportError::NoFixture(_) => {
            let problem = Problem::error("fixture", problem.to_string()).in_file(args.job.job.display().to_string());
            let expected = "flanges that lie on one table, and tubes that a plate can stand under";
            Problems::one(problem.expected(expected).hint("set it up by the jig sheet instead")).into()
        }
        other => Failure::System(other.to_string()),
    }
}

fn wrong(option: &str, value: &str, expected: &str, hint: &str) -> Failure {
    let shown: String = value.chars().take(60).collect();
    let problem = Problem::error("option", format!("--{option} cannot be `{shown}`")).in_file("command line");
    Problems::one(problem.expected(expected).hint(hint)).into()
}

fn settings(args: &Args) -> Result<ExportSettings, Failure> {
    let mut formats: Vec<Format> = Vec::new();
    for word in &args.format {
        let word = word.trim().to_ascii_lowercase();
        if word == "all" {
            // With --of, all that can show a part.
            formats.extend(Format::ALL.iter().filter(|f| args.of.is_none() || f.of_parts()));
            continue;
        }
        let names: Vec<&str> = Format::ALL.iter().map(|f| f.name()).chain(["all"]).collect();
        let Some(format) = Format::ALL.iter().find(|f| f.name() == word) else {
            let near = job::suggest::nearest(&word, names.iter().copied()).unwrap_or("all");
            return Err(wrong("format", &word, &job::suggest::either(&names), &format!("write `{near}`")));
        };
        formats.push(*format);
    }
    if let Some(whole) = formats.iter().find(|f| args.of.is_some() && !f.of_parts()) {
        let one: Vec<&str> = Format::ALL.iter().filter(|f| f.of_parts()).map(|f| f.name()).collect();
        let hint = format!("leave out --of for {}", whole.name());
        return Err(wrong("format", whole.name(), &format!("with --of {}", job::suggest::either(&one)), &hint));
    }
    formats.sort_unstable();
    formats.dedup();
    measure("tolerance", args.tolerance, 0.001, 2.0, "0.02 is finer than any printer shows")?;
    measure("play", args.play, 0.0, 2.0, "0.2 suits most printers")?;
    let bed = bed(&args.bed)?;
    let printing = Printing { bed, tolerance: args.tolerance, play: args.play };
    measure("sheet", args.sheet, 0.5, 25.0, "3 to 6 stand firm")?;
    measure("kerf", args.kerf, 0.0, 2.0, "a fibre laser's is about 0.2")?;
    Ok(ExportSettings {
        fixture: FixtureSheet { thickness: args.sheet, play: args.play, kerf: args.kerf },
        formats,
        of: args.of.clone(),
        body: if args.solid { Body::Solid } else { Body::Hollow },
        trial: args.trial.then_some(printing),
        bed,
        tolerance: args.tolerance,
        date: args.date.clone(),
    })
}

/// Makes sure that an option in mm lies in its range.
fn measure(option: &str, value: f64, least: f64, most: f64, hint: &str) -> Result<(), Failure> {
    if value.is_finite() && (least..=most).contains(&value) {
        return Ok(());
    }
    Err(wrong(option, &value.to_string(), &format!("{least} to {most} mm"), hint))
}

fn bed(text: &str) -> Result<[f64; 3], Failure> {
    let values: Vec<f64> = text.split(['x', 'X', '\u{d7}']).filter_map(|v| v.trim().parse().ok()).collect();
    match values[..] {
        [x, y, z]
            if values.iter().all(|v| v.is_finite() && *v > 0.0) && text.split(['x', 'X', '\u{d7}']).count() == 3 =>
        {
            Ok([x, y, z])
        }
        _ => Err(wrong(
            "bed",
            text,
            "width, depth and height in mm, e.g. 220x220x250",
            "write three numbers with an x between them",
        )),
    }
}

/// The saved cut plan when it still belongs to the routes and the stock, else a new one; why there is none in plain words.
fn plan(folder: &Folder, open: &OpenJob) -> Result<Result<CutPlan, String>, Failure> {
    if let Some(saved) = Plan::saved(folder, open)? {
        return Ok(Ok(saved.plan));
    }
    let Ok(opened) = open.require_cutting() else {
        return Ok(Err("the job gives no stock, saw or cost".into()));
    };
    Ok(Plan::made(open)?.map(|made| made.plan).map_err(|e| wording::cut(&e, opened.job.units)))
}
