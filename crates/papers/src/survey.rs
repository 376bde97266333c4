//! What is printed for a survey: marker plates and a bar at full size, and a sheet to write readings on.

use std::f64::consts::{FRAC_PI_2, TAU};

use job::model::Units;

use crate::Paper;
use crate::sheet::{
    Anchor, Block, Column, Drawing, Ink, Mark, PenStep, Point, RowHeight, Sheet, SheetKind, Stroke, Table, TextStyle,
    Weight, arc, polyline,
};
use crate::tile::{FullSize, tiled, window};
use crate::words;

/// Middle of a quartered dot from that of its marker along both axes, and its radius, in sides of the black square.
pub const DOT: (f64, f64) = (0.83, 0.15);

/// From the outermost ink of a plate to its edge, mm.
const RIM: f64 = 2.5;

/// Height of the words under a plate, mm.
const WORDS: f64 = 10.5;

/// Longest name under a plate, letters.
const LONGEST_NAME: usize = 26;

/// Width of the tab of a flag, mm.
const TAB: f64 = 30.0;

/// Between the middles of the two markers of the bar, mm.
pub const BAR: f64 = 130.0;

/// A printed marker.
#[derive(Debug, Clone, PartialEq)]
pub struct Marker {
    /// Its number in the family.
    pub tag: u32,
    /// Its cells row by row, white is true.
    pub cells: [[bool; 8]; 8],
    /// Side of its black square, mm.
    pub side: f64,
}

/// How a plate is held in place.
#[derive(Debug, Clone, PartialEq)]
pub enum Seat {
    /// On the studs of a flange: centre and diameter of each hole from the marker's middle, x right and y down, mm.
    Studs(Vec<(Point, f64)>),
    /// On a plug or cone in a tube of that outside diameter, mm.
    Plug(f64),
    /// By a tab around a rail or shaft.
    Flag,
}

/// A plate: a marker, and how it is held.
#[derive(Debug, Clone, PartialEq)]
pub struct Plate {
    /// The point under its middle.
    pub name: String,
    /// The marker.
    pub marker: Marker,
    /// How it is held.
    pub seat: Seat,
}

/// A point of the net.
#[derive(Debug, Clone, PartialEq)]
pub struct NetPoint {
    /// Name of the point, as it is written on the part.
    pub name: String,
    /// What to measure to.
    pub what: String,
    /// About where it is seen from above, mm, x forward and y left.
    pub about: Point,
    /// Whether the person picks it.
    pub free: bool,
}

/// Readings to take from one point.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Number of the point.
    pub point: usize,
    /// Tool, and the point to measure to.
    pub readings: Vec<(String, usize)>,
}

/// All that is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct SurveySheets {
    /// The plates.
    pub plates: Vec<Plate>,
    /// The two markers of the bar.
    pub bar: [Marker; 2],
    /// The points.
    pub points: Vec<NetPoint>,
    /// Where to stand, in the order of walking round.
    pub stations: Vec<Station>,
    /// Readings with a straight-edge over the ports, in words.
    pub straight_edge: Vec<String>,
    /// Cautions.
    pub care: Vec<String>,
    /// Unit of the job.
    pub units: Units,
    /// Size of the paper.
    pub paper: Paper,
}

/// The reading sheets, then the plates and the bar.
pub fn survey_sheets(of: &SurveySheets) -> Vec<Sheet> {
    let mut sheets = vec![guide(of), readings(of)];
    sheets.extend(plates(of));
    sheets.extend(bar(of));
    sheets
}

