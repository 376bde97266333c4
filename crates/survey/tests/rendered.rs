//! Rendered photos, adjusted and held against their truth: two small sets here, more by
//! `cargo run --release -p survey --example photo_sets`.
#![allow(dead_code)]

mod scene;

use std::sync::atomic::AtomicBool;

use scene::{PLAN, Set, SetPlan, axes, set};
use survey::photo::survey::{PhotoAnswer, PhotoInput, adjust};

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

fn adjusted(input: &PhotoInput) -> PhotoAnswer {
    adjust(input, &AtomicBool::new(false)).expect("photos that hang together")
}

/// Plates that are called moved, and the first photo after it.
fn moved(answer: &PhotoAnswer) -> Vec<(u32, usize)> {
    answer.plates.iter().filter_map(|p| Some((p.tag, p.moved_at?))).collect()
}

/// Photos that show a marker with all its dots.
fn showing(input: &PhotoInput, tag: u32) -> Vec<usize> {
    let whole =
        |p: &usize| input.photos[*p].sightings.iter().any(|s| s.tag == tag && s.dots.iter().all(|d| d.is_some()));
    (0..input.photos.len()).filter(whole).collect()
}

/// The same photos with a marker in these only.
fn shown_in(input: &PhotoInput, tag: u32, photos: [usize; 2]) -> PhotoInput {
    let mut input = input.clone();
    for (number, photo) in input.photos.iter_mut().enumerate().filter(|(n, _)| !photos.contains(n)) {
        photo.sightings.retain(|s| s.tag != tag);
        assert!(!photo.sightings.is_empty(), "photo {number} shows other markers");
    }
    input
}

#[test]
fn plates_are_found_where_they_are() {
    let set = set(31, PLAN);
    let answer = adjusted(&set.input);
    holds(&set, &answer);
    assert!(answer.plates.iter().all(|p| p.moved_at.is_none() && !p.misprinted));
    // Two dots of a plate seen in two photos only, both taken for those of its neighbour in one of them: covered, not moved.
    let (first, last) = (showing(&set.input, 9)[0], *showing(&set.input, 9).last().unwrap());
    let mut input = shown_in(&set.input, 9, [first, last]);
    let sighting = input.photos[last].sightings.iter_mut().find(|s| s.tag == 9).unwrap();
    for dot in sighting.dots.iter_mut().take(2).flatten() {
        dot.at.x += 25.0;
    }
    assert_eq!(moved(&adjusted(&input)), []);
}

#[test]
fn a_plate_that_moved_and_one_of_another_size_are_named() {
    let set = set(32, SetPlan { moved: Some((9, 5)), misprinted: Some((11, 0.97)), ..PLAN });
    let answer = adjusted(&set.input);
    holds(&set, &answer);
    let misprinted: Vec<u32> = answer.plates.iter().filter(|p| p.misprinted).map(|p| p.tag).collect();
    let named = moved(&answer);
    assert!(named.len() == 1 && named[0].0 == 9 && misprinted == [11], "{named:?} {misprinted:?}");
    // One photo before and one after are enough to name it.
    let showing = showing(&set.input, 9);
    let before = *showing.iter().rfind(|p| **p < 5).unwrap();
    let after = *showing.iter().find(|p| **p >= 5).unwrap();
    assert_eq!(moved(&adjusted(&shown_in(&set.input, 9, [before, after]))), [(9, after)]);
}
