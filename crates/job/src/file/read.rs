//! Reads a tree of tables by its description and collects everything that is wrong with it.

mod lists;
mod numbers;
mod readings;
mod wording;
mod words;

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::describe::{Key, TableShape, ValueKind};
use super::record::{Record, Value};
use super::syntax::Settled;
use crate::model::{Money, Units};
use crate::problem::Problem;
use crate::quantity::{self, SIZE_FORMS, Unreadable};
use crate::source::Source;
use crate::suggest::{either, nearest};

pub use wording::expected;
use wording::{called, join, lower, owner, short};

/// Most problems that are kept of one file.
const MOST: usize = 500;

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

/// A value of the file: what stands there, where, under which key, in which table, and what it must be.
#[derive(Clone)]
struct Entry<'a> {
    raw: &'a DeValue<'a>,
    span: Range<usize>,
    key: &'static str,
    about: &'a str,
    kind: ValueKind,
}

impl<'a> Entry<'a> {
    /// A value within this one.
    fn of(&self, value: &'a Spanned<DeValue<'a>>, kind: ValueKind) -> Entry<'a> {
        Entry { raw: value.get_ref(), span: value.span(), kind, ..self.clone() }
    }
}

impl<'s> Reader<'s> {
    /// A reader of `source`.
    pub fn new(source: &'s Source, units: Units, tree: Settled) -> Self {
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
    pub fn file(&mut self, shape: &'static TableShape, root: &Spanned<DeTable<'_>>) -> Record {
        self.table(shape, root.get_ref(), 0..0, String::new())
    }

    fn table(&mut self, shape: &'static TableShape, raw: &DeTable<'_>, span: Range<usize>, about: String) -> Record {
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
            let about = &record.about.clone();
            let (raw, span) = (raw_value.get_ref(), raw_value.span());
            match self.value(&Entry { raw, span, key: key.name, about, kind: key.kind }) {
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

    fn unknown(&mut self, shape: &'static TableShape, name: &str, span: &Range<usize>, about: &str) {
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

    fn value(&mut self, entry: &Entry<'_>) -> Option<Value> {
        match entry.kind {
            ValueKind::Text => self.short_text(entry),
            ValueKind::Flag => match entry.raw {
                DeValue::Boolean(flag) => Some(Value::Flag(*flag)),
                _ => self.wrong_type(entry),
            },
            ValueKind::Whole(min, max) => self.whole(entry, min, max).map(Value::Whole),
            ValueKind::Number(bounds) => self.plain(entry, bounds).map(Value::Number),
            ValueKind::Length(bounds) | ValueKind::Wall(bounds) => self.length(entry, bounds).map(Value::Number),
            ValueKind::Angle(bounds) => self.angle(entry, bounds).map(Value::Number),
            ValueKind::AngleOrAny(bounds) => match entry.raw {
                DeValue::String(text) if text.trim() == "any" => Some(Value::Number(std::f64::consts::PI)),
                _ => self.angle(entry, bounds).map(Value::Number),
            },
            ValueKind::Size => {
                let size = quantity::size(&self.text(entry)?);
                self.read(size, entry, SIZE_FORMS).map(Value::Size)
            }
            ValueKind::Choice(words) => self.choice(entry, words),
            ValueKind::Thread => self.thread(entry),
            ValueKind::Material => self.material(entry),
            ValueKind::Elbow => self.elbow(entry),
            ValueKind::Money => self.money(entry).map(|m| Value::Money(Money(m))),
            ValueKind::Date => self.date(entry),
            ValueKind::NameOrPoint => match entry.raw {
                DeValue::String(_) => self.short_text(entry),
                DeValue::Array(_) => self.point(entry).map(Value::Point),
                _ => self.wrong_type(entry),
            },
            ValueKind::Point => self.point(entry).map(Value::Point),
            ValueKind::Direction => self.direction(entry).map(Value::Point),
            ValueKind::Table(shape) => match entry.raw {
                DeValue::Table(table) => {
                    let about = join(entry.about, shape.title);
                    Some(Value::Table(self.table(shape, table, entry.span.clone(), about)))
                }
                _ => self.wrong_type(entry),
            },
            ValueKind::Tables(shape, most) => self.tables(entry, shape, most),
            ValueKind::TablesOrOne(shape, most) => match entry.raw {
                DeValue::Table(table) => {
                    let about = format!("[{}]", entry.key);
                    Some(Value::Table(self.table(shape, table, entry.span.clone(), about)))
                }
                _ => self.tables(entry, shape, most),
            },
            ValueKind::Names(least, most) => self.names(entry, least, most),
            ValueKind::WholesOrOne(min, max) => self.numbers_or_one(entry, min, max),
            ValueKind::Side => self.side(entry),
            ValueKind::Readings(row) => self.readings(entry, row),
            ValueKind::Points(_)
            | ValueKind::Lengths(..)
            | ValueKind::LengthList(_)
            | ValueKind::WholeList(..)
            | ValueKind::Axes
            | ValueKind::InletOf
            | ValueKind::Placing
            | ValueKind::Steps => self.list(entry),
        }
    }

    /// The kinds whose values are lists, or tables of pairs.
    fn list(&mut self, entry: &Entry<'_>) -> Option<Value> {
        match entry.kind {
            ValueKind::Points(least) => self.points(entry, least),
            ValueKind::Lengths(count, bounds) => {
                let list = self.lengths(entry, bounds)?;
                self.exactly(entry, list, count)
            }
            ValueKind::LengthList(bounds) => self.lengths(entry, bounds).map(Value::List),
            ValueKind::WholeList(min, max) => {
                let whole = |reader: &mut Self, item: &Entry<'_>| reader.whole(item, min, max).map(Value::Whole);
                self.items(entry, ValueKind::Whole(min, max), whole).map(Value::List)
            }
            ValueKind::Axes => {
                let list =
                    self.items(entry, ValueKind::Direction, |reader, item| reader.direction(item).map(Value::Point))?;
                self.exactly(entry, list, 3)
            }
            ValueKind::InletOf => self.inlet_of(entry),
            ValueKind::Placing => self.placing(entry),
            ValueKind::Steps => self.steps(entry),
            // No list; `value` sends none of them here.
            _ => self.wrong_type(entry),
        }
    }

    fn tables(&mut self, entry: &Entry<'_>, shape: &'static TableShape, most: usize) -> Option<Value> {
        let entry = &Entry { kind: ValueKind::Tables(shape, most), ..entry.clone() };
        let DeValue::Array(array) = entry.raw else {
            if let DeValue::Table(_) = entry.raw {
                let problem = self.wrong("wrong-type", entry, format!("`{}` is one of a list", entry.key));
                problem.expected = format!("a heading with two brackets, {}", shape.title);
                problem.hint = format!("write [[{}]]", entry.key);
                return None;
            }
            return self.wrong_type(entry);
        };
        if array.len() > most {
            self.too_many(entry, array.len(), most);
            return None;
        }
        let mut records = Vec::new();
        for (i, item) in array.iter().enumerate() {
            match item.get_ref() {
                DeValue::Table(table) => {
                    let about = join(entry.about, &called(entry.key, i, table));
                    records.push(self.table(shape, table, item.span(), about));
                }
                _ => {
                    self.wrong_type::<Value>(&entry.of(item, entry.kind));
                }
            }
        }
        Some(Value::Tables(records))
    }

    /// Reports a list that is longer than any real one; it is not read then.
    fn too_many(&mut self, entry: &Entry<'_>, count: usize, most: usize) {
        let message = format!("`{}` has {count} entries, more than any job needs", entry.key);
        let problem = self.wrong("too-many", entry, message);
        problem.expected = format!("at most {most}");
        problem.hint = "leave out what this job does not need, or divide it into several jobs".into();
    }

    /// Reports an error at a value.
    fn wrong(&mut self, code: &'static str, entry: &Entry<'_>, message: impl Into<String>) -> &mut Problem {
        self.error(code, &entry.span, entry.about, message)
    }

    fn read<T>(&mut self, result: Result<T, Unreadable>, entry: &Entry<'_>, expected: &str) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(wrong) => {
                let message = format!("`{}`: {}", entry.key, short(&wrong.message));
                let problem = self.wrong("bad-value", entry, message);
                problem.expected = expected.into();
                problem.hint = wrong.hint;
                None
            }
        }
    }

    fn wrong_type<T>(&mut self, entry: &Entry<'_>) -> Option<T> {
        let is = match entry.raw {
            DeValue::String(_) => "text",
            DeValue::Integer(_) => "whole number",
            DeValue::Float(_) => "number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "date or time",
            DeValue::Array(_) => "list",
            DeValue::Table(_) => "table",
        };
        let units = self.units;
        let problem = self.wrong("wrong-type", entry, format!("`{}` takes no {is}", entry.key));
        problem.expected = expected(&entry.kind, units);
        problem.hint = match (entry.raw, entry.kind) {
            (DeValue::String(text), ValueKind::Number(_) | ValueKind::Whole(..) | ValueKind::Money)
                if text.trim().parse::<f64>().is_ok() =>
            {
                format!("write {} without quotes", text.trim())
            }
            (DeValue::String(_), ValueKind::Flag) => "write true or false, without quotes".into(),
            (
                DeValue::Integer(_) | DeValue::Float(_),
                ValueKind::Text | ValueKind::Size | ValueKind::Thread | ValueKind::Elbow,
            ) => "put it in quotes".into(),
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
