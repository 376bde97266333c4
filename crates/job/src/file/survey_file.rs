//! A survey, `survey.toml`.

use std::ops::Range;

use super::describe::{Key, ReadingRow, TableShape, ValueKind, may, must, range};
use super::details_file::FORMAT;
use super::own_file::opened;
use super::read::Reader;
use super::record::{Record, Value};
use super::survey_checks;
use crate::problem::Problem;
use crate::survey::{Frame, Marker, Part, Photos, Place, Reading, Side, SurveyFile, TOOLS, Tool};

/// Highest number of the tag36h11 family.
const LAST_TAG: i64 = 586;
/// Tables of markers, and of places.
const MOST_TABLES: usize = 600;

/// The whole file.
pub static SURVEY: TableShape = TableShape {
    title: "the survey",
    doc: "What was measured with tape and rule, or in photos, to find where things are.",
    keys: &[
        FORMAT,
        may("units", ValueKind::Choice(&["mm", "in", "inch"]), "Unit of bare numbers that are lengths."),
        must("frame", ValueKind::Table(&FRAME), "The job's axes."),
        may("tools", ValueKind::Table(&TOOL_SD), "Standard deviations of the tools."),
        may("measured", ValueKind::Table(&MEASURED), "What was read, a list of rows for each tool."),
        may("photos", ValueKind::Table(&PHOTOS), "Photos of printed markers."),
        may("marker", ValueKind::Tables(&MARKER, MOST_TABLES), "Printed markers and the points under them."),
        may("is", ValueKind::Tables(&PLACE, MOST_TABLES), "What the points are in the job."),
    ],
};

static FRAME: TableShape = TableShape {
    title: "[frame]",
    doc: "The job's axes: x forward, y left, z up.",
    keys: &[
        must("origin", ValueKind::Text, "The point at 0, 0, 0."),
        must("forward", ValueKind::Names(2, 2), "Two points, from and to: the x axis."),
        may("down", ValueKind::Text, "A point in the half plane of x and -z."),
        may("up", ValueKind::Text, "A point in the half plane of x and z, instead of `down`."),
        may(
            "left",
            ValueKind::Side,
            "A point on the left, which settles the mirror image; or the mean normal of markers.",
        ),
        may("right", ValueKind::Text, "A point on the right, instead of `left`."),
    ],
};

static TOOL_SD: TableShape = TableShape {
    title: "[tools]",
    doc: "Standard deviation of a reading with each tool.",
    keys: &[
        may("calipers", SD, "Of calipers; 0.15 mm by default."),
        may("rule", SD, "Of a steel rule; 0.5 mm by default."),
        may("tape", SD, "Of a tape; 1 mm by default."),
        may("rod", SD, "Of a rod of known length; 0.3 mm by default."),
        may("outside", SD, "Over outer edges; 0.5 mm by default."),
        may("inside", SD, "Between inner edges; 0.5 mm by default."),
        may("height", SD, "Of a height; 1 mm by default."),
        may("incline", ValueKind::Angle(range(0.01, 10.0)), "Of an angle finder; 0.3 degrees by default."),
        may("flush", SD, "Of points under a straight-edge; 0.2 mm by default."),
        may("row", SD, "Of points in a row; 0.5 mm by default."),
    ],
};

const SD: ValueKind = ValueKind::Length(range(0.001, 100.0));

static MEASURED: TableShape = TableShape {
    title: "[measured]",
    doc: "What was read.",
    keys: &[
        may("calipers", ValueKind::Readings(ReadingRow::Length), "Lengths between points, with calipers."),
        may("rule", ValueKind::Readings(ReadingRow::Length), "Lengths, with a steel rule."),
        may("tape", ValueKind::Readings(ReadingRow::Length), "Lengths, with a tape."),
        may("rod", ValueKind::Readings(ReadingRow::Length), "Lengths of rods, foot to end."),
        may("outside", ValueKind::Readings(ReadingRow::Edges), "Outer edge to outer edge of two round things."),
        may("inside", ValueKind::Readings(ReadingRow::Edges), "Inner edge to inner edge of two round things."),
        may("height", ValueKind::Readings(ReadingRow::Height), "How much higher the second point is."),
        may("incline", ValueKind::Readings(ReadingRow::Incline), "Degrees above the horizontal."),
        may(
            "flush",
            ValueKind::Readings(ReadingRow::Touching),
            "Points that a straight-edge over three others touches.",
        ),
        may(
            "row",
            ValueKind::Readings(ReadingRow::Touching),
            "Points on the line of the first two, seen in the plane of all three.",
        ),
    ],
};

static PHOTOS: TableShape = TableShape {
    title: "[photos]",
    doc: "Photos of printed markers.",
    keys: &[
        must("files", ValueKind::Names(1, 200), "File names, or patterns with `*`."),
        may("marker", ValueKind::Choice(&["tag36h11"]), "Family of the markers."),
        must("side", ValueKind::Length(range(5.0, 500.0)), "Side of the black square as drawn."),
        may(
            "plate",
            ValueKind::Length(range(0.0, 100.0)),
            "From the printed face to the face that it lies on; 0 by default.",
        ),
        may("bar", ValueKind::Table(&BAR), "Two markers of one print, measured with calipers: the scale."),
    ],
};

