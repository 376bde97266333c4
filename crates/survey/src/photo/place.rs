//! Places of the faces under the plates, in the job's axes and in true size.

use glam::{DMat3, DVec3};

use super::camera::Pose;
use super::survey::PhotoAnswer;
use crate::matrix::Symmetric;

/// What gives the true size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    /// Plates of its ends, by their places in [`PhotoAnswer::plates`].
    pub between: [usize; 2],
    /// Measured length, mm.
    pub length: f64,
    /// Its standard deviation, mm.
    pub sd: f64,
    /// True when it runs between the faces under the plates (a tape), not between the printed centres (a bar).
    pub faces: bool,
}

/// What the job's axes hang on, by places in [`PhotoAnswer::plates`].
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoFrame {
    /// The plate whose face is at 0, 0, 0.
    pub origin: usize,
    /// x runs from the face of the first to that of the second.
    pub forward: [usize; 2],
    /// What gives the other axes.
    pub second: Second,
}

/// What gives y or z.
#[derive(Debug, Clone, PartialEq)]
pub enum Second {
    /// The mean of these plates' normals, made square to x, is y.
    MeanNormal(Vec<usize>),
    /// The face of this plate lies in the half plane of x and -z (true) or z.
    Point(usize, bool),
}

/// A plate's place.
#[derive(Debug, Clone, Copy)]
pub struct Face {
    /// The place on the face under the middle of the marker, mm.
    pub at: DVec3,
    /// Out of the paper.
    pub normal: DVec3,
    /// Standard deviations of the place, mm.
    pub sd: DVec3,
    /// Standard deviation of the normal, rad: the larger of its two tilts.
    pub sd_tilt: f64,
}

/// The places, and what the scale is.
#[derive(Debug, Clone)]
pub struct Places {
    /// Of every plate, in the order of [`PhotoAnswer::plates`].
    pub faces: Vec<Face>,
    /// True size divided by drawn size.
    pub scale: f64,
    /// How far each length lies off the mean scale, in its standard deviations.
    pub misfits: Vec<f64>,
    /// Covariance of all places, mm².
    pub covariance: Symmetric,
    /// Turns into the job's axes.
    pub turn: DMat3,
    /// Where the job's origin lies in the axes of the photos, mm in true size.
    pub origin: DVec3,
}

impl Places {
    /// The same in other axes and another size: a place p goes to `to` + `size` `turn` (p - `from`).
    pub fn moved(&self, turn: DMat3, size: f64, from: DVec3, to: DVec3) -> Places {
        let block = |p: usize, q: usize| {
            DMat3::from_cols_array(&std::array::from_fn(|k| self.covariance.at(3 * p + k % 3, 3 * q + k / 3)))
        };
        let count = self.faces.len();
        let mut covariance = Symmetric::zero(3 * count);
        for (p, q) in (0..count).flat_map(|p| (0..count).map(move |q| (p, q))) {
            let turned = (turn * block(p, q) * turn.transpose() * (size * size)).to_cols_array();
            (0..9).for_each(|k| *covariance.at_mut(3 * p + k % 3, 3 * q + k / 3) = turned[k]);
        }
        let face = |(p, face): (usize, &Face)| {
            let sd = |c: usize| covariance.at(3 * p + c, 3 * p + c).max(0.0).sqrt();
            let at = to + turn * (face.at - from) * size;
            Face { at, normal: turn * face.normal, sd: DVec3::new(sd(0), sd(1), sd(2)), sd_tilt: face.sd_tilt }
        };
        let faces = self.faces.iter().enumerate().map(face).collect();
        // A place p of the photos lies at self.turn (scale p - origin) now, and at `turn` of that afterwards.
        let whole = turn * self.turn;
        let origin = self.origin * size + whole.transpose() * (turn * from * size - to);
        Places { faces, scale: self.scale * size, misfits: self.misfits.clone(), covariance, turn: whole, origin }
    }

    /// Where a photo was taken from in the job's axes, mm, and the direction in which it looks; `camera` from world to camera.
    pub fn camera(&self, camera: &Pose) -> (DVec3, DVec3) {
        let back = camera.inverse();
        (self.turn * (back.shift * self.scale - self.origin), self.turn * (back.turn * DVec3::Z))
    }
}

/// What turns poses into places.
pub struct Laying<'a> {
    /// The adjusted photos.
    pub answer: &'a PhotoAnswer,
    /// The axes.
    pub frame: PhotoFrame,
    /// Thickness of each plate, mm, in the order of [`PhotoAnswer::plates`].
    pub thickness: Vec<f64>,
    /// What gives the size; at least one.
    pub lengths: Vec<Length>,
}

