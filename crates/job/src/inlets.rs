//! Where tubes enter a collector and where its outlet is.
//!
//! `axis` is made unit, `up` perpendicular to it, `right = axis x up`, pitch = OD + gap. A line runs
//! 1..n from left to right; a square has 1..4 at (-,+) (+,+) (+,-) (-,-) half pitches in (right, up);
//! triangle and ring lie on radius pitch / 2 / sin(180/n degrees), 1 straight up, then clockwise seen
//! along the flow. Touching circles: elementary geometry.
//!
//! The tubes of a merge lean towards its axis and end where they meet its outlet; those of a slip collector end inside
//! its sleeves. A run's route goes to that true end, beyond the inlet plane.

use geom::{Frame, Vec3};

use crate::body::Body;
use crate::model::{Collector, Job, Pattern, Tube};

/// Where a tube ends in a collector.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inlet {
    /// Centre of the tube in the inlet plane.
    pub in_plane: Vec3,
    /// End of the tube's centreline.
    pub at: Vec3,
    /// Unit direction of flow there.
    pub axis: Vec3,
    /// From the inlet plane to that end, mm.
    pub beyond: f64,
}

/// Where a tube leaves a collector.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlet {
    /// Centre of the outlet.
    pub at: Vec3,
    /// Unit direction of flow there.
    pub axis: Vec3,
}

/// Offsets of the inlets in (right, up), mm, for tubes of outside diameter `od` mm.
pub fn inlet_offsets(pattern: Pattern, inlets: usize, od: f64, gap: f64) -> Vec<[f64; 2]> {
    let pitch = od + gap;
    match pattern {
        Pattern::Line => (0..inlets).map(|i| [pitch * (i as f64 - 0.5 * (inlets as f64 - 1.0)), 0.0]).collect(),
        Pattern::Square if inlets == 4 => {
            let h = 0.5 * pitch;
            vec![[-h, h], [h, h], [h, -h], [-h, -h]]
        }
        _ if inlets == 1 => vec![[0.0, 0.0]],
        _ => {
            let n = inlets as f64;
            let radius = 0.5 * pitch / (std::f64::consts::PI / n).sin();
            (0..inlets)
                .map(|i| {
                    let angle = std::f64::consts::TAU * i as f64 / n;
                    [radius * angle.sin(), radius * angle.cos()]
                })
                .collect()
        }
    }
}

/// The frame in which a collector was drawn: origin in the inlet plane, forward along the flow.
pub fn collector_frame(collector: &Collector) -> Frame {
    Frame::new(collector.at, collector.axis, collector.up).expect("the job's checks refuse an up along the axis")
}

/// The inlets of `collector` when it stands in `frame`, for tubes of outside diameter `od` mm.
pub fn inlets(collector: &Collector, frame: &Frame, od: f64) -> Vec<Inlet> {
    let (lean, beyond) = collector.body.as_ref().map_or((0.0, 0.0), |b| (b.lean(), b.beyond()));
    inlet_offsets(collector.pattern, collector.inlets, od, collector.gap)
        .into_iter()
        .map(|[right, up]| {
            let off = frame.right() * right + frame.up * up;
            let axis = frame.forward * lean.cos() - off.normalize_or_zero() * lean.sin();
            let in_plane = frame.origin + off;
            Inlet { in_plane, at: in_plane + axis * beyond, axis, beyond }
        })
        .collect()
}

/// The outlet of `collector` when it stands in `frame`: without a body the middle of its inlet plane.
pub fn outlet(collector: &Collector, frame: &Frame) -> Outlet {
    let place = |v: Vec3| frame.forward * v.x + frame.right() * v.y + frame.up * v.z;
    match &collector.body {
        Some(Body { outlet, outlet_axis, .. }) => {
            Outlet { at: frame.origin + place(*outlet), axis: place(*outlet_axis) }
        }
        None => Outlet { at: frame.origin, axis: frame.forward },
    }
}

/// Least straight of a run before its true end in `collector`, mm: what is asked before the inlet plane, and what lies
/// beyond it.
pub fn end_stub(collector: &Collector) -> f64 {
    collector.stub + collector.body.as_ref().map_or(0.0, Body::beyond)
}

/// Length before the true end of a tube within which it is one body with the other tubes of `collector`, mm: all that
/// lies beyond the inlet plane and, as leaning tubes come nearer than their gap a little before it, half a pitch times the
/// tangent of the lean.
pub fn welded(collector: &Collector, od: f64) -> f64 {
    let before = |b: &Body| b.beyond() + 0.5 * (od + collector.gap) * b.lean().tan();
    collector.body.as_ref().map_or(0.0, before)
}

/// The tube that enters `collector`: that of the secondaries where other collectors feed it, else of the primaries.
pub fn entering_tube<'a>(job: &'a Job, collector: &Collector) -> &'a Tube {
    let fed = job.collectors.iter().any(|other| other.feeds.as_deref() == Some(&collector.name));
    if fed { &job.secondary.tube } else { &job.primary.tube }
}

/// Outside diameter of the tubes that enter `collector`, mm.
pub fn entering_od(job: &Job, collector: &Collector) -> f64 {
    entering_tube(job, collector).od
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_of_44_45_with_gap_2_has_the_tabled_circumscribed_diameter() {
        let offsets = inlet_offsets(Pattern::Square, 4, 44.45, 2.0);
        let radius = offsets[0][0].hypot(offsets[0][1]);
        assert!((2.0 * radius + 44.45 - 110.14).abs() < 0.01);
    }

    #[test]
    fn a_ring_starts_up_and_goes_clockwise_seen_along_the_flow() {
        let offsets = inlet_offsets(Pattern::Ring, 4, 40.0, 0.0);
        assert!(offsets[0][0].abs() < 1e-12 && offsets[0][1] > 0.0);
        assert!(offsets[1][0] > 0.0 && offsets[1][1].abs() < 1e-9);
    }

    #[test]
    fn flow_forward_with_up_up_has_its_right_to_the_right_hand() {
        // Vehicle axes: x forward, y left. Looking forward, right is -y.
        let frame = Frame::new(Vec3::ZERO, Vec3::X, Vec3::Z).unwrap();
        assert!((frame.right() - -Vec3::Y).length() < 1e-12);
    }
}
