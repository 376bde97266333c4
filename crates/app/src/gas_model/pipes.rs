//! Exhaust pipes from routes and collectors.

use std::collections::BTreeMap;

use gas::engine::{Link, Merging, Pipe};
use gas::losses;
use geom::Centreline;
use job::body;
use job::model::{Collector, Groups, Job, Tube};
use job::routes::{Route, Routes, RunId};
use job::{Problem, Problems};

use super::defaults::{Gear, Ledger};
use super::needed::Given;
use super::units::{AIR, END_CORRECTION, MM};

/// Length over which a step between two tubes is spread, mm: less than any wave is long.
const STEP: f64 = 20.0;
/// The way from where a turbine's entries meet to its wheel, mm: a few cells; and its area over the wheel's.
const WHEEL_LENGTH: f64 = 40.0;
const WHEEL_MOUTH: f64 = 2.0;
/// Start of the exhaust: pressure, Pa, temperature, K, burned.
const HOT: [f64; 3] = [1.05e5, 900.0, 1.0];

/// Pipes of the exhaust, then of the intake.
pub struct Built {
    /// The pipes, primaries first.
    pub pipes: Vec<Pipe>,
    /// Length of each primary beyond the port face, mm.
    pub primaries: Vec<f64>,
    /// Surroundings: pressure, Pa, temperature, K, burned fraction.
    pub surroundings: Vec<[f64; 3]>,
    /// Plenums: volume, m3, pressure, Pa, temperature, K, burned fraction.
    pub plenums: Vec<[f64; 4]>,
    /// Junctions in collectors.
    pub merging: Vec<Merging>,
    /// Names of the pipes.
    pub names: Vec<String>,
    /// Collector of each junction.
    pub collectors: Vec<String>,
}

/// A pipe as it grows along runs and bodies; lengths in mm.
struct Growing {
    length: f64,
    profile: Vec<(f64, f64)>,
    bends: Vec<(f64, f64, f64)>,
}

impl Growing {
    fn new(diameter: f64) -> Growing {
        Growing { length: 0.0, profile: vec![(0.0, diameter)], bends: Vec::new() }
    }

    fn diameter(&self) -> f64 {
        self.profile.last().map_or(0.0, |p| p.1)
    }

    /// Goes on for `length` to the inside diameter `to`, evenly.
    fn cone(&mut self, length: f64, to: f64) {
        self.profile.push((self.length, self.diameter()));
        self.length += length.max(0.0);
        self.profile.push((self.length, to));
    }

    /// Goes on along a centreline in a tube of inside diameter `id`; a step before it is spread over [`STEP`].
    fn along(&mut self, line: &Centreline, id: f64) {
        let step = STEP.min(0.5 * line.length());
        let start = self.length;
        self.profile.push((start, self.diameter()));
        self.profile.push((start + if (id - self.diameter()).abs() > 0.05 { step } else { 0.0 }, id));
        for bend in line.bends() {
            let length = bend.arc.radius * bend.arc.angle;
            let loss = losses::bend(bend.arc.angle.to_degrees(), bend.arc.radius / id);
            self.bends.push((start + bend.from, start + bend.from + length, loss));
        }
        self.length += line.length();
        self.profile.push((self.length, id));
    }

    fn pipe(self, ends: [Link; 2], walls: &Walls) -> Pipe {
        let metres = |v: Vec<(f64, f64)>| v.into_iter().map(|(x, d)| (x * MM, d * MM)).collect();
        Pipe {
            ends,
            profile: metres(self.profile),
            length: self.length * MM,
            bends: self.bends.into_iter().map(|(a, b, k)| (a * MM, b * MM, k)).collect(),
            roughness: walls.roughness,
            wall_k: walls.wall_k,
            heat_factor: walls.heat_factor,
            start: HOT,
        }
    }
}

/// Walls of the exhaust.
struct Walls {
    roughness: f64,
    wall_k: f64,
    heat_factor: f64,
}

