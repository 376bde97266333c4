//! Numbers and strings of ISO 10303-21.

/// A number with its decimal point: `1.`, `-0.25`, `1.E-07`. All digits that tell it from its neighbours are kept.
pub(super) fn real(value: f64) -> String {
    // -0.0 is 0.
    let text = format!("{:?}", value + 0.0);
    match text.split_once('e') {
        Some((digits, power)) if digits.contains('.') => format!("{digits}E{power}"),
        Some((digits, power)) => format!("{digits}.E{power}"),
        None => text,
    }
}

/// A text as it stands between apostrophes. Control characters are left out.
pub(super) fn encoded(text: &str) -> String {
    let mut out = String::new();
    let mut open = "";
    for c in text.chars().filter(|c| !c.is_control()) {
        let code = u32::from(c);
        let wanted = match code {
            ..0x80 => "",
            0x80..0x1_0000 => r"\X2\",
            _ => r"\X4\",
        };
        if wanted != open {
            if !open.is_empty() {
                out.push_str(r"\X0\");
            }
            out.push_str(wanted);
            open = wanted;
        }
        match (wanted, c) {
            ("", '\'') => out.push_str("''"),
            ("", '\\') => out.push_str(r"\\"),
            ("", c) => out.push(c),
            (r"\X2\", _) => out.push_str(&format!("{code:04X}")),
            _ => out.push_str(&format!("{code:08X}")),
        }
    }
    if !open.is_empty() {
        out.push_str(r"\X0\");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_their_point() {
        assert_eq!(
            [1.0, -0.25, 1e-7, 1.5e-9, -0.0, 1e21].map(real),
            ["1.0", "-0.25", "1.E-7", "1.5E-9", "0.0", "1.E21"]
        );
    }

    #[test]
    fn texts_are_plain_ascii() {
        assert_eq!(encoded("it's"), "it''s");
        assert_eq!(encoded("a\\b"), "a\\\\b");
        assert_eq!(encoded("Krümmer"), r"Kr\X2\00FC\X0\mmer");
        assert_eq!(encoded("\u{5d0}\u{5d1}"), r"\X2\05D005D1\X0\");
        assert_eq!(encoded("x\ny"), "xy");
    }
}
