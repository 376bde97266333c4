//! Drawings: lines, arcs and text at fixed places, in mm from the top left corner, y downwards.

use std::f64::consts::{FRAC_PI_4, TAU};

/// A place, mm.
pub type Point = [f64; 2];

/// A colour of ink, sRGB.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ink(pub u8, pub u8, pub u8);

impl Ink {
    /// Black.
    pub const BLACK: Ink = Ink(0, 0, 0);
    /// For thin lines that explain.
    pub const GREY: Ink = Ink(110, 110, 110);
    /// For areas behind other things.
    pub const PALE: Ink = Ink(225, 225, 225);
    /// Paper.
    pub const WHITE: Ink = Ink(255, 255, 255);

    /// The ink, black or white, that is read best on this one.
    ///
    /// By relative luminance (WCAG 2.2): above 0.18 black has the greater contrast.
    #[must_use]
    pub fn readable(self) -> Ink {
        let linear = |c: u8| {
            let c = f64::from(c) / 255.0;
            if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        let light = 0.2126 * linear(self.0) + 0.7152 * linear(self.1) + 0.0722 * linear(self.2);
        if light > 0.18 { Ink::BLACK } else { Ink::WHITE }
    }

    /// Mixed with white: 0 stays, 1 is white.
    #[must_use]
    pub fn lighter(self, by: f64) -> Ink {
        let mix = |c: u8| (f64::from(c) + (255.0 - f64::from(c)) * by).round() as u8;
        Ink(mix(self.0), mix(self.1), mix(self.2))
    }
}

/// The pattern of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dash {
    /// Unbroken.
    Solid,
    /// Lengths of dash, gap, dash, gap ... in tenths of a mm.
    Pattern(&'static [u16]),
}

/// A pen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Its width, mm.
    pub width: f64,
    /// Ink of the stroke.
    pub ink: Ink,
    /// Pattern of the stroke.
    pub dash: Dash,
}

impl Stroke {
    /// An unbroken black line.
    pub const fn black(width: f64) -> Self {
        Stroke { width, ink: Ink::BLACK, dash: Dash::Solid }
    }

    /// A line of that ink.
    pub const fn of(width: f64, ink: Ink) -> Self {
        Stroke { width, ink, dash: Dash::Solid }
    }

    /// The same stroke with a dash pattern.
    #[must_use]
    pub const fn dashed(self, pattern: &'static [u16]) -> Self {
        Stroke { dash: Dash::Pattern(pattern), ..self }
    }
}

/// A step of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PenStep {
    /// To a place without drawing.
    Move(Point),
    /// A straight line.
    Line(Point),
    /// A cubic Bezier curve: two control points and the end.
    Curve(Point, Point, Point),
    /// Back to where the path began.
    Close,
}

/// Which point of a text lies at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Middle of the left side.
    Left,
    /// The middle.
    Middle,
    /// Middle of the right side.
    Right,
    /// Middle of the upper side.
    Top,
    /// Middle of the lower side.
    Bottom,
}

/// Weight of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Plain.
    Plain,
    /// Bold.
    Bold,
}

/// A text on one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Where, mm.
    pub at: Point,
    /// The text.
    pub text: String,
    /// Height of its letters (of the type), mm.
    pub size: f64,
    /// The point of the text that lies at `at`.
    pub anchor: Anchor,
    /// Turned clockwise about its place, rad.
    pub turn: f64,
    /// Weight of the text.
    pub weight: Weight,
    /// Ink of the text.
    pub ink: Ink,
    /// Whether paper is laid under it, so that lines do not run through it.
    pub over: bool,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A path, stroked and filled.
    Path {
        /// Steps of the path.
        steps: Vec<PenStep>,
        /// The pen.
        stroke: Option<Stroke>,
        /// The fill.
        fill: Option<Ink>,
    },
    /// A text.
    Text(Text),
    /// Another drawing with its corner at a place; nothing of it shows outside of its size when it is a window.
    Inset(Point, Drawing),
}

/// A drawing of fixed size.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// What is drawn, the lowest first.
    pub marks: Vec<Mark>,
    /// Whether what lies outside is cut off: a window on a larger drawing.
    pub window: bool,
}

impl Drawing {
    /// An empty drawing.
    pub fn new(width: f64, height: f64) -> Self {
        Drawing { width, height, marks: Vec::new(), window: false }
    }

    /// Its texts, those of insets too.
    pub fn texts(&self) -> Vec<&Text> {
        let mut found = Vec::new();
        for mark in &self.marks {
            match mark {
                Mark::Text(t) => found.push(t),
                Mark::Inset(_, inner) => found.extend(inner.texts()),
                Mark::Path { .. } => {}
            }
        }
        found
    }

