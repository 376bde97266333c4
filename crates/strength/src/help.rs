//! What a single change would do: every bracket and every slip joint is solved.
//!
//! A bracket adds a stiffness S of three ranks at one place: with W its unit forces, Z = K^-1 W and D = W' Z, the force that it
//! puts on the frame is p = -(1 + S D)^-1 S (W' q + g), and q moves on by Z p (Sherman, Morrison and Woodbury; exact). Modes are
//! the Rayleigh-Ritz values of the first `BASIS` modes and Z, which hold the shape of the change: within 1e-4 of a full
//! solution in the first six frequencies (held by a test). A slip joint frees two unknowns at a node that is already there:
//! one element changes hands, the matrix is factorised again, and modes are iterated from those before.

use std::f64::consts::PI;

use geom::Vec3;

use crate::eigen::eigen;
use crate::frame::{Fitting, Frame, FrameError, Hold, Motion, Slide, System};
use crate::matrix::dot;
use crate::modes::{Mode, modes_from, modes_with};
use crate::shake::shaken;
use crate::skyline::Factors;
use crate::stress::{Worst, worst_range};

/// Modes of the frame as it is that a bracket's modes are made of.
const BASIS: usize = 20;

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
    fn of(system: System) -> Result<Solved, FrameError> {
        let factors = system.factors()?;
        let still = factors.solve(&system.load);
        Ok(Solved { system, factors, still })
    }

    /// What forces at a place would do, for any bracket there.
    fn yielding(&self, motion: &Motion) -> Yielding {
        let size = self.still.len();
        let unit_forces = [0, 1, 2].map(|axis| unit_force(motion, axis, size));
        let answers = unit_forces.each_ref().map(|w| self.factors.solve(w));
        let moved = motion.of(&self.still);
        Yielding {
            d: rows(|i, j| dot(&unit_forces[i], &answers[j])),
            moved: [moved[0], moved[1], moved[2]],
            forces: answers.each_ref().map(|a| self.system.forces(a, true)),
            answers,
        }
    }
}

/// What forces at a place do.
struct Yielding {
    /// Movement of the place for unit forces there, m/N.
    d: [[f64; 3]; 3],
    /// How the place moves without a bracket, m.
    moved: [f64; 3],
    /// Unknowns for unit forces.
    answers: [Vec<f64>; 3],
    /// Forces of all members for unit forces.
    forces: [Vec<[f64; 12]>; 3],
}

impl Yielding {
    /// The force that a bracket puts on the frame, N.
    fn force(&self, hold: &Hold) -> [f64; 3] {
        let s = hold.matrix();
        let system = rows(|i, j| f64::from(u8::from(i == j)) + (0..3).map(|k| s[i][k] * self.d[k][j]).sum::<f64>());
        solve3(&system, std::array::from_fn(|i| -(0..3).map(|k| s[i][k] * self.moved[k]).sum::<f64>()))
    }
}

/// A frame whose single changes are solved.
pub struct Helper<'a> {
    frame: &'a Frame,
    hot: Solved,
    cold: Solved,
    modes: Vec<Mode>,
    /// Shares of the modes in rigid motions, and the forces of all members in them.
    of_modes: Vec<([f64; 3], Vec<[f64; 12]>)>,
    /// Forces of all members, cold stiffness, as it is.
    still_forces: Vec<[f64; 12]>,
    end_weld: f64,
}

/// A place where brackets are tried.
pub struct Trial<'a> {
    helper: &'a Helper<'a>,
    motion: Motion,
    hot: Yielding,
    cold: Yielding,
    /// What is added to the modes: vectors, orthonormal in M, with shares and forces, and their stiffness.
    added: Vec<Vec<f64>>,
    of_added: Vec<([f64; 3], Vec<[f64; 12]>)>,
    stiff: Vec<Vec<f64>>,
}

