//! What sits on the tubes of a header: brackets, slip joints, sensor bungs, joints that come apart and heat shields, where they
//! stand on its routes and which of them cannot stand there.

mod coupling;
pub(crate) mod listed;
mod shield;

pub use listed::{
    Bracket, BracketKind, Bung, Coupling, CouplingKind, Holds, Parts, Shield, SlipJoint, USUAL_FRICTION, USUAL_GIVE,
    USUAL_INSERTION, USUAL_SOCKET, USUAL_STIFFNESS, USUAL_THREAD,
};
pub use shield::{PlacedShield, SHIELD_ROOM};

use geom::{Element, Solid, Vec3, any_perpendicular, rotate_about};

use crate::model::{Job, Keepout};
use crate::problem::Problem;
use crate::routes::{Routes, RunId};
use crate::show;
use crate::suggest::either;

/// What the way of a sensor is called, before the name of its run.
pub const SENSOR: &str = "sensor of ";

/// Places that differ by no more than this are one, mm: routes are written with three decimals.
const SAME_PLACE: f64 = 0.01;

/// A bung where it stands on its run.
#[derive(Debug, Clone)]
pub struct PlacedBung<'a> {
    /// The bung.
    pub bung: &'a Bung,
    /// Its place on the centreline.
    pub centre: Vec3,
    /// Unit direction in which it looks.
    pub axis: Vec3,
    /// Where its axis meets the outside of the tube.
    pub foot: Vec3,
    /// The way of the sensor and its socket out.
    pub way: Keepout,
}

/// The bungs of a job where they stand; one whose run has no route, or is too short, is left out.
pub fn placed_bungs<'a>(job: &'a Job, routes: &Routes) -> Vec<PlacedBung<'a>> {
    let place = |bung: &'a Bung| {
        let line = routes.runs.iter().find(|r| r.run == bung.run)?.centreline().ok()?;
        (bung.at <= line.length() + SAME_PLACE).then_some(())?;
        let frame = line.at(bung.at.min(line.length()));
        let axis = rotate_about(any_perpendicular(frame.forward), frame.forward, bung.clock);
        let foot = frame.origin + axis * (0.5 * job.tube_of(&bung.run).od);
        let way = Keepout {
            name: format!("{SENSOR}{}", bung.run),
            shape: Solid::Cylinder { from: foot, to: foot + axis * bung.reach, radius: 0.5 * bung.socket_od },
            clearance: 0.0,
            holds_ports: false,
        };
        Some(PlacedBung { bung, centre: frame.origin, axis, foot, way })
    };
    job.parts.bungs.iter().filter_map(place).collect()
}

/// A cylinder on a run that other tubes and obstacles have to leave free.
#[derive(Debug, Clone)]
pub struct PartWay {
    /// The run.
    pub run: RunId,
    /// Its place on the run, mm from the start.
    pub at: f64,
    /// Arc length on both sides of it within which the run itself is not in its way, mm.
    pub beside: f64,
    /// Where it begins.
    pub foot: Vec3,
    /// Its unit direction.
    pub axis: Vec3,
    /// Its length, mm.
    pub length: f64,
    /// Its radius, mm.
    pub radius: f64,
    /// The same as an obstacle to other runs.
    pub way: Keepout,
    /// Whether the clearances of the job apply to it: to a joint, not to the way of a tool.
    pub stands: bool,
}

/// Arc length beside a part within which its own run is not in its way, in outside diameters: there it is the wall it stands on.
const OWN_ODS: f64 = 1.5;

