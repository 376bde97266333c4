//! The centreline of one run during the search, with what its gradients need.
//!
//! A run with k interior points has k + 1 legs. The first leg points along the port's axis and the
//! last along the collector's, whatever the sign of their lengths, so that both end poses hold
//! exactly. Pieces are laid even where tangent lengths overlap (the straight between is then left
//! out): the search walks through such states.

use geom::Vec3;

/// Smallest |sin| of a bend angle used as a divisor.
const MIN_SIN: f64 = 1e-3;

/// One stretch of the path.
#[derive(Debug, Clone, Copy)]
pub struct PathElement {
    /// The leg of a straight, or the bend of an arc.
    pub part: ElementShape,
    /// Centreline length from the start of the run, mm.
    pub from: f64,
    /// Its length, mm.
    pub length: f64,
    /// Middle of a ball around it.
    pub middle: Vec3,
    /// Radius of that ball, mm.
    pub reach: f64,
}

/// What a piece is.
#[derive(Debug, Clone, Copy)]
pub enum ElementShape {
    /// On leg `leg`, from `start` along it.
    Straight {
        /// Index of the leg.
        leg: usize,
        /// Where it begins.
        start: Vec3,
    },
    /// At bend `bend`.
    Arc {
        /// Index of the bend.
        bend: usize,
        /// Centre of the circle.
        centre: Vec3,
        /// Unit normal of the bend's plane.
        normal: Vec3,
        /// Unit direction from the centre to the middle of the arc.
        bisector: Vec3,
        /// Cosine of half the bend angle.
        cos_half: f64,
    },
}

/// Where on a path a point lies, for gradients.
#[derive(Debug, Clone, Copy)]
pub enum Spot {
    /// On the straight of leg `leg`, the fraction `at` of the way between the ends of its bends.
    Straight {
        /// Index of the leg.
        leg: usize,
        /// Fraction of the straight.
        at: f64,
    },
    /// On bend `bend` at fraction `at` of its angle.
    Bend {
        /// Index of the bend.
        bend: usize,
        /// Fraction of the angle.
        at: f64,
    },
}

/// A run's centreline.
#[derive(Debug, Clone, Default)]
pub struct TubePath {
    /// Start, intersection points, end.
    pub points: Vec<Vec3>,
    /// Unit directions of the legs.
    pub dirs: Vec<Vec3>,
    /// Signed lengths of the legs, mm.
    pub lens: Vec<f64>,
    /// CLR at each bend, mm.
    pub clrs: Vec<f64>,
    /// Bend angles, rad.
    pub turns: Vec<f64>,
    /// Tangent lengths, mm.
    pub setbacks: Vec<f64>,
    /// Straights and arcs in order.
    pub pieces: Vec<PathElement>,
    /// Whole length, mm.
    pub length: f64,
    /// Outside radius of the tube, mm.
    pub radius: f64,
}

impl TubePath {
    /// Relays the path through `points`, which already holds start, interior points and end.
    pub fn lay(&mut self, first: Vec3, last: Vec3, clrs: &[f64], radius: f64) {
        let k = self.points.len() - 2;
        self.radius = radius;
        self.clrs.clear();
        self.clrs.extend_from_slice(clrs);
        self.dirs.clear();
        self.lens.clear();
        self.turns.clear();
        self.setbacks.clear();
        self.pieces.clear();
        for i in 0..=k {
            let leg = self.points[i + 1] - self.points[i];
            let (dir, len) = if i == 0 {
                (first, leg.dot(first))
            } else if i == k {
                (last, leg.dot(last))
            } else {
                let len = leg.length();
                (if len > 1e-9 { leg / len } else { first }, len)
            };
            self.dirs.push(dir);
            self.lens.push(len);
        }
        for (i, clr) in clrs.iter().enumerate().take(k) {
            let (u, w) = (self.dirs[i], self.dirs[i + 1]);
            let turn = u.cross(w).length().atan2(u.dot(w));
            self.turns.push(turn);
            // Held below 170 degrees: beyond, the solver is pushed back by the angle limit.
            self.setbacks.push(clr * (0.5 * turn.min(2.967)).tan());
        }
        let mut at = 0.0;
        for i in 0..=k {
            let before = if i > 0 { self.setbacks[i - 1] } else { 0.0 };
            let after = if i < k { self.setbacks[i] } else { 0.0 };
            let length = self.lens[i] - before - after;
            if length > 0.0 {
                let start = self.points[i] + self.dirs[i] * before;
                let middle = start + self.dirs[i] * (0.5 * length);
                let part = ElementShape::Straight { leg: i, start };
                self.pieces.push(PathElement { part, from: at, length, middle, reach: 0.5 * length });
            }
            // A negative straight shortens the run: it is then measured as the tangents say.
            at += length;
            if i < k {
                let piece = self.arc(i, at.max(0.0));
                at += piece.length;
                if self.turns[i] > 1e-6 {
                    self.pieces.push(piece);
                }
            }
        }
        self.length = at;
    }