impl<'a> Helper<'a> {
    /// `hot`: the frame as it runs; `cold`: the same with its cold stiffness, for stress ranges; `end_weld`: stress factor of
    /// the welds at both ends of every tube.
    ///
    /// # Errors
    /// [`FrameError`]: what nothing holds.
    pub fn of(hot: &'a Frame, cold: &Frame, end_weld: f64) -> Result<Self, FrameError> {
        let (warm, stiff) = (Solved::of(hot.system()?)?, Solved::of(cold.massless_system()?)?);
        let modes = modes_with(&warm.system, &warm.factors, BASIS);
        let of_modes =
            modes.iter().map(|m| (warm.system.shares(&m.shape), warm.system.forces(&m.shape, true))).collect();
        let still_forces = stiff.system.forces(&stiff.still, false);
        Ok(Helper { frame: hot, hot: warm, cold: stiff, modes, of_modes, still_forces, end_weld })
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

    /// A place to try brackets at; `None` when there is no node.
    pub fn trial(&self, place: Place) -> Option<Trial<'_>> {
        let motion = self.motion(&self.hot.system, place)?;
        let (hot, cold) = (self.hot.yielding(&motion), self.cold.yielding(&self.motion(&self.cold.system, place)?));
        let system = &self.hot.system;
        let mut added: Vec<Vec<f64>> = Vec::new();
        for answer in &hot.answers {
            let mut vector = answer.clone();
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
        let stiff = added.iter().map(|v| system.stiffness.times(v)).collect();
        let of_added = added.iter().map(|v| (system.shares(v), system.forces(v, true))).collect();
        Some(Trial { helper: self, motion, hot, cold, added, of_added, stiff })
    }

    /// With a bracket; `None` when there is no node at that place.
    pub fn bracket(&self, place: Place, hold: &Hold) -> Option<Outcome> {
        Some(self.trial(place)?.with(hold))
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

impl Trial<'_> {
    /// How the frame fares with a bracket here.
    pub fn with(&self, hold: &Hold) -> Outcome {
        let Helper { frame, end_weld, still_forces, .. } = self.helper;
        let mut forces = still_forces.clone();
        for (by, more) in self.cold.force(hold).into_iter().zip(&self.cold.forces) {
            add_forces(&mut forces, by, more);
        }
        let all = self.helper.cold.system.by_tube(&forces);
        let worst = |(s, t): (&Vec<_>, &crate::frame::Tube)| worst_range(&t.section, s, *end_weld);
        let shaken = self.modes(hold);
        Outcome {
            ranges: all.iter().zip(&frame.tubes).map(worst).collect(),
            stress_per_g: shaken.iter().map(|m| m.1).fold(0.0, f64::max),
            frequencies: shaken.iter().map(|m| m.0).collect(),
            force: Vec3::from_array(self.hot.force(hold)).length(),
            slides: 0.0,
        }
    }

    /// Frequencies with a bracket, and the stress for 1 g in each.
    fn modes(&self, hold: &Hold) -> Vec<(f64, f64)> {
        let helper = self.helper;
        let known = helper.modes.len();
        let basis = helper.modes.iter().map(|m| &m.shape).chain(&self.added);
        let place: Vec<[f64; 6]> = basis.map(|b| self.motion.of_unknowns(b)).collect();
        let s = hold.matrix();
        // Between modes K is diagonal; between modes and what was made orthogonal to them it is nought.
        let share = |i: usize, j: usize| {
            let held: f64 = (0..3).map(|a| place[i][a] * (0..3).map(|b| s[a][b] * place[j][b]).sum::<f64>()).sum();
            let own = match (i.checked_sub(known), j.checked_sub(known)) {
                (None, None) if i == j => (2.0 * PI * helper.modes[i].frequency).powi(2),
                (Some(p), Some(q)) => 0.5 * (dot(&self.added[p], &self.stiff[q]) + dot(&self.added[q], &self.stiff[p])),
                _ => 0.0,
            };
            held + own
        };
        let size = place.len();
        let (values, vectors) = eigen((0..size).map(|i| (0..size).map(|j| share(i, j)).collect()).collect());
        let mode = |k: usize| {
            let frequency = values[k].max(0.0).sqrt() / (2.0 * PI);
            let mut shares = [0.0; 3];
            let mut forces = vec![[0.0; 12]; helper.still_forces.len()];
            for (part, (of, more)) in vectors[k].iter().zip(helper.of_modes.iter().chain(&self.of_added)) {
                shares.iter_mut().zip(of).for_each(|(sum, by)| *sum += part * by);
                add_forces(&mut forces, *part, more);
            }
            let stretches = helper.hot.system.by_tube(&forces);
            (frequency, shaken(helper.frame, &stretches, shares, (frequency, helper.end_weld)).stress_per_g)
        };
        (0..size).rev().take(LOOKED_AT).map(mode).collect()
    }
}

fn add_forces(sum: &mut [[f64; 12]], by: f64, more: &[[f64; 12]]) {
    for (all, more) in sum.iter_mut().zip(more) {
        all.iter_mut().zip(more).for_each(|(s, m)| *s += by * m);
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
