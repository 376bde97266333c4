//! What a single change would do: every bracket and every slip joint solved, none guessed.
//!
//! A bracket adds a stiffness S of three ranks at one place: with W its unit forces, Z = K^-1 W and D = W' Z, the force that it
//! puts on the frame is p = -(1 + S D)^-1 S (W' q + g), and q moves on by Z p (Sherman, Morrison and Woodbury; exact). Modes are
//! the Rayleigh-Ritz values of the first [`BASIS`] modes and Z, which hold the shape of the change: within 1e-4 of a full
//! solution in the first six frequencies (held by a test). A slip joint frees two unknowns at a node that is already there:
//! one element changes hands, the matrix is factorised anew, and modes are iterated from those before.

use std::f64::consts::PI;

use geom::Vec3;

use crate::frame::{Fitting, Frame, FrameError, Hold, Motion, Slide, System, dot};
use crate::modes::{Mode, eigen, modes, modes_from};
use crate::skyline::Factors;
use crate::stress::{Worst, worst_range};

/// Modes of the frame as it is that a bracket's modes are made of.
const BASIS: usize = 24;

/// Modes that are looked at for the stress that shaking makes.
const LOOKED_AT: usize = 6;

/// Frequencies after a slip joint settle to this part.
const SETTLED: f64 = 1e-6;

/// Places nearer than this are one, m.
const SAME_PLACE: f64 = 1e-6;

/// Where a bracket holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Place {
    /// A tube, at a distance from its start, m: a node.
    Tube(usize, f64),
    /// A body, at its mass.
    Body(usize),
}

/// How a frame fares.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The greatest stress range of each tube, cold stiffness.
    pub ranges: Vec<Worst>,
    /// The greatest stress amplitude of the first modes, Pa for 1 g.
    pub stress_per_g: f64,
    /// The first frequencies, Hz.
    pub frequencies: Vec<f64>,
    /// Force on the bracket when hot, N; of a slip joint 0.
    pub force: f64,
    /// How far the slip joint slides when hot, m; of a bracket 0.
    pub slides: f64,
}

/// A frame at one stiffness, solved.
struct Solved {
    system: System,
    factors: Factors,
    still: Vec<f64>,
}

impl Solved {
    fn of(frame: &Frame) -> Result<Solved, FrameError> {
        let system = frame.system()?;
        let factors = system.factors()?;
        let still = factors.solve(&system.load);
        Ok(Solved { system, factors, still })
    }

    /// The unknowns with a bracket, and the force that it puts on the frame, N.
    fn held(&self, motion: &Motion, hold: &Hold) -> (Vec<f64>, Vec3) {
        let size = self.still.len();
        let unit_forces = [0, 1, 2].map(|axis| unit_force(motion, axis, size));
        let answers = unit_forces.each_ref().map(|w| self.factors.solve(w));
        let s = rows(|i, j| hold.matrix()[i][j]);
        let d = rows(|i, j| dot(&unit_forces[i], &answers[j]));
        let system = rows(|i, j| f64::from(u8::from(i == j)) + (0..3).map(|k| s[i][k] * d[k][j]).sum::<f64>());
        let moved = motion.of(&self.still);
        let pushed: [f64; 3] = std::array::from_fn(|i| -(0..3).map(|k| s[i][k] * moved[k]).sum::<f64>());
        let force = solve3(&system, pushed);
        let mut unknowns = self.still.clone();
        for (answer, by) in answers.iter().zip(force) {
            unknowns.iter_mut().zip(answer).for_each(|(sum, a)| *sum += by * a);
        }
        (unknowns, Vec3::from_array(force))
    }
}

/// A frame whose single changes are solved.
pub struct Helper<'a> {
    frame: &'a Frame,
    hot: Solved,
    cold: Solved,
    modes: Vec<Mode>,
    end_weld: f64,
}

impl<'a> Helper<'a> {
    /// `hot`: the frame as it runs; `cold`: the same with its cold stiffness, for stress ranges; `end_weld`: stress factor of
    /// the welds at both ends of every tube.
    ///
    /// # Errors
    /// [`FrameError`]: what nothing holds.
    pub fn of(hot: &'a Frame, cold: &Frame, end_weld: f64) -> Result<Self, FrameError> {
        let (warm, stiff) = (Solved::of(hot)?, Solved::of(cold)?);
        let modes = modes(&warm.system, BASIS)?;
        Ok(Helper { frame: hot, hot: warm, cold: stiff, modes, end_weld })
    }

    /// How the frame fares as it is.
    pub fn before(&self) -> Outcome {
        let shakes = self.modes.iter().take(LOOKED_AT).map(|m| self.hot.system.shake(self.frame, m, self.end_weld));
        Outcome {
            ranges: self.ranges(&self.cold.system, &self.cold.still),
            stress_per_g: shakes.map(|s| s.stress_per_g).fold(0.0, f64::max),
            frequencies: self.modes.iter().take(LOOKED_AT).map(|m| m.frequency).collect(),
            force: 0.0,
            slides: 0.0,
        }
    }

