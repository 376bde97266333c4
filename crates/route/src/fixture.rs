//! Where the plates of a fixture stand: from the jig's table, open saddles that carry each run, and one at each collector.
//!
//! A saddle is a flat plate square to the table and to the heading of its tube. Its upper edge is the lowest that the tube
//! reaches anywhere within the plate's thickness, so that a cut square through the sheet touches the tube and never runs
//! into it, on slopes and on bends too. Below a plate's edge there is not a valid tube: the header lifts straight up out of the
//! fixture. Where a tube runs over others everywhere, its plate is a bridge over them, open below: it comes up with the
//! header and is then drawn off downward. A run that nothing can stand under is held from above (`yoke`). A torch needs room
//! around every joint: no plate stands within [`TORCH`] of one. Distances are exact ones of straights and arcs (`geom`); places
//! are tried in steps, the best free one of each piece is taken.

mod yoke;

use geom::{Centreline, Element, Frame, Solid, Straight, Vec3, distance_element_solid, distance_elements_below};
use job::inlets::entering_od;
use job::model::Job;
use job::routes::Routes;

use crate::jig::Jig;
use crate::laid::{Laid, LaidError, frame_of, lay};

/// Room between a plate and a joint's weld, mm, beyond the tube's outside: a torch cup and a hand (common practice, no source).
pub const TORCH: f64 = 20.0;
/// Gap between a plate and what it does not carry, mm.
const GAP: f64 = 3.0;
/// Step in which places along a run are tried, mm.
const STEP: f64 = 4.0;
/// Steepest tube that a saddle carries, sine of its rise: 50 degrees.
const STEEPEST: f64 = 0.766;
/// Steepest tube that a saddle still holds sideways where nothing less steep is free: 72 degrees.
const STEEPEST_HELD: f64 = 0.951;
/// How far below a tube's centre its underside is looked for, in radii: as steep as that and a little more.
const UNDERSIDE: f64 = 3.5;
/// A shape of saddle: how far it goes around its tube either way, degrees, and how much wider than the tube its plate is on each
/// side, mm.
#[derive(Debug, Clone, Copy)]
struct Shape {
    around: f64,
    beside: f64,
}

/// The shapes that are tried, the firmest first: the narrow one stands between tubes that leave no room for the other.
const SHAPES: [Shape; 2] = [Shape { around: 64.0, beside: 12.0 }, Shape { around: 40.0, beside: -3.0 }];
/// Least height of a plate under its tube, mm.
const LEAST_HEIGHT: f64 = 12.0;
/// Least width of a bridge's legs, mm: a tab and its shoulder.
const LEG: f64 = 20.0;
/// Least metal between a bridge's opening and its tube, mm: engraved letters and their margins.
const WEB: f64 = 14.0;
/// How far beyond its tube a bridge may reach, mm.
const REACH: f64 = 70.0;
/// How much higher than the gap over its tubes an opening is, mm: more than they rise between two steps across.
const OVER: f64 = 0.5;
/// Step across a plate in which tubes below it are looked for, mm.
const ACROSS: f64 = 2.0;
/// How much lower than the tube a saddle is drawn, mm: above what its edge of short straights loses (0.004 mm on a tube of 50).
const FREE: f64 = 0.01;

/// What a saddle carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Carries {
    /// A run at a place along it.
    Run {
        /// Index of the run.
        run: usize,
        /// Arc length from its start, mm.
        station: f64,
    },
    /// The body of a collector: its index.
    Collector(usize),
}

/// A plate that stands on the table, seen along its heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Upright {
    /// Middle of its foot on the table, X and Y, mm.
    pub at: [f64; 2],
    /// Its heading, square to the plate, from X towards Y, rad.
    pub heading: f64,
    /// Its upper edge from left to right: across and height over the table, mm. The plate goes from its first to its last
    /// place and down to the table.
    pub edge: Vec<[f64; 2]>,
    /// An opening from the table up, for what runs below.
    pub opening: Option<Opening>,
}

/// The opening of a bridge or a yoke.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// Its upper edge from left to right: across and height over the table, mm.
    pub line: Vec<[f64; 2]>,
}

