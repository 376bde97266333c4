//! A table as read: good values by key, with their places.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use geom::Vec3;

use super::describe::TableShape;
use crate::model::Money;
use crate::quantity::Size;

/// A value that was read. Lengths in mm, angles in rad.
#[derive(Debug, Clone)]
pub enum Value {
    /// Text, a choice, a thread, an elbow or a material's name in the catalogue.
    Text(String),
    /// True or false.
    Flag(bool),
    /// A whole number.
    Whole(i64),
    /// A number, length (mm) or angle (rad).
    Number(f64),
    /// A tube's size.
    Size(Size),
    /// An amount of money.
    Money(Money),
    /// A place (mm) or a direction.
    Point(Vec3),
    /// A list.
    List(Vec<(Value, Range<usize>)>),
    /// A table.
    Table(Record),
    /// Tables in a list.
    Tables(Vec<Record>),
}

/// A table as read.
#[derive(Debug, Clone)]
pub struct Record {
    /// What it was read as.
    pub shape: &'static TableShape,
    /// In the words of the job: `port of cylinder 3`.
    pub about: String,
    /// Its heading or braces.
    pub span: Range<usize>,
    /// Good values with the places of key and value.
    pub fields: BTreeMap<&'static str, (Value, Range<usize>, Range<usize>)>,
    /// Keys that are there but whose value is bad (and has been reported).
    pub bad: BTreeSet<&'static str>,
}

impl Record {
    /// The value of a key, when it is there and good.
    pub fn value(&self, key: &str) -> Option<&Value> {
        self.fields.get(key).map(|(value, _, _)| value)
    }

    /// Whether the key is there at all, good or bad.
    pub fn given(&self, key: &str) -> bool {
        self.fields.contains_key(key) || self.bad.contains(key)
    }

    /// Whether the key is there with a bad value.
    pub fn is_bad(&self, key: &str) -> bool {
        self.bad.contains(key)
    }

    /// The place of a key's value; the table's own when the key is not there.
    pub fn span_of(&self, key: &str) -> Range<usize> {
        self.fields.get(key).map_or_else(|| self.span.clone(), |(_, _, value)| value.clone())
    }

    /// The place of a key; the table's own when it is not there.
    pub fn key_span(&self, key: &str) -> Range<usize> {
        self.fields.get(key).map_or_else(|| self.span.clone(), |(_, key, _)| key.clone())
    }

    /// A number, length (mm) or angle (rad).
    pub fn number(&self, key: &str) -> Option<f64> {
        match self.value(key) {
            Some(Value::Number(value)) => Some(*value),
            _ => None,
        }
    }

    /// A whole number.
    pub fn whole(&self, key: &str) -> Option<i64> {
        match self.value(key) {
            Some(Value::Whole(value)) => Some(*value),
            _ => None,
        }
    }

    /// A text.
    pub fn text(&self, key: &str) -> Option<&str> {
        match self.value(key) {
            Some(Value::Text(value)) => Some(value),
            _ => None,
        }
    }

    /// True or false.
    pub fn flag(&self, key: &str) -> Option<bool> {
        match self.value(key) {
            Some(Value::Flag(value)) => Some(*value),
            _ => None,
        }
    }

    /// An amount of money.
    pub fn money(&self, key: &str) -> Option<Money> {
        match self.value(key) {
            Some(Value::Money(value)) => Some(*value),
            _ => None,
        }
    }

    /// A place or a direction.
    pub fn point(&self, key: &str) -> Option<Vec3> {
        match self.value(key) {
            Some(Value::Point(value)) => Some(*value),
            _ => None,
        }
    }

    /// A size.
    pub fn size(&self, key: &str) -> Option<Size> {
        match self.value(key) {
            Some(Value::Size(value)) => Some(*value),
            _ => None,
        }
    }

    /// A list with the place of each item.
    pub fn list(&self, key: &str) -> Option<&[(Value, Range<usize>)]> {
        match self.value(key) {
            Some(Value::List(value)) => Some(value),
            _ => None,
        }
    }

    /// The places in a list.
    pub fn points(&self, key: &str) -> Option<Vec<Vec3>> {
        let list = self.list(key)?;
        Some(list.iter().filter_map(|(v, _)| if let Value::Point(p) = v { Some(*p) } else { None }).collect())
    }

    /// The numbers in a list.
    pub fn numbers(&self, key: &str) -> Option<Vec<f64>> {
        let list = self.list(key)?;
        Some(list.iter().filter_map(|(v, _)| if let Value::Number(n) = v { Some(*n) } else { None }).collect())
    }

    /// The whole numbers in a list.
    pub fn wholes(&self, key: &str) -> Option<Vec<i64>> {
        let list = self.list(key)?;
        Some(list.iter().filter_map(|(v, _)| if let Value::Whole(n) = v { Some(*n) } else { None }).collect())
    }

    /// A table.
    pub fn table(&self, key: &str) -> Option<&Record> {
        match self.value(key) {
            Some(Value::Table(value)) => Some(value),
            _ => None,
        }
    }

    /// Tables in a list; none when the key is not there.
    pub fn tables(&self, key: &str) -> &[Record] {
        match self.value(key) {
            Some(Value::Tables(value)) => value,
            _ => &[],
        }
    }
}

/// Unit vector of a direction that was read (never zero).
pub(super) fn unit(direction: Vec3) -> Vec3 {
    direction.try_normalize().unwrap_or(Vec3::X)
}
