//! How the pieces of a run go together: joint centres, match marks, chords to check, water volume.
//!
//! A joint's *reference line* is the outside line of the nearest bend upstream, carried along the wall; where
//! there is none, the line that looks up (vehicle z made perpendicular to the flow) or, on a tube within 8 degrees of
//! vertical, the line that looks to the vehicle's front. Match marks are angles from it by the right-hand rule about the flow. A chord is the straight
//! distance between two marks that a person can touch: the outside lines (far from the bend's centre) and
//! the inside lines of a piece's two ends, at the radius OD/2. Elementary geometry; held by the tests
//! against closed forms (a bend's outside chord is 2 (CLR + OD/2) sin(a/2)).

use std::f64::consts::TAU;

use geom::{Centreline, Element, Frame, Vec3, any_perpendicular, rotate_about, signed_angle};
use job::body::Making;
use job::inlets::{entering_od, inlets};
use job::model::{Job, Tube};
use job::parts::CouplingKind;
use job::routes::{Route, Routes, RunId};
use route::laid::frame_of;

use crate::marks::NEAR;
use crate::plan::CutPlan;
use crate::{CutError, CutJob, centrelines};

/// What a joint joins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JointKind {
    /// The first piece to a port flange.
    Port,
    /// The first piece to the collector that the run leaves.
    Outlet,
    /// Two pieces.
    Pieces,
    /// The last piece to the collector that the run enters.
    Inlet,
    /// The last piece slides into the collector that the run enters.
    Slip,
    /// The piece before slides into the one behind: a slip joint.
    Sliding,
    /// A coupling between the two pieces: clamp, bolted flanges or bellows.
    Coupled {
        /// Whether it turns until it is closed: a V-band does, bolt holes and bellows do not.
        turns: bool,
    },
    /// Nothing: the free end of a tail or trial piece.
    Free,
}

impl JointKind {
    /// Whether something is welded there.
    pub fn welded(self) -> bool {
        !matches!(self, JointKind::Free | JointKind::Slip | JointKind::Sliding | JointKind::Coupled { .. })
    }
}

/// A line along the wall that a match mark stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MarkLine {
    /// The outside line of that piece's bend.
    Outside(String),
    /// The line that looks up.
    Up,
    /// On a vertical tube, the line that looks to the vehicle's front.
    Front,
    /// The side away from the axis of the merge that the tube enters: 0 of its template.
    MergeOutside,
}

/// A match mark on the wall at a joint.
#[derive(Debug, Clone, PartialEq)]
pub struct MatchMark {
    /// What lies there.
    pub line: MarkLine,
    /// From the reference line, right-hand rule about the flow, rad in [0, 2 pi).
    pub angle: f64,
    /// The same around the outside of the tube, mm.
    pub around: f64,
}

/// A joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// `port-1A`, `1A-1B`, `1C-main 2`.
    pub name: String,
    /// What it joins.
    pub kind: JointKind,
    /// Arc length from the start of the run, mm.
    pub station: f64,
    /// Its centre in vehicle axes, mm.
    pub place: Vec3,
    /// Unit direction of the flow.
    pub flow: Vec3,
    /// Its centre seen from the start of the run, a right-handed triple: out along the flow there, to the left and up (seen
    /// along the flow, with the reference line of the start overhead), mm.
    pub from_start: [f64; 3],
    /// Straight distance from the centre of the run's start, mm.
    pub reach: f64,
    /// The reference line's direction from the centre, unit.
    pub reference: Vec3,
    /// Match marks, the reference first; second, where there is one, the outside line of the next bend downstream or, at
    /// the end in a merge, the line where 0 of the merge's template lies.
    pub marks: Vec<MatchMark>,
}

/// A chord to check.
#[derive(Debug, Clone, PartialEq)]
pub struct Chord {
    /// The piece or the two pieces it spans.
    pub pieces: Vec<String>,
    /// Between the outside lines of both ends, mm.
    pub outside: f64,
    /// Between the inside lines of both ends, mm.
    pub inside: f64,
}

/// How one run goes together.
#[derive(Debug, Clone, PartialEq)]
pub struct RunAssembly {
    /// The run that is put together.
    pub run: RunId,
    /// Tube of the run.
    pub tube: Tube,
    /// Length of its centreline, mm.
    pub length: f64,
    /// Its pieces, as indices of the plan, along the flow.
    pub pieces: Vec<usize>,
    /// Its joints along the flow, both ends included.
    pub joints: Vec<Joint>,
    /// The chord of each piece, then of each two neighbours (which checks their clocking).
    pub chords: Vec<Chord>,
    /// Inside volume from its start to the inlet plane, mm3.
    pub volume: f64,
}

