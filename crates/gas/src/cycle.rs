//! Cycles of an engine until they repeat, and what one of them comes to.
//!
//! Settled: from one cycle to the next no cylinder's trapped mass and no cylinder's work changes by more than
//! [`Settings::tolerance`] of itself; or by up to five times that, but so much less than in the cycle before that
//! all further changes, taken to fall by the same ratio r, come to 0.3 of the tolerance: change r / (1 - r). The error
//! falls three- to tenfold a cycle.

use std::f64::consts::PI;

use crate::cylinder::CYCLE;
use crate::engine::{Engine, EngineError, Running};
use crate::trace::{Record, Recorder};

/// What may be left of the changes of all further cycles, over the tolerance.
const LEFT: f64 = 0.3;
/// Most that the change of a last cycle may be, over the tolerance.
const MOST_CHANGE: f64 = 5.0;

/// How finely and how long.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Length of a cell, m.
    pub dx: f64,
    /// Change from cycle to cycle at which it has settled.
    pub tolerance: f64,
    /// Cycles after which it is given up.
    pub most_cycles: usize,
    /// Crank angles that are kept of the last cycle, 0: none.
    pub trace: usize,
}

impl Default for Settings {
    fn default() -> Self {
        Settings { dx: 0.020, tolerance: 1e-3, most_cycles: 30, trace: 0 }
    }
}

/// One cylinder over a settled cycle.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CylinderCycle {
    /// Mass in it when the intake valve has closed, kg.
    pub trapped: f64,
    /// Its burned part: what the last cycle left.
    pub residual: f64,
    /// Fresh gas that came through the intake valves, kg.
    pub inducted: f64,
    /// Net work on the piston, J.
    pub work: f64,
    /// Work of the exhaust and intake strokes, J; negative when the piston pumps.
    pub pumping: f64,
    /// Greatest pressure, Pa.
    pub peak: f64,
    /// Total temperature of what leaves by the exhaust valves over the cycle, mixed, K.
    pub exhaust_k: f64,
    /// Heat to the walls, J.
    pub wall_heat: f64,
}

/// One engine speed.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Engine speed, rpm.
    pub rpm: f64,
    /// Torque at the crank, N m.
    pub torque: f64,
    /// Power, W.
    pub power: f64,
    /// Fresh gas over what the swept volume holds of reference air.
    pub volumetric_efficiency: f64,
    /// Net indicated, pumping and friction mean pressure, Pa.
    pub indicated: f64,
    /// See `indicated`.
    pub pumping: f64,
    /// See `indicated`.
    pub friction: f64,
    /// The cylinders.
    pub cylinders: Vec<CylinderCycle>,
    /// Cycles computed.
    pub cycles: usize,
    /// Greatest change of the last one.
    pub residual: f64,
    /// Whether that is within the tolerance.
    pub settled: bool,
    /// Cell updates.
    pub updates: u64,
    /// What was kept of the last cycle, when asked for.
    pub record: Option<Record>,
}

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CycleError {
    /// The engine cannot be computed.
    #[error(transparent)]
    Engine(#[from] EngineError),
    /// It was stopped.
    #[error("stopped")]
    Stopped,
    /// The gas took values that no gas has.
    #[error("the gas came to impossible values at {0} rpm")]
    Broken(f64),
}

/// Runs an engine at one speed after another, each beginning with the gas of the one before.
pub struct Sweep<'a> {
    engine: &'a Engine,
    settings: Settings,
    running: Running,
}

