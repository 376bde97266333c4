//! Rendered photos, adjusted and held against their truth: two small sets here, more by
//! `cargo run --release -p survey --example photo_sets`.
#![allow(dead_code)]

mod scene;

use std::sync::atomic::AtomicBool;

use scene::{PLAN, Set, SetPlan, axes, set};
use survey::photo::survey::{PhotoAnswer, adjust};

/// Every plate in three photos or more within 0.6 mm and 0.3 degrees (the photos are small), and within four of its standard deviations.
fn holds(set: &Set, answer: &PhotoAnswer) {
    let places = axes::places(answer, set.bar, axes::BAR_SD).expect("axes and a bar");
    assert!((places.scale / PLAN.print - 1.0).abs() < 1e-3, "{}", places.scale);
    let good: Vec<_> = answer.plates.iter().zip(&places.faces).filter(|(p, _)| p.photos >= 3).collect();
    assert!(good.len() > 10);
    for (plate, face) in good {
        let (at, normal) = axes::truth(set, plate);
        let (off, tilt) = (face.at.distance(at), face.normal.angle_between(normal).to_degrees());
        assert!(off < 0.6 && tilt < 0.3, "marker {}: {off} mm, {tilt} deg", plate.tag);
        assert!(off < 4.0 * face.sd.length() + 0.02, "marker {}: {off} mm, sd {}", plate.tag, face.sd);
    }
}

#[test]
fn plates_are_found_where_they_are() {
    let set = set(31, PLAN);
    let answer = adjust(&set.input, &AtomicBool::new(false)).unwrap();
    holds(&set, &answer);
    assert!(answer.plates.iter().all(|p| p.moved_at.is_none() && !p.misprinted));
}

#[test]
fn a_plate_that_moved_and_one_of_another_size_are_named() {
    let set = set(32, SetPlan { moved: Some((9, 5)), misprinted: Some((11, 0.97)), ..PLAN });
    let answer = adjust(&set.input, &AtomicBool::new(false)).unwrap();
    holds(&set, &answer);
    let moved: Vec<(u32, usize)> = answer.plates.iter().filter_map(|p| Some((p.tag, p.moved_at?))).collect();
    let misprinted: Vec<u32> = answer.plates.iter().filter(|p| p.misprinted).map(|p| p.tag).collect();
    assert!(moved.len() == 1 && moved[0].0 == 9 && misprinted == [11], "{moved:?} {misprinted:?}");
}