    /// Places on tubes where a bracket can be tried: its nodes that no support and no body holds.
    pub fn places(&self) -> Vec<Place> {
        let free = |motion: &Motion| motion.terms.len() == 6 && motion.terms.iter().all(|(k, _)| !self.of_body(*k));
        let nodes = self.hot.system.nodes.iter().filter(|n| free(&n.motion));
        nodes.map(|n| Place::Tube(n.tube, n.at)).collect()
    }

    fn of_body(&self, unknown: usize) -> bool {
        self.hot.system.bodies.iter().any(|b| b.terms.iter().any(|(k, _)| *k == unknown))
    }

    /// How a place moves when the header gets hot, m.
    pub fn growth(&self, place: Place) -> Option<Vec3> {
        let moved = self.motion(&self.hot.system, place)?.of(&self.hot.still);
        Some(Vec3::new(moved[0], moved[1], moved[2]))
    }

    /// How a place moves in the first mode: its direction only.
    pub fn sway(&self, place: Place) -> Option<Vec3> {
        let moved = self.motion(&self.hot.system, place)?.of_unknowns(&self.modes.first()?.shape);
        Vec3::new(moved[0], moved[1], moved[2]).try_normalize()
    }

    fn motion(&self, system: &System, place: Place) -> Option<Motion> {
        match place {
            Place::Tube(tube, at) => {
                let here = |n: &&crate::frame::Node| n.tube == tube && (n.at - at).abs() <= SAME_PLACE;
                system.nodes.iter().find(here).map(|n| n.motion.clone())
            }
            Place::Body(body) => system.mass_of_body(body, self.frame.bodies.get(body)?),
        }
    }

    /// With a bracket; `None` when there is no node at that place.
    pub fn bracket(&self, place: Place, hold: &Hold) -> Option<Outcome> {
        let motion = self.motion(&self.hot.system, place)?;
        let (_, force) = self.hot.held(&motion, hold);
        let (unknowns, _) = self.cold.held(&self.motion(&self.cold.system, place)?, hold);
        let shaken = self.held_modes(&motion, hold);
        let shake = |(frequency, shape): &(f64, Vec<f64>)| {
            self.hot.system.shake_of(self.frame, shape, *frequency, self.end_weld).stress_per_g
        };
        Some(Outcome {
            ranges: self.ranges(&self.cold.system, &unknowns),
            stress_per_g: shaken.iter().map(shake).fold(0.0, f64::max),
            frequencies: shaken.iter().map(|m| m.0).collect(),
            force: force.length(),
            slides: 0.0,
        })
    }

    /// Frequencies and shapes with a bracket.
    fn held_modes(&self, motion: &Motion, hold: &Hold) -> Vec<(f64, Vec<f64>)> {
        let system = &self.hot.system;
        let size = self.hot.still.len();
        let mut added: Vec<Vec<f64>> = Vec::new();
        for axis in 0..3 {
            let mut vector = self.hot.factors.solve(&unit_force(motion, axis, size));
            let whole = dot(&vector, &system.mass.times(&vector)).sqrt();
            for _ in 0..2 {
                let heavy = system.mass.times(&vector);
                let known = self.modes.iter().map(|m| &m.shape).chain(&added);
                let shares: Vec<f64> = known.clone().map(|b| dot(b, &heavy)).collect();
                for (share, b) in shares.iter().zip(known) {
                    vector.iter_mut().zip(b).for_each(|(v, b)| *v -= share * b);
                }
            }
            let left = dot(&vector, &system.mass.times(&vector)).sqrt();
            if left > 1e-8 * whole {
                vector.iter_mut().for_each(|v| *v /= left);
                added.push(vector);
            }
        }
        let basis: Vec<&Vec<f64>> = self.modes.iter().map(|m| &m.shape).chain(&added).collect();
        let stiff: Vec<Vec<f64>> = added.iter().map(|v| system.stiffness.times(v)).collect();
        let known = self.modes.len();
        let place: Vec<[f64; 6]> = basis.iter().map(|b| motion.of_unknowns(b)).collect();
        let s = hold.matrix();
        // Between modes K is diagonal; between modes and what was made orthogonal to them it is nought.
        let share = |i: usize, j: usize| {
            let held: f64 = (0..3).map(|a| place[i][a] * (0..3).map(|b| s[a][b] * place[j][b]).sum::<f64>()).sum();
            let own = match (i.checked_sub(known), j.checked_sub(known)) {
                (None, None) if i == j => (2.0 * PI * self.modes[i].frequency).powi(2),
                (Some(p), Some(q)) => 0.5 * (dot(&added[p], &stiff[q]) + dot(&added[q], &stiff[p])),
                _ => 0.0,
            };
            held + own
        };
        let size = basis.len();
        let (values, vectors) = eigen((0..size).map(|i| (0..size).map(|j| share(i, j)).collect()).collect());
        let shape = |k: usize| {
            let mut out = vec![0.0; self.hot.still.len()];
            for (part, b) in vectors[k].iter().zip(&basis) {
                out.iter_mut().zip(*b).for_each(|(sum, v)| *sum += part * v);
            }
            (values[k].max(0.0).sqrt() / (2.0 * PI), out)
        };
        (0..size).rev().take(LOOKED_AT).map(shape).collect()
    }

