//! Gas and metal temperature of every run from a steady mean flow at peak power, or from a kept gas answer.
//!
//! Inside, Nu = c Re^n: 0.023 Re^0.8 Pr^0.4 of steady flow (Dittus and Boelter), 0.07 Re^0.75 and 0.18 Re^0.7 of pulsating
//! exhaust (C. Depcik, D. Assanis, SAE 2002-01-0373, from memory): the least, the middle and the greatest of the three.
//! Outside, a tube in a cross wind (S. W. Churchill, M. Bernstein, J. Heat Transfer 99 (1977) 300), with radiation.

use std::f64::consts::PI;

use geom::Centreline;
use job::catalogue::Material;
use job::heat::Cover;
use job::model::Job;
use job::routes::{Route, RunId};
use job::{Problem, Problems};
use strength::heat::{HotTube, Outside, Temperatures, Wrap};
use strength::section::Section;
use strength::table::Table;

use super::header::{MM, StrengthModel, ZERO_C, trouble};
use super::kept_gas::KeptGas;

/// Heat capacity of the products of a stoichiometric flame, J/kgK, by powers of K: fitted to Cantera (gri30), 0.3 %.
const GAS_CP: [f64; 3] = [893.7, 0.510_74, -1.245_1e-4];

/// Emissivity of oxidised tube, of bright tube, of a ceramic coat and of a wrap (handbook ranges 0.6 to 0.9, 0.2 to 0.4, 0.3 to
/// 0.6 and 0.8 to 0.95, from memory).
const EMISSIVITY: [f64; 4] = [0.8, 0.3, 0.45, 0.9];

/// Thickness of a ceramic coat, mm, and conductivity of coat and wrap, W/mK (common practice, no source; a coat 0.5 to 1.5, a wrap
/// 0.1 to 0.25).
const COAT: f64 = 0.3;
const CONDUCTIVITY: [f64; 2] = [1.0, 0.15];

/// The gas of the cylinders.
pub struct Gas<'a> {
    /// The same for each, without a kept answer, and what is around the tubes.
    pub flow: Flow,
    /// A kept gas answer of this engine and these routes.
    pub kept: Option<&'a KeptGas>,
}

impl Gas<'_> {
    /// Mass flow, kg/s, and temperature, K, of the gas that leaves a cylinder.
    fn of_cylinder(&self, number: u32) -> [f64; 2] {
        self.kept.and_then(|k| k.cylinder(number)).unwrap_or([self.flow.mass, self.flow.gas_in])
    }
}

/// The mean flow of one cylinder, and what is around the tubes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flow {
    /// kg/s.
    pub mass: f64,
    /// Gas at the port, K.
    pub gas_in: f64,
    /// Port flange, K.
    pub flange: f64,
    /// Air around the tubes, K.
    pub air: f64,
    /// Its speed, m/s.
    pub air_speed: f64,
}

impl Flow {
    /// From bore, stroke and the speed of peak power.
    ///
    /// # Errors
    /// Which of the three are missing.
    pub fn of(job: &Job) -> Result<Flow, Problems> {
        let engine = job.engine.as_ref();
        let given = [
            ("engine.bore", engine.and_then(|e| e.bore), "cylinder bore"),
            ("engine.stroke", engine.and_then(|e| e.stroke), "piston stroke"),
            ("engine.peak_power_rpm", engine.and_then(|e| e.peak_power_rpm), "engine speed of peak power"),
        ];
        let missing = |(key, value, what): &(&str, Option<f64>, &str)| {
            value.is_none().then(|| {
                let problem = Problem::error("missing", format!("the heat of the gas needs `{key}`, the {what}"));
                problem.expected("a number in [engine]").hint("add it to job.toml, or enter it on the Size step")
            })
        };
        let problems: Vec<Problem> = given.iter().filter_map(missing).collect();
        if !problems.is_empty() {
            return Err(Problems(problems));
        }
        let [bore, stroke, rpm] = given.map(|(_, value, _)| value.unwrap_or_default());
        // Air of 20 degrees Celsius, 1.2 kg/m3, 90 % of the swept volume every second turn; a thirteenth more is fuel.
        let swept = 0.25 * PI * (bore * MM).powi(2) * stroke * MM;
        let heat = &job.heat;
        Ok(Flow {
            mass: swept * 0.9 * 1.2 * rpm / 120.0 * (1.0 + 1.0 / 13.0),
            gas_in: heat.gas_c.unwrap_or(850.0) + ZERO_C,
            flange: heat.flange_c.unwrap_or(250.0) + ZERO_C,
            air: heat.air_c.unwrap_or(80.0) + ZERO_C,
            air_speed: heat.air_speed.unwrap_or(3.0),
        })
    }
}

/// Dynamic viscosity of exhaust gas, Pa s, at K: fitted to Cantera (gri30), 0.45 %.
fn viscosity(gas: f64) -> f64 {
    3.129e-7 * gas.powf(0.7055)
}

/// Conductivity of the gas, W/mK: Prandtl number 0.707.
fn conductivity(gas: f64) -> f64 {
    let cp = GAS_CP[0] + gas * (GAS_CP[1] + gas * GAS_CP[2]);
    viscosity(gas) * cp / 0.707
}

/// Heat transfer inside, W/m2K: least, middle, greatest.
fn inside(mass: f64, bore: f64, gas: f64) -> [f64; 3] {
    let reynolds = 4.0 * mass / (PI * bore * viscosity(gas));
    let mut nusselt =
        [0.023 * reynolds.powf(0.8) * 0.707_f64.powf(0.4), 0.07 * reynolds.powf(0.75), 0.18 * reynolds.powf(0.7)];
    nusselt.sort_by(f64::total_cmp);
    nusselt.map(|nu| nu * conductivity(gas) / bore)
}

