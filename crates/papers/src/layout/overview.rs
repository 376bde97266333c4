//! Overview: what is not met, three views and one from a corner, the table of runs.

use geom::{Centreline, Vec3};
use job::routes::RunId;
use route::clearance::{Approach, Other};

use super::run_number;
use crate::PaperJob;
use crate::bay;
use crate::sheet::{Anchor, Block, Column, Drawing, Ink, Look, Mark, Placing, Point, Sheet, SheetKind, Stroke, Table};
use crate::view::{DrawnTube, Scene, View, extent};
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
    sheet.blocks.push(Block::Text(Look::Small, remarks(papers)));
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

/// The centrelines of all runs; a route that is no tube has none.
pub(super) fn lines(papers: &PaperJob<'_>) -> Vec<Option<Centreline>> {
    papers.routes.runs.iter().map(|r| r.centreline().ok()).collect()
}

/// All runs as tubes to be drawn; `only` shows one and the others faint.
pub(super) fn tubes<'a>(
    papers: &PaperJob<'_>,
    lines: &'a [Option<Centreline>],
    only: Option<usize>,
) -> Vec<DrawnTube<'a>> {
    let mut out = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let (Some(line), Some(run)) = (line, papers.assembly.get(index)) else { continue };
        let faint = only.is_some_and(|o| o != index);
        let joints = &run.joints;
        let rings = if faint { Vec::new() } else { joints.iter().map(|j| j.station).collect() };
        let (ink, dash) = (words::run_ink(index), words::run_dash(index));
        out.push(DrawnTube { line, radius: 0.5 * run.tube.od, ink, dash, rings, faint });
    }
    out
}

/// A view with its name and what the page's right and up are in the car.
pub(super) fn named_views() -> [(&'static str, View); 4] {
    [
        ("left", View::from(Vec3::Y, Vec3::Z)),
        ("front", View::from(Vec3::X, Vec3::Z)),
        ("top", View::from(Vec3::Z, -Vec3::Y)),
        ("front left, from above", View::from(Vec3::new(1.0, 1.3, 0.9), Vec3::Z)),
    ]
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
    let views = named_views();
    // The three square views share one scale, so that they can be compared.
    let shared = views[..3]
        .iter()
        .map(|(_, v)| Placing::fit(&extent(&tubes, v), 0.0, [0.0, 0.0], inner, None).scale)
        .fold(f64::INFINITY, f64::min);
    for (k, (name, view)) in views.iter().enumerate() {
        let corner = [(k % 2) as f64 * (cell[0] + BETWEEN), (k / 2) as f64 * (cell[1] + BETWEEN)];
        let placing = Placing::fit(&extent(&tubes, view), 0.0, [8.0, 9.0], inner, (k < 3).then_some(shared));
        let mut seen = Drawing { window: true, ..Drawing::new(cell[0], cell[1]) };
        bay::keepouts(papers, &tubes, view, &placing, &mut seen);
        bay::plates(papers, view, &placing, true, &mut seen);
        Scene::new(&tubes, *view).draw(&mut seen, &placing);
        bay::plates(papers, view, &placing, false, &mut seen);
        numbers(papers, &lines, view, &placing, &mut seen);
        d.marks.push(Mark::Inset(corner, seen));
        let frame = Stroke::of(0.2, Ink(190, 190, 190));
        d.rectangle(corner, [corner[0] + cell[0], corner[1] + cell[1]], Some(frame), None);
        let title = d.text([corner[0] + 2.0, corner[1] + 3.4], 3.0, Anchor::Left, *name);
        (title.weight, title.over) = (crate::sheet::Weight::Bold, true);
        axes(view, [corner[0] + 15.0, corner[1] + cell[1] - 10.0], &mut d);
    }
    d
}

/// Numbers beside both ends of every run, apart from one another.
pub(super) fn numbers(
    papers: &PaperJob<'_>,
    lines: &[Option<Centreline>],
    view: &View,
    placing: &Placing,
    d: &mut Drawing,
) {
    let mut taken: Vec<Point> = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let Some(line) = line else { continue };
        let radius = papers.assembly.get(index).map_or(20.0, |a| 0.5 * a.tube.od);
        // At the start, before the flow comes out; where that spot is taken, farther along the run.
        let free = |p: &Point, taken: &[Point]| taken.iter().all(|q| (p[0] - q[0]).hypot(p[1] - q[1]) > 5.4);
        let start = line.start();
        let before = placing.at(view.flat(start.origin - start.forward * (radius + 4.5 / placing.scale)));
        let mut spots = vec![before];
        spots.extend(
            (0..12).map(|k| placing.at(view.flat(line.at(line.length() * (0.15 + 0.07 * f64::from(k))).origin))),
        );
        let spot = spots.iter().find(|p| free(p, &taken)).copied().unwrap_or(before);
        taken.push(spot);
        d.bubble(spot, 2.5, run_number(papers, index), words::run_ink(index), true);
    }
}

/// Two arrows with what they point at in the car.
pub(super) fn axes(view: &View, at: Point, d: &mut Drawing) {
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
        Column::right(words::head("clearance to tube", units)),
        Column::wide("", 0.85),
        Column::right(words::head("to obstacle", units)),
        Column::wide("", 1.1),
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

/// A run's name.
pub(super) fn run_name(run: &RunId) -> String {
    words::short(&run.to_string(), 48)
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
