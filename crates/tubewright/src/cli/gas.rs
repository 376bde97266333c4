//! `tubewright gas`: torque and breathing over engine speed.

use std::path::PathBuf;

use app::gas_job::{GasProgress, Speeds, gas_job};
use app::open_job::JobPart;
use job::{Monitor, Problem, Problems};

use super::opened::{JobArgs, write};
use crate::exit::{Failure, Outcome, eprint_line, print};

/// Options of `gas`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pub job: JobArgs,
    /// Engine speeds, rpm: from, to and step [default: around peak_power_rpm]
    #[arg(long, value_name = "FROM:TO:STEP")]
    rpm: Option<String>,
    /// Also write the JSON answer to this file
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Computes the gas in the routed tubes.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let (_, open) = args.job.open(&[JobPart::Job, JobPart::Routes])?;
    let job = &open.require_job()?.job;
    let speeds = match &args.rpm {
        Some(text) => Speeds::read(text).map_err(wrong)?,
        None => Speeds::usual(job),
    };
    let show = |p: &GasProgress| eprint_line(&format!("{} of {} speeds", p.done, p.total));
    let report = gas_job(job, open.require_routes()?, &speeds, &mut Monitor::reporting(show))?;
    let json = report.to_json().to_string();
    if let Some(file) = &args.out {
        write(file, &format!("{json}\n"))?;
    }
    print(&if args.job.json { json } else { report.text() });
    Ok(Outcome::Done)
}

fn wrong(why: String) -> Failure {
    let problem = Problem::error("option", why).in_file("command line");
    let problem = problem.expected("speeds in rpm as from:to:step").hint("write for example --rpm 2500:8000:250");
    Problems::one(problem).into()
}
