//! A run as it is built or corrected, as the points and radii of a route.
//!
//! A route has no kinks and no steps. Its intersection points are those of each bend's own tangents, so the centreline of
//! the points leaves the true chain by what joints kink and step: at most a millimetre or two.

use geom::{Centreline, Vec3};

use crate::chain::{Slot, figure};
use crate::run::Run;

/// Turn above which a bend is written as equal parts, rad: as routes are.
const SPLIT: f64 = 135.0 * std::f64::consts::PI / 180.0;

/// Points and radii of a run with those figures; `None` when they are no tube.
pub fn as_built(run: &Run, figures: &[f64]) -> Option<(Vec<Vec3>, Vec<f64>)> {
    let laid = run.chain.lay(figures);
    let mut points = vec![run.chain.start.origin];
    let mut radii = Vec::new();
    for k in (0..run.parts.len()).filter(|&k| run.parts[k].is_bend()) {
        let of = |slot| figures[figure(k, slot)];
        let (clr, angle) = (of(Slot::Clr), of(Slot::Angle));
        let entry = laid.entry[k];
        let parts = (angle / SPLIT).ceil().max(1.0);
        let part = angle / parts;
        for i in 0..parts as usize {
            let (sin, cos) = (part * i as f64).sin_cos();
            let at = entry.origin + entry.forward * (of(Slot::LegIn) + clr * sin) + entry.up * (clr * (1.0 - cos));
            points.push(at + (entry.forward * cos + entry.up * sin) * (clr * (0.5 * part).tan()));
            radii.push(clr);
        }
    }
    points.push(laid.end().origin);
    // Bends that meet without a straight may overlap by a hair once they are moved apart: a smaller radius makes room.
    for _ in 0..40 {
        if Centreline::from_points(&points, &radii).is_ok() {
            return Some((points, radii));
        }
        radii.iter_mut().for_each(|r| *r *= 0.998);
    }
    None
}
