//! `tubewright survey`: places from tape readings and photos.

use std::path::PathBuf;

use app::survey_job::photo_files::PhotoFolder;
use app::survey_job::write::write as places_written;
use app::survey_job::{SurveyReport, survey_job};
use job::{Documents as _, Folder, Problem, Problems};

use super::opened::write;
use crate::exit::{Failure, Outcome, eprint_line, eprint_problems, print};

/// Name of the file that keeps what was written.
const KEPT: &str = "survey.json";

/// Options of `survey`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The folder with survey.toml; a job.toml need not be there
    pub job: PathBuf,
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

/// Adjusts the survey and prints places, slips and what is in doubt.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let folder = Folder::of(&args.job);
    let report = survey_job(&folder, &PhotoFolder::of(&args.job))?;
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
