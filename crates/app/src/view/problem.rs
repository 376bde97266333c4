//! Problems of a job's files.

use job::{Problem, Problems};
use serde::Serialize;
use utoipa::ToSchema;

use super::codes::SeverityCode;
use crate::edit_job::PathStep;
use crate::tree::ParsedToml;

/// A problem.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProblemView {
    /// How serious it is.
    pub severity: SeverityCode,
    /// Stable code of this kind of problem.
    pub code: &'static str,
    /// What is wrong, with the values.
    pub message: String,
    /// The document.
    pub file: String,
    /// Line, from 1.
    pub line: Option<usize>,
    /// Column in characters, from 1.
    pub column: Option<usize>,
    /// The line, with the relevant part marked.
    pub underline: Option<Underline>,
    /// Part of the job: `port of cylinder 3`; may be empty.
    pub about: String,
    /// What was expected there; may be empty.
    pub expected: String,
    /// How to fix it.
    pub hints: Vec<String>,
    /// The place in the document's tree, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub path: Option<Vec<PathStep>>,
}

/// A line of a file, and a stretch of it, in characters.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Underline {
    /// The line, or the part of it around the place.
    pub text: String,
    /// Characters before the stretch.
    pub from: usize,
    /// Characters of the stretch.
    pub len: usize,
}

/// Problems as the page shows them; `text` is that of job.toml.
pub fn problems(found: &Problems, text: &str) -> Vec<ProblemView> {
    problems_in(found, "job.toml", text)
}

/// Problems with the places of those in `file`, whose text this is.
pub fn problems_in(found: &Problems, file: &str, text: &str) -> Vec<ProblemView> {
    let is_placed = found.0.iter().any(|p| p.place.spot.is_some());
    problems_placed(found, file, is_placed.then(|| ParsedToml::of(text)).flatten().as_ref())
}

/// Problems with the places of those in `file`, which is parsed already.
pub fn problems_placed(found: &Problems, file: &str, parsed: Option<&ParsedToml>) -> Vec<ProblemView> {
    let is_placed = found.0.iter().any(|p| p.place.spot.is_some());
    let places = parsed.filter(|_| is_placed).map(Places::of);
    found.0.iter().map(|p| problem(p, file, places.as_ref())).collect()
}

fn problem(problem: &Problem, file: &str, places: Option<&Places>) -> ProblemView {
    let shown = problem.clone().presentable();
    let spot = shown.place.spot.as_ref();
    let path = spot.filter(|s| s.file == file).and_then(|s| places?.at(s.span.start));
    ProblemView {
        severity: shown.severity.into(),
        code: shown.code,
        message: shown.message,
        file: shown.place.file,
        line: spot.map(|s| s.line),
        column: spot.map(|s| s.column),
        underline: spot.map(|s| Underline { text: s.excerpt.clone(), from: s.mark_from, len: s.mark_len }),
        about: shown.place.about,
        expected: shown.expected,
        hints: Some(shown.hint).filter(|h| !h.is_empty()).into_iter().collect(),
        path,
    }
}

/// Where each value of a file stands.
struct Places(Vec<(std::ops::Range<usize>, Vec<PathStep>)>);

impl Places {
    fn of(parsed: &ParsedToml) -> Places {
        let mut places = Places(Vec::new());
        places.table(parsed.root(), &mut Vec::new());
        places
    }

    fn table(&mut self, table: &toml_edit::Table, path: &mut Vec<PathStep>) {
        self.0.extend(table.span().map(|s| (s, path.clone())));
        for (key, item) in table.iter() {
            path.push(PathStep::Key(key.to_string()));
            self.0.extend(table.key(key).and_then(toml_edit::Key::span).map(|s| (s, path.clone())));
            match item {
                toml_edit::Item::Table(inner) => self.table(inner, path),
                toml_edit::Item::ArrayOfTables(tables) => {
                    for (i, inner) in tables.iter().enumerate() {
                        path.push(PathStep::Place(i));
                        self.table(inner, path);
                        path.pop();
                    }
                }
                toml_edit::Item::Value(value) => self.value(value, path),
                toml_edit::Item::None => {}
            }
            path.pop();
        }
    }

    fn value(&mut self, value: &toml_edit::Value, path: &mut Vec<PathStep>) {
        self.0.extend(value.span().map(|s| (s, path.clone())));
        match value {
            toml_edit::Value::Array(items) => {
                for (i, item) in items.iter().enumerate() {
                    path.push(PathStep::Place(i));
                    self.value(item, path);
                    path.pop();
                }
            }
            toml_edit::Value::InlineTable(table) => {
                for (key, item) in table.iter() {
                    path.push(PathStep::Key(key.to_string()));
                    self.value(item, path);
                    path.pop();
                }
            }
            _ => {}
        }
    }

    /// The narrowest value that holds the byte.
    fn at(&self, byte: usize) -> Option<Vec<PathStep>> {
        let holding = self.0.iter().filter(|(span, path)| span.contains(&byte) && !path.is_empty());
        holding.min_by_key(|(span, _)| span.len()).map(|(_, path)| path.clone())
    }
}
