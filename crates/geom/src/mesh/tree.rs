//! A tree of boxes around triangles, four to a node, for the nearest triangle.
//!
//! Triangles are sorted along a Morton curve (Morton, 1966) of their boxes' centres and the sorted
//! list is split where the highest bit of the code changes, which takes one sort and one pass
//! (Lauterbach et al., Fast BVH construction on GPUs, Computer Graphics Forum 28 (2009) 375; from
//! memory). Boxes are kept in single precision about the mesh's centre and rounded outwards; what
//! they let through is computed in double precision, so rounding costs time but never an answer.

use rayon::prelude::*;

use super::triangle::{Feature, closest_on_triangle, distance_segment_triangle};
use crate::{Aabb, Vec3};

/// Most triangles in a leaf.
const LEAF: usize = 4;

/// Depth from which ranges are halved whatever their codes: it bounds the stack of a query.
const DEEP: usize = 24;

/// Entries of a query's stack: three wait on each of at most `DEEP` + 14 levels.
const STACK: usize = 128;

/// Most triangles that leaf numbers have room for.
pub(super) const MOST: usize = 1 << 28;

const LEAF_BIT: u32 = 1 << 31;

/// Four boxes side by side; an empty one has `min` above `max`.
#[derive(Debug, Clone)]
pub(super) struct TreeNode {
    min: [[f32; 4]; 3],
    max: [[f32; 4]; 3],
    /// A node's number, or `LEAF_BIT | first triangle << 3 | count`.
    pub child: [u32; 4],
}

/// What a child number stands for.
pub(super) enum Child {
    None,
    Node(usize),
    Leaf(std::ops::Range<usize>),
}

impl Child {
    pub fn of(number: u32) -> Child {
        if number & LEAF_BIT == 0 {
            return Child::Node(number as usize);
        }
        let (first, count) = ((number & !LEAF_BIT) >> 3, number & 7);
        if count == 0 { Child::None } else { Child::Leaf(first as usize..(first + count) as usize) }
    }
}

/// The tree, with the triangles' corners in the order of its leaves.
#[derive(Debug, Clone)]
pub(super) struct TriangleTree {
    centre: Vec3,
    extent: f64,
    pub nodes: Vec<TreeNode>,
    pub corners: Vec<[Vec3; 3]>,
    /// For each triangle of the tree its number before sorting.
    pub order: Vec<u32>,
}

/// The nearest triangle found.
#[derive(Debug, Clone, Copy)]
pub(super) struct NearestHit {
    pub distance: f64,
    pub triangle: usize,
    pub point: Vec3,
    pub part: Feature,
}

impl TriangleTree {
    /// Builds the tree over at least one triangle.
    pub fn new(corners: &[[Vec3; 3]], bounds: Aabb) -> Self {
        let codes = sorted_codes(corners, bounds);
        let order: Vec<u32> = codes.iter().map(|&(_, i)| i).collect();
        let sorted: Vec<[Vec3; 3]> = order.iter().map(|&i| corners[i as usize]).collect();
        let mut tree = TriangleTree {
            centre: bounds.centre(),
            extent: bounds.size().max_element(),
            nodes: Vec::with_capacity(sorted.len() / 3 + 1),
            corners: sorted,
            order,
        };
        tree.build(&codes, 0..codes.len(), 0);
        tree
    }

    /// Adds the node over a range and all below it; its number and box.
    fn build(&mut self, codes: &[(u64, u32)], range: std::ops::Range<usize>, depth: usize) -> (u32, Aabb) {
        let number = self.nodes.len();
        self.nodes.push(TreeNode {
            min: [[f32::INFINITY; 4]; 3],
            max: [[f32::NEG_INFINITY; 4]; 3],
            child: [LEAF_BIT; 4],
        });
        let mut whole = Aabb::EMPTY;
        for (k, part) in quarters(codes, range, depth).into_iter().flatten().enumerate() {
            let (child, bounds) = if part.len() <= LEAF {
                let bounds = Aabb::around(self.corners[part.clone()].iter().flatten().copied());
                (LEAF_BIT | (part.start as u32) << 3 | part.len() as u32, bounds)
            } else {
                self.build(codes, part, depth + 1)
            };
            let (min, max) = (bounds.min - self.centre, bounds.max - self.centre);
            let node = &mut self.nodes[number];
            for axis in 0..3 {
                node.min[axis][k] = (min[axis] as f32).next_down();
                node.max[axis][k] = (max[axis] as f32).next_up();
            }
            node.child[k] = child;
            whole = whole.union(bounds);
        }
        (number as u32, whole)
    }

