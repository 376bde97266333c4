//! Before the saw: how far off the end will be, what causes it, and what each joint and piece is worth.
//!
//! First order: the covariance of the end against its inlet is the sum over all errors of sd^2 c c', c being how the end
//! moves with the error. Mean and spread are first order; chances are counted on exact builds.

use crate::builds::{BUILDS, Builds, Chance, Limit, SEED};
use crate::chain::{Laid, Miss, Slot, figure};
use crate::run::Run;
use crate::shop::{Shop, Source};
use crate::sources::{Term, terms};

/// What a change by one unit does at the end.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivity {
    /// What is changed.
    pub what: Figure,
    /// The piece, or the joint before it.
    pub link: usize,
    /// How far the end moves, mm, for one degree or one millimetre.
    pub moves: f64,
    /// How far it turns, rad, for one degree or one millimetre.
    pub turns: f64,
}

/// A figure of a run that a person makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Figure {
    /// Clocking of a joint.
    Clocking,
    /// Length of a straight.
    Length,
    /// Angle of a bend.
    Angle,
    /// Leg before the arc.
    LegIn,
    /// Leg behind the arc.
    LegOut,
    /// Where the tangent line is marked.
    TangentLine,
}

impl Figure {
    /// Its word in answers.
    pub fn word(self) -> &'static str {
        match self {
            Figure::Clocking => "clocking",
            Figure::Length => "length",
            Figure::Angle => "angle",
            Figure::LegIn => "leg in",
            Figure::LegOut => "leg out",
            Figure::TangentLine => "tangent line",
        }
    }

    /// Whether it is an angle, else a length.
    pub fn is_angle(self) -> bool {
        matches!(self, Figure::Clocking | Figure::Angle)
    }
}

/// What is to be expected of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// Mean miss along the inlet's axis, mm.
    pub mean_along: f64,
    /// Standard deviation along it, mm.
    pub sd_along: f64,
    /// Standard deviation across it, both directions together, mm.
    pub sd_across: f64,
    /// Standard deviation of the direction, both parts together, rad.
    pub sd_direction: f64,
    /// Standard deviation of the length, mm.
    pub sd_length: f64,
    /// Chance to go in when it is butted.
    pub goes_in: Chance,
    /// Chance to go in when it may slide along the inlet.
    pub goes_in_along_free: Chance,
    /// Share of each source in the variance of the place, the largest first.
    pub sources: Vec<(Source, f64)>,
    /// What one degree or one millimetre does, joint by joint and piece by piece.
    pub sensitivity: Vec<Sensitivity>,
}

impl Forecast {
    /// Standard deviation of the place, all three directions together, mm.
    pub fn sd_place(&self) -> f64 {
        self.sd_along.hypot(self.sd_across)
    }
}

/// The forecast of a run made as drawn.
pub fn forecast(run: &Run, shop: &Shop, limit: Limit) -> Forecast {
    let terms = terms(run, shop);
    let laid = run.laid();
    let columns = columns(&laid, &terms);
    let variance = |part: usize| -> f64 { columns.iter().zip(&terms).map(|(c, t)| (t.sd * c[part]).powi(2)).sum() };
    let builds = Builds::of(run, &run.drawn, &terms, BUILDS, SEED);
    Forecast {
        mean_along: columns.iter().zip(&terms).map(|(c, t)| t.mean * c[0]).sum(),
        sd_along: variance(0).sqrt(),
        sd_across: (variance(1) + variance(2)).sqrt(),
        sd_direction: (variance(3) + variance(4)).sqrt(),
        sd_length: length_sd(run, &terms),
        goes_in: builds.chance(|m| limit.butted().holds(m)),
        goes_in_along_free: builds.chance(|m| limit.sliding(f64::INFINITY).holds(m)),
        sources: shares(&columns, &terms),
        sensitivity: sensitivity(run, &laid),
    }
}