    fn arc(&self, bend: usize, from: f64) -> PathElement {
        let (u, w, turn, clr) = (self.dirs[bend], self.dirs[bend + 1], self.turns[bend], self.clrs[bend]);
        let start = self.points[bend + 1] - u * self.setbacks[bend];
        let inward = (w - u * u.dot(w)).normalize_or_zero();
        let centre = start + inward * clr;
        let (sin, cos) = (0.5 * turn).sin_cos();
        let bisector = u * sin - inward * cos;
        let part = ElementShape::Arc { bend, centre, normal: u.cross(inward), bisector, cos_half: cos };
        // A bend here turns by at most 180 degrees: the ball on its chord holds it.
        PathElement { part, from, length: clr * turn, middle: centre + bisector * (clr * cos), reach: clr * sin }
    }

    /// The bending side: unit vector from the tube towards the centre at the start of `bend`.
    fn inward(&self, bend: usize) -> Vec3 {
        let (u, w) = (self.dirs[bend], self.dirs[bend + 1]);
        (w - u * u.dot(w)).normalize_or_zero()
    }

    /// Point and spot `s` mm along `piece`.
    pub fn on_piece(&self, piece: &PathElement, s: f64) -> (Vec3, Spot) {
        match piece.part {
            ElementShape::Straight { leg, start } => {
                (start + self.dirs[leg] * s, Spot::Straight { leg, at: s / piece.length })
            }
            ElementShape::Arc { bend, .. } => {
                let angle = s / self.clrs[bend];
                let half = (0.5 * angle).sin();
                let start = self.points[bend + 1] - self.dirs[bend] * self.setbacks[bend];
                let p =
                    start + (self.dirs[bend] * angle.sin() + self.inward(bend) * (2.0 * half * half)) * self.clrs[bend];
                (p, Spot::Bend { bend, at: angle / self.turns[bend] })
            }
        }
    }

    /// Point and spot `s` mm from the start.
    pub fn at(&self, s: f64) -> Option<(Vec3, Spot)> {
        let piece = self.pieces.iter().rev().find(|p| p.from <= s).or(self.pieces.first())?;
        Some(self.on_piece(piece, (s - piece.from).clamp(0.0, piece.length)))
    }

    /// Squared distance from `p` to `piece` and the nearest point.
    pub fn nearest_on(&self, piece: &PathElement, p: Vec3) -> (f64, Vec3) {
        let q = match piece.part {
            ElementShape::Straight { leg, start } => {
                let s = (p - start).dot(self.dirs[leg]).clamp(0.0, piece.length);
                start + self.dirs[leg] * s
            }
            ElementShape::Arc { bend, centre, normal, bisector, cos_half } => {
                let from = p - centre;
                let flat = from - normal * from.dot(normal);
                let across = flat.length();
                let clr = self.clrs[bend];
                if across > 1e-9 && flat.dot(bisector) >= cos_half * across {
                    centre + flat * (clr / across)
                } else {
                    let start = self.points[bend + 1] - self.dirs[bend] * self.setbacks[bend];
                    let end = self.points[bend + 1] + self.dirs[bend + 1] * self.setbacks[bend];
                    if (p - start).length_squared() <= (p - end).length_squared() { start } else { end }
                }
            }
        };
        ((p - q).length_squared(), q)
    }

