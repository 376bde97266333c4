//! Overview: what is not met, three views and one from a corner, the table of runs.

use geom::{Centreline, Vec3};
use job::routes::RunId;
use route::clearance::{Approach, Other};

use super::runs::{lines, run_number, tubes};
use crate::PaperJob;
use crate::balloon::{self, Area, Balloon};
use crate::bay;
use crate::sheet::{
    Anchor, Block, Column, Drawing, Ink, Mark, Placing, Point, Sheet, SheetKind, Stroke, Table, TextStyle,
};
use crate::view::{Scene, View, extent};
use crate::words;

/// Gap between the views, mm.
const BETWEEN: f64 = 4.0;

/// Misses that are named; more would push the views off the page, and the worst come first.
const MOST_UNMET: usize = 8;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let mut sheet = Sheet::new(SheetKind::Overview, "Overview", "");
    if !papers.unmet.is_empty() {
        sheet.blocks.push(Block::Notice {
            title: "NOT MET: do not cut metal until this is fixed".into(),
            points: unmet(papers),
            grave: true,
        });
    }
    sheet.blocks.push(Block::Drawing(views(papers)));
    sheet.blocks.push(Block::Table(runs(papers)));
    sheet.blocks.push(Block::Text(TextStyle::Small, remarks(papers)));
    vec![sheet]
}

/// The first misses in words, and how many more there are.
fn unmet(papers: &PaperJob<'_>) -> Vec<String> {
    let mut points: Vec<String> = papers.unmet.iter().take(MOST_UNMET).cloned().collect();
    if papers.unmet.len() > MOST_UNMET {
        points.push(format!("and {} more", papers.unmet.len() - MOST_UNMET));
    }
    points
}

/// A view with what it is called.
pub(crate) type NamedView = (&'static str, View);

/// Which sides of the engine the ports look to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bank {
    Left,
    Right,
    Both,
}

/// Least sideways part of a port's direction that makes it one of a bank.
const SIDEWAYS: f64 = 0.25;

/// The side that the ports look to; left where they look neither way.
pub(crate) fn bank(lines: &[Option<Centreline>], runs: &[RunId]) -> Bank {
    let primary = |r: &&RunId| matches!(r, RunId::Primary { .. });
    let ways =
        lines.iter().zip(runs).filter(|(_, r)| primary(r)).filter_map(|(l, _)| Some(l.as_ref()?.start().forward.y));
    let (left, right) = ways.fold((false, false), |(l, r), y| (l || y > SIDEWAYS, r || y < -SIDEWAYS));
    match (left, right) {
        (true, true) => Bank::Both,
        (false, true) => Bank::Right,
        _ => Bank::Left,
    }
}

/// Views from the side of a bank, from the front, from above and from a corner. A right bank is seen from the right.
pub(crate) fn named_views(right: bool) -> [NamedView; 4] {
    let side = if right { -1.0 } else { 1.0 };
    [
        (if right { "right" } else { "left" }, View::from(Vec3::Y * side, Vec3::Z)),
        ("front", View::from(Vec3::X, Vec3::Z)),
        ("top", View::from(Vec3::Z, -Vec3::Y)),
        (
            if right { "front right, from above" } else { "front left, from above" },
            View::from(Vec3::new(1.0, 1.3 * side, 0.9), Vec3::Z),
        ),
    ]
}

/// The views of the overview: of two banks both sides.
fn shown(papers: &PaperJob<'_>, lines: &[Option<Centreline>]) -> [NamedView; 4] {
    let runs: Vec<RunId> = papers.routes.runs.iter().map(|r| r.run.clone()).collect();
    match bank(lines, &runs) {
        Bank::Left => named_views(false),
        Bank::Right => named_views(true),
        Bank::Both => {
            let ([left, front, top, _], [right, ..]) = (named_views(false), named_views(true));
            [left, right, top, front]
        }
    }
}

