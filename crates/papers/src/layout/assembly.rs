//! Assembly sheets: one for each run.

use std::f64::consts::{PI, TAU};

use cutplan::assembly::{Joint, JointKind, RunAssembly};
use cutplan::figures::Steps;
use geom::Vec3;

use super::overview::{axes, lines, named_views, run_name, tubes};
use super::run_number;
use crate::PaperJob;
use crate::sheet::{Anchor, Block, Column, Drawing, Ink, Look, Placing, Rise, Sheet, SheetKind, Stroke, Table};
use crate::view::{Scene, View, extent};
use crate::words;

/// Least and most height of the views, mm; between them they take what the tables leave.
const HEIGHT: [f64; 2] = [46.0, 84.0];

/// Height of a table's plain row, mm.
const ROW: f64 = 6.2;

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
    let rise = Rise::of(run.pieces.len() + run.joints.len() + run.chords.len());
    let table = |table: Table| Block::Table(Table { rise, ..table });
    sheet.blocks.push(Block::Heading("Pieces, port to collector".into()));
    sheet.blocks.push(table(pieces(papers, run)));
    sheet.blocks.push(Block::Heading("Joints".into()));
    sheet.blocks.push(table(joints(papers, run)));
    sheet.blocks.push(Block::Heading("Chords to check with calipers or tape, outside edge to outside edge".into()));
    sheet.blocks.push(table(chords(papers, run)));
    sheet.blocks.push(Block::Text(
        Look::Small,
        "Vehicle axes: x forward, y left, z up. From the start: out along the flow there, left and up looking downstream. \
         Chord outside: between the outside lines (far from the bend's centre) at both ends; inside: between the inside lines. \
         A chord over two pieces checks the clocking between them. Match mark: from the outside of the bend before (at the start from \
         up), + = clockwise looking downstream. Purge, filler and weld sequence: see Welding."
            .into(),
    ));
    sheet
}

/// The run in dark among the others, from the two sides that show most of it, with its joints numbered.
fn drawing(papers: &PaperJob<'_>, index: usize) -> Drawing {
    let [width, room] = papers.paper.room(false);
    let run = &papers.assembly[index];
    let rows = (run.pieces.len() + run.joints.len() + run.chords.len()) as f64;
    let height = (room - 62.0 - ROW * rows).clamp(HEIGHT[0], HEIGHT[1]);
    let mut d = Drawing::new(width, height);
    let lines = lines(papers);
    let all = tubes(papers, &lines, Some(index));
    let Some(own) = lines.get(index).and_then(Option::as_ref) else { return d };
    let [left, front, above, corner] = named_views();
    let spread = |view: &View| {
        let places: Vec<[f64; 2]> = run.joints.iter().map(|j| view.flat(j.place)).collect();
        let span = |k: usize| {
            let (low, high) =
                places.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p[k]), h.max(p[k])));
            high - low
        };
        span(0) * span(1)
    };
    let square = [left, front, above];
    let best = square.iter().fold(&square[0], |b, v| if spread(&v.1) > spread(&b.1) { v } else { b });
    let cell = [0.5 * (width - 4.0), height];
    for (k, (name, view)) in [corner, *best].into_iter().enumerate() {
        let at = [k as f64 * (cell[0] + 4.0), 0.0];
        d.rectangle(at, [at[0] + cell[0], cell[1]], Some(Stroke::of(0.2, Ink(190, 190, 190))), None);
        d.text([at[0] + 2.0, 3.4], 3.0, Anchor::Left, name).weight = crate::sheet::Weight::Bold;
        let alone = tubes(papers, &lines, Some(index)).into_iter().filter(|t| !t.faint).collect::<Vec<_>>();
        let placing =
            Placing::fit(&extent(&alone, &view), 0.0, [at[0] + 13.0, 11.0], [cell[0] - 26.0, cell[1] - 24.0], None);
        let mut inner = Drawing::new(cell[0], cell[1]);
        Scene::new(&all, view).draw(&mut inner, &placing);
        // Only what lies in the cell: faint tubes may run far beyond it.
        let inside = |p: [f64; 2]| p[0] > at[0] && p[0] < at[0] + cell[0] && p[1] > 6.0 && p[1] < cell[1];
        inner.marks.retain(|m| m.extent().into_iter().all(inside));
        d.insert(&inner, [0.0, 0.0]);
        labels(papers, run, own, &view, &placing, &mut d);
        axes(&view, [at[0] + 15.0, cell[1] - 10.0], &mut d);
    }
    d
}

/// Marks of the pieces beside them, numbers at the joints.
fn labels(
    papers: &PaperJob<'_>,
    run: &RunAssembly,
    line: &geom::Centreline,
    view: &View,
    placing: &Placing,
    d: &mut Drawing,
) {
    let aside = 0.5 * run.tube.od + 4.0 / placing.scale;
    for &k in &run.pieces {
        let piece = &papers.plan.pieces[k];
        let frame = line.at(0.5 * (piece.from + piece.to));
        let side = view.toward.cross(frame.forward).try_normalize().unwrap_or(Vec3::ZERO);
        let at = placing.at(view.flat(frame.origin + side * aside));
        let text = d.text(at, 3.2, Anchor::Middle, &piece.mark);
        (text.weight, text.over) = (crate::sheet::Weight::Bold, true);
    }
    for (k, joint) in run.joints.iter().enumerate() {
        let at = placing.at(view.flat(joint.place));
        d.bubble(at, 1.9, k.to_string(), Ink::BLACK, joint.kind != JointKind::Pieces);
    }
}

fn pieces(papers: &PaperJob<'_>, run: &RunAssembly) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left("piece"),
        Column::left("from"),
        Column::right(words::head("leg in", units)),
        Column::right("angle"),
        Column::right(words::head("CLR", units)),
        Column::right(words::head("leg out", units)),
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
