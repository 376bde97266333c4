//! Edits a file by paths: comments, order and spacing of all that is not touched stay as they are.

use job::file::syntax::too_full;
use serde::{Deserialize, Serialize};
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value};
use utoipa::ToSchema;

/// One step of a path.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(untagged)]
pub enum PathStep {
    /// A place in a list, from 0.
    Place(usize),
    /// A key of a table.
    Key(String),
}

/// What is done at a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum Op {
    /// The value there becomes this one; a key that is not there is added.
    Set,
    /// Another item of a list is put before the one there, or behind the last.
    Insert,
    /// What is there is taken out.
    Remove,
}

/// One edit.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Edit {
    /// What is done.
    pub op: Op,
    /// Where: `["port", 0, "at"]`.
    #[schema(min_items = 1, max_items = 12)]
    pub path: Vec<PathStep>,
    /// The value of `set` and `insert`: a text stays a text (`"1 5/8 in"`), numbers are in the file's unit.
    #[serde(default)]
    #[schema(value_type = Option<serde_json::Value>)]
    pub value: Option<serde_json::Value>,
}

/// Why an edit can't be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The file is no TOML.
    #[error("the file cannot be edited by place while it cannot be read: {0}; edit its text")]
    Unreadable(String),
    /// There is no such place.
    #[error("there is nothing at {0}")]
    NoPlace(String),
    /// A value that no such file can hold.
    #[error("{path}: {why}")]
    BadValue {
        /// The path.
        path: String,
        /// What is wrong.
        why: &'static str,
    },
}

/// The text with `edits` made in their order.
///
/// # Errors
/// [`EditError`] for the first that can't be made.
///
/// # Example
/// ```
/// # use app::edit_job::{Edit, Op, PathStep, edit_text};
/// let edit = Edit { op: Op::Set, path: vec![PathStep::Key("od".into())], value: Some(serde_json::json!("1 5/8 in")) };
/// assert_eq!(edit_text("od = 41.3 # measured\n", &[edit]).unwrap(), "od = \"1 5/8 in\" # measured\n");
/// ```
pub fn edit_text(text: &str, edits: &[Edit]) -> Result<String, EditError> {
    if too_full(text.as_bytes()).is_some() {
        return Err(EditError::Unreadable("it holds more values than any job needs".into()));
    }
    let mut document = text.parse::<DocumentMut>().map_err(|e| EditError::Unreadable(first_line(&e)))?;
    for edit in edits {
        apply(&mut document, edit)?;
    }
    Ok(document.to_string())
}

fn first_line(error: &toml_edit::TomlError) -> String {
    error.message().lines().next().unwrap_or_default().to_string()
}

/// A path in words: `port[0].at`.
pub fn path_text(path: &[PathStep]) -> String {
    let mut out = String::new();
    for step in path {
        match step {
            PathStep::Place(place) => out.push_str(&format!("[{place}]")),
            PathStep::Key(key) => {
                let dot = if out.is_empty() { "" } else { "." };
                out.push_str(&format!("{dot}{key}"));
            }
        }
    }
    out
}

fn apply(document: &mut DocumentMut, edit: &Edit) -> Result<(), EditError> {
    let no_place = || EditError::NoPlace(path_text(&edit.path));
    let (last, way) = edit.path.split_last().ok_or_else(no_place)?;
    // A list or table on the way that is not there yet is made when something is to be put into it.
    let make = edit.op != Op::Remove;
    let mut at = At::Table(document.as_table_mut());
    for (i, step) in way.iter().enumerate() {
        at = at.down(step, edit.path.get(i + 1), make.then_some(edit.value.as_ref()).flatten()).ok_or_else(no_place)?;
    }
    match edit.op {
        Op::Remove => at.remove(last).ok_or_else(no_place),
        Op::Set | Op::Insert => {
            let bad = |why| EditError::BadValue { path: path_text(&edit.path), why };
            let json = edit.value.as_ref().ok_or_else(|| bad("a value is missing"))?;
            let value = value_of(json).map_err(bad)?;
            if edit.op == Op::Set { at.set(last, value) } else { at.insert(last, value) }.ok_or_else(no_place)
        }
    }
}

