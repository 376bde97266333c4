//! A cylinder: crank, burning, heat to its walls, valves.
//!
//! Angles are radians of crank from the top dead centre at which it fires; a cycle is 4 pi.
//!
//! - Volume of a slider crank of radius r and rod l: s = r + l - r cos a - sqrt(l^2 - r^2 sin^2 a) (J. B. Heywood, Internal
//!   Combustion Engine Fundamentals, 1988, ch. 2).
//! - Burned part of the charge: x = 1 - exp(-a ((angle - start) / duration)^(m + 1)), a = 5, m = 2 (I. Wiebe; constants as
//!   in Heywood ch. 9, from memory).
//! - Heat to the walls: h = 3.26 B^-0.2 p^0.8 T^-0.55 w^0.8 with B in m, p in kPa, w = 6.18 S while gas is exchanged,
//!   2.28 S + 3.24e-3 V_d T1 / (p1 V1) (p - p_motored) while the valves are closed, S the mean piston speed
//!   (G. Woschni, SAE 670931, with the exponents of Heywood eq. 12.19, from memory; printings differ).
//! - Valve: area of the curtain pi D L, and of the throat behind it, of which the smaller counts: 1/A^2 = 1/curtain^2 +
//!   1/throat^2. The throat has 0.70 of the head's area: 0.87 D less a stem of 0.22 D (common practice, no source).

use std::f64::consts::PI;

use crate::ends::Reservoir;
use crate::medium::Medium;
use crate::vessel::Vessel;

/// A cycle of a four-stroke engine, rad.
pub const CYCLE: f64 = 4.0 * PI;
/// Points of a tabled valve lift.
const LIFT_POINTS: usize = 256;
/// Free part of a valve head's area in its throat.
const THROAT: f64 = 0.70;
/// Exponent of compression without burning, for the pressure that the wall heat compares with.
const MOTORED: f64 = 1.33;

/// Sizes of a cylinder, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Geometry {
    /// Bore.
    pub bore: f64,
    /// Stroke.
    pub stroke: f64,
    /// Rod between centres.
    pub rod: f64,
    /// Compression ratio.
    pub compression_ratio: f64,
}

impl Geometry {
    /// Area of the bore, m2.
    pub fn area(&self) -> f64 {
        0.25 * PI * self.bore * self.bore
    }

    /// Volume swept by the piston, m3.
    pub fn displacement(&self) -> f64 {
        self.area() * self.stroke
    }

    /// Way of the piston from top dead centre at a crank angle, m.
    pub fn way(&self, angle: f64) -> f64 {
        let r = 0.5 * self.stroke;
        let (s, c) = angle.sin_cos();
        r * (1.0 - c) + self.rod - (self.rod * self.rod - r * r * s * s).max(0.0).sqrt()
    }

    /// Volume at a crank angle, m3.
    ///
    /// # Example
    /// Bore 80, stroke 80, ratio 9: 402.1 cm3 swept, 50.3 above the piston at top dead centre.
    /// ```
    /// let g = gas::cylinder::Geometry { bore: 0.08, stroke: 0.08, rod: 0.14, compression_ratio: 9.0 };
    /// assert!((g.volume(0.0) - 50.265e-6).abs() < 1e-9);
    /// assert!((g.volume(std::f64::consts::PI) / g.volume(0.0) - 9.0).abs() < 1e-9);
    /// ```
    pub fn volume(&self, angle: f64) -> f64 {
        self.displacement() / (self.compression_ratio - 1.0) + self.area() * self.way(angle)
    }
}

/// How the charge burns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Burn {
    /// Start, rad of crank from top dead centre; negative before it.
    pub start: f64,
    /// Duration, rad.
    pub duration: f64,
    /// Wiebe's a.
    pub a: f64,
    /// Wiebe's m.
    pub m: f64,
    /// Heat of a kilogram of fresh charge, J/kg.
    pub heat: f64,
}

impl Burn {
    /// Burned part of the charge at an angle from -2 pi to 2 pi.
    pub fn burned(&self, angle: f64) -> f64 {
        let x = (angle - self.start) / self.duration;
        if x <= 0.0 {
            return 0.0;
        }
        if x >= 1.0 {
            return 1.0;
        }
        // What is left at the end is put on all of it, so that everything burns.
        (1.0 - (-self.a * x.powf(self.m + 1.0)).exp()) / (1.0 - (-self.a).exp())
    }
}

