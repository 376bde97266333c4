//! Photos whose pose went astray: a photo of few plates may begin in the wrong one of their two poses and stay there.
//!
//! Once all other photos are adjusted the plates are known, and the pose is looked for again from each plate that the photo shows.

use super::bundle::{DOT_COUNT, Observation};
use super::camera::Pose;
use super::pose::{Seen, plane_poses, refine, terms_of_body};
use super::survey::{REJECT, Work};

/// How many times as far off marks may be while a photo's wobble is not known.
const WOBBLED: f64 = 3.0;

/// Looks for poses that fit better, for photos most of whose marks do not count; true when there is one, and all must be adjusted again.
pub(super) fn bring_back(work: &mut Work) -> bool {
    let mut changed = false;
    for photo in 0..work.scene.photos.len() {
        let of_photo = |o: &&Observation| o.photo == photo;
        let (count, used) =
            work.seen.iter().filter(of_photo).fold((0, 0), |(n, u), o| (n + 1, u + usize::from(o.used)));
        if 2 * used >= count {
            continue;
        }
        let before = work.scene.wobble[photo];
        work.scene.wobble[photo] = [0.0; 3];
        match best(work, photo) {
            Some(pose) => {
                work.scene.photos[photo] = pose;
                changed = true;
            }
            None => work.scene.wobble[photo] = before,
        }
    }
    changed
}

/// The pose with which most marks of a photo agree, when they are most of all.
fn best(work: &Work, photo: usize) -> Option<Pose> {
    let scene = &work.scene;
    let lens = scene.lens(photo);
    let marks: Vec<&Observation> = work.seen.iter().filter(|o| o.photo == photo).collect();
    let in_world =
        |o: &&Observation| Seen { point: scene.plates[o.plate].apply(scene.marks[o.plate][o.mark]), at: o.at };
    let seen: Vec<Seen> = marks.iter().map(in_world).collect();
    let plates = marks.chunk_by(|a, b| a.plate == b.plate);
    let starts = plates.flat_map(|of_plate| {
        let dots = of_plate.iter().filter(|o| o.mark < DOT_COUNT);
        let points: Vec<Seen> = dots.map(|o| Seen { point: scene.marks[o.plate][o.mark], at: o.at }).collect();
        let plate = scene.plates[of_plate[0].plate].inverse();
        plane_poses(&lens, &points).into_iter().map(move |p| p.0.after(&plate)).collect::<Vec<Pose>>()
    });
    let limit = REJECT * work.stiff_sd;
    // The wobble is not known yet.
    let scales = [100.0, 20.0, WOBBLED * limit];
    let settled = |start: Pose| {
        let step = |pose: Pose, scale: f64| Some(refine(pose, 15, scale, &mut |p| terms_of_body(&lens, &seen, p))?.0);
        let pose = scales.into_iter().try_fold(start, step)?;
        let terms = terms_of_body(&lens, &seen, &pose)?;
        Some((terms.iter().filter(|t| t.error.length() < WOBBLED * limit).count(), pose))
    };
    starts.filter_map(settled).max_by_key(|f| f.0).filter(|f| 2 * f.0 > seen.len()).map(|f| f.1)
}
