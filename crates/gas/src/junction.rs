//! A junction of pipes: all see one pressure.
//!
//! The pressure p is that at which the pipes bring as much mass as they take (constant-pressure junction; Benson 1982,
//! Winterbone and Pearson 2000, from memory). What comes in is mixed; what leaves has the mean total enthalpy and burned
//! fraction, so that mass, energy and burned mass are kept to rounding. With small waves of one pipe of area A1 into others
//! of sum S, R = (A1 - S) / (A1 + S).
//!
//! One pressure is right where all move slowly. Gas that enters a narrow pipe speeds up, and with one static pressure it
//! would have a higher total pressure than any gas that came in. So a pipe that takes gas is held below the junction's
//! pressure by what its dynamic pressure exceeds the mean of those that bring it; a pipe that brings gas is above it by
//! `loss` times its own dynamic pressure. Both are taken from the step before, by halves, so that they do not swing.

use crate::ends::{Leaving, leaving};
use crate::field::{Face, State};

/// Last step of Newton's method over the pressure: its error falls by squares.
const STOP: f64 = 2e-4;
const MOST_STEPS: usize = 30;

/// Joins the pipes at `faces`; `p` is the pressure found last time, and becomes that found now. `shift` is what each
/// pipe's pressure is above it, Pa, and becomes that of the next step; `loss` is each pipe's loss when it brings gas.
pub fn join(faces: &[Face], loss: &[f64], shift: &mut [f64], p: &mut f64, out: &mut Vec<Leaving>) {
    solve(faces, shift, p, out);
    let dynamic = |l: &Leaving| 0.5 * l.flux.mass.abs() * l.state.u.abs();
    let (mut mass, mut brought) = (0.0, 0.0);
    for (face, l) in faces.iter().zip(out.iter()).filter(|(_, l)| l.state.u > 0.0) {
        mass += face.area * l.flux.mass;
        brought += face.area * l.flux.mass * dynamic(l);
    }
    let mean = if mass > 0.0 { brought / mass } else { 0.0 };
    for ((shift, loss), l) in shift.iter_mut().zip(loss).zip(out.iter()) {
        let q = dynamic(l);
        let next = if l.state.u > 0.0 { loss * q } else { -(q - mean).max(0.0).min(0.8 * *p) };
        *shift = 0.5 * (*shift + next);
    }
}

fn solve(faces: &[Face], shift: &[f64], p: &mut f64, out: &mut Vec<Leaving>) {
    out.clear();
    if *p <= 0.0 {
        *p = faces.iter().map(|f| f.state.p).sum::<f64>() / faces.len() as f64;
    }
    let mut x = *p;
    // What comes in is mixed for the last pressure; that hardly changes, and the last step makes mass exact.
    let mut mixed = Mixed::of(faces, shift, x);
    for _ in 0..MOST_STEPS {
        let (mut sum, mut slope) = (0.0, 0.0);
        for (face, shift) in faces.iter().zip(shift) {
            let at = (x + shift).max(0.05 * x);
            let (u, du) = face.velocity(at);
            let rho = mixed.density(face, at, u);
            sum += face.area * rho * u;
            slope += face.area * rho * (du + u / (face.gamma * x));
        }
        let next = (x - sum / slope.min(-1e-300)).max(0.5 * x).min(2.0 * x);
        let done = (next - x).abs() <= STOP * x;
        x = next;
        if done {
            break;
        }
    }
    *p = x;
    mixed = Mixed::of(faces, shift, x);
    let taken: f64 = faces.iter().zip(shift).map(|(f, s)| mixed.taken(f, (x + s).max(0.05 * x))).sum();
    // What is left of the root is put on those that take: mass is kept exactly.
    let scale = if taken > 0.0 { mixed.mass / taken } else { 0.0 };
    for (face, shift) in faces.iter().zip(shift) {
        let p = (x + shift).max(0.05 * x);
        let u = face.velocity(p).0;
        let rho = mixed.density(face, p, u);
        if u > 0.0 {
            let state = State { rho, u, p, burned: face.state.burned };
            out.push(leaving(state, face.enthalpy_behind(p, rho, u)));
        } else {
            let state = State { rho, u: u * scale, p, burned: mixed.burned };
            out.push(leaving(state, mixed.enthalpy));
        }
    }
}

/// The mean of what comes into the junction.
#[derive(Default)]
struct Mixed {
    /// kg/s.
    mass: f64,
    /// J/kg.
    enthalpy: f64,
    burned: f64,
    /// Total temperature times gas constant, J/kg, and gamma.
    rt: f64,
    gamma: f64,
}

impl Mixed {
    fn of(faces: &[Face], shift: &[f64], p: f64) -> Mixed {
        let mut sum = Mixed::default();
        for (face, shift) in faces.iter().zip(shift) {
            let p = (p + shift).max(0.05 * p);
            let u = face.velocity(p).0;
            if u > 0.0 {
                let rho = face.density(p);
                let mass = face.area * rho * u;
                let z = (face.gamma - 1.0) / face.gamma;
                sum.mass += mass;
                sum.enthalpy += mass * face.enthalpy_behind(p, rho, u);
                sum.burned += mass * face.state.burned;
                sum.rt += mass * (p / rho + 0.5 * u * u * z);
                sum.gamma += mass * face.gamma;
            }
        }
        if sum.mass > 0.0 {
            sum.enthalpy /= sum.mass;
            sum.burned /= sum.mass;
            sum.rt /= sum.mass;
            sum.gamma /= sum.mass;
        }
        sum
    }

    /// Density at a face: its own gas where it leaves the pipe, the mixed gas where it enters.
    #[inline]
    fn density(&self, face: &Face, p: f64, u: f64) -> f64 {
        if u > 0.0 || self.mass <= 0.0 {
            return face.density(p);
        }
        let rt = self.rt - 0.5 * u * u * (self.gamma - 1.0) / self.gamma;
        p / rt.max(0.2 * self.rt)
    }

    fn taken(&self, face: &Face, p: f64) -> f64 {
        let u = face.velocity(p).0;
        if u > 0.0 { 0.0 } else { -face.area * self.density(face, p, u) * u }
    }
}
