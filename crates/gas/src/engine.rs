//! An engine with its pipes, as data, and the network made from it.

use std::f64::consts::PI;

use crate::cylinder::{Burn, CYCLE, Cylinder, Geometry, Moving, Valve, ValveGear};
use crate::field::{At, Duct, Wall};
use crate::junction::Merge;
use crate::medium::Mixture;
use crate::network::{End, Network};
use crate::vessel::Vessel;

/// What is at an end of a pipe of an engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Link {
    /// A wall.
    Closed,
    /// The exhaust valves of a cylinder, counted from 0.
    Exhaust(usize),
    /// The intake valves of a cylinder.
    Intake(usize),
    /// A junction of this number.
    Junction(usize),
    /// Open to the surroundings of this number.
    Open(usize),
    /// A nozzle of this effective area, m2, to the surroundings of this number.
    Nozzle(usize, f64),
    /// A plenum of this number.
    Plenum(usize),
    /// An opening of this effective area, m2, to a plenum of this number.
    Throat(usize, f64),
}

/// A pipe from its start to its finish; lengths in m.
#[derive(Debug, Clone, PartialEq)]
pub struct Pipe {
    /// What is at both ends.
    pub ends: [Link; 2],
    /// Inside diameter at places along it, both ascending, straight cones between; at least one.
    pub profile: Vec<(f64, f64)>,
    /// Length, end corrections included.
    pub length: f64,
    /// Bends: from, to and loss coefficient beside friction.
    pub bends: Vec<(f64, f64, f64)>,
    /// Roughness of the wall.
    pub roughness: f64,
    /// Wall temperature, K.
    pub wall_k: f64,
    /// Heat transfer over that of steady flow.
    pub heat_factor: f64,
    /// Start: pressure, Pa, temperature, K, and burned fraction.
    pub start: [f64; 3],
}

impl Pipe {
    /// Inside diameter at a place, m.
    pub fn diameter(&self, x: f64) -> f64 {
        let p = &self.profile;
        let i = p.partition_point(|(at, _)| *at <= x);
        if i == 0 {
            return p[0].1;
        }
        if i == p.len() {
            return p[i - 1].1;
        }
        let ((a, from), (b, to)) = (p[i - 1], p[i]);
        from + (to - from) * (x - a) / (b - a)
    }

    fn duct(&self, dx: f64) -> Duct {
        let cells = ((self.length / dx).round() as usize).max(1);
        let dx = self.length / cells as f64;
        let area = |i: usize| {
            let d = self.diameter(i as f64 * dx);
            0.25 * PI * d * d
        };
        let wall = |i: usize| {
            let (from, to) = (i as f64 * dx, (i + 1) as f64 * dx);
            let overlap = |a: f64, b: f64| (to.min(b) - from.max(a)).max(0.0);
            let part = |&(a, b, k): &(f64, f64, f64)| if b > a { k * overlap(a, b) / (b - a) } else { 0.0 };
            let loss = self.bends.iter().map(part).sum::<f64>() / dx;
            let d = self.diameter(0.5 * (from + to));
            Wall {
                friction: None,
                roughness: self.roughness / d,
                loss,
                temperature: Some(self.wall_k),
                heat_factor: self.heat_factor,
            }
        };
        Duct { dx, areas: (0..=cells).map(area).collect(), walls: (0..cells).map(wall).collect() }
    }
}

/// Pipes that merge into one at an angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Merging {
    /// The junction.
    pub junction: usize,
    /// The pipe that the others merge into.
    pub trunk: usize,
    /// Angle of every other pipe to its axis, rad.
    pub lean: f64,
}

/// An engine and everything its gas flows through.
#[derive(Debug, Clone, PartialEq)]
pub struct Engine {
    /// Sizes of every cylinder.
    pub geometry: Geometry,
    /// Crank angle at which each cylinder fires, rad from 0 to 4 pi; one for each cylinder that is computed.
    pub firing: Vec<f64>,
    /// Exhaust valves; angles from the cylinder's own firing.
    pub exhaust: ValveGear,
    /// Intake valves.
    pub intake: ValveGear,
    /// Burning.
    pub burn: Burn,
    /// Temperature of the walls of the cylinder, K.
    pub wall_k: f64,
    /// Friction as a mean pressure, Pa.
    pub friction: Friction,
    /// Pipes, exhaust and intake.
    pub pipes: Vec<Pipe>,
    /// Junctions whose pipes merge.
    pub merging: Vec<Merging>,
    /// Surroundings: pressure, Pa, temperature, K, burned fraction.
    pub surroundings: Vec<[f64; 3]>,
    /// Plenums: volume in m3, first pressure, temperature and burned fraction.
    pub plenums: Vec<[f64; 4]>,
    /// Air that volumetric efficiency is counted against: pressure, Pa, and temperature, K.
    pub reference: [f64; 2],
}

