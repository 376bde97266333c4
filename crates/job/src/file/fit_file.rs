//! The record of a build, `fit.toml`.

use std::collections::BTreeMap;

use geom::Vec3;

use super::describe::{Key, Range, TableShape, ValueKind, above, may, must, range};
use super::own_file::opened_in;
use super::read::Reader;
use super::record::{Record, Value};
use crate::fit::{
    ChordReading, Corrected, FitRecord, From, GoesIn, Measured, Measuring, PieceFigures, PieceRecord, PieceState,
    Places, Quality, ShopRecord, Spotted, Strip,
};
use crate::model::Units;
use crate::problem::Problem;

/// Pieces, readings, strips, chords and corrections of one build: a big header has a hundred pieces, each read some times.
const MOST: usize = 2_000;
/// Distances of one place.
const MOST_DISTANCES: usize = 20;

const LENGTH: Range = range(0.0, 20_000.0);
/// Standard deviations of lengths, mm: none is known exactly, and beyond that nothing is measured.
const SPREAD: Range = above(0.0, 100.0);
/// Standard deviations of angles, degrees.
const SPREAD_ANGLE: ValueKind = ValueKind::Angle(above(0.0, 45.0));
/// Those of sources, which may be absent.
const SOURCE: ValueKind = ValueKind::Length(range(0.0, 100.0));
const SOURCE_ANGLE: ValueKind = ValueKind::Angle(range(0.0, 45.0));
const TURN: ValueKind = ValueKind::Angle(range(-360.0, 360.0));
const SHIFT: ValueKind = ValueKind::Length(range(-1000.0, 1000.0));

/// The whole file.
pub static FIT: TableShape = TableShape {
    title: "the record of the build",
    doc: "What was cut, welded and measured of a build.",
    keys: &[
        may("format", ValueKind::Whole(1, 1), "Version of this format."),
        may("units", ValueKind::Choice(&["mm", "in"]), "Unit of bare numbers that are lengths; the job's by default."),
        may("plan", ValueKind::Text, "The data digits at the foot of the sheets it was built from."),
        may("shop", ValueKind::Table(&SHOP), "How well the shop works."),
        may("measuring", ValueKind::Table(&MEASURING), "How well it measures."),
        may("goes_in", ValueKind::Table(&GOES_IN), "When an end goes into its inlet."),
        may("piece", ValueKind::Tables(&PIECE, MOST), "How far a piece has come."),
        may("measured", ValueKind::Tables(&MEASURED, MOST), "A place or direction that was measured."),
        may("strip", ValueKind::Tables(&STRIP, MOST), "A degree strip that was read."),
        may("chord", ValueKind::Tables(&CHORD, MOST), "A chord that was measured."),
        may("corrected", ValueKind::Tables(&CORRECTED, MOST), "A correction that was accepted."),
    ],
};

static SHOP: TableShape = TableShape {
    title: "[shop]",
    doc: "How well the shop works: one standard deviation each.",
    keys: &[
        may("quality", ValueKind::Choice(&["usual", "careful"]), "What holds where there is no figure below."),
        may("cut", SOURCE, "Place of a saw cut."),
        may("squareness", SOURCE_ANGLE, "Squareness of a face, each of two directions."),
        may("clocking", SOURCE_ANGLE, "Clocking of a joint."),
        may("bend_angle", SOURCE_ANGLE, "Angle of a whole bought bend."),
        may("clr", ValueKind::Number(range(0.0, 0.2)), "CLR of a bought bend, as a ratio: 0.01 is 1 %."),
        may("tangent_line", SOURCE, "Where the tangent line is found."),
        may("leg", SOURCE, "A bought leg up to its mill end."),
        may("gap", SOURCE, "Gap at a joint."),
        may("gap_mean", SOURCE, "Mean gap at a joint; 0 by default."),
        may("step", SOURCE, "Offset at a joint, each of two directions."),
        may("shrinkage", SOURCE, "Mean shrinkage of a weld."),
        may("shrinkage_sd", SOURCE, "Spread of the shrinkage; a third of the mean by default."),
        may("shrinkage_allowed", ValueKind::Flag, "Whether pieces are cut longer by the mean shrinkage."),
        may("pull", SOURCE_ANGLE, "Kink by a weld, each of two directions."),
        may("port", SOURCE, "Place of a port, each of three directions."),
        may("port_angle", SOURCE_ANGLE, "Axis of a port, each of two directions."),
        may("inlet", SOURCE, "Place of an inlet, each of three directions."),
        may("inlet_angle", SOURCE_ANGLE, "Axis of an inlet, each of two directions."),
    ],
};