impl Opening {
    /// The height of its highest place, mm.
    pub fn height(&self) -> f64 {
        self.line.iter().map(|p| p[1]).fold(0.0, f64::max)
    }
}

/// An upright that carries something.
#[derive(Debug, Clone, PartialEq)]
pub struct Saddle {
    /// What it carries.
    pub carries: Carries,
    /// The plate.
    pub plate: Upright,
    /// Whether it is a yoke, which holds from above.
    pub from_above: bool,
}

impl Upright {
    /// Half its width, mm.
    pub fn half_width(&self) -> f64 {
        self.edge.last().map_or(0.0, |p| p[0])
    }

    /// Height of the opening at a place across, mm; 0 beside it.
    fn opened(&self, right: f64) -> f64 {
        let over = |o: &&Opening| o.line[0][0] < right && right < o.line[o.line.len() - 1][0];
        self.opening.as_ref().filter(over).map_or(0.0, |o| height_at(&o.line, right))
    }

    /// A place over the table: `forward` along its heading and `right` of its middle, seen along the heading.
    pub fn place(&self, forward: f64, right: f64) -> [f64; 2] {
        let (sin, cos) = self.heading.sin_cos();
        [self.at[0] + forward * cos + right * sin, self.at[1] + forward * sin - right * cos]
    }
}

/// What stands on the table already: a flange and what carries it, an upright box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Post {
    /// Its middle on the table, mm.
    pub at: [f64; 2],
    /// Half its size along X and Y, mm.
    pub half: [f64; 2],
    /// Height of what it carries, mm; 0: it lies on the table.
    pub top: f64,
}

/// The plates that stand on a table, and what none was found for.
#[derive(Debug, Clone, PartialEq)]
pub struct Stands {
    /// Saddles, run by run, then those of collectors.
    pub saddles: Vec<Saddle>,
    /// Stretches of runs without a saddle: index of the run, and of the stretch.
    pub bare: Vec<(usize, usize)>,
    /// Collectors without one.
    pub bare_collectors: Vec<usize>,
    /// Posts that a tube is under or in: the header can't be lifted off them.
    pub blocked: Vec<usize>,
}

/// What all plates must keep clear of.
struct Scene<'a> {
    jig: &'a Jig,
    sheet: f64,
    runs: &'a [Laid],
    bodies: Vec<Vec<Solid>>,
    /// Centres of joints and outside radii there.
    joints: Vec<(Vec3, f64)>,
    posts: &'a [Post],
}

/// What stands are asked for. Lengths in mm.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'a> {
    /// For each run, where its pieces begin and end along it.
    pub pieces: &'a [Vec<[f64; 2]>],
    /// Thickness of the plates.
    pub sheet: f64,
    /// What carries the flanges.
    pub posts: &'a [Post],
}

/// Stands for every piece of every run, and for the bodies of collectors.
///
/// # Errors
/// [`LaidError`] when a route is not a valid tube.
pub fn stands(job: &Job, routes: &Routes, jig: &Jig, wanted: &Wanted<'_>) -> Result<Stands, LaidError> {
    let Wanted { pieces, sheet, posts } = *wanted;
    let runs = lay(job, routes)?;
    let body = |(i, c): (usize, &job::model::Collector)| {
        let solids = |b: &job::body::Body| b.solids(c, &frame_of(job, routes, i), entering_od(job, c));
        c.body.as_ref().map(solids).unwrap_or_default()
    };
    let joints = runs.iter().zip(pieces).flat_map(|(run, pieces)| {
        let ends = pieces.iter().map(|p| p[0]).chain(pieces.last().map(|p| p[1]));
        ends.map(|s| (run.line.at(s).origin, run.radius)).collect::<Vec<_>>()
    });
    let bodies = job.collectors.iter().enumerate().map(body).collect();
    let scene = Scene { jig, sheet, runs: &runs, bodies, joints: joints.collect(), posts };
    let blocked = (0..posts.len()).filter(|i| !scene.post_is_free(&posts[*i])).collect();
    let mut stands = Stands { saddles: Vec::new(), bare: Vec::new(), bare_collectors: Vec::new(), blocked };
    for (index, pieces) in pieces.iter().enumerate().take(runs.len()) {
        for (k, piece) in pieces.iter().enumerate() {
            match scene.best_on(index, *piece, &stands.saddles) {
                Some(saddle) => stands.saddles.push(saddle),
                None => stands.bare.push((index, k)),
            }
        }
    }
    for (index, pieces) in pieces.iter().enumerate().take(runs.len()) {
        let held = |s: &Saddle| matches!(s.carries, Carries::Run { run, .. } if run == index);
        if !stands.saddles.iter().any(held) {
            stands.saddles.extend(scene.yoke_on(index, pieces, &stands.saddles));
        }
    }
    for (index, collector) in job.collectors.iter().enumerate().filter(|(i, _)| !scene.bodies[*i].is_empty()) {
        let frame = frame_of(job, routes, index);
        match scene.under_collector(index, collector, &frame, &stands.saddles) {
            Some(saddle) => stands.saddles.push(saddle),
            None => stands.bare_collectors.push(index),
        }
    }
    Ok(stands)
}

