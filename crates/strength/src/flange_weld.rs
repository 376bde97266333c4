//! What the steep rise of temperature beside a cold flange does to the weld there, which no frame sees.
//!
//! The wall of the tube is a shell on an elastic foundation, w'''' + 4 b^4 (w - u) = 0 with b^4 = 3 (1 - nu^2) / (r t)^2. Free of
//! the flange it would widen by u = U (1 - exp(-x / d)), U = alpha r theta: theta what it is hotter away from the flange, d the
//! length over which it rises by 63 %. At the flange it is built in: w = w' = 0. With g = 4 b^4 d^4 / (1 + 4 b^4 d^4),
//!   w = U [1 - g exp(-x / d)] + exp(-b x) (C1 cos b x + C2 sin b x),  C1 = -U (1 - g),  C2 = C1 - U g / (b d),
//! and the stress at the face of the wall is s = E t / (2 (1 - nu^2)) |w''(0)|, w''(0) = -U g / d^2 - 2 b^2 C2. Elastic: an upper
//! value, as a real flange warms at the weld and gives. S. Timoshenko, S. Woinowsky-Krieger, "Theory of Plates and Shells",
//! ch. 15 (from memory); the solution is checked by its own equation in a test.

use crate::section::Section;

/// A rise of temperature beside a flange.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TemperatureRise {
    /// By how much the wall is hotter away from the flange, K.
    pub hotter: f64,
    /// Length over which it rises by 63 % of that, m.
    pub over: f64,
}

/// Elastic stress at the weld, Pa. `young` Pa, `expansion` 1/K.
pub fn weld_stress(section: &Section, young: f64, poisson: f64, expansion: f64, rise: TemperatureRise) -> f64 {
    let (c2, shell) = shell(section, poisson, expansion, rise);
    let Shell { widening, b, g } = shell;
    let curvature = -widening * g / rise.over.powi(2) - 2.0 * b * b * c2;
    young * section.wall / (2.0 * (1.0 - poisson * poisson)) * curvature.abs()
}

struct Shell {
    widening: f64,
    b: f64,
    g: f64,
}

fn shell(section: &Section, poisson: f64, expansion: f64, rise: TemperatureRise) -> (f64, Shell) {
    let radius = section.mean_radius();
    let widening = expansion * radius * rise.hotter;
    let b = (3.0 * (1.0 - poisson * poisson)).powf(0.25) / (radius * section.wall).sqrt();
    let steep = 4.0 * (b * rise.over).powi(4);
    let g = steep / (1.0 + steep);
    let c1 = -widening * (1.0 - g);
    (c1 - widening * g / (b * rise.over), Shell { widening, b, g })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECTION: Section = Section { od: 0.04445, wall: 0.00165 };

    #[test]
    fn the_shell_keeps_its_equation_and_is_built_in() {
        let rise = TemperatureRise { hotter: 300.0, over: 0.015 };
        let (c2, Shell { widening, b, g }) = shell(&SECTION, 0.3, 18e-6, rise);
        let c1 = -widening * (1.0 - g);
        let w = |x: f64| {
            let ring = (-b * x).exp() * (c1 * (b * x).cos() + c2 * (b * x).sin());
            widening * (1.0 - g * (-x / rise.over).exp()) + ring
        };
        let step = 2e-4;
        let fourth = |x: f64| {
            let at = |k: f64| w(x + k * step);
            (at(-2.0) - 4.0 * at(-1.0) + 6.0 * at(0.0) - 4.0 * at(1.0) + at(2.0)) / step.powi(4)
        };
        for x in [0.002, 0.005, 0.02] {
            let free = widening * (1.0 - (-x / rise.over).exp());
            let left = fourth(x) + 4.0 * b.powi(4) * (w(x) - free);
            assert!(left.abs() < 2e-3 * 4.0 * b.powi(4) * widening, "{x}: {left}");
        }
        assert!(w(0.0).abs() < 1e-18 && ((w(1e-7) - w(-1e-7)) / 2e-7).abs() < 1e-9);
        let bent = (w(-1e-5) - 2.0 * w(0.0) + w(1e-5)) / 1e-10;
        let by_hand = 165e9 * SECTION.wall / (2.0 * 0.91) * bent.abs();
        let stress = weld_stress(&SECTION, 165e9, 0.3, 18e-6, rise);
        assert!((stress / by_hand - 1.0).abs() < 1e-4, "{stress} {by_hand}");
    }

    #[test]
    fn no_rise_makes_no_stress_and_a_long_one_little() {
        let of = |hotter, over| weld_stress(&SECTION, 165e9, 0.3, 18e-6, TemperatureRise { hotter, over });
        assert_eq!(of(0.0, 0.01), 0.0);
        assert!(of(300.0, 0.06) < 0.3 * of(300.0, 0.012));
    }
}
