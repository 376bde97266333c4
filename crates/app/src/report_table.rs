//! Tables in plain text: a row of heads, then rows whose numbers stand to the right.

/// A plain table: first row heads; columns of numbers are set to the right.
pub fn table(rows: &[Vec<String>]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| rows.iter().filter_map(|r| r.get(c)).map(|s| s.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let numeric: Vec<bool> = (0..columns)
        .map(|c| rows.iter().skip(1).filter_map(|r| r.get(c)).all(|s| s.is_empty() || s == "-" || starts_numeric(s)))
        .collect();
    let mut out = String::new();
    for (i, row) in rows.iter().enumerate() {
        let mut line = String::from(" ");
        for (c, cell) in row.iter().enumerate() {
            let pad = " ".repeat(widths[c] - cell.chars().count());
            let (left, right) = if numeric[c] { (pad.as_str(), "") } else { ("", pad.as_str()) };
            line.push_str(&format!(" {left}{cell}{right} "));
        }
        out.push_str(line.trim_end());
        out.push('\n');
        if i == 0 {
            let rule: Vec<String> = widths.iter().map(|w| "-".repeat(*w)).collect();
            out.push_str(&format!("  {}\n", rule.join("  ")));
        }
    }
    out
}

fn starts_numeric(s: &str) -> bool {
    s.trim_start_matches(['-', '+']).starts_with(|c: char| c.is_ascii_digit())
}

/// A row of a [`table`].
pub fn row<const N: usize>(cells: [String; N]) -> Vec<String> {
    cells.into_iter().collect()
}

/// The heads of a [`table`].
pub fn heads<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.into_iter().map(String::from).collect()
}
