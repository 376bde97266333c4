//! Requirements of a run against itself, the keep-outs and other runs.

use geom::Vec3;

use super::need::{Joined, Need};
use super::{Evaluator, HORIZON, Kind, Tag, end_excess, pull_last_straight};
use crate::search::path::Spot;
use crate::search::state::State;

impl Evaluator<'_> {
    /// The gap of a run from itself, between points more than 4 OD of arc length apart.
    pub(super) fn itself<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let path = &self.paths[i];
        let od = 2.0 * path.radius;
        let need = od + self.problem.tube_gap + self.weights.margin;
        // Schur's comparison: a curve of length l that turns by less than 180 degrees has a chord of at
        // least l cos(turn / 2).
        let turn = path.turn();
        if turn < std::f64::consts::PI && 4.0 * od * (0.5 * turn).cos() > need {
            return;
        }
        let samples = std::mem::take(&mut self.samples[i]);
        for a in 0..samples.len() {
            let mut b = a + 1;
            while b < samples.len() {
                let apart = samples[b].s - samples[a].s;
                let d = (samples[b].p - samples[a].p).length();
                let skip = (d - need - self.look).max(4.0 * od - apart);
                if skip > 0.0 {
                    b += ((skip / self.weights.step) as usize).max(1);
                    continue;
                }
                let g = (samples[b].p - samples[a].p) / -d.max(1e-9);
                let (sa, sb) = (samples[a].spot, samples[b].spot);
                self.missed::<GRAD>(
                    need - d,
                    Tag(Kind::Itself, i, a, b),
                    i,
                    |path, into| {
                        path.pull(sb, g, into);
                        path.pull(sa, -g, into);
                    },
                    state,
                );
                b += 1;
            }
        }
        self.samples[i] = samples;
    }

    pub(super) fn keepouts<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let problem = self.problem;
        let run = &problem.runs[i];
        let end_stub = run.ends[state.runs[i].end].stub;
        let samples = std::mem::take(&mut self.samples[i]);
        let length = self.paths[i].length;
        let step = self.spacing(i);
        for (o, obstacle) in problem.obstacles.iter().enumerate() {
            let need = run.radius + obstacle.clearance + self.weights.margin + self.weights.room;
            let (from, to) = if obstacle.holds_ports { (run.stub, length - end_stub) } else { (0.0, length) };
            let mut j = 0;
            while j < samples.len() {
                let sample = samples[j];
                if sample.s < from || sample.s > to {
                    j += 1;
                    continue;
                }
                let far = obstacle.distance_below(sample.p) - need - self.look;
                if far > 0.0 {
                    j += ((far / step) as usize).max(1);
                    continue;
                }
                let near = obstacle.solid.nearest(sample.p, need + self.look + HORIZON);
                let r = need - near.distance;
                if r <= -self.look {
                    j += (((-r - self.look) / step) as usize).max(1);
                    continue;
                }
                self.missed::<GRAD>(
                    r,
                    Tag(Kind::Keepout, i, o, j),
                    i,
                    |path, into| path.pull(sample.spot, -near.normal, into),
                    state,
                );
                j += 1;
            }
        }
        self.samples[i] = samples;
        if !problem.slide.is_empty() {
            self.slides::<GRAD>(i, state);
        }
    }

    /// Touching a keep-out while the header is put on: each point is followed back along the moves.
    pub(super) fn slides<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let problem = self.problem;
        let run = &problem.runs[i];
        let end_stub = run.ends[state.runs[i].end].stub;
        let samples = std::mem::take(&mut self.samples[i]);
        let length = self.paths[i].length;
        let need = run.radius + self.weights.margin;
        let way: f64 = problem.slide.windows(2).map(|w| (w[1] - w[0]).length()).sum();
        for (o, obstacle) in problem.obstacles.iter().enumerate().filter(|(_, o)| !o.tool) {
            let (from, to) = if obstacle.holds_ports { (run.stub, length - end_stub) } else { (0.0, length) };
            for (j, sample) in samples.iter().enumerate().filter(|(_, s)| s.s >= from && s.s <= to) {
                if obstacle.distance_below(sample.p) > need + way {
                    continue;
                }
                let Some((r, normal)) = obstacle.worst_on(&problem.slide, sample.p, need) else { continue };
                self.missed::<GRAD>(
                    r,
                    Tag(Kind::Slide, i, o, j),
                    i,
                    |path, into| path.pull(sample.spot, -normal, into),
                    state,
                );
            }
        }
        self.samples[i] = samples;
    }

    /// Neighbours at a collector whose inlets are closer than tubes may be must part before the zone of
    /// the small gap ends, so one of the two must bend in time. Points on parallel straights feel no
    /// pull towards that; this residual on the shorter of the two last straights is it.
    pub(super) fn part_in_time<const GRAD: bool>(&mut self, need: &Need, (i, j): (usize, usize), state: &State) {
        let (Some((zone, gap)), Joined::Enter, true) = (need.narrow, &need.joined, self.aids) else { return };
        let end = |r: usize| self.paths[r].points.last().copied().unwrap_or(Vec3::ZERO);
        let close = need.most - (end(i) - end(j)).length();
        if close <= 0.0 || gap == f64::NEG_INFINITY {
            return;
        }
        let excess = |r: usize| end_excess(&self.paths[r], zone, close);
        let movable = |r: usize| self.offsets[r] != usize::MAX && state.runs[r].freedoms() > 0;
        let (Some(xi), Some(xj)) = (excess(i), excess(j)) else { return };
        if xi.min(xj) <= 0.0 {
            return;
        }
        let pick = if movable(j) && (xj < xi || !movable(i)) { j } else { i };
        let r = if pick == i { xi } else { xj };
        self.missed::<GRAD>(r, Tag(Kind::Early, pick, i, j), pick, pull_last_straight, state);
    }

    /// The gap between runs `i` and `j`.
    pub(super) fn tubes<const GRAD: bool>(&mut self, i: usize, j: usize, state: &State) {
        let lengths = (self.paths[i].length, self.paths[j].length);
        let mut need = Need::new(self.problem, (i, j), state, lengths, self.weights);
        if !self.aids {
            need.ramp = 0.0;
        }
        self.part_in_time::<GRAD>(&need, (i, j), state);
        let samples = std::mem::take(&mut self.samples[i]);
        let step = self.spacing(i);
        let border = need.border().and_then(|s| self.paths[j].at(s));
        let mut k = 0;
        while k < samples.len() {
            let sample = samples[k];
            let other = &self.paths[j];
            let mut nearest = f64::INFINITY;
            let mut miss: Option<(f64, f64, Vec3, Spot)> = None;
            for piece in &other.pieces {
                let far = (sample.p - piece.middle).length() - piece.reach;
                if far >= nearest.max(need.most + self.look) {
                    continue;
                }
                let (d2, q) = other.nearest_on(piece, sample.p);
                let d = d2.sqrt();
                nearest = nearest.min(d);
                if d < need.most + self.look {
                    let (s, spot) = other.spot_on(piece, q);
                    let r = need.at(sample.s, s) - d;
                    if r > -self.look && miss.is_none_or(|m| r > m.0) {
                        miss = Some((r, d, q, spot));
                    }
                }
            }
            if let Some((q, spot)) = border.filter(|_| need.inside(sample.s)) {
                // The nearest point may lie within the small gap's zone and a farther one already outside.
                let d = (sample.p - q).length();
                nearest = nearest.min(d);
                let r = need.most - d;
                if r > -self.look && miss.is_none_or(|m| r > m.0) {
                    miss = Some((r, d, q, spot));
                }
            }
            let Some((r, d, q, spot)) = miss else {
                k += (((nearest.min(1e6) - need.most - self.look).max(0.0) / step) as usize).max(1);
                continue;
            };
            let g = if d > 1e-6 { (sample.p - q) / d } else { Vec3::Z };
            self.missed2::<GRAD>(
                r,
                Tag(Kind::Tube, i, j, k),
                (i, j),
                |path, into| path.pull(sample.spot, -g, into),
                |path, into| path.pull(spot, g, into),
                state,
            );
            k += 1;
        }
        self.samples[i] = samples;
    }
}
