//! Edits of one route by hand that leave its ends where they are.
//!
//! The first point and the direction it is left in belong to a port, the last ones to an inlet. So the intersection
//! point beside an end slides along that end's line only; the points between are free. Every edit gives a tube or says
//! why there is none; whether the tube clears everything is `recount`'s to say.

use geom::{CentrelineError, Vec3, rotate_about};
use job::routes::Route;

/// Rounds of [`RouteEdit::PullToLength`]: each one halves the miss at least when the tube can give.
const ROUNDS: usize = 60;

/// How near a pulled length comes, mm.
const LENGTH_REACHED: f64 = 1e-6;

/// Step of the slopes of length by place, mm: far above rounding, far below any bend.
const SLOPE_STEP: f64 = 1e-4;

/// Least squared slope of length that can be pulled at: below it, moving every point changes nothing.
const LEAST_SLOPE: f64 = 1e-9;

/// An edit. Points are counted from 0, the start; bends by their intersection point, from 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RouteEdit {
    /// Moves an intersection point; beside an end it goes to the nearest place on that end's line.
    MovePoint {
        /// The bend.
        index: usize,
        /// Where to, mm.
        to: Vec3,
    },
    /// Gives a bend another CLR.
    SetClr {
        /// The bend.
        index: usize,
        /// The CLR, mm.
        clr: f64,
    },
    /// Rolls a bend's plane about the line through its two neighbours, or, beside an end, about that end's line.
    Roll {
        /// The bend.
        index: usize,
        /// By how much, rad, by the right-hand rule along the flow.
        angle: f64,
    },
    /// Adds a bend in the middle of the leg after a point; it turns nothing until it is moved.
    InsertBend {
        /// The point at the start of the leg.
        after: usize,
        /// Its CLR, mm.
        clr: f64,
    },
    /// Takes a bend out.
    RemoveBend {
        /// The bend.
        index: usize,
    },
    /// Moves all points as little as possible until the tube is that long.
    PullToLength {
        /// The length, mm.
        length: f64,
    },
}

/// Why there is no edited route.
#[derive(Debug, Clone, PartialEq)]
pub enum EditError {
    /// The route has no such bend or leg.
    NoBend {
        /// The one asked for.
        index: usize,
        /// Bends that there are.
        bends: usize,
    },
    /// The bend is held by both ends.
    Held {
        /// The bend.
        index: usize,
    },
    /// Without the bend the ends do not meet.
    Needed {
        /// The bend.
        index: usize,
    },
    /// The points and radii that came out are no tube.
    NoTube(CentrelineError),
    /// No tube of that length was found.
    NoLength {
        /// The length asked for, mm.
        wanted: f64,
        /// The nearest one, mm.
        reached: f64,
    },
}

impl From<CentrelineError> for EditError {
    fn from(error: CentrelineError) -> Self {
        EditError::NoTube(error)
    }
}

/// The route after an edit.
///
/// # Errors
/// [`EditError`].
pub fn edit(route: &Route, edit: RouteEdit) -> Result<Route, EditError> {
    route.centreline()?;
    let ends = Ends::of(route);
    let mut out = route.clone();
    match edit {
        RouteEdit::MovePoint { index, to } => {
            let bend = ends.bend(index)?;
            out.points[bend] = ends.allowed(bend, to)?;
        }
        RouteEdit::SetClr { index, clr } => out.radii[ends.bend(index)? - 1] = clr,
        RouteEdit::Roll { index, angle } => roll(&mut out, &ends, index, angle)?,
        RouteEdit::InsertBend { after, clr } => {
            if after > ends.bends {
                return Err(EditError::NoBend { index: after, bends: ends.bends });
            }
            out.points.insert(after + 1, middle(route, after));
            out.radii.insert(after, clr);
        }
        RouteEdit::RemoveBend { index } => remove(&mut out, &ends, index)?,
        RouteEdit::PullToLength { length } => pull(&mut out, &ends, length)?,
    }
    out.centreline()?;
    Ok(out)
}

/// The lines that hold the ends of a route.
struct Ends {
    start: Vec3,
    leaving: Vec3,
    end: Vec3,
    arriving: Vec3,
    bends: usize,
}

impl Ends {
    /// Of a route that is a tube.
    fn of(route: &Route) -> Ends {
        let points = &route.points;
        let last = points.len() - 1;
        Ends {
            start: points[0],
            leaving: (points[1] - points[0]).normalize(),
            end: points[last],
            arriving: (points[last] - points[last - 1]).normalize(),
            bends: last - 1,
        }
    }

    fn bend(&self, index: usize) -> Result<usize, EditError> {
        if (1..=self.bends).contains(&index) { Ok(index) } else { Err(EditError::NoBend { index, bends: self.bends }) }
    }

    /// The place nearest to `to` that the intersection point `index` may take.
    fn allowed(&self, index: usize, to: Vec3) -> Result<Vec3, EditError> {
        match (index == 1, index == self.bends) {
            (true, true) => Err(EditError::Held { index }),
            (true, false) => Ok(self.start + self.leaving * (to - self.start).dot(self.leaving)),
            (false, true) => Ok(self.end + self.arriving * (to - self.end).dot(self.arriving)),
            (false, false) => Ok(to),
        }
    }
}

