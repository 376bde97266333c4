//! All pipes of a network in one set of arrays, and the step over them.
//!
//! Every pipe has one ghost cell at each end; pipes stand one behind the other, so that a step is one loop over everything
//! and becomes vector code. A face carries the number of the cell on its right. A step is:
//!
//! 1. [`Field::predict_ends`]: the state at the face of each end half a step on;
//! 2. ends write the flux and the state of their face ([`Field::set_end`]; [`crate::ends`], [`crate::junction`]);
//! 3. [`Field::update`]: for all cells slopes by characteristic and states at both faces half a step on, HLLC between
//!    neighbours ([`crate::flux`]), conserved quantities, friction and heat, primitives, ghosts and the greatest signal speed.
//!
//! Slopes: with v the Courant number of the wave, its slope is [(1 + v) upwind + (2 - v) downwind] / 3, third order for a
//! simple wave, steeper at fronts in pipes without walls or cones, bounded by straight lines below 2/v upwind and
//! 2/(1 - v) downwind (after M. Arora, P. L. Roe, J. Comput. Phys. 132 (1997), from memory); a contact has the steepest
//! slope within those bounds, the burned fraction superbee. Where a face would have less than a tenth of its cell's density
//! or pressure, the cell is taken as level.
//!
//! Area: fluxes are weighted by the area of their face, and momentum gains the cell's middle pressure times the growth of
//! area; both are one difference from that pressure, so that a gas at rest stays exactly at rest.

mod lanes;
mod passes;

use pulp::Arch;

use crate::flux::Flux;
use crate::medium::Medium;
use lanes::{Cells, Conserved, EndFlux, LEAST_PART, Lane, Shape};

/// Where a pipe stands in the arrays.
#[derive(Debug, Clone, Copy)]
pub struct Span {
    /// First cell.
    pub first: usize,
    /// Number of cells.
    pub cells: usize,
    /// Length of a cell, m.
    pub dx: f64,
}

/// One of the two ends of a pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// Where the length begins.
    Start,
    /// Where it ends.
    Finish,
}

/// State of a gas at a place. SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// Density, kg/m3.
    pub rho: f64,
    /// Velocity, m/s: along the pipe in cells, out of the pipe at ends.
    pub u: f64,
    /// Pressure, Pa.
    pub p: f64,
    /// Burned fraction.
    pub burned: f64,
}

/// What friction and heat need of a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wall {
    /// Darcy friction factor, or `None`: from the Reynolds number and `roughness`.
    pub friction: Option<f64>,
    /// Roughness over diameter.
    pub roughness: f64,
    /// Loss coefficient per metre besides friction: bends spread along their length, 1/m.
    pub loss: f64,
    /// Wall temperature, K; `None`: no heat passes.
    pub temperature: Option<f64>,
    /// Heat transfer over that of steady flow.
    pub heat_factor: f64,
}

impl Wall {
    /// Neither friction nor heat.
    pub const NONE: Wall = Wall { friction: Some(0.0), roughness: 0.0, loss: 0.0, temperature: None, heat_factor: 1.0 };
}

/// The gas in all pipes.
#[derive(Clone)]
pub struct Field<M: Medium> {
    /// Equation of state.
    pub medium: M,
    arch: Arch,
    spans: Vec<Span>,
    q: Conserved,
    w: Cells,
    shape: Shape,
    /// Friction coefficient k (acceleration -k u |u|), 1/m, and heat coefficient, J/(kg m K).
    drag: Lane,
    warm: Lane,
    /// Whether there is friction, heat or changing area anywhere.
    walls: bool,
    strips: usize,
    /// Cells and ghosts of pipes.
    used: usize,
    /// State at each end's face, along the pipe.
    ends: Vec<[State; 2]>,
    last_ends: Vec<[State; 2]>,
    /// Start and finish of each pipe.
    end_flux: Vec<EndFlux>,
    /// Predicted states of the cells at starts and at finishes of pipes: rho, u, p, burned, energy.
    end_faces: Vec<[f64; 5]>,
    /// Greatest (|u| + c) / dx, 1/s.
    fastest: f64,
    scratch: Box<passes::Scratch>,
}

/// A pipe as the field needs it.
#[derive(Debug, Clone)]
pub struct Duct {
    /// Length of a cell, m.
    pub dx: f64,
    /// Areas of the faces, one more than cells, m2.
    pub areas: Vec<f64>,
    /// Walls, one for each cell.
    pub walls: Vec<Wall>,
}

