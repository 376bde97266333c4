//! The nearest known word to one that is not known.

/// Optimal string alignment distance: insertions, deletions, changes and swaps of neighbours, upper
/// and lower case taken as equal.
fn distance(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.to_lowercase().chars().collect();
    let b: Vec<char> = b.to_lowercase().chars().collect();
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let change = usize::from(a[i - 1] != b[j - 1]);
            row[j] = (last[j] + 1).min(row[j - 1] + 1).min(last[j - 1] + change);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

/// The known word nearest to `word`, when it is near enough to be meant: at most a third of the
/// letters (and at least one) differ, or one is the start of the other.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if word.len() > 60 {
        return None;
    }
    let lower = word.to_lowercase();
    known
        .into_iter()
        .map(|k| {
            let starts =
                word.len() >= 2 && (k.to_lowercase().starts_with(&lower) || lower.starts_with(&k.to_lowercase()));
            let d = distance(word, k);
            (if starts { d.min(1) } else { d }, k)
        })
        .filter(|(d, k)| *d <= (k.chars().count().max(word.chars().count()) / 3).max(1))
        .min_by_key(|(d, _)| *d)
        .map(|(_, k)| k)
}

/// `a, b or c`.
pub fn either<S: AsRef<str>>(words: &[S]) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_string(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} or {}", first.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_words_are_found_and_far_ones_are_not() {
        assert_eq!(nearest("walll", ["od", "wall", "material"]), Some("wall"));
        assert_eq!(nearest("tagret", ["target", "tolerance"]), Some("target"));
        assert_eq!(nearest("min_strait", ["kerf", "min_straight"]), Some("min_straight"));
        assert_eq!(nearest("colour", ["od", "wall"]), None);
        assert_eq!(nearest("Square", ["square", "ring"]), Some("square"));
    }
}
