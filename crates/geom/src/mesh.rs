//! Triangle meshes of things in the bay: cleaned, indexed, with a signed distance.
//!
//! A mesh is welded, freed from degenerate and double triangles, turned to look one way and, where
//! only small holes are missing, closed. What then is closed has an inside; the side of a point is
//! told by the angle-weighted normal of the nearest face, edge or corner (Baerentzen and Aanaes,
//! IEEE TVCG 11 (2005) 243; from memory) when the mesh is one clean closed shell, else by the
//! winding number. A sheet, such as a scan taken from one side, has no inside: its distance is
//! never negative. The nearest triangle is found in a tree of boxes; a coarse grid answers in the
//! open without a search. Distances are exact but for the welding tolerance, at most 0.001 mm.

mod fault;
mod glb;
mod grid;
mod obj;
mod ply;
mod polygon;
mod read;
mod stl;
mod surface;
mod tree;
mod triangle;
mod weld;
mod winding;

use crate::{Aabb, Nearest, Vec3};
pub use fault::{MeshError, MeshPlace};
use grid::{Grid, Side};
pub use read::{MeshFormat, read};
use surface::Shell;
use tree::{NearestHit, TriangleTree};
use triangle::Feature;
use winding::Winding;

/// Coordinates beyond this are no bay, mm (a kilometre).
const FARTHEST: f64 = 1e6;

/// Distance below which a point counts as on the surface, mm.
const ON_SURFACE: f64 = 1e-9;

/// Triangles as they stand in a file, not yet looked at.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RawMesh {
    /// Corners, in the file's unit until they are scaled.
    pub vertices: Vec<Vec3>,
    /// Three corners each.
    pub triangles: Vec<[u32; 3]>,
    /// What the reader has to say: things passed over, and what the format says of its unit.
    pub hints: Vec<String>,
}

impl RawMesh {
    /// The least box around its vertices.
    pub fn bounds(&self) -> Aabb {
        Aabb::around(self.vertices.iter().copied())
    }

    /// Moves every vertex: to scale it into mm and to place it in the bay.
    #[must_use]
    pub fn mapped(mut self, map: impl Fn(Vec3) -> Vec3) -> Self {
        self.vertices.iter_mut().for_each(|v| *v = map(*v));
        self
    }
}

/// Faults found in a mesh, and which were repaired.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct MeshReport {
    /// Vertices as given.
    pub vertices: usize,
    /// Triangles as given.
    pub triangles: usize,
    /// Vertices left after welding.
    pub welded_to: usize,
    /// Triangles dropped that had no area.
    pub degenerate: usize,
    /// Triangles dropped that were there already.
    pub duplicates: usize,
    /// Faces turned over against the rest of their shell.
    pub flipped: usize,
    /// Closed shells whose faces all looked inwards, turned.
    pub inside_out: usize,
    /// Small holes closed.
    pub holes_closed: usize,
    /// Edges with more than two triangles, counted once for each triangle.
    pub crowded_edges: usize,
    /// Connected shells.
    pub shells: usize,
    /// Shells that are sheets: they have no inside.
    pub sheets: usize,
    /// Area, mm2.
    pub area: f64,
    /// Volume of the closed shells, mm3.
    pub volume: f64,
}

impl MeshReport {
    /// One sentence for each thing that a user may want to know; empty for a clean closed mesh.
    pub fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        let mut note = |count: usize, one: &str, many: &str| match count {
            0 => {}
            1 => notes.push(format!("1 {one}")),
            _ => notes.push(format!("{count} {many}")),
        };
        note(self.degenerate, "triangle without area was left out", "triangles without area were left out");
        note(self.duplicates, "triangle given twice was left out", "triangles given twice were left out");
        note(
            self.flipped,
            "face was turned over to look the same way as its neighbours",
            "faces were turned over to look the same way as their neighbours",
        );
        note(
            self.inside_out,
            "closed shell looked inwards and was turned",
            "closed shells looked inwards and were turned",
        );
        note(self.holes_closed, "small hole was closed", "small holes were closed");
        note(
            self.crowded_edges,
            "edge of triangles meets more than one neighbour",
            "edges of triangles meet more than one neighbour",
        );
        note(
            self.sheets,
            "shell is an open sheet without an inside: only the gap to its surface counts",
            "shells are open sheets without an inside: only the gap to their surface counts",
        );
        notes
    }
}

