//! A coarse grid over a mesh: which places are surely far from the surface, and on which side.
//!
//! Cells are marked that a triangle may touch; every other cell knows how many cells away the
//! nearest marked one is at least. Cells joined without crossing a marked one lie on one side of
//! the surface, so one exact answer serves all of them. A query in the open is then answered
//! without a search.

use std::collections::VecDeque;

use crate::{Aabb, Vec3};

/// Cells along the longest side, at least and at most: more would cost time to build, fewer leave less
/// in the open. Between them it is twice the cube root of the count of triangles, so that a small
/// mesh does not pay for a big one's grid.
const CELLS: [f64; 2] = [8.0, 44.0];

/// Which side of the surface a place is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Outside,
    Inside,
    /// Near the surface: it has to be found out.
    Unknown,
}

/// The grid; its outermost layer is free of triangles.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    min: Vec3,
    cell: f64,
    size: [usize; 3],
    /// Cells to the nearest marked one, at most 255; 0: marked.
    away: Vec<u8>,
    side: Vec<Side>,
}

impl Grid {
    /// Marks the cells of all triangles and counts the cells away from them.
    pub fn new(corners: &[[Vec3; 3]], bounds: Aabb) -> Self {
        let cells = (2.0 * (corners.len() as f64).cbrt()).clamp(CELLS[0], CELLS[1]);
        let cell = (bounds.size().max_element() / cells).max(1e-9);
        // Half a cell of play keeps a triangle's rounding out of the outermost layer.
        let size = bounds.size().to_array().map(|length| (length / cell).floor() as usize + 4);
        let min = bounds.centre() - Vec3::from_array(size.map(|n| 0.5 * cell * n as f64));
        let count = size.iter().product();
        let mut grid = Grid { min, cell, size, away: vec![255; count], side: vec![Side::Unknown; count] };
        for triangle in corners {
            grid.mark(triangle);
        }
        grid.count_away();
        grid
    }

    /// Asks `inside` once for each room of connected free cells.
    pub fn find_sides(&mut self, inside: impl Fn(Vec3) -> bool) {
        let mut queue = VecDeque::new();
        for start in 0..self.away.len() {
            if self.away[start] == 0 || self.side[start] != Side::Unknown {
                continue;
            }
            let side = if start > 0 && inside(self.centre(start)) { Side::Inside } else { Side::Outside };
            self.side[start] = side;
            queue.push_back(start);
            while let Some(cell) = queue.pop_front() {
                self.for_neighbours(cell, false, |grid, beside| {
                    if grid.away[beside] > 0 && grid.side[beside] == Side::Unknown {
                        grid.side[beside] = side;
                        queue.push_back(beside);
                    }
                });
            }
        }
    }

    /// The side of `p` as far as the grid knows it, and a lower bound of its distance, mm.
    pub fn look(&self, p: Vec3) -> (Side, f64) {
        let place = (p - self.min) / self.cell;
        if place.min_element() < 0.0 || (0..3).any(|axis| place[axis] >= self.size[axis] as f64) {
            return (Side::Outside, 0.0);
        }
        let index = self.index([place.x as usize, place.y as usize, place.z as usize]);
        (self.side[index], self.cell * f64::from(self.away[index].saturating_sub(1)))
    }

    fn index(&self, [x, y, z]: [usize; 3]) -> usize {
        (z * self.size[1] + y) * self.size[0] + x
    }

    fn place(&self, index: usize) -> [usize; 3] {
        let row = index / self.size[0];
        [index % self.size[0], row % self.size[1], row / self.size[1]]
    }

    fn centre(&self, index: usize) -> Vec3 {
        self.min + Vec3::from_array(self.place(index).map(|i| i as f64 + 0.5)) * self.cell
    }

    /// Marks the cells that a triangle's box and its plane both meet.
    fn mark(&mut self, triangle: &[Vec3; 3]) {
        let bounds = Aabb::around(*triangle);
        let cell_of = |p: Vec3| {
            let place = (p - self.min) / self.cell;
            [place.x as usize, place.y as usize, place.z as usize]
        };
        let play = Vec3::splat(self.cell * 1e-6);
        let (low, high) = (cell_of(bounds.min - play), cell_of(bounds.max + play));
        let normal = (triangle[1] - triangle[0]).cross(triangle[2] - triangle[0]).normalize_or_zero();
        let reach = normal.abs().element_sum() * self.cell * 0.5 + play.x;
        for z in low[2]..=high[2] {
            for y in low[1]..=high[1] {
                for x in low[0]..=high[0] {
                    let index = self.index([x, y, z]);
                    if self.away[index] != 0 && normal.dot(self.centre(index) - triangle[0]).abs() <= reach {
                        self.away[index] = 0;
                    }
                }
            }
        }
    }

    /// Counts cells from the marked ones outwards, over sides, edges and corners.
    fn count_away(&mut self) {
        let mut queue: VecDeque<usize> = (0..self.away.len()).filter(|&i| self.away[i] == 0).collect();
        while let Some(cell) = queue.pop_front() {
            let next = self.away[cell].saturating_add(1);
            self.for_neighbours(cell, true, |grid, beside| {
                if grid.away[beside] > next {
                    grid.away[beside] = next;
                    queue.push_back(beside);
                }
            });
        }
    }

    /// Calls `visit` for the 6 neighbours over the sides, or for all 26.
    fn for_neighbours(&mut self, cell: usize, all: bool, mut visit: impl FnMut(&mut Self, usize)) {
        let [x, y, z] = self.place(cell);
        let around = |i: usize, n: usize| i.saturating_sub(1)..=(i + 1).min(n - 1);
        for k in around(z, self.size[2]) {
            for j in around(y, self.size[1]) {
                for i in around(x, self.size[0]) {
                    let steps = i.abs_diff(x) + j.abs_diff(y) + k.abs_diff(z);
                    if steps == 1 || (all && steps > 1) {
                        let beside = self.index([i, j, k]);
                        visit(self, beside);
                    }
                }
            }
        }
    }
}
