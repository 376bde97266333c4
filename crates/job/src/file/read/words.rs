//! Values that are words: text, choices, threads, materials, elbows.

use toml::de::DeValue;

use super::wording::{ELBOWS, quoted, short};
use super::{Entry, Reader};
use crate::catalogue;
use crate::file::record::Value;
use crate::suggest::nearest;

impl Reader<'_> {
    pub(super) fn text(&mut self, entry: &Entry<'_>) -> Option<String> {
        match entry.raw {
            DeValue::String(text) => Some(text.to_string()),
            _ => self.wrong_type(entry),
        }
    }

    /// A day, as the text that stands there.
    pub(super) fn date(&mut self, entry: &Entry<'_>) -> Option<Value> {
        match entry.raw {
            DeValue::Datetime(day) => Some(Value::Text(day.to_string())),
            DeValue::String(_) => self.short_text(entry),
            _ => self.wrong_type(entry),
        }
    }

    /// A name or a line of text.
    pub(super) fn short_text(&mut self, entry: &Entry<'_>) -> Option<Value> {
        let text = self.text(entry)?;
        if text.trim().is_empty() || text.len() > 200 || text.chars().any(char::is_control) {
            let message = format!("`{}` is empty, longer than 200 letters or has control characters", entry.key);
            let problem = self.wrong("bad-value", entry, message);
            problem.expected = "a short text".into();
            problem.hint = "give it a name that tells it from the others".into();
            return None;
        }
        Some(Value::Text(text))
    }

    pub(super) fn choice(&mut self, entry: &Entry<'_>, words: &'static [&'static str]) -> Option<Value> {
        let text = self.text(entry)?;
        if words.contains(&text.as_str()) {
            return Some(Value::Text(text));
        }
        let near = nearest(&text, words.iter().copied());
        let problem = self.wrong("unknown-value", entry, format!("`{}` is not known as {}", short(&text), entry.key));
        problem.expected = quoted(words);
        problem.hint = near.map_or_else(|| "choose one of these".into(), |near| format!("write \"{near}\""));
        None
    }

    pub(super) fn thread(&mut self, entry: &Entry<'_>) -> Option<Value> {
        let text = self.text(entry)?;
        if let Some(socket) = catalogue::socket(&text) {
            return Some(Value::Text(socket.thread.clone()));
        }
        let known: Vec<&str> = catalogue::sockets().iter().map(|s| s.thread.as_str()).collect();
        let problem =
            self.wrong("unknown-thread", entry, format!("the thread `{}` is not in the catalogue", short(&text)));
        problem.expected = quoted(&known);
        problem.hint = "measure the socket and give socket_od instead of thread".into();
        None
    }

    pub(super) fn material(&mut self, entry: &Entry<'_>) -> Option<Value> {
        if let DeValue::Integer(digits) = entry.raw {
            let problem = self.wrong("wrong-type", entry, format!("`{}` is a name and stands in quotes", entry.key));
            problem.hint = format!("write \"{digits}\"");
            problem.expected = "the name of a material in quotes".into();
            return None;
        }
        let text = self.text(entry)?;
        if let Some(material) = catalogue::material(&text) {
            return Some(Value::Text(material.name.clone()));
        }
        let names =
            catalogue::materials().iter().flat_map(|m| std::iter::once(&m.name).chain(&m.also)).map(String::as_str);
        let near = nearest(&text, names);
        let problem =
            self.wrong("unknown-material", entry, format!("the material `{}` is not in the catalogue", short(&text)));
        problem.expected = quoted(&catalogue::materials().iter().map(|m| m.name.as_str()).collect::<Vec<_>>());
        problem.hint = near.map_or_else(|| "choose one of these".into(), |near| format!("write \"{near}\""));
        None
    }

    pub(super) fn elbow(&mut self, entry: &Entry<'_>) -> Option<Value> {
        let text = self.text(entry)?;
        let squeezed: String = text.to_uppercase().chars().filter(|c| !c.is_whitespace()).collect();
        if let Some(name) = ELBOWS.iter().find(|e| e.replace(' ', "") == squeezed) {
            return Some(Value::Text((*name).to_string()));
        }
        let near = nearest(&text, ELBOWS);
        let problem = self.wrong("unknown-value", entry, format!("`{}` is not known as elbow", short(&text)));
        problem.expected = quoted(&ELBOWS);
        problem.hint =
            near.map_or_else(|| "give clr, angle and legs instead".into(), |near| format!("write \"{near}\""));
        None
    }
}
