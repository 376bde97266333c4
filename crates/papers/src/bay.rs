//! What stands around the tubes in a view: keep-outs as quiet outlines, collectors as the plates that the tubes end in.
//!
//! Drawing accuracy only; nothing is measured here. A keep-out is shown by the outline that the eye sees: of a box the faces
//! towards it, of a mesh the edges between a face towards it and one away, of a very large mesh the hull of its corners.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use geom::{Frame, Mesh, Solid, Vec3, any_perpendicular};
use job::inlets::{collector_frame, entering_od, inlet_offsets};
use job::model::Collector;

use crate::PaperJob;
use crate::sheet::{Anchor, Drawing, Ink, PenStep, Placing, Point, Stroke, polyline};
use crate::view::{DrawnTube, View, hull};
use crate::words;

/// Triangles beyond which a mesh is shown by its hull alone: more lines than that would be a grey cloud.
const MOST_TRIANGLES: usize = 20_000;

/// Metal around the tubes of a collector's plate, mm (common practice, no source).
const RIM: f64 = 8.0;

/// Size of the names of keep-outs, mm.
const NAME: f64 = 2.2;

const QUIET: Ink = Ink(150, 150, 150);

/// Draws the keep-outs of the job with their names clear of what is `covered`; what lies off the drawing is cut off by it.
pub(crate) fn keepouts(papers: &PaperJob<'_>, covered: &[[Point; 2]], view: &View, placing: &Placing, d: &mut Drawing) {
    let mut taken = covered.to_vec();
    for keepout in &papers.job.keepouts {
        let mut lines = outline(&keepout.shape, view);
        lines.iter_mut().flatten().for_each(|p| *p = placing.at(*p));
        let steps: Vec<PenStep> = lines.iter().flat_map(|l| polyline(l)).collect();
        d.path(steps, Some(Stroke::of(0.15, QUIET)), None);
        let name = words::short(&keepout.name, 28);
        if let Some(at) = spot(&lines, &name, &taken, d) {
            let text = d.text(at, NAME, Anchor::Left, name);
            text.ink = Ink(120, 120, 120);
            taken.push(text.letters());
        }
    }
}

