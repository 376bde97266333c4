//! Mesh keep-outs: the file, its unit, its place.
//!
//! The placing takes three points on the mesh and the three places where they belong. The planes of
//! the two triangles are laid one on the other at their centroids and turned about the normal by the
//! angle that leaves the least squares of distances (the plane case of the orthogonal Procrustes
//! problem): angle = atan2(sum a x b, sum a . b) over the corners counted from the centroids.

use geom::{Mesh, Vec3};

use crate::file::job_file::Files;
use crate::file::read::Reader;
use crate::file::record::{Record, Value};
use crate::suggest::nearest;

/// Endings of mesh files that are read.
pub const ENDINGS: [&str; 4] = ["stl", "obj", "ply", "glb"];

/// Corresponding sides of the two triangles may differ by this, mm, or [`SIDE_SHARE`], whichever is more.
const SIDE_MM: f64 = 3.0;
/// See [`SIDE_MM`]. A tape in a bay is no better.
const SIDE_SHARE: f64 = 0.02;

/// Reads a mesh from the bytes of a file with that ending, in the file's own unit.
///
/// # Errors
/// What is wrong with it, in words.
pub fn load(bytes: &[u8], ending: &str) -> Result<Mesh, String> {
    match ending {
        "stl" => stl(bytes),
        _ => Err(format!("files ending in .{ending} cannot be read yet")),
    }
}

/// Minimal STL: binary, or ascii with facets of three vertices.
fn stl(bytes: &[u8]) -> Result<Mesh, String> {
    let count = bytes.get(80..84).map(|c| u32::from_le_bytes([c[0], c[1], c[2], c[3]]) as usize);
    if count.is_some_and(|n| n.checked_mul(50).and_then(|b| b.checked_add(84)) == Some(bytes.len())) {
        let mut mesh = Mesh { vertices: Vec::new(), triangles: Vec::new() };
        for facet in bytes[84..].chunks_exact(50) {
            let number = |i: usize| f64::from(f32::from_le_bytes([facet[i], facet[i + 1], facet[i + 2], facet[i + 3]]));
            let from = mesh.vertices.len() as u32;
            mesh.vertices.extend([12, 24, 36].map(|i| Vec3::new(number(i), number(i + 4), number(i + 8))));
            mesh.triangles.push([from, from + 1, from + 2]);
        }
        return Ok(mesh);
    }
    let text = std::str::from_utf8(bytes).map_err(|_| "it is neither a whole binary nor an ascii STL".to_string())?;
    if !text.trim_start().to_ascii_lowercase().starts_with("solid") {
        return Err("it is neither a whole binary nor an ascii STL".into());
    }
    let mut mesh = Mesh { vertices: Vec::new(), triangles: Vec::new() };
    for line in text.lines() {
        let mut words = line.split_whitespace();
        if words.next().is_some_and(|w| w.eq_ignore_ascii_case("vertex")) {
            let numbers: Vec<f64> = words.filter_map(|w| w.parse().ok()).collect();
            let [x, y, z] = numbers[..] else { return Err(format!("`{}` is no vertex", line.trim())) };
            mesh.vertices.push(Vec3::new(x, y, z));
        }
    }
    if !mesh.vertices.len().is_multiple_of(3) {
        return Err("a facet has not three vertices".into());
    }
    mesh.triangles = (0..mesh.vertices.len() as u32 / 3).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
    Ok(mesh)
}

