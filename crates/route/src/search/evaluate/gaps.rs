//! Requirements of a run against itself, the keep-outs and other runs.

use geom::Vec3;

use super::need::{Asked, Decides, Joined, Need};
use super::sample::{PLACES, Sample, beyond};
use super::{Evaluator, HORIZON, RowKind, Tag, end_excess, pull_last_straight};
use crate::search::state::State;

/// How far outside a zone a point at its border may come to lie, mm.
const ROUNDING: f64 = 1e-9;

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
                    b = beyond(&samples, b, skip);
                    continue;
                }
                let g = (samples[b].p - samples[a].p) / -d.max(1e-9);
                let (sa, sb) = (samples[a], samples[b]);
                self.missed::<GRAD>(
                    need - d,
                    Tag(RowKind::Itself, i, sa.id, sb.id),
                    i,
                    |path, into| {
                        sb.pull(path, g, into);
                        sa.pull(path, -g, into);
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
        for (o, obstacle) in problem.obstacles.iter().enumerate() {
            let need = run.radius + obstacle.clearance + self.weights.margin + self.weights.room;
            let (from, to) = if obstacle.holds_ports { (run.stub, length - end_stub) } else { (0.0, length) };
            let (from, to) = (from - ROUNDING, to + ROUNDING);
            let mut j = 0;
            while j < samples.len() {
                let sample = samples[j];
                if sample.s < from || sample.s > to {
                    j += 1;
                    continue;
                }
                let far = obstacle.distance_below(sample.p) - need - self.look;
                if far > 0.0 {
                    j = beyond(&samples, j, far);
                    continue;
                }
                let near = obstacle.solid.nearest(sample.p, need + self.look + HORIZON);
                let r = need - near.distance;
                if r <= -self.look {
                    j = beyond(&samples, j, -r - self.look);
                    continue;
                }
                self.missed::<GRAD>(
                    r,
                    Tag(RowKind::Keepout, i, o, sample.id),
                    i,
                    |path, into| sample.pull(path, -near.normal, into),
                    state,
                );
                j += 1;
            }
        }
        self.samples[i] = samples;
        if !problem.bodies.is_empty() {
            self.bodies::<GRAD>(i, state);
        }
        if !problem.slide.is_empty() {
            self.slides::<GRAD>(i, state);
        }
    }

    /// Gaps to the bodies of collectors, which stand where their collectors do.
    fn bodies<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let problem = self.problem;
        let run = &problem.runs[i];
        let end = &run.ends[state.runs[i].end];
        let beside = 3.0 * run.radius;
        let samples = std::mem::take(&mut self.samples[i]);
        let length = self.paths[i].length;
        for (b, body) in problem.bodies.iter().enumerate() {
            let (seat, moves) = (&problem.seats[body.collector], &state.moves[body.collector]);
            let from = if run.leaves == Some(body.collector) { run.stub + beside } else { 0.0 };
            let until = if end.collector == Some(body.collector) { end.stub + beside } else { 0.0 };
            let need = run.radius + body.keepout.clearance + self.weights.margin + self.weights.room;
            let mut j = 0;
            while j < samples.len() {
                let sample = samples[j];
                if sample.s < from || sample.s > length - until {
                    j += 1;
                    continue;
                }
                let near = body.keepout.shape.nearest(seat.back(sample.p, moves), f64::INFINITY);
                let r = need - near.distance;
                if r <= -self.look {
                    j = beyond(&samples, j, -r - self.look);
                    continue;
                }
                let normal = seat.turned(near.normal, moves);
                self.pulled_seat::<GRAD>(body.collector, (sample.p, normal), state);
                let tag = Tag(RowKind::Keepout, i, problem.obstacles.len() + b, sample.id);
                self.missed::<GRAD>(r, tag, i, |path, into| sample.pull(path, -normal, into), state);
                j += 1;
            }
        }
        self.samples[i] = samples;
    }

    /// What the bodies of movable collectors miss of their gaps to keep-outs, by balls along them.
    pub(super) fn seats<const GRAD: bool>(&mut self, state: &State) {
        let problem = self.problem;
        for (b, body) in problem.bodies.iter().enumerate() {
            let (seat, moves) = (&problem.seats[body.collector], &state.moves[body.collector]);
            if self.seat_offsets[body.collector].is_none() {
                continue;
            }
            let Some(run) =
                problem.runs.iter().position(|r| r.ends.iter().any(|e| e.collector == Some(body.collector)))
            else {
                continue;
            };
            for (k, &(centre, radius)) in body.balls.iter().enumerate() {
                let place = seat.carried(centre, moves);
                for (o, obstacle) in problem.obstacles.iter().enumerate().filter(|(_, o)| !o.holds_ports) {
                    let need = radius + obstacle.clearance + self.weights.margin;
                    if obstacle.distance_below(place) > need + self.look {
                        continue;
                    }
                    let near = obstacle.solid.nearest(place, need + self.look + HORIZON);
                    let r = need - near.distance;
                    if r <= -self.look {
                        continue;
                    }
                    self.pulled_seat::<GRAD>(body.collector, (place, -near.normal), state);
                    self.missed_seat::<GRAD>(r, Tag(RowKind::Keepout, run, o, usize::MAX / 2 + b * PLACES + k));
                }
            }
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
            let (from, to) = (from - ROUNDING, to + ROUNDING);
            for sample in samples.iter().filter(|s| s.s >= from && s.s <= to) {
                if obstacle.distance_below(sample.p) > need + way {
                    continue;
                }
                let Some((r, normal)) = obstacle.worst_on(&problem.slide, sample.p, need) else { continue };
                self.missed::<GRAD>(
                    r,
                    Tag(RowKind::Slide, i, o, sample.id),
                    i,
                    |path, into| sample.pull(path, -normal, into),
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
        // Where the zone ends, on the line along which each comes in.
        let border = |r: usize| {
            let path = &self.paths[r];
            path.points.last().zip(path.dirs.last()).map_or(Vec3::ZERO, |(end, dir)| *end - *dir * zone)
        };
        let close = need.most - (border(i) - border(j)).length();
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
        self.missed::<GRAD>(r, Tag(RowKind::Early, i, j, usize::from(pick == j)), pick, pull_last_straight, state);
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
        let border = need.border().and_then(|from_end| Sample::before_end(&self.paths[j], from_end));
        let mut k = 0;
        while k < samples.len() {
            let sample = samples[k];
            let (nearest, worst) = self.worst_on(j, &need, &sample, border);
            let Some(near) = worst else {
                k = beyond(&samples, k, nearest.min(1e6) - need.most - self.look);
                continue;
            };
            let g = if near.d > 1e-6 { (sample.p - near.q.p) / near.d } else { Vec3::Z };
            let asked = &near.asked;
            // Where the need depends on the place of the nearest point on the second run, that point slides along as the
            // first moves or the second turns.
            let slides =
                if near.d > 1e-6 && asked.decides == Decides::Second { near.slides * asked.slope } else { 0.0 };
            let along = self.paths[j].direction(near.q.spot) * slides;
            self.missed2::<GRAD>(
                asked.need - near.d,
                Tag(RowKind::Tube, i, j, sample.id),
                (i, j),
                |path, into| {
                    sample.pull(path, -g - along, into);
                    asked.pull(Decides::First, &sample, path, into);
                },
                |path, into| {
                    near.q.pull(path, g + along, into);
                    path.pull_flow(near.q.spot, g * (-slides * near.d), into);
                    asked.pull(Decides::Second, &near.q, path, into);
                },
                state,
            );
            k += 1;
        }
        self.samples[i] = samples;
    }

    /// The distance from `sample` to run `j`, or a bound on it beyond what is needed, and where the need is missed most if
    /// it is missed anywhere.
    fn worst_on(&self, j: usize, need: &Need, sample: &Sample, border: Option<Sample>) -> (f64, Option<Near>) {
        let other = &self.paths[j];
        let mut nearest = f64::INFINITY;
        let mut worst: Option<Near> = None;
        let mut worse = |near: Near| {
            let r = near.asked.need - near.d;
            if r > -self.look && worst.as_ref().is_none_or(|w| r > w.asked.need - w.d) {
                worst = Some(near);
            }
        };
        for piece in &other.pieces {
            let far = (sample.p - piece.middle).length() - piece.reach;
            if far >= nearest.max(need.most + self.look) {
                continue;
            }
            let (d2, p) = other.nearest_on(piece, sample.p);
            let d = d2.sqrt();
            nearest = nearest.min(d);
            if d < need.most + self.look {
                let (s, spot) = other.spot_on(piece, p);
                let q = Sample::new(s, p, spot);
                worse(Near { asked: need.at(sample.s, s), d, q, slides: other.slides(piece, sample.p) });
            }
        }
        if let Some(q) = border.filter(|_| need.inside(sample.s)) {
            // The nearest point may lie within the small gap's zone and a farther one already outside.
            let d = (sample.p - q.p).length();
            nearest = nearest.min(d);
            worse(Near { asked: Asked::constant(need.most), d, q, slides: 0.0 });
        }
        (nearest, worst)
    }
}

/// A place on another run near a point looked at.
struct Near {
    /// The distance needed there.
    asked: Asked,
    /// The distance, mm.
    d: f64,
    /// The place.
    q: Sample,
    /// How far it slides along its run as the point looked at moves that way.
    slides: f64,
}
