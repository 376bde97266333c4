//! A photo as grey pixels. The centre of the first pixel is at 0, 0.

use glam::DVec2;

/// Grey pixels, row by row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grey {
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Brightness, 0 to 255.
    pub pixels: Vec<u8>,
}

impl Grey {
    /// A photo; `None` when the number of pixels is not width times height.
    pub fn new(width: usize, height: usize, pixels: Vec<u8>) -> Option<Grey> {
        (width.checked_mul(height) == Some(pixels.len()) && width > 0 && height > 0).then_some(Grey {
            width,
            height,
            pixels,
        })
    }

    /// One pixel.
    pub fn at(&self, x: usize, y: usize) -> u8 {
        self.pixels[y * self.width + x]
    }

    /// Brightness between pixels; `None` outside.
    pub fn sample(&self, p: DVec2) -> Option<f64> {
        let (x, y) = (p.x.floor(), p.y.floor());
        if !(x >= 0.0 && y >= 0.0 && x + 1.0 < self.width as f64 && y + 1.0 < self.height as f64) {
            return None;
        }
        let (u, v) = (p.x - x, p.y - y);
        let i = y as usize * self.width + x as usize;
        let value = |i: usize| f64::from(self.pixels[i]);
        let (above, below) = (
            value(i) * (1.0 - u) + value(i + 1) * u,
            value(i + self.width) * (1.0 - u) + value(i + self.width + 1) * u,
        );
        Some(above * (1.0 - v) + below * v)
    }

    /// Means of squares of `by` pixels; what is left over at the right and below is dropped.
    pub fn shrunk(&self, by: usize) -> Grey {
        let (width, height) = ((self.width / by).max(1), (self.height / by).max(1));
        let mut pixels = Vec::with_capacity(width * height);
        let mut sums = vec![0u32; width];
        for y in 0..height {
            sums.fill(0);
            for row in 0..by.min(self.height) {
                let from = (y * by + row) * self.width;
                for (sum, block) in sums.iter_mut().zip(self.pixels[from..from + self.width].chunks(by)) {
                    *sum += block.iter().map(|v| u32::from(*v)).sum::<u32>();
                }
            }
            pixels.extend(sums.iter().map(|s| (s / (by * by) as u32) as u8));
        }
        Grey { width, height, pixels }
    }

    /// True where a pixel is darker by `margin` than the mean of the square of `2 half + 1` pixels around it.
    pub fn darker_than_around(&self, half: usize, margin: i64) -> Vec<bool> {
        let (w, h) = (self.width, self.height);
        let mut dark = vec![false; w * h];
        // Sums of the columns of the square, moved down row by row; sums along a row are moved to the right.
        let mut columns = vec![0i64; w];
        let (mut top, mut bottom) = (0, 0);
        for y in 0..h {
            while bottom < (y + half + 1).min(h) {
                for (c, v) in columns.iter_mut().zip(&self.pixels[bottom * w..(bottom + 1) * w]) {
                    *c += i64::from(*v);
                }
                bottom += 1;
            }
            while top + half < y {
                for (c, v) in columns.iter_mut().zip(&self.pixels[top * w..(top + 1) * w]) {
                    *c -= i64::from(*v);
                }
                top += 1;
            }
            let rows = (bottom - top) as i64;
            let mut sum: i64 = columns[..(half + 1).min(w)].iter().sum();
            for x in 0..w {
                let (left, right) = (x.saturating_sub(half), (x + half + 1).min(w));
                let count = rows * (right - left) as i64;
                dark[y * w + x] = (i64::from(self.pixels[y * w + x]) + margin) * count < sum;
                if x + half + 1 < w {
                    sum += columns[x + half + 1];
                }
                if x >= half {
                    sum -= columns[x - half];
                }
            }
        }
        dark
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mean_around_is_that_of_a_plain_sum() {
        let (w, h) = (23, 17);
        let grey = Grey::new(w, h, (0..w * h).map(|i| (i * 37 % 251) as u8).collect()).unwrap();
        let dark = grey.darker_than_around(4, 3);
        for y in 0..h {
            for x in 0..w {
                let (mut sum, mut count) = (0, 0);
                for v in y.saturating_sub(4)..(y + 5).min(h) {
                    for u in x.saturating_sub(4)..(x + 5).min(w) {
                        sum += i64::from(grey.at(u, v));
                        count += 1;
                    }
                }
                assert_eq!(dark[y * w + x], (i64::from(grey.at(x, y)) + 3) * count < sum, "{x} {y}");
            }
        }
    }
}
