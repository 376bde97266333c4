//! What a shop's builds say of its errors: bias and spread of each source, over many builds.
//!
//! Empirical Bayes by expectation and maximisation (Dempster, Laird, Rubin 1977, from memory): every build is estimated with
//! the spreads found so far, then each source's bias is the mean of its errors and its variance the mean of their squares
//! about it and of what stays unknown of each. What readings do not see stays as it was assumed: how many errors were seen,
//! as the sum of 1 - variance afterwards / before, is said with each figure.

use crate::estimate::estimate;
use crate::reading::Reading;
use crate::run::Run;
use crate::shop::{Shop, Source};
use crate::sources::{Place, State, Term, built, built_terms, with_errors};

/// Rounds; the figures stand still to a hundredth after some twenty.
const ROUNDS: usize = 25;

/// Fewest errors seen for a figure to be given. An assumption: a spread from three is good to a factor of two.
const LEAST_SEEN: f64 = 3.0;

/// A build of one run.
#[derive(Debug, Clone, Copy)]
pub struct PoolRun<'a> {
    /// The run.
    pub run: &'a Run,
    /// The figures that it was to have.
    pub planned: &'a [f64],
    /// How far each piece has come.
    pub states: &'a [State],
    /// What was read.
    pub readings: &'a [Reading],
    /// The spreads that are assumed.
    pub shop: Shop,
    /// Names of the plan's items: bends of one name are of one supplier.
    pub items: &'a [String],
}

/// What was found of a source.
#[derive(Debug, Clone, PartialEq)]
pub struct Pooled {
    /// The source.
    pub source: Source,
    /// Of CLR: the bends it is of.
    pub item: Option<String>,
    /// Mean error, mm, rad or as a ratio; 0 of sources without a sign.
    pub bias: f64,
    /// Standard deviation.
    pub sd: f64,
    /// How many errors were seen.
    pub seen: f64,
}

/// The errors of one source so far.
struct Group {
    source: Source,
    item: Option<String>,
    bias: f64,
    sd: f64,
    seen: f64,
}

/// Whether a source has a sign that is the same for every piece.
fn signed(source: Source) -> bool {
    use Source::{BendAngle, Clocking, Clr, Cut, Leg, TangentLine};
    matches!(source, Cut | Clocking | BendAngle | Clr | TangentLine | Leg)
}

/// Bias and spread of each source over the builds of a shop, those of which enough was seen.
pub fn pool(runs: &[PoolRun<'_>]) -> Vec<Pooled> {
    let mut groups: Vec<Group> = Vec::new();
    let all: Vec<Vec<Term>> = runs.iter().map(|r| built_terms(r.run, &r.shop, r.states)).collect();
    let of: Vec<Vec<Option<usize>>> =
        runs.iter().zip(&all).map(|(r, terms)| terms.iter().map(|t| group_of(&mut groups, r, t)).collect()).collect();
    for _ in 0..ROUNDS {
        let mut found: Vec<Vec<[f64; 2]>> = vec![Vec::new(); groups.len()];
        for ((r, terms), of) in runs.iter().zip(&all).zip(&of) {
            let with = |t: &Term, g: &Option<usize>| Term { sd: g.map_or(t.sd, |g| groups[g].sd), ..t.clone() };
            let terms: Vec<Term> = terms.iter().zip(of).map(|(t, g)| with(t, g)).collect();
            let biases: Vec<f64> = of.iter().map(|g| g.map_or(0.0, |g| groups[g].bias)).collect();
            let planned = with_errors(r.planned, &terms, &biases);
            let after = estimate(r.run, &planned, &terms, built(r.states), r.readings).posterior();
            for ((mean, variance), g) in after.into_iter().zip(of) {
                if let Some(g) = *g {
                    found[g].push([groups[g].bias + mean, variance]);
                }
            }
        }
        groups.iter_mut().zip(&found).for_each(|(group, errors)| group.update(errors));
    }
    let shown = groups.into_iter().filter(|g| g.seen >= LEAST_SEEN);
    shown.map(|Group { source, item, bias, sd, seen }| Pooled { source, item, bias, sd, seen }).collect()
}

/// The group of an error; `None` of ports, inlets and what depends on the wall.
fn group_of(groups: &mut Vec<Group>, run: &PoolRun<'_>, term: &Term) -> Option<usize> {
    use Source::{Inlet, InletAngle, Port, PortAngle, Shrinkage};
    if matches!(term.source, Port | PortAngle | Inlet | InletAngle | Shrinkage) || term.sd <= 0.0 {
        return None;
    }
    let item = match term.place {
        Place::Item(k) => run.items.get(k).cloned(),
        _ => None,
    };
    let known = groups.iter().position(|g| g.source == term.source && g.item == item);
    Some(known.unwrap_or_else(|| {
        // A joint's faces and its pull come as one spread each: that of the first is as good a start as any.
        groups.push(Group { source: term.source, item, bias: 0.0, sd: term.sd, seen: 0.0 });
        groups.len() - 1
    }))
}

impl Group {
    fn update(&mut self, errors: &[[f64; 2]]) {
        let count = errors.len().max(1) as f64;
        let before = self.sd * self.sd;
        self.seen = errors.iter().map(|[_, variance]| (1.0 - variance / before).max(0.0)).sum();
        if signed(self.source) {
            self.bias = errors.iter().map(|[error, _]| error).sum::<f64>() / count;
        }
        let square = |[error, variance]: &[f64; 2]| (error - self.bias).powi(2) + variance;
        self.sd = (errors.iter().map(square).sum::<f64>() / count).sqrt();
    }
}
