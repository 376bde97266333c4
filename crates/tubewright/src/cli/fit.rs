//! `tubewright fit`: how far off a run comes out, and what is to be changed as measured.

use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use app::fit_accept::{day_text, with_lines};
use app::fit_job::fit_job;
use app::fit_pool::pool_builds;
use app::fit_recut::{Recut, recut};
use app::fit_report::FitReport;
use app::open_job::{JobPart, OpenJob};
use job::{Documents, Folder, Problem, Problems};

use super::opened::{JobArgs, Plan, write};
use crate::exit::{Failure, Outcome, cannot_be_cut, eprint_line, eprint_problems, print};

/// Forecast, or correction as measured.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pub job: JobArgs,
    /// Accept the correction: add it to fit.toml and write asbuilt.toml
    #[arg(long)]
    accept: bool,
    /// Write what is left to be cut, as corrected, as a job of its own into this folder, with what is left of the items as remnants
    #[arg(long, value_name = "FOLDER", conflicts_with = "pool")]
    recut: Option<PathBuf>,
    /// Pool the build with those of these jobs: what the shop's own errors are, proposed as `[shop]`
    #[arg(long, value_name = "FOLDER", num_args = 1.., conflicts_with = "accept")]
    pool: Vec<PathBuf>,
}

/// Says how each run comes out, and with readings what to change.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    if !args.pool.is_empty() {
        return pool(args);
    }
    let (folder, open) = args.job.open(&[JobPart::Job, JobPart::Routes])?;
    let (opened, routes) = (open.require_cutting()?, open.require_routes()?);
    let plan = match plan(&folder, &open)? {
        Ok(plan) => plan,
        Err(error) => return Ok(cannot_be_cut(&error, opened.job.units, args.job.json)),
    };
    let planned = open.planned_by(&plan.plan, &plan.text)?;
    let report = fit_job(planned)?;
    eprint_problems(std::slice::from_ref(&report.warnings));
    if let Some(into) = &args.recut {
        write_recut(&folder, into, recut(planned, &report))?;
    }
    if args.accept {
        accept(&folder, &report)?;
        let built = job::routes_text(&report.as_built(routes), opened.job.units);
        write(&folder.file("asbuilt.toml"), &built)?;
    }
    print(&if args.job.json { report.to_json().to_string() } else { report.text() });
    Ok(if report.met() { Outcome::Done } else { Outcome::Unmet })
}

/// Writes what is left to be cut as a job, with the stock file that this one is cut from.
fn write_recut(folder: &Folder, into: &Path, recut: Option<Recut>) -> Result<(), Failure> {
    let Some(recut) = recut else {
        eprint_line("nothing is left to be cut");
        return Ok(());
    };
    let failed = |e: std::io::Error| Failure::System(format!("{}: {e}", into.display()));
    std::fs::create_dir_all(into).map_err(failed)?;
    write(&into.join("job.toml"), &recut.job)?;
    write(&into.join("routes.toml"), &recut.routes)?;
    if let Some(stock) = folder.own_or_shops("stock.toml")? {
        write(&into.join("stock.toml"), &String::from_utf8_lossy(&stock.bytes))?;
    }
    for piece in &recut.pieces {
        eprint_line(&format!("primary {piece}"));
    }
    for run in &recut.other_tubes {
        eprint_line(&format!("{run} is of another tube: cut its rest by hand"));
    }
    eprint_line(&format!("then: tubewright cut {0}, and tubewright sheets {0} --only saw,clocking", into.display()));
    Ok(())
}

/// Proposes the shop's own errors from the builds of several jobs.
fn pool(args: &Args) -> Result<Outcome, Failure> {
    let mut reports = Vec::new();
    for job in std::iter::once(&args.job.job).chain(&args.pool) {
        let mut named = args.job.clone();
        named.job.clone_from(job);
        let (folder, open) = named.open(&[JobPart::Job, JobPart::Routes])?;
        let opened = open.require_cutting()?;
        let plan = match plan(&folder, &open)? {
            Ok(plan) => plan,
            Err(error) => return Ok(cannot_be_cut(&error, opened.job.units, args.job.json)),
        };
        reports.push(fit_job(open.planned_by(&plan.plan, &plan.text)?)?);
    }
    let report = pool_builds(&reports);
    print(&if args.job.json { report.to_json().to_string() } else { report.text() });
    Ok(Outcome::Done)
}

/// The saved plan, be it out of date in what does not matter here; that it is of these routes is checked later. Without one,
/// and before a build has begun, a new one.
fn plan(folder: &Folder, open: &OpenJob) -> Result<Result<Plan, cutplan::CutError>, Failure> {
    open.require(&[JobPart::Plan])?;
    let begun = folder.own("fit.toml")?.is_some();
    match (&open.plan, &open.stale) {
        (Some(plan), stale) => {
            if let Some(why) = stale {
                eprint_line(&format!(
                    "{} is out of date ({why}); the fit is of this plan all the same",
                    folder.file("cutplan.json").display()
                ));
            }
            Ok(Ok(Plan { plan: plan.clone(), text: open.plan_text.clone() }))
        }
        (None, _) if begun => {
            let problem =
                Problem::error("no-file", "there is a fit.toml and no cutplan.json that it could be a build of");
            let problem = problem.in_file(folder.shown("cutplan.json")).expected("the plan that is being built");
            Err(Problems::one(problem.hint("put back the cutplan.json that the sheets were printed from")).into())
        }
        _ => Plan::of(folder, open),
    }
}

/// Adds the correction to the end of fit.toml.
fn accept(folder: &Folder, report: &FitReport) -> Result<(), Failure> {
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    let lines = report.corrected(&day_text((seconds / 86_400) as i64));
    if lines.is_empty() {
        return Ok(());
    }
    let old = folder.own("fit.toml")?.map(|f| String::from_utf8_lossy(&f.bytes).into_owned());
    write(&folder.file("fit.toml"), &with_lines(old, &lines))
}
