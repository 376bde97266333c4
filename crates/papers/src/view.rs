//! Views of tubes with hidden lines removed.
//!
//! Tubes are sampled along their centrelines; each stretch is a capsule. A point of an outline is hidden
//! when, seen along the view, a capsule lies over it and nearer to the eye. Pale fills are laid from the
//! farthest stretch to the nearest. Drawing accuracy only (a few tenths of a mm of the thing): nothing is
//! measured here.

use geom::{Centreline, Element, Vec3};

use crate::sheet::{Dash, Drawing, Ink, Placing, Point, Stroke, polyline};

/// Longest stretch of straight that is drawn as one, mm.
const STEP: f64 = 25.0;

/// Largest turn that is drawn as one, rad (7.5 degrees: the sagitta at CLR 100 is 0.2 mm).
const TURN: f64 = 0.131;

/// A tube to be drawn.
pub(crate) struct DrawnTube<'a> {
    pub line: &'a Centreline,
    pub radius: f64,
    pub ink: Ink,
    pub dash: Dash,
    /// Places along it where a ring is drawn: its joints.
    pub rings: Vec<f64>,
    /// Drawn in grey, behind what matters.
    pub faint: bool,
}

/// A direction of view.
#[derive(Debug, Clone, Copy)]
pub(crate) struct View {
    /// To the right on the page.
    pub right: Vec3,
    /// Up on the page.
    pub up: Vec3,
    /// Towards the eye.
    pub toward: Vec3,
}

impl View {
    /// Seen from `toward` with `up` about upwards.
    pub(crate) fn from(toward: Vec3, up: Vec3) -> View {
        let toward = toward.normalize();
        let right = up.cross(toward).normalize();
        View { right, up: toward.cross(right), toward }
    }

    pub(crate) fn flat(&self, p: Vec3) -> Point {
        [p.dot(self.right), p.dot(self.up)]
    }

    fn depth(&self, p: Vec3) -> f64 {
        p.dot(self.toward)
    }
}

/// A place on a tube.
#[derive(Clone, Copy)]
struct Sample {
    place: Vec3,
    flow: Vec3,
    station: f64,
}

/// A stretch between two samples, seen flat.
struct Capsule {
    tube: usize,
    a: Sample,
    b: Sample,
    flat: [Point; 2],
    depth: [f64; 2],
    radius: f64,
}

/// Samples of a centreline, its ends included.
fn samples(line: &Centreline) -> Vec<Sample> {
    let mut out = Vec::new();
    for (from, element) in line.stations() {
        let parts = match element {
            Element::Straight(s) => (s.length / STEP).ceil(),
            Element::Arc(a) => (a.angle / TURN).ceil(),
        };
        for i in 0..parts as usize {
            let s = element.length() * i as f64 / parts;
            out.push(Sample { place: element.point(s), flow: element.direction(s), station: from + s });
        }
    }
    let end = line.end();
    out.push(Sample { place: end.origin, flow: end.forward, station: line.length() });
    out
}

/// All points that a view of the tubes must hold, flat.
pub(crate) fn extent(tubes: &[DrawnTube<'_>], view: &View) -> Vec<Point> {
    let mut out = Vec::new();
    for tube in tubes {
        for s in samples(tube.line) {
            let [x, y] = view.flat(s.place);
            out.push([x - tube.radius, y - tube.radius]);
            out.push([x + tube.radius, y + tube.radius]);
        }
    }
    out
}

/// The tubes of one view, ready to be drawn.
pub(crate) struct Scene<'a> {
    tubes: &'a [DrawnTube<'a>],
    view: View,
    samples: Vec<Vec<Sample>>,
    capsules: Vec<Capsule>,
}

