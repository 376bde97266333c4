//! How triangles hang together: neighbours, shells, which way faces look, holes.
//!
//! A shell is a set of triangles joined over edges that two of them share. Scans come with faces
//! turned over, faces given twice, small holes and edges where more than two faces meet; this is
//! where they are found and, where there is one sound way, repaired.

use super::triangle::solid_angle;
use crate::{Aabb, Vec3};

/// Nobody beyond this edge.
pub(super) const OPEN: u32 = u32::MAX;

/// More than one triangle beyond this edge.
pub(super) const CROWDED: u32 = u32::MAX - 1;

/// Holes are closed when their area is at most this share of the shell's.
///
/// A scan's missing spots are a few per cent. The open side of a scan taken from one side, or of a
/// box without its lid (one fifth of the area that is there), is more: such a sheet has no inside.
const HOLES_SHARE: f64 = 0.1;

/// Most shells that are tried for being a cavity in another.
const CAVITIES: usize = 32;

/// Connected triangles.
#[derive(Debug, Clone)]
pub(super) struct Shell {
    pub area: f64,
    /// Volume within, mm3; its sign says whether faces look outwards. Counts when closed.
    pub volume: f64,
    pub bounds: Aabb,
    pub open_edges: usize,
    pub crowded_edges: usize,
    pub orientable: bool,
    /// Triangles turned over against the rest.
    pub flipped: usize,
}

impl Shell {
    /// Whether it has an inside.
    pub fn is_closed(&self) -> bool {
        self.open_edges == 0 && self.orientable
    }
}

/// Removes triangles with the same corners as one before; how many there were.
pub(super) fn drop_duplicates(triangles: &mut Vec<[u32; 3]>, vertices: usize) -> usize {
    let key = |t: &[u32; 3]| {
        let mut k = *t;
        k.sort_unstable();
        k
    };
    let (starts, entries) = buckets(vertices, triangles.iter().map(|t| key(t)[0] as usize));
    let mut doomed = Vec::new();
    let mut bucket: Vec<([u32; 3], u32)> = Vec::new();
    for v in 0..vertices {
        let members = &entries[starts[v] as usize..starts[v + 1] as usize];
        if members.len() < 2 {
            continue;
        }
        bucket.clear();
        bucket.extend(members.iter().map(|&t| (key(&triangles[t as usize]), t)));
        bucket.sort_unstable();
        doomed.extend(bucket.windows(2).filter(|w| w[0].0 == w[1].0).map(|w| w[1].1));
    }
    if !doomed.is_empty() {
        let mut keep = vec![true; triangles.len()];
        doomed.iter().for_each(|&t| keep[t as usize] = false);
        let mut kept = keep.into_iter();
        triangles.retain(|_| kept.next().unwrap_or(true));
    }
    doomed.len()
}

/// Sorts items by their bucket: where each bucket starts, and the items' numbers in order.
fn buckets(count: usize, of: impl Iterator<Item = usize> + Clone) -> (Vec<u32>, Vec<u32>) {
    let mut starts = vec![0u32; count + 1];
    let mut items = 0;
    for bucket in of.clone() {
        starts[bucket + 1] += 1;
        items += 1;
    }
    for i in 0..count {
        starts[i + 1] += starts[i];
    }
    let mut fill = starts.clone();
    let mut entries = vec![0u32; items];
    for (item, bucket) in of.enumerate() {
        entries[fill[bucket] as usize] = item as u32;
        fill[bucket] += 1;
    }
    (starts, entries)
}

/// For each triangle the ones beyond its three edges; edge k runs from corner k to the next.
pub(super) fn neighbours(triangles: &[[u32; 3]], vertices: usize) -> Vec<[u32; 3]> {
    let edge = |half: usize| {
        let (t, k) = (&triangles[half / 3], half % 3);
        let (u, w) = (t[k], t[(k + 1) % 3]);
        (u.min(w), u.max(w))
    };
    let (starts, entries) = buckets(vertices, (0..3 * triangles.len()).map(|half| edge(half).0 as usize));
    let mut beyond = vec![[OPEN; 3]; triangles.len()];
    let mut bucket: Vec<(u32, u32)> = Vec::new();
    for v in 0..vertices {
        bucket.clear();
        let halves = &entries[starts[v] as usize..starts[v + 1] as usize];
        bucket.extend(halves.iter().map(|&half| (edge(half as usize).1, half)));
        bucket.sort_unstable();
        for same in bucket.chunk_by(|a, b| a.0 == b.0) {
            match same {
                [_] => {}
                [(_, a), (_, b)] => {
                    beyond[*a as usize / 3][*a as usize % 3] = b / 3;
                    beyond[*b as usize / 3][*b as usize % 3] = a / 3;
                }
                many => many.iter().for_each(|(_, h)| beyond[*h as usize / 3][*h as usize % 3] = CROWDED),
            }
        }
    }
    beyond
}

