//! A volume of gas at rest that pipes open into: a plenum, or a cylinder ([`crate::cylinder`]).

use crate::ends::Reservoir;
use crate::field::State;
use crate::medium::Medium;

/// Gas in a volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vessel {
    /// kg.
    pub mass: f64,
    /// Internal energy, J.
    pub energy: f64,
    /// Burned mass, kg.
    pub burned: f64,
    /// m3.
    pub volume: f64,
    /// Whether something else than [`crate::network::Network::step`] settles it: a cylinder, whose piston moves.
    pub moves: bool,
    now: Reservoir,
    /// Change of pressure over its value in the last step, 1/s.
    rate: f64,
}

impl Reservoir {
    /// Gas at rest at `p` Pa, `t` K.
    pub fn new(medium: &impl Medium, p: f64, t: f64, burned: f64) -> Reservoir {
        let r = medium.gas_constant(burned);
        let enthalpy = medium.energy(t, burned) + r * t;
        Reservoir { p, t, burned, gamma: medium.gamma(t, burned), r, enthalpy }
    }

    /// As a state at rest.
    pub fn state(&self) -> State {
        State { rho: self.p / (self.r * self.t), u: 0.0, p: self.p, burned: self.burned }
    }
}

impl Vessel {
    /// `volume` m3 of gas at `p` Pa and `t` K.
    pub fn new(medium: &impl Medium, volume: f64, p: f64, t: f64, burned: f64) -> Vessel {
        let now = Reservoir::new(medium, p, t, burned);
        let mass = p * volume / (now.r * t);
        let energy = mass * medium.energy(t, burned);
        Vessel { mass, energy, burned: mass * burned, volume, moves: false, now, rate: 0.0 }
    }

    /// Pressure, Pa.
    pub fn p(&self) -> f64 {
        self.now.p
    }

    /// Temperature, K.
    pub fn t(&self) -> f64 {
        self.now.t
    }

    /// Its state now.
    pub fn now(&self) -> &Reservoir {
        &self.now
    }

    /// Its gas `ahead` seconds from now, as the last step lets expect.
    pub fn reservoir(&self, ahead: f64) -> Reservoir {
        let n = &self.now;
        let grown = (self.rate * ahead).clamp(-0.2, 0.2);
        let part = (n.gamma - 1.0) / n.gamma;
        let warmer = n.t * part * grown;
        Reservoir { p: n.p * (1.0 + grown), t: n.t + warmer, enthalpy: n.enthalpy + n.r / part * warmer, ..*n }
    }

    /// Adds mass (kg), energy (J) and burned mass (kg).
    pub fn take(&mut self, mass: f64, energy: f64, burned: f64) {
        self.mass += mass;
        self.energy += energy;
        self.burned += burned;
    }

    /// Pressure and temperature from mass, energy and volume, `dt` after the last time.
    pub fn settle(&mut self, medium: &impl Medium, dt: f64) {
        let b = (self.burned / self.mass).clamp(0.0, 1.0);
        let e = self.energy / self.mass;
        let thermal = medium.thermal(e, b);
        let r = medium.gas_constant(b);
        let p = self.mass * r * thermal.t / self.volume;
        self.rate = (p / self.now.p - 1.0) / dt;
        let gamma = 1.0 + r * thermal.t_e;
        self.now = Reservoir { p, t: thermal.t, burned: b, gamma, r, enthalpy: e + r * thermal.t };
    }
}