/// Friction mean pressure, Pa: base + by_peak times the greatest pressure + by_speed S + by_square S^2, with S the mean
/// piston speed in m/s (form of S. K. Chen and P. F. Flynn, SAE 650733, from memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    /// Pa.
    pub base: f64,
    /// Part of the greatest pressure.
    pub by_peak: f64,
    /// Pa s/m.
    pub by_speed: f64,
    /// Pa s2/m2.
    pub by_square: f64,
}

impl Friction {
    /// Mean pressure, Pa, for a greatest pressure in Pa and a mean piston speed in m/s.
    pub fn mean_pressure(&self, peak: f64, speed: f64) -> f64 {
        self.base + self.by_peak * peak + self.by_speed * speed + self.by_square * speed * speed
    }
}

/// Why an engine cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum EngineError {
    /// A pipe without length, diameter or with numbers that are not finite.
    #[error("pipe {0} has no length or diameter")]
    Pipe(usize),
    /// A pipe leads to a cylinder, plenum or surroundings that are not there.
    #[error("pipe {0} leads to nothing")]
    Link(usize),
    /// A cylinder without a pipe at its exhaust or intake valves.
    #[error("cylinder {0} has no pipe at one of its valves")]
    Bare(usize),
    /// A valve that opens after it closes, or for a whole cycle, or has no lift.
    #[error("a valve's timing or lift cannot be")]
    Valve,
    /// Bore, stroke, rod or ratio that no crank can have.
    #[error("the sizes of the cylinder cannot be")]
    Geometry,
}

/// An engine that can be run.
#[derive(Clone)]
pub struct Running {
    /// The gas.
    pub network: Network<Mixture>,
    pub(crate) cylinders: Vec<Cylinder>,
    pub(crate) exhaust: Valve,
    pub(crate) intake: Valve,
    /// Pipe and end at each cylinder's exhaust and intake valves.
    pub(crate) ports: Vec<[(usize, At); 2]>,
    /// Crank angle since the start of the cycle, rad.
    pub(crate) angle: f64,
}

impl Engine {
    fn check(&self) -> Result<(), EngineError> {
        let g = &self.geometry;
        let positive = |v: f64| v > 0.0 && v.is_finite();
        let sized = [g.bore, g.stroke, g.rod].into_iter().all(positive) && g.rod > 0.5 * g.stroke;
        if !(sized && g.compression_ratio > 1.5 && g.compression_ratio < 50.0) || self.firing.is_empty() {
            return Err(EngineError::Geometry);
        }
        for v in [&self.exhaust, &self.intake] {
            let open = v.closes - v.opens;
            if !(open > 0.1 && open < 3.0 * PI && positive(v.lift) && positive(v.diameter) && v.count > 0) {
                return Err(EngineError::Valve);
            }
        }
        for (k, pipe) in self.pipes.iter().enumerate() {
            let sized = positive(pipe.length) && !pipe.profile.is_empty();
            if !sized || !pipe.profile.iter().all(|(x, d)| x.is_finite() && positive(*d)) {
                return Err(EngineError::Pipe(k));
            }
            let found = |link: &Link| match *link {
                Link::Closed | Link::Junction(_) => true,
                Link::Exhaust(c) | Link::Intake(c) => c < self.firing.len(),
                Link::Open(s) | Link::Nozzle(s, _) => s < self.surroundings.len(),
                Link::Plenum(p) | Link::Throat(p, _) => p < self.plenums.len(),
            };
            if !pipe.ends.iter().all(found) {
                return Err(EngineError::Link(k));
            }
        }
        Ok(())
    }

    /// The angles of cylinder `c` from its own firing at two crank angles, the second after the first: one step ends to the last
    /// bit where the next begins, so that what happens at an angle happens once.
    pub(crate) fn own_angles(&self, c: usize, angles: [f64; 2]) -> [f64; 2] {
        own_angles(self.firing[c], angles)
    }

    fn port(&self, link: Link) -> Option<(usize, At)> {
        self.pipes.iter().enumerate().find_map(|(k, pipe)| {
            let side = pipe.ends.iter().position(|l| *l == link)?;
            Some((k, if side == 0 { At::Start } else { At::Finish }))
        })
    }