static BAR: TableShape = TableShape {
    title: "[photos.bar]",
    doc: "Two markers of one print, measured.",
    keys: &[
        must("between", ValueKind::WholeList(0, LAST_TAG), "Numbers of the two markers."),
        must("measured", ValueKind::Length(range(20.0, 2000.0)), "Distance of their centres, with calipers."),
    ],
};

static MARKER: TableShape = TableShape {
    title: "[[marker]]",
    doc: "Printed markers.",
    keys: &[
        must("tag", ValueKind::WholesOrOne(0, LAST_TAG), "Number of the marker, or a list of them."),
        must(
            "name",
            ValueKind::Names(1, LAST_TAG as usize),
            "Name of the point under its centre, or a list of as many.",
        ),
        may("plate", ValueKind::Length(range(0.0, 100.0)), "Its plate, when it is not that of all."),
        may("side", ValueKind::Length(range(5.0, 500.0)), "Its side, when it is not that of all."),
    ],
};

static PLACE: TableShape = TableShape {
    title: "[[is]]",
    doc: "What points are in the job.",
    keys: &[
        may("port", ValueKind::Whole(1, 24), "The port of a cylinder."),
        may("collector", ValueKind::Text, "A collector, by its name."),
        may("keepout", ValueKind::Text, "An obstacle, by its name."),
        may("at", ValueKind::Text, "The point of its `at`."),
        may("axis", ValueKind::Names(2, 2), "Two points: the direction of its `axis`."),
        may("from", ValueKind::Text, "The point of its `from`."),
        may("to", ValueKind::Text, "The point of its `to`."),
        may(
            "place",
            ValueKind::Names(3, 3),
            "Of a scan: the points of its `place.at`, in the order of its `place.mesh`.",
        ),
    ],
};

/// Reads the bytes of the file.
pub fn read(name: &str, bytes: &[u8]) -> (Option<SurveyFile>, Vec<Problem>) {
    opened(name, bytes, &SURVEY, |reader, record| {
        let mut file = file(reader, record);
        survey_checks::check(reader, record, &mut file);
        file
    })
}

/// The keys of the file, for the check that the manual names all of them.
pub fn keys() -> Vec<&'static Key> {
    [&SURVEY, &FRAME, &TOOL_SD, &MEASURED, &PHOTOS, &BAR, &MARKER, &PLACE].iter().flat_map(|t| t.keys).collect()
}

/// Collects the names of points in the order of the file.
#[derive(Default)]
struct Names(Vec<String>);

impl Names {
    fn number(&mut self, name: &str) -> usize {
        let name = name.trim();
        self.0.iter().position(|n| n == name).unwrap_or_else(|| {
            self.0.push(name.to_string());
            self.0.len() - 1
        })
    }

    fn list(&mut self, list: &[(Value, Range<usize>)]) -> Vec<usize> {
        list.iter()
            .filter_map(|(v, _)| if let Value::Text(name) = v { Some(self.number(name)) } else { None })
            .collect()
    }
}

fn file(reader: &mut Reader<'_>, root: &Record) -> SurveyFile {
    let mut names = Names::default();
    let readings = readings(reader, root, &mut names);
    let markers = markers(reader, root, &mut names);
    let empty = Record { fields: Default::default(), bad: Default::default(), ..root.clone() };
    // The frame comes after what was measured, so that a name only used here is seen to be unknown.
    let frame = frame(root.table("frame").unwrap_or(&empty), &mut names);
    let places = root.tables("is").iter().map(|table| place(reader, table, &mut names)).collect();
    let mut sd = TOOLS.map(Tool::default_sd);
    if let Some(table) = root.table("tools") {
        for (sd, tool) in sd.iter_mut().zip(TOOLS) {
            *sd = table.number(tool.key()).unwrap_or(*sd);
        }
    }
    let photos = root.table("photos").map(|table| photos(reader, table));
    SurveyFile { units: reader.units, names: names.0, frame, sd, readings, photos, markers, places }
}

fn readings(reader: &Reader<'_>, root: &Record, names: &mut Names) -> Vec<Reading> {
    let mut readings = Vec::new();
    let Some(measured) = root.table("measured") else { return readings };
    for tool in TOOLS {
        for (row, (cells, span)) in measured.list(tool.key()).unwrap_or(&[]).iter().enumerate() {
            let Value::List(cells) = cells else { continue };
            let spot = reader.source.spot(span);
            if let [(Value::List(plane), _), (Value::List(touched), _)] = &cells[..] {
                let plane = names.list(plane);
                for p in names.list(touched) {
                    let points = plane.iter().copied().chain([p]).collect();
                    readings.push(Reading { tool, points, read: 0.0, value: 0.0, row, spot: spot.clone() });
                }
                continue;
            }
            let points = names.list(cells);
            let numbers: Vec<f64> =
                cells.iter().filter_map(|(v, _)| if let Value::Number(n) = v { Some(*n) } else { None }).collect();
            let Some(read) = numbers.first().copied() else { continue };
            let edges = numbers[1..].iter().sum::<f64>() / 2.0;
            let value = if tool == Tool::Outside { read - edges } else { read + edges };
            readings.push(Reading { tool, points, read, value, row, spot });
        }
    }
    readings
}

