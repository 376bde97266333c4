//! A shop's bending machine: what it holds, and what its bends were measured to do.

use crate::model::SAME_SIZE;

/// A bending machine. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Bender {
    /// Length added to what is cut, for what the clamps hold at the ends and is cut off after bending.
    pub end_allowance: f64,
    /// Least straight after the last bend.
    pub last_straight: f64,
    /// Tools of the bender.
    pub tools: Vec<Tool>,
}

/// A tool: it bends one diameter to one radius. Lengths in mm, angles in rad.
#[derive(Debug, Clone, PartialEq)]
pub struct Tool {
    /// Name of the tool.
    pub name: String,
    /// Outside diameter of its tube.
    pub od: f64,
    /// Centreline radius that it bends to.
    pub clr: f64,
    /// Straight that its clamp holds.
    pub clamp: f64,
    /// Least straight between two bends.
    pub between: f64,
    /// What bends were measured to do, by angle.
    pub measured: Vec<Measured>,
}

/// One measured bend. Angles in rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// The angle that came out.
    pub angle: f64,
    /// How much farther the machine had been set.
    pub springback: f64,
    /// How much longer the tube had become, mm.
    pub elongation: f64,
}

impl Bender {
    /// The tool for a radius and a diameter, both mm.
    pub fn tool(&self, clr: f64, od: f64) -> Option<&Tool> {
        self.tools.iter().find(|t| (t.clr - clr).abs() <= SAME_SIZE && (t.od - od).abs() <= SAME_SIZE)
    }
}

impl Tool {
    /// The largest angle that was measured, rad.
    pub fn most_angle(&self) -> Option<f64> {
        self.measured.iter().map(|m| m.angle).reduce(f64::max)
    }

    /// Springback of a bend of `angle` rad, on straight lines between what was measured, from none at no angle; `None` beyond
    /// the largest measured angle.
    pub fn springback(&self, angle: f64) -> Option<f64> {
        self.between(angle, |m| m.springback)
    }

    /// Elongation by a bend of `angle` rad, mm, likewise.
    pub fn elongation(&self, angle: f64) -> Option<f64> {
        self.between(angle, |m| m.elongation)
    }

    fn between(&self, angle: f64, of: impl Fn(&Measured) -> f64) -> Option<f64> {
        let mut low = (0.0, 0.0);
        for m in &self.measured {
            let high = (m.angle, of(m));
            if angle <= high.0 + 1e-9 {
                return Some(low.1 + (high.1 - low.1) * (angle - low.0) / (high.0 - low.0));
            }
            low = high;
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn springback_goes_in_straight_lines_from_none() {
        let measured = |angle: f64, springback: f64| Measured { angle, springback, elongation: 10.0 * springback };
        let tool = Tool {
            name: "a".into(),
            od: 40.0,
            clr: 60.0,
            clamp: 50.0,
            between: 50.0,
            measured: vec![measured(1.0, 0.02), measured(2.0, 0.06)],
        };
        assert!((tool.springback(0.5).unwrap() - 0.01).abs() < 1e-12);
        assert!((tool.springback(1.5).unwrap() - 0.04).abs() < 1e-12);
        assert!((tool.elongation(2.0).unwrap() - 0.6).abs() < 1e-12);
        assert_eq!(tool.springback(2.1), None);
    }
}
