//! Tubes and targets for lengths.

use crate::catalogue::nominal_of;
use crate::file::read::Reader;
use crate::file::record::Record;
use crate::model::{LengthTarget, Objective, RunSpec, Tube};

/// The material when none is named.
const PLAIN_MATERIAL: &str = "low-carbon";

/// Requirements of primaries, secondaries and tails.
pub fn run_specs(reader: &mut Reader<'_>, root: &Record) -> (RunSpec, RunSpec, RunSpec) {
    // Stands in where the tube is missing or bad, which is an error in itself.
    let unknown = Tube { od: 40.0, wall: 1.5, material: PLAIN_MATERIAL.to_string(), nominal: None };
    let tube = root.table("tube").and_then(|t| tube(reader, t, None)).unwrap_or(unknown);
    if !root.given("tube") && !reader.broken {
        let problem = reader.error("missing-key", &root.span, "", "the table [tube] is missing");
        problem.expected = "[tube] with od and wall, or size".into();
        problem.hint = "add the tube of the primaries: [tube], od = 44.45, wall = 1.65, material = \"304L\"".into();
    }
    let nothing = LengthTarget { target: None, tolerance: f64::INFINITY, objective: Objective::Even };
    let length = root.table("length").map_or(nothing, |t| wanted(reader, t, nothing));
    let primary = RunSpec { tube, length };
    let secondary =
        root.table("secondary").map_or_else(|| own(&primary, nothing), |t| spec(reader, t, &primary, nothing));
    let tail = tail_spec(reader, root, &primary, nothing);
    (primary, secondary, tail)
}

/// The tube of the primaries, but not the target for their lengths.
fn own(primary: &RunSpec, length: LengthTarget) -> RunSpec {
    RunSpec { tube: primary.tube.clone(), length }
}

fn spec(reader: &mut Reader<'_>, table: &Record, primary: &RunSpec, nothing: LengthTarget) -> RunSpec {
    RunSpec {
        tube: table
            .table("tube")
            .and_then(|t| tube(reader, t, Some(&primary.tube)))
            .unwrap_or_else(|| primary.tube.clone()),
        length: table.table("length").map_or(nothing, |t| wanted(reader, t, nothing)),
    }
}

/// `[tail.tube]` may stand under each `[[tail]]` or alone; all tails are of one tube.
fn tail_spec(reader: &mut Reader<'_>, root: &Record, primary: &RunSpec, nothing: LengthTarget) -> RunSpec {
    if let Some(table) = root.table("tail") {
        return spec(reader, table, primary, nothing);
    }
    let mut found: Option<RunSpec> = None;
    for table in root.tables("tail") {
        if !table.given("tube") && !table.given("length") {
            continue;
        }
        let this = spec(reader, table, primary, nothing);
        match &found {
            None => found = Some(this),
            Some(first) if first.tube == this.tube && first.length == this.length => {}
            Some(_) => {
                let key = if table.given("tube") { "tube" } else { "length" };
                let problem = reader.error(
                    "conflict",
                    &table.key_span(key),
                    &table.about,
                    "the tails are of different tubes or lengths",
                );
                problem.expected = "one [tail.tube] and one [tail.length] for all tails".into();
                problem.hint = "make them equal, or make a job of its own for the other tail".into();
            }
        }
    }
    found.unwrap_or_else(|| own(primary, nothing))
}

/// A tube from `od` and `wall` or `size`; what is not said is as in `base`.
pub fn tube(reader: &mut Reader<'_>, table: &Record, base: Option<&Tube>) -> Option<Tube> {
    let (od, wall, nominal) = outline(reader, table, base.map(|b| (b.od, b.wall)))?;
    let material = match table.text("material") {
        Some(name) => name.to_string(),
        None => match base {
            Some(base) => base.material.clone(),
            None => {
                if !table.is_bad("material") && !reader.broken {
                    let problem = reader.warning(
                        "default",
                        &table.span,
                        &table.about,
                        "no material is named; low-carbon steel is taken",
                    );
                    problem.hint = "add material = \"low-carbon\", \"304L\" or another of the catalogue".into();
                }
                PLAIN_MATERIAL.to_string()
            }
        },
    };
    Some(Tube { od, wall, material, nominal })
}

