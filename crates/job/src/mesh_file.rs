//! Mesh keep-outs: the file, its unit, its place.
//!
//! The placing takes three points on the mesh and the three places where they belong. The planes of
//! the two triangles are laid one on the other at their centroids and turned about the normal by the
//! angle that leaves the least squares of distances (the plane case of the orthogonal Procrustes
//! problem): angle = atan2(sum a x b, sum a . b) over the corners counted from the centroids.

use std::sync::Arc;

use geom::mesh::{MeshError, MeshFormat, RawMesh, read};
use geom::{Mesh, Vec3};

use crate::file::read::Reader;
use crate::file::record::{Record, Value};
use crate::suggest::nearest;

/// Brings the mesh files that a job names.
pub trait MeshFiles {
    /// The bytes of a file, by its name as written.
    ///
    /// # Errors
    /// What the system says.
    fn bytes(&self, name: &str) -> std::io::Result<Vec<u8>>;

    /// A mesh of that file that was read earlier, with the same unit and at the same place, `place` says which.
    fn recall(&self, name: &str, place: &str) -> Option<Arc<Mesh>> {
        let _ = (name, place);
        None
    }

    /// Most triangles of all meshes of a job together; a million take 300 MB of memory.
    fn most_triangles(&self) -> usize {
        usize::MAX
    }

    /// Reads and indexes a mesh by calling `index` once. A shop that reads several jobs at a time does so for one mesh after
    /// the other, because each takes much memory.
    fn one_by_one(&self, index: &mut dyn FnMut()) {
        index();
    }

    /// Hears of a mesh that was read, so that it may be recalled.
    fn keep(&self, name: &str, place: &str, mesh: &Arc<Mesh>) {
        let _ = (name, place, mesh);
    }
}

impl<F: Fn(&str) -> std::io::Result<Vec<u8>>> MeshFiles for F {
    fn bytes(&self, name: &str) -> std::io::Result<Vec<u8>> {
        self(name)
    }
}

/// A place without any mesh file.
///
/// # Errors
/// Always: there is none.
pub fn no_mesh_files(_: &str) -> std::io::Result<Vec<u8>> {
    Err(std::io::ErrorKind::NotFound.into())
}

/// Where a job's mesh files come from.
pub type Files<'f> = &'f dyn MeshFiles;

/// Endings of mesh files that are read.
pub const ENDINGS: [&str; 4] = ["stl", "obj", "ply", "glb"];

/// How [`MeshFiles`] calls a mesh in mm that stands in the bay as in its file.
pub const UNPLACED: &str = "as it stands";

/// Corresponding sides of the two triangles may differ by this, mm, or [`SIDE_SHARE`], whichever is more.
const SIDE_MM: f64 = 3.0;
/// See [`SIDE_MM`]. A tape in a bay is no better.
const SIDE_SHARE: f64 = 0.02;

/// The mesh of a keep-out, placed and in mm.
pub fn keepout(reader: &mut Reader<'_>, table: &Record, files: Files<'_>) -> Option<Arc<Mesh>> {
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
    let scale = match table.text("unit") {
        Some("cm") => 10.0,
        Some("m") => 1000.0,
        Some("in") => 25.4,
        _ => 1.0,
    };
    if table.is_bad("unit") || table.is_bad("place") {
        return None;
    }
    let place = match table.list("place") {
        None if scale == 1.0 => UNPLACED.to_string(),
        list => format!("{scale} {:?}", list.map(|l| l.iter().map(|(v, _)| v).collect::<Vec<_>>())),
    };
    let mesh = match files.recall(&name, &place) {
        Some(mesh) => mesh,
        None => {
            let mut made = None;
            files.one_by_one(&mut || made = placed(reader, table, &name, scale, files).map(Arc::new));
            let mesh = made?;
            files.keep(&name, &place, &mesh);
            mesh
        }
    };
    let notes = mesh.report().notes();
    if !notes.is_empty() {
        let message = format!("`{name}` repaired: {}", notes.join("; "));
        let problem = reader.warning("mesh-mended", &span, &table.about, message);
        problem.hint = "look at the scan where gaps are tight, or clean it and save it again".into();
    }
    Some(mesh)
}

/// The mesh of a file, scaled to mm, in its place and indexed.
fn placed(reader: &mut Reader<'_>, table: &Record, name: &str, scale: f64, files: Files<'_>) -> Option<Mesh> {
    let span = table.span_of("file");
    let bytes = match files.bytes(name) {
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
    let format =
        name.rsplit_once('.').and_then(|(_, ending)| MeshFormat::from_extension(&ending.to_ascii_lowercase()))?;
    let raw = match read(&bytes, format).and_then(sound) {
        Ok(raw) => raw,
        Err(error) => return broken(reader, table, name, &error),
    };
    let motion = match table.list("place") {
        Some(list) => Some(placing(reader, table, list, scale)?),
        None => None,
    };
    let mm = raw.mapped(|v| motion.map_or(v * scale, |m| m.apply(v * scale)));
    Mesh::new(mm).map_or_else(|error| broken(reader, table, name, &error), Some)
}

/// A mesh with triangles and only finite corners.
fn sound(raw: RawMesh) -> Result<RawMesh, MeshError> {
    if raw.triangles.is_empty() { Err(MeshError::Empty) } else { Ok(raw) }
}

fn broken(reader: &mut Reader<'_>, table: &Record, name: &str, error: &MeshError) -> Option<Mesh> {
    let code = match error {
        MeshError::Empty | MeshError::AllDegenerate(_) => "mesh-empty",
        MeshError::NotFinite { .. } => "mesh-not-finite",
        MeshError::TooFar { .. } => "mesh-too-far",
        _ => "mesh-unreadable",
    };
    let problem = reader.error(code, &table.span_of("file"), &table.about, format!("`{name}`: {error}"));
    problem.expected = "a mesh of triangles with finite corners".into();
    problem.hint = "clean the mesh and save it again from the scanner or modeller".into();
    None
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
}
