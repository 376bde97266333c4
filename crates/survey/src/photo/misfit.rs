//! Plates that moved between photos, and plates printed to another size.
//!
//! Each plate that fits badly in a photo is fitted again, cameras held: as one plate that stays, as one that has one place before
//! and another after each photo in their order, and as one of another size. The explanations are weighed by their likelihood: the sum of
//! squares of errors, each mark counted up to [`REJECT`] standard deviations, since it may be covered.

use glam::DVec3;

use super::bundle::{Observation, kind};
use super::camera::Pose;
use super::pose::{Seen, Term, plane_poses, refine, term_in_photo};
use super::rounds::{Plate, REJECT, Work};

/// By how much another explanation must be better: as much as two covered marks cost, and what chi-square of six unknowns exceeds by
/// chance once in 200 000 tests; a survey makes some hundred.
const LEAST_GAIN: f64 = 2.0 * REJECT * REJECT + 35.0;
/// What each further unknown of an explanation costs (Akaike 1974).
const UNKNOWN: f64 = 2.0;
/// Sizes that are tried, as parts of the drawn one: in coarse steps, then in fine ones around the best.
const SIZES: (f64, f64) = (0.90, 1.10);
const COARSE: f64 = 0.01;
const FINE: f64 = 0.001;

/// Less is a bend: 0.8 % moves every dot of a 44 mm marker by 0.4 mm outwards or inwards.
const LEAST_CHANGE: f64 = 0.008;

/// What explains the marks of a plate better than one that stays as drawn.
enum Change {
    /// The first photo after it moved, and both poses.
    Moved(usize, [Pose; 2]),
    /// Its size as a part of the drawn one, and its pose.
    Size(f64, Pose),
}

/// Finds such plates, and splits or scales them; true when there is one, and all must be adjusted again.
pub(super) fn find(work: &mut Work) -> bool {
    let clear: Vec<bool> = (0..work.scene.photos.len()).map(|p| counts(work, |o| o.photo == p)).collect();
    let mut changed = false;
    for plate in 0..work.plates.len() {
        let change = change(work, plate, &clear);
        changed |= change.is_some();
        match change {
            Some(Change::Moved(at, poses)) => divide(work, plate, at, poses),
            Some(Change::Size(size, pose)) => {
                work.scene.plates[plate] = pose;
                work.scene.marks[plate].iter_mut().for_each(|m| *m *= size);
                work.plates[plate].misprinted = true;
            }
            None => {}
        }
    }
    changed
}

/// Whether at least half of some marks count.
fn counts(work: &Work, which: impl Fn(&Observation) -> bool) -> bool {
    let all = work.seen.iter().filter(|o| which(o));
    let (count, used) = all.fold((0, 0), |(count, used), o| (count + 1, used + usize::from(o.used)));
    2 * used >= count
}

/// What happened to a plate; a photo that is not `clear` as a whole says nothing of its plates.
fn change(work: &Work, plate: usize, clear: &[bool]) -> Option<Change> {
    let seen: Vec<&Observation> = work.seen.iter().filter(|o| o.plate == plate && clear[o.photo]).collect();
    let mut photos: Vec<usize> = seen.iter().map(|o| o.photo).collect();
    photos.dedup();
    // Dots by themselves too: of a plate of another size they are off, but the crossings near its middle hardly are.
    let fits = |photo: &usize| {
        counts(work, |o| o.plate == plate && o.photo == *photo)
            && counts(work, |o| o.plate == plate && o.photo == *photo && kind(o.mark) == 0)
    };
    if photos.iter().all(fits) {
        return None;
    }
    let stays = fitted(work, &seen, 1.0, &starts(work, &seen))?.0;
    let moved = best_split(work, &seen, &photos).map(|(cost, change)| (cost + 6.0 * UNKNOWN, change));
    let other = best_size(work, &seen).map(|(cost, change)| (cost + UNKNOWN, change));
    let (cost, change) = moved.into_iter().chain(other).min_by(|a, b| a.0.total_cmp(&b.0))?;
    (cost + LEAST_GAIN < stays).then_some(change)
}

