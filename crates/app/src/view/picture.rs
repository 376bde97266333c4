//! A small picture of a job for lists: runs in their colours seen from beside and above, keep-outs faint behind them.

use std::fmt::Write as _;

use geom::{Aabb, Centreline, Vec3};
use job::model::Job;
use job::palette::run_colour_hex;
use job::routes::Routes;
use route::laid::lay;

use super::line::bare_line;

/// Size of the picture.
const WIDTH: f64 = 320.0;
/// See [`WIDTH`].
const HEIGHT: f64 = 200.0;
/// Room around what is drawn.
const ROOM: f64 = 14.0;

/// The picture as SVG; without routes the ports and collectors alone.
pub fn picture(job: &Job, routes: Option<&Routes>) -> String {
    let laid = routes.and_then(|r| lay(job, r).ok()).unwrap_or_default();
    let mut lines: Vec<(f64, f64, usize, Vec<Vec3>)> = Vec::new();
    for (number, run) in laid.iter().enumerate() {
        let points: Vec<Vec3> = bare_line(&run.line).xyz.into_iter().map(Vec3::from).collect();
        lines.push((nearness(&run.line), 2.0 * run.radius, number, points));
    }
    // The farthest first, so that the nearer run lies on top.
    lines.sort_by(|a, b| b.0.total_cmp(&a.0));
    let ends = job.ports.iter().map(|p| p.at).chain(job.collectors.iter().map(|c| c.at));
    let all: Vec<Vec3> = lines.iter().flat_map(|l| l.3.iter().copied()).chain(ends).collect();
    let frame = Frame::around(&all);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\">\
         <g fill=\"none\" stroke-linecap=\"round\" stroke-linejoin=\"round\">"
    );
    for keepout in &job.keepouts {
        out += &outline(&frame, keepout.shape.bounds());
    }
    for (_, od, number, points) in &lines {
        let path = path(&frame, points);
        let width = (od * frame.scale).max(1.5);
        let colour = run_colour_hex(*number);
        let _ = write!(out, "<path d=\"{path}\" stroke=\"#fff\" stroke-width=\"{:.1}\"/>", width + 2.0);
        let _ = write!(out, "<path d=\"{path}\" stroke=\"{colour}\" stroke-width=\"{width:.1}\"/>");
    }
    out += "</g>";
    for end in job.ports.iter().map(|p| p.at).chain(job.collectors.iter().map(|c| c.at)) {
        let [x, y] = frame.place(end);
        let _ = write!(out, "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"2.5\" fill=\"#6b6b6b\"/>");
    }
    out + "</svg>\n"
}

/// Unit vectors of the picture: away from the eye, which is beside, a little before and above.
fn axes() -> [Vec3; 3] {
    let (turn, rise) = (0.52_f64, 0.50_f64);
    let away = -Vec3::new(turn.sin() * rise.cos(), turn.cos() * rise.cos(), rise.sin());
    let right = away.cross(Vec3::Z).normalize();
    [right, away.cross(right), away]
}

fn nearness(line: &Centreline) -> f64 {
    line.at(0.5 * line.length()).origin.dot(axes()[2])
}

/// Where the picture lies in the bay.
struct Frame {
    scale: f64,
    shift: [f64; 2],
}

impl Frame {
    fn around(points: &[Vec3]) -> Frame {
        let [right, down, _] = axes();
        let span = |axis: Vec3| {
            let all = points.iter().map(|p| p.dot(axis));
            all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)))
        };
        let ((left, far), (top, bottom)) = (span(right), span(down));
        if points.is_empty() {
            return Frame { scale: 1.0, shift: [0.0, 0.0] };
        }
        let fit = |room: f64, length: f64| (room - 2.0 * ROOM) / length.max(1.0);
        let scale = fit(WIDTH, far - left).min(fit(HEIGHT, bottom - top)).min(1.0);
        Frame { scale, shift: [0.5 * (WIDTH - scale * (left + far)), 0.5 * (HEIGHT - scale * (top + bottom))] }
    }

    fn place(&self, p: Vec3) -> [f64; 2] {
        let [right, down, _] = axes();
        [self.shift[0] + self.scale * p.dot(right), self.shift[1] + self.scale * p.dot(down)]
    }
}

fn path(frame: &Frame, points: &[Vec3]) -> String {
    let mut out = String::new();
    for (i, p) in points.iter().enumerate() {
        let [x, y] = frame.place(*p);
        let _ = write!(out, "{}{x:.1} {y:.1}", if i == 0 { "M" } else { "L" });
    }
    out
}

/// The twelve edges of a box.
fn outline(frame: &Frame, bounds: Aabb) -> String {
    let corner = |i: usize| {
        let pick = |bit: usize, low: f64, high: f64| if i & bit == 0 { low } else { high };
        let (a, b) = (bounds.min, bounds.max);
        Vec3::new(pick(1, a.x, b.x), pick(2, a.y, b.y), pick(4, a.z, b.z))
    };
    let mut d = String::new();
    for i in 0..8 {
        for bit in [1, 2, 4] {
            if i & bit == 0 {
                let ([x, y], [u, v]) = (frame.place(corner(i)), frame.place(corner(i | bit)));
                let _ = write!(d, "M{x:.1} {y:.1}L{u:.1} {v:.1}");
            }
        }
    }
    format!("<path d=\"{d}\" stroke=\"#b8b8b8\" stroke-width=\".8\"/>")
}

#[cfg(test)]
mod tests {
    use job::palette::{RUN_COLOURS, run_colour_hex};

    #[test]
    fn the_page_has_the_colours_of_sheets_and_exports() {
        let page = include_str!("../../../../web/src/view3d/palette.ts");
        let colours: Vec<String> = (0..RUN_COLOURS.len()).map(|k| format!("'{}'", run_colour_hex(k))).collect();
        let wanted = format!("RUN_COLOURS = [{}] as const", colours.join(", "));
        assert!(page.contains(&wanted), "palette.ts must say `{wanted}`");
    }
}
