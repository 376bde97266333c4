//! Reads a tree of tables by its description and collects everything that is wrong with it.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use geom::Vec3;
use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::describe::{Key, Kind, Range as Bounds, Table};
use super::record::{Record, Value};
use super::tables::COORDINATE;
use crate::catalogue;
use crate::model::{Money, Units};
use crate::problem::Problem;
use crate::quantity::{self, LENGTH_FORMS, SIZE_FORMS, Unreadable};
use crate::source::Source;
use crate::suggest::{either, nearest};

/// Most problems that are kept of one file.
const MOST: usize = 500;

/// The words for elbows.
const ELBOWS: [&str; 5] = ["LR 90", "SR 90", "LR 45", "LR 180", "SR 180"];

/// Reads one file.
pub struct Reader<'s> {
    /// Its text.
    pub source: &'s Source,
    /// Unit of bare numbers that are lengths.
    pub units: Units,
    /// What was found wrong so far.
    pub problems: Vec<Problem>,
    /// True when some lines could not be read at all: then nothing is said to be missing.
    pub broken: bool,
}

/// A value at the door: what it is, where it is, in whose words.
#[derive(Clone, Copy)]
struct At<'a> {
    key: &'static str,
    about: &'a str,
}

impl<'s> Reader<'s> {
    /// A reader of `source`.
    pub fn new(source: &'s Source, units: Units, broken: bool) -> Self {
        Reader { source, units, problems: Vec::new(), broken }
    }

    /// Reports an error at `span`.
    pub fn error(
        &mut self,
        code: &'static str,
        span: &Range<usize>,
        about: &str,
        message: impl Into<String>,
    ) -> &mut Problem {
        let problem = Problem::error(code, message).at(self.source.spot(span)).about(about);
        // Beyond the most that are kept each one only takes the last place.
        self.problems.truncate(MOST);
        self.problems.push(problem);
        self.problems.last_mut().expect("one was pushed just now")
    }

    /// Reports a warning at `span`.
    pub fn warning(
        &mut self,
        code: &'static str,
        span: &Range<usize>,
        about: &str,
        message: impl Into<String>,
    ) -> &mut Problem {
        let problem = self.error(code, span, about, message);
        problem.severity = crate::problem::Severity::Warning;
        problem
    }

    /// Reads the table of a whole file.
    pub fn file(&mut self, shape: &'static Table, root: &Spanned<DeTable<'_>>) -> Record {
        self.table(shape, root.get_ref(), 0..0, String::new())
    }

    fn table(&mut self, shape: &'static Table, raw: &DeTable<'_>, span: Range<usize>, about: String) -> Record {
        let mut record = Record { shape, about, span, fields: BTreeMap::new(), bad: BTreeSet::new() };
        for (raw_key, raw_value) in raw.iter() {
            let key_span = raw_key.span();
            let Some(key) = shape.key(raw_key.get_ref()) else {
                self.unknown(shape, raw_key.get_ref(), &key_span, &record.about);
                // What a misspelled key was meant to be counts as given.
                if let Some(meant) =
                    nearest(raw_key.get_ref(), shape.keys.iter().map(|k| k.name)).and_then(|n| shape.key(n))
                {
                    record.bad.insert(meant.name);
                }
                continue;
            };
            let before = self.problems.len();
            let at = At { key: key.name, about: &record.about.clone() };
            match self.value(key, raw_value, at) {
                Some(value) => {
                    record.fields.insert(key.name, (value, key_span, raw_value.span()));
                }
                None => {
                    debug_assert!(
                        self.problems.len() > before || self.problems.len() >= MOST,
                        "{} refused in silence",
                        key.name
                    );
                    record.bad.insert(key.name);
                }
            }
        }
        if !self.broken {
            for key in shape.keys.iter().filter(|k| k.required && !record.given(k.name)) {
                self.missing(&record.clone_head(), key);
            }
        }
        record
    }

    fn missing(&mut self, record: &Record, key: &Key) {
        let whole = if record.about.is_empty() { record.shape.title.to_string() } else { record.about.clone() };
        let expected = format!("`{}`: {}", key.name, expected(&key.kind, self.units));
        let about = record.about.clone();
        let problem = self.error("missing-key", &record.span, &about, format!("`{}` is missing in {whole}", key.name));
        problem.expected = expected;
        problem.hint = format!("add `{} = ...`: {}", key.name, lower(key.doc));
    }

