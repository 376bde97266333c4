//! How all runs are tacked and welded, in the order in which it is done, with the reach of a torch at every joint as things stand then.
//!
//! Four phases: on the *bench* pieces are tacked to groups; on the *vehicle* the groups are put in and tacked to one another at their
//! closing joints; *off* again each group is welded on its own, then those that belong to flange and collector to these; last, refitted,
//! the closing joints get their *final* weld. A run is one group between its flange and its collector unless a joint can't be reached
//! so: then its first pieces are welded to the flange before, or its last ones to the collector (`order`). Every joint is welded once.
//!
//! Where a torch does not reach all around in any of these orders, the joint says what else can be done ([`Remedy`]). The rules of the
//! order are common practice, no source; the reach is computed (see [`route::torch`]).

mod order;
mod practice;
#[cfg(test)]
mod tests;

use job::body::Making;
use job::catalogue::material;
use job::model::{Collector, Groups as EntryGroups, Job};
use job::routes::{Routes, RunId};
use route::laid::{Laid, lay};
use route::torch::{Neighbour, PLACES, Reach, Surroundings, Torch, Weld, share};

use crate::CutError;
use crate::assembly::{JointKind, RunAssembly};
use order::{Split, Work};

pub use order::{Groups, Phase};
pub use practice::{FitUp, fit_up, shrinkage, tack_count, tack_places};

/// Where a joint is tacked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TackPlace {
    /// On the bench, when its group is put together.
    Bench,
    /// On the vehicle.
    Vehicle,
    /// On the jig: on the vehicle the torch does not come near enough.
    Jig,
}

/// What else can be done where a torch does not reach all around.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Remedy {
    /// Weld the places that are not reached from the inside, through the open collector or plate.
    FromInside,
    /// Move the joint so far along the flow, mm: there it is reached all around.
    Move(f64),
    /// Nothing of these helps: the joint should slide in, or its run be routed elsewhere.
    Change,
}

/// A weld.
#[derive(Debug, Clone, PartialEq)]
pub struct WeldStep {
    /// Index of the run in the routes.
    pub run: usize,
    /// Index of the joint in the run's assembly.
    pub joint: usize,
    /// When it is welded.
    pub phase: Phase,
    /// Pieces of its run that are there as one then: from the first to before the second.
    pub group: [usize; 2],
    /// Which places around it a torch reaches then. The first is 12 o'clock, the joint's reference line; clockwise seen along the flow.
    pub places: [bool; PLACES],
    /// Where it is tacked.
    pub tacked: TackPlace,
    /// Hours at which it is tacked, in the order in which they are.
    pub tacks: Vec<usize>,
    /// Runs that are in the way of what is not reached.
    pub blockers: Vec<RunId>,
    /// What else can be done, where it is not reached all around.
    pub remedy: Option<Remedy>,
}

impl WeldStep {
    /// Share of the circumference that is reached.
    pub fn share(&self) -> f64 {
        share(&self.places)
    }

    /// Hours that are not reached, 12 first.
    pub fn missed(&self) -> Vec<usize> {
        let hour = |k: usize| if k == 0 { 12 } else { k };
        (0..PLACES).filter(|k| !self.places[*k]).map(hour).collect()
    }

    /// Whether it joins groups, and so is tacked when these are put in.
    pub fn closes(&self) -> bool {
        matches!(self.phase, Phase::Staged | Phase::Together) && self.tacked != TackPlace::Bench
    }
}

/// How all runs are tacked and welded.
#[derive(Debug, Clone, PartialEq)]
pub struct Welding {
    /// Indices of the runs in the order in which they are put in and tacked.
    pub order: Vec<usize>,
    /// The groups of each run, in the order of the routes.
    pub groups: Vec<Groups>,
    /// All joints that are welded, in the order in which they are.
    pub steps: Vec<WeldStep>,
}

/// The order of tacking and welding.
///
/// # Errors
/// [`CutError::BadRoute`] when a route is not a valid tube or not one of the job's.
pub fn welding(job: &Job, routes: &Routes, runs: &[RunAssembly], torch: &Torch) -> Result<Welding, CutError> {
    let whole = |r: &RunAssembly| Groups { pieces: r.pieces.len(), at_flange: 0, at_collector: 0 };
    let Ok(laid) = lay(job, routes) else {
        let groups = runs.iter().map(whole).collect();
        return Ok(Welding { order: (0..runs.len()).collect(), groups, steps: Vec::new() });
    };
    let cuts = runs.iter().map(|r| r.joints.iter().map(|j| j.station).collect()).collect();
    let around = Surroundings::new(job, routes, &laid, cuts);
    let reach_of = |run: usize, k: usize| {
        let joint = &runs[run].joints[k];
        let weld = Weld { run, station: joint.station, first: joint.reference };
        joint.kind.welded().then(|| around.reach(weld, torch))
    };
    let reaches: Vec<Vec<Option<Reach>>> =
        runs.iter().enumerate().map(|(run, r)| (0..r.joints.len()).map(|k| reach_of(run, k)).collect()).collect();
    // What is farther down the flow goes in later.
    let rank = |r: &RunAssembly| match r.run {
        RunId::Primary { .. } => 0,
        RunId::Secondary { .. } => 1,
        RunId::Tail { .. } => 2,
    };
    let work = order::best(&reaches, &runs.iter().map(rank).collect::<Vec<u8>>());
    let finder = Finder { job, runs, laid: &laid, around: &around, torch };
    let mut steps: Vec<WeldStep> = Vec::new();
    for (run, reaches) in reaches.iter().enumerate() {
        let welded = reaches.iter().enumerate().filter_map(|(k, r)| Some((k, r.as_ref()?)));
        steps.extend(welded.map(|(k, reach)| finder.step(&work, (run, k), reach)));
    }
    let place = |run: usize| work.order.iter().position(|r| *r == run);
    steps.sort_by_key(|s| (s.phase, place(s.run), s.joint));
    let groups = work.splits.iter().map(Split::groups).collect();
    Ok(Welding { order: work.order, groups, steps })
}

