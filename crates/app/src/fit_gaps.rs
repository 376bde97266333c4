//! Clearances that a correction keeps: against obstacles, scans, bodies and the other tubes as they are built.
//!
//! The slow recount of the routes says which clearances a corrected build loses by over a millimetre more than the drawing.
//! How each depends on what may still be changed is found by moving one figure after the other and recounting; the correction
//! is then solved again with it. What is lost beside the part that is built already cannot be kept: it is reported.

use fit::as_built::as_built;
use fit::chain::figure;
use fit::correction::free_figures;
use fit::{Correction, Keep, Run, Slot, correct_keeping};
use job::model::Job;
use job::routes::{Route, Routes};
use route::clearance::{Clearance, clearance};
use route::finding::{Miss, Neighbour, Shortfall};
use route::judge::judge;

use crate::fit_bench::RunBuild;

/// A clearance that loses no more than this is taken as kept, mm.
const LOST_GAP: f64 = 1.0;

/// How often a correction is solved again with what was lost.
const ROUNDS: usize = 4;

/// How far a figure is moved to see what it does: mm and rad.
const STEP: [f64; 2] = [0.5, 0.3 * std::f64::consts::PI / 180.0];

/// Shortfalls of a drawing, against which those of a build are held.
pub(crate) struct Drawn<'a> {
    job: &'a Job,
    close: Vec<Miss>,
}

impl<'a> Drawn<'a> {
    pub fn of(job: &'a Job, routes: &Routes) -> Drawn<'a> {
        Drawn { job, close: close(job, routes) }
    }

    /// What a neighbour is short by in the drawing, mm.
    fn was(&self, miss: &Miss) -> f64 {
        let same = |b: &&Miss| b.run == miss.run && neighbour(b) == neighbour(miss);
        self.close.iter().filter(same).map(|b| b.by).fold(0.0, f64::max)
    }

    /// Clearances that routes miss by over a millimetre more than the drawing.
    pub fn lost(&self, built: &Routes) -> Vec<Miss> {
        close(self.job, built).into_iter().filter(|m| m.by > self.was(m) + LOST_GAP).collect()
    }

    /// The correction of a run solved again so that it keeps what it loses, where that can be; `None` when it loses nothing, or
    /// cannot help it. `built` are the routes with the run as corrected so far.
    pub fn kept(&self, build: &RunBuild, now: &[f64], first: &Correction, built: &Routes) -> Option<Correction> {
        let own = |m: &Miss| m.run.as_ref() == Some(&build.run.id) || is_run(m, build);
        let lost = |routes: &Routes| -> Vec<Miss> { self.lost(routes).into_iter().filter(own).collect() };
        let worst = |misses: &[Miss]| misses.iter().map(|m| m.by - self.was(m)).fold(0.0, f64::max);
        let mut best: Option<(f64, Correction)> = None;
        let (mut at, mut routes) = (first.clone(), built.clone());
        let mut misses = lost(&routes);
        let begin = worst(&misses);
        let mut keeps: Vec<Keep> = Vec::new();
        for _ in 0..ROUNDS {
            if misses.is_empty() {
                break;
            }
            let found: Vec<Keep> = misses.iter().filter_map(|m| self.keep(build, m, &at.figures, &routes)).collect();
            if found.is_empty() {
                break;
            }
            keeps.extend(found);
            at = correct_keeping(&build.run, &build.planned, now, (&build.freedoms, &build.limits), &keeps);
            routes = with(&routes, &build.run, &at.figures)?;
            misses = lost(&routes);
            let lost = worst(&misses);
            let better = lost < best.as_ref().map_or(begin, |b| b.0) - 0.05;
            if better && (at.met || !first.met) {
                best = Some((lost, at.clone()));
            }
        }
        best.map(|b| b.1)
    }

    /// A lost clearance as it depends on what may be changed; `None` when nothing of that moves it.
    fn keep(&self, build: &RunBuild, miss: &Miss, figures: &[f64], routes: &Routes) -> Option<Keep> {
        let Shortfall::TooClose { to, .. } = &miss.what else { return None };
        let owner = miss.run.as_ref()?;
        let by = |routes: &Routes| short(&clearance(self.job, routes).ok()?, owner, to);
        let now = by(routes)?;
        let free = free_figures(&build.run, &build.planned, &build.freedoms, &build.limits);
        let slopes: Vec<(usize, f64)> = free
            .into_iter()
            .filter_map(|index| {
                let step = STEP[usize::from(is_angle(&build.run, index))];
                let mut moved = figures.to_vec();
                moved[index] -= step;
                let there = by(&with(routes, &build.run, &moved)?)?;
                Some((index, (there - now) / step))
            })
            .filter(|(_, slope)| slope.abs() > 1e-3)
            .collect();
        let room = self.was(miss) + LOST_GAP - now;
        (!slopes.is_empty()).then(|| Keep { at: figures.to_vec(), room, slopes })
    }
}

/// Whether a miss of another run is against this one.
fn is_run(miss: &Miss, build: &RunBuild) -> bool {
    matches!(&miss.what, Shortfall::TooClose { to: Neighbour::Run(run), .. } if *run == build.run.id)
}

fn neighbour(miss: &Miss) -> Option<&Neighbour> {
    if let Shortfall::TooClose { to, .. } = &miss.what { Some(to) } else { None }
}

fn close(job: &Job, routes: &Routes) -> Vec<Miss> {
    let all = judge(job, routes).misses.into_iter().map(|m| m.miss);
    all.filter(|m| matches!(m.what, Shortfall::TooClose { .. })).collect()
}

/// What a run is short of against a neighbour, mm; negative when there is more than enough.
fn short(all: &Clearance, run: &job::routes::RunId, to: &Neighbour) -> Option<f64> {
    let own = all.runs.iter().find(|r| r.run == *run)?;
    let near = [&own.tubes, &own.at_inlets, &own.itself].into_iter().flatten().chain(&own.keepouts);
    let violations = all.violations.iter().filter(|(r, _)| r == run).map(|(_, a)| a);
    let to_it = near.chain(violations).filter(|a| a.to.neighbour() == *to);
    to_it.map(route::clearance::Approach::short).max_by(f64::total_cmp)
}

fn is_angle(run: &Run, index: usize) -> bool {
    let angle = |k: usize| [Slot::Roll, Slot::Angle].iter().any(|s| figure(k, *s) == index);
    (0..run.parts.len()).any(angle)
}

/// Routes with a run as its figures lay it; `None` when that is not a valid tube.
fn with(routes: &Routes, run: &Run, figures: &[f64]) -> Option<Routes> {
    let mut out = routes.clone();
    let route = out.runs.iter_mut().find(|r| r.run == run.id)?;
    set_route(route, run, figures).then_some(out)
}

/// Lays a route as a run's figures say; whether they are a tube.
pub(crate) fn set_route(route: &mut Route, run: &Run, figures: &[f64]) -> bool {
    let Some((points, radii)) = as_built(run, figures) else { return false };
    // A first piece starts in its flange: the route goes on from the port.
    let first = route.points[0];
    (route.points, route.radii) = (points, radii);
    route.points[0] = first;
    true
}
