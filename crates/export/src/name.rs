//! Names of files that every system takes.

/// Longest name, characters and bytes. File systems take 255 bytes; folders, numbers and endings come on top.
const MOST: (usize, usize) = (60, 160);

/// A name for a file from any text: letters and digits of every script stay; blanks and what a shell, a
/// path or a system reads in its own way become `-`. Never empty, never a name that a system keeps for itself.
pub fn file_name(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        let c = if keeps(c) { c } else { '-' };
        if c == '-' && (out.is_empty() || out.ends_with('-')) {
            continue;
        }
        if out.chars().count() >= MOST.0 || out.len() + c.len_utf8() > MOST.1 {
            break;
        }
        out.push(c);
    }
    let out = out.trim_matches(['-', '.']).to_string();
    if out.is_empty() || kept_by_systems(&out) { format!("job-{out}").trim_end_matches('-').to_string() } else { out }
}

/// Letters, digits and marks of any script, and emoji; not what turns the direction of writing.
fn keeps(c: char) -> bool {
    c.is_alphanumeric()
        || matches!(c, '.' | '_' | '+')
        || (!c.is_ascii() && !c.is_control() && !c.is_whitespace() && !hidden(c))
}

/// Characters that are not seen: direction marks, joiners, the byte order mark, and the code points of no character.
fn hidden(c: char) -> bool {
    matches!(u32::from(c), 0x00AD | 0x061C | 0x200B..=0x200F | 0x2028..=0x202E | 0x2060..=0x206F | 0xFE00..=0xFE0F | 0xFEFF | 0xFFF0..=0xFFFF | 0xE0000..=0xE0FFF)
}

/// Device names of one system: CON, PRN, AUX, NUL, COM1 ... LPT9, with any ending.
fn kept_by_systems(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default().to_ascii_lowercase();
    let numbered =
        |kind: &str| stem.strip_prefix(kind).is_some_and(|n| n.len() == 1 && n.bytes().all(|b| b.is_ascii_digit()));
    matches!(stem.as_str(), "con" | "prn" | "aux" | "nul") || numbered("com") || numbered("lpt")
}

/// Names given out so far, so that two different things never share one, whatever the case of letters.
#[derive(Debug, Default)]
pub struct Names(std::collections::BTreeSet<String>);

impl Names {
    /// `text` as a name for a file, with a number behind it when it is taken.
    pub fn unique(&mut self, text: &str) -> String {
        let first = file_name(text);
        let mut name = first.clone();
        let mut number = 2;
        while !self.0.insert(name.to_lowercase()) {
            name = format!("{first}-{number}");
            number += 1;
        }
        name
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_text_becomes_a_name() {
        assert_eq!(file_name("hill-climb four"), "hill-climb-four");
        assert_eq!(file_name("../../etc/passwd"), "etc-passwd");
        assert_eq!(file_name("a<b>|$#:c?"), "a-b-c");
        assert_eq!(file_name("مجمع عادم"), "مجمع-عادم");
        assert_eq!(file_name("排気管 🔥"), "排気管-🔥");
        assert_eq!(file_name("x\u{202e}gpj"), "x-gpj");
        assert_eq!(file_name("$<>"), "job");
        assert_eq!(file_name("con"), "job-con");
        assert!(file_name(&"長".repeat(300)).len() <= MOST.1);
    }

    #[test]
    fn the_same_name_is_not_given_twice() {
        let mut names = Names::default();
        assert_eq!(["a/b", "A b", "a-b"].map(|n| names.unique(n)), ["a-b", "A-b-2", "a-b-3"]);
    }
}
