//! What is drawn at full size beyond what routing needs: `flange.toml` and `templates.toml`.

use super::describe::{Key, Range, TableShape, ValueKind, above, may, must, range};
use super::flange_checks::{check_collector, check_flange, meets};
use super::own_file::opened;
use super::read::Reader;
use super::record::{Record, Value};
use super::tables::{CLR, OD};
use crate::details::{
    BendDetail, CollectorDetail, CollectorStyle, CopeDetail, Details, EntryDetail, FlangeDetail, MitreDetail,
    OpeningShape,
};
use crate::model::Job;
use crate::problem::Problem;

/// The version of the format.
pub(super) const FORMAT: Key = may("format", ValueKind::Whole(1, 1), "Version of this format.");
/// The unit of bare numbers.
pub(super) const UNITS: Key = may("units", ValueKind::Choice(&["mm", "in"]), "Unit of bare numbers that are lengths.");

const SIZE: Range = above(0.0, 2000.0);

/// Flanges and collectors: no engine has more than 24 cylinders.
const MOST_FLANGES: usize = 64;
/// Holes of one flange beside the job's bolts.
const MOST_HOLES: usize = 200;
/// Copes and mitred bends, each with a drawing at full size.
const MOST_DRAWN: usize = 100;

/// flange.toml.
pub static FLANGES: TableShape = TableShape {
    title: "the flanges",
    doc: "The flanges of the ports, as they are cut from plate.",
    keys: &[FORMAT, UNITS, must("flange", ValueKind::Tables(&FLANGE, MOST_FLANGES), "A flange of one or more ports.")],
};

static FLANGE: TableShape = TableShape {
    title: "[[flange]]",
    doc: "A flange of one or more ports.",
    keys: &[
        must("name", ValueKind::Text, "Name of the flange in files and on sheets."),
        must("cylinders", ValueKind::WholeList(1, 24), "The cylinders whose ports it holds."),
        may("thickness", ValueKind::Length(above(0.0, 50.0)), "Thickness of the plate; 10 mm by default."),
        may("rim", ValueKind::Length(above(0.0, 100.0)), "Metal around openings and holes; 8 mm by default."),
        may(
            "shape",
            ValueKind::Choice(&["round", "oval", "rectangular", "D"]),
            "Shape of its openings; round by default.",
        ),
        may("diameter", ValueKind::Length(SIZE), "Of a round or D opening; the tube's outside by default."),
        may("width", ValueKind::Length(SIZE), "Of an oval or rectangular opening, across."),
        may("height", ValueKind::Length(SIZE), "Of an oval or rectangular opening, up."),
        may("corner", ValueKind::Length(range(0.0, 500.0)), "Radius of a rectangular opening's corners; 0 by default."),
        may("flat", ValueKind::Length(range(0.0, 500.0)), "Of a D opening, from the circle's centre to the flat."),
        may(
            "turn",
            ValueKind::Angle(range(-360.0, 360.0)),
            "How far the openings are turned, counter-clockwise seen along the flow.",
        ),
        may(
            "meets",
            ValueKind::Choice(&["butt", "through", "pocket"]),
            "Where tubes end: on the plate's outer face, at the port face, or on the floor of a pocket in the outer face.",
        ),
        may("pocket", ValueKind::Length(above(0.0, 50.0)), "Depth of the pocket."),
        may(
            "transition",
            ValueKind::Length(above(0.0, 500.0)),
            "Length along the flow of a sheet transition from the opening to the tube.",
        ),
        may(
            "bolt_hole",
            ValueKind::Length(above(0.0, 60.0)),
            "Diameter of the holes for the job's bolts; by their sockets by default.",
        ),
        may("hole", ValueKind::Tables(&HOLE, MOST_HOLES), "A hole that is no bolt of the job."),
    ],
};

static HOLE: TableShape = TableShape {
    title: "[[flange.hole]]",
    doc: "A hole that is no bolt of the job.",
    keys: &[
        must("at", ValueKind::Point, "Its centre at the flange face, in the job's axes."),
        must("diameter", ValueKind::Length(above(0.0, 200.0)), "Its diameter."),
    ],
};

/// templates.toml.
pub static TEMPLATES: TableShape = TableShape {
    title: "the templates",
    doc: "Collectors, copes and mitred bends to be drawn at full size.",
    keys: &[
        FORMAT,
        UNITS,
        may("collector", ValueKind::Tables(&COLLECTOR, MOST_FLANGES), "How a collector of the job is made."),
        may("cope", ValueKind::Tables(&COPE, MOST_DRAWN), "A tube that ends on the side of another."),
        may("mitre", ValueKind::Tables(&MITRE, MOST_DRAWN), "A bend of straight segments."),
    ],
};

