//! The kept photos of `checks/photos`: what is found in them is what OpenCV was held against.
#![allow(clippy::unwrap_used)]

#[path = "../examples/photo_scene.rs"]
#[allow(dead_code)]
mod photo_scene;

/// Part by which a figure may differ: from processor to processor sums are rounded in another order.
const SAME: f64 = 1e-4;

#[test]
fn what_is_found_is_what_was_checked() {
    let folder = format!("{}/../../checks/photos/given", env!("CARGO_MANIFEST_DIR"));
    let kept = std::fs::read_to_string(format!("{folder}/scene.csv")).unwrap();
    let found = photo_scene::lines(&folder).unwrap();
    assert_eq!(found.len(), kept.lines().count());
    for (found, kept) in found.iter().zip(kept.lines()) {
        assert_eq!(found.split(',').count(), kept.split(',').count());
        for (a, b) in found.split(',').zip(kept.split(',')) {
            match (a.parse::<f64>(), b.parse::<f64>()) {
                (Ok(a), Ok(b)) => assert!((a - b).abs() < SAME * b.abs().max(1.0), "{found} {kept}"),
                _ => assert_eq!(a, b),
            }
        }
    }
}
