//! `tubewright gas`: torque and breathing over engine speed.

use std::path::PathBuf;

use app::gas_compare::{compare_pairings, compare_routes, unevenness};
use app::gas_curve::{MOST_SAMPLES, gas_band, gas_map, usual_values};
use app::gas_job::{GasReport, gas_job};
use app::gas_model::Size;
use app::gas_sheet::gas_pdf;
use app::gas_sound::gas_sound;
use app::gas_speeds::{GasProgress, SPEEDS, Speeds};
use app::gas_waves::gas_waves;
use app::gas_worth::{Asked, worth_of_length};
use app::open_job::JobPart;
use job::file::routes_file;
use job::model::Job;
use job::routes::Routes;
use job::{Monitor, Problem, Problems, write_atomic};

use super::opened::{JobArgs, write, write_pdf};
use crate::exit::{Failure, Outcome, eprint_line, print};

/// Most speeds whose waves are kept: each is some hundred thousand numbers.
const MOST_WAVES: usize = 10;
/// Most other routes.
const MOST_OTHERS: usize = 20;

/// Options of `gas`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pub job: JobArgs,
    /// Engine speeds, rpm: from, to and step [default: around peak_power_rpm]
    #[arg(long, value_name = "FROM:TO:STEP")]
    rpm: Option<String>,
    /// Band of speeds that lengths, maps and comparisons are judged by [default: as --rpm]
    #[arg(long, value_name = "FROM:TO[:STEP]")]
    band: Option<String>,
    /// Also compute what the length of the primaries is worth over the band
    #[arg(long)]
    lengths: bool,
    /// Also torque over speed and a size of the header; may be given more than once
    #[arg(long, value_name = "SIZE", value_parser = ["length", "diameter", "outlet"])]
    map: Vec<String>,
    /// Also pressures at the valves, arrivals of waves and wave pictures at this speed, rpm; may be given more than once
    #[arg(long, value_name = "RPM")]
    waves: Vec<f64>,
    /// Also what each cylinder traps, as routed and with equal lengths
    #[arg(long)]
    uneven: bool,
    /// Also 4-into-1 against 4-into-2-into-1 of the same tubes
    #[arg(long)]
    pairings: bool,
    /// Also compare with these routes of the same job, as `build` keeps them in alternatives/; may be given more than once
    #[arg(long, value_name = "ROUTES.toml")]
    against: Vec<PathBuf>,
    /// Also write what the open end would sound like, an impression, to this WAV file
    #[arg(long, value_name = "FILE.wav")]
    sound: Option<PathBuf>,
    /// Compute again with everything unknown picked at random, so many times: a band for the curve, how sure comparisons are
    #[arg(long, value_name = "N", default_value_t = 0)]
    samples: usize,
    /// Seed of the samples
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Also print it: a PDF of one or two pages; computes --lengths, --uneven and --waves at peak power for it
    #[arg(long, value_name = "FILE.pdf")]
    sheet: Option<PathBuf>,
    /// Write the JSON answer to this file [default: gas.json in the job's folder]
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Computes the gas in the routed tubes.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let (folder, open) = args.job.open(&[JobPart::Job, JobPart::Routes])?;
    let job = &open.require_job()?.job;
    args.check()?;
    let speeds = match &args.rpm {
        Some(text) => Speeds::read(text).map_err(wrong)?,
        None => Speeds::usual(job),
    };
    let band = args.band.as_deref().map_or(Ok(speeds), Speeds::read).map_err(wrong)?;
    let routes = open.require_routes()?;
    let mut report = gas_job(job, routes, &speeds, &mut Monitor::reporting(show))?;
    args.more(job, routes, [&speeds, &band], &mut report)?;
    let json = report.to_json().to_string();
    let kept = folder.file("gas.json");
    write(args.out.as_ref().unwrap_or(&kept), &format!("{json}\n"))?;
    if let Some(file) = &args.sheet {
        let pdf = gas_pdf(&report, job.units).map_err(|e| Failure::System(e.to_string()))?;
        write_pdf(file, &pdf)?;
    }
    print(&if args.job.json { json } else { report.text() });
    Ok(Outcome::Done)
}