static COLLECTOR: TableShape = TableShape {
    title: "[[collector]]",
    doc: "How a collector of the job is made.",
    keys: &[
        must("name", ValueKind::Text, "The collector's name in the job."),
        may(
            "style",
            ValueKind::Choice(&["merge", "slip"]),
            "merge: tubes cut where they meet; slip: sleeves; merge by default.",
        ),
        may(
            "lean",
            ValueKind::Angle(range(1.0, 45.0)),
            "How far each tube of a merge leans inward; 7.5 degrees by default.",
        ),
        may(
            "outlet_od",
            ValueKind::Length(OD),
            "Outside diameter of the outlet; twice the area of one tube by default.",
        ),
        may("wall", ValueKind::Wall(range(0.2, 20.0)), "Wall of the sheet; the tube's by default."),
        may("cone_to", ValueKind::Length(OD), "Outside diameter after the outlet cone."),
        may("cone_length", ValueKind::Length(SIZE), "Length of the outlet cone; 100 mm by default."),
        may(
            "clearance",
            ValueKind::Length(above(0.0, 10.0)),
            "Diametral clearance of a slip joint; 0.5 mm by default.",
        ),
        may(
            "insertion",
            ValueKind::Length(SIZE),
            "How far tubes slide in; the tube's diameter, at least 25 mm by default.",
        ),
        may("body", ValueKind::Length(SIZE), "Length of a slip collector's body; 120 mm by default."),
        may(
            "entry",
            ValueKind::Table(&ENTRY),
            "The two openings of a twin entry; as wide as the tubes' bores by default.",
        ),
        may("hole", ValueKind::Tables(&ENTRY_HOLE, MOST_HOLES), "A hole of a twin entry's flange."),
    ],
};

static ENTRY: TableShape = TableShape {
    title: "[collector.entry]",
    doc: "The two openings of a twin entry, on either side of a bar.",
    keys: &[
        must("width", ValueKind::Length(SIZE), "Of each opening, along the bar."),
        must("height", ValueKind::Length(SIZE), "Of each opening, across the bar."),
        may("corner", ValueKind::Length(range(0.0, 500.0)), "Radius of the openings' corners; 0 by default."),
        must("divider", ValueKind::Length(above(0.0, 100.0)), "Thickness of the bar."),
    ],
};

static ENTRY_HOLE: TableShape = TableShape {
    title: "[[collector.hole]]",
    doc: "A hole of a twin entry's flange.",
    keys: &[
        must(
            "at",
            ValueKind::Lengths(2, range(-500.0, 500.0)),
            "Right of and above the collector's axis, seen along the flow.",
        ),
        must("diameter", ValueKind::Length(above(0.0, 200.0)), "Its diameter."),
    ],
};

static COPE: TableShape = TableShape {
    title: "[[cope]]",
    doc: "A tube that ends on the side of another, straight or bent.",
    keys: &[
        must("name", ValueKind::Text, "Name of the template."),
        must("branch_od", ValueKind::Length(OD), "Outside diameter of the tube that is coped."),
        must("run_od", ValueKind::Length(OD), "Outside diameter of the tube it sits on."),
        may(
            "angle",
            ValueKind::Angle(range(10.0, 170.0)),
            "Angle between the axes; 90 degrees by default. On a bend above 90 degrees it leans to its start.",
        ),
        may(
            "offset",
            ValueKind::Length(range(-400.0, 400.0)),
            "How far the axes pass one another; 0 by default; not on a bend.",
        ),
        may("bend", ValueKind::Table(&BEND), "The bend it sits on."),
    ],
};

static BEND: TableShape = TableShape {
    title: "[cope.bend]",
    doc: "The bend that a cope sits on.",
    keys: &[
        must("clr", ValueKind::Length(CLR), "Its centreline radius."),
        must("angle", ValueKind::Angle(above(0.0, 200.0)), "Its angle."),
        must("at", ValueKind::Angle(range(0.0, 200.0)), "Where on it the branch stands, from its first tangent line."),
        may(
            "out",
            ValueKind::Angle(range(-360.0, 360.0)),
            "Way around the tube that the branch leaves, from the outside of the bend; 0 by default.",
        ),
    ],
};

static MITRE: TableShape = TableShape {
    title: "[[mitre]]",
    doc: "A bend of straight segments, for a size that can't be bought bent.",
    keys: &[
        must("name", ValueKind::Text, "Name of the template."),
        must("od", ValueKind::Length(OD), "Outside diameter of the tube."),
        must("clr", ValueKind::Length(CLR), "Radius of the circle that the segments' axes touch."),
        must("angle", ValueKind::Angle(above(0.0, 180.0)), "Angle of the bend."),
        must("segments", ValueKind::Whole(2, 60), "Number of segments, the two ends counted."),
        may("legs", ValueKind::Lengths(2, range(0.0, 2000.0)), "Straights at its ends; none by default."),
    ],
};

