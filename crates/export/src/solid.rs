//! Flanges, collectors and transitions as solids: plates with straight sides, sheet between two edges, cones and sleeves.
//!
//! Each is plain measures in the vehicle's axes; STEP writes plates, cones and sleeves as exact faces and sheet in plane
//! triangles, meshes take all of them as triangles.

use geom::{Centreline, Frame, Vec3};
use job::parts::PartSolid;
use template::flange::Flange;
use template::header::{BodyShape, CollectorBody, PlacedFlange};
use template::{Omission, Shape, Vec2};

use crate::mesh::{Body, Triangles, tube};

/// The form of a solid.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// A plate: its edge and its openings as closed lines in the plane of `frame`, x along `frame.right()`, y along
    /// `frame.up`; its metal lies along `frame.forward` from there.
    Plate {
        /// The plane of its lower face.
        frame: Frame,
        /// Thickness, mm.
        thickness: f64,
        /// The edge, then the openings.
        outlines: Vec<Shape>,
    },
    /// Sheet: its outer surface and its inner one, each by the places once around both edges.
    Sheet {
        /// Lower and upper edge outside.
        outer: [Vec<Vec3>; 2],
        /// The same inside; `None`: it is filled.
        inner: Option<[Vec<Vec3>; 2]>,
    },
    /// Sheet around an axis, from one outside radius to another.
    Cone {
        /// Where it begins; forward along its axis.
        frame: Frame,
        /// Length, mm.
        length: f64,
        /// Outside radii at both ends, mm.
        radii: [f64; 2],
        /// Wall across the axis, mm.
        wall: f64,
    },
}

/// A solid with its name.
#[derive(Debug, Clone, PartialEq)]
pub struct Solid {
    /// Its name: `flange head`.
    pub name: String,
    /// Its form.
    pub form: Form,
}

/// Solids that belong together.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// `flanges`, `collector merge`.
    pub name: String,
    /// What is in it.
    pub solids: Vec<Solid>,
}

/// The colour of what is no run, red, green and blue from 0 to 1: a grey that no run has.
pub(crate) const METAL: [f64; 3] = [0.60, 0.61, 0.63];

/// The flanges of a job with their transitions, and what can't be made.
pub fn flanges(placed: &[PlacedFlange]) -> (Group, Vec<Omission>) {
    let mut made = Maker { group: Group { name: "flanges".into(), solids: Vec::new() }, omissions: Vec::new() };
    for flange in placed {
        made.plate(&flange.plate.name, &flange.plate, flange.face);
        let face = flange.face;
        for (port, adapter) in flange.plate.ports.iter().zip(&flange.adapters) {
            let floor = flange.detail.floor();
            let at = face.origin + face.right() * port.at.x + face.up * port.at.y;
            let flow = face.right() * adapter.flow[0] + face.up * adapter.flow[1] + face.forward * adapter.flow[2];
            // Its foot stands around the opening, its axis goes through the middle of the tube.
            let foot = at + face.forward * floor;
            let axis = at + flow * (floor / adapter.flow[2]);
            let edges = |out: f64| {
                let [low, high] = adapter.edge_places(out);
                let place =
                    |from: Vec3, p: &[f64; 3]| from + face.right() * p[0] + face.up * p[1] + face.forward * p[2];
                [low.iter().map(|p| place(foot, p)).collect(), high.iter().map(|p| place(axis, p)).collect()]
            };
            let form = Form::Sheet { outer: edges(adapter.wall), inner: Some(edges(0.0)) };
            made.group.solids.push(Solid { name: format!("transition port {}", port.number), form });
        }
    }
    (made.group, made.omissions)
}

/// The body of a collector that stands in `frame`, and what can't be made.
pub fn collector(body: &CollectorBody, frame: &Frame) -> (Group, Vec<Omission>) {
    let along = |at: f64| Frame { origin: frame.origin + frame.forward * at, ..*frame };
    let place = |p: &[f64; 3]| frame.origin + frame.right() * p[0] + frame.up * p[1] + frame.forward * p[2];
    let edges = |e: &[Vec<[f64; 3]>; 2]| e.each_ref().map(|side| side.iter().map(place).collect::<Vec<_>>());
    let group = Group { name: format!("collector {}", body.name), solids: Vec::new() };
    let mut made = Maker { group, omissions: Vec::new() };
    for part in &body.parts {
        let name = format!("{} {}", body.name, part.name);
        let form = match &part.shape {
            BodyShape::Plate { plate, at } => {
                made.plate(&name, plate, along(*at));
                continue;
            }
            BodyShape::Sheet { outer, inner } => Form::Sheet { outer: edges(outer), inner: inner.as_ref().map(edges) },
            BodyShape::Cone { centre, from, length, radii, wall } => {
                let start = along(*from);
                let origin = start.origin + frame.right() * centre.x + frame.up * centre.y;
                Form::Cone { frame: Frame { origin, ..start }, length: *length, radii: *radii, wall: *wall }
            }
        };
        made.group.solids.push(Solid { name, form });
    }
    (made.group, made.omissions)
}

