//! Ports, collectors, keep-outs, plugs and tails.

use geom::Vec3;

use crate::catalogue;
use crate::face::MOST_LEAN;
use crate::file::read::Reader;
use crate::file::record::{Record, Value, unit};
use crate::mesh_file::{self, Files};
use crate::model::*;
use crate::suggest::either;

/// Ports and where they stand.
pub fn ports(reader: &mut Reader<'_>, root: &Record) -> (Vec<Port>, Vec<Record>) {
    let mut good = (Vec::new(), Vec::new());
    for table in root.tables("port") {
        default_zero(reader, table, "stub");
        let bolts: Vec<Bolt> = table.tables("bolt").iter().filter_map(|b| bolt(reader, b)).collect();
        if ["stub", "length_in_head", "face", "bolt"].iter().any(|k| table.is_bad(k)) {
            continue;
        }
        let (Some(cylinder), Some(at), Some(axis)) = (table.whole("cylinder"), table.point("at"), table.point("axis"))
        else {
            continue;
        };
        let (axis, face) = (unit(axis), table.point("face").map(unit));
        if face.is_some_and(|face| face.dot(axis) < MOST_LEAN.cos()) {
            let message = "the flow leans more than 45 degrees from `face`";
            let problem = reader.error("face-leans", &table.span_of("face"), &table.about, message);
            problem.expected = "the direction square to the flange face, out of the head".into();
            problem.hint = "turn it round if it points into the head, or measure the face again".into();
            continue;
        }
        good.0.push(Port {
            cylinder: cylinder as u32,
            at,
            axis,
            stub: table.number("stub").unwrap_or(0.0),
            length_in_head: table.number("length_in_head").unwrap_or(0.0),
            face,
            seat: 0.0,
            transition: false,
            bolts,
        });
        good.1.push(table.clone());
    }
    good
}

fn default_zero(reader: &mut Reader<'_>, table: &Record, key: &str) {
    if !table.given(key) && !reader.broken {
        let problem = reader.warning("default", &table.span, &table.about, format!("`{key}` is not given; 0 is taken"));
        problem.hint = format!("add {key} = ... , or {key} = 0.0 when that is meant");
    }
}

fn bolt(reader: &mut Reader<'_>, table: &Record) -> Option<Bolt> {
    match (table.given("thread"), table.given("socket_od")) {
        (true, true) => {
            let problem = reader.error(
                "conflict",
                &table.key_span("socket_od"),
                &table.about,
                "both `thread` and `socket_od` are given",
            );
            problem.expected = "one of the two".into();
            problem.hint = "keep socket_od when it was measured".into();
            return None;
        }
        (false, false) if !reader.broken => {
            let problem =
                reader.error("missing-key", &table.span, &table.about, "a bolt needs `thread` or `socket_od`");
            problem.expected = "thread = \"M8\", or socket_od".into();
            problem.hint = "add thread = \"M8\" or the measured socket_od".into();
            return None;
        }
        _ => {}
    }
    let socket_od = table.number("socket_od").or_else(|| Some(catalogue::socket(table.text("thread")?)?.od))?;
    Some(Bolt { at: table.point("at")?, socket_od, reach: table.number("reach")? })
}

/// A plug.
pub fn plug(table: &Record) -> Option<Plug> {
    Some(Plug {
        at: table.point("at")?,
        axis: unit(table.point("axis")?),
        socket_od: table.number("socket_od")?,
        reach: table.number("reach")?,
    })
}

/// Collectors and where they stand.
pub fn collectors(reader: &mut Reader<'_>, root: &Record) -> (Vec<Collector>, Vec<Record>) {
    let mut good = (Vec::new(), Vec::new());
    for table in root.tables("collector") {
        if let Some(collector) = collector(reader, table) {
            good.0.push(collector);
            good.1.push(table.clone());
        }
    }
    good
}

/// The two whole numbers of an item of `inlet_of`.
fn pair(value: &Value) -> Option<(u32, usize)> {
    let Value::List(list) = value else { return None };
    match &list[..] {
        [(Value::Whole(cylinder), _), (Value::Whole(inlet), _)] => Some((*cylinder as u32, *inlet as usize)),
        _ => None,
    }
}

