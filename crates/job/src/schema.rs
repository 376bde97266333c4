//! The JSON Schema of job.toml, made from the tables that the reader itself goes by.
//!
//! JSON Schema draft 2020-12. It holds what one value or table must be; what needs the whole job
//! (the firing order as a permutation, say) only the reader checks. Limits of lengths depend on the
//! file's unit and stand in the descriptions.

use serde_json::{Map, Value, json};

use crate::catalogue;
use crate::file::describe::{MOST_IN_LIST, Range, TableShape, ValueKind};
use crate::file::read::expected;
use crate::file::tables::JOB;
use crate::model::Units;

/// The JSON Schema of job.toml.
pub fn schema() -> Value {
    let mut root = table(&JOB);
    if let Value::Object(map) = &mut root {
        map.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
        map.insert("title".into(), json!("job.toml"));
    }
    root
}

/// The schema as text.
pub fn text() -> String {
    format!("{:#}\n", schema())
}

fn table(shape: &'static TableShape) -> Value {
    let mut properties = Map::new();
    for key in shape.keys {
        let mut value = kind(&key.kind);
        if let Value::Object(map) = &mut value {
            let form = match key.kind {
                ValueKind::Table(_) | ValueKind::Tables(..) | ValueKind::TablesOrOne(..) => String::new(),
                _ => format!(" Expected: {}.", expected(&key.kind, Units::Mm)),
            };
            map.insert("description".into(), json!(format!("{}{form}", key.doc)));
        }
        properties.insert(key.name.into(), value);
    }
    let required: Vec<&str> = shape.keys.iter().filter(|k| k.required).map(|k| k.name).collect();
    let mut object = json!({
        "type": "object",
        "description": shape.doc,
        "properties": properties,
        "additionalProperties": false,
    });
    if let (Value::Object(map), false) = (&mut object, required.is_empty()) {
        map.insert("required".into(), json!(required));
    }
    object
}

fn number(range: &Range) -> Value {
    let least = if range.above { "exclusiveMinimum" } else { "minimum" };
    json!({"type": "number", least: range.min, "maximum": range.max})
}

/// A length: a number whose sign alone is sure, or text with a unit.
fn length(range: &Range) -> Value {
    let bare = match (range.min >= 0.0, range.above || range.min > 0.0) {
        (true, true) => json!({"type": "number", "exclusiveMinimum": 0}),
        (true, false) => json!({"type": "number", "minimum": 0}),
        _ => json!({"type": "number"}),
    };
    json!({"anyOf": [bare, {"type": "string", "pattern": "[0-9\u{bc}\u{bd}\u{be}\u{215b}-\u{215e}]"}]})
}

fn angle(range: &Range) -> Value {
    json!({"anyOf": [number(range), {"type": "string", "pattern": "[0-9]"}]})
}

fn fixed_list(item: Value, count: usize) -> Value {
    json!({"type": "array", "items": item, "minItems": count, "maxItems": count})
}

fn whole(min: i64, max: i64) -> Value {
    json!({"type": "integer", "minimum": min, "maximum": max})
}

fn list_of(item: Value) -> Value {
    json!({"type": "array", "items": item, "maxItems": MOST_IN_LIST})
}

fn tables(shape: &'static TableShape, most: usize) -> Value {
    json!({"type": "array", "items": table(shape), "maxItems": most})
}

fn place() -> Value {
    fixed_list(length(&Range { min: -1.0, max: 1.0, above: false }), 3)
}

fn kind(kind: &ValueKind) -> Value {
    match kind {
        ValueKind::Text => json!({"type": "string", "minLength": 1, "maxLength": 200}),
        ValueKind::Flag => json!({"type": "boolean"}),
        ValueKind::Whole(min, max) => whole(*min, *max),
        ValueKind::Number(range) => number(range),
        ValueKind::Length(range) | ValueKind::Wall(range) => length(range),
        ValueKind::Size => json!({"type": "string", "minLength": 1}),
        ValueKind::Angle(range) => angle(range),
        ValueKind::AngleOrAny(range) => json!({"anyOf": [angle(range), {"const": "any"}]}),
        ValueKind::Choice(words) => json!({"enum": words}),
        ValueKind::Thread => {
            let known: Vec<&str> = catalogue::sockets().iter().map(|s| s.thread.as_str()).collect();
            json!({"type": "string", "minLength": 1, "examples": known})
        }
        ValueKind::Material => {
            let known: Vec<&str> = catalogue::materials().iter().map(|m| m.name.as_str()).collect();
            json!({"type": "string", "minLength": 1, "examples": known})
        }
        ValueKind::Elbow => json!({"type": "string", "pattern": "^ *[LlSs][Rr] *(45|90|180) *$"}),
        ValueKind::Money => json!({"type": "number", "minimum": 0, "maximum": 1e9}),
        ValueKind::Date => json!({"type": "string"}),
        ValueKind::NameOrPoint => json!({"anyOf": [{"type": "string", "minLength": 1}, place()]}),
        ValueKind::Point => place(),
        ValueKind::Direction => fixed_list(json!({"type": "number"}), 3),
        ValueKind::Points(least) => {
            json!({"type": "array", "items": place(), "minItems": least, "maxItems": MOST_IN_LIST})
        }
        ValueKind::Lengths(count, range) => fixed_list(length(range), *count),
        ValueKind::LengthList(range) => list_of(length(range)),
        ValueKind::WholeList(min, max) => list_of(whole(*min, *max)),
        ValueKind::Axes => fixed_list(fixed_list(json!({"type": "number"}), 3), 3),
        ValueKind::InletOf => json!({
            "type": "object",
            "patternProperties": {"^[0-9]+$": {"type": "integer", "minimum": 1, "maximum": 24}},
            "additionalProperties": false,
        }),
        ValueKind::Placing => {
            let three = fixed_list(place(), 3);
            json!({"anyOf": [
                fixed_list(three.clone(), 2),
                {"type": "object", "properties": {"mesh": three, "at": three}, "required": ["mesh", "at"], "additionalProperties": false},
            ]})
        }
        ValueKind::Steps => json!({"type": "array", "minItems": 1, "maxItems": MOST_IN_LIST}),
        ValueKind::Names(least, most) => {
            let list = json!({"type": "array", "items": {"type": "string", "minLength": 1}, "minItems": least, "maxItems": most});
            if *least == 1 { json!({"anyOf": [{"type": "string", "minLength": 1}, list]}) } else { list }
        }
        ValueKind::Readings(_) => json!({"type": "array", "maxItems": MOST_IN_LIST}),
        ValueKind::WholesOrOne(min, max) => {
            json!({"anyOf": [whole(*min, *max), list_of(whole(*min, *max))]})
        }
        ValueKind::Side => json!({"type": ["string", "object"]}),
        ValueKind::Table(shape) => table(shape),
        ValueKind::Tables(shape, most) => tables(shape, *most),
        ValueKind::TablesOrOne(shape, most) => json!({"anyOf": [tables(shape, *most), table(shape)]}),
    }
}
