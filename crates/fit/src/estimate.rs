//! The most probable errors of what is built, from its readings; which single error or reading does not fit the rest.
//!
//! Bayesian least squares: the prior is the sources' spread, a reading's equation has the reading's spread. Gauss-Newton from
//! the drawing, solved in the space of the readings: x = P H' S^-1 nu with S = H P H' + R (Tarantola 2005, from memory). From
//! the drawing on it finds the right one of the two mirrored places of three distances.
//!
//! Data snooping (Baarda 1968, from memory): freeing one error with column h lowers chi2 by (h' S^-1 nu)^2 / (h' S^-1 h). The
//! largest fall is named when it is above [`FLAG`], the error is freed and all is solved again. A reading that stays four
//! standard deviations off, and whose own fall is larger than that of every error, contradicts the others and is left out.
//! An inlet that is found far from where it was drawn is no error of making: it is believed.

use crate::chain::{Laid, Slot, figure};
use crate::forecast::{Figure, made_figures};
use crate::linear::{Cholesky, Matrix, dot};
use crate::random::Normals;
use crate::reading::Reading;
use crate::run::Run;
use crate::shop::Source;
use crate::sources::{Place, Term, one_leg, with_errors};

/// Fall of chi2 above which an error is named: 3.2 standard deviations, one chance in 600 of one error and with some twenty
/// candidates a run about one clean build in 30 by that alone. Readings at every joint leave less: 2 of 360 clean builds were
/// accused, and 162 of 168 gross errors named first (held by tests). Half of it would accuse every tenth build.
pub const FLAG: f64 = 10.0;
/// Fall of chi2 above which a reading contradicts the others: four standard deviations.
const CONTRADICTS: f64 = 16.0;
/// How much more a reading must explain than an error of making does before it is left out.
const RATHER_READING: f64 = 1.1;
/// Share of the first suspect's fall from which on the second is named too: the two can hardly be told apart.
const ALIKE: f64 = 0.5;
/// Most errors that are freed, and most readings that are left out.
const MOST_FREED: usize = 3;
/// Most rounds; four do in nearly all builds.
const ROUNDS: usize = 15;
/// A free error's spread, mm and rad: far beyond any that is made, and not so far that digits are lost.
const FREE: [f64; 2] = [200.0, 1.0];

/// An error that stands out.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// What is off.
    pub what: Figure,
    /// The piece, or the joint before it.
    pub link: usize,
    /// By how much, mm or rad.
    pub off: f64,
    /// Standard deviation of that, mm or rad.
    pub sd: f64,
    /// By how much chi2 falls with it.
    pub fall: f64,
}

/// A reading that the others contradict.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fault {
    /// Index of the reading.
    pub reading: usize,
    /// How far off it is, in standard deviations.
    pub deviations: f64,
}

/// Where a build is, as far as its readings say.
#[derive(Debug, Clone)]
pub struct Estimate {
    /// The figures with the most probable errors.
    pub figures: Vec<f64>,
    /// Errors that stand out, the first one first; empty when nothing does.
    pub suspects: Vec<Suspect>,
    /// Readings that were left out.
    pub contradicting: Vec<Fault>,
    solved: Solved,
}

/// The solution with some readings and errors.
#[derive(Debug, Clone)]
struct Solved {
    terms: Vec<Term>,
    errors: Vec<f64>,
    figures: Vec<f64>,
    /// Rows of the readings over the figures.
    slopes: Vec<Vec<f64>>,
    /// Rows over the terms.
    h: Matrix,
    /// Standard deviation and reading of each row.
    sds: Vec<f64>,
    owners: Vec<usize>,
    /// S^-1 nu.
    weighted: Vec<f64>,
    chi2: f64,
    inverse: Option<Cholesky>,
}

