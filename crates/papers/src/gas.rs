//! The gas sheet: torque and power, what length is worth, what each cylinder traps, the pressure at one exhaust valve with
//! the waves that come back to it, and the wave picture of its run. What it says was computed upstream; here it is set on
//! two pages.

use job::model::Units;

use crate::chart::{Chart, step};
use crate::sheet::{Anchor, Block, Column, Drawing, Ink, Sheet, SheetKind, Stroke, Table, TextStyle, Weight};
use crate::{Paper, words};

/// Torque and power over engine speed, in printed units.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerCurve {
    /// rpm.
    pub rpm: Vec<f64>,
    /// Torque and power.
    pub torque: Vec<f64>,
    /// See `torque`.
    pub power: Vec<f64>,
    /// Names of their units.
    pub units: [&'static str; 2],
    /// Speeds and torques between which the curve lies when what is not known is picked at random.
    pub band: Option<[Vec<f64>; 3]>,
}

/// Mean torque over the length of the primaries, in printed units.
#[derive(Debug, Clone, PartialEq)]
pub struct LengthCurve {
    /// Lengths, ascending.
    pub length: Vec<f64>,
    /// Mean torque at each.
    pub torque: Vec<f64>,
    /// Best length.
    pub best: f64,
    /// Lengths within which hardly anything is lost.
    pub flat: [f64; 2],
    /// Mean length as routed.
    pub drawn: f64,
    /// Name of the torque's unit.
    pub unit: &'static str,
}

/// A wave that comes back to the valve.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetArrival {
    /// Crank angle, degrees from firing.
    pub angle: f64,
    /// When, what and from where, on its row.
    pub cells: [String; 4],
}

/// What the gas does at one valve and along its run at one speed. Angles in degrees from the cylinder's firing.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetWaves {
    /// Cylinder and engine speed.
    pub cylinder: u32,
    /// rpm.
    pub rpm: f64,
    /// Angles of the pressures.
    pub angle: Vec<f64>,
    /// Absolute pressure at the exhaust valve, in printed units.
    pub pressure: Vec<f64>,
    /// Name of that unit.
    pub unit: &'static str,
    /// Lift of the exhaust and the intake valves over their greatest.
    pub lifts: [Vec<f64>; 2],
    /// Waves that come back, ascending.
    pub arrivals: Vec<SheetArrival>,
    /// Distances of the picture from the valve, in printed units, ascending.
    pub at: Vec<f64>,
    /// Where pipes meet, in printed units.
    pub joints: Vec<f64>,
    /// Angles of the picture.
    pub picture_angle: Vec<f64>,
    /// Absolute pressure by angle and distance, in printed units.
    pub picture: Vec<Vec<f64>>,
    /// How much of one group's pulse reaches the other's entry of a turbine, in words.
    pub entries: Vec<String>,
}

/// All that the sheet says.
#[derive(Debug, Clone, PartialEq)]
pub struct GasSheet {
    /// Torque and power.
    pub curve: PowerCurve,
    /// The best of both, in words.
    pub summary: String,
    /// What the band is, in words.
    pub band: Option<String>,
    /// What length is worth.
    pub length: Option<LengthCurve>,
    /// The same in words.
    pub worth: Vec<String>,
    /// Cylinder, primary, longer than the mean, trapped mass as routed and with equal lengths.
    pub uneven: Vec<[String; 5]>,
    /// One exhaust valve.
    pub waves: Option<SheetWaves>,
    /// What the job does not give, with values and ranges, in words.
    pub assumed: String,
    /// What was left out, and what to beware of.
    pub remarks: String,
    /// Unit that lengths are printed in.
    pub units: Units,
    /// Size of the paper.
    pub paper: Paper,
}

/// Heights of the drawings, mm.
const POWER: f64 = 98.0;
const LENGTH: f64 = 72.0;
const VALVE: f64 = 66.0;
const PICTURE: f64 = 74.0;
/// Room left and right of a chart's scales, mm.
const SIDES: [f64; 2] = [13.0, 15.0];
/// Inks of torque, of power, of the band, of exhaust and of intake.
const TORQUE: Ink = Ink(0, 80, 150);
const POWER_INK: Ink = Ink(190, 70, 20);
const BAND: Ink = Ink(208, 226, 242);
const EXHAUST: Ink = Ink(246, 222, 205);
const INTAKE: Ink = Ink(212, 232, 240);
/// A curve's line, mm.
const LINE: f64 = 0.6;
/// Steps between two colours of the wave picture.
const LEVELS: usize = 28;
/// Rows and columns of the wave picture at most.
const ROWS: usize = 60;
const COLUMNS: usize = 180;
/// Colours of the lowest, middle and highest pressure: ever darker, so that they tell in black and white.
const RAMP: [[f64; 3]; 4] = [[255.0, 252.0, 232.0], [168.0, 214.0, 196.0], [46.0, 132.0, 158.0], [22.0, 28.0, 84.0]];