    /// How far its lines and texts run over its left, upper, right and lower side, mm; 0 where they do not.
    pub fn overrun(&self) -> [f64; 4] {
        let mut out = [0.0_f64; 4];
        for mark in &self.marks {
            let [low, high] = if let Mark::Text(text) = mark { text.letters() } else { mark.extent() };
            let over = [-low[0], -low[1], high[0] - self.width, high[1] - self.height];
            out.iter_mut().zip(over).for_each(|(most, by)| *most = most.max(by));
        }
        out
    }

    /// The same with so much more room on every side that nothing runs over.
    #[must_use]
    pub fn with_room(&self) -> Drawing {
        let [left, up, right, down] = self.overrun();
        let mut out =
            Drawing { window: self.window, ..Drawing::new(self.width + left + right, self.height + up + down) };
        out.insert(self, [left, up]);
        out
    }

    /// Draws a path.
    pub fn path(&mut self, steps: Vec<PenStep>, stroke: Option<Stroke>, fill: Option<Ink>) {
        if !steps.is_empty() {
            self.marks.push(Mark::Path { steps, stroke, fill });
        }
    }

    /// Draws a straight line.
    pub fn line(&mut self, from: Point, to: Point, stroke: Stroke) {
        self.path(vec![PenStep::Move(from), PenStep::Line(to)], Some(stroke), None);
    }

    /// Draws lines from place to place.
    pub fn lines(&mut self, places: &[Point], stroke: Stroke) {
        self.path(polyline(places), Some(stroke), None);
    }

    /// Draws a rectangle by two corners.
    pub fn rectangle(&mut self, a: Point, b: Point, stroke: Option<Stroke>, fill: Option<Ink>) {
        let mut steps = polyline(&[a, [b[0], a[1]], b, [a[0], b[1]]]);
        steps.push(PenStep::Close);
        self.path(steps, stroke, fill);
    }

    /// Draws a circle.
    pub fn circle(&mut self, centre: Point, radius: f64, stroke: Option<Stroke>, fill: Option<Ink>) {
        let mut steps = vec![PenStep::Move([centre[0] + radius, centre[1]])];
        steps.extend(arc(centre, radius, 0.0, TAU));
        steps.push(PenStep::Close);
        self.path(steps, stroke, fill);
    }

    /// Writes a text in black.
    pub fn text(&mut self, at: Point, size: f64, anchor: Anchor, text: impl Into<String>) -> &mut Text {
        self.marks.push(Mark::Text(Text {
            at,
            text: text.into(),
            size,
            anchor,
            turn: 0.0,
            weight: Weight::Plain,
            ink: Ink::BLACK,
            over: false,
        }));
        match self.marks.last_mut() {
            Some(Mark::Text(text)) => text,
            _ => unreachable!("a text was just added"),
        }
    }

    /// A number or mark in a ring, white on `ink` when filled.
    pub fn bubble(&mut self, at: Point, radius: f64, text: impl Into<String>, ink: Ink, filled: bool) {
        let fill = if filled { ink } else { Ink::WHITE };
        self.circle(at, radius, Some(Stroke::of(0.35, ink)), Some(fill));
        let text = text.into();
        let size = radius * if text.chars().count() > 2 { 0.95 } else { 1.25 };
        let written = self.text(at, size, Anchor::Middle, text);
        written.weight = Weight::Bold;
        written.ink = if filled { ink.readable() } else { ink };
    }

    /// A filled arrow head with its tip at `tip`, pointing along `way`.
    pub fn head(&mut self, tip: Point, way: Point, length: f64, ink: Ink) {
        let n = way[0].hypot(way[1]).max(1e-9);
        let (u, v) = ([way[0] / n, way[1] / n], [-way[1] / n, way[0] / n]);
        let corner = |side: f64| {
            [tip[0] - length * u[0] + side * 0.3 * length * v[0], tip[1] - length * u[1] + side * 0.3 * length * v[1]]
        };
        let mut steps = polyline(&[tip, corner(1.0), corner(-1.0)]);
        steps.push(PenStep::Close);
        self.path(steps, None, Some(ink));
    }

    /// An arrow from one place to another.
    pub fn arrow(&mut self, from: Point, to: Point, stroke: Stroke) {
        self.line(from, to, stroke);
        self.head(to, [to[0] - from[0], to[1] - from[1]], 6.0 * stroke.width.max(0.3), stroke.ink);
    }

