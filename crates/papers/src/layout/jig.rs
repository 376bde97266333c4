//! Jig table: where ports, inlets and supports stand over a flat table, with a plan and a side view.

use geom::Vec3;
use route::jig::{Jig, JigPoint, JigRow, Setup};

use super::runs::{lines, run_name, run_number, tubes};
use crate::PaperJob;
use crate::sheet::{Anchor, Block, Column, Drawing, Ink, Placing, Sheet, SheetKind, Stroke, Table, TextStyle, Weight};
use crate::view::{Scene, View, extent};
use crate::words;

/// Least and most height of the drawing, mm; between them it takes what the table leaves.
const HEIGHT: [f64; 2] = [150.0, 185.0];

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let Some(jig) = papers.jig else { return Vec::new() };
    let about = match jig.setup {
        Setup::FlangeDown => "port flanges down on a flat table",
        Setup::AsOnCar => "as it sits in the vehicle, over a flat table",
    };
    let mut sheet = Sheet::new(SheetKind::Jig, "Jig", about);
    sheet.blocks.push(Block::Drawing(drawing(papers, jig)));
    sheet.blocks.push(Block::Table(table(papers, jig)));
    sheet.blocks.push(Block::Text(
        TextStyle::Small,
        "X along the table to the right, Y away from you, Z up from its top. X = Y = 0 below the centre of port 1. Ports, inlets and \
         ends: centre of the opening. Supports: underside of the tube. Bearing: from X towards Y; angle to table: of the flow. \
         Heights are to the gasket face of flanges. The arrows UP and FRONT show the vehicle's."
            .into(),
    ));
    sheet.blocks.extend(tilted(papers, jig).map(|text| Block::Text(TextStyle::Small, text)));
    vec![sheet]
}

/// Flanges less than this off the table lie flat, rad: 0.2 mm over 40 mm.
const FLAT: f64 = 0.005;

/// Which flanges do not lie flat when the others do.
fn tilted(papers: &PaperJob<'_>, jig: &Jig) -> Option<String> {
    let tilts = jig.rows.iter().filter(|r| jig.setup == Setup::FlangeDown && r.tilt > FLAT);
    let named: Vec<String> =
        tilts.map(|r| format!("{} by {}°", name(papers, &r.what).0, words::angle(r.tilt))).collect();
    (!named.is_empty()).then(|| format!("Faces that do not lie flat on the table: {}. Shim them.", named.join(", ")))
}

/// What a point is called, and its short mark in the drawing.
fn name(papers: &PaperJob<'_>, what: &JigPoint) -> (String, String) {
    match what {
        JigPoint::Port(cylinder) => (format!("port {cylinder}"), format!("P{cylinder}")),
        JigPoint::Collector(name) => (format!("{} centre", words::short(name, 30)), "C".into()),
        JigPoint::Inlet(name, i) => (format!("{} inlet {i}", words::short(name, 30)), format!("I{i}")),
        JigPoint::Support(run) => {
            let number = run_number(papers, *run);
            (format!("support under {}", run_name(&papers.routes.runs[*run].run)), format!("S{number}"))
        }
        JigPoint::End(run) => (format!("end of {}", run_name(&papers.routes.runs[*run].run)), "E".into()),
    }
}

fn table(papers: &PaperJob<'_>, jig: &Jig) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left(""),
        Column::wide("point", 1.0),
        Column::right(words::head("X", units)),
        Column::right(words::head("Y", units)),
        Column::right(words::head("Z", units)),
        Column::right("bearing"),
        Column::right("angle to table"),
        Column::wide("checked", 0.5),
    ]);
    for row in &jig.rows {
        let (name, mark) = name(papers, &row.what);
        let [x, y, z] = row.at.map(|c| words::length(c, units));
        let (heading, rise) = match row.what {
            JigPoint::Support(_) => ("-".into(), "-".into()),
            // Straight up or down there is no bearing.
            _ if row.rise.abs() > 1.55 => ("-".into(), words::angle(row.rise)),
            _ => (words::angle(row.heading), words::angle(row.rise)),
        };
        table.row(vec![mark, name, x, y, z, heading, rise, String::new()]);
    }
    table
}

