//! The strength sheet: growth arrows, a table of the runs, modes against engine orders, what helps. What it says was worked out
//! upstream; here it is set on one or two pages.

use geom::{Centreline, Vec3};
use job::model::Units;

use crate::Paper;
use crate::chart::{Chart, step};
use crate::layout::overview::{NamedView, axes, axes_place, bank, named_views};
use crate::sheet::{
    Anchor, Block, Column, Drawing, Ink, Mark, Placing, Point, Sheet, SheetKind, Stroke, Table, TextStyle, Weight,
};
use crate::view::{DrawnTube, Scene, View, extent};
use crate::{bay, words};

/// One run: its tube and the cells of its row.
#[derive(Debug, Clone)]
pub struct StrengthRun {
    /// The run.
    pub run: job::routes::RunId,
    /// Its centreline.
    pub line: Centreline,
    /// Outside diameter, mm.
    pub od: f64,
    /// Metal, range, share of the allowable, where, cycles, flange force and moment: as texts.
    pub cells: [String; 6],
}

/// How far a place moves when hot.
#[derive(Debug, Clone, PartialEq)]
pub struct Growth {
    /// The place, mm.
    pub at: Vec3,
    /// How it moves, mm.
    pub by: Vec3,
}

/// A mode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetMode {
    /// Frequency, Hz.
    pub hz: f64,
    /// Stress amplitude for 1 g, MPa.
    pub mpa_per_g: f64,
}

/// All that the sheet says.
#[derive(Debug, Clone)]
pub struct StrengthSheet {
    /// Runs in the order of the routes.
    pub runs: Vec<StrengthRun>,
    /// Growth of collectors.
    pub growth: Vec<Growth>,
    /// Modes from the lowest on.
    pub modes: Vec<SheetMode>,
    /// Engine orders.
    pub orders: Vec<f64>,
    /// Highest engine speed of the plot, rpm.
    pub most_rpm: f64,
    /// What must be known of the runs: points.
    pub findings: Vec<String>,
    /// Heads and rows of what helps.
    pub helps: Vec<[String; 6]>,
    /// Rows of what stands near: obstacle, clearance, run, skin, about, too warm for.
    pub near: Vec<[String; 6]>,
    /// What was assumed and what to beware of.
    pub remarks: String,
    /// Unit that lengths are printed in.
    pub units: Units,
    /// Size of the paper.
    pub paper: Paper,
}

/// Height of the two views, mm.
const VIEWS: f64 = 78.0;

/// Height of the plot, mm.
const PLOT: f64 = 75.0;

/// Arrows of growth are drawn so many times as long as the growth, at the scale of the view, and at most so long, mm.
const TIMES: f64 = 20.0;
const LONGEST: f64 = 18.0;

/// Room left and right of the tubes, mm.
const BESIDE: f64 = 14.0;

/// Ink of growth arrows: no run has it.
const GROWTH: Ink = Ink(190, 20, 30);

/// The sheets.
pub fn strength_sheets(figures: &StrengthSheet) -> Vec<Sheet> {
    let mut sheet = Sheet::new(SheetKind::Overview, "Strength", "ranks designs; not a life, not an approval");
    sheet.blocks.push(Block::Drawing(views(figures)));
    sheet.blocks.push(Block::Text(
        TextStyle::Small,
        format!(
            "Arrows: how collectors move from cold to hot, drawn {TIMES:.0} times as long at the scale of the view."
        ),
    ));
    sheet.blocks.push(Block::Table(runs(figures)));
    sheet.blocks.push(Block::Points(figures.findings.clone()));
    sheet.blocks.push(Block::Heading("Modes against engine speed".into()));
    sheet.blocks.push(Block::Drawing(plot(figures)));
    let heads = ["change", "of allowable", "MPa", "MPa per g", "first Hz", "price"];
    let heading = Block::Heading("What helps most, each change solved".into());
    sheet.blocks.push(Block::Whole(vec![heading, Block::Table(table(&heads, &figures.helps))]));
    if !figures.near.is_empty() {
        sheet.blocks.push(Block::Heading("What the heat does to what stands near".into()));
        let heads = ["obstacle", "clearance", "to", "skin C", "about C", "too warm there for"];
        sheet.blocks.push(Block::Table(table(&heads, &figures.near)));
    }
    sheet.blocks.push(Block::Text(TextStyle::Small, figures.remarks.clone()));
    vec![sheet]
}

/// A table whose first and last columns take the room.
fn table(heads: &[&str; 6], rows: &[[String; 6]]) -> Table {
    let column = |(k, head): (usize, &&str)| match k {
        0 => Column::wide(*head, 1.4),
        5 => Column::wide(*head, 1.0),
        _ => Column::right(*head),
    };
    let mut table = Table::new(heads.iter().enumerate().map(column).collect());
    rows.iter().for_each(|row| table.row(row.to_vec()));
    table
}

fn runs(figures: &StrengthSheet) -> Table {
    let mut table = Table::new(vec![
        Column::left("run"),
        Column::right("metal C, about"),
        Column::right("range MPa"),
        Column::right("of allowable"),
        Column::right(words::head("from start", figures.units)),
        Column::wide("cycles, about", 1.0),
        Column::right("flange N / Nm"),
    ]);
    for run in &figures.runs {
        let mut cells = vec![words::short(&run.run.to_string(), 32)];
        cells.extend(run.cells.iter().cloned());
        table.row(cells);
    }
    table
}