/// A place on the way.
enum At<'a> {
    Table(&'a mut Table),
    Inline(&'a mut InlineTable),
    Tables(&'a mut ArrayOfTables),
    List(&'a mut Array),
}

impl<'a> At<'a> {
    /// One step further; `next` is the step behind it, `value` what is to be put at the end when lists may be made.
    fn down(self, step: &PathStep, next: Option<&PathStep>, value: Option<&serde_json::Value>) -> Option<At<'a>> {
        match (self, step) {
            (At::Table(table), PathStep::Key(key)) => {
                if value.is_some() && !table.contains_key(key) {
                    table.insert(key, missing(next, value));
                }
                of_item(table.get_mut(key)?)
            }
            (At::Inline(table), PathStep::Key(key)) => of_value(table.get_mut(key)?),
            (At::Tables(tables), PathStep::Place(place)) => tables.get_mut(*place).map(At::Table),
            (At::List(list), PathStep::Place(place)) => of_value(list.get_mut(*place)?),
            _ => None,
        }
    }

    fn set(self, step: &PathStep, value: Value) -> Option<()> {
        match (self, step) {
            (At::Table(table), PathStep::Key(key)) => match table.get_mut(key) {
                Some(Item::Value(old)) => replace(old, value),
                Some(_) if !value.is_inline_table() && !value.is_array() => return None,
                Some(old) => *old = whole(value),
                None => {
                    table.insert(key, Item::Value(value));
                }
            },
            (At::Inline(table), PathStep::Key(key)) => match table.get_mut(key) {
                Some(old) => replace(old, value),
                None => {
                    table.insert(key, value);
                }
            },
            (At::List(list), PathStep::Place(place)) => replace(list.get_mut(*place)?, value),
            (At::Tables(tables), PathStep::Place(place)) => {
                let table = tables.get_mut(*place)?;
                let fresh = table_of(value)?;
                table.clear();
                fresh.iter().for_each(|(key, item)| {
                    table.insert(key, item.clone());
                });
            }
            _ => return None,
        }
        Some(())
    }

    fn insert(self, step: &PathStep, value: Value) -> Option<()> {
        match (self, step) {
            (At::Tables(tables), PathStep::Place(place)) if *place <= tables.len() => {
                let mut all: Vec<Table> = std::mem::take(tables).into_iter().collect();
                // A table knows where it stands in the file: a new one takes the place of the one before it.
                let before = place.checked_sub(1).and_then(|p| all.get(p)).or_else(|| all.get(*place));
                let mut fresh = table_of(value)?;
                fresh.set_position(before.and_then(Table::position));
                fresh.decor_mut().set_prefix("\n");
                all.insert(*place, fresh);
                all.into_iter().for_each(|t| tables.push(t));
            }
            (At::List(list), PathStep::Place(place)) if *place <= list.len() => list.insert(*place, value),
            (table @ (At::Table(_) | At::Inline(_)), PathStep::Key(_)) => return table.set(step, value),
            _ => return None,
        }
        Some(())
    }

    fn remove(self, step: &PathStep) -> Option<()> {
        match (self, step) {
            (At::Table(table), PathStep::Key(key)) => table.remove(key).map(drop),
            (At::Inline(table), PathStep::Key(key)) => table.remove(key).map(drop),
            (At::Tables(tables), PathStep::Place(place)) if *place < tables.len() => {
                tables.remove(*place);
                Some(())
            }
            (At::List(list), PathStep::Place(place)) if *place < list.len() => {
                list.remove(*place);
                Some(())
            }
            _ => None,
        }
    }
}

fn of_item(item: &mut Item) -> Option<At<'_>> {
    match item {
        Item::Table(table) => Some(At::Table(table)),
        Item::ArrayOfTables(tables) => Some(At::Tables(tables)),
        Item::Value(value) => of_value(value),
        Item::None => None,
    }
}

fn of_value(value: &mut Value) -> Option<At<'_>> {
    match value {
        Value::Array(list) => Some(At::List(list)),
        Value::InlineTable(table) => Some(At::Inline(table)),
        _ => None,
    }
}

/// What is made where nothing is: a table, or a list of what is to be put into it.
fn missing(next: Option<&PathStep>, value: Option<&serde_json::Value>) -> Item {
    match next {
        Some(PathStep::Place(_)) if value.is_some_and(serde_json::Value::is_object) => {
            Item::ArrayOfTables(ArrayOfTables::new())
        }
        Some(PathStep::Place(_)) => Item::Value(Value::Array(Array::new())),
        _ => Item::Table(Table::new()),
    }
}

/// Puts a value in the place of another, with the comment and spacing around it; a whole number in the place of one with
/// decimals keeps a decimal.
fn replace(old: &mut Value, mut new: Value) {
    if let (Value::Float(_), Value::Integer(whole)) = (&*old, &new) {
        new = Value::from(*whole.value() as f64);
    }
    let decor = old.decor().clone();
    *old = new;
    *old.decor_mut() = decor;
}

/// A table or list of tables in the place of one that stood under its own heading.
fn whole(value: Value) -> Item {
    match value {
        Value::InlineTable(table) => Item::Table(table.into_table()),
        Value::Array(list) if !list.is_empty() && list.iter().all(Value::is_inline_table) => {
            let mut tables = ArrayOfTables::new();
            list.into_iter().filter_map(table_of).for_each(|t| tables.push(t));
            Item::ArrayOfTables(tables)
        }
        other => Item::Value(other),
    }
}

fn table_of(value: Value) -> Option<Table> {
    match value {
        Value::InlineTable(table) => Some(table.into_table()),
        _ => None,
    }
}

fn value_of(json: &serde_json::Value) -> Result<Value, &'static str> {
    use serde_json::Value as Json;
    Ok(match json {
        Json::Null => return Err("null is no value of such a file; remove the key instead"),
        Json::Bool(flag) => Value::from(*flag),
        Json::String(text) => Value::from(text.as_str()),
        Json::Number(number) => match (number.as_i64(), number.as_f64()) {
            (Some(whole), _) => Value::from(whole),
            (None, Some(number)) if number.is_finite() => Value::from(number),
            _ => return Err("a number that is too large"),
        },
        Json::Array(items) => {
            let mut list = Array::new();
            for item in items {
                list.push(value_of(item)?);
            }
            Value::Array(list)
        }
        Json::Object(entries) => {
            let mut table = InlineTable::new();
            for (key, value) in entries {
                table.insert(key, value_of(value)?);
            }
            Value::InlineTable(table)
        }
    })
}
