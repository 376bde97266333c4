//! Polygons of mesh files as triangles.

use crate::Vec3;

/// Splits a polygon into triangles by cutting ears, seen along its normal (Newell's); a polygon
/// that is no simple one is fanned in the end. Degenerate polygons give degenerate triangles.
pub(super) fn triangulate(polygon: &[u32], vertices: &[Vec3], out: &mut Vec<[u32; 3]>) {
    if let [a, b, c] = polygon {
        out.push([*a, *b, *c]);
        return;
    }
    let at = |i: u32| vertices[i as usize];
    let normal: Vec3 = (0..polygon.len())
        .map(|i| (at(polygon[i]) - at(polygon[0])).cross(at(polygon[(i + 1) % polygon.len()]) - at(polygon[0])))
        .sum();
    let mut left = polygon.to_vec();
    // Cutting ears is quadratic; no tool writes faces with more corners than this.
    while left.len() > 3 && polygon.len() <= 512 {
        let n = left.len();
        let is_ear = |i: usize| {
            let [a, b, c] = [left[(i + n - 1) % n], left[i], left[(i + 1) % n]].map(at);
            let side = |u: Vec3, v: Vec3, p: Vec3| normal.dot((v - u).cross(p - u));
            side(a, b, c) > 0.0
                && (0..n).filter(|&j| (j + n + 1 - i) % n > 2).all(|j| {
                    let p = at(left[j]);
                    side(a, b, p) < 0.0 || side(b, c, p) < 0.0 || side(c, a, p) < 0.0
                })
        };
        let Some(i) = (0..n).find(|&i| is_ear(i)) else { break };
        out.push([left[(i + n - 1) % n], left[i], left[(i + 1) % n]]);
        left.remove(i);
    }
    out.extend((1..left.len().saturating_sub(1)).map(|i| [left[0], left[i], left[i + 1]]));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arrow_head_is_not_fanned_over_its_notch() {
        let v = [(0.0, 0.0), (10.0, 5.0), (0.0, 10.0), (3.0, 5.0)].map(|(x, y)| Vec3::new(x, y, 0.0));
        for turn in 0..4u32 {
            let mut out = Vec::new();
            let polygon: Vec<u32> = (0..4).map(|i| (i + turn) % 4).collect();
            triangulate(&polygon, &v, &mut out);
            let area: f64 = out
                .iter()
                .map(|t| {
                    0.5 * (v[t[1] as usize] - v[t[0] as usize]).cross(v[t[2] as usize] - v[t[0] as usize]).length()
                })
                .sum();
            assert!((area - 35.0).abs() < 1e-12, "{turn} {out:?}");
        }
    }
}
