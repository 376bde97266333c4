//! A whole photo survey: from sightings to places of plates, with those that moved or were printed to another size.

use std::sync::atomic::{AtomicBool, Ordering};

use glam::{DVec2, DVec3};

use super::bundle::{Observation, Scene, Stage};
use super::camera::{Lens, Pose};
use super::detect::Sighting;
use super::dots::DOTS;
use super::misfit;
use super::start::{Look, Sights};
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

/// A plate as found.
#[derive(Debug, Clone)]
pub struct Plate {
    /// Number of its marker.
    pub tag: u32,
    /// Photos in which two or more of its dots count.
    pub photos: usize,
    /// First photo after it moved, when it is where such a plate went to.
    pub moved_at: Option<usize>,
    /// Set when its print has another size than the others.
    pub misprinted: bool,
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
    /// Standard deviation of a dot, pixels.
    pub sd: f64,
    /// Standard deviation of a dot's place on its plate, mm: print and flatness.
    pub bending: f64,
    /// Sum of squares of the dots that count, in standard deviations, and how many more there are than needed.
    pub chi2: f64,
    /// Values beyond those that are needed.
    pub redundancy: i64,
    /// Dots that do not agree with the rest.
    pub rejected: usize,
    /// Photos that do not hang together with the others.
    pub lost_photos: Vec<usize>,
    /// Markers seen in one photo only, or in none that hangs together with the others.
    pub lost_tags: Vec<u32>,
    /// Pose of each photo that counts: from world to camera.
    pub cameras: Vec<(usize, Pose)>,
    /// All that was adjusted; its photos are those of `cameras`.
    pub scene: Scene,
    /// The dots in its photos.
    pub seen: Vec<Observation>,
}

/// Standard deviation of a dot before it is known, px; the least and the most that is believed.
const DOT_SD: f64 = 0.1;
const DOT_SD_RANGE: (f64, f64) = (0.02, 1.0);
/// The same of a dot's place on its plate before it is known, mm, and what is believed.
const BENDING: f64 = 0.1;
const BENDING_RANGE: (f64, f64) = (0.005, 0.4);
/// Dots beyond so many standard deviations do not count.
const REJECT: f64 = 4.5;
/// Scale of the robust function while plates are stiff, px.
const STIFF_SCALE: f64 = 2.0;

/// The working state: a scene, what was seen, and which plate each number is.
#[derive(Debug, Clone)]
pub(super) struct Work {
    pub scene: Scene,
    pub seen: Vec<Observation>,
    pub plates: Vec<Plate>,
    /// Number of each photo of the scene in the input.
    pub photo_of: Vec<usize>,
    pub held: usize,
    pub sd: f64,
    pub bending: f64,
}

/// Adjusts a set of photos; `None` when no two photos share a marker, or when it is stopped.
pub fn adjust(input: &PhotoInput, stop: &AtomicBool) -> Option<PhotoAnswer> {
    let going_on = || (!stop.load(Ordering::Relaxed)).then_some(());
    let mut work = started(input)?;
    going_on()?;
    work.settle();
    going_on()?;
    // Plates that moved or have another size are looked for while plates are stiff: bends would hide them.
    if misfit::find(&mut work) {
        work.stiff();
        work.reject();
    }
    going_on()?;
    work.refine();
    going_on()?;
    if misfit::find(&mut work) {
        work.refine();
    }
    work.answer(input)
}

/// Tags seen in at least two photos, in the order of their numbers.
fn tags(input: &PhotoInput) -> Vec<u32> {
    let mut tags: Vec<u32> = input.photos.iter().flat_map(|p| p.sightings.iter().map(|s| s.tag)).collect();
    tags.sort_unstable();
    tags.dedup();
    tags
}

fn dots(side: f64) -> [DVec3; 4] {
    DOTS.map(|d| (d * side / 2.0).extend(0.0))
}