/// The sheets.
pub fn gas_sheets(figures: &GasSheet) -> Vec<Sheet> {
    let mut sheet = Sheet::new(SheetKind::Overview, "Gas", "compare headers by it; absolute torque is optimistic");
    sheet.blocks.push(Block::Text(TextStyle::Strong, figures.summary.clone()));
    sheet.blocks.push(Block::Drawing(power(figures)));
    if let Some(band) = &figures.band {
        sheet.blocks.push(Block::Text(TextStyle::Small, band.clone()));
    }
    if let Some(length) = &figures.length {
        sheet.blocks.push(Block::Heading("What the length of the primaries is worth".into()));
        sheet.blocks.push(Block::Drawing(worth(figures, length)));
        sheet.blocks.push(Block::Points(figures.worth.clone()));
    }
    if !figures.uneven.is_empty() {
        sheet.blocks.push(Block::Heading("What each cylinder traps against the mean of all, over these speeds".into()));
        sheet.blocks.push(Block::Table(uneven(figures)));
    }
    let mut sheets = vec![sheet];
    if let Some(waves) = &figures.waves {
        let about = format!("cylinder {} at {:.0} rpm", waves.cylinder, waves.rpm);
        let mut sheet = Sheet::new(SheetKind::Overview, "Waves", about);
        sheet
            .blocks
            .push(Block::Heading("Pressure in the pipe at the exhaust valve, and what comes back to it".into()));
        sheet.blocks.push(Block::Drawing(valve(figures, waves)));
        sheet.blocks.push(Block::Table(arrivals(waves)));
        if !waves.entries.is_empty() {
            sheet.blocks.push(Block::Points(waves.entries.clone()));
        }
        sheet.blocks.push(Block::Heading("Pressure along its run, from the valve to the end of the exhaust".into()));
        sheet.blocks.push(Block::Drawing(picture(figures, waves)));
        sheets.push(sheet);
    }
    if let Some(last) = sheets.last_mut() {
        last.blocks.push(Block::Heading("Not given, and taken as".into()));
        last.blocks.push(Block::Text(TextStyle::Small, figures.assumed.clone()));
        last.blocks.push(Block::Text(TextStyle::Small, figures.remarks.clone()));
    }
    sheets
}

/// A chart as wide as the page.
fn chart(figures: &GasSheet, height: f64, x: [f64; 2], y: [f64; 2]) -> (Drawing, Chart) {
    let [width, _] = figures.paper.room(false);
    let (low, high) = ([SIDES[0], height - 10.0], [width - SIDES[1], 7.0]);
    (Drawing::new(width, height), Chart { low, high, x, y })
}

fn range(values: &[f64]) -> [f64; 2] {
    values.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], v| [low.min(*v), high.max(*v)])
}

fn power(figures: &GasSheet) -> Drawing {
    let curve = &figures.curve;
    let [from, to] = range(&curve.rpm);
    let band_top = curve.band.as_ref().map_or(0.0, |[_, _, high]| range(high)[1]);
    let top = range(&curve.torque)[1].max(band_top).max(1.0);
    let by = step(top);
    let rows = (1.05 * top / by).ceil();
    let (mut d, chart) = chart(figures, POWER, [from, to.max(from + 1.0)], [0.0, rows * by]);
    if let Some([rpm, low, high]) = &curve.band {
        chart.between(&mut d, rpm, [low, high], BAND);
    }
    chart.scale_along(&mut d, step(to - from + 1.0), "engine speed, rpm");
    chart.scale_up(&mut d, by, &format!("torque, {}", curve.units[0]));
    // Power has steps of its own on the same lines.
    let least = range(&curve.power)[1].max(1.0) * 1.05 / rows;
    let power = Chart { y: [0.0, rows * step_above(least)], ..chart };
    power.scale_right(&mut d, step_above(least), &format!("power, {}", curve.units[1]), POWER_INK);
    power.curve(&mut d, &curve.rpm, &curve.power, Stroke::of(LINE, POWER_INK).dashed(&[8, 4]));
    chart.curve(&mut d, &curve.rpm, &curve.torque, Stroke::of(1.4 * LINE, TORQUE));
    chart.sides(&mut d);
    name(&mut d, &chart, [&curve.rpm, &curve.torque], -3.6, ("torque", TORQUE));
    name(&mut d, &power, [&curve.rpm, &curve.power], 3.6, ("power", POWER_INK));
    d
}

