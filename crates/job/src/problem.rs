//! Problems: what is wrong with a file, where, and how to fix it.

use std::fmt::{self, Write as _};

use crate::source::Spot;

/// Most problems that are printed; the rest is counted.
const SHOWN: usize = 100;

/// Longest text of a problem, characters; a list of all collectors of a strange file may be longer.
const LONGEST: usize = 600;

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// It looks wrong; the work can go on.
    Warning,
    /// It cannot be right.
    Error,
}

impl Severity {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Warning => "warning",
            Severity::Error => "error",
        }
    }
}

/// Where a problem is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Place {
    /// In a file, when it is at one place there.
    pub spot: Option<Spot>,
    /// The file when there is no one place.
    pub file: String,
    /// In the words of the job: `port of cylinder 3`, `keepout "steering shaft"`; may be empty.
    pub about: String,
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// A fixed short name of this kind of problem, e.g. `unknown-key`.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// Where it is.
    pub place: Place,
    /// What is wrong, with the figures.
    pub message: String,
    /// What was expected there; may be empty.
    pub expected: String,
    /// How to fix it; may be empty.
    pub hint: String,
}

impl Problem {
    /// An error without a place.
    pub fn error(code: &'static str, message: impl Into<String>) -> Self {
        Problem {
            code,
            severity: Severity::Error,
            place: Place::default(),
            message: message.into(),
            expected: String::new(),
            hint: String::new(),
        }
    }

    /// The same as a warning.
    pub fn as_warning(mut self) -> Self {
        self.severity = Severity::Warning;
        self
    }

    /// With what was expected.
    pub fn expected(mut self, expected: impl Into<String>) -> Self {
        self.expected = expected.into();
        self
    }

    /// With how to fix it.
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = hint.into();
        self
    }

    /// In a file as a whole.
    pub fn in_file(mut self, file: impl Into<String>) -> Self {
        self.place.file = file.into();
        self
    }

    /// At a place of a file.
    pub fn at(mut self, spot: Spot) -> Self {
        self.place.file = spot.file.clone();
        self.place.spot = Some(spot);
        self
    }

    /// About something of the job.
    pub fn about(mut self, about: impl Into<String>) -> Self {
        self.place.about = about.into();
        self
    }

    /// True for an error.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }

    /// The same with characters that would upset a terminal replaced, and over-long texts cut.
    pub fn presentable(mut self) -> Self {
        for text in [&mut self.message, &mut self.expected, &mut self.hint, &mut self.place.about] {
            let long = text.len() > 4 * LONGEST;
            if long || text.chars().any(char::is_control) {
                let clean = |c: char| if c.is_control() { '\u{fffd}' } else { c };
                *text = text.chars().take(LONGEST).map(clean).chain(if long { "..." } else { "" }.chars()).collect();
            }
        }
        self
    }

    /// As a JSON object.
    pub fn to_json(&self) -> serde_json::Value {
        let spot = self.place.spot.as_ref();
        serde_json::json!({
            "code": self.code,
            "severity": self.severity.word(),
            "file": self.place.file,
            "line": spot.map(|s| s.line),
            "column": spot.map(|s| s.column),
            "span": spot.map(|s| [s.span.start, s.span.end]),
            "about": self.place.about,
            "message": self.message,
            "expected": self.expected,
            "hint": self.hint,
        })
    }
}

impl fmt::Display for Problem {
    /// `file:line:column: severity: message`, the line with the place underlined, what was
    /// expected and how to fix it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut head = String::new();
        match &self.place.spot {
            Some(s) => write!(head, "{}:{}:{}: ", s.file, s.line, s.column)?,
            None if !self.place.file.is_empty() => write!(head, "{}: ", self.place.file)?,
            None => {}
        }
        write!(f, "{head}{}: {} [{}]", self.severity.word(), self.message, self.code)?;
        if let Some(s) = &self.place.spot {
            let number = s.line.to_string();
            let pad = " ".repeat(number.len());
            write!(f, "\n  {number} | {}", s.excerpt)?;
            write!(f, "\n  {pad} | {}{}", " ".repeat(s.mark_from), "^".repeat(s.mark_len))?;
            write!(f, "\n  where     line {}, column {}", s.line, s.column)?;
            if !self.place.about.is_empty() {
                write!(f, ", {}", self.place.about)?;
            }
        } else if !self.place.about.is_empty() {
            write!(f, "\n  where     {}", self.place.about)?;
        }
        if !self.expected.is_empty() {
            write!(f, "\n  expected  {}", self.expected)?;
        }
        if !self.hint.is_empty() {
            write!(f, "\n  fix       {}", self.hint)?;
        }
        Ok(())
    }
}

/// Everything that is wrong, errors and warnings, in the order of the file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Problems(pub Vec<Problem>);

impl Problems {
    /// One problem.
    pub fn one(problem: Problem) -> Self {
        Problems(vec![problem])
    }

    /// Number of errors.
    pub fn errors(&self) -> usize {
        self.0.iter().filter(|p| p.is_error()).count()
    }

    /// Number of warnings.
    pub fn warnings(&self) -> usize {
        self.0.len() - self.errors()
    }

    /// True when there is an error among them.
    pub fn has_errors(&self) -> bool {
        self.errors() > 0
    }

    /// By file, place and kind, each only once.
    pub fn sort(&mut self) {
        let key = |p: &Problem| (p.place.file.clone(), p.place.spot.as_ref().map_or(usize::MAX, |s| s.span.start));
        self.0.sort_by(|a, b| key(a).cmp(&key(b)).then(b.severity.cmp(&a.severity)));
        self.0.dedup();
    }

    /// As a JSON list.
    pub fn to_json(&self) -> serde_json::Value {
        self.0.iter().map(Problem::to_json).collect()
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for problem in self.0.iter().take(SHOWN) {
            write!(f, "{problem}\n\n")?;
        }
        if self.0.len() > SHOWN {
            write!(f, "... and {} more\n\n", self.0.len() - SHOWN)?;
        }
        let count = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
        write!(f, "{}, {}", count(self.errors(), "error"), count(self.warnings(), "warning"))
    }
}

impl std::error::Error for Problems {}