/// The most probable state of a build.
///
/// `planned` are the figures that it was to have, `terms` what may be off of what is built.
pub fn estimate(run: &Run, planned: &[f64], terms: &[Term], built: usize, readings: &[Reading]) -> Estimate {
    let mut used: Vec<usize> = (0..readings.len()).collect();
    let mut terms = terms.to_vec();
    let mut suspects: Vec<Suspect> = Vec::new();
    let mut contradicting = Vec::new();
    let mut freed = 0;
    let mut solved = solve(run, planned, &terms, readings, &used);
    for _ in 0..MOST_FREED {
        if believe_inlet(&mut terms, &solved) {
            solved = solve(run, planned, &terms, readings, &used);
        }
        let falls = falls(run, &solved, built);
        let worst = worst_row(&solved, readings);
        let first = falls.first().filter(|f| f.fall > FLAG);
        let most = falls.first().map_or(0.0, |f| f.fall);
        if let Some((reading, fall)) = worst.filter(|w| w.1 > CONTRADICTS && w.1 > RATHER_READING * most) {
            used.retain(|r| *r != reading);
            contradicting.push(Fault { reading, deviations: fall.sqrt() });
        } else if let Some(first) = first {
            let named = name(run, planned, (&terms, readings, &used), &falls, suspects.is_empty());
            terms.push(first.term());
            // One that stands out behind the first goes before those that only look like the first.
            suspects.truncate(freed);
            suspects.extend(named);
            freed += 1;
        } else {
            break;
        }
        solved = solve(run, planned, &terms, readings, &used);
    }
    Estimate { figures: solved.figures.clone(), suspects, contradicting, solved }
}

/// The first suspect and, when it can hardly be told from it, the second.
fn name(
    run: &Run,
    planned: &[f64],
    (terms, readings, used): (&[Term], &[Reading], &[usize]),
    falls: &[Fall],
    both: bool,
) -> Vec<Suspect> {
    let alike = |f: &&Fall| f.fall > FLAG || f.fall > ALIKE * falls[0].fall;
    let count = if both { 2 } else { 1 };
    falls
        .iter()
        .take(count)
        .filter(alike)
        .map(|fall| {
            let freed: Vec<Term> = terms.iter().cloned().chain([fall.term()]).collect();
            let solved = solve(run, planned, &freed, readings, used);
            let last = freed.len() - 1;
            let sd = solved.variance(&unit(freed.len(), last)).max(0.0).sqrt();
            Suspect { what: fall.what, link: fall.link, off: solved.errors[last], sd, fall: fall.fall }
        })
        .collect()
}

fn unit(count: usize, at: usize) -> Vec<f64> {
    (0..count).map(|i| if i == at { 1.0 } else { 0.0 }).collect()
}

/// What freeing one error would explain.
#[derive(Debug, Clone)]
struct Fall {
    what: Figure,
    link: usize,
    effects: Vec<(usize, f64)>,
    fall: f64,
}

impl Fall {
    /// The error, free.
    fn term(&self) -> Term {
        let sd = FREE[usize::from(self.what.is_angle())];
        let (source, place) = match self.what {
            Figure::Clocking => (Source::Clocking, Place::Joint(self.link)),
            Figure::TangentLine => (Source::TangentLine, Place::Piece(self.link)),
            _ => (Source::Cut, Place::Piece(self.link)),
        };
        Term { source, place, mean: 0.0, sd, effects: self.effects.clone() }
    }
}

/// What each single error would explain, the most first; of those that explain the same, straights and the joints of bends
/// come first.
fn falls(run: &Run, solved: &Solved, built: usize) -> Vec<Fall> {
    let Some(inverse) = &solved.inverse else { return Vec::new() };
    let made = made_figures(run).into_iter().filter(|(_, link, _)| *link < built);
    let mut candidates: Vec<_> = made.map(|(what, link, index)| (what, link, vec![(index, 1.0)])).collect();
    for k in 0..built {
        if let Some(leg) = one_leg(run, k) {
            let outside = run.parts[k].clr + 0.5 * run.od;
            candidates.push((Figure::TangentLine, k, vec![(leg, 1.0), (figure(k, Slot::Angle), -1.0 / outside)]));
        }
    }
    let mut falls: Vec<Fall> = candidates
        .into_iter()
        .filter_map(|(what, link, effects)| {
            let column: Vec<f64> =
                solved.slopes.iter().map(|row| effects.iter().map(|(i, f)| row[*i] * f).sum()).collect();
            let seen = dot(&column, &inverse.solve(&column));
            let unit: f64 = FREE[usize::from(what.is_angle())];
            // Not seen by any reading: freeing it by all it can be off changes chi2 by less than a hair.
            (seen * unit * unit > 1e-6).then(|| {
                let fall = dot(&column, &solved.weighted).powi(2) / seen;
                Fall { what, link, effects, fall }
            })
        })
        .collect();
    let order = |f: &Fall| {
        let straight_joint = f.what == Figure::Clocking && !run.parts[f.link].is_bend();
        (straight_joint, f.what)
    };
    let coarse = |f: &Fall| (f.fall.max(1e-9).ln() * 200.0).round();
    falls.sort_by(|a, b| coarse(b).total_cmp(&coarse(a)).then(order(a).cmp(&order(b))).then(a.link.cmp(&b.link)));
    falls
}