/// One kind of valve of a cylinder.
#[derive(Debug, Clone)]
pub struct Valve {
    /// Opening, rad of crank.
    pub opens: f64,
    /// Closing, rad of crank, above `opens`.
    pub closes: f64,
    areas: Vec<f64>,
}

/// What a [`Valve`] is made from. Lengths in m, angles in rad of crank from firing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveGear {
    /// Valves of one cylinder.
    pub count: u32,
    /// Diameter of the head.
    pub diameter: f64,
    /// Greatest lift.
    pub lift: f64,
    /// Opening and closing, as counted at `timed_at_lift`.
    pub opens: f64,
    /// See `opens`.
    pub closes: f64,
    /// Lift at which they are counted.
    pub timed_at_lift: f64,
    /// Discharge coefficient, of the area of curtain and throat together.
    pub discharge: f64,
}

/// Lift over its greatest at a part of the duration: sin^1.5, whose mean is 0.556 (common practice, no source: between
/// a harmonic lift, 0.5, and a full racing cam, 0.6).
fn lift_shape(part: f64) -> f64 {
    let s = (PI * part.clamp(0.0, 1.0)).sin().max(0.0);
    s * s.sqrt()
}

impl ValveGear {
    /// Lift at a crank angle from 0 to 4 pi, m.
    pub fn lift_at(&self, angle: f64) -> f64 {
        let valve = self.valve();
        let since = (angle - valve.opens).rem_euclid(CYCLE);
        self.lift * lift_shape(since / (valve.closes - valve.opens))
    }

    /// Lift at an angle, m, for an opening from `opens` to `closes`.
    pub fn valve(&self) -> Valve {
        // Where the lift is `timed_at_lift`: the true opening is earlier by that part of the longer duration.
        let share = (self.timed_at_lift / self.lift).clamp(0.0, 0.9);
        let part = share.powf(2.0 / 3.0).asin() / PI;
        let duration = (self.closes - self.opens) / (1.0 - 2.0 * part);
        let opens = self.opens - part * duration;
        let at = |i: usize| {
            let lift = self.lift * lift_shape(i as f64 / (LIFT_POINTS - 1) as f64);
            let n = f64::from(self.count);
            let curtain = n * PI * self.diameter * lift;
            let throat = n * THROAT * 0.25 * PI * self.diameter * self.diameter;
            self.discharge * curtain * throat / (curtain * curtain + throat * throat).sqrt()
        };
        Valve { opens, closes: opens + duration, areas: (0..LIFT_POINTS).map(at).collect() }
    }
}

impl Valve {
    /// Effective area at a crank angle, m2.
    #[inline]
    pub fn area(&self, angle: f64) -> f64 {
        let mut since = angle - self.opens;
        if since < 0.0 {
            since += CYCLE;
        }
        if since >= CYCLE {
            since -= CYCLE;
        }
        let x = since / (self.closes - self.opens) * (LIFT_POINTS - 1) as f64;
        let i = x as usize;
        if i + 1 >= LIFT_POINTS {
            return 0.0;
        }
        self.areas[i] + (x - i as f64) * (self.areas[i + 1] - self.areas[i])
    }
}

/// What a cylinder keeps from step to step.
#[derive(Debug, Clone, Copy)]
pub struct Cylinder {
    /// Fresh charge at the start of burning, kg.
    charge: f64,
    /// Pressure, volume and temperature when the intake valve closed.
    closed: [f64; 3],
    /// 3.26 B^-0.2 of the heat coefficient.
    by_bore: f64,
    /// Work on the piston since the start of the cycle, J, and that of exhaust and intake strokes.
    pub work: f64,
    /// See `work`.
    pub pumping: f64,
    /// Heat to the walls since the start of the cycle, J.
    pub wall_heat: f64,
    /// Greatest pressure since the start of the cycle, Pa.
    pub peak: f64,
}

/// What moves a cylinder.
#[derive(Debug, Clone, Copy)]
pub struct Moving<'a> {
    /// Sizes.
    pub geometry: &'a Geometry,
    /// Burning.
    pub burn: &'a Burn,
    /// Wall temperature, K.
    pub wall_k: f64,
    /// When the intake valve closes, rad.
    pub intake_closes: f64,
    /// When the exhaust valve opens, rad.
    pub exhaust_opens: f64,
    /// Speed of the crank, rad/s.
    pub turn: f64,
}