    fn unknown(&mut self, shape: &'static Table, name: &str, span: &Range<usize>, about: &str) {
        let names: Vec<&str> = shape.keys.iter().map(|k| k.name).collect();
        let near = nearest(name, names.iter().copied());
        let shown: String = name.chars().take(60).collect();
        let problem = self.error("unknown-key", span, about, format!("`{shown}` is not a key of {}", shape.title));
        problem.expected = either(&names);
        problem.hint = match near {
            Some(near) => format!("write `{near}`"),
            None => match owner(&super::tables::JOB, name, 0) {
                Some(owner) => format!("`{name}` belongs in {owner}"),
                None => "delete it, or make it a comment with #".into(),
            },
        };
    }

    fn value(&mut self, key: &'static Key, raw: &Spanned<DeValue<'_>>, at: At<'_>) -> Option<Value> {
        let span = raw.span();
        let inner = raw.get_ref();
        match key.kind {
            Kind::Text => {
                let text = self.text(inner, &span, at, &key.kind)?;
                if text.trim().is_empty() || text.len() > 200 || text.chars().any(char::is_control) {
                    let problem = self.error(
                        "bad-value",
                        &span,
                        at.about,
                        format!("`{}` is empty, longer than 200 letters or has control characters", at.key),
                    );
                    problem.expected = "a short text".into();
                    problem.hint = "give it a name that tells it from the others".into();
                    return None;
                }
                Some(Value::Text(text))
            }
            Kind::Flag => match inner {
                DeValue::Boolean(flag) => Some(Value::Flag(*flag)),
                _ => self.wrong_type(inner, &span, at, &key.kind),
            },
            Kind::Whole(min, max) => self.whole(inner, &span, at, min, max).map(Value::Whole),
            Kind::Number(bounds) => self.plain(inner, &span, at, bounds, &key.kind).map(Value::Number),
            Kind::Length(bounds) | Kind::Wall(bounds) => {
                self.length(inner, &span, at, bounds, &key.kind).map(Value::Number)
            }
            Kind::Angle(bounds) => self.angle(inner, &span, at, bounds, &key.kind).map(Value::Number),
            Kind::AngleOrAny(bounds) => match inner {
                DeValue::String(text) if text.trim() == "any" => Some(Value::Number(std::f64::consts::PI)),
                _ => self.angle(inner, &span, at, bounds, &key.kind).map(Value::Number),
            },
            Kind::Size => {
                let text = self.text(inner, &span, at, &key.kind)?;
                let size = quantity::size(&text);
                self.read(size, &span, at, SIZE_FORMS).map(Value::Size)
            }
            Kind::Choice(words) => self.choice(inner, &span, at, words, &key.kind),
            Kind::Thread => self.thread(inner, &span, at, &key.kind),
            Kind::Material => self.material(inner, &span, at, &key.kind),
            Kind::Elbow => self.elbow(inner, &span, at, &key.kind),
            Kind::Money => self.money(inner, &span, at, &key.kind).map(|m| Value::Money(Money(m))),
            Kind::Point => self.point(inner, &span, at, &key.kind).map(Value::Point),
            Kind::Direction => self.direction(inner, &span, at, &key.kind).map(Value::Point),
            Kind::Points(least) => self
                .items(inner, &span, at, &key.kind, |r, v, s| r.point(v, s, at, &Kind::Point).map(Value::Point))
                .and_then(|list| self.at_least(list, least, &span, at)),
            Kind::Lengths(count, bounds) => {
                let list = self.items(inner, &span, at, &key.kind, |r, v, s| {
                    r.length(v, s, at, bounds, &Kind::Length(bounds)).map(Value::Number)
                })?;
                self.exactly(list, count, &span, at)
            }
            Kind::LengthList(bounds) => self
                .items(inner, &span, at, &key.kind, |r, v, s| {
                    r.length(v, s, at, bounds, &Kind::Length(bounds)).map(Value::Number)
                })
                .map(Value::List),
            Kind::WholeList(min, max) => self
                .items(inner, &span, at, &key.kind, |r, v, s| r.whole(v, s, at, min, max).map(Value::Whole))
                .map(Value::List),
            Kind::Axes => {
                let list = self.items(inner, &span, at, &key.kind, |r, v, s| {
                    r.direction(v, s, at, &Kind::Direction).map(Value::Point)
                })?;
                self.exactly(list, 3, &span, at)
            }
            Kind::InletOf => self.inlet_of(inner, &span, at),
            Kind::Placing => self.placing(inner, &span, at),
            Kind::Steps => self.steps(inner, &span, at),
            Kind::Table(shape) => match inner {
                DeValue::Table(table) => {
                    let about = join(at.about, shape.title);
                    Some(Value::Table(self.table(shape, table, span, about)))
                }
                _ => self.wrong_type(inner, &span, at, &key.kind),
            },
            Kind::Tables(shape) => self.tables(inner, &span, at, shape, &key.kind),
            Kind::TablesOrOne(shape) => match inner {
                DeValue::Table(table) => Some(Value::Table(self.table(shape, table, span, format!("[{}]", at.key)))),
                _ => self.tables(inner, &span, at, shape, &key.kind),
            },
        }
    }

