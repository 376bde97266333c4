//! What the length of the primaries is worth: mean torque over a band of speeds at lengths around the routed ones, the
//! best target and how flat the optimum is, the header as routed against one of equal lengths, and how sure that is.

use gas::cycle::Settings;
use job::model::{Job, Units};
use job::routes::Routes;
use job::{Monitor, Problems, show};
use serde_json::{Value, json};

use crate::gas_model::{GasModel, gas_model_sampled, sample_seed};
use crate::gas_speeds::{GasProgress, Speeds, mean_torque, run};
use crate::report_table::{heads, row, table};
use crate::summary::{figure, rounded};

/// Lengths that are tried, over the mean of the routed ones.
const PARTS: [f64; 11] = [0.70, 0.76, 0.82, 0.88, 0.94, 1.0, 1.06, 1.12, 1.18, 1.24, 1.30];
/// Loss of mean torque that counts as none.
const FLAT: f64 = 0.001;
/// Speeds at which samples are compared.
const SAMPLE_SPEEDS: usize = 6;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// The band.
    pub speeds: Speeds,
    /// How often everything unknown is picked at random; 0: not at all.
    pub samples: usize,
    /// Seed of that.
    pub seed: u64,
}

/// A header of equal primaries.
#[derive(Debug, Clone, PartialEq)]
pub struct AtLength {
    /// Length of every primary from the port face, mm.
    pub length: f64,
    /// Mean torque over the band, N m.
    pub mean_torque: f64,
    /// Torque at each speed, N m.
    pub torque: Vec<f64>,
}

/// What length is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Worth {
    /// Speeds, rpm.
    pub speeds: Vec<f64>,
    /// Mean torque as routed, N m.
    pub routed: f64,
    /// Greatest less least routed length, mm.
    pub routed_spread: f64,
    /// All primaries at the mean of the routed lengths.
    pub equal: AtLength,
    /// Ascending lengths.
    pub lengths: Vec<AtLength>,
    /// Best length, mm: the vertex of a parabola through the best of `lengths` and its neighbours.
    pub best: f64,
    /// Lengths within which mean torque is within 0.1 % of the best, mm; at the end of what was tried: not known further.
    pub flat: [f64; 2],
    /// Samples in which the best length beats the routed header, and all samples.
    pub sure: Option<[usize; 2]>,
}