    /// The triangle nearest to `p` if it is nearer than `limit`.
    ///
    /// Of several equally near one the first found is taken; the order is fixed by the mesh.
    pub fn nearest(&self, p: Vec3, limit: f64) -> Option<NearestHit> {
        let local = p - self.centre;
        let q = [local.x as f32, local.y as f32, local.z as f32];
        // Rounding of `q` and of the box distance in single precision (2^-23 each, with room).
        let slack = (local.abs().max_element() + self.extent) * 4e-7;
        let reach = |best: f64| ((best + slack) * (best + slack) * 1.000_001) as f32;
        let mut best = limit;
        let mut best_square = limit * limit;
        let mut cut = reach(best);
        let mut hit = None;
        let mut stack = [(0f32, 0u32); STACK];
        let mut height = 1;
        while height > 0 {
            height -= 1;
            let (near, number) = stack[height];
            if near > cut {
                continue;
            }
            if number & LEAF_BIT == 0 {
                height = self.push_children(number as usize, q, cut, &mut stack, height);
                continue;
            }
            let first = ((number & !LEAF_BIT) >> 3) as usize;
            for triangle in first..first + (number & 7) as usize {
                let (point, part) = closest_on_triangle(p, &self.corners[triangle]);
                let square = (p - point).length_squared();
                if square < best_square {
                    best_square = square;
                    best = square.sqrt();
                    cut = reach(best);
                    hit = Some(NearestHit { distance: best, triangle, point, part });
                }
            }
        }
        hit
    }

    /// Pushes the children of a node that are near enough, the nearest on top.
    #[inline]
    fn push_children(
        &self,
        node: usize,
        q: [f32; 3],
        cut: f32,
        stack: &mut [(f32, u32); STACK],
        mut height: usize,
    ) -> usize {
        let node = &self.nodes[node];
        let mut square = [0f32; 4];
        for ((min, max), q) in node.min.iter().zip(&node.max).zip(q) {
            for ((square, min), max) in square.iter_mut().zip(min).zip(max) {
                let (below, above) = (min - q, q - max);
                let most = if below > above { below } else { above };
                let beyond = if most > 0.0 { most } else { 0.0 };
                *square += beyond * beyond;
            }
        }
        // Bits of floats that are not negative sort as the floats do; the two lowest make room for
        // the child's place. A sorting network brings the farthest first without branching.
        let mut keys = [0u32; 4];
        for (k, (key, square)) in keys.iter_mut().zip(square).enumerate() {
            *key = square.to_bits() & !3 | k as u32;
        }
        for (i, j) in [(0, 1), (2, 3), (0, 2), (1, 3), (1, 2)] {
            (keys[i], keys[j]) = (keys[i].max(keys[j]), keys[i].min(keys[j]));
        }
        for key in keys {
            let square = f32::from_bits(key & !3);
            stack[height] = (square, node.child[key as usize & 3]);
            height += usize::from(square <= cut);
        }
        height
    }

    /// Least distance of the segment from `p` to `q`, and the fraction along it, if below `limit`.
    pub fn nearest_segment(&self, p: Vec3, q: Vec3, limit: f64) -> Option<(f64, f64)> {
        let (mut best, mut at) = (limit, None);
        let slack = ((p - self.centre).length() + (q - self.centre).length() + self.extent) * 4e-7;
        let segment = BoxSegment::new(p - self.centre, q - self.centre);
        let mut open = vec![(0.0, 0u32)];
        while let Some((bound, number)) = open.pop() {
            if bound >= best + slack {
                continue;
            }
            match Child::of(number) {
                Child::None => {}
                Child::Leaf(range) => {
                    for corners in &self.corners[range] {
                        let (distance, t) = distance_segment_triangle(p, q, corners);
                        if distance < best {
                            (best, at) = (distance, Some(t));
                        }
                    }
                }
                Child::Node(node) => {
                    let base = open.len();
                    for k in 0..4 {
                        let bound = segment.bound(&self.nodes[node].bounds(k));
                        if bound < best + slack {
                            open.push((bound, self.nodes[node].child[k]));
                        }
                    }
                    open[base..].sort_by(|x, y| y.0.total_cmp(&x.0));
                }
            }
        }
        at.map(|t| (best, t))
    }
}

