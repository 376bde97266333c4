//! From text to a tree of tables, with every syntax error of the file.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, Error};

use crate::problem::{Problem, Problems};
use crate::source::Source;

/// Longest file that is read, bytes. A job of a thousand keep-outs takes 200 kB.
pub const LONGEST: usize = 4 << 20;
/// Times a file is read again with its broken lines blanked, to find what is wrong further down.
const AGAIN: usize = 12;

/// Most signs that begin or part values in a file. A bay of 2000 keep-outs has 60 000; the parser takes a hundred times
/// the memory of a file for one that consists of nothing else.
const MOST_SIGNS: usize = 200_000;

/// How many signs a file has that begin or part values, when that is more than is read.
pub fn too_full(bytes: &[u8]) -> Option<usize> {
    let count = bytes.iter().filter(|b| matches!(b, b'[' | b'{' | b',' | b'.' | b'=')).count();
    (count > MOST_SIGNS).then_some(count)
}

/// A text with its broken lines blanked out.
pub struct Settled {
    /// The text that was parsed in the end: broken lines are blank, so places stay the same.
    pub text: String,
    /// Syntax errors, one a line, in the order of the file.
    pub problems: Vec<Problem>,
    /// True when whole lines could not be read: then what seems to be missing may not be.
    pub broken: bool,
    /// Stretches under a heading that could not be read: their keys may belong elsewhere.
    pub unread: Vec<Range<usize>>,
}

/// The bytes of a file as text: UTF-8, a byte order mark at the start dropped.
///
/// # Errors
/// A problem for a file that is too long or not UTF-8.
pub fn decode(name: &str, bytes: &[u8]) -> Result<String, Problems> {
    if bytes.len() > LONGEST {
        let message = format!("{name} has more than {LONGEST} bytes");
        let problem = Problem::error("file-too-long", message).in_file(name).expected("some hundred lines of text");
        return Err(Problems::one(problem.hint("large shapes belong in mesh files")));
    }
    if let Some(count) = too_full(bytes) {
        let message = format!("{name} has {count} brackets, commas and points, more than any job needs");
        let problem = Problem::error("too-many", message).in_file(name);
        let problem = problem.expected(format!("at most {MOST_SIGNS}: some thousand keep-outs"));
        return Err(Problems::one(
            problem.hint("leave out what this job does not need; large shapes belong in mesh files"),
        ));
    }
    let body = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        let problem = Problem::error("not-utf8", format!("{name} is written in UTF-16")).in_file(name);
        return Err(Problems::one(problem.expected("text in UTF-8").hint("save it as UTF-8 in the editor")));
    }
    match std::str::from_utf8(body) {
        Ok(text) => Ok(text.to_string()),
        Err(error) => {
            let good = String::from_utf8_lossy(&body[..error.valid_up_to()]).into_owned();
            let at = good.len();
            let source = Source::new(name, good + "\u{fffd}");
            let message = format!("byte {} of the file is not text in UTF-8", error.valid_up_to());
            let problem = Problem::error("not-utf8", message).at(source.spot(&(at..at + 3))).expected("text in UTF-8");
            Err(Problems::one(problem.hint("save the file as UTF-8; letters such as \u{e9} take two bytes there")))
        }
    }
}

/// Finds every syntax error and makes the text readable.
///
/// Lines with errors are blanked and the text is parsed again, so that one broken line does not hide what is
/// wrong further down. A list that is not closed is taken out as a whole and said once.
pub fn settle(source: &Source) -> Settled {
    let mut tree = Settled { text: source.text().to_string(), problems: Vec::new(), broken: false, unread: Vec::new() };
    let mut last_line = 0;
    for _ in 0..AGAIN {
        let (_, errors) = DeTable::parse_recoverable(&tree.text);
        let mut blanks: Vec<Range<usize>> = Vec::new();
        for error in &errors {
            let span = error.span().unwrap_or(0..0);
            // A line that is blanked already is not looked at again: a long one may hold a hundred thousand errors.
            if blanks.last().is_some_and(|line| line.contains(&span.start)) {
                continue;
            }
            if let Some((open, lines)) = open_list(&tree.text, error, span.start) {
                tree.problems.push(unclosed(source, open));
                blanks.push(lines);
                break;
            }
            let line = source.spot(&span).line;
            let known = |p: &Problem| p.place.spot.as_ref().is_some_and(|s| s.line == line);
            if line > last_line && tree.problems.len() < 100 && !tree.problems.iter().any(known) {
                tree.problems.push(describe(source, error, span.clone()));
            }
            if !is_duplicate(error) {
                blanks.push(line_of(&tree.text, span.start));
            }
        }
        if blanks.is_empty() {
            break;
        }
        tree.broken = true;
        last_line =
            tree.problems.iter().filter_map(|p| p.place.spot.as_ref()).map(|s| s.line).max().unwrap_or(last_line);
        for lines in blanks {
            if tree.text[lines.clone()].trim_start().starts_with('[') {
                tree.unread.push(lines.start..next_heading(&tree.text, lines.end));
            }
            blank(&mut tree.text, lines);
        }
    }
    tree
}