fn drawing(papers: &PaperJob<'_>, jig: &Jig) -> Drawing {
    let [width, room] = papers.paper.room(false);
    let height = (room - 32.0 - 5.9 * jig.rows.len() as f64).clamp(HEIGHT[0], HEIGHT[1]);
    let mut d = Drawing::new(width, height);
    let lines = lines(papers);
    let tubes = tubes(papers, &lines, None);
    if tubes.is_empty() {
        return d;
    }
    let table = jig.table;
    let across = table.up.cross(table.forward);
    let plan = View { right: table.forward, up: across, toward: table.up };
    let side = View { right: table.forward, up: table.up, toward: -across };
    let half = 0.5 * height;
    let inner = [width - 40.0, half - 22.0];
    let scale = [&plan, &side]
        .iter()
        .map(|v| Placing::fit(&extent(&tubes, v), 0.0, [0.0, 0.0], inner, None).scale)
        .fold(f64::INFINITY, f64::min);
    let mut place = None;
    for (k, (view, title)) in [(side, "from the side"), (plan, "from above")].into_iter().enumerate() {
        let top = k as f64 * half;
        d.text([1.0, top + 3.0], 3.0, Anchor::Left, title).weight = Weight::Bold;
        let mut placing = Placing::fit(&extent(&tubes, &view), 0.0, [20.0, top + 11.0], inner, Some(scale));
        // Both views stand one below the other.
        placing.origin[0] = *place.get_or_insert(placing.origin[0]);
        Scene::new(&tubes, view).draw(&mut d, &placing);
        if k == 0 {
            let level = placing.at(view.flat(table.origin))[1];
            d.line([4.0, level], [width - 4.0, level], Stroke::black(0.6));
            for i in 0..((width - 8.0) / 6.0) as usize {
                let x = 4.0 + 6.0 * i as f64;
                d.line([x + 3.0, level + 0.3], [x, level + 3.0], Stroke::of(0.18, Ink::GREY));
            }
            d.text([width - 4.0, level + 5.0], 2.6, Anchor::Right, "table");
        }
        points(papers, jig, &view, &placing, k == 0, &mut d);
        for (row, (way, name)) in [(Vec3::Z, "UP"), (Vec3::X, "FRONT")].into_iter().enumerate() {
            compass(&mut d, [width - 13.0, top + 9.0 + 17.0 * row as f64], view.flat(way), way.dot(view.toward), name);
        }
    }
    d
}

/// An arrow of the vehicle as a view shows it: a dot where it comes towards the reader, a cross where it goes away.
fn compass(d: &mut Drawing, at: [f64; 2], [right, up]: [f64; 2], toward: f64, name: &str) {
    let length = right.hypot(up);
    if length > 0.3 {
        let reach = 6.0 * length;
        let half = [right / length * reach, -up / length * reach];
        d.arrow([at[0] - half[0], at[1] - half[1]], [at[0] + half[0], at[1] + half[1]], Stroke::black(0.5));
    } else {
        d.circle(at, 2.2, Some(Stroke::black(0.5)), None);
        if toward > 0.0 {
            d.circle(at, 0.7, None, Some(Ink::BLACK));
        } else {
            d.line([at[0] - 1.5, at[1] - 1.5], [at[0] + 1.5, at[1] + 1.5], Stroke::black(0.5));
            d.line([at[0] - 1.5, at[1] + 1.5], [at[0] + 1.5, at[1] - 1.5], Stroke::black(0.5));
        }
    }
    let text = d.text([at[0], at[1] + 9.0], 2.6, Anchor::Middle, name);
    (text.weight, text.over) = (Weight::Bold, true);
}

/// Marks of the points, set apart; in the side view supports are posts.
fn points(papers: &PaperJob<'_>, jig: &Jig, view: &View, placing: &Placing, posts: bool, d: &mut Drawing) {
    let table = jig.table;
    let across = table.up.cross(table.forward);
    let mut taken: Vec<[f64; 2]> = Vec::new();
    for row in jig.rows.iter().filter(|r| !matches!(r.what, JigPoint::Inlet(..))) {
        let there = table.origin + table.forward * row.at[0] + across * row.at[1] + table.up * row.at[2];
        let at = placing.at(view.flat(there));
        if posts && matches!(row.what, JigPoint::Support(_)) {
            let foot = placing.at(view.flat(there - table.up * row.at[2]));
            d.line(at, foot, Stroke::black(0.9));
            d.line([at[0] - 2.0, at[1]], [at[0] + 2.0, at[1]], Stroke::black(0.9));
        }
        label(papers, row, at, &mut taken, d);
    }
}

fn label(papers: &PaperJob<'_>, row: &JigRow, at: [f64; 2], taken: &mut Vec<[f64; 2]>, d: &mut Drawing) {
    let (_, mark) = name(papers, &row.what);
    d.circle(at, 0.7, None, Some(Ink::BLACK));
    let mut spot = [at[0] + 4.5, at[1] - 4.0];
    let tries = [[4.5, -4.0], [-4.5, -4.0], [4.5, 4.0], [-4.5, 4.0], [8.5, 0.0], [-8.5, 0.0], [0.0, -8.0], [0.0, 8.0]];
    for t in tries {
        let p = [at[0] + t[0], at[1] + t[1]];
        if taken.iter().all(|q| (p[0] - q[0]).abs() > 6.5 || (p[1] - q[1]).abs() > 4.0) {
            spot = p;
            break;
        }
    }
    taken.push(spot);
    d.line(at, spot, Stroke::black(0.15));
    let text = d.text(spot, 3.0, Anchor::Middle, mark);
    (text.weight, text.over) = (Weight::Bold, true);
}
