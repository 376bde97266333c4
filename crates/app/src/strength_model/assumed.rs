//! What a job does not say: defaults with their ranges and sources, and allowable stresses.

use job::model::Job;

use super::header::{Assumed, ZERO_C};
use super::hot::Gas;

/// Growth of an aluminium head from 20 to 100 degrees Celsius over its length: 23e-6/K (from memory) x 80 K.
pub const HEAD_GROWTH: f64 = 23e-6 * 80.0;

/// Young's modulus where the catalogue has none, Pa: that of stainless steel at 500 degrees Celsius (EN 10088-1).
pub const YOUNG: f64 = 165e9;

/// Mean expansion where the catalogue has none, 1/K: that of 304L at 500 degrees Celsius (EN 10088-1).
pub const EXPANSION: f64 = 18.0e-6;

/// Heat cycles that the allowable stress is given for: a car driven for some years (common practice, no source).
pub const CYCLES: f64 = 2000.0;

/// Everything that was assumed, as the job does not give it.
pub fn list(job: &Job, gas: &Gas<'_>) -> Vec<Assumed> {
    let practice = "common practice, no source";
    let of = |what, value, unit, source| Assumed { what, value, unit, source };
    let (heat, flow) = (&job.heat, &gas.flow);
    // A kept gas answer gives both.
    let kept = gas.kept.map(|k| k.rpm);
    let c = ZERO_C;
    let defaults = [
        (heat.gas_c.or(kept), of("gas at the port, mean over a cycle", [flow.gas_in - c, 750.0, 950.0], "C", practice)),
        (kept, of("volumetric efficiency at peak power", [0.9, 0.8, 1.05], "", practice)),
        (heat.flange_c, of("port flange", [flow.flange - c, 180.0, 350.0], "C", practice)),
        (heat.air_c, of("air around the tubes", [flow.air - c, 40.0, 120.0], "C", practice)),
        (heat.air_speed, of("air speed around the tubes", [flow.air_speed, 0.5, 15.0], "m/s", practice)),
        (None, of("emissivity of oxidised tube", [0.8, 0.6, 0.9], "", "handbook range, from memory")),
        (heat.cycles, of("heat cycles", [CYCLES, 500.0, 7000.0], "", practice)),
    ];
    defaults.into_iter().filter(|(given, _)| given.is_none()).map(|(_, assumed)| assumed).collect()
}

/// Allowable stresses of a material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowable {
    /// Its name in the catalogue.
    pub material: &'static str,
    /// Cold, MPa.
    pub cold: f64,
    /// Hot, MPa, at 427, 538, 593, 649, 704 and 760 degrees Celsius.
    pub hot: [f64; 6],
    /// Metal temperature above which it creeps, degrees Celsius (common practice).
    pub creeps_from: f64,
}

/// Temperatures of [`Allowable::hot`], degrees Celsius.
pub const HOT_AT: [f64; 6] = [427.0, 538.0, 593.0, 649.0, 704.0, 760.0];

/// From memory of ASME B31.3 table A-1 (409: an estimate); whoever owns the standard should check them.
pub const ALLOWABLE: [Allowable; 4] = [
    Allowable { material: "304L", cold: 115.0, hot: [92.0, 83.0, 67.0, 42.0, 25.0, 16.0], creeps_from: 540.0 },
    Allowable { material: "316L", cold: 115.0, hot: [85.0, 76.0, 76.0, 51.0, 28.0, 16.0], creeps_from: 540.0 },
    Allowable { material: "321", cold: 138.0, hot: [105.0, 97.0, 63.0, 37.0, 22.0, 13.0], creeps_from: 540.0 },
    Allowable { material: "409", cold: 109.0, hot: [80.0, 40.0, 27.0, 15.0, 9.0, 5.0], creeps_from: 480.0 },
];

/// Those of a material of the catalogue, if known.
pub fn allowable_of(material: &str) -> Option<&'static Allowable> {
    ALLOWABLE.iter().find(|a| a.material == material)
}

impl Allowable {
    /// Hot allowable at a metal temperature, degrees Celsius, MPa.
    pub fn at(&self, temperature: f64) -> f64 {
        let rows = HOT_AT.iter().copied().zip(self.hot).collect();
        strength::table::Table::new(rows).map_or(0.0, |t| t.at(temperature))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_material_with_allowables_is_in_the_catalogue() {
        for allowable in ALLOWABLE {
            assert!(job::catalogue::material(allowable.material).is_some_and(|m| m.name == allowable.material));
        }
        assert_eq!(allowable_of("304L").unwrap().at(482.5), 87.5);
    }
}
