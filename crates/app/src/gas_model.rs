//! The engine and pipes that a gas simulation runs, made from a job and its routes.
//!
//! Every primary is one pipe from the exhaust valve through the port in the head and along its route; every collector is
//! a junction and a pipe from it through body, cone and the secondary or tail behind, to the next junction or the air. A
//! divided flange belongs to a turbo: each of its entries ends in a throat, both throats open into one small volume before
//! the wheel, and the wheel is a nozzle.

mod defaults;
mod needed;
mod pipes;
mod units;

use std::f64::consts::PI;

pub use defaults::Assumed;
use defaults::{Gear, Ledger, Sampler, gears};
use gas::cylinder::{Burn, Geometry, ValveGear};
use gas::engine::{Engine, Friction, Link, Pipe};
use job::Problems;
use job::model::{Cam, Job};
use job::routes::Routes;
pub use needed::{NEEDED, Needed};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use units::{AIR, END_CORRECTION, MM};
use utoipa::ToSchema;

/// A size of a header.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum Size {
    /// Length of every primary from the port face.
    Length,
    /// Inside diameter of every primary.
    Diameter,
    /// Inside diameter of the outlet of every collector.
    Outlet,
}

/// A job's engine, ready to be computed.
#[derive(Debug, Clone)]
pub struct GasModel {
    /// What the solver runs.
    pub engine: Engine,
    /// The cylinders of the job's ports, in their order: cylinder of number i of the engine above. Pipe i is its primary.
    pub cylinders: Vec<u32>,
    /// Length of each primary from the port face to where it ends in its collector, mm.
    pub primaries: Vec<f64>,
    /// Names of the pipes of the exhaust, in the order of the engine's pipes.
    pub names: Vec<String>,
    /// Collector of each junction.
    pub collectors: Vec<String>,
    /// What the job does not give.
    pub assumed: Vec<Assumed>,
    /// What was left out or simplified, in words.
    pub notes: Vec<String>,
}

impl GasModel {
    /// A mark of everything that goes into the gas: a kept answer with another mark is of another engine or other routes.
    pub fn mark(&self) -> String {
        let all = format!("{:?} {:?} {:?}", self.engine, self.cylinders, self.names);
        Sha256::digest(all).iter().take(8).map(|b| format!("{b:02x}")).collect()
    }
}

/// Makes the model of a job.
///
/// # Errors
/// Every number that is missing, everything that cannot be, every route that is not there.
pub fn gas_model(job: &Job, routes: &Routes) -> Result<GasModel, Problems> {
    model(job, routes, Ledger::default())
}

/// The model with everything that the job does not give picked at random between its low and high, by a seed.
///
/// # Errors
/// As [`gas_model`].
pub fn gas_model_sampled(job: &Job, routes: &Routes, seed: u64) -> Result<GasModel, Problems> {
    model(job, routes, Ledger { sampler: Some(Sampler(seed)), ..Ledger::default() })
}

/// Seed of a sample.
pub(crate) fn sample_seed(seed: u64, sample: usize) -> u64 {
    seed.wrapping_mul(1_000_003).wrapping_add(sample as u64)
}

fn model(job: &Job, routes: &Routes, mut ledger: Ledger) -> Result<GasModel, Problems> {
    let given = needed::needed(job)?;
    needed::check(job, &given)?;
    let [exhaust, intake] = gears(&mut ledger, given.engine, given.bore);
    needed::check_valves(&given, &[exhaust, intake])?;
    let mut notes = Vec::new();
    let firing = given.cylinders.iter().map(|c| given.firing(*c)).collect();
    let mut built = pipes::exhaust(job, routes, &given, &exhaust, &mut ledger, &mut notes)?;
    intake_pipes(&mut ledger, &given, &intake, &mut built);
    let engine = Engine {
        geometry: geometry(&mut ledger, &given),
        firing,
        exhaust: valve(
            &exhaust,
            &given.exhaust_cam,
            [PI - given.exhaust_cam.opens, 2.0 * PI + given.exhaust_cam.closes],
        ),
        intake: valve(
            &intake,
            &given.intake_cam,
            [2.0 * PI - given.intake_cam.opens, 3.0 * PI + given.intake_cam.closes],
        ),
        burn: burn(&mut ledger),
        wall_k: ledger.assume(
            "cylinder_wall_k",
            "mean temperature of head, piston and liner",
            [450.0, 400.0, 520.0],
            "K",
            "common practice, no source",
        ),
        friction: friction(&mut ledger),
        pipes: built.pipes,
        merging: built.merging,
        surroundings: built.surroundings,
        plenums: built.plenums,
        reference: AIR,
    };
    if given.cylinders.len() < given.engine.cylinders as usize {
        notes.push(format!(
            "torque and power are those of the {} cylinders of this header, not of all {}",
            given.cylinders.len(),
            given.engine.cylinders
        ));
    }
    Ok(GasModel {
        engine,
        cylinders: given.cylinders,
        primaries: built.primaries,
        names: built.names,
        collectors: built.collectors,
        assumed: ledger.assumed,
        notes,
    })
}

