//! Routes a job: from its folder to `routes.toml`.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use job::Monitor;
use job::model::{Job, Units};
use job::routes::Routes;
use route::search::outcome::Answer;
use route::{RouteSettings, Routed, route};
use serde_json::{Value, json};

use crate::strength_share::{Rated, any_within, keep_strong, rate};
use crate::summary::{RunLine, length_spread, rounded, run_lines};
use crate::view::finding::{RelaxationView, UnmetView};

/// The outcome of routing a job.
#[derive(Debug, Clone)]
pub struct RouteReport {
    /// All that the router found.
    pub routed: Routed,
    /// What is not met.
    pub unmet: Vec<UnmetView>,
    /// Changes of the job that were tried, the most helpful first.
    pub relaxations: Vec<RelaxationView>,
    /// Seconds to the first answer that holds every requirement.
    pub first_seconds: Option<f64>,
    /// Seconds in all.
    pub seconds: f64,
}

/// A better answer of a running search.
#[derive(Debug, Clone)]
pub struct Found {
    /// Routes and figures of the answer.
    pub answer: Answer,
    /// Seconds passed.
    pub seconds: f64,
}

/// Routes `job`, with findings worded in `units`; `monitor` hears of each better answer.
pub fn route_job(
    job: &Job,
    last: Option<&Routes>,
    settings: RouteSettings,
    units: Units,
    monitor: &mut Monitor<Found>,
) -> RouteReport {
    let begun = Instant::now();
    let mut first_seconds = None;
    let (stop, pace) = (monitor.stop_flag(), monitor.pace());
    let mut better = Monitor::new(stop, |answer: &Answer| {
        let seconds = begun.elapsed().as_secs_f64();
        first_seconds.get_or_insert(seconds);
        monitor.report(&Found { answer: answer.clone(), seconds });
    })
    .paced(pace);
    let mut routed = route(job, last, settings, &mut better);
    drop(better);
    let rated = job.highest_share.map(|allowed| rated(job, last, settings, (&mut routed, stop), allowed));
    let too_stiff = rated.and_then(|rated| keep_strong(job, rated, &mut routed, units));
    let unmet = routed.misses.iter().map(|m| UnmetView::of(m, units)).chain(too_stiff).collect();
    let relaxations = routed.relaxations.iter().map(|r| RelaxationView::of(r, units)).collect();
    RouteReport { routed, unmet, relaxations, first_seconds, seconds: begun.elapsed().as_secs_f64() }
}

/// The answers with their shares of the allowable stress range. When all that hold every other requirement are too stiff, one more
/// search of half the effort looks for others from another seed. (More room, as for alternatives, brings one to three answers more and
/// takes longer than the search itself.)
fn rated(
    job: &Job,
    last: Option<&Routes>,
    settings: RouteSettings,
    (routed, stop): (&mut Routed, &AtomicBool),
    allowed: f64,
) -> Vec<Rated> {
    let mut rated = rate(job, std::mem::take(&mut routed.answers));
    let only_stiff = routed.met && !any_within(&rated, allowed);
    if only_stiff && settings.effort > 0 && !stop.load(Ordering::Relaxed) {
        let again = RouteSettings {
            seed: settings.seed.wrapping_add(1),
            effort: settings.effort.div_ceil(2),
            varied: false,
            ..settings
        };
        let others = route(job, last, again, &mut Monitor::new(stop, |_| ()));
        if others.met {
            rated.extend(rate(job, others.answers));
        }
    }
    rated
}

impl RouteReport {
    /// The best answer's routes, or the nearest one's; `None` when nothing at all was drawn.
    pub fn routes(&self) -> Option<&Routes> {
        self.routed.answers.first().map(|a| &a.routes)
    }

    /// The lines of its runs.
    pub fn lines(&self, job: &Job) -> Vec<RunLine> {
        self.routes().map_or(Vec::new(), |r| run_lines(job, r, None))
    }

    /// As one JSON object.
    pub fn to_json(&self, job: &Job) -> Value {
        let lines = self.lines(job);
        json!({
            "format": 1,
            "job": job.name,
            "met": self.routed.met,
            "unmet": self.unmet,
            "relaxations": self.relaxations,
            "length_spread_mm": length_spread(&lines),
            "runs": lines,
            "seconds": {"route": rounded(self.seconds), "first_answer": self.first_seconds.map(rounded)},
        })
    }
}
