//! Equation of state: an ideal gas whose heat capacity depends on temperature and on the fraction of burned gas.
//!
//! p = rho R T and T = T(e), a polynomial of the specific internal energy e, so that no root is needed in the loop over
//! cells. With T' = dT/de: cv = 1 / T', gamma = 1 + R T', c^2 = gamma R T, h = e + R T. Any rising T(e) is a consistent
//! ideal gas; [`Mixture`] fits it to the heat capacities of real gases. e is counted so that it is [`E_298`] at
//! 298.15 K for every gas of changing heat capacity.
//!
//! A mixture of fresh and burned gas takes T and R linear in the burned fraction b at the same e.

use crate::arithmetic::{Apart, Arithmetic};
use crate::species::Species;

/// Specific internal energy at 298.15 K of every [`Mixture`], J/kg: near cv T of air, so that e stays above 0.
pub const E_298: f64 = 214_000.0;

/// What T(e, b) gives.
#[derive(Debug, Clone, Copy)]
pub struct Thermal {
    /// Temperature, K.
    pub t: f64,
    /// dT/de = 1 / cv, kg K/J.
    pub t_e: f64,
    /// dT/db, K.
    pub t_b: f64,
}

/// A gas that the solver can compute with.
pub trait Medium: Copy + Send + Sync {
    /// Whether it carries a burned fraction that changes its properties.
    const MIXED: bool;

    /// Temperature and its derivatives at internal energy `e` (J/kg) and burned fraction `b`.
    fn thermal(&self, e: f64, b: f64) -> Thermal;

    /// The same with the arithmetic of the loop over cells.
    #[inline(always)]
    fn thermal_by<A: Arithmetic>(&self, e: f64, b: f64) -> Thermal {
        self.thermal(e, b)
    }

    /// Gas constant at burned fraction `b`, J/(kg K).
    fn gas_constant(&self, b: f64) -> f64;

    /// dR/db, J/(kg K).
    fn gas_constant_slope(&self) -> f64;

    /// Internal energy at `t` K, J/kg.
    fn energy(&self, t: f64, b: f64) -> f64;

    /// Ratio of specific heats at `t` K.
    fn gamma(&self, t: f64, b: f64) -> f64 {
        1.0 + self.gas_constant(b) * self.thermal(self.energy(t, b), b).t_e
    }
}

/// A gas of constant heat capacity; its numbers may be without dimension.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Perfect {
    /// Ratio of specific heats.
    pub gamma: f64,
    /// Gas constant, J/(kg K).
    pub r: f64,
}

impl Medium for Perfect {
    const MIXED: bool = false;

    #[inline(always)]
    fn thermal(&self, e: f64, _b: f64) -> Thermal {
        let t_e = (self.gamma - 1.0) / self.r;
        Thermal { t: e * t_e, t_e, t_b: 0.0 }
    }

    #[inline(always)]
    fn gas_constant(&self, _b: f64) -> f64 {
        self.r
    }

    #[inline(always)]
    fn gas_constant_slope(&self) -> f64 {
        0.0
    }

    #[inline(always)]
    fn energy(&self, t: f64, _b: f64) -> f64 {
        t * self.r / (self.gamma - 1.0)
    }
}

/// Powers of e in T(e).
const TERMS: usize = 6;
/// Range of temperature of the fit, K.
const FIT_K: [f64; 2] = [230.0, 3200.0];
const FIT_POINTS: usize = 280;
/// e is taken in MJ/kg inside the polynomial: its terms are then of like size.
const MEGA: f64 = 1e-6;

/// One gas of fixed composition.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gas {
    /// Gas constant, J/(kg K).
    pub r: f64,
    /// T = sum of `terms[k]` (e / 1e6)^k.
    terms: [f64; TERMS],
}

impl Gas {
    /// Fits T(e) to a mixture of species.
    ///
    /// `parts` are the species and their moles, any sum.
    ///
    /// # Range and accuracy
    /// Least squares over 230 to 3200 K. For air and products of combustion gamma is within 0.5 % and T(e) within 1.5 K
    /// between 290 and 1850 K.
    ///
    /// # Errors
    /// `None` when the moles are not positive in sum or not finite.
    pub fn fit(parts: &[(Species, f64)]) -> Option<Gas> {
        let moles: f64 = parts.iter().map(|p| p.1).sum();
        if !(moles > 0.0 && moles.is_finite() && parts.iter().all(|p| p.1 >= 0.0)) {
            return None;
        }
        let kg: f64 = parts.iter().map(|(s, n)| n * s.molar_mass()).sum();
        let per_kg = |f: &dyn Fn(Species) -> f64| parts.iter().map(|(s, n)| n * f(*s)).sum::<f64>() / kg;
        let r = crate::species::R_MOLAR * moles / kg;
        let base = per_kg(&|s| s.enthalpy(298.15)) - r * 298.15;
        let points = (0..FIT_POINTS).map(|i| {
            let t = FIT_K[0] + (FIT_K[1] - FIT_K[0]) * i as f64 / (FIT_POINTS - 1) as f64;
            let e = per_kg(&|s| s.enthalpy(t)) - r * t - base + E_298;
            (e * MEGA, t)
        });
        Some(Gas { r, terms: fit_terms(points)? })
    }

