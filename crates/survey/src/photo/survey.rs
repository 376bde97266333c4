//! A whole photo survey: from sightings to places of plates, with those that moved or were printed to another size.

use std::sync::atomic::{AtomicBool, Ordering};

use glam::{DVec2, DVec3};

use super::bundle::{Determined, Observation, Scatter, Scatters, Scene, Stage, kind};
use super::camera::{Lens, Pose};
use super::detect::Sighting;
use super::dots::{DOTS, crossings};
use super::misfit;
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

/// A plate as found.
#[derive(Debug, Clone)]
pub struct Plate {
    /// Number of its marker.
    pub tag: u32,
    /// Photos in which two or more of its marks count.
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

/// What is taken before anything is known: pixels, then mm on the plate, then wobble.
const FIRST: Scatters =
    Scatters { marks: [Scatter { seen: 0.1, fall: 0.0, along: 0.1, across: 0.1 }; 2], wobble: [0.002, 0.001] };
/// The least and the most that is believed of where a mark is seen, px; of its place on its plate, mm; of the wobble.
const SEEN_RANGE: (f64, f64) = (0.02, 1.0);
const PLACE_RANGE: (f64, f64) = (0.005, 0.4);
const WOBBLE_RANGE: (f64, f64) = (0.0001, 0.01);
/// Marks beyond so many standard deviations do not count.
pub(super) const REJECT: f64 = 4.5;
/// The least and the most that is believed of a mark while plates are stiff, px.
const STIFF_RANGE: (f64, f64) = (0.05, 1.0);
/// Rounds of the final adjustment.
const ROUNDS: usize = 6;
/// Marks in each half of the sizes, and how far apart the halves' mean sizes must be (logarithm), before it is said how errors fall with size.
const LEAST_HALF: usize = 50;
const LEAST_SPREAD: f64 = 0.2;
/// Errors that fall with size faster than so are not believed.
const MOST_FALL: f64 = 1.0;
/// Unknowns that the photos must determine before a standard deviation is taken from them.
const LEAST_PART: f64 = 0.5;
/// How often plates are looked through for moves: each round leaves the cameras better known.
const MISFIT_ROUNDS: usize = 3;
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
    pub scatters: Scatters,
    /// Standard deviation of a mark while plates are stiff, px.
    pub stiff_sd: f64,
}

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
    let mut work = Work { scene, seen, plates, photo_of, held: 0, scatters: FIRST, stiff_sd: 0.0 };
    work.held = work.most_seen();
    Some(work)
}

impl Work {
    fn most_seen(&self) -> usize {
        let count = |plate: usize| self.seen.iter().filter(|o| o.plate == plate).count();
        (0..self.plates.len()).max_by_key(|p| count(*p)).unwrap_or(0)
    }

    /// From rough poses to a robust fit of stiff plates.
    fn settle(&mut self) {
        for (scale, simple_lens) in [(100.0, true), (50.0, true), (20.0, false)] {
            let stage = Stage { scatters: FIRST, scale, simple_lens, stiff: true, steps: 25 };
            self.scene.adjust(&self.seen, &stage, self.held);
        }
        self.stiff();
    }

    /// A robust fit of stiff plates; the scatter comes from the middle of the errors, so that a few plates off do not count.
    fn stiff(&mut self) {
        let stage = Stage { scatters: FIRST, scale: STIFF_SCALE, simple_lens: false, stiff: true, steps: 25 };
        self.seen.iter_mut().for_each(|o| o.used = true);
        self.scene.adjust(&self.seen, &stage, self.held);
        let mut errors: Vec<f64> = self.errors().map(|(_, e)| e).collect();
        errors.sort_by(f64::total_cmp);
        // The middle length of a two-dimensional normal error is 1.1774 standard deviations.
        let middle = errors.get(errors.len() / 2).map_or(STIFF_RANGE.0, |e| e / 1.1774);
        self.stiff_sd = middle.clamp(STIFF_RANGE.0, STIFF_RANGE.1);
        let mut scatters = FIRST;
        scatters.marks.iter_mut().for_each(|m| m.seen = self.stiff_sd);
        self.reject(scatters);
    }

    /// Final rounds: plates may bend, all scatter is estimated, and what lies far off is dropped.
    pub fn refine(&mut self) {
        for o in &mut self.seen {
            o.used = true;
        }
        self.scatters = FIRST;
        for round in 0..ROUNDS {
            // Robust at first: what is far off must not bend its neighbours.
            let scale = if round < 2 { 8.0 * self.scatters.marks[0].seen } else { 1e9 };
            let stage = Stage { scale, steps: 8, ..self.final_stage() };
            self.scene.adjust(&self.seen, &stage, self.held);
            self.true_sizes();
            if round == 1 {
                // Once, while all sizes weigh the same: what weighs more is fitted more closely.
                let falls = [0, 1].map(|k| self.fall(k));
                self.scatters.marks.iter_mut().zip(falls).for_each(|(m, fall)| m.fall = fall);
            }
            if round > 0 {
                self.estimate_scatter();
            }
            self.reject(self.scatters);
        }
        self.scene.adjust(&self.seen, &Stage { steps: 8, ..self.final_stage() }, self.held);
    }

