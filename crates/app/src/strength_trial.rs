//! A part of the job tried at another place of its run: what the header then does, while it is dragged.

use job::Problems;
use job::model::Job;
use job::parts::Holds;
use job::routes::Routes;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::strength_job::{END_WELD, run_ranges};
use crate::strength_model::{not_held, share_of, strength_model};
use crate::summary::rounded;

/// Modes that are looked at.
const MODES: usize = 6;

/// Kind of a part that stands on a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PartKind {
    /// `[[bracket]]`.
    Bracket,
    /// `[[slip]]`.
    Slip,
    /// `[[bung]]`.
    Bung,
    /// `[[joint]]`.
    Joint,
}

/// A part at another place.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PartMove {
    /// Its kind.
    pub kind: PartKind,
    /// Which of its kind, from 0 in the order of job.toml.
    pub index: usize,
    /// Place on its run, mm from the start.
    #[schema(minimum = 0, maximum = 20000)]
    pub at_mm: f64,
}

/// The header with the part there.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PartTrial {
    /// The greatest share of the allowable stress range; null where the material has no known allowable.
    pub share_of_allowable: Option<f64>,
    /// The run where that, or else the greatest range, is.
    pub run: String,
    /// The range there, MPa.
    pub range_mpa: f64,
    /// The greatest stress amplitude of the first modes, MPa for 1 g.
    pub mpa_per_g: f64,
    /// The first frequency, Hz.
    pub first_hz: f64,
}

/// Solves the header with a part moved; `None` when the job has no such part on a run.
///
/// # Errors
/// As of the whole answer: engine figures that are missing, a place where the part cannot be, what nothing holds.
pub fn strength_trial(
    job: &Job,
    routes: &Routes,
    gas: Option<&str>,
    moved: &PartMove,
) -> Option<Result<PartTrial, Problems>> {
    let mut job = job.clone();
    let (parts, k, to) = (&mut job.parts, moved.index, moved.at_mm);
    let at = match moved.kind {
        PartKind::Bracket => match &mut parts.brackets.get_mut(k)?.holds {
            Holds::Run { at, .. } => at,
            Holds::Collector(_) => return None,
        },
        PartKind::Slip => &mut parts.slips.get_mut(k)?.at,
        PartKind::Bung => &mut parts.bungs.get_mut(k)?.at,
        PartKind::Joint => &mut parts.couplings.get_mut(k)?.at,
    };
    *at = to;
    Some(trial(&job, routes, gas))
}

fn trial(job: &Job, routes: &Routes, gas: Option<&str>) -> Result<PartTrial, Problems> {
    let model = strength_model(job, routes, gas)?;
    let wrong = |e| not_held(&model, e);
    let ranges = run_ranges(&model.frame).map_err(wrong)?;
    let rated = ranges.iter().enumerate().map(|(k, w)| (share_of(&model, k, w), k, w.range));
    let rank = |(share, _, range): &(Option<f64>, usize, f64)| (share.unwrap_or(0.0), *range);
    let worst = rated.max_by(|a, b| rank(a).partial_cmp(&rank(b)).unwrap_or(std::cmp::Ordering::Equal));
    let (share, k, range) = worst.unwrap_or((None, 0, 0.0));
    let system = model.frame.system().map_err(wrong)?;
    let modes = strength::modes::modes(&system, MODES).map_err(wrong)?;
    let shake = modes.iter().map(|m| system.shake(&model.frame, m, END_WELD).stress_per_g).fold(0.0, f64::max);
    Ok(PartTrial {
        share_of_allowable: share.map(rounded),
        run: model.runs.get(k).map_or(String::new(), |r| r.run.to_string()),
        range_mpa: rounded(range / 1e6),
        mpa_per_g: rounded(shake / 1e6),
        first_hz: rounded(modes.first().map_or(0.0, |m| m.frequency)),
    })
}
