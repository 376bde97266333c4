//! Waves that come back to an exhaust valve: over which pipes, and when.

use std::f64::consts::PI;

use gas::cylinder::CYCLE;
use gas::engine::Link;
use gas::trace::Along;
use serde::Serialize;
use utoipa::ToSchema;

use super::angles::degrees;
use crate::gas_model::GasModel;

/// A wave that arrives at an exhaust valve.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Arrival {
    /// Where it comes from.
    pub from: Origin,
    /// The cylinder whose pulse it is.
    pub pulse_of: u32,
    /// Where it was reflected or passed over: the name of a collector, or null for an open end.
    pub collector: Option<String>,
    /// Whether it is a wave of suction; else of pressure.
    pub suction: bool,
    /// Crank angle at which its beginning arrives, degrees from the cylinder's firing, 0 to 720.
    pub arrives_deg: f64,
    /// Time on the way, ms.
    pub on_the_way_ms: f64,
    /// Whether the exhaust valve is open then.
    pub valve_open: bool,
}

/// Where a wave comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// The cylinder's own pulse back from the collector that its primary leads to.
    OwnCollector,
    /// Its own pulse back from a collector further on.
    SecondCollector,
    /// Its own pulse back from the open end.
    OpenEnd,
    /// The pulse of another cylinder.
    OtherCylinder,
}

/// Seconds that a small wave takes along a pipe and back.
fn ways(along: &Along) -> [f64; 2] {
    let cells = along.c.iter().zip(&along.u);
    // In the mean no gas is as fast as sound.
    cells.fold([0.0; 2], |[there, back], (c, u)| {
        [there + along.dx / (c + u).max(0.2 * c), back + along.dx / (c - u).max(0.2 * c)]
    })
}

/// All of them for one cylinder, in the order of their angle.
pub(super) fn arrivals(model: &GasModel, along: &[Along], c: usize, rpm: f64) -> Vec<Arrival> {
    let turn = rpm * 2.0 * PI / 60.0;
    let valve = model.engine.exhaust.valve();
    let firing = &model.engine.firing;
    let make = |from: Origin, pulse: usize, collector: Option<String>, suction: bool, seconds: f64| {
        let angle = (valve.opens + firing[pulse] - firing[c] + turn * seconds).rem_euclid(CYCLE);
        Arrival {
            from,
            pulse_of: model.cylinders[pulse],
            collector,
            suction,
            arrives_deg: degrees(angle),
            on_the_way_ms: (seconds * 1e5).round() * 1e-2,
            valve_open: (angle - valve.opens).rem_euclid(CYCLE) < valve.closes - valve.opens,
        }
    };
    let own = model.path(c);
    let mut found = Vec::new();
    let mut seconds = 0.0;
    for (i, k) in own.iter().enumerate() {
        seconds += ways(&along[*k]).iter().sum::<f64>();
        match model.engine.pipes[*k].ends[1] {
            Link::Junction(j) => {
                let from = if i == 0 { Origin::OwnCollector } else { Origin::SecondCollector };
                found.push(make(from, c, model.collector(j), true, seconds));
            }
            Link::Open(_) => found.push(make(Origin::OpenEnd, c, None, true, seconds)),
            _ => {}
        }
    }
    for other in (0..model.cylinders.len()).filter(|o| *o != c) {
        let theirs = model.path(other);
        // Up to the first pipe that both share, and from there back to the valve.
        let Some(meet) = own.iter().position(|k| theirs.contains(k)) else { continue };
        let there = theirs.iter().take_while(|k| **k != own[meet]).map(|k| ways(&along[*k])[0]);
        let back = own[..meet].iter().map(|k| ways(&along[*k])[1]);
        let seconds = there.chain(back).sum();
        let collector = match model.engine.pipes[own[meet - 1]].ends[1] {
            Link::Junction(j) => model.collector(j),
            _ => None,
        };
        found.push(make(Origin::OtherCylinder, other, collector, false, seconds));
    }
    found.sort_by(|a, b| a.arrives_deg.total_cmp(&b.arrives_deg));
    found
}