/// What the parts of a job need free: the ways of sensors, and joints, which are wider than their tubes.
pub fn part_ways(job: &Job, routes: &Routes) -> Vec<PartWay> {
    let bung = |p: PlacedBung<'_>| PartWay {
        run: p.bung.run.clone(),
        at: p.bung.at,
        beside: OWN_ODS * job.tube_of(&p.bung.run).od,
        foot: p.foot,
        axis: p.axis,
        length: p.bung.reach,
        radius: 0.5 * p.bung.socket_od,
        way: p.way,
        stands: false,
    };
    let coupling = |c: &Coupling| {
        let line = routes.runs.iter().find(|r| r.run == c.run)?.centreline().ok()?;
        let frame = line.at(c.at.min(line.length()));
        Some(PartWay {
            run: c.run.clone(),
            at: c.at + 0.5 * c.width,
            beside: 0.5 * c.width + OWN_ODS * job.tube_of(&c.run).od,
            foot: frame.origin,
            axis: frame.forward,
            length: c.width,
            radius: c.radius(job),
            way: Keepout {
                name: c.name(),
                shape: c.solid(job, &line),
                clearance: job.clearance.tubes,
                holds_ports: false,
            },
            stands: true,
        })
    };
    let couplings = job.parts.couplings.iter().filter_map(coupling);
    placed_bungs(job, routes).into_iter().map(bung).chain(couplings).collect()
}

/// A simple solid that stands for a part.
#[derive(Debug, Clone)]
pub struct PartSolid {
    /// `bracket 1`, `slip joint of primary 2`, `bung of primary 1`, `sensor of primary 1`, `V-band of tail main`.
    pub name: String,
    /// Its form: a cylinder or a box.
    pub solid: Solid,
    /// Wall of a hollow cylinder, mm; `None`: it is filled.
    pub wall: Option<f64>,
}

/// Measures of the solids that stand for parts, mm: a bung is 28 wide and 14 high, a sensor 20 wide; a bracket is a plate of 25 by 3
/// that reaches 40 from the tube (common practice, no source; only to be looked at).
const BUNG: [f64; 2] = [28.0, 14.0];
const SENSOR_OD: f64 = 20.0;
const BRACKET: [f64; 3] = [25.0, 3.0, 40.0];

/// Simple solids of all parts where they stand; a part whose run has no route is left out.
pub fn solids(job: &Job, routes: &Routes) -> Vec<PartSolid> {
    let mut out = Vec::new();
    for placed in placed_bungs(job, routes) {
        let cylinder = |name: &str, from: f64, to: f64, od: f64| PartSolid {
            name: format!("{name} of {}", placed.bung.run),
            solid: Solid::Cylinder {
                from: placed.foot + placed.axis * from,
                to: placed.foot + placed.axis * to,
                radius: 0.5 * od,
            },
            wall: None,
        };
        out.push(cylinder("bung", -2.0, BUNG[1], BUNG[0]));
        if placed.bung.length > BUNG[1] {
            out.push(cylinder("sensor", BUNG[1], placed.bung.length, SENSOR_OD));
        }
    }
    let line = |run: &RunId| routes.runs.iter().find(|r| r.run == *run)?.centreline().ok();
    for slip in &job.parts.slips {
        let Some(line) = line(&slip.run).filter(|l| slip.at + slip.overlap <= l.length() + SAME_PLACE) else {
            continue;
        };
        let tube = job.tube_of(&slip.run);
        let [from, to] = [slip.at, slip.at + slip.overlap].map(|at| line.at(at.min(line.length())).origin);
        let solid = Solid::Cylinder { from, to, radius: 0.5 * tube.od + tube.wall };
        out.push(PartSolid { name: format!("slip joint of {}", slip.run), solid, wall: Some(tube.wall) });
    }
    for coupling in &job.parts.couplings {
        let Some(line) = line(&coupling.run).filter(|l| coupling.end() <= l.length() + SAME_PLACE) else { continue };
        let wall = Some(coupling.radius(job) - 0.5 * job.tube_of(&coupling.run).od);
        out.push(PartSolid { name: coupling.name(), solid: coupling.solid(job, &line), wall });
    }
    for shield in &job.parts.shields {
        let Some(placed) = shield.placed(job, routes) else { continue };
        let name = format!("shield of {} against {}", shield.run, shield.obstacle);
        out.push(PartSolid { name, solid: placed.solid, wall: None });
    }
    for (k, bracket) in job.parts.brackets.iter().enumerate() {
        let Some((foot, flow, out_of)) = held_place(job, routes, bracket, &line) else { continue };
        let [width, thickness, reach] = BRACKET;
        let axes = [out_of, flow, out_of.cross(flow)];
        let size = Vec3::new(reach, thickness, width);
        let solid = Solid::Box { center: foot + out_of * (0.5 * reach), size, axes };
        out.push(PartSolid { name: format!("bracket {}", k + 1), solid, wall: None });
    }
    out
}

