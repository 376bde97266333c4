//! Assembly sheets: one for each run.

use std::f64::consts::{PI, TAU};

use cutplan::Piece;
use cutplan::assembly::{Joint, JointKind, RunAssembly};
use cutplan::figures::Steps;
use geom::{Centreline, Vec3};
use job::parts::Holds;
use job::routes::RunId;

use super::overview::{Bank, NamedView, axes, axes_place, bank, named_views};
use super::runs::{lines, run_name, run_number, tubes};
use crate::PaperJob;
use crate::balloon::{self, Balloon};
use crate::bay;
use crate::sheet::{
    Anchor, Block, Column, Drawing, Ink, Mark, Placing, Point, RowHeight, Sheet, SheetKind, Stroke, Table, TextStyle,
    Weight,
};
use crate::view::{Scene, View, extent};
use crate::words;

/// Least and most height of the views, mm; between them they take what the tables leave.
const HEIGHT: [f64; 2] = [62.0, 105.0];

/// Height of a table's plain and low row, mm.
const ROW: f64 = 6.2;
const LOW_ROW: f64 = 4.4;

/// Height of headings, heads of tables and remarks, mm.
const BESIDE: f64 = 66.0;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    (0..papers.assembly.len()).map(|index| sheet(papers, index)).collect()
}

fn sheet(papers: &PaperJob<'_>, index: usize) -> Sheet {
    let run = &papers.assembly[index];
    let title = format!("Assembly {} · {}", run_number(papers, index), run_name(&run.run));
    let about = format!(
        "{} {}, length {}",
        words::tube(run.tube.od, run.tube.wall, papers.units),
        run.tube.material,
        words::figure_with_unit(run.length, papers.units)
    );
    let mut sheet = Sheet::new(SheetKind::Assembly, title, about);
    sheet.blocks.push(Block::Drawing(drawing(papers, index)));
    let row_height = RowHeight::of(run.pieces.len() + run.joints.len() + run.chords.len());
    let table = |table: Table| Block::Table(Table { row_height, ..table });
    sheet.blocks.push(Block::Heading("Pieces, port to collector".into()));
    sheet.blocks.push(table(pieces(papers, run)));
    sheet.blocks.extend(closing(papers, run).map(|text| Block::Text(TextStyle::Strong, text)));
    sheet.blocks.push(Block::Heading("Joints".into()));
    sheet.blocks.push(table(joints(papers, run)));
    sheet.blocks.push(Block::Heading("Chords to check with calipers or tape, outside edge to outside edge".into()));
    sheet.blocks.push(table(chords(papers, run)));
    let parts = parts(papers, run);
    if !parts.rows.is_empty() {
        sheet.blocks.push(Block::Heading("Parts on this tube, from its start".into()));
        sheet.blocks.push(table(parts));
    }
    sheet.blocks.push(Block::Text(
        TextStyle::Small,
        "Vehicle axes: x forward, y left, z up. From the start: out along the flow there, left and up looking downstream. \
         Chord outside: between the outside lines (far from the bend's centre) at both ends; inside: between the inside lines. \
         A chord over two pieces checks the clocking between them. Match mark: from the outside of the bend before (at the start from \
         up), + = clockwise looking downstream. Purge, filler and weld sequence: see Welding."
            .into(),
    ));
    sheet
}

/// The order of a run whose last pieces are cut to measurement; `None` when no piece of it was left longer.
fn closing(papers: &PaperJob<'_>, run: &RunAssembly) -> Option<String> {
    let pieces: Vec<&Piece> = run.pieces.iter().map(|&k| &papers.plan.pieces[k]).collect();
    let left: Vec<String> = pieces
        .iter()
        .filter_map(|p| Some(format!("{}: {}", p.mark, words::reserve(&p.reserve, papers.units)?)))
        .collect();
    if left.is_empty() {
        return None;
    }
    let left = left.join("; ");
    let Some([first, last]) = pair(&pieces) else { return Some(format!("Cut last to measure: {left}.")) };
    let span = &pieces[first..=last];
    let mut order = String::new();
    if first > 0 {
        order.push_str(&format!("weld up to {}; ", pieces[first - 1].mark));
    }
    if let Some(next) = pieces.get(last + 1) {
        order.push_str(&format!("weld from {} on to the inlet; ", next.mark));
    }
    let marks: Vec<&str> = span.iter().map(|p| p.mark.as_str()).collect();
    let rest = marks[1..].join(", ");
    Some(format!(
        "Close with {} last: {order}measure, cut {} and tack; measure again, cut {rest} and tack; turn, trim and weld. Left longer: {left}.",
        marks.join(", "),
        marks[0],
    ))
}