fn guide(of: &SurveySheets) -> Sheet {
    let mut sheet = Sheet::new(SheetKind::Inspection, "Survey", "what to measure, and how");
    let points = of.care.clone();
    sheet.blocks.push(Block::Notice { title: "Before you measure".into(), points, grave: true });
    sheet.blocks.push(Block::Steps(
        [
            "Pick three places for the datums: bolt heads or punch marks that cannot move, two of them 200 mm or more off the row of ports. \
             Dot every point with a paint pen.",
            "By tape: go round as on the reading sheet and write every number as read. Tape straight and tight, centre to centre.",
            "By phone: print the plates at 100 %, glue them on stiff sheet, measure the bar with calipers, seat the plates, and take 12 to 16 \
             photos with the main lens from all sides; every marker in three or more. Nothing may move between the photos.",
            "Type the numbers on the page (Measure, Survey by tape), or write them into survey.toml and run `tubewright survey` on its folder.",
        ]
        .map(String::from)
        .to_vec(),
    ));
    let mut table = Table::new(vec![Column::left("no."), Column::wide("point", 1.0), Column::wide("measure to", 2.0)]);
    table.row_height = RowHeight::Low;
    for (k, point) in of.points.iter().enumerate() {
        table.row(vec![(k + 1).to_string(), point.name.clone(), point.what.clone()]);
    }
    let [width, _] = of.paper.room(false);
    sheet.blocks.push(Block::Drawing(net(of, None, [width, 70.0])));
    sheet.blocks.push(Block::Text(
        TextStyle::Small,
        "From above, about where the job has things now. Squares: datums, where you like. Names stay the same everywhere.".into(),
    ));
    sheet.blocks.push(Block::Table(table));
    sheet
}

fn readings(of: &SurveySheets) -> Sheet {
    let unit = if of.units == Units::Mm { "mm" } else { "in" };
    let mut sheet = Sheet::new(SheetKind::Inspection, "Reading sheet", format!("all lengths in {unit}, as read"));
    for station in &of.stations {
        let point = &of.points[station.point];
        let mut table = Table::new(vec![
            Column::left("with"),
            Column::wide("to", 1.4),
            Column::wide(format!("reads, {unit}"), 1.0),
        ]);
        table.row_height = RowHeight::Roomy;
        for (tool, to) in &station.readings {
            table.row(vec![tool.clone(), format!("{}  {}", to + 1, of.points[*to].name), String::new()]);
        }
        let heading = Block::Heading(format!("{}  {}", station.point + 1, point.name));
        let drawing = net(of, Some(station), [58.0, 40.0]);
        sheet.blocks.push(Block::Columns(vec![
            (0.34, vec![Block::Drawing(drawing)]),
            (0.66, vec![heading, Block::Table(table)]),
        ]));
    }
    if !of.straight_edge.is_empty() {
        sheet.blocks.push(Block::Heading("Straight-edge".into()));
        sheet.blocks.push(Block::Points(of.straight_edge.clone()));
    }
    sheet
}

/// The points from above, x to the left as on the vehicle's left side; with a station the lines to measure from it.
fn net(of: &SurveySheets, station: Option<&Station>, [width, height]: [f64; 2]) -> Drawing {
    let mut d = Drawing::new(width, height);
    let bound = |k: usize, f: fn(f64, f64) -> f64, from: f64| of.points.iter().map(|p| p.about[k]).fold(from, f);
    let low = [0, 1].map(|k| bound(k, f64::min, f64::INFINITY));
    let high = [0, 1].map(|k| bound(k, f64::max, f64::NEG_INFINITY));
    let edge = if station.is_some() { 5.0 } else { 9.0 };
    let scale =
        ((width - 2.0 * edge) / (high[0] - low[0]).max(1.0)).min((height - 2.0 * edge) / (high[1] - low[1]).max(1.0));
    let middle = [0, 1].map(|k| 0.5 * (low[k] + high[k]));
    let at = |p: &NetPoint| {
        [0.5 * width + scale * (p.about[0] - middle[0]), 0.5 * height - scale * (p.about[1] - middle[1])]
    };
    if let Some(station) = station {
        let from = at(&of.points[station.point]);
        for (_, to) in &station.readings {
            d.line(from, at(&of.points[*to]), Stroke::black(0.35));
        }
    }
    for (k, point) in of.points.iter().enumerate() {
        let place = at(point);
        let here = station.is_none_or(|s| s.point == k || s.readings.iter().any(|r| r.1 == k));
        let ink = if here { Ink::BLACK } else { Ink::GREY.lighter(0.5) };
        if point.free {
            d.rectangle(
                [place[0] - 1.3, place[1] - 1.3],
                [place[0] + 1.3, place[1] + 1.3],
                Some(Stroke::of(0.4, ink)),
                Some(Ink::WHITE),
            );
        } else {
            d.circle(place, 1.0, None, Some(ink));
        }
        if here {
            let text = d.text([place[0] + 1.8, place[1] - 2.0], 2.8, Anchor::Left, (k + 1).to_string());
            (text.weight, text.over) = (Weight::Bold, true);
        }
    }
    d
}