/// Spread of the place at the downstream end of each piece when all is made as drawn: one standard deviation in the direction
/// in which it is largest of x, y and z, mm.
pub fn joint_spread(run: &Run, shop: &Shop) -> Vec<f64> {
    let laid = run.laid();
    let terms = terms(run, shop);
    let spread = |link: usize| {
        let point = laid.exit[link].origin;
        let moves = |index: usize| {
            if Laid::moves_exit(index, link) { laid.twists[index].moves(point) } else { geom::Vec3::ZERO }
        };
        let of = |t: &Term| t.effects.iter().fold(geom::Vec3::ZERO, |sum, (index, f)| sum + moves(*index) * *f) * t.sd;
        let variance = terms.iter().map(of).fold(geom::Vec3::ZERO, |sum, m| sum + m * m);
        variance.max_element().sqrt()
    };
    (0..run.parts.len()).map(spread).collect()
}

/// How the miss at the inlet changes with each error, for each unit of it.
pub fn columns(laid: &Laid, terms: &[Term]) -> Vec<[f64; 5]> {
    let slopes: Vec<[f64; 5]> = (0..laid.twists.len()).map(|i| Miss::slope(laid, i)).collect();
    terms
        .iter()
        .map(|term| {
            let mut column = [0.0; 5];
            for (index, factor) in &term.effects {
                column.iter_mut().zip(slopes[*index]).for_each(|(c, s)| *c += factor * s);
            }
            column
        })
        .collect()
}

fn shares(columns: &[[f64; 5]], terms: &[Term]) -> Vec<(Source, f64)> {
    let place = |c: &[f64; 5]| c[..3].iter().map(|v| v * v).sum::<f64>();
    let total: f64 = columns.iter().zip(terms).map(|(c, t)| t.sd * t.sd * place(c)).sum();
    let mut shares: Vec<(Source, f64)> = Source::ALL
        .into_iter()
        .map(|source| {
            let of = columns.iter().zip(terms).filter(|(_, t)| t.source == source);
            let sum: f64 = of.map(|(c, t)| t.sd * t.sd * place(c)).sum();
            (source, if total > 0.0 { sum / total } else { 0.0 })
        })
        .filter(|(_, share)| *share > 0.0)
        .collect();
    shares.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    shares
}

fn length_sd(run: &Run, terms: &[Term]) -> f64 {
    let slope = |(index, factor): &(usize, f64)| factor * run.chain.length_slope(&run.drawn, *index);
    let of = |term: &Term| (term.sd * term.effects.iter().map(slope).sum::<f64>()).powi(2);
    terms.iter().map(of).sum::<f64>().sqrt()
}

/// The figures of a run that a person makes: kind, piece (or the joint before it), index and unit of one degree or 1 mm.
pub fn made_figures(run: &Run) -> Vec<(Figure, usize, usize)> {
    let mut out = Vec::new();
    for (k, part) in run.parts.iter().enumerate() {
        out.push((Figure::Clocking, k, figure(k, Slot::Roll)));
        if part.is_bend() {
            out.push((Figure::Angle, k, figure(k, Slot::Angle)));
            for (what, slot) in [(Figure::LegIn, Slot::LegIn), (Figure::LegOut, Slot::LegOut)] {
                if run.figure(k, slot) > 1e-3 {
                    out.push((what, k, figure(k, slot)));
                }
            }
        } else {
            out.push((Figure::Length, k, figure(k, Slot::LegIn)));
        }
    }
    out
}

fn sensitivity(run: &Run, laid: &Laid) -> Vec<Sensitivity> {
    made_figures(run)
        .into_iter()
        .map(|(what, link, index)| {
            let unit = if what.is_angle() { 1f64.to_radians() } else { 1.0 };
            let slope = Miss::slope(laid, index).map(|s| s * unit);
            let norm = |parts: &[f64]| parts.iter().map(|v| v * v).sum::<f64>().sqrt();
            Sensitivity { what, link, moves: norm(&slope[..3]), turns: norm(&slope[3..]) }
        })
        .collect()
}