fn collector(reader: &mut Reader<'_>, table: &Record) -> Option<Collector> {
    let inlets = table.whole("inlets").map(|n| n as usize);
    let up = table.point("axis").and_then(|axis| up(reader, table, unit(axis), inlets));
    let pattern = inlets.and_then(|n| pattern(reader, table, n));
    default_zero(reader, table, "stub");
    if inlets.is_some_and(|n| n > 1) {
        default_zero(reader, table, "gap");
    }
    let may_move = table.table("may_move").map_or(MayMove::default(), |m| MayMove {
        along: m.number("along").unwrap_or(0.0),
        aside: m.number("aside").unwrap_or(0.0),
        roll: m.number("roll").unwrap_or(0.0),
    });
    if table.bad.iter().any(|k| !["name"].contains(k)) {
        return None;
    }
    Some(Collector {
        name: table.text("name")?.to_string(),
        at: table.point("at")?,
        axis: unit(table.point("axis")?),
        up: up?,
        inlets: inlets?,
        groups: if table.text("groups") == Some("twin") { Groups::Twin } else { Groups::None },
        pattern: pattern?,
        gap: table.number("gap").unwrap_or(0.0),
        stub: table.number("stub").unwrap_or(0.0),
        cylinders: table.wholes("cylinders").unwrap_or_default().into_iter().map(|c| c as u32).collect(),
        inlet_of: table.list("inlet_of").unwrap_or_default().iter().filter_map(|(v, _)| pair(v)).collect(),
        rotation: if table.text("rotation") == Some("firing") { Rotation::Firing } else { Rotation::Any },
        feeds: table.text("feeds").map(str::to_string),
        may_move,
        body: None,
    })
}

fn up(reader: &mut Reader<'_>, table: &Record, axis: Vec3, inlets: Option<usize>) -> Option<Vec3> {
    match table.point("up") {
        Some(up) => {
            let across = unit(up).reject_from_normalized(axis);
            if across.length() > 1e-3 {
                return Some(across.normalize());
            }
            let problem =
                reader.error("up-along-axis", &table.span_of("up"), &table.about, "`up` is parallel to `axis`");
            problem.expected = "a direction across the axis".into();
            problem.hint =
                "up says which way inlet 1 of a ring looks; take e.g. [0.0, 0.0, 1.0] when the axis lies flat".into();
            None
        }
        None if table.is_bad("up") => None,
        None => {
            if inlets.is_some_and(|n| n > 1) && !reader.broken {
                let problem = reader.error(
                    "missing-key",
                    &table.span,
                    &table.about,
                    "`up` is missing: the roll of the inlets is not fixed",
                );
                problem.expected = "a direction across the axis".into();
                problem.hint = "add up = [0.0, 0.0, 1.0] (up) or as the inlets stand".into();
                return None;
            }
            Some(geom::any_perpendicular(axis))
        }
    }
}

fn pattern(reader: &mut Reader<'_>, table: &Record, inlets: usize) -> Option<Pattern> {
    let pattern = match table.text("pattern") {
        Some("line") => Pattern::Line,
        Some("triangle") => Pattern::Triangle,
        Some("square") => Pattern::Square,
        Some("ring") => Pattern::Ring,
        _ if table.is_bad("pattern") => return None,
        _ => {
            let (pattern, word) = match inlets {
                1 | 2 => (Pattern::Line, "line"),
                3 => (Pattern::Triangle, "triangle"),
                4 => (Pattern::Square, "square"),
                _ => (Pattern::Ring, "ring"),
            };
            if inlets > 1 && !reader.broken {
                let problem = reader.warning(
                    "default",
                    &table.span,
                    &table.about,
                    format!("no pattern is given; {word} is taken"),
                );
                problem.hint = format!("add pattern = \"{word}\" or what the collector has");
            }
            pattern
        }
    };
    let wanted = match pattern {
        Pattern::Triangle => 3..=3,
        Pattern::Square => 4..=4,
        Pattern::Ring => 2..=24,
        Pattern::Line => 1..=24,
    };
    if wanted.contains(&inlets) {
        return Some(pattern);
    }
    let word = table.text("pattern").unwrap_or("pattern");
    let message = format!("a {word} does not have {inlets} inlet{}", if inlets == 1 { "" } else { "s" });
    let problem = reader.error("pattern-inlets", &table.span_of("pattern"), &table.about, message);
    problem.expected = "square with 4 inlets, triangle with 3, ring with 2 or more, line with any number".into();
    problem.hint = match inlets {
        1 | 2 => "write pattern = \"line\"".into(),
        3 => "write pattern = \"triangle\", or \"line\"".into(),
        4 => "write pattern = \"square\", \"ring\" or \"line\"".into(),
        _ => "write pattern = \"ring\" or \"line\", or correct inlets".into(),
    };
    None
}