/// The header from the side and from a corner, with arrows of growth.
fn views(figures: &StrengthSheet) -> Drawing {
    let [width, _] = figures.paper.room(false);
    let mut d = Drawing::new(width, VIEWS);
    let tube = |(k, run): (usize, &StrengthRun)| DrawnTube {
        line: &figures.runs[k].line,
        radius: 0.5 * run.od,
        ink: words::run_ink(k),
        dash: words::run_dash(k),
        rings: Vec::new(),
        faint: false,
    };
    let tubes: Vec<DrawnTube<'_>> = figures.runs.iter().enumerate().map(tube).collect();
    if tubes.is_empty() {
        return d;
    }
    let ids: Vec<_> = figures.runs.iter().map(|r| r.run.clone()).collect();
    let lines: Vec<_> = figures.runs.iter().map(|r| Some(r.line.clone())).collect();
    let right = matches!(bank(&lines, &ids), crate::layout::overview::Bank::Right);
    let [side, _, _, corner] = named_views(right);
    let cell = [0.5 * (width - 4.0), VIEWS];
    for (k, view) in [side, corner].into_iter().enumerate() {
        let at = [k as f64 * (cell[0] + 4.0), 0.0];
        d.marks.push(Mark::Inset(at, seen(figures, &tubes, view, cell)));
        d.rectangle(at, [at[0] + cell[0], cell[1]], Some(Stroke::of(0.2, Ink(190, 190, 190))), None);
    }
    d
}

fn seen(figures: &StrengthSheet, tubes: &[DrawnTube<'_>], (name, view): NamedView, cell: Point) -> Drawing {
    // Room for arrows and their lengths beside the tubes.
    let inner = [cell[0] - 2.0 * BESIDE, cell[1] - 22.0];
    let placing = Placing::fit(&extent(tubes, &view), 0.0, [BESIDE, 9.0], inner, None);
    let mut d = Drawing { window: true, ..Drawing::new(cell[0], cell[1]) };
    Scene::new(tubes, view).draw(&mut d, &placing);
    let corner = axes_place(cell, &bay::covered(tubes, &view, &placing));
    axes(&view, corner, &mut d);
    for growth in &figures.growth {
        arrow(figures, growth, (&view, &placing), &mut d);
    }
    let title = d.text([2.0, 3.4], 3.0, Anchor::Left, name);
    (title.weight, title.over) = (Weight::Bold, true);
    d
}

/// An arrow of growth with its length.
fn arrow(figures: &StrengthSheet, growth: &Growth, (view, placing): (&View, &Placing), d: &mut Drawing) {
    let from = placing.at(view.flat(growth.at));
    let way = placing.way(view.flat(growth.by));
    let long = way[0].hypot(way[1]);
    if long < 1e-6 {
        return;
    }
    let drawn = (TIMES * long).clamp(4.0, LONGEST);
    let to = [from[0] + way[0] / long * drawn, from[1] + way[1] / long * drawn];
    d.arrow(from, to, Stroke::of(0.7, GROWTH));
    let anchor = if way[0] < 0.0 { Anchor::Right } else { Anchor::Left };
    let beyond = [to[0] + 1.2 * way[0].signum(), to[1]];
    let text = d.text(beyond, 3.0, anchor, words::with_unit(growth.by.length(), figures.units));
    (text.weight, text.over, text.ink) = (Weight::Bold, true, GROWTH);
}

/// Modes as level lines, as heavy as the stress that they make, orders as lines through nought, a ring where they meet.
fn plot(figures: &StrengthSheet) -> Drawing {
    let [width, _] = figures.paper.room(false);
    let mut d = Drawing::new(width, PLOT);
    let most_hz = figures.modes.iter().map(|m| m.hz).fold(50.0, f64::max) * 1.1;
    let most_rpm = figures.most_rpm.max(1000.0);
    let chart = Chart { low: [14.0, PLOT - 9.0], high: [width - 34.0, 6.0], x: [0.0, most_rpm], y: [0.0, most_hz] };
    chart.scale_along(&mut d, step(most_rpm), "engine speed, rpm");
    chart.scale_up(&mut d, step(most_hz), "Hz");
    let (left, right) = (chart.low[0], chart.high[0]);
    let x = |rpm: f64| chart.at(rpm, 0.0)[0];
    let y = |hz: f64| chart.at(0.0, hz)[1];
    let worst = figures.modes.iter().map(|m| m.mpa_per_g).fold(1e-9, f64::max);
    let mut last = f64::INFINITY;
    for mode in &figures.modes {
        let heavy = 0.25 + 0.9 * mode.mpa_per_g / worst;
        d.line([left, y(mode.hz)], [right, y(mode.hz)], Stroke::of(heavy, Ink(40, 90, 160)));
        // Names keep a line apart from one another.
        last = y(mode.hz).min(last - 3.0);
        d.text([right + 1.5, last], 2.4, Anchor::Left, format!("{:.0} Hz, {:.1} MPa/g", mode.hz, mode.mpa_per_g));
    }
    for order in &figures.orders {
        let at_end = order * most_rpm / 60.0;
        let (rpm, hz) = if at_end > most_hz { (60.0 * most_hz / order, most_hz) } else { (most_rpm, at_end) };
        d.line([x(0.0), y(0.0)], [x(rpm), y(hz)], Stroke::black(0.35));
        let (along, up) = (0.62 * rpm, 0.62 * hz);
        let name = d.text([x(along), y(up)], 2.6, Anchor::Middle, format!("order {}", words::trimmed(*order)));
        (name.weight, name.over) = (Weight::Bold, true);
        for mode in &figures.modes {
            let meets = 60.0 * mode.hz / order;
            if meets < most_rpm {
                d.circle([x(meets), y(mode.hz)], 1.1, Some(Stroke::black(0.3)), Some(Ink::WHITE));
            }
        }
    }
    chart.sides(&mut d);
    d
}
