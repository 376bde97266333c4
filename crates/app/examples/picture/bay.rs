//! The bay seen at an angle: runs as shaded tubes, keep-outs as quiet solids.

use geom::{Centreline, Solid, Vec3};
use job::model::{Job, Keepout};
use job::routes::{Routes, RunId};
use route::inlets::{entering_od, inlet_places};
use route::laid::{Laid, frame_of};

use crate::WIDTH;
use crate::paint::{self, INK, QUIET, disc, label, lit};
use crate::view::{Facet, View, outline, path, tube};

/// Grey of keep-outs.
const GREY: [f64; 3] = [150.0, 156.0, 163.0];

/// Least place above the drawing, and room around the runs, px.
const TOP: f64 = 118.0;
const ROOM: [f64; 2] = [110.0, 60.0];

/// The drawing and its lower edge, px.
pub fn bay(job: &Job, routes: &Routes, laid: &[Laid]) -> (String, f64) {
    let mut view = View::new(0.52, 0.50);
    let bottom = fit(&mut view, laid);
    let mut out = format!(
        "<clipPath id=\"bay\"><rect x=\"0\" y=\"{:.0}\" width=\"{WIDTH:.0}\" height=\"{:.0}\"/></clipPath>\n\
         <g clip-path=\"url(#bay)\">\n",
        TOP - 16.0,
        bottom - TOP + 32.0
    );
    let behind: Vec<&Keepout> = job.keepouts.iter().filter(|k| matches!(k.shape, Solid::Box { .. })).collect();
    behind.iter().for_each(|k| out += &block(&view, k));

    let mut facets = Vec::new();
    for (index, run) in laid.iter().enumerate() {
        facets.extend(tube(&view, &run.line, run.radius, 7.0, &|light| lit(paint::run(index), light)));
    }
    let nearest = facets.iter().map(|f| f.depth).fold(f64::INFINITY, f64::min);
    let mut before = String::new();
    for keepout in &job.keepouts {
        let Some((from, to, radius)) = rod(&keepout.shape) else { continue };
        let middle = 0.5 * (view.depth(from) + view.depth(to));
        if middle < nearest + 60.0 {
            before += &glass(&view, from, to, radius);
        } else if let Ok(line) = Centreline::from_points(&[from, to], &[]) {
            facets.extend(tube(&view, &line, radius, 7.0, &|light| lit([186.0, 190.0, 195.0], light)));
        }
    }
    facets.sort_by(|a, b| b.depth.total_cmp(&a.depth));
    facets.iter().for_each(|f| out += &painted(f));
    out += &before;
    out += "</g>\n";
    out += &marks(job, routes, laid, &view);
    (out, bottom)
}

/// Sets scale and place so that all runs fill the width; returns the lower edge.
fn fit(view: &mut View, laid: &[Laid]) -> f64 {
    let points: Vec<[f64; 2]> = laid
        .iter()
        .flat_map(|run| (0..=40).map(move |i| run.line.at(run.line.length() * f64::from(i) / 40.0).origin))
        .map(|p| view.place(p))
        .collect();
    let bounds = |axis: usize| {
        let all = points.iter().map(|p| p[axis]);
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)))
    };
    let ((left, right), (top, bottom)) = (bounds(0), bounds(1));
    view.scale = ((WIDTH - 2.0 * ROOM[0] - 120.0) / (right - left)).min(560.0 / (bottom - top));
    let across = 0.5 * (left + right) * view.scale;
    view.origin = [0.5 * WIDTH - 20.0 - across, TOP + ROOM[1] - top * view.scale];
    TOP + 2.0 * ROOM[1] + (bottom - top) * view.scale
}

fn painted(facet: &Facet) -> String {
    // A hair of the same colour closes the seams between facets.
    format!("<path d=\"{}\" fill=\"{}\" stroke=\"{1}\" stroke-width=\".8\"/>\n", path(&facet.corners), facet.fill)
}

/// Ends and radius of a round keep-out.
fn rod(shape: &Solid) -> Option<(Vec3, Vec3, f64)> {
    match shape {
        Solid::Cylinder { from, to, radius } | Solid::Capsule { from, to, radius } => Some((*from, *to, *radius)),
        _ => None,
    }
}

/// A round keep-out in front of everything: seen through.
fn glass(view: &View, from: Vec3, to: Vec3, radius: f64) -> String {
    let along = (to - from).normalize();
    let across = along.cross(view.away).normalize() * radius;
    let corners = [from + across, to + across, to - across, from - across].map(|p| view.place(p));
    format!(
        "<path d=\"{}\" fill=\"{}\" fill-opacity=\".32\" stroke=\"{QUIET}\" stroke-width=\"1.2\" \
         stroke-opacity=\".7\"/>\n",
        path(&corners),
        lit(GREY, 0.72)
    )
}

