//! Starting poses: from the photo with most markers outwards, photo by photo and plate by plate.
//!
//! A single plate has two poses before a camera; the one is taken that agrees with everything known so far, and what is
//! not clear waits until more is known.

use glam::{DVec2, DVec3};

use super::camera::{Lens, Pose};
use super::pose::{Seen, Term, plane_poses, refine, term_in_photo, terms_of_body};

/// A plate in a photo.
#[derive(Debug, Clone)]
pub struct PlateView {
    /// Number of the photo.
    pub photo: usize,
    /// Number of the plate.
    pub plate: usize,
    /// Its four dots, pixels, found or predicted.
    pub at: [DVec2; 4],
}

/// Errors beyond which a dot does not speak for a pose, pixels: the lens is not known yet.
const SCALE: f64 = 12.0;
/// A pose is clear when the next best is so many times worse.
const CLEAR: f64 = 1.8;

/// Poses found so far; `None` where nothing connects.
#[derive(Debug, Clone)]
pub struct Start {
    /// From plate to world.
    pub plates: Vec<Option<Pose>>,
    /// From world to camera.
    pub photos: Vec<Option<Pose>>,
}

/// What the start is made from.
pub struct Sights<'a> {
    /// All plates in all photos.
    pub looks: &'a [PlateView],
    /// Dots of each plate in its own axes, mm.
    pub dots: &'a [[DVec3; 4]],
    /// Lens of each photo.
    pub lenses: &'a [Lens],
}

impl Sights<'_> {
    fn seen(&self, look: &PlateView) -> Vec<Seen> {
        self.dots[look.plate].iter().zip(look.at).map(|(point, at)| Seen { point: *point, at }).collect()
    }

    fn of_photo(&self, photo: usize) -> impl Iterator<Item = (usize, &PlateView)> {
        self.looks.iter().enumerate().filter(move |(_, l)| l.photo == photo)
    }

    /// Poses of all photos and plates that hang together with the best photo.
    pub fn start(&self) -> Option<Start> {
        let poses: Vec<Vec<(Pose, f64)>> =
            self.looks.iter().map(|look| plane_poses(&self.lenses[look.photo], &self.seen(look))).collect();
        let mut start = Start { plates: vec![None; self.dots.len()], photos: vec![None; self.lenses.len()] };
        let counts: Vec<usize> = (0..self.lenses.len()).map(|p| self.of_photo(p).count()).collect();
        let seed = (0..counts.len()).max_by_key(|p| counts[*p])?;
        // The clearest plate of the seed gives the world.
        let clear = |i: &usize| match &poses[*i][..] {
            [] => 0.0,
            [_] => 1.0,
            [a, b, ..] => b.1 / a.1.max(0.1),
        };
        let size = |l: &PlateView| l.at[0].distance(l.at[2]);
        let rated = self.of_photo(seed).map(|(i, l)| (clear(&i).min(20.0) * size(l), i));
        let first = rated.max_by(|a, b| a.0.total_cmp(&b.0))?.1;
        start.plates[self.looks[first].plate] = Some(Pose::IDENTITY);
        start.photos[seed] = Some(poses[first].first()?.0);
        loop {
            let strict = self.add_plates(&poses, &mut start, CLEAR) | self.add_photos(&poses, &mut start, CLEAR);
            if strict {
                continue;
            }
            // Nothing is clear any more: take what is likeliest.
            if !(self.add_photos(&poses, &mut start, 1.0) || self.add_plates(&poses, &mut start, 1.0)) {
                return Some(start);
            }
        }
    }

    fn add_plates(&self, poses: &[Vec<(Pose, f64)>], start: &mut Start, clear: f64) -> bool {
        let mut added = false;
        for plate in 0..self.dots.len() {
            if start.plates[plate].is_some() {
                continue;
            }
            let looks: Vec<(usize, &PlateView)> = self
                .looks
                .iter()
                .enumerate()
                .filter(|(_, l)| l.plate == plate && start.photos[l.photo].is_some())
                .collect();
            let photo_of = |look: &PlateView| start.photos[look.photo].unwrap_or(Pose::IDENTITY);
            let candidates = looks.iter().flat_map(|(i, look)| {
                poses[*i].iter().map(|(pose, _)| photo_of(look).inverse().after(pose)).collect::<Vec<Pose>>()
            });
            let mut terms = |pose: &Pose| -> Option<Vec<Term>> {
                let one = |look: &PlateView| {
                    let (lens, photo) = (&self.lenses[look.photo], photo_of(look));
                    self.seen(look)
                        .into_iter()
                        .map(|s| term_in_photo(lens, &photo, &s, pose))
                        .collect::<Option<Vec<Term>>>()
                };
                looks
                    .iter()
                    .map(|(_, look)| one(look))
                    .collect::<Option<Vec<_>>>()
                    .map(|all| all.into_iter().flatten().collect())
            };
            if let Some(pose) = best(candidates.collect(), clear, &mut terms) {
                start.plates[plate] = Some(pose);
                added = true;
            }
        }
        added
    }

    fn add_photos(&self, poses: &[Vec<(Pose, f64)>], start: &mut Start, clear: f64) -> bool {
        let mut added = false;
        for photo in 0..self.lenses.len() {
            if start.photos[photo].is_some() {
                continue;
            }
            let known: Vec<(usize, &PlateView, Pose)> =
                self.of_photo(photo).filter_map(|(i, l)| Some((i, l, start.plates[l.plate]?))).collect();
            let candidates = known.iter().flat_map(|(i, _, plate)| {
                poses[*i].iter().map(|(pose, _)| pose.after(&plate.inverse())).collect::<Vec<Pose>>()
            });
            let seen: Vec<Seen> = known
                .iter()
                .flat_map(|(_, look, plate)| {
                    self.seen(look).into_iter().map(|s| Seen { point: plate.apply(s.point), at: s.at })
                })
                .collect();
            let lens = &self.lenses[photo];
            if let Some(pose) = best(candidates.collect(), clear, &mut |pose| terms_of_body(lens, &seen, pose)) {
                start.photos[photo] = Some(pose);
                added = true;
            }
        }
        added
    }
}

/// The candidate that agrees best, when the next different one is `clear` times worse.
fn best(candidates: Vec<Pose>, clear: f64, terms: &mut dyn FnMut(&Pose) -> Option<Vec<Term>>) -> Option<Pose> {
    let mut refined: Vec<(Pose, f64)> = candidates.into_iter().filter_map(|c| refine(c, 12, SCALE, terms)).collect();
    refined.sort_by(|a, b| a.1.total_cmp(&b.1));
    let (first, error) = *refined.first()?;
    let differs = |p: &Pose| p.turn.angle_between(first.turn) > 0.1 || p.shift.distance(first.shift) > 20.0;
    let next = refined.iter().find(|(pose, _)| differs(pose)).map_or(f64::INFINITY, |r| r.1);
    (next >= clear * error.max(0.3)).then_some(first)
}