impl<M: Medium> Field<M> {
    /// The pipes `ducts`, filled by `start(pipe, cell)`.
    pub fn new(medium: M, ducts: &[Duct], start: impl Fn(usize, usize) -> State) -> Field<M> {
        let mut field = Field {
            medium,
            arch: Arch::new(),
            spans: Vec::new(),
            q: Conserved::default(),
            w: Cells::default(),
            shape: Shape::default(),
            drag: Vec::new(),
            warm: Vec::new(),
            walls: false,
            strips: 0,
            used: 0,
            ends: Vec::new(),
            last_ends: Vec::new(),
            end_flux: Vec::new(),
            end_faces: vec![[0.0; 5]; 2 * ducts.len()],
            fastest: 0.0,
            scratch: Box::new(passes::Scratch::EMPTY),
        };
        for duct in ducts {
            field.push_shape(duct);
        }
        field.make_lanes();
        for k in 0..ducts.len() {
            for i in 0..field.spans[k].cells {
                field.set_cell(k, i, start(k, i));
            }
            let ends = [field.cell(k, 0), field.cell(k, field.spans[k].cells - 1)];
            field.ends.push(ends);
            field.last_ends.push(ends);
            let Span { first, cells, .. } = field.spans[k];
            field.end_flux.extend([first, first + cells].map(|face| EndFlux { face, flux: Flux::default() }));
        }
        field.refresh();
        field
    }

    fn push_shape(&mut self, duct: &Duct) {
        let s = &mut self.shape;
        let cells = duct.walls.len();
        self.spans.push(Span { first: s.area.len() + 1, cells, dx: duct.dx });
        for i in 0..cells + 2 {
            // Ghost, cells, ghost; the face left of the first ghost lets nothing through.
            let inner = (1..=cells).contains(&i);
            s.area.push(if i == 0 { 0.0 } else { duct.areas[i - 1] });
            let (a, b) = if inner { (duct.areas[i - 1], duct.areas[i]) } else { (1.0, 1.0) };
            let volume = 0.5 * (a + b) * duct.dx;
            let on = if inner { 1.0 } else { 0.0 };
            s.inv_dx.push(on / duct.dx);
            s.inv_volume.push(on / volume);
            s.growth.push((b - a) / volume);
            let diameter = (2.0 * (a + b) / std::f64::consts::PI).sqrt();
            let wall = if inner { duct.walls[i - 1] } else { Wall::NONE };
            s.diameter.push(diameter);
            s.fixed.push(0.5 * (wall.friction.unwrap_or(0.0) / diameter + wall.loss));
            s.by_reynolds.push(if wall.friction.is_none() { 0.5 / diameter } else { 0.0 });
            s.rough.push(crate::losses::friction_rough(wall.roughness));
            let heat = 4.0 / diameter * crate::losses::stanton(1.0) * wall.heat_factor;
            s.heat.push(if wall.temperature.is_some() { heat } else { 0.0 });
            s.wall_k.push(wall.temperature.unwrap_or(300.0));
            self.walls |= wall != Wall::NONE || a.to_bits() != b.to_bits();
        }
    }

    fn make_lanes(&mut self) {
        // Cells beyond the last pipe fill the last strip.
        let used = self.shape.area.len();
        let mut n = used.saturating_sub(1).div_ceil(passes::STRIP) * passes::STRIP + 2;
        self.strips = n / passes::STRIP;
        // Arrays lie one behind the other in memory, with 16 bytes between: not all on the same lines of the cache.
        while (8 * n + 16) % 4096 / 64 != 9 {
            n += 1;
        }
        let s = &mut self.shape;
        for lane in [&mut s.area, &mut s.inv_dx, &mut s.inv_volume, &mut s.growth, &mut s.fixed] {
            lane.resize(n, 0.0);
        }
        for lane in [&mut s.by_reynolds, &mut s.rough, &mut s.heat] {
            lane.resize(n, 0.0);
        }
        for lane in [&mut s.diameter, &mut s.wall_k] {
            lane.resize(n, 1.0);
        }
        let (one, zero) = (|| vec![1.0; n], || vec![0.0; n]);
        self.q = Conserved { mass: one(), momentum: zero(), energy: one(), burned: zero() };
        self.w = Cells {
            u: zero(),
            p: one(),
            b: zero(),
            c: one(),
            t: one(),
            k: one(),
            e0: zero(),
            e_b: zero(),
            soft: one(),
        };
        (self.drag, self.warm) = (zero(), zero());
        // Beyond the last pipe there is the same gas as in it.
        self.used = used;
    }

