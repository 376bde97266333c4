//! Letters raised on a tube: a plain font of five by seven fields.

/// Fields of a letter with the gap behind it, along the line of writing.
const PITCH: f64 = 6.0;
/// Rows of a letter.
const ROWS: f64 = 7.0;
/// Height by which letters stand out, mm: two or three layers of a printer (common practice, no source).
pub(crate) const HEIGHT: f64 = 0.6;

/// A word on the outside of a tube, written along it.
#[derive(Debug, Clone)]
pub(crate) struct Word {
    letters: Vec<[u8; 7]>,
    /// Side of a field, mm.
    field: f64,
    /// Station of its middle, mm.
    middle: f64,
    /// Angle of its middle around the tube, rad.
    angle: f64,
}

impl Word {
    /// A word around `middle`, no longer than `room` mm; `None` where its fields would be too small to print.
    pub(crate) fn new(text: &str, middle: f64, angle: f64, room: f64) -> Option<Word> {
        let letters: Vec<[u8; 7]> = text.chars().map(glyph).collect();
        let field = (room / (PITCH * letters.len().max(1) as f64)).min(1.1);
        (field >= 0.6 && !letters.is_empty()).then_some(Word { letters, field, middle, angle })
    }

    /// Half its length along the tube, mm.
    pub(crate) fn half_length(&self) -> f64 {
        0.5 * PITCH * self.field * self.letters.len() as f64
    }

    /// Whether the surface stands out at that station and angle of a tube of outside radius `r`.
    pub(crate) fn is_raised(&self, station: f64, angle: f64, r: f64) -> bool {
        let along = (station - self.middle + self.half_length()) / self.field;
        let turn = (angle - self.angle + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI;
        let down = turn * r / self.field + 0.5 * ROWS;
        if along < 0.0 || !(0.0..ROWS).contains(&down) {
            return false;
        }
        let (letter, column) = ((along / PITCH) as usize, (along % PITCH) as u32);
        let row = self.letters.get(letter).map_or(0, |l| l[down as usize]);
        column < 5 && row >> (4 - column) & 1 == 1
    }
}

/// The rows of a letter from its top, five bits each; what is not known is a filled block.
fn glyph(c: char) -> [u8; 7] {
    match c.to_ascii_uppercase() {
        '0' => [14, 17, 19, 21, 25, 17, 14],
        '1' => [4, 12, 4, 4, 4, 4, 14],
        '2' => [14, 17, 1, 2, 4, 8, 31],
        '3' => [31, 2, 4, 2, 1, 17, 14],
        '4' => [2, 6, 10, 18, 31, 2, 2],
        '5' => [31, 16, 30, 1, 1, 17, 14],
        '6' => [6, 8, 16, 30, 17, 17, 14],
        '7' => [31, 1, 2, 4, 8, 8, 8],
        '8' => [14, 17, 17, 14, 17, 17, 14],
        '9' => [14, 17, 17, 15, 1, 2, 12],
        'A' => [14, 17, 17, 31, 17, 17, 17],
        'B' => [30, 17, 17, 30, 17, 17, 30],
        'C' => [14, 17, 16, 16, 16, 17, 14],
        'D' => [28, 18, 17, 17, 17, 18, 28],
        'E' => [31, 16, 16, 30, 16, 16, 31],
        'F' => [31, 16, 16, 30, 16, 16, 16],
        'G' => [14, 17, 16, 23, 17, 17, 15],
        'H' => [17, 17, 17, 31, 17, 17, 17],
        'I' => [14, 4, 4, 4, 4, 4, 14],
        'J' => [7, 2, 2, 2, 2, 18, 12],
        'K' => [17, 18, 20, 24, 20, 18, 17],
        'L' => [16, 16, 16, 16, 16, 16, 31],
        'M' => [17, 27, 21, 21, 17, 17, 17],
        'N' => [17, 25, 21, 19, 17, 17, 17],
        'O' => [14, 17, 17, 17, 17, 17, 14],
        'P' => [30, 17, 17, 30, 16, 16, 16],
        'Q' => [14, 17, 17, 17, 21, 18, 13],
        'R' => [30, 17, 17, 30, 20, 18, 17],
        'S' => [15, 16, 16, 14, 1, 1, 30],
        'T' => [31, 4, 4, 4, 4, 4, 4],
        'U' => [17, 17, 17, 17, 17, 17, 14],
        'V' => [17, 17, 17, 17, 17, 10, 4],
        'W' => [17, 17, 17, 21, 21, 21, 10],
        'X' => [17, 17, 10, 4, 10, 17, 17],
        'Y' => [17, 17, 17, 10, 4, 4, 4],
        'Z' => [31, 1, 2, 4, 8, 16, 31],
        '-' => [0, 0, 0, 31, 0, 0, 0],
        ' ' => [0; 7],
        _ => [31; 7],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_one_stands_out_where_its_stem_is() {
        let word = Word::new("1", 50.0, 0.0, 100.0).unwrap();
        // The stem is the third of five columns, in all rows.
        let stem = 50.0 - word.half_length() + 2.5 * word.field;
        assert!((-3..=3).all(|row| word.is_raised(stem, f64::from(row) * word.field / 20.0, 20.0)));
        assert!(!word.is_raised(stem + 2.0 * word.field, 0.0, 20.0) && !word.is_raised(stem, 0.5, 20.0));
    }

    #[test]
    fn a_word_without_room_is_left_out() {
        assert!(Word::new("1B-2", 5.0, 0.0, 10.0).is_none());
    }
}
