//! The camera, and solids as facets that are painted from the back to the front.

use geom::{Centreline, Vec3};

/// Facets around a tube.
const AROUND: usize = 24;

/// A parallel view.
#[derive(Debug, Clone, Copy)]
pub struct View {
    /// Unit vectors of the picture: right, down, away from the eye.
    right: Vec3,
    down: Vec3,
    pub away: Vec3,
    /// Pixels for a millimetre.
    pub scale: f64,
    /// Where the vehicle's origin comes to lie, px.
    pub origin: [f64; 2],
}

impl View {
    /// From beside the vehicle: `turn` towards its front and `rise` above the horizon, rad.
    pub fn new(turn: f64, rise: f64) -> Self {
        let away = -Vec3::new(turn.sin() * rise.cos(), turn.cos() * rise.cos(), rise.sin());
        let right = away.cross(Vec3::Z).normalize();
        View { right, down: away.cross(right), away, scale: 1.0, origin: [0.0, 0.0] }
    }

    /// A place on the picture, px.
    pub fn place(&self, p: Vec3) -> [f64; 2] {
        [self.origin[0] + self.scale * p.dot(self.right), self.origin[1] + self.scale * p.dot(self.down)]
    }

    /// How far away, mm.
    pub fn depth(&self, p: Vec3) -> f64 {
        p.dot(self.away)
    }

    /// How much light a face turned to `normal` gets: from above, over the left shoulder of the eye.
    pub fn light(&self, normal: Vec3) -> f64 {
        let lamp = (-self.away * 0.55 - self.down * 0.75 - self.right * 0.35).normalize();
        0.22 + 0.78 * normal.dot(lamp).max(0.0).powf(1.25)
    }
}

/// A flat piece of a surface.
pub struct Facet {
    /// How far away its middle is, mm.
    pub depth: f64,
    /// Its corners, px.
    pub corners: Vec<[f64; 2]>,
    /// Colour of the facet.
    pub fill: String,
}

/// The facets of a tube that face the eye.
pub fn tube(view: &View, line: &Centreline, radius: f64, step: f64, fill: &dyn Fn(f64) -> String) -> Vec<Facet> {
    let count = (line.length() / step).ceil().max(1.0) as usize;
    let rings: Vec<Vec<(Vec3, Vec3)>> =
        (0..=count).map(|i| ring(line, line.length() * i as f64 / count as f64, radius)).collect();
    let mut facets = Vec::new();
    for pair in rings.windows(2) {
        for k in 0..AROUND {
            let n = (k + 1) % AROUND;
            let normal = (pair[0][k].1 + pair[0][n].1 + pair[1][k].1 + pair[1][n].1).normalize();
            if normal.dot(view.away) < 0.12 {
                let corners = [pair[0][k].0, pair[0][n].0, pair[1][n].0, pair[1][k].0];
                let depth = corners.iter().map(|c| view.depth(*c)).sum::<f64>() / 4.0;
                facets.push(Facet {
                    depth,
                    corners: corners.map(|c| view.place(c)).to_vec(),
                    fill: fill(view.light(normal)),
                });
            }
        }
    }
    facets
}

/// The flat ends of a rod that face the eye.
pub fn caps(view: &View, line: &Centreline, radius: f64, fill: &dyn Fn(f64) -> String) -> Vec<Facet> {
    let ends = [(0.0, -1.0), (line.length(), 1.0)];
    let seen = ends.into_iter().filter(|(s, side)| (line.at(*s).forward * *side).dot(view.away) < 0.0);
    seen.map(|(s, side)| Facet {
        depth: view.depth(line.at(s).origin),
        corners: ring(line, s, radius).into_iter().map(|(p, _)| view.place(p)).collect(),
        fill: fill(view.light(line.at(s).forward * side)),
    })
    .collect()
}

/// Points of a tube's surface around the centreline at `s`, with the way out.
fn ring(line: &Centreline, s: f64, radius: f64) -> Vec<(Vec3, Vec3)> {
    let frame = line.at(s);
    (0..AROUND)
        .map(|k| {
            let (sin, cos) = (std::f64::consts::TAU * k as f64 / AROUND as f64).sin_cos();
            let out = frame.up * cos + frame.right() * sin;
            (frame.origin + out * radius, out)
        })
        .collect()
}

/// The outline of points in the plane, in order (A. M. Andrew's monotone chain).
pub fn outline(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let turn = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    let chain = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut out: Vec<[f64; 2]> = Vec::new();
        for p in points {
            while out.len() > 1 && turn(out[out.len() - 2], out[out.len() - 1], p) <= 0.0 {
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut hull = chain(&mut points.iter().copied());
    hull.extend(chain(&mut points.iter().rev().copied()));
    hull
}

/// Corners as the `d` of an SVG path.
pub fn path(corners: &[[f64; 2]]) -> String {
    let mut out = String::from("M");
    for [x, y] in corners {
        out += &format!("{x:.1} {y:.1} ");
    }
    out.trim_end().to_string() + "Z"
}
