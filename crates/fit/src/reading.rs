//! What was measured of a build, and how it depends on the figures of the chain.

use geom::{Frame, Vec3, signed_angle};

use crate::chain::{Laid, Slot, figure};
use crate::run::{Run, across};

/// Where a reading was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// The downstream end of that piece.
    After(usize),
    /// The inlet.
    Inlet,
}

/// What was read. Lengths in mm, angles in rad, directions unit vectors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ReadingKind {
    /// The centre.
    Place(At, Vec3),
    /// Distance of the centre from a place.
    Distance(At, Vec3, f64),
    /// Direction of the flow.
    Direction(At, Vec3),
    /// A point on the axis.
    OnAxis(At, Vec3),
    /// From the centre to the reference line.
    Line(usize, Vec3),
    /// Clocking past its mark of the joint before that piece.
    Strip(usize, f64),
    /// Chord from the first piece's start to the last one's end: on the outside (1.0) or inside (-1.0).
    Chord(usize, usize, f64, f64),
}

/// A reading with its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// What was read.
    pub kind: ReadingKind,
    /// Standard deviation, mm or rad.
    pub sd: f64,
}

/// One equation: how far the reading is from what the figures give, and how that changes with them.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Reading less figure, mm or rad.
    pub off: f64,
    /// Change of the computed value for each unit of every figure.
    pub slope: Vec<f64>,
}

impl Reading {
    /// Whether it is of the inlet, not of what is built.
    pub fn is_of_inlet(&self) -> bool {
        match self.kind {
            ReadingKind::Place(at, _)
            | ReadingKind::Distance(at, ..)
            | ReadingKind::Direction(at, _)
            | ReadingKind::OnAxis(at, _) => at == At::Inlet,
            ReadingKind::Line(..) | ReadingKind::Strip(..) | ReadingKind::Chord(..) => false,
        }
    }

    /// Its equations for a chain as it lies.
    pub fn rows(&self, run: &Run, figures: &[f64], laid: &Laid) -> Vec<Row> {
        match self.kind {
            ReadingKind::Place(at, place) => {
                let origin = frame(laid, at).origin;
                rows(
                    laid,
                    &Vec3::AXES,
                    |axis| (place - origin).dot(axis),
                    |i, axis| moves(laid, at, i, origin).dot(axis),
                )
            }
            ReadingKind::Distance(at, from, is) => {
                let away = frame(laid, at).origin - from;
                let towards = away.normalize_or_zero();
                let origin = frame(laid, at).origin;
                rows(laid, &[towards], |_| is - away.length(), |i, to| moves(laid, at, i, origin).dot(to))
            }
            ReadingKind::Direction(at, axis) => {
                let f = frame(laid, at);
                rows(laid, &[f.up, f.right()], |side| axis.dot(side), |i, side| turns(laid, at, i, f.forward).dot(side))
            }
            ReadingKind::OnAxis(at, place) => {
                let f = frame(laid, at);
                let near = f.origin + f.forward * (place - f.origin).dot(f.forward);
                let off = place - near;
                rows(laid, &[f.up, f.right()], |side| off.dot(side), |i, side| moves(laid, at, i, near).dot(side))
            }
            ReadingKind::Line(link, towards) => {
                let f = laid.exit[link];
                let off = signed_angle(across(&f, run.parts[link].line), towards, f.forward);
                rows(laid, &[f.forward], |_| off, |i, flow| spins(laid, At::After(link), i).dot(flow))
            }
            ReadingKind::Strip(link, off) => {
                let index = figure(link, Slot::Roll);
                let is = figures[index] - run.drawn[index];
                rows(laid, &[Vec3::X], |_| off - is, |i, _| if i == index { 1.0 } else { 0.0 })
            }
            ReadingKind::Chord(first, last, side, is) => {
                let [a, b] = chord_ends(run, laid, first, last, side);
                let towards = (b - a).normalize_or_zero();
                let stretch = |i: usize, to: Vec3| {
                    let start = if Laid::moves_entry(i, first) { laid.twists[i].moves(a) } else { Vec3::ZERO };
                    (moves(laid, At::After(last), i, b) - start).dot(to)
                };
                rows(laid, &[towards], |_| is - (b - a).length(), stretch)
            }
        }
    }
}

/// The two places between which a chord is measured.
pub fn chord_ends(run: &Run, laid: &Laid, first: usize, last: usize, side: f64) -> [Vec3; 2] {
    let place = |f: &Frame, angle: f64| f.origin + across(f, angle) * (side * 0.5 * run.od);
    [place(&laid.entry[first], run.parts[first].sides[0]), place(&laid.exit[last], run.parts[last].sides[1])]
}

/// The frame at a place that is read.
pub fn frame(laid: &Laid, at: At) -> Frame {
    match at {
        At::After(link) => laid.exit[link],
        At::Inlet => laid.inlet,
    }
}

fn rows(laid: &Laid, directions: &[Vec3], off: impl Fn(Vec3) -> f64, slope: impl Fn(usize, Vec3) -> f64) -> Vec<Row> {
    let row = |direction: &Vec3| Row {
        off: off(*direction),
        slope: (0..laid.twists.len()).map(|i| slope(i, *direction)).collect(),
    };
    directions.iter().map(row).collect()
}

/// Whether a figure moves what is read there.
fn acts(at: At, index: usize) -> bool {
    match at {
        At::After(link) => Laid::moves_exit(index, link),
        At::Inlet => Laid::moves_inlet(index),
    }
}

fn moves(laid: &Laid, at: At, index: usize, point: Vec3) -> Vec3 {
    if acts(at, index) { laid.twists[index].moves(point) } else { Vec3::ZERO }
}

fn turns(laid: &Laid, at: At, index: usize, direction: Vec3) -> Vec3 {
    if acts(at, index) { laid.twists[index].turns(direction) } else { Vec3::ZERO }
}

fn spins(laid: &Laid, at: At, index: usize) -> Vec3 {
    if acts(at, index) { laid.twists[index].w } else { Vec3::ZERO }
}
