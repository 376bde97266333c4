//! A coarse field of lower bounds on the distance to a mesh, filled as the search comes by.
//!
//! The distance changes by at most 1 mm per mm, so the exact distance at a cell's middle less the way there bounds
//! it from below anywhere in the cell. Most points that a search looks at are clear of the mesh
//! by more than that and need no exact query of their own. A cell's value depends on nothing but its place: it
//! does not matter which thread fills it first.

use std::sync::atomic::{AtomicU32, Ordering};

use geom::{Aabb, Solid, Vec3};

/// Edge of a cell, mm. Half as much makes eight times as many cells to fill; twice as much makes
/// the bound too loose to tell a clear tube.
const CELL: f64 = 14.0;

/// Most cells; larger fields get larger cells.
const MOST: f64 = 2e6;

/// Distances beyond this are not sought, mm: what bounds them without a search is taken.
const FAR: f64 = 90.0;

/// Not filled yet: no distance has these bits.
const EMPTY: u32 = u32::MAX;

/// The field of one mesh.
#[derive(Debug)]
pub struct Field {
    from: Vec3,
    edge: f64,
    size: [usize; 3],
    cells: Vec<AtomicU32>,
}

impl Field {
    /// An empty field around `bounds`, reaching `reach` mm beyond.
    pub fn new(bounds: &Aabb, reach: f64) -> Self {
        let bounds = bounds.grown(reach);
        let span = bounds.size();
        let edge = CELL.max((span.x * span.y * span.z / MOST).cbrt());
        let count = |length: f64| (length / edge).ceil().max(1.0) as usize;
        let size = [count(span.x), count(span.y), count(span.z)];
        let cells = (0..size[0] * size[1] * size[2]).map(|_| AtomicU32::new(EMPTY)).collect();
        Field { from: bounds.centre() - span * 0.5, edge, size, cells }
    }

    /// A lower bound on the distance from `p` to `solid`, mm (negative inside); `None` outside of the field.
    pub fn below(&self, solid: &Solid, p: Vec3) -> Option<f64> {
        let at = (p - self.from) / self.edge;
        if !(at.x >= 0.0 && at.y >= 0.0 && at.z >= 0.0) {
            return None;
        }
        let [i, j, k] = [at.x as usize, at.y as usize, at.z as usize];
        if i >= self.size[0] || j >= self.size[1] || k >= self.size[2] {
            return None;
        }
        let cell = &self.cells[(k * self.size[1] + j) * self.size[0] + i];
        let middle = self.from + Vec3::new(i as f64 + 0.5, j as f64 + 0.5, k as f64 + 0.5) * self.edge;
        let mut bits = cell.load(Ordering::Relaxed);
        if bits == EMPTY {
            // The hundredth covers the rounding to single precision.
            bits = ((solid.nearest(middle, FAR).distance - 0.01) as f32).to_bits();
            cell.store(bits, Ordering::Relaxed);
        }
        Some(f64::from(f32::from_bits(bits)) - (p - middle).length())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bound_is_never_above_the_distance() {
        let solid = Solid::Sphere { center: Vec3::new(10.0, 20.0, 30.0), radius: 40.0 };
        let field = Field::new(&solid.bounds(), 60.0);
        let mut rng = oorandom::Rand64::new(3);
        for _ in 0..2000 {
            let p = Vec3::new(rng.rand_float(), rng.rand_float(), rng.rand_float()) * 180.0 - Vec3::splat(70.0);
            if let Some(bound) = field.below(&solid, p) {
                let exact = solid.distance(p);
                assert!(bound <= exact && bound > exact - 27.0 || exact > FAR - 13.0);
            }
        }
    }
}