/// The mesh of a keep-out, placed and in mm.
pub fn keepout(reader: &mut Reader<'_>, table: &Record, files: Files<'_>) -> Option<Mesh> {
    let name = table.text("file")?.to_string();
    let span = table.span_of("file");
    let ending = name.rsplit_once('.').map(|(_, e)| e.to_ascii_lowercase()).unwrap_or_default();
    if !ENDINGS.contains(&ending.as_str()) {
        let near = nearest(&ending, ENDINGS);
        let problem =
            reader.error("mesh-ending", &span, &table.about, format!("`{name}` does not end as a mesh file does"));
        problem.expected = "a file ending in .stl, .obj, .ply or .glb".into();
        problem.hint = near.map_or_else(|| "save the scan as STL".into(), |near| format!("is it .{near}?"));
        return None;
    }
    let bytes = match files(&name) {
        Ok(bytes) => bytes,
        Err(error) => {
            let missing = error.kind() == std::io::ErrorKind::NotFound;
            let message = if missing {
                format!("there is no file `{name}`")
            } else {
                format!("`{name}` cannot be read: {error}")
            };
            let problem = reader.error("mesh-missing", &span, &table.about, message);
            problem.expected = "a mesh file in or below the job's folder".into();
            problem.hint = "names are counted from the job's folder; upper and lower case differ".into();
            return None;
        }
    };
    let mut mesh = match load(&bytes, &ending) {
        Ok(mesh) => mesh,
        Err(why) => {
            reader.error("mesh-unreadable", &span, &table.about, format!("`{name}`: {why}")).hint =
                "save it again from the scanner or modeller".into();
            return None;
        }
    };
    if !sound(reader, table, &mesh, &name) {
        return None;
    }
    let scale = match table.text("unit") {
        Some("cm") => 10.0,
        Some("m") => 1000.0,
        Some("in") => 25.4,
        _ => 1.0,
    };
    if table.is_bad("unit") || table.is_bad("place") {
        return None;
    }
    for vertex in &mut mesh.vertices {
        *vertex *= scale;
    }
    if let Some(list) = table.list("place") {
        let move_to = placing(reader, table, list, scale)?;
        for vertex in &mut mesh.vertices {
            *vertex = move_to.apply(*vertex);
        }
    }
    Some(mesh)
}

fn sound(reader: &mut Reader<'_>, table: &Record, mesh: &Mesh, name: &str) -> bool {
    let span = table.span_of("file");
    if mesh.triangles.is_empty() {
        let problem = reader.error("mesh-empty", &span, &table.about, format!("`{name}` has no triangles"));
        problem.expected = "a mesh of at least one triangle".into();
        problem.hint = "save it again from the scanner or modeller, as triangles".into();
        return false;
    }
    let broken = mesh.vertices.iter().filter(|v| !v.is_finite()).count();
    if broken > 0 {
        let of = mesh.vertices.len();
        let problem = reader.error(
            "mesh-not-finite",
            &span,
            &table.about,
            format!("{broken} of the {of} vertices of `{name}` are no finite numbers"),
        );
        problem.expected = "finite coordinates".into();
        problem.hint = "clean the mesh and save it again".into();
        return false;
    }
    true
}

/// A turn and a shift.
#[derive(Debug, Clone, Copy)]
struct Motion {
    from: Vec3,
    to: Vec3,
    rows: [Vec3; 3],
    columns: [Vec3; 3],
}

impl Motion {
    fn apply(&self, p: Vec3) -> Vec3 {
        let d = p - self.from;
        self.to
            + self.columns[0] * d.dot(self.rows[0])
            + self.columns[1] * d.dot(self.rows[1])
            + self.columns[2] * d.dot(self.rows[2])
    }
}

