//! Plates that moved between photos, and plates printed to another size.
//!
//! Both show as a plate more than half of whose dots do not count in two photos or more. Its photos are split at each place
//! in their order, and its dots are scaled; whichever wins back [`LEAST_WON`] dots or more is the explanation.

use super::bundle::Observation;
use super::camera::Pose;
use super::pose::{Seen, Term, refine, term_in_photo};
use super::survey::{Plate, Work};

/// Dots that must be won back; with fewer, plates that were only covered were called moved.
const LEAST_WON: usize = 6;
/// Photos in which more than half of the dots do not count.
const LEAST_BAD: usize = 2;
/// Sizes that are tried, as parts of the drawn one.
const SIZES: (f64, f64, f64) = (0.90, 1.10, 0.005);

/// Finds such plates, and splits or scales them; true when there is one, and all must be adjusted again.
pub(super) fn find(work: &mut Work) -> bool {
    let mut changed = false;
    for plate in 0..work.plates.len() {
        if bad_photos(work, plate) < LEAST_BAD {
            continue;
        }
        let now = work.seen.iter().filter(|o| o.plate == plate && o.used).count();
        let split = best_split(work, plate);
        let scaled = best_size(work, plate);
        let won = |count: usize| count >= now + LEAST_WON;
        match (split, scaled) {
            (Some((count, at, poses)), other) if won(count) && other.is_none_or(|o| count + 2 >= o.0) => {
                divide(work, plate, at, poses);
                changed = true;
            }
            (_, Some((count, size, pose))) if won(count) => {
                work.scene.plates[plate] = pose;
                work.scene.dots[plate] = work.scene.dots[plate].map(|d| d * size);
                work.plates[plate].misprinted = true;
                changed = true;
            }
            _ => {}
        }
    }
    changed
}

fn bad_photos(work: &Work, plate: usize) -> usize {
    let count = |photo: usize, used: bool| {
        work.seen.iter().filter(|o| o.plate == plate && o.photo == photo && o.used == used).count()
    };
    (0..work.scene.photos.len()).filter(|p| count(*p, false) > count(*p, true)).count()
}

/// The best pose of a plate for some of its photos, cameras held, and how many dots count then.
fn fitted(work: &Work, seen: &[&Observation], size: f64, start: Pose) -> Option<(usize, Pose)> {
    let limit = 4.0 * work.sd.max(0.08);
    let lenses: Vec<_> = (0..work.scene.photos.len()).map(|p| work.scene.lens(p)).collect();
    let seen_point = |o: &Observation| Seen { point: work.scene.dots[o.plate][o.dot] * size, at: o.at };
    let mut terms = |pose: &Pose| -> Option<Vec<Term>> {
        seen.iter()
            .map(|o| term_in_photo(&lenses[o.photo], &work.scene.photos[o.photo], &seen_point(o), pose))
            .collect()
    };
    let mut pose = start;
    for scale in [100.0, 20.0, 4.0, 2.0 * limit] {
        pose = refine(pose, 15, scale, &mut terms)?.0;
    }
    let good = terms(&pose)?.iter().filter(|t| t.error.length() < limit).count();
    Some((good, pose))
}

/// Where the order of the photos is best split in two places of the plate: dots that count, first photo after, both poses.
fn best_split(work: &Work, plate: usize) -> Option<(usize, usize, [Pose; 2])> {
    let seen: Vec<&Observation> = work.seen.iter().filter(|o| o.plate == plate).collect();
    let mut photos: Vec<usize> = seen.iter().map(|o| o.photo).collect();
    photos.sort_unstable();
    photos.dedup();
    let start = work.scene.plates[plate];
    let mut best: Option<(usize, usize, [Pose; 2])> = None;
    for at in photos.iter().skip(1) {
        let (before, after): (Vec<&Observation>, Vec<&Observation>) = seen.iter().copied().partition(|o| o.photo < *at);
        let (Some(a), Some(b)) = (fitted(work, &before, 1.0, start), fitted(work, &after, 1.0, start)) else {
            continue;
        };
        // One photo alone fits any pose: its dots prove nothing.
        let proof = |part: &[&Observation], good: usize| {
            if part.iter().all(|o| o.photo == part[0].photo) { 0 } else { good }
        };
        let count = proof(&before, a.0) + proof(&after, b.0);
        if best.is_none_or(|old| count > old.0) {
            best = Some((count, *at, [a.1, b.1]));
        }
    }
    best
}

fn best_size(work: &Work, plate: usize) -> Option<(usize, f64, Pose)> {
    let seen: Vec<&Observation> = work.seen.iter().filter(|o| o.plate == plate).collect();
    let steps = ((SIZES.1 - SIZES.0) / SIZES.2).round() as usize;
    let start = work.scene.plates[plate];
    let one = |size: f64| fitted(work, &seen, size, start).map(|(count, pose)| (count, size, pose));
    let all = (0..=steps).map(|i| SIZES.0 + SIZES.2 * i as f64).filter(|s| (s - 1.0).abs() > 0.004);
    all.filter_map(one).max_by_key(|f| f.0)
}

/// Makes the later photos of a plate those of another one.
fn divide(work: &mut Work, plate: usize, at: usize, poses: [Pose; 2]) {
    let after = work.plates.len();
    work.plates.push(Plate { moved_at: Some(work.photo_of[at]), ..work.plates[plate].clone() });
    work.scene.plates[plate] = poses[0];
    work.scene.plates.push(poses[1]);
    work.scene.dots.push(work.scene.dots[plate]);
    work.scene.bends.push([glam::DVec3::ZERO; 4]);
    work.scene.bends[plate] = [glam::DVec3::ZERO; 4];
    for o in work.seen.iter_mut().filter(|o| o.plate == plate && o.photo >= at) {
        o.plate = after;
    }
}