    /// A dimension between two places: extension lines, a line with two arrow heads `off` mm to the right of
    /// the way from `a` to `b` (y downwards), and its text.
    pub fn dimension(&mut self, a: Point, b: Point, off: f64, text: impl Into<String>) {
        let pen = Stroke::of(0.18, Ink::BLACK);
        let d = [b[0] - a[0], b[1] - a[1]];
        let n = d[0].hypot(d[1]).max(1e-9);
        let (u, v) = ([d[0] / n, d[1] / n], [-d[1] / n, d[0] / n]);
        let beyond = off + 1.5 * off.signum();
        let shifted = |p: Point, by: f64| [p[0] + by * v[0], p[1] + by * v[1]];
        self.line(shifted(a, 0.8 * off.signum()), shifted(a, beyond), pen);
        self.line(shifted(b, 0.8 * off.signum()), shifted(b, beyond), pen);
        let (p, q) = (shifted(a, off), shifted(b, off));
        self.line(p, q, pen);
        self.head(p, [-u[0], -u[1]], 1.8, Ink::BLACK);
        self.head(q, u, 1.8, Ink::BLACK);
        let middle = [0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])];
        let mut turn = u[1].atan2(u[0]);
        let upright = -0.5 * std::f64::consts::PI + 1e-6..=0.5 * std::f64::consts::PI + 1e-6;
        if !upright.contains(&turn) {
            turn += std::f64::consts::PI;
        }
        let written = self.text(middle, 2.6, Anchor::Middle, text);
        (written.turn, written.over) = (turn, true);
    }

    /// Lays another drawing into this one with its corner at `at`.
    pub fn insert(&mut self, other: &Drawing, at: Point) {
        self.marks.extend(other.marks.iter().map(|m| m.moved(at)));
    }
}

impl Text {
    /// The box that its letters lie in, for a mean width of a letter of 0.62 of the type's height; letters of East Asia are
    /// as wide as high.
    pub fn letters(&self) -> [Point; 2] {
        let width = |c: char| if c >= '\u{1100}' { 1.0 } else { 0.62 };
        let (long, high) = (self.size * self.text.chars().map(width).sum::<f64>(), 0.72 * self.size);
        let (x, y) = match self.anchor {
            Anchor::Left => ([0.0, long], [-0.5 * high, 0.5 * high]),
            Anchor::Middle => ([-0.5 * long, 0.5 * long], [-0.5 * high, 0.5 * high]),
            Anchor::Right => ([-long, 0.0], [-0.5 * high, 0.5 * high]),
            Anchor::Top => ([-0.5 * long, 0.5 * long], [0.0, high]),
            Anchor::Bottom => ([-0.5 * long, 0.5 * long], [-high, 0.0]),
        };
        let (sin, cos) = self.turn.sin_cos();
        let corners = x.map(|x| y.map(|y| [self.at[0] + x * cos - y * sin, self.at[1] + x * sin + y * cos]));
        let flat = corners.as_flattened();
        let bound = |k: usize, of: fn(f64, f64) -> f64| flat[1..].iter().fold(flat[0][k], |b, p| of(b, p[k]));
        [[bound(0, f64::min), bound(1, f64::min)], [bound(0, f64::max), bound(1, f64::max)]]
    }
}

impl Mark {
    /// The same, moved.
    #[must_use]
    pub fn moved(&self, by: Point) -> Mark {
        let to = |p: Point| [p[0] + by[0], p[1] + by[1]];
        match self {
            Mark::Path { steps, stroke, fill } => {
                let steps = steps.iter().map(|s| s.mapped(&to)).collect();
                Mark::Path { steps, stroke: *stroke, fill: *fill }
            }
            Mark::Text(text) => Mark::Text(Text { at: to(text.at), ..text.clone() }),
            Mark::Inset(at, inner) => Mark::Inset(to(*at), inner.clone()),
        }
    }

    /// The box that its points lie in; of a text, its place with room for its letters on every side.
    pub fn extent(&self) -> [Point; 2] {
        let mut low = [f64::INFINITY; 2];
        let mut high = [f64::NEG_INFINITY; 2];
        let mut reach = |p: Point, by: f64| {
            for k in 0..2 {
                low[k] = low[k].min(p[k] - by);
                high[k] = high[k].max(p[k] + by);
            }
        };
        match self {
            Mark::Path { steps, .. } => steps.iter().flat_map(PenStep::points).for_each(|p| reach(p, 0.0)),
            Mark::Inset(at, inner) => {
                reach(*at, 0.0);
                reach([at[0] + inner.width, at[1] + inner.height], 0.0);
            }
            Mark::Text(text) => reach(text.at, 0.6 * text.size * text.text.chars().count() as f64),
        }
        [low, high]
    }
}