/// Brackets, slip joints and bungs as simple solids.
pub fn parts(parts: &[PartSolid]) -> Group {
    let solid = |p: &PartSolid| Some(Solid { name: p.name.clone(), form: form(p)? });
    Group { name: "parts".into(), solids: parts.iter().filter_map(solid).collect() }
}

fn form(part: &PartSolid) -> Option<Form> {
    match (&part.solid, part.wall) {
        (geom::Solid::Cylinder { from, to, radius }, wall) => {
            let axis = *to - *from;
            let frame = Frame::new(*from, axis, geom::any_perpendicular(axis.normalize()))?;
            let length = axis.length();
            Some(match wall {
                Some(wall) => Form::Cone { frame, length, radii: [*radius; 2], wall },
                None => {
                    let edge = Shape::Circle { centre: Vec2::ZERO, radius: *radius };
                    Form::Plate { frame, thickness: length, outlines: vec![edge] }
                }
            })
        }
        (geom::Solid::Box { center, size, axes }, _) => {
            let frame = Frame::new(*center - axes[1] * (0.5 * size.y), axes[1], axes[0])?;
            let (x, y) = (0.5 * size.z, 0.5 * size.x);
            let corners = [(-x, -y), (x, -y), (x, y), (-x, y)].map(|(x, y)| Vec2::new(x, y));
            Some(Form::Plate { frame, thickness: size.y, outlines: vec![Shape::through(corners, true)] })
        }
        _ => None,
    }
}

struct Maker {
    group: Group,
    omissions: Vec<Omission>,
}

impl Maker {
    fn plate(&mut self, name: &str, plate: &Flange, frame: Frame) {
        match plate.outlines() {
            Ok(outlines) => {
                let form = Form::Plate { frame, thickness: plate.thickness, outlines };
                self.group.solids.push(Solid { name: name.into(), form });
            }
            Err(why) => self.omissions.push(Omission::NotDrawn { name: name.into(), why }),
        }
    }
}

impl Solid {
    /// Its surface in triangles within `tolerance` mm of the true one.
    pub fn mesh(&self, tolerance: f64) -> Triangles {
        let mesh = match &self.form {
            Form::Plate { frame, thickness, outlines } => plate(frame, *thickness, outlines, tolerance),
            Form::Sheet { outer, inner } => sheet(outer, inner.as_ref()),
            Form::Cone { frame, length, radii, wall } => {
                if (radii[0] - radii[1]).abs() < 1e-9 {
                    let points = [frame.origin, frame.origin + frame.forward * *length];
                    match Centreline::from_points(&points, &[]) {
                        Ok(line) => tube(&line, 2.0 * radii[0], *wall, Body::Hollow, tolerance),
                        Err(_) => Triangles::default(),
                    }
                } else {
                    cone(frame, *length, *radii, *wall, tolerance)
                }
            }
        };
        mesh.outward()
    }
}

fn cone(frame: &Frame, length: f64, radii: [f64; 2], wall: f64, tolerance: f64) -> Triangles {
    let n = crate::mesh::points_around(radii[0].max(radii[1]), tolerance);
    let ends = [*frame, Frame { origin: frame.origin + frame.forward * length, ..*frame }];
    let ring = |k: usize, less: f64| crate::mesh::circle(&ends[k], radii[k] - less, n);
    Triangles::loft(&[ring(0, 0.0), ring(1, 0.0), ring(1, wall), ring(0, wall)], true)
}

fn sheet(outer: &[Vec<Vec3>; 2], inner: Option<&[Vec<Vec3>; 2]>) -> Triangles {
    let [low, high] = outer.clone();
    let mesh = match inner {
        Some([inner_low, inner_high]) => Triangles::loft(&[low, high, inner_high.clone(), inner_low.clone()], true),
        None => Triangles::loft(&[low, high], false),
    };
    mesh.welded()
}