static MEASURING: TableShape = TableShape {
    title: "[measuring]",
    doc: "One standard deviation of a reading of each kind.",
    keys: &[
        may("place", ValueKind::Length(SPREAD), "A coordinate of a centre."),
        may("direction", SPREAD_ANGLE, "A direction, each way."),
        may("point", ValueKind::Length(SPREAD), "A coordinate of a point on a rod."),
        may("distance", ValueKind::Length(SPREAD), "A distance by tape."),
        may("line", SPREAD_ANGLE, "The reference line, about the flow."),
        may("strip", SPREAD_ANGLE, "A degree strip."),
        may("chord", ValueKind::Length(SPREAD), "A chord."),
    ],
};

static GOES_IN: TableShape = TableShape {
    title: "[goes_in]",
    doc: "When an end goes into its inlet.",
    keys: &[
        may("within", ValueKind::Length(above(0.0, 100.0)), "Greatest distance; 1 mm by default."),
        may("angle", ValueKind::Angle(above(0.0, 45.0)), "Greatest angle; 1 degree by default."),
        may("slip", ValueKind::Length(range(0.0, 200.0)), "How far it may slide along the inlet."),
    ],
};

static PIECE: TableShape = TableShape {
    title: "[[piece]]",
    doc: "How far a piece has come; one that is not named is uncut.",
    keys: &[
        must("mark", ValueKind::Text, "Its mark."),
        must("state", ValueKind::Choice(&["uncut", "cut", "tacked", "welded"]), "How far it has come."),
        may("left_long", ValueKind::Length(LENGTH), "What its downstream leg has more than the plan says."),
        may("left_angle", ValueKind::Angle(range(0.0, 180.0)), "What its arc has more than the plan says."),
    ],
};

static MEASURED: TableShape = TableShape {
    title: "[[measured]]",
    doc: "What was read at the downstream end of a piece or at an inlet.",
    keys: &[
        may("after", ValueKind::Text, "Mark of the piece whose downstream end was measured."),
        may("inlet", ValueKind::Text, "Collector and number of the inlet that was measured, e.g. \"merge 2\"."),
        may("on", ValueKind::Date, "The day."),
        may("at", ValueKind::Point, "Its centre in the vehicle's axes."),
        may("table", ValueKind::Point, "Its centre in the axes of the jig's table."),
        may("distances", ValueKind::Tables(&DISTANCE, MOST_DISTANCES), "Distances of its centre."),
        may("axis", ValueKind::Direction, "Direction of the flow there."),
        may("points", ValueKind::Points(2), "Two centres along the flow, on a rod."),
        may("heading", TURN, "Bearing of the flow over the jig's table, as on the jig sheet."),
        may("rise", ValueKind::Angle(range(-90.0, 90.0)), "Angle of the flow to the jig's table."),
        may("line", ValueKind::Direction, "From the centre to the reference line."),
    ],
};

static DISTANCE: TableShape = TableShape {
    title: "[[measured.distances]]",
    doc: "A distance by tape.",
    keys: &[
        must("from", ValueKind::NameOrPoint, "Where from: \"port 1\", \"merge 2\" or a place."),
        must("is", ValueKind::Length(above(0.0, 20_000.0)), "The distance."),
    ],
};

static STRIP: TableShape = TableShape {
    title: "[[strip]]",
    doc: "A degree strip that was read.",
    keys: &[
        must("joint", ValueKind::Text, "The joint, e.g. \"1A-1B\"."),
        must("off", TURN, "Degrees past its mark, right-hand rule about the flow."),
    ],
};

static CHORD: TableShape = TableShape {
    title: "[[chord]]",
    doc: "A chord that was measured.",
    keys: &[
        must("pieces", ValueKind::Names(1, 100), "The piece, or neighbours from the first to the last."),
        may("outside", ValueKind::Length(above(0.0, 20_000.0)), "Between the outside lines of both ends."),
        may("inside", ValueKind::Length(above(0.0, 20_000.0)), "Between the inside lines of both ends."),
    ],
};

static CORRECTED: TableShape = TableShape {
    title: "[[corrected]]",
    doc: "A correction that was accepted; written by the program.",
    keys: &[
        may("on", ValueKind::Date, "The day."),
        must("run", ValueKind::Text, "The run."),
        may("piece", ValueKind::Text, "The piece."),
        may("was", ValueKind::Table(&FIGURES), "What it was before."),
        may("is", ValueKind::Table(&FIGURES), "What it is to be."),
        may("cut_open", ValueKind::Text, "The joint that is cut open."),
    ],
};