/// The two bends that are cut last: those with a reserve, or one with it and the next one beyond a straight with it; `None` when
/// the plan does not say.
fn pair(pieces: &[&Piece]) -> Option<[usize; 2]> {
    let reserved: Vec<usize> = (0..pieces.len()).filter(|&k| !pieces[k].reserve.is_none()).collect();
    let bend = |k: &usize| pieces[*k].angle > 0.0;
    let bends: Vec<usize> = reserved.iter().copied().filter(bend).collect();
    match bends[..] {
        [first, .., last] => Some([first, last]),
        [first] if reserved.iter().any(|k| *k > first) => Some([first, (first + 1..pieces.len()).find(bend)?]),
        _ => None,
    }
}

/// The run among the others from the two sides that show its joints best, with its pieces and joints named. It is drawn over the
/// others, so that none of it is hidden.
fn drawing(papers: &PaperJob<'_>, index: usize) -> Drawing {
    let [width, room] = papers.paper.room(false);
    let run = &papers.assembly[index];
    let rows = run.pieces.len() + run.joints.len() + run.chords.len();
    let row = if RowHeight::of(rows) == RowHeight::Low { LOW_ROW } else { ROW };
    let height = (room - BESIDE - row * rows as f64).clamp(HEIGHT[0], HEIGHT[1]);
    let mut d = Drawing::new(width, height);
    let lines = lines(papers);
    let Some(own) = lines.get(index).and_then(Option::as_ref) else { return d };
    let (others, alone): (Vec<_>, Vec<_>) = tubes(papers, &lines, Some(index)).into_iter().partition(|t| t.faint);
    let cell = [0.5 * (width - 4.0), height];
    let inner = [cell[0] - 26.0, cell[1] - 22.0];
    for (k, (name, view)) in best_views(&lines, papers, index, inner).into_iter().enumerate() {
        let at = [k as f64 * (cell[0] + 4.0), 0.0];
        let placing = Placing::fit(&extent(&alone, &view), 0.0, [13.0, 12.0], inner, None);
        let mut seen = Drawing { window: true, ..Drawing::new(cell[0], cell[1]) };
        Scene::new(&others, view).draw(&mut seen, &placing);
        Scene::new(&alone, view).draw(&mut seen, &placing);
        let covered = bay::covered(&alone, &view, &placing);
        let corner = axes_place(cell, &covered);
        let axes_area = [corner.map(|c| c - 10.0), corner.map(|c| c + 10.0)];
        let frame = [[1.0, 6.0], [cell[0] - 1.0, cell[1] - 1.0]];
        balloon::set(&labels(papers, run, own, &view, &placing), frame, &covered, &[axes_area], &mut seen);
        axes(&view, corner, &mut seen);
        d.marks.push(Mark::Inset(at, seen));
        d.rectangle(at, [at[0] + cell[0], cell[1]], Some(Stroke::of(0.2, Ink(190, 190, 190))), None);
        let title = d.text([at[0] + 2.0, 3.4], 3.0, Anchor::Left, name);
        (title.weight, title.over) = (Weight::Bold, true);
    }
    d
}

/// Distance between two joints on paper, mm, beyond which more does not help to tell them apart.
const APART: f64 = 14.0;

/// Least angle between two views that are worth printing both, rad.
const TWO_VIEWS: f64 = 0.6;

