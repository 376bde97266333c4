//! Bundle adjustment: plates, photos, lens, wobble and bent plates all at once, by robust least squares.
//!
//! Each plate and each photo has six unknowns, each lens eight, each photo three of wobble (autofocus and stabiliser move
//! the focal length and the centre), each mark (dot or crossing) three of bending. Wobble, bending and lens have priors. The marks' own
//! unknowns are eliminated (Schur complement), so the dense part stays small.

use glam::{DMat3, DVec2, DVec3};

use super::camera::{LENS_VALUES, Lens, Pose};
use crate::matrix::Symmetric;

/// Unknowns of a plate; of a photo with its wobble.
const PLATE: usize = 6;
const PHOTO: usize = 9;
/// Size for which the scatter is given, pixels of a half side.
pub const SIZE: f64 = 30.0;
/// Dots of a plate: its first marks; the others are crossings.
pub const DOT_COUNT: usize = 4;
/// Weight that holds what is not free in a stage.
const HELD: f64 = 1e14;

/// A mark seen in a photo.
#[derive(Debug, Clone, Copy)]
pub struct Observation {
    /// Number of the photo.
    pub photo: usize,
    /// Number of the plate.
    pub plate: usize,
    /// Which of its marks.
    pub mark: usize,
    /// Pixels.
    pub at: DVec2,
    /// Pixels of a half side there.
    pub size: f64,
    /// Whether it counts.
    pub used: bool,
}

/// Everything that is adjusted.
#[derive(Debug, Clone)]
pub struct Scene {
    /// From plate to world.
    pub plates: Vec<Pose>,
    /// Marks of each plate in its own axes, mm: its four dots, then its crossings.
    pub marks: Vec<Vec<DVec3>>,
    /// How each mark lies off its place, mm.
    pub bends: Vec<Vec<DVec3>>,
    /// From world to camera.
    pub photos: Vec<Pose>,
    /// Wobble of each photo.
    pub wobble: Vec<[f64; 3]>,
    /// Lens of each photo.
    pub lens_of: Vec<usize>,
    /// The lenses.
    pub lenses: Vec<Lens>,
    /// Where their priors stand.
    pub lens_priors: Vec<Lens>,
    /// Width of the photos of each lens, pixels.
    pub widths: Vec<f64>,
}

/// Standard deviations of one kind of marks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Of where a mark of [`SIZE`] is seen, pixels, along one axis.
    pub seen: f64,
    /// How fast that falls with size: the negative power.
    pub fall: f64,
    /// Of a mark's place in the plane of its plate, mm, along one axis: the print.
    pub along: f64,
    /// Of its place square to that plane, mm: how flat the plate is.
    pub across: f64,
}

/// Everything that is not known beforehand: of dots and of crossings, and of the wobble of the photos.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatters {
    /// Of dots, and of crossings.
    pub marks: [Scatter; 2],
    /// Of a photo's focal length (relative), and of its centre as a part of the photo's width.
    pub wobble: [f64; 2],
}

impl Scatters {
    /// Of a mark by its place in the list of its plate.
    pub fn of(&self, mark: usize) -> &Scatter {
        &self.marks[kind(mark)]
    }

    /// Of where a mark is seen, pixels.
    pub fn seen(&self, o: &Observation) -> f64 {
        let scatter = self.of(o.mark);
        scatter.seen * (SIZE / o.size).powf(scatter.fall)
    }
}

/// 0 for a dot, 1 for a crossing.
pub fn kind(mark: usize) -> usize {
    usize::from(mark >= DOT_COUNT)
}

/// How much of something the photos determine, in unknowns, and the sum of its squares.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Determined {
    /// Unknowns less what their priors hold.
    pub determined: f64,
    /// Sum of squares.
    pub squares: f64,
}

/// The parts of bends and of wobble.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Parts {
    /// Of dots and of crossings: along the plane, mm², and across it.
    pub bends: [[Determined; 2]; 2],
    /// Of focal lengths (relative), and of centres as parts of the width.
    pub wobble: [Determined; 2],
}

/// What is free and how errors are weighed.
#[derive(Debug, Clone, Copy)]
pub struct Stage {
    /// Standard deviations.
    pub scatters: Scatters,
    /// Scale of the Geman-McClure function, pixels.
    pub scale: f64,
    /// Whether only f and k1 of the lens are free.
    pub simple_lens: bool,
    /// Whether plates are held flat and true.
    pub stiff: bool,
    /// Most steps.
    pub steps: usize,
}

impl Scene {
    fn unknowns(&self) -> usize {
        PLATE * self.plates.len() + PHOTO * self.photos.len() + LENS_VALUES * self.lenses.len()
    }