fn placing(
    reader: &mut Reader<'_>,
    table: &Record,
    list: &[(Value, std::ops::Range<usize>)],
    scale: f64,
) -> Option<Motion> {
    let three = |i: usize| -> Option<[Vec3; 3]> {
        let (Value::List(points), _) = list.get(i)? else { return None };
        let points: Vec<Vec3> =
            points.iter().filter_map(|(v, _)| if let Value::Point(p) = v { Some(*p) } else { None }).collect();
        points.try_into().ok()
    };
    let on_mesh = three(0)?.map(|p| p * scale);
    let places = three(1)?;
    let span = table.span_of("place");
    for i in 0..3 {
        let j = (i + 1) % 3;
        let (a, b) = ((on_mesh[j] - on_mesh[i]).length(), (places[j] - places[i]).length());
        if (a - b).abs() > SIDE_MM.max(SIDE_SHARE * b) {
            let message = format!(
                "points {} and {} are {a:.1} mm apart on the mesh and {b:.1} mm where they belong",
                i + 1,
                j + 1
            );
            let problem = reader.error("place-mismatch", &span, &table.about, message);
            problem.expected = format!("the same distance, to {SIDE_MM} mm or 2 %");
            let ratio = b / a.max(1e-9);
            problem.hint = match [(25.4, "in"), (10.0, "cm"), (1000.0, "m")]
                .iter()
                .find(|(k, _)| (ratio / k - 1.0).abs() < 0.05)
            {
                Some((_, unit)) => format!("is the mesh in another unit? write unit = \"{unit}\""),
                None => "measure the three points again, and check their order".into(),
            };
            return None;
        }
    }
    let motion = laid_on(on_mesh, places);
    if motion.is_none() {
        let problem = reader.error(
            "place-in-line",
            &span,
            &table.about,
            "the three points lie on one line: the turn about it is not fixed",
        );
        problem.expected = "three points that form a triangle".into();
        problem.hint = "choose a third point well off the line of the first two".into();
    }
    motion
}

/// The motion that lays triangle `a` on triangle `b`; `None` when either is a line.
fn laid_on(a: [Vec3; 3], b: [Vec3; 3]) -> Option<Motion> {
    let centre = |t: [Vec3; 3]| (t[0] + t[1] + t[2]) / 3.0;
    let normal = |t: [Vec3; 3]| {
        let cross = (t[1] - t[0]).cross(t[2] - t[0]);
        let longest = (t[1] - t[0]).length().max((t[2] - t[0]).length());
        (cross.length() > 0.02 * longest * longest).then(|| cross.normalize())
    };
    let (ca, cb, na, nb) = (centre(a), centre(b), normal(a)?, normal(b)?);
    let (xa, xb) = ((a[0] - ca).try_normalize()?, (b[0] - cb).try_normalize()?);
    let (ya, yb) = (na.cross(xa), nb.cross(xb));
    let (mut dot, mut cross) = (0.0, 0.0);
    for i in 0..3 {
        let (da, db) = (a[i] - ca, b[i] - cb);
        let (pa, pb) = ((da.dot(xa), da.dot(ya)), (db.dot(xb), db.dot(yb)));
        dot += pa.0 * pb.0 + pa.1 * pb.1;
        cross += pa.0 * pb.1 - pa.1 * pb.0;
    }
    let (sin, cos) = cross.atan2(dot).sin_cos();
    Some(Motion { from: ca, to: cb, rows: [xa, ya, na], columns: [xb * cos + yb * sin, yb * cos - xb * sin, nb] })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_triangle_is_laid_on_its_own_image() {
        let a = [Vec3::new(0.0, 0.0, 0.0), Vec3::new(100.0, 0.0, 0.0), Vec3::new(0.0, 50.0, 0.0)];
        // Turned by 90 degrees about z, then shifted.
        let turn = |p: Vec3| Vec3::new(-p.y + 10.0, p.x + 20.0, p.z + 30.0);
        let motion = laid_on(a, a.map(turn)).unwrap();
        for p in [a[0], a[1], a[2], Vec3::new(3.0, -7.0, 11.0)] {
            assert!((motion.apply(p) - turn(p)).length() < 1e-9);
        }
        assert!(laid_on([Vec3::ZERO, Vec3::X, Vec3::X * 2.0], a).is_none());
    }

    #[test]
    fn both_kinds_of_stl_are_read() {
        let ascii = b"solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid a\n";
        assert_eq!(load(ascii, "stl").unwrap().triangles.len(), 1);
        let mut binary = vec![0u8; 84 + 50];
        binary[80] = 1;
        binary[84 + 12..84 + 16].copy_from_slice(&2.5f32.to_le_bytes());
        assert_eq!(load(&binary, "stl").unwrap().vertices[0].x, 2.5);
        assert!(load(b"hello", "stl").is_err());
    }
}
