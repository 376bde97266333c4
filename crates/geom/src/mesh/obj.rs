//! Wavefront OBJ: vertices and faces; groups, materials, normals and texture places are passed over.
//!
//! Faces may be polygons and may count vertices backwards from the last one (-1).

use super::fault::{EXPORT_AGAIN, bad, number, shown};
use super::polygon::triangulate;
use super::{MeshError, MeshPlace, RawMesh};
use crate::Vec3;

/// Statements that make surfaces other than faces.
const FREE_FORM: [&[u8]; 5] = [b"cstype", b"curv", b"curv2", b"surf", b"deg"];

pub(super) fn read(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    let mut reader = ObjReader::default();
    let mut joined: Vec<u8> = Vec::new();
    for (i, raw) in bytes.split(|&b| b == b'\n').enumerate() {
        let line = raw.trim_ascii_end();
        if let Some(part) = line.strip_suffix(b"\\") {
            joined.extend_from_slice(part);
            joined.push(b' ');
            continue;
        }
        if joined.is_empty() {
            reader.line(line, i + 1)?;
        } else {
            joined.extend_from_slice(line);
            reader.line(&std::mem::take(&mut joined), i + 1)?;
        }
    }
    if reader.not_finite.0 > 0 {
        let (count, line) = reader.not_finite;
        return Err(MeshError::NotFinite { count, first: MeshPlace::Line(line) });
    }
    Ok(reader.mesh)
}

#[derive(Default)]
struct ObjReader {
    mesh: RawMesh,
    polygon: Vec<u32>,
    /// How many coordinates are not finite, and the line of the first.
    not_finite: (usize, usize),
}

impl ObjReader {
    fn line(&mut self, line: &[u8], n: usize) -> Result<(), MeshError> {
        let mut words = line.split(|b| b.is_ascii_whitespace()).filter(|w| !w.is_empty());
        match words.next() {
            Some(b"v") => self.vertex(words, n),
            Some(b"f") => self.face(words, n),
            Some(word) if FREE_FORM.contains(&word) => Err(bad(
                MeshPlace::Line(n),
                format!("the free-form statement {}", shown(word)),
                "faces (\"f\")",
                "export the surface as a mesh of triangles",
            )),
            Some(word) if word.contains(&0) => {
                Err(bad(MeshPlace::Line(n), "binary data", "the text of an OBJ file", EXPORT_AGAIN))
            }
            _ => Ok(()),
        }
    }

    fn vertex<'a>(&mut self, mut words: impl Iterator<Item = &'a [u8]>, n: usize) -> Result<(), MeshError> {
        let mut v = [0.0; 3];
        for c in &mut v {
            let Some(word) = words.next() else {
                return Err(bad(MeshPlace::Line(n), "too few numbers", "three numbers after \"v\"", EXPORT_AGAIN));
            };
            *c = number(word, || MeshPlace::Line(n))?;
        }
        let wrong = v.iter().filter(|c| !c.is_finite()).count();
        if wrong > 0 && self.not_finite.0 == 0 {
            self.not_finite.1 = n;
        }
        self.not_finite.0 += wrong;
        self.mesh.vertices.push(Vec3::from_array(v));
        Ok(())
    }

    fn face<'a>(&mut self, words: impl Iterator<Item = &'a [u8]>, n: usize) -> Result<(), MeshError> {
        self.polygon.clear();
        let count = self.mesh.vertices.len() as i64;
        for word in words.take_while(|w| w[0] != b'#') {
            let index = word.split(|&b| b == b'/').next().unwrap_or(word);
            let index: i64 = std::str::from_utf8(index)
                .ok()
                .and_then(|w| w.parse().ok())
                .ok_or_else(|| bad(MeshPlace::Line(n), shown(word), "the number of a vertex", EXPORT_AGAIN))?;
            let place = if index < 0 { count.checked_add(index) } else { index.checked_sub(1) };
            let Some(place) = place.filter(|p| (0..count).contains(p)) else {
                let found = format!("vertex {index}");
                let expected = format!("1 to {count} (the vertices so far) or -1 to -{count}");
                return Err(bad(MeshPlace::Line(n), found, expected, EXPORT_AGAIN));
            };
            self.polygon.push(place as u32);
        }
        if self.polygon.len() < 3 {
            let found = format!("a face with {} vertices", self.polygon.len());
            return Err(bad(MeshPlace::Line(n), found, "at least three", EXPORT_AGAIN));
        }
        triangulate(&self.polygon, &self.mesh.vertices, &mut self.mesh.triangles);
        Ok(())
    }
}