    fn photo_at(&self, photo: usize) -> usize {
        PLATE * self.plates.len() + PHOTO * photo
    }

    fn lens_at(&self, lens: usize) -> usize {
        PLATE * self.plates.len() + PHOTO * self.photos.len() + LENS_VALUES * lens
    }

    /// The lens of a photo with its wobble.
    pub fn lens(&self, photo: usize) -> Lens {
        self.lenses[self.lens_of[photo]].wobbled(self.wobble[photo])
    }

    /// Seen less computed, pixels; `None` behind the camera.
    pub fn error(&self, o: &Observation) -> Option<DVec2> {
        let point = self.marks[o.plate][o.mark] + self.bends[o.plate][o.mark];
        let world = self.plates[o.plate].apply(point);
        Some(o.at - self.lens(o.photo).project(self.photos[o.photo].apply(world))?)
    }

    fn cost(&self, observations: &[Observation], stage: &Stage) -> f64 {
        let k2 = stage.scale * stage.scale;
        let seen = |o: &Observation| {
            let square = self.error(o).map_or(1e12, |e| e.length_squared());
            square / (1.0 + square / k2) / stage.scatters.seen(o).powi(2)
        };
        observations.iter().filter(|o| o.used).map(seen).sum::<f64>() + self.prior_cost(stage)
    }

    fn prior_cost(&self, stage: &Stage) -> f64 {
        let mut sum = 0.0;
        for (photo, wobble) in self.wobble.iter().enumerate() {
            let sd = self.wobble_sd(photo, stage);
            sum += wobble.iter().zip(sd).map(|(v, s)| (v / s).powi(2)).sum::<f64>();
        }
        for (i, (lens, prior)) in self.lenses.iter().zip(&self.lens_priors).enumerate() {
            let sd = self.lens_sd(i);
            sum += (0..LENS_VALUES).map(|v| ((lens.0[v] - prior.0[v]) / sd[v]).powi(2)).sum::<f64>();
        }
        if !stage.stiff {
            let own = |(mark, b): (usize, &DVec3)| (*b * *b).dot(bend_weight(stage.scatters.of(mark)));
            sum += self.bends.iter().map(|plate| plate.iter().enumerate().map(own).sum::<f64>()).sum::<f64>();
        }
        sum
    }

    fn wobble_sd(&self, photo: usize, stage: &Stage) -> [f64; 3] {
        let [focus, centre] = stage.scatters.wobble;
        let centre = centre * self.widths[self.lens_of[photo]];
        [focus, centre, centre]
    }

    /// Wide priors: they only matter where the photos say nothing.
    fn lens_sd(&self, lens: usize) -> [f64; LENS_VALUES] {
        let width = self.widths[lens];
        [0.15 * self.lens_priors[lens].0[0], 0.03 * width, 0.03 * width, 0.2, 0.3, 0.3, 0.003, 0.003]
    }

    /// Adjusts; returns the cost. Plate `held` stays where it is and bears the frame.
    pub fn adjust(&mut self, observations: &[Observation], stage: &Stage, held: usize) -> f64 {
        let mut now = self.cost(observations, stage);
        let mut damping = 1e-4;
        for _ in 0..stage.steps {
            let equations = self.equations(observations, stage, held);
            let mut gained = None;
            for _ in 0..6 {
                if let Some(tried) = equations.step(self, damping, stage) {
                    let then = tried.cost(observations, stage);
                    if then <= now {
                        gained = Some(now - then);
                        (*self, now) = (tried, then);
                        damping = (damping * 0.1).max(1e-9);
                        break;
                    }
                }
                damping *= 8.0;
            }
            if gained.is_none_or(|g| g < 1e-5 * now.max(1.0)) {
                break;
            }
        }
        now
    }

    /// Covariance of all plates' nudges (angles, rad, then shifts, mm), with plate `held` held.
    pub fn plate_covariance(&self, observations: &[Observation], stage: &Stage, held: usize) -> Option<Symmetric> {
        let whole = self.equations(observations, stage, held).reduced(0.0)?.0.factor()?.inverse();
        let n = PLATE * self.plates.len();
        let mut out = Symmetric::zero(n);
        for i in 0..n {
            out.a[i * n..(i + 1) * n].copy_from_slice(&whole.a[i * whole.n..i * whole.n + n]);
        }
        Some(out)
    }