impl Walls {
    fn assumed(ledger: &mut Ledger) -> Walls {
        let practice = "common practice, no source";
        let rough = ledger.assume("roughness_mm", "roughness of tubes", [0.03, 0.002, 0.1], "mm", practice);
        let wall = "mean temperature of the exhaust's walls";
        let wall_k = ledger.assume("exhaust_wall_k", wall, [800.0, 600.0, 1050.0], "K", practice);
        let heat_factor = ledger.assume(
            "heat_factor",
            "heat transfer to the tubes over that of steady flow",
            [2.3, 1.0, 3.0],
            "",
            "C. Depcik and D. Assanis, SAE 2002-01-0372, against steady turbulent flow",
        );
        Walls { roughness: rough * MM, wall_k, heat_factor }
    }
}

/// The exhaust from the valves to the air.
///
/// # Errors
/// Every run without a route, every route that is not a valid tube.
pub fn exhaust(
    job: &Job,
    routes: &Routes,
    given: &Given<'_>,
    valves: &Gear,
    ledger: &mut Ledger,
    notes: &mut Vec<String>,
) -> Result<Built, Problems> {
    let lines = lines(job, routes)?;
    let walls = Walls::assumed(ledger);
    let mut maker = Maker {
        job,
        lines,
        walls,
        wheels: Vec::new(),
        junctions: junctions(job, routes),
        built: Built {
            pipes: Vec::new(),
            primaries: Vec::new(),
            surroundings: vec![[AIR[0], AIR[1], 0.0]],
            plenums: Vec::new(),
            merging: Vec::new(),
            names: Vec::new(),
            collectors: Vec::new(),
        },
    };
    for port in &job.ports {
        let run = RunId::Primary { cylinder: port.cylinder };
        let Some(c) = given.number(port.cylinder) else { continue };
        let tube = job.primary.tube.id();
        let throat = 0.87 * valves.diameter * f64::from(valves.count).sqrt();
        let mut growing = Growing::new(throat.min(tube));
        let usual = [0.9 * given.bore, 0.6 * given.bore, 1.3 * given.bore];
        let in_head = Some(port.length_in_head).filter(|l| *l > 0.0);
        growing.cone(ledger.given(in_head, "port.length_in_head", "length of a port in the head", usual, "mm"), tube);
        let face = growing.length;
        growing.along(&maker.lines[&run], tube);
        let end = maker.enters(routes, &run);
        if end == Link::Open(0) {
            growing.cone(END_CORRECTION * 0.5 * tube, tube);
        }
        maker.built.primaries.push(growing.length - face);
        let pipe = growing.pipe([Link::Exhaust(c), end], &maker.walls);
        maker.built.pipes.push(pipe);
        maker.built.names.push(run.to_string());
    }
    let mut collectors: Vec<(usize, String)> =
        maker.junctions.iter().map(|((name, _), j)| (*j, name.clone())).collect();
    collectors.sort();
    maker.built.collectors = collectors.into_iter().map(|(_, name)| name).collect();
    for collector in &job.collectors {
        maker.collector(collector, routes, given, ledger, notes);
    }
    maker.built.pipes.append(&mut maker.wheels);
    Ok(maker.built)
}

/// Junctions: collector and entry to their number; a divided flange has two entries.
type Junctions = BTreeMap<(String, usize), usize>;

fn entry(collector: &Collector, inlet: usize) -> usize {
    let divided = collector.groups == Groups::Twin;
    usize::from(divided && 2 * inlet > collector.inlets)
}

fn junctions(job: &Job, routes: &Routes) -> Junctions {
    let mut found = Junctions::new();
    for route in &routes.runs {
        if let Some(c) = job.collectors.iter().find(|c| c.name == route.collector) {
            let next = found.len();
            found.entry((c.name.clone(), entry(c, route.inlet))).or_insert(next);
        }
    }
    found
}

fn missing(run: &RunId) -> Problem {
    let problem =
        Problem::error("no-route", format!("{run} has no route")).in_file("routes.toml").about(run.to_string());
    problem.expected("a route for every run").hint("route the job: `tubewright route`")
}

