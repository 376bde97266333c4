//! Clocking strips at 1:1: one for each clocking, as long as the tube is around.
//!
//! Joints with the same match marks, at both ends of a straight piece between two bends, share a strip. A joint that goes on in line
//! needs none.

use std::f64::consts::{PI, TAU};

use cutplan::assembly::{Joint, MatchMark, RunAssembly};

use super::runs::run_number;
use crate::PaperJob;
use crate::sheet::{Anchor, Drawing, Ink, Sheet, SheetKind, Stroke, Weight};
use crate::tile::{FullSize, fits, tiled, window};
use crate::words;

/// Thickness of the paper, mm: 80 g/m2 office paper is about 0.1 mm (common practice, no source). Its middle
/// lies half of it off the tube, so that the strip is pi x thickness longer than the tube is around.
pub(super) const THICKNESS: f64 = 0.1;

/// Height of a strip, mm.
const HEIGHT: f64 = 30.0;

/// From the strip's left end to its 0, as an angle, so that no mark at 0 lies on the seam.
const LEAD: f64 = PI / 6.0;

/// Paper left around strips, so that no half of a border is cut off by the drawing's own edge, mm.
const FREE: f64 = 0.5;

/// The tab that goes under the other end, mm.
const TAB: f64 = 9.0;

/// Length of the strip of a tube, mm: pi (OD + thickness of the paper).
pub(super) fn strip_length(od: f64) -> f64 {
    PI * (od + THICKNESS)
}

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let mut strips: Vec<Drawing> = Vec::new();
    for (index, run) in papers.assembly.iter().enumerate() {
        strips.extend(clockings(run).iter().map(|joints| strip(papers, index, run, joints)));
    }
    let mut out = Vec::new();
    let mut rest = strips.as_slice();
    while let Some(first) = rest.first() {
        let Some(wide) = fits([first.width, first.height], papers.paper) else {
            out.extend(paged(papers, first));
            rest = &rest[1..];
            continue;
        };
        let [width, height] = window(papers.paper, wide);
        let mut page = Drawing::new(width, height);
        for (k, line) in MARKS.into_iter().enumerate() {
            page.text([0.0, 1.5 + LINE * k as f64], 2.5, Anchor::Left, line);
        }
        let mut y = HOW_TO;
        while let Some(strip) = rest.first().filter(|s| y + s.height <= height && s.width <= width) {
            page.insert(strip, [0.0, y]);
            y += strip.height + BETWEEN;
            rest = &rest[1..];
        }
        page.height = y - BETWEEN;
        out.extend(paged(papers, &page));
    }
    out
}

/// From line to line of the words above the strips, and their height with the room below them, mm.
const LINE: f64 = 3.6;
const HOW_TO: f64 = 9.0;

/// From strip to strip, mm.
const BETWEEN: f64 = 2.0;

const MARKS: [&str; 2] = [
    "Bold line: outside of the bend upstream, or UP (FRONT on a vertical tube).",
    "Dashed line: outside of the bend downstream, or MERGE 0. Turns are looking downstream; + is clockwise.",
];

/// The joints of a run that a tube is turned at, those with the same match marks together.
fn clockings(run: &RunAssembly) -> Vec<Vec<&Joint>> {
    let same = |a: &Joint, b: &Joint| {
        let near = |(m, n): (&MatchMark, &MatchMark)| m.line == n.line && (m.angle - n.angle).abs() < 1e-6;
        a.marks.len() == b.marks.len() && a.marks.iter().zip(&b.marks).all(near)
    };
    let turned: Vec<&Joint> = run.joints.iter().filter(|j| j.kind.welded() && j.marks.len() > 1).collect();
    turned.chunk_by(|a, b| same(a, b)).map(<[&Joint]>::to_vec).collect()
}

fn paged(papers: &PaperJob<'_>, drawing: &Drawing) -> Vec<Sheet> {
    let about = "cut out and wrap around the tube: printed side out, arrow downstream".to_string();
    let full = FullSize { kind: SheetKind::Clocking, title: "Clocking strips".into(), about, drawing };
    tiled(&full, papers.paper, papers.units)
}

fn strip(papers: &PaperJob<'_>, index: usize, run: &RunAssembly, joints: &[&Joint]) -> Drawing {
    let joint = joints[0];
    let length = strip_length(run.tube.od);
    let mut strip = Drawing::new(length + TAB + 2.0 * FREE, HEIGHT + 2.0 * FREE);
    let mut d = Drawing::new(length + TAB, HEIGHT);
    d.rectangle([0.0, 0.0], [length, HEIGHT], Some(Stroke::black(0.3)), None);
    let tab = Stroke::of(0.2, Ink::GREY).dashed(&[15, 10]);
    d.lines(&[[length, 2.0], [length + TAB, 4.0], [length + TAB, HEIGHT - 4.0], [length, HEIGHT - 2.0]], tab);
    let text = d.text([length + 0.5 * TAB, 0.5 * HEIGHT], 2.3, Anchor::Middle, "tuck under");
    (text.turn, text.ink) = (0.5 * PI, Ink::GREY);
    degrees(&mut d, length);
    marks(&mut d, length, joint);
    title(papers, &mut d, (index, run), joints);
    strip.insert(&d, [FREE; 2]);
    strip
}

fn along(angle: f64, length: f64) -> f64 {
    (angle + LEAD).rem_euclid(TAU) / TAU * length
}

