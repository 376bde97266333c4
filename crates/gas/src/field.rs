//! All pipes of a network in one set of arrays, and the passes over them.
//!
//! Every pipe has one ghost cell at each end; pipes stand one behind the other, so that each pass is one loop over
//! everything and becomes vector code. A face carries the number of the cell on its right. A step is:
//!
//! 1. [`Field::predict`]: slopes by characteristic, states at both faces of each cell half a step on;
//! 2. [`Field::flux`]: HLLC between neighbouring cells ([`crate::flux`]);
//! 3. ends write the flux and the state of their face ([`Field::set_end`]; [`crate::ends`], [`crate::junction`]);
//! 4. [`Field::update`]: conserved quantities, friction and heat, then primitives, ghosts and the greatest signal speed.
//!
//! Slopes: with v the Courant number of the wave, its slope is [(1 + v) upwind + (2 - v) downwind] / 3, third order for a
//! simple wave, bounded by 2/v upwind and 2/(1 - v) downwind (M. Arora, P. L. Roe, J. Comput. Phys. 132 (1997), from
//! memory); a contact has the steepest slope within bounds of that kind, the burned fraction superbee. Where a face would have less than a tenth of its cell's density or pressure, the cell is taken as level.
//!
//! Area: fluxes are weighted by the area of their face, and momentum gains the cell's middle pressure times the growth of
//! area; both are one difference from that pressure, so that a gas at rest stays exactly at rest.

mod passes;

use std::marker::PhantomData;

use pulp::Arch;

use crate::flux::Flux;
use crate::medium::Medium;

/// A face value below this part of its cell's is not trusted.
const LEAST_PART: f64 = 0.1;

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

type Lane = Vec<f64>;

/// Conserved quantities per volume.
#[derive(Debug, Clone, Default)]
struct Conserved {
    mass: Lane,
    momentum: Lane,
    energy: Lane,
    burned: Lane,
}

/// Primitives and what the equation of state gives with them.
#[derive(Debug, Clone, Default)]
struct Cells {
    rho: Lane,
    u: Lane,
    p: Lane,
    b: Lane,
    /// Speed of sound.
    c: Lane,
    t: Lane,
    /// 1 / (gamma - 1) of small changes: cv / R.
    k: Lane,
    /// e - cv T: the energy that the local straight line leaves at T = 0.
    e0: Lane,
    /// Change of that by the burned fraction, and of R over R.
    e_b: Lane,
}

/// Predicted states at one face of each cell.
#[derive(Debug, Clone, Default)]
struct Faces {
    rho: Lane,
    u: Lane,
    p: Lane,
    b: Lane,
    e: Lane,
}

#[derive(Debug, Clone, Default)]
struct Fluxes {
    mass: Lane,
    momentum: Lane,
    energy: Lane,
    burned: Lane,
}

#[derive(Debug, Clone, Default)]
struct Shape {
    /// 1/m; 0 in ghosts.
    inv_dx: Lane,
    /// Area of the face on the left, m2.
    area: Lane,
    /// 1/m3; 0 in ghosts.
    inv_volume: Lane,
    /// Growth of area over volume, 1/m.
    growth: Lane,
    /// Friction over 2 D and losses over 2, 1/m; without Reynolds number.
    fixed: Lane,
    /// 1 where friction comes from the Reynolds number.
    by_reynolds: Lane,
    /// Fully rough friction factor.
    rough: Lane,
    diameter: Lane,
    /// 4 St cp / D without St: heat factor over D, 0 without heat.
    heat: Lane,
    wall_k: Lane,
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
    left: Faces,
    right: Faces,
    flux: Fluxes,
    shape: Shape,
    /// Friction coefficient k (acceleration -k u |u|) and heat coefficient, refreshed now and then.
    drag: Lane,
    warm: Lane,
    sources: bool,
    age: usize,
    /// State at each end's face, along the pipe.
    ends: Vec<[State; 2]>,
    /// Greatest (|u| + c) / dx, 1/s.
    fastest: f64,
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

/// Friction and heat coefficients are refreshed after this many steps.
const REFRESH: usize = 16;

impl<M: Medium> Field<M> {
    /// The pipes `ducts`, filled by `start(pipe, cell)`.
    pub fn new(medium: M, ducts: &[Duct], start: impl Fn(usize, usize) -> State) -> Field<M> {
        let mut field = Field {
            medium,
            arch: Arch::new(),
            spans: Vec::new(),
            q: Conserved::default(),
            w: Cells::default(),
            left: Faces::default(),
            right: Faces::default(),
            flux: Fluxes::default(),
            shape: Shape::default(),
            drag: Vec::new(),
            warm: Vec::new(),
            sources: false,
            age: 0,
            ends: Vec::new(),
            fastest: 0.0,
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
        }
        field.refresh();
        field.coefficients();
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
            s.by_reynolds.push(if wall.friction.is_none() { 1.0 } else { 0.0 });
            s.rough.push(crate::losses::friction_rough(wall.roughness));
            s.heat.push(if wall.temperature.is_some() { wall.heat_factor } else { 0.0 });
            s.wall_k.push(wall.temperature.unwrap_or(300.0));
            self.sources |= wall != Wall::NONE;
        }
    }

