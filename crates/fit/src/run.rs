//! A run of a cut plan as a chain, with what matters of its pieces.

use cutplan::assembly::{JointKind, RunAssembly};
use cutplan::{CutPlace, CutPlan, ItemShape, Reserve};
use geom::{Centreline, Frame, Vec3, rotate_about, signed_angle};
use job::routes::{Route, RunId};

use crate::chain::{Chain, Laid, Slot, figure};

/// What an end of a piece is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// A cut across a leg or a straight.
    Leg,
    /// A cut across an arc.
    Arc,
    /// The mill end of a bought bend.
    Mill,
}

/// Share of its overlap by which a slip joint slides either way. An assumption: its socket is that much deeper.
const SLIDES: f64 = 0.25;

/// What joins a piece to the one before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Joining {
    /// A weld; the first piece to its flange or outlet too.
    Weld,
    /// A slip joint: the piece before goes on inside this one.
    Slip {
        /// How far, mm.
        overlap: f64,
    },
    /// A coupling, welded to the piece on either side.
    Coupling {
        /// Whether it turns until it is closed.
        turns: bool,
    },
}

impl Joining {
    /// Whether the two pieces can be turned against each other whatever is welded.
    pub fn turns(self) -> bool {
        matches!(self, Joining::Slip { .. } | Joining::Coupling { turns: true })
    }

    /// How far it slides either way, mm.
    pub fn slides(self) -> f64 {
        if let Joining::Slip { overlap } = self { SLIDES * overlap } else { 0.0 }
    }
}

/// A piece of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its mark.
    pub mark: String,
    /// Name of the joint before it.
    pub joint: String,
    /// What that joint is.
    pub joining: Joining,
    /// Index of its item in the plan.
    pub item: usize,
    /// Centreline radius, mm; 0 of a straight.
    pub clr: f64,
    /// Ends upstream and downstream.
    pub ends: [End; 2],
    /// Whether it has the whole arc of its item.
    pub whole: bool,
    /// What it has more on its item than drawn.
    pub reserve: Reserve,
    /// From `up` at its downstream end to the reference line there, rad about the flow.
    pub line: f64,
    /// From `up` at its two ends to the lines between which chords are measured, rad about the flow.
    pub sides: [f64; 2],
}

impl Part {
    /// Whether it holds an arc.
    pub fn is_bend(&self) -> bool {
        self.clr > 0.0
    }
}

/// A run as a chain.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// The run.
    pub id: RunId,
    /// The chain.
    pub chain: Chain,
    /// The figures as drawn.
    pub drawn: Vec<f64>,
    /// Its pieces along the flow.
    pub parts: Vec<Part>,
    /// Outside diameter of its tube, mm.
    pub od: f64,
    /// Wall of its tube, mm.
    pub wall: f64,
    /// The collector and inlet it enters; `None` for a free end.
    pub inlet: Option<(String, usize)>,
    /// Name of the joint at its end.
    pub closing: String,
    /// Whether its end slides into the collector.
    pub slides_in: bool,
    /// Length of the route from where its first piece starts, mm.
    pub length: f64,
}

impl Run {
    /// The run of a route with its pieces; `None` when the route is not a valid tube or has no pieces.
    pub fn of(route: &Route, assembly: &RunAssembly, plan: &CutPlan, seat: f64) -> Option<Run> {
        let line = route.centreline().ok()?;
        let pieces: Vec<&cutplan::Piece> = assembly.pieces.iter().map(|&k| &plan.pieces[k]).collect();
        if pieces.is_empty() {
            return None;
        }
        let chain = Chain { start: start(&line, seat), inlet: line.end(), links: pieces.len() };
        let mut run = Run {
            id: route.run.clone(),
            chain,
            drawn: figures(&chain, &pieces, assembly, plan),
            parts: (0..pieces.len()).map(|k| part(&pieces, k, assembly, plan)).collect(),
            od: assembly.tube.od,
            wall: assembly.tube.wall,
            inlet: (!route.collector.is_empty()).then(|| (route.collector.clone(), route.inlet)),
            closing: assembly.joints.last().map(|j| j.name.clone()).unwrap_or_default(),
            slides_in: assembly.joints.last().is_some_and(|j| j.kind == JointKind::Slip),
            length: line.length() - seat,
        };
        run.draw_lines(assembly);
        Some(run)
    }

    /// Where its pieces lie as drawn.
    pub fn laid(&self) -> Laid {
        self.chain.lay(&self.drawn)
    }

    /// How far the chain's end is from the end of the route, mm.
    pub fn gap_to_route(&self) -> f64 {
        (self.laid().end().origin - self.chain.inlet.origin).length()
    }

    /// The drawn value of a figure of a piece.
    pub fn figure(&self, link: usize, slot: Slot) -> f64 {
        self.drawn[figure(link, slot)]
    }

    /// Index of the piece with a mark.
    pub fn piece(&self, mark: &str) -> Option<usize> {
        self.parts.iter().position(|p| p.mark == mark)
    }

    /// Index of the piece behind the joint of that name.
    pub fn joint(&self, name: &str) -> Option<usize> {
        self.parts.iter().position(|p| p.joint == name)
    }

