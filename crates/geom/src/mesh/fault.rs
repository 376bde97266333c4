//! What the readers of mesh files share: errors with a place, and numbers of text files.

use super::{MeshError, MeshPlace};
use crate::Vec3;

/// What to do about a file that broke off or was damaged.
pub(super) const EXPORT_AGAIN: &str = "export or copy the file again";

/// An error at a place of the file.
pub(super) fn bad(
    place: MeshPlace,
    found: impl Into<String>,
    expected: impl Into<String>,
    fix: impl Into<String>,
) -> MeshError {
    MeshError::Bad { place, found: found.into(), expected: expected.into(), fix: fix.into() }
}

/// Refuses vertices that are not finite; `place` gives the place of a vertex's coordinate.
pub(super) fn check_finite(vertices: &[Vec3], place: impl Fn(usize, usize) -> MeshPlace) -> Result<(), MeshError> {
    let Some(v) = vertices.iter().position(|v| !v.is_finite()) else { return Ok(()) };
    let axis = vertices[v].to_array().iter().position(|c| !c.is_finite()).unwrap_or(0);
    let count = vertices.iter().flat_map(|v| v.to_array()).filter(|c| !c.is_finite()).count();
    Err(MeshError::NotFinite { count, first: place(v, axis) })
}

/// The line, from 1, on which byte `at` of a text lies.
pub(super) fn line_of(bytes: &[u8], at: usize) -> MeshPlace {
    MeshPlace::Line(1 + bytes[..at.min(bytes.len())].iter().filter(|&&b| b == b'\n').count())
}

/// A word for an error message: short, and without what a terminal could choke on.
pub(super) fn shown(word: &[u8]) -> String {
    let text = String::from_utf8_lossy(&word[..word.len().min(40)]);
    format!("\"{}\"", text.escape_debug())
}

/// A number of a text file.
pub(super) fn number(word: &[u8], place: impl FnOnce() -> MeshPlace) -> Result<f64, MeshError> {
    match std::str::from_utf8(word).ok().and_then(|w| w.parse().ok()) {
        Some(value) => Ok(value),
        None if word.contains(&b',') => {
            Err(bad(place(), shown(word), "a number", "write numbers with a decimal point, not a comma"))
        }
        None => Err(bad(place(), shown(word), "a number", EXPORT_AGAIN)),
    }
}