/// Makes a step of every joint.
struct Finder<'a> {
    job: &'a Job,
    runs: &'a [RunAssembly],
    laid: &'a [Laid],
    around: &'a Surroundings<'a>,
    torch: &'a Torch,
}

/// How far a joint may be moved to be reached, and in what steps, mm.
const MOVES: [f64; 8] = [10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 65.0, 80.0];

/// Least length of piece that is left when a joint is moved, mm: what can be held and sawn square (common practice, no source).
const LEAST_PIECE: f64 = 20.0;

impl Finder<'_> {
    fn step(&self, work: &Work, (run, joint): (usize, usize), reach: &Reach) -> WeldStep {
        let (phase, group) = work.phase(reach, run, joint);
        let there = |p: Neighbour| work.present(phase, (run, joint), p);
        let places = reach.places(&there);
        let (tacked, tacks) = self.tacks(work, (run, joint), reach);
        let mut blockers: Vec<RunId> = Vec::new();
        let mut remedy = None;
        if places.contains(&false) {
            let other = |p: Neighbour| match p {
                Neighbour::Piece { run: r, .. } if r != run => Some(self.runs[r].run.clone()),
                _ => None,
            };
            blockers = reach.blockers(&there).into_iter().filter_map(other).collect();
            blockers.dedup();
            remedy = Some(self.remedy((run, joint), &there));
        }
        WeldStep { run, joint, phase, group, places, tacked, tacks, blockers, remedy }
    }

    /// Hours at which a joint is tacked, and where.
    fn tacks(&self, work: &Work, (run, joint): (usize, usize), reach: &Reach) -> (TackPlace, Vec<usize>) {
        let count = tack_count(self.runs[run].tube.od);
        if !work.splits[run].closing(joint) {
            let there = |p: Neighbour| work.in_group(run, joint, p);
            return (TackPlace::Bench, tack_places(&reach.places(&there), count));
        }
        let there = |p: Neighbour| work.present(Phase::Staged, (run, joint), p);
        let on_vehicle = tack_places(&reach.places_on_vehicle(&there), count);
        if on_vehicle.len() >= 3 {
            return (TackPlace::Vehicle, on_vehicle);
        }
        (TackPlace::Jig, tack_places(&reach.places(&there), count))
    }

    fn remedy(&self, (run, joint): (usize, usize), there: &dyn Fn(Neighbour) -> bool) -> Remedy {
        let assembly = &self.runs[run];
        let open = match assembly.joints[joint].kind {
            JointKind::Inlet => {
                // What is bought whole is closed; before a turbo comes the shop's own flange, which is open.
                let closed = |c: &Collector| {
                    c.groups == EntryGroups::None && c.body.as_ref().is_some_and(|b| b.making == Making::Bought)
                };
                !self.laid[run].enters.is_some_and(|c| closed(&self.job.collectors[c]))
            }
            JointKind::Port => true,
            _ => false,
        };
        if open {
            return Remedy::FromInside;
        }
        let at = assembly.joints[joint].station;
        let low = joint.checked_sub(1).map_or(0.0, |k| assembly.joints[k].station) + LEAST_PIECE;
        let high = assembly.joints.get(joint + 1).map_or(assembly.length, |j| j.station) - LEAST_PIECE;
        let inside = assembly.joints[joint].kind == JointKind::Pieces;
        let reached = |by: &f64| {
            let station = at + by;
            let weld = Weld { run, station, first: geom::any_perpendicular(self.laid[run].line.at(station).forward) };
            let fits = station >= low && station <= high;
            fits && self.around.reach(weld, self.torch).share(there) >= 1.0
        };
        let moves = MOVES.into_iter().flat_map(|by| [-by, by]).filter(|by| inside || *by < 0.0);
        moves.into_iter().find(|by| reached(by)).map_or(Remedy::Change, Remedy::Move)
    }
}

/// Whether the inside of a tube of that material is purged: all but low-carbon and aluminised steel.
pub fn purged(material_name: &str) -> bool {
    !matches!(material(material_name).map_or("", |m| m.name.as_str()), "" | "low-carbon" | "aluminised")
}