fn show(p: &GasProgress) {
    eprint_line(&format!("{} of {} speeds", p.done, p.total));
}

impl Args {
    fn check(&self) -> Result<(), Failure> {
        if self.samples > MOST_SAMPLES {
            return Err(wrong(format!("--samples {}: at most {MOST_SAMPLES}", self.samples)));
        }
        if self.waves.len() > MOST_WAVES || self.against.len() > MOST_OTHERS {
            return Err(wrong(format!("at most {MOST_WAVES} speeds with waves and {MOST_OTHERS} other routes")));
        }
        match self.waves.iter().find(|rpm| !(SPEEDS[0]..=SPEEDS[1]).contains(*rpm)) {
            Some(rpm) => {
                Err(wrong(format!("--waves {rpm}: engine speeds are from {} to {} rpm", SPEEDS[0], SPEEDS[1])))
            }
            None => Ok(()),
        }
    }

    /// Answers beside the curve.
    fn more(
        &self,
        job: &Job,
        routes: &Routes,
        [speeds, band]: [&Speeds; 2],
        report: &mut GasReport<'_>,
    ) -> Result<(), Failure> {
        let mut monitor = Monitor::reporting(show);
        let monitor = &mut monitor;
        let model = &report.model;
        let sheet = self.sheet.is_some();
        if self.lengths || sheet {
            let asked = Asked { speeds: *band, samples: self.samples, seed: self.seed };
            report.worth = Some(worth_of_length(job, routes, model, &asked, monitor)?);
        }
        let more = &mut report.more;
        if self.samples > 0 {
            more.band = Some(gas_band(job, routes, speeds, (self.samples, self.seed), monitor)?);
        }
        let strongest = report.points.iter().max_by(|a, b| a.power.total_cmp(&b.power)).map(|p| p.rpm);
        let at_power = strongest.filter(|_| sheet && self.waves.is_empty());
        for rpm in self.waves.iter().chain(&at_power) {
            more.waves.push(gas_waves(model, *rpm, monitor)?);
        }
        for size in &self.map {
            let size = match size.as_str() {
                "length" => Size::Length,
                "diameter" => Size::Diameter,
                _ => Size::Outlet,
            };
            more.maps.push(gas_map(model, band, size, &usual_values(job, model, size), monitor)?);
        }
        if self.uneven || sheet {
            more.unevenness = Some(unevenness(model, band, monitor)?);
        }
        if self.pairings {
            more.pairings = compare_pairings(model, band, monitor)?;
        }
        if !self.against.is_empty() {
            let others = self.others(job)?;
            let mut all = vec![("as routed".to_string(), routes)];
            all.extend(others.iter().map(|(name, routes)| (name.clone(), routes)));
            more.alternatives = Some(compare_routes(job, &all, band, (self.samples, self.seed), monitor)?);
        }
        if let Some(file) = &self.sound {
            let sound = gas_sound(model, &speeds.list(), monitor)?;
            write_atomic(file, &sound.wav).map_err(|e| Failure::System(format!("{}: {e}", file.display())))?;
            more.sound = Some(sound);
        }
        Ok(())
    }

    /// The other routes that were named.
    fn others(&self, job: &Job) -> Result<Vec<(String, Routes)>, Failure> {
        let mut others = Vec::new();
        for path in &self.against {
            let name = path.display().to_string();
            let bytes = std::fs::read(path).map_err(|e| Failure::System(format!("{name}: {e}")))?;
            let (routes, _) = routes_file::read(&name, &bytes, job)?;
            others.push((name, routes));
        }
        Ok(others)
    }
}

fn wrong(why: String) -> Failure {
    let problem = Problem::error("option", why).in_file("command line");
    let problem = problem.expected("speeds in rpm as from:to:step").hint("write for example --rpm 2500:8000:250");
    Problems::one(problem).into()
}