impl<'a> Scene<'a> {
    pub(crate) fn new(tubes: &'a [DrawnTube<'a>], view: View) -> Self {
        let samples: Vec<Vec<Sample>> = tubes.iter().map(|t| samples(t.line)).collect();
        let mut capsules = Vec::new();
        for (tube, places) in samples.iter().enumerate() {
            for pair in places.windows(2) {
                capsules.push(Capsule {
                    tube,
                    a: pair[0],
                    b: pair[1],
                    flat: [view.flat(pair[0].place), view.flat(pair[1].place)],
                    depth: [view.depth(pair[0].place), view.depth(pair[1].place)],
                    radius: tubes[tube].radius,
                });
            }
        }
        Scene { tubes, view, samples, capsules }
    }

    /// Draws fills, outlines, rings and patterned centrelines.
    pub(crate) fn draw(&self, d: &mut Drawing, placing: &Placing) {
        self.fills(d, placing);
        for (index, tube) in self.tubes.iter().enumerate() {
            let pen = if tube.faint { Stroke::of(0.18, Ink(165, 165, 165)) } else { Stroke::black(0.3) };
            self.outline(d, placing, index, pen);
            for &station in &tube.rings {
                self.ring(d, placing, index, station, Stroke::black(0.3));
            }
            for station in [0.0, tube.line.length()] {
                self.ring(d, placing, index, station, pen);
            }
            if !tube.faint {
                let dash = Stroke { width: 0.7, ink: tube.ink, dash: tube.dash };
                self.centre(d, placing, index, dash);
            }
        }
    }

    fn fills(&self, d: &mut Drawing, placing: &Placing) {
        let mut order: Vec<&Capsule> = self.capsules.iter().collect();
        order.sort_by(|a, b| (a.depth[0] + a.depth[1]).total_cmp(&(b.depth[0] + b.depth[1])));
        for capsule in order {
            let tube = &self.tubes[capsule.tube];
            let fill = if tube.faint { Ink(246, 246, 246) } else { tube.ink.lighter(0.80) };
            let mut places = hull(&self.discs(capsule));
            places.iter_mut().for_each(|p| *p = placing.at(*p));
            let mut steps = polyline(&places);
            steps.push(crate::sheet::PenStep::Close);
            d.path(steps, None, Some(fill));
        }
    }

    /// Points around both ends of a capsule, flat, a little longer than it is so that no seam shows. Where it is
    /// seen from the side, the four corners of its outline are enough.
    fn discs(&self, c: &Capsule) -> Vec<Point> {
        let mut out = Vec::new();
        if let (Some(side_a), Some(side_b)) = (self.seen_aside(c.a.flow), self.seen_aside(c.b.flow)) {
            for (s, side, on) in [(&c.a, side_a, -0.4), (&c.b, side_b, 0.4)] {
                let centre = s.place + s.flow * on;
                out.extend([1.0, -1.0].map(|k| self.view.flat(centre + side * (k * c.radius))));
            }
            return out;
        }
        for (s, on) in [(&c.a, -0.4), (&c.b, 0.4)] {
            let (u, v) = across(s.flow);
            let centre = s.place + s.flow * on;
            for k in 0..12 {
                let a = std::f64::consts::TAU * f64::from(k) / 12.0;
                out.push(self.view.flat(centre + (u * a.cos() + v * a.sin()) * c.radius));
            }
            // The two points of the outline itself.
            if let Some(side) = self.side(s.flow) {
                out.push(self.view.flat(centre + side * c.radius));
                out.push(self.view.flat(centre - side * c.radius));
            }
        }
        out
    }

    /// The same as `side`, where less than two thirds of the flow looks at the eye.
    fn seen_aside(&self, flow: Vec3) -> Option<Vec3> {
        self.side(flow).filter(|_| flow.dot(self.view.toward).abs() < 0.67)
    }

    /// Unit vector across the flow and the view; none where the flow looks at the eye.
    fn side(&self, flow: Vec3) -> Option<Vec3> {
        let side = self.view.toward.cross(flow);
        (side.length() > 0.03).then(|| side.normalize())
    }

    /// Whether something lies over a point of tube `own` at `station`.
    fn hidden(&self, own: usize, station: f64, point: Vec3) -> bool {
        let (p, depth) = (self.view.flat(point), self.view.depth(point));
        self.capsules.iter().any(|c| {
            let beside =
                c.tube == own && (c.a.station - station).abs().min((c.b.station - station).abs()) < 1.2 * c.radius;
            if beside {
                return false;
            }
            let [a, b] = c.flat;
            let near = |k: usize| p[k] > a[k].min(b[k]) - c.radius && p[k] < a[k].max(b[k]) + c.radius;
            if !(near(0) && near(1)) {
                return false;
            }
            let (d, e) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
            let n = d[0] * d[0] + d[1] * d[1];
            let t = if n > 1e-12 { ((d[0] * e[0] + d[1] * e[1]) / n).clamp(0.0, 1.0) } else { 0.0 };
            let away = (e[0] - t * d[0]).hypot(e[1] - t * d[1]);
            if away >= c.radius - 0.4 {
                return false;
            }
            let over = c.depth[0] + t * (c.depth[1] - c.depth[0]) + (c.radius * c.radius - away * away).sqrt();
            over > depth + 0.6
        })
    }

    /// Draws the seen stretches of a line of places, each with its station.
    fn seen(&self, d: &mut Drawing, placing: &Placing, own: usize, places: &[(f64, Vec3)], pen: Stroke) {
        let mut run: Vec<Point> = Vec::new();
        let flush = |d: &mut Drawing, run: &mut Vec<Point>| {
            if run.len() > 1 {
                d.lines(run, pen);
            }
            run.clear();
        };
        for pair in places.windows(2) {
            let middle = (pair[0].1 + pair[1].1) * 0.5;
            if self.hidden(own, 0.5 * (pair[0].0 + pair[1].0), middle) {
                flush(d, &mut run);
                continue;
            }
            if run.is_empty() {
                run.push(placing.at(self.view.flat(pair[0].1)));
            }
            run.push(placing.at(self.view.flat(pair[1].1)));
        }
        flush(d, &mut run);
    }

    fn outline(&self, d: &mut Drawing, placing: &Placing, index: usize, pen: Stroke) {
        let radius = self.tubes[index].radius;
        for side in [1.0, -1.0] {
            let mut places = Vec::new();
            for s in finer(&self.samples[index]) {
                match self.side(s.flow) {
                    Some(across) => places.push((s.station, s.place + across * (side * radius))),
                    None => {
                        self.seen(d, placing, index, &places, pen);
                        places.clear();
                    }
                }
            }
            self.seen(d, placing, index, &places, pen);
        }
    }

    /// The half of a ring around the tube that looks at the eye; all of it at an end that does.
    fn ring(&self, d: &mut Drawing, placing: &Placing, index: usize, station: f64, pen: Stroke) {
        let tube = &self.tubes[index];
        let frame = tube.line.at(station);
        let (u, v) = across(frame.forward);
        let ends = [(0.0, -1.0), (tube.line.length(), 1.0)];
        let open =
            ends.iter().any(|(s, way)| (station - s).abs() < 1e-6 && way * frame.forward.dot(self.view.toward) > 0.03);
        let mut places: Vec<(f64, Vec3)> = Vec::new();
        for k in 0..=48 {
            let a = std::f64::consts::TAU * f64::from(k) / 48.0;
            let out = u * a.cos() + v * a.sin();
            if open || out.dot(self.view.toward) > -1e-9 {
                places.push((station, frame.origin + out * tube.radius));
            } else {
                self.seen(d, placing, index, &places, pen);
                places.clear();
            }
        }
        self.seen(d, placing, index, &places, pen);
    }

    fn centre(&self, d: &mut Drawing, placing: &Placing, index: usize, pen: Stroke) {
        let radius = self.tubes[index].radius;
        let lift = |s: &Sample| {
            let up = self.view.toward.reject_from_normalized(s.flow);
            s.place + up.try_normalize().map_or(Vec3::ZERO, |u| u * radius)
        };
        let places: Vec<(f64, Vec3)> = finer(&self.samples[index]).iter().map(|s| (s.station, lift(s))).collect();
        // Seen along the tube's crown, but drawn where the centreline is.
        let mut run: Vec<Point> = Vec::new();
        let flat = |s: &Sample| placing.at(self.view.flat(s.place));
        let fine = finer(&self.samples[index]);
        for (k, pair) in places.windows(2).enumerate() {
            if self.hidden(index, 0.5 * (pair[0].0 + pair[1].0), (pair[0].1 + pair[1].1) * 0.5) {
                if run.len() > 1 {
                    d.lines(&run, pen);
                }
                run.clear();
                continue;
            }
            if run.is_empty() {
                run.push(flat(&fine[k]));
            }
            run.push(flat(&fine[k + 1]));
        }
        if run.len() > 1 {
            d.lines(&run, pen);
        }
    }
}