/// Boxes on the drawing that the tubes cover.
pub(crate) fn covered(tubes: &[DrawnTube<'_>], view: &View, placing: &Placing) -> Vec<[Point; 2]> {
    let around = |p: Point, r: f64| [p.map(|c| c - r), p.map(|c| c + r)];
    let mut out = Vec::new();
    for tube in tubes {
        let count = (tube.line.length() / 15.0).ceil().max(1.0);
        let places = (0..=count as usize).map(|i| tube.line.at(tube.line.length() * i as f64 / count).origin);
        out.extend(places.map(|p| around(placing.at(view.flat(p)), 0.8 * tube.radius * placing.scale)));
    }
    out
}

/// Where a name may stand: under one of the shape's lines, on the drawing and apart from what is taken.
fn spot(lines: &[Vec<Point>], name: &str, taken: &[[Point; 2]], d: &Drawing) -> Option<Point> {
    let long = 0.62 * NAME * name.chars().count() as f64;
    let free = |p: &Point| {
        let (low, high) = ([p[0] - 0.4, p[1] - 1.2], [p[0] + long, p[1] + 1.2]);
        let inside = low[0] > 1.0 && high[0] < d.width - 1.0 && low[1] > 6.5 && high[1] < d.height - 1.0;
        inside && taken.iter().all(|[a, b]| (0..2).any(|k| high[k] < a[k] || b[k] < low[k]))
    };
    let edges = lines.iter().flat_map(|l| l.windows(2));
    let along = |w: &[Point]| -> Vec<Point> {
        let at = |t: f64| [w[0][0] + t * (w[1][0] - w[0][0]) + 0.8, w[0][1] + t * (w[1][1] - w[0][1]) + 2.0];
        (0..12).map(|i| at(f64::from(i) / 12.0)).collect()
    };
    edges.flat_map(along).find(free)
}

/// Lines of a shape as the view shows it, flat.
fn outline(shape: &Solid, view: &View) -> Vec<Vec<Point>> {
    match shape {
        Solid::Box { center, size, axes } => faces(*center, *size * 0.5, axes, view),
        Solid::Cylinder { from, to, radius } => round(*from, *to, [*radius; 2], view),
        Solid::Cone { from, to, radii } => round(*from, *to, *radii, view),
        Solid::Capsule { from, to, radius } => {
            let balls = [*from, *to].map(|centre| ring(centre, view.toward, *radius, view));
            vec![closed(hull(balls.as_flattened()))]
        }
        Solid::Sphere { center, radius } => vec![closed(ring(*center, view.toward, *radius, view).to_vec())],
        Solid::Mesh(mesh) if mesh.triangles().len() <= MOST_TRIANGLES => edges(mesh, view),
        Solid::Mesh(mesh) => vec![closed(hull(&mesh.vertices().iter().map(|p| view.flat(*p)).collect::<Vec<_>>()))],
    }
}

/// Lines of a cylinder or cone: all of it, and the end that looks at the eye.
fn round(from: Vec3, to: Vec3, radii: [f64; 2], view: &View) -> Vec<Vec<Point>> {
    let axis = (to - from).normalize_or(Vec3::Z);
    let ends = [ring(from, axis, radii[0], view), ring(to, axis, radii[1], view)];
    let near = usize::from(axis.dot(view.toward) > 0.0);
    vec![closed(hull(ends.as_flattened())), closed(ends[near].to_vec())]
}

fn closed(mut points: Vec<Point>) -> Vec<Point> {
    points.extend(points.first().copied());
    points
}

/// A circle about `axis`, flat.
fn ring(centre: Vec3, axis: Vec3, radius: f64, view: &View) -> [Point; 48] {
    let u = any_perpendicular(axis);
    let v = axis.cross(u);
    std::array::from_fn(|i| {
        let (sin, cos) = (TAU * i as f64 / 48.0).sin_cos();
        view.flat(centre + (u * cos + v * sin) * radius)
    })
}

/// The faces of a box that look at the eye.
fn faces(centre: Vec3, half: Vec3, axes: &[Vec3; 3], view: &View) -> Vec<Vec<Point>> {
    let ways = [axes[0] * half.x, axes[1] * half.y, axes[2] * half.z];
    let mut out = Vec::new();
    for k in 0..3 {
        let (u, v) = (ways[(k + 1) % 3], ways[(k + 2) % 3]);
        for normal in [ways[k], -ways[k]] {
            if normal.normalize_or_zero().dot(view.toward) > 1e-6 {
                let corners = [u + v, u - v, -u - v, -u + v].map(|c| view.flat(centre + normal + c));
                out.push(closed(corners.to_vec()));
            }
        }
    }
    out
}

/// Edges of a mesh between a triangle towards the eye and one away, and those of one triangle alone.
fn edges(mesh: &Mesh, view: &View) -> Vec<Vec<Point>> {
    let corners = mesh.vertices();
    let mut sides: BTreeMap<(u32, u32), [u32; 2]> = BTreeMap::new();
    for t in mesh.triangles() {
        let [a, b, c] = t.map(|i| corners[i as usize]);
        let toward = usize::from((b - a).cross(c - a).dot(view.toward) > 0.0);
        for (i, j) in [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])] {
            sides.entry((i.min(j), i.max(j))).or_default()[toward] += 1;
        }
    }
    let shown = sides.into_iter().filter(|(_, [away, toward])| (*away > 0 && *toward > 0) || away + toward == 1);
    shown.map(|((i, j), _)| [i, j].map(|k| view.flat(corners[k as usize])).to_vec()).collect()
}

