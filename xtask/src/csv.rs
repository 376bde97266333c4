//! Comparing two tables of figures.

/// Columns that differ from one machine to the next.
const NOT_COMPARED: [&str; 1] = ["seconds"];

/// Numbers may differ by this much, or by this share of themselves: the last decimal written.
const TOLERANCE: f64 = 1.5e-3;
const SHARE: f64 = 1e-6;

/// Whether two comma-separated tables with one row of heads hold the same.
///
/// # Errors
/// The first place where they differ.
pub fn same(kept: &str, again: &str) -> Result<(), String> {
    let (kept, again): (Vec<_>, Vec<_>) = (kept.lines().collect(), again.lines().collect());
    if kept.len() < 2 {
        return Err("the kept table has no rows".into());
    }
    if kept.len() != again.len() {
        return Err(format!("{} rows kept, {} rows now", kept.len() - 1, again.len().saturating_sub(1)));
    }
    let heads: Vec<&str> = kept[0].split(',').collect();
    if kept[0] != again[0] {
        return Err(format!("heads differ: {} kept, {} now", kept[0], again[0]));
    }
    for (row, (a, b)) in kept.iter().zip(&again).enumerate().skip(1) {
        let (a, b): (Vec<_>, Vec<_>) = (a.split(',').collect(), b.split(',').collect());
        if a.len() != b.len() {
            return Err(format!("row {row} has {} cells kept, {} now", a.len(), b.len()));
        }
        for (column, (x, y)) in a.iter().zip(&b).enumerate() {
            let head = heads.get(column).copied().unwrap_or_default();
            if !NOT_COMPARED.contains(&head) && !same_cell(x, y) {
                return Err(format!("row {row}, {head}: {x} kept, {y} now"));
            }
        }
    }
    Ok(())
}

fn same_cell(a: &str, b: &str) -> bool {
    match (a.parse::<f64>(), b.parse::<f64>()) {
        (Ok(x), Ok(y)) => (x - y).abs() <= TOLERANCE.max(SHARE * x.abs()),
        _ => a == b,
    }
}

#[cfg(test)]
mod tests {
    use super::same;

    #[test]
    fn the_last_decimal_and_seconds_may_differ() {
        assert_eq!(same("a,seconds\n1.000,3\n", "a,seconds\n1.001,7\n"), Ok(()));
    }

    #[test]
    fn figures_words_and_rows_may_not() {
        assert!(same("a\n1.0\n", "a\n1.1\n").is_err());
        assert!(same("a\nyes\n", "a\nno\n").is_err());
        assert!(same("a\n1\n", "a\n1\n2\n").is_err());
        assert!(same("a\n", "a\n").is_err());
    }
}
