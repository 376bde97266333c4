//! Trial pieces to print: a run in parts that fit a printer's bed, each keyed to the next.
//!
//! A part has the tube's true outside and a narrow bore. Its downstream end carries a spigot with a flat, the next part's
//! upstream end a socket of the same shape, wider by the play; the flat lies on the line drawn along the tube wall, so that
//! two parts go together at one clocking only. Spigot and socket are straight along the centreline's tangent, also
//! on a bend. Each part carries its mark in raised letters and lies on a flat face: its upstream end, or a flat taken off
//! the outside below. Everything is one loft of rings with equally many points: outside, spigot, bore, socket. No boolean is
//! needed and the mesh is watertight by construction.
//!
//! Sizes are shares of the tube's radius (common practice, no source): see `Key`.

use std::f64::consts::TAU;

use geom::{Centreline, Element, Frame, Vec3};

use crate::elements::elements;
use crate::emboss::{HEIGHT, Word};
use crate::mesh::{Ring, Triangles, circle, points_around, profile, stations};
use crate::{ExportError, Run};

/// How trial pieces are printed. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Printing {
    /// Bed and height.
    pub bed: [f64; 3],
    /// Gap all around between spigot and socket: what a printer with a 0.4 mm nozzle needs (common practice, no source).
    pub play: f64,
    /// How far the mesh may be from the true surface.
    pub tolerance: f64,
}

impl Default for Printing {
    fn default() -> Self {
        Printing { bed: [220.0, 220.0, 250.0], play: 0.2, tolerance: 0.02 }
    }
}

/// A part ready to print: it lies on the bed, its least corner at the origin.
#[derive(Debug, Clone)]
pub struct TrialPart {
    /// The piece's mark, and a number behind it when the piece is printed in several parts: `1A`, `1B-2`.
    pub name: String,
    /// The run it belongs to.
    pub run: String,
    /// The run's number, from 0.
    pub number: usize,
    /// Its stretch of the run's centreline, mm.
    pub stretch: [f64; 2],
    /// The mesh.
    pub mesh: Triangles,
}

impl TrialPart {
    /// The colour of its run: red, green and blue from 0 to 1.
    pub fn colour(&self) -> [f64; 3] {
        crate::header::colour(self.number)
    }
}

/// The shape of spigot and socket at one joint, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Key {
    /// Radius of the spigot: 0.76 of the tube's leaves a wall for the socket.
    radius: f64,
    /// From the middle to the flat: 0.80 of the spigot's radius.
    flat: f64,
    /// Length of the spigot.
    length: f64,
    /// Radius of the bore: half of the tube's.
    bore: f64,
    /// Wall left outside of the socket at least.
    wall: f64,
}

impl Key {
    /// For a tube of outside radius `r` between parts of the given lengths, the sharpest bend beside it having `clr`.
    fn new(r: f64, shorter: f64, clr: f64, play: f64) -> Key {
        let radius = 0.76 * r;
        let wall = r - radius - play;
        // On a bend a straight socket leaves the middle by length^2 / (2 CLR): at most a third of the wall.
        let straight = (2.0 * clr * wall / 3.0).sqrt();
        let length = (0.45 * r).min(straight).min(0.4 * shorter);
        Key { radius, flat: 0.80 * radius, length, bore: 0.5 * r, wall }
    }

    /// Distance from the middle at an angle from the flat's middle.
    fn at(&self, angle: f64, play: f64) -> f64 {
        let towards = angle.cos();
        let flat = if towards > 1e-9 { (self.flat + play) / towards } else { f64::INFINITY };
        (self.radius + play).min(flat)
    }
}

