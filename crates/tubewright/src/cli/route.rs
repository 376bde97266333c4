//! `tubewright route`: routes a job and writes its routes.toml.

use app::alternatives::choose;
use app::open_job::{JobPart, OpenJob};
use app::report::{alternatives_text, routes_text};
use app::route_job::{Found, route_job};
use job::routes::Routes;
use job::{Folder, Monitor, write_routes};
use route::RouteSettings;

use super::opened::JobArgs;
use crate::exit::{Failure, Outcome, eprint_line, print};

/// Options of `route`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pub search: Search,
    /// Offer up to N alternatives: fewest welds, cheapest, most equal, most clearance, least bend, most flexible
    #[arg(long, value_name = "N", default_value_t = 0)]
    alternatives: usize,
}

/// The options of a search, shared by `route` and `build`.
#[derive(Debug, Clone, clap::Args)]
pub struct Search {
    #[command(flatten)]
    pub job: JobArgs,
    /// The same job, options and seed give the same routes
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Search effort, in hundreds of steps; 0 stops at the first solution
    #[arg(long, default_value_t = RouteSettings::default().effort)]
    effort: usize,
    /// Threads (0: one per core); the result does not depend on it
    #[arg(long, default_value_t = 0)]
    threads: usize,
    /// Start from the saved routes (with --effort 0: only repair them)
    #[arg(long)]
    resume: bool,
}

impl Search {
    /// The router's settings.
    pub fn settings(&self) -> RouteSettings {
        RouteSettings { seed: self.seed, effort: self.effort, threads: self.threads, varied: false }
    }

    /// Opens the job and what of its saved routes counts: all with `--resume`, else the locked ones.
    pub fn open(&self) -> Result<(Folder, OpenJob, Option<Routes>), Failure> {
        let (folder, open) = self.job.open(&[JobPart::Job])?;
        open.require_job()?.require_routing()?;
        let routes = match open.saved_routes() {
            Ok(saved) => saved.map(|saved| saved.to_start_from(self.resume)),
            Err(problems) if self.resume => return Err(problems.into()),
            // A broken file is about to be replaced; only its locked runs would have counted.
            Err(problems) => {
                eprint_line(&format!("saved routes ignored:\n{problems}"));
                None
            }
        };
        Ok((folder, open, routes))
    }
}

/// Prints a better answer of a search as a line.
pub fn show_found(found: &Found) {
    let (bends, turn) = (found.answer.bends, found.answer.turn.to_degrees());
    eprint_line(&format!("{:7.2} s  {bends} bends, {turn:.0}\u{b0}", found.seconds));
}

/// Routes the job.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let (place, open, last) = args.search.open()?;
    let job = &open.require_job()?.job;
    let settings = RouteSettings { varied: args.alternatives > 1, ..args.search.settings() };
    let report = route_job(job, last.as_ref(), settings, job.units, &mut Monitor::reporting(show_found));
    let alternatives = if args.alternatives > 1 && report.routed.met {
        choose(job, &report.routed.answers, args.alternatives, open.require_rates()?)
    } else {
        Vec::new()
    };
    let folder = place.path().display();
    let system = |e: std::io::Error| Failure::System(format!("{folder}: the routes cannot be written: {e}"));
    if let Some(routes) = report.routes() {
        write_routes(&place.file("routes.toml"), routes, job.units).map_err(system)?;
    }
    for (i, alternative) in alternatives.iter().enumerate() {
        let folder = place.path().join("alternatives").join((i + 1).to_string());
        std::fs::create_dir_all(&folder).map_err(system)?;
        write_routes(&folder.join("routes.toml"), &alternative.routes, job.units).map_err(system)?;
    }
    if args.search.job.json {
        let mut object = report.to_json(job);
        if !alternatives.is_empty() {
            object["alternatives"] =
                alternatives.iter().map(|a| serde_json::json!({"best_at": a.best_at, "figures": a.figures})).collect();
        }
        print(&object.to_string());
    } else {
        print(&routes_text(job, job.units, &report, Ok(None)));
        if !alternatives.is_empty() {
            print(&format!("\n{}", alternatives_text(job.units, &alternatives)));
        }
    }
    Ok(if report.routed.met { Outcome::Done } else { Outcome::Unmet })
}
