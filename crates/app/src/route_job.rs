//! Routes a job: from its folder to `routes.toml`.

use std::sync::atomic::AtomicBool;
use std::time::Instant;

use job::model::Job;
use job::routes::Routes;
use route::search::solve::Answer;
use route::{RouteSettings, Routed, route_until};
use serde_json::{Value, json};

use crate::summary::{RelaxationLine, RunLine, UnmetLine, length_spread, rounded, run_lines};

/// What routing brought.
#[derive(Debug, Clone)]
pub struct RouteReport {
    /// All that the router found.
    pub routed: Routed,
    /// What is not met, in words.
    pub unmet: Vec<UnmetLine>,
    /// Relaxations tried.
    pub relaxations: Vec<RelaxationLine>,
    /// Seconds to the first answer that holds every requirement.
    pub first_seconds: Option<f64>,
    /// Seconds in all.
    pub seconds: f64,
}

/// Routes `job`; `tell` hears of each better answer and the seconds passed, and may stop the search.
pub fn route_job(
    job: &Job,
    last: Option<&Routes>,
    settings: RouteSettings,
    tell: &mut (dyn FnMut(&Answer, f64) -> bool + Send),
) -> RouteReport {
    route_job_until(job, last, settings, &AtomicBool::new(false), tell)
}

/// Routes `job` as [`route_job`], and ends with the best so far soon after `stop` became true.
pub fn route_job_until(
    job: &Job,
    last: Option<&Routes>,
    settings: RouteSettings,
    stop: &AtomicBool,
    tell: &mut (dyn FnMut(&Answer, f64) -> bool + Send),
) -> RouteReport {
    let begun = Instant::now();
    let mut first_seconds = None;
    let routed = route_until(job, last, settings, stop, &mut |answer| {
        let seconds = begun.elapsed().as_secs_f64();
        first_seconds.get_or_insert(seconds);
        tell(answer, seconds)
    });
    let unmet = routed
        .unmet(job)
        .into_iter()
        .map(|m| UnmetLine {
            requirement: format!("{:?}", m.requirement).to_lowercase(),
            run: m.run.map(|r| r.to_string()),
            by: rounded(m.by),
            message: m.message,
        })
        .collect();
    let relaxations = routed
        .relaxations
        .iter()
        .map(|r| RelaxationLine {
            change: r.change.clone(),
            met: r.met,
            left_mm: r.left.is_finite().then(|| rounded(r.left)),
        })
        .collect();
    RouteReport { routed, unmet, relaxations, first_seconds, seconds: begun.elapsed().as_secs_f64() }
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