/// The trial pieces of a run: each piece of it in as many equal parts as the bed asks for.
///
/// # Errors
/// [`ExportError::SmallBed`].
pub fn trial(run: &Run, printing: &Printing) -> Result<Vec<TrialPart>, ExportError> {
    let mut cuts: Vec<(String, [f64; 2])> = Vec::new();
    let mut from = 0.0;
    for part in &run.parts {
        let to = from + part.line.length();
        let count = parts_needed(run, [from, to], printing)?;
        let step = (to - from) / count as f64;
        for i in 0..count {
            let name = if count == 1 { part.mark.clone() } else { format!("{}-{}", part.mark, i + 1) };
            cuts.push((name, [from + step * i as f64, from + step * (i + 1) as f64]));
        }
        from = to;
    }
    let keys: Vec<Key> = cuts.windows(2).map(|pair| key_between(run, pair[0].1, pair[1].1, printing)).collect();
    let mut parts = Vec::new();
    for (i, (name, stretch)) in cuts.iter().enumerate() {
        let (before, after) = (i.checked_sub(1).map(|b| keys[b]), keys.get(i).copied());
        let line = run.line.stretch(stretch[0], stretch[1]);
        let mesh = part(run, *stretch, [before, after], name, printing);
        let mesh = laid(mesh, &line, 0.5 * run.od, printing).ok_or_else(|| small(run, printing))?;
        let (run_name, number) = (run.name.clone(), run.number);
        parts.push(TrialPart { name: name.clone(), run: run_name, number, stretch: *stretch, mesh });
    }
    Ok(parts)
}

fn small(run: &Run, printing: &Printing) -> ExportError {
    let [x, y, z] = printing.bed;
    ExportError::SmallBed { bed: format!("{x} x {y} x {z}"), od: run.od, least: (1.5 * run.od + 2.0).ceil() }
}

fn key_between(run: &Run, before: [f64; 2], after: [f64; 2], printing: &Printing) -> Key {
    let shorter = (before[1] - before[0]).min(after[1] - after[0]);
    let near = run.line.bends().filter(|b| {
        let end = b.from + b.arc.radius * b.arc.angle;
        b.from < before[1] + run.od && end > before[1] - run.od
    });
    let clr = near.map(|b| b.arc.radius).fold(f64::INFINITY, f64::min).min(1e6);
    Key::new(0.5 * run.od, shorter, clr, printing.play)
}

/// Into how many equal parts a stretch must go so that each fits the bed.
fn parts_needed(run: &Run, [from, to]: [f64; 2], printing: &Printing) -> Result<usize, ExportError> {
    let most = ((to - from) / (0.3 * run.od)).ceil().max(1.0) as usize;
    let spigot = 0.25 * run.od;
    // The outline is coarse and has no letters: what fits a bed smaller by both fits with them.
    let coarse = 0.2;
    let bed = printing.bed.map(|side| side - HEIGHT - 2.0 * coarse);
    let inner = Printing { bed, ..*printing };
    let fits = |count: usize| {
        (0..count).all(|i| {
            let step = (to - from) / count as f64;
            let (a, b) = (from + step * i as f64, from + step * (i + 1) as f64);
            // As long as with its spigot: a straight on behind.
            let line = run.line.stretch(a, b);
            let mut mesh = crate::mesh::tube(&line, run.od, 0.0, crate::Body::Solid, coarse);
            let end = line.end();
            mesh.points.extend(circle(&Frame { origin: end.origin + end.forward * spigot, ..end }, 0.4 * run.od, 16));
            laid(mesh, &line, 0.5 * run.od, &inner).is_some()
        })
    };
    // Smaller beds give smaller parts: the first count that fits is the least.
    (1..=most).find(|count| fits(*count)).ok_or_else(|| small(run, printing))
}

/// One part called `name`: outside from start to end, spigot, bore back to the start, socket.
fn part(
    run: &Run,
    [from, to]: [f64; 2],
    [before, after]: [Option<Key>; 2],
    name: &str,
    printing: &Printing,
) -> Triangles {
    let r = 0.5 * run.od;
    let line = run.line.stretch(from, to);
    let frames = stations(&line, r, printing.tolerance);
    let bore = 0.5 * r;
    let word = word(&line, name);
    // Letters need points closer than their fields.
    let fine = if word.is_some() { ((TAU * r / LETTER_STEP / 4.0).ceil() as usize).min(250) * 4 } else { 0 };
    let n = points_around(r, printing.tolerance).max(fine);
    let mut rings: Vec<Ring> = outside(&line, r, n, word.as_ref(), printing.tolerance);
    let ahead = |f: &Frame, by: f64| Frame { origin: f.origin + f.forward * by, ..*f };
    let end = line.end();
    if let Some(key) = after {
        rings.push(profile(&end, n, |angle| key.at(angle, 0.0)));
        let tip = ahead(&end, key.length);
        rings.push(profile(&tip, n, |angle| key.at(angle, 0.0)));
        rings.push(circle(&tip, key.bore, n));
    }
    let start = line.start();
    let depth = before.map(|key| key.length + SPARE);
    let begins = depth.map_or(0.0, |d| bore_begins(&line, &start, d, bore, n));
    rings.extend(bore_rings(&line, &frames, begins, bore, n));
    if let (Some(key), Some(depth)) = (before, depth) {
        rings.push(profile(&ahead(&start, depth), n, |angle| key.at(angle, printing.play)));
        rings.push(profile(&start, n, |angle| key.at(angle, printing.play)));
    }
    Triangles::loft(&rings, true)
}

