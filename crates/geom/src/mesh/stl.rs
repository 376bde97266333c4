//! STL, text and binary.
//!
//! Text: any number of solids, any case, any line ends. Binary: 80 bytes of header, a count, and 50
//! bytes for each triangle; a header may begin with "solid" all the same, so the length decides.
//! The normals in the file are not used: scans carry wrong ones.

use super::fault::{EXPORT_AGAIN, bad, check_finite, line_of, number, shown};
use super::{MeshError, MeshPlace, RawMesh};
use crate::Vec3;

const HEADER: usize = 84;
const RECORD: usize = 50;

/// How far into the file a text's first facet is looked for.
const LOOK: usize = 4096;

pub(super) fn read(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    if bytes.is_empty() {
        return Err(bad(MeshPlace::Byte(0), "the file is empty", "an STL mesh", EXPORT_AGAIN));
    }
    if is_text(bytes) { Text { bytes, at: 0 }.read() } else { read_binary(bytes) }
}

/// Whether the bytes are the text form.
fn is_text(bytes: &[u8]) -> bool {
    if count(bytes).is_some_and(|n| HEADER + RECORD * n == bytes.len()) {
        return false;
    }
    let start = bytes.iter().position(|b| !b.is_ascii_whitespace()).unwrap_or(0);
    let head = &bytes[start..bytes.len().min(start + LOOK)];
    head.len() >= 5 && head[..5].eq_ignore_ascii_case(b"solid") && !head.contains(&0)
}

/// The count of triangles that a binary file says it has.
fn count(bytes: &[u8]) -> Option<usize> {
    bytes.get(80..HEADER)?.try_into().ok().map(|b| u32::from_le_bytes(b) as usize)
}

fn read_binary(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    let head = &bytes[..bytes.len().min(LOOK)];
    if head.iter().all(|b| b.is_ascii_graphic() || b.is_ascii_whitespace()) {
        let fix = "this is no STL file: check its name";
        return Err(bad(MeshPlace::Line(1), shown(&bytes[..bytes.len().min(8)]), "\"solid\"", fix));
    }
    let end = MeshPlace::Byte(bytes.len());
    let Some(said) = count(bytes) else {
        let found = format!("the file ends after {} bytes", bytes.len());
        return Err(bad(end, found, "a header of 84 bytes, or text that begins with \"solid\"", EXPORT_AGAIN));
    };
    let (data, _) = bytes[HEADER..].as_chunks::<RECORD>();
    let mut hints = Vec::new();
    if said > data.len() {
        let found = format!("the file ends in triangle {} of {said}", data.len() + 1);
        let expected = format!("{} bytes in all", HEADER + RECORD * said);
        return Err(bad(end, found, expected, EXPORT_AGAIN));
    }
    let surplus = bytes.len() - HEADER - RECORD * said;
    if surplus > 0 {
        hints.push(format!("{surplus} bytes after the last of the {said} triangles in the STL file were passed over"));
    }
    let float = |b: &[u8]| f64::from(f32::from_le_bytes([b[0], b[1], b[2], b[3]]));
    let mut vertices = Vec::with_capacity(3 * said);
    for record in &data[..said] {
        for corner in record[12..48].chunks_exact(12) {
            vertices.push(Vec3::new(float(corner), float(&corner[4..]), float(&corner[8..])));
        }
    }
    check_finite(&vertices, |v, axis| MeshPlace::Byte(HEADER + RECORD * (v / 3) + 12 + 12 * (v % 3) + 4 * axis))?;
    Ok(RawMesh { triangles: soup(said), vertices, hints })
}

/// Triangles that share no vertices.
fn soup(count: usize) -> Vec<[u32; 3]> {
    (0..count as u32).map(|t| [3 * t, 3 * t + 1, 3 * t + 2]).collect()
}

/// The words of a text file.
struct Text<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Text<'a> {
    fn read(mut self) -> Result<RawMesh, MeshError> {
        let mut vertices = Vec::new();
        let mut not_finite = (0, 0);
        while let Some(word) = self.word() {
            if !word.eq_ignore_ascii_case(b"solid") {
                return Err(self.unexpected(word, "\"solid\" or the end of the file"));
            }
            self.skip_line();
            self.facets(&mut vertices, &mut not_finite)?;
        }
        if not_finite.0 > 0 {
            return Err(MeshError::NotFinite { count: not_finite.0, first: line_of(self.bytes, not_finite.1) });
        }
        Ok(RawMesh { triangles: soup(vertices.len() / 3), vertices, hints: Vec::new() })
    }

    fn facets(&mut self, vertices: &mut Vec<Vec3>, not_finite: &mut (usize, usize)) -> Result<(), MeshError> {
        loop {
            let word = self.need("\"facet\" or \"endsolid\"")?;
            if word.eq_ignore_ascii_case(b"endsolid") {
                self.skip_line();
                return Ok(());
            }
            if !word.eq_ignore_ascii_case(b"facet") {
                return Err(self.unexpected(word, "\"facet\" or \"endsolid\""));
            }
            self.keyword("normal")?;
            for _ in 0..3 {
                // Not used, and not always a number.
                self.need("a number of the normal")?;
            }
            self.keyword("outer")?;
            self.keyword("loop")?;
            for _ in 0..3 {
                self.keyword("vertex")?;
                let v = Vec3::new(self.number()?, self.number()?, self.number()?);
                if !v.is_finite() {
                    if not_finite.0 == 0 {
                        not_finite.1 = self.at;
                    }
                    not_finite.0 += v.to_array().iter().filter(|c| !c.is_finite()).count();
                }
                vertices.push(v);
            }
            self.keyword("endloop")?;
            self.keyword("endfacet")?;
        }
    }

    fn word(&mut self) -> Option<&'a [u8]> {
        let rest = &self.bytes[self.at..];
        let start = rest.iter().position(|b| !b.is_ascii_whitespace())?;
        let length = rest[start..].iter().position(|b| b.is_ascii_whitespace()).unwrap_or(rest.len() - start);
        self.at += start + length;
        Some(&rest[start..start + length])
    }

    fn need(&mut self, expected: &str) -> Result<&'a [u8], MeshError> {
        let bytes = self.bytes;
        self.word().ok_or_else(|| bad(line_of(bytes, bytes.len()), "the file ends", expected, EXPORT_AGAIN))
    }

    fn keyword(&mut self, keyword: &str) -> Result<(), MeshError> {
        let word = self.need(keyword)?;
        if word.eq_ignore_ascii_case(keyword.as_bytes()) {
            Ok(())
        } else {
            Err(self.unexpected(word, &format!("\"{keyword}\"")))
        }
    }

    fn number(&mut self) -> Result<f64, MeshError> {
        let word = self.need("a number")?;
        number(word, || line_of(self.bytes, self.at))
    }

    fn unexpected(&self, word: &[u8], expected: &str) -> MeshError {
        bad(line_of(self.bytes, self.at), shown(word), expected, EXPORT_AGAIN)
    }

    fn skip_line(&mut self) {
        let rest = &self.bytes[self.at..];
        self.at += rest.iter().position(|&b| b == b'\n').unwrap_or(rest.len());
    }
}
