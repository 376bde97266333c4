//! What every command starts from: the job that is named, its folder, and its cut plan.

use std::path::{Path, PathBuf};

use app::cut_job::cut_job;
use app::open_job::{JobPart, OpenJob, open};
use app::papers_job::plan_text;
use cutplan::{CutError, CutJob, CutPlan, CutSettings};
use job::{Folder, Monitor, Problem, Problems, write_atomic};

use crate::exit::{Failure, eprint_line, eprint_problems};

/// The job, as every command names it.
#[derive(Debug, Clone, clap::Args)]
pub struct JobArgs {
    /// The job's folder or its job.toml
    pub job: PathBuf,
    /// The shop's file of stock and prices [default: stock.toml in the job's folder or the one above]
    #[arg(long, value_name = "FILE")]
    stock: Option<PathBuf>,
    /// Print one JSON object instead of text
    #[arg(long)]
    pub json: bool,
}

impl JobArgs {
    /// The folder of the job.
    pub fn folder(&self) -> Folder {
        Folder::of(&self.job).with_stock(self.stock.as_deref())
    }

    /// Why `--as-built` cannot be had.
    pub fn not_as_built(&self, why: String, expected: &str) -> Failure {
        let problem = Problem::error("as-built", why).in_file(self.job.display().to_string());
        Problems::one(problem.expected(expected).hint("see docs/fit.md, or leave out --as-built")).into()
    }

    /// Opens the job; what only looks wrong with these parts is printed.
    ///
    /// # Errors
    /// All problems of job.toml, when there is an error among them.
    pub fn open(&self, parts: &[JobPart]) -> Result<(Folder, OpenJob), Failure> {
        let folder = self.folder();
        let open = open(&folder);
        open.require_job()?;
        eprint_problems(&parts.iter().map(|part| open.warnings(*part)).collect::<Vec<Problems>>());
        Ok((folder, open))
    }
}

/// The cut plan of a job, and its text.
pub struct Plan {
    pub plan: CutPlan,
    pub text: String,
}

impl Plan {
    /// The saved plan when it still belongs to the routes and the stock.
    ///
    /// # Errors
    /// All problems of cutplan.json, when it is no cut plan.
    pub fn saved(folder: &Folder, open: &OpenJob) -> Result<Option<Plan>, Failure> {
        if let Some(why) = &open.stale {
            eprint_line(&format!("{} is out of date ({why}): planning again", folder.file("cutplan.json").display()));
        }
        Ok(open.require_plan()?.map(|plan| Plan { plan: plan.clone(), text: open.plan_text.clone() }))
    }

    /// A new plan, which is not saved.
    ///
    /// # Errors
    /// Problems of job or routes; within, why the runs cannot be cut.
    pub fn made(open: &OpenJob) -> Result<Result<Plan, CutError>, Failure> {
        let (opened, routes) = (open.require_cutting()?, open.require_routes()?);
        let offered = open.offered();
        let job = CutJob::with_shelf(&opened.job, &offered);
        match cut_job(&job, routes, &CutSettings::default(), &mut Monitor::silent()) {
            Ok(made) => {
                let text = plan_text(&made.plan).map_err(|e| Failure::System(e.to_string()))?;
                Ok(Ok(Plan { plan: made.plan, text }))
            }
            Err(why) => Ok(Err(why)),
        }
    }

    /// The saved plan when it still belongs to the routes and the stock, else a new one, which is saved.
    ///
    /// # Errors
    /// As [`Plan::saved`] and [`Plan::made`].
    pub fn of(folder: &Folder, open: &OpenJob) -> Result<Result<Plan, CutError>, Failure> {
        if let Some(saved) = Plan::saved(folder, open)? {
            return Ok(Ok(saved));
        }
        let made = Plan::made(open)?;
        if let Ok(plan) = &made {
            write(&folder.file("cutplan.json"), &plan.text)?;
        }
        Ok(made)
    }
}

/// Writes a file whole or not at all.
///
/// # Errors
/// What the system says, with the file.
pub fn write(file: &Path, text: &str) -> Result<(), Failure> {
    write_atomic(file, text.as_bytes())
        .map_err(|e| Failure::System(format!("{} cannot be written: {e}", file.display())))
}

/// Writes a PDF and says how many pages it has.
///
/// # Errors
/// What the system says, with the file.
pub fn write_pdf(file: &Path, pdf: &papers::Pdf) -> Result<(), Failure> {
    write_atomic(file, &pdf.bytes)
        .map_err(|e| Failure::System(format!("{} cannot be written: {e}", file.display())))?;
    eprint_line(&format!("{} pages written to {}", pdf.pages, file.display()));
    Ok(())
}

/// What `gas` kept; `None` when there is nothing.
pub fn gas_text(path: &Path) -> Result<Option<String>, Failure> {
    match std::fs::read_to_string(path) {
        Ok(text) => Ok(Some(text)),
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(why) => Err(Failure::System(format!("{}: {why}", path.display()))),
    }
}