static FIGURES: TableShape = TableShape {
    title: "[corrected.is]",
    doc: "Figures of a piece.",
    keys: &[
        must("leg_in", ValueKind::Length(LENGTH), "Straight before the arc, or the whole length."),
        may("angle", ValueKind::Angle(range(0.0, 360.0)), "Angle of the arc."),
        may("leg_out", ValueKind::Length(LENGTH), "Straight behind the arc."),
        may("turned", TURN, "How far the joint before it is turned on from where it was to be."),
        may("slid", SHIFT, "How much farther the slip joint before it is pushed in than it was to be."),
    ],
};

/// Reads the bytes of the file; bare numbers are in the job's `units` where it names none.
pub fn read(name: &str, bytes: &[u8], units: Units) -> (Option<FitRecord>, Vec<Problem>) {
    opened_in(name, bytes, &FIT, units, |reader, record| FitRecord {
        plan: record.text("plan").map(|p| (p.trim().to_string(), reader.source.spot(&record.span_of("plan")))),
        shop: record.table("shop").map(shop).unwrap_or_default(),
        measuring: record.table("measuring").map(measuring).unwrap_or_default(),
        goes_in: record.table("goes_in").map(goes_in).unwrap_or_default(),
        pieces: record.tables("piece").iter().filter_map(|t| piece(reader, t)).collect(),
        measured: record.tables("measured").iter().filter_map(|t| measured(reader, t)).collect(),
        strips: record.tables("strip").iter().filter_map(|t| strip(reader, t)).collect(),
        chords: record.tables("chord").iter().filter_map(|t| chord(reader, t)).collect(),
        corrected: record.tables("corrected").iter().filter_map(|t| corrected(reader, t)).collect(),
    })
}

fn places(reader: &Reader<'_>, table: &Record) -> Places {
    let keys: BTreeMap<_, _> =
        table.fields.iter().map(|(key, (_, _, span))| (*key, reader.source.spot(span))).collect();
    Places { table: reader.source.spot(&table.span), keys }
}

fn shop(table: &Record) -> ShopRecord {
    let number = |key: &str| table.number(key);
    ShopRecord {
        quality: if table.text("quality") == Some("careful") { Quality::Careful } else { Quality::Usual },
        cut: number("cut"),
        squareness: number("squareness"),
        clocking: number("clocking"),
        bend_angle: number("bend_angle"),
        clr: number("clr"),
        tangent_line: number("tangent_line"),
        leg: number("leg"),
        gap: number("gap"),
        gap_mean: number("gap_mean"),
        step: number("step"),
        shrinkage: number("shrinkage"),
        shrinkage_sd: number("shrinkage_sd"),
        shrinkage_allowed: table.flag("shrinkage_allowed"),
        pull: number("pull"),
        port: number("port"),
        port_angle: number("port_angle"),
        inlet: number("inlet"),
        inlet_angle: number("inlet_angle"),
    }
}

fn measuring(table: &Record) -> Measuring {
    let base = Measuring::default();
    let number = |key: &str, base: f64| table.number(key).unwrap_or(base);
    Measuring {
        place: number("place", base.place),
        direction: number("direction", base.direction),
        point: number("point", base.point),
        distance: number("distance", base.distance),
        line: number("line", base.line),
        strip: number("strip", base.strip),
        chord: number("chord", base.chord),
    }
}

fn goes_in(table: &Record) -> GoesIn {
    let base = GoesIn::default();
    GoesIn {
        within: table.number("within").unwrap_or(base.within),
        angle: table.number("angle").unwrap_or(base.angle),
        slip: table.number("slip"),
    }
}

fn piece(reader: &Reader<'_>, table: &Record) -> Option<PieceRecord> {
    let state = match table.text("state")? {
        "cut" => PieceState::Cut,
        "tacked" => PieceState::Tacked,
        "welded" => PieceState::Welded,
        _ => PieceState::Uncut,
    };
    Some(PieceRecord {
        mark: table.text("mark")?.to_string(),
        state,
        left_long: table.number("left_long").unwrap_or(0.0),
        left_angle: table.number("left_angle").unwrap_or(0.0),
        places: places(reader, table),
    })
}