/// Where a bracket leaves what it holds, the flow there, and the direction in which it leaves.
fn held_place(
    job: &Job,
    routes: &Routes,
    bracket: &Bracket,
    line: &dyn Fn(&RunId) -> Option<geom::Centreline>,
) -> Option<(Vec3, Vec3, Vec3)> {
    let (place, flow, radius) = match &bracket.holds {
        Holds::Run { run, at } => {
            let line = line(run).filter(|l| *at <= l.length() + SAME_PLACE)?;
            let frame = line.at(at.min(line.length()));
            (frame.origin, frame.forward, 0.5 * job.tube_of(run).od)
        }
        Holds::Collector(name) => {
            let index = job.collectors.iter().position(|c| c.name == *name)?;
            let moved = routes.collectors.iter().find(|c| c.name == *name).map(|c| (c.frame.origin, c.frame.forward));
            let (at, axis) = moved.unwrap_or((job.collectors[index].at, job.collectors[index].axis));
            (at, axis, 0.5 * crate::inlets::entering_od(job, &job.collectors[index]))
        }
    };
    // A link leaves the way it holds, a slot across its way; both as far as that lies across the tube.
    let wanted = match (bracket.kind, bracket.along) {
        (BracketKind::Link, Some(along)) => along,
        (BracketKind::Slotted, Some(along)) => along.cross(flow),
        _ => any_perpendicular(flow),
    };
    let out_of = wanted.reject_from_normalized(flow).try_normalize().unwrap_or_else(|| any_perpendicular(flow));
    Some((place + out_of * radius, flow, out_of))
}

/// What is wrong with the places of parts on these routes: errors, each about its table.
pub fn misplaced(job: &Job, routes: &Routes) -> Vec<Problem> {
    let mut places: Vec<(String, &RunId, f64)> = Vec::new();
    for (k, bracket) in job.parts.brackets.iter().enumerate() {
        if let Holds::Run { run, at } = &bracket.holds {
            places.push((format!("[[bracket]] {}", k + 1), run, *at));
        }
    }
    places.extend(job.parts.bungs.iter().enumerate().map(|(k, b)| (format!("[[bung]] {}", k + 1), &b.run, b.at)));
    let mut problems: Vec<Problem> =
        places.into_iter().filter_map(|(about, run, at)| beyond(job, routes, about, run, at)).collect();
    let parted = parted(job);
    for (k, stretch) in parted.iter().enumerate() {
        let problem = beyond(job, routes, stretch.about.clone(), stretch.run, stretch.to);
        problems.extend(problem.or_else(|| off_straight(job, routes, &parted, k)));
    }
    let shields = job.parts.shields.iter().enumerate();
    problems.extend(shields.filter_map(|(k, s)| no_room(job, routes, format!("[[shield]] {}", k + 1), s)));
    problems
}

/// A stretch of a run where it is parted.
struct Parted<'a> {
    about: String,
    what: String,
    run: &'a RunId,
    from: f64,
    to: f64,
}

/// All slip joints, joints and bellows as stretches of their runs.
fn parted<'a>(job: &'a Job) -> Vec<Parted<'a>> {
    let long = |mm: f64| show::length_with_unit(mm, job.units);
    let slip = |(k, s): (usize, &'a SlipJoint)| Parted {
        about: format!("[[slip]] {}", k + 1),
        what: format!("the slip joint of {} at {} with {} overlap", s.run, long(s.at), long(s.overlap)),
        run: &s.run,
        from: s.at,
        to: s.at + s.overlap,
    };
    let coupling = |(k, c): (usize, &'a Coupling)| Parted {
        about: format!("[[joint]] {}", k + 1),
        what: format!("the {} at {}, {} wide,", c.name(), long(c.at), long(c.width)),
        run: &c.run,
        from: c.at,
        to: c.end(),
    };
    let slips = job.parts.slips.iter().enumerate().map(slip);
    slips.chain(job.parts.couplings.iter().enumerate().map(coupling)).collect()
}