/// The reading with the row that would explain the most if it were left out, of those that stay far off, and how much.
fn worst_row(solved: &Solved, readings: &[Reading]) -> Option<(usize, f64)> {
    let inverse = solved.inverse.as_ref()?;
    let count = solved.weighted.len();
    let fall = |i: usize| {
        let seen = inverse.solve(&unit(count, i))[i];
        if seen > 0.0 { solved.weighted[i].powi(2) / seen } else { 0.0 }
    };
    // What is left of a row after the estimate is its variance times S^-1 nu.
    let far = |i: &usize| (solved.weighted[*i] * solved.sds[*i]).powi(2) > CONTRADICTS;
    let on_build = |i: &usize| !readings[solved.owners[*i]].is_of_inlet();
    let rows = (0..count).filter(far).filter(on_build).map(|i| (solved.owners[i], fall(i)));
    rows.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Frees the inlet's errors when one of them is far beyond what was expected of it; whether it did.
fn believe_inlet(terms: &mut [Term], solved: &Solved) -> bool {
    let far = |(t, e): (&Term, &f64)| t.place == Place::Inlet && (e / t.sd).powi(2) > FLAG;
    if !terms.iter().zip(&solved.errors).any(far) {
        return false;
    }
    for term in terms.iter_mut().filter(|t| t.place == Place::Inlet) {
        term.sd = FREE[usize::from(term.source == Source::InletAngle)];
    }
    true
}

fn solve(run: &Run, planned: &[f64], terms: &[Term], readings: &[Reading], used: &[usize]) -> Solved {
    let mut errors = vec![0.0; terms.len()];
    let mut last = None;
    for _ in 0..ROUNDS {
        let figures = with_errors(planned, terms, &errors);
        let mut solved = linearised(run, terms, readings, used, figures);
        let innovation: Vec<f64> = {
            let predicted = solved.h.times(&errors);
            solved.weighted.iter().zip(&predicted).map(|(off, p)| off + p).collect()
        };
        let Some(inverse) = Cholesky::of(&solved.spread()) else { break };
        solved.weighted = inverse.solve(&innovation);
        solved.chi2 = dot(&solved.weighted, &innovation);
        solved.inverse = Some(inverse);
        let pulled = solved.h.transposed_times(&solved.weighted);
        let next: Vec<f64> = pulled.iter().zip(terms).map(|(p, t)| t.sd * t.sd * p).collect();
        let moved = |((a, b), t): ((&f64, &f64), &Term)| if t.sd > 0.0 { (a - b).abs() / t.sd } else { 0.0 };
        let change = next.iter().zip(&errors).zip(terms).map(moved).fold(0.0, f64::max);
        errors = next;
        solved.figures = with_errors(planned, terms, &errors);
        solved.errors.clone_from(&errors);
        last = Some(solved);
        if change < 1e-10 {
            break;
        }
    }
    last.unwrap_or_else(|| {
        let mut none = linearised(run, terms, &[], &[], planned.to_vec());
        none.errors = vec![0.0; terms.len()];
        none
    })
}

/// The equations of the readings about some figures; `weighted` holds what they are off by.
fn linearised(run: &Run, terms: &[Term], readings: &[Reading], used: &[usize], figures: Vec<f64>) -> Solved {
    let laid: Laid = run.chain.lay(&figures);
    let (mut slopes, mut offs, mut sds, mut owners) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for &r in used {
        for row in readings[r].rows(run, &figures, &laid) {
            slopes.push(row.slope);
            offs.push(row.off);
            sds.push(readings[r].sd);
            owners.push(r);
        }
    }
    let mut h = Matrix::zeros(slopes.len(), terms.len());
    for (i, row) in slopes.iter().enumerate() {
        for (value, term) in h.row_mut(i).iter_mut().zip(terms) {
            *value = term.effects.iter().map(|(index, factor)| row[*index] * factor).sum();
        }
    }
    Solved {
        terms: terms.to_vec(),
        errors: Vec::new(),
        figures,
        slopes,
        h,
        sds,
        owners,
        weighted: offs,
        chi2: 0.0,
        inverse: None,
    }
}

impl Solved {
    /// S = H P H' + R.
    fn spread(&self) -> Matrix {
        let rows = self.h.rows;
        let mut spread = Matrix::zeros(rows, rows);
        for i in 0..rows {
            let scaled: Vec<f64> = self.h.row(i).iter().zip(&self.terms).map(|(v, t)| v * t.sd * t.sd).collect();
            for j in 0..rows {
                *spread.at_mut(i, j) = dot(&scaled, self.h.row(j));
            }
            *spread.at_mut(i, i) += self.sds[i] * self.sds[i];
        }
        spread
    }

    /// Posterior variance of a sum of the errors.
    fn variance(&self, sum: &[f64]) -> f64 {
        let prior: f64 = sum.iter().zip(&self.terms).map(|(s, t)| (s * t.sd).powi(2)).sum();
        let scaled: Vec<f64> = sum.iter().zip(&self.terms).map(|(s, t)| s * t.sd * t.sd).collect();
        let seen = self.h.times(&scaled);
        match &self.inverse {
            Some(inverse) if !seen.is_empty() => prior - dot(&seen, &inverse.solve(&seen)),
            _ => prior,
        }
    }
}

impl Estimate {
    /// Sum of squared deviations of readings and errors together.
    pub fn chi2(&self) -> f64 {
        self.solved.chi2
    }

    /// Mean and variance of each error as the readings leave it, in the order of the terms.
    pub(crate) fn posterior(&self) -> Vec<(f64, f64)> {
        let count = self.solved.terms.len();
        let variance = |i: usize| self.solved.variance(&unit(count, i)).max(0.0);
        self.solved.errors.iter().enumerate().map(|(i, e)| (*e, variance(i))).collect()
    }

    /// Standard deviations of the place at the downstream end of a piece in x, y, z, mm.
    pub fn place_sd(&self, run: &Run, link: usize) -> [f64; 3] {
        let laid = run.chain.lay(&self.figures);
        let point = laid.exit[link].origin;
        [0, 1, 2].map(|axis| {
            let moves = |index: usize| {
                if Laid::moves_exit(index, link) { laid.twists[index].moves(point)[axis] } else { 0.0 }
            };
            let of = |t: &Term| t.effects.iter().map(|(index, factor)| moves(*index) * factor).sum();
            let sum: Vec<f64> = self.solved.terms.iter().map(of).collect();
            self.solved.variance(&sum).max(0.0).sqrt()
        })
    }

    /// Figures of one build that the readings allow, drawn at random (Matheron's rule: a draw of the prior, moved by what its
    /// own readings, with their noise, would say).
    pub(crate) fn draw(&self, planned: &[f64], normals: &mut Normals) -> Vec<f64> {
        let solved = &self.solved;
        let mut errors: Vec<f64> = solved.terms.iter().map(|t| t.sd * normals.next()).collect();
        let mut read = solved.h.times(&errors);
        read.iter_mut().zip(&solved.sds).for_each(|(r, sd)| *r += sd * normals.next());
        if let Some(inverse) = solved.inverse.as_ref().filter(|_| !read.is_empty()) {
            let pulled = solved.h.transposed_times(&inverse.solve(&read));
            for ((error, p), term) in errors.iter_mut().zip(pulled).zip(&solved.terms) {
                *error -= term.sd * term.sd * p;
            }
        }
        errors.iter_mut().zip(&solved.errors).for_each(|(e, known)| *e += known);
        with_errors(planned, &solved.terms, &errors)
    }
}
