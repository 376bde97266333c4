//! The step of all cells, written to become vector code.
//!
//! It goes through the arrays by strips of [`STRIP`] cells that stay in the nearest cache: face states, fluxes, conserved
//! quantities and primitives of a strip are done before the next one begins. A strip predicts one cell ahead of those it
//! updates, so that every prediction is made from the old state. Every array that is written is an argument of its own or
//! on the stack: only then does the compiler know that they do not overlap. `min` and `max` are comparisons, because those
//! of the standard library also take care of NaN.

#![expect(clippy::too_many_arguments, reason = "arrays that are arguments are known not to overlap")]

use std::marker::PhantomData;

use pulp::{Simd, WithSimd};

use super::lanes::{Cells, Conserved, EndFlux, LEAST_PART, Shape};
use crate::arithmetic::{Apart, Arithmetic, Fused};
use crate::flux::{Side, flux_hllc};
use crate::losses;
use crate::medium::Medium;

/// Cells of a strip.
pub(super) const STRIP: usize = 32;
/// Most that a slope may be of the smaller of its two differences, at either end of the Courant numbers: with 2 contacts
/// and shocks are wider, with 6 contacts start to ripple behind shocks.
const STEEPEST: f64 = 4.0;
/// Jumps of pressure from cell to cell above this part of it are steep fronts: there the slope of a wave of sound is at
/// least the greater difference less this, within its bounds. Smooth waves keep their third order. In pipes with walls or
/// cones no slope is sharpened: torque is the same, and behind a narrow port sharper slopes keep cycles from repeating.
const FRONT: f64 = 0.019;
/// Cells at ends of pipes that are predicted together: a vector.
const GROUP: usize = 4;
/// Lanes of the greatest signal speed.
const LANES: usize = 8;

type Row = [f64; STRIP];
/// One more than a strip: the face on its left too.
type Long = [f64; STRIP + 1];

