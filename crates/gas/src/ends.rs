//! Ends of pipes: closed, open, a nozzle or valve to a vessel, and far away.
//!
//! A wave of unknown strength runs from the end back into the pipe. Behind it the gas has the pressure p and the velocity
//! u(p) = u0 - f(p) out of the pipe, with u0, p0, rho0 of the face as predicted: f of a shock for p > p0 (Toro, Riemann
//! Solvers and Numerical Methods, eq. 4.6), of a rarefaction below. Down to `WEAK` p0 the formula of the shock serves
//! for the rarefaction also; they differ by the third power of the strength, below 1e-4 of the velocity there.
//!
//! A vessel's gas enters through an opening of effective area a <= A: without loss from rest to the narrowest place, where
//! the pressure is that of the pipe unless the flow chokes, and in the pipe it is at most as fast as sound; the total enthalpy is kept up to the pipe, the pressure of the
//! jet is lost (constant-pressure model; R. S. Benson, Thermodynamics and Gas Dynamics of I.C. Engines, 1982, from
//! memory). Out of the pipe the gas speeds up without loss to the narrowest place. The heat capacity is that of where the
//! gas comes from; the flux carries exactly the total enthalpy, so that nothing is lost by this.
//!
//! Roots: Newton's method with the last root and its last change as the first try, kept inside a bracket. It ends with a
//! step of at most 0.3 % of the pressure difference that drives the flow: its error falls by squares, so that what is left
//! is about 1e-5 of it; where the slope is an estimate, with a step of 1e-4. After at most 40 steps it ends anyhow. An open
//! end that takes gas in is solved for the velocity: its pressure difference is of the second order.

use crate::field::{Face, State};
use crate::flux::Flux;

/// Rarefactions down to this part of the pressure use the formula of the shock.
const WEAK: f64 = 0.92;
/// Last step of Newton's method, over what drives the flow, with a true slope and with an estimated one.
const STOP: f64 = 3e-3;
const STOP_ESTIMATED: f64 = 1e-4;
/// A nozzle's limits are worked out again when gamma has changed by this: 3e-5 of the flow.
const GAMMA_CHANGE: f64 = 1e-4;
/// Rounding of a pressure.
const ROUNDING: f64 = 1e-13;
const MOST_STEPS: usize = 40;

/// What leaves a pipe: state at its face (velocity out of the pipe) and the flux per area.
#[derive(Debug, Clone, Copy)]
pub struct Leaving {
    /// State at the face.
    pub state: State,
    /// Flux out of the pipe per area.
    pub flux: Flux,
}

/// What an end remembers of its last step.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Root {
    /// Pressure found, Pa, and its change since the time before.
    p: f64,
    change: f64,
    /// Pressure ratio and flow function of a choked nozzle at `gamma`.
    gamma: f64,
    critical: f64,
    choked: f64,
}

impl Root {
    fn guess(&self) -> f64 {
        self.p + self.change
    }

    fn keep(&mut self, p: f64) {
        self.change = if self.p > 0.0 { p - self.p } else { 0.0 };
        self.p = p;
    }

    fn nozzle(&mut self, gamma: f64) -> (f64, f64) {
        if (gamma - self.gamma).abs() > GAMMA_CHANGE {
            (self.gamma, self.critical, self.choked) = (gamma, critical_ratio(gamma), choked_flow(gamma));
        }
        (self.critical, self.choked)
    }
}

/// The gas of a vessel or of the air around: at rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reservoir {
    /// Pressure, Pa.
    pub p: f64,
    /// Temperature, K.
    pub t: f64,
    /// Burned fraction.
    pub burned: f64,
    /// Ratio of specific heats.
    pub gamma: f64,
    /// Gas constant, J/(kg K).
    pub r: f64,
    /// Specific enthalpy, J/kg.
    pub enthalpy: f64,
}

impl Face {
    /// Velocity out of the pipe behind the wave that makes the pressure `p`, and its derivative.
    #[inline]
    pub fn velocity(&self, p: f64) -> (f64, f64) {
        let State { rho, u, p: p0, .. } = self.state;
        let g = self.gamma;
        if p >= WEAK * p0 {
            let wide = (g + 1.0) * p + (g - 1.0) * p0;
            let root = (2.0 / (rho * wide)).sqrt();
            let d = p - p0;
            return (u - d * root, -root * (1.0 - 0.5 * d * (g + 1.0) / wide));
        }
        let z = (g - 1.0) / (2.0 * g);
        let ratio = (p / p0).max(1e-9);
        let power = ratio.powf(z);
        (u + 2.0 * self.c / (g - 1.0) * (1.0 - power), -power / ratio / (rho * self.c))
    }

