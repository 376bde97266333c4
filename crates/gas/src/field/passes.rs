//! The passes over all cells, written to become vector code.
//!
//! Every array is an argument of its own: only then does the compiler know that they do not overlap. `min` and `max` are
//! comparisons, because those of the standard library also take care of NaN.

#![expect(clippy::too_many_arguments, reason = "arrays that are arguments are known not to overlap")]

use std::marker::PhantomData;

use pulp::NullaryFnOnce;

use super::{Cells, Conserved, Faces, Fluxes, LEAST_PART, Shape};
use crate::flux::{Side, flux_hllc};
use crate::losses;
use crate::medium::Medium;

/// Courant numbers are kept from 0 and 1 by this when slopes are bounded.
const EDGE: f64 = 0.02;
/// Reynolds numbers below this are taken as this: the flow turns round many times a cycle.
const LEAST_REYNOLDS: f64 = 3000.0;
/// Most that a steep slope may be of the smaller of its two differences, at either end of the Courant numbers.
const STEEPEST: f64 = 4.0;
/// Lanes of the greatest signal speed.
const LANES: usize = 8;

#[inline(always)]
fn less(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

#[inline(always)]
fn more(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// Primitives from the conserved quantities; returns the greatest (|u| + c) / dx.
#[inline(always)]
fn primitives_all<M: Medium>(medium: M, q: &Conserved, w: &mut Cells, inv_dx: &[f64]) -> f64 {
    let Cells { rho, u, p, b, c, t, k, e0, e_b } = w;
    primitives(medium, &q.mass, &q.momentum, &q.energy, &q.burned, rho, u, p, b, c, t, k, e0, e_b);
    greatest_rate(u, c, inv_dx)
}

#[inline(always)]
fn greatest_rate(u: &[f64], c: &[f64], inv_dx: &[f64]) -> f64 {
    let mut lanes = [0.0_f64; LANES];
    let (mut us, mut cs, mut ds) = (u.chunks_exact(LANES), c.chunks_exact(LANES), inv_dx.chunks_exact(LANES));
    for ((u, c), d) in (&mut us).zip(&mut cs).zip(&mut ds) {
        for l in 0..LANES {
            lanes[l] = more(lanes[l], (u[l].abs() + c[l]) * d[l]);
        }
    }
    let rest = us.remainder().iter().zip(cs.remainder()).zip(ds.remainder());
    let rest = rest.map(|((u, c), d)| (u.abs() + c) * d);
    lanes.into_iter().chain(rest).fold(0.0, more)
}

#[inline(always)]
fn primitives<M: Medium>(
    medium: M,
    mass: &[f64],
    momentum: &[f64],
    energy: &[f64],
    burned: &[f64],
    rho: &mut [f64],
    u: &mut [f64],
    p: &mut [f64],
    b: &mut [f64],
    c: &mut [f64],
    t: &mut [f64],
    k: &mut [f64],
    e0: &mut [f64],
    e_b: &mut [f64],
) {
    let n = mass.len();
    let (momentum, energy, burned) = (&momentum[..n], &energy[..n], &burned[..n]);
    let (rho, u, p, b, c) = (&mut rho[..n], &mut u[..n], &mut p[..n], &mut b[..n], &mut c[..n]);
    let (t, k, e0, e_b) = (&mut t[..n], &mut k[..n], &mut e0[..n], &mut e_b[..n]);
    for i in 0..n {
        let r = mass[i];
        let inv = 1.0 / r;
        let v = momentum[i] * inv;
        let e = energy[i] * inv - 0.5 * v * v;
        let part = if M::MIXED { burned[i] * inv } else { 0.0 };
        let thermal = medium.thermal(e, part);
        let gas = medium.gas_constant(part);
        let one = gas * thermal.t_e;
        let rt = gas * thermal.t;
        rho[i] = r;
        u[i] = v;
        t[i] = thermal.t;
        p[i] = r * rt;
        c[i] = ((1.0 + one) * rt).sqrt();
        k[i] = 1.0 / one;
        if M::MIXED {
            let cv = gas * k[i];
            b[i] = part;
            e0[i] = e - cv * thermal.t;
            e_b[i] = -cv * thermal.t_b;
        }
    }
}

/// Bounded slope of a wave of Courant number `v`: third order where nothing binds. `twice` is 2 / (v (1 - v)).
#[inline(always)]
fn slope(up: f64, down: f64, v: f64, twice: f64) -> f64 {
    let free = ((1.0 + v) * up + (2.0 - v) * down) * (1.0 / 3.0);
    let bound = less(up.abs() * (1.0 - v), down.abs() * v) * twice;
    let size = less(free.abs(), bound);
    if up * down > 0.0 { size.copysign(up) } else { 0.0 }
}

/// Steep slope for a contact of Courant number `v`: the greater difference, at most 2/v and 2/(1 - v) of either so that
/// no new extremes come up (superbee with those bounds), each held to [`STEEPEST`]: with 2 a contact is wider, with 6 it
/// starts to ripple behind shocks. Both bounds are straight lines in v below their curves.
#[inline(always)]
fn slope_steep(up: f64, down: f64, v: f64) -> f64 {
    let (a, b) = (up.abs(), down.abs());
    let by_up = STEEPEST + v * (2.0 - STEEPEST);
    let by_down = 2.0 + v * (STEEPEST - 2.0);
    let size = less(more(a, b), less(by_up * a, by_down * b));
    if up * down > 0.0 { size.copysign(up) } else { 0.0 }
}

/// Superbee (P. L. Roe, 1985, from memory), for the burned fraction: no face lies beyond the neighbours' values, so that
/// it stays between 0 and 1 whichever way the gas goes.
#[inline(always)]
fn slope_within(up: f64, down: f64) -> f64 {
    let (a, b) = (up.abs(), down.abs());
    let size = less(more(a, b), 2.0 * less(a, b));
    if up * down > 0.0 { size.copysign(up) } else { 0.0 }
}

/// Face states half of `dt` on.
#[inline(always)]
fn predict_all<M: Medium>(dt: f64, w: &Cells, left: &mut Faces, right: &mut Faces, shape: &Shape, drag: &[f64]) {
    let Faces { rho, u, p, b, e } = left;
    let r = right;
    predict::<M>(
        dt,
        &w.rho,
        &w.u,
        &w.p,
        &w.b,
        &w.c,
        &w.k,
        &w.e0,
        &w.e_b,
        &shape.inv_dx,
        &shape.growth,
        drag,
        rho,
        u,
        p,
        b,
        e,
        &mut r.rho,
        &mut r.u,
        &mut r.p,
        &mut r.b,
        &mut r.e,
    );
}

// One piece: in two loops what passes between them would cost as much as the arithmetic.
#[inline(always)]
fn predict<M: Medium>(
    dt: f64,
    rho: &[f64],
    u: &[f64],
    p: &[f64],
    b: &[f64],
    c: &[f64],
    k: &[f64],
    e0: &[f64],
    e_b: &[f64],
    inv_dx: &[f64],
    growth: &[f64],
    drag: &[f64],
    l_rho: &mut [f64],
    l_u: &mut [f64],
    l_p: &mut [f64],
    l_b: &mut [f64],
    l_e: &mut [f64],
    r_rho: &mut [f64],
    r_u: &mut [f64],
    r_p: &mut [f64],
    r_b: &mut [f64],
    r_e: &mut [f64],
) {
    let n = rho.len();
    let (u, p, b, c, k, e0, e_b) = (&u[..n], &p[..n], &b[..n], &c[..n], &k[..n], &e0[..n], &e_b[..n]);
    let (inv_dx, growth, drag) = (&inv_dx[..n], &growth[..n], &drag[..n]);
    let (l_rho, l_u, l_p, l_b) = (&mut l_rho[..n], &mut l_u[..n], &mut l_p[..n], &mut l_b[..n]);
    let (l_e, r_e) = (&mut l_e[..n], &mut r_e[..n]);
    let (r_rho, r_u, r_p, r_b) = (&mut r_rho[..n], &mut r_u[..n], &mut r_p[..n], &mut r_b[..n]);
    for i in 1..n - 1 {
        let courant = dt * inv_dx[i];
        let (rho0, u0, p0, b0, c0) = (rho[i], u[i], p[i], b[i], c[i]);
        let z = rho0 * c0;
        let (v_minus, v0, v_plus) = ((u0 - c0) * courant, u0 * courant, (u0 + c0) * courant);
        let clip = |v: f64| more(EDGE, less(v.abs(), 1.0 - EDGE));
        let (a_minus, a_plus) = (clip(v_minus), clip(v_plus));
        // Three reciprocals by one division.
        let (d_minus, d_plus, stiff) = (a_minus * (1.0 - a_minus), a_plus * (1.0 - a_plus), z * c0);
        let all = 1.0 / (d_minus * d_plus * stiff);
        let (t_minus, t_plus) = (2.0 * all * d_plus * stiff, 2.0 * all * d_minus * stiff);
        let by_stiff = all * d_minus * d_plus;
        let (inv_cc, inv_z) = (by_stiff * rho0, by_stiff * c0);
        let (rho_l, rho_r) = (rho0 - rho[i - 1], rho[i + 1] - rho0);
        let (u_l, u_r) = (z * (u0 - u[i - 1]), z * (u[i + 1] - u0));
        let (p_l, p_r) = (p0 - p[i - 1], p[i + 1] - p0);
        let order = |v: f64, l: f64, r: f64| if v >= 0.0 { (l, r) } else { (r, l) };
        let (up, down) = order(v_minus, 0.5 * (p_l - u_l), 0.5 * (p_r - u_r));
        let minus = slope(up, down, a_minus, t_minus);
        let (up, down) = order(v_plus, 0.5 * (p_l + u_l), 0.5 * (p_r + u_r));
        let plus = slope(up, down, a_plus, t_plus);
        let (up, down) = order(v0, rho_l - p_l * inv_cc, rho_r - p_r * inv_cc);
        let entropy = slope_steep(up, down, v0.abs());
        let b_slope = if M::MIXED { slope_within(b0 - b[i - 1], b[i + 1] - b0) } else { 0.0 };
        // What area and friction do to the cell in half a step.
        let half = 0.5 * dt;
        let rho_s = -half * rho0 * u0 * growth[i];
        let p_s = rho_s * c0 * c0;
        let u_s = -half * drag[i] * u0.abs() * u0;
        let at = |side: f64| {
            let m = 0.5 * (side - v_minus) * minus;
            let q = 0.5 * (side - v_plus) * plus;
            let s = 0.5 * (side - v0);
            let rho1 = rho0 + s * entropy + (m + q) * inv_cc + rho_s;
            let p1 = p0 + m + q + p_s;
            let u1 = u0 + (q - m) * inv_z + u_s;
            (rho1, u1, p1, if M::MIXED { b0 + s * b_slope } else { 0.0 })
        };
        let (a, z) = (at(-1.0), at(1.0));
        // Both faces or none: where one falls too low, the slope is more than the cell's straight line can bear.
        let safe = (less(a.0, z.0) > LEAST_PART * rho0) & (less(a.2, z.2) > LEAST_PART * p0);
        let pick = |a: f64, b: f64| if safe { a } else { b };
        let hold = |s: (f64, f64, f64, f64)| (pick(s.0, rho0), pick(s.1, u0), pick(s.2, p0), pick(s.3, b0));
        let (a, z) = (hold(a), hold(z));
        let energy = |(rho, u, p, b): (f64, f64, f64, f64)| {
            let inner = if M::MIXED { p * k[i] + rho * (e0[i] + e_b[i] * (b - b0)) } else { p * k[i] };
            inner + 0.5 * rho * u * u
        };
        l_rho[i] = a.0;
        l_u[i] = a.1;
        l_p[i] = a.2;
        l_e[i] = energy(a);
        r_rho[i] = z.0;
        r_u[i] = z.1;
        r_p[i] = z.2;
        r_e[i] = energy(z);
        if M::MIXED {
            l_b[i] = a.3;
            r_b[i] = z.3;
        }
    }
}

/// Flux through every face between two cells.
#[inline(always)]
fn flux_all(left: &Faces, right: &Faces, sound: &[f64], flux: &mut Fluxes) {
    let n = left.rho.len();
    let (l, r) = (right, left);
    let Fluxes { mass, momentum, energy, burned } = flux;
    fluxes(
        &l.rho[..n - 1],
        &l.u[..n - 1],
        &l.p[..n - 1],
        &sound[..n - 1],
        &l.e[..n - 1],
        &l.b[..n - 1],
        &r.rho[1..],
        &r.u[1..],
        &r.p[1..],
        &sound[1..],
        &r.e[1..],
        &r.b[1..],
        &mut mass[1..],
        &mut momentum[1..],
        &mut energy[1..],
        &mut burned[1..],
    );
}

#[inline(always)]
fn fluxes(
    rho: &[f64],
    u: &[f64],
    p: &[f64],
    c: &[f64],
    e: &[f64],
    b: &[f64],
    rho2: &[f64],
    u2: &[f64],
    p2: &[f64],
    c2: &[f64],
    e2: &[f64],
    b2: &[f64],
    mass: &mut [f64],
    momentum: &mut [f64],
    energy: &mut [f64],
    burned: &mut [f64],
) {
    let n = rho.len();
    let (u, p, c, e, b) = (&u[..n], &p[..n], &c[..n], &e[..n], &b[..n]);
    let (rho2, u2, p2, c2, e2, b2) = (&rho2[..n], &u2[..n], &p2[..n], &c2[..n], &e2[..n], &b2[..n]);
    let (mass, momentum) = (&mut mass[..n], &mut momentum[..n]);
    let (energy, burned) = (&mut energy[..n], &mut burned[..n]);
    for i in 0..n {
        let l = Side { rho: rho[i], u: u[i], p: p[i], c: c[i], energy: e[i], burned: b[i] };
        let r = Side { rho: rho2[i], u: u2[i], p: p2[i], c: c2[i], energy: e2[i], burned: b2[i] };
        let f = flux_hllc(&l, &r);
        mass[i] = f.mass;
        momentum[i] = f.momentum;
        energy[i] = f.energy;
        burned[i] = f.burned;
    }
}

/// Conserved quantities after `dt`.
#[inline(always)]
fn update_all(dt: f64, q: &mut Conserved, left: &Faces, right: &Faces, flux: &Fluxes, shape: &Shape) {
    let Conserved { mass, momentum, energy, burned } = q;
    let Shape { area, inv_volume: inv, .. } = shape;
    add(dt, mass, &flux.mass, area, inv);
    add_momentum(dt, momentum, &flux.momentum, &left.p, &right.p, area, inv);
    add(dt, energy, &flux.energy, area, inv);
    add(dt, burned, &flux.burned, area, inv);
}

#[inline(always)]
fn add(dt: f64, q: &mut [f64], flux: &[f64], area: &[f64], inv: &[f64]) {
    let n = q.len() - 1;
    let (q, inv) = (&mut q[..n], &inv[..n]);
    let (a, b, f, g) = (&area[..n], &area[1..=n], &flux[..n], &flux[1..=n]);
    for i in 0..n {
        q[i] -= dt * inv[i] * (b[i] * g[i] - a[i] * f[i]);
    }
}

#[inline(always)]
fn add_momentum(dt: f64, q: &mut [f64], flux: &[f64], p_l: &[f64], p_r: &[f64], area: &[f64], inv: &[f64]) {
    let n = q.len() - 1;
    let (q, inv, p_l, p_r) = (&mut q[..n], &inv[..n], &p_l[..n], &p_r[..n]);
    let (a, b, f, g) = (&area[..n], &area[1..=n], &flux[..n], &flux[1..=n]);
    for i in 0..n {
        let middle = 0.5 * (p_l[i] + p_r[i]);
        q[i] -= dt * inv[i] * (b[i] * (g[i] - middle) - a[i] * (f[i] - middle));
    }
}

/// Friction and heat, each taken at the end of the step so that no step is too long for it.
#[inline(always)]
fn sources(dt: f64, q: &mut Conserved, w: &Cells, shape: &Shape, drag: &[f64], warm: &[f64]) {
    let Conserved { momentum, energy, .. } = q;
    rub(dt, &w.u, momentum, energy, &w.t, &shape.wall_k, drag, warm);
}

#[inline(always)]
fn rub(
    dt: f64,
    u: &[f64],
    momentum: &mut [f64],
    energy: &mut [f64],
    t: &[f64],
    wall: &[f64],
    drag: &[f64],
    warm: &[f64],
) {
    let n = u.len();
    let (momentum, energy) = (&mut momentum[..n], &mut energy[..n]);
    let (t, wall, drag, warm) = (&t[..n], &wall[..n], &drag[..n], &warm[..n]);
    for i in 0..n {
        let flow = momentum[i];
        energy[i] -= dt * warm[i] * flow.abs() * (t[i] - wall[i]);
        momentum[i] = flow / (1.0 + dt * drag[i] * u[i].abs());
    }
}

/// Coefficients of friction and heat from the present state.
#[inline(always)]
fn coefficients(w: &Cells, shape: &Shape, drag: &mut [f64], warm: &mut [f64]) {
    let n = drag.len();
    let (rho, u, t, k, p) = (&w.rho[..n], &w.u[..n], &w.t[..n], &w.k[..n], &w.p[..n]);
    let (fixed, rough, by) = (&shape.fixed[..n], &shape.rough[..n], &shape.by_reynolds[..n]);
    let (diameter, heat, warm) = (&shape.diameter[..n], &shape.heat[..n], &mut warm[..n]);
    for i in 0..n {
        let viscosity = losses::viscosity_quick(t[i]);
        let reynolds = more(rho[i] * u[i].abs() * diameter[i] / viscosity, LEAST_REYNOLDS);
        let f = more(losses::friction_smooth(reynolds), rough[i]);
        drag[i] = fixed[i] + by[i] * 0.5 * f / diameter[i];
        // R from p = rho R T; cp = R (1 + k).
        let cp = p[i] / (rho[i] * t[i]) * (1.0 + k[i]);
        warm[i] = heat[i] * 4.0 / diameter[i] * losses::stanton(f) * cp;
    }
}

// What `Arch::dispatch` compiles for the vector unit at hand. Closures will not do: they are compiled apart as plain code.

/// Primitives and the greatest signal rate.
pub(super) struct Primitives<'a, M> {
    pub(super) medium: M,
    pub(super) q: &'a Conserved,
    pub(super) w: &'a mut Cells,
    pub(super) inv_dx: &'a [f64],
}

impl<M: Medium> NullaryFnOnce for Primitives<'_, M> {
    type Output = f64;

    #[inline(always)]
    fn call(self) -> f64 {
        primitives_all(self.medium, self.q, self.w, self.inv_dx)
    }
}

