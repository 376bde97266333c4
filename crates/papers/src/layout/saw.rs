//! Saw sheets: one for each bend or stick that is cut.

use cutplan::saw::{Part, SHORT_HOLD, SawCut, SawWork, saw_work};
use cutplan::{CutJob, CutPlace, Item, ItemShape, StockRef};

use super::item::{Sizes, draw};
use crate::PaperJob;
use crate::outline::Outline;
use crate::sheet::{Block, Column, Drawing, Look, Placing, Sheet, SheetKind, Side, Table};
use crate::words;

/// Least and most height of a bend's drawing, mm; between them it takes what the tables leave.
const HEIGHT: [f64; 2] = [85.0, 165.0];

/// Height of a table's row, mm.
const ROW: f64 = 6.3;

/// Room around the outline for numbers and figures, mm.
const AROUND: f64 = 19.0;

/// Least that the outline itself is given, mm.
const MIDDLE: f64 = 20.0;

/// How often the room is widened: a figure that moves when the scale changes settles after two or three.
const TRIES: usize = 6;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    (0..papers.plan.items.len()).map(|index| sheet(papers, index)).collect()
}

fn sheet(papers: &PaperJob<'_>, index: usize) -> Sheet {
    let item = &papers.plan.items[index];
    let work = saw_work(papers.plan, index, &CutJob::of(papers.job));
    let mut sheet = Sheet::new(SheetKind::Saw, format!("Saw sheet {}", item.id), about(papers, item));
    let marks: Vec<&str> = work
        .stretches
        .iter()
        .filter_map(|s| if let Part::Piece(k) = s.part { Some(papers.plan.pieces[k].mark.as_str()) } else { None })
        .collect();
    let from = if matches!(item.stock, StockRef::Remnant(_)) { "from the shelf" } else { "new stock" };
    sheet
        .blocks
        .push(Block::Text(Look::Strong, format!("Take one {} ({from}). It gives {}.", item.name, marks.join(", "))));
    sheet.blocks.push(Block::Drawing(drawing(papers, item, &work)));
    if work.cuts.is_empty() {
        sheet
            .blocks
            .push(Block::Text(Look::Strong, "No cut: the whole item is one piece. Write its mark on it.".into()));
    } else {
        sheet.blocks.push(Block::Table(cuts(papers, item, &work)));
    }
    sheet.blocks.push(Block::Table(pieces(papers, &work)));
    sheet.blocks.push(Block::Steps(steps(papers, item, &work)));
    sheet
}

fn about(papers: &PaperJob<'_>, item: &Item) -> String {
    format!("{}, OD {}", words::shape(&item.shape, papers.units), words::size_with_unit(item.od, papers.units))
}

fn drawing(papers: &PaperJob<'_>, item: &Item, work: &SawWork) -> Drawing {
    let [width, room] = papers.paper.room(false);
    let outline = Outline::of(item);
    let pieces = work.stretches.len() as f64;
    let left = room - 47.0 - ROW * (work.cuts.len() as f64 + pieces);
    let height = if outline.bent() { left.clamp(HEIGHT[0], HEIGHT[1]) } else { 52.0 };
    let sizes = Sizes { mark: 7.5, label: 3.4, bubble: 3.1 };
    let drawn = |around: [f64; 4]| {
        let mut d = Drawing::new(width, height);
        draw(papers, item, work, &mut d, &placed(&outline, width, height, around), &sizes);
        d
    };
    // Figures of close cuts are set one beyond the other, and need more room than others.
    let mut around = [AROUND; 4];
    let mut d = drawn(around);
    for _ in 0..TRIES {
        let over = d.overrun();
        if over.iter().all(|by| *by <= 0.0) {
            break;
        }
        around.iter_mut().zip(over).for_each(|(room, by)| *room += by);
        d = drawn(around);
    }
    d
}

/// As large as it goes (never above full size) with room `around` at the left, above, at the right and below; leg 1
/// level unless turning gains a tenth.
fn placed(outline: &Outline, width: f64, height: f64, around: [f64; 4]) -> Placing {
    let size = [width - around[0] - around[2], height - around[1] - around[3]].map(|l| l.max(MIDDLE));
    let corner = [around[0], around[1]];
    let fit = |turn: f64| {
        let placing = Placing::fit(&outline.around(), turn, corner, size, None);
        let scale = placing.scale.min(1.0);
        Placing::fit(&outline.around(), turn, corner, size, Some(scale))
    };
    let level = fit(0.0);
    let turned = (1..24).map(|k| fit(f64::from(k) * std::f64::consts::PI / 12.0));
    let best = turned.fold(level, |best, p| if p.scale > best.scale + 1e-9 { p } else { best });
    if best.scale > 1.1 * level.scale { best } else { level }
}

fn where_to_draw(cut: &SawCut, papers: &PaperJob<'_>) -> String {
    let mm = |l: f64| words::with_unit(l, papers.units);
    match cut.place {
        CutPlace::FirstLeg { from_tangent } => format!("leg 1, {} before T1", mm(from_tangent)),
        CutPlace::SecondLeg { from_tangent } => format!("leg 2, {} after T2", mm(from_tangent)),
        CutPlace::Arc { angle, .. } => format!("bend, {} from T1", words::angle(angle)),
        CutPlace::Straight { from_end } => format!("{} from the left end", mm(from_end)),
    }
}

