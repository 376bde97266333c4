//! Tubes as closed meshes of triangles.
//!
//! Every mesh is a loft: rings of equally many points, each joined to the next by a strip of triangles. A hollow tube's
//! rings run along the outside and back along the bore, the last joined to the first; a solid tube's ends are
//! closed by fans. Each edge therefore has exactly two triangles: watertight by construction, no boolean needed.
//!
//! Points lie on the true surface; between them the surface is at most the given tolerance away. Rings follow a line drawn
//! along the tube wall, so that strips do not twist.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use geom::{Centreline, Element, Frame, Vec3, rotate_about};

use crate::elements::elements;

/// Whether a tube is shown with its bore.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Body {
    /// Filled.
    Solid,
    /// With its wall.
    Hollow,
}

/// A mesh of triangles, counter-clockwise seen from outside, mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Triangles {
    /// Corners, mm.
    pub points: Vec<Vec3>,
    /// Three corners each, by index.
    pub triangles: Vec<[u32; 3]>,
}

/// A closed line of points around a tube.
pub(crate) type Ring = Vec<Vec3>;

impl Triangles {
    /// Joins rings of equally many points, each turning right-handed about the way to the next. `around`: the last ring is joined
    /// to the first; else fans close both ends.
    pub(crate) fn loft(rings: &[Ring], around: bool) -> Triangles {
        let mut mesh = Triangles::default();
        let n = rings.first().map_or(0, Vec::len);
        debug_assert!(rings.iter().all(|r| r.len() == n));
        for ring in rings {
            mesh.points.extend(ring);
        }
        let index = |ring: usize, i: usize| (ring * n + i % n) as u32;
        let strips = if around { rings.len() } else { rings.len().saturating_sub(1) };
        for ring in 0..strips {
            let next = (ring + 1) % rings.len();
            for i in 0..n {
                let (a, b) = (index(ring, i), index(ring, i + 1));
                let (c, d) = (index(next, i + 1), index(next, i));
                mesh.triangles.extend([[a, b, c], [a, c, d]]);
            }
        }
        if !around {
            mesh.fan(rings.first(), 0, n, true);
            mesh.fan(rings.last(), rings.len().saturating_sub(1), n, false);
        }
        mesh
    }

    fn fan(&mut self, ring: Option<&Ring>, number: usize, n: usize, first: bool) {
        let Some(ring) = ring else { return };
        let middle = self.points.len() as u32;
        self.points.push(ring.iter().copied().sum::<Vec3>() / n.max(1) as f64);
        let index = |i: usize| (number * n + i % n) as u32;
        for i in 0..n {
            let (a, b) = (index(i), index(i + 1));
            self.triangles.push(if first { [middle, b, a] } else { [middle, a, b] });
        }
    }

    /// Area of what lies in the plane z = 0, mm2.
    pub(crate) fn foot(&self) -> f64 {
        let corners = self.triangles.iter().map(|t| t.map(|i| self.points[i as usize]));
        let down = corners.filter(|c| c.iter().all(|p| p.z.abs() < 1e-6));
        down.map(|[a, b, c]| 0.5 * (b - a).cross(c - a).length()).sum()
    }

    /// The same with its triangles counter-clockwise seen from outside.
    pub(crate) fn outward(mut self) -> Triangles {
        if self.volume() < 0.0 {
            self.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        }
        self
    }

    /// The same with corners that lie in one place taken as one, without the triangles that this leaves without an area.
    pub(crate) fn welded(&self) -> Triangles {
        /// Corners nearer than this are one, mm.
        const ONE: f64 = 1e-6;
        let key = |p: &Vec3| [p.x, p.y, p.z].map(|c| (c / ONE).round() as i64);
        let mut places: BTreeMap<[i64; 3], u32> = BTreeMap::new();
        let mut mesh = Triangles::default();
        let indices: Vec<u32> = self
            .points
            .iter()
            .map(|p| {
                *places.entry(key(p)).or_insert_with(|| {
                    mesh.points.push(*p);
                    mesh.points.len() as u32 - 1
                })
            })
            .collect();
        let moved = self.triangles.iter().map(|t| t.map(|i| indices[i as usize]));
        mesh.triangles = moved.filter(|[a, b, c]| a != b && b != c && c != a).collect();
        mesh
    }

    /// Volume within it, mm3, by the divergence theorem.
    pub fn volume(&self) -> f64 {
        let about = self.points.first().copied().unwrap_or(Vec3::ZERO);
        let corner = |i: u32| self.points[i as usize] - about;
        self.triangles.iter().map(|[a, b, c]| corner(*a).dot(corner(*b).cross(corner(*c))) / 6.0).sum()
    }

    /// Lower and upper corner of the box around it.
    pub fn bounds(&self) -> [Vec3; 2] {
        let none = [Vec3::INFINITY, Vec3::NEG_INFINITY];
        self.points.iter().fold(none, |[low, high], p| [low.min(*p), high.max(*p)])
    }
}