/// Computes what length is worth for a job's model.
///
/// # Errors
/// That it was stopped, or at which speed the gas came to impossible values.
pub fn worth_of_length(
    job: &Job,
    routes: &Routes,
    model: &GasModel,
    asked: &Asked,
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<Worth, Problems> {
    let speeds = asked.speeds.list();
    let n = model.primaries.len();
    let middle = model.primaries.iter().sum::<f64>() / n as f64;
    let routed = mean_torque(&run(model, &speeds, &Settings::default(), monitor)?);
    let mut lengths = Vec::new();
    for part in PARTS {
        let length = part * middle;
        let points = run(&model.with_primaries(&vec![length; n]), &speeds, &Settings::default(), monitor)?;
        let torque = points.iter().map(|p| p.torque).collect();
        lengths.push(AtLength { length, mean_torque: mean_torque(&points), torque });
    }
    let equal = lengths[PARTS.len() / 2].clone();
    let pairs: Vec<[f64; 2]> = lengths.iter().map(|l| [l.length, l.mean_torque]).collect();
    let (best, flat) = optimum(&pairs);
    let high = model.primaries.iter().copied().fold(0.0, f64::max);
    let routed_spread = high - model.primaries.iter().copied().fold(f64::INFINITY, f64::min);
    let mut worth = Worth { speeds, routed, routed_spread, equal, lengths, best, flat, sure: None };
    if asked.samples > 0 {
        worth.sure = Some([sure(job, routes, &worth, asked, monitor)?, asked.samples]);
    }
    Ok(worth)
}

/// The best size, and those between which mean torque falls by [`FLAT`] at most; `pairs` are sizes, ascending, and their mean
/// torques, at least one.
pub(crate) fn optimum(pairs: &[[f64; 2]]) -> (f64, [f64; 2]) {
    let best = best_of(pairs);
    let mut around = pairs.to_vec();
    around.push(best);
    around.sort_by(|a, b| a[0].total_cmp(&b[0]));
    (best[0], flat_of(&around, best[1] * (1.0 - FLAT)))
}

/// Place of the greatest torque.
fn top_of(pairs: &[[f64; 2]]) -> usize {
    (0..pairs.len()).max_by(|a, b| pairs[*a][1].total_cmp(&pairs[*b][1])).unwrap_or(0)
}

/// Size and mean torque at the vertex of a parabola through the best and its neighbours.
fn best_of(pairs: &[[f64; 2]]) -> [f64; 2] {
    let top = top_of(pairs);
    if top == 0 || top + 1 >= pairs.len() {
        return pairs[top];
    }
    let [a, b, c] = [top - 1, top, top + 1].map(|i| pairs[i]);
    // The differences to either side over their lengths; steps need not be even.
    let (rise, fall) = ((b[1] - a[1]) / (b[0] - a[0]), (c[1] - b[1]) / (c[0] - b[0]));
    let curve = (fall - rise) / (c[0] - a[0]);
    if curve >= 0.0 {
        return b;
    }
    let slope = rise + curve * (b[0] - a[0]);
    let off = -0.5 * slope / curve;
    [b[0] + off, b[1] + 0.5 * slope * off]
}

/// Sizes around the best between which mean torque is at least `least`, by straight lines between those tried.
fn flat_of(pairs: &[[f64; 2]], least: f64) -> [f64; 2] {
    let top = top_of(pairs);
    let cross = |inside: [f64; 2], outside: [f64; 2]| {
        let part = (inside[1] - least) / (inside[1] - outside[1]);
        inside[0] + part.clamp(0.0, 1.0) * (outside[0] - inside[0])
    };
    let below = |i: &usize| pairs[*i][1] < least;
    let low = (0..top).rev().find(below).map_or(pairs[0][0], |i| cross(pairs[i + 1], pairs[i]));
    let last = pairs[pairs.len() - 1][0];
    let high = (top + 1..pairs.len()).find(below).map_or(last, |i| cross(pairs[i - 1], pairs[i]));
    [low, high]
}

/// In how many samples the best length beats the routed header.
fn sure(
    job: &Job,
    routes: &Routes,
    worth: &Worth,
    asked: &Asked,
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<usize, Problems> {
    let every = worth.speeds.len().div_ceil(SAMPLE_SPEEDS).max(1);
    let speeds: Vec<f64> = worth.speeds.iter().copied().step_by(every).collect();
    let mut wins = 0;
    for i in 0..asked.samples {
        let model = gas_model_sampled(job, routes, sample_seed(asked.seed, i))?;
        let best = model.with_primaries(&vec![worth.best; model.primaries.len()]);
        let (routed, best) =
            (run(&model, &speeds, &Settings::default(), monitor)?, run(&best, &speeds, &Settings::default(), monitor)?);
        wins += usize::from(mean_torque(&best) > mean_torque(&routed));
    }
    Ok(wins)
}

impl Worth {
    /// As JSON.
    pub fn to_json(&self) -> Value {
        let at = |a: &AtLength| {
            let torque: Vec<f64> = a.torque.iter().map(|t| rounded(*t)).collect();
            json!({"length_mm": rounded(a.length), "mean_torque_nm": rounded(a.mean_torque), "torque_nm": torque})
        };
        json!({
            "rpm": self.speeds,
            "routed_mean_torque_nm": rounded(self.routed),
            "routed_spread_mm": rounded(self.routed_spread),
            "equal": at(&self.equal),
            "lengths": self.lengths.iter().map(at).collect::<Vec<Value>>(),
            "best_length_mm": rounded(self.best),
            "within_0_1_percent_mm": self.flat.map(rounded),
            "best_beats_routed": self.sure.map(|[wins, of]| json!({"samples": of, "wins": wins, "share": figure(wins as f64 / of as f64)})),
        })
    }

    /// As text.
    pub fn text(&self, units: Units) -> String {
        let mut rows = vec![heads([&format!("primary {}", show::unit(units)), "mean Nm"])];
        for a in &self.lengths {
            rows.push(row([show::length(a.length, units), format!("{:.2}", a.mean_torque)]));
        }
        let mut out =
            format!("\nWhat length is worth, all primaries equal, mean over these speeds:\n\n{}", table(&rows));
        for point in self.points(units) {
            out.push_str(&format!("  {point}\n"));
        }
        out
    }

    /// What it comes to, as sentences.
    pub(crate) fn points(&self, units: Units) -> Vec<String> {
        let long = |mm: f64| show::length(mm, units);
        let torque = |nm: f64| {
            let (value, unit) = show::torque(nm, units);
            format!("{value:.2} {unit}")
        };
        let [low, high] = self.flat.map(long);
        let unit = show::unit(units);
        let at_end = |end: Option<&AtLength>| end.is_some_and(|l| (l.length - self.best).abs() < 1e-6);
        let end = match (at_end(self.lengths.first()), at_end(self.lengths.last())) {
            (true, _) => ", the shortest that was tried",
            (_, true) => ", the longest that was tried",
            _ => "",
        };
        let mut points = vec![
            format!("best at {} {unit}{end}; from {low} to {high} {unit} you lose 0.1 % at most", long(self.best)),
            format!(
                "as routed (lengths within {} {unit}) {}; at their mean length {}",
                long(self.routed_spread),
                torque(self.routed),
                torque(self.equal.mean_torque)
            ),
        ];
        points.extend(self.sure.map(|[wins, of]| {
            format!("the best length beats the routed header in {wins} of {of} samples of what is unknown")
        }));
        points
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_best_of_a_parabola_is_its_vertex() {
        let pairs: Vec<[f64; 2]> = [0.0, 1.0, 2.0, 3.5, 4.0].map(|x| [x, 10.0 - (x - 2.3) * (x - 2.3)]).to_vec();
        let [best, peak] = best_of(&pairs);
        assert!((best - 2.3).abs() < 1e-9 && (peak - 10.0).abs() < 1e-9);
        assert_eq!(best_of(&pairs[3..]), pairs[3]);
    }

    #[test]
    fn the_flat_range_ends_where_the_loss_is_reached() {
        let pairs = [[1.0, 8.0], [2.0, 10.0], [3.0, 9.0]];
        assert_eq!(flat_of(&pairs, 9.5), [1.75, 2.5]);
        assert_eq!(flat_of(&pairs, 5.0), [1.0, 3.0]);
    }
}
