//! Heat shields where they stand between a run and an obstacle.

use geom::{Solid, Vec3, distance_element_solid};

use super::listed::Shield;
use crate::model::Job;
use crate::routes::Routes;

/// Least room between a shield and what it shields, mm: both shake (common practice, no source).
pub const SHIELD_ROOM: f64 = 3.0;

/// A shield where it stands.
#[derive(Debug, Clone)]
pub struct PlacedShield {
    /// Where the run comes nearest to the obstacle, mm from its start.
    pub at: f64,
    /// From the outside of the tube to the obstacle there, mm.
    pub gap: f64,
    /// The sheet.
    pub solid: Solid,
}

impl Shield {
    /// Where it stands on these routes; `None` without a route or an obstacle of that name.
    pub fn placed(&self, job: &Job, routes: &Routes) -> Option<PlacedShield> {
        let line = routes.runs.iter().find(|r| r.run == self.run)?.centreline().ok()?;
        let keepout = job.keepouts.iter().find(|k| k.name == self.obstacle)?;
        let near = line.stations().filter_map(|(from, element)| {
            let found = distance_element_solid(element, &keepout.shape, f64::INFINITY)?;
            Some((found.distance, from + found.at))
        });
        let (distance, at) = near.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let frame = line.at(at);
        // The distance rises away from the obstacle; the sheet faces it, across the tube.
        let away = keepout.shape.nearest(frame.origin, f64::INFINITY).normal;
        let towards = (-away).reject_from_normalized(frame.forward).try_normalize()?;
        let radius = 0.5 * job.tube_of(&self.run).od;
        let center = frame.origin + towards * (radius + self.stand_off + 0.5 * self.thickness);
        let axes = [frame.forward, towards, frame.forward.cross(towards)];
        let size = Vec3::new(self.length, self.thickness, self.width);
        Some(PlacedShield { at, gap: distance - radius, solid: Solid::Box { center, size, axes } })
    }

    /// What of the gap is left between the sheet and the obstacle, mm.
    pub fn left(&self, placed: &PlacedShield) -> f64 {
        placed.gap - self.stand_off - self.thickness
    }
}
