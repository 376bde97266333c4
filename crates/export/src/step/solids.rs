//! Plates, cones and sheet as solids of a STEP file.
//!
//! A plate has two planes and a face for each line (plane) and arc (cylinder) of its outlines; a cone two conical faces and
//! two rings; sheet is bounded by plane triangles. Loops run counter-clockwise seen from outside of the metal.

use std::collections::BTreeMap;

use geom::{Frame, Vec3};
use template::{Shape, Vec2};

use super::text::{encoded, real};
use super::{ORIGIN, Product, StepWriter, flag, ids};
use crate::solid::{Form, METAL, Solid};

/// A leg of an outline: where it begins, and the arc that it is unless it is straight.
#[derive(Debug, Clone, Copy)]
struct Leg {
    from: Vec2,
    /// Centre, radius, and whether it turns counter-clockwise.
    arc: Option<(Vec2, f64, bool)>,
}

/// The legs of a closed line, counter-clockwise or clockwise.
fn legs(shape: &Shape, counter_clockwise: bool) -> Vec<Leg> {
    if let Shape::Circle { centre, radius } = shape {
        return vec![Leg { from: *centre + Vec2::X * *radius, arc: Some((*centre, *radius, counter_clockwise)) }];
    }
    let points = shape.points(0.01);
    let area: f64 = points.windows(2).map(|p| p[0].perp_dot(p[1])).sum();
    let turn = (area > 0.0) != counter_clockwise;
    let mut out: Vec<Leg> = Vec::new();
    for leg in shape.legs() {
        let (from, to, arc) = match leg {
            Shape::Arc { centre, radius, from, sweep } => {
                let at = |angle: f64| centre + Vec2::from_angle(angle) * radius;
                (at(from), at(from + sweep), Some((centre, radius, (sweep > 0.0) != turn)))
            }
            Shape::Line { from, to } => (from, to, None),
            _ => continue,
        };
        if from.distance(to) > 1e-7 {
            out.push(Leg { from: if turn { to } else { from }, arc });
        }
    }
    if turn {
        out.reverse();
    }
    out
}

impl StepWriter {
    /// A solid as a product.
    pub(super) fn solid(&mut self, solid: &Solid, styled: &mut Vec<usize>) -> Product {
        let faces = match &solid.form {
            Form::Plate { frame, thickness, outlines } => self.plate(frame, *thickness, outlines),
            Form::Cone { frame, length, radii, wall } => self.cone(frame, *length, *radii, *wall),
            Form::Sheet { .. } => self.facets(solid),
        };
        let shell = self.add(&format!("CLOSED_SHELL('',({}))", ids(&faces)));
        let name = encoded(&solid.name);
        let body = self.add(&format!("MANIFOLD_SOLID_BREP('{name}',#{shell})"));
        styled.push(self.styled(body, METAL));
        let shape = self.add(&format!("ADVANCED_BREP_SHAPE_REPRESENTATION('{name}',(#{ORIGIN},#{body}),#9)"));
        self.product(&solid.name, shape)
    }

    fn plane(&mut self, at: Vec3, normal: Vec3) -> usize {
        let axes = self.axes(at, normal, geom::any_perpendicular(normal));
        self.add(&format!("PLANE('',#{axes})"))
    }

    fn vertex(&mut self, at: Vec3) -> usize {
        let point = self.point(at);
        self.add(&format!("VERTEX_POINT('',#{point})"))
    }

    fn straight(&mut self, from: (usize, Vec3), to: (usize, Vec3)) -> usize {
        let (p, d) = (self.point(from.1), self.direction(to.1 - from.1));
        let vector = self.add(&format!("VECTOR('',#{d},1.)"));
        let line = self.add(&format!("LINE('',#{p},#{vector})"));
        self.add(&format!("EDGE_CURVE('',#{},#{},#{line},.T.)", from.0, to.0))
    }

