//! The rounds of a photo survey: plates taken as stiff first, then bent a little, with the scatter taken from what is left over.

use super::bundle::{Determined, Observation, Scatter, Scatters, Scene, Stage, kind};

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

impl Work {
    /// The state before the first round; the plate with most marks is held.
    pub fn new(scene: Scene, seen: Vec<Observation>, plates: Vec<Plate>, photo_of: Vec<usize>) -> Self {
        let mut work = Work { scene, seen, plates, photo_of, held: 0, scatters: FIRST, stiff_sd: 0.0 };
        work.held = work.most_seen();
        work
    }

    fn most_seen(&self) -> usize {
        let count = |plate: usize| self.seen.iter().filter(|o| o.plate == plate).count();
        (0..self.plates.len()).max_by_key(|p| count(*p)).unwrap_or(0)
    }

    /// From rough poses to a robust fit of stiff plates.
    pub fn settle(&mut self) {
        for (scale, simple_lens) in [(100.0, true), (50.0, true), (20.0, false)] {
            let stage = Stage { scatters: FIRST, scale, simple_lens, stiff: true, steps: 25 };
            self.scene.adjust(&self.seen, &stage, self.held);
        }
        self.stiff();
    }

    /// A robust fit of stiff plates; the scatter comes from the middle of the errors, so that a few plates off do not count.
    pub fn stiff(&mut self) {
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

    /// The adjustment of the last rounds, one step of it.
    pub fn final_stage(&self) -> Stage {
        Stage { scatters: self.scatters, scale: 1e9, simple_lens: false, stiff: false, steps: 1 }
    }

    /// Values less unknowns of the marks that count; bending and wobble add none, their priors count as values.
    pub fn redundancy(&self) -> i64 {
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

    /// The marks, each with how far it lies from where it is computed, px.
    pub fn errors(&self) -> impl Iterator<Item = (&Observation, f64)> {
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
}
