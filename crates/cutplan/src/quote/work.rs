//! What there is to do: counted from the routes and the cut plan.

use std::f64::consts::PI;

use job::body::Making;
use job::catalogue::material;
use job::inlets::entering_tube;
use job::model::{Collector, Groups, Job, Money, Port, Tube};
use job::rates::Rates;
use job::routes::{Route, Routes, RunId};

use crate::marks::free_stretches;
use crate::plan::{CutPlan, ItemShape};
use crate::{CutError, CutJob, centrelines};

/// From this wall on, mm, a weld is made with filler at the slower speed: midway between the two walls
/// that the time standards are given for (1.65 and 2.77 mm), rounded up to the next stocked one.
const THICK_WALL: f64 = 2.3;

/// Inlets of the collector that the time standard of building one is given for.
const COLLECTOR_OF: f64 = 4.0;

/// Floodings of a run with argon: before it is tacked, and again before it is welded. Sheets and quote count the same.
pub const FLOODINGS: u32 = 2;

/// How a run is purged: what the welding sheet says and the quote counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Purge {
    /// Volumes of the run at each flooding.
    pub volumes: f64,
    /// Floodings: [`FLOODINGS`].
    pub floodings: u32,
    /// Flow while the arc burns, l/min.
    pub flow: f64,
}

impl Purge {
    /// By the rates of a shop.
    pub fn of(rates: &Rates) -> Purge {
        let time = |key: &str| rates.time(key).value;
        Purge { volumes: time("purge_volumes"), floodings: FLOODINGS, flow: time("purge_l_per_min") }
    }

    /// Argon of one flooding of a bore of so many mm3, l.
    pub fn flooding_l(&self, bore: f64) -> f64 {
        // A cubic millimetre is a millionth of a litre.
        self.volumes * bore * 1e-6
    }
}

/// What there is to do at one run.
#[derive(Debug, Clone, PartialEq)]
pub struct RunWork {
    /// The run that is cut and welded.
    pub run: RunId,
    /// Length of its centreline, mm.
    pub length: f64,
    /// Mass of its bare tube, kg.
    pub mass: f64,
    /// Joints between its pieces.
    pub joints: u32,
    /// Welds to a port flange: 0 or 1.
    pub flange_welds: u32,
    /// Welds to collectors at its ends: 0 to 2.
    pub collector_welds: u32,
    /// Length of all of these welds, mm.
    pub weld_length: f64,
    /// Arc time, min.
    pub arc_min: f64,
    /// Whether its inside is purged: all but low-carbon and aluminised steel.
    pub purged: bool,
    /// Filler, g.
    pub filler_g: f64,
    /// Name of the filler rod.
    pub filler: String,
    /// Argon at the torch and behind it, l.
    pub argon_l: f64,
}

/// What there is to do in all.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// Run by run.
    pub runs: Vec<RunWork>,
    /// Kinds of stock that the saw is set up for.
    pub set_ups: u32,
    /// Saw cuts in bends.
    pub bend_cuts: u32,
    /// Saw cuts in sticks.
    pub straight_cuts: u32,
    /// Pieces.
    pub pieces: u32,
    /// Port flanges.
    pub port_flanges: u32,
    /// Transitions of sheet between ports and their tubes.
    pub transitions: u32,
    /// Flanges of collectors and turbos.
    pub collector_flanges: u32,
    /// Names of collectors to build or buy, with the number of runs that enter.
    pub collectors: Vec<(String, u32)>,
    /// Time of building collectors if they are built, in those of the time standard.
    pub collector_share: f64,
    /// Names and prices of collectors and turbos that are bought.
    pub bought: Vec<(String, Money)>,
    /// Mass of the collectors' bodies, kg.
    pub body_mass: f64,
    /// How runs are purged.
    pub purge: Purge,
}

impl Work {
    /// Joints to fit up and tack: between pieces and at collectors; port flanges are fitted apart.
    pub fn joints(&self) -> u32 {
        self.runs.iter().map(|r| r.joints + r.collector_welds).sum()
    }

    /// All welds around a tube.
    pub fn welds(&self) -> u32 {
        self.runs.iter().map(|r| r.joints + r.collector_welds + r.flange_welds).sum()
    }

    /// Mass of all bare tubes, kg.
    pub fn mass(&self) -> f64 {
        self.runs.iter().map(|r| r.mass).sum()
    }

    /// Length of all welds, mm.
    pub fn weld_length(&self) -> f64 {
        self.runs.iter().map(|r| r.weld_length).sum()
    }
}

/// Counts the work.
///
/// # Errors
/// [`CutError::NoRuns`], [`CutError::BadRoute`].
pub fn work(job: &Job, routes: &Routes, plan: &CutPlan, rates: &Rates) -> Result<Work, CutError> {
    let lengths = centrelines(routes)?;
    let cut_job = CutJob::of(job);
    let runs: Vec<RunWork> = routes
        .runs
        .iter()
        .zip(&lengths)
        .map(|(route, (_, line))| run_work(job, route, line.length(), cut_job.tube_of(&route.run), plan, rates))
        .collect();
    let (mut bend_cuts, mut straight_cuts) = (0, 0);
    for (index, item) in plan.items.iter().enumerate() {
        let cuts = free_stretches(plan, index, &cut_job).cuts;
        match item.shape {
            ItemShape::Bend { .. } => bend_cuts += cuts,
            ItemShape::Straight { .. } => straight_cuts += cuts,
        }
    }
    let collectors = built(job, routes);
    Ok(Work {
        set_ups: plan.stock_lines().len() as u32,
        bend_cuts,
        straight_cuts,
        pieces: plan.pieces.len() as u32,
        port_flanges: runs.iter().map(|r| r.flange_welds).sum(),
        transitions: transitions(job, routes),
        collector_flanges: collector_flanges(job, routes),
        collector_share: collectors.iter().map(|(_, n)| f64::from(*n) / COLLECTOR_OF).sum(),
        collectors,
        bought: bought(job, routes),
        body_mass: job.collectors.iter().filter(|c| entering(routes, &c.name) > 0).map(|c| body_mass(job, c)).sum(),
        purge: Purge::of(rates),
        runs,
    })
}