/// Degree marks on both edges: every 5 degrees, longer every 15, numbered every 30.
fn degrees(d: &mut Drawing, length: f64) {
    for step in 0..72 {
        let deg = step * 5;
        let x = along(f64::from(deg).to_radians(), length);
        let tick = if deg % 15 == 0 { 2.2 } else { 1.2 };
        d.line([x, 0.0], [x, tick], Stroke::black(0.18));
        d.line([x, HEIGHT], [x, HEIGHT - tick], Stroke::black(0.18));
        if deg % 30 == 0 && x > 2.0 && x < length - 2.0 {
            d.text([x, 4.1], 2.1, Anchor::Middle, deg.to_string());
            d.text([x, HEIGHT - 4.1], 2.1, Anchor::Middle, deg.to_string());
        }
    }
}

/// Width of a bold letter of a mark's name at most, mm.
const LETTER: f64 = 2.9;

/// The two match marks, edge to edge.
fn marks(d: &mut Drawing, length: f64, joint: &Joint) {
    let names: Vec<String> = joint.marks.iter().map(|m| words::mark_line(&m.line)).collect();
    // The names stand between the two marks, or one below the other where there is no room.
    let width = |name: &str| 2.0 + LETTER * name.chars().count() as f64;
    let wide = names.iter().map(|name| width(name)).sum::<f64>();
    let together = joint.marks.get(1).is_some_and(|m| m.angle.min(TAU - m.angle) * length / TAU < wide);
    for (k, (mark, name)) in joint.marks.iter().zip(names).enumerate() {
        let x = along(mark.angle, length);
        let pen = if k == 0 { Stroke::black(0.55) } else { Stroke::black(0.55).dashed(&[25, 10]) };
        d.line([x, 0.0], [x, HEIGHT], pen);
        let way = if k == 0 { 1.0 } else { -1.0 };
        for (y, up) in [(0.0, 1.0), (HEIGHT, -1.0)] {
            d.head([x, y], [0.0, -up], 3.0, Ink::BLACK);
        }
        let y = if together && k == 1 { 22.0 } else { 8.6 };
        let room = width(&name).max(12.0);
        let text = d.text([x + way * 1.0, y], 4.2, if way > 0.0 { Anchor::Left } else { Anchor::Right }, name);
        (text.weight, text.over) = (Weight::Bold, true);
        if x < room && way < 0.0 {
            (text.at[0], text.anchor) = (x + 1.0, Anchor::Left);
        }
    }
}

/// Joint and turn in words where the match marks leave most room, and the arrow of the flow.
fn title(papers: &PaperJob<'_>, d: &mut Drawing, (index, run): (usize, &RunAssembly), joints: &[&Joint]) {
    let joint = joints[0];
    let names: Vec<&str> = joints.iter().map(|j| j.name.as_str()).collect();
    let length = d.width - TAB;
    let x = clear_of_marks(length, joint);
    let y = 15.0;
    d.bubble([x + 3.2, y], 3.0, run_number(papers, index), words::run_ink(index), true);
    let name = d.text([x + 7.6, y - 2.0], 3.6, Anchor::Left, words::short(&names.join(", "), 30));
    (name.weight, name.over) = (Weight::Bold, true);
    let line = match joint.marks.get(1) {
        Some(next) => {
            let signed = if next.angle > PI { next.angle - TAU } else { next.angle };
            let around = words::exact_with_unit(signed.abs() * 0.5 * run.tube.od, papers.units);
            let to = words::mark_line(&next.line);
            format!("{to}: {} = {around}", words::turn(signed))
        }
        None => "no more bends: carry the line on".into(),
    };
    d.text([x + 7.6, y + 2.8], 2.7, Anchor::Left, line).over = true;
    flow(d, length, joint);
}

/// The arrow of the flow: at the right end, or at the left where a match mark lies there.
fn flow(d: &mut Drawing, length: f64, joint: &Joint) {
    let taken = joint.marks.iter().any(|m| along(m.angle, length) > length - ARROW);
    let x = if taken { 3.0 } else { length - 3.0 };
    let beside = if taken { 2.6 } else { -2.6 };
    d.arrow([x, 21.5], [x, 8.5], Stroke::black(0.5));
    let text = d.text([x + beside, 15.0], 2.8, Anchor::Middle, "FLOW");
    (text.turn, text.over) = (-0.5 * PI, true);
}

/// Room kept at the right for the arrow of the flow, mm.
const ARROW: f64 = 8.0;

/// The left end of the widest stretch without a match mark.
fn clear_of_marks(length: f64, joint: &Joint) -> f64 {
    let mut edges: Vec<f64> =
        joint.marks.iter().map(|m| along(m.angle, length)).filter(|x| *x < length - ARROW).collect();
    edges.extend([0.0, length - ARROW]);
    edges.sort_by(f64::total_cmp);
    let widest =
        edges.windows(2).fold([0.0, 0.0], |best, w| if w[1] - w[0] > best[1] - best[0] { [w[0], w[1]] } else { best });
    widest[0] + 1.5
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strip_is_as_long_as_the_middle_of_its_paper() {
        assert!((strip_length(44.45) - (139.644 + PI * 0.1)).abs() < 1e-3);
    }

    #[test]
    fn no_mark_at_zero_lies_on_the_seam() {
        assert!((along(0.0, 120.0) - 10.0).abs() < 1e-9);
        assert!((along(TAU - LEAD / 2.0, 120.0) - 5.0).abs() < 1e-9);
    }
}