/// The place where a list was opened that runs into the line of an error, and the lines it takes up.
fn open_list(text: &str, error: &Error, at: usize) -> Option<(usize, Range<usize>)> {
    if !error.message().contains("array") {
        return None;
    }
    let here = line_of(text, at);
    let mut line = here.clone();
    // A list of a job takes a few lines; forty are enough to look back.
    for _ in 0..40 {
        if line.start == 0 {
            return None;
        }
        line = line_of(text, line.start - 1);
        let body = text[line.clone()].split('#').next().unwrap_or("");
        let Some((_, value)) = body.split_once('=') else { continue };
        let opened = value.matches('[').count() > value.matches(']').count();
        let open = line.start + body.len() - value.len() + value.find('[').unwrap_or(0);
        return opened.then_some((open, line.start..here.start.saturating_sub(1).max(line.end)));
    }
    None
}

fn unclosed(source: &Source, open: usize) -> Problem {
    Problem::error("syntax", "the list that begins here is not closed")
        .at(source.spot(&(open..open + 1)))
        .expected("[...] with a comma between the values")
        .hint("close the list with `]`")
}

/// Start of the next line after `at` that is a heading, or the end of the text.
fn next_heading(text: &str, at: usize) -> usize {
    let rest = &text[at.min(text.len())..];
    rest.match_indices("\n[").next().map_or(text.len(), |(i, _)| at + i + 1)
}

/// The tree of a text that [`settle`] made readable.
pub fn parse(text: &str) -> Spanned<DeTable<'_>> {
    DeTable::parse_recoverable(text).0
}

fn is_duplicate(error: &Error) -> bool {
    error.message().contains("duplicate key")
}

fn line_of(text: &str, at: usize) -> Range<usize> {
    let at = at.min(text.len());
    let bytes = text.as_bytes();
    let from = bytes[..at].iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
    let to = bytes[at..].iter().position(|b| *b == b'\n').map_or(text.len(), |i| at + i);
    from..to
}

/// Replaces lines by as many blanks as they have bytes; line ends stay.
fn blank(text: &mut String, line: Range<usize>) {
    let blanks: String = text[line.clone()].bytes().map(|b| if b == b'\n' { '\n' } else { ' ' }).collect();
    text.replace_range(line, &blanks);
}

fn describe(source: &Source, error: &Error, span: Range<usize>) -> Problem {
    let line = source.text().get(line_of(source.text(), span.start)).unwrap_or("").trim();
    if is_duplicate(error) {
        let key = source.slice(&span).to_string();
        return Problem::error("duplicate-key", format!("`{key}` is given twice"))
            .at(source.spot(&span))
            .expected("each key once in its table")
            .hint("delete one of the two");
    }
    let (message, hint) = explain(line, error.message());
    Problem::error("syntax", message)
        .at(source.spot(&span))
        .expected("a line `key = value`, a heading `[table]` or `[[table]]`, or a `# comment`")
        .hint(hint)
}

/// What the line looks like it was meant to be.
fn explain(line: &str, message: &str) -> (String, String) {
    let plain = format!("this line cannot be read: {message}");
    let value = line.split_once('=').map(|(_, v)| v.trim());
    if message.contains("recurs") {
        return (
            "lists or tables are nested too deep".into(),
            "no value of a job is nested deeper than a list of lists".into(),
        );
    }
    if line.contains(['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}']) {
        return (plain, "use straight quotes: \"...\"".into());
    }
    if line.starts_with('[') && !line.contains('=') {
        return (plain, "a heading is written [tube], one of a list [[port]]".into());
    }
    match value {
        Some("") => (plain, "write the value after the `=`".into()),
        Some(value) if value.matches('"').count() % 2 == 1 => (plain, "close the text with a second `\"`".into()),
        Some(value) if value.starts_with(|c: char| c.is_ascii_digit() || c == '-') => {
            let first = value.split('#').next().unwrap_or(value).trim();
            if first.contains(',') {
                (plain, "decimals are written with a point: 1.5".into())
            } else {
                (plain, format!("a value with a unit or a fraction is written in quotes: \"{first}\""))
            }
        }
        Some(value) if value.starts_with(char::is_alphabetic) => {
            let first = value.split('#').next().unwrap_or(value).trim();
            (plain, format!("text is written in quotes: \"{first}\""))
        }
        Some(value) if value.starts_with('[') && !value.contains(']') => (plain, "close the list with `]`".into()),
        Some(value) if value.starts_with('{') && !value.contains('}') => (plain, "close the table with `}`".into()),
        Some(_) => (plain, "compare the line with the example in the manual".into()),
        None => (plain, "write `key = value`, or begin the line with # to make it a comment".into()),
    }
}