/// How inside and outside are decided.
#[derive(Debug, Clone)]
enum Sides {
    /// There is no inside.
    None,
    /// By the normal of the nearest part; neighbours of the triangles in tree order.
    Normals(Vec<[u32; 3]>),
    /// By the winding number.
    Winding(Winding),
}

/// A triangle mesh in mm, placed, cleaned and indexed for distances.
#[derive(Debug, Clone)]
pub struct Mesh {
    bounds: Aabb,
    vertices: Vec<Vec3>,
    /// In the order of the tree.
    triangles: Vec<[u32; 3]>,
    tree: TriangleTree,
    grid: Grid,
    sides: Sides,
    report: MeshReport,
}

impl Mesh {
    /// Cleans and indexes a mesh that is already in mm and in its place.
    ///
    /// # Errors
    /// [`MeshError`] when it holds nothing usable.
    pub fn new(raw: RawMesh) -> Result<Self, MeshError> {
        check(&raw)?;
        let (mut vertices, mut triangles, mut report, tolerance) = clean(&raw)?;
        drop(raw);
        let mut beyond = surface::neighbours(&triangles, vertices.len());
        let (mut shell_of, mut shells) = surface::orient(&vertices, &mut triangles, &mut beyond);
        let holes = surface::close_holes(&mut vertices, &mut triangles, &beyond, &mut shell_of, &mut shells);
        if holes > 0 {
            beyond = surface::neighbours(&triangles, vertices.len());
        }
        report.holes_closed = holes;
        report.inside_out = surface::turn_outwards(&vertices, &mut triangles, &mut beyond, &shell_of, &mut shells);
        report_shells(&mut report, &shells);
        let bounds = Aabb::around(vertices.iter().copied());
        let (corners, slivers) = corners(&vertices, &triangles, 0.1 * tolerance);
        let (grid, tree) = rayon::join(|| Grid::new(&corners, bounds), || TriangleTree::new(&corners, bounds));
        let sorted = tree.order.iter().map(|&t| triangles[t as usize]).collect();
        let clean = shells.len() == 1 && shells[0].is_closed() && shells[0].crowded_edges == 0 && slivers == 0;
        let sides = if clean {
            Sides::Normals(in_tree_order(&beyond, &tree.order))
        } else if shells.iter().any(Shell::is_closed) {
            let counts = tree.order.iter().map(|&t| shells[shell_of[t as usize] as usize].is_closed()).collect();
            Sides::Winding(Winding::new(&tree, counts))
        } else {
            Sides::None
        };
        let mut mesh = Mesh { bounds, vertices, triangles: sorted, tree, grid, sides, report };
        let mut grid = mesh.grid.clone();
        grid.find_sides(|p| mesh.is_inside(p));
        mesh.grid = grid;
        Ok(mesh)
    }

    /// Distance of `p` from the surface and its gradient; see [`crate::Solid::nearest`].
    ///
    /// It is negative inside a closed shell. Where shells overlap, the distance inside is that to
    /// the nearest of their surfaces.
    pub fn nearest(&self, p: Vec3, limit: f64) -> Nearest {
        let (side, away) = self.grid.look(p);
        let side = if matches!(self.sides, Sides::None) { Side::Outside } else { side };
        if side == Side::Outside {
            let bound = away.max(self.bounds.distance(p));
            let hit = if bound < limit { self.tree.nearest(p, limit) } else { None };
            return match hit {
                Some(hit) => self.signed(p, &hit, 1.0),
                None => {
                    let normal = (p - self.bounds.centre()).normalize_or(Vec3::Z);
                    Nearest { distance: bound.max(limit), normal }
                }
            };
        }
        let Some(hit) = self.tree.nearest(p, f64::INFINITY) else {
            return Nearest { distance: limit, normal: Vec3::Z };
        };
        let sign = match side {
            Side::Outside => 1.0,
            Side::Inside => -1.0,
            Side::Unknown => self.sign(p, &hit),
        };
        self.signed(p, &hit, sign)
    }