/// The two views that set the run's joints farthest apart on paper of that size, mm.
fn best_views(lines: &[Option<Centreline>], papers: &PaperJob<'_>, index: usize, size: [f64; 2]) -> Vec<NamedView> {
    let own = tubes(papers, lines, Some(index)).into_iter().filter(|t| !t.faint).collect::<Vec<_>>();
    let run = &papers.assembly[index];
    let score = |view: &View| {
        let placing = Placing::fit(&extent(&own, view), 0.0, [0.0, 0.0], size, None);
        let places: Vec<Point> = run.joints.iter().map(|j| placing.at(view.flat(j.place))).collect();
        let apart = |w: &[Point]| (w[0][0] - w[1][0]).hypot(w[0][1] - w[1][1]).min(APART);
        places.windows(2).map(apart).sum::<f64>()
    };
    let right = seen_from_right(lines, papers, index);
    let mut views: Vec<NamedView> = named_views(right).to_vec();
    let side = if right { -1.0 } else { 1.0 };
    views.push(("back", View::from(-Vec3::X, Vec3::Z)));
    let name = if right { "back right, from above" } else { "back left, from above" };
    views.push((name, View::from(Vec3::new(-1.0, 1.3 * side, 0.9), Vec3::Z)));
    views.sort_by(|a, b| score(&b.1).total_cmp(&score(&a.1)));
    let first = views[0];
    let other = |v: &&NamedView| {
        let between = v.1.toward.dot(first.1.toward).clamp(-1.0, 1.0).acos();
        between > TWO_VIEWS && between < PI - TWO_VIEWS
    };
    std::iter::once(first).chain(views[1..].iter().find(other).copied()).collect()
}

/// Whether a run lies at the right bank: by its port or, where it has none, by where it runs.
fn seen_from_right(lines: &[Option<Centreline>], papers: &PaperJob<'_>, index: usize) -> bool {
    let runs: Vec<RunId> = papers.routes.runs.iter().map(|r| r.run.clone()).collect();
    match (bank(lines, &runs), &lines[index]) {
        (Bank::Left, _) | (_, None) => false,
        (Bank::Right, _) => true,
        (Bank::Both, Some(line)) if matches!(runs[index], RunId::Primary { .. }) => line.start().forward.y < 0.0,
        (Bank::Both, Some(line)) => line.at(0.5 * line.length()).origin.y < 0.0,
    }
}

/// Marks of the pieces and numbers of the joints, each with its place.
fn labels(papers: &PaperJob<'_>, run: &RunAssembly, line: &Centreline, view: &View, placing: &Placing) -> Vec<Balloon> {
    let mark = |k: &usize| {
        let piece = &papers.plan.pieces[*k];
        let at = placing.at(view.flat(line.at(0.5 * (piece.from + piece.to)).origin));
        Balloon { at, text: piece.mark.clone(), look: balloon::TextStyle::Name(3.2) }
    };
    let number = |(k, joint): (usize, &Joint)| {
        let end = !matches!(joint.kind, JointKind::Pieces | JointKind::Sliding | JointKind::Coupled { .. });
        let look = if end { balloon::TextStyle::Filled(1.9, Ink::BLACK) } else { balloon::TextStyle::Open(1.9) };
        Balloon { at: placing.at(view.flat(joint.place)), text: k.to_string(), look }
    };
    run.pieces.iter().map(mark).chain(run.joints.iter().enumerate().map(number)).collect()
}

fn pieces(papers: &PaperJob<'_>, run: &RunAssembly) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left("piece"),
        Column::left("from"),
        Column::right(words::head("entry leg", units)),
        Column::right("angle"),
        Column::right(words::head("CLR", units)),
        Column::right(words::head("exit leg", units)),
        Column::right(words::head("length", units)),
        Column::wide("then clock (looking downstream)", 1.0),
        Column::right(words::head("arc on OD", units)),
    ]);
    for &k in &run.pieces {
        let piece = &papers.plan.pieces[k];
        let mm = |l: f64| if l > 0.005 { words::figure(l, units) } else { "-".into() };
        let clr = match papers.plan.items[piece.item].shape {
            cutplan::ItemShape::Bend { clr, .. } if piece.angle > 0.0 => words::size(clr, units),
            _ => "-".into(),
        };
        let (turn, around) = piece.clocking.as_ref().map_or((String::new(), String::new()), |c| {
            (format!("{} to {}", words::turn(c.angle), c.to), words::exact(c.around.abs(), units))
        });
        table.row(vec![
            piece.mark.clone(),
            papers.plan.items[piece.item].id.clone(),
            mm(piece.leg_in),
            if piece.angle > 0.0 { words::fine_angle(piece.angle) } else { "-".into() },
            clr,
            mm(piece.leg_out),
            words::figure(piece.to - piece.from, units),
            turn,
            around,
        ]);
    }
    table
}

