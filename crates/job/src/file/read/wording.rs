//! The words in which the reader speaks.

use toml::de::{DeTable, DeValue};

use crate::file::describe::{Range as Bounds, TableShape, ValueKind};
use crate::model::Units;
use crate::quantity::SIZE_FORMS;
use crate::suggest::either;

/// The words for elbows.
pub(super) const ELBOWS: [&str; 5] = ["LR 90", "SR 90", "LR 45", "LR 180", "SR 180"];

/// What a value must be, in words.
pub fn expected(kind: &ValueKind, units: Units) -> String {
    let unit = units.word();
    let between = |b: &Bounds, scale: f64, unit: &str| {
        let show = |v: f64| format!("{}", ((v / scale) * 1000.0).round() / 1000.0);
        let from = if b.above { format!("above {}", show(b.min)) } else { format!("from {}", show(b.min)) };
        format!("{from} to {} {unit}", show(b.max)).trim_end().to_string()
    };
    match kind {
        ValueKind::Text => "a text in quotes".into(),
        ValueKind::Flag => "true or false".into(),
        ValueKind::Whole(min, max) if min == max => format!("the whole number {min}"),
        ValueKind::Whole(min, max) => format!("a whole number from {min} to {max}"),
        ValueKind::Number(b) => format!("a number {}", between(b, 1.0, "")),
        ValueKind::Length(b) => {
            format!("a length {}, as a number or as text with a unit (\"1 5/8 in\")", between(b, units.in_mm(), unit))
        }
        ValueKind::Wall(b) => format!("a wall {}, or a tube gauge (\"16 ga\")", between(b, units.in_mm(), unit)),
        ValueKind::Size => SIZE_FORMS.into(),
        ValueKind::Angle(b) => format!("an angle {}", between(b, 1.0, "degrees")),
        ValueKind::AngleOrAny(b) => format!("an angle {}, or \"any\"", between(b, 1.0, "degrees")),
        ValueKind::Choice(words) => quoted(words),
        ValueKind::Thread => "a thread such as \"M8\" or \"3/8 in\"".into(),
        ValueKind::Material => "the name of a material in quotes".into(),
        ValueKind::Elbow => quoted(&ELBOWS),
        ValueKind::Money => "an amount of 0 or more with at most three decimals".into(),
        ValueKind::Date => "a day, e.g. 2026-05-03".into(),
        ValueKind::NameOrPoint => "a name in quotes, or a place [x, y, z]".into(),
        ValueKind::Point => "a place: three coordinates [x, y, z]".into(),
        ValueKind::Direction => "a direction: three numbers [x, y, z], not all 0".into(),
        ValueKind::Points(_) => "a list of places [[x, y, z], ...]".into(),
        ValueKind::Lengths(count, _) => format!("{count} lengths in brackets"),
        ValueKind::LengthList(_) => "a list of lengths [...]".into(),
        ValueKind::WholeList(min, max) => format!("a list of whole numbers from {min} to {max}"),
        ValueKind::Axes => "three directions [[x, y, z], [x, y, z], [x, y, z]]".into(),
        ValueKind::InletOf => "cylinder and inlet, e.g. { 1 = 3 }".into(),
        ValueKind::Placing => {
            "three points on the mesh and the three places where they belong: [[[x, y, z], ...], [[x, y, z], ...]]"
                .into()
        }
        ValueKind::Steps => "rows [length, rotation, angle, clr] and a last [length]".into(),
        ValueKind::Names(least, most) if least == most => format!("{least} names in brackets"),
        ValueKind::Names(least, _) => format!("{least} or more names in brackets"),
        ValueKind::WholesOrOne(min, max) => format!("a whole number from {min} to {max}, or a list of them"),
        ValueKind::Side => "the name of a point, or { mean_normal = [names] }".into(),
        ValueKind::Readings(row) => row.words().into(),
        ValueKind::Table(shape) => format!("a table {}", shape.title),
        ValueKind::Tables(shape, most) | ValueKind::TablesOrOne(shape, most) => {
            format!("tables under {}, at most {most}", shape.title)
        }
    }
}

/// The table in which a key of that name exists.
pub(super) fn owner(table: &'static TableShape, name: &str, depth: usize) -> Option<&'static str> {
    for key in table.keys {
        if depth > 0 && key.name == name {
            return Some(table.title);
        }
        if let ValueKind::Table(inner) | ValueKind::Tables(inner, _) | ValueKind::TablesOrOne(inner, _) = key.kind
            && let Some(found) = owner(inner, name, depth + 1)
        {
            return Some(found);
        }
    }
    None
}

/// How one of a list is called: by its name or cylinder, else by its place in the list.
pub(super) fn called(key: &str, index: usize, table: &DeTable<'_>) -> String {
    let find = |name: &str| table.iter().find(|(k, _)| k.get_ref() == name).map(|(_, v)| v.get_ref());
    if let Some(DeValue::String(name)) = find("name") {
        return format!("{key} \"{}\"", short(name));
    }
    match find("cylinder") {
        Some(DeValue::Integer(n)) => format!("{key} of cylinder {}", short(n.as_str())),
        _ => format!("{key} {}", index + 1),
    }
}

/// `inner` in the words of what it stands in.
pub(super) fn join(about: &str, inner: &str) -> String {
    if about.is_empty() { inner.to_string() } else { format!("{about}, {inner}") }
}

/// The words in quotes: `"a", "b" or "c"`.
pub(super) fn quoted<S: AsRef<str>>(words: &[S]) -> String {
    either(&words.iter().map(|w| format!("\"{}\"", w.as_ref())).collect::<Vec<_>>())
}

/// At most 60 characters of a text, control characters taken out.
pub(super) fn short(text: &str) -> String {
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    if clean.chars().count() <= 80 { clean } else { clean.chars().take(77).chain("...".chars()).collect() }
}

/// A sentence made to go on after a colon.
pub(super) fn lower(doc: &str) -> String {
    let mut chars = doc.chars();
    let first = chars.next().map(|c| c.to_lowercase().to_string()).unwrap_or_default();
    (first + chars.as_str()).trim_end_matches('.').to_string()
}
