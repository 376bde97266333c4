//! Values that are words: text, choices, threads, materials, elbows.

use std::ops::Range;

use toml::de::DeValue;

use super::wording::{quoted, short};
use super::{At, ELBOWS, Reader};
use crate::catalogue;
use crate::file::describe::Kind;
use crate::file::record::Value;
use crate::suggest::nearest;

impl Reader<'_> {
    pub(super) fn text(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<String> {
        match raw {
            DeValue::String(text) => Some(text.to_string()),
            _ => self.wrong_type(raw, span, at, kind),
        }
    }

    pub(super) fn choice(
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
            self.error("unknown-value", span, at.about, format!("`{}` is not known as {}", short(&text), at.key));
        problem.expected = quoted(words);
        problem.hint = near.map_or_else(|| "choose one of these".into(), |near| format!("write \"{near}\""));
        None
    }

    pub(super) fn thread(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<Value> {
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

    pub(super) fn material(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        kind: &Kind,
    ) -> Option<Value> {
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

    pub(super) fn elbow(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<Value> {
        let text = self.text(raw, span, at, kind)?;
        let squeezed: String = text.to_uppercase().chars().filter(|c| !c.is_whitespace()).collect();
        if let Some(name) = ELBOWS.iter().find(|e| e.replace(' ', "") == squeezed) {
            return Some(Value::Text((*name).to_string()));
        }
        let near = nearest(&text, ELBOWS);
        let problem = self.error("unknown-value", span, at.about, format!("`{}` is not known as elbow", short(&text)));
        problem.expected = quoted(&ELBOWS);
        problem.hint =
            near.map_or_else(|| "give clr, angle and legs instead".into(), |near| format!("write \"{near}\""));
        None
    }
}
