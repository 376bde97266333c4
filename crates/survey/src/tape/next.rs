//! The next measurement that helps most: a rank-one update of the covariance for every distance not yet read.

use glam::DVec3;

use super::network::{Reading, ReadingKind};
use crate::matrix::Symmetric;

/// A proposed distance.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// Between these points.
    pub between: [usize; 2],
    /// The point that it is for.
    pub point: usize,
    /// Standard deviation of that point now, mm: the square root of the sum of its three variances.
    pub sd_before: f64,
    /// The same afterwards.
    pub sd_after: f64,
    /// Whether it decides between two answers.
    pub settles: bool,
}

/// Distances that are worth proposing, mm: shorter ones are for a rule, longer ones sag.
const RANGE: [f64; 2] = [60.0, 1500.0];

/// What a proposal is chosen from.
pub struct Candidates<'a> {
    /// Places in the job's axes, mm.
    pub at: &'a [DVec3],
    /// Covariance in the job's axes, mm².
    pub covariance: Symmetric,
    /// The points that may be measured to.
    pub open: Vec<usize>,
    /// What was read already.
    pub readings: &'a [Reading],
    /// Standard deviation of a tape, mm.
    pub sd: f64,
}

impl Candidates<'_> {
    fn pairs(&self) -> Vec<[usize; 2]> {
        let read = |a: usize, b: usize| {
            self.readings.iter().any(|r| matches!(r.kind, ReadingKind::Distance(p) if p == [a, b] || p == [b, a]))
        };
        let far = |a: usize, b: usize| (RANGE[0]..RANGE[1]).contains(&self.at[a].distance(self.at[b]));
        let all = self.open.iter().enumerate().flat_map(|(i, a)| self.open[..i].iter().map(|b| [*b, *a]));
        all.filter(|[a, b]| far(*a, *b) && !read(*a, *b)).collect()
    }

    fn variance(&self, p: usize) -> f64 {
        (0..3).map(|c| self.covariance.at(3 * p + c, 3 * p + c)).sum::<f64>().max(0.0)
    }

    /// The column of the update and its divisor: the new covariance is C - g gᵀ / d.
    fn update(&self, [a, b]: [usize; 2]) -> (Vec<f64>, f64) {
        let row = Reading { kind: ReadingKind::Distance([a, b]), value: 0.0, sd: self.sd }.derivatives(self.at);
        let g = self.covariance.times_sparse(&row);
        let d = self.sd * self.sd + row.iter().map(|(i, v)| v * g[*i]).sum::<f64>();
        (g, d)
    }

    fn variance_after(&self, p: usize, (g, d): &(Vec<f64>, f64)) -> f64 {
        (self.variance(p) - (0..3).map(|c| g[3 * p + c].powi(2)).sum::<f64>() / d).max(0.0)
    }

    /// The `count` best distances, each on top of those before it; fewer when there is nothing left to gain.
    pub fn best(mut self, count: usize) -> Vec<Proposal> {
        let mut found = Vec::new();
        let mut pairs = self.pairs();
        for _ in 0..count {
            let worst = self.open.iter().copied().max_by(|a, b| self.variance(*a).total_cmp(&self.variance(*b)));
            let Some(point) = worst else { break };
            let before = self.variance(point);
            // Lowers the largest, and where several do the same, the sum of all.
            let after = |pair: &[usize; 2]| {
                let update = self.update(*pair);
                let all = self.open.iter().map(|p| self.variance_after(*p, &update));
                all.clone().fold(0.0, f64::max) + 1e-3 * all.sum::<f64>()
            };
            let rated = pairs.iter().map(|pair| (after(pair), *pair));
            let Some((_, between)) = rated.min_by(|a, b| a.0.total_cmp(&b.0)) else { break };
            let update = self.update(between);
            let sd_after = self.variance_after(point, &update).sqrt();
            if before.sqrt() - sd_after < 1e-3 {
                break;
            }
            found.push(Proposal { between, point, sd_before: before.sqrt(), sd_after, settles: false });
            let n = self.covariance.n;
            for i in 0..n {
                for j in 0..n {
                    self.covariance.a[i * n + j] -= update.0[i] * update.0[j] / update.1;
                }
            }
            pairs.retain(|p| *p != between);
        }
        found
    }

    /// The distance that decides best between the places here and those of a rival in which `points` lie elsewhere.
    pub fn deciding(&self, rival: &[DVec3], points: &[usize]) -> Option<Proposal> {
        let apart = |[a, b]: &[usize; 2]| (self.at[*a].distance(self.at[*b]) - rival[*a].distance(rival[*b])).abs();
        let pairs = self.pairs().into_iter().filter(|p| points.contains(&p[0]) != points.contains(&p[1]));
        let (gap, between) = pairs.map(|p| (apart(&p), p)).max_by(|a, b| a.0.total_cmp(&b.0))?;
        let point = if points.contains(&between[0]) { between[0] } else { between[1] };
        let sd_after = self.variance_after(point, &self.update(between)).sqrt();
        let sd_before = self.variance(point).sqrt();
        (gap > 4.0 * self.sd).then_some(Proposal { between, point, sd_before, sd_after, settles: true })
    }
}
