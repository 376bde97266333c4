//! The variables of the search.
//!
//! A run with k >= 2 interior points has the first on its start axis (distance t0), the last on its end axis
//! (distance t1 before the end) and the others free in space: 2 + 3 (k - 2) freedoms. Runs with fewer
//! points have none. A collector that may move adds (along, right, up, roll); a group of runs that must be
//! even adds the length about which they are even.

use geom::Vec3;
use job::routes::Route;

use super::path::TubePath;
use crate::problem::RoutingProblem;

/// What a leg's straight must be, besides long enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LegRule {
    /// At least this, mm.
    AtLeast(f64),
    /// None: the bends meet.
    Zero,
}

/// The structure and the variables of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct RunState {
    /// Index of its end.
    pub end: usize,
    /// CLR at each interior point, mm.
    pub clrs: Vec<f64>,
    /// Distances of the first and the last interior point from start and end, mm.
    pub t: [f64; 2],
    /// The interior points between those two.
    pub free: Vec<Vec3>,
    /// The leg that passes through each waypoint.
    pub via_leg: Vec<usize>,
    /// One rule per leg; empty: none.
    pub legs: Vec<LegRule>,
}

/// The variables of all runs.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// One per run of the problem.
    pub runs: Vec<RunState>,
    /// Moves of the collectors.
    pub moves: Vec<[f64; 4]>,
    /// Lengths about which primaries, secondaries and tails are even, mm.
    pub mids: [f64; 3],
}

impl RunState {
    /// Number of variables.
    pub fn freedoms(&self) -> usize {
        if self.clrs.len() < 2 { 0 } else { 2 + 3 * self.free.len() }
    }
}

/// Lays `path` for run `run` in the state `rs` with collectors at `moves`.
pub fn lay(problem: &RoutingProblem, run: usize, rs: &RunState, moves: &[[f64; 4]], path: &mut TubePath) {
    let r = &problem.runs[run];
    let (start, last) = (problem.start_place(run, moves), problem.end_place(run, rs.end, moves));
    let (leaving, arriving) = (problem.start_axis(run, moves), problem.end_axis(run, rs.end, moves));
    path.points.clear();
    path.points.push(start);
    if !rs.clrs.is_empty() {
        path.points.push(start + leaving * rs.t[0]);
    }
    if rs.clrs.len() >= 2 {
        path.points.extend_from_slice(&rs.free);
        path.points.push(last - arriving * rs.t[1]);
    }
    path.points.push(last);
    path.lay(leaving, arriving, &rs.clrs, r.radius);
}

/// The state of a run that follows a saved route, or `None` when its structure does not fit the problem.
pub fn from_route(problem: &RoutingProblem, run: usize, route: &Route, moves: &[[f64; 4]]) -> Option<RunState> {
    let r = &problem.runs[run];
    let end = r.ends.iter().position(|e| match e.collector {
        Some(c) => problem.seats[c].name == route.collector && e.inlet == route.inlet,
        None => true,
    })?;
    let k = route.radii.len();
    let (start, last) = (problem.start_place(run, moves), problem.end_place(run, end, moves));
    let (leaving, arriving) = (problem.start_axis(run, moves), problem.end_axis(run, end, moves));
    let t = match k {
        0 => [0.0; 2],
        1 => [(route.points[1] - start).dot(leaving), 0.0],
        _ => [(route.points[1] - start).dot(leaving), (last - route.points[k]).dot(arriving)],
    };
    let free = if k > 2 { route.points[2..k].to_vec() } else { Vec::new() };
    let mut state = RunState { end, clrs: route.radii.clone(), t, free, via_leg: Vec::new(), legs: Vec::new() };
    let mut path = TubePath::default();
    lay(problem, run, &state, moves, &mut path);
    state.via_leg = r.via.iter().map(|&v| nearest_leg(&path, v)).collect();
    Some(state)
}

/// The leg whose line segment comes nearest to `p`.
fn nearest_leg(path: &TubePath, p: Vec3) -> usize {
    let off = |leg: usize| {
        let s = (p - path.points[leg]).dot(path.dirs[leg]).clamp(0.0, path.lens[leg].max(0.0));
        (path.points[leg] + path.dirs[leg] * s - p).length()
    };
    (0..path.lens.len()).min_by(|&a, &b| off(a).total_cmp(&off(b))).unwrap_or(0)
}