    /// The piece before `link` that holds an arc.
    pub fn bend_before(&self, link: usize) -> Option<usize> {
        self.parts[..link].iter().rposition(Part::is_bend)
    }

    /// Reference lines and the sides of chords, from the drawing: they turn with the piece.
    fn draw_lines(&mut self, assembly: &RunAssembly) {
        let laid = self.laid();
        let count = self.parts.len();
        for k in 0..count {
            let exit = laid.exit[k];
            self.parts[k].line = signed_angle(exit.up, assembly.joints[k + 1].reference, exit.forward);
            let before = self.bend_before(k);
            let next = self.parts[k..].iter().position(Part::is_bend);
            // A bend: its outside. A straight: the outside of the bend upstream carried along, else of the next one.
            self.parts[k].sides = if self.parts[k].is_bend() || before.is_some() {
                let carried = |frame: &Frame| {
                    let outside = self.parts[k].is_bend().then_some(-frame.up);
                    let reference = assembly.joints[k].reference;
                    signed_angle(frame.up, outside.unwrap_or(reference), frame.forward)
                };
                [carried(&laid.entry[k]), carried(&laid.exit[k])]
            } else {
                let towards = next.map_or(assembly.joints[k].reference, |n| -laid.entry[k + n].up);
                [&laid.entry[k], &exit].map(|f| signed_angle(f.up, towards, f.forward))
            };
        }
    }
}

/// A direction across a frame at an angle from its `up`.
pub fn across(frame: &Frame, angle: f64) -> Vec3 {
    rotate_about(frame.up, frame.forward, angle)
}

/// The start, `up` being the inward side of the first bend as it lies at the start.
fn start(line: &Centreline, seat: f64) -> Frame {
    let at = line.at(seat);
    let inward = line.bends().next().map(|b| b.arc.inward);
    match inward.and_then(|up| Frame::new(at.origin, at.forward, up)) {
        Some(frame) => frame,
        None => at,
    }
}

fn figures(chain: &Chain, pieces: &[&cutplan::Piece], assembly: &RunAssembly, plan: &CutPlan) -> Vec<f64> {
    let mut figures = vec![0.0; chain.figures()];
    let mut clocking: Option<f64> = None;
    for (k, piece) in pieces.iter().enumerate() {
        figures[figure(k, Slot::LegIn)] = piece.leg_in;
        // Pieces in a slip joint overlap, those beside a coupling stand apart.
        if matches!(assembly.joints[k].kind, JointKind::Sliding | JointKind::Coupled { .. }) {
            figures[figure(k, Slot::Shift)] = piece.from - pieces[k - 1].to;
        }
        if piece.angle <= 0.0 {
            continue;
        }
        figures[figure(k, Slot::Clr)] = clr(plan, piece);
        figures[figure(k, Slot::Angle)] = piece.angle;
        figures[figure(k, Slot::LegOut)] = piece.leg_out;
        figures[figure(k, Slot::Roll)] = clocking.unwrap_or(0.0);
        clocking = piece.clocking.as_ref().map(|c| c.angle);
    }
    figures
}

fn clr(plan: &CutPlan, piece: &cutplan::Piece) -> f64 {
    match plan.items[piece.item].shape {
        ItemShape::Bend { clr, .. } => clr,
        ItemShape::Straight { .. } => 0.0,
    }
}

fn part(pieces: &[&cutplan::Piece], k: usize, assembly: &RunAssembly, plan: &CutPlan) -> Part {
    let (piece, joint) = (pieces[k], &assembly.joints[k]);
    let shape = plan.items[piece.item].shape;
    // An end that is trimmed is a cut, wherever the saw went before.
    let reserved = piece.reserve_at(&shape);
    let bend = piece.angle > 0.0;
    let end = |upstream: bool| {
        let Some(k) = piece.cuts.iter().position(|c| c.upstream == upstream) else { return End::Leg };
        let trimmed = reserved.iter().any(|r| (r[k] - piece.at[k]).abs() < 1e-9);
        let leg = if upstream { piece.leg_in } else { piece.leg_out };
        match piece.cuts[k] {
            cut if cut.mill_end && !trimmed => End::Mill,
            _ if trimmed && bend && leg <= 1e-3 => End::Arc,
            _ if trimmed => End::Leg,
            cut if matches!(cut.place, CutPlace::Arc { .. }) => End::Arc,
            _ => End::Leg,
        }
    };
    let whole = match shape {
        ItemShape::Bend { angle, .. } => bend && (angle - piece.angle).abs() < 1e-6,
        ItemShape::Straight { .. } => false,
    };
    Part {
        mark: piece.mark.clone(),
        joint: joint.name.clone(),
        joining: match joint.kind {
            JointKind::Sliding => Joining::Slip { overlap: pieces[k - 1].to - piece.from },
            JointKind::Coupled { turns } => Joining::Coupling { turns },
            _ => Joining::Weld,
        },
        item: piece.item,
        clr: if bend { clr(plan, piece) } else { 0.0 },
        ends: [end(true), end(false)],
        whole,
        reserve: piece.reserve,
        line: 0.0,
        sides: [0.0; 2],
    }
}