    fn tables(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        shape: &'static Table,
        kind: &Kind,
    ) -> Option<Value> {
        let DeValue::Array(array) = raw else {
            if let DeValue::Table(_) = raw {
                let problem = self.error("wrong-type", span, at.about, format!("`{}` is one of a list", at.key));
                problem.expected = format!("a heading with two brackets, {}", shape.title);
                problem.hint = format!("write [[{}]]", at.key);
                return None;
            }
            return self.wrong_type(raw, span, at, kind);
        };
        let mut records = Vec::new();
        for (i, item) in array.iter().enumerate() {
            match item.get_ref() {
                DeValue::Table(table) => {
                    let about = join(at.about, &called(at.key, i, table));
                    records.push(self.table(shape, table, item.span(), about));
                }
                other => {
                    self.wrong_type::<Value>(other, &item.span(), at, kind);
                }
            }
        }
        Some(Value::Tables(records))
    }

    fn text(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<String> {
        match raw {
            DeValue::String(text) => Some(text.to_string()),
            _ => self.wrong_type(raw, span, at, kind),
        }
    }

    fn choice(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        words: &'static [&'static str],
        kind: &Kind,
    ) -> Option<Value> {
        let text = self.text(raw, span, at, kind)?;
        if words.contains(&text.as_str()) {
            return Some(Value::Text(text));
        }
        let near = nearest(&text, words.iter().copied());
        let problem =
            self.error("unknown-value", span, at.about, format!("`{}` is no {} that is known", short(&text), at.key));
        problem.expected = quoted(words);
        problem.hint = near.map_or_else(|| "choose one of these".into(), |near| format!("write \"{near}\""));
        None
    }