/// Finds the shells and turns faces so that each shell looks one way, the way most of its area
/// did. Gives for each triangle its shell.
pub(super) fn orient(vertices: &[Vec3], triangles: &mut [[u32; 3]], beyond: &mut [[u32; 3]]) -> (Vec<u32>, Vec<Shell>) {
    const UNSEEN: u32 = u32::MAX;
    let mut shell_of = vec![UNSEEN; triangles.len()];
    let mut turned = vec![false; triangles.len()];
    let mut shells = Vec::new();
    let mut members = Vec::new();
    for seed in 0..triangles.len() {
        if shell_of[seed] != UNSEEN {
            continue;
        }
        members.clear();
        members.push(seed);
        shell_of[seed] = shells.len() as u32;
        let mut orientable = true;
        let mut next = 0;
        while next < members.len() {
            let t = members[next];
            next += 1;
            for k in 0..3 {
                let other = beyond[t][k];
                if other >= CROWDED {
                    continue;
                }
                let other = other as usize;
                let against = runs_along(&triangles[other], triangles[t][k], triangles[t][(k + 1) % 3]);
                let turn = turned[t] ^ against;
                if shell_of[other] == UNSEEN {
                    shell_of[other] = shells.len() as u32;
                    turned[other] = turn;
                    members.push(other);
                } else if turned[other] != turn {
                    orientable = false;
                }
            }
        }
        shells.push(settle(vertices, triangles, beyond, &members, &turned, orientable));
    }
    (shell_of, shells)
}

/// Whether the triangle runs from `u` to `w` (and not back).
fn runs_along(triangle: &[u32; 3], u: u32, w: u32) -> bool {
    (0..3).any(|i| triangle[i] == u && triangle[(i + 1) % 3] == w)
}

/// Turns the lesser part of a shell over and measures it.
fn settle(
    vertices: &[Vec3],
    triangles: &mut [[u32; 3]],
    beyond: &mut [[u32; 3]],
    members: &[usize],
    turned: &[bool],
    orientable: bool,
) -> Shell {
    let area = |t: &[u32; 3]| {
        let [a, b, c] = t.map(|v| vertices[v as usize]);
        0.5 * (b - a).cross(c - a).length()
    };
    let total: f64 = members.iter().map(|&t| area(&triangles[t])).sum();
    let over: f64 = members.iter().filter(|&&t| turned[t]).map(|&t| area(&triangles[t])).sum();
    let minority = over <= 0.5 * total;
    let mut flipped = 0;
    let mut shell = Shell {
        area: total,
        volume: 0.0,
        bounds: Aabb::EMPTY,
        open_edges: 0,
        crowded_edges: 0,
        orientable,
        flipped: 0,
    };
    let origin = vertices[triangles[members[0]][0] as usize];
    for &t in members {
        if orientable && turned[t] == minority {
            flip(&mut triangles[t], &mut beyond[t]);
            flipped += 1;
        }
        let [a, b, c] = triangles[t].map(|v| vertices[v as usize] - origin);
        shell.volume += a.dot(b.cross(c)) / 6.0;
        for corner in [a, b, c] {
            shell.bounds = shell.bounds.with(corner + origin);
        }
        shell.open_edges += beyond[t].iter().filter(|&&n| n == OPEN).count();
        shell.crowded_edges += beyond[t].iter().filter(|&&n| n == CROWDED).count();
    }
    shell.flipped = flipped;
    shell
}

/// Turns a triangle over.
fn flip(triangle: &mut [u32; 3], beyond: &mut [u32; 3]) {
    triangle.swap(1, 2);
    beyond.swap(0, 2);
}

/// Closes the holes of shells that are all but closed, each with a fan of triangles around its
/// middle; how many were closed. `beyond` must be found again when there were any.
pub(super) fn close_holes(
    vertices: &mut Vec<Vec3>,
    triangles: &mut Vec<[u32; 3]>,
    beyond: &[[u32; 3]],
    shell_of: &mut Vec<u32>,
    shells: &mut [Shell],
) -> usize {
    let mut rim = rims(triangles, beyond, shell_of, shells);
    rim.sort_unstable();
    let mut closed = 0;
    for edges in rim.chunk_by(|a, b| a.0 == b.0) {
        let shell = &mut shells[edges[0].0 as usize];
        let Some(loops) = loops(edges) else { continue };
        let fans: Vec<Fan> = loops.iter().map(|l| Fan::new(vertices, l)).collect();
        if fans.iter().map(|f| f.area).sum::<f64>() > HOLES_SHARE * shell.area {
            continue;
        }
        shell.open_edges = 0;
        for (ring, fan) in loops.iter().zip(&fans) {
            let before = triangles.len();
            fan.fill(ring, vertices, triangles);
            for t in &triangles[before..] {
                let [a, b, c] = t.map(|v| vertices[v as usize]);
                shell.area += 0.5 * (b - a).cross(c - a).length();
            }
            shell_of.resize(triangles.len(), edges[0].0);
            closed += 1;
        }
    }
    if closed > 0 {
        measure_volumes(vertices, triangles, shell_of, shells);
    }
    closed
}