/// Heat transfer to a cross wind, W/m2K; air at a film temperature of 600 K (from memory: 5.2e-5 m2/s, 0.047 W/mK, Pr 0.70).
fn outside(od: f64, speed: f64) -> f64 {
    let (reynolds, prandtl) = (speed * od / 5.2e-5, 0.70_f64);
    let turbulent = (1.0 + (reynolds / 282_000.0).powf(0.625)).powf(0.8);
    let cross = 0.62 * reynolds.sqrt() * prandtl.cbrt() / (1.0 + (0.4 / prandtl).powf(2.0 / 3.0)).powf(0.25);
    (0.3 + cross * turbulent) * 0.047 / od
}

/// What a tube of that outside diameter, m, gives its heat to.
fn surroundings(od: f64, cover: Cover, flow: &Flow) -> Outside {
    let [bare, bright, coat, wrap] = EMISSIVITY;
    let layer = |thickness: f64, k: usize| Some(Wrap { od: od + 2.0 * thickness * MM, conductivity: CONDUCTIVITY[k] });
    let (emissivity, wrap) = match cover {
        Cover::Bare => (bare, None),
        Cover::Bright => (bright, None),
        Cover::Coated => (coat, layer(COAT, 0)),
        Cover::Wrapped { thickness } => (wrap, layer(thickness, 1)),
    };
    let outer = wrap.map_or(od, |w| w.od);
    Outside { transfer: outside(outer, flow.air_speed), emissivity, air: flow.air, surroundings: flow.air, wrap }
}

/// Temperatures of a run: by the least, the middle and the greatest heat transfer inside.
pub fn temperatures(
    route: &Route,
    line: &Centreline,
    section: Section,
    metal: &Material,
    (gas, cover): (&Gas<'_>, Cover),
    before: &StrengthModel,
) -> Result<[Temperatures; 3], Problems> {
    let flow = &gas.flow;
    let (mass, gas_in, at_port) = match &route.run {
        RunId::Primary { cylinder } => {
            let [mass, leaves] = gas.of_cylinder(*cylinder);
            (mass, [leaves; 3], true)
        }
        RunId::Secondary { from } | RunId::Tail { from } => {
            let (mass, gas_in) = out_of(before, gas, from);
            (mass, gas_in, false)
        }
    };
    let along = gas.kept.and_then(|k| k.along(&route.run)).cloned();
    let typical = along.as_ref().map(|table| table.at(0.5 * line.length() * MM));
    let bore = section.od - 2.0 * section.wall;
    let rows = metal.conductivity.points.iter().filter(|p| p.0.is_finite()).map(|p| (p.0 + ZERO_C, p.1)).collect();
    let wall = Table::new(rows).unwrap_or_else(|_| Table::constant(20.0));
    let solve = |case: usize| {
        let warm = typical.unwrap_or(gas_in[case]).max(flow.air);
        let tube = HotTube {
            section,
            length: line.length() * MM,
            mass_flow: mass,
            gas_in: gas_in[case].max(flow.air),
            gas: along.clone(),
            gas_cp: GAS_CP.to_vec(),
            inside: inside(mass, bore, warm)[case],
            outside: surroundings(section.od, cover, flow),
            conductivity: wall.clone(),
            // A run behind a collector begins as hot as the collector: half way between its gas and the air.
            flange: if at_port { flow.flange } else { 0.5 * (gas_in[case] + flow.air) },
        };
        tube.solve().map_err(|e| trouble(&route.run, &e.to_string()))
    };
    Ok([solve(0)?, solve(1)?, solve(2)?])
}

fn end_of(model: &StrengthModel, collector: &str) -> strength::frame::End {
    model.collectors.iter().position(|c| c == collector).map_or(strength::frame::End::Free, strength::frame::End::Body)
}

/// Mass flow, kg/s, out of a collector, and its gas, K, by the three cases: the mean of what the runs into it bring.
fn out_of(model: &StrengthModel, gas: &Gas<'_>, collector: &str) -> (f64, [f64; 3]) {
    let end = end_of(model, collector);
    let entering = model.runs.iter().zip(&model.frame.tubes).filter(|(_, t)| t.end == end);
    let (mut flow, mut sums) = (0.0, [0.0; 3]);
    for (run, tube) in entering {
        let brings = match &run.run {
            RunId::Primary { cylinder } => gas.of_cylinder(*cylinder)[0],
            // The collectors of a job lead on and never round: this ends.
            RunId::Secondary { from } | RunId::Tail { from } if from != collector => out_of(model, gas, from).0,
            _ => 0.0,
        };
        flow += brings;
        for (sum, case) in sums.iter_mut().zip(&run.temperatures) {
            *sum += brings * case.gas(tube.line.length() * MM);
        }
    }
    if flow > 0.0 { (flow, sums.map(|s| s / flow)) } else { (gas.flow.mass, [gas.flow.gas_in; 3]) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coefficients_lie_where_handbooks_have_them() {
        // 41 mm bore, 0.02 kg/s of gas at 1100 K.
        let [least, middle, most] = inside(0.02, 0.041, 1100.0);
        assert!(least < middle && middle < most);
        assert!((40.0..150.0).contains(&least) && (100.0..500.0).contains(&most), "{least} {most}");
        assert!((15.0..60.0).contains(&outside(0.04445, 3.0)), "{}", outside(0.04445, 3.0));
    }
}
