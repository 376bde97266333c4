//! A whole photo survey: from sightings to places of plates, with those that moved or were printed to another size.

use std::sync::atomic::{AtomicBool, Ordering};

use glam::{DVec2, DVec3};

use super::bundle::{Observation, Scatters, Scene};
use super::camera::{Lens, Pose};
use super::detect::Sighting;
use super::dots::{DOTS, crossings};
use super::misfit;
pub use super::rounds::Plate;
use super::rounds::Work;
use super::start::{PlateView, Sights};
use crate::matrix::Symmetric;

/// What is known of a photo before it is adjusted.
#[derive(Debug, Clone)]
pub struct Photo {
    /// Markers found in it.
    pub sightings: Vec<Sighting>,
    /// Number of its lens.
    pub lens: usize,
}

/// A lens before it is adjusted.
#[derive(Debug, Clone, Copy)]
pub struct LensStart {
    /// Focal length, pixels.
    pub f: f64,
    /// Width and height of its photos, pixels.
    pub size: [f64; 2],
}

/// A set of photos.
#[derive(Debug, Clone)]
pub struct PhotoInput {
    /// The photos in the order in which they were taken.
    pub photos: Vec<Photo>,
    /// Their lenses.
    pub lenses: Vec<LensStart>,
    /// Side of the black square as drawn, mm, of a marker by its number.
    pub side: f64,
    /// Sides of single markers.
    pub sides: Vec<(u32, f64)>,
}

/// The adjusted photos, in axes of their own and in the size of the print.
#[derive(Debug, Clone)]
pub struct PhotoAnswer {
    /// The plates; a plate that moved is there twice, before and after.
    pub plates: Vec<Plate>,
    /// Pose of each plate.
    pub poses: Vec<Pose>,
    /// Covariance of the nudges of all poses (three angles, rad; three shifts, mm), one plate held.
    pub covariance: Symmetric,
    /// Standard deviations of where marks are seen and of their places on their plates, and the wobble of the photos.
    pub scatters: Scatters,
    /// Sum of squares of the marks that count, in standard deviations, and how many more there are than needed.
    pub chi2: f64,
    /// Values beyond those that are needed.
    pub redundancy: i64,
    /// Marks that do not agree with the rest.
    pub rejected: usize,
    /// Photos that do not hang together with the others.
    pub lost_photos: Vec<usize>,
    /// Markers seen in one photo only, or in none that hangs together with the others.
    pub lost_tags: Vec<u32>,
    /// Pose of each photo that counts: from world to camera.
    pub cameras: Vec<(usize, Pose)>,
    /// All that was adjusted; its photos are those of `cameras`.
    pub scene: Scene,
    /// The marks in its photos.
    pub seen: Vec<Observation>,
}

/// How often plates are looked through for moves: each round leaves the cameras better known.
const MISFIT_ROUNDS: usize = 3;
/// Adjusts a set of photos; `None` when no two photos share a marker, or when it is stopped.
pub fn adjust(input: &PhotoInput, stop: &AtomicBool) -> Option<PhotoAnswer> {
    let going_on = || (!stop.load(Ordering::Relaxed)).then_some(());
    let mut work = started(input)?;
    going_on()?;
    work.settle();
    going_on()?;
    // Plates that moved or have another size are looked for while plates are stiff: bends would hide them.
    for _ in 0..MISFIT_ROUNDS {
        if !misfit::find(&mut work) {
            break;
        }
        work.stiff();
        going_on()?;
    }
    work.refine();
    going_on()?;
    work.answer(input)
}

/// Tags seen in at least two photos, in the order of their numbers.
fn tags(input: &PhotoInput) -> Vec<u32> {
    let mut tags: Vec<u32> = input.photos.iter().flat_map(|p| p.sightings.iter().map(|s| s.tag)).collect();
    tags.sort_unstable();
    tags.dedup();
    tags
}

/// Marks of a plate in its own axes, mm.
fn marks(tag: u32, side: f64) -> Vec<DVec3> {
    DOTS.into_iter().chain(crossings(tag)).map(|p| (p * side / 2.0).extend(0.0)).collect()
}