    /// How far the point of `piece` nearest to `p` slides along it, for each mm that `p` moves that way.
    pub fn slides(&self, piece: &PathElement, p: Vec3) -> f64 {
        match piece.part {
            ElementShape::Straight { .. } => 1.0,
            ElementShape::Arc { bend, centre, normal, .. } => {
                self.clrs[bend] / (p - centre).reject_from_normalized(normal).length().max(1e-6)
            }
        }
    }

    /// Station along the run and spot of the point `q` that lies on `piece`.
    pub fn spot_on(&self, piece: &PathElement, q: Vec3) -> (f64, Spot) {
        match piece.part {
            ElementShape::Straight { leg, start } => {
                let s = (q - start).dot(self.dirs[leg]);
                let (_, spot) = self.on_piece(piece, s);
                (piece.from + s, spot)
            }
            ElementShape::Arc { bend, centre, .. } => {
                let from = q - centre;
                let angle = from.dot(self.dirs[bend]).atan2(-from.dot(self.inward(bend))).clamp(0.0, self.turns[bend]);
                (piece.from + angle * self.clrs[bend], Spot::Bend { bend, at: angle / self.turns[bend] })
            }
        }
    }

    /// Adds the gradient of `g . x` at a spot x of the path to the gradients of its points.
    pub fn pull(&self, spot: Spot, g: Vec3, into: &mut [Vec3]) {
        match spot {
            Spot::Straight { leg, at } => {
                match leg.checked_sub(1) {
                    Some(bend) => self.pull(Spot::Bend { bend, at: 1.0 }, g * (1.0 - at), into),
                    None => into[0] += g * (1.0 - at),
                }
                if leg < self.turns.len() {
                    self.pull(Spot::Bend { bend: leg, at: 0.0 }, g * at, into);
                } else {
                    into[leg + 1] += g * at;
                }
            }
            Spot::Bend { bend, at } => {
                let (u, w, turn) = (self.dirs[bend], self.dirs[bend + 1], self.turns[bend]);
                let clr = self.clrs[bend];
                let (sin, cos) = turn.sin_cos();
                let sin = sin.max(MIN_SIN);
                let b = |f: f64| clr * (1.0 - (f * turn).cos()) / sin;
                let db = |f: f64| {
                    let (sf, cf) = (f * turn).sin_cos();
                    clr * (f * sf * sin - (1.0 - cf) * cos) / (sin * sin)
                };
                let (b_in, b_out) = (b(1.0 - at), b(at));
                into[bend + 1] += g;
                self.pull_direction(bend, g * -b_in, into);
                self.pull_direction(bend + 1, g * b_out, into);
                self.pull_turn(bend, -db(1.0 - at) * g.dot(u) + db(at) * g.dot(w), into);
            }
        }
    }

    /// Adds the gradient of `g . d`, d the direction of leg `leg`.
    pub fn pull_direction(&self, leg: usize, g: Vec3, into: &mut [Vec3]) {
        // A first or last leg turns only with a collector that rolls, and its length may be negative.
        let d = self.dirs[leg];
        let length = self.lens[leg];
        let across = (g - d * g.dot(d)) / if length.abs() > 1e-3 { length } else { 1e-3 };
        into[leg] -= across;
        into[leg + 1] += across;
    }

