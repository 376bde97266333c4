//! Heat capacity, enthalpy and viscosity of the gases that air and exhaust are made of.
//!
//! Heat capacities: the seven-term polynomials of the mechanism GRI-Mech 3.0 (G. P. Smith et al., 1999), 300 to 3500 K,
//! cp / R = a0 + a1 T + a2 T^2 + a3 T^3 + a4 T^4, two ranges that meet at 1000 K. Viscosities: ln mu a parabola of ln T,
//! fitted to what Cantera 3.2 gives for the same mechanism between 300 and 2500 K, within 1.9 %. Mixtures by Wilke's rule
//! (C. R. Wilke, J. Chem. Phys. 18 (1950) 517, from memory). `checks/gas` compares mixtures with Cantera.

/// Molar gas constant, J/(mol K): exact since the SI of 2019.
pub const R_MOLAR: f64 = 8.314_462_618;

/// A gas of one kind of molecule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Species {
    /// N2.
    Nitrogen,
    /// O2.
    Oxygen,
    /// CO2.
    CarbonDioxide,
    /// H2O.
    Water,
    /// CO.
    CarbonMonoxide,
    /// H2.
    Hydrogen,
    /// Ar.
    Argon,
}

struct Data {
    /// g/mol.
    molar_mass: f64,
    /// a0 to a4 below 1000 K, then a5: enthalpy of formation.
    cold: [f64; 6],
    /// The same above 1000 K.
    hot: [f64; 6],
    /// ln mu = v0 + v1 ln T + v2 (ln T)^2, Pa s.
    viscosity: [f64; 3],
}

static DATA: [Data; 7] = [
    Data {
        molar_mass: 28.014,
        cold: [3.298677, 0.0014082404, -3.963222e-6, 5.641515e-9, -2.444854e-12, -1020.8999],
        hot: [2.92664, 0.0014879768, -5.68476e-7, 1.0097038e-10, -6.753351e-15, -922.7977],
        viscosity: [-15.541581900514643, 0.917661175500475, -0.018583364557994846],
    },
    Data {
        molar_mass: 31.998,
        cold: [3.78245636, -0.00299673416, 9.84730201e-6, -9.68129509e-9, 3.24372837e-12, -1063.94356],
        hot: [3.28253784, 0.00148308754, -7.57966669e-7, 2.09470555e-10, -2.16717794e-14, -1088.45772],
        viscosity: [-15.599828677615157, 0.97240665944567, -0.02227526959020791],
    },
    Data {
        molar_mass: 44.009,
        cold: [2.35677352, 0.00898459677, -7.12356269e-6, 2.45919022e-9, -1.43699548e-13, -48371.9697],
        hot: [3.85746029, 0.00441437026, -2.21481404e-6, 5.23490188e-10, -4.72084164e-14, -48759.166],
        viscosity: [-18.60328300523513, 1.7284291432366825, -0.07205292901108531],
    },
    Data {
        molar_mass: 18.015,
        cold: [4.19864056, -0.0020364341, 6.52040211e-6, -5.48797062e-9, 1.77197817e-12, -30293.7267],
        hot: [3.03399249, 0.00217691804, -1.64072518e-7, -9.7041987e-11, 1.68200992e-14, -30004.2971],
        viscosity: [-20.43258235241999, 1.9861127918756993, -0.07362420937509967],
    },
    Data {
        molar_mass: 28.01,
        cold: [3.57953347, -0.00061035368, 1.01681433e-6, 9.07005884e-10, -9.04424499e-13, -14344.086],
        hot: [2.71518561, 0.00206252743, -9.98825771e-7, 2.30053008e-10, -2.03647716e-14, -14151.8724],
        viscosity: [-15.569792811535718, 0.9207249663218764, -0.018790197707902752],
    },
    Data {
        molar_mass: 2.016,
        cold: [2.34433112, 0.00798052075, -1.9478151e-5, 2.01572094e-8, -7.37611761e-12, -917.935173],
        hot: [3.3372792, -4.94024731e-5, 4.99456778e-7, -1.79566394e-10, 2.00255376e-14, -950.158922],
        viscosity: [-15.398771145779438, 0.6748398707100757, -0.0020712326576637884],
    },
    Data {
        molar_mass: 39.95,
        cold: [2.5, 0.0, 0.0, 0.0, 0.0, -745.375],
        hot: [2.5, 0.0, 0.0, 0.0, 0.0, -745.375],
        viscosity: [-16.077671256995274, 1.141120886545804, -0.03358111221891297],
    },
];