/// Step of the outside's points within letters, mm.
const LETTER_STEP: f64 = 0.5;

/// The part's name on the side that looks up when it lies on the bed.
fn word(line: &Centreline, name: &str) -> Option<Word> {
    let length = line.length();
    let middle = line.at(0.5 * length);
    let [_, _, across] = lying(line);
    let angle = across.dot(middle.right()).atan2(across.dot(middle.up));
    Word::new(name, 0.5 * length, angle, length - 8.0)
}

/// Rings of the outside, close together where letters stand out.
fn outside(line: &Centreline, r: f64, n: usize, word: Option<&Word>, tolerance: f64) -> Vec<Ring> {
    let mut at: Vec<f64> = vec![0.0];
    for element in elements(line) {
        let from = at[at.len() - 1];
        let parts = match element {
            Element::Straight(_) => 1,
            Element::Arc(a) => {
                let step = 2.0 * (1.0 - (tolerance / (a.radius + r)).min(0.3)).acos();
                (a.angle / step).ceil().clamp(1.0, 2000.0) as usize
            }
        };
        at.extend((1..=parts).map(|i| from + element.length() * i as f64 / parts as f64));
    }
    if let Some(word) = word {
        let (from, count) = (0.5 * line.length() - word.half_length(), (2.0 * word.half_length() / LETTER_STEP).ceil());
        at.extend((0..=count as usize).map(|i| from + 2.0 * word.half_length() * i as f64 / count));
        at.sort_by(f64::total_cmp);
        at.dedup_by(|b, a| *b - *a < 1e-3);
    }
    let end = line.length();
    at.into_iter()
        .map(|s| {
            let raised = |angle: f64| word.is_some_and(|w| w.is_raised(s, angle, r));
            profile(&line.at(s.min(end)), n, |angle| if raised(angle) { r + HEIGHT } else { r })
        })
        .collect()
}

/// How much deeper a socket is than its spigot is long, mm: the faces meet, not the bottom (common practice, no source).
const SPARE: f64 = 0.4;

/// Where on the centreline the bore may begin so that it lies wholly behind a socket of `depth`.
fn bore_begins(line: &Centreline, start: &Frame, depth: f64, bore: f64, n: usize) -> f64 {
    let mut s = depth + 0.2;
    while s < line.length() {
        let ring = circle(&line.at(s), bore, n);
        if ring.iter().all(|p| (*p - start.origin).dot(start.forward) > depth + 0.1) {
            break;
        }
        s += 0.25;
    }
    s.min(line.length())
}

/// The bore's rings from the end of the part back to where it begins.
fn bore_rings(line: &Centreline, frames: &[Frame], begins: f64, bore: f64, n: usize) -> Vec<Ring> {
    let first = line.at(begins);
    let mut rings = Vec::new();
    for frame in frames.iter().rev() {
        // A frame counts while it lies ahead of the first one.
        if (frame.origin - first.origin).dot(first.forward) <= 0.1 && near(frame, &first, bore) {
            break;
        }
        rings.push(circle(frame, bore, n));
    }
    rings.push(circle(&first, bore, n));
    rings
}

fn near(a: &Frame, b: &Frame, bore: f64) -> bool {
    (a.origin - b.origin).length() < 4.0 * bore
}

/// Along a part, towards the outside of its bend, and across both.
fn lying(line: &Centreline) -> [Vec3; 3] {
    let (a, b) = (line.start(), line.end());
    let along = (b.origin - a.origin).try_normalize().unwrap_or(a.forward);
    let middle = line.at(0.5 * line.length()).origin - 0.5 * (a.origin + b.origin);
    let bulge = middle.reject_from_normalized(along);
    // What a straight part bulges is rounding and points anywhere.
    let bulge = if bulge.length() > 1e-6 { bulge.normalize() } else { geom::any_perpendicular(along) };
    [along, bulge, along.cross(bulge)]
}