    /// Adds the gradient of `w . u`, u the direction of flow at `spot` held at its fraction and `w` across it.
    pub fn pull_flow(&self, spot: Spot, w: Vec3, into: &mut [Vec3]) {
        match spot {
            Spot::Straight { leg, .. } => self.pull_direction(leg, w, into),
            Spot::Bend { bend, at } => {
                // In the bend's plane the direction turns by shares of what its ends turn; out of it, it leans with both.
                let (turn, flow) = (self.turns[bend], self.direction(spot));
                let (u, v) = (self.dirs[bend], self.dirs[bend + 1]);
                let inward = |d: Vec3| (v - u).reject_from_normalized(d).normalize_or_zero();
                let turned = w.dot(inward(flow));
                let lean = (w - inward(flow) * turned) / turn.sin().max(MIN_SIN);
                let (before, after) = (1.0 - at, at);
                self.pull_direction(bend, inward(u) * (turned * before) + lean * (before * turn).sin(), into);
                self.pull_direction(bend + 1, inward(v) * (turned * after) + lean * (after * turn).sin(), into);
            }
        }
    }

    /// Adds the gradient of `c` times the angle of `bend`.
    pub fn pull_turn(&self, bend: usize, c: f64, into: &mut [Vec3]) {
        let (u, w) = (self.dirs[bend], self.dirs[bend + 1]);
        let (sin, cos) = self.turns[bend].sin_cos();
        let sin = sin.max(MIN_SIN);
        self.pull_direction(bend, (w - u * cos) * (-c / sin), into);
        self.pull_direction(bend + 1, (u - w * cos) * (-c / sin), into);
    }

    /// Adds the gradient of `c` times the signed length of leg `leg`.
    pub fn pull_leg(&self, leg: usize, c: f64, into: &mut [Vec3]) {
        into[leg] -= self.dirs[leg] * c;
        into[leg + 1] += self.dirs[leg] * c;
    }

    /// Adds the gradient of `c` times the tangent length of `bend`: R tan(a/2).
    pub fn pull_setback(&self, bend: usize, c: f64, into: &mut [Vec3]) {
        let half = (0.5 * self.turns[bend].min(2.967)).cos();
        self.pull_turn(bend, c * 0.5 * self.clrs[bend] / (half * half), into);
    }

    /// Adds the gradient of `c` times the straight of leg `leg`: the leg less the tangent lengths.
    pub fn pull_straight(&self, leg: usize, c: f64, into: &mut [Vec3]) {
        self.pull_leg(leg, c, into);
        if leg > 0 {
            self.pull_setback(leg - 1, -c, into);
        }
        if leg < self.turns.len() {
            self.pull_setback(leg, -c, into);
        }
    }

    /// Adds the gradient of `c` times the length from `spot`, held at its fraction, to the end.
    pub fn pull_remaining(&self, spot: Spot, c: f64, into: &mut [Vec3]) {
        let next = match spot {
            Spot::Straight { leg, at } => {
                self.pull_straight(leg, c * (1.0 - at), into);
                leg
            }
            Spot::Bend { bend, at } => {
                self.pull_turn(bend, c * (1.0 - at) * self.clrs[bend], into);
                self.pull_straight(bend + 1, c, into);
                bend + 1
            }
        };
        for bend in next..self.turns.len() {
            self.pull_turn(bend, c * self.clrs[bend], into);
            self.pull_straight(bend + 1, c, into);
        }
    }

    /// Unit direction of flow at `spot`.
    pub fn direction(&self, spot: Spot) -> Vec3 {
        match spot {
            Spot::Straight { leg, .. } => self.dirs[leg],
            Spot::Bend { bend, at } => {
                let (sin, cos) = (at * self.turns[bend]).sin_cos();
                self.dirs[bend] * cos + self.inward(bend) * sin
            }
        }
    }

    /// Adds the gradient of `c` times the whole length: legs less 2 R tan(a/2) plus R a at each bend.
    pub fn pull_length(&self, c: f64, into: &mut [Vec3]) {
        for leg in 0..self.lens.len() {
            self.pull_leg(leg, c, into);
        }
        for bend in 0..self.turns.len() {
            let tan = (0.5 * self.turns[bend].min(2.967)).tan();
            self.pull_turn(bend, -c * self.clrs[bend] * tan * tan, into);
        }
    }

    /// Sum of the bend angles, rad.
    pub fn turn(&self) -> f64 {
        self.turns.iter().sum()
    }
}
