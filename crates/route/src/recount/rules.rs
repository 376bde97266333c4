//! Ends, shapes, collectors and inlets.

use geom::{Frame, Vec3};
use job::body::Body;
use job::model::{Collector, Groups, Job, Pattern, Remnant, Rotation};
use job::routes::{Route, Routes, RunId};

use super::trace::Trace;
use super::traced::{DIRECTION_TOLERANCE, PLACE_TOLERANCE, TURN_RANGE_DEG, Traced};
use crate::finding::{Miss, RunEnd, Shortfall, Travel};

/// A collector's own gap reaches this many outside diameters beyond its stub.
pub(super) const REACH_ODS: f64 = 1.5;

/// A route with what is asked of its ends.
pub(super) fn trace<'a>(job: &'a Job, routes: &Routes, route: &'a Route) -> Result<Traced<'a>, Miss> {
    let wrong = |what: Shortfall| Miss::of(&route.run, 1.0, what);
    let no_collector = |end: RunEnd| wrong(Shortfall::NoCollector { end });
    let find = |name: &str| job.collectors.iter().find(|c| c.name == name);
    let (spec, start, start_axis, start_stub, leaves) = match &route.run {
        RunId::Primary { cylinder } => {
            let port = job.ports.iter().find(|p| p.cylinder == *cylinder).ok_or_else(|| wrong(Shortfall::NoPort))?;
            (&job.primary, port.at, port.axis, port.stub, None)
        }
        RunId::Secondary { from } | RunId::Tail { from } => {
            let c = find(from).ok_or_else(|| no_collector(RunEnd::Start))?;
            let frame = stands(c, routes);
            let spec = if matches!(route.run, RunId::Tail { .. }) { &job.tail } else { &job.secondary };
            let (at, axis) = behind(c, &frame);
            (spec, at, axis, c.stub, Some(from.as_str()))
        }
    };
    let tail = match &route.run {
        RunId::Tail { from } => job.tails.iter().find(|t| t.from == *from),
        _ => None,
    };
    let (end, end_axis, end_stub, welded, enters) = match tail {
        Some(tail) => (tail.to, tail.axis, 0.0, 0.0, None),
        None => {
            let c = find(&route.collector).ok_or_else(|| no_collector(RunEnd::End))?;
            let frame = stands(c, routes);
            let at = inlet(job, c, &frame, route.inlet)
                .ok_or_else(|| wrong(Shortfall::NoInlet { collector: c.name.clone(), inlet: route.inlet }))?;
            let body = c.body.as_ref();
            let (lean, beyond) = (body.map_or(0.0, Body::lean), body.map_or(0.0, Body::beyond));
            let axis = frame.forward * lean.cos() - (at - frame.origin).normalize_or_zero() * lean.sin();
            // Leaning tubes come nearer than their gap a little before the plane.
            let welded = beyond + 0.5 * (spec.tube.od + c.gap) * lean.tan();
            (at + axis * beyond, axis, c.stub + beyond, welded, Some(c.name.as_str()))
        }
    };
    let mut trace = Trace::new(&route.points, &route.radii).ok_or_else(|| wrong(Shortfall::NotATube))?;
    let (length, reach) = (trace.length(), REACH_ODS * spec.tube.od);
    for place in [start_stub, start_stub + reach, length - end_stub - reach, length - end_stub, length - welded] {
        trace.mark(place);
    }
    let via = tail.map_or(&[][..], |t| &t.via);
    Ok(Traced {
        route,
        spec,
        trace,
        start,
        start_axis,
        start_stub,
        end,
        end_axis,
        end_stub,
        welded,
        via,
        leaves,
        enters,
    })
}

/// Where the tube after a collector starts, and its direction there.
fn behind(c: &Collector, frame: &Frame) -> (Vec3, Vec3) {
    let (place, axis) = c.body.as_ref().map_or((Vec3::ZERO, Vec3::X), |b| (b.outlet, b.outlet_axis));
    let right = frame.forward.cross(frame.up);
    let seen = |v: Vec3| frame.forward * v.x + right * v.y + frame.up * v.z;
    (frame.origin + seen(place), seen(axis))
}

