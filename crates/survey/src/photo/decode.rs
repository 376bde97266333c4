//! Reads the number of a marker inside a dark quadrangle.

use glam::DVec2;

use super::codes::{BITS, CODES};
use super::grey::Grey;
use super::homography::Homography;

/// Most wrong bits that are put right; codes differ in 11.
const MOST_WRONG: u32 = 2;
/// Least difference of white and black, grey levels.
const LEAST_CONTRAST: f64 = 18.0;

/// A number that was read.
#[derive(Debug, Clone, Copy)]
pub struct Decoded {
    /// Number in the family.
    pub tag: u32,
    /// Wrong bits.
    pub wrong: u32,
    /// Corners from the marker's own upper left, clockwise as seen, turned so that the marker is upright.
    pub corners: [DVec2; 4],
    /// Grey levels of white and black there.
    pub levels: [f64; 2],
}

/// The corners of the square in the marker's own plane: x right, y down, half a side is 1.
pub const SQUARE: [DVec2; 4] =
    [DVec2::new(-1.0, -1.0), DVec2::new(1.0, -1.0), DVec2::new(1.0, 1.0), DVec2::new(-1.0, 1.0)];

/// The cells of a marker, upright, row by row: true is white. Numbers beyond the family give the last one.
pub fn marker_cells(tag: u32) -> [[bool; 8]; 8] {
    let code = CODES[(tag as usize).min(CODES.len() - 1)];
    let mut cells = [[false; 8]; 8];
    for (k, (x, y)) in BITS.into_iter().enumerate() {
        cells[usize::from(y)][usize::from(x)] = code >> (35 - k) & 1 == 1;
    }
    cells
}

/// Reads the quadrangle of these corners, clockwise as seen, in pixels of the full photo.
pub fn decode(grey: &Grey, corners: [DVec2; 4]) -> Option<Decoded> {
    let pairs: Vec<(DVec2, DVec2)> = SQUARE.into_iter().zip(corners).collect();
    let map = Homography::of(&pairs)?;
    // Cells are a quarter of the half side; cell 0 is the black border, -1 and 8 the white rim.
    let cell = |x: f64, y: f64| -> Option<f64> {
        let middle = DVec2::new((x + 0.5) / 4.0 - 1.0, (y + 0.5) / 4.0 - 1.0);
        let around = [(0.0, 0.0), (0.05, 0.0), (-0.05, 0.0), (0.0, 0.05), (0.0, -0.05)];
        around
            .iter()
            .map(|(u, v)| grey.sample(map.map(middle + DVec2::new(*u, *v))))
            .sum::<Option<f64>>()
            .map(|s| s / 5.0)
    };
    let (mut white, mut black) = (Plane::default(), Plane::default());
    for i in 0..8 {
        let t = f64::from(i);
        for (x, y) in [(t, -1.0), (t, 8.0), (-1.0, t), (8.0, t)] {
            white.add(x, y, cell(x, y)?);
        }
        for (x, y) in [(t, 0.0), (t, 7.0), (0.0, t), (7.0, t)] {
            black.add(x, y, cell(x, y)?);
        }
    }
    let (white, black) = (white.fit()?, black.fit()?);
    let middle = |p: &[f64; 3]| p[0] + 3.5 * (p[1] + p[2]);
    if middle(&white) - middle(&black) < LEAST_CONTRAST {
        return None;
    }
    let limit = |x: f64, y: f64| 0.5 * (value(&white, x, y) + value(&black, x, y));
    let mut grid = [[false; 8]; 8];
    for (y, row) in grid.iter_mut().enumerate() {
        for (x, bit) in row.iter_mut().enumerate() {
            *bit = cell(x as f64, y as f64)? > limit(x as f64, y as f64);
        }
    }
    let rim = (0..8).flat_map(|i| [(i, 0), (i, 7), (0, i), (7, i)]).filter(|(x, y)| grid[*y][*x]).count();
    if rim > 4 {
        return None;
    }
    let (tag, wrong, turns) = best(&grid)?;
    let turned = [0, 1, 2, 3].map(|i| corners[(i + turns) % 4]);
    Some(Decoded { tag, wrong, corners: turned, levels: [middle(&white), middle(&black)] })
}

/// The marker whose code comes nearest, and by how many quarter turns clockwise its upper left corner comes later.
fn best(grid: &[[bool; 8]; 8]) -> Option<(u32, u32, usize)> {
    let mut found: Option<(u32, u32, usize)> = None;
    for turns in 0..4 {
        let mut code = 0u64;
        for (x, y) in BITS {
            let (x, y) = (usize::from(x), usize::from(y));
            // Where the cell lies in the photo's square when the marker is turned clockwise by `turns`.
            let (u, v) = match turns {
                0 => (x, y),
                1 => (7 - y, x),
                2 => (7 - x, 7 - y),
                _ => (y, 7 - x),
            };
            code = code << 1 | u64::from(grid[v][u]);
        }
        for (tag, known) in CODES.iter().enumerate() {
            let wrong = (code ^ known).count_ones();
            if wrong <= MOST_WRONG && found.is_none_or(|f| wrong < f.1) {
                found = Some((tag as u32, wrong, turns));
            }
        }
    }
    found
}

/// Brightness as a + b x + c y, by least squares: light falls off across a marker.
#[derive(Default)]
struct Plane {
    samples: Vec<[f64; 3]>,
}

impl Plane {
    fn add(&mut self, x: f64, y: f64, value: f64) {
        self.samples.push([x, y, value]);
    }

    fn fit(&self) -> Option<[f64; 3]> {
        let mut normal = crate::matrix::Symmetric::zero(3);
        let mut right = vec![0.0; 3];
        for [x, y, v] in &self.samples {
            let row = [(0, 1.0), (1, *x), (2, *y)];
            normal.add_outer(&row, 1.0);
            row.iter().for_each(|(i, d)| right[*i] += d * v);
        }
        let p = normal.factor()?.solve(&right);
        Some([p[0], p[1], p[2]])
    }
}

fn value(p: &[f64; 3], x: f64, y: f64) -> f64 {
    p[0] + p[1] * x + p[2] * y
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_eleven_bits_apart() {
        for (i, a) in CODES.iter().enumerate() {
            assert!(CODES[..i].iter().all(|b| (a ^ b).count_ones() >= 11));
        }
    }

    /// A drawing of a marker, upright, 10 pixels a cell.
    fn drawing(tag: usize) -> Grey {
        let mut pixels = vec![230u8; 140 * 140];
        let mut fill = |x: usize, y: usize, v: u8| {
            for py in 0..10 {
                for px in 0..10 {
                    pixels[(30 + 10 * y + py) * 140 + 30 + 10 * x + px] = v;
                }
            }
        };
        (0..64).for_each(|i| fill(i % 8, i / 8, 20));
        let cells = marker_cells(tag as u32);
        (0..64).filter(|i| cells[i / 8][i % 8]).for_each(|i| fill(i % 8, i / 8, 230));
        Grey::new(140, 140, pixels).unwrap()
    }

    #[test]
    fn a_marker_is_read_whichever_way_it_is_turned() {
        let corners = [(29.5, 29.5), (109.5, 29.5), (109.5, 109.5), (29.5, 109.5)].map(|(x, y)| DVec2::new(x, y));
        for tag in [0, 5, 300, 586] {
            let grey = drawing(tag);
            for turn in 0..4 {
                let turned = [0, 1, 2, 3].map(|i| corners[(i + turn) % 4]);
                let read = decode(&grey, turned).unwrap();
                assert_eq!((read.tag, read.wrong, read.corners), (tag as u32, 0, corners));
            }
        }
    }
}