    fn make_lanes(&mut self) {
        let n = self.shape.area.len();
        let one = || vec![1.0; n];
        self.q = Conserved { mass: one(), momentum: vec![0.0; n], energy: one(), burned: vec![0.0; n] };
        let z = one;
        self.w =
            Cells { rho: z(), u: vec![0.0; n], p: z(), b: z(), c: z(), t: z(), k: z(), e0: z(), e_b: vec![0.0; n] };
        self.left = Faces { rho: z(), u: vec![0.0; n], p: z(), b: z(), e: z() };
        self.right = self.left.clone();
        let zero = || vec![0.0; n];
        self.flux = Fluxes { mass: zero(), momentum: zero(), energy: zero(), burned: zero() };
        (self.drag, self.warm) = (zero(), zero());
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
        }
        let t = s.p / (s.rho * self.medium.gas_constant(s.burned));
        let e = self.medium.energy(t, s.burned);
        for j in at {
            self.q.mass[j] = s.rho;
            self.q.momentum[j] = s.rho * s.u;
            self.q.energy[j] = s.rho * (e + 0.5 * s.u * s.u);
            self.q.burned[j] = s.rho * s.burned;
            (self.w.rho[j], self.w.u[j], self.w.p[j], self.w.b[j], self.w.t[j]) = (s.rho, s.u, s.p, s.burned, t);
        }
    }

    /// State of cell `i` of pipe `k`, velocity along the pipe.
    pub fn cell(&self, k: usize, i: usize) -> State {
        let j = self.spans[k].first + i;
        State { rho: self.w.rho[j], u: self.w.u[j], p: self.w.p[j], burned: self.w.b[j] }
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

    /// Slopes and face states half of `dt` on.
    pub fn predict(&mut self, dt: f64) {
        let Field { arch, w, left, right, shape, drag, .. } = self;
        arch.dispatch(passes::Predict::<M> { dt, w, left, right, shape, drag, medium: PhantomData });
    }

    /// Flux through every face between two cells.
    pub fn flux(&mut self) {
        let Field { arch, w, left, right, flux, .. } = self;
        arch.dispatch(passes::Fluxing { left, right, sound: &w.c, flux });
    }

    /// Predicted state of the gas at an end, its velocity out of the pipe.
    pub fn end(&self, k: usize, at: At) -> Face {
        let span = self.spans[k];
        let (j, faces, sign, area) = match at {
            At::Start => (span.first, &self.left, -1.0, self.shape.area[span.first]),
            At::Finish => {
                let j = span.first + span.cells - 1;
                (j, &self.right, 1.0, self.shape.area[j + 1])
            }
        };
        let state = State { rho: faces.rho[j], u: sign * faces.u[j], p: faces.p[j], burned: faces.b[j] };
        let gamma = 1.0 + 1.0 / self.w.k[j];
        let r = self.medium.gas_constant(state.burned);
        let enthalpy = (faces.e[j] + state.p) / state.rho;
        Face { state, c: (gamma * state.p / state.rho).sqrt(), gamma, r, total_enthalpy: enthalpy, area }
    }

    /// Writes the state at an end's face (velocity out of the pipe) and the flux out of the pipe there.
    pub fn set_end(&mut self, k: usize, at: At, state: State, out: Flux) {
        let span = self.spans[k];
        let (j, sign, side) = match at {
            At::Start => (span.first, -1.0, 0),
            At::Finish => (span.first + span.cells, 1.0, 1),
        };
        self.ends[k][side] = State { u: sign * state.u, ..state };
        self.flux.mass[j] = sign * out.mass;
        self.flux.momentum[j] = out.momentum;
        self.flux.energy[j] = sign * out.energy;
        self.flux.burned[j] = sign * out.burned;
    }

    /// Conserved quantities after `dt`, then friction, heat and primitives.
    pub fn update(&mut self, dt: f64) {
        if self.sources {
            if self.age.is_multiple_of(REFRESH) {
                self.coefficients();
            }
            self.age += 1;
        }
        let Field { arch, q, left, right, flux, shape, .. } = self;
        arch.dispatch(passes::Update { dt, q, left, right, flux, shape });
        if self.sources {
            let Field { arch, q, w, shape, drag, warm, .. } = self;
            arch.dispatch(passes::Sources { dt, q, w, shape, drag, warm });
        }
        self.refresh();
    }

    fn coefficients(&mut self) {
        let Field { arch, w, shape, drag, warm, .. } = self;
        arch.dispatch(passes::Coefficients { w, shape, drag, warm });
    }

    /// Primitives, signal speed and ghosts from the conserved quantities.
    pub fn refresh(&mut self) {
        let Field { arch, medium, q, w, shape, .. } = self;
        let medium = *medium;
        self.fastest = arch.dispatch(passes::Primitives { medium, q, w, inv_dx: &shape.inv_dx });
        for k in 0..self.ends.len() {
            let span = self.spans[k];
            let ghosts = [(span.first - 1, span.first), (span.first + span.cells, span.first + span.cells - 1)];
            for (side, (ghost, cell)) in ghosts.into_iter().enumerate() {
                self.ghost(self.ends[k][side], ghost, cell);
            }
        }
    }

    /// Sets a ghost so that the end's face lies half-way between it and its cell.
    fn ghost(&mut self, face: State, ghost: usize, cell: usize) {
        let w = &mut self.w;
        let beyond = |face: f64, cell: f64| {
            let far = 2.0 * face - cell;
            if far > LEAST_PART * cell { far } else { face }
        };
        w.rho[ghost] = beyond(face.rho, w.rho[cell]);
        w.p[ghost] = beyond(face.p, w.p[cell]);
        w.u[ghost] = 2.0 * face.u - w.u[cell];
        w.b[ghost] = (2.0 * face.burned - w.b[cell]).clamp(0.0, 1.0);
    }
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