    /// How much of the bends and of the wobble the photos determine, rather than their priors: for n unknowns of one prior
    /// n - trace(covariance) / prior variance (MacKay 1992, *Bayesian interpolation*, his gamma; from memory).
    pub fn parts(&self, observations: &[Observation], stage: &Stage, held: usize) -> Option<Parts> {
        let equations = self.equations(observations, stage, held);
        let covariance = equations.reduced(0.0)?.0.factor()?.inverse();
        let mut parts = Parts::default();
        for (block, bend) in equations.marks.iter().zip(self.bends.iter().flatten()) {
            let weight = bend_weight(stage.scatters.of(block.mark));
            let inverse = block.own.inverse();
            let pulled: Vec<(usize, DVec3)> = block.joined.iter().map(|(i, v)| (*i, inverse * *v)).collect();
            for c in 0..3 {
                let row: Vec<(usize, f64)> = pulled.iter().map(|(i, v)| (*i, v[c])).collect();
                let variance = inverse.col(c)[c] + covariance.quadratic(&row);
                let part = &mut parts.bends[kind(block.mark)][usize::from(c == 2)];
                part.determined += 1.0 - variance * weight[c];
                part.squares += bend[c] * bend[c];
            }
        }
        for photo in 0..self.photos.len() {
            let width = self.widths[self.lens_of[photo]];
            for (c, sd) in self.wobble_sd(photo, stage).into_iter().enumerate() {
                let i = self.photo_at(photo) + 6 + c;
                let (part, unit) = (&mut parts.wobble[usize::from(c > 0)], if c > 0 { width } else { 1.0 });
                part.determined += 1.0 - covariance.at(i, i) / (sd * sd);
                part.squares += (self.wobble[photo][c] / unit).powi(2);
            }
        }
        Some(parts)
    }

    fn equations(&self, observations: &[Observation], stage: &Stage, held: usize) -> Equations {
        let n = self.unknowns();
        let mut eq =
            Equations { normal: Symmetric::zero(n), right: vec![0.0; n], marks: Vec::new(), first: Vec::new() };
        if !stage.stiff {
            for bends in &self.bends {
                eq.first.push(eq.marks.len());
                eq.marks.extend(bends.iter().enumerate().map(|(mark, bend)| {
                    let weight = bend_weight(stage.scatters.of(mark));
                    let (own, right) = (DMat3::from_diagonal(weight), -*bend * weight);
                    MarkBlock { mark, own, right, joined: Vec::new() }
                }));
            }
        }
        for o in observations.iter().filter(|o| o.used) {
            self.add(o, stage, &mut eq);
        }
        self.add_priors(stage, held, &mut eq);
        eq
    }

    fn add(&self, o: &Observation, stage: &Stage, eq: &mut Equations) {
        let lens_number = self.lens_of[o.photo];
        let (plate, photo) = (self.plates[o.plate], self.photos[o.photo]);
        let arm = plate.turn * (self.marks[o.plate][o.mark] + self.bends[o.plate][o.mark]);
        let turned = photo.turn * (arm + plate.shift);
        let Some(projection) = self.lens(o.photo).projection(turned + photo.shift) else { return };
        let error = o.at - projection.at;
        let sd = stage.scatters.seen(o);
        let weight = (1.0 + error.length_squared() / (stage.scale * stage.scale)).powi(-2) / (sd * sd);
        let by = |v: DVec3| projection.by_point[0] * v.x + projection.by_point[1] * v.y + projection.by_point[2] * v.z;
        let axes = [DVec3::X, DVec3::Y, DVec3::Z];
        let mut row: Vec<(usize, DVec2)> = Vec::with_capacity(PLATE + PHOTO + LENS_VALUES);
        let (at_plate, at_photo, at_lens) = (PLATE * o.plate, self.photo_at(o.photo), self.lens_at(lens_number));
        for (c, axis) in axes.into_iter().enumerate() {
            row.push((at_plate + c, by(photo.turn * axis.cross(arm))));
            row.push((at_plate + 3 + c, by(photo.turn * axis)));
            row.push((at_photo + c, by(axis.cross(turned))));
            row.push((at_photo + 3 + c, by(axis)));
        }
        let f = self.lenses[lens_number].0[0];
        for (c, scale) in [f, 1.0, 1.0].into_iter().enumerate() {
            row.push((at_photo + 6 + c, projection.by_lens[c] * scale));
        }
        for (v, by) in projection.by_lens.iter().enumerate() {
            row.push((at_lens + v, *by));
        }
        for c in 0..2 {
            let flat: Vec<(usize, f64)> = row.iter().map(|(i, v)| (*i, v[c])).collect();
            flat.iter().for_each(|(i, v)| eq.right[*i] += weight * v * error[c]);
            eq.normal.add_outer(&flat, weight);
            if !stage.stiff {
                let own = DVec3::from_array(axes.map(|axis| by(photo.turn * (plate.turn * axis))[c]));
                eq.marks[eq.first[o.plate] + o.mark].add(own, error[c], weight, &flat);
            }
        }
    }