    /// The faces of a plate. `right x up` looks against `forward`, so its lower face in that sense is the one its metal goes
    /// down to: everything is built from there with right, up and that normal, a right-handed triple.
    fn plate(&mut self, frame: &Frame, thickness: f64, outlines: &[Shape]) -> Vec<usize> {
        let (x, y, normal) = (frame.right(), frame.up, -frame.forward);
        let place = |p: Vec2, up: f64| frame.origin + x * p.x + y * p.y + normal * (up - thickness);
        let mut sides = Vec::new();
        let mut bounds: [Vec<usize>; 2] = [Vec::new(), Vec::new()];
        for (k, outline) in outlines.iter().enumerate() {
            let legs = legs(outline, k == 0);
            let rims = [0.0, thickness].map(|up| self.rim(&legs, &|p| place(p, up), normal));
            let posts: Vec<usize> = (0..legs.len())
                .map(|i| {
                    let at = [0.0, thickness].map(|up| place(legs[i].from, up));
                    self.straight((rims[0].0[i], at[0]), (rims[1].0[i], at[1]))
                })
                .collect();
            for (i, leg) in legs.iter().enumerate() {
                let next = (i + 1) % legs.len();
                let way = [(rims[0].1[i], true), (posts[next], true), (rims[1].1[i], false), (posts[i], false)];
                let (surface, same) = match leg.arc {
                    Some((centre, radius, outward)) => {
                        let begin = if outward { leg.from } else { legs[next].from };
                        let axes = self.axes(place(centre, 0.0), normal, place(begin, 0.0) - place(centre, 0.0));
                        (self.add(&format!("CYLINDRICAL_SURFACE('',#{axes},{})", real(radius))), outward)
                    }
                    None => {
                        let along = place(legs[next].from, 0.0) - place(leg.from, 0.0);
                        (self.plane(place(leg.from, 0.0), along.cross(normal).normalize()), true)
                    }
                };
                let bound = self.bound(&way, true);
                sides.push(self.add(&format!("ADVANCED_FACE('',(#{bound}),#{surface},{})", flag(same))));
            }
            for (end, (_, edges)) in rims.iter().enumerate() {
                let with: Vec<(usize, bool)> = edges.iter().map(|e| (*e, true)).collect();
                bounds[end].push(self.bound(&super::turned(with, end == 0), k == 0));
            }
        }
        for (end, bounds) in bounds.into_iter().enumerate() {
            let up = if end == 0 { 0.0 } else { thickness };
            let plane = self.plane(place(Vec2::ZERO, up), if end == 0 { -normal } else { normal });
            sides.push(self.add(&format!("ADVANCED_FACE('',({}),#{plane},.T.)", ids(&bounds))));
        }
        sides
    }

    /// Vertices and edges of an outline at one height.
    fn rim(&mut self, legs: &[Leg], place: &dyn Fn(Vec2) -> Vec3, normal: Vec3) -> (Vec<usize>, Vec<usize>) {
        let vertices: Vec<usize> = legs.iter().map(|leg| self.vertex(place(leg.from))).collect();
        let edges = (0..legs.len())
            .map(|i| {
                let (leg, next) = (&legs[i], (i + 1) % legs.len());
                let Some((centre, radius, outward)) = leg.arc else {
                    return self.straight((vertices[i], place(leg.from)), (vertices[next], place(legs[next].from)));
                };
                let axis = if outward { normal } else { -normal };
                let axes = self.axes(place(centre), axis, place(leg.from) - place(centre));
                let circle = self.add(&format!("CIRCLE('',#{axes},{})", real(radius)));
                self.add(&format!("EDGE_CURVE('',#{},#{},#{circle},.T.)", vertices[i], vertices[next]))
            })
            .collect();
        (vertices, edges)
    }