impl PenStep {
    fn mapped(&self, to: &dyn Fn(Point) -> Point) -> PenStep {
        match *self {
            PenStep::Move(p) => PenStep::Move(to(p)),
            PenStep::Line(p) => PenStep::Line(to(p)),
            PenStep::Curve(a, b, c) => PenStep::Curve(to(a), to(b), to(c)),
            PenStep::Close => PenStep::Close,
        }
    }

    fn points(&self) -> Vec<Point> {
        match *self {
            PenStep::Move(p) | PenStep::Line(p) => vec![p],
            PenStep::Curve(a, b, c) => vec![a, b, c],
            PenStep::Close => Vec::new(),
        }
    }
}

/// The steps of lines from place to place.
pub fn polyline(places: &[Point]) -> Vec<PenStep> {
    places.iter().enumerate().map(|(i, p)| if i == 0 { PenStep::Move(*p) } else { PenStep::Line(*p) }).collect()
}

/// The curves of an arc, from where the pen already stands at angle `from` on to angle `to` (rad, from x
/// towards y).
///
/// Each curve takes at most 45 degrees, with control points at 4/3 tan(a/4) of the radius; the greatest
/// departure from the circle is then below 5e-6 of the radius (the common approximation; its error is
/// elementary calculus).
pub fn arc(centre: Point, radius: f64, from: f64, to: f64) -> Vec<PenStep> {
    let parts = ((to - from).abs() / FRAC_PI_4).ceil().max(1.0);
    let part = (to - from) / parts;
    let k = 4.0 / 3.0 * (0.25 * part).tan() * radius;
    let at = |a: f64| [centre[0] + radius * a.cos(), centre[1] + radius * a.sin()];
    (0..parts as usize)
        .map(|i| {
            let (a, b) = (from + part * i as f64, from + part * (i + 1) as f64);
            let (p, q) = (at(a), at(b));
            PenStep::Curve([p[0] - k * a.sin(), p[1] + k * a.cos()], [q[0] + k * b.sin(), q[1] - k * b.cos()], q)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arc_keeps_its_radius_to_a_hundredth_of_a_thousandth() {
        let mut at = [10.0, 0.0];
        for step in arc([0.0, 0.0], 10.0, 0.0, 2.0) {
            let PenStep::Curve(b, c, d) = step else { panic!("{step:?}") };
            for i in 0..=20 {
                let t = f64::from(i) / 20.0;
                let s = 1.0 - t;
                let p =
                    |k: usize| s * s * s * at[k] + 3.0 * s * s * t * b[k] + 3.0 * s * t * t * c[k] + t * t * t * d[k];
                assert!((p(0).hypot(p(1)) - 10.0).abs() < 5e-5, "{}", p(0).hypot(p(1)) - 10.0);
            }
            at = d;
        }
        assert!((at[0] - 10.0 * 2.0_f64.cos()).abs() < 1e-9 && (at[1] - 10.0 * 2.0_f64.sin()).abs() < 1e-9);
    }

    #[test]
    fn a_dimension_is_read_from_below_or_from_the_right() {
        let mut d = Drawing::new(50.0, 50.0);
        d.dimension([40.0, 10.0], [10.0, 10.0], 5.0, "30");
        let text = d.texts()[0];
        assert!(text.turn.abs() < 1e-9 || (text.turn - std::f64::consts::TAU).abs() < 1e-9, "{}", text.turn);
    }

    #[test]
    fn a_text_over_the_edge_is_measured() {
        let mut d = Drawing::new(50.0, 50.0);
        d.text([25.0, 49.0], 10.0, Anchor::Top, "ab");
        d.text([49.0, 25.0], 10.0, Anchor::Left, "ab").turn = 0.5 * std::f64::consts::PI;
        let over = d.overrun();
        assert!((over[3] - 6.2).abs() < 1e-9 && (over[2] - 2.6).abs() < 1e-9, "{over:?}");
        assert_eq!(&over[..2], &[0.0, 0.0]);
        let wider = d.with_room();
        assert_eq!(wider.overrun(), [0.0; 4]);
        assert!((wider.width - 52.6).abs() < 1e-9 && (wider.height - 56.2).abs() < 1e-9);
    }

    #[test]
    fn inks_are_mixed_with_white() {
        assert_eq!(Ink(0, 100, 255).lighter(1.0), Ink::WHITE);
        assert_eq!(Ink(0, 100, 255).lighter(0.0), Ink(0, 100, 255));
        assert_eq!((Ink(0xe6, 0x9f, 0).readable(), Ink(0, 0x72, 0xb2).readable()), (Ink::BLACK, Ink::WHITE));
    }
}