impl Laying<'_> {
    /// The places; `None` without a length, or when the axes hang on points in one line.
    pub fn places(&self) -> Option<Places> {
        let poses = &self.answer.poses;
        let (scale, misfits) = self.scale(poses)?;
        let raw = self.raw_faces(poses, scale);
        let (turn, origin) = self.axes(&raw)?;
        let plain = laid(&raw, turn, origin);
        let n = poses.len();
        let moves = self.moves(poses)?;
        // Jacobian times covariance of the nudges times Jacobian transposed, for six values a plate.
        let half: Vec<Vec<f64>> = (0..6 * n)
            .map(|i| {
                (0..6 * n).map(|k| (0..6 * n).map(|j| moves[j][i] * self.answer.covariance.at(j, k)).sum()).collect()
            })
            .collect();
        let entry = |i: usize, j: usize| (0..6 * n).map(|k| half[i][k] * moves[k][j]).sum::<f64>();
        let relative = self.scale_sd(poses);
        let mut covariance = Symmetric::zero(3 * n);
        for (p, (a, _)) in plain.iter().enumerate() {
            for (q, (b, _)) in plain.iter().enumerate() {
                for c in 0..3 {
                    for d in 0..3 {
                        *covariance.at_mut(3 * p + c, 3 * q + d) =
                            entry(6 * p + c, 6 * q + d) + relative * relative * a[c] * b[d];
                    }
                }
            }
        }
        let face = |p: usize| {
            let (at, normal) = plain[p];
            let sd = |i: usize| covariance.at(i, i).max(0.0).sqrt();
            let tilt = DMat3::from_cols_array(&std::array::from_fn(|k| entry(6 * p + 3 + k % 3, 6 * p + 3 + k / 3)));
            Face {
                at,
                normal,
                sd: DVec3::new(sd(3 * p), sd(3 * p + 1), sd(3 * p + 2)),
                sd_tilt: largest(&tilt).max(0.0).sqrt(),
            }
        };
        Some(Places { faces: (0..n).map(face).collect(), scale, misfits, covariance, turn, origin })
    }

    /// Place and normal of every plate, for given poses.
    fn faces(&self, poses: &[Pose]) -> Option<Vec<(DVec3, DVec3)>> {
        let raw = self.raw_faces(poses, self.scale(poses)?.0);
        let (turn, origin) = self.axes(&raw)?;
        Some(laid(&raw, turn, origin))
    }

    /// The same in the axes of the photos.
    fn raw_faces(&self, poses: &[Pose], scale: f64) -> Vec<(DVec3, DVec3)> {
        poses.iter().zip(&self.thickness).map(|(pose, thick)| face_of(pose, scale, *thick)).collect()
    }

    /// The job's axes as rows, and its origin.
    fn axes(&self, raw: &[(DVec3, DVec3)]) -> Option<(DMat3, DVec3)> {
        let origin = raw[self.frame.origin].0;
        let x = (raw[self.frame.forward[1]].0 - raw[self.frame.forward[0]].0).try_normalize()?;
        let square = |v: DVec3| (v - x * v.dot(x)).try_normalize();
        let (y, z) = match &self.frame.second {
            Second::MeanNormal(plates) => {
                let y = square(plates.iter().map(|p| raw[*p].1).sum())?;
                (y, x.cross(y))
            }
            Second::Point(p, down) => {
                let up = if *down { origin - raw[*p].0 } else { raw[*p].0 - origin };
                let z = square(up)?;
                (z.cross(x), z)
            }
        };
        Some((DMat3::from_cols(x, y, z).transpose(), origin))
    }

    /// What each nudge moves, by central differences: rows of six values a plate, place and normal.
    fn moves(&self, poses: &[Pose]) -> Option<Vec<Vec<f64>>> {
        let mut moves = Vec::with_capacity(6 * poses.len());
        for p in 0..poses.len() {
            for c in 0..6 {
                let step = if c < 3 { 1e-5 } else { 1e-3 };
                let nudged = |by: f64| {
                    let mut nudge = [0.0; 6];
                    nudge[c] = by;
                    let mut moved = poses.to_vec();
                    moved[p] = moved[p].nudged(&nudge);
                    self.faces(&moved)
                };
                let (more, less) = (nudged(step)?, nudged(-step)?);
                let both = more.iter().zip(&less).flat_map(|(a, b)| {
                    [(a.0 - b.0) / (2.0 * step), (a.1 - b.1) / (2.0 * step)].into_iter().flat_map(|v| v.to_array())
                });
                moves.push(both.collect());
            }
        }
        Some(moves)
    }

    /// Weighted mean of measured over drawn lengths, and how far each lies off it.
    fn scale(&self, poses: &[Pose]) -> Option<(f64, Vec<f64>)> {
        // Plates have a true thickness, so lengths between faces need a scale first: two rounds settle it.
        let mut scale = 1.0;
        let mut ratios: Vec<(f64, f64)> = Vec::new();
        for _ in 0..3 {
            ratios = self
                .lengths
                .iter()
                .map(|l| {
                    let ends = l.between.map(|p| {
                        if l.faces { face_of(&poses[p], scale, self.thickness[p]).0 } else { poses[p].shift * scale }
                    });
                    let drawn = ends[0].distance(ends[1]) / scale;
                    (l.length / drawn, drawn / l.sd)
                })
                .collect();
            let weight: f64 = ratios.iter().map(|r| r.1 * r.1).sum();
            scale = ratios.iter().map(|r| r.0 * r.1 * r.1).sum::<f64>() / weight;
        }
        (scale.is_finite() && scale > 0.0).then(|| (scale, ratios.iter().map(|r| (r.0 - scale) * r.1).collect()))
    }

    /// Relative standard deviation of the scale from the lengths alone.
    fn scale_sd(&self, poses: &[Pose]) -> f64 {
        let weight = |l: &Length| (poses[l.between[0]].shift.distance(poses[l.between[1]].shift) / l.sd).powi(2);
        1.0 / self.lengths.iter().map(weight).sum::<f64>().sqrt()
    }
}

fn laid(raw: &[(DVec3, DVec3)], turn: DMat3, origin: DVec3) -> Vec<(DVec3, DVec3)> {
    raw.iter().map(|(at, normal)| (turn * (*at - origin), turn * *normal)).collect()
}

/// Place of the face under a plate and the normal out of its paper: z of a plate points into the paper.
fn face_of(pose: &Pose, scale: f64, thickness: f64) -> (DVec3, DVec3) {
    let normal = pose.turn * DVec3::NEG_Z;
    (pose.shift * scale - normal * thickness, normal)
}

/// Largest eigenvalue of a symmetric matrix.
fn largest(m: &DMat3) -> f64 {
    let mut s = Symmetric::zero(3);
    s.a.copy_from_slice(&m.to_cols_array());
    s.eigen().0[2]
}