    /// With a slip joint at a node of a tube; `None` when there is no free node.
    ///
    /// # Errors
    /// [`FrameError`]: what nothing holds any more.
    pub fn slip(&self, tube: usize, at: f64, slide: Slide) -> Option<Result<Outcome, FrameError>> {
        let (hot, cold) = (self.hot.system.slipped(tube, at, slide)?, self.cold.system.slipped(tube, at, slide)?);
        Some(self.slipped(hot, cold))
    }

    fn slipped(&self, hot: System, cold: System) -> Result<Outcome, FrameError> {
        let (factors, stiff) = (hot.factors()?, cold.factors()?);
        let (still, unknowns) = (factors.solve(&hot.load), stiff.solve(&cold.load));
        let longer = |m: &Mode| m.shape.iter().copied().chain([0.0; 2]).collect::<Vec<f64>>();
        let start = self.modes.iter().take(LOOKED_AT + 2).map(longer).collect();
        let found = modes_from(&hot, &factors, LOOKED_AT, start, SETTLED);
        let shake = |m: &Mode| hot.shake(self.frame, m, self.end_weld).stress_per_g;
        Ok(Outcome {
            ranges: self.ranges(&cold, &unknowns),
            stress_per_g: found.iter().map(shake).fold(0.0, f64::max),
            frequencies: found.iter().map(|m| m.frequency).collect(),
            force: 0.0,
            slides: hot.slides.last().map_or(0.0, |(_, _, [along, _])| still[*along]),
        })
    }

    /// Stress ranges when one tube is so much hotter that its free growth is greater by `strain` all along it: the other
    /// lengths, stiffness and temperatures as they are.
    pub fn hotter(&self, tube: usize, strain: f64) -> Vec<Worst> {
        let (load, held) = self.cold.system.stretched(tube, strain);
        let more = self.cold.factors.solve(&load);
        let unknowns: Vec<f64> = self.cold.still.iter().zip(more).map(|(a, b)| a + b).collect();
        let mut all = self.cold.system.stretches(&unknowns, false);
        for (stretch, held) in all[tube].iter_mut().zip(held) {
            for (k, force) in held.into_iter().enumerate() {
                stretch.ends[k / 6][k % 6] -= force;
            }
        }
        let worst = |(s, t): (&Vec<_>, &crate::frame::Tube)| worst_range(&t.section, s, self.end_weld);
        all.iter().zip(&self.frame.tubes).map(worst).collect()
    }

    /// Axial force, N, that the tube carries at a node when hot: pressed positive. A slip joint there slides only above its
    /// friction.
    pub fn axial(&self, tube: usize, at: f64) -> Option<f64> {
        let stretches = &self.hot.system.stretches(&self.hot.still, false)[tube];
        let stretch = stretches.iter().find(|s| (s.from - at).abs() <= SAME_PLACE)?;
        let tangent = stretch.shape.direction(0.0);
        Some(Vec3::new(stretch.ends[0][0], stretch.ends[0][1], stretch.ends[0][2]).dot(tangent))
    }

    fn ranges(&self, system: &System, unknowns: &[f64]) -> Vec<Worst> {
        let all = system.stretches(unknowns, false);
        all.iter().zip(&self.frame.tubes).map(|(s, t)| worst_range(&t.section, s, self.end_weld)).collect()
    }
}

/// Loads of 1 N along an axis at a place that moves so.
fn unit_force(motion: &Motion, axis: usize, size: usize) -> Vec<f64> {
    let mut out = vec![0.0; size];
    motion.terms.iter().for_each(|(k, each)| out[*k] += each[axis]);
    out
}

fn rows(value: impl Fn(usize, usize) -> f64) -> [[f64; 3]; 3] {
    std::array::from_fn(|i| std::array::from_fn(|j| value(i, j)))
}

/// Solves three equations by Cramer's rule.
fn solve3(rows: &[[f64; 3]; 3], right: [f64; 3]) -> [f64; 3] {
    let column = |j: usize| Vec3::new(rows[0][j], rows[1][j], rows[2][j]);
    let (a, b, c, r) = (column(0), column(1), column(2), Vec3::from_array(right));
    let whole = a.dot(b.cross(c));
    [r.dot(b.cross(c)), a.dot(r.cross(c)), a.dot(b.cross(r))].map(|part| part / whole)
}

/// Marks a place of a tube as a node, where a slip joint or a bracket can be tried.
pub fn mark(frame: &mut Frame, tube: usize, at: f64) {
    if let Some(tube) = frame.tubes.get_mut(tube) {
        tube.fittings.push((at, Fitting::Mass(0.0)));
    }
}
