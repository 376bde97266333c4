//! Sizes of paper, and the part of a page that can be drawn on.

use std::str::FromStr;

/// A size of paper. ISO 216 (A4, A3) and ANSI/ASME Y14.1 sizes A and B (Letter, Tabloid).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 x 297 mm.
    #[default]
    A4,
    /// 8 1/2 x 11 in.
    Letter,
    /// 297 x 420 mm.
    A3,
    /// 11 x 17 in.
    Tabloid,
}

/// Room left at the sides, mm. Most printers need 4 to 6 mm; the rest is for fingers and a clamp.
pub const SIDE: f64 = 12.0;

/// Room above, with the head of the page, mm.
pub const TOP: f64 = 21.0;

/// Room below, with the foot of the page, mm.
pub const BOTTOM: f64 = 15.0;

impl Paper {
    /// All sizes.
    pub const ALL: [Paper; 4] = [Paper::A4, Paper::Letter, Paper::A3, Paper::Tabloid];

    /// The word that asks for it.
    pub fn word(self) -> &'static str {
        match self {
            Paper::A4 => "a4",
            Paper::Letter => "letter",
            Paper::A3 => "a3",
            Paper::Tabloid => "tabloid",
        }
    }

    /// Width and height of an upright page, mm.
    pub fn size(self) -> [f64; 2] {
        match self {
            Paper::A4 => [210.0, 297.0],
            Paper::Letter => [215.9, 279.4],
            Paper::A3 => [297.0, 420.0],
            Paper::Tabloid => [279.4, 431.8],
        }
    }

    /// Width and height that a sheet has for its blocks, mm.
    pub fn room(self, wide: bool) -> [f64; 2] {
        let [w, h] = self.size();
        let [w, h] = if wide { [h, w] } else { [w, h] };
        [w - 2.0 * SIDE, h - TOP - BOTTOM]
    }
}

impl FromStr for Paper {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let found = Paper::ALL.into_iter().find(|p| p.word() == word);
        found.ok_or_else(|| format!("`{word}` is no size of paper; expected a4, letter, a3 or tabloid"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_has_room_for_a_check_bar_both_ways() {
        for paper in Paper::ALL {
            for wide in [false, true] {
                let [w, h] = paper.room(wide);
                assert!(w > 150.0 && h > 150.0, "{paper:?}");
            }
            assert_eq!(paper.word().parse(), Ok(paper));
        }
        assert!("a5".parse::<Paper>().unwrap_err().contains("a4, letter"));
    }
}
