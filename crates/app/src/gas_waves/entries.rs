//! A divided flange: how much of the pulse of one group of cylinders reaches the entry of the other.
//!
//! Each group runs alone, the exhaust valves of the other one shut: what is measured at both entries then are its own pulses.

use gas::cycle::{Point, Settings};
use gas::engine::Link;
use job::{Monitor, Problems};
use serde::Serialize;
use utoipa::ToSchema;

use super::angles::ANGLES;
use crate::gas_model::GasModel;
use crate::gas_speeds::{GasProgress, run};
use crate::summary::figure;

/// The pulse of one group of cylinders at both entries of a turbine.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct EntryPulse {
    /// The cylinders of the group.
    pub cylinders: Vec<u32>,
    /// Greatest less least pressure over a cycle where its own entry ends in the turbine, kPa.
    pub own_kpa: f64,
    /// The same at the other group's entry, whose exhaust valves are shut, kPa.
    pub other_kpa: f64,
    /// The second over the first, %.
    pub share_percent: f64,
    /// The same in decibels: 20 times its logarithm to base 10.
    pub share_db: f64,
}

/// One for each group of every divided flange; none without one.
///
/// # Errors
/// That it was stopped, or that the gas came to impossible values.
pub(super) fn entry_pulses(
    model: &GasModel,
    rpm: f64,
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<Vec<EntryPulse>, Problems> {
    let mut pulses = Vec::new();
    for (own, other) in pairs(model) {
        let group: Vec<usize> = (0..model.cylinders.len()).filter(|c| entry_of(model, *c) == Some(own)).collect();
        let alone = alone(model, &group);
        let points = run(&alone, &[rpm], &Settings { trace: ANGLES, ..Settings::default() }, monitor)?;
        let [own_kpa, other_kpa] = [own, other].map(|pipe| 1e-3 * swing(&points[0], pipe));
        let share = other_kpa / own_kpa.max(1e-9);
        pulses.push(EntryPulse {
            cylinders: group.iter().map(|c| model.cylinders[*c]).collect(),
            own_kpa: figure(own_kpa),
            other_kpa: figure(other_kpa),
            share_percent: figure(100.0 * share),
            share_db: figure(20.0 * share.max(1e-9).log10()),
        });
    }
    Ok(pulses)
}

/// The pipe that ends in a turbine's throat behind a cylinder.
fn entry_of(model: &GasModel, cylinder: usize) -> Option<usize> {
    let last = model.path(cylinder).last().copied()?;
    throat(model, last).map(|_| last)
}

/// The plenum that a pipe ends in by a throat.
fn throat(model: &GasModel, pipe: usize) -> Option<usize> {
    if let Link::Throat(plenum, _) = model.engine.pipes[pipe].ends[1] { Some(plenum) } else { None }
}

/// Every entry with the other one of its turbine.
fn pairs(model: &GasModel) -> Vec<(usize, usize)> {
    let entries: Vec<(usize, usize)> =
        (0..model.engine.pipes.len()).filter_map(|k| Some((k, throat(model, k)?))).collect();
    let other = |&(k, plenum): &(usize, usize)| {
        let (other, _) = entries.iter().find(|(o, p)| *o != k && *p == plenum)?;
        Some((k, *other))
    };
    entries.iter().filter_map(other).collect()
}

/// The model with only the cylinders of `group`; the pipes of the others are shut at their valves.
fn alone(model: &GasModel, group: &[usize]) -> GasModel {
    let mut alone = model.clone();
    alone.cylinders = group.iter().map(|c| model.cylinders[*c]).collect();
    alone.engine.firing = group.iter().map(|c| model.engine.firing[*c]).collect();
    for link in alone.engine.pipes.iter_mut().flat_map(|p| &mut p.ends) {
        let place = |c: usize| group.iter().position(|g| *g == c);
        *link = match *link {
            Link::Exhaust(c) => place(c).map_or(Link::Closed, Link::Exhaust),
            Link::Intake(c) => place(c).map_or(Link::Closed, Link::Intake),
            other => other,
        };
    }
    alone
}

/// Greatest less least pressure in the last cell of a pipe over the cycle, Pa.
fn swing(point: &Point, pipe: usize) -> f64 {
    let rows = point.record.as_ref().map_or(&[][..], |r| &r.picture[pipe]);
    let last = rows.iter().filter_map(|row| row.last().copied());
    let [low, high] = last.fold([f64::INFINITY, f64::NEG_INFINITY], |[l, h], p| [l.min(p), h.max(p)]);
    (high - low).max(0.0)
}