/// Outside diameter, wall and nominal size of whatever has `od`, `wall` and `size`.
pub fn outline(reader: &mut Reader<'_>, table: &Record, base: Option<(f64, f64)>) -> Option<(f64, f64, Option<f64>)> {
    let both = table.given("size") && (table.given("od") || table.given("wall"));
    if both {
        let other = if table.given("od") { "od" } else { "wall" };
        let problem = reader.error(
            "conflict",
            &table.key_span("size"),
            &table.about,
            format!("both `size` and `{other}` are given"),
        );
        problem.expected = "either size, or od and wall".into();
        problem.hint = format!("delete one of the two; size = {} already says both", crate::quantity::SIZE_FORMS);
        return None;
    }
    if let Some(size) = table.size("size") {
        return sound(reader, table, "size", size.od, size.wall).then_some((size.od, size.wall, size.nominal));
    }
    if ["size", "od", "wall"].iter().any(|k| table.is_bad(k)) {
        return None;
    }
    let (od, wall) = (table.number("od").or(base.map(|b| b.0)), table.number("wall").or(base.map(|b| b.1)));
    if let (Some(od), Some(wall)) = (od, wall) {
        let key = if table.given("wall") { "wall" } else { "od" };
        return sound(reader, table, key, od, wall).then(|| (od, wall, nominal_of(od)));
    }
    if !reader.broken {
        let missing = if od.is_none() && wall.is_none() {
            "`od` and `wall`"
        } else if od.is_none() {
            "`od`"
        } else {
            "`wall`"
        };
        let whole = if table.about.is_empty() { table.shape.title.to_string() } else { table.about.clone() };
        let problem = reader.error("missing-key", &table.span, &table.about, format!("{missing} missing in {whole}"));
        problem.expected = "od and wall, or size".into();
        problem.hint = format!("add size = {}", crate::quantity::SIZE_FORMS);
    }
    None
}

fn sound(reader: &mut Reader<'_>, table: &Record, key: &str, od: f64, wall: f64) -> bool {
    let units = reader.units;
    if !(4.0..=400.0).contains(&od) || !(0.2..=20.0).contains(&wall) {
        let problem = reader.error(
            "out-of-range",
            &table.span_of(key),
            &table.about,
            format!("a tube of {:.2} x {:.2} mm is none that is made", od, wall),
        );
        problem.expected = "an outside diameter of 4 to 400 mm and a wall of 0.2 to 20 mm".into();
        problem.hint = "check the unit".into();
        return false;
    }
    if wall >= 0.5 * od {
        let shown =
            |v: f64| format!("{:.3}", v / units.in_mm()).trim_end_matches('0').trim_end_matches('.').to_string();
        let message = format!("a wall of {} leaves no bore in a tube of {} outside", shown(wall), shown(od));
        let problem = reader.error("wall-too-thick", &table.span_of(key), &table.about, message);
        problem.expected = format!("a wall below {}", shown(0.5 * od));
        problem.hint = "check wall and od, and their unit".into();
        return false;
    }
    if wall > 0.2 * od && (table.given("wall") || table.given("size")) {
        let problem = reader.warning(
            "thick-wall",
            &table.span_of(key),
            &table.about,
            format!("a wall of {wall:.2} mm is thick for a tube of {od:.2} mm"),
        );
        problem.hint = "check wall and od, and their unit".into();
    }
    true
}

fn wanted(reader: &mut Reader<'_>, table: &Record, nothing: LengthTarget) -> LengthTarget {
    let target = table.number("target");
    if target.is_some() && !table.given("tolerance") && !reader.broken {
        let problem = reader.error(
            "missing-key",
            &table.key_span("target"),
            &table.about,
            "`target` is given without `tolerance`",
        );
        problem.expected = "`tolerance`: how far each run may be off".into();
        problem.hint = "add tolerance = 3.0 (mm) or what the job needs".into();
    }
    let tolerance = table.number("tolerance").unwrap_or(nothing.tolerance);
    if let Some(target) = target
        && tolerance.is_finite()
        && tolerance >= target
    {
        let problem = reader.warning(
            "wide-tolerance",
            &table.span_of("tolerance"),
            &table.about,
            "the tolerance is as great as the target",
        );
        problem.hint = "check the two".into();
    }
    let objective = match table.text("objective") {
        Some("compact") => Objective::Compact,
        _ => Objective::Even,
    };
    LengthTarget { target, tolerance, objective }
}