    fn thread(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<Value> {
        let text = self.text(raw, span, at, kind)?;
        if let Some(socket) = catalogue::socket(&text) {
            return Some(Value::Text(socket.thread.clone()));
        }
        let known: Vec<&str> = catalogue::sockets().iter().map(|s| s.thread.as_str()).collect();
        let problem = self.error(
            "unknown-thread",
            span,
            at.about,
            format!("the thread `{}` is not in the catalogue", short(&text)),
        );
        problem.expected = quoted(&known);
        problem.hint = "measure the socket and give socket_od instead of thread".into();
        None
    }

    fn material(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<Value> {
        if let DeValue::Integer(digits) = raw {
            let problem =
                self.error("wrong-type", span, at.about, format!("`{}` is a name and stands in quotes", at.key));
            problem.hint = format!("write \"{digits}\"");
            problem.expected = "the name of a material in quotes".into();
            return None;
        }
        let text = self.text(raw, span, at, kind)?;
        if let Some(material) = catalogue::material(&text) {
            return Some(Value::Text(material.name.clone()));
        }
        let names =
            catalogue::materials().iter().flat_map(|m| std::iter::once(&m.name).chain(&m.also)).map(String::as_str);
        let near = nearest(&text, names);
        let problem = self.error(
            "unknown-material",
            span,
            at.about,
            format!("the material `{}` is not in the catalogue", short(&text)),
        );
        problem.expected = quoted(&catalogue::materials().iter().map(|m| m.name.as_str()).collect::<Vec<_>>());
        problem.hint = near.map_or_else(|| "choose one of these".into(), |near| format!("write \"{near}\""));
        None
    }

    fn elbow(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<Value> {
        let text = self.text(raw, span, at, kind)?;
        let squeezed: String = text.to_uppercase().chars().filter(|c| !c.is_whitespace()).collect();
        if let Some(name) = ELBOWS.iter().find(|e| e.replace(' ', "") == squeezed) {
            return Some(Value::Text((*name).to_string()));
        }
        let near = nearest(&text, ELBOWS);
        let problem =
            self.error("unknown-value", span, at.about, format!("`{}` is no elbow that is known", short(&text)));
        problem.expected = quoted(&ELBOWS);
        problem.hint =
            near.map_or_else(|| "give clr, angle and legs instead".into(), |near| format!("write \"{near}\""));
        None
    }

    fn money(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<i64> {
        let digits = match raw {
            DeValue::Integer(n) if n.radix() == 10 => n.as_str().to_string(),
            DeValue::Float(n) => n.as_str().to_string(),
            _ => return self.wrong_type(raw, span, at, kind),
        };
        let amount = quantity::money(&digits);
        self.read(amount, span, at, "an amount of 0 or more with at most three decimals")
    }

    /// A plain number, finite or not; reports what is none.
    fn any_number(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<f64> {
        let value: Option<f64> = match raw {
            DeValue::Integer(n) if n.radix() == 10 => n.as_str().parse().ok(),
            DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix()).ok().map(|n| n as f64),
            DeValue::Float(n) => n.as_str().parse().ok(),
            _ => return self.wrong_type(raw, span, at, kind),
        };
        match value {
            Some(value) if value.is_finite() => Some(value),
            _ => {
                let units = self.units;
                let shown = short(self.source.slice(span));
                let problem = self.error(
                    "not-finite",
                    span,
                    at.about,
                    format!("`{}` is {shown}, which is no finite number", at.key),
                );
                problem.expected = expected(kind, units);
                problem.hint = "write the measured value".into();
                None
            }
        }
    }

    fn plain(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        bounds: Bounds,
        kind: &Kind,
    ) -> Option<f64> {
        let value = self.any_number(raw, span, at, kind)?;
        if bounds.holds(value) {
            return Some(value);
        }
        self.out_of_range(span, at, &format!("{value}"), kind);
        None
    }

    fn out_of_range(&mut self, span: &Range<usize>, at: At<'_>, shown: &str, kind: &Kind) -> &mut Problem {
        let units = self.units;
        let problem = self.error("out-of-range", span, at.about, format!("`{}` cannot be {shown}", at.key));
        problem.expected = expected(kind, units);
        problem.hint = "write the measured or wanted value".into();
        problem
    }

    fn length(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        bounds: Bounds,
        kind: &Kind,
    ) -> Option<f64> {
        if let DeValue::String(text) = raw {
            let read = if matches!(kind, Kind::Wall(_)) { quantity::wall(text) } else { quantity::length(text) };
            let value = self.read(read, span, at, LENGTH_FORMS)?;
            if bounds.holds(value) {
                return Some(value);
            }
            self.out_of_range(span, at, &short(text), kind);
            return None;
        }
        let bare = self.any_number(raw, span, at, kind)?;
        let units = self.units;
        let value = quantity::in_mm(bare, units.in_mm());
        if bounds.holds(value) {
            return Some(value);
        }
        let (word, other, other_word) = match units {
            Units::Mm => ("mm", Units::Inch, "in"),
            Units::Inch => ("in", Units::Mm, "mm"),
        };
        let problem = self.out_of_range(span, at, &format!("{bare} {word}"), kind);
        if bare > 0.0 && bounds.holds(bare * other.in_mm()) {
            problem.hint =
                format!("bare numbers are in {word} here; if it is {other_word}, write \"{bare} {other_word}\"");
        }
        None
    }

    fn angle(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        bounds: Bounds,
        kind: &Kind,
    ) -> Option<f64> {
        let degrees = if let DeValue::String(text) = raw {
            let read = quantity::angle(text);
            // A hair of rounding must not throw out the bound itself.
            (self.read(read, span, at, "an angle in degrees")?.to_degrees() * 1e9).round() / 1e9
        } else {
            self.any_number(raw, span, at, kind)?
        };
        if bounds.holds(degrees) {
            return Some(degrees.to_radians());
        }
        self.out_of_range(span, at, &format!("{degrees} degrees"), kind);
        None
    }

    fn whole(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, min: i64, max: i64) -> Option<i64> {
        let kind = Kind::Whole(min, max);
        let value = match raw {
            DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix()).ok(),
            DeValue::Float(n) => {
                n.as_str().parse::<f64>().ok().filter(|v| v.fract() == 0.0 && v.abs() < 1e15).map(|v| v as i64)
            }
            _ => return self.wrong_type(raw, span, at, &kind),
        };
        match value {
            Some(value) if (min..=max).contains(&value) => Some(value),
            _ => {
                let shown = short(self.source.slice(span));
                self.out_of_range(span, at, &shown, &kind);
                None
            }
        }
    }

    fn array<'v>(
        &mut self,
        raw: &'v DeValue<'v>,
        span: &Range<usize>,
        at: At<'_>,
        kind: &Kind,
    ) -> Option<&'v DeArray<'v>> {
        match raw {
            DeValue::Array(array) => Some(array),
            _ => self.wrong_type(raw, span, at, kind),
        }
    }

    fn items(
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

    fn at_least(
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

    fn exactly(
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

    fn point(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<Vec3> {
        let list = self.items(raw, span, at, kind, |r, v, s| {
            r.length(v, s, at, COORDINATE, &Kind::Length(COORDINATE)).map(Value::Number)
        })?;
        self.three(list, span, at, "a place: three coordinates [x, y, z]")
    }

    fn direction(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<Vec3> {
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

    fn three(
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

    fn inlet_of(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>) -> Option<Value> {
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
    fn placing(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>) -> Option<Value> {
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

    fn steps(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>) -> Option<Value> {
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
            self.error("wrong-count", span, at.about, "`steps` is empty").expected = expected(&Kind::Steps, self.units);
            return None;
        }
        good.then_some(Value::List(rows))
    }

    fn step(&mut self, item: &Spanned<DeValue<'_>>, last: bool, at: At<'_>) -> Option<Value> {
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

    fn read<T>(&mut self, result: Result<T, Unreadable>, span: &Range<usize>, at: At<'_>, expected: &str) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(wrong) => {
                let problem =
                    self.error("bad-value", span, at.about, format!("`{}`: {}", at.key, short(&wrong.message)));
                problem.expected = expected.into();
                problem.hint = wrong.hint;
                None
            }
        }
    }

    fn wrong_type<T>(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<T> {
        let is = match raw {
            DeValue::String(_) => "text",
            DeValue::Integer(_) => "a whole number",
            DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date or time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let units = self.units;
        let problem = self.error("wrong-type", span, at.about, format!("`{}` is {is}", at.key));
        problem.expected = expected(kind, units);
        problem.hint = match (raw, kind) {
            (DeValue::String(text), Kind::Number(_) | Kind::Whole(..) | Kind::Money)
                if text.trim().parse::<f64>().is_ok() =>
            {
                format!("write {} without quotes", text.trim())
            }
            (DeValue::String(text), Kind::Flag) => format!("write {} without quotes", short(text)),
            (DeValue::Integer(_) | DeValue::Float(_), Kind::Text | Kind::Size | Kind::Thread | Kind::Elbow) => {
                "put it in quotes".into()
            }
            _ => "write it as expected here".into(),
        };
        None
    }
}

impl Record {
    fn clone_head(&self) -> Record {
        Record { fields: BTreeMap::new(), bad: BTreeSet::new(), ..self.clone() }
    }
}

/// What a value must be, in words.
pub fn expected(kind: &Kind, units: Units) -> String {
    let unit = match units {
        Units::Mm => "mm",
        Units::Inch => "in",
    };
    let between = |b: &Bounds, scale: f64, unit: &str| {
        let show = |v: f64| format!("{}", ((v / scale) * 1000.0).round() / 1000.0);
        let from = if b.above { format!("above {}", show(b.min)) } else { format!("from {}", show(b.min)) };
        format!("{from} to {} {unit}", show(b.max)).trim_end().to_string()
    };
    match kind {
        Kind::Text => "a text in quotes".into(),
        Kind::Flag => "true or false".into(),
        Kind::Whole(min, max) if min == max => format!("the whole number {min}"),
        Kind::Whole(min, max) => format!("a whole number from {min} to {max}"),
        Kind::Number(b) => format!("a number {}", between(b, 1.0, "")),
        Kind::Length(b) => {
            format!("a length {}, as a number or as text with a unit (\"1 5/8 in\")", between(b, units.in_mm(), unit))
        }
        Kind::Wall(b) => format!("a wall {}, or a tube gauge (\"16 ga\")", between(b, units.in_mm(), unit)),
        Kind::Size => SIZE_FORMS.into(),
        Kind::Angle(b) => format!("an angle {}", between(b, 1.0, "degrees")),
        Kind::AngleOrAny(b) => format!("an angle {}, or \"any\"", between(b, 1.0, "degrees")),
        Kind::Choice(words) => quoted(words),
        Kind::Thread => "a thread such as \"M8\" or \"3/8 in\"".into(),
        Kind::Material => "the name of a material in quotes".into(),
        Kind::Elbow => quoted(&ELBOWS),
        Kind::Money => "an amount of 0 or more with at most three decimals".into(),
        Kind::Point => "a place: three coordinates [x, y, z]".into(),
        Kind::Direction => "a direction: three numbers [x, y, z], not all 0".into(),
        Kind::Points(_) => "a list of places [[x, y, z], ...]".into(),
        Kind::Lengths(count, _) => format!("{count} lengths in brackets"),
        Kind::LengthList(_) => "a list of lengths [...]".into(),
        Kind::WholeList(min, max) => format!("a list of whole numbers from {min} to {max}"),
        Kind::Axes => "three directions [[x, y, z], [x, y, z], [x, y, z]]".into(),
        Kind::InletOf => "cylinder and inlet, e.g. { 1 = 3 }".into(),
        Kind::Placing => {
            "three points on the mesh and the three places where they belong: [[[x, y, z], ...], [[x, y, z], ...]]"
                .into()
        }
        Kind::Steps => "rows [length, rotation, angle, clr] and a last [length]".into(),
        Kind::Table(shape) => format!("a table {}", shape.title),
        Kind::Tables(shape) => format!("tables under {}", shape.title),
        Kind::TablesOrOne(shape) => format!("tables under {}", shape.title),
    }
}

/// The table in which a key of that name exists.
fn owner(table: &'static Table, name: &str, depth: usize) -> Option<&'static str> {
    for key in table.keys {
        if depth > 0 && key.name == name {
            return Some(table.title);
        }
        if let Kind::Table(inner) | Kind::Tables(inner) | Kind::TablesOrOne(inner) = key.kind
            && let Some(found) = owner(inner, name, depth + 1)
        {
            return Some(found);
        }
    }
    None
}

/// How one of a list is called: by its name or cylinder, else by its place in the list.
fn called(key: &str, index: usize, table: &DeTable<'_>) -> String {
    let find = |name: &str| table.iter().find(|(k, _)| k.get_ref() == name).map(|(_, v)| v.get_ref());
    if let Some(DeValue::String(name)) = find("name") {
        return format!("{key} \"{}\"", short(name));
    }
    match find("cylinder") {
        Some(DeValue::Integer(n)) => format!("{key} of cylinder {}", short(n.as_str())),
        _ => format!("{key} {}", index + 1),
    }
}

fn join(about: &str, inner: &str) -> String {
    if about.is_empty() { inner.to_string() } else { format!("{about}, {inner}") }
}

fn quoted<S: AsRef<str>>(words: &[S]) -> String {
    either(&words.iter().map(|w| format!("\"{}\"", w.as_ref())).collect::<Vec<_>>())
}

/// At most 60 characters of a text, control characters taken out.
fn short(text: &str) -> String {
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    if clean.chars().count() <= 80 { clean } else { clean.chars().take(77).chain("...".chars()).collect() }
}

fn lower(doc: &str) -> String {
    let mut chars = doc.chars();
    let first = chars.next().map(|c| c.to_lowercase().to_string()).unwrap_or_default();
    (first + chars.as_str()).trim_end_matches('.').to_string()
}