fn roll(out: &mut Route, ends: &Ends, index: usize, angle: f64) -> Result<(), EditError> {
    let bend = ends.bend(index)?;
    let (moved, from, axis) = match (bend == 1, bend == ends.bends) {
        (true, true) => return Err(EditError::Held { index }),
        (true, false) => (bend + 1, ends.start, ends.leaving),
        (false, true) => (bend - 1, ends.end, ends.arriving),
        (false, false) => {
            let (before, after) = (out.points[bend - 1], out.points[bend + 1]);
            (bend, before, (after - before).try_normalize().ok_or(EditError::Held { index })?)
        }
    };
    let to = from + rotate_about(out.points[moved] - from, axis, angle);
    if moved == 1 || moved == ends.bends {
        // The neighbour lies on the other end's line: it cannot go round.
        return Err(EditError::Held { index });
    }
    out.points[moved] = to;
    Ok(())
}

/// The middle of the straight that the leg after point `after` keeps between its bends.
fn middle(route: &Route, after: usize) -> Vec3 {
    let (a, b) = (route.points[after], route.points[after + 1]);
    let along = (b - a).normalize();
    let setback = |at: usize| {
        if at == 0 || at + 1 == route.points.len() {
            return 0.0;
        }
        let u = (route.points[at] - route.points[at - 1]).normalize();
        let w = (route.points[at + 1] - route.points[at]).normalize();
        route.radii[at - 1] * (0.5 * u.cross(w).length().atan2(u.dot(w))).tan()
    };
    0.5 * (a + along * setback(after) + b - along * setback(after + 1))
}

fn remove(out: &mut Route, ends: &Ends, index: usize) -> Result<(), EditError> {
    let bend = ends.bend(index)?;
    out.points.remove(bend);
    out.radii.remove(bend - 1);
    let fewer = Ends { bends: ends.bends - 1, ..*ends };
    if fewer.bends == 0 {
        let straight = (ends.end - ends.start).normalize_or_zero();
        let one_line = straight.cross(ends.leaving).length() < 1e-9 && straight.cross(ends.arriving).length() < 1e-9;
        return if one_line { Ok(()) } else { Err(EditError::Needed { index }) };
    }
    if fewer.bends == 1 {
        out.points[1] = crossing(ends).ok_or(EditError::Needed { index })?;
        return Ok(());
    }
    for at in [1, fewer.bends] {
        out.points[at] = fewer.allowed(at, out.points[at])?;
    }
    Ok(())
}

/// Where the lines of both ends cross, when they do within 0.001 mm.
fn crossing(ends: &Ends) -> Option<Vec3> {
    let between = ends.end - ends.start;
    let normal = ends.leaving.cross(ends.arriving);
    let square = normal.length_squared();
    if square < 1e-12 || (between.dot(normal) / square.sqrt()).abs() > 1e-3 {
        return None;
    }
    Some(ends.start + ends.leaving * (between.cross(ends.arriving).dot(normal) / square))
}

/// Newton steps of least movement on length alone; a step that gives no tube is halved.
fn pull(out: &mut Route, ends: &Ends, wanted: f64) -> Result<(), EditError> {
    let mut reached = out.centreline()?.length();
    for _ in 0..ROUNDS {
        let miss = wanted - reached;
        if miss.abs() <= LENGTH_REACHED {
            return Ok(());
        }
        let slopes = slopes(out, ends);
        let square: f64 = slopes.iter().map(|s| s.length_squared()).sum();
        if square < LEAST_SLOPE {
            break;
        }
        let better = (0..20).find_map(|halvings| {
            let scale = miss / square * 0.5f64.powi(halvings);
            let mut tried = out.clone();
            for (at, slope) in slopes.iter().enumerate() {
                tried.points[at + 1] += *slope * scale;
            }
            let length = tried.centreline().ok()?.length();
            ((wanted - length).abs() < miss.abs()).then_some((tried, length))
        });
        let Some((tried, length)) = better else { break };
        (*out, reached) = (tried, length);
    }
    if (wanted - reached).abs() <= LENGTH_REACHED { Ok(()) } else { Err(EditError::NoLength { wanted, reached }) }
}

