//! `tubewright survey`: places from tape readings and photos.

use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use app::open_job::open;
use app::survey_job::photo_files::PhotoFolder;
use app::survey_job::write::write as places_written;
use app::survey_job::{SURVEY_FILE, SurveyReport, survey_job};
use app::survey_sheet::survey_paper;
use job::{Documents as _, Folder, Problem, Problems, write_atomic};
use papers::Paper;

use super::opened::write;
use crate::exit::{Failure, Outcome, eprint_line, eprint_problems, print};

/// Name of the file that keeps what was written.
const KEPT: &str = "survey.json";

/// Options of `survey`.
#[derive(Debug, clap::Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub struct Args {
    #[command(subcommand)]
    what: Option<What>,
    /// The folder with survey.toml; a job.toml need not be there
    #[arg(required = true)]
    pub job: Option<PathBuf>,
    /// Also write the JSON answer into this file
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Put the places of `[[is]]` into job.toml, and what was written into survey.json beside it
    #[arg(long)]
    pub write: bool,
    /// With --write, also replace numbers that were typed since the last time
    #[arg(long, requires = "write")]
    pub overwrite: bool,
    /// Print one JSON object instead of text
    #[arg(long)]
    pub json: bool,
}

/// What else `survey` does.
#[derive(Debug, clap::Subcommand)]
enum What {
    /// Print marker plates, the bar and a reading sheet for a job, and start its survey.toml
    Sheet(SheetArgs),
}

/// Options of `survey sheet`.
#[derive(Debug, clap::Args)]
struct SheetArgs {
    /// The job's folder, or its job.toml; its coordinates may be guesses
    job: PathBuf,
    /// The folder to write survey-sheet.pdf into
    #[arg(short, long, value_name = "OUT", default_value = "out/survey")]
    out: PathBuf,
    /// Size of the paper: a4, letter, a3 or tabloid [default: a4 for jobs in mm, letter in inches]
    #[arg(long, value_name = "SIZE")]
    paper: Option<Paper>,
}

/// Adjusts the survey and prints places, slips and what is in doubt.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    if let Some(What::Sheet(sheet)) = &args.what {
        return print_sheet(sheet);
    }
    let job = args.job.as_deref().unwrap_or(Path::new("."));
    let folder = Folder::of(job);
    let report = survey_job(&folder, &PhotoFolder::of(job), &AtomicBool::new(false))?;
    if let Some(file) = &args.out {
        write(file, &format!("{:#}\n", report.to_json()))?;
    }
    if args.json {
        print(&report.to_json().to_string());
    } else {
        eprint_problems(std::slice::from_ref(&report.warnings));
        print(&report.text());
    }
    if args.write && report.is_settled() {
        write_places(&folder, &report, args.overwrite)?;
    } else if args.write {
        eprint_line("Nothing was written into job.toml: the survey is not settled yet.");
    }
    Ok(if report.is_settled() { Outcome::Done } else { Outcome::Unmet })
}

/// Writes the sheets, and a survey.toml to start from where the job has none.
fn print_sheet(args: &SheetArgs) -> Result<Outcome, Failure> {
    let folder = Folder::of(&args.job);
    let open = open(&folder);
    let failed = |e: &dyn std::fmt::Display| Failure::System(format!("the sheet cannot be written: {e}"));
    let made = survey_paper(&open.require_job()?.job, args.paper).map_err(|e| failed(&e))?;
    let file = args.out.join("survey-sheet.pdf");
    std::fs::create_dir_all(&args.out).and_then(|()| write_atomic(&file, &made.pdf.bytes)).map_err(|e| failed(&e))?;
    let start = folder.file(SURVEY_FILE);
    if folder.own(SURVEY_FILE)?.is_none() {
        write(&start, &made.start)?;
        print(&format!("{} ({} pages)\n{}: fill in what you read", file.display(), made.pdf.pages, start.display()));
    } else {
        print(&format!("{} ({} pages); {} is left as it is", file.display(), made.pdf.pages, start.display()));
    }
    Ok(Outcome::Done)
}

/// Writes the places into job.toml, and says every value on standard error.
fn write_places(folder: &Folder, report: &SurveyReport, overwrite: bool) -> Result<(), Failure> {
    let Some(job) = folder.own("job.toml")? else {
        let problem = Problem::error("missing-file", "there is no job.toml to write into").expected("a job");
        return Err(Problems::one(problem.hint("run without --write, or start a job with `tubewright new`")).into());
    };
    let text = String::from_utf8_lossy(&job.bytes).into_owned();
    let before = folder.own(KEPT)?.and_then(|d| serde_json::from_slice(&d.bytes).ok());
    let written = places_written(report, &text, before.as_ref(), overwrite)?;
    write(&folder.file("job.toml"), &written.job_text)?;
    write(&folder.file(KEPT), &format!("{:#}\n", written.kept))?;
    written.changes.iter().for_each(|change| eprint_line(&change.text()));
    Ok(())
}