    /// Nitrogen and oxygen as in dry air, 3.76 to 1.
    pub fn air() -> Gas {
        Gas::fit(&[(Species::Oxygen, 1.0), (Species::Nitrogen, 3.76)]).expect("its moles are positive")
    }

    /// Complete products of a stoichiometric mixture of octane and air.
    pub fn burned_octane() -> Gas {
        use Species::{CarbonDioxide, Nitrogen, Water};
        Gas::fit(&[(CarbonDioxide, 8.0), (Water, 9.0), (Nitrogen, 47.0)]).expect("its moles are positive")
    }

    /// Temperature and its derivative by e.
    #[inline(always)]
    fn temperature<A: Arithmetic>(&self, e: f64) -> (f64, f64) {
        let x = e * MEGA;
        let (mut t, mut slope) = (self.terms[TERMS - 1], 0.0);
        for c in self.terms[..TERMS - 1].iter().rev() {
            slope = A::sum(slope, x, t);
            t = A::sum(t, x, *c);
        }
        (t, slope * MEGA)
    }
}

/// Weighted least squares by Cholesky's method; weights 1/T ask for the same relative error everywhere.
fn fit_terms(points: impl Iterator<Item = (f64, f64)>) -> Option<[f64; TERMS]> {
    let mut m = [[0.0; TERMS]; TERMS];
    let mut v = [0.0; TERMS];
    for (x, t) in points {
        let mut row = [1.0; TERMS];
        for k in 1..TERMS {
            row[k] = row[k - 1] * x;
        }
        for i in 0..TERMS {
            v[i] += row[i] / t;
            for j in 0..TERMS {
                m[i][j] += row[i] * row[j] / (t * t);
            }
        }
    }
    solve(m, v)
}

fn solve(mut m: [[f64; TERMS]; TERMS], mut v: [f64; TERMS]) -> Option<[f64; TERMS]> {
    for i in 0..TERMS {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| m[i][k] * m[j][k]).sum();
            let left = m[i][j] - known;
            m[i][j] = if i == j { if left > 0.0 { left.sqrt() } else { return None } } else { left / m[j][j] };
        }
        let known: f64 = (0..i).map(|k| m[i][k] * v[k]).sum();
        v[i] = (v[i] - known) / m[i][i];
    }
    for i in (0..TERMS).rev() {
        let known: f64 = (i + 1..TERMS).map(|k| m[k][i] * v[k]).sum();
        v[i] = (v[i] - known) / m[i][i];
    }
    Some(v)
}

/// Fresh gas and burned gas.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mixture {
    /// The gas at burned fraction 0.
    pub fresh: Gas,
    /// The gas at burned fraction 1.
    pub burned: Gas,
}

impl Mixture {
    /// Air and the products of stoichiometric octane.
    pub fn air_and_octane() -> Mixture {
        Mixture { fresh: Gas::air(), burned: Gas::burned_octane() }
    }

    /// Both ends the same gas.
    pub fn only(gas: Gas) -> Mixture {
        Mixture { fresh: gas, burned: gas }
    }
}

impl Medium for Mixture {
    const MIXED: bool = true;

    #[inline(always)]
    fn thermal(&self, e: f64, b: f64) -> Thermal {
        self.thermal_by::<Apart>(e, b)
    }

    #[inline(always)]
    fn thermal_by<A: Arithmetic>(&self, e: f64, b: f64) -> Thermal {
        let (fresh, fresh_slope) = self.fresh.temperature::<A>(e);
        let (burned, burned_slope) = self.burned.temperature::<A>(e);
        let t_b = burned - fresh;
        Thermal { t: A::sum(b, t_b, fresh), t_e: A::sum(b, burned_slope - fresh_slope, fresh_slope), t_b }
    }

    #[inline(always)]
    fn gas_constant(&self, b: f64) -> f64 {
        self.fresh.r + b * self.gas_constant_slope()
    }

    #[inline(always)]
    fn gas_constant_slope(&self) -> f64 {
        self.burned.r - self.fresh.r
    }

    /// Newton's method on T(e) = t; T(e) rises and is nearly straight, so that six steps are exact to rounding.
    fn energy(&self, t: f64, b: f64) -> f64 {
        let mut e = 750.0 * t;
        for _ in 0..8 {
            let at = self.thermal(e, b);
            let step = (t - at.t) / at.t_e;
            e += step;
            if step.abs() < 1e-13 * e.abs() {
                break;
            }
        }
        e
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn temperature_and_energy_are_inverse() {
        let gas = Mixture::air_and_octane();
        for b in [0.0, 0.4, 1.0] {
            for t in [250.0, 300.0, 900.0, 1700.0, 2900.0] {
                let e = gas.energy(t, b);
                assert!((gas.thermal(e, b).t - t).abs() < 1e-9 * t, "{t} K");
            }
        }
    }

    #[test]
    fn every_gas_has_the_same_energy_at_298_kelvin() {
        let gas = Mixture::air_and_octane();
        for b in [0.0, 1.0] {
            assert!((gas.thermal(E_298, b).t - 298.15).abs() < 1.5);
        }
    }

    #[test]
    fn a_gas_without_moles_is_refused() {
        assert!(Gas::fit(&[]).is_none());
        assert!(Gas::fit(&[(Species::Water, f64::NAN)]).is_none());
    }
}
