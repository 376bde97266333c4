//! Laws of solids and meshes on tubes made at random: closed whatever the bends, the volume that of the facets, every
//! number of a STEP file defined once.

use std::collections::BTreeSet;

use export::mesh::{Triangles, tube};
use export::trial::{Printing, trial};
use export::{Body, Header, HeaderPiece, Run, elements, step};
use geom::{Centreline, Element, Frame, LraStep, Vec3};
use proptest::prelude::*;

/// A tube of up to five bends, straights of no length among them, cut into up to four pieces.
fn run() -> impl Strategy<Value = Run> {
    let bend = (prop_oneof![Just(0.0), 0.001..120.0_f64], -3.1..3.1_f64, 0.05..3.0_f64, 0.6..3.0_f64);
    (prop::collection::vec(bend, 0..5), 1.0..300.0_f64, 12.0..110.0_f64, prop::collection::vec(0.1..0.9_f64, 0..3))
        .prop_map(|(bends, last, od, shares)| {
            let steps: Vec<LraStep> = bends
                .into_iter()
                .map(|(length, rotation, angle, ratio)| LraStep { length, rotation, angle, clr: ratio * od })
                .collect();
            let start = Frame { origin: Vec3::new(3.0, -2.0, 7.0), forward: Vec3::X, up: Vec3::Z };
            let line = Centreline::from_steps(start, &steps, last).expect("sound steps");
            let mut cuts: Vec<f64> = shares.iter().map(|s| s * line.length()).collect();
            cuts.extend([0.0, line.length()]);
            cuts.sort_by(f64::total_cmp);
            cuts.dedup_by(|a, b| (*a - *b).abs() < 8.0);
            if cuts.len() > 1 {
                let whole = cuts.len() - 1;
                cuts[whole] = line.length();
            } else {
                cuts.push(line.length());
            }
            let part = |(i, ends): (usize, &[f64])| HeaderPiece {
                mark: format!("1{i}"),
                line: line.stretch(ends[0], ends[1]),
            };
            let parts = cuts.windows(2).enumerate().map(part).collect();
            Run { name: "primary 1".into(), number: 0, line, od, wall: 0.05 * od, parts }
        })
}

/// Whether every edge has exactly two triangles, that run along it in opposite ways.
fn is_closed(mesh: &Triangles) -> bool {
    let edges: Vec<(u32, u32)> = mesh.triangles.iter().flat_map(|[a, b, c]| [(*a, *b), (*b, *c), (*c, *a)]).collect();
    let set: BTreeSet<(u32, u32)> = edges.iter().copied().collect();
    set.len() == edges.len() && edges.iter().all(|(a, b)| set.contains(&(*b, *a)))
}

/// Volume of a facetted solid tube: polygons of n corners; between two of them a turn of d about the bend's centre sweeps area x
/// CLR x sin(d) where a true bend sweeps area x CLR x d. Less than the true one by the shares of both chords.
fn share(tolerance: f64, radius: f64) -> f64 {
    // Chord of a circle of radius r with sagitta t: half angle a = acos(1 - t / r); the polygon's area is smaller by about
    // 2 a^2 / 3.
    let half = (1.0 - (tolerance / radius).min(0.3)).acos();
    0.7 * half * half
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn tubes_are_closed_and_as_large_as_their_facets_allow(run in run()) {
        for (body, wanted) in [
            (Body::Solid, geom::outside_volume(run.od, run.line.length())),
            (Body::Hollow, geom::metal_volume(run.od, run.wall, run.line.length())),
        ] {
            let mesh = tube(&run.line, run.od, run.wall, body, 0.05);
            prop_assert!(is_closed(&mesh));
            let lost = 1.0 - mesh.volume() / wanted;
            prop_assert!(lost > -1e-9 && lost < 2.0 * share(0.05, 0.5 * run.od), "{body:?}: {lost}");
        }
    }

    #[test]
    fn trial_pieces_are_closed_and_keep_to_the_bed(run in run()) {
        let printing = Printing { bed: [240.0, 220.0, 200.0], tolerance: 0.1, ..Printing::default() };
        let parts = trial(&run, &printing).map_err(|e| TestCaseError::fail(format!("{e:?}")))?;
        let mut at = 0.0;
        for part in &parts {
            prop_assert!(is_closed(&part.mesh), "{}", part.name);
            let [low, high] = part.mesh.bounds();
            prop_assert!(low.length() < 1e-9 && high.x <= 240.0 && high.y <= 220.0 && high.z <= 200.0);
            // Bore and socket take at most about two thirds of it away, a spigot adds some.
            let full = geom::outside_volume(run.od, part.stretch[1] - part.stretch[0]);
            prop_assert!(part.mesh.volume() > 0.3 * full, "{}: {} of {full}", part.name, part.mesh.volume());
            prop_assert!((part.stretch[0] - at).abs() < 1e-6);
            at = part.stretch[1];
        }
        prop_assert!((at - run.line.length()).abs() < 1e-6);
    }

    #[test]
    fn step_defines_what_it_uses_and_has_a_face_for_every_surface(run in run()) {
        let header = Header { name: "x".into(), runs: vec![run.clone()], groups: Vec::new() };
        let text = step::step(&header, Body::Hollow, "");
        let defined: BTreeSet<&str> = text.lines().filter_map(|l| l.strip_prefix('#')?.split('=').next()).collect();
        for used in text.split('#').skip(1) {
            let id: String = used.chars().take_while(char::is_ascii_digit).collect();
            prop_assert!(defined.contains(id.as_str()), "#{}", id);
        }
        let count = |word: &str| text.matches(&format!("={word}(")).count();
        let all: Vec<Element> = run.parts.iter().flat_map(|p| elements(&p.line)).collect();
        let arcs = all.iter().filter(|e| matches!(e, Element::Arc(_))).count();
        prop_assert_eq!(count("TOROIDAL_SURFACE"), 2 * arcs);
        prop_assert_eq!(count("CYLINDRICAL_SURFACE"), 2 * (all.len() - arcs));
        prop_assert_eq!(count("PLANE"), 2 * run.parts.len());
    }
}

#[test]
fn a_straight_part_is_laid_down_unharmed() {
    // The middle of these three lies off its own chord by rounding alone.
    let start = Frame { origin: Vec3::new(3.0, -2.0, 7.0), forward: Vec3::X, up: Vec3::Z };
    let line = Centreline::from_steps(start, &[], 230.32189615795895).expect("a straight");
    let cuts = [0.0, 43.42679999243506, 130.80519669066743, 230.32189615795895];
    let part = |(i, e): (usize, &[f64])| HeaderPiece { mark: format!("1{i}"), line: line.stretch(e[0], e[1]) };
    let parts = cuts.windows(2).enumerate().map(part).collect();
    let run = Run { name: "primary 1".into(), number: 0, line: line.clone(), od: 62.58, wall: 3.13, parts };
    for part in trial(&run, &Printing::default()).expect("it fits the bed") {
        let full = geom::outside_volume(run.od, part.stretch[1] - part.stretch[0]);
        assert!(part.mesh.volume() > 0.6 * full, "{}: {}", part.name, part.mesh.volume());
    }
}