    /// Makes the network with cells of about `dx` m.
    ///
    /// # Errors
    /// [`EngineError`].
    pub fn start(&self, dx: f64) -> Result<Running, EngineError> {
        self.check()?;
        let medium = Mixture::air_and_octane();
        let n = self.firing.len();
        let ducts: Vec<Duct> = self.pipes.iter().map(|p| p.duct(dx)).collect();
        let end = |link: &Link, pipe: &Pipe, x: f64| match *link {
            Link::Closed => End::Closed,
            Link::Exhaust(c) | Link::Intake(c) => End::Vessel(c, 0.0),
            Link::Junction(j) => End::Junction(j),
            Link::Open(s) => End::Open(s),
            Link::Nozzle(s, area) => End::Nozzle(s, area),
            Link::Throat(p, area) => End::Vessel(n + p, area),
            Link::Plenum(p) => {
                let d = pipe.diameter(x);
                End::Vessel(n + p, 0.25 * PI * d * d)
            }
        };
        let ends = self.pipes.iter().map(|p| [end(&p.ends[0], p, 0.0), end(&p.ends[1], p, p.length)]).collect();
        let mut network = Network::new(medium, &ducts, ends, |k, _| {
            let [p, t, burned] = self.pipes[k].start;
            crate::ends::Reservoir::new(&medium, p, t, burned).state()
        });
        for m in &self.merging {
            let Some(junction) = network.junctions.get_mut(m.junction) else { continue };
            let trunk = junction.pipes.iter().position(|(k, _)| *k == m.trunk);
            let cosine = vec![m.lean.cos(); junction.pipes.len()];
            junction.merge = trunk.map(|trunk| Merge { trunk, cosine });
        }
        for [p, t, burned] in &self.surroundings {
            network.add_outside(*p, *t, *burned);
        }
        let [p, t] = self.reference;
        for firing in &self.firing {
            let angle = (-firing).rem_euclid(CYCLE);
            let mut vessel = Vessel::new(&medium, self.geometry.volume(angle), p, t, 0.0);
            vessel.moves = true;
            network.vessels.push(vessel);
        }
        for [volume, p, t, burned] in &self.plenums {
            network.vessels.push(Vessel::new(&medium, *volume, *p, *t, *burned));
        }
        let ports = (0..n).map(|c| Some([self.port(Link::Exhaust(c))?, self.port(Link::Intake(c))?]));
        let ports = ports.enumerate().map(|(c, p)| p.ok_or(EngineError::Bare(c))).collect::<Result<_, _>>()?;
        Ok(Running {
            network,
            cylinders: vec![Cylinder::new(&self.geometry, p, t); n],
            exhaust: self.exhaust.valve(),
            intake: self.intake.valve(),
            ports,
            angle: 0.0,
        })
    }
}

fn own_angles(firing: f64, angles: [f64; 2]) -> [f64; 2] {
    let [from, to] = angles.map(|angle| (angle - firing).rem_euclid(CYCLE));
    [from, if to <= from { to + CYCLE } else { to }]
}

impl Running {
    /// One step of at most `longest` seconds at `turn` rad/s; `seen` is called with each cylinder's number, angle before
    /// and after. Stops at the end of a cycle. Returns the step, s.
    pub(crate) fn step(&mut self, engine: &Engine, turn: f64) -> f64 {
        let most = (1.0_f64.to_radians() / turn).min(self.network.longest_step());
        let left = (CYCLE - self.angle) / turn;
        let dt = if left <= most {
            left
        } else if left < 2.0 * most {
            0.5 * left
        } else {
            most
        };
        let middle = self.angle + 0.5 * dt * turn;
        for (c, ports) in self.ports.iter().enumerate() {
            let own = (middle - engine.firing[c]).rem_euclid(CYCLE);
            for ((k, at), valve) in ports.iter().zip([&self.exhaust, &self.intake]) {
                self.network.ends[*k][*at as usize] = End::Vessel(c, valve.area(own));
            }
        }
        self.network.step(dt);
        let medium = self.network.field.medium;
        let m = Moving {
            geometry: &engine.geometry,
            burn: &engine.burn,
            wall_k: engine.wall_k,
            intake_closes: self.intake.closes,
            exhaust_opens: self.exhaust.opens,
            turn,
        };
        let next = if left <= most { 0.0 } else { self.angle + dt * turn };
        for (c, cylinder) in self.cylinders.iter_mut().enumerate() {
            let [from, to] = engine.own_angles(c, [self.angle, next]);
            cylinder.advance(&mut self.network.vessels[c], &medium, &m, from, to, dt);
        }
        self.angle = next;
        dt
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_of_a_cylinder_join_to_the_last_bit_and_fill_its_cycle() {
        for firing in [0.0, PI, 2.0 * PI / 3.0, 3.3] {
            // As angles grow in a run: by sums, whose rounding differs from that of the difference to the firing.
            let angles: Vec<f64> =
                (0..360).scan(0.0, |sum, _| Some(std::mem::replace(sum, *sum + 2.0_f64.to_radians()))).collect();
            let ends = angles[1..].iter().chain([&0.0]);
            let steps: Vec<[f64; 2]> = angles.iter().zip(ends).map(|(a, b)| own_angles(firing, [*a, *b])).collect();
            for pair in steps.windows(2) {
                assert!(pair[0][1] == pair[1][0] || pair[0][1] == pair[1][0] + CYCLE, "{firing}: {pair:?}");
            }
            let sum: f64 = steps.iter().map(|[a, b]| b - a).sum();
            assert!((sum - CYCLE).abs() < 1e-9, "{firing}: {sum}");
        }
    }
}