    /// The least box along the axes around it.
    pub fn bounds(&self) -> Aabb {
        self.bounds
    }

    /// Faults found and repaired.
    pub fn report(&self) -> &MeshReport {
        &self.report
    }

    /// Its vertices, mm.
    pub fn vertices(&self) -> &[Vec3] {
        &self.vertices
    }

    /// Three vertices for each triangle, in the order of the index.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.triangles
    }

    /// Whether some of it has an inside.
    pub fn has_inside(&self) -> bool {
        !matches!(self.sides, Sides::None)
    }

    /// Least distance of the segment from `a` to `b` to the surface (never negative: 0 where it
    /// goes through), and the fraction along it; `None` when that is not below `limit`.
    pub fn distance_segment(&self, a: Vec3, b: Vec3, limit: f64) -> Option<(f64, f64)> {
        self.tree.nearest_segment(a, b, limit)
    }

    fn is_inside(&self, p: Vec3) -> bool {
        match &self.sides {
            Sides::None => false,
            Sides::Winding(winding) => winding.at(&self.tree, p) > 0.5,
            Sides::Normals(_) => self.tree.nearest(p, f64::INFINITY).is_some_and(|hit| self.sign(p, &hit) < 0.0),
        }
    }

    fn sign(&self, p: Vec3, hit: &NearestHit) -> f64 {
        let inside = match &self.sides {
            Sides::None => false,
            Sides::Winding(winding) => winding.at(&self.tree, p) > 0.5,
            Sides::Normals(beyond) => (p - hit.point).dot(self.normal(hit, beyond)) < 0.0,
        };
        if inside { -1.0 } else { 1.0 }
    }

    fn signed(&self, p: Vec3, hit: &NearestHit, sign: f64) -> Nearest {
        let normal = if hit.distance > ON_SURFACE {
            (p - hit.point) * (sign / hit.distance)
        } else {
            self.face_normal(hit.triangle).normalize_or(Vec3::Z)
        };
        Nearest { distance: sign * hit.distance, normal }
    }

    /// Area vector of a triangle of the tree, doubled.
    fn face_normal(&self, triangle: usize) -> Vec3 {
        let [a, b, c] = self.tree.corners[triangle];
        (b - a).cross(c - a)
    }

    /// The angle-weighted normal of the part that was hit, of any length.
    fn normal(&self, hit: &NearestHit, beyond: &[[u32; 3]]) -> Vec3 {
        let unit = |t: usize| self.face_normal(t).normalize_or_zero();
        match hit.part {
            Feature::Face => unit(hit.triangle),
            Feature::Edge(k) => unit(hit.triangle) + unit(beyond[hit.triangle][k as usize] as usize),
            Feature::Corner(k) => {
                let vertex = self.triangles[hit.triangle][k as usize];
                let mut sum = Vec3::ZERO;
                let mut t = hit.triangle;
                // Around the corner, each time over the edge that leaves it.
                while let Some(i) = self.triangles[t].iter().position(|&v| v == vertex) {
                    let corners = &self.tree.corners[t];
                    let (u, w) = (corners[(i + 1) % 3] - corners[i], corners[(i + 2) % 3] - corners[i]);
                    sum += unit(t) * u.angle_between(w);
                    t = beyond[t][i] as usize;
                    if t == hit.triangle {
                        break;
                    }
                }
                sum
            }
        }
    }
}