/// The smallest of 1, 2, 2.5, 5 times a power of ten from `least` on.
fn step_above(least: f64) -> f64 {
    let power = 10f64.powf(least.log10().floor());
    [1.0, 2.0, 2.5, 5.0, 10.0].into_iter().map(|k| k * power).find(|s| *s >= least).unwrap_or(10.0 * power)
}

/// Writes a curve's name near its beginning, `down` mm below it.
fn name(d: &mut Drawing, chart: &Chart, [x, y]: [&[f64]; 2], down: f64, (name, ink): (&str, Ink)) {
    let k = x.len() / 6;
    let (Some(x), Some(y)) = (x.get(k), y.get(k)) else { return };
    let [x, y] = chart.at(*x, *y);
    let text = d.text([x, y + down], 3.0, Anchor::Middle, name);
    (text.weight, text.ink) = (Weight::Bold, ink);
}

fn worth(figures: &GasSheet, length: &LengthCurve) -> Drawing {
    let [low, high] = range(&length.torque);
    let by = step((high - low).max(1e-3 * high) * 1.4);
    let y = [(low / by).floor() * by, (high / by + 0.4).ceil() * by];
    let [from, to] = range(&length.length);
    let (mut d, chart) = chart(figures, LENGTH, [from, to], y);
    let [flat_from, flat_to] = length.flat;
    chart.between(&mut d, &[flat_from, flat_to], [&[y[0]; 2], &[y[1]; 2]], BAND);
    let unit = job::show::unit(figures.units);
    chart.scale_along(&mut d, step(to - from), &format!("length of every primary from the port face, {unit}"));
    chart.scale_up(&mut d, by, &format!("mean {}", length.unit));
    chart.curve(&mut d, &length.length, &length.torque, Stroke::of(1.4 * LINE, TORQUE));
    for (x, y) in length.length.iter().zip(&length.torque) {
        d.circle(chart.at(*x, *y), 0.8, None, Some(TORQUE));
    }
    for (x, what, up) in [(length.best, "best", 2.6), (length.drawn, "as routed", 6.4)] {
        let [x, top] = chart.at(x, y[1]);
        d.line([x, top], [x, chart.low[1]], Stroke::black(0.3).dashed(&[6, 4]));
        let (beside, anchor) = if x > 0.9 * chart.high[0] { (-1.2, Anchor::Right) } else { (1.2, Anchor::Left) };
        d.text([x + beside, chart.low[1] - up], 2.6, anchor, what).weight = Weight::Bold;
    }
    chart.sides(&mut d);
    d
}

fn uneven(figures: &GasSheet) -> Table {
    let mut table = Table::new(vec![
        Column::left("cylinder"),
        Column::right(words::head("primary", figures.units)),
        Column::right(words::head("longer", figures.units)),
        Column::right("as routed, %"),
        Column::right("with equal lengths, %"),
    ]);
    figures.uneven.iter().for_each(|row| table.row(row.to_vec()));
    table
}

fn valve(figures: &GasSheet, waves: &SheetWaves) -> Drawing {
    let [low, high] = range(&waves.pressure);
    let by = step(high - low);
    let y = [(low / by).floor() * by, (high / by).ceil() * by];
    let (mut d, chart) = chart(figures, VALVE, [0.0, 720.0], y);
    // Lifts take the lower two fifths.
    let lift = Chart { y: [0.0, 2.5], ..chart };
    for (part, ink, what) in [(0, EXHAUST, "exhaust valve"), (1, INTAKE, "intake valve")] {
        let lifted = &waves.lifts[part];
        lift.between(&mut d, &waves.angle, [&vec![0.0; lifted.len()], lifted], ink);
        let top = (0..lifted.len()).max_by(|a, b| lifted[*a].total_cmp(&lifted[*b]));
        if let Some(angle) = top.and_then(|k| waves.angle.get(k)) {
            d.text(lift.at(*angle, 0.12), 2.6, Anchor::Middle, what);
        }
    }
    chart.scale_along(&mut d, 90.0, "degrees of crank from firing");
    chart.scale_up(&mut d, by, waves.unit);
    chart.curve(&mut d, &waves.angle, &waves.pressure, Stroke::of(1.2 * LINE, TORQUE));
    marks(&mut d, &chart, waves);
    chart.sides(&mut d);
    d
}

