//! Saw sheets: one for each bend or stick that is cut.

use cutplan::saw::{Face, Outcome, SHORT_HOLD, SawCut, SawWork, from_end, saw_work};
use cutplan::{CutJob, CutPlace, Item, ItemShape, StockRef};

use job::model::Units;

use super::item::{Sizes, draw};
use crate::PaperJob;
use crate::outline::Outline;
use crate::sheet::{Block, Column, Drawing, Placing, RowHeight, Sheet, SheetKind, Side, Table, TextStyle};
use crate::words;

/// Least and most height of a bend's drawing, mm; between them it takes what the tables leave.
const HEIGHT: [f64; 2] = [70.0, 165.0];

/// Height of a stick's drawing, mm.
const STICK: f64 = 40.0;

/// Height of a table's row, mm.
const ROW: f64 = 4.3;

/// Height of headings, heads of tables and steps of a bend's sheet, mm.
const WORDS: f64 = 90.0;

/// Room around the outline for numbers and figures, mm.
const AROUND: f64 = 19.0;

/// Room above and below a stick, mm.
const BESIDE_STICK: f64 = 14.0;

/// Least that the outline itself is given, mm: of a bend, and of a stick.
const MIDDLE: [f64; 2] = [20.0, 10.0];

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
        .filter_map(|s| if let Outcome::Piece(k) = s.part { Some(papers.plan.pieces[k].mark.as_str()) } else { None })
        .collect();
    let from = if matches!(item.stock, StockRef::Remnant(_)) { "from stock on hand" } else { "new stock" };
    sheet.blocks.push(Block::Text(
        TextStyle::Strong,
        format!("Take one {} ({from}). It gives {}.", item.name, marks.join(", ")),
    ));
    sheet.blocks.push(Block::Drawing(drawing(papers, item, &work)));
    let reserved = work.stretches.iter().filter_map(|s| if let Outcome::Piece(k) = s.part { Some(k) } else { None });
    let left: Vec<String> = reserved
        .map(|k| &papers.plan.pieces[k])
        .filter_map(|p| {
            Some(format!("{}: {}, cut last to measure.", p.mark, words::reserve(&p.reserve, papers.units)?))
        })
        .collect();
    if !left.is_empty() {
        let text = format!("Hatched: {} The pieces below are as drawn.", left.join(" "));
        sheet.blocks.push(Block::Text(TextStyle::Strong, text));
    }
    if work.cuts.is_empty() {
        let whole = "No cuts: the whole item is one piece. Write its mark on it.";
        sheet.blocks.push(Block::Text(TextStyle::Strong, whole.into()));
    } else if let ItemShape::Bend { .. } = item.shape {
        sheet.blocks.push(Block::Heading("Draw these lines square around the tube, before the first cut".into()));
        sheet.blocks.push(Block::Table(lines(papers, item, &work)));
        sheet.blocks.push(Block::Heading("Cut in this order".into()));
        sheet.blocks.push(Block::Table(cuts(papers, item, &work)));
    } else {
        sheet.blocks.push(Block::Heading("Draw all lines square around the tube, then cut in this order".into()));
        sheet.blocks.push(Block::Table(cuts(papers, item, &work)));
    }
    sheet.blocks.push(Block::Heading("Pieces".into()));
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
    let height = if outline.bent() { (room - below(work)).clamp(HEIGHT[0], HEIGHT[1]) } else { STICK };
    let sizes = Sizes { mark: 7.5, label: 3.4, bubble: 3.1 };
    let drawn = |around: [f64; 4]| {
        let mut d = Drawing::new(width, height);
        draw(papers, item, work, &mut d, &placed(&outline, width, height, around), &sizes);
        d
    };
    // Figures of close cuts are set one beyond the other, and need more room than others.
    let beside = if outline.bent() { AROUND } else { BESIDE_STICK };
    let mut around = [AROUND, beside, AROUND, beside];
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

/// Height of what stands below a bend's drawing, mm.
fn below(work: &SawWork) -> f64 {
    let seconds: Vec<Face> = work.cuts.iter().filter_map(|c| c.second).collect();
    let kept = work.stretches.iter().filter(|s| matches!(s.part, Outcome::Offcut(_))).count();
    let trued = usize::from(seconds.iter().any(Face::trued));
    let rows = 2 * work.cuts.len() + seconds.len() + work.stretches.len() + kept + 2 * trued;
    WORDS + ROW * rows as f64
}