    /// Density behind that wave.
    #[inline]
    pub fn density(&self, p: f64) -> f64 {
        let State { rho, p: p0, .. } = self.state;
        let g = self.gamma;
        let ratio = p / p0;
        if ratio >= WEAK {
            let m = (g - 1.0) / (g + 1.0);
            return rho * (ratio + m) / (m * ratio + 1.0);
        }
        rho * ratio.max(1e-9).powf(1.0 / g)
    }

    /// Total enthalpy behind that wave, gas from the pipe, J/kg.
    #[inline]
    pub fn enthalpy_behind(&self, p: f64, rho: f64, u: f64) -> f64 {
        // The step of p / rho at the heat capacity of the face.
        let cp_r = self.gamma / (self.gamma - 1.0);
        let State { rho: rho0, p: p0, u: u0, .. } = self.state;
        self.total_enthalpy + cp_r * (p / rho - p0 / rho0) + 0.5 * (u * u - u0 * u0)
    }

    /// Gas of the pipe leaving at pressure `p`.
    pub fn leave_at(&self, p: f64) -> Leaving {
        let u = self.velocity(p).0;
        self.leave(p, self.density(p), u)
    }

    fn leave(&self, p: f64, rho: f64, u: f64) -> Leaving {
        let enthalpy = self.enthalpy_behind(p, rho, u);
        leaving(State { rho, u, p, burned: self.state.burned }, enthalpy)
    }

    /// Pressure and velocity of the gas brought to the speed of sound by a rarefaction, for gas that leaves.
    fn sonic(&self) -> (f64, f64) {
        let g = self.gamma;
        let c = ((g - 1.0) * self.state.u + 2.0 * self.c) / (g + 1.0);
        (self.state.p * (c / self.c).powf(2.0 * g / (g - 1.0)), c)
    }
}

/// The flux of a state whose total enthalpy is known.
#[inline]
pub fn leaving(state: State, enthalpy: f64) -> Leaving {
    let mass = state.rho * state.u;
    let flux = Flux { mass, momentum: mass * state.u + state.p, energy: mass * enthalpy, burned: mass * state.burned };
    Leaving { state, flux }
}

/// A wall: nothing passes.
///
/// u(p) = 0 solved for d = p - p0: d^2 - b d - g p0 rho u^2 = 0 with b = (g + 1) / 2 rho u^2 behind a shock.
pub fn closed(face: &Face) -> Leaving {
    let State { rho, u, p: p0, burned } = face.state;
    let g = face.gamma;
    let square = rho * u * u;
    let b = 0.5 * (g + 1.0) * square;
    let root = (b * b + 4.0 * g * p0 * square).sqrt();
    let mut p = p0 + 0.5 * (b + root.copysign(u));
    if p < WEAK * p0 {
        let part = (1.0 + 0.5 * (g - 1.0) * u / face.c).max(0.01);
        p = p0 * part.powf(2.0 * g / (g - 1.0));
    }
    let state = State { rho: face.density(p), u: 0.0, p, burned };
    Leaving { state, flux: Flux { momentum: p, ..Flux::default() } }
}

/// Waves leave and none comes back: the pipe goes on for ever.
pub fn endless(face: &Face) -> Leaving {
    leaving(face.state, face.total_enthalpy)
}

/// An open end: gas leaves at the pressure of `outside`, or at the speed of sound, and comes in without loss from rest.
pub fn open(face: &Face, outside: &Reservoir) -> Leaving {
    let at_rest = face.velocity(outside.p).0;
    if at_rest < 0.0 {
        return take_in(face, outside, -at_rest);
    }
    if face.state.u >= face.c {
        return endless(face);
    }
    let leaving = face.leave_at(outside.p);
    let sound = (face.gamma * outside.p / leaving.state.rho).sqrt();
    if leaving.state.u <= sound {
        return leaving;
    }
    let (p, u) = face.sonic();
    face.leave(p, face.density(p), u)
}