/// A shield that does not fit between its run and its obstacle.
fn no_room(job: &Job, routes: &Routes, about: String, shield: &Shield) -> Option<Problem> {
    let placed = shield.placed(job, routes)?;
    let long = |mm: f64| show::length_with_unit(mm, job.units);
    let need = shield.stand_off + shield.thickness + SHIELD_ROOM;
    (placed.gap < need).then(|| {
        let (run, obstacle) = (&shield.run, &shield.obstacle);
        let message = format!("{} between {run} and {obstacle}; the shield needs {}", long(placed.gap), long(need));
        Problem::error("shield-no-room", message)
            .about(about)
            .expected(format!("at least {} beyond the sheet", long(SHIELD_ROOM)))
            .hint("reduce `stand_off`, or route with more clearance to that obstacle")
    })
}

fn beyond(job: &Job, routes: &Routes, about: String, run: &RunId, at: f64) -> Option<Problem> {
    let length = routes.runs.iter().find(|r| r.run == *run)?.centreline().ok()?.length();
    (at > length + SAME_PLACE).then(|| {
        let long = |mm: f64| show::length_with_unit(mm, job.units);
        Problem::error("part-beyond-run", format!("{run} is {} long; this lies at {}", long(length), long(at)))
            .about(about)
            .expected(format!("a place from 0 to {}", long(length)))
            .hint("correct `at`, which is counted from the start of the run")
    })
}

/// What parts a run and is not whole in one straight, or reaches into another parting.
fn off_straight(job: &Job, routes: &Routes, parted: &[Parted<'_>], index: usize) -> Option<Problem> {
    let stretch = &parted[index];
    let line = routes.runs.iter().find(|r| r.run == *stretch.run)?.centreline().ok()?;
    let (from, to) = (stretch.from, stretch.to);
    let straights: Vec<(f64, f64)> = straights(&line);
    let long = |mm: f64| show::length_with_unit(mm, job.units);
    if !straights.iter().any(|(a, b)| from >= a - SAME_PLACE && to <= b + SAME_PLACE) {
        let room: Vec<String> = straights
            .iter()
            .filter(|(a, b)| b - a >= to - from)
            .map(|(a, b)| format!("{} to {}", long(*a), long(*b)))
            .collect();
        let expected = if room.is_empty() { "a straight at least as long".into() } else { either(&room) };
        return Some(
            Problem::error("joint-on-bend", format!("{} does not lie in one straight", stretch.what))
                .about(stretch.about.clone())
                .expected(expected)
                .hint("it needs a straight: correct `at`, or make it shorter"),
        );
    }
    let begins_inside = |(k, o): (usize, &Parted<'_>)| {
        k != index && o.run == stretch.run && (o.from < from || (o.from == from && k < index)) && from < o.to
    };
    parted.iter().enumerate().any(begins_inside).then(|| {
        Problem::error("joints-overlap", format!("{} begins inside another one", stretch.what))
            .about(stretch.about.clone())
            .expected("joints apart from one another")
            .hint("move one of the two")
    })
}

/// The straights of a centreline: from and to, mm, neighbours in one line joined.
pub fn straights(line: &geom::Centreline) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = Vec::new();
    for (from, element) in line.stations() {
        let Element::Straight(straight) = element else { continue };
        match out.last_mut() {
            Some(last) if from - last.1 < SAME_PLACE => last.1 = from + straight.length,
            _ => out.push((from, from + straight.length)),
        }
    }
    out
}

#[cfg(test)]
mod tests;