/// Where a collector stands.
pub(super) fn stands(c: &Collector, routes: &Routes) -> Frame {
    let drawn = Frame { origin: c.at, forward: c.axis, up: across(c.up, c.axis) };
    routes.collectors.iter().find(|p| p.name == c.name).map_or(drawn, |p| p.frame)
}

fn across(up: Vec3, axis: Vec3) -> Vec3 {
    (up - axis * up.dot(axis)).normalize_or_zero()
}

/// Centre of an inlet, numbered from 1.
fn inlet(job: &Job, c: &Collector, frame: &Frame, number: usize) -> Option<Vec3> {
    let is_fed = job.collectors.iter().any(|other| other.feeds.as_ref() == Some(&c.name));
    let pitch = c.gap + if is_fed { job.secondary.tube.od } else { job.primary.tube.od };
    let (n, k) = (c.inlets, number.checked_sub(1)?);
    if k >= n {
        return None;
    }
    let (right, up) = match c.pattern {
        Pattern::Line => (pitch * (k as f64 - (n as f64 - 1.0) / 2.0), 0.0),
        _ if n == 1 => (0.0, 0.0),
        Pattern::Square => {
            [(-0.5, 0.5), (0.5, 0.5), (0.5, -0.5), (-0.5, -0.5)].get(k).map(|(x, y)| (x * pitch, y * pitch))?
        }
        Pattern::Triangle | Pattern::Ring => {
            let radius = pitch / 2.0 / (180.0 / n as f64).to_radians().sin();
            let clock = (360.0 * k as f64 / n as f64).to_radians();
            (radius * clock.sin(), radius * clock.cos())
        }
    };
    Some(frame.origin + frame.forward.cross(frame.up) * right + frame.up * up)
}

/// Places and directions of the ends, stubs, and the points of a tail.
pub(super) fn ends(run: &Traced, misses: &mut Vec<Miss>) {
    let id = &run.route.run;
    let points = &run.route.points;
    let last = points.len() - 1;
    let straights = &run.trace.straights;
    let of_start = (RunEnd::Start, points[0] - run.start, points[1] - points[0], run.start_axis);
    let of_end = (RunEnd::End, points[last] - run.end, points[last] - points[last - 1], run.end_axis);
    for (end, off, leg, axis) in [of_start, of_end] {
        if off.length() > PLACE_TOLERANCE {
            misses.push(Miss::of(id, off.length(), Shortfall::EndOffPlace { end, off: off.length() }));
        }
        let angle = leg.angle_between(axis);
        if angle > DIRECTION_TOLERANCE {
            misses.push(Miss::of(id, angle.to_degrees(), Shortfall::EndOffAxis { end, off: angle }));
        }
    }
    let first = (RunEnd::Start, straights[0], run.start_stub);
    for (end, length, need) in [first, (RunEnd::End, straights[straights.len() - 1], run.end_stub)] {
        if need - length > PLACE_TOLERANCE {
            misses.push(Miss::of(id, need - length, Shortfall::ShortStraight { end, length, need }));
        }
    }
    let mut from = 0;
    for (i, via) in run.via.iter().enumerate() {
        let (off, at) = passes(&run.trace, *via, from);
        if off > PLACE_TOLERANCE {
            misses.push(Miss::of(id, off, Shortfall::WaypointMissed { waypoint: i + 1, off }));
        }
        from = at;
    }
}

/// How near a trace comes to a point after its point number `from`, and where.
fn passes(trace: &Trace, p: Vec3, from: usize) -> (f64, usize) {
    let mut best = (f64::INFINITY, from);
    for i in from..trace.points.len() - 1 {
        let (a, b) = (trace.points[i], trace.points[i + 1]);
        let share = ((p - a).dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0);
        let off = (p - a.lerp(b, share)).length();
        if off < best.0 {
            best = (off, i);
        }
    }
    best
}