/// How the length changes with the place of each intersection point, as far as it may move.
fn slopes(route: &Route, ends: &Ends) -> Vec<Vec3> {
    let length = |at: usize, by: Vec3| {
        let mut moved = route.clone();
        moved.points[at] += by;
        moved.centreline().map(|c| c.length())
    };
    let slope = |at: usize, way: Vec3| {
        let (ahead, behind) = (length(at, way * SLOPE_STEP), length(at, -way * SLOPE_STEP));
        match (ahead, behind) {
            (Ok(a), Ok(b)) => way * ((a - b) / (2.0 * SLOPE_STEP)),
            _ => Vec3::ZERO,
        }
    };
    (1..=ends.bends)
        .map(|at| match (at == 1, at == ends.bends) {
            (true, true) => Vec3::ZERO,
            (true, false) => slope(at, ends.leaving),
            (false, true) => slope(at, ends.arriving),
            (false, false) => Vec3::AXES.into_iter().map(|way| slope(at, way)).sum(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use job::routes::RunId;

    use super::*;

    /// A run with three bends: out along y, over and down to an inlet that is entered along -x.
    fn three() -> Route {
        let points = [
            [0.0, 0.0, 0.0],
            [0.0, 150.0, 0.0],
            [-50.0, 260.0, -150.0],
            [-200.0, 200.0, -300.0],
            [-450.0, 200.0, -300.0],
        ];
        Route {
            run: RunId::Primary { cylinder: 1 },
            collector: "main".into(),
            inlet: 1,
            points: points.map(Vec3::from).to_vec(),
            radii: vec![60.0; 3],
            locked: false,
        }
    }

    fn ends_hold(edited: &Route) {
        let (was, is) = (three().centreline().unwrap(), edited.centreline().unwrap());
        let [a, b] = [was, is].map(|c| [c.at(0.0), c.at(c.length())]);
        for end in 0..2 {
            assert!((a[end].origin - b[end].origin).length() < 1e-9);
            assert!((a[end].forward - b[end].forward).length() < 1e-9);
        }
    }

    #[test]
    fn every_edit_leaves_the_ends() {
        let to = Vec3::new(-80.0, 280.0, -140.0);
        for step in [
            RouteEdit::MovePoint { index: 1, to },
            RouteEdit::MovePoint { index: 2, to },
            RouteEdit::MovePoint { index: 3, to: Vec3::new(-220.0, 0.0, 0.0) },
            RouteEdit::SetClr { index: 2, clr: 50.0 },
            RouteEdit::Roll { index: 1, angle: 0.2 },
            RouteEdit::Roll { index: 2, angle: -0.3 },
            RouteEdit::Roll { index: 3, angle: 0.1 },
            RouteEdit::InsertBend { after: 0, clr: 60.0 },
            RouteEdit::InsertBend { after: 3, clr: 60.0 },
            RouteEdit::RemoveBend { index: 2 },
            RouteEdit::PullToLength { length: 660.0 },
        ] {
            ends_hold(&edit(&three(), step).unwrap_or_else(|e| panic!("{step:?}: {e:?}")));
        }
    }

    #[test]
    fn a_pulled_run_has_the_length_asked_for() {
        let was = three().centreline().unwrap().length();
        for by in [-20.0, 12.5, 60.0] {
            let edited = edit(&three(), RouteEdit::PullToLength { length: was + by }).unwrap();
            assert!((edited.centreline().unwrap().length() - was - by).abs() < 1e-6);
        }
        let short = edit(&three(), RouteEdit::PullToLength { length: 100.0 });
        assert!(matches!(short, Err(EditError::NoLength { .. })), "{short:?}");
    }

    #[test]
    fn an_inserted_bend_changes_no_length_until_it_is_moved() {
        let was = three().centreline().unwrap().length();
        let edited = edit(&three(), RouteEdit::InsertBend { after: 1, clr: 60.0 }).unwrap();
        assert_eq!(edited.points.len(), 6);
        assert!((edited.centreline().unwrap().length() - was).abs() < 1e-9);
        assert!(edit(&edited, RouteEdit::RemoveBend { index: 2 }).unwrap() == three());
    }

    #[test]
    fn one_bend_is_held_by_both_ends() {
        let points = [[0.0, 0.0, 0.0], [200.0, 0.0, 0.0], [200.0, 200.0, 0.0]].map(Vec3::from).to_vec();
        let one = Route { points, radii: vec![60.0], ..three() };
        let moved = edit(&one, RouteEdit::MovePoint { index: 1, to: Vec3::ZERO });
        assert_eq!(moved, Err(EditError::Held { index: 1 }));
        assert_eq!(edit(&one, RouteEdit::RemoveBend { index: 1 }), Err(EditError::Needed { index: 1 }));
        assert!(matches!(
            edit(&one, RouteEdit::SetClr { index: 2, clr: 50.0 }),
            Err(EditError::NoBend { index: 2, bends: 1 })
        ));
    }

    #[test]
    fn of_two_bends_between_crossing_lines_one_can_go() {
        let points =
            [[0.0, 0.0, 0.0], [150.0, 0.0, 0.0], [200.0, 50.0, 0.0], [200.0, 300.0, 0.0]].map(Vec3::from).to_vec();
        let two = Route { points, radii: vec![20.0; 2], ..three() };
        let edited = edit(&two, RouteEdit::RemoveBend { index: 2 }).unwrap();
        assert!((edited.points[1] - Vec3::new(200.0, 0.0, 0.0)).length() < 1e-9);
    }

    #[test]
    fn a_point_dragged_too_near_says_what_is_missing() {
        let near = edit(&three(), RouteEdit::MovePoint { index: 2, to: Vec3::new(0.0, 155.0, 0.0) });
        assert!(
            matches!(near, Err(EditError::NoTube(CentrelineError::Overlap { .. } | CentrelineError::TooSharp { .. }))),
            "{near:?}"
        );
    }
}
