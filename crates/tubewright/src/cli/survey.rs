//! `tubewright survey`: places from tape readings and photos.

use std::path::PathBuf;

use app::survey_job::photo_files::PhotoFolder;
use app::survey_job::survey_job;
use job::Folder;

use super::opened::write;
use crate::exit::{Failure, Outcome, eprint_problems, print};

/// Options of `survey`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The folder with survey.toml; a job.toml need not be there
    pub job: PathBuf,
    /// Also write the JSON answer into this file
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Print one JSON object instead of text
    #[arg(long)]
    pub json: bool,
}

/// Adjusts the survey and prints places, slips and what is in doubt.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let report = survey_job(&Folder::of(&args.job), &PhotoFolder::of(&args.job))?;
    if let Some(file) = &args.out {
        write(file, &format!("{:#}\n", report.to_json()))?;
    }
    if args.json {
        print(&report.to_json().to_string());
    } else {
        eprint_problems(std::slice::from_ref(&report.warnings));
        print(&report.text());
    }
    Ok(if report.is_settled() { Outcome::Done } else { Outcome::Unmet })
}
