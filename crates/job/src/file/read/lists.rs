//! Values that are lists: places, directions, rows of bending data.

use std::ops::Range;

use geom::Vec3;
use toml::Spanned;
use toml::de::{DeArray, DeValue};

use super::wording::{expected, short};
use super::{At, Reader};
use crate::file::describe::{Kind, MOST_IN_LIST, Range as Bounds};
use crate::file::record::Value;
use crate::file::tables::COORDINATE;

impl Reader<'_> {
    pub(super) fn array<'v>(
        &mut self,
        raw: &'v DeValue<'v>,
        span: &Range<usize>,
        at: At<'_>,
        kind: &Kind,
    ) -> Option<&'v DeArray<'v>> {
        match raw {
            DeValue::Array(array) if array.len() > MOST_IN_LIST => {
                self.too_many(array.len(), MOST_IN_LIST, span, at);
                None
            }
            DeValue::Array(array) => Some(array),
            _ => self.wrong_type(raw, span, at, kind),
        }
    }

    pub(super) fn items(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        kind: &Kind,
        mut read: impl FnMut(&mut Self, &DeValue<'_>, &Range<usize>) -> Option<Value>,
    ) -> Option<Vec<(Value, Range<usize>)>> {
        let array = self.array(raw, span, at, kind)?;
        let mut list = Vec::with_capacity(array.len());
        let mut good = true;
        for item in array.iter() {
            match read(self, item.get_ref(), &item.span()) {
                Some(value) => list.push((value, item.span())),
                None => good = false,
            }
        }
        good.then_some(list)
    }

    pub(super) fn at_least(
        &mut self,
        list: Vec<(Value, Range<usize>)>,
        least: usize,
        span: &Range<usize>,
        at: At<'_>,
    ) -> Option<Value> {
        if list.len() >= least {
            return Some(Value::List(list));
        }
        let problem = self.error(
            "wrong-count",
            span,
            at.about,
            format!("`{}` has {} places; it needs at least {least}", at.key, list.len()),
        );
        problem.expected = format!("at least {least} places [x, y, z]");
        problem.hint = "add the missing ones".into();
        None
    }

    pub(super) fn exactly(
        &mut self,
        list: Vec<(Value, Range<usize>)>,
        count: usize,
        span: &Range<usize>,
        at: At<'_>,
    ) -> Option<Value> {
        if list.len() == count {
            return Some(Value::List(list));
        }
        let problem = self.error(
            "wrong-count",
            span,
            at.about,
            format!("`{}` has {} values; it needs {count}", at.key, list.len()),
        );
        problem.expected = format!("{count} values in brackets");
        problem.hint =
            if list.len() < count { "add what is missing".into() } else { "take out what is too much".into() };
        None
    }

    pub(super) fn point(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<Vec3> {
        let list = self.items(raw, span, at, kind, |r, v, s| {
            r.length(v, s, at, COORDINATE, &Kind::Length(COORDINATE)).map(Value::Number)
        })?;
        self.three(list, span, at, "a place: three coordinates [x, y, z]")
    }

    pub(super) fn direction(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        kind: &Kind,
    ) -> Option<Vec3> {
        let bounds = Bounds { min: -1e6, max: 1e6, above: false };
        let list = self.items(raw, span, at, kind, |r, v, s| {
            r.plain(v, s, at, bounds, &Kind::Number(bounds)).map(Value::Number)
        })?;
        let direction = self.three(list, span, at, "a direction: three numbers [x, y, z]")?;
        if direction.length() > 1e-6 {
            return Some(direction);
        }
        let problem =
            self.error("zero-direction", span, at.about, format!("`{}` has length 0: it points nowhere", at.key));
        problem.expected = "three numbers that are not all 0".into();
        problem.hint = "[1.0, 0.0, 0.0] points forward, [0.0, 1.0, 0.0] left, [0.0, 0.0, 1.0] up".into();
        None
    }

    pub(super) fn three(
        &mut self,
        list: Vec<(Value, Range<usize>)>,
        span: &Range<usize>,
        at: At<'_>,
        expected: &str,
    ) -> Option<Vec3> {
        let numbers: Vec<f64> =
            list.iter().filter_map(|(v, _)| if let Value::Number(n) = v { Some(*n) } else { None }).collect();
        if let [x, y, z] = numbers[..] {
            return Some(Vec3::new(x, y, z));
        }
        let problem = self.error(
            "wrong-count",
            span,
            at.about,
            format!("`{}` has {} numbers; it needs 3", at.key, numbers.len()),
        );
        problem.expected = expected.into();
        problem.hint =
            if numbers.len() < 3 { "add what is missing".into() } else { "take out what is too much".into() };
        None
    }

    pub(super) fn inlet_of(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>) -> Option<Value> {
        let DeValue::Table(table) = raw else { return self.wrong_type(raw, span, at, &Kind::InletOf) };
        let mut pairs = Vec::new();
        let mut good = true;
        for (key, value) in table.iter() {
            let cylinder = key.get_ref().parse::<i64>().ok().filter(|c| (1..=24).contains(c));
            if cylinder.is_none() {
                good = false;
                let problem = self.error(
                    "bad-value",
                    &key.span(),
                    at.about,
                    format!("`{}` is no cylinder", short(key.get_ref())),
                );
                problem.expected = "the number of a cylinder".into();
                problem.hint = "write { 1 = 3 } for cylinder 1 at inlet 3".into();
            }
            match (cylinder, self.whole(value.get_ref(), &value.span(), at, 1, 24)) {
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
    pub(super) fn placing(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>) -> Option<Value> {
        let parts: Vec<&Spanned<DeValue<'_>>> = match raw {
            DeValue::Array(array) if array.len() == 2 => array.iter().collect(),
            DeValue::Table(table) if table.len() == 2 => {
                let part = |name: &str| table.iter().find(|(k, _)| k.get_ref() == name).map(|(_, v)| v);
                [part("mesh"), part("at")].into_iter().flatten().collect()
            }
            _ => Vec::new(),
        };
        let &[on_mesh, places] = &parts[..] else { return self.wrong_type(raw, span, at, &Kind::Placing) };
        let bounds = Bounds { min: -1e7, max: 1e7, above: false };
        let first = self.items(on_mesh.get_ref(), &on_mesh.span(), at, &Kind::Placing, |r, v, s| {
            let list = r.items(v, s, at, &Kind::Point, |r, v, s| {
                r.plain(v, s, at, bounds, &Kind::Number(bounds)).map(Value::Number)
            })?;
            r.three(list, s, at, "a point on the mesh [x, y, z]").map(Value::Point)
        });
        let second = self.items(places.get_ref(), &places.span(), at, &Kind::Placing, |r, v, s| {
            r.point(v, s, at, &Kind::Point).map(Value::Point)
        });
        let first = first.and_then(|list| self.exactly(list, 3, &on_mesh.span(), at));
        let second = second.and_then(|list| self.exactly(list, 3, &places.span(), at));
        Some(Value::List(vec![(first?, on_mesh.span()), (second?, places.span())]))
    }

    pub(super) fn steps(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>) -> Option<Value> {
        let array = self.array(raw, span, at, &Kind::Steps)?;
        let mut rows = Vec::new();
        let mut good = true;
        let last = array.len().saturating_sub(1);
        for (i, item) in array.iter().enumerate() {
            match self.step(item, i == last, at) {
                Some(row) => rows.push((row, item.span())),
                None => good = false,
            }
        }
        if array.is_empty() {
            let expected = expected(&Kind::Steps, self.units);
            let problem = self.error("wrong-count", span, at.about, "`steps` is empty");
            problem.expected = expected;
            problem.hint = "measure the piece, or give points and radii".into();
            return None;
        }
        good.then_some(Value::List(rows))
    }

    pub(super) fn step(&mut self, item: &Spanned<DeValue<'_>>, last: bool, at: At<'_>) -> Option<Value> {
        let span = item.span();
        let bounds = Bounds { min: 0.0, max: 20_000.0, above: false };
        let length = Kind::Length(bounds);
        let DeValue::Array(row) = item.get_ref() else {
            if last {
                let value = self.length(item.get_ref(), &span, at, bounds, &length)?;
                return Some(Value::List(vec![(Value::Number(value), span)]));
            }
            return self.wrong_type(item.get_ref(), &span, at, &Kind::Steps);
        };
        if !(row.len() == 4 || last && row.len() == 1) {
            let problem = self.error("wrong-count", &span, at.about, format!("this row has {} values", row.len()));
            problem.expected = "[length, rotation, angle, clr], and as the last row [length]".into();
            problem.hint = "a bend takes four values; only the last straight stands alone".into();
            return None;
        }
        let turn = Bounds { min: -359.0, max: 359.0, above: false };
        let radius = Bounds { min: 0.0, max: 5_000.0, above: true };
        let kinds = [
            length,
            Kind::Angle(Bounds { min: -360.0, max: 360.0, above: false }),
            Kind::Angle(turn),
            Kind::Length(radius),
        ];
        let mut values = Vec::new();
        for (cell, kind) in row.iter().zip(&kinds) {
            let value = match kind {
                Kind::Angle(bounds) => self.angle(cell.get_ref(), &cell.span(), at, *bounds, kind),
                Kind::Length(bounds) => self.length(cell.get_ref(), &cell.span(), at, *bounds, kind),
                _ => None,
            };
            values.push((Value::Number(value?), cell.span()));
        }
        Some(Value::List(values))
    }
}