/// As large as it goes (never above full size) with room `around` at the left, above, at the right and below; leg 1
/// level unless turning gains a tenth.
fn placed(outline: &Outline, width: f64, height: f64, around: [f64; 4]) -> Placing {
    let least = if outline.bent() { MIDDLE[0] } else { MIDDLE[1] };
    let size = [width - around[0] - around[2], height - around[1] - around[3]].map(|l| l.max(least));
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

/// Where a line is drawn, in words.
fn where_to_draw(place: &CutPlace, papers: &PaperJob<'_>) -> String {
    let mm = |l: f64| words::figure(l, papers.units);
    match *place {
        CutPlace::FirstLeg { from_tangent } if at_line(from_tangent) => "at T1".into(),
        CutPlace::FirstLeg { from_tangent } => format!("leg 1, {} before T1", mm(from_tangent)),
        CutPlace::SecondLeg { from_tangent } if at_line(from_tangent) => "at T2".into(),
        CutPlace::SecondLeg { from_tangent } => format!("leg 2, {} after T2", mm(from_tangent)),
        CutPlace::Arc { centre, .. } if at_line(centre) => "at T1".into(),
        CutPlace::Arc { angle, .. } => format!("bend, {} from T1", words::fine_angle(angle)),
        CutPlace::Straight { from_end } => format!("{} from the left end", mm(from_end)),
    }
}

/// Whether a length is no more than a scriber's line.
fn at_line(mm: f64) -> bool {
    mm < 0.05
}

/// Every line to draw on a bend: the ends of the pieces at each cut, those that are sawn along and those that are trued to.
fn lines(papers: &PaperJob<'_>, item: &Item, work: &SawWork) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column { side: Side::Middle, ..Column::left("cut") },
        Column::left("end of"),
        Column::left("to"),
        Column::wide("line", 1.0),
        Column::right(words::head("T1, outside", units)),
        Column::right(words::head("T1, inside", units)),
        Column::right(words::head("leg's end, outside", units)),
        Column::right(words::head("leg's end, inside", units)),
    ]);
    table.row_height = RowHeight::Low;
    let exact = |mm: f64| words::exact(mm, units);
    for cut in work.in_order() {
        let second = cut.second.iter().map(|face| (face, if face.trued() { "true" } else { AS_SAWN }));
        for (face, to) in std::iter::once((&cut.saw, "saw")).chain(second) {
            let end = from_end(&item.shape, &face.place);
            let [outside, inside] = match face.place {
                CutPlace::Arc { outside, inside, .. } => [exact(outside), exact(inside)],
                _ => ["-".into(), "-".into()],
            };
            table.row(vec![
                cut.number.to_string(),
                mark(papers, face),
                to.into(),
                where_to_draw(&face.place, papers),
                outside,
                inside,
                exact(end.outside),
                exact(end.inside),
            ]);
        }
    }
    table
}

/// Of an end on the blade's side that needs no truing.
const AS_SAWN: &str = "as sawn";

fn mark(papers: &PaperJob<'_>, face: &Face) -> String {
    papers.plan.pieces[face.piece].mark.clone()
}

/// The cuts in order; those of a stick with their lines.
fn cuts(papers: &PaperJob<'_>, item: &Item, work: &SawWork) -> Table {
    let units = papers.units;
    let stick = matches!(item.shape, ItemShape::Straight { .. });
    let tape = stick && units == Units::Inch;
    let mut columns = vec![Column { side: Side::Middle, ..Column::left("cut") }, Column::left("saw along the line of")];
    if stick {
        columns.push(Column::right(words::head("from the left end", units)));
    }
    if tape {
        columns.push(Column::right("nearest 1/64"));
    }
    columns.extend([
        Column::left("blade on the side of"),
        Column::left("hold"),
        Column::right(words::head("held", units)),
        Column::wide("then", 1.0),
    ]);
    let mut table = Table { row_height: RowHeight::Low, ..Table::new(columns) };
    for cut in work.in_order() {
        let mut row = vec![cut.number.to_string(), mark(papers, &cut.saw)];
        if stick {
            row.push(words::figure(cut.saw.line, units));
        }
        if tape {
            row.push(job::show::sixty_fourths(cut.saw.line));
        }
        let held = words::figure(cut.held, units);
        row.extend([beside(papers, cut), hold(item, cut).into(), held, then(papers, cut)]);
        table.row(row);
    }
    table
}

/// What lies on the blade's side of a cut.
fn beside(papers: &PaperJob<'_>, cut: &SawCut) -> String {
    match cut.beside {
        Some(Outcome::Piece(k)) => papers.plan.pieces[k].mark.clone(),
        Some(Outcome::Offcut(_)) => "the offcut".into(),
        Some(Outcome::Scrap) => "the scrap".into(),
        None => "the free end".into(),
    }
}

