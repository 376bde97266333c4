//! Reads a tree of tables by its description and collects everything that is wrong with it.

mod lists;
mod numbers;
mod wording;
mod words;

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::describe::{Key, Kind, Table};
use super::record::{Record, Value};
use super::syntax::Tree;
use crate::model::{Money, Units};
use crate::problem::Problem;
use crate::quantity::{self, SIZE_FORMS, Unreadable};
use crate::source::Source;
use crate::suggest::{either, nearest};

pub use wording::expected;
use wording::{called, join, lower, owner, short};

/// Most problems that are kept of one file.
const MOST: usize = 500;

/// The words for elbows.
const ELBOWS: [&str; 5] = ["LR 90", "SR 90", "LR 45", "LR 180", "SR 180"];

/// Reads one file.
pub struct Reader<'s> {
    /// The text that is read.
    pub source: &'s Source,
    /// Unit of bare numbers that are lengths.
    pub units: Units,
    /// What was found wrong so far.
    pub problems: Vec<Problem>,
    /// True when some lines could not be read at all: then nothing is said to be missing.
    pub broken: bool,
    /// Stretches whose heading could not be read.
    unread: Vec<Range<usize>>,
}

/// A value at the door: what it is, where it is, in whose words.
#[derive(Clone, Copy)]
struct At<'a> {
    key: &'static str,
    about: &'a str,
}

impl<'s> Reader<'s> {
    /// A reader of `source`.
    pub fn new(source: &'s Source, units: Units, tree: Tree) -> Self {
        Reader { source, units, problems: tree.problems, broken: tree.broken, unread: tree.unread }
    }

    /// What was found wrong: syntax first, without what only follows from a heading that could not be read.
    pub fn finish(self) -> Vec<Problem> {
        let unread = |p: &Problem| {
            p.code != "syntax"
                && p.place.spot.as_ref().is_some_and(|s| self.unread.iter().any(|u| u.contains(&s.span.start)))
        };
        self.problems.into_iter().filter(|p| !unread(p)).map(Problem::presentable).collect()
    }

    /// Reports an error at `span`.
    pub fn error(
        &mut self,
        code: &'static str,
        span: &Range<usize>,
        about: &str,
        message: impl Into<String>,
    ) -> &mut Problem {
        let problem = Problem::error(code, message).about(about);
        // Beyond the most that are kept each one only takes the last place; its own place in the file is not looked for.
        let kept = self.problems.len() < MOST;
        self.problems.truncate(MOST);
        self.problems.push(if kept { problem.at(self.source.spot(span)) } else { problem });
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
                let names = shape.keys.iter().map(|k| k.name);
                let meant = if self.problems.len() <= MOST { nearest(raw_key.get_ref(), names) } else { None };
                record.bad.extend(meant.and_then(|name| shape.key(name)).map(|key| key.name));
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
        if self.problems.len() > MOST {
            return;
        }
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
            Kind::Tables(shape, most) => self.tables(inner, &span, at, shape, most),
            Kind::TablesOrOne(shape, most) => match inner {
                DeValue::Table(table) => Some(Value::Table(self.table(shape, table, span, format!("[{}]", at.key)))),
                _ => self.tables(inner, &span, at, shape, most),
            },
        }
    }

    fn tables(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        shape: &'static Table,
        most: usize,
    ) -> Option<Value> {
        let kind = &Kind::Tables(shape, most);
        let DeValue::Array(array) = raw else {
            if let DeValue::Table(_) = raw {
                let problem = self.error("wrong-type", span, at.about, format!("`{}` is one of a list", at.key));
                problem.expected = format!("a heading with two brackets, {}", shape.title);
                problem.hint = format!("write [[{}]]", at.key);
                return None;
            }
            return self.wrong_type(raw, span, at, kind);
        };
        if array.len() > most {
            self.too_many(array.len(), most, span, at);
            return None;
        }
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

    /// Reports a list that is longer than any real one; it is not read then.
    fn too_many(&mut self, count: usize, most: usize, span: &Range<usize>, at: At<'_>) {
        let message = format!("`{}` has {count} entries, more than any job needs", at.key);
        let problem = self.error("too-many", span, at.about, message);
        problem.expected = format!("at most {most}");
        problem.hint = "leave out what this job does not need, or divide it into several jobs".into();
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
            DeValue::Integer(_) => "whole number",
            DeValue::Float(_) => "number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "date or time",
            DeValue::Array(_) => "list",
            DeValue::Table(_) => "table",
        };
        let units = self.units;
        let problem = self.error("wrong-type", span, at.about, format!("`{}` takes no {is}", at.key));
        problem.expected = expected(kind, units);
        problem.hint = match (raw, kind) {
            (DeValue::String(text), Kind::Number(_) | Kind::Whole(..) | Kind::Money)
                if text.trim().parse::<f64>().is_ok() =>
            {
                format!("write {} without quotes", text.trim())
            }
            (DeValue::String(_), Kind::Flag) => "write true or false, without quotes".into(),
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
