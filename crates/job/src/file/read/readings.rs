//! Rows of survey.toml: named points and what was read between them.

use toml::de::DeValue;

use super::wording::expected;
use super::{Entry, Reader};
use crate::file::describe::{MOST_IN_LIST, ReadingRow, ValueKind};
use crate::file::record::Value;

impl Reader<'_> {
    /// The rows of one tool; each becomes a list of its names and numbers.
    pub(super) fn readings(&mut self, entry: &Entry<'_>, row: ReadingRow) -> Option<Value> {
        let DeValue::Array(array) = entry.raw else { return self.wrong_type(entry) };
        if array.len() > MOST_IN_LIST {
            self.too_many(entry, array.len(), MOST_IN_LIST);
            return None;
        }
        let mut rows = Vec::new();
        let mut good = true;
        for item in array.iter() {
            match self.reading(&entry.of(item, entry.kind), row) {
                Some(value) => rows.push((value, item.span())),
                None => good = false,
            }
        }
        good.then_some(Value::List(rows))
    }

    fn reading(&mut self, entry: &Entry<'_>, row: ReadingRow) -> Option<Value> {
        let DeValue::Array(cells) = entry.raw else { return self.wrong_type(entry) };
        let kinds = row.cells();
        if cells.len() != kinds.len() {
            let units = self.units;
            let message = format!("this row of `{}` has {} values; it needs {}", entry.key, cells.len(), kinds.len());
            let problem = self.wrong("wrong-count", entry, message);
            problem.expected = expected(&ValueKind::Readings(row), units);
            problem.hint = "compare it with the other rows".into();
            return None;
        }
        let mut values = Vec::new();
        let mut good = true;
        for (cell, kind) in cells.iter().zip(kinds) {
            let cell = entry.of(cell, *kind);
            let value = match kind {
                ValueKind::Text => self.short_text(&cell),
                ValueKind::Length(bounds) => self.length(&cell, *bounds).map(Value::Number),
                ValueKind::Angle(bounds) => self.angle(&cell, *bounds).map(Value::Number),
                ValueKind::Names(least, most) => self.names(&cell, *least, *most),
                _ => self.wrong_type(&cell),
            };
            match value {
                Some(value) => values.push((value, cell.span)),
                None => good = false,
            }
        }
        good.then_some(Value::List(values))
    }

    /// A list of names, or one name alone.
    pub(super) fn names(&mut self, entry: &Entry<'_>, least: usize, most: usize) -> Option<Value> {
        if let DeValue::String(_) = entry.raw
            && least <= 1
        {
            return Some(Value::List(vec![(self.short_text(entry)?, entry.span.clone())]));
        }
        let list = self.items(entry, ValueKind::Text, |reader, item| reader.short_text(item))?;
        if (least..=most).contains(&list.len()) {
            return Some(Value::List(list));
        }
        let units = self.units;
        let problem = self.wrong("wrong-count", entry, format!("`{}` has {} names here", entry.key, list.len()));
        problem.expected = expected(&ValueKind::Names(least, most), units);
        problem.hint = "write each name in quotes with a comma between them".into();
        None
    }

    /// A whole number alone or a list of them.
    pub(super) fn numbers_or_one(&mut self, entry: &Entry<'_>, min: i64, max: i64) -> Option<Value> {
        let one = Entry { kind: ValueKind::Whole(min, max), ..entry.clone() };
        if !matches!(entry.raw, DeValue::Array(_)) {
            return Some(Value::List(vec![(Value::Whole(self.whole(&one, min, max)?), entry.span.clone())]));
        }
        let whole = |reader: &mut Self, item: &Entry<'_>| reader.whole(item, min, max).map(Value::Whole);
        self.items(entry, ValueKind::Whole(min, max), whole).map(Value::List)
    }

    /// A name, or `{ mean_normal = [names] }`.
    pub(super) fn side(&mut self, entry: &Entry<'_>) -> Option<Value> {
        let DeValue::Table(table) = entry.raw else {
            return match entry.raw {
                DeValue::String(_) => self.short_text(entry),
                _ => self.wrong_type(entry),
            };
        };
        let normals = table.iter().find(|(key, _)| key.get_ref() == "mean_normal");
        match normals {
            Some((_, value)) if table.len() == 1 => self.names(&entry.of(value, ValueKind::Names(1, 64)), 1, 64),
            _ => self.wrong_type(entry),
        }
    }
}