/// A plate in triangles: its two faces by ear clipping, its sides by strips.
fn plate(frame: &Frame, thickness: f64, outlines: &[Shape], tolerance: f64) -> Triangles {
    let mut loops: Vec<Vec<Vec2>> = outlines.iter().map(|o| open_points(o, tolerance)).collect();
    loops.retain(|l| l.len() > 2);
    let flat: Vec<Vec2> = loops.iter().flatten().copied().collect();
    let mut starts = Vec::new();
    let mut count = 0;
    for (i, l) in loops.iter().enumerate() {
        if i > 0 {
            starts.push(count);
        }
        count += l.len();
    }
    let coordinates: Vec<f64> = flat.iter().flat_map(|p| [p.x, p.y]).collect();
    let faces = earcutr::earcut(&coordinates, &starts, 2).unwrap_or_default();
    let place = |p: &Vec2, up: f64| frame.origin + frame.right() * p.x + frame.up * p.y + frame.forward * up;
    let mut mesh = Triangles::default();
    mesh.points.extend(flat.iter().map(|p| place(p, 0.0)));
    mesh.points.extend(flat.iter().map(|p| place(p, thickness)));
    let top = count as u32;
    // Every face counter-clockwise seen from above, whichever way it came.
    for f in faces.chunks_exact(3) {
        let [a, b, c] = [f[0], f[1], f[2]];
        let turn = (flat[b] - flat[a]).perp_dot(flat[c] - flat[a]);
        let [a, b, c] = if turn > 0.0 { [a, b, c] } else { [a, c, b] }.map(|i| i as u32);
        mesh.triangles.push([a, b, c]);
        mesh.triangles.push([a + top, c + top, b + top]);
    }
    let mut start = 0;
    for (k, l) in loops.iter().enumerate() {
        let area: f64 = (0..l.len()).map(|i| l[i].perp_dot(l[(i + 1) % l.len()])).sum();
        let with = (area > 0.0) == (k == 0);
        for i in 0..l.len() {
            let (a, b) = ((start + i) as u32, (start + (i + 1) % l.len()) as u32);
            let (a, b) = if with { (a, b) } else { (b, a) };
            mesh.triangles.extend([[b, a, a + top], [b, a + top, b + top]]);
        }
        start += l.len();
    }
    mesh
}

/// Points of a closed line, the first not again at the end.
fn open_points(shape: &Shape, tolerance: f64) -> Vec<Vec2> {
    let mut points = shape.points(tolerance);
    points.dedup_by(|b, a| a.distance(*b) < 1e-9);
    if points.len() > 1 && points[0].distance(points[points.len() - 1]) < 1e-9 {
        points.pop();
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::tests::is_closed;
    use std::f64::consts::PI;

    const FRAME: Frame = Frame { origin: Vec3::new(5.0, 6.0, 7.0), forward: Vec3::Y, up: Vec3::Z };

    fn solid(form: Form) -> Triangles {
        let mesh = Solid { name: "x".into(), form }.mesh(0.005);
        assert!(is_closed(&mesh));
        mesh
    }

    #[test]
    fn a_plate_has_the_volume_of_its_edge_less_its_openings() {
        let v = Vec2::new;
        let edge = Shape::through([v(0.0, 0.0), v(100.0, 0.0), v(100.0, 60.0), v(0.0, 60.0)], true);
        let hole = |x| Shape::Circle { centre: v(x, 30.0), radius: 12.0 };
        let mesh = solid(Form::Plate { frame: FRAME, thickness: 10.0, outlines: vec![edge, hole(30.0), hole(70.0)] });
        let wanted = 10.0 * (6000.0 - 2.0 * PI * 144.0);
        assert!((mesh.volume() / wanted - 1.0).abs() < 1e-3, "{} {wanted}", mesh.volume());
        let [low, high] = mesh.bounds();
        // Its metal lies along +y from the frame.
        assert!((low.y - 6.0).abs() < 1e-9 && (high.y - 16.0).abs() < 1e-9);
    }

    #[test]
    fn cones_have_the_volume_of_the_closed_form() {
        let mesh = solid(Form::Cone { frame: FRAME, length: 90.0, radii: [40.0, 30.0], wall: 2.0 });
        // Mean radius of the wall 34 across the axis: 2 pi 34 x 2 x 90.
        let wanted = 2.0 * PI * 34.0 * 2.0 * 90.0;
        assert!((mesh.volume() / wanted - 1.0).abs() < 1e-3, "{} {wanted}", mesh.volume());
    }
}