fn check(raw: &RawMesh) -> Result<(), MeshError> {
    if raw.triangles.is_empty() {
        return Err(MeshError::Empty);
    }
    if raw.triangles.len() > tree::MOST / 2 {
        return Err(MeshError::TooMany(raw.triangles.len()));
    }
    fault::check_finite(&raw.vertices, |v, _| MeshPlace::Vertex(v + 1))?;
    if let Some(i) = raw.vertices.iter().position(|v| v.abs().max_element() > FARTHEST) {
        return Err(MeshError::TooFar { vertex: i + 1, distance: raw.vertices[i].length() });
    }
    let count = raw.vertices.len();
    for (i, triangle) in raw.triangles.iter().enumerate() {
        if let Some(&vertex) = triangle.iter().find(|&&v| v as usize >= count) {
            return Err(MeshError::BadIndex { triangle: i + 1, vertex, count });
        }
    }
    Ok(())
}

/// Welds vertices and drops triangles without area or given twice; the tolerance of welding too.
#[allow(clippy::type_complexity)]
fn clean(raw: &RawMesh) -> Result<(Vec<Vec3>, Vec<[u32; 3]>, MeshReport, f64), MeshError> {
    let bounds = raw.bounds();
    // A millionth of the size, as single precision has no more digits, and at most a hundredth of
    // the caliper's tenth of a millimetre.
    let tolerance = (1e-6 * bounds.size().max_element()).clamp(1e-12, 1e-3);
    let welded = weld::weld(&raw.vertices, bounds, tolerance);
    let renumber = |t: &[u32; 3]| t.map(|v| welded.became[v as usize]);
    let whole = |t: &[u32; 3]| t[0] != t[1] && t[1] != t[2] && t[2] != t[0];
    let mut triangles: Vec<[u32; 3]> = raw.triangles.iter().map(renumber).filter(whole).collect();
    let degenerate = raw.triangles.len() - triangles.len();
    let duplicates = surface::drop_duplicates(&mut triangles, welded.vertices.len());
    if triangles.is_empty() {
        return Err(MeshError::AllDegenerate(raw.triangles.len()));
    }
    let report = MeshReport {
        vertices: raw.vertices.len(),
        triangles: raw.triangles.len(),
        welded_to: welded.vertices.len(),
        degenerate,
        duplicates,
        ..MeshReport::default()
    };
    Ok((welded.vertices, triangles, report, tolerance))
}

fn report_shells(report: &mut MeshReport, shells: &[Shell]) {
    report.shells = shells.len();
    report.sheets = shells.iter().filter(|s| !s.is_closed()).count();
    report.flipped = shells.iter().map(|s| s.flipped).sum();
    report.crowded_edges = shells.iter().map(|s| s.crowded_edges).sum();
    report.area = shells.iter().map(|s| s.area).sum();
    report.volume = shells.iter().filter(|s| s.is_closed()).map(|s| s.volume).sum();
}

/// Corners of all triangles, and how many are slivers: these stand as their longest edge.
fn corners(vertices: &[Vec3], triangles: &[[u32; 3]], thin: f64) -> (Vec<[Vec3; 3]>, usize) {
    let mut slivers = 0;
    let mut of = |t: &[u32; 3]| {
        let c = t.map(|v| vertices[v as usize]);
        let square = |k: usize| (c[(k + 1) % 3] - c[k]).length_squared();
        let doubled = (c[1] - c[0]).cross(c[2] - c[0]).length_squared();
        let longest = if square(0) >= square(1) && square(0) >= square(2) {
            0
        } else if square(1) >= square(2) {
            1
        } else {
            2
        };
        if doubled > thin * thin * square(longest) {
            return c;
        }
        slivers += 1;
        [c[longest], c[(longest + 1) % 3], c[(longest + 1) % 3]]
    };
    let corners = triangles.iter().map(&mut of).collect();
    (corners, slivers)
}

/// Neighbours by the numbers of the tree.
fn in_tree_order(beyond: &[[u32; 3]], order: &[u32]) -> Vec<[u32; 3]> {
    let mut number = vec![0u32; order.len()];
    for (new, &old) in order.iter().enumerate() {
        number[old as usize] = new as u32;
    }
    order.iter().map(|&old| beyond[old as usize].map(|t| number[t as usize])).collect()
}

#[cfg(test)]
mod tests;
