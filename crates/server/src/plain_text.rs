//! Visible text: names and labels without invisible or deceptive characters.

/// Invisible characters that are neither blanks nor control characters, from the Unicode property
/// Default_Ignorable_Code_Point (Unicode Character Database, DerivedCoreProperties.txt, from memory), with the blank
/// Braille pattern.
const INVISIBLE: [(char, char); 16] = [
    ('\u{ad}', '\u{ad}'),
    ('\u{34f}', '\u{34f}'),
    ('\u{61c}', '\u{61c}'),
    ('\u{115f}', '\u{1160}'),
    ('\u{17b4}', '\u{17b5}'),
    ('\u{180b}', '\u{180f}'),
    ('\u{200b}', '\u{200f}'),
    ('\u{202a}', '\u{202e}'),
    ('\u{2060}', '\u{206f}'),
    ('\u{2800}', '\u{2800}'),
    ('\u{3164}', '\u{3164}'),
    ('\u{fe00}', '\u{fe0f}'),
    ('\u{feff}', '\u{feff}'),
    ('\u{ffa0}', '\u{ffa0}'),
    ('\u{fff0}', '\u{fffb}'),
    ('\u{e0000}', '\u{e0fff}'),
];

/// Whether a character is visible.
pub fn is_visible(c: char) -> bool {
    let invisible = INVISIBLE.iter().any(|(first, last)| (*first..=*last).contains(&c));
    !(c.is_control() || c.is_whitespace() || invisible)
}

/// Characters that change the writing direction or have no width: they could make one name look like another. (Joiners and
/// directional marks are part of the spelling of some scripts.)
fn is_deceptive(c: char) -> bool {
    matches!(c, '\u{200b}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// A text without control and deceptive characters; empty when nothing of it is visible.
pub fn clean(text: &str) -> String {
    if !text.chars().any(is_visible) {
        return String::new();
    }
    text.chars().filter(|c| !c.is_control() && !is_deceptive(*c)).collect::<String>().trim().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_show_nothing_are_empty() {
        for blank in ["", "  ", "\u{200b}", "\u{202e}\u{202e}", "\u{feff} \u{2060}", "\u{3164}", "\0\n\t", "\u{200d}"] {
            assert_eq!(clean(blank), "", "{blank:?}");
        }
    }

    #[test]
    fn what_could_deceive_is_taken_out_and_spelling_stays() {
        assert_eq!(clean(" four\u{202e} into\u{200b} one\0 "), "four into one");
        assert_eq!(clean("\u{645}\u{6cc}\u{200c}\u{62e}"), "\u{645}\u{6cc}\u{200c}\u{62e}");
    }
}