/// How all runs go together, in the order of the routes.
///
/// # Errors
/// [`CutError::NoRuns`], [`CutError::BadRoute`].
pub fn assembly(job: &Job, routes: &Routes, plan: &CutPlan) -> Result<Vec<RunAssembly>, CutError> {
    let lines = centrelines(routes)?;
    let cut_job = CutJob::of(job);
    Ok(routes
        .runs
        .iter()
        .zip(&lines)
        .map(|(route, (run, line))| run_assembly((job, routes), route, line, cut_job.tube_of(run), plan))
        .collect())
}

fn run_assembly(of: (&Job, &Routes), route: &Route, line: &Centreline, tube: &Tube, plan: &CutPlan) -> RunAssembly {
    let mut pieces: Vec<usize> = (0..plan.pieces.len()).filter(|&k| plan.pieces[k].run == route.run).collect();
    pieces.sort_by(|&a, &b| plan.pieces[a].from.total_cmp(&plan.pieces[b].from));
    let laid =
        LaidRun { line, radius: 0.5 * tube.od, spans: pieces.iter().map(|&k| Span::of(plan, k, line)).collect() };
    RunAssembly {
        run: route.run.clone(),
        tube: tube.clone(),
        length: line.length(),
        joints: joints(of, route, &laid),
        chords: laid.chords(),
        volume: geom::bore_volume(tube.od, tube.wall, line.length()),
        pieces,
    }
}

/// A piece on its run.
struct Span {
    mark: String,
    from: f64,
    to: f64,
    /// Unit directions from the centreline to the outside of its bend at both ends; `None` when straight.
    outside: Option<[Vec3; 2]>,
}

impl Span {
    fn of(plan: &CutPlan, index: usize, line: &Centreline) -> Span {
        let piece = &plan.pieces[index];
        // The arc is looked up a trace inside, so that arcs that meet without a straight are told apart.
        let outside_at = |station: f64, inside: f64| {
            let look = station + inside;
            line.stations().find_map(|(from, element)| match element {
                Element::Arc(arc) if look > from - NEAR && look < from + element.length() + NEAR => {
                    Some(-arc.inward_at(((station - from) / arc.radius).clamp(0.0, arc.angle)))
                }
                _ => None,
            })
        };
        let trace = 10.0 * NEAR;
        let first = outside_at(piece.from + piece.leg_in, trace);
        let last = outside_at(piece.to - piece.leg_out, -trace);
        let outside = if piece.angle > 0.0 { first.zip(last).map(|(a, b)| [a, b]) } else { None };
        Span { mark: piece.mark.clone(), from: piece.from, to: piece.to, outside }
    }
}

struct LaidRun<'a> {
    line: &'a Centreline,
    radius: f64,
    spans: Vec<Span>,
}

impl LaidRun<'_> {
    /// The reference line at the upstream end of piece `k`, and whose it is.
    fn reference(&self, k: usize) -> (Option<&Span>, Vec3) {
        match self.spans[..k].iter().rev().find_map(|s| Some((s, s.outside?[1]))) {
            Some((span, outside)) => (Some(span), outside),
            None => {
                let station = self.spans.get(k).map_or(self.line.length(), |s| s.from);
                (None, any_perpendicular(self.line.at(station).forward))
            }
        }
    }

    /// The outside line of the next bend from piece `k` on.
    fn next_bend(&self, k: usize) -> Option<(&Span, Vec3)> {
        self.spans[k..].iter().find_map(|s| Some((s, s.outside?[0])))
    }

    /// Outside directions of both ends of piece `k`; of a straight one its reference line.
    fn sides(&self, k: usize) -> [Vec3; 2] {
        self.spans[k].outside.unwrap_or_else(|| {
            let (whose, reference) = self.reference(k);
            let line = if whose.is_some() { reference } else { self.next_bend(k).map_or(reference, |(_, o)| o) };
            [line, line]
        })
    }

    fn chords(&self) -> Vec<Chord> {
        let single = (0..self.spans.len()).map(|k| self.chord(k, k));
        let double = (1..self.spans.len()).map(|k| self.chord(k - 1, k));
        single.chain(double).collect()
    }

    fn chord(&self, first: usize, last: usize) -> Chord {
        let (a, b) = (self.line.at(self.spans[first].from).origin, self.line.at(self.spans[last].to).origin);
        let (u, v) = (self.sides(first)[0], self.sides(last)[1]);
        let distance = |side: f64| ((a + u * (side * self.radius)) - (b + v * (side * self.radius))).length();
        Chord {
            pieces: self.spans[first..=last].iter().map(|s| s.mark.clone()).collect(),
            outside: distance(1.0),
            inside: distance(-1.0),
        }
    }
}