impl GasModel {
    /// The same with primaries of other lengths, mm; everything along a primary moves in proportion.
    pub fn with_primaries(&self, lengths: &[f64]) -> GasModel {
        let mut changed = self.clone();
        for (i, (length, old)) in lengths.iter().zip(&self.primaries).enumerate() {
            let pipe = &mut changed.engine.pipes[i];
            let head = pipe.length - old * MM;
            let place = |x: f64| if x > head { head + (x - head) * length / old } else { x };
            pipe.length = place(pipe.length);
            pipe.profile.iter_mut().for_each(|p| p.0 = place(p.0));
            for (from, to, _) in &mut pipe.bends {
                (*from, *to) = (place(*from), place(*to));
            }
        }
        changed.primaries = lengths.to_vec();
        changed
    }
}

impl GasModel {
    /// A size as drawn, mm; the mean of lengths, the first of several collectors.
    pub fn drawn(&self, size: Size) -> f64 {
        match size {
            Size::Length => self.primaries.iter().sum::<f64>() / self.primaries.len() as f64,
            Size::Diameter => self.engine.pipes[0].profile.last().map_or(0.0, |p| p.1 / MM),
            Size::Outlet => self.trunks().next().map_or(0.0, |k| outlet_of(&self.engine.pipes[k]) / MM),
        }
    }

    /// Pipes from a cylinder's exhaust valves to where the exhaust ends.
    pub(crate) fn path(&self, cylinder: usize) -> Vec<usize> {
        let mut pipes = vec![cylinder];
        while let Some(next) = pipes.last().and_then(|k| self.behind(*k)).filter(|n| !pipes.contains(n)) {
            pipes.push(next);
        }
        pipes
    }

    /// The pipe behind another one's collector.
    fn behind(&self, pipe: usize) -> Option<usize> {
        let junction = joins(self.engine.pipes[pipe].ends[1])?;
        self.engine.merging.iter().find(|m| m.junction == junction).map(|m| m.trunk)
    }

    /// Name of a junction's collector.
    pub(crate) fn collector(&self, junction: usize) -> Option<String> {
        self.collectors.get(junction).cloned()
    }

    /// Pipes behind collectors.
    fn trunks(&self) -> impl Iterator<Item = usize> {
        self.engine.merging.iter().map(|m| m.trunk)
    }

    /// Gives every primary another inside diameter, mm, from the port face on; collectors begin with their area.
    pub(crate) fn set_diameter(&mut self, diameter: f64) {
        let old = self.drawn(Size::Diameter) * MM;
        let new = diameter * MM;
        for pipe in &mut self.engine.pipes[..self.primaries.len()] {
            // What begins at the valves is their throat.
            pipe.profile.iter_mut().for_each(|p| p.1 = if p.0 > 0.0 { new } else { p.1.min(new) });
        }
        let fed: Vec<usize> =
            self.engine.pipes[..self.primaries.len()].iter().filter_map(|p| joins(p.ends[1])).collect();
        let trunks: Vec<usize> = self.trunks().collect();
        for k in trunks {
            let pipe = &mut self.engine.pipes[k];
            if joins(pipe.ends[0]).is_some_and(|j| fed.contains(&j)) {
                let inside = pipe.profile[0].1;
                let same = |d: f64| (d - inside).abs() < 1e-6;
                pipe.profile.iter_mut().take_while(|p| same(p.1)).for_each(|p| p.1 *= new / old);
            }
        }
    }

    /// Gives every collector's outlet another inside diameter, mm; what is behind it stays.
    pub(crate) fn set_outlet(&mut self, outlet: f64) {
        let trunks: Vec<usize> = self.trunks().collect();
        for k in trunks {
            let pipe = &mut self.engine.pipes[k];
            let old = outlet_of(pipe);
            let inside = pipe.profile[0].1;
            pipe.profile.iter_mut().filter(|p| (p.1 - old).abs() < 1e-6).for_each(|p| p.1 = outlet * MM);
            pipe.profile[0].1 = inside;
        }
    }
}

/// The junction that an end leads to.
fn joins(link: Link) -> Option<usize> {
    if let Link::Junction(j) = link { Some(j) } else { None }
}

/// Narrowest inside diameter of a collector and what is behind it: its outlet, m.
fn outlet_of(pipe: &Pipe) -> f64 {
    pipe.profile.iter().map(|p| p.1).fold(f64::INFINITY, f64::min)
}