/// Least face that a part lies on, mm2.
const FOOT: f64 = 60.0;

/// Share of the tube's radius that is taken off flat where a part would touch the bed along a line only.
const FLAT: f64 = 0.04;

/// The mesh turned so that it fits the bed and moved onto it, on a flat face: standing on its upstream end, or lying with a
/// flat taken off below; of those that do, the lowest.
fn laid(mesh: Triangles, line: &Centreline, r: f64, printing: &Printing) -> Option<Triangles> {
    let [along, bulge, across] = lying(line);
    let face = line.start().forward;
    let beside = geom::any_perpendicular(face);
    let aside = face.cross(beside);
    // Rows: which way of the part becomes x, y and z of the printer.
    let ways = [
        [beside, aside, face],
        [aside, -beside, face],
        [along, bulge, across],
        [bulge, -along, across],
        [across, along, bulge],
        [along, -across, bulge],
    ];
    let mut best: Option<(bool, f64, Triangles)> = None;
    for [x, y, z] in ways {
        let turned = |p: &Vec3| Vec3::new(p.dot(x), p.dot(y), p.dot(z));
        let none = [Vec3::INFINITY, Vec3::NEG_INFINITY];
        let [low, high] = mesh.points.iter().map(turned).fold(none, |[l, h], p| [l.min(p), h.max(p)]);
        let size = high - low;
        if size.x > printing.bed[0] || size.y > printing.bed[1] || size.z > printing.bed[2] {
            continue;
        }
        let mut placed = mesh.clone();
        placed.points.iter_mut().for_each(|p| *p = turned(p) - low);
        if placed.foot() < FOOT {
            placed.points.iter_mut().for_each(|p| p.z = (p.z - FLAT * r).max(0.0));
        }
        let firm = placed.foot() >= FOOT;
        let better = best.as_ref().is_none_or(|(was, height, _)| (firm, -size.z) > (*was, -*height));
        if better {
            best = Some((firm, size.z, placed));
        }
    }
    best.map(|(_, _, mesh)| mesh)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::HeaderPiece;

    fn run(points: &[Vec3], radii: &[f64]) -> Run {
        let line = Centreline::from_points(points, radii).unwrap();
        let half = 0.5 * line.length();
        let parts = vec![
            HeaderPiece { mark: "1A".into(), line: line.stretch(0.0, half) },
            HeaderPiece { mark: "1B".into(), line: line.stretch(half, line.length()) },
        ];
        Run { name: "primary 1".into(), number: 0, line, od: 44.45, wall: 1.65, parts }
    }

    fn bent() -> Run {
        let v = Vec3::new;
        run(&[v(0.0, 0.0, 0.0), v(300.0, 0.0, 0.0), v(300.0, 200.0, 0.0), v(300.0, 200.0, 200.0)], &[76.2, 57.15])
    }

    #[test]
    fn every_part_fits_the_bed_and_together_they_are_the_run() {
        let run = bent();
        let printing = Printing { bed: [120.0, 120.0, 100.0], ..Printing::default() };
        let parts = trial(&run, &printing).unwrap();
        assert!(parts.len() > 4);
        for part in &parts {
            let [low, high] = part.mesh.bounds();
            assert!(low.length() < 1e-9 && high.x <= 120.0 && high.y <= 120.0 && high.z <= 100.0, "{high}");
            assert!(part.mesh.volume() > 0.0);
            assert!(part.mesh.foot() >= FOOT, "{} touches the bed on {} mm2", part.name, part.mesh.foot());
        }
        let ends: Vec<f64> = parts.iter().flat_map(|p| p.stretch).collect();
        assert!(ends[0] == 0.0 && (ends[ends.len() - 1] - run.line.length()).abs() < 1e-9);
        assert!(ends[1..ends.len() - 1].chunks(2).all(|c| (c[0] - c[1]).abs() < 1e-9));
    }

    #[test]
    fn marks_stand_out_of_the_tube_and_more_play_widens_the_socket_only() {
        let run = bent();
        let length = run.line.length();
        let key = |play: f64| Key::new(22.225, 100.0, 76.2, play);
        assert!(
            key(0.5).radius == key(0.1).radius && (key(0.5).at(1.0, 0.5) - key(0.1).at(1.0, 0.1) - 0.4).abs() < 1e-9
        );
        let mesh = part(&run, [0.0, 0.5 * length], [None, None], "1A", &Printing::default());
        let line = run.line.stretch(0.0, 0.5 * length);
        let out = |p: &Vec3| {
            line.elements().iter().map(|e| geom::distance_point_element(*p, e).0).fold(f64::INFINITY, f64::min)
        };
        let raised = mesh.points.iter().filter(|p| (out(p) - 22.225 - HEIGHT).abs() < 1e-6).count();
        assert!(raised > 100, "{raised}");
    }

    #[test]
    fn a_spigot_goes_into_its_socket_at_one_clocking_only() {
        let key = Key::new(22.225, 100.0, 76.2, 0.2);
        let turned = |by: f64| {
            (0..720).all(|i| {
                let angle = f64::from(i).to_radians() * 0.5;
                key.at(angle, 0.0) < key.at(angle + by, 0.2)
            })
        };
        assert!(turned(0.0));
        assert!((3..=357).all(|d| !turned(f64::from(d).to_radians())));
        assert!(key.wall > 2.0 && key.length > 5.0 && key.bore < key.flat);
    }

    #[test]
    fn spigot_and_socket_meet_in_place_with_the_play_all_around() {
        let run = bent();
        let printing = Printing::default();
        let middle = 0.5 * run.line.length();
        let (before, after) = ([0.0, middle], [middle, run.line.length()]);
        let key = key_between(&run, before, after, &printing);
        let male = part(&run, before, [None, Some(key)], "1A", &printing);
        let female = part(&run, after, [Some(key), None], "1B", &printing);
        let joint = run.line.at(middle);
        // Points of a mesh between two depths beyond the joint, across the tube, outside of the bore.
        let across = |mesh: &Triangles, from: f64, to: f64| -> Vec<Vec3> {
            let deep = |p: &&Vec3| {
                ((**p - joint.origin).dot(joint.forward) - from) * ((**p - joint.origin).dot(joint.forward) - to) <= 0.0
            };
            let flat = |p: &Vec3| (*p - joint.origin).reject_from_normalized(joint.forward);
            mesh.points
                .iter()
                .filter(deep)
                .map(flat)
                .filter(|p| p.length() > key.bore + 1.0 && p.length() < 20.0)
                .collect()
        };
        let spigot = across(&male, key.length - 0.01, key.length + 0.01);
        let socket = across(&female, key.length + SPARE - 0.01, key.length + SPARE + 0.01);
        assert!(spigot.len() > 60 && socket.len() == spigot.len(), "{} {}", spigot.len(), socket.len());
        for p in &spigot {
            let gap = socket.iter().map(|q| (*q - *p).length()).fold(f64::INFINITY, f64::min);
            assert!((0.19..0.3).contains(&gap), "{gap}");
        }
    }

    #[test]
    fn a_part_that_just_fits_without_its_letters_is_split() {
        // Bends of every size around the bed's: somewhere only the letters stand out of it.
        let printing = Printing { bed: [150.0, 150.0, 120.0], ..Printing::default() };
        let start = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z };
        for clr in (0..=80).map(|i| 50.0 + 0.25 * f64::from(i)) {
            let bend = geom::LraStep { length: 0.0, rotation: 0.0, angle: 2.9, clr };
            let line = Centreline::from_steps(start, &[bend], 20.0).unwrap();
            let parts = vec![HeaderPiece { mark: "1A".into(), line: line.clone() }];
            let run = Run { name: "primary 1".into(), number: 0, line, od: 40.0, wall: 1.5, parts };
            assert!(trial(&run, &printing).is_ok(), "CLR {clr}");
        }
    }

    #[test]
    fn a_bed_that_is_too_small_is_said() {
        let printing = Printing { bed: [40.0, 40.0, 40.0], ..Printing::default() };
        assert!(matches!(trial(&bent(), &printing), Err(ExportError::SmallBed { .. })));
    }
}
