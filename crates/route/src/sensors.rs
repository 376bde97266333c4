//! The path of every sensor out of its bung, and joints that are wider than their tubes: no tube, obstacle or collector may block
//! them.
//!
//! The way of a sensor is a cylinder from the outside of the tube, as wide as its socket; no gap is asked beyond that, as with other
//! tools. A joint keeps the job's clearances. Against another run it is a keep-out like theirs. Against obstacles and collectors it counts as a tube of its own
//! with round ends, which is at most its radius longer than it is. What is found stands with the run that carries the bung.

use geom::{Element, Straight, distance_element_solid};
use job::model::{Job, Keepout};
use job::parts::{PartWay, part_ways};
use job::routes::Routes;

use crate::approach::{Approach, Other, RunClearance, nearest_on};
use crate::bodies::BodySolid;
use crate::laid::Laid;

/// Adds what comes near the way of a sensor to the gaps of the runs.
pub(crate) fn to_sensors(
    job: &Job,
    routes: &Routes,
    runs: &[Laid],
    (keepouts, bodies): (&[Keepout], &[BodySolid]),
    report: &mut [RunClearance],
) {
    for placed in part_ways(job, routes) {
        for (run, own) in runs.iter().zip(&mut *report) {
            let mut found = of_run(run, &placed);
            if run.id == placed.run {
                found.extend(of_way(job, &placed, keepouts, bodies));
            }
            own.keepouts.extend(found);
            own.keepouts.sort_by(|a, b| a.gap.total_cmp(&b.gap));
        }
    }
}

/// The gap of a run to the way.
fn of_run(run: &Laid, placed: &PartWay) -> Vec<Approach> {
    let length = run.line.length();
    let stretches = if run.id == placed.run {
        let before = (placed.at - placed.beside).max(0.0);
        let after = (placed.at + placed.beside).min(length);
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
fn of_way(job: &Job, placed: &PartWay, keepouts: &[Keepout], bodies: &[BodySolid]) -> Vec<Approach> {
    let radius = placed.radius;
    // The round ends of the tube that it counts as lie within the way, not before and behind it; a short wide joint counts as a ball.
    let length = (placed.length - 2.0 * radius).max(0.1);
    let start = placed.foot + placed.axis * radius.min(0.5 * placed.length);
    let way = Element::Straight(Straight { start, direction: placed.axis, length });
    let in_way = |name: String, solid: &geom::Solid, need: f64| {
        let found = distance_element_solid(&way, solid, radius + need)?;
        let gap = found.distance - radius;
        let need = if placed.stands { need } else { 0.0 };
        Some(Approach { to: Other::Keepout(name), gap, need, at: placed.at, place: way.point(found.at) })
    };
    let part = &placed.way.name;
    let of_keepout = |k: &Keepout| in_way(format!("{} (with the {part})", k.name), &k.shape, k.clearance);
    let of_body = |b: &BodySolid| {
        let name = format!("collector {} (with the {part})", job.collectors[b.collector].name);
        in_way(name, &b.keepout.shape, job.clearance.tubes)
    };
    // Where ports sit, the tubes themselves come near.
    let open = keepouts.iter().filter(|k| !(placed.stands && k.holds_ports));
    open.filter_map(of_keepout).chain(bodies.iter().filter(|_| !placed.stands).filter_map(of_body)).collect()
}
