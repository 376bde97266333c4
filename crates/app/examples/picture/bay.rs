//! The bay seen at an angle: runs as shaded tubes, keep-outs as quiet solids.

use geom::{Centreline, Solid, Vec3};
use job::inlets::{entering_od, inlets};
use job::model::{Collector, Job, Keepout};
use job::routes::{Routes, RunId};
use route::laid::{Laid, frame_of};

use crate::WIDTH;
use crate::paint::{self, INK, PAPER, QUIET, disc, label, lit};
use crate::view::{Facet, View, caps, outline, path, tube};

/// Greys of boxes and of round keep-outs.
const GREY: [f64; 3] = [150.0, 156.0, 163.0];
const PALE: [f64; 3] = [188.0, 193.0, 199.0];

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
    let mut boxes: Vec<&Keepout> = job.keepouts.iter().filter(|k| matches!(k.shape, Solid::Box { .. })).collect();
    let depth = |k: &Keepout| if let Solid::Box { center, .. } = &k.shape { view.depth(*center) } else { 0.0 };
    boxes.sort_by(|a, b| depth(b).total_cmp(&depth(a)));
    boxes.iter().for_each(|k| out += &block(&view, k));

    let mut facets = Vec::new();
    for (index, run) in laid.iter().enumerate() {
        facets.extend(tube(&view, &run.line, run.radius, 9.0, &|light| lit(paint::run(index), light)));
    }
    let quiet = |light: f64| lit(PALE, 0.45 + 0.5 * light);
    for (from, to, radius) in job.keepouts.iter().filter_map(|k| rod(&k.shape)) {
        if let Ok(line) = Centreline::from_points(&[from, to], &[]) {
            facets.extend(tube(&view, &line, radius, 12.0, &quiet));
            facets.extend(caps(&view, &line, radius, &quiet));
        }
    }
    let seen = |f: &Facet| {
        f.corners.iter().any(|c| (0.0..WIDTH).contains(&c[0]) && (TOP - 16.0..bottom + 16.0).contains(&c[1]))
    };
    facets.retain(seen);
    facets.sort_by(|a, b| b.depth.total_cmp(&a.depth));
    out += &painted(&facets);
    job.collectors.iter().enumerate().for_each(|(i, c)| out += &collector(job, routes, c, i, &view));
    out += "</g>\n";
    out += &marks(job, laid, &view, bottom);
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

/// Facets from the back to the front, each colour written once.
fn painted(facets: &[Facet]) -> String {
    let mut colours: Vec<&str> = facets.iter().map(|f| f.fill.as_str()).collect();
    colours.sort_unstable();
    colours.dedup();
    let mut out = String::from("<style>.f path{stroke-width:.8}");
    for (i, colour) in colours.iter().enumerate() {
        // A hair of the same colour closes the seams between facets.
        out += &format!(".c{i}{{fill:{colour};stroke:{colour}}}");
    }
    out += "</style>\n<g class=\"f\">\n";
    for facet in facets {
        let class = colours.binary_search(&facet.fill.as_str()).unwrap_or_default();
        out += &format!("<path class=\"c{class}\" d=\"{}\"/>\n", path(&facet.corners));
    }
    out + "</g>\n"
}

