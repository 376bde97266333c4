//! Where one plate is before one camera: the two poses that a flat thing may have, and refinement of single poses.

use glam::{DMat3, DQuat, DVec2, DVec3};

use super::camera::{Lens, Pose};
use super::homography::Homography;
use crate::matrix::Symmetric;

/// A point of a body and where it is seen.
#[derive(Debug, Clone, Copy)]
pub struct Seen {
    /// In the body's own axes, mm.
    pub point: DVec3,
    /// Pixels.
    pub at: DVec2,
}

/// Both poses of a flat body before the camera, better one first, with their rms errors in pixels.
///
/// Seen from afar a plate tilted towards the camera looks like one tilted away (Collins and Bartoli 2014); the
/// second starts from the first with its normal turned by half a turn about the line of sight.
pub fn plane_poses(lens: &Lens, seen: &[Seen]) -> Vec<(Pose, f64)> {
    let pairs: Vec<(DVec2, DVec2)> =
        seen.iter().map(|s| (DVec2::new(s.point.x, s.point.y), lens.direction(s.at))).collect();
    let Some(first) = Homography::of(&pairs).and_then(|h| from_homography(&h)) else { return Vec::new() };
    let sight = first.shift.normalize();
    let normal = first.turn * DVec3::Z;
    let other = sight * (2.0 * normal.dot(sight)) - normal;
    let second = Pose { turn: DQuat::from_rotation_arc(normal, other.normalize()) * first.turn, shift: first.shift };
    let body = |pose: Pose| refine(pose, 15, f64::INFINITY, &mut |pose| terms_of_body(lens, seen, pose));
    let mut poses: Vec<(Pose, f64)> = [first, second].into_iter().filter_map(body).collect();
    poses.sort_by(|a, b| a.1.total_cmp(&b.1));
    let same = |a: &Pose, b: &Pose| a.turn.angle_between(b.turn) < 0.02;
    if poses.len() == 2 && same(&poses[0].0, &poses[1].0) {
        poses.pop();
    }
    poses
}

fn from_homography(h: &Homography) -> Option<Pose> {
    let m = if h.0.z_axis.z < 0.0 { h.0 * -1.0 } else { h.0 };
    let scale = 2.0 / (m.x_axis.length() + m.y_axis.length());
    let (r1, r2) = (m.x_axis * scale, m.y_axis * scale);
    // The nearest pair of unit vectors square to each other.
    let (sum, difference) = ((r1 + r2).try_normalize()?, (r1 - r2).try_normalize()?);
    let (a, b) = ((sum + difference).try_normalize()?, (sum - difference).try_normalize()?);
    let turn = DQuat::from_mat3(&DMat3::from_cols(a, b, a.cross(b)));
    let pose = Pose { turn: turn.normalize(), shift: m.z_axis * scale };
    (pose.turn.is_finite() && pose.shift.is_finite()).then_some(pose)
}

/// One pixel's error and its derivatives by the six nudges of a pose.
pub struct Term {
    /// Seen less computed, pixels.
    pub error: DVec2,
    /// By three angles and three shifts.
    pub by: [DVec2; 6],
}

/// Terms of a body whose pose before the camera is looked for.
pub fn terms_of_body(lens: &Lens, seen: &[Seen], pose: &Pose) -> Option<Vec<Term>> {
    seen.iter().map(|s| term(lens, s.at, pose.turn * s.point, pose.shift, None)).collect()
}

/// Terms of a body in a photo, its pose in the world looked for, the photo's held.
pub fn term_in_photo(lens: &Lens, photo: &Pose, seen: &Seen, pose: &Pose) -> Option<Term> {
    term(lens, seen.at, pose.turn * seen.point, pose.shift, Some(photo))
}

fn term(lens: &Lens, at: DVec2, arm: DVec3, shift: DVec3, photo: Option<&Pose>) -> Option<Term> {
    let photo = photo.copied().unwrap_or(Pose::IDENTITY);
    let projection = lens.projection(photo.apply(arm + shift))?;
    let by = |v: DVec3| {
        let v = photo.turn * v;
        projection.by_point[0] * v.x + projection.by_point[1] * v.y + projection.by_point[2] * v.z
    };
    let axes = [DVec3::X, DVec3::Y, DVec3::Z];
    let turned = axes.map(|axis| by(axis.cross(arm)));
    let shifted = axes.map(by);
    Some(Term { error: at - projection.at, by: [turned[0], turned[1], turned[2], shifted[0], shifted[1], shifted[2]] })
}

/// Moves a pose to the minimum of its errors near it, robust beyond `scale` pixels (Geman-McClure); with the rms error there,
/// each error counted up to `scale`. `None` when a point comes behind the camera at the start.
pub fn refine(
    start: Pose,
    most: usize,
    scale: f64,
    terms: &mut dyn FnMut(&Pose) -> Option<Vec<Term>>,
) -> Option<(Pose, f64)> {
    let cost = |terms: &[Term]| terms.iter().map(|t| robust(t.error.length_squared(), scale)).sum::<f64>();
    let (mut pose, mut now) = (start, terms(&start)?);
    let mut damping = 1e-3;
    for _ in 0..most {
        let mut normal = Symmetric::zero(6);
        let mut right = vec![0.0; 6];
        for term in &now {
            let weight = (1.0 + term.error.length_squared() / (scale * scale)).powi(-2);
            for c in 0..2 {
                let row: [(usize, f64); 6] = std::array::from_fn(|i| (i, term.by[i][c]));
                normal.add_outer(&row, weight);
                row.iter().for_each(|(i, v)| right[*i] += weight * v * term.error[c]);
            }
        }
        for i in 0..6 {
            *normal.at_mut(i, i) *= 1.0 + damping;
            *normal.at_mut(i, i) += 1e-9;
        }
        let Some(factor) = normal.factor() else { break };
        let tried = pose.nudged(&factor.solve(&right));
        let before = cost(&now);
        match terms(&tried) {
            Some(then) if cost(&then) < before => {
                let done = before - cost(&then) < 1e-7 * before;
                (pose, now, damping) = (tried, then, damping * 0.1);
                if done {
                    break;
                }
            }
            _ => damping *= 10.0,
        }
        if damping > 1e6 {
            break;
        }
    }
    let rms = (cost(&now) / now.len().max(1) as f64).sqrt();
    rms.is_finite().then_some((pose, rms))
}

fn robust(square: f64, scale: f64) -> f64 {
    if scale.is_finite() { square / (1.0 + square / (scale * scale)) } else { square }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plate_is_found_where_it_is() {
        let lens = Lens::plain(1500.0, 1000.0, 750.0);
        let truth = Pose {
            turn: DQuat::from_rotation_x(0.6) * DQuat::from_rotation_z(0.4),
            shift: DVec3::new(60.0, -40.0, 600.0),
        };
        let corners = [(-36.0, -36.0), (36.0, -36.0), (36.0, 36.0), (-36.0, 36.0)];
        let seen: Vec<Seen> = corners
            .into_iter()
            .map(|(x, y)| DVec3::new(x, y, 0.0))
            .map(|point| Seen { point, at: lens.project(truth.apply(point)).unwrap() })
            .collect();
        let poses = plane_poses(&lens, &seen);
        assert!(poses[0].0.shift.distance(truth.shift) < 1e-3 && poses[0].0.turn.angle_between(truth.turn) < 1e-5);
        assert!(poses.len() == 2 && poses[1].1 > 0.05, "{poses:?}");
    }
}
