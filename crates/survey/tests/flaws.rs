//! Rendered photos with one flaw each: blurred by focus or by hand, and a marker cut off by the edge.
#![allow(dead_code)]

mod scene;

use scene::{PLAN, SetPlan, photo};
use survey::DVec2;
use survey::photo::detect::{Found, Sighting, detect};
use survey::photo::flaws::{CutOff, blurred, cut_off};
use survey::photo::grey::Grey;

fn photos(plans: &[SetPlan]) -> Vec<Found> {
    plans.iter().zip(51..).map(|(plan, seed)| detect(&photo(seed, *plan))).collect()
}

#[test]
fn a_photo_out_of_focus_and_a_shaken_one_are_named_and_no_other() {
    let out_of_focus = SetPlan { blur: 3.0, ..PLAN };
    let shaken = SetPlan { motion: 8.0, ..PLAN };
    let found = photos(&[PLAN, PLAN, out_of_focus, PLAN, shaken, PLAN]);
    assert!(found.iter().all(|f| f.sightings.len() >= 2));
    let named = blurred(&found.iter().collect::<Vec<_>>());
    assert_eq!(named.iter().map(|b| b.photo).collect::<Vec<_>>(), [2, 4], "{named:?}");
    // Sharpening narrows edges, the pixels widen them: 0.8 pixels of blur are seen as about one.
    assert!(named.iter().all(|b| (0.5..1.4).contains(&b.usual) && (1.7..4.0).contains(&b.blur)), "{named:?}");
}

#[test]
fn photos_that_differ_a_little_are_not_called_blurred() {
    let other = |blur, motion, sharpen| SetPlan { blur, motion, sharpen, ..PLAN };
    let found = photos(&[PLAN, other(0.8, 0.0, 0.0), PLAN, other(0.5, 1.5, 0.8), PLAN, other(1.6, 0.0, 0.6)]);
    let named = blurred(&found.iter().collect::<Vec<_>>());
    assert!(named.is_empty(), "{named:?}");
    assert!(blurred(&[&Found::default(), &Found::default()]).is_empty());
}

/// A column of the photo right of a marker's white rim that leaves two of its dots or more beyond it.
fn edge_beside(s: &Sighting) -> Option<f64> {
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| DVec2::new(x, y));
    let rim = corners.iter().map(|c| s.map.map(*c * 1.3).x).fold(0.0, f64::max);
    let beyond = s.dots.iter().flatten().filter(|d| d.at.x > rim + 3.0).count();
    (beyond >= 2).then_some(rim + 2.0)
}

/// The left part of a photo.
fn left_of(grey: &Grey, edge: f64) -> Grey {
    let width = edge as usize;
    let rows = grey.pixels.chunks(grey.width).flat_map(|row| row[..width].to_vec());
    Grey::new(width, grey.height, rows.collect()).expect("all pixels")
}

/// Photos that are cut.
const ENOUGH: usize = 3;

#[test]
fn a_marker_cut_off_by_the_edge_is_named_until_enough_photos_show_it_whole() {
    let mut tried = 0;
    for seed in 60..70 {
        let whole = photo(seed, SetPlan { covered: 0.0, ..PLAN });
        let found = detect(&whole);
        let Some((tag, edge)) = found.sightings.iter().find_map(|s| Some((s.tag, edge_beside(s)?))) else { continue };
        let cut = left_of(&whole, edge);
        let here = detect(&cut);
        if here.sightings.iter().all(|s| s.tag != tag) {
            continue;
        }
        let sizes = [[whole.width, whole.height], [cut.width, cut.height]];
        let named = |count: usize| {
            let mut all = vec![(&found, sizes[0]); count];
            all.push((&here, sizes[1]));
            cut_off(&all, 3).into_iter().filter(|c| c.tags.contains(&tag)).collect::<Vec<CutOff>>()
        };
        assert!(named(3).is_empty(), "seed {seed}: three photos show marker {tag} whole");
        let few = named(1);
        assert!(few.len() == 1 && few[0].photo == 1, "seed {seed}, marker {tag}: {few:?}");
        tried += 1;
        if tried == ENOUGH {
            return;
        }
    }
    panic!("only {tried} photos could be cut so");
}
