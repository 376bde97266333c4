//! Runs as they lie: a job's routes with the tube, stubs and collectors that belong to them.

use geom::{Centreline, CentrelineError, Element, Frame};
use job::inlets::{collector_frame, end_stub};
use job::model::{Job, RunSpec};
use job::routes::{Routes, RunId};

/// Why routes cannot be looked at.
#[derive(Debug, Clone, PartialEq)]
pub enum LaidError {
    /// Points and radii that are no tube.
    NoTube {
        /// The run.
        run: RunId,
        /// What is wrong.
        error: CentrelineError,
    },
    /// A run that the job does not have.
    Unknown(RunId),
}

/// One run as it lies.
#[derive(Debug, Clone)]
pub struct Laid {
    /// The run.
    pub id: RunId,
    /// Centreline of the run.
    pub line: Centreline,
    /// Outside radius of its tube, mm.
    pub radius: f64,
    /// Straight asked of its start, mm.
    pub start_stub: f64,
    /// Straight asked of its end, mm; 0 of a tail.
    pub end_stub: f64,
    /// Index of the collector it leaves.
    pub leaves: Option<usize>,
    /// Index of the collector it enters.
    pub enters: Option<usize>,
}

/// A piece of a run: one element or part of one.
#[derive(Debug, Clone, Copy)]
pub struct LaidElement {
    /// Centreline length at its start, mm.
    pub station: f64,
    /// Where it goes.
    pub element: Element,
}

impl Laid {
    /// Its pieces between two places along it, mm.
    pub fn stretches(&self, from: f64, to: f64) -> Vec<LaidElement> {
        let mut out = Vec::new();
        for (station, element) in self.line.stations() {
            let a = (from - station).max(0.0);
            let b = (to - station).min(element.length());
            if b - a > geom::LENGTH_EPS {
                out.push(LaidElement { station: station + a, element: element.part(a, b) });
            }
        }
        out
    }
}

/// Lays a job's routes out.
///
/// # Errors
/// [`LaidError`] for the first route that is not a valid tube or that the job does not have.
pub fn lay(job: &Job, routes: &Routes) -> Result<Vec<Laid>, LaidError> {
    let collector = |name: &str| job.collectors.iter().position(|c| c.name == name);
    let mut runs = Vec::new();
    for route in &routes.runs {
        let unknown = || LaidError::Unknown(route.run.clone());
        let (spec, start_stub, leaves): (&RunSpec, f64, Option<usize>) = match &route.run {
            RunId::Primary { cylinder } => {
                let port = job.ports.iter().find(|p| p.cylinder == *cylinder).ok_or_else(unknown)?;
                (&job.primary, port.stub, None)
            }
            RunId::Secondary { from } | RunId::Tail { from } => {
                let from = collector(from).ok_or_else(unknown)?;
                let secondary = matches!(route.run, RunId::Secondary { .. });
                let spec = if secondary { &job.secondary } else { &job.tail };
                (spec, job.collectors[from].stub, Some(from))
            }
        };
        let line = route.centreline().map_err(|error| LaidError::NoTube { run: route.run.clone(), error })?;
        let enters = collector(&route.collector);
        runs.push(Laid {
            id: route.run.clone(),
            line,
            radius: 0.5 * spec.tube.od,
            start_stub,
            end_stub: enters.map_or(0.0, |c| end_stub(&job.collectors[c])),
            leaves,
            enters,
        });
    }
    Ok(runs)
}

/// Where a collector stands: as it was moved, else as it was drawn.
pub fn frame_of(job: &Job, routes: &Routes, collector: usize) -> Frame {
    let drawn = &job.collectors[collector];
    routes.collectors.iter().find(|p| p.name == drawn.name).map_or_else(|| collector_frame(drawn), |p| p.frame)
}