/// The samples with one more in the middle of long stretches, so that hiding begins near where it should.
fn finer(samples: &[Sample]) -> Vec<Sample> {
    let mut out = Vec::new();
    for pair in samples.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let parts = ((b.station - a.station) / 6.0).ceil().clamp(1.0, 8.0);
        for i in 0..parts as usize {
            let t = i as f64 / parts;
            let flow = (a.flow * (1.0 - t) + b.flow * t).normalize();
            // Between two samples of an arc the chord's place is within its sagitta.
            out.push(Sample {
                place: a.place.lerp(b.place, t),
                flow,
                station: a.station + t * (b.station - a.station),
            });
        }
    }
    out.extend(samples.last().copied());
    out
}

/// Two unit vectors across a direction.
fn across(flow: Vec3) -> (Vec3, Vec3) {
    let u = geom::any_perpendicular(flow);
    (u, flow.cross(u))
}

/// Corners of the convex hull of points, in order around (Andrew's monotone chain, 1979; from memory).
pub(crate) fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let turn = |o: Point, a: Point, b: Point| (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
    let half = |places: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for p in places {
            while chain.len() > 1 && turn(chain[chain.len() - 2], chain[chain.len() - 1], p) <= 0.0 {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut out = half(&mut sorted.iter().copied());
    out.extend(half(&mut sorted.iter().rev().copied()));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::Mark;

    fn tube(points: &[Vec3]) -> Centreline {
        Centreline::from_points(points, &vec![60.0; points.len() - 2]).unwrap()
    }

    fn drawn(lines: &[Centreline]) -> Vec<[Point; 2]> {
        let tubes: Vec<DrawnTube<'_>> = lines
            .iter()
            .map(|line| DrawnTube {
                line,
                radius: 20.0,
                ink: Ink::BLACK,
                dash: Dash::Solid,
                rings: vec![],
                faint: true,
            })
            .collect();
        let view = View::from(Vec3::Z, Vec3::Y);
        let mut d = Drawing::new(100.0, 100.0);
        let placing = Placing { origin: [0.0, 0.0], scale: 1.0, turn: 0.0 };
        Scene::new(&tubes, view).draw(&mut d, &placing);
        let stroked = |m: &Mark| matches!(m, Mark::Path { stroke: Some(_), .. });
        d.marks.iter().filter(|m| stroked(m)).map(Mark::extent).collect()
    }

    #[test]
    fn what_lies_under_another_tube_is_not_drawn() {
        let over = tube(&[Vec3::new(-100.0, 0.0, 100.0), Vec3::new(100.0, 0.0, 100.0)]);
        let under = tube(&[Vec3::new(0.0, -100.0, 0.0), Vec3::new(0.0, 100.0, 0.0)]);
        // Outlines of the one below, at x = -20 and 20, stop near y = -20 and begin again near 20.
        let broken: Vec<[Point; 2]> =
            drawn(&[over, under]).into_iter().filter(|[a, b]| b[0] - a[0] < 1e-6 && b[1] - a[1] > 50.0).collect();
        assert_eq!(broken.len(), 4, "{broken:?}");
        assert!(broken.iter().all(|[a, b]| b[1] - a[1] < 90.0));
    }

    #[test]
    fn a_hull_leaves_out_what_is_inside() {
        let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0], [0.5, 0.5], [0.5, 0.0]];
        assert_eq!(hull(&square).len(), 4);
    }
}
