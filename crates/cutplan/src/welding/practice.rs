//! Fit-up, tacks and shrinkage: figures of practice, each with where it comes from in docs/welding.md.

use std::f64::consts::PI;

use route::torch::PLACES;

/// From this wall on, mm, edges are bevelled: common practice, no source; the bevel itself is that of ASME B16.25 (from memory).
const BEVEL_WALL: f64 = 3.2;

/// Up to this wall, mm, square edges are butted without a gap: common practice, no source.
const TIGHT_WALL: f64 = 2.3;

/// How two edges are prepared and set to one another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FitUp {
    /// Root gap, least and most, mm.
    pub gap: [f64; 2],
    /// Bevel on each edge, rad, and the root face that is left, mm; `None`: square edges.
    pub bevel: Option<[f64; 2]>,
    /// Most step between the two inner edges, mm.
    pub step: f64,
}

/// Fit-up of a wall, mm. Titanium and other purged thin tube is butted tight, so that shielding gas does not escape through the gap.
///
/// Gaps and steps: common practice, no source. Bevel 37.5 degrees with a root face of 1.6 mm: ASME B16.25 (from memory).
pub fn fit_up(wall: f64) -> FitUp {
    let step = (0.15 * wall).min(0.8);
    match wall {
        w if w < TIGHT_WALL => FitUp { gap: [0.0, 0.1 * w], bevel: None, step },
        w if w < BEVEL_WALL => FitUp { gap: [0.0, 0.5 * w], bevel: None, step },
        _ => FitUp { gap: [1.6, 2.4], bevel: Some([37.5 * PI / 180.0, 1.6]), step },
    }
}

/// How much shorter a run gets at one butt weld, mm.
///
/// S = 0.2 A / t + 0.05 g of Spraragen and Ettinger (1950, as quoted by Blodgett, from memory), with A the area of the weld, t the wall and g the
/// gap. A / t is the mean width of the weld: t + 1.2 mm for a square edge melted through (common practice, no source), and with a bevel b
/// half of its opening, (t - root face) tan b, more.
pub fn shrinkage(wall: f64) -> f64 {
    let fit = fit_up(wall);
    let opening = fit.bevel.map_or(0.0, |[angle, face]| (wall - face).max(0.0) * angle.tan());
    0.2 * (wall + 1.2 + opening) + 0.05 * fit.gap[1]
}

/// Tacks on a tube of that outside diameter, mm: about one for every 35 mm around, three at least (common practice, no source).
pub fn tack_count(od: f64) -> usize {
    match od {
        d if d < 35.0 => 3,
        d if d < 65.0 => 4,
        d if d < 90.0 => 6,
        _ => 8,
    }
}

/// Hours at which to tack, of those that are reached: as even as they allow, opposite ones one after the other. Fewer than `count` where
/// fewer places are reached.
pub fn tack_places(reached: &[bool; PLACES], count: usize) -> Vec<usize> {
    let free: Vec<usize> = (0..PLACES).filter(|k| reached[*k]).collect();
    let apart = |a: usize, b: usize| a.abs_diff(b).min(PLACES - a.abs_diff(b));
    // From every first place the farthest from those chosen comes next: opposite ones follow each other.
    let from = |first: usize| {
        let mut chosen = vec![first];
        while chosen.len() < count.min(free.len()) {
            let least = |k: usize| chosen.iter().map(|c| apart(*c, k)).min().unwrap_or(0);
            let rest = free.iter().copied().filter(|k| !chosen.contains(k));
            let Some(next) = rest.reduce(|best, k| if least(k) > least(best) { k } else { best }) else { break };
            chosen.push(next);
        }
        chosen
    };
    let narrowest = |chosen: &[usize]| {
        let pairs = chosen.iter().enumerate().flat_map(|(i, a)| chosen[..i].iter().map(move |b| apart(*a, *b)));
        pairs.min().unwrap_or(PLACES)
    };
    let best = free.iter().map(|k| from(*k)).reduce(|b, c| if narrowest(&c) > narrowest(&b) { c } else { b });
    best.unwrap_or_default().into_iter().map(|k| if k == 0 { 12 } else { k }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_tacks_are_a_quarter_apart_and_opposite_ones_follow_each_other() {
        assert_eq!(tack_places(&[true; PLACES], 4), [12, 6, 3, 9]);
        let mut half = [false; PLACES];
        half[2..8].fill(true);
        assert_eq!(tack_places(&half, 3), [2, 7, 4]);
        assert!(tack_places(&[false; PLACES], 4).is_empty());
    }

    #[test]
    fn thin_walls_are_butted_and_thick_ones_bevelled() {
        assert_eq!(fit_up(1.65).gap[0], 0.0);
        assert!(fit_up(1.65).bevel.is_none() && fit_up(2.77).bevel.is_none() && fit_up(3.91).bevel.is_some());
        // 0.2 x (1.65 + 1.2) + 0.05 x 0.165.
        assert!((shrinkage(1.65) - 0.578_25).abs() < 1e-9);
    }
}