fn views(papers: &PaperJob<'_>) -> Drawing {
    let [width, room] = papers.paper.room(false);
    let rows = papers.routes.runs.len() as f64 * 6.0 + 34.0;
    let unmet = unmet(papers).len() as f64 * 11.0;
    let height = (room - rows - unmet).clamp(90.0, 0.72 * room);
    let mut d = Drawing::new(width, height);
    let lines = lines(papers);
    let tubes = tubes(papers, &lines, None);
    if tubes.is_empty() {
        return d;
    }
    let cell = [0.5 * (width - BETWEEN), 0.5 * (height - BETWEEN)];
    let inner = [cell[0] - 16.0, cell[1] - 20.0];
    let views = shown(papers, &lines);
    let fit = |view: &View, scale| Placing::fit(&extent(&tubes, view), 0.0, [8.0, 9.0], inner, scale);
    // Square views share one scale, so that they can be compared; a view from a corner has its own.
    let square = |view: &View| [view.toward.x, view.toward.y, view.toward.z].iter().any(|c| c.abs() > 0.999);
    let shared = views.iter().filter(|v| square(&v.1)).map(|v| fit(&v.1, None).scale).fold(f64::INFINITY, f64::min);
    for (k, (name, view)) in views.iter().enumerate() {
        let corner = [(k % 2) as f64 * (cell[0] + BETWEEN), (k / 2) as f64 * (cell[1] + BETWEEN)];
        let placing = fit(view, square(view).then_some(shared));
        let mut seen = Drawing { window: true, ..Drawing::new(cell[0], cell[1]) };
        let covered = bay::covered(&tubes, view, &placing);
        let at = axes_place(cell, &covered);
        let axes_area = [[at[0] - AXES, at[1] - AXES], [at[0] + AXES, at[1] + AXES]];
        bay::keepouts(papers, &[&covered[..], &[axes_area]].concat(), view, &placing, &mut seen);
        bay::plates(papers, view, &placing, true, &mut seen);
        Scene::new(&tubes, *view).draw(&mut seen, &placing);
        bay::plates(papers, view, &placing, false, &mut seen);
        let frame = [[1.0, 6.0], [cell[0] - 1.0, cell[1] - 1.0]];
        balloon::set(&numbers(papers, &lines, view, &placing), frame, &covered, &[axes_area], &mut seen);
        axes(view, at, &mut seen);
        d.marks.push(Mark::Inset(corner, seen));
        let frame = Stroke::of(0.2, Ink(190, 190, 190));
        d.rectangle(corner, [corner[0] + cell[0], corner[1] + cell[1]], Some(frame), None);
        let title = d.text([corner[0] + 2.0, corner[1] + 3.4], 3.0, Anchor::Left, *name);
        (title.weight, title.over) = (crate::sheet::Weight::Bold, true);
    }
    d
}

/// Half of the room that the arrows of the axes take with their names, mm.
const AXES: f64 = 11.5;

/// Where the arrows of the axes stand in a cell: in the corner that the tubes leave free, the lower left one by choice.
pub(crate) fn axes_place(cell: Point, covered: &[Area]) -> Point {
    let [near, far] = [AXES + 1.5, AXES - 1.0];
    let corners =
        [[near, cell[1] - far], [cell[0] - near, cell[1] - far], [cell[0] - near, near + 4.0], [near, near + 6.0]];
    let hits = |at: &Point| {
        let meets = |c: &&Area| (0..2).all(|k| c[1][k] > at[k] - AXES && c[0][k] < at[k] + AXES);
        covered.iter().filter(meets).count()
    };
    corners.into_iter().min_by_key(hits).unwrap_or([near, cell[1] - far])
}

/// The number of every run at its start, before the flow comes out.
pub(super) fn numbers(
    papers: &PaperJob<'_>,
    lines: &[Option<Centreline>],
    view: &View,
    placing: &Placing,
) -> Vec<Balloon> {
    let number = |(index, line): (usize, &Option<Centreline>)| {
        let line = line.as_ref()?;
        let at = placing.at(view.flat(line.at(0.04 * line.length()).origin));
        let look = balloon::TextStyle::Filled(2.5, words::run_ink(index));
        Some(Balloon { at, text: run_number(papers, index), look })
    };
    lines.iter().enumerate().filter_map(number).collect()
}