/// Numbers of the arrivals over the chart, apart from one another, with a line down.
fn marks(d: &mut Drawing, chart: &Chart, waves: &SheetWaves) {
    let mut last = f64::NEG_INFINITY;
    for (k, arrival) in waves.arrivals.iter().enumerate() {
        let [x, _] = chart.at(arrival.angle, chart.y[0]);
        let top = chart.high[1];
        d.line([x, top], [x, chart.low[1]], Stroke::black(0.25).dashed(&[3, 3]));
        last = x.max(last + 4.2);
        d.line([x, top], [last, top - 2.0], Stroke::black(0.25));
        d.bubble([last, top - 3.6], 1.9, (k + 1).to_string(), Ink::BLACK, false);
    }
}

fn arrivals(waves: &SheetWaves) -> Table {
    let mut table = Table::new(vec![
        Column::left(""),
        Column::right("arrives at"),
        Column::left("wave"),
        Column::wide("from", 1.0),
        Column::left("exhaust valve"),
    ]);
    for (k, arrival) in waves.arrivals.iter().enumerate() {
        let mut cells = vec![(k + 1).to_string()];
        cells.extend(arrival.cells.iter().cloned());
        table.row(cells);
    }
    table
}

fn picture(figures: &GasSheet, waves: &SheetWaves) -> Drawing {
    let end = waves.at.last().copied().unwrap_or(1.0);
    let (mut d, chart) = chart(figures, PICTURE, [0.0, 720.0], [0.0, end]);
    let [low, high] = range(&waves.picture.concat());
    let level = |value: f64| ((value - low) / (high - low).max(1e-9) * (LEVELS - 1) as f64).round() as usize;
    let (rows, columns) = (waves.at.len().min(ROWS), waves.picture_angle.len().min(COLUMNS));
    for row in 0..rows {
        let place = row * waves.at.len() / rows;
        let up = [row as f64, row as f64 + 1.0].map(|r| end * r / rows as f64);
        let of = |c: usize| level(waves.picture[c * waves.picture_angle.len() / columns][place]);
        let mut from = 0;
        while from < columns {
            let here = of(from);
            let to = (from + 1..columns).find(|c| of(*c) != here).unwrap_or(columns);
            let x = [from, to].map(|c| 720.0 * c as f64 / columns as f64);
            let ([x0, y0], [x1, y1]) = (chart.at(x[0], up[0]), chart.at(x[1], up[1]));
            // A little more, so that no seams show.
            let x1 = (x1 + 0.1).min(chart.high[0]);
            d.rectangle([x0, y0], [x1, (y1 - 0.1).max(chart.high[1])], None, Some(ramp(here)));
            from = to;
        }
    }
    chart.scale_along(&mut d, 90.0, "degrees of crank from firing");
    chart.scale_up(&mut d, step(end), job::show::unit(figures.units));
    for joint in &waves.joints {
        let [x, y] = chart.at(720.0, *joint);
        d.line([chart.low[0], y], [x, y], Stroke::of(0.3, Ink::WHITE));
        d.line([chart.low[0], y], [x, y], Stroke::black(0.3).dashed(&[3, 3]));
        d.text([x + 1.2, y], NOTE, Anchor::Left, "pipes meet");
    }
    chart.sides(&mut d);
    legend(&mut d, &chart, [low, high], waves.unit);
    d
}

/// Height of a note beside a chart, mm.
const NOTE: f64 = 2.3;

/// The colours and their pressures over the picture.
fn legend(d: &mut Drawing, chart: &Chart, [low, high]: [f64; 2], unit: &str) {
    let (wide, right, y) = (60.0, chart.high[0], chart.high[1] - 4.6);
    let at = |k: usize| right - wide - 12.0 + wide * k as f64 / LEVELS as f64;
    for k in 0..LEVELS {
        d.rectangle([at(k), y], [at(k + 1) + 0.1, y + 2.6], None, Some(ramp(k)));
    }
    d.rectangle([at(0), y], [at(LEVELS), y + 2.6], Some(Stroke::black(0.15)), None);
    d.text([at(0) - 1.2, y + 1.3], NOTE, Anchor::Right, format!("{low:.0}"));
    d.text([at(LEVELS) + 1.2, y + 1.3], NOTE, Anchor::Left, format!("{high:.0} {unit}"));
}

fn ramp(level: usize) -> Ink {
    let place = level as f64 / (LEVELS - 1) as f64 * (RAMP.len() - 1) as f64;
    let k = (place as usize).min(RAMP.len() - 2);
    let part = place - k as f64;
    let [red, green, blue] = std::array::from_fn(|c| (RAMP[k][c] + part * (RAMP[k + 1][c] - RAMP[k][c])) as u8);
    Ink(red, green, blue)
}