/// Reads the bytes of flange.toml; its flanges are held against the `job` where there is one.
pub fn read_flanges(name: &str, bytes: &[u8], job: Option<&Job>) -> (Option<Vec<FlangeDetail>>, Vec<Problem>) {
    let checked = |reader: &mut Reader<'_>, table: &Record| {
        let detail = flange(reader, table);
        if let Some(job) = job {
            check_flange(reader, table, &detail, job);
        }
        detail
    };
    opened(name, bytes, &FLANGES, |reader, record| record.tables("flange").iter().map(|t| checked(reader, t)).collect())
}

fn flange(reader: &mut Reader<'_>, table: &Record) -> FlangeDetail {
    let length = |key: &str, usual: f64| table.number(key).unwrap_or(usual);
    let whole = |v: &Value| if let Value::Whole(n) = v { u32::try_from(*n).ok() } else { None };
    let cylinders = table.list("cylinders").unwrap_or_default().iter().filter_map(|(v, _)| whole(v)).collect();
    let hole = |h: &Record| Some((h.point("at")?, h.number("diameter")?));
    let usual = FlangeDetail::usual(table.text("name").unwrap_or_default(), cylinders);
    let thickness = length("thickness", usual.thickness);
    FlangeDetail {
        thickness,
        meets: meets(reader, table, thickness),
        transition: table.number("transition"),
        rim: length("rim", usual.rim),
        opening: opening(reader, table),
        turn: length("turn", usual.turn),
        bolt_hole: table.number("bolt_hole"),
        holes: table.tables("hole").iter().filter_map(hole).collect(),
        ..usual
    }
}

/// The opening, every size that its shape needs being there and none that it has not.
fn opening(reader: &mut Reader<'_>, table: &Record) -> Option<OpeningShape> {
    let shape = table.text("shape").unwrap_or("round");
    let (needs, takes): (&[&str], &[&str]) = match shape {
        "oval" => (&["width", "height"], &[]),
        "rectangular" => (&["width", "height"], &["corner"]),
        "D" => (&["diameter", "flat"], &[]),
        _ => (&[], &["diameter"]),
    };
    for key in ["diameter", "width", "height", "corner", "flat"] {
        let (needed, taken) = (needs.contains(&key), needs.contains(&key) || takes.contains(&key));
        if table.given(key) && !taken {
            let problem = reader.error(
                "misplaced-key",
                &table.key_span(key),
                &table.about,
                format!("a {shape} opening has no `{key}`"),
            );
            problem.expected = "only the sizes of its shape".into();
            problem.hint = format!("delete `{key}`, or name the shape that has it");
        } else if needed && !table.given(key) {
            let problem =
                reader.error("missing-key", &table.span, &table.about, format!("a {shape} opening needs `{key}`"));
            problem.expected = format!("`{key}`: a length");
            problem.hint = format!("add `{key} = ...`");
        }
    }
    let number = |key: &str| table.number(key);
    Some(match shape {
        "oval" => OpeningShape::Oval { width: number("width")?, height: number("height")? },
        "rectangular" => OpeningShape::Rectangular {
            width: number("width")?,
            height: number("height")?,
            corner: number("corner").unwrap_or(0.0),
        },
        "D" => OpeningShape::D { diameter: number("diameter")?, flat: number("flat")? },
        _ => OpeningShape::Round { diameter: number("diameter")? },
    })
}

/// Reads the bytes of templates.toml, held against the `job` where there is one; flanges stay empty.
pub fn read_templates(name: &str, bytes: &[u8], job: Option<&Job>) -> (Option<Details>, Vec<Problem>) {
    opened(name, bytes, &TEMPLATES, |reader, record| {
        if let Some(job) = job {
            record.tables("collector").iter().for_each(|t| check_collector(reader, t, job));
        }
        Details {
            flanges: Vec::new(),
            collectors: record.tables("collector").iter().map(collector).collect(),
            copes: record.tables("cope").iter().map(cope).collect(),
            mitres: record.tables("mitre").iter().map(mitre).collect(),
        }
    })
}

fn collector(table: &Record) -> CollectorDetail {
    let usual = CollectorDetail::usual(table.text("name").unwrap_or_default());
    let length = |key: &str, usual: f64| table.number(key).unwrap_or(usual);
    CollectorDetail {
        style: if table.text("style") == Some("slip") { CollectorStyle::Slip } else { CollectorStyle::Merge },
        lean: length("lean", usual.lean),
        outlet_od: table.number("outlet_od"),
        wall: table.number("wall"),
        cone_to: table.number("cone_to"),
        cone_length: length("cone_length", usual.cone_length),
        clearance: length("clearance", usual.clearance),
        insertion: table.number("insertion"),
        body: length("body", usual.body),
        entry: table.table("entry").and_then(entry),
        holes: table.tables("hole").iter().filter_map(entry_hole).collect(),
        ..usual
    }
}