    fn add_priors(&self, stage: &Stage, held: usize, eq: &mut Equations) {
        for photo in 0..self.photos.len() {
            for (c, sd) in self.wobble_sd(photo, stage).into_iter().enumerate() {
                eq.prior(self.photo_at(photo) + 6 + c, self.wobble[photo][c], sd);
            }
        }
        for lens in 0..self.lenses.len() {
            for (v, sd) in self.lens_sd(lens).into_iter().enumerate() {
                eq.prior(self.lens_at(lens) + v, self.lenses[lens].0[v] - self.lens_priors[lens].0[v], sd);
                if stage.simple_lens && v != 0 && v != 3 {
                    *eq.normal.at_mut(self.lens_at(lens) + v, self.lens_at(lens) + v) += HELD;
                }
            }
        }
        for i in PLATE * held..PLATE * (held + 1) {
            *eq.normal.at_mut(i, i) += HELD;
        }
        // Plates and photos that nothing sees stay where they are.
        for i in 0..self.lens_at(0) {
            *eq.normal.at_mut(i, i) += 1e-9;
        }
    }
}

/// Weights of a mark's bend in the axes of its plate, 1/mm².
fn bend_weight(scatter: &Scatter) -> DVec3 {
    DVec3::new(scatter.along, scatter.along, scatter.across).powf(-2.0)
}

/// The part of the equations that belongs to one mark.
struct MarkBlock {
    /// Its place in the list of its plate.
    mark: usize,
    own: DMat3,
    right: DVec3,
    /// Other unknowns and how the mark goes together with them.
    joined: Vec<(usize, DVec3)>,
}

impl MarkBlock {
    fn add(&mut self, own: DVec3, error: f64, weight: f64, row: &[(usize, f64)]) {
        self.own += DMat3::from_cols(own * own.x, own * own.y, own * own.z) * weight;
        self.right += own * (weight * error);
        for (i, v) in row {
            match self.joined.iter_mut().find(|j| j.0 == *i) {
                Some(joined) => joined.1 += own * (weight * v),
                None => self.joined.push((*i, own * (weight * v))),
            }
        }
    }
}

/// Normal equations; the marks' part is apart.
struct Equations {
    normal: Symmetric,
    right: Vec<f64>,
    marks: Vec<MarkBlock>,
    /// The first mark of each plate in `marks`.
    first: Vec<usize>,
}

impl Equations {
    /// Draws unknown `i`, now `value` off its prior, back with this standard deviation.
    fn prior(&mut self, i: usize, value: f64, sd: f64) {
        *self.normal.at_mut(i, i) += 1.0 / (sd * sd);
        self.right[i] -= value / (sd * sd);
    }

    /// Without the marks' unknowns: damped matrix and right side.
    fn reduced(&self, damping: f64) -> Option<(Symmetric, Vec<f64>)> {
        let (mut normal, mut right) = (self.normal.clone(), self.right.clone());
        for i in 0..normal.n {
            *normal.at_mut(i, i) *= 1.0 + damping;
        }
        let n = normal.n;
        for mark in &self.marks {
            let inverse = mark.own.inverse();
            let pulled: Vec<DVec3> = mark.joined.iter().map(|(_, v)| inverse * *v).collect();
            for (k, (i, _)) in mark.joined.iter().enumerate() {
                right[*i] -= pulled[k].dot(mark.right);
                for (j, v) in &mark.joined {
                    normal.a[i * n + j] -= pulled[k].dot(*v);
                }
            }
        }
        normal.a.iter().all(|v| v.is_finite()).then_some((normal, right))
    }

    fn step(&self, scene: &Scene, damping: f64, stage: &Stage) -> Option<Scene> {
        let (normal, right) = self.reduced(damping)?;
        let step = normal.factor()?.solve(&right);
        let mut moved = scene.clone();
        for (i, plate) in moved.plates.iter_mut().enumerate() {
            *plate = plate.nudged(&step[PLATE * i..]);
        }
        for i in 0..moved.photos.len() {
            let at = scene.photo_at(i);
            moved.photos[i] = moved.photos[i].nudged(&step[at..]);
            (0..3).for_each(|c| moved.wobble[i][c] += step[at + 6 + c]);
        }
        for i in 0..moved.lenses.len() {
            let at = scene.lens_at(i);
            (0..LENS_VALUES).for_each(|v| moved.lenses[i].0[v] += step[at + v]);
        }
        if !stage.stiff {
            for (mark, bend) in self.marks.iter().zip(moved.bends.iter_mut().flatten()) {
                let pull: DVec3 = mark.joined.iter().map(|(i, v)| *v * step[*i]).sum();
                *bend += mark.own.inverse() * (mark.right - pull);
            }
        }
        Some(moved)
    }
}
