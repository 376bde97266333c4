//! A metal: stiffness and growth over temperature.

use crate::table::Table;

/// A metal. Temperatures in K.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Young's modulus over temperature, Pa.
    pub young: Table,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Density, kg/m3.
    pub density: f64,
    /// Mean thermal expansion from `reference` to a temperature, 1/K.
    pub expansion: Table,
    /// Temperature at which the metal has its drawn size, K.
    pub reference: f64,
}

impl Material {
    /// Free growth at a temperature over the drawn size.
    pub fn growth(&self, temperature: f64) -> f64 {
        self.expansion.at(temperature) * (temperature - self.reference)
    }
}