/// Something round that a saddle carries: how far a place is outside of it, mm.
type Outside<'a> = &'a dyn Fn(Vec3) -> f64;

impl Scene<'_> {
    /// The best free place on a stretch of a run.
    fn best_on(&self, run: usize, [from, to]: [f64; 2], placed: &[Saddle]) -> Option<Saddle> {
        let laid = &self.runs[run];
        let count = ((to - from) / STEP).floor().max(1.0) as usize;
        let mut level: Vec<(f64, f64)> = Vec::new();
        let mut steep = Vec::new();
        for i in 0..=count {
            let station = from + (to - from) * i as f64 / count as f64;
            let rise = laid.line.at(station).forward.dot(self.jig.table.up).abs();
            if rise < STEEPEST_HELD {
                let bent = laid.line.stations().any(|(s, e)| {
                    matches!(e, Element::Arc(_)) && station > s - self.sheet && station < s + e.length() + self.sheet
                });
                let off_middle = (station - 0.5 * (from + to)).abs() / (to - from).max(1.0);
                let list = if rise < STEEPEST { &mut level } else { &mut steep };
                list.push((rise + off_middle + if bent { 0.4 } else { 0.0 }, station));
            }
        }
        level.sort_by(|a, b| a.0.total_cmp(&b.0));
        steep.sort_by(|a, b| a.0.total_cmp(&b.0));
        let saddle = |(shape, station): (Shape, f64)| {
            let frame = laid.line.at(station);
            let near = self.near(run, station);
            let outside = |p: Vec3| distance(p, &near) - laid.radius;
            let carries = Carries::Run { run, station };
            self.saddle(carries, frame.origin, frame.forward, (laid.radius, shape), &outside)
        };
        let shaped = |tries: &[(f64, f64)]| -> Vec<Saddle> {
            let all = SHAPES.iter().flat_map(|shape| tries.iter().map(move |(_, station)| (*shape, *station)));
            all.filter_map(saddle).collect()
        };
        let free = |saddle: &Saddle| self.is_free(saddle, placed);
        let level = shaped(&level);
        let plain = level.iter().find(|s| free(s)).cloned();
        let bridge = || level.into_iter().filter_map(|s| self.bridge(s)).find(free);
        plain.or_else(bridge).or_else(|| shaped(&steep).into_iter().find(free))
    }

    /// The part of a run that a plate at a place of it can touch.
    fn near(&self, run: usize, station: f64) -> Centreline {
        let laid = &self.runs[run];
        let reach = UNDERSIDE * laid.radius;
        laid.line.stretch((station - reach).max(0.0), (station + reach).min(laid.line.length()))
    }

    /// A saddle made a bridge over the tubes below it; `None` when there are none, or no room for its legs or its web.
    fn bridge(&self, mut saddle: Saddle) -> Option<Saddle> {
        let plate = &saddle.plate;
        let (inner, lowest) = (plate.half_width(), plate.edge.iter().map(|p| p[1]).fold(f64::INFINITY, f64::min));
        let own = if let Carries::Run { run, .. } = saddle.carries { run } else { return None };
        let count = ((inner + REACH) / ACROSS) as i32;
        let below = |right: f64| {
            let tops =
                [-0.5, 0.0, 0.5].map(|f| self.highest_below(plate.place(f * self.sheet, right), lowest, Some(own)));
            tops.into_iter().fold(0.0, f64::max)
        };
        let found: Vec<(f64, f64)> = (-count..=count)
            .map(|i| ACROSS * f64::from(i))
            .map(|right| (right, below(right)))
            .filter(|(_, top)| *top > 0.0)
            .collect();
        let under = found.iter().any(|(right, _)| right.abs() < inner);
        let height = found.iter().map(|f| f.1).fold(0.0, f64::max) + OVER;
        let [first, last] = [found.first()?, found.last()?].map(|f| f.0);
        let (from, to) = (first - ACROSS, last + ACROSS);
        let wide = inner.max(-from + LEG).max(to + LEG);
        if !under || height + WEB > lowest || wide > inner + REACH {
            return None;
        }
        let shoulder = (height + WEB).min(lowest);
        let edge = &mut saddle.plate.edge;
        if wide > inner {
            edge.splice(0..0, [[-wide, shoulder], [-inner, shoulder]]);
            edge.extend([[inner, shoulder], [wide, shoulder]]);
        }
        saddle.plate.opening = Some(Opening { line: vec![[from, height], [to, height]] });
        Some(saddle)
    }

    /// The highest place of the straight up from a place on the table, below `top`, that is too near to a run other than `own`;
    /// 0: none.
    fn highest_below(&self, place: [f64; 2], top: f64, own: Option<usize>) -> f64 {
        let column = self.column(place, 0.0, top);
        let others: Vec<(&Element, f64)> = (0..self.runs.len())
            .filter(|i| Some(*i) != own)
            .flat_map(|i| self.runs[i].line.elements().iter().map(move |e| (e, self.runs[i].radius + GAP)))
            .filter(|(e, keep)| distance_elements_below(&Element::Straight(column), e, *keep).is_some())
            .collect();
        let mut height = top;
        while height > 0.0 && !others.is_empty() {
            let at = column.start + column.direction * height;
            let free = others.iter().map(|(e, keep)| geom::distance_point_element(at, e).0 - keep);
            let free = free.fold(f64::INFINITY, f64::min);
            if free <= 0.0 {
                return height;
            }
            height -= free.max(0.05);
        }
        0.0
    }

    /// A saddle under the round part of a collector before its outlet.
    fn under_collector(
        &self,
        index: usize,
        c: &job::model::Collector,
        frame: &Frame,
        placed: &[Saddle],
    ) -> Option<Saddle> {
        let body = c.body.as_ref()?;
        let seen = |v: Vec3| frame.forward * v.x + frame.right() * v.y + frame.up * v.z;
        let (end, axis) = (frame.origin + seen(body.outlet), seen(body.outlet_axis));
        if axis.dot(self.jig.table.up).abs() > STEEPEST {
            return None;
        }
        let cone = body.cone.map_or(0.0, |c| c.length);
        // Only the cone is round: without one the last of the body is taken for its outlet's tube.
        let (length, ends) = match body.cone {
            Some(c) => (c.length, [0.5 * body.outlet_od, 0.5 * c.to]),
            None => (0.25 * body.length, [0.5 * body.outlet_od; 2]),
        };
        let radius = |back: f64| ends[1] + (ends[0] - ends[1]) * (back / length);
        // Square to the slant the distance is a little less than across the axis.
        let slant = ((ends[0] - ends[1]) / length).atan().cos();
        let outside = |p: Vec3| {
            let back = (end - p).dot(axis);
            let across = (p - end).reject_from_normalized(axis).length();
            (across - radius(back)) * slant
        };
        let tries = if cone > 0.0 { vec![0.5, 0.35, 0.65, 0.2, 0.8] } else { vec![0.12] };
        tries.into_iter().find_map(|share| {
            let back = share * length;
            let saddle =
                self.saddle(Carries::Collector(index), end - axis * back, axis, (radius(back), SHAPES[0]), &outside)?;
            self.is_free(&saddle, placed).then_some(saddle)
        })
    }

    /// The plate of that shape under a round thing of that radius at a place of its axis.
    fn saddle(
        &self,
        carries: Carries,
        centre: Vec3,
        axis: Vec3,
        (radius, shape): (f64, Shape),
        outside: Outside<'_>,
    ) -> Option<Saddle> {
        let (mut plate, mut edge) = self.touching(centre, axis, (radius, shape.around), outside, false)?;
        if edge.iter().any(|p| p[1] < LEAST_HEIGHT) {
            return None;
        }
        let wide = radius + shape.beside;
        let (first, last) = (edge[0], edge[edge.len() - 1]);
        edge.insert(0, [-wide, first[1]]);
        edge.push([wide, last[1]]);
        plate.edge = edge;
        Some(Saddle { carries, plate, from_above: false })
    }

    /// A plate without an edge at a place of a round thing's axis, and the line along which it touches the underside, or the upper
    /// side, so far around either way, degrees.
    fn touching(
        &self,
        centre: Vec3,
        axis: Vec3,
        (radius, around): (f64, f64),
        outside: Outside<'_>,
        above: bool,
    ) -> Option<(Upright, Vec<[f64; 2]>)> {
        let table = &self.jig.table;
        let ahead = axis.reject_from_normalized(table.up).try_normalize()?;
        let right = ahead.cross(table.up);
        let slope = axis.dot(table.up) / axis.dot(ahead);
        let side = if above { -1.0 } else { 1.0 };
        let outermost = |across: f64| -> Option<f64> {
            let mut low = f64::INFINITY;
            for k in -2..=2 {
                let forward = 0.25 * self.sheet * f64::from(k);
                let middle = centre + ahead * forward + right * across + table.up * (slope * forward);
                let surface = surface_below(middle, table.up * side, UNDERSIDE * radius, outside)?;
                low = low.min(side * slope * forward + surface);
            }
            Some(side * (low - FREE))
        };
        let place = self.jig.over_table(centre);
        let mut line: Vec<[f64; 2]> = Vec::new();
        for step in -32..=32 {
            let across = radius * (around / 32.0 * f64::from(step)).to_radians().sin();
            line.push([across, place[2] + outermost(across)?]);
        }
        let heading = self.jig.direction(ahead);
        let heading = heading[1].atan2(heading[0]);
        Some((Upright { at: [place[0], place[1]], heading, edge: Vec::new(), opening: None }, line))
    }

    /// Whether a plate has room: nothing of the header under its edge, none of those placed, and a torch at every joint.
    fn is_free(&self, saddle: &Saddle, placed: &[Saddle]) -> bool {
        let plate = &saddle.plate;
        let wide = plate.half_width();
        let foot = plate.foot(self.sheet);
        let taken = placed.iter().map(|p| p.plate.foot(self.sheet)).chain(self.posts.iter().map(Post::foot));
        if taken.into_iter().any(|other| !feet_apart(&foot, &other)) {
            return false;
        }
        let mut rights: Vec<f64> = plate.edge.iter().map(|p| p[0]).step_by(4).collect();
        rights.extend([-wide, wide]);
        if let Some([[from, _], .., [to, _]]) = plate.opening.as_ref().map(|o| &o.line[..]) {
            rights.extend([0.5 * (from - wide), *from, *to, 0.5 * (to + wide)]);
        }
        rights.into_iter().all(|right| {
            let heights = [plate.opened(right), height_at(&plate.edge, right)];
            [-0.5, 0.0, 0.5]
                .into_iter()
                .all(|f| self.column_is_free(plate.place(f * self.sheet, right), heights, saddle.carries))
        })
    }

    /// Whether nothing of the header but what it carries is in or under a post.
    fn post_is_free(&self, post: &Post) -> bool {
        let widest = self.runs.iter().map(|r| r.radius).fold(0.0, f64::max);
        // The tube that begins on the flange is no obstacle.
        let top = post.top - widest - GAP - 1.0;
        let grid = |k: usize, steps: i32| {
            (0..=steps).map(move |i| post.half[k] * (2.0 * f64::from(i) / f64::from(steps) - 1.0))
        };
        top <= 0.0
            || grid(0, 24).all(|x| {
                grid(1, 8).all(|y| {
                    let place = [post.at[0] + x, post.at[1] + y];
                    self.tubes_are_clear(&self.column(place, 0.0, top), None)
                })
            })
    }

    /// The straight over a place on the table, from one height to another.
    fn column(&self, [x, y]: [f64; 2], bottom: f64, top: f64) -> Straight {
        let table = &self.jig.table;
        let start = table.origin + table.forward * x + table.up.cross(table.forward) * y + table.up * bottom;
        Straight { start, direction: table.up, length: (top - bottom).max(0.1) }
    }

    /// Whether a straight over the table keeps clear of all tubes.
    fn tubes_are_clear(&self, column: &Straight, carries: Option<Carries>) -> bool {
        let column = Element::Straight(*column);
        self.runs.iter().enumerate().all(|(index, run)| {
            let own = matches!(carries, Some(Carries::Run { run, .. }) if run == index);
            let keep = run.radius + if own { -0.001 } else { GAP };
            run.line.elements().iter().all(|e| distance_elements_below(&column, e, keep).is_none())
        })
    }

    /// Whether the straight over a place on the table, from one height to another, keeps clear of all but what is carried.
    fn column_is_free(&self, place: [f64; 2], [bottom, top]: [f64; 2], carries: Carries) -> bool {
        let column = self.column(place, bottom, top);
        let element = Element::Straight(column);
        let clear_of_body = |(index, solids): (usize, &Vec<Solid>)| {
            let own = carries == Carries::Collector(index);
            own || solids.iter().all(|s| distance_element_solid(&element, s, GAP).is_none())
        };
        let clear_of_joint = |(centre, radius): &(Vec3, f64)| {
            let away = *centre - column.start;
            let along = away.dot(column.direction).clamp(0.0, column.length);
            (away - column.direction * along).length() >= radius + TORCH
        };
        self.tubes_are_clear(&column, Some(carries))
            && self.bodies.iter().enumerate().all(clear_of_body)
            && self.joints.iter().all(clear_of_joint)
    }
}