fn geometry(ledger: &mut Ledger, given: &needed::Given<'_>) -> Geometry {
    let e = given.engine;
    let rod = [1.7, 1.5, 2.0].map(|part| part * given.stroke);
    let rod = ledger.given(e.rod_length, "engine.rod_length", "length of the connecting rod", rod, "mm");
    let ratio =
        ledger.given(e.compression_ratio, "engine.compression_ratio", "compression ratio", [10.5, 8.5, 13.5], "");
    Geometry { bore: given.bore * MM, stroke: given.stroke * MM, rod: rod * MM, compression_ratio: ratio }
}

fn valve(gear: &Gear, cam: &Cam, [opens, closes]: [f64; 2]) -> ValveGear {
    ValveGear {
        count: gear.count,
        diameter: gear.diameter * MM,
        lift: gear.lift * MM,
        opens,
        closes,
        timed_at_lift: cam.timed_at_lift * MM,
        discharge: gear.discharge,
    }
}

fn burn(ledger: &mut Ledger) -> Burn {
    let practice = "common practice, no source";
    let start = [22.0, 10.0, 35.0];
    let start = ledger.assume("burn_start_deg", "start of burning before top dead centre", start, "deg", practice);
    let duration = [55.0, 40.0, 75.0];
    let duration = ledger.assume("burn_duration_deg", "duration of burning", duration, "deg", practice);
    let heat = ledger.assume(
        "charge_heat_mj_kg",
        "heat of a kilogram of fresh charge; less than the fuel's, for unburned fuel and dissociation",
        [2.5, 2.2, 2.8],
        "MJ/kg",
        "44 MJ/kg of petrol in a 13 to 1 mixture is 3.1 (textbook value, from memory), less a fifth (common practice)",
    );
    Burn { start: -start.to_radians(), duration: duration.to_radians(), a: 5.0, m: 2.0, heat: heat * 1e6 }
}

fn friction(ledger: &mut Ledger) -> Friction {
    let base = ledger.assume(
        "friction_base_kpa",
        "friction as mean pressure, its constant part; with 0.5 % of the peak pressure, 9 kPa per m/s of mean piston speed \
         and 0.09 kPa per its square",
        [40.0, 25.0, 60.0],
        "kPa",
        "form of S. K. Chen and P. F. Flynn, SAE 650733 (from memory)",
    );
    Friction { base: base * 1e3, by_peak: 0.005, by_speed: 9.0e3, by_square: 90.0 }
}

/// Intake runners from the air or a plenum to the valves.
fn intake_pipes(ledger: &mut Ledger, given: &needed::Given<'_>, gear: &Gear, built: &mut pipes::Built) {
    let intake = given.engine.breathing.intake;
    let length = intake.map(|i| i.runner_length);
    let length =
        ledger.given(length, "engine.intake.runner_length", "length of an intake runner", [350.0, 150.0, 500.0], "mm");
    let usual = [0.90, 0.80, 1.05].map(|part| part * gear.diameter * f64::from(gear.count).sqrt());
    let diameter = intake.map(|i| i.runner_diameter);
    let diameter =
        ledger.given(diameter, "engine.intake.runner_diameter", "inside diameter of an intake runner", usual, "mm");
    let wall = "wall temperature of the intake";
    let wall_k = ledger.assume("intake_wall_k", wall, [320.0, 300.0, 360.0], "K", "common practice, no source");
    let p = AIR[0] + intake.map_or(0.0, |i| i.boost_kpa * 1e3);
    built.surroundings.push([p, AIR[1], 0.0]);
    let source = built.surroundings.len() - 1;
    let pipe = |ends, length: f64, d: f64| Pipe {
        ends,
        profile: vec![(0.0, d * MM)],
        length: length * MM,
        bends: Vec::new(),
        roughness: 30e-6,
        wall_k,
        heat_factor: 1.0,
        start: [p, AIR[1], 0.0],
    };
    let mut from = Link::Open(source);
    if let Some(i) = intake.filter(|i| i.plenum_volume_l.is_some()) {
        let plenum = Link::Plenum(built.plenums.len());
        built.plenums.push([i.plenum_volume_l.unwrap_or(1.0) * 1e-3, p, AIR[1], 0.0]);
        let usual = given.bore * 0.75;
        let throttle = ledger.given(
            i.throttle_diameter,
            "engine.intake.throttle_diameter",
            "diameter of the throttle",
            [usual, 0.6 * given.bore, 0.95 * given.bore],
            "mm",
        );
        built.pipes.push(pipe([from, plenum], 100.0, throttle));
        from = plenum;
    }
    let mouth = END_CORRECTION * 0.5 * diameter;
    for c in 0..given.cylinders.len() {
        built.pipes.push(pipe([from, Link::Intake(c)], length + mouth, diameter));
    }
}
