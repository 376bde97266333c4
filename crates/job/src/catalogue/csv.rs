//! Reads the catalogue's own comma-separated files.

/// The rows of `text` after the heading; a field may stand in double quotes.
pub fn rows(text: &'static str) -> impl Iterator<Item = Vec<String>> {
    text.lines().skip(1).filter(|line| !line.is_empty()).map(fields)
}

fn fields(line: &str) -> Vec<String> {
    let mut fields = vec![String::new()];
    let mut quoted = false;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        let last = fields.len() - 1;
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                fields[last].push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            c => fields[last].push(c),
        }
    }
    fields
}

/// A number of the catalogue's own files.
pub fn number(field: &str) -> f64 {
    field.parse().expect("the catalogue's own files hold numbers where numbers belong (held by a test)")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_keep_commas_and_double_quotes_stand_for_one() {
        assert_eq!(fields("a,\"b, \"\"c\"\"\",,d"), ["a", "b, \"c\"", "", "d"]);
    }
}