/// Radii, turns and the fit of the bends.
pub(super) fn shape(job: &Job, run: &Traced, misses: &mut Vec<Miss>) {
    let id = &run.route.run;
    for (i, straight) in run.trace.straights.iter().enumerate() {
        if -straight > PLACE_TOLERANCE {
            let what = Shortfall::BendsOverlap { straight: i + 1, by: -straight };
            misses.push(Miss::of(id, -straight, what));
        }
    }
    if run.route.locked {
        return;
    }
    let tube = &run.spec.tube;
    let shelf = job.stock.remnants.iter().filter_map(|r| match r {
        Remnant::Bend(b) => Some(b),
        Remnant::Straight(_) => None,
    });
    let clrs: Vec<f64> =
        job.stock.bends.iter().chain(shelf).filter(|b| tube.is_same_size(b.od, b.wall)).map(|b| b.clr).collect();
    for (i, radius) in run.route.radii.iter().enumerate() {
        let off = clrs.iter().map(|c| (c - radius).abs()).fold(f64::INFINITY, f64::min);
        if off > PLACE_TOLERANCE {
            misses.push(Miss::of(id, off, Shortfall::UnknownClr { bend: i + 1, clr: *radius }));
        }
    }
    for (i, turn) in run.trace.turns_deg.iter().enumerate() {
        let by = (TURN_RANGE_DEG[0] - turn).max(turn - TURN_RANGE_DEG[1]);
        if by > 0.01 {
            let range = TURN_RANGE_DEG.map(f64::to_radians);
            let what = Shortfall::TurnOutOfRange { bend: i + 1, turn: turn.to_radians(), range };
            misses.push(Miss::of(id, by, what));
        }
    }
}

/// Moved collectors stand within what they may move.
pub(super) fn collectors(job: &Job, routes: &Routes, misses: &mut Vec<Miss>) {
    for place in &routes.collectors {
        let collector = || place.name.clone();
        let mut wrong = |by: f64, what: Shortfall| misses.push(Miss { run: None, by, what });
        let Some(c) = job.collectors.iter().find(|c| c.name == place.name) else {
            wrong(1.0, Shortfall::UnknownCollector { collector: collector() });
            continue;
        };
        let shift = place.frame.origin - c.at;
        let along = shift.dot(c.axis);
        let aside = (shift - c.axis * along).length();
        let turned = place.frame.forward.angle_between(c.axis);
        let drawn = across(c.up, c.axis);
        let roll = c.axis.dot(drawn.cross(place.frame.up)).atan2(drawn.dot(place.frame.up)).abs();
        for (travel, moved, allowed, is_angle) in [
            (Travel::Along, along.abs(), c.may_move.along, false),
            (Travel::Aside, aside, c.may_move.aside, false),
            (Travel::Roll, roll, c.may_move.roll, true),
            (Travel::Tilt, turned, 0.0, true),
        ] {
            let by = if is_angle { (moved - allowed).to_degrees() } else { moved - allowed };
            if by > PLACE_TOLERANCE {
                wrong(by, Shortfall::BeyondTravel { collector: collector(), travel, moved, allowed });
            }
        }
    }
}

/// Who enters where.
pub(super) fn inlets(job: &Job, runs: &[Traced], misses: &mut Vec<Miss>) {
    for c in &job.collectors {
        let mut entering: Vec<&Traced> = runs.iter().filter(|r| r.enters == Some(&c.name)).collect();
        entering.sort_by_key(|r| r.route.inlet);
        for two in entering.windows(2).filter(|w| w[0].route.inlet == w[1].route.inlet) {
            let (inlet, by) = (two[1].route.inlet, two[0].route.run.clone());
            let what = Shortfall::InletTaken { collector: c.name.clone(), inlet, by };
            misses.push(Miss::of(&two[1].route.run, 1.0, what));
        }
        for run in &entering {
            may_enter(job, c, run, misses);
        }
        let cylinders: Vec<(u32, usize)> = entering
            .iter()
            .filter_map(|r| match r.route.run {
                RunId::Primary { cylinder } => Some((cylinder, r.route.inlet)),
                _ => None,
            })
            .collect();
        if cylinders.len() == entering.len() {
            twin(job, c, &cylinders, misses);
            rotation(job, c, &cylinders, misses);
        }
    }
}

