//! Straights and arcs between two places, of a route and of an item.

use geom::{Centreline, Element, Vec3};

use super::fault::TubeStretch;
use crate::plan::{Item, ItemShape};

/// Positions may differ by this, mm: what points written with three decimals leave, and far below
/// what a saw stop holds.
pub(super) const NEAR: f64 = 1e-3;

/// Straights and arcs of a centreline between two stations, neighbours of one kind joined.
pub(super) fn route_stretches(centreline: &Centreline, from: f64, to: f64) -> Vec<TubeStretch> {
    let mut out: Vec<TubeStretch> = Vec::new();
    let mut last_axis = Vec3::ZERO;
    for (station, element) in centreline.stations() {
        let a = from.max(station);
        let b = to.min(station + element.length());
        if b - a <= 5.0 * NEAR {
            continue;
        }
        let axis = match element {
            Element::Straight(_) => Vec3::ZERO,
            Element::Arc(arc) => arc.axis(),
        };
        match (out.last_mut(), element) {
            (Some(TubeStretch::Straight(l)), Element::Straight(_)) => *l += b - a,
            (Some(TubeStretch::Arc { clr, length }), Element::Arc(arc))
                if (*clr - arc.radius).abs() < 0.02 && axis.dot(last_axis) > 1.0 - 1e-6 =>
            {
                *length += b - a;
            }
            (_, Element::Straight(_)) => out.push(TubeStretch::Straight(b - a)),
            (_, Element::Arc(arc)) => out.push(TubeStretch::Arc { clr: arc.radius, length: b - a }),
        }
        last_axis = axis;
    }
    out
}

/// Straights and arcs of an item between two places of its centreline.
pub(super) fn item_stretches(item: &Item, at: [f64; 2]) -> Vec<TubeStretch> {
    let parts = match item.shape {
        ItemShape::Straight { length } => vec![TubeStretch::Straight(length)],
        ItemShape::Bend { clr, angle, legs } => {
            vec![
                TubeStretch::Straight(legs[0]),
                TubeStretch::Arc { clr, length: clr * angle },
                TubeStretch::Straight(legs[1]),
            ]
        }
    };
    let mut out = Vec::new();
    let mut station = 0.0;
    for part in parts {
        let taken = at[1].min(station + part.length()) - at[0].max(station);
        if taken > 5.0 * NEAR {
            out.push(match part {
                TubeStretch::Straight(_) => TubeStretch::Straight(taken),
                TubeStretch::Arc { clr, .. } => TubeStretch::Arc { clr, length: taken },
            });
        }
        station += part.length();
    }
    out
}