/// Draws the plates of the collectors that look away from the eye (`before` the tubes) or at it (after them).
pub(crate) fn plates(papers: &PaperJob<'_>, view: &View, placing: &Placing, before: bool, d: &mut Drawing) {
    for collector in &papers.job.collectors {
        let moved = papers.routes.collectors.iter().find(|p| p.name == collector.name);
        let frame = moved.map_or_else(|| collector_frame(collector), |p| p.frame);
        let (plate, inlets) = plate(papers, collector, &frame);
        if (frame.forward.dot(view.toward) <= 0.0) != before {
            continue;
        }
        let path = |places: &[Vec3]| {
            let flat: Vec<Point> = places.iter().map(|p| placing.at(view.flat(*p))).collect();
            let mut steps = polyline(&flat);
            steps.push(PenStep::Close);
            steps
        };
        for solid in collector.body.iter().flat_map(|b| b.solids(collector, &frame, entering_od(papers.job, collector)))
        {
            for lines in outline(&solid, view) {
                let flat: Vec<Point> = lines.iter().map(|p| placing.at(*p)).collect();
                d.path(polyline(&flat), Some(Stroke::black(0.2)), Some(Ink::WHITE));
            }
        }
        d.path(path(&plate), Some(Stroke::black(0.3)), Some(Ink::WHITE));
        for inlet in &inlets {
            d.path(path(inlet), Some(Stroke::black(0.2)), None);
        }
        let [from, to] = [0.0, 45.0].map(|s| placing.at(view.flat(frame.origin + frame.forward * s)));
        if (from[0] - to[0]).hypot(from[1] - to[1]) > 3.0 {
            d.arrow(from, to, Stroke::black(0.4));
        }
    }
}

/// The edge of a collector's plate and the rings of its inlets, in the vehicle's axes.
fn plate(papers: &PaperJob<'_>, collector: &Collector, frame: &Frame) -> (Vec<Vec3>, Vec<Vec<Vec3>>) {
    let od = entering_od(papers.job, collector);
    let centres = inlet_offsets(collector.pattern, collector.inlets, od, collector.gap);
    let around = |centre: [f64; 2], radius: f64| -> Vec<Point> {
        let at = |i: i32| TAU * f64::from(i) / 48.0;
        (0..48).map(|i| [centre[0] + radius * at(i).cos(), centre[1] + radius * at(i).sin()]).collect()
    };
    let placed = |flat: Vec<Point>| -> Vec<Vec3> {
        flat.into_iter().map(|[right, up]| frame.origin + frame.right() * right + frame.up * up).collect()
    };
    let edge: Vec<Point> = centres.iter().flat_map(|c| around(*c, 0.5 * od + RIM)).collect();
    (placed(hull(&edge)), centres.iter().map(|c| placed(around(*c, 0.5 * od))).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_seen_along_an_axis_shows_one_face_and_from_a_corner_three() {
        let shape =
            Solid::Box { center: Vec3::ZERO, size: Vec3::new(20.0, 30.0, 40.0), axes: [Vec3::X, Vec3::Y, Vec3::Z] };
        let above = outline(&shape, &View::from(Vec3::Z, Vec3::Y));
        assert_eq!(above.len(), 1);
        assert!(above[0].iter().all(|p| (p[0].abs() - 10.0).abs() < 1e-9 && (p[1].abs() - 15.0).abs() < 1e-9));
        assert_eq!(outline(&shape, &View::from(Vec3::new(1.0, 1.0, 1.0), Vec3::Z)).len(), 3);
    }

    #[test]
    fn a_cylinder_from_its_side_is_as_long_and_wide_as_it_is() {
        let shape = Solid::Cylinder { from: Vec3::ZERO, to: Vec3::new(100.0, 0.0, 0.0), radius: 12.0 };
        let lines = outline(&shape, &View::from(Vec3::Z, Vec3::Y));
        let span = |k: usize| {
            let (low, high) = lines[0].iter().fold((f64::MAX, f64::MIN), |(l, h), p| (l.min(p[k]), h.max(p[k])));
            high - low
        };
        assert!((span(0) - 100.0).abs() < 1e-9 && (span(1) - 24.0).abs() < 0.1, "{} {}", span(0), span(1));
    }
}