/// The marks of these plates in these photos; `number` is that of a tag's plate.
fn observations(
    input: &PhotoInput,
    photos: &[usize],
    plates: &[usize],
    number: impl Fn(u32) -> usize,
) -> Vec<Observation> {
    let mut seen = Vec::new();
    for (photo, original) in photos.iter().enumerate() {
        for s in &input.photos[*original].sightings {
            let Some(plate) = plates.iter().position(|p| *p == number(s.tag)) else { continue };
            for (mark, found) in s.dots.iter().chain(&s.crossings).enumerate() {
                seen.extend(found.map(|m| Observation { photo, plate, mark, at: m.at, size: m.size, used: true }));
            }
        }
    }
    seen
}

fn started(input: &PhotoInput) -> Option<Work> {
    let tags = tags(input);
    let side = |tag: u32| input.sides.iter().find(|s| s.0 == tag).map_or(input.side, |s| s.1);
    let all_marks: Vec<Vec<DVec3>> = tags.iter().map(|t| marks(*t, side(*t))).collect();
    let all_dots: Vec<[DVec3; 4]> = all_marks.iter().map(|m| std::array::from_fn(|i| m[i])).collect();
    let number = |tag: u32| tags.iter().position(|t| *t == tag).unwrap_or(0);
    let mut looks = Vec::new();
    for (photo, p) in input.photos.iter().enumerate() {
        for s in &p.sightings {
            let at: [DVec2; 4] = std::array::from_fn(|i| s.dots[i].map_or_else(|| s.map.map(DOTS[i]), |d| d.at));
            looks.push(PlateView { photo, plate: number(s.tag), at });
        }
    }
    let plain = |l: &LensStart| Lens::plain(l.f, (l.size[0] - 1.0) / 2.0, (l.size[1] - 1.0) / 2.0);
    let lens_starts: Vec<Lens> = input.lenses.iter().map(plain).collect();
    let lenses: Vec<Lens> = input.photos.iter().map(|p| lens_starts[p.lens]).collect();
    let start = Sights { looks: &looks, dots: &all_dots, lenses: &lenses }.start()?;
    let photo_of: Vec<usize> = (0..input.photos.len()).filter(|p| start.photos[*p].is_some()).collect();
    let plate_of: Vec<usize> = (0..tags.len()).filter(|p| start.plates[*p].is_some()).collect();
    if photo_of.len() < 2 || plate_of.is_empty() {
        return None;
    }
    let seen = observations(input, &photo_of, &plate_of, number);
    let scene = Scene {
        plates: plate_of.iter().filter_map(|p| start.plates[*p]).collect(),
        marks: plate_of.iter().map(|p| all_marks[*p].clone()).collect(),
        bends: plate_of.iter().map(|p| vec![DVec3::ZERO; all_marks[*p].len()]).collect(),
        photos: photo_of.iter().filter_map(|p| start.photos[*p]).collect(),
        wobble: vec![[0.0; 3]; photo_of.len()],
        lens_of: photo_of.iter().map(|p| input.photos[*p].lens).collect(),
        lenses: lens_starts.clone(),
        lens_priors: lens_starts,
        widths: input.lenses.iter().map(|l| l.size[0].max(l.size[1])).collect(),
    };
    let plates =
        plate_of.iter().map(|p| Plate { tag: tags[*p], photos: 0, moved_at: None, misprinted: false }).collect();
    Some(Work::new(scene, seen, plates, photo_of))
}

impl Work {
    fn answer(self, input: &PhotoInput) -> Option<PhotoAnswer> {
        let covariance = self.scene.plate_covariance(&self.seen, &self.final_stage(), self.held)?;
        let used = self.errors().filter(|(o, _)| o.used);
        let chi2 = used.map(|(o, e)| (e / self.scatters.seen(o)).powi(2)).sum();
        let plates: Vec<Plate> =
            self.plates.iter().enumerate().map(|(i, p)| Plate { photos: self.photos_of(i), ..p.clone() }).collect();
        let known = |tag: &u32| plates.iter().any(|p| p.tag == *tag && p.photos >= 2);
        Some(PhotoAnswer {
            lost_tags: tags(input).into_iter().filter(|t| !known(t)).collect(),
            lost_photos: (0..input.photos.len()).filter(|p| !self.photo_of.contains(p)).collect(),
            redundancy: self.redundancy(),
            rejected: self.seen.iter().filter(|o| !o.used).count(),
            cameras: self.photo_of.iter().copied().zip(self.scene.photos.iter().copied()).collect(),
            plates,
            poses: self.scene.plates.clone(),
            covariance,
            scene: self.scene,
            seen: self.seen,
            scatters: self.scatters,
            chi2,
        })
    }
}