/// Distance from a place to a centreline, mm.
fn distance(p: Vec3, line: &Centreline) -> f64 {
    line.elements().iter().map(|e| geom::distance_point_element(p, e).0).fold(f64::INFINITY, f64::min)
}

/// How far below `middle` the surface lies, negative; `None` when `middle` is outside of it already.
fn surface_below(middle: Vec3, up: Vec3, reach: f64, outside: Outside<'_>) -> Option<f64> {
    if outside(middle) >= 0.0 {
        return None;
    }
    let (mut inside, mut out) = (0.0, -reach);
    if outside(middle + up * out) <= 0.0 {
        return None;
    }
    for _ in 0..50 {
        let half = 0.5 * (inside + out);
        if outside(middle + up * half) < 0.0 {
            inside = half;
        } else {
            out = half;
        }
    }
    Some(out)
}

/// Height of an edge at a place across it.
fn height_at(edge: &[[f64; 2]], right: f64) -> f64 {
    let over = edge.windows(2).find(|w| right <= w[1][0] + 1e-9);
    let Some(&[a, b]) = over.map(|w| <&[[f64; 2]; 2]>::try_from(w).expect("windows of two")) else {
        return edge.last().map_or(0.0, |p| p[1]);
    };
    let share = if b[0] - a[0] > 1e-9 { (right - a[0]) / (b[0] - a[0]) } else { 0.0 };
    a[1] + share.clamp(0.0, 1.0) * (b[1] - a[1])
}