/// Open edges of the shells that may be closed: shell, from, to.
fn rims(triangles: &[[u32; 3]], beyond: &[[u32; 3]], shell_of: &[u32], shells: &[Shell]) -> Vec<(u32, u32, u32)> {
    let mut rim = Vec::new();
    for (t, others) in beyond.iter().enumerate() {
        for k in 0..3 {
            if others[k] == OPEN && shells[shell_of[t] as usize].orientable {
                rim.push((shell_of[t], triangles[t][k], triangles[t][(k + 1) % 3]));
            }
        }
    }
    rim
}

/// Strings sorted edges (shell, from, to) into rings of vertices; `None` when they do not close.
fn loops(edges: &[(u32, u32, u32)]) -> Option<Vec<Vec<u32>>> {
    let mut used = vec![false; edges.len()];
    let mut rings = Vec::new();
    for first in 0..edges.len() {
        if used[first] {
            continue;
        }
        used[first] = true;
        let mut ring = vec![edges[first].1];
        let mut at = edges[first].2;
        while at != ring[0] {
            ring.push(at);
            let from = edges.partition_point(|e| e.1 < at);
            let next = (from..edges.len()).take_while(|&e| edges[e].1 == at).find(|&e| !used[e])?;
            used[next] = true;
            at = edges[next].2;
        }
        rings.push(ring);
    }
    Some(rings)
}

/// A fan of triangles over a hole.
struct Fan {
    middle: Vec3,
    area: f64,
}

impl Fan {
    fn new(vertices: &[Vec3], ring: &[u32]) -> Self {
        let at = |i: usize| vertices[ring[i % ring.len()] as usize];
        let middle = (0..ring.len()).map(at).sum::<Vec3>() / ring.len() as f64;
        let area = (0..ring.len()).map(|i| 0.5 * (at(i) - middle).cross(at(i + 1) - middle).length()).sum();
        Fan { middle, area }
    }

    /// Adds the triangles; they run against the rim, as neighbours do.
    fn fill(&self, ring: &[u32], vertices: &mut Vec<Vec3>, triangles: &mut Vec<[u32; 3]>) {
        match ring {
            [a, b, c] => triangles.push([*b, *a, *c]),
            [_, _] => {}
            _ => {
                let middle = vertices.len() as u32;
                vertices.push(self.middle);
                triangles.extend((0..ring.len()).map(|i| [ring[(i + 1) % ring.len()], ring[i], middle]));
            }
        }
    }
}

fn measure_volumes(vertices: &[Vec3], triangles: &[[u32; 3]], shell_of: &[u32], shells: &mut [Shell]) {
    let origins: Vec<Vec3> = shells.iter().map(|s| s.bounds.centre()).collect();
    shells.iter_mut().for_each(|s| s.volume = 0.0);
    for (t, &shell) in triangles.iter().zip(shell_of) {
        let [a, b, c] = t.map(|v| vertices[v as usize] - origins[shell as usize]);
        shells[shell as usize].volume += a.dot(b.cross(c)) / 6.0;
    }
}

/// Turns closed shells whose faces look inwards, unless they are a cavity in another shell; how
/// many were turned.
pub(super) fn turn_outwards(
    vertices: &[Vec3],
    triangles: &mut [[u32; 3]],
    beyond: &mut [[u32; 3]],
    shell_of: &[u32],
    shells: &mut [Shell],
) -> usize {
    let mut inward: Vec<u32> = (0..shells.len() as u32)
        .filter(|&s| shells[s as usize].is_closed() && shells[s as usize].volume < 0.0)
        .collect();
    if inward.is_empty() {
        return 0;
    }
    let cavities: Vec<u32> = inward
        .iter()
        .copied()
        .take(CAVITIES)
        .filter(|&s| is_cavity(s, vertices, triangles, shell_of, shells))
        .collect();
    inward.retain(|s| !cavities.contains(s));
    let mut turn = vec![false; shells.len()];
    inward.iter().for_each(|&s| turn[s as usize] = true);
    for t in 0..triangles.len() {
        if turn[shell_of[t] as usize] {
            flip(&mut triangles[t], &mut beyond[t]);
        }
    }
    for &s in &inward {
        shells[s as usize].volume *= -1.0;
    }
    inward.len()
}

/// Whether a shell lies in a bigger one that looks outwards.
fn is_cavity(shell: u32, vertices: &[Vec3], triangles: &[[u32; 3]], shell_of: &[u32], shells: &[Shell]) -> bool {
    let mine = &shells[shell as usize];
    let around = |s: &Shell| {
        s.is_closed()
            && s.volume > -mine.volume
            && s.bounds.min.cmple(mine.bounds.min).all()
            && s.bounds.max.cmpge(mine.bounds.max).all()
    };
    let outer: Vec<bool> = shells.iter().map(around).collect();
    let Some(first) = shell_of.iter().position(|&s| s == shell).filter(|_| outer.contains(&true)) else {
        return false;
    };
    let p = vertices[triangles[first][0] as usize];
    let corners = |t: &[u32; 3]| t.map(|v| vertices[v as usize]);
    let all = triangles.iter().zip(shell_of).filter(|(_, s)| outer[**s as usize]);
    let angle: f64 = all.map(|(t, _)| solid_angle(p, &corners(t))).sum();
    angle > 2.0 * std::f64::consts::PI
}
