//! Why there is no mesh, and what the readers of mesh files share: errors with a place, and numbers of text files.

use crate::Vec3;

/// A place in a mesh or its file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeshPlace {
    /// A line of a text file, from 1.
    Line(usize),
    /// A byte of a binary file, from 0.
    Byte(usize),
    /// A vertex, from 1.
    Vertex(usize),
}

impl std::fmt::Display for MeshPlace {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            MeshPlace::Line(n) => write!(f, "line {n}"),
            MeshPlace::Byte(n) => write!(f, "byte {n}"),
            MeshPlace::Vertex(n) => write!(f, "vertex {n}"),
        }
    }
}

/// Why there is no mesh.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeshError {
    /// No triangle at all.
    #[error("the mesh holds no triangle; export it again with its surface as triangles")]
    Empty,
    /// Nothing left once triangles without area are dropped.
    #[error("all {0} triangles of the mesh are degenerate (no area); export it again, perhaps with more digits")]
    AllDegenerate(usize),
    /// Vertices that are no numbers.
    #[error(
        "{count} of the mesh's coordinates are not finite numbers, the first at {first}; delete those points or \
         export the mesh again"
    )]
    NotFinite {
        /// Number of such places.
        count: usize,
        /// The first such place.
        first: MeshPlace,
    },
    /// A file that does not say what its format asks for.
    #[error("{place}: {found}; expected {expected}; {fix}")]
    Bad {
        /// The place.
        place: MeshPlace,
        /// What the file has there.
        found: String,
        /// What was expected.
        expected: String,
        /// How to fix it.
        fix: String,
    },
    /// A vertex farther away than any bay.
    #[error(
        "vertex {vertex} (counted from 1) of the mesh is {distance:.3e} mm from the origin, more than a kilometre; \
         give the unit of the mesh, or place it"
    )]
    TooFar {
        /// The vertex, from 1.
        vertex: usize,
        /// Its distance, mm.
        distance: f64,
    },
    /// A triangle with a vertex that does not exist.
    #[error(
        "triangle {triangle} (counted from 1) uses vertex {vertex} (counted from 0) of {count}; the file is damaged"
    )]
    BadIndex {
        /// The triangle, from 1.
        triangle: usize,
        /// The vertex it names, from 0.
        vertex: u32,
        /// Number of triangles.
        count: usize,
    },
    /// More triangles than can be indexed.
    #[error("the mesh holds {0} triangles; {most} are the most, reduce it first", most = super::tree::MOST)]
    TooMany(usize),
}

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