fn measured(reader: &mut Reader<'_>, table: &Record) -> Option<Measured> {
    let what = match (table.text("after"), table.text("inlet")) {
        (Some(mark), None) => Spotted::After(mark.to_string()),
        (None, Some(inlet)) => Spotted::Inlet(inlet.to_string()),
        _ => {
            if !table.is_bad("after") && !table.is_bad("inlet") {
                let problem = reader.error("which-end", &table.span, &table.about, "which end was measured?");
                problem.expected = "`after` with the mark of a piece, or `inlet`, one of the two".into();
                problem.hint = "write after = \"1B\" for the downstream end of piece 1B".into();
            }
            return None;
        }
    };
    one_of(reader, table, &["axis", "points", "heading"]);
    one_of(reader, table, &["at", "table"]);
    for (key, other) in [("heading", "rise"), ("rise", "heading")] {
        if table.given(key) && !table.given(other) {
            let problem =
                reader.error("missing-key", &table.key_span(key), &table.about, format!("`{other}` is missing"));
            problem.expected = "heading and rise, as on the jig sheet".into();
            problem.hint = format!("add {other} = ...");
        }
    }
    let points = points(reader, table);
    let distance = |reader: &Reader<'_>, row: &Record| {
        let from = match row.value("from")? {
            Value::Text(name) => From::Name(name.clone()),
            Value::Point(place) => From::Place(*place),
            _ => return None,
        };
        Some((from, row.number("is")?, places(reader, row)))
    };
    Some(Measured {
        what,
        on: table.text("on").map(String::from),
        at: table.point("at"),
        table: table.point("table"),
        distances: table.tables("distances").iter().filter_map(|r| distance(reader, r)).collect(),
        axis: table.point("axis").map(Vec3::normalize),
        points,
        heading_rise: table.number("heading").zip(table.number("rise")).map(|(h, r)| [h, r]),
        line: table.point("line").map(Vec3::normalize),
        places: places(reader, table),
    })
}

/// At most one of some keys is given.
fn one_of(reader: &mut Reader<'_>, table: &Record, keys: &[&str]) {
    let given: Vec<&str> = keys.iter().copied().filter(|k| table.given(k)).collect();
    if let [first, second, ..] = given[..] {
        let message = format!("both `{first}` and `{second}` are given");
        let problem = reader.error("conflict", &table.key_span(second), &table.about, message);
        problem.expected = format!("one of {}", keys.join(", "));
        problem.hint = "keep the one that was read, or write a [[measured]] of its own for the other".into();
    }
}

fn points(reader: &mut Reader<'_>, table: &Record) -> Option<[Vec3; 2]> {
    let list = table.points("points")?;
    let [first, second] = list[..] else {
        let message = format!("`points` has {} places; it needs 2", list.len());
        let problem = reader.error("wrong-count", &table.span_of("points"), &table.about, message);
        problem.expected = "two places [x, y, z] along the flow".into();
        problem.hint = "keep two of them".into();
        return None;
    };
    if (second - first).length() < 1.0 {
        let message = "the two places of `points` are less than 1 mm apart";
        let problem = reader.error("too-near", &table.span_of("points"), &table.about, message);
        problem.expected = "two places far apart on the rod, the first upstream".into();
        problem.hint = "measure them at both ends of the rod".into();
        return None;
    }
    Some([first, second])
}

fn strip(reader: &Reader<'_>, table: &Record) -> Option<Strip> {
    let joint = table.text("joint")?.to_string();
    Some(Strip { joint, off: table.number("off")?, places: places(reader, table) })
}

fn chord(reader: &mut Reader<'_>, table: &Record) -> Option<ChordReading> {
    let pieces: Vec<String> = table
        .list("pieces")?
        .iter()
        .filter_map(|(v, _)| if let Value::Text(t) = v { Some(t.clone()) } else { None })
        .collect();
    let empty = !table.given("outside") && !table.given("inside");
    if pieces.is_empty() || empty {
        let missing = if empty { "the chord says no length" } else { "the chord names no piece" };
        let problem = reader.error("missing-key", &table.span, &table.about, missing);
        problem.expected = "`pieces` and `outside` or `inside` or both".into();
        problem.hint = "write pieces = [\"1A\", \"1B\"], outside = 212.4".into();
        return None;
    }
    let (outside, inside) = (table.number("outside"), table.number("inside"));
    Some(ChordReading { pieces, outside, inside, places: places(reader, table) })
}

fn corrected(reader: &Reader<'_>, table: &Record) -> Option<Corrected> {
    let figures = |t: &Record| {
        let leg_in = t.number("leg_in")?;
        let other = |key: &str| t.number(key).unwrap_or(0.0);
        let [angle, leg_out, turned, slid] = ["angle", "leg_out", "turned", "slid"].map(other);
        Some(PieceFigures { leg_in, angle, leg_out, turned, slid })
    };
    Some(Corrected {
        on: table.text("on").map(String::from),
        run: table.text("run")?.to_string(),
        piece: table.text("piece").map(String::from).zip(table.table("is").and_then(figures)),
        cut_open: table.text("cut_open").map(String::from),
        places: places(reader, table),
    })
}

/// The keys of the file, for the check that the manual names all of them.
pub fn keys() -> Vec<&'static Key> {
    [&FIT, &SHOP, &MEASURING, &GOES_IN, &PIECE, &MEASURED, &DISTANCE, &STRIP, &CHORD, &CORRECTED, &FIGURES]
        .iter()
        .flat_map(|t| t.keys)
        .collect()
}

#[cfg(test)]
mod tests;
