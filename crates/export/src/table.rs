//! Tables, and CSV as RFC 4180 has it.

/// A cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing.
    Blank,
    /// Words.
    Text(String),
    /// A number and the decimals it is shown with.
    Number(f64, usize),
}

impl From<&str> for Cell {
    fn from(text: &str) -> Cell {
        if text.is_empty() { Cell::Blank } else { Cell::Text(text.into()) }
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Cell {
        Cell::from(text.as_str())
    }
}

impl From<usize> for Cell {
    fn from(value: usize) -> Cell {
        Cell::Number(value as f64, 0)
    }
}

/// A table with a head.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Name of the table.
    pub name: String,
    /// Names of its columns, the unit in each.
    pub heads: Vec<String>,
    /// Rows of the table.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// A table without rows.
    pub fn new(name: &str, heads: &[&str]) -> Table {
        Table { name: name.into(), heads: heads.iter().map(|h| (*h).to_string()).collect(), rows: Vec::new() }
    }

    /// As CSV in UTF-8 with CRLF. A text that a spreadsheet would take for a formula has an apostrophe before it.
    pub fn csv(&self) -> String {
        let mut out = String::new();
        let heads: Vec<String> = self.heads.iter().map(|h| quoted(h)).collect();
        out.push_str(&heads.join(","));
        out.push_str("\r\n");
        for row in &self.rows {
            let cells: Vec<String> = row
                .iter()
                .map(|cell| match cell {
                    Cell::Blank => String::new(),
                    Cell::Text(text) => quoted(text),
                    Cell::Number(value, decimals) => number(*value, *decimals),
                })
                .collect();
            out.push_str(&cells.join(","));
            out.push_str("\r\n");
        }
        out
    }
}

/// A number with its decimals; never `-0`.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.bytes().all(|b| matches!(b, b'-' | b'0' | b'.')) { text.trim_start_matches('-').to_string() } else { text }
}

fn quoted(text: &str) -> String {
    let formula = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let text = if formula { format!("'{text}") } else { text.to_string() };
    if text.contains([',', '"', '\n', '\r', ';']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_quoted_where_they_must_be() {
        let mut table = Table::new("t", &["a", "b, c"]);
        table.rows.push(vec!["say \"no\"".into(), Cell::Number(-0.0001, 2)]);
        table.rows.push(vec!["=1+1".into(), Cell::Blank]);
        assert_eq!(table.csv(), "a,\"b, c\"\r\n\"say \"\"no\"\"\",0.00\r\n'=1+1,\r\n");
    }
}