impl Cylinder {
    /// At the start of a run.
    pub fn new(geometry: &Geometry, p: f64, t: f64) -> Cylinder {
        let closed = [p, geometry.volume(PI), t];
        let by_bore = 3.26 * geometry.bore.powf(-0.2);
        Cylinder { charge: 0.0, closed, by_bore, work: 0.0, pumping: 0.0, wall_heat: 0.0, peak: 0.0 }
    }

    /// Forgets the sums of the last cycle.
    pub fn start_cycle(&mut self) {
        (self.work, self.pumping, self.wall_heat, self.peak) = (0.0, 0.0, 0.0, 0.0);
    }

    /// Moves the piston from `from` to `to` (0 to 4 pi, rad) in `dt` seconds, after mass and energy have come and gone.
    pub fn advance(&mut self, vessel: &mut Vessel, medium: &impl Medium, m: &Moving, from: f64, to: f64, dt: f64) {
        let volume = m.geometry.volume(to);
        let before = *vessel.now();
        self.note(vessel, m, from, to, before.p, before.t);
        let lost = self.wall_loss(&vessel.reservoir(0.5 * dt), 0.5 * (vessel.volume + volume), m, to) * dt;
        self.wall_heat += lost;
        vessel.energy += self.burning(vessel, m.burn, from, to) - lost;
        // The pressure after all that at the old volume, then along an isentrope to the new one; work by the trapezoid.
        let b = (vessel.burned / vessel.mass).clamp(0.0, 1.0);
        let thermal = medium.thermal(vessel.energy / vessel.mass, b);
        let r = medium.gas_constant(b);
        let gamma = 1.0 + r * thermal.t_e;
        let grown = volume - vessel.volume;
        let part = grown / vessel.volume;
        let same_volume = vessel.mass * r * thermal.t / vessel.volume;
        let after = same_volume * (1.0 - gamma * part * (1.0 - 0.5 * (gamma + 1.0) * part));
        let work = 0.5 * (before.p + after) * grown;
        self.work += work;
        if (PI..3.0 * PI).contains(&from) {
            self.pumping += work;
        }
        vessel.energy -= work;
        vessel.volume = volume;
        vessel.settle(medium, dt);
        self.peak = self.peak.max(vessel.p());
    }

    fn note(&mut self, vessel: &Vessel, m: &Moving, from: f64, to: f64, p: f64, t: f64) {
        let ends = m.intake_closes.rem_euclid(CYCLE);
        if from <= ends && ends < to {
            self.closed = [p, vessel.volume, t];
        }
    }

    /// Heat of burning between two angles, J; turns fresh gas into burned gas.
    fn burning(&mut self, vessel: &mut Vessel, burn: &Burn, from: f64, to: f64) -> f64 {
        // From -2 pi to 2 pi.
        let signed = |a: f64| if a > 2.0 * PI { a - CYCLE } else { a };
        let (a, b) = (signed(from), signed(to));
        if b <= burn.start || a >= burn.start + burn.duration || b < a {
            return 0.0;
        }
        if a <= burn.start {
            self.charge = (vessel.mass - vessel.burned).max(0.0);
        }
        let fresh = (vessel.mass - vessel.burned).max(0.0);
        let burned = (self.charge * (burn.burned(b) - burn.burned(a))).min(fresh);
        vessel.burned += burned;
        burned * burn.heat
    }

    /// Heat to the walls, W, of gas that fills `volume` m3, in a step that ends at `to`.
    fn wall_loss(&self, gas: &Reservoir, volume: f64, m: &Moving, to: f64) -> f64 {
        let (g, p, t) = (m.geometry, gas.p, gas.t);
        let speed = g.stroke * m.turn / PI;
        let shut = to < m.exhaust_opens || to > m.intake_closes;
        let [p1, v1, t1] = self.closed;
        let burning = if to < m.exhaust_opens {
            let motored = p1 * (v1 / volume).powf(MOTORED);
            3.24e-3 * g.displacement() * t1 / (p1 * v1) * (p - motored).max(0.0)
        } else {
            0.0
        };
        let w = if shut { 2.28 * speed + burning } else { 6.18 * speed };
        // p^0.8 w^0.8 T^-0.55.
        let heat = self.by_bore * (0.8 * (1e-3 * p * w).ln() - 0.55 * t.ln()).exp();
        let side = 4.0 * volume / g.bore;
        heat * (2.2 * g.area() + side) * (t - m.wall_k)
    }
}