/// Tails and where they stand.
pub fn tails(reader: &mut Reader<'_>, root: &Record) -> (Vec<Tail>, Vec<Record>) {
    let mut good = (Vec::new(), Vec::new());
    let one = root.table("tail").filter(|t| ["from", "via", "to"].iter().any(|k| t.given(k)));
    for table in root.tables("tail").iter().chain(one) {
        for key in ["from", "to"] {
            if !table.given(key) && !reader.broken {
                let problem = reader.error(
                    "missing-key",
                    &table.span,
                    &table.about,
                    format!("`{key}` is missing in {}", table.about),
                );
                problem.expected = if key == "from" {
                    "the name of a collector".into()
                } else {
                    "{ at = [...], axis = [...] }".into()
                };
                problem.hint = format!("add `{key} = ...`");
            }
        }
        let Some(end) = table.table("to") else { continue };
        let (Some(from), Some(to), Some(axis)) = (table.text("from"), end.point("at"), end.point("axis")) else {
            continue;
        };
        if table.is_bad("via") {
            continue;
        }
        good.0.push(Tail {
            from: from.to_string(),
            via: table.points("via").unwrap_or_default(),
            to,
            axis: unit(axis),
        });
        good.1.push(table.clone());
    }
    good
}

/// Which keys belong to which shape: those it needs, those it may have.
const SHAPES: [(&str, &[&str], &[&str]); 5] = [
    ("box", &["center", "size"], &["axes"]),
    ("cylinder", &["from", "to", "radius"], &[]),
    ("capsule", &["from", "to", "radius"], &[]),
    ("sphere", &["center", "radius"], &[]),
    ("mesh", &["file"], &["unit", "place"]),
];

/// Keep-outs and where they stand.
pub fn keepouts(reader: &mut Reader<'_>, root: &Record, general: f64, files: Files<'_>) -> (Vec<Keepout>, Vec<Record>) {
    let mut good = (Vec::new(), Vec::new());
    let mut triangles: usize = 0;
    for table in root.tables("keepout") {
        let Some(shape) = table.text("shape") else { continue };
        let fits = fitting_keys(reader, table, shape);
        // Beyond the most that are read, which has been said, no further mesh is.
        let full = shape == "mesh" && triangles > files.most_triangles();
        let built = if fits && !full { shape_of(reader, table, shape, files) } else { None };
        if let Some(Shape::Mesh(mesh)) = &built {
            triangles = triangles.saturating_add(mesh.triangles().len());
            if triangles > files.most_triangles() {
                too_many_triangles(reader, table, files.most_triangles());
                continue;
            }
        }
        if ["clearance", "holds_ports", "name"].iter().any(|k| table.is_bad(k)) {
            continue;
        }
        let (Some(shape), Some(name)) = (built, table.text("name")) else { continue };
        good.0.push(Keepout {
            name: name.to_string(),
            shape,
            clearance: table.number("clearance").unwrap_or(general),
            holds_ports: table.flag("holds_ports").unwrap_or(false),
        });
        good.1.push(table.clone());
    }
    good
}

fn too_many_triangles(reader: &mut Reader<'_>, table: &Record, most: usize) {
    let message = "with this mesh the job has more triangles than are read";
    let problem = reader.error("too-many", &table.span_of("file"), &table.about, message);
    problem.expected = format!("at most {most} in all meshes of a job");
    problem.hint = "thin out the scans in the scanner's or modeller's program".into();
}