    /// The spans of the pipes.
    pub fn spans(&self) -> &[Span] {
        &self.spans
    }

    /// Sets cell `i` of pipe `k`; velocity along the pipe. [`Field::refresh`] must follow.
    pub fn set_cell(&mut self, k: usize, i: usize, s: State) {
        let span = self.spans[k];
        let mut at = vec![span.first + i];
        if i == 0 {
            at.push(span.first - 1);
        }
        if i + 1 == span.cells {
            at.push(span.first + span.cells);
            if k + 1 == self.spans.len() {
                at.extend(self.used..self.q.mass.len());
            }
        }
        let t = s.p / (s.rho * self.medium.gas_constant(s.burned));
        let e = self.medium.energy(t, s.burned);
        for j in at {
            self.q.mass[j] = s.rho;
            self.q.momentum[j] = s.rho * s.u;
            self.q.energy[j] = s.rho * (e + 0.5 * s.u * s.u);
            self.q.burned[j] = s.rho * s.burned;
            (self.w.u[j], self.w.p[j], self.w.b[j], self.w.t[j]) = (s.u, s.p, s.burned, t);
        }
    }

    /// State of cell `i` of pipe `k`, velocity along the pipe.
    pub fn cell(&self, k: usize, i: usize) -> State {
        let j = self.spans[k].first + i;
        State { rho: self.q.mass[j], u: self.w.u[j], p: self.w.p[j], burned: self.w.b[j] }
    }

    /// State at an end's face in the last step, velocity along the pipe.
    pub fn end_state(&self, k: usize, at: At) -> State {
        self.ends[k][at as usize]
    }

    /// Temperature of cell `i` of pipe `k`, K.
    pub fn temperature(&self, k: usize, i: usize) -> f64 {
        self.w.t[self.spans[k].first + i]
    }

    /// Speed of sound in cell `i` of pipe `k`, m/s.
    pub fn sound(&self, k: usize, i: usize) -> f64 {
        self.w.c[self.spans[k].first + i]
    }

    /// Mass and total energy in all pipes, kg and J.
    pub fn totals(&self) -> [f64; 2] {
        let mut sum = [0.0; 2];
        for span in &self.spans {
            for j in span.first..span.first + span.cells {
                let volume = 1.0 / self.shape.inv_volume[j];
                sum[0] += volume * self.q.mass[j];
                sum[1] += volume * self.q.energy[j];
            }
        }
        sum
    }

    /// Heat lost to the wall of cell `i` of pipe `k`, W.
    pub fn wall_heat(&self, k: usize, i: usize) -> f64 {
        let j = self.spans[k].first + i;
        let lost = self.warm[j] * self.q.momentum[j].abs() * (self.w.t[j] - self.shape.wall_k[j]);
        lost / self.shape.inv_volume[j]
    }

    /// Longest step for a Courant number of 1, s.
    pub fn longest_step(&self) -> f64 {
        1.0 / self.fastest
    }

    /// Predicts the states at the faces of all ends half of `dt` on.
    pub fn predict_ends(&mut self, dt: f64) {
        let Field { arch, spans, q, w, shape, drag, walls, end_faces, scratch, .. } = self;
        let passes::Scratch { left, right, gathered, .. } = &mut **scratch;
        for (batch, faces) in end_faces.chunks_mut(passes::STRIP).enumerate() {
            for i in 0..faces.len() {
                gathered.take(i, end_cell(spans, batch * passes::STRIP + i), (q, w, shape, drag));
            }
            gathered.predict::<M>(*arch, dt, faces.len(), *walls, left, right);
            for (i, face) in faces.iter_mut().enumerate() {
                let edge = if i.is_multiple_of(2) { &*left } else { &*right };
                let j = i + 1;
                *face = [edge.rho[j], edge.u[j], edge.p[j], edge.b[j], edge.e[j]];
            }
        }
    }

    /// Predicted state of the gas at an end, its velocity out of the pipe.
    pub fn end(&self, k: usize, at: At) -> Face {
        let span = self.spans[k];
        let (sign, area) = match at {
            At::Start => (-1.0, self.shape.area[span.first]),
            At::Finish => (1.0, self.shape.area[span.first + span.cells]),
        };
        let end = 2 * k + at as usize;
        let [rho, u, p, burned, energy] = self.end_faces[end];
        let gamma = 1.0 + 1.0 / self.w.k[end_cell(&self.spans, end)];
        let r = self.medium.gas_constant(burned);
        Face {
            state: State { rho, u: sign * u, p, burned },
            c: (gamma * p / rho).sqrt(),
            gamma,
            r,
            total_enthalpy: (energy + p) / rho,
            area,
        }
    }