/// Centrelines of all runs that the job has.
fn lines(job: &Job, routes: &Routes) -> Result<BTreeMap<RunId, Centreline>, Problems> {
    let mut wrong = Vec::new();
    let mut lines = BTreeMap::new();
    let primaries = job.ports.iter().map(|p| RunId::Primary { cylinder: p.cylinder });
    let feeding = job.collectors.iter().filter(|c| c.feeds.is_some());
    let secondaries = feeding.map(|c| RunId::Secondary { from: c.name.clone() });
    let tails = job.tails.iter().map(|t| RunId::Tail { from: t.from.clone() });
    for run in primaries.chain(secondaries).chain(tails) {
        let route: Option<&Route> = routes.runs.iter().find(|r| r.run == run);
        match route.map(Route::centreline) {
            Some(Ok(line)) => {
                lines.insert(run, line);
            }
            Some(Err(why)) => {
                let problem = Problem::error("route", format!("{run}: {why}")).in_file("routes.toml");
                wrong.push(problem.expected("a tube").hint("route the job again: `tubewright route`"));
            }
            None => wrong.push(missing(&run)),
        }
    }
    if wrong.is_empty() { Ok(lines) } else { Err(Problems(wrong)) }
}

struct Maker<'a> {
    job: &'a Job,
    lines: BTreeMap<RunId, Centreline>,
    walls: Walls,
    junctions: Junctions,
    built: Built,
    /// From the volume before each turbine's wheel to the wheel.
    wheels: Vec<Pipe>,
}