/// Face states.
pub(super) struct Predict<'a, M> {
    pub(super) dt: f64,
    pub(super) w: &'a Cells,
    pub(super) left: &'a mut Faces,
    pub(super) right: &'a mut Faces,
    pub(super) shape: &'a Shape,
    pub(super) drag: &'a [f64],
    pub(super) medium: PhantomData<M>,
}

impl<M: Medium> NullaryFnOnce for Predict<'_, M> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        predict_all::<M>(self.dt, self.w, self.left, self.right, self.shape, self.drag)
    }
}

/// Fluxes between cells.
pub(super) struct Fluxing<'a> {
    pub(super) left: &'a Faces,
    pub(super) right: &'a Faces,
    pub(super) sound: &'a [f64],
    pub(super) flux: &'a mut Fluxes,
}

impl NullaryFnOnce for Fluxing<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        flux_all(self.left, self.right, self.sound, self.flux)
    }
}

/// Conserved quantities.
pub(super) struct Update<'a> {
    pub(super) dt: f64,
    pub(super) q: &'a mut Conserved,
    pub(super) left: &'a Faces,
    pub(super) right: &'a Faces,
    pub(super) flux: &'a Fluxes,
    pub(super) shape: &'a Shape,
}

impl NullaryFnOnce for Update<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        update_all(self.dt, self.q, self.left, self.right, self.flux, self.shape)
    }
}

/// Friction and heat.
pub(super) struct Sources<'a> {
    pub(super) dt: f64,
    pub(super) q: &'a mut Conserved,
    pub(super) w: &'a Cells,
    pub(super) shape: &'a Shape,
    pub(super) drag: &'a [f64],
    pub(super) warm: &'a [f64],
}

impl NullaryFnOnce for Sources<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        sources(self.dt, self.q, self.w, self.shape, self.drag, self.warm)
    }
}

/// Their coefficients.
pub(super) struct Coefficients<'a> {
    pub(super) w: &'a Cells,
    pub(super) shape: &'a Shape,
    pub(super) drag: &'a mut [f64],
    pub(super) warm: &'a mut [f64],
}

impl NullaryFnOnce for Coefficients<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        coefficients(self.w, self.shape, self.drag, self.warm)
    }
}