/// Ends and radius of a round keep-out.
fn rod(shape: &Solid) -> Option<(Vec3, Vec3, f64)> {
    match shape {
        Solid::Cylinder { from, to, radius } | Solid::Capsule { from, to, radius } => Some((*from, *to, *radius)),
        _ => None,
    }
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

/// A collector: its inlets, where it goes from there (dashed: its body is not part of the job) and its name.
fn collector(job: &Job, routes: &Routes, collector: &Collector, index: usize, view: &View) -> String {
    let frame = frame_of(job, routes, index);
    let od = entering_od(job, collector);
    let rim = |centre: Vec3, radius: f64| -> Vec<[f64; 2]> {
        (0..24)
            .map(|k| {
                let (sin, cos) = (std::f64::consts::TAU * f64::from(k) / 24.0).sin_cos();
                view.place(centre + (frame.up * cos + frame.right() * sin) * radius)
            })
            .collect()
    };
    let mut body: Vec<[f64; 2]> =
        inlets(collector, &frame, od).into_iter().flat_map(|p| rim(p.in_plane, 0.5 * od)).collect();
    let length = collector.body.as_ref().map_or(2.2 * od, |b| b.length);
    body.extend(rim(frame.origin + frame.forward * length, 0.62 * od));
    let at = |beyond: f64| view.place(frame.origin + frame.forward * (length + beyond * od));
    let (a, b) = (at(0.3), at(1.4));
    format!(
        "<path d=\"{}\" fill=\"{PAPER}\" fill-opacity=\".6\" stroke=\"{INK}\" stroke-width=\"1.3\" \
         stroke-dasharray=\"5 4\"/>\n<path d=\"M{:.1} {:.1}L{:.1} {:.1}\" stroke=\"{INK}\" stroke-width=\"3\"/>\n{}{}",
        path(&outline(body)),
        a[0],
        a[1],
        b[0],
        b[1],
        head(a, b),
        label(0.5 * (a[0] + b[0]), b[1] - 30.0, 15.0, INK, "middle", &format!("collector “{}”", collector.name))
    )
}

/// Numbers at the ports and names of keep-outs, these where they cover least.
fn marks(job: &Job, laid: &[Laid], view: &View, bottom: f64) -> String {
    let mut out = String::new();
    let mut taken: Vec<[f64; 2]> = laid
        .iter()
        .flat_map(|run| (0..=60).map(move |i| run.line.at(run.line.length() * f64::from(i) / 60.0).origin))
        .map(|p| view.place(p))
        .collect();
    for (index, run) in laid.iter().enumerate() {
        if let RunId::Primary { cylinder } = run.id {
            let [x, y] = view.place(run.line.at(0.0).origin + run.line.at(0.0).forward * 10.0);
            out += &disc(x, y, paint::run(index), &cylinder.to_string());
        }
    }
    for keepout in &job.keepouts {
        let room = |p: &[f64; 2]| {
            let within = (70.0..WIDTH - 70.0).contains(&p[0]) && (TOP + 14.0..bottom - 6.0).contains(&p[1]);
            let near = taken.iter().map(|t| (t[0] - p[0]).hypot(1.6 * (t[1] - p[1]))).fold(160.0, f64::min);
            if within { near } else { -1.0 }
        };
        let places = faces(view, &keepout.shape);
        let best = places.iter().map(|p| (room(p), *p)).max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, at)) = best.filter(|b| b.0 > 0.0) {
            taken.push(at);
            out += &label(at[0], at[1] + 5.0, 14.0, QUIET, "middle", &keepout.name);
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

/// Places on a solid where its name may stand.
fn faces(view: &View, shape: &Solid) -> Vec<[f64; 2]> {
    let shares = || (-4..=4).map(|i| f64::from(i) / 5.0);
    if let Solid::Box { center, size, axes } = shape {
        let half = *size * 0.5;
        let face = |i: usize| {
            let (j, k) = ((i + 1) % 3, (i + 2) % 3);
            let middle = *center - axes[i] * (axes[i].dot(view.away).signum() * half[i]);
            let (u, v) = (axes[j] * half[j], axes[k] * half[k]);
            shares().flat_map(move |a| shares().map(move |b| middle + u * a + v * b))
        };
        return (0..3).flat_map(face).map(|p| view.place(p)).collect();
    }
    let Some((from, to, radius)) = rod(shape) else { return Vec::new() };
    let lift = if radius * view.scale > 20.0 { 0.0 } else { radius * view.scale + 14.0 };
    let points = (0..=60).map(|i| view.place(from + (to - from) * f64::from(i) / 60.0));
    points.flat_map(|p| [[p[0], p[1] - lift], [p[0], p[1] + lift]]).collect()
}