/// The plates, as many on a page as fit.
fn plates(of: &SurveySheets) -> Vec<Sheet> {
    let room = window(of.paper, false);
    let mut pages: Vec<Drawing> = Vec::new();
    let (mut x, mut y, mut row) = (0.0_f64, 0.0_f64, 0.0_f64);
    for plate in &of.plates {
        let drawn = plate_drawing(plate);
        if x + drawn.width > room[0] {
            (x, y, row) = (0.0, y + row, 0.0);
        }
        if pages.is_empty() || y + drawn.height > room[1] {
            pages.push(Drawing::new(room[0], room[1]));
            (x, y, row) = (0.0, 0.0, 0.0);
        }
        if let Some(page) = pages.last_mut() {
            page.insert(&drawn, [x, y]);
        }
        x += drawn.width;
        row = row.max(drawn.height);
    }
    let page =
        |drawing: &Drawing| full_size(of, "Marker plates", "cut on the outer line, glue on stiff sheet", drawing);
    pages.iter().flat_map(page).collect()
}

fn full_size(of: &SurveySheets, title: &str, about: &str, drawing: &Drawing) -> Vec<Sheet> {
    let full = FullSize { kind: SheetKind::Templates, title: title.into(), about: about.into(), drawing };
    tiled(&full, of.paper, of.units)
}

/// Half the width of a marker with its dots, mm.
fn reach(side: f64) -> f64 {
    side * (DOT.0 + DOT.1)
}

fn plate_drawing(plate: &Plate) -> Drawing {
    let half = reach(plate.marker.side) + RIM;
    let holes: &[(Point, f64)] = if let Seat::Studs(holes) = &plate.seat { holes } else { &[] };
    let beyond = |k: usize| holes.iter().map(|(at, hole)| at[k].abs() + 0.5 * hole + 4.0).fold(half, f64::max);
    let (w, h) = (beyond(0), beyond(1));
    let tab = if plate.seat == Seat::Flag { TAB } else { 0.0 };
    let mut d = Drawing::new(2.0 * w + tab + 2.0, 2.0 * h + WORDS);
    let middle = [w + 1.0, h + 1.0];
    let pen = Stroke::black(0.25);
    d.rectangle([1.0, 1.0], [2.0 * w + 1.0 + tab, 2.0 * h + 1.0], Some(pen), None);
    marker(&mut d, &plate.marker, middle);
    let hint = match &plate.seat {
        Seat::Studs(holes) if holes.is_empty() => "centre it on the port".to_string(),
        Seat::Studs(_) => "drop it over the studs".into(),
        Seat::Plug(od) => format!("centre it on a plug for {od:.1} mm tube"),
        Seat::Flag => "the marker stands on its axis".into(),
    };
    for (at, hole) in holes {
        let place = [middle[0] + at[0], middle[1] + at[1]];
        d.circle(place, 0.5 * hole, Some(pen), None);
        d.line([place[0] - 1.0, place[1]], [place[0] + 1.0, place[1]], pen);
        d.line([place[0], place[1] - 1.0], [place[0], place[1] + 1.0], pen);
    }
    if plate.seat == Seat::Flag {
        let x = 2.0 * w + 1.0;
        d.line([x, 1.0], [x, 2.0 * h + 1.0], pen.dashed(&[20, 15]));
        let text = d.text([x + 0.5 * TAB, h], 3.0, Anchor::Middle, "fold and tape round it");
        text.turn = -FRAC_PI_2;
    }
    let name = words::short(&plate.name, LONGEST_NAME);
    let first = format!("{name}   no. {}, {:.1} mm", plate.marker.tag, plate.marker.side);
    d.text([1.5, 2.0 * h + 3.6], 2.8, Anchor::Left, first).weight = Weight::Bold;
    d.text([1.5, 2.0 * h + 7.4], 2.6, Anchor::Left, hint);
    // Up, so that a plate is not seated upside down.
    d.head([middle[0], 1.6], [0.0, -1.0], 2.2, Ink::GREY);
    d
}

