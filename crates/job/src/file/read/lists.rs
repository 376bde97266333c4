//! Values that are lists: places, directions, rows of bending data.

use std::ops::Range;

use geom::Vec3;
use toml::Spanned;
use toml::de::{DeArray, DeValue};

use super::wording::{expected, short};
use super::{Entry, Reader};
use crate::file::describe::{MOST_IN_LIST, Range as Bounds, ValueKind};
use crate::file::record::Value;
use crate::file::tables::COORDINATE;

impl Reader<'_> {
    /// The values of a list, unless it is longer than any real one.
    fn array<'v>(&mut self, entry: &Entry<'v>) -> Option<&'v DeArray<'v>> {
        match entry.raw {
            DeValue::Array(array) if array.len() > MOST_IN_LIST => {
                self.too_many(entry, array.len(), MOST_IN_LIST);
                None
            }
            DeValue::Array(array) => Some(array),
            _ => self.wrong_type(entry),
        }
    }

    /// Reads every value of a list as `kind`; nothing when one of them is wrong.
    pub(super) fn items(
        &mut self,
        entry: &Entry<'_>,
        kind: ValueKind,
        mut read: impl FnMut(&mut Self, &Entry<'_>) -> Option<Value>,
    ) -> Option<Vec<(Value, Range<usize>)>> {
        let array = self.array(entry)?;
        let mut list = Vec::with_capacity(array.len());
        let mut good = true;
        for item in array.iter() {
            match read(self, &entry.of(item, kind)) {
                Some(value) => list.push((value, item.span())),
                None => good = false,
            }
        }
        good.then_some(list)
    }

    /// A list of lengths.
    pub(super) fn lengths(&mut self, entry: &Entry<'_>, bounds: Bounds) -> Option<Vec<(Value, Range<usize>)>> {
        self.items(entry, ValueKind::Length(bounds), |reader, item| reader.length(item, bounds).map(Value::Number))
    }

    /// A list of at least `least` places.
    pub(super) fn points(&mut self, entry: &Entry<'_>, least: usize) -> Option<Value> {
        let list = self.items(entry, ValueKind::Point, |reader, item| reader.point(item).map(Value::Point))?;
        if list.len() >= least {
            return Some(Value::List(list));
        }
        let message = format!("`{}` has {} places; it needs at least {least}", entry.key, list.len());
        let problem = self.wrong("wrong-count", entry, message);
        problem.expected = format!("at least {least} places [x, y, z]");
        problem.hint = "add the missing ones".into();
        None
    }

    /// A list that has exactly `count` values.
    pub(super) fn exactly(
        &mut self,
        entry: &Entry<'_>,
        list: Vec<(Value, Range<usize>)>,
        count: usize,
    ) -> Option<Value> {
        if list.len() == count {
            return Some(Value::List(list));
        }
        let message = format!("`{}` has {} values; it needs {count}", entry.key, list.len());
        let problem = self.wrong("wrong-count", entry, message);
        problem.expected = format!("{count} values in brackets");
        problem.hint = missing_or_more(list.len(), count);
        None
    }

    pub(super) fn point(&mut self, entry: &Entry<'_>) -> Option<Vec3> {
        let list = self.lengths(entry, COORDINATE)?;
        self.three(entry, &list, "a place: three coordinates [x, y, z]")
    }

    pub(super) fn direction(&mut self, entry: &Entry<'_>) -> Option<Vec3> {
        let list = self.plain_numbers(entry, Bounds { min: -1e6, max: 1e6, above: false })?;
        let direction = self.three(entry, &list, "a direction: three numbers [x, y, z]")?;
        if direction.length() > 1e-6 {
            return Some(direction);
        }
        let message = format!("`{}` has length 0: it points nowhere", entry.key);
        let problem = self.wrong("zero-direction", entry, message);
        problem.expected = "three numbers that are not all 0".into();
        problem.hint = "[1.0, 0.0, 0.0] points forward, [0.0, 1.0, 0.0] left, [0.0, 0.0, 1.0] up".into();
        None
    }

    fn plain_numbers(&mut self, entry: &Entry<'_>, bounds: Bounds) -> Option<Vec<(Value, Range<usize>)>> {
        self.items(entry, ValueKind::Number(bounds), |reader, item| reader.plain(item, bounds).map(Value::Number))
    }

    fn three(&mut self, entry: &Entry<'_>, list: &[(Value, Range<usize>)], expected: &str) -> Option<Vec3> {
        let numbers: Vec<f64> =
            list.iter().filter_map(|(v, _)| if let Value::Number(n) = v { Some(*n) } else { None }).collect();
        if let [x, y, z] = numbers[..] {
            return Some(Vec3::new(x, y, z));
        }
        let message = format!("`{}` has {} numbers; it needs 3", entry.key, numbers.len());
        let problem = self.wrong("wrong-count", entry, message);
        problem.expected = expected.into();
        problem.hint = missing_or_more(numbers.len(), 3);
        None
    }

    pub(super) fn inlet_of(&mut self, entry: &Entry<'_>) -> Option<Value> {
        let DeValue::Table(table) = entry.raw else { return self.wrong_type(entry) };
        let mut pairs = Vec::new();
        let mut good = true;
        for (key, value) in table.iter() {
            let cylinder = key.get_ref().parse::<i64>().ok().filter(|c| (1..=24).contains(c));
            if cylinder.is_none() {
                good = false;
                let message = format!("`{}` is no cylinder", short(key.get_ref()));
                let problem = self.error("bad-value", &key.span(), entry.about, message);
                problem.expected = "the number of a cylinder".into();
                problem.hint = "write { 1 = 3 } for cylinder 1 at inlet 3".into();
            }
            match (cylinder, self.whole(&entry.of(value, ValueKind::Whole(1, 24)), 1, 24)) {
                (Some(cylinder), Some(inlet)) => {
                    pairs.push((
                        Value::List(vec![(Value::Whole(cylinder), key.span()), (Value::Whole(inlet), value.span())]),
                        key.span(),
                    ));
                }
                _ => good = false,
            }
        }
        good.then_some(Value::List(pairs))
    }

    /// Two lists of three places, as a list of the two or as `{ mesh = [...], at = [...] }`; the first
    /// in the unit of the mesh (plain numbers), the second places of the job.
    pub(super) fn placing(&mut self, entry: &Entry<'_>) -> Option<Value> {
        let parts: Vec<&Spanned<DeValue<'_>>> = match entry.raw {
            DeValue::Array(array) if array.len() == 2 => array.iter().collect(),
            DeValue::Table(table) if table.len() == 2 => {
                let part = |name: &str| table.iter().find(|(k, _)| k.get_ref() == name).map(|(_, v)| v);
                [part("mesh"), part("at")].into_iter().flatten().collect()
            }
            _ => Vec::new(),
        };
        let &[on_mesh, places] = &parts[..] else { return self.wrong_type(entry) };
        let (on_mesh, places) = (entry.of(on_mesh, ValueKind::Placing), entry.of(places, ValueKind::Placing));
        let bounds = Bounds { min: -1e7, max: 1e7, above: false };
        let first = self.items(&on_mesh, ValueKind::Point, |reader, item| {
            let list = reader.plain_numbers(item, bounds)?;
            reader.three(item, &list, "a point on the mesh [x, y, z]").map(Value::Point)
        });
        let second = self.items(&places, ValueKind::Point, |reader, item| reader.point(item).map(Value::Point));
        let first = first.and_then(|list| self.exactly(&on_mesh, list, 3));
        let second = second.and_then(|list| self.exactly(&places, list, 3));
        Some(Value::List(vec![(first?, on_mesh.span), (second?, places.span)]))
    }

    pub(super) fn steps(&mut self, entry: &Entry<'_>) -> Option<Value> {
        let array = self.array(entry)?;
        if array.is_empty() {
            let expected = expected(&ValueKind::Steps, self.units);
            let problem = self.wrong("wrong-count", entry, "`steps` is empty");
            problem.expected = expected;
            problem.hint = "measure the piece, or give points and radii".into();
            return None;
        }
        let mut rows = Vec::new();
        let mut good = true;
        let last = array.len() - 1;
        for (i, item) in array.iter().enumerate() {
            match self.step(&entry.of(item, ValueKind::Steps), i == last) {
                Some(row) => rows.push((row, item.span())),
                None => good = false,
            }
        }
        good.then_some(Value::List(rows))
    }

    /// One row of bending data; only the last may be a straight alone.
    fn step(&mut self, entry: &Entry<'_>, last: bool) -> Option<Value> {
        let straight = Bounds { min: 0.0, max: 20_000.0, above: false };
        let DeValue::Array(row) = entry.raw else {
            if last {
                let alone = Entry { kind: ValueKind::Length(straight), ..entry.clone() };
                let value = self.length(&alone, straight)?;
                return Some(Value::List(vec![(Value::Number(value), alone.span)]));
            }
            return self.wrong_type(entry);
        };
        if !(row.len() == 4 || last && row.len() == 1) {
            let problem = self.wrong("wrong-count", entry, format!("this row has {} values", row.len()));
            problem.expected = "[length, rotation, angle, clr], and as the last row [length]".into();
            problem.hint = "a bend takes four values; only the last straight stands alone".into();
            return None;
        }
        let kinds = [
            ValueKind::Length(straight),
            ValueKind::Angle(Bounds { min: -360.0, max: 360.0, above: false }),
            ValueKind::Angle(Bounds { min: -359.0, max: 359.0, above: false }),
            ValueKind::Length(Bounds { min: 0.0, max: 5_000.0, above: true }),
        ];
        let mut values = Vec::new();
        for (cell, kind) in row.iter().zip(kinds) {
            let cell = entry.of(cell, kind);
            let value = match kind {
                ValueKind::Angle(bounds) => self.angle(&cell, bounds),
                ValueKind::Length(bounds) => self.length(&cell, bounds),
                _ => None,
            };
            values.push((Value::Number(value?), cell.span));
        }
        Some(Value::List(values))
    }
}

/// How to fix a list that has another number of values than it needs.
fn missing_or_more(count: usize, needed: usize) -> String {
    if count < needed { "add what is missing".into() } else { "take out what is too much".into() }
}