impl Species {
    /// The species that a chemical formula names.
    pub fn named(formula: &str) -> Option<Species> {
        use Species::*;
        Some(match formula {
            "N2" => Nitrogen,
            "O2" => Oxygen,
            "CO2" => CarbonDioxide,
            "H2O" => Water,
            "CO" => CarbonMonoxide,
            "H2" => Hydrogen,
            "AR" | "Ar" => Argon,
            _ => return None,
        })
    }

    fn data(self) -> &'static Data {
        &DATA[self as usize]
    }

    fn terms(self, t: f64) -> &'static [f64; 6] {
        if t < 1000.0 { &self.data().cold } else { &self.data().hot }
    }

    /// Molar mass, kg/mol.
    pub fn molar_mass(self) -> f64 {
        self.data().molar_mass * 1e-3
    }

    /// Molar heat capacity at constant pressure, J/(mol K).
    pub fn heat_capacity(self, t: f64) -> f64 {
        let a = self.terms(t);
        R_MOLAR * (a[0] + t * (a[1] + t * (a[2] + t * (a[3] + t * a[4]))))
    }

    /// Molar enthalpy with that of formation, J/mol.
    pub fn enthalpy(self, t: f64) -> f64 {
        let a = self.terms(t);
        let sensible = t * (a[0] + t * (a[1] / 2.0 + t * (a[2] / 3.0 + t * (a[3] / 4.0 + t * a[4] / 5.0))));
        R_MOLAR * (sensible + a[5])
    }

    /// Viscosity, Pa s.
    pub fn viscosity(self, t: f64) -> f64 {
        let [a, b, c] = self.data().viscosity;
        let l = t.ln();
        (a + l * (b + l * c)).exp()
    }
}

/// Viscosity of a mixture, Pa s; `parts` are the species and their moles.
pub fn viscosity(parts: &[(Species, f64)], t: f64) -> f64 {
    let of = |s: Species| (s.viscosity(t), s.molar_mass());
    let share = |&(s, n): &(Species, f64)| {
        let (mu, m) = of(s);
        let crowd: f64 = parts
            .iter()
            .map(|&(other, moles)| {
                let (mu2, m2) = of(other);
                let root = 1.0 + (mu / mu2).sqrt() * (m2 / m).sqrt().sqrt();
                moles * root * root / (8.0 * (1.0 + m / m2)).sqrt()
            })
            .sum();
        n * mu / crowd
    };
    parts.iter().filter(|p| p.1 > 0.0).map(share).sum()
}

/// Prandtl number of air and exhaust, 0.702 to 0.712 between 300 and 1800 K (Cantera 3.2, GRI-Mech 3.0).
pub const PRANDTL: f64 = 0.707;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_ranges_meet() {
        for s in [Species::Nitrogen, Species::Oxygen, Species::CarbonDioxide, Species::Water, Species::CarbonMonoxide] {
            let (below, above) = (999.999, 1000.001);
            assert!((s.heat_capacity(below) / s.heat_capacity(above) - 1.0).abs() < 1e-3);
            assert!((s.enthalpy(below) - s.enthalpy(above)).abs() < 1.0);
        }
    }

    #[test]
    fn formation_enthalpies_are_those_of_the_tables() {
        // Water vapour -241.8, carbon dioxide -393.5 kJ/mol (standard values).
        assert!((Species::Water.enthalpy(298.15) + 241.8e3).abs() < 200.0);
        assert!((Species::CarbonDioxide.enthalpy(298.15) + 393.5e3).abs() < 200.0);
    }
}