/// A box: its three faces towards the eye.
fn block(view: &View, keepout: &Keepout) -> String {
    let Solid::Box { center, size, axes } = &keepout.shape else { return String::new() };
    let half = *size * 0.5;
    let mut out = String::new();
    for (i, axis) in axes.iter().enumerate() {
        let side = -axis.dot(view.away).signum();
        let (j, k) = ((i + 1) % 3, (i + 2) % 3);
        let middle = *center + *axis * (side * half[i]);
        let (u, v) = (axes[j] * half[j], axes[k] * half[k]);
        let corners =
            outline([middle + u + v, middle - u + v, middle - u - v, middle + u - v].map(|p| view.place(p)).to_vec());
        let light = view.light(*axis * side);
        out += &format!(
            "<path d=\"{}\" fill=\"{}\" fill-opacity=\".55\" stroke=\"#fff\" stroke-width=\"1.5\"/>\n",
            path(&corners),
            paint::pale(GREY, 0.62 - 0.42 * light)
        );
    }
    out
}

/// Numbers, names and the collector.
fn marks(job: &Job, routes: &Routes, laid: &[Laid], view: &View) -> String {
    let mut out = String::new();
    for (index, collector) in job.collectors.iter().enumerate() {
        let frame = frame_of(job, routes, index);
        let od = entering_od(job, collector);
        for inlet in inlet_places(collector, &frame, od) {
            let rim: Vec<[f64; 2]> = (0..24)
                .map(|k| {
                    let (sin, cos) = (std::f64::consts::TAU * f64::from(k) / 24.0).sin_cos();
                    view.place(inlet + (frame.up * cos + frame.right() * sin) * (0.5 * od))
                })
                .collect();
            out += &format!("<path d=\"{}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"1.4\"/>\n", path(&rim));
        }
        let (a, b) =
            (view.place(frame.origin + frame.forward * 0.9 * od), view.place(frame.origin + frame.forward * 2.3 * od));
        out += &format!(
            "<path d=\"M{:.1} {:.1}L{:.1} {:.1}\" stroke=\"{INK}\" stroke-width=\"3\"/>\n",
            a[0], a[1], b[0], b[1]
        );
        out += &head(a, b);
        out += &label(b[0], b[1] + 34.0, 15.0, INK, "middle", &format!("into collector “{}”", collector.name));
    }
    for (index, run) in laid.iter().enumerate() {
        if let RunId::Primary { cylinder } = run.id {
            let [x, y] = view.place(run.line.at(0.0).origin + run.line.at(0.0).forward * 10.0);
            out += &disc(x, y, paint::run(index), &cylinder.to_string());
        }
    }
    for keepout in &job.keepouts {
        if let Some([x, y]) = named_at(view, &keepout.shape) {
            out += &label(x, y, 14.0, QUIET, "middle", &keepout.name);
        }
    }
    out
}

/// The head of an arrow from `a` to `b`.
fn head(a: [f64; 2], b: [f64; 2]) -> String {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = dx.hypot(dy).max(1.0);
    let (ux, uy) = (dx / long, dy / long);
    let corners =
        [[b[0] + 14.0 * ux, b[1] + 14.0 * uy], [b[0] - 7.0 * uy, b[1] + 7.0 * ux], [b[0] + 7.0 * uy, b[1] - 7.0 * ux]];
    format!("<path d=\"{}\" fill=\"{INK}\"/>\n", path(&corners))
}

/// Where the name of a keep-out stands: on a box its middle, on a rod where it leaves the picture on the left.
fn named_at(view: &View, shape: &Solid) -> Option<[f64; 2]> {
    match shape {
        Solid::Box { center, size, axes } => {
            let top = *center + axes[2] * (0.5 * size[2]);
            Some(view.place(top))
        }
        _ => {
            let (from, to, radius) = rod(shape)?;
            let inside = |p: &[f64; 2]| (70.0..WIDTH - 70.0).contains(&p[0]);
            let points: Vec<[f64; 2]> =
                (0..=60).map(|i| view.place(from + (to - from) * f64::from(i) / 60.0)).collect();
            let at = points.iter().filter(|p| inside(p)).min_by(|a, b| a[0].total_cmp(&b[0]))?;
            Some([at[0], at[1] - radius * view.scale - 8.0])
        }
    }
}