fn entry(table: &Record) -> Option<EntryDetail> {
    let number = |key: &str| table.number(key);
    let corner = number("corner").unwrap_or(0.0);
    Some(EntryDetail { width: number("width")?, height: number("height")?, corner, divider: number("divider")? })
}

fn entry_hole(table: &Record) -> Option<([f64; 2], f64)> {
    let at = table.numbers("at")?;
    Some(([*at.first()?, *at.get(1)?], table.number("diameter")?))
}

fn cope(table: &Record) -> CopeDetail {
    let number = |key: &str| table.number(key).unwrap_or(0.0);
    let bend = |b: &Record| {
        let number = |key: &str| b.number(key).unwrap_or(0.0);
        BendDetail { clr: number("clr"), angle: number("angle"), at: number("at"), out: number("out") }
    };
    CopeDetail {
        name: table.text("name").unwrap_or_default().into(),
        branch_od: number("branch_od"),
        run_od: number("run_od"),
        angle: table.number("angle").unwrap_or(std::f64::consts::FRAC_PI_2),
        offset: number("offset"),
        bend: table.table("bend").map(bend),
    }
}

fn mitre(table: &Record) -> MitreDetail {
    let number = |key: &str| table.number(key).unwrap_or(0.0);
    let legs = table.numbers("legs").unwrap_or_default();
    MitreDetail {
        name: table.text("name").unwrap_or_default().into(),
        od: number("od"),
        clr: number("clr"),
        angle: number("angle"),
        segments: table.whole("segments").and_then(|n| usize::try_from(n).ok()).unwrap_or(2),
        legs: [legs.first().copied().unwrap_or(0.0), legs.get(1).copied().unwrap_or(0.0)],
    }
}

/// The keys of both files, for the check that the manual names all of them.
pub fn keys() -> Vec<&'static Key> {
    let all = [&FLANGES, &FLANGE, &HOLE, &TEMPLATES, &COLLECTOR, &ENTRY, &ENTRY_HOLE, &COPE, &BEND, &MITRE];
    all.iter().flat_map(|t| t.keys).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flanges_are_read_strictly() {
        let text = "format = 1\nunits = \"mm\"\n[[flange]]\nname = \"head\"\ncylinders = [1, 2]\nshape = \"oval\"\nwidth = 46\nheight = 34\n";
        let (flanges, problems) = read_flanges("flange.toml", text.as_bytes(), None);
        assert!(problems.is_empty(), "{problems:?}");
        assert_eq!(flanges.unwrap()[0].opening, Some(OpeningShape::Oval { width: 46.0, height: 34.0 }));
        let (none, problems) = read_flanges("flange.toml", text.replace("height", "flat").as_bytes(), None);
        let said: String = problems.iter().map(ToString::to_string).collect();
        assert!(none.is_none() && said.contains("needs `height`") && said.contains("no `flat`"), "{said}");
    }

    #[test]
    fn templates_are_read_strictly() {
        let text = "format = 1\nunits = \"in\"\n[[collector]]\nname = \"main\"\noutlet_od = 3\n\
                    entry = { width = 2, height = 1, divider = 0.25 }\nhole = [{ at = [-1.5, 1], diameter = 0.5 }]\n[[cope]]\nname = \"c\"\nbranch_od = 1.5\nrun_od = 1.75\n\
                    bend = { clr = 3, angle = 90, at = 45 }\n[[mitre]]\nname = \"m\"\nod = 3\nclr = 4.5\nangle = 90\nsegments = 4\n";
        let (details, problems) = read_templates("templates.toml", text.as_bytes(), None);
        assert!(problems.is_empty(), "{problems:?}");
        let details = details.unwrap();
        assert_eq!((details.collectors[0].outlet_od, details.mitres[0].segments), (Some(76.2), 4));
        let entry = EntryDetail { width: 50.8, height: 25.4, corner: 0.0, divider: 6.35 };
        assert_eq!(details.collectors[0].entry, Some(entry));
        let [([x, y], diameter)] = details.collectors[0].holes[..] else { panic!("one hole") };
        assert!((x + 38.1).abs() < 1e-9 && (y - 25.4).abs() < 1e-9 && (diameter - 12.7).abs() < 1e-9);
        assert!((details.copes[0].bend.unwrap().clr - 76.2).abs() < 1e-9);
        let (none, problems) =
            read_templates("templates.toml", text.replace("segments = 4", "segments = 1").as_bytes(), None);
        assert!(none.is_none() && problems.len() == 1);
    }
}