    /// The faces of a hollow cone or sleeve.
    fn cone(&mut self, frame: &Frame, length: f64, radii: [f64; 2], wall: f64) -> Vec<usize> {
        let ends = [frame.origin, frame.origin + frame.forward * length];
        let skins = [0.0, wall].map(|less| radii.map(|r| r - less));
        let rims = skins.map(|r| [0, 1].map(|k| self.ring(ends[k], frame, r[k])));
        let mut faces = Vec::new();
        for (skin, rim) in skins.iter().zip(&rims) {
            let inward = skin[0] != skins[0][0];
            let at = [0, 1].map(|k| (rim[k].0, ends[k] + frame.up * skin[k]));
            let seam = self.straight(at[0], at[1]);
            let way = vec![(rim[0].1, true), (seam, true), (rim[1].1, false), (seam, false)];
            let bound = self.bound(&super::turned(way, inward), true);
            let surface = self.conical(frame, length, *skin);
            faces.push(self.add(&format!("ADVANCED_FACE('',(#{bound}),#{surface},{})", flag(!inward))));
        }
        for k in [0, 1] {
            let normal = if k == 0 { -frame.forward } else { frame.forward };
            let plane = self.plane(ends[k], normal);
            let outer = self.bound(&super::turned(vec![(rims[0][k].1, true)], k == 0), true);
            let inner = self.bound(&super::turned(vec![(rims[1][k].1, true)], k == 1), false);
            faces.push(self.add(&format!("ADVANCED_FACE('',(#{outer},#{inner}),#{plane},.T.)")));
        }
        faces
    }

    /// A circle around `frame.forward`: its vertex, overhead, and its edge.
    fn ring(&mut self, at: Vec3, frame: &Frame, radius: f64) -> (usize, usize) {
        let vertex = self.vertex(at + frame.up * radius);
        let axes = self.axes(at, frame.forward, frame.up);
        let circle = self.add(&format!("CIRCLE('',#{axes},{})", real(radius)));
        (vertex, self.add(&format!("EDGE_CURVE('',#{vertex},#{vertex},#{circle},.T.)")))
    }

    /// The surface through two circles; its axis looks the way it grows, as the standard has it.
    fn conical(&mut self, frame: &Frame, length: f64, [a, b]: [f64; 2]) -> usize {
        if (a - b).abs() < 1e-9 {
            let axes = self.axes(frame.origin, frame.forward, frame.up);
            return self.add(&format!("CYLINDRICAL_SURFACE('',#{axes},{})", real(a)));
        }
        let (at, way, radius) = if b > a {
            (frame.origin, frame.forward, a)
        } else {
            (frame.origin + frame.forward * length, -frame.forward, b)
        };
        let axes = self.axes(at, way, frame.up);
        let half = ((b - a).abs() / length).atan();
        self.add(&format!("CONICAL_SURFACE('',#{axes},{},{})", real(radius), real(half)))
    }

    /// The faces of a solid in plane triangles.
    fn facets(&mut self, solid: &Solid) -> Vec<usize> {
        let mesh = solid.mesh(0.02);
        let vertices: Vec<usize> = mesh.points.iter().map(|p| self.vertex(*p)).collect();
        let mut edges: BTreeMap<(u32, u32), usize> = BTreeMap::new();
        let mut faces = Vec::new();
        for t in &mesh.triangles {
            let corner = |i: u32| mesh.points[i as usize];
            let normal = (corner(t[1]) - corner(t[0])).cross(corner(t[2]) - corner(t[0]));
            let way: Vec<(usize, bool)> = [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])]
                .into_iter()
                .map(|(a, b)| {
                    let (low, high) = (a.min(b), a.max(b));
                    let edge = *edges.entry((low, high)).or_insert_with(|| {
                        let end = |i: u32| (vertices[i as usize], corner(i));
                        self.straight(end(low), end(high))
                    });
                    (edge, a < b)
                })
                .collect();
            let plane = self.plane(corner(t[0]), normal.normalize_or(Vec3::Z));
            let bound = self.bound(&way, true);
            faces.push(self.add(&format!("ADVANCED_FACE('',(#{bound}),#{plane},.T.)")));
        }
        faces
    }
}