    fn final_stage(&self) -> Stage {
        Stage { scatters: self.scatters, scale: 1e9, simple_lens: false, stiff: false, steps: 1 }
    }

    /// Values less unknowns of the marks that count; bending and wobble add none, their priors count as values.
    fn redundancy(&self) -> i64 {
        let values = 2 * self.seen.iter().filter(|o| o.used).count() as i64;
        values + 6 - (6 * self.plates.len() + 6 * self.scene.photos.len() + 8 * self.scene.lenses.len()) as i64
    }

    /// Standard deviations of marks, bends and wobble from what is left over and from how much of the bends and of the wobble the
    /// photos determine.
    fn estimate_scatter(&mut self) {
        let Some(parts) = self.scene.parts(&self.seen, &self.final_stage(), self.held) else { return };
        let all = parts.bends.iter().flatten().chain(&parts.wobble);
        let left = (self.redundancy() as f64 - all.map(|p| p.determined).sum::<f64>()).max(10.0);
        // Each value has the same share in what is left.
        let share = left / (2 * self.seen.iter().filter(|o| o.used).count()) as f64;
        let mut seen = [Determined::default(); 2];
        for (o, e) in self.errors().filter(|(o, _)| o.used) {
            let unit = self.scatters.of(o.mark).seen / self.scatters.seen(o);
            seen[kind(o.mark)].squares += (e * unit).powi(2);
            seen[kind(o.mark)].determined += 2.0 * share;
        }
        let sd = |part: &Determined, range: (f64, f64), before: f64| {
            if part.determined < LEAST_PART {
                before
            } else {
                (part.squares / part.determined).sqrt().clamp(range.0, range.1)
            }
        };
        for (k, scatter) in self.scatters.marks.iter_mut().enumerate() {
            scatter.seen = sd(&seen[k], SEEN_RANGE, scatter.seen);
            scatter.along = sd(&parts.bends[k][0], PLACE_RANGE, scatter.along);
            scatter.across = sd(&parts.bends[k][1], PLACE_RANGE, scatter.across);
        }
        for (wobble, part) in self.scatters.wobble.iter_mut().zip(&parts.wobble) {
            *wobble = sd(part, WOBBLE_RANGE, *wobble);
        }
    }

    /// Takes the size of plates of another size out of their bends, where its prior would hold it back.
    fn true_sizes(&mut self) {
        for (plate, _) in self.plates.iter().enumerate().filter(|(_, p)| p.misprinted) {
            let (marks, bends) = (&mut self.scene.marks[plate], &mut self.scene.bends[plate]);
            let along: f64 = marks.iter().zip(bends.iter()).map(|(m, b)| m.dot(*b)).sum();
            let by = along / marks.iter().map(|m| m.length_squared()).sum::<f64>();
            for (mark, bend) in marks.iter_mut().zip(bends) {
                *bend -= *mark * by;
                *mark *= 1.0 + by;
            }
        }
    }

    /// How fast the errors of one kind of marks fall with size: from the smaller half of the marks to the larger.
    fn fall(&self, of: usize) -> f64 {
        let mut sizes: Vec<(f64, f64)> =
            self.errors().filter(|(o, _)| o.used && kind(o.mark) == of).map(|(o, e)| (o.size, e * e)).collect();
        sizes.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (small, large) = sizes.split_at(sizes.len() / 2);
        if small.len() < LEAST_HALF {
            return 0.0;
        }
        let mean = |half: &[(f64, f64)]| {
            let count = half.len() as f64;
            let size = half.iter().map(|s| s.0.ln()).sum::<f64>() / count;
            (size, 0.5 * (half.iter().map(|s| s.1).sum::<f64>() / count).ln())
        };
        let (small, large) = (mean(small), mean(large));
        let fall = (small.1 - large.1) / (large.0 - small.0).max(LEAST_SPREAD);
        fall.clamp(0.0, MOST_FALL)
    }

    fn errors(&self) -> impl Iterator<Item = (&Observation, f64)> {
        self.seen.iter().map(|o| (o, self.scene.error(o).map_or(1e6, |e| e.length())))
    }

    fn reject(&mut self, scatters: Scatters) {
        let used: Vec<bool> = self.errors().map(|(o, e)| e < REJECT * scatters.seen(o)).collect();
        for (o, used) in self.seen.iter_mut().zip(used) {
            o.used = used;
        }
    }

    /// Photos in which two or more marks of a plate count.
    pub fn photos_of(&self, plate: usize) -> usize {
        let in_photo =
            |photo: usize| self.seen.iter().filter(|o| o.used && o.plate == plate && o.photo == photo).count();
        (0..self.scene.photos.len()).filter(|p| in_photo(*p) >= 2).count()
    }

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