impl TreeNode {
    /// Box `k`, about the mesh's centre.
    fn bounds(&self, k: usize) -> Aabb {
        let corner = |side: &[[f32; 4]; 3]| Vec3::new(side[0][k].into(), side[1][k].into(), side[2][k].into());
        Aabb { min: corner(&self.min), max: corner(&self.max) }
    }
}

/// A segment with the directions in which it may be parted from a box.
struct BoxSegment {
    least: Vec3,
    most: Vec3,
    middle: Vec3,
    across: [Vec3; 3],
}

impl BoxSegment {
    fn new(a: Vec3, b: Vec3) -> Self {
        let d = b - a;
        let across = [Vec3::X, Vec3::Y, Vec3::Z].map(|axis| d.cross(axis).normalize_or_zero());
        BoxSegment { least: a.min(b), most: a.max(b), middle: 0.5 * (a + b), across }
    }

    /// A lower bound of the distance to a box: the widest gap between the shadows of both on the
    /// box's axes (taken together) and on the directions across the segment and an axis.
    fn bound(&self, bounds: &Aabb) -> f64 {
        if bounds.min.x > bounds.max.x {
            return f64::INFINITY;
        }
        let mut gap = (bounds.min - self.most).max(self.least - bounds.max).max(Vec3::ZERO).length();
        let (centre, half) = (bounds.centre(), 0.5 * bounds.size());
        for axis in self.across {
            gap = gap.max((self.middle - centre).dot(axis).abs() - half.dot(axis.abs()));
        }
        gap
    }
}

/// Morton codes of the triangles' boxes' centres with the triangles' numbers, sorted.
fn sorted_codes(corners: &[[Vec3; 3]], bounds: Aabb) -> Vec<(u64, u32)> {
    let scale = (1u64 << 21) as f64 / bounds.size().max_element().max(f64::MIN_POSITIVE) * (1.0 - 1e-9);
    let mut codes: Vec<(u64, u32)> = corners
        .par_iter()
        .enumerate()
        .map(|(i, [a, b, c])| {
            let centre = (a.min(*b).min(*c) + a.max(*b).max(*c)) * 0.5;
            let cell = (centre - bounds.min) * scale;
            (spread(cell.x as u64) | spread(cell.y as u64) << 1 | spread(cell.z as u64) << 2, i as u32)
        })
        .collect();
    codes.par_sort_unstable();
    codes
}

/// The lowest 21 bits, each moved to every third place.
fn spread(x: u64) -> u64 {
    let mut x = x & 0x1F_FFFF;
    x = (x | x << 32) & 0x001F_0000_0000_FFFF;
    x = (x | x << 16) & 0x001F_0000_FF00_00FF;
    x = (x | x << 8) & 0x100F_00F0_0F00_F00F;
    x = (x | x << 4) & 0x10C3_0C30_C30C_30C3;
    (x | x << 2) & 0x1249_2492_4924_9249
}

/// Splits a range into up to four, the most crowded first.
fn quarters(codes: &[(u64, u32)], range: std::ops::Range<usize>, depth: usize) -> [Option<std::ops::Range<usize>>; 4] {
    let mut parts = [Some(range), None, None, None];
    for free in 1..4 {
        let most = (0..free).max_by_key(|&k| (parts[k].as_ref().map_or(0, |r| r.len()), 4 - k)).unwrap_or(0);
        let Some(range) = parts[most].clone().filter(|r| r.len() > LEAF) else { break };
        let middle = split(codes, &range, depth);
        parts[most] = Some(range.start..middle);
        parts[free] = Some(middle..range.end);
    }
    parts
}

/// Where to split: at the change of the highest bit, or in the middle of equal or deep ones.
fn split(codes: &[(u64, u32)], range: &std::ops::Range<usize>, depth: usize) -> usize {
    let (first, last) = (codes[range.start].0, codes[range.end - 1].0);
    if first == last || depth >= DEEP {
        return range.start + range.len() / 2;
    }
    let bit = 1u64 << (63 - (first ^ last).leading_zeros());
    range.start + codes[range.clone()].partition_point(|c| c.0 & bit == 0)
}