fn started(input: &PhotoInput) -> Option<Work> {
    let tags = tags(input);
    let side = |tag: u32| input.sides.iter().find(|s| s.0 == tag).map_or(input.side, |s| s.1);
    let all_dots: Vec<[DVec3; 4]> = tags.iter().map(|t| dots(side(*t))).collect();
    let number = |tag: u32| tags.iter().position(|t| *t == tag).unwrap_or(0);
    let mut looks = Vec::new();
    for (photo, p) in input.photos.iter().enumerate() {
        for s in &p.sightings {
            let at: [DVec2; 4] = std::array::from_fn(|i| s.dots[i].unwrap_or_else(|| s.map.map(DOTS[i])));
            looks.push(Look { photo, plate: number(s.tag), at });
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
    let mut seen = Vec::new();
    for (photo, original) in photo_of.iter().enumerate() {
        for s in &input.photos[*original].sightings {
            let Some(plate) = plate_of.iter().position(|p| *p == number(s.tag)) else { continue };
            for (dot, at) in s.dots.iter().enumerate() {
                seen.extend(at.map(|at| Observation { photo, plate, dot, at, used: true }));
            }
        }
    }
    let scene = Scene {
        plates: plate_of.iter().filter_map(|p| start.plates[*p]).collect(),
        dots: plate_of.iter().map(|p| all_dots[*p]).collect(),
        bends: vec![[DVec3::ZERO; 4]; plate_of.len()],
        photos: photo_of.iter().filter_map(|p| start.photos[*p]).collect(),
        wobble: vec![[0.0; 3]; photo_of.len()],
        lens_of: photo_of.iter().map(|p| input.photos[*p].lens).collect(),
        lenses: lens_starts.clone(),
        lens_priors: lens_starts,
        widths: input.lenses.iter().map(|l| l.size[0].max(l.size[1])).collect(),
    };
    let plates =
        plate_of.iter().map(|p| Plate { tag: tags[*p], photos: 0, moved_at: None, misprinted: false }).collect();
    let mut work = Work { scene, seen, plates, photo_of, held: 0, sd: DOT_SD, bending: BENDING };
    work.held = work.most_seen();
    Some(work)
}

impl Work {
    fn most_seen(&self) -> usize {
        let count = |plate: usize| self.seen.iter().filter(|o| o.plate == plate).count();
        (0..self.plates.len()).max_by_key(|p| count(*p)).unwrap_or(0)
    }

    /// From rough poses to the final adjustment.
    fn settle(&mut self) {
        let stage = |scale: f64, simple_lens: bool| Stage { sd: DOT_SD, scale, simple_lens, bending: None, steps: 25 };
        for s in [stage(100.0, true), stage(50.0, true), stage(20.0, false)] {
            self.scene.adjust(&self.seen, &s, self.held);
        }
        self.stiff();
        self.reject();
    }

    /// A robust fit of stiff plates; the scatter comes from the middle of the errors, so that a few plates off do not count.
    fn stiff(&mut self) {
        let stage = Stage { sd: DOT_SD, scale: STIFF_SCALE, simple_lens: false, bending: None, steps: 25 };
        self.seen.iter_mut().for_each(|o| o.used = true);
        self.scene.adjust(&self.seen, &stage, self.held);
        let mut errors: Vec<f64> = self.errors().map(|(_, e)| e).collect();
        errors.sort_by(f64::total_cmp);
        // The middle length of a two-dimensional normal error is 1.1774 standard deviations.
        let middle = errors.get(errors.len() / 2).map_or(DOT_SD, |e| e / 1.1774);
        self.sd = middle.clamp(0.5 * DOT_SD, DOT_SD_RANGE.1);
    }

    /// Final rounds: plates may bend, the scatter of dots and of bends is estimated, and what lies far off is dropped.
    pub fn refine(&mut self) {
        for o in &mut self.seen {
            o.used = true;
        }
        (self.sd, self.bending) = (DOT_SD, BENDING);
        for round in 0..6 {
            // Robust at first: what is far off must not bend its neighbours.
            let scale = if round < 2 { 8.0 * self.sd } else { 1e9 };
            let stage = Stage { scale, steps: 8, ..self.final_stage() };
            self.scene.adjust(&self.seen, &stage, self.held);
            if round > 0 {
                self.estimate_scatter();
            }
            self.reject();
        }
    }

    fn final_stage(&self) -> Stage {
        Stage { sd: self.sd, scale: 1e9, simple_lens: false, bending: Some(self.bending), steps: 1 }
    }

    /// Values less unknowns of the dots that count; bending and wobble add none, their priors count as values.
    fn redundancy(&self) -> i64 {
        let values = 2 * self.seen.iter().filter(|o| o.used).count() as i64;
        values + 6 - (6 * self.plates.len() + 6 * self.scene.photos.len() + 8 * self.scene.lenses.len()) as i64
    }

    /// Standard deviations of dots (px, one axis) and bends (mm) from what is left over and from how much of the
    /// bends the photos determine.
    fn estimate_scatter(&mut self) {
        let Some([bends, wobble]) = self.scene.determined(&self.seen, &self.final_stage(), self.held) else { return };
        let squares: f64 = self.errors().filter(|(o, _)| o.used).map(|(_, e)| e * e).sum();
        let left = (self.redundancy() as f64 - bends - wobble).max(10.0);
        self.sd = (squares / left).sqrt().clamp(DOT_SD_RANGE.0, DOT_SD_RANGE.1);
        self.bending = (self.scene.bent() / bends).sqrt().clamp(BENDING_RANGE.0, BENDING_RANGE.1);
    }

    fn errors(&self) -> impl Iterator<Item = (&Observation, f64)> {
        self.seen.iter().map(|o| (o, self.scene.error(o).map_or(1e6, |e| e.length())))
    }

    fn reject(&mut self) {
        let used: Vec<bool> = self.errors().map(|(_, e)| e < REJECT * self.sd).collect();
        for (o, used) in self.seen.iter_mut().zip(used) {
            o.used = used;
        }
    }

    /// Photos in which two or more dots of a plate count.
    pub fn photos_of(&self, plate: usize) -> usize {
        let in_photo =
            |photo: usize| self.seen.iter().filter(|o| o.used && o.plate == plate && o.photo == photo).count();
        (0..self.scene.photos.len()).filter(|p| in_photo(*p) >= 2).count()
    }

    fn answer(self, input: &PhotoInput) -> Option<PhotoAnswer> {
        let covariance = self.scene.plate_covariance(&self.seen, &self.final_stage(), self.held)?;
        let used = self.errors().filter(|(o, _)| o.used);
        let chi2 = used.map(|(_, e)| (e / self.sd).powi(2)).sum();
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
            sd: self.sd,
            bending: self.bending,
            chi2,
        })
    }
}