fn may_enter(job: &Job, c: &Collector, run: &Traced, misses: &mut Vec<Miss>) {
    let id = &run.route.run;
    let collector = || c.name.clone();
    let mut wrong = |what: Shortfall| misses.push(Miss::of(id, 1.0, what));
    match id {
        RunId::Primary { cylinder } => {
            let pinned = job
                .collectors
                .iter()
                .flat_map(|other| other.inlet_of.iter().map(move |(k, inlet)| (other, *k, *inlet)))
                .find(|(_, k, _)| k == cylinder);
            if let Some((other, _, inlet)) = pinned
                && (other.name != c.name || inlet != run.route.inlet)
            {
                wrong(Shortfall::WrongInlet { collector: other.name.clone(), inlet });
            }
            if let Some((k, _)) = c.inlet_of.iter().find(|(k, i)| *i == run.route.inlet && k != cylinder) {
                let inlet = run.route.inlet;
                wrong(Shortfall::InletReserved { collector: collector(), inlet, cylinder: *k });
            }
            let named = job.collectors.iter().find(|other| other.cylinders.contains(cylinder));
            if !c.cylinders.is_empty() && !c.cylinders.contains(cylinder) {
                wrong(Shortfall::NotAccepted { collector: collector() });
            } else if let Some(other) = named.filter(|other| other.name != c.name && c.cylinders.is_empty()) {
                wrong(Shortfall::WrongCollector { collector: other.name.clone() });
            }
        }
        RunId::Secondary { from } => {
            let source = job.collectors.iter().find(|other| other.name == *from);
            if source.and_then(|s| s.feeds.as_ref()) != Some(&c.name) {
                wrong(Shortfall::DoesNotFeed { from: from.clone(), collector: collector() });
            }
        }
        RunId::Tail { .. } => wrong(Shortfall::TailEntersCollector),
    }
}

fn firing_order(job: &Job) -> Option<&[u32]> {
    job.engine.as_ref()?.firing_order.as_deref()
}

/// Both halves of a divided entry hold one group of the firing order each.
fn twin(job: &Job, c: &Collector, cylinders: &[(u32, usize)], misses: &mut Vec<Miss>) {
    let Some(order) = firing_order(job).filter(|_| c.groups == Groups::Twin) else { return };
    let all: Vec<u32> = cylinders.iter().map(|(k, _)| *k).collect();
    let Ok(groups) = job::firing::groups(order, &all, 2) else { return };
    let half = |(_, inlet): &(u32, usize)| *inlet > c.inlets / 2;
    for group in &groups {
        let sides: Vec<bool> = cylinders.iter().filter(|(k, _)| group.contains(k)).map(half).collect();
        if sides.windows(2).any(|w| w[0] != w[1]) {
            let what = Shortfall::GroupSplit { collector: c.name.clone(), cylinders: group.clone() };
            misses.push(Miss { run: None, by: 1.0, what });
        }
    }
}

/// The cylinders around the collector are in firing order, one way round or the other.
fn rotation(job: &Job, c: &Collector, cylinders: &[(u32, usize)], misses: &mut Vec<Miss>) {
    let Some(order) = firing_order(job).filter(|_| c.rotation == Rotation::Firing) else { return };
    let around: Vec<u32> = cylinders.iter().map(|(k, _)| *k).collect();
    let firing: Vec<u32> = order.iter().copied().filter(|k| around.contains(k)).collect();
    let n = around.len();
    let fits = |turn: usize, back: bool| {
        (0..n).all(|i| {
            let place = if back { 2 * n + turn - i } else { turn + i };
            around[i] == firing[place % n]
        })
    };
    if firing.len() == n && !(0..n).any(|turn| fits(turn, false) || fits(turn, true)) {
        let what = Shortfall::OutOfOrder { collector: c.name.clone(), cylinders: around };
        misses.push(Miss { run: None, by: 1.0, what });
    }
}