/// How finely a tube of outside radius `radius` is divided for a tolerance, both mm: points around, a multiple of 4 so
/// that boxes are true on straight tubes along the axes.
pub(crate) fn points_around(radius: f64, tolerance: f64) -> usize {
    let step = 2.0 * (1.0 - (tolerance / radius).min(0.3)).acos();
    ((TAU / step / 4.0).ceil() as usize).clamp(4, 250) * 4
}

/// Frames along a centreline at which rings stand, for a tube of outside radius `radius`.
pub(crate) fn stations(line: &Centreline, radius: f64, tolerance: f64) -> Vec<Frame> {
    let mut frame = line.start();
    let mut frames = vec![frame];
    for element in elements(line) {
        match element {
            Element::Straight(s) => {
                frame.origin = s.start + s.direction * s.length;
                frames.push(frame);
            }
            Element::Arc(a) => {
                let step = 2.0 * (1.0 - (tolerance / (a.radius + radius)).min(0.3)).acos();
                let parts = (a.angle / step).ceil().clamp(1.0, 2000.0) as usize;
                let start = frame;
                for i in 1..=parts {
                    let angle = a.angle * i as f64 / parts as f64;
                    frame = Frame {
                        origin: a.point(angle),
                        forward: a.direction(angle),
                        up: rotate_about(start.up, a.axis(), angle),
                    };
                    frames.push(frame);
                }
            }
        }
    }
    frames
}

/// The circle of `n` points around a frame, right-handed about its forward, the first in its up.
pub(crate) fn circle(frame: &Frame, radius: f64, n: usize) -> Ring {
    profile(frame, n, |_| radius)
}

/// A ring of `n` points at the distances that `radius` gives for the angle from up.
pub(crate) fn profile(frame: &Frame, n: usize, radius: impl Fn(f64) -> f64) -> Ring {
    // Right-handed about forward: from up towards forward x up.
    let side = frame.right();
    (0..n)
        .map(|i| {
            let angle = TAU * i as f64 / n as f64;
            frame.origin + (frame.up * angle.cos() + side * angle.sin()) * radius(angle)
        })
        .collect()
}

/// A tube as a mesh that lies within `tolerance` mm of the true surface.
pub fn tube(line: &Centreline, od: f64, wall: f64, body: Body, tolerance: f64) -> Triangles {
    let radius = 0.5 * od;
    let n = points_around(radius, tolerance);
    let frames = stations(line, radius, tolerance);
    let mut rings: Vec<Ring> = frames.iter().map(|f| circle(f, radius, n)).collect();
    if body == Body::Solid {
        return Triangles::loft(&rings, false);
    }
    rings.extend(frames.iter().rev().map(|f| circle(f, radius - wall, n)));
    Triangles::loft(&rings, true)
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    pub(crate) fn bent() -> Centreline {
        let v = Vec3::new;
        let points = [v(0.0, 0.0, 0.0), v(200.0, 0.0, 0.0), v(200.0, 200.0, 0.0), v(200.0, 200.0, 200.0)];
        Centreline::from_points(&points, &[76.2, 90.0]).unwrap()
    }

    /// Every edge once each way.
    pub(crate) fn is_closed(mesh: &Triangles) -> bool {
        let mut edges: Vec<(u32, u32)> =
            mesh.triangles.iter().flat_map(|[a, b, c]| [(*a, *b), (*b, *c), (*c, *a)]).collect();
        edges.sort_unstable();
        let once = edges.windows(2).all(|w| w[0] != w[1]);
        once && edges.iter().all(|(a, b)| edges.binary_search(&(*b, *a)).is_ok())
    }

    #[test]
    fn tubes_are_closed_and_their_volume_comes_near_the_closed_form() {
        let line = bent();
        for (body, wanted) in [
            (Body::Solid, geom::outside_volume(44.45, line.length())),
            (Body::Hollow, geom::metal_volume(44.45, 1.65, line.length())),
        ] {
            let mut last = f64::INFINITY;
            for tolerance in [0.2, 0.05, 0.01] {
                let mesh = tube(&line, 44.45, 1.65, body, tolerance);
                assert!(is_closed(&mesh));
                let off = (mesh.volume() / wanted - 1.0).abs();
                assert!(off < last && off < 0.1 * tolerance, "{body:?} {tolerance}: {off}");
                last = off;
            }
        }
    }

    #[test]
    fn the_box_of_a_straight_tube_is_true() {
        let line = Centreline::from_points(&[Vec3::ZERO, Vec3::new(100.0, 0.0, 0.0)], &[]).unwrap();
        let [low, high] = tube(&line, 40.0, 2.0, Body::Hollow, 0.05).bounds();
        assert!((low - Vec3::new(0.0, -20.0, -20.0)).length() < 1e-9);
        assert!((high - Vec3::new(100.0, 20.0, 20.0)).length() < 1e-9);
    }
}
