//! Which readings are wrong: data snooping after Baarda (*A Testing Procedure for Use in Geodetic Networks*, 1968; from memory).
//!
//! For a used reading w = v / (sd sqrt(r)), with v the residual and r its redundancy; throwing it out lowers chi-square by w².
//! Every reading thrown out costs something, so the score chi-square + costs says which of two explanations is
//! likelier, and a reading goes out, or comes back, only when that lowers the score.

use glam::DVec3;

use super::fit::{Quality, Weighing, fit};
use super::network::Network;

/// Redundancy below which a reading is not tested: its residual says next to nothing.
const LEAST_TESTED: f64 = 0.02;

/// Cost of a reading thrown out that is wrong by less than [`SMALL`]: one clean reading in 10 000 is as far off.
const COST_SMALL: f64 = 15.0;
/// Cost of a larger slip: one clean reading in a thousand is as far off, but hardly ever by so many mm.
const COST: f64 = 11.0;
/// Size of a slip in mm below which a good reading can easily look like one.
const SMALL: f64 = 7.5;
/// Size in mm from which a slip is rarer the larger it is.
const LARGE: f64 = 130.0;
/// Extra cost for every doubling above [`LARGE`].
const COST_DOUBLING: f64 = 5.0;

/// Sizes of common misreadings, mm: a wrong centimetre, decimetre, inch or half decimetre. Common practice, no source.
pub const USUAL: [f64; 5] = [10.0, 20.0, 25.4, 50.0, 100.0];
/// What a slip of a usual size costs less; it tips the scales between two readings of one point and no more.
const BONUS_USUAL: f64 = 2.0;
/// How near to a usual size, mm.
const USUAL_WIDTH: f64 = 2.0;
/// Smallest size that is helped so: below it, good readings would be accused.
const USUAL_FROM: f64 = 15.0;

/// What it costs to call a reading wrong by `size` mm.
pub fn slip_cost(size: f64) -> f64 {
    let size = size.abs();
    let base = if size < SMALL { COST_SMALL } else { COST };
    let likely = |usual: &f64| (-0.5 * ((size - usual) / USUAL_WIDTH).powi(2)).exp();
    let bonus = if size < USUAL_FROM { 0.0 } else { BONUS_USUAL * USUAL.iter().map(likely).fold(0.0, f64::max) };
    base - bonus + COST_DOUBLING * (size / LARGE).log2().clamp(0.0, 6.0)
}

/// One explanation of all readings: where the points are and which readings are wrong.
#[derive(Debug, Clone)]
pub struct Hypothesis {
    /// Places, mm, in axes of their own (z up when there are levels).
    pub x: Vec<DVec3>,
    /// Readings that are taken as good.
    pub used: Vec<bool>,
    /// Sum of squares of the used readings in standard deviations.
    pub chi2: f64,
    /// Chi-square and what the readings thrown out cost; the lowest explains best.
    pub score: f64,
}

impl Hypothesis {
    /// The readings that are thrown out.
    pub fn slips(&self) -> impl Iterator<Item = usize> {
        self.used.iter().enumerate().filter(|(_, used)| !**used).map(|(i, _)| i)
    }
}

/// A reading's error as a length, mm: an angle acts over the distance of its two points.
fn as_length(network: &Network, x: &[DVec3], i: usize, error: f64) -> f64 {
    let reading = &network.readings[i];
    match reading.kind {
        super::network::ReadingKind::Incline([a, b]) => error * (x[b] - x[a]).length(),
        _ => error,
    }
}

/// Fits the used readings from `x` and scores the result as it stands.
pub fn score(network: &Network, mut x: Vec<DVec3>, used: Vec<bool>) -> Hypothesis {
    let chi2 = fit(network, &mut x, Weighing { used: &used, scale: None }, 25);
    let costs =
        |i: usize| slip_cost(as_length(network, &x, i, network.readings[i].value - network.readings[i].computed(&x)));
    let score = chi2 + (0..used.len()).filter(|i| !used[*i]).map(costs).sum::<f64>();
    Hypothesis { x, used, chi2, score }
}