/// The joints of a run, both ends included.
fn joints((job, routes): (&Job, &Routes), route: &Route, laid: &LaidRun<'_>) -> Vec<Joint> {
    let count = laid.spans.len();
    let start = start_frame(laid.line);
    (0..=count)
        .filter(|_| count > 0)
        .map(|k| {
            let station = laid.spans.get(k).map_or(laid.line.length(), |s| s.from);
            let frame = laid.line.at(station);
            let (whose, reference) = laid.reference(k);
            let mark = |line: MarkLine, towards: Vec3| {
                let angle = signed_angle(reference, towards, frame.forward).rem_euclid(TAU);
                let angle = if TAU - angle < 1e-9 { 0.0 } else { angle };
                MatchMark { line, angle, around: laid.radius * angle }
            };
            let outside = |s: &Span| MarkLine::Outside(s.mark.clone());
            let looks = if looks_up(frame.forward) { MarkLine::Up } else { MarkLine::Front };
            let mut marks = vec![mark(whose.map_or(looks, outside), reference)];
            marks.extend(laid.next_bend(k.min(count)).map(|(s, towards)| mark(outside(s), towards)));
            if k == count {
                marks.extend(merge_outside(job, routes, route).map(|towards| mark(MarkLine::MergeOutside, towards)));
            }
            let kind = kind(job, route, (k, count), station);
            let away = frame.origin - start.origin;
            Joint {
                name: name(route, laid, k, kind),
                kind,
                station,
                place: frame.origin,
                flow: frame.forward,
                from_start: [away.dot(start.forward), -away.dot(start.right()), away.dot(start.up)],
                reach: away.length(),
                reference,
                marks,
            }
        })
        .collect()
}

/// The direction from the axis of the merge that a run enters to its inlet.
fn merge_outside(job: &Job, routes: &Routes, route: &Route) -> Option<Vec3> {
    let index = job.collectors.iter().position(|c| c.name == route.collector)?;
    let collector = &job.collectors[index];
    collector.body.as_ref().filter(|b| matches!(b.making, Making::Merge { .. }))?;
    let frame = frame_of(job, routes, index);
    let inlets = inlets(collector, &frame, entering_od(job, collector));
    Some(inlets.get(route.inlet.checked_sub(1)?)?.in_plane - frame.origin)
}

/// Whether the reference line of a tube without a bend before it looks up: it looks to the front where up is along the flow.
fn looks_up(flow: Vec3) -> bool {
    // As [`any_perpendicular`] has it.
    flow.z.abs() < 0.99
}

/// The start of a run with the line that looks up overhead.
fn start_frame(line: &Centreline) -> Frame {
    let start = line.start();
    Frame { up: any_perpendicular(start.forward), ..start }
}

fn kind(job: &Job, route: &Route, (k, count): (usize, usize), station: f64) -> JointKind {
    let slips = |s: &&job::parts::SlipJoint| s.run == route.run && (s.at - station).abs() <= NEAR;
    let couples = |c: &&job::parts::Coupling| c.run == route.run && (c.end() - station).abs() <= NEAR;
    let coupling = job.parts.couplings.iter().find(couples).filter(|_| k > 0 && k < count);
    let known = |name: &str| job.collectors.iter().any(|c| c.name == name);
    match &route.run {
        _ if k > 0 && k < count && job.parts.slips.iter().any(|s| slips(&s)) => JointKind::Sliding,
        _ if coupling.is_some() => {
            JointKind::Coupled { turns: coupling.is_some_and(|c| c.kind == CouplingKind::VBand) }
        }
        _ if k > 0 && k < count => JointKind::Pieces,
        _ if k == count => match job.collectors.iter().find(|c| c.name == route.collector) {
            Some(c) if c.is_slid_into() => JointKind::Slip,
            Some(_) => JointKind::Inlet,
            None => JointKind::Free,
        },
        RunId::Primary { cylinder } => {
            if job.ports.iter().any(|p| p.cylinder == *cylinder) {
                JointKind::Port
            } else {
                JointKind::Free
            }
        }
        RunId::Secondary { from } | RunId::Tail { from } => {
            if known(from) {
                JointKind::Outlet
            } else {
                JointKind::Free
            }
        }
    }
}

fn name(route: &Route, laid: &LaidRun<'_>, k: usize, kind: JointKind) -> String {
    let mark = |k: usize| laid.spans[k].mark.as_str();
    match (kind, &route.run) {
        (JointKind::Pieces | JointKind::Sliding | JointKind::Coupled { .. }, _) => {
            format!("{}-{}", mark(k - 1), mark(k))
        }
        (JointKind::Port, RunId::Primary { cylinder }) => format!("port {cylinder}-{}", mark(0)),
        (JointKind::Outlet, RunId::Secondary { from } | RunId::Tail { from }) => format!("{from}-{}", mark(0)),
        (JointKind::Inlet | JointKind::Slip, _) => format!("{}-{} {}", mark(k - 1), route.collector, route.inlet),
        (_, _) if k == 0 => format!("start-{}", mark(0)),
        _ => format!("{}-end", mark(k - 1)),
    }
}

/// The places of a joint's match marks on the outside of the tube, in vehicle axes, mm.
pub fn mark_places(joint: &Joint, radius: f64) -> Vec<Vec3> {
    let turned = |m: &MatchMark| joint.place + rotate_about(joint.reference, joint.flow, m.angle) * radius;
    joint.marks.iter().map(turned).collect()
}

#[cfg(test)]
mod tests;