fn joints(papers: &PaperJob<'_>, run: &RunAssembly) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left(""),
        Column::wide("joint", 1.2),
        Column::right(words::head("along", units)),
        Column::right("x"),
        Column::right("y"),
        Column::right("z"),
        Column::right("out"),
        Column::right("left"),
        Column::right("up"),
        Column::right("straight"),
        Column::left("match mark"),
    ]);
    for (k, joint) in run.joints.iter().enumerate() {
        let [x, y, z] = words::place(joint.place, units);
        let [out, left, up] = joint.from_start.map(|c| words::figure(c, units));
        table.row(vec![
            k.to_string(),
            words::short(&joint.name, 40),
            words::figure(Steps::of(units).length(joint.station), units),
            x,
            y,
            z,
            out,
            left,
            up,
            words::figure(joint.reach, units),
            match_mark(joint),
        ]);
    }
    table
}

/// Brackets, slip joints and bungs of a run.
fn parts(papers: &PaperJob<'_>, run: &RunAssembly) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left("part"),
        Column::right(words::head("along", units)),
        Column::left("clock (looking downstream)"),
        Column::wide("what", 1.0),
    ]);
    let along = |mm: f64| words::figure(Steps::of(units).length(mm), units);
    let parts = &papers.job.parts;
    let mut rows: Vec<(f64, Vec<String>)> = Vec::new();
    for slip in parts.slips_of(&run.run) {
        let springs = if slip.springs { ", springs" } else { "" };
        let what = format!("overlap {}{springs}; not welded", words::figure_with_unit(slip.overlap, units));
        rows.push((slip.at, vec!["slip joint".into(), along(slip.at), "-".into(), what]));
    }
    for coupling in parts.couplings.iter().filter(|c| c.run == run.run) {
        let what = format!("{} wide", words::figure_with_unit(coupling.width, units));
        rows.push((coupling.at, vec![coupling.kind.words().into(), along(coupling.at), "-".into(), what]));
    }
    for bung in parts.bungs.iter().filter(|b| b.run == run.run) {
        let clock = format!("{} from up", words::turn(bung.clock));
        rows.push((bung.at, vec!["bung".into(), along(bung.at), clock, bung.thread.clone()]));
    }
    for bracket in &parts.brackets {
        if let Holds::Run { run: on, at } = &bracket.holds
            && *on == run.run
        {
            rows.push((*at, vec!["bracket".into(), along(*at), "-".into(), bracket.kind.word().into()]));
        }
    }
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    rows.into_iter().for_each(|(_, row)| table.row(row));
    table
}

fn match_mark(joint: &Joint) -> String {
    let Some(next) = joint.marks.get(1) else { return "in line".into() };
    let signed = if next.angle > PI { next.angle - TAU } else { next.angle };
    format!("{} at {:+.2}°", words::mark_line(&next.line), signed.to_degrees())
}

fn chords(papers: &PaperJob<'_>, run: &RunAssembly) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::wide("over", 1.0),
        Column::right(words::head("outside", units)),
        Column::right(words::head("inside", units)),
        Column::wide("measured outside", 1.0),
        Column::wide("measured inside", 1.0),
    ]);
    for chord in &run.chords {
        let (outside, inside) = (words::figure(chord.outside, units), words::figure(chord.inside, units));
        table.row(vec![chord.pieces.join(" + "), outside, inside, String::new(), String::new()]);
    }
    table
}