/// A marker with its middle at a place: the black square with its cells, and four quartered dots.
fn marker(d: &mut Drawing, marker: &Marker, middle: Point) {
    let (half, cell) = (0.5 * marker.side, marker.side / 8.0);
    let corner = |x: f64, y: f64| [middle[0] - half + cell * x, middle[1] - half + cell * y];
    d.rectangle(corner(0.0, 0.0), corner(8.0, 8.0), None, Some(Ink::BLACK));
    for (y, row) in marker.cells.iter().enumerate() {
        for (x, _) in row.iter().enumerate().filter(|(_, white)| **white) {
            let (x, y) = (x as f64, y as f64);
            d.rectangle(corner(x, y), corner(x + 1.0, y + 1.0), None, Some(Ink::WHITE));
        }
    }
    for (sx, sy) in [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)] {
        dot(d, [middle[0] + sx * DOT.0 * marker.side, middle[1] + sy * DOT.0 * marker.side], DOT.1 * marker.side);
    }
}

/// A dot of which two opposite quarters are black.
fn dot(d: &mut Drawing, middle: Point, radius: f64) {
    for from in [0.0, std::f64::consts::PI] {
        let start = [middle[0] + radius * f64::cos(from), middle[1] + radius * f64::sin(from)];
        let mut steps = polyline(&[middle, start]);
        steps.extend(arc(middle, radius, from, from + 0.25 * TAU));
        steps.push(PenStep::Close);
        d.marks.push(Mark::Path { steps, stroke: None, fill: Some(Ink::BLACK) });
    }
}

/// The bar: two markers of one print whose distance is measured.
fn bar(of: &SurveySheets) -> Vec<Sheet> {
    let half = reach(of.bar[0].side) + RIM;
    let mut d = Drawing::new(2.0 * half + 60.0, BAR + 2.0 * half);
    let pen = Stroke::black(0.25);
    d.rectangle([0.2, 0.2], [2.0 * half, BAR + 2.0 * half - 0.2], Some(pen), None);
    for (k, one) in of.bar.iter().enumerate() {
        marker(&mut d, one, [half, half + BAR * k as f64]);
    }
    let x = 2.0 * half + 4.0;
    d.dimension([x, half], [x, half + BAR], -6.0, "measure this");
    for (k, line) in [
        "Glue it flat on stiff sheet.",
        "Middle of a dot above to the",
        "middle of the same dot below,",
        "with calipers:",
    ]
    .iter()
    .enumerate()
    {
        d.text([x + 14.0, half + 30.0 + 5.0 * k as f64], 3.0, Anchor::Left, *line);
    }
    d.line([x + 14.0, half + 60.0], [x + 50.0, half + 60.0], pen);
    full_size(of, "Bar", &format!("markers {} and {}", of.bar[0].tag, of.bar[1].tag), &d)
}
