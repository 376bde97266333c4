//! Making one vertex of those that are at the same place.

use crate::{Aabb, Vec3};

/// No vertex.
const NONE: u32 = u32::MAX;

/// Width of a cell in tolerances: wide enough that few vertices are near a cell's side (and need
/// its neighbours searched too), narrow enough that few share a cell.
const CELL: f64 = 64.0;

/// Vertices welded within a tolerance, and for each given vertex the one it became.
pub(super) struct Welded {
    pub vertices: Vec<Vec3>,
    pub became: Vec<u32>,
}

/// Welds vertices of which each coordinate is within `tolerance` mm of one seen before.
///
/// Vertices keep the order of their first appearance, so equal input gives equal output. The cells
/// of a grid are hashed into an open-addressed table of vertex numbers.
pub(super) fn weld(given: &[Vec3], bounds: Aabb, tolerance: f64) -> Welded {
    let mut table = VertexTable::new(given.len());
    let inverse = 1.0 / (CELL * tolerance);
    let near = 1.0 / CELL;
    let mut vertices: Vec<Vec3> = Vec::with_capacity(given.len() / 4);
    let mut became = Vec::with_capacity(given.len());
    for &v in given {
        // Coordinates from the least corner are not negative: truncation is the floor.
        let place = (v - bounds.min) * inverse;
        let cell = [place.x as i64, place.y as i64, place.z as i64];
        let same = |u: &Vec3| (*u - v).abs().max_element() <= tolerance;
        let mut found = table.find(cell, &vertices, same);
        if found == NONE {
            let within = [place.x - cell[0] as f64, place.y - cell[1] as f64, place.z - cell[2] as f64];
            found = find_beside(cell, within, near, |c| table.find(c, &vertices, same));
        }
        if found == NONE {
            found = vertices.len() as u32;
            vertices.push(v);
            table.insert(cell, found);
        }
        became.push(found);
    }
    Welded { vertices, became }
}

/// Searches the neighbours of `cell` that a place `within` it (0 to 1) is near to.
fn find_beside(cell: [i64; 3], within: [f64; 3], near: f64, find: impl Fn([i64; 3]) -> u32) -> u32 {
    let step = within.map(|w| if w <= near { -1 } else { i64::from(w >= 1.0 - near) });
    for mask in 1..8u8 {
        let mut beside = cell;
        let mut counts = true;
        for axis in 0..3 {
            if mask >> axis & 1 == 1 {
                counts &= step[axis] != 0;
                beside[axis] += step[axis];
            }
        }
        if counts {
            let found = find(beside);
            if found != NONE {
                return found;
            }
        }
    }
    NONE
}

/// Open-addressed table from a cell's hash to vertex numbers.
struct VertexTable {
    slots: Vec<u32>,
    shift: u32,
}

impl VertexTable {
    /// With room for `count` entries at most half full.
    fn new(count: usize) -> Self {
        let bits = (2 * count.max(8)).next_power_of_two().trailing_zeros();
        VertexTable { slots: vec![NONE; 1 << bits], shift: 64 - bits }
    }

    fn first_slot(&self, cell: [i64; 3]) -> usize {
        // Multiplicative hashing with three odd constants.
        let mixed = (cell[0] as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15)
            ^ (cell[1] as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F).rotate_left(21)
            ^ (cell[2] as u64).wrapping_mul(0x1656_67B1_9E37_79F9).rotate_left(42);
        (mixed.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> self.shift) as usize
    }

    fn find(&self, cell: [i64; 3], vertices: &[Vec3], same: impl Fn(&Vec3) -> bool) -> u32 {
        let mut slot = self.first_slot(cell);
        loop {
            let index = self.slots[slot];
            if index == NONE || same(&vertices[index as usize]) {
                return index;
            }
            slot = (slot + 1) & (self.slots.len() - 1);
        }
    }

    fn insert(&mut self, cell: [i64; 3], index: u32) {
        let mut slot = self.first_slot(cell);
        while self.slots[slot] != NONE {
            slot = (slot + 1) & (self.slots.len() - 1);
        }
        self.slots[slot] = index;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn welds_across_the_sides_of_cells_and_keeps_the_rest() {
        let tolerance = 1e-3;
        let side = CELL * tolerance;
        let given =
            [Vec3::ZERO, Vec3::splat(side - 1e-4), Vec3::splat(side + 1e-4), Vec3::splat(side + 3e-3), Vec3::ONE];
        let w = weld(&given, Aabb::around(given), tolerance);
        assert_eq!(w.became, vec![0, 1, 1, 2, 3]);
        assert_eq!(w.vertices.len(), 4);
    }
}
