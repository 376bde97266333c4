//! Text within XML: SVG and the model of 3MF.

/// Text for XML, as content or in quotes; what XML 1.0 cannot hold is left out.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_become_markup() {
        assert_eq!(escaped("<a b=\"c\">&'\u{1}"), "&lt;a b=&quot;c&quot;&gt;&amp;&#39; ");
    }
}
