//! A TOML file as a tree of plain values in the order of the file, texts kept as texts.

use job::file::syntax::too_full;
use serde::{Serialize, Serializer};
use toml_edit::{Item, Value};

/// A value of a file.
#[derive(Debug, Clone, PartialEq)]
pub enum TomlTree {
    /// A text; dates too.
    Text(String),
    /// A whole number.
    Whole(i64),
    /// A number.
    Number(f64),
    /// True or false.
    Flag(bool),
    /// A list.
    List(Vec<TomlTree>),
    /// A table, in the order of the file.
    Table(Vec<(String, TomlTree)>),
}

impl TomlTree {
    /// The value under a key of a table.
    pub fn get(&self, key: &str) -> Option<&TomlTree> {
        match self {
            TomlTree::Table(entries) => entries.iter().find(|e| e.0 == key).map(|e| &e.1),
            _ => None,
        }
    }

    /// The items of a list; none of anything else.
    pub fn items(&self) -> &[TomlTree] {
        match self {
            TomlTree::List(items) => items,
            _ => &[],
        }
    }

    /// The value when it is text.
    pub fn text(&self) -> Option<&str> {
        match self {
            TomlTree::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The tree of a file's text; `None` when it is no TOML, or holds more than is read.
    pub fn of(text: &str) -> Option<TomlTree> {
        ParsedToml::of(text).map(|parsed| parsed.tree())
    }
}

/// A TOML file with the place of every value.
#[derive(Debug, Clone)]
pub struct ParsedToml(toml_edit::Document<String>);

impl ParsedToml {
    /// The file of a text; `None` when it is no TOML, or holds more than is read.
    pub fn of(text: &str) -> Option<ParsedToml> {
        if too_full(text.as_bytes()).is_some() {
            return None;
        }
        toml_edit::Document::parse(text.to_string()).ok().map(ParsedToml)
    }

    /// Its values.
    pub fn tree(&self) -> TomlTree {
        of_item(self.0.as_item())
    }

    /// Its outermost table.
    pub(crate) fn root(&self) -> &toml_edit::Table {
        self.0.as_table()
    }
}

fn of_item(item: &Item) -> TomlTree {
    match item {
        Item::None => TomlTree::Table(Vec::new()),
        Item::Value(value) => of_value(value),
        Item::Table(table) => TomlTree::Table(table.iter().map(|(k, v)| (k.to_string(), of_item(v))).collect()),
        Item::ArrayOfTables(tables) => TomlTree::List(
            tables
                .iter()
                .map(|t| TomlTree::Table(t.iter().map(|(k, v)| (k.to_string(), of_item(v))).collect()))
                .collect(),
        ),
    }
}

fn of_value(value: &Value) -> TomlTree {
    match value {
        Value::String(text) => TomlTree::Text(text.value().clone()),
        Value::Integer(whole) => TomlTree::Whole(*whole.value()),
        Value::Float(number) => TomlTree::Number(*number.value()),
        Value::Boolean(flag) => TomlTree::Flag(*flag.value()),
        Value::Datetime(date) => TomlTree::Text(date.value().to_string()),
        Value::Array(items) => TomlTree::List(items.iter().map(of_value).collect()),
        Value::InlineTable(table) => TomlTree::Table(table.iter().map(|(k, v)| (k.to_string(), of_value(v))).collect()),
    }
}

impl Serialize for TomlTree {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            TomlTree::Text(text) => serializer.serialize_str(text),
            TomlTree::Whole(whole) => serializer.serialize_i64(*whole),
            TomlTree::Number(number) => serializer.serialize_f64(*number),
            TomlTree::Flag(flag) => serializer.serialize_bool(*flag),
            TomlTree::List(items) => serializer.collect_seq(items),
            TomlTree::Table(entries) => serializer.collect_map(entries.iter().map(|(k, v)| (k, v))),
        }
    }
}