/// What a cut needs beside the saw: truing, care with what is thin or short.
fn then(papers: &PaperJob<'_>, cut: &SawCut) -> String {
    let exact = |mm: f64| words::exact(mm.abs(), papers.units);
    let mut out = Vec::new();
    if let Some(face) = cut.second.filter(Face::trued) {
        let [outside, inside] = face.over;
        let short = inside < -cutplan::saw::AS_SAWN;
        let inner = if short { "short inside, weld it up" } else { "inside" };
        out.push(format!("true {}: {} off outside, {} {inner}", mark(papers, &face), exact(outside), exact(inside)));
    }
    match cut.ring {
        Some(0.0) => out.push("less than a blade comes off: grind to the line instead".into()),
        Some(width) => {
            out.push(format!("a ring of {} drops: let the blade stop first", words::figure(width, papers.units)));
        }
        None => {}
    }
    if cut.held < SHORT_HOLD {
        out.push("short grip: strap it in a vee block, not bare jaws".into());
    }
    out.join("; ")
}

/// Which side is clamped.
fn hold(item: &Item, cut: &SawCut) -> &'static str {
    match (&item.shape, cut.hold_start) {
        (ItemShape::Bend { .. }, true) => "leg 1 side",
        (ItemShape::Bend { .. }, false) => "leg 2 side",
        (ItemShape::Straight { .. }, true) => "left side",
        (ItemShape::Straight { .. }, false) => "right side",
    }
}

fn pieces(papers: &PaperJob<'_>, work: &SawWork) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left("mark"),
        Column::wide("run", 1.0),
        Column::right(words::head("entry leg", units)),
        Column::right("angle"),
        Column::right(words::head("exit leg", units)),
        Column::right(words::head("length", units)),
        Column::wide("flow on the drawing", 1.0),
    ]);
    table.row_height = RowHeight::Low;
    for stretch in &work.stretches {
        let Outcome::Piece(k) = stretch.part else { continue };
        let piece = &papers.plan.pieces[k];
        let mm = |l: f64| if l > 0.005 { words::figure(l, units) } else { "-".into() };
        table.row(vec![
            piece.mark.clone(),
            piece.run.to_string(),
            mm(piece.leg_in),
            if piece.angle > 0.0 { words::fine_angle(piece.angle) } else { "-".into() },
            mm(piece.leg_out),
            words::figure(piece.to - piece.from, units),
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
    let units = papers.units;
    let mut steps = Vec::new();
    if work.cuts.is_empty() {
        return steps;
    }
    match item.shape {
        ItemShape::Bend { legs, .. } => steps.extend([
            format!(
                "Draw the outside line along the bend and both legs, then the inside line: lay the bend flat and scribe at half its height, {}. All clocking is measured from the outside line.",
                words::exact_with_unit(0.5 * item.od, units)
            ),
            format!(
                "Draw T1 and T2 square around the tube: T1 is {} from the end of leg 1, T2 is {} from the end of leg 2.",
                words::figure_with_unit(legs[0], units),
                words::figure_with_unit(legs[1], units)
            ),
            "Mark every line of the table on the outside and on the inside line, from T1 or from the end of its own leg (a line on the bend: of leg 1), and join the two marks square around the tube."
                .into(),
        ]),
        ItemShape::Straight { .. } => {
            steps.push("Square the left end first; measure every line from that end.".into());
        }
    }
    steps.push(format!(
        "Write mark and flow arrow on every piece. Cut in the order of the numbers: the line stays on the piece that is named, the blade ({}) goes beside it. Bends in a cradle, no gloves near the blade.",
        words::size_with_unit(papers.saw().kerf, units)
    ));
    if work.cuts.iter().any(|c| c.second.is_some_and(|f| f.trued())) {
        steps.push(
            "True: on the piece at the blade's side the saw leaves a wedge. Grind it back to the piece's own line, square to the tube, before the piece is fitted."
                .into(),
        );
    }
    steps.extend(
        work.stretches.iter().filter_map(|s| if let Outcome::Offcut(k) = s.part { Some(k) } else { None }).map(|k| {
            let at = papers.plan.offcuts[k].at;
            format!(
                "Keep the offcut of {} and label it: \"{} · OD {} · {}\".",
                words::with_unit(at[1] - at[0], units),
                words::short(&papers.job.name, 30),
                words::size_with_unit(item.od, units),
                item.id
            )
        }),
    );
    steps
}