impl<'a> Sweep<'a> {
    /// Makes the engine ready.
    ///
    /// # Errors
    /// [`EngineError`].
    pub fn new(engine: &'a Engine, settings: Settings) -> Result<Sweep<'a>, EngineError> {
        Ok(Sweep { engine, settings, running: engine.start(settings.dx)? })
    }

    /// The engine as it stands.
    pub fn running(&self) -> &Running {
        &self.running
    }

    /// Runs to a settled cycle at `rpm`; `go_on` is called after every cycle with its number and change, and stops it by
    /// `false`.
    ///
    /// # Errors
    /// [`CycleError`].
    pub fn run(&mut self, rpm: f64, mut go_on: impl FnMut(usize, f64) -> bool) -> Result<Point, CycleError> {
        let turn = rpm * 2.0 * PI / 60.0;
        let mut last: Option<Vec<CylinderCycle>> = None;
        let (mut updates, mut before) = (0, f64::INFINITY);
        for cycle in 1.. {
            let (now, record, steps) = self.cycle(turn);
            updates += steps;
            let change = last.map_or(f64::INFINITY, |last| change(&last, &now));
            if !now.iter().all(|c| c.work.is_finite() && c.trapped > 0.0) {
                return Err(CycleError::Broken(rpm));
            }
            if !go_on(cycle, change) {
                return Err(CycleError::Stopped);
            }
            let settled = settles(change, before, self.settings.tolerance);
            before = change;
            if settled || cycle >= self.settings.most_cycles {
                return Ok(self.point(rpm, now, record, (cycle, change, settled, updates)));
            }
            last = Some(now);
        }
        unreachable!("the loop ends at the last cycle")
    }

    fn cycle(&mut self, turn: f64) -> (Vec<CylinderCycle>, Option<Record>, u64) {
        let n = self.engine.firing.len();
        let cells: usize = self.running.network.field.spans().iter().map(|s| s.cells).sum();
        let mut sums = vec![CylinderCycle::default(); n];
        let mut heat = vec![[0.0; 2]; n];
        let angles = self.settings.trace;
        let mut recorder = (angles > 0).then(|| Recorder::new(self.engine, &self.running, angles));
        for cylinder in &mut self.running.cylinders {
            cylinder.start_cycle();
        }
        self.running.angle = 0.0;
        let mut steps = 0;
        loop {
            let from = self.running.angle;
            let dt = self.running.step(self.engine, turn);
            steps += cells as u64;
            for c in 0..n {
                let angles = self.engine.own_angles(c, [from, self.running.angle]);
                self.record(c, angles, dt, &mut sums[c], &mut heat[c]);
            }
            if let Some(recorder) = &mut recorder {
                recorder.see(self.engine, &self.running, from, dt * turn, dt);
            }
            if self.running.angle == 0.0 || !dt.is_finite() {
                break;
            }
        }
        for (c, sum) in sums.iter_mut().enumerate() {
            let cylinder = &self.running.cylinders[c];
            (sum.work, sum.pumping) = (cylinder.work, cylinder.pumping);
            (sum.peak, sum.wall_heat) = (cylinder.peak, cylinder.wall_heat);
            sum.exhaust_k = self.temperature_of(heat[c][1] / heat[c][0].max(1e-12));
        }
        (sums, recorder.map(Recorder::finish), steps)
    }

    fn point(
        &self,
        rpm: f64,
        cylinders: Vec<CylinderCycle>,
        record: Option<Record>,
        end: (usize, f64, bool, u64),
    ) -> Point {
        let (cycles, residual, settled, updates) = end;
        let g = &self.engine.geometry;
        let n = cylinders.len() as f64;
        let mean = |pick: fn(&CylinderCycle) -> f64| cylinders.iter().map(pick).sum::<f64>() / n;
        let swept = g.displacement();
        let speed = 2.0 * g.stroke * rpm / 60.0;
        let friction = self.engine.friction.mean_pressure(mean(|c| c.peak), speed);
        let indicated = mean(|c| c.work) / swept;
        let torque = (indicated - friction) * swept * n / CYCLE;
        let [p, t] = self.engine.reference;
        let air = p / (self.running.network.field.medium.fresh.r * t);
        Point {
            rpm,
            torque,
            power: torque * rpm * 2.0 * PI / 60.0,
            volumetric_efficiency: mean(|c| c.inducted) / (air * swept),
            indicated,
            pumping: mean(|c| c.pumping) / swept,
            friction,
            cylinders,
            cycles,
            residual,
            settled,
            updates,
            record,
        }
    }

    /// Adds a step of `dt` s between two angles of cylinder `c`.
    fn record(&self, c: usize, [from, to]: [f64; 2], dt: f64, sum: &mut CylinderCycle, heat: &mut [f64; 2]) {
        let running = &self.running;
        let [(ek, eat), (ik, iat)] = running.ports[c];
        // Out of the intake pipe is into the cylinder.
        let [mass, _, burned] = running.network.flow(ik, iat);
        sum.inducted += (mass - burned) * dt;
        let [out, energy, _] = running.network.flow(ek, eat);
        if out < 0.0 {
            heat[0] -= out * dt;
            heat[1] -= energy * dt;
        }
        let closes = running.intake.closes.rem_euclid(CYCLE);
        if from <= closes && closes < to {
            let vessel = &running.network.vessels[c];
            (sum.trapped, sum.residual) = (vessel.mass, vessel.burned / vessel.mass);
        }
    }

    /// Temperature of burned gas of a specific enthalpy, K.
    fn temperature_of(&self, enthalpy: f64) -> f64 {
        use crate::medium::Medium;
        let medium = &self.running.network.field.medium;
        let r = medium.burned.r;
        // h = e + R T(e): two steps of Newton's method from a good guess.
        let mut e = 0.78 * enthalpy;
        for _ in 0..3 {
            let t = medium.thermal(e, 1.0);
            e -= (e + r * t.t - enthalpy) / (1.0 + r * t.t_e);
        }
        medium.thermal(e, 1.0).t
    }
}

/// Whether the last change is small enough; `before` is that of the cycle before.
fn settles(change: f64, before: f64, tolerance: f64) -> bool {
    let ratio = change / before;
    let left = change * ratio / (1.0 - ratio);
    let falls = before.is_finite() && ratio < 1.0;
    change <= tolerance || (falls && change <= MOST_CHANGE * tolerance && left <= LEFT * tolerance)
}

/// Greatest change of trapped mass and work, over themselves.
fn change(a: &[CylinderCycle], b: &[CylinderCycle]) -> f64 {
    let part = |a: f64, b: f64| ((a - b) / b.abs().max(1e-12)).abs();
    a.iter().zip(b).map(|(a, b)| part(a.trapped, b.trapped).max(part(a.work, b.work))).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_small_change_alone_settles_nothing() {
        assert!(!settles(4e-3, f64::INFINITY, 1e-3));
        assert!(settles(4e-3, 0.2, 1e-3), "what is left falls fiftyfold");
        assert!(!settles(4e-3, 5e-3, 1e-3) && settles(9e-4, f64::INFINITY, 1e-3));
    }
}