    /// Writes the state at an end's face (velocity out of the pipe) and the flux out of the pipe there.
    pub fn set_end(&mut self, k: usize, at: At, state: State, out: Flux) {
        let sign = if at == At::Start { -1.0 } else { 1.0 };
        self.ends[k][at as usize] = State { u: sign * state.u, ..state };
        self.end_flux[2 * k + at as usize].flux = Flux {
            mass: sign * out.mass,
            momentum: out.momentum,
            energy: sign * out.energy,
            burned: sign * out.burned,
        };
    }

    /// Primitives, signal speed and ghosts from the conserved quantities.
    pub fn refresh(&mut self) {
        self.update(0.0);
    }

    /// All cells after `dt`: fluxes, friction, heat, primitives and ghosts.
    pub fn update(&mut self, dt: f64) {
        let Field { arch, medium, q, w, shape, drag, warm, end_flux, walls, strips, scratch, .. } = self;
        let (medium, walls, strips) = (*medium, *walls, *strips);
        self.fastest = arch.dispatch(passes::UpdateCells {
            medium,
            dt,
            walls,
            strips,
            q,
            w,
            shape,
            drag,
            warm,
            ends: end_flux,
            scratch,
        });
        for k in 0..self.ends.len() {
            let span = self.spans[k];
            let ghosts = [(span.first - 1, span.first), (span.first + span.cells, span.first + span.cells - 1)];
            for (side, (ghost, cell)) in ghosts.into_iter().enumerate() {
                let face = if dt > 0.0 { self.ahead(k, side) } else { self.ends[k][side] };
                self.ghost(face, ghost, cell);
            }
        }
    }

    /// State at an end's face at the end of the step: what was found is that of its middle.
    fn ahead(&mut self, k: usize, side: usize) -> State {
        let (now, last) = (self.ends[k][side], self.last_ends[k][side]);
        self.last_ends[k][side] = now;
        let on = |now: f64, last: f64| now + 0.5 * (now - last);
        let held = |now: f64, last: f64| on(now, last).max(LEAST_PART * now);
        State {
            rho: held(now.rho, last.rho),
            u: on(now.u, last.u),
            p: held(now.p, last.p),
            burned: on(now.burned, last.burned).clamp(0.0, 1.0),
        }
    }

    /// Sets a ghost so that the end's face lies half-way between it and its cell.
    fn ghost(&mut self, face: State, ghost: usize, cell: usize) {
        let (q, w) = (&mut self.q, &mut self.w);
        let beyond = |face: f64, cell: f64| {
            let far = 2.0 * face - cell;
            if far > LEAST_PART * cell { far } else { face }
        };
        let rho = beyond(face.rho, q.mass[cell]);
        // Its own energy is not used: a gas at rest as warm as the cell's.
        let kinetic = 0.5 * w.u[cell] * w.u[cell];
        (q.energy[ghost], q.momentum[ghost]) = (rho * (q.energy[cell] / q.mass[cell] - kinetic), 0.0);
        q.mass[ghost] = rho;
        w.p[ghost] = beyond(face.p, w.p[cell]);
        w.u[ghost] = 2.0 * face.u - w.u[cell];
        w.b[ghost] = (2.0 * face.burned - w.b[cell]).clamp(0.0, 1.0);
        q.burned[ghost] = rho * w.b[ghost];
    }
}

/// Cell at an end; ends are counted start and finish of each pipe.
#[inline]
fn end_cell(spans: &[Span], end: usize) -> usize {
    let span = spans[end / 2];
    if end.is_multiple_of(2) { span.first } else { span.first + span.cells - 1 }
}

/// The predicted gas at an end of a pipe.
#[derive(Debug, Clone, Copy)]
pub struct Face {
    /// Its state, velocity out of the pipe.
    pub state: State,
    /// Speed of sound, m/s.
    pub c: f64,
    /// Ratio of specific heats there.
    pub gamma: f64,
    /// Gas constant, J/(kg K).
    pub r: f64,
    /// Enthalpy and kinetic energy, J/kg.
    pub total_enthalpy: f64,
    /// Area, m2.
    pub area: f64,
}