fn markers(reader: &mut Reader<'_>, root: &Record, names: &mut Names) -> Vec<Marker> {
    let mut markers: Vec<Marker> = Vec::new();
    for table in root.tables("marker") {
        let tags = table.wholes("tag").unwrap_or_default();
        let named = table.list("name").map(|list| names.list(list)).unwrap_or_default();
        if table.given("tag")
            && table.given("name")
            && tags.len() != named.len()
            && !table.is_bad("tag")
            && !table.is_bad("name")
        {
            let message = format!("{} marker numbers and {} names", tags.len(), named.len());
            let problem = reader.error("wrong-count", &table.span_of("name"), &table.about, message);
            problem.expected = "a name for each number".into();
            problem.hint = "give both lists the same length, or a table for each marker".into();
        }
        for (tag, name) in tags.iter().zip(&named) {
            let tag = *tag as u32;
            if markers.iter().any(|m| m.tag == tag) {
                let problem =
                    reader.error("twice", &table.span_of("tag"), &table.about, format!("marker {tag} is given twice"));
                problem.expected = "each number once".into();
                problem.hint = "take it out of one of the two tables".into();
                continue;
            }
            markers.push(Marker { tag, name: Some(*name), plate: table.number("plate"), side: table.number("side") });
        }
    }
    markers
}

fn frame(table: &Record, names: &mut Names) -> Frame {
    let mut one = |key: &str| table.text(key).map(|name| names.number(name));
    let (origin, down, up, left, right) = (one("origin"), one("down"), one("up"), one("left"), one("right"));
    let forward = table.list("forward").map(|list| names.list(list)).unwrap_or_default();
    let normals = table.list("left").map(|list| names.list(list));
    let side = left.map(|p| Side::Point(p, true)).or(right.map(|p| Side::Point(p, false)));
    Frame {
        origin: origin.unwrap_or(0),
        forward: [forward.first().copied().unwrap_or(0), forward.get(1).copied().unwrap_or(0)],
        upright: down.map(|p| (p, true)).or(up.map(|p| (p, false))),
        side: side.or(normals.map(Side::MeanNormal)),
    }
}

fn photos(reader: &mut Reader<'_>, table: &Record) -> Photos {
    let text = |(v, _): &(Value, Range<usize>)| if let Value::Text(t) = v { Some(t.clone()) } else { None };
    let bar = table.table("bar").and_then(|bar| {
        let tags = bar.wholes("between")?;
        let measured = bar.number("measured")?;
        let [a, b] = tags[..] else {
            let problem =
                reader.error("wrong-count", &bar.span_of("between"), &bar.about, format!("{} markers", tags.len()));
            problem.expected = "the numbers of two markers".into();
            problem.hint = "write between = [16, 17]".into();
            return None;
        };
        Some(([a as u32, b as u32], measured))
    });
    Photos {
        files: table.list("files").map(|l| l.iter().filter_map(text).collect()).unwrap_or_default(),
        side: table.number("side").unwrap_or(44.0),
        plate: table.number("plate").unwrap_or(0.0),
        bar,
        spot: reader.source.spot(&table.span),
    }
}

fn place(reader: &mut Reader<'_>, table: &Record, names: &mut Names) -> Place {
    let parts: Vec<Part> = [
        table.whole("port").map(|n| Part::Port(n as u32)),
        table.text("collector").map(|n| Part::Collector(n.to_string())),
        table.text("keepout").map(|n| Part::Keepout(n.to_string())),
    ]
    .into_iter()
    .flatten()
    .collect();
    if parts.len() != 1 && table.bad.is_empty() {
        let message = format!("[[is]] names {} parts of the job", parts.len());
        let problem = reader.error("wrong-count", &table.span, &table.about, message);
        problem.expected = "one of `port`, `collector` and `keepout`".into();
        problem.hint = "write a table [[is]] for each part".into();
    }
    let mut one = |key: &str| table.text(key).map(|name| names.number(name));
    let (at, from, to) = (one("at"), one("from"), one("to"));
    let axis = table.list("axis").map(|list| names.list(list)).and_then(|a| Some([*a.first()?, *a.get(1)?]));
    let scan = table.list("place").map(|list| names.list(list)).and_then(|a| a.try_into().ok());
    let part = parts.into_iter().next().unwrap_or(Part::Port(1));
    Place { part, at, axis, from, to, scan, spot: reader.source.spot(&table.span) }
}
