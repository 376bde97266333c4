//! Requirements of a run by itself: straights, angles, waypoints, length.

use geom::Vec3;

use super::{Evaluator, RowKind, STUB_MARGIN, TURN_RANGE, Tag, end_excess, pull_last_straight};
use crate::search::state::{LegRule, State};

impl Evaluator<'_> {
    /// Fit of the tangent lengths, stubs, leg rules, bend angles, waypoints and the price of turning.
    pub(super) fn shape<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let (run, rs) = (&self.problem.runs[i], &state.runs[i]);
        let bends = rs.clrs.len();
        for leg in 0..=bends {
            self.straight::<GRAD>(i, leg, state);
        }
        for bend in 0..bends {
            self.bend::<GRAD>(i, bend, state);
        }
        let end = &run.ends[rs.end];
        if self.part_early && end.collector.is_some() {
            let zone = end.stub + 3.0 * run.radius;
            if let Some(r) = end_excess(&self.paths[i], zone, end.apart).filter(|r| *r > 0.0) {
                self.missed::<GRAD>(r, Tag(RowKind::Early, i, i, 0), i, pull_last_straight, state);
            }
        }
        for (v, &leg) in rs.via_leg.iter().enumerate() {
            self.waypoint::<GRAD>(i, v, leg, state);
        }
    }

    /// The straight of the leg `leg` is as long as its end, its stub or its rule asks for.
    fn straight<const GRAD: bool>(&mut self, i: usize, leg: usize, state: &State) {
        let (run, rs) = (&self.problem.runs[i], &state.runs[i]);
        let bends = rs.clrs.len();
        let path = &self.paths[i];
        let mut need = 0.0_f64;
        if leg == 0 {
            need = run.stub;
        }
        if leg == bends {
            need = need.max(run.ends[rs.end].stub);
        }
        if need > 0.0 && !self.strict {
            need += STUB_MARGIN;
        }
        let mut straight = path.lens[leg];
        straight -= if leg > 0 { path.setbacks[leg - 1] } else { 0.0 };
        straight -= if leg < bends { path.setbacks[leg] } else { 0.0 };
        let (r, kind) = match rs.legs.get(leg) {
            Some(LegRule::Zero) => (-straight, RowKind::Equal),
            Some(LegRule::AtLeast(least)) => (need.max(*least) - straight, RowKind::Fit),
            None => (need - straight, RowKind::Fit),
        };
        if kind == RowKind::Equal || r > -self.look {
            self.missed::<GRAD>(r, Tag(kind, i, 0, leg), i, |path, into| path.pull_straight(leg, -1.0, into), state);
        }
    }

    /// The bend `bend` turns neither too little nor too much; the price of its turning.
    fn bend<const GRAD: bool>(&mut self, i: usize, bend: usize, state: &State) {
        let (turn, clr) = (self.paths[i].turns[bend], self.paths[i].clrs[bend]);
        let (low, high) = (clr * (TURN_RANGE[0] - turn), clr * (turn - TURN_RANGE[1]));
        if low > -self.look {
            self.missed::<GRAD>(
                low,
                Tag(RowKind::Slight, i, 0, bend),
                i,
                |path, into| path.pull_turn(bend, -clr, into),
                state,
            );
        } else if high > -self.look {
            self.missed::<GRAD>(
                high,
                Tag(RowKind::Sharp, i, 0, bend),
                i,
                |path, into| path.pull_turn(bend, clr, into),
                state,
            );
        }
        if self.weights.turn > 0.0 {
            // The majorised square: turn <= turn^2 / (2 turn0) + turn0 / 2, equal at turn0 = turn.
            let held = turn.max(TURN_RANGE[0]);
            let scale = (self.weights.turn / (2.0 * held)).sqrt();
            self.weigh::<GRAD>(
                scale * turn,
                self.weights.turn * turn,
                i,
                |path, into| path.pull_turn(bend, scale, into),
                state,
            );
        }
    }

    /// The leg `leg` must pass through `via`, between its bends.
    pub(super) fn waypoint<const GRAD: bool>(&mut self, i: usize, v: usize, leg: usize, state: &State) {
        let via = self.problem.runs[i].via[v];
        let path = &self.paths[i];
        let (dir, len) = (path.dirs[leg], path.lens[leg]);
        let from = via - path.points[leg];
        let along = from.dot(dir);
        let off = from - dir * along;
        let at = along / len.abs().max(1e-3);
        for (k, axis) in [Vec3::X, Vec3::Y, Vec3::Z].into_iter().enumerate() {
            let r = off.dot(axis);
            let across = axis - dir * axis.dot(dir);
            self.missed::<GRAD>(
                r,
                Tag(RowKind::Equal, i, 1 + v, k),
                i,
                |path, into| {
                    into[leg] -= across * (1.0 - at);
                    into[leg + 1] -= across * at;
                    path.pull_direction(leg, off * -axis.dot(dir), into);
                },
                state,
            );
        }
        let path = &self.paths[i];
        let before = if leg > 0 { path.setbacks[leg - 1] } else { 0.0 };
        let after = if leg + 1 < path.lens.len() { path.setbacks[leg] } else { 0.0 };
        if before - along > -self.look {
            self.missed::<GRAD>(
                before - along,
                Tag(RowKind::Via, i, v, 0),
                i,
                |path, into| {
                    into[leg] += dir;
                    if leg > 0 {
                        path.pull_setback(leg - 1, 1.0, into);
                    }
                },
                state,
            );
        }
        let left = len - along;
        if after - left > -self.look {
            self.missed::<GRAD>(
                after - left,
                Tag(RowKind::Via, i, v, 1),
                i,
                |path, into| {
                    into[leg + 1] -= dir;
                    if leg + 1 < path.lens.len() {
                        path.pull_setback(leg, 1.0, into);
                    }
                },
                state,
            );
        }
    }

    pub(super) fn lengths<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let length = self.paths[i].length;
        let kept = if self.strict { 0.0 } else { 1.0 };
        let slack = |tolerance: f64| (tolerance - kept * 0.02_f64.min(0.1 * tolerance)).max(0.0);
        if let Some((target, tolerance)) = self.length_targets[i] {
            let off = length - target;
            let r = off.abs() - slack(tolerance);
            if r > -self.look {
                self.missed::<GRAD>(
                    r,
                    Tag(RowKind::Length, i, 0, usize::from(off > 0.0)),
                    i,
                    |path, into| path.pull_length(off.signum(), into),
                    state,
                );
            }
        }
        let wanted = self.problem.runs[i].wanted;
        if let Some(at) = self.mid_offsets[wanted] {
            let off = length - state.mids[wanted];
            let r = off.abs() - 0.5 * slack(self.problem.length_targets[wanted].tolerance);
            if r > -self.look {
                self.sink.row_entry::<GRAD>(at, -off.signum());
                self.missed::<GRAD>(
                    r,
                    Tag(RowKind::Even, i, 0, usize::from(off > 0.0)),
                    i,
                    |path, into| path.pull_length(off.signum(), into),
                    state,
                );
            }
        }
        if self.weights.length > 0.0 && length > 1.0 {
            let scale = (self.weights.length / (2.0 * length)).sqrt();
            self.weigh::<GRAD>(
                scale * length,
                self.weights.length * length,
                i,
                |path, into| path.pull_length(scale, into),
                state,
            );
        }
    }
}
