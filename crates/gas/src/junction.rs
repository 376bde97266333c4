//! A junction of pipes: all see one pressure.
//!
//! The pressure p is that at which the pipes bring as much mass as they take (constant-pressure junction; Benson 1982,
//! Winterbone and Pearson 2000, from memory). What comes in is mixed; what leaves has the mean total enthalpy and burned
//! fraction, so that mass, energy and burned mass are kept to rounding. With small waves of one pipe of area A1 into others
//! of sum S, R = (A1 - S) / (A1 + S).
//!
//! One pressure is right where all move slowly. Gas that enters a narrow pipe speeds up, and with one static pressure it
//! would have a higher total pressure than any gas that came in. So a pipe that takes gas is held below the junction's
//! pressure by what its dynamic pressure exceeds the mean of those that bring it.
//!
//! Where pipes merge into a trunk at an angle, momentum along the trunk decides instead while gas leaves by it:
//! (p_trunk - p) A_trunk = sum of mdot u cos(angle) of those that bring gas - mdot u of the trunk. With two pipes whose
//! areas add up to the trunk's this gives the total-pressure loss of I. E. Idelchik, Handbook of Hydraulic Resistance, for
//! the branch (`checks/gas`): small angles recover what large ones lose. Every pressure is taken from the step before, by
//! halves, so that it does not swing.

use crate::ends::{Leaving, leaving};
use crate::field::{Face, State};

/// Last step of Newton's method over the pressure: its error falls by squares.
const STOP: f64 = 2e-4;
const MOST_STEPS: usize = 30;
/// Most that a pipe's pressure is off the junction's, over that.
const MOST_SHIFT: f64 = 0.8;

/// Pipes that merge into one.
#[derive(Debug, Clone, PartialEq)]
pub struct Merge {
    /// The pipe they merge into, by its place in the junction.
    pub trunk: usize,
    /// Cosine of each pipe's angle to the trunk's axis.
    pub cosine: Vec<f64>,
}

/// Joins the pipes at `faces`; `p` is the pressure found last time, and becomes that found now. `shift` is what each
/// pipe's pressure is above it, Pa, and becomes that of the next step.
pub fn join(faces: &[Face], merge: Option<&Merge>, shift: &mut [f64], p: &mut f64, out: &mut Vec<Leaving>) {
    solve(faces, shift, p, out);
    let dynamic = |l: &Leaving| 0.5 * l.flux.mass.abs() * l.state.u.abs();
    let (mut mass, mut brought) = (0.0, 0.0);
    for (face, l) in faces.iter().zip(out.iter()).filter(|(_, l)| l.state.u > 0.0) {
        mass += face.area * l.flux.mass;
        brought += face.area * l.flux.mass * dynamic(l);
    }
    let mean = if mass > 0.0 { brought / mass } else { 0.0 };
    let recovered = merge.filter(|m| out[m.trunk].state.u < 0.0).map(|m| (m.trunk, rise(faces, m, out)));
    for (i, (shift, l)) in shift.iter_mut().zip(out.iter()).enumerate() {
        let next = match recovered {
            Some((trunk, rise)) if trunk == i => rise.clamp(-MOST_SHIFT * *p, MOST_SHIFT * *p),
            _ if l.state.u > 0.0 => 0.0,
            _ => -(dynamic(l) - mean).clamp(0.0, MOST_SHIFT * *p),
        };
        *shift = 0.5 * (*shift + next);
    }
}

/// Pressure of the trunk above the junction's by momentum, Pa.
fn rise(faces: &[Face], merge: &Merge, out: &[Leaving]) -> f64 {
    let push = |l: &Leaving| l.flux.mass * l.state.u;
    let brought = faces.iter().zip(out).zip(&merge.cosine).enumerate();
    let brought = brought.filter(|(i, ((_, l), _))| *i != merge.trunk && l.state.u > 0.0);
    let thrust: f64 = brought.map(|(_, ((face, l), cosine))| face.area * push(l) * cosine).sum();
    thrust / faces[merge.trunk].area - push(&out[merge.trunk])
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
            let (u, du) = mixed.velocity(face, at);
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
        let u = mixed.velocity(face, p).0;
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

    /// Velocity out of a pipe at `p` and its slope: the mixed gas enters no faster than sound.
    #[inline]
    fn velocity(&self, face: &Face, p: f64) -> (f64, f64) {
        let (u, slope) = face.velocity(p);
        let fastest = (2.0 * self.gamma / (self.gamma + 1.0) * self.rt).sqrt();
        if self.mass > 0.0 && u < -fastest { (-fastest, 0.0) } else { (u, slope) }
    }

    fn taken(&self, face: &Face, p: f64) -> f64 {
        let u = self.velocity(face, p).0;
        if u > 0.0 { 0.0 } else { -face.area * self.density(face, p, u) * u }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Total-pressure losses of a branch and a run that merge at `angle_deg`, over the trunk's dynamic pressure, when the
    /// branch of `part` of the trunk's area brings `share` of the flow; and the share that came out.
    pub(crate) fn losses(angle_deg: f64, part: f64, share: f64) -> [f64; 2] {
        let (g, r, p0, t) = (1.4_f64, 287.0, 1e5, 300.0);
        let rho = p0 / (r * t);
        let face = |area: f64, u: f64| Face {
            state: State { rho, u, p: p0, burned: 0.0 },
            c: (g * r * t).sqrt(),
            gamma: g,
            r,
            total_enthalpy: g / (g - 1.0) * r * t + 0.5 * u * u,
            area,
        };
        let speed = 10.0;
        let faces = [
            face(part, speed * share / part),
            face(1.0 - part, speed * (1.0 - share) / (1.0 - part)),
            face(1.0, -speed),
        ];
        let merge = Merge { trunk: 2, cosine: vec![angle_deg.to_radians().cos(), 1.0, 1.0] };
        let (mut p, mut shift, mut out) = (0.0, [0.0; 3], Vec::new());
        for _ in 0..60 {
            join(&faces, Some(&merge), &mut shift, &mut p, &mut out);
        }
        let q = |l: &Leaving| 0.5 * l.state.rho * l.state.u * l.state.u;
        let loss = (out[0].state.p + q(&out[0]) - out[2].state.p - q(&out[2])) / q(&out[2]);
        let came = part * out[0].flux.mass / -out[2].flux.mass;
        [loss, came]
    }

    #[test]
    fn a_branch_loses_what_the_handbook_says() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../checks/gas/merge_loss.csv");
        let text = std::fs::read_to_string(path).expect("the file is there");
        let mut seen = 0;
        for line in text.lines().skip(1) {
            let v: Vec<f64> = line.split(',').map(|c| c.parse().expect("a number")).collect();
            // Shares at which neither pipe is much faster than the trunk.
            if !(0.2..=0.8).contains(&v[2]) || v[2] / v[1] > 1.7 || (1.0 - v[2]) / (1.0 - v[1]) > 1.7 {
                continue;
            }
            let [loss, share] = losses(v[0], v[1], v[2]);
            assert!((share - v[2]).abs() < 0.03, "{line}: {share}");
            assert!((loss - v[3]).abs() < 0.15, "{line}: {loss}");
            seen += 1;
        }
        assert!(seen > 10, "{seen}");
    }
}
