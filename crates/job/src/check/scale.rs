//! Whether the sizes of things fit one another: a mesh or a file in the wrong unit.

use geom::{Mesh, Vec3};

use super::finding::{Finding, show};
use crate::file::job_file::Draft;
use crate::file::read::Reader;
use crate::model::{Shape, Units};

/// A mesh this many times larger than the bay looks as if it were in another unit: a whole car is about 7
/// bays long, and a mesh of 0.4 bays read as inches for millimetres comes to 10.
const LARGE: f64 = 9.0;
/// A mesh this many times smaller looks so too: an engine room of 3 bays read as millimetres for inches comes
/// to an eighth.
const SMALL: f64 = 8.0;
/// A mesh this many times larger or smaller cannot be of this bay: 1000 times is metres for
/// millimetres, 25.4 would still be less than this.
const IMPOSSIBLE: f64 = 60.0;
/// The least extent that a bay is taken to have, mm.
const LEAST_BAY: f64 = 250.0;
/// Ports and collectors further apart than this look as if they were in another unit, mm.
const LARGEST_BAY: f64 = 5_000.0;

/// Checks sizes against one another.
pub fn check(reader: &mut Reader<'_>, draft: &Draft) {
    let job = &draft.job;
    let Some(extent) = bay(draft) else { return };
    let units = reader.units;
    if extent > LARGEST_BAY {
        let (other, word) = if units == Units::Mm { ("in", "inches") } else { ("mm", "millimetres") };
        let span = draft.root.span_of("units");
        Finding {
            code: "large-bay",
            span,
            about: String::new(),
            message: format!("ports and collectors are up to {} apart", show(extent, units)),
            expected: format!("a bay of at most {}", show(LARGEST_BAY, units)),
            hint: format!("are the figures in {word}? then write units = \"{other}\""),
        }
        .warn(reader);
    }
    let bay = extent.max(LEAST_BAY);
    for (keepout, table) in job.keepouts.iter().zip(&draft.keepouts) {
        if let Shape::Mesh(mesh) = &keepout.shape {
            size(reader, table, mesh, bay);
        }
    }
}

/// Whether a mesh so many times as large as the bay is of a usual size.
fn usual(ratio: f64) -> bool {
    (1.0 / SMALL..=LARGE).contains(&ratio)
}

/// Whether the size of a keep-out fits the bay: true for all but meshes in another unit.
pub fn fits(draft: &Draft, shape: &Shape) -> bool {
    let Shape::Mesh(mesh) = shape else { return true };
    match (bay(draft), extent(mesh.vertices().iter().copied())) {
        (Some(bay), Some(size)) => usual(size / bay.max(LEAST_BAY)),
        _ => true,
    }
}

/// Greatest extent of ports and collectors, mm.
fn bay(draft: &Draft) -> Option<f64> {
    let job = &draft.job;
    extent(job.ports.iter().map(|p| p.at).chain(job.collectors.iter().map(|c| c.at)))
}

fn extent(places: impl Iterator<Item = Vec3>) -> Option<f64> {
    let (low, high) = places.fold((Vec3::INFINITY, Vec3::NEG_INFINITY), |(l, h), p| (l.min(p), h.max(p)));
    low.is_finite().then(|| (high - low).length())
}

fn size(reader: &mut Reader<'_>, table: &crate::file::record::Record, mesh: &Mesh, bay: f64) {
    let units = reader.units;
    let Some(extent) = extent(mesh.vertices().iter().copied()) else { return };
    let ratio = extent / bay;
    if usual(ratio) {
        return;
    }
    let stated = table.text("unit");
    let now = stated.unwrap_or("mm");
    let guess = [("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", 25.4)].into_iter().filter(|(u, _)| *u != now).min_by(
        |a, b| {
            let scale = |k: f64| (ratio * k / in_mm(now)).ln().abs();
            scale(a.1).total_cmp(&scale(b.1))
        },
    );
    let off = if ratio > 1.0 {
        format!("{ratio:.0} times as large as")
    } else {
        format!("{:.0} times smaller than", 1.0 / ratio)
    };
    let hint = guess.map_or_else(String::new, |(u, _)| {
        format!("write unit = \"{u}\" if the file is in {}, or unit = \"{now}\" if the size is right", word(u))
    });
    let finding = Finding {
        code: "mesh-unit",
        span: table.span_of("file"),
        about: table.about.clone(),
        message: format!(
            "the mesh is {} long, {off} the bay of {}: it looks as if it were in another unit",
            show(extent, units),
            show(bay, units)
        ),
        expected: "a mesh about as large as the bay".into(),
        hint,
    };
    let certain = !(1.0 / IMPOSSIBLE..=IMPOSSIBLE).contains(&ratio);
    if stated == Some("mm") && !certain { finding.warn(reader) } else { finding.error(reader) }
}

fn word(unit: &str) -> &'static str {
    match unit {
        "cm" => "centimetres",
        "m" => "metres",
        "in" => "inches",
        _ => "millimetres",
    }
}

fn in_mm(unit: &str) -> f64 {
    match unit {
        "cm" => 10.0,
        "m" => 1000.0,
        "in" => 25.4,
        _ => 1.0,
    }
}
