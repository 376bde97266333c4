//! Flux across the face between two states: the approximate Riemann solver HLLC.
//!
//! E. F. Toro, M. Spruce, W. Speares, Shock Waves 4 (1994) 25-34 (from memory), with the simplest bounds of the signal
//! speeds (S. F. Davis, 1988, from memory): the slowest left-going and the fastest right-going of both sides. A contact
//! at rest and a uniform state are kept exactly.

use crate::arithmetic::Arithmetic;

/// What the flux needs of one side of a face. SI units.
#[derive(Debug, Clone, Copy)]
pub struct Side {
    /// Density, kg/m3.
    pub rho: f64,
    /// Velocity, m/s.
    pub u: f64,
    /// Pressure, Pa.
    pub p: f64,
    /// Speed of sound, m/s: only bounds the signals, so that the cell's own will do.
    pub c: f64,
    /// Total energy per volume, J/m3.
    pub energy: f64,
    /// Mass fraction of burned gas.
    pub burned: f64,
}

/// Flux of mass, momentum, total energy and burned mass, per area and second.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flux {
    /// kg/(m2 s).
    pub mass: f64,
    /// Pa.
    pub momentum: f64,
    /// W/m2.
    pub energy: f64,
    /// kg/(m2 s).
    pub burned: f64,
}

/// HLLC flux from `l` to `r`. Branch-free, so that a loop of it becomes vector code.
#[inline(always)]
pub fn flux_hllc<A: Arithmetic>(l: &Side, r: &Side) -> Flux {
    // Comparisons, because `min` and `max` also take care of NaN.
    let less = |a: f64, b: f64| if a < b { a } else { b };
    let more = |a: f64, b: f64| if a > b { a } else { b };
    let slowest = less(l.u - l.c, r.u - r.c);
    let fastest = more(l.u + l.c, r.u + r.c);
    // Mass streaming into the fan from either side.
    let into_l = l.rho * (slowest - l.u);
    let into_r = r.rho * (fastest - r.u);
    // The speed of the contact is push / hold; hold is below 0.
    let push = A::sum(l.u, into_l, A::sum(-r.u, into_r, r.p - l.p));
    let hold = into_l - into_r;
    let from_left = push <= 0.0;
    let pick = |a: f64, b: f64| if from_left { a } else { b };
    let (rho, u, p) = (pick(l.rho, r.rho), pick(l.u, r.u), pick(l.p, r.p));
    // Sums and weights: a plain choice of two numbers in memory becomes a choice of addresses and slow loads.
    let total = pick(l.energy + l.p, r.energy + r.p);
    let (by_l, by_r) = if from_left { (1.0, 0.0) } else { (0.0, 1.0) };
    let burned = A::sum(by_l, l.burned, by_r * r.burned);
    let (into, edge) = (pick(into_l, into_r), pick(slowest, fastest));
    let inside = pick(less(slowest, 0.0), more(fastest, 0.0));
    // Beyond the fan `inside` is 0 and the plain flux remains. Written by differences from the plain flux, so that a gas at
    // rest stays so to the last bit.
    // One division for 1 / hold and 1 / (edge - middle).
    let gap = A::sum(edge, hold, -push);
    let both = 1.0 / (hold * gap);
    let middle = push * gap * both;
    let drift = inside * A::sum(-u, hold, push) * hold * both;
    let mass = rho * (u + drift);
    Flux {
        mass,
        momentum: A::sum(rho, A::sum(u, u, edge * drift), p),
        energy: A::sum(drift, A::sum(middle, into, total), u * total),
        burned: mass * burned,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arithmetic::Fused;

    fn side(rho: f64, u: f64, p: f64) -> Side {
        let g: f64 = 1.4;
        let energy = p / (g - 1.0) + 0.5 * rho * u * u;
        Side { rho, u, p, c: (g * p / rho).sqrt(), energy, burned: 0.3 }
    }

    #[test]
    fn equal_states_give_the_plain_flux() {
        for u in [-3.0, -0.4, 0.0, 0.7, 2.5] {
            let s = side(1.3, u, 0.9);
            let f = flux_hllc::<Fused>(&s, &s);
            assert!((f.mass - 1.3 * u).abs() < 1e-14);
            assert!((f.momentum - (1.3 * u * u + 0.9)).abs() < 1e-14);
            assert!((f.energy - u * (s.energy + 0.9)).abs() < 1e-13);
            assert!((f.burned - 0.3 * f.mass).abs() < 1e-15);
        }
    }

    #[test]
    fn a_contact_at_rest_lets_nothing_through() {
        let f = flux_hllc::<Fused>(&side(1.0, 0.0, 1.0), &side(0.1, 0.0, 1.0));
        assert_eq!((f.mass, f.momentum, f.energy), (0.0, 1.0, 0.0));
    }

    #[test]
    fn the_mirrored_problem_has_the_mirrored_flux() {
        let (l, r) = (side(1.0, 0.3, 1.0), side(0.125, -0.2, 0.1));
        let mirror = |s: Side| Side { u: -s.u, ..s };
        let (f, g) = (flux_hllc::<Fused>(&l, &r), flux_hllc::<Fused>(&mirror(r), &mirror(l)));
        assert!((f.mass + g.mass).abs() < 1e-15 && (f.momentum - g.momentum).abs() < 1e-15);
        assert!((f.energy + g.energy).abs() < 1e-15);
    }
}