/// Throws readings out and takes them back, one at a time and the one that gains most first, as long as the score falls.
pub fn snoop(network: &Network, x: Vec<DVec3>, used: Vec<bool>) -> Hypothesis {
    let mut best = score(network, x, used);
    for _ in 0..24 {
        let Some(quality) = Quality::of(network, &best.x, &best.used) else { break };
        let Some(i) = best_change(network, &best, &quality) else { break };
        let mut used = best.used.clone();
        used[i] = !used[i];
        let tried = score(network, best.x.clone(), used);
        if tried.score >= best.score - 1e-6 {
            break;
        }
        best = tried;
    }
    best
}

/// The reading whose throwing out, or coming back, lowers the score most.
fn best_change(network: &Network, now: &Hypothesis, quality: &Quality) -> Option<usize> {
    let gain = |i: usize| {
        if !network.readings[i].may_slip() {
            return f64::NEG_INFINITY;
        }
        let sd = network.readings[i].sd;
        let error = quality.errors[i];
        if !now.used[i] {
            let size = as_length(network, &now.x, i, error);
            return slip_cost(size) - error * error / (sd * sd + quality.variances[i]);
        }
        let redundancy = quality.redundancy(network, i);
        if redundancy < LEAST_TESTED {
            return f64::NEG_INFINITY;
        }
        let size = as_length(network, &now.x, i, error / redundancy);
        error * error / (sd * sd * redundancy) - slip_cost(size)
    };
    let gains = (0..now.used.len()).map(|i| (i, gain(i)));
    gains.filter(|g| g.1 > 0.0).max_by(|a, b| a.1.total_cmp(&b.1)).map(|g| g.0)
}

/// What kind of misreading a length looks like, when what should have been read, `proposed` with its `sd`, is a usual
/// one away from what was; all in mm.
pub fn usual_slip(read: f64, proposed: f64, sd: f64) -> Option<&'static str> {
    let near = |value: f64| (value - proposed).abs() < (2.5 * sd).clamp(1.5, 4.0);
    let swapped = swapped_digits(read);
    let kinds = [
        (near(read - 25.4) || near(read + 25.4), "one inch off"),
        (near(read - 10.0) || near(read + 10.0), "one centimetre off"),
        (near(read - 20.0) || near(read + 20.0), "two centimetres off"),
        (near(read - 50.0) || near(read + 50.0), "50 mm off"),
        (near(read - 100.0) || near(read + 100.0), "100 mm off"),
        (near(read * 10.0), "written in centimetres"),
        (near(read / 10.0), "ten times too long"),
        (near(read * 25.4), "written in inches"),
        (near(read / 25.4), "written in mm where inches were meant"),
        (swapped.into_iter().any(near), "like two swapped digits"),
    ];
    kinds.into_iter().find(|kind| kind.0).map(|kind| kind.1)
}

/// Whole millimetres of a reading with two neighbouring digits swapped.
fn swapped_digits(read: f64) -> Vec<f64> {
    let digits: Vec<char> = format!("{:.0}", read.abs().min(99_999.0)).chars().collect();
    let swap = |i: usize| {
        let mut swapped = digits.clone();
        swapped.swap(i, i + 1);
        swapped.into_iter().collect::<String>().parse().ok()
    };
    (0..digits.len().saturating_sub(1)).filter(|i| digits[*i] != digits[i + 1]).filter_map(swap).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn usual_slips_are_recognised() {
        assert_eq!(usual_slip(415.0, 440.6, 0.8), Some("one inch off"));
        assert_eq!(usual_slip(651.0, 615.3, 0.5), Some("like two swapped digits"));
        assert_eq!(usual_slip(31.2, 312.4, 0.5), Some("written in centimetres"));
        assert_eq!(usual_slip(415.0, 433.0, 0.8), None);
    }

    #[test]
    fn a_larger_slip_costs_more_only_beyond_what_is_usual() {
        assert!(slip_cost(5.0) > slip_cost(12.0) && slip_cost(12.0) > slip_cost(-25.4));
        assert!(slip_cost(260.0) > slip_cost(130.0) + 4.9);
    }
}