/// Reports keys that the shape lacks or does not have.
fn fitting_keys(reader: &mut Reader<'_>, table: &Record, shape: &str) -> bool {
    let Some((_, needs, may)) = SHAPES.iter().find(|(name, ..)| *name == shape) else { return false };
    let mut good = true;
    for key in *needs {
        if !table.given(key) && !reader.broken {
            let doc = table.shape.key(key).map_or("", |k| k.doc);
            let problem = reader.error(
                "missing-key",
                &table.span,
                &table.about,
                format!("`{key}` is missing in {}", table.about),
            );
            problem.expected = format!("a {shape} needs {}", needs.join(", "));
            problem.hint = format!("add `{key} = ...`: {doc}");
            good = false;
        }
        good &= table.fields.contains_key(key);
    }
    let all: Vec<&str> = SHAPES.iter().flat_map(|(_, needs, may)| needs.iter().chain(*may)).copied().collect();
    for key in table.fields.keys().filter(|k| all.contains(k) && !needs.contains(k) && !may.contains(k)) {
        let problem =
            reader.error("key-of-other-shape", &table.key_span(key), &table.about, format!("a {shape} has no `{key}`"));
        let own: Vec<&str> = needs.iter().chain(*may).copied().collect();
        problem.expected = either(&own);
        problem.hint = format!("delete `{key}`, or correct shape");
        good = false;
    }
    good
}

fn shape_of(reader: &mut Reader<'_>, table: &Record, shape: &str, files: Files<'_>) -> Option<Shape> {
    match shape {
        "box" => {
            let size = table.numbers("size")?;
            let axes = box_axes(reader, table)?;
            Some(Shape::Box { center: table.point("center")?, size: Vec3::new(size[0], size[1], size[2]), axes })
        }
        "sphere" => Some(Shape::Sphere { center: table.point("center")?, radius: table.number("radius")? }),
        "mesh" => mesh_file::keepout(reader, table, files).map(Shape::Mesh),
        _ => {
            let (from, to, radius) = (table.point("from")?, table.point("to")?, table.number("radius")?);
            if (to - from).length() < 1e-3 {
                let problem = reader.error(
                    "zero-length",
                    &table.span_of("to"),
                    &table.about,
                    format!("the {shape} has no length: `from` and `to` are the same place"),
                );
                problem.expected = "two different ends".into();
                problem.hint = "measure the other end, or use shape = \"sphere\"".into();
                return None;
            }
            Some(if shape == "cylinder" {
                Shape::Cylinder { from, to, radius }
            } else {
                Shape::Capsule { from, to, radius }
            })
        }
    }
}

/// Axes of a box, made exactly square when they are so to half a degree.
fn box_axes(reader: &mut Reader<'_>, table: &Record) -> Option<[Vec3; 3]> {
    let Some(list) = table.list("axes") else {
        return (!table.is_bad("axes")).then_some([Vec3::X, Vec3::Y, Vec3::Z]);
    };
    let rows: Vec<Vec3> =
        list.iter().filter_map(|(v, _)| if let Value::Point(p) = v { Some(unit(*p)) } else { None }).collect();
    let [x, y, z] = rows[..] else { return None };
    let skew = x.dot(y).abs().max(y.dot(z).abs()).max(z.dot(x).abs());
    if skew > 0.5_f64.to_radians().sin() {
        let angle = 90.0 - skew.asin().to_degrees();
        let problem = reader.error(
            "axes-not-square",
            &table.span_of("axes"),
            &table.about,
            format!("the axes of the box are not at right angles: two of them stand at {angle:.1} degrees"),
        );
        problem.expected = "three directions at right angles to one another".into();
        problem.hint = "give the rows of the box's rotation, or leave axes out for a box along x, y, z".into();
        return None;
    }
    let y = y.reject_from_normalized(x).normalize();
    let across = x.cross(y);
    Some([x, y, if across.dot(z) < 0.0 { -across } else { across }])
}
