//! The path of every sensor out of its bung: no tube, obstacle or collector may block it.
//!
//! A way is a cylinder from the outside of the tube, as wide as the sensor's socket; no gap is asked beyond that, as with other
//! tools. Against another run it is a keep-out like theirs. Against obstacles and collectors it counts as a tube of its own
//! with round ends, which is at most its radius longer than it is. What is found stands with the run that carries the bung.

use geom::{Element, Straight, distance_element_solid};
use job::model::{Job, Keepout};
use job::parts::{PlacedBung, SENSOR, placed_bungs};
use job::routes::Routes;

use crate::bodies::BodySolid;
use crate::clearance::{Approach, Clearance, Other, RunClearance, clearance, nearest_on};
use crate::laid::Laid;

/// Arc length beside a bung within which its own run is not in its way, in outside diameters: there it is the wall it stands on.
const OWN_ODS: f64 = 1.5;

/// Adds what comes near the way of a sensor to the gaps of the runs.
pub(crate) fn to_sensors(
    job: &Job,
    routes: &Routes,
    runs: &[Laid],
    (keepouts, bodies): (&[Keepout], &[BodySolid]),
    report: &mut [RunClearance],
) {
    for placed in placed_bungs(job, routes) {
        for (run, own) in runs.iter().zip(&mut *report) {
            let mut found = of_run(run, &placed);
            if run.id == placed.bung.run {
                found.extend(of_way(job, &placed, keepouts, bodies));
            }
            own.keepouts.extend(found);
            own.keepouts.sort_by(|a, b| a.gap.total_cmp(&b.gap));
        }
    }
}

/// Whether the ways of all sensors are free.
pub(crate) fn all_free(job: &Job, routes: &Routes) -> bool {
    let of_sensor = |a: &Approach| matches!(&a.to, Other::Keepout(name) if name.contains(SENSOR));
    let free = |c: Clearance| c.runs.iter().flat_map(|r| &r.keepouts).all(|a| a.holds() || !of_sensor(a));
    job.parts.bungs.is_empty() || clearance(job, routes).is_ok_and(free)
}

/// The gap of a run to the way.
fn of_run(run: &Laid, placed: &PlacedBung<'_>) -> Vec<Approach> {
    let length = run.line.length();
    let beside = OWN_ODS * 2.0 * run.radius;
    let stretches = if run.id == placed.bung.run {
        let before = (placed.bung.at - beside).max(0.0);
        let after = (placed.bung.at + beside).min(length);
        run.stretches(0.0, before).into_iter().chain(run.stretches(after, length)).collect()
    } else {
        run.stretches(0.0, length)
    };
    let near = nearest_on(&stretches, &placed.way.shape);
    let approach = |(found, stretch): (geom::Approach, crate::laid::LaidElement)| Approach {
        to: Other::Keepout(placed.way.name.clone()),
        gap: found.distance - run.radius,
        need: placed.way.clearance,
        at: stretch.station + found.at,
        place: stretch.element.point(found.at),
    };
    near.map(approach).into_iter().collect()
}

/// Obstacles and collectors that block the way.
fn of_way(job: &Job, placed: &PlacedBung<'_>, keepouts: &[Keepout], bodies: &[BodySolid]) -> Vec<Approach> {
    let radius = 0.5 * placed.bung.socket_od;
    // The round ends of the tube that it counts as lie within the way, not before and behind it.
    let length = (placed.bung.reach - 2.0 * radius).max(0.1);
    let start = placed.foot + placed.axis * radius.min(0.5 * placed.bung.reach);
    let way = Element::Straight(Straight { start, direction: placed.axis, length });
    let in_way = |name: String, solid: &geom::Solid| {
        let found = distance_element_solid(&way, solid, radius)?;
        let gap = found.distance - radius;
        Some(Approach { to: Other::Keepout(name), gap, need: 0.0, at: placed.bung.at, place: way.point(found.at) })
    };
    let sensor = &placed.way.name;
    let of_keepout = |k: &Keepout| in_way(format!("{} (with the {sensor})", k.name), &k.shape);
    let of_body = |b: &BodySolid| {
        in_way(format!("collector {} (with the {sensor})", job.collectors[b.collector].name), &b.keepout.shape)
    };
    keepouts.iter().filter_map(of_keepout).chain(bodies.iter().filter_map(of_body)).collect()
}