#[inline(always)]
fn less(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

#[inline(always)]
fn more(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// Predicted states at one face of each cell of a strip; number 0 is that of the strip before.
#[derive(Clone, Copy)]
pub(super) struct Edge {
    pub(super) rho: Long,
    pub(super) u: Long,
    pub(super) p: Long,
    pub(super) b: Long,
    pub(super) e: Long,
}

impl Edge {
    pub(super) const EMPTY: Edge = Edge {
        rho: [1.0; STRIP + 1],
        u: [0.0; STRIP + 1],
        p: [1.0; STRIP + 1],
        b: [0.0; STRIP + 1],
        e: [1.0; STRIP + 1],
    };

    /// Sets number `j`: density, velocity, pressure, burned fraction, energy.
    #[inline(always)]
    fn set(&mut self, j: usize, [rho, u, p, b, e]: [f64; 5]) {
        self.rho[j] = rho;
        self.u[j] = u;
        self.p[j] = p;
        self.b[j] = b;
        self.e[j] = e;
    }

    #[inline(always)]
    fn carry(&mut self) {
        for a in [&mut self.rho, &mut self.u, &mut self.p, &mut self.b, &mut self.e] {
            a[0] = a[STRIP];
        }
    }
}

/// What a prediction needs of cells and of the neighbours on either side: before, at, after.
pub(super) struct Around<'a> {
    pub(super) rho: [&'a Row; 3],
    pub(super) u: [&'a Row; 3],
    pub(super) p: [&'a Row; 3],
    pub(super) b: [&'a Row; 3],
    pub(super) c: &'a Row,
    pub(super) k: &'a Row,
    pub(super) e0: &'a Row,
    pub(super) e_b: &'a Row,
    pub(super) soft: &'a Row,
    pub(super) inv_dx: &'a Row,
    pub(super) growth: &'a Row,
    pub(super) drag: &'a Row,
}

/// `STRIP` values from `at` on.
#[inline(always)]
pub(super) fn row(a: &[f64], at: usize) -> &Row {
    a[at..at + STRIP].first_chunk().expect("a strip long")
}

#[inline(always)]
fn row_mut(a: &mut [f64], at: usize) -> &mut Row {
    a[at..at + STRIP].first_chunk_mut().expect("a strip long")
}

impl<'a> Around<'a> {
    #[inline(always)]
    fn cells(q: &'a Conserved, w: &'a Cells, shape: &'a Shape, drag: &'a [f64], at: usize) -> Around<'a> {
        let three = |a: &'a [f64]| [row(a, at - 1), row(a, at), row(a, at + 1)];
        Around {
            rho: three(&q.mass),
            u: three(&w.u),
            p: three(&w.p),
            b: three(&w.b),
            c: row(&w.c, at),
            k: row(&w.k, at),
            e0: row(&w.e0, at),
            e_b: row(&w.e_b, at),
            soft: row(&w.soft, at),
            inv_dx: row(&shape.inv_dx, at),
            growth: row(&shape.growth, at),
            drag: row(drag, at),
        }
    }
}

/// A quarter of the bounded slope of a wave of Courant number `v` from 0 to 1: third order where nothing binds, and without walls
/// steeper at fronts in gas of pressure `p`. The bounds 2/v and 2/(1 - v) of the differences are taken as straight lines below their
/// curves. The differences are twice those of the wave.
#[inline(always)]
fn quarter_slope<A: Arithmetic, const WALLS: bool>(up: f64, down: f64, v: f64, p: f64) -> f64 {
    let (a, b) = (up.abs(), down.abs());
    let third = A::sum(v, a - b, A::sum(2.0, b, a)) * (0.25 / 3.0);
    let free = if WALLS { third } else { more(third, A::sum(-0.5 * FRONT, p, 0.25 * more(a, b))) };
    let by_up = A::sum(v, 0.25 * (2.0 - STEEPEST), 0.25 * STEEPEST) * a;
    let by_down = A::sum(v, 0.25 * (STEEPEST - 2.0), 0.5) * b;
    same_sign(up, down, less(free, less(by_up, by_down)))
}

/// Half the steepest slope within the same bounds, for a contact: the greater difference where nothing binds.
#[inline(always)]
fn half_slope_steep<A: Arithmetic>(up: f64, down: f64, v: f64) -> f64 {
    let (a, b) = (up.abs(), down.abs());
    let by_up = A::sum(v, 0.5 * (2.0 - STEEPEST), 0.5 * STEEPEST) * a;
    let by_down = A::sum(v, 0.5 * (STEEPEST - 2.0), 1.0) * b;
    same_sign(up, down, less(0.5 * more(a, b), less(by_up, by_down)))
}

/// `size` with the sign of both differences, or 0.
#[inline(always)]
fn same_sign(up: f64, down: f64, size: f64) -> f64 {
    let signed = size.copysign(up);
    // The sign bit of both together: one instruction chooses by it.
    if ((up.to_bits() ^ down.to_bits()) as i64) < 0 { 0.0 } else { signed }
}

/// Superbee (P. L. Roe, 1985, from memory), for the burned fraction: no face lies beyond the neighbours' values, so that
/// it stays between 0 and 1 whichever way the gas goes.
#[inline(always)]
fn slope_within(up: f64, down: f64) -> f64 {
    let (a, b) = (up.abs(), down.abs());
    same_sign(up, down, less(more(a, b), 2.0 * less(a, b)))
}

/// States at both faces of `N` cells from number `from` on, half of `dt` on; that of cell i is number i + 1. One piece: in two
/// loops what passes between them would cost as much as the arithmetic. `N` is fixed, so that no cell is left for a loop without
/// vectors.
#[inline(always)]
fn predict<M: Medium, A: Arithmetic, const WALLS: bool, const N: usize>(
    dt: f64,
    from: usize,
    w: &Around<'_>,
    left: &mut Edge,
    right: &mut Edge,
) {
    let half = 0.5 * dt;
    for i in (0..N).map(|j| from + j) {
        let (rho0, u0, p0, b0, c0) = (w.rho[1][i], w.u[1][i], w.p[1][i], w.b[1][i], w.c[i]);
        let courant = dt * w.inv_dx[i];
        let z = rho0 * c0;
        let (v_minus, v0, v_plus) = ((u0 - c0) * courant, u0 * courant, (u0 + c0) * courant);
        let (inv_cc, inv_z) = (w.soft[i] * rho0, w.soft[i] * c0);
        let (rho_l, rho_r) = (rho0 - w.rho[0][i], w.rho[2][i] - rho0);
        let (u_l, u_r) = (u0 - w.u[0][i], w.u[2][i] - u0);
        let (p_l, p_r) = (p0 - w.p[0][i], w.p[2][i] - p0);
        let order = |v: f64, l: f64, r: f64| if v >= 0.0 { (l, r) } else { (r, l) };
        // Twice the differences of the waves of sound; a quarter of their slopes.
        let (up, down) = order(v_minus, A::sum(-z, u_l, p_l), A::sum(-z, u_r, p_r));
        let minus = quarter_slope::<A, WALLS>(up, down, v_minus.abs(), p0);
        let (up, down) = order(v_plus, A::sum(z, u_l, p_l), A::sum(z, u_r, p_r));
        let plus = quarter_slope::<A, WALLS>(up, down, v_plus.abs(), p0);
        let (up, down) = order(v0, A::sum(-p_l, inv_cc, rho_l), A::sum(-p_r, inv_cc, rho_r));
        let entropy = half_slope_steep::<A>(up, down, v0.abs());
        // What half a step moves the middle of the cell by, and half the difference of its faces.
        let (back_minus, back_plus) = (v_minus * minus, v_plus * plus);
        let back = back_minus + back_plus;
        let (mut mid_rho, mut mid_u, mut mid_p) =
            (rho0 - A::sum(back, inv_cc, v0 * entropy), A::sum(back_minus - back_plus, inv_z, u0), p0 - back);
        if WALLS {
            // What area and friction do to the cell in half a step.
            let thinner = half * rho0 * u0 * w.growth[i];
            mid_rho -= thinner;
            mid_p = A::sum(-thinner, c0 * c0, mid_p);
            mid_u = A::sum(-half * w.drag[i], u0.abs() * u0, mid_u);
        }
        let off_p = minus + plus;
        let off_rho = A::sum(off_p, inv_cc, entropy);
        let off_u = (plus - minus) * inv_z;
        // Both faces or none: where one falls too low, the slope is more than the cell's straight line can bear.
        let safe = (mid_rho - off_rho.abs() > LEAST_PART * rho0) & (mid_p - off_p.abs() > LEAST_PART * p0);
        let pick = |a: f64, b: f64| if safe { a } else { b };
        let (mid_rho, mid_u, mid_p) = (pick(mid_rho, rho0), pick(mid_u, u0), pick(mid_p, p0));
        let (off_rho, off_u, off_p) = (pick(off_rho, 0.0), pick(off_u, 0.0), pick(off_p, 0.0));
        let (mut mid_b, mut off_b) = (0.0, 0.0);
        if M::MIXED {
            let b_slope = slope_within(b0 - w.b[0][i], w.b[2][i] - b0);
            off_b = pick(0.5 * b_slope, 0.0);
            mid_b = b0 - v0 * off_b;
        }
        let energy = |rho: f64, u: f64, p: f64, b: f64| {
            let moving = A::sum(p, w.k[i], 0.5 * rho * u * u);
            if M::MIXED { A::sum(rho, A::sum(w.e_b[i], b - b0, w.e0[i]), moving) } else { moving }
        };
        let (rho, u, p, b) = (mid_rho - off_rho, mid_u - off_u, mid_p - off_p, mid_b - off_b);
        left.set(i + 1, [rho, u, p, b, energy(rho, u, p, b)]);
        let (rho, u, p, b) = (mid_rho + off_rho, mid_u + off_u, mid_p + off_p, mid_b + off_b);
        right.set(i + 1, [rho, u, p, b, energy(rho, u, p, b)]);
    }
}

/// Fluxes through the faces of a strip; number 0 is its left end.
#[derive(Clone)]
struct Fluxes {
    mass: Long,
    momentum: Long,
    energy: Long,
    burned: Long,
}

impl Fluxes {
    const EMPTY: Fluxes = Fluxes {
        mass: [0.0; STRIP + 1],
        momentum: [0.0; STRIP + 1],
        energy: [0.0; STRIP + 1],
        burned: [0.0; STRIP + 1],
    };

    /// Of all faces but the first, from the states on their left and right.
    #[inline(always)]
    fn fill<M: Medium, A: Arithmetic>(&mut self, l: &Edge, l_c: &Row, r: &Edge, r_c: &Row) {
        for i in 0..STRIP {
            let j = i + 1;
            let left = Side { rho: l.rho[i], u: l.u[i], p: l.p[i], c: l_c[i], energy: l.e[i], burned: l.b[i] };
            let right = Side { rho: r.rho[j], u: r.u[j], p: r.p[j], c: r_c[i], energy: r.e[j], burned: r.b[j] };
            let f = flux_hllc::<A>(&left, &right);
            self.mass[j] = f.mass;
            self.momentum[j] = f.momentum;
            self.energy[j] = f.energy;
            if M::MIXED {
                self.burned[j] = f.burned;
            }
        }
    }

    /// Takes over the fluxes of the ends of pipes in the strip that begins at `at`, from the first of `ends` on; how many those are.
    #[inline(always)]
    fn take_ends(&mut self, ends: &[EndFlux], at: usize) -> usize {
        let mut taken = 0;
        while let Some(end) = ends.get(taken).filter(|e| e.face <= at + STRIP) {
            let i = (end.face - at).min(STRIP);
            self.mass[i] = end.flux.mass;
            self.momentum[i] = end.flux.momentum;
            self.energy[i] = end.flux.energy;
            self.burned[i] = end.flux.burned;
            taken += 1;
        }
        taken
    }

    #[inline(always)]
    fn carry(&mut self) {
        for a in [&mut self.mass, &mut self.momentum, &mut self.energy, &mut self.burned] {
            a[0] = a[STRIP];
        }
    }
}

/// What a strip needs for a moment.
#[derive(Clone)]
pub(super) struct Scratch {
    pub(super) left: Edge,
    pub(super) right: Edge,
    flux: Fluxes,
    pub(super) gathered: Gathered,
}

impl Scratch {
    pub(super) const EMPTY: Scratch =
        Scratch { left: Edge::EMPTY, right: Edge::EMPTY, flux: Fluxes::EMPTY, gathered: Gathered::EMPTY };
}

/// What an update reads.
struct Still<'a> {
    dt: f64,
    flux: &'a Fluxes,
    left: &'a Long,
    right: &'a Long,
    /// Areas of the faces on the left and on the right.
    area: [&'a Row; 2],
    inv_volume: &'a Row,
    drag: &'a Row,
    warm: &'a Row,
    wall_k: &'a Row,
}

impl<'a> Still<'a> {
    /// Of the strip that begins at `s`; `faces` are the pressures at the faces of its cells.
    #[inline(always)]
    fn of(
        dt: f64,
        flux: &'a Fluxes,
        faces: [&'a Long; 2],
        shape: &'a Shape,
        [drag, warm]: [&'a [f64]; 2],
        s: usize,
    ) -> Still<'a> {
        Still {
            dt,
            flux,
            left: faces[0],
            right: faces[1],
            area: [row(&shape.area, s), row(&shape.area, s + 1)],
            inv_volume: row(&shape.inv_volume, s),
            drag: row(drag, s),
            warm: row(warm, s),
            wall_k: row(&shape.wall_k, s),
        }
    }
}

/// What the first half of an update leaves for the second: 1 / rho, internal energy, burned fraction.
struct Half {
    inv: Row,
    e: Row,
    share: Row,
}

/// Conserved quantities and velocity of a strip after `dt`, friction and heat, each taken at the end of the step so that no
/// step is too long for it.
#[inline(always)]
fn conserve<M: Medium, A: Arithmetic, const WALLS: bool>(
    s: &Still<'_>,
    mass: &mut Row,
    momentum: &mut Row,
    energy: &mut Row,
    burned: &mut Row,
    u: &mut Row,
    t: &Row,
    half: &mut Half,
) {
    let f = s.flux;
    for i in 0..STRIP {
        let by = -s.dt * s.inv_volume[i];
        let (near, far) = (s.area[0][i], s.area[1][i]);
        let add = |q: f64, a: f64, b: f64| A::sum(by, A::sum(far, b, -(near * a)), q);
        let rho = add(mass[i], f.mass[i], f.mass[i + 1]);
        let middle = 0.5 * (s.left[i] + s.right[i]);
        let mut flow = add(momentum[i], f.momentum[i] - middle, f.momentum[i + 1] - middle);
        let mut total = add(energy[i], f.energy[i], f.energy[i + 1]);
        let (inv, v);
        if WALLS {
            total = A::sum(-s.dt * s.warm[i] * flow.abs(), t[i] - s.wall_k[i], total);
            // One division for 1 / rho and the friction.
            let slower = A::sum(s.dt * s.drag[i], u[i].abs(), 1.0);
            let both = 1.0 / (rho * slower);
            inv = both * slower;
            v = both * flow;
            flow = v * rho;
        } else {
            inv = 1.0 / rho;
            v = flow * inv;
        }
        mass[i] = rho;
        momentum[i] = flow;
        energy[i] = total;
        u[i] = v;
        half.inv[i] = inv;
        half.e[i] = A::sum(-0.5 * v, v, total * inv);
        if M::MIXED {
            let part = add(burned[i], f.burned[i], f.burned[i + 1]);
            burned[i] = part;
            half.share[i] = part * inv;
        }
    }
}

/// Primitives of a strip; `top` gathers the greatest (|u| + c) / dx. A loop of its own: together with the first half it
/// would be longer than what a processor looks ahead.
#[inline(always)]
fn primitives<M: Medium, A: Arithmetic>(
    medium: &M,
    half: &Half,
    rho: &Row,
    u: &Row,
    inv_dx: &Row,
    p: &mut Row,
    b: &mut Row,
    c: &mut Row,
    t: &mut Row,
    k: &mut Row,
    e0: &mut Row,
    e_b: &mut Row,
    soft: &mut Row,
    top: &mut Row,
) {
    for i in 0..STRIP {
        let e = half.e[i];
        let share = if M::MIXED { half.share[i] } else { 0.0 };
        let thermal = medium.thermal_by::<A>(e, share);
        let gas = medium.gas_constant(share);
        let one = gas * thermal.t_e;
        let rt = gas * thermal.t;
        let cc = A::sum(one, rt, rt);
        t[i] = thermal.t;
        p[i] = rho[i] * rt;
        c[i] = cc.sqrt();
        // Not by a comparison: that would become a store under a mask, which is slow.
        top[i] = top[i].max((u[i].abs() + c[i]) * inv_dx[i]);
        if M::MIXED {
            let both = 1.0 / (one * cc);
            let heavy = both * cc;
            let cv = gas * heavy;
            b[i] = share;
            k[i] = heavy;
            soft[i] = half.inv[i] * one * both;
            e0[i] = A::sum(-cv, thermal.t, e);
            e_b[i] = -cv * thermal.t_b;
        } else {
            k[i] = 1.0 / one;
            soft[i] = half.inv[i] / cc;
        }
    }
}

/// Coefficients of friction and heat of a strip.
#[inline(always)]
fn resist<M: Medium, A: Arithmetic>(
    medium: &M,
    momentum: &Row,
    t: &Row,
    b: &Row,
    k: &Row,
    walls: &Lining<'_>,
    drag: &mut Row,
    warm: &mut Row,
) {
    for i in 0..STRIP {
        let smooth = losses::friction_quick::<A>(momentum[i].abs() * walls.diameter[i], t[i]);
        let f = more(smooth, walls.rough[i]);
        drag[i] = A::sum(walls.by_reynolds[i], f, walls.fixed[i]);
        // cp = R (1 + cv / R).
        let r = medium.gas_constant(b[i]);
        warm[i] = walls.heat[i] * f * A::sum(r, k[i], r);
    }
}

/// What friction and heat read of the [`Shape`] of a strip.
struct Lining<'a> {
    fixed: &'a Row,
    by_reynolds: &'a Row,
    rough: &'a Row,
    diameter: &'a Row,
    heat: &'a Row,
}

impl<'a> Lining<'a> {
    #[inline(always)]
    fn of(shape: &'a Shape, at: usize) -> Lining<'a> {
        Lining {
            fixed: row(&shape.fixed, at),
            by_reynolds: row(&shape.by_reynolds, at),
            rough: row(&shape.rough, at),
            diameter: row(&shape.diameter, at),
            heat: row(&shape.heat, at),
        }
    }
}

/// A step of all cells. Returns the greatest (|u| + c) / dx.
pub(super) struct UpdateCells<'a, M> {
    pub(super) medium: M,
    pub(super) dt: f64,
    pub(super) walls: bool,
    pub(super) strips: usize,
    pub(super) q: &'a mut Conserved,
    pub(super) w: &'a mut Cells,
    pub(super) shape: &'a Shape,
    pub(super) drag: &'a mut [f64],
    pub(super) warm: &'a mut [f64],
    /// Fluxes at the ends of pipes, ascending.
    pub(super) ends: &'a [EndFlux],
    pub(super) scratch: &'a mut Scratch,
}

impl<M: Medium> WithSimd for UpdateCells<'_, M> {
    type Output = f64;

    #[inline(always)]
    fn with_simd<S: Simd>(self, _simd: S) -> f64 {
        match (S::IS_SCALAR, self.walls) {
            (false, true) => self.run::<Fused, true>(),
            (false, false) => self.run::<Fused, false>(),
            (true, true) => self.run::<Apart, true>(),
            (true, false) => self.run::<Apart, false>(),
        }
    }
}

impl<M: Medium> UpdateCells<'_, M> {
    #[inline(always)]
    fn run<A: Arithmetic, const WALLS: bool>(self) -> f64 {
        let UpdateCells { medium, dt, strips, q, w, shape, drag, warm, ends, scratch, .. } = self;
        let Scratch { left, right, flux, .. } = scratch;
        let mut half = Half { inv: [0.0; STRIP], e: [0.0; STRIP], share: [0.0; STRIP] };
        let mut top = [0.0; STRIP];
        let mut next = 0;
        for s in (0..strips).map(|k| k * STRIP) {
            predict::<M, A, WALLS, STRIP>(dt, 0, &Around::cells(q, w, shape, drag, s + 1), left, right);
            flux.fill::<M, A>(right, row(&w.c, s), left, row(&w.c, s + 1));
            next += flux.take_ends(&ends[next..], s);
            let still = Still::of(dt, flux, [&left.p, &right.p], shape, [drag, warm], s);
            conserve::<M, A, WALLS>(
                &still,
                row_mut(&mut q.mass, s),
                row_mut(&mut q.momentum, s),
                row_mut(&mut q.energy, s),
                row_mut(&mut q.burned, s),
                row_mut(&mut w.u, s),
                row(&w.t, s),
                &mut half,
            );
            primitives::<M, A>(
                &medium,
                &half,
                row(&q.mass, s),
                row(&w.u, s),
                row(&shape.inv_dx, s),
                row_mut(&mut w.p, s),
                row_mut(&mut w.b, s),
                row_mut(&mut w.c, s),
                row_mut(&mut w.t, s),
                row_mut(&mut w.k, s),
                row_mut(&mut w.e0, s),
                row_mut(&mut w.e_b, s),
                row_mut(&mut w.soft, s),
                &mut top,
            );
            if WALLS {
                resist::<M, A>(
                    &medium,
                    row(&q.momentum, s),
                    row(&w.t, s),
                    row(&w.b, s),
                    row(&w.k, s),
                    &Lining::of(shape, s),
                    row_mut(drag, s),
                    row_mut(warm, s),
                );
            }
            left.carry();
            right.carry();
            flux.carry();
        }
        greatest(&top)
    }
}

/// The greatest of a row, lane by lane.
#[inline(always)]
fn greatest(row: &Row) -> f64 {
    let mut lanes = [0.0_f64; LANES];
    for part in row.chunks_exact(LANES) {
        for (lane, rate) in lanes.iter_mut().zip(part) {
            *lane = more(*lane, *rate);
        }
    }
    lanes.into_iter().fold(0.0, more)
}

/// Predictions for cells that were picked out.
struct Predict<'a, M> {
    dt: f64,
    n: usize,
    walls: bool,
    cells: Around<'a>,
    left: &'a mut Edge,
    right: &'a mut Edge,
    medium: PhantomData<M>,
}

impl<M: Medium> WithSimd for Predict<'_, M> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _simd: S) {
        let Predict { dt, n, walls, cells, left, right, .. } = self;
        for from in (0..STRIP).step_by(GROUP).take_while(|from| *from < n) {
            match (S::IS_SCALAR, walls) {
                (false, true) => predict::<M, Fused, true, GROUP>(dt, from, &cells, left, right),
                (false, false) => predict::<M, Fused, false, GROUP>(dt, from, &cells, left, right),
                (true, true) => predict::<M, Apart, true, GROUP>(dt, from, &cells, left, right),
                (true, false) => predict::<M, Apart, false, GROUP>(dt, from, &cells, left, right),
            }
        }
    }
}

