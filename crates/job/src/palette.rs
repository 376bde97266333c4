//! Colours of runs: the one place from which page, sheets, pictures and exports take them.
//!
//! Seven of the eight are of the palette of Okabe and Ito (Color Universal Design, 2008), which colour-blind readers can tell apart (values from
//! memory); its yellow is darkened so that it shows on white paper, its black gives way to grey. Runs are coloured in their order, never by
//! radius; a number or a line pattern always says the same without colour. `web/src/view3d/palette.ts` has the same list, held to this one
//! by a test of `app`.

/// Red, green and blue of each colour, sRGB.
pub const RUN_COLOURS: [[u8; 3]; 8] = [
    [0x00, 0x72, 0xb2],
    [0xe6, 0x9f, 0x00],
    [0x00, 0x9e, 0x73],
    [0xd5, 0x5e, 0x00],
    [0x56, 0xb4, 0xe9],
    [0xcc, 0x79, 0xa7],
    [0x96, 0x8c, 0x14],
    [0x8a, 0x8f, 0x98],
];

/// The colour of a run by its place among the runs, from 0; the ninth has that of the first.
pub fn run_colour(place: usize) -> [u8; 3] {
    RUN_COLOURS[place % RUN_COLOURS.len()]
}

/// The same as web pages write it: `#0072b2`.
pub fn run_colour_hex(place: usize) -> String {
    let [red, green, blue] = run_colour(place);
    format!("#{red:02x}{green:02x}{blue:02x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_written_as_six_digits() {
        assert_eq!(run_colour_hex(0), "#0072b2");
        assert_eq!(run_colour_hex(8), run_colour_hex(0));
    }
}