/// Two arrows with what they point at in the car.
pub(crate) fn axes(view: &View, at: Point, d: &mut Drawing) {
    for (axis, name) in [(Vec3::X, "front"), (Vec3::Y, "left"), (Vec3::Z, "up")] {
        let [x, y] = view.flat(axis);
        let long = x.hypot(y);
        if long < 0.3 {
            continue;
        }
        let to = [at[0] + 6.5 * x, at[1] - 6.5 * y];
        d.arrow(at, to, Stroke::black(0.25));
        let beyond = [at[0] + (6.5 * long + 2.2) * x / long, at[1] - (6.5 * long + 2.2) * y / long];
        let anchor = if x.abs() < 0.4 * long {
            Anchor::Middle
        } else if x > 0.0 {
            Anchor::Left
        } else {
            Anchor::Right
        };
        d.text([beyond[0] - 1.2 * x / long, beyond[1]], 2.3, anchor, name);
    }
}

fn runs(papers: &PaperJob<'_>) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left("no."),
        Column::left("tube"),
        Column::wide("into", 1.5),
        Column::right(words::head("length", units)),
        Column::right("bends"),
        Column::right("welds"),
        Column::right(words::head("clearance", units)),
        Column::wide("to tube", 1.1),
        Column::right(words::head("clearance", units)),
        Column::wide("to obstacle", 1.1),
    ]);
    for (index, route) in papers.routes.runs.iter().enumerate() {
        let Some(run) = papers.assembly.get(index) else { continue };
        let gaps = papers.clearance.and_then(|c| c.runs.iter().find(|r| r.run == route.run));
        let tube = gaps.and_then(|g| g.tubes.as_ref().or(g.at_inlets.as_ref()));
        let keepout = gaps.and_then(|g| g.keepouts.first());
        let gap = |a: Option<&Approach>| a.map_or("-".into(), |a| words::length(a.gap, units));
        let into = if route.collector.is_empty() {
            "-".to_string()
        } else {
            format!("{} inlet {}", words::short(&route.collector, 40), route.inlet)
        };
        let bends = route.centreline().map_or(0, |l| l.bends().count());
        table.row(vec![
            run_number(papers, index),
            words::short(&route.run.to_string(), 24),
            into,
            words::length(run.length, units),
            bends.to_string(),
            run.pieces.len().saturating_sub(1).to_string(),
            gap(tube),
            tube.map_or(String::new(), |a| other(&a.to)),
            gap(keepout),
            keepout.map_or(String::new(), |a| other(&a.to)),
        ]);
    }
    table
}

fn other(other: &Other) -> String {
    words::short(&other.to_string(), 40)
}

fn remarks(papers: &PaperJob<'_>) -> String {
    let units = papers.units;
    let of = |kind: fn(&RunId) -> bool| papers.assembly.iter().filter(move |a| kind(&a.run)).map(|a| a.length);
    let lengths: Vec<f64> = of(|r| matches!(r, RunId::Primary { .. })).collect();
    let (low, high) = lengths.iter().fold((f64::INFINITY, 0.0_f64), |(l, h), x| (l.min(*x), h.max(*x)));
    let spread = if lengths.len() > 1 {
        format!("Primary lengths differ by {}. ", words::with_unit(high - low, units))
    } else {
        String::new()
    };
    let tube = &papers.job.primary.tube;
    format!(
        "{spread}{} pieces, {} welds, {} saw cuts, yield {:.0} %. Primaries of {} {}. Lengths along the centreline from port \
         face to inlet plane; clearances surface to surface. Do not scale from the views.",
        papers.plan.pieces.len(),
        papers.plan.joints,
        papers.plan.cuts,
        100.0 * papers.plan.yield_ratio(),
        words::tube(tube.od, tube.wall, units),
        tube.material
    )
}