fn run_work(job: &Job, route: &Route, length: f64, tube: &Tube, plan: &CutPlan, rates: &Rates) -> RunWork {
    let known = |name: &str| u32::from(job.collectors.iter().any(|c| c.name == name));
    let welded_in = |c: &Collector| c.name == route.collector && !c.is_slid_into();
    let enters = u32::from(job.collectors.iter().any(welded_in));
    let (flange_welds, collector_welds) = match &route.run {
        RunId::Primary { cylinder } => (u32::from(job.ports.iter().any(|p| p.cylinder == *cylinder)), enters),
        RunId::Secondary { from } | RunId::Tail { from } => (0, enters + known(from)),
    };
    let partings = job.parts.partings_of(&route.run) as u32;
    let joints = (plan.pieces.iter().filter(|p| p.run == route.run).count() as u32).saturating_sub(1 + partings);
    let weld_length = f64::from(joints + flange_welds + collector_welds) * PI * tube.od;
    let metal = material(&tube.material);
    let name = metal.map_or("", |m| m.name.as_str());
    let thick = tube.wall >= THICK_WALL;
    let time = |key: &str| rates.time(key).value;
    let speed = match name {
        "titanium 2" | "titanium 5" => time("weld_titanium_mm_per_min"),
        "alloy 625" => time("weld_625_mm_per_min"),
        _ if thick => time("weld_thick_mm_per_min"),
        _ => time("weld_mm_per_min"),
    };
    let arc_min = weld_length / speed;
    let purged = !matches!(name, "" | "low-carbon" | "aluminised");
    let mut argon_l = arc_min * time("torch_l_per_min");
    if purged && weld_length > 0.0 {
        let purge = Purge::of(rates);
        let flooding = purge.flooding_l(geom::bore_volume(tube.od, tube.wall, length));
        argon_l += weld_min(arc_min, rates) * purge.flow + f64::from(purge.floodings) * flooding;
    }
    if name.starts_with("titanium") {
        argon_l += arc_min * time("trail_l_per_min");
    }
    let filler_rate = time(if thick { "filler_thick_g_per_100mm" } else { "filler_g_per_100mm" });
    RunWork {
        run: route.run.clone(),
        length,
        mass: metal.map_or(0.0, |m| geom::tube_mass(tube.od, tube.wall, length, m.density)),
        joints,
        flange_welds,
        collector_welds,
        weld_length,
        arc_min,
        purged,
        filler_g: weld_length / 100.0 * filler_rate,
        filler: metal.map_or(String::new(), |m| m.filler.clone()),
        argon_l,
    }
}

/// Time of welding for an arc time, min: the arc burns only a part of it.
pub fn weld_min(arc_min: f64, rates: &Rates) -> f64 {
    arc_min * 100.0 / rates.time("arc_on_percent").value
}

/// Number of runs that enter a collector.
fn entering(routes: &Routes, collector: &str) -> u32 {
    routes.runs.iter().filter(|r| r.collector == collector).count() as u32
}

/// Collectors where two or more runs come together. A twin entry is a turbo's own flange: the runs are
/// welded to it and there is nothing to build.
fn built(job: &Job, routes: &Routes) -> Vec<(String, u32)> {
    let is_bought = |c: &Collector| c.body.as_ref().is_some_and(|b| b.making == Making::Bought);
    let joined = job.collectors.iter().filter(|c| c.groups == Groups::None && !is_bought(c));
    joined.map(|c| (c.name.clone(), entering(routes, &c.name))).filter(|(_, n)| *n >= 2).collect()
}

/// Collectors and turbos whose price the job gives.
fn bought(job: &Job, routes: &Routes) -> Vec<(String, Money)> {
    let entered = job.collectors.iter().filter(|c| entering(routes, &c.name) > 0);
    entered.filter_map(|c| Some((c.name.clone(), c.body.as_ref()?.price?))).collect()
}

/// Mass of a collector's body, kg: as given, else of its sheet.
pub fn body_mass(job: &Job, collector: &Collector) -> f64 {
    let Some(body) = &collector.body else { return 0.0 };
    let tube = entering_tube(job, collector);
    let density = material(&tube.material).map_or(0.0, |m| m.density);
    body.mass.unwrap_or_else(|| body.sheet_volume(collector, tube.od) * 1e-9 * density)
}

fn transitions(job: &Job, routes: &Routes) -> u32 {
    let routed = |port: &Port| routes.runs.iter().any(|r| r.run == RunId::Primary { cylinder: port.cylinder });
    job.ports.iter().filter(|p| p.transition && routed(p)).count() as u32
}

/// One flange for each collector that is entered and that no secondary or tail is welded to.
fn collector_flanges(job: &Job, routes: &Routes) -> u32 {
    let left = |name: &str| {
        routes.runs.iter().any(|r| matches!(&r.run, RunId::Secondary { from } | RunId::Tail { from } if from == name))
    };
    job.collectors.iter().filter(|c| entering(routes, &c.name) > 0 && !left(&c.name)).count() as u32
}
