//! One triangle: the closest point, the distance of a segment, the solid angle.

use crate::Vec3;
use crate::distance::distance_segments;

/// Which part of a triangle a closest point lies on. Edge k runs from corner k to the next one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Feature {
    /// Within the face.
    Face,
    /// On edge k.
    Edge(u8),
    /// At corner k.
    Corner(u8),
}

/// The point of triangle `a b c` closest to `p`, by the regions of its corners, edges and face
/// (Ericson, Real-Time Collision Detection, 2005, section 5.1.5; from memory).
///
/// A triangle given as `a b b` is its edge, exactly; one given as `a a a` is its corner.
#[inline]
pub(super) fn closest_on_triangle(p: Vec3, [a, b, c]: &[Vec3; 3]) -> (Vec3, Feature) {
    let (ab, ac, ap) = (*b - *a, *c - *a, p - *a);
    let (d1, d2) = (ab.dot(ap), ac.dot(ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return (*a, Feature::Corner(0));
    }
    let bp = p - *b;
    let (d3, d4) = (ab.dot(bp), ac.dot(bp));
    if d3 >= 0.0 && d4 <= d3 {
        return (*b, Feature::Corner(1));
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        return (*a + ab * (d1 / (d1 - d3)), Feature::Edge(0));
    }
    let cp = p - *c;
    let (d5, d6) = (ab.dot(cp), ac.dot(cp));
    if d6 >= 0.0 && d5 <= d6 {
        return (*c, Feature::Corner(2));
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        return (*a + ac * (d2 / (d2 - d6)), Feature::Edge(2));
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 >= d3 && d5 >= d6 {
        return (*b + (*c - *b) * ((d4 - d3) / ((d4 - d3) + (d5 - d6))), Feature::Edge(1));
    }
    let scale = 1.0 / (va + vb + vc);
    (*a + ab * (vb * scale) + ac * (vc * scale), Feature::Face)
}

/// Least distance of the segment from `p` to `q` to a triangle, and the fraction along the segment.
///
/// It is 0 where the segment pierces the face; else the least is at an end of the segment or on an
/// edge of the triangle.
pub(super) fn distance_segment_triangle(p: Vec3, q: Vec3, corners: &[Vec3; 3]) -> (f64, f64) {
    if let Some(t) = piercing(p, q, corners) {
        return (0.0, t);
    }
    let mut best = ((p - closest_on_triangle(p, corners).0).length(), 0.0);
    let end = (q - closest_on_triangle(q, corners).0).length();
    if end < best.0 {
        best = (end, 1.0);
    }
    for k in 0..3 {
        let (distance, t, _) = distance_segments(p, q, corners[k], corners[(k + 1) % 3]);
        if distance < best.0 {
            best = (distance, t);
        }
    }
    best
}

/// Fraction along `p q` where it goes through the triangle, if it does.
fn piercing(p: Vec3, q: Vec3, [a, b, c]: &[Vec3; 3]) -> Option<f64> {
    let normal = (*b - *a).cross(*c - *a);
    let (from, to) = (normal.dot(p - *a), normal.dot(q - *a));
    if from * to > 0.0 || from == to {
        return None;
    }
    let t = from / (from - to);
    let x = p + (q - p) * t;
    let side = |u: Vec3, v: Vec3| normal.dot((v - u).cross(x - u)) >= 0.0;
    (side(*a, *b) && side(*b, *c) && side(*c, *a)).then_some(t)
}

/// Solid angle of the triangle seen from `p`, positive when `p` is behind its face (van Oosterom
/// and Strackee, IEEE Trans. Biomed. Eng. BME-30 (1983) 125, eq. 8; from memory).
pub(super) fn solid_angle(p: Vec3, corners: &[Vec3; 3]) -> f64 {
    let [a, b, c] = corners.map(|v| v - p);
    let (la, lb, lc) = (a.length(), b.length(), c.length());
    let y = a.dot(b.cross(c));
    let x = la * lb * lc + a.dot(b) * lc + b.dot(c) * la + c.dot(a) * lb;
    2.0 * y.atan2(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FLAT: [Vec3; 3] = [Vec3::ZERO, Vec3::new(10.0, 0.0, 0.0), Vec3::new(0.0, 10.0, 0.0)];

    #[test]
    fn face_edge_and_corner() {
        let at = |x, y, z| closest_on_triangle(Vec3::new(x, y, z), &FLAT);
        assert_eq!(at(2.0, 3.0, 7.0), (Vec3::new(2.0, 3.0, 0.0), Feature::Face));
        assert_eq!(at(4.0, -3.0, 0.0), (Vec3::new(4.0, 0.0, 0.0), Feature::Edge(0)));
        assert_eq!(at(9.0, 9.0, 0.0), (Vec3::new(5.0, 5.0, 0.0), Feature::Edge(1)));
        assert_eq!(at(-2.0, 13.0, 1.0), (FLAT[2], Feature::Corner(2)));
    }

    #[test]
    fn a_flat_triangle_is_its_edge() {
        let edge = [FLAT[0], FLAT[1], FLAT[1]];
        assert_eq!(closest_on_triangle(Vec3::new(4.0, 3.0, 0.0), &edge).0, Vec3::new(4.0, 0.0, 0.0));
        assert_eq!(closest_on_triangle(Vec3::new(14.0, 3.0, 0.0), &edge).0, FLAT[1]);
        assert_eq!(closest_on_triangle(Vec3::ONE, &[FLAT[1]; 3]).0, FLAT[1]);
    }

    #[test]
    fn a_segment_pierces_or_passes() {
        let d = |p: [f64; 3], q: [f64; 3]| distance_segment_triangle(p.into(), q.into(), &FLAT);
        assert_eq!(d([2.0, 2.0, -1.0], [2.0, 2.0, 3.0]), (0.0, 0.25));
        assert_eq!(d([2.0, 2.0, 1.0], [2.0, 2.0, 3.0]), (1.0, 0.0));
        let (distance, t) = d([-5.0, -4.0, 3.0], [15.0, -4.0, 3.0]);
        assert!((distance - 5.0).abs() < 1e-12 && (0.25..=0.75).contains(&t));
    }

    #[test]
    fn an_octant_is_an_eighth_of_all_directions() {
        let corners = [Vec3::X, Vec3::Y, Vec3::Z];
        assert!((solid_angle(Vec3::ZERO, &corners) - 0.5 * std::f64::consts::PI).abs() < 1e-15);
    }
}