impl Maker<'_> {
    /// What a run leads to.
    fn enters(&self, routes: &Routes, run: &RunId) -> Link {
        let route = routes.runs.iter().find(|r| r.run == *run);
        let junction = route.and_then(|r| {
            let c = self.job.collectors.iter().find(|c| c.name == r.collector)?;
            self.junctions.get(&(c.name.clone(), entry(c, r.inlet))).copied()
        });
        junction.map_or(Link::Open(0), Link::Junction)
    }

    /// The run behind a collector and its tube.
    fn behind(&self, collector: &Collector) -> Option<(RunId, &Tube)> {
        if collector.feeds.is_some() {
            return Some((RunId::Secondary { from: collector.name.clone() }, &self.job.secondary.tube));
        }
        let tail = self.job.tails.iter().find(|t| t.from == collector.name)?;
        Some((RunId::Tail { from: tail.from.clone() }, &self.job.tail.tube))
    }

    fn collector(
        &mut self,
        c: &Collector,
        routes: &Routes,
        given: &Given<'_>,
        ledger: &mut Ledger,
        notes: &mut Vec<String>,
    ) {
        let entries: Vec<(usize, usize)> =
            (0..2).filter_map(|e| Some((e, *self.junctions.get(&(c.name.clone(), e))?))).collect();
        for (e, junction) in entries {
            let runs = routes.runs.iter().filter(|r| r.collector == c.name && entry(c, r.inlet) == e);
            let ids = runs
                .map(|r| if matches!(r.run, RunId::Primary { .. }) { &self.job.primary } else { &self.job.secondary });
            let area: f64 = ids.map(|s| s.tube.id() * s.tube.id()).sum();
            let mut growing = self.body(c, area.sqrt(), ledger);
            let end = if c.groups == Groups::Twin {
                self.turbine(e == 0, given, ledger)
            } else if let Some((run, tube)) = self.behind(c) {
                growing.along(&self.lines[&run], tube.id());
                self.enters(routes, &run)
            } else {
                notes.push(format!("nothing is given behind \"{}\": it is open to the air at its outlet", c.name));
                Link::Open(0)
            };
            if end == Link::Open(0) {
                growing.cone(END_CORRECTION * 0.5 * growing.diameter(), growing.diameter());
            }
            let pipe = growing.pipe([Link::Junction(junction), end], &self.walls);
            self.built.pipes.push(pipe);
            let behind = self.behind(c).map(|(run, _)| run.to_string());
            self.built.names.push(behind.unwrap_or_else(|| format!("collector {}", c.name)));
            let lean = self.lean(c, ledger);
            self.built.merging.push(Merging { junction, trunk: self.built.pipes.len() - 1, lean });
        }
    }

    /// Angle at which the tubes of a collector meet its axis, rad.
    fn lean(&self, c: &Collector, ledger: &mut Ledger) -> f64 {
        let Some(body) = &c.body else {
            let what = "angle of the tubes to the axis of a collector";
            return ledger
                .assume("collector_lean_deg", what, [10.0, 0.0, 20.0], "deg", "common practice, no source")
                .to_radians();
        };
        body.lean()
    }

    /// From where the tubes end to the collector's outlet; `inside` is the diameter of all their areas together.
    fn body(&self, c: &Collector, inside: f64, ledger: &mut Ledger) -> Growing {
        let mut growing = Growing::new(inside);
        let Some(b) = &c.body else {
            let outlet = body::usual_outlet(self.job.primary.tube.id(), 0.0).min(inside);
            let values = [outlet, 0.65 * inside, inside];
            let outlet = ledger.given(None, "collector.body", "inside diameter of a collector's outlet", values, "mm");
            growing.cone(body::USUAL_BODY, outlet);
            return growing;
        };
        let outlet = |od: f64| od - 2.0 * b.wall;
        // Tubes of a merge reach its outlet themselves; a bought turbo flange keeps its bores.
        let own = if b.lean() > 0.0 { STEP } else { (b.own_length() - b.beyond()).max(STEP) };
        let to = if c.groups == Groups::Twin { inside } else { outlet(b.outlet_od).min(inside) };
        growing.cone(own, to);
        if let Some(cone) = b.cone {
            growing.cone(cone.length, outlet(cone.to));
        }
        growing
    }

    /// The throat of an entry of a turbine: both open into a volume before the wheel, which is a nozzle. Throats and wheel
    /// one behind the other let as much through as the turbine's effective area: 1/A^2 = 1/throats^2 + 1/wheel^2. `first`:
    /// of the first entry.
    fn turbine(&mut self, first: bool, given: &Given<'_>, ledger: &mut Ledger) -> Link {
        let practice = "common practice, no source";
        let bores = 0.25 * std::f64::consts::PI * given.bore * given.bore * given.cylinders.len() as f64;
        let values = [0.035, 0.022, 0.055].map(|part| part * bores);
        let what = "effective area of the turbine, both entries";
        let area = ledger.assume("turbine_area_mm2", what, values, "mm2", practice);
        let what = "effective area of the throats of both entries over that of the wheel";
        let ratio = ledger.assume("turbine_throats", what, [1.2, 0.8, 2.0], "", practice);
        let what = "volume between throats and wheel of the turbine, where its entries meet";
        let volume = ledger.assume("turbine_volume_l", what, [0.1, 0.05, 0.25], "l", practice);
        let what = "pressure behind the turbine";
        let back = ledger.assume("turbine_back_kpa", what, [110.0, 102.0, 140.0], "kPa", practice);
        let wheel = area * (1.0 + 1.0 / (ratio * ratio)).sqrt();
        if self.built.surroundings.len() < 2 {
            self.built.surroundings.push([back * 1e3, HOT[1], HOT[2]]);
        }
        if first {
            let [p, t, burned] = HOT;
            self.built.plenums.push([volume * MM, p, t, burned]);
            let mut growing = Growing::new((4.0 * WHEEL_MOUTH * wheel / std::f64::consts::PI).sqrt());
            growing.cone(WHEEL_LENGTH, growing.diameter());
            let ends = [Link::Plenum(self.built.plenums.len() - 1), Link::Nozzle(1, wheel * MM * MM)];
            self.wheels.push(growing.pipe(ends, &self.walls));
        }
        Link::Throat(self.built.plenums.len() - 1, 0.5 * ratio * wheel * MM * MM)
    }
}