/// A rectangle on the table: its middle, its heading, and half its size along that and across.
struct Foot {
    at: [f64; 2],
    heading: f64,
    half: [f64; 2],
}

impl Upright {
    fn foot(&self, sheet: f64) -> Foot {
        Foot { at: self.at, heading: self.heading, half: [0.5 * sheet, self.half_width()] }
    }
}

impl Post {
    fn foot(&self) -> Foot {
        Foot { at: self.at, heading: 0.0, half: self.half }
    }
}

/// Whether two feet lie apart by more than [`GAP`], by the separating axis.
fn feet_apart(a: &Foot, b: &Foot) -> bool {
    let corners = |foot: &Foot| {
        let (sin, cos) = foot.heading.sin_cos();
        let [f, w] = foot.half.map(|h| h + 0.5 * GAP);
        [(-f, -w), (f, -w), (f, w), (-f, w)]
            .map(|(f, w)| [foot.at[0] + f * cos + w * sin, foot.at[1] + f * sin - w * cos])
    };
    let (of_a, of_b) = (corners(a), corners(b));
    [a.heading, b.heading].into_iter().flat_map(|h| [h, h + std::f64::consts::FRAC_PI_2]).any(|angle| {
        let (sin, cos) = angle.sin_cos();
        let span = |c: &[[f64; 2]; 4]| {
            let along = c.map(|p| p[0] * cos + p[1] * sin);
            let low = along.iter().copied().fold(f64::INFINITY, f64::min);
            (low, along.iter().copied().fold(f64::NEG_INFINITY, f64::max))
        };
        let ((a0, a1), (b0, b1)) = (span(&of_a), span(&of_b));
        a1 < b0 || b1 < a0
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tube(points: &[Vec3], radii: &[f64]) -> Centreline {
        Centreline::from_points(points, radii).unwrap()
    }

    fn scene<'a>(jig: &'a Jig, runs: &'a [Laid]) -> Scene<'a> {
        Scene { jig, sheet: 4.0, runs, bodies: Vec::new(), joints: Vec::new(), posts: &[] }
    }

    fn laid(line: Centreline) -> Laid {
        let id = job::routes::RunId::Primary { cylinder: 1 };
        Laid { id, line, radius: 20.0, start_stub: 0.0, end_stub: 0.0, leaves: None, enters: None }
    }

    fn table() -> Jig {
        let table = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z };
        Jig { setup: crate::jig::Setup::AsOnCar, table, rows: Vec::new() }
    }

    #[test]
    fn a_level_tube_lies_in_a_circle_of_its_own_radius() {
        let (jig, runs) = (table(), [laid(tube(&[Vec3::new(0.0, 0.0, 80.0), Vec3::new(200.0, 0.0, 80.0)], &[]))]);
        let saddle = scene(&jig, &runs).best_on(0, [0.0, 200.0], &[]).unwrap().plate;
        assert!((saddle.at[0] - 100.0).abs() < 1e-9 && saddle.heading.abs() < 1e-9);
        for [across, height] in &saddle.edge[1..saddle.edge.len() - 1] {
            assert!((across.hypot(height + FREE - 80.0) - 20.0).abs() < 1e-6, "{across} {height}");
        }
    }

    #[test]
    fn a_sloping_tube_touches_the_lower_side_of_its_plate() {
        // Rising by 30 degrees: over half of 4 mm it falls by 2 tan 30, its section is 20 / cos 30 high.
        let way = Vec3::new(30f64.to_radians().cos(), 0.0, 0.5);
        let (jig, runs) =
            (table(), [laid(tube(&[Vec3::new(0.0, 0.0, 80.0), Vec3::new(0.0, 0.0, 80.0) + way * 200.0], &[]))]);
        let saddle = scene(&jig, &runs).best_on(0, [0.0, 200.0], &[]).unwrap().plate;
        let middle = saddle.edge[saddle.edge.len() / 2];
        let wanted = 130.0 - 20.0 / way.x - 2.0 * 30f64.to_radians().tan() - FREE;
        assert!(middle[0].abs() < 1e-9 && (middle[1] - wanted).abs() < 1e-6, "{middle:?} {wanted}");
    }

    /// Below a level tube lies a lower one all along, across its way: the plate is a bridge over the lower tube with a leg on
    /// either side, and clears it by the gap.
    #[test]
    fn a_plate_over_a_lower_tube_is_a_bridge() {
        let high = laid(tube(&[Vec3::new(0.0, 0.0, 150.0), Vec3::new(60.0, 0.0, 150.0)], &[]));
        let low = laid(tube(&[Vec3::new(-200.0, 5.0, 60.0), Vec3::new(300.0, 5.0, 60.0)], &[]));
        let (jig, runs) = (table(), [high, low]);
        let saddle = scene(&jig, &runs).best_on(0, [0.0, 60.0], &[]).unwrap().plate;
        let opening = saddle.opening.clone().unwrap();
        let (from, to) = (opening.line[0][0], opening.line[1][0]);
        assert!((opening.height() - 83.0 - OVER).abs() < 0.1, "{opening:?}");
        // Across goes to the right, seen along the tube: the lower one lies 5 mm to the left.
        assert!((-28.0 - 2.0 * ACROSS..=-28.0).contains(&from), "{opening:?}");
        assert!((18.0..=18.0 + 2.0 * ACROSS).contains(&to), "{opening:?}");
        assert!((saddle.half_width() - (LEG - from)).abs() < 1e-9, "{}", saddle.half_width());
        let touching = saddle.edge.iter().filter(|p| p[0].abs() < 17.0);
        assert!(touching.clone().count() > 20);
        assert!(touching.into_iter().all(|[across, height]| (across.hypot(height + FREE - 150.0) - 20.0).abs() < 1e-6));
        // With 30 mm between both there is no room for the web.
        let near = laid(tube(&[Vec3::new(-200.0, 5.0, 98.0), Vec3::new(300.0, 5.0, 98.0)], &[]));
        let runs = [runs[0].clone(), near];
        assert!(scene(&jig, &runs).best_on(0, [0.0, 60.0], &[]).is_none());
    }

    /// Between two tubes that lie 45 mm under it and beside that there is no room for a plate below, so a yoke holds it: it touches
    /// the upper side, its legs stand beside all three, and another tube over them leaves no way off.
    #[test]
    fn a_tube_in_a_stack_is_held_by_a_yoke() {
        let line = |y: f64, z: f64| laid(tube(&[Vec3::new(0.0, y, z), Vec3::new(200.0, y, z)], &[]));
        let (jig, runs) = (table(), [line(0.0, 120.0), line(0.0, 75.0), line(50.0, 110.0)]);
        let scene = scene(&jig, &runs);
        assert!(scene.best_on(0, [0.0, 200.0], &[]).is_none());
        let yoke = scene.yoke_on(0, &[[0.0, 200.0]], &[]).unwrap();
        let line = &yoke.plate.opening.as_ref().unwrap().line;
        // Its middle is not the tube's: across is counted from the middle of both legs.
        let aside = yoke.plate.at[1];
        let touching =
            line[2..line.len() - 2].iter().map(|[across, height]| (across - aside).hypot(height - FREE - 120.0));
        assert!(touching.clone().all(|r| (r - 20.0).abs() < 1e-6), "{:?}", touching.collect::<Vec<_>>());
        // To the left, at y of 50, the outermost tube ends at 70; its gap and a leg come on top.
        let left = aside + yoke.plate.half_width();
        assert!((70.0 + GAP + LEG..70.0 + GAP + LEG + 3.0 * ACROSS).contains(&left), "{left}");
        let over = [runs[0].clone(), runs[1].clone(), runs[2].clone(), line_over()];
        assert!(super::tests::scene(&jig, &over).yoke_on(0, &[[0.0, 200.0]], &[]).is_none());
    }

    fn line_over() -> Laid {
        laid(tube(&[Vec3::new(0.0, 0.0, 200.0), Vec3::new(200.0, 0.0, 200.0)], &[]))
    }

    #[test]
    fn no_plate_stands_over_a_lower_tube_or_beside_a_joint() {
        let high = laid(tube(&[Vec3::new(0.0, 0.0, 150.0), Vec3::new(200.0, 0.0, 150.0)], &[]));
        let low = laid(tube(&[Vec3::new(100.0, -200.0, 60.0), Vec3::new(100.0, 200.0, 60.0)], &[]));
        let (jig, runs) = (table(), [high, low]);
        let mut scene = scene(&jig, &runs);
        let saddle = scene.best_on(0, [0.0, 200.0], &[]).unwrap().plate;
        assert!((saddle.at[0] - 100.0).abs() >= 20.0 + GAP + 2.0 - 1e-6, "{:?}", saddle.at);
        scene.joints = vec![(Vec3::new(saddle.at[0], 0.0, 150.0), 20.0)];
        let other = scene.best_on(0, [0.0, 200.0], &[]).unwrap().plate;
        assert!((other.at[0] - saddle.at[0]).abs() > 20.0, "{:?}", other.at);
    }
}
