//! How coarsely a tool was read, from its readings.
//!
//! A reading rounded to steps of g carries a further variance of g² / 12 (uniform between the half steps).

/// Steps in mm that people read to, coarsest first: metric rules and tapes, fractions and decimals of an inch.
const STEPS: [f64; 19] = [
    10.0,
    5.0,
    25.4 / 8.0,
    2.54,
    2.0,
    25.4 / 16.0,
    1.27,
    1.0,
    25.4 / 32.0,
    0.5,
    25.4 / 64.0,
    0.254,
    0.2,
    0.127,
    0.1,
    0.05,
    0.0254,
    0.02,
    0.01,
];

/// Fewest readings from which a step can be told: that all of five are even by chance happens once in 32 times.
const LEAST: usize = 5;

/// The coarsest step that all `values` are multiples of, mm; 0 when there is none or there are too few readings to tell.
pub fn step(values: &[f64]) -> f64 {
    if values.len() < LEAST {
        return 0.0;
    }
    // Fractions typed as decimals are cut off at a hundredth or a thousandth of an inch.
    let multiple = |v: f64, step: f64| (v / step - (v / step).round()).abs() * step < 0.004;
    STEPS.into_iter().find(|step| values.iter().all(|v| multiple(*v, *step))).unwrap_or(0.0)
}

/// `sd` with the rounding to `step` added, mm.
pub fn with_rounding(sd: f64, step: f64) -> f64 {
    sd.hypot(step / 12f64.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_step_of_a_rule_is_seen() {
        assert_eq!(step(&[312.0, 86.5, 348.0, 351.0, 70.5]), 0.5);
        let inches: Vec<f64> = [1.0, 33.0, 7.0, 130.0, 91.0, 12.0].iter().map(|n| n / 16.0 * 25.4).collect();
        assert!((step(&inches) - 25.4 / 16.0).abs() < 1e-12);
        assert_eq!(step(&[312.0, 86.0]), 0.0);
    }
}