/// Where the fit of a plate begins: where it is now, and where it is by its first photo alone.
fn starts(work: &Work, seen: &[&Observation]) -> Vec<Pose> {
    let scene = &work.scene;
    let Some(first) = seen.first() else { return Vec::new() };
    let in_first = seen.iter().filter(|o| o.photo == first.photo);
    let points: Vec<Seen> = in_first.map(|o| Seen { point: scene.marks[o.plate][o.mark], at: o.at }).collect();
    let alone = plane_poses(&scene.lens(first.photo), &points).into_iter();
    alone.map(|p| scene.photos[first.photo].inverse().after(&p.0)).chain([scene.plates[first.plate]]).collect()
}

/// The best pose of a plate for some of its photos, cameras held, with its sum of squares in standard deviations.
fn fitted(work: &Work, seen: &[&Observation], size: f64, starts: &[Pose]) -> Option<(f64, Pose)> {
    let scene = &work.scene;
    let lenses: Vec<_> = (0..scene.photos.len()).map(|p| scene.lens(p)).collect();
    let seen_point = |o: &Observation| Seen { point: scene.marks[o.plate][o.mark] * size, at: o.at };
    let mut terms = |pose: &Pose| -> Option<Vec<Term>> {
        seen.iter().map(|o| term_in_photo(&lenses[o.photo], &scene.photos[o.photo], &seen_point(o), pose)).collect()
    };
    let last = REJECT * work.stiff_sd;
    let from = |start: &Pose| {
        let mut found = (*start, 0.0);
        for scale in [100.0, 20.0, 4.0, last] {
            found = refine(found.0, 15, scale, &mut terms)?;
        }
        Some((seen.len() as f64 * (found.1 / work.stiff_sd).powi(2), found.0))
    };
    starts.iter().filter_map(from).min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Where the order of the photos is best split in two places of the plate.
fn best_split(work: &Work, seen: &[&Observation], photos: &[usize]) -> Option<(f64, Change)> {
    let fit = |seen: &[&Observation]| fitted(work, seen, 1.0, &starts(work, seen));
    let one = |at: &usize| {
        let (before, after): (Vec<&Observation>, Vec<&Observation>) = seen.iter().copied().partition(|o| o.photo < *at);
        let ((a, before), (b, after)) = (fit(&before)?, fit(&after)?);
        Some((a + b, Change::Moved(*at, [before, after])))
    };
    photos.iter().skip(1).filter_map(one).min_by(|a, b| a.0.total_cmp(&b.0))
}

fn best_size(work: &Work, seen: &[&Observation]) -> Option<(f64, Change)> {
    let start = work.scene.plates[seen.first()?.plate];
    let best = |from: f64, to: f64, step: f64, start: Pose| {
        let steps = ((to - from) / step).round() as usize;
        let one = |size: f64| fitted(work, seen, size, &[start]).map(|(cost, pose)| (cost, size, pose));
        (0..=steps).filter_map(|i| one(from + step * i as f64)).min_by(|a, b| a.0.total_cmp(&b.0))
    };
    let (_, coarse, near) = best(SIZES.0, SIZES.1, COARSE, start)?;
    let (cost, size, pose) = best(coarse - COARSE, coarse + COARSE, FINE, near)?;
    ((size - 1.0).abs() >= LEAST_CHANGE).then_some((cost, Change::Size(size, pose)))
}

/// Makes the later photos of a plate those of another one.
fn divide(work: &mut Work, plate: usize, at: usize, poses: [Pose; 2]) {
    let after = work.plates.len();
    work.plates.push(Plate { moved_at: Some(work.photo_of[at]), ..work.plates[plate].clone() });
    let scene = &mut work.scene;
    scene.plates[plate] = poses[0];
    scene.plates.push(poses[1]);
    scene.marks.push(scene.marks[plate].clone());
    scene.bends[plate].fill(DVec3::ZERO);
    scene.bends.push(scene.bends[plate].clone());
    for o in work.seen.iter_mut().filter(|o| o.plate == plate && o.photo >= at) {
        o.plate = after;
    }
}
