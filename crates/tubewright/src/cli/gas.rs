//! `tubewright gas`: torque and breathing over engine speed.

use std::path::PathBuf;

use app::gas_curve::MOST_SAMPLES;
use app::gas_job::{GasProgress, Speeds, gas_job};
use app::gas_worth::{Asked, worth_of_length};
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
    /// Also compute what the length of the primaries is worth over these speeds
    #[arg(long)]
    lengths: bool,
    /// With --lengths: compare again with everything unknown picked at random, so many times
    #[arg(long, value_name = "N", default_value_t = 0, requires = "lengths")]
    samples: usize,
    /// Seed of the samples
    #[arg(long, default_value_t = 1)]
    seed: u64,
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
    let routes = open.require_routes()?;
    if args.samples > MOST_SAMPLES {
        return Err(wrong(format!("--samples {}: at most {MOST_SAMPLES}", args.samples)));
    }
    let mut report = gas_job(job, routes, &speeds, &mut Monitor::reporting(show))?;
    if args.lengths {
        let asked = Asked { speeds, samples: args.samples, seed: args.seed };
        report.worth = Some(worth_of_length(job, routes, &report.model, &asked, &mut Monitor::reporting(show))?);
    }
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