/// Cells at the ends of pipes with their neighbours, side by side.
#[derive(Clone)]
pub(super) struct Gathered {
    rho: [Row; 3],
    u: [Row; 3],
    p: [Row; 3],
    b: [Row; 3],
    own: [Row; 8],
}

impl Gathered {
    const EMPTY: Gathered = Gathered {
        rho: [[1.0; STRIP]; 3],
        u: [[0.0; STRIP]; 3],
        p: [[1.0; STRIP]; 3],
        b: [[0.0; STRIP]; 3],
        own: [[1.0; STRIP]; 8],
    };

    /// Puts cell `at` of a field into place `i`.
    #[inline]
    pub(super) fn take(&mut self, i: usize, at: usize, (q, w, s, drag): (&Conserved, &Cells, &Shape, &[f64])) {
        let i = i.min(STRIP - 1);
        for (rows, lane) in [(&mut self.rho, &q.mass), (&mut self.u, &w.u), (&mut self.p, &w.p), (&mut self.b, &w.b)] {
            let near = &lane[at - 1..at + 2];
            (rows[0][i], rows[1][i], rows[2][i]) = (near[0], near[1], near[2]);
        }
        let own: [&[f64]; 8] = [&w.c, &w.k, &w.e0, &w.e_b, &w.soft, &s.inv_dx, &s.growth, drag];
        for (row, lane) in self.own.iter_mut().zip(own) {
            row[i] = lane[at];
        }
    }

    /// Left and right face states of the first `n`, half of `dt` on; that of place i is number i + 1.
    pub(super) fn predict<M: Medium>(
        &self,
        arch: pulp::Arch,
        dt: f64,
        n: usize,
        walls: bool,
        left: &mut Edge,
        right: &mut Edge,
    ) {
        let [c, k, e0, e_b, soft, inv_dx, growth, drag] = &self.own;
        let cells = Around {
            rho: [&self.rho[0], &self.rho[1], &self.rho[2]],
            u: [&self.u[0], &self.u[1], &self.u[2]],
            p: [&self.p[0], &self.p[1], &self.p[2]],
            b: [&self.b[0], &self.b[1], &self.b[2]],
            c,
            k,
            e0,
            e_b,
            soft,
            inv_dx,
            growth,
            drag,
        };
        let medium = PhantomData::<M>;
        arch.dispatch(Predict { dt, n, walls, cells, left, right, medium });
    }
}
