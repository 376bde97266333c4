//! Notes set in lines.

/// A sentence in lines of at most `letters` characters, broken at blanks; a longer word has a line of its own.
///
/// # Example
/// ```
/// assert_eq!(template::break_lines("mark along the cut", 10), ["mark along", "the cut"]);
/// ```
pub fn break_lines(sentence: &str, letters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in sentence.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}
