//! A TOML file as a tree of plain values in the order of the file, texts kept as texts.

use job::file::syntax::too_full;
use serde::{Serialize, Serializer};
use toml_edit::{Item, Value};

/// A value of a file.
#[derive(Debug, Clone, PartialEq)]
pub enum Tree {
    /// A text; dates too.
    Text(String),
    /// A whole number.
    Whole(i64),
    /// A number.
    Number(f64),
    /// True or false.
    Flag(bool),
    /// A list.
    List(Vec<Tree>),
    /// A table, in the order of the file.
    Table(Vec<(String, Tree)>),
}

impl Tree {
    /// The value under a key of a table.
    pub fn get(&self, key: &str) -> Option<&Tree> {
        match self {
            Tree::Table(entries) => entries.iter().find(|e| e.0 == key).map(|e| &e.1),
            _ => None,
        }
    }

    /// The items of a list; none of anything else.
    pub fn items(&self) -> &[Tree] {
        match self {
            Tree::List(items) => items,
            _ => &[],
        }
    }

    /// The value when it is text.
    pub fn text(&self) -> Option<&str> {
        match self {
            Tree::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The tree of a file's text; `None` when it is no TOML, or holds more than is read.
    pub fn of(text: &str) -> Option<Tree> {
        if too_full(text.as_bytes()).is_some() {
            return None;
        }
        let document = text.parse::<toml_edit::DocumentMut>().ok()?;
        Some(of_item(document.as_item()))
    }
}

fn of_item(item: &Item) -> Tree {
    match item {
        Item::None => Tree::Table(Vec::new()),
        Item::Value(value) => of_value(value),
        Item::Table(table) => Tree::Table(table.iter().map(|(k, v)| (k.to_string(), of_item(v))).collect()),
        Item::ArrayOfTables(tables) => Tree::List(
            tables.iter().map(|t| Tree::Table(t.iter().map(|(k, v)| (k.to_string(), of_item(v))).collect())).collect(),
        ),
    }
}

fn of_value(value: &Value) -> Tree {
    match value {
        Value::String(text) => Tree::Text(text.value().clone()),
        Value::Integer(whole) => Tree::Whole(*whole.value()),
        Value::Float(number) => Tree::Number(*number.value()),
        Value::Boolean(flag) => Tree::Flag(*flag.value()),
        Value::Datetime(date) => Tree::Text(date.value().to_string()),
        Value::Array(items) => Tree::List(items.iter().map(of_value).collect()),
        Value::InlineTable(table) => Tree::Table(table.iter().map(|(k, v)| (k.to_string(), of_value(v))).collect()),
    }
}

impl Serialize for Tree {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Tree::Text(text) => serializer.serialize_str(text),
            Tree::Whole(whole) => serializer.serialize_i64(*whole),
            Tree::Number(number) => serializer.serialize_f64(*number),
            Tree::Flag(flag) => serializer.serialize_bool(*flag),
            Tree::List(items) => serializer.collect_seq(items),
            Tree::Table(entries) => serializer.collect_map(entries.iter().map(|(k, v)| (k, v))),
        }
    }
}