/// An opening of effective area `area` (m2) between the pipe and a vessel, either way.
///
/// `root` is what was found last time, for the first try; `area` 0 is a wall.
pub fn opening(face: &Face, vessel: &Reservoir, area: f64, root: &mut Root) -> Leaving {
    let area = area.min(face.area);
    if area <= 1e-9 * face.area {
        (root.p, root.change) = (0.0, 0.0);
        return closed(face);
    }
    if face.velocity(vessel.p).0 < 0.0 { inflow(face, vessel, area, root) } else { outflow(face, vessel, area, root) }
}

/// Flow function of a choked nozzle: mdot sqrt(R T0) / (a p0).
pub fn choked_flow(gamma: f64) -> f64 {
    gamma.sqrt() * (2.0 / (gamma + 1.0)).powf((gamma + 1.0) / (2.0 * (gamma - 1.0)))
}

/// Pressure ratio at which a nozzle chokes: throat over total.
pub fn critical_ratio(gamma: f64) -> f64 {
    (2.0 / (gamma + 1.0)).powf(gamma / (gamma - 1.0))
}

/// Mass flow per effective area from total pressure `p0` and temperature `t0` to the pressure `p`, kg/(m2 s).
///
/// # Example
/// gamma 1.4, pressure ratio 2: choked, 0.6847 p0 / sqrt(R T0).
/// ```
/// let m = gas::ends::nozzle_flow(2.0, 1.0, 1.0, 1.4, 1.0);
/// assert!((m / 2.0 - 0.684_731).abs() < 1e-6);
/// ```
pub fn nozzle_flow(p0: f64, t0: f64, p: f64, gamma: f64, r: f64) -> f64 {
    let unit = p0 / (r * t0).sqrt();
    let ratio = (p / p0).min(1.0);
    if ratio <= critical_ratio(gamma) {
        return unit * choked_flow(gamma);
    }
    let part = ratio.powf(1.0 / gamma);
    // T/T0 = ratio / (rho / rho0).
    unit * part * (2.0 * gamma / (gamma - 1.0) * (1.0 - ratio / part)).max(0.0).sqrt()
}

/// Newton's method for a root of `f` between `low` and `high`; `f` gives value and slope and rises there. `drive` is the
/// pressure at which nothing flows, `stop` the last step over the distance to it.
#[inline]
fn root_of(
    first: f64,
    [mut low, mut high]: [f64; 2],
    drive: f64,
    stop: f64,
    mut f: impl FnMut(f64) -> (f64, f64),
) -> f64 {
    let mut x = if first > low && first < high { first } else { 0.5 * (low + high) };
    for _ in 0..MOST_STEPS {
        let (value, slope) = f(x);
        if value > 0.0 {
            high = x;
        } else {
            low = x;
        }
        let mut next = x - value / slope;
        if !(next >= low && next <= high) {
            next = 0.5 * (low + high);
        }
        let done = (next - x).abs() <= stop * (drive - next).abs() + ROUNDING * x;
        x = next;
        if done {
            break;
        }
    }
    x
}

/// Gas of the surroundings that comes in without loss; `easy` is the velocity that their pressure would give it.
fn take_in(face: &Face, outside: &Reservoir, easy: f64) -> Leaving {
    let g = outside.gamma;
    let cp = outside.r * g / (g - 1.0);
    let part = |w: f64| (1.0 - 0.5 * w * w / (cp * outside.t)).max(0.3);
    // No faster than sound.
    let fastest = (2.0 * g * outside.r * outside.t / (g + 1.0)).sqrt();
    let mut w = (easy / (1.0 + 0.5 * easy / face.c)).min(fastest);
    let (mut p, mut rho) = (outside.p, 0.0);
    for _ in 0..MOST_STEPS {
        let cold = part(w);
        p = outside.p * cold.powf(g / (g - 1.0));
        rho = p / (outside.r * outside.t * cold);
        let (u, slope) = face.velocity(p);
        let next = (w - (w + u) / (1.0 - slope * rho * w)).clamp(0.0, fastest);
        let step = next - w;
        // Along the streamline dp = -rho w dw: the pressure after a small step.
        p -= rho * (w + 0.5 * step) * step;
        w = next;
        if step.abs() <= STOP * w {
            rho = p / (outside.r * outside.t * part(w));
            break;
        }
    }
    leaving(State { rho, u: -w, p, burned: outside.burned }, outside.enthalpy)
}