fn cuts(papers: &PaperJob<'_>, item: &Item, work: &SawWork) -> Table {
    let units = papers.units;
    let bent = matches!(item.shape, ItemShape::Bend { .. });
    let mut columns =
        vec![Column { side: Side::Middle, ..Column::left("cut") }, Column::wide("draw the line square across", 1.4)];
    if bent {
        columns.push(Column::right(words::head("tape outside", units)));
        columns.push(Column::right(words::head("tape inside", units)));
    }
    if bent {
        columns.push(Column::right(words::head("from leg's end", units)));
    }
    columns.push(Column::left("saw takes"));
    columns.push(Column::left("hold"));
    columns.push(Column::right(words::head("held", units)));
    let mut table = Table::new(columns);
    let mut order: Vec<&SawCut> = work.cuts.iter().collect();
    order.sort_by_key(|c| c.number);
    for cut in order {
        let mut row = vec![cut.number.to_string(), where_to_draw(cut, papers)];
        if bent {
            let (outside, inside) = match cut.place {
                CutPlace::Arc { outside, inside, .. } => (words::length(outside, units), words::length(inside, units)),
                _ => ("-".into(), "-".into()),
            };
            row.extend([outside, inside]);
        }
        let whole = item.shape.length();
        let near = match cut.place {
            CutPlace::Arc { .. } => "-".into(),
            CutPlace::SecondLeg { .. } => words::length(whole - cut.line, units),
            _ => words::length(cut.line, units),
        };
        if bent {
            row.push(near);
        }
        row.push(kerf_side(papers, work, cut));
        row.push(held(item, cut));
        row.push(words::length(cut.held, units));
        table.row(row);
    }
    table
}

/// What lies beside a cut, named: before or after it along the item.
fn beside(papers: &PaperJob<'_>, work: &SawWork, cut: &SawCut, after: bool) -> String {
    let at = cut.kerf[usize::from(after)];
    let touches = |s: &&cutplan::saw::Stretch| (s.at[usize::from(!after)] - at).abs() < 0.01;
    match work.stretches.iter().find(touches).map(|s| s.part) {
        Some(Part::Piece(k)) => papers.plan.pieces[k].mark.clone(),
        Some(Part::Offcut(_)) => "the offcut".into(),
        Some(Part::Scrap) => "scrap".into(),
        None => "nothing".into(),
    }
}

fn kerf_side(papers: &PaperJob<'_>, work: &SawWork, cut: &SawCut) -> String {
    beside(papers, work, cut, cut.kerf_after)
}

/// Which side is clamped.
fn held(item: &Item, cut: &SawCut) -> String {
    let side = match (&item.shape, cut.hold_start) {
        (ItemShape::Bend { .. }, true) => "leg 1 side",
        (ItemShape::Bend { .. }, false) => "leg 2 side",
        (ItemShape::Straight { .. }, true) => "left side",
        (ItemShape::Straight { .. }, false) => "right side",
    };
    if cut.held < SHORT_HOLD { format!("{side}, in a cradle") } else { side.into() }
}

fn pieces(papers: &PaperJob<'_>, work: &SawWork) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left("write on it"),
        Column::wide("run", 1.0),
        Column::right(words::head("leg in", units)),
        Column::right("angle"),
        Column::right(words::head("leg out", units)),
        Column::right(words::head("length", units)),
        Column::wide("flow in the drawing", 1.0),
    ]);
    for stretch in &work.stretches {
        let Part::Piece(k) = stretch.part else { continue };
        let piece = &papers.plan.pieces[k];
        let mm = |l: f64| if l > 0.005 { words::length(l, units) } else { "-".into() };
        table.row(vec![
            piece.mark.clone(),
            piece.run.to_string(),
            mm(piece.leg_in),
            if piece.angle > 0.0 { words::angle(piece.angle) } else { "-".into() },
            mm(piece.leg_out),
            words::length(piece.to - piece.from, units),
            flow_side(&papers.plan.items[piece.item].shape, piece.reversed).into(),
        ]);
    }
    table
}

/// Which way the flow runs in the drawing.
fn flow_side(shape: &ItemShape, reversed: bool) -> &'static str {
    match (shape, reversed) {
        (ItemShape::Bend { .. }, true) => "towards leg 1",
        (ItemShape::Bend { .. }, false) => "towards leg 2",
        (ItemShape::Straight { .. }, true) => "to the left",
        (ItemShape::Straight { .. }, false) => "to the right",
    }
}

fn steps(papers: &PaperJob<'_>, item: &Item, work: &SawWork) -> Vec<String> {
    let mut steps = Vec::new();
    if work.cuts.is_empty() {
        return steps;
    }
    let bent = matches!(item.shape, ItemShape::Bend { .. });
    if bent {
        steps.push(
            "Mark the tangent lines T1 and T2 around the tube where the bend begins and ends. \
             Tape along the outside and the inside from T1; both marks of a cut lie on one line through the bend's centre."
                .into(),
        );
    } else {
        steps.push("Square the left end first; measure every line from that end.".into());
    }
    steps
        .push("Write mark and flow arrow on every piece before the first cut. Cut in the order of the numbers.".into());
    let kerf = words::with_unit(papers.saw().kerf, papers.units);
    steps.push(format!(
        "Keep the line: the blade ({kerf}) goes on the dark side of it. Blade square to the centreline, bend clamped in a cradle, \
         no gloves at the blade."
    ));
    for stretch in &work.stretches {
        if let Part::Offcut(k) = stretch.part {
            let at = papers.plan.offcuts[k].at;
            steps.push(format!(
                "Keep the offcut of {} and label it: \"{} · OD {} · {}\".",
                words::with_unit(at[1] - at[0], papers.units),
                words::short(&papers.job.name, 30),
                words::size_with_unit(item.od, papers.units),
                item.id
            ));
        }
    }
    steps
}
