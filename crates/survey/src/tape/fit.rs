//! Least squares of a network from given places: Levenberg-Marquardt on dense normal equations.

use glam::DVec3;

use super::network::{Derivatives, Network};
use crate::matrix::Symmetric;

/// Weight (1/mm²) that holds every coordinate where it is: a standard deviation of 1 m. It bears the motions that no
/// reading sees; a hundred times more would pull at weakly fixed points, a hundred times less costs digits.
pub const RIDGE: f64 = 1e-6;

/// How a fit weighs its readings.
#[derive(Debug, Clone, Copy)]
pub struct Weighing<'a> {
    /// Readings that count.
    pub used: &'a [bool],
    /// Scale of the Geman-McClure function in standard deviations; plain squares without.
    pub scale: Option<f64>,
}

impl Weighing<'_> {
    fn cost(&self, r: f64) -> f64 {
        self.scale.map_or(r * r, |k| r * r / (1.0 + r * r / (k * k)))
    }

    fn weight(&self, r: f64) -> f64 {
        self.scale.map_or(1.0, |k| (1.0 + r * r / (k * k)).powi(-2))
    }
}

/// Sum of the costs of all used readings.
pub fn cost(network: &Network, x: &[DVec3], weighing: Weighing<'_>) -> f64 {
    let used = network.readings.iter().zip(weighing.used).filter(|(_, used)| **used);
    used.map(|(reading, _)| weighing.cost(reading.residual(x))).sum()
}

/// Moves `x` to a minimum of the cost near it and returns the cost there; stops when a step gains less than one part in a
/// hundred million, or after `most` steps.
pub fn fit(network: &Network, x: &mut Vec<DVec3>, weighing: Weighing<'_>, most: usize) -> f64 {
    let mut now = cost(network, x, weighing);
    let mut damping = 1e-4;
    for _ in 0..most {
        let (normal, gradient) = equations(network, x, weighing);
        let mut gained = None;
        for _ in 0..8 {
            let mut damped = normal.clone();
            for i in 0..damped.n {
                *damped.at_mut(i, i) += RIDGE + damping * normal.at(i, i);
            }
            if let Some(factor) = damped.factor() {
                let tried = moved(x, &factor.solve(&gradient));
                let then = cost(network, &tried, weighing);
                if then <= now {
                    gained = Some(now - then);
                    (*x, now) = (tried, then);
                    damping = (damping * 0.1).max(1e-9);
                    break;
                }
            }
            damping = (damping * 8.0).max(1e-7);
        }
        if gained.is_none_or(|gain| gain <= 1e-8 * now.max(1.0)) {
            break;
        }
    }
    now
}

fn moved(x: &[DVec3], step: &[f64]) -> Vec<DVec3> {
    x.iter().zip(step.chunks_exact(3)).map(|(p, s)| *p + DVec3::from_slice(s)).collect()
}

fn equations(network: &Network, x: &[DVec3], weighing: Weighing<'_>) -> (Symmetric, Vec<f64>) {
    let mut normal = Symmetric::zero(3 * network.points);
    let mut gradient = vec![0.0; 3 * network.points];
    for (reading, _) in network.readings.iter().zip(weighing.used).filter(|(_, used)| **used) {
        let r = reading.residual(x);
        let weight = weighing.weight(r) / reading.sd;
        let row = reading.derivatives(x);
        for (i, d) in &row {
            gradient[*i] += weight * r * d;
        }
        normal.add_outer(&row, weight / reading.sd);
    }
    (normal, gradient)
}

/// What a fit says of every reading.
#[derive(Debug, Clone)]
pub struct Quality {
    /// Cofactors: covariance of all coordinates, held by [`RIDGE`], mm².
    pub covariance: Symmetric,
    /// Derivatives of each reading.
    pub rows: Vec<Derivatives>,
    /// Reading less what is computed, mm or rad.
    pub errors: Vec<f64>,
    /// Variance of what is computed, mm² or rad².
    pub variances: Vec<f64>,
}

impl Quality {
    /// Of the used readings at `x`; `None` when numbers went wrong.
    pub fn of(network: &Network, x: &[DVec3], used: &[bool]) -> Option<Quality> {
        let rows: Vec<Derivatives> = network.readings.iter().map(|r| r.derivatives(x)).collect();
        let mut normal = Symmetric::zero(3 * network.points);
        for ((reading, row), _) in network.readings.iter().zip(&rows).zip(used).filter(|(_, used)| **used) {
            normal.add_outer(row, 1.0 / (reading.sd * reading.sd));
        }
        for i in 0..normal.n {
            *normal.at_mut(i, i) += RIDGE;
        }
        let covariance = normal.factor()?.inverse();
        let variances = rows.iter().map(|row| covariance.quadratic(row)).collect();
        let errors = network.readings.iter().map(|r| r.value - r.computed(x)).collect();
        Some(Quality { covariance, rows, errors, variances })
    }

    /// Part of a reading's own variance that the others check, 0 to 1; of a used reading.
    pub fn redundancy(&self, network: &Network, i: usize) -> f64 {
        let sd = network.readings[i].sd;
        (1.0 - self.variances[i] / (sd * sd)).clamp(0.0, 1.0)
    }
}