fn inflow(face: &Face, vessel: &Reservoir, area: f64, root: &mut Root) -> Leaving {
    let g = vessel.gamma;
    let cp = vessel.r * g / (g - 1.0);
    let part = area / face.area;
    let (choke, choked) = root.nozzle(g);
    let unit = vessel.p / (vessel.r * vessel.t).sqrt();
    let full = unit * choked;
    // Mass flow into the pipe, per area of the pipe, by the wave and by the nozzle.
    let pipe = |p: f64| {
        let (u, slope) = face.velocity(p);
        let t = (vessel.t - 0.5 * u * u / cp).max(0.2 * vessel.t);
        let rho = p / (vessel.r * t);
        (rho, u, slope)
    };
    let difference = |p: f64| {
        let (rho, u, slope) = pipe(p);
        let ratio = (p / vessel.p).min(1.0);
        let (nozzle, nozzle_slope) = if ratio <= choke {
            (full, 0.0)
        } else {
            let s = ratio.powf(1.0 / g);
            let fall = (2.0 * g / (g - 1.0) * (1.0 - ratio / s)).max(1e-14);
            let speed = fall.sqrt();
            // d/d ratio of s sqrt(fall).
            let ds = s / (g * ratio);
            let dfall = -2.0 / s;
            (unit * s * speed, unit * (ds * speed + 0.5 * s * dfall / speed) / vessel.p)
        };
        (-rho * u - part * nozzle, -rho * slope - u * rho / p - part * nozzle_slope)
    };
    // Where the choked nozzle's gas would reach the speed of sound in the pipe. It can't pass that: below, the jet fills
    // the pipe at the speed of sound, whatever the pipe would take.
    let low = part * choke * vessel.p;
    let guess = root.guess();
    // Far above, it needs no look.
    if guess < 1.5 * low && difference(low).0 > 0.0 {
        let t = 2.0 * vessel.t / (g + 1.0);
        let w = (g * vessel.r * t).sqrt();
        let state = State { rho: low / (vessel.r * t), u: -w, p: low, burned: vessel.burned };
        root.keep(low);
        return leaving(state, vessel.enthalpy);
    }
    let p = root_of(guess, [low, vessel.p], vessel.p, STOP, difference);
    root.keep(p);
    let (rho, u, _) = pipe(p);
    leaving(State { rho, u: u.min(0.0), p, burned: vessel.burned }, vessel.enthalpy)
}

fn outflow(face: &Face, vessel: &Reservoir, area: f64, root: &mut Root) -> Leaving {
    let g = face.gamma;
    let cp = face.r * g / (g - 1.0);
    let part = area / face.area;
    let choked = root.nozzle(g).1;
    let through = |p: f64| {
        let (u, slope) = face.velocity(p);
        let rho = face.density(p);
        let t = p / (rho * face.r);
        let s = (vessel.p / p).min(1.0).powf(1.0 / g);
        let t_throat = t * (vessel.p / p).min(1.0) / s;
        let speed = (u * u + 2.0 * cp * (t - t_throat)).max(0.0).sqrt();
        let nozzle = if speed * speed > g * face.r * t_throat {
            let t0 = t + 0.5 * u * u / cp;
            let p0 = p * (t0 / t).powf(g / (g - 1.0));
            p0 / (face.r * t0).sqrt() * choked
        } else {
            rho * s * speed
        };
        (rho, u, slope, nozzle)
    };
    // Rises with p: the nozzle takes more, the pipe brings less. Its slope is that of the pipe and a nozzle of fixed loss.
    let difference = |p: f64| {
        let (rho, u, slope, nozzle) = through(p);
        let gain = (nozzle / (2.0 * (p - vessel.p).max(0.02 * p))).max(0.0);
        (part * nozzle - rho * u, -rho * slope + part * gain)
    };
    // Above any pressure that the wave can make at a wall.
    let high = 6.0 * face.state.p.max(vessel.p);
    if face.state.u >= face.c && part > 0.999_999 {
        return endless(face);
    }
    let p = root_of(root.guess(), [vessel.p, high], vessel.p, STOP_ESTIMATED, difference);
    root.keep(p);
    let (rho, u, _, _) = through(p);
    face.leave(p, rho, u.max(0.0))
}
