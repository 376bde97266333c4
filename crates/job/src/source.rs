//! The text of a file and the places in it.

use std::ops::Range;

/// Longest stretch of a line that is shown with a problem, characters.
const EXCERPT: usize = 100;

/// A file's text with the starts of its lines.
#[derive(Debug, Clone)]
pub struct Source {
    /// How the file is called in messages.
    pub name: String,
    text: String,
    /// Byte offset of the start of each line.
    lines: Vec<usize>,
}

/// Where in a file, and what stands there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spot {
    /// Name of the file in messages.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Bytes from the start of the file.
    pub span: Range<usize>,
    /// The line, or the part of it around the place when it is long.
    pub excerpt: String,
    /// Characters of `excerpt` before the underlined ones.
    pub mark_from: usize,
    /// Number of underlined characters, at least 1.
    pub mark_len: usize,
}

impl Source {
    /// A text called `name` in messages.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        let text = text.into();
        let lines = std::iter::once(0).chain(text.match_indices('\n').map(|(i, _)| i + 1)).collect();
        Source { name: name.into(), text, lines }
    }

    /// Text of the whole file.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The stretch of text at `span`, as far as it lies in the text.
    pub fn slice(&self, span: &Range<usize>) -> &str {
        let span = self.clamp(span);
        &self.text[span]
    }

    /// Line and column of `span` and the text around it.
    pub fn spot(&self, span: &Range<usize>) -> Spot {
        let span = self.clamp(span);
        let line = self.lines.partition_point(|start| *start <= span.start).max(1);
        let from = self.lines[line - 1];
        let to = self.lines.get(line).map_or(self.text.len(), |next| next - 1);
        let whole = self.text[from..to].trim_end_matches('\r');
        let before = self.text[from..span.start.min(from + whole.len())].chars().count();
        let marked_to = span.end.clamp(span.start, to.max(span.start));
        let marked = self.text[span.start..marked_to].trim_end().chars().count().max(1);
        let skip = if before > EXCERPT * 3 / 4 { before - EXCERPT / 4 } else { 0 };
        let excerpt: String = whole
            .chars()
            .skip(skip)
            .take(EXCERPT)
            .map(|c| if c.is_control() { if c == '\t' { ' ' } else { '\u{fffd}' } } else { c })
            .collect();
        let mark_from = before - skip;
        let mark_len = marked.min(excerpt.chars().count().saturating_sub(mark_from).max(1));
        Spot { file: self.name.clone(), line, column: before + 1, span, excerpt, mark_from, mark_len }
    }

    fn clamp(&self, span: &Range<usize>) -> Range<usize> {
        let floor = |mut at: usize| {
            at = at.min(self.text.len());
            while !self.text.is_char_boundary(at) {
                at -= 1;
            }
            at
        };
        let start = floor(span.start);
        start..floor(span.end).max(start)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_counted_in_characters_from_one() {
        let source = Source::new("job.toml", "a = 1\r\nname = \"\u{e9}t\u{e9}\" # \u{2300}\r\nc = 3");
        let spot = source.spot(&(7 + 7..7 + 7 + 7));
        assert_eq!((spot.line, spot.column, spot.mark_len), (2, 8, 5));
        assert_eq!(spot.excerpt, "name = \"\u{e9}t\u{e9}\" # \u{2300}");
        assert_eq!(source.spot(&(999..1000)).line, 3);
    }

    #[test]
    fn a_span_inside_a_character_or_over_lines_is_cut_to_what_can_be_shown() {
        let source = Source::new("x", "\u{e9}\u{e9}\nb");
        assert_eq!(source.spot(&(1..3)).column, 1);
        let spot = source.spot(&(0..6));
        assert_eq!((spot.mark_from, spot.mark_len), (0, 2));
    }
}
