//! What a check of the whole job finds, and how lengths stand in its words.

use std::ops::Range;

use crate::file::read::Reader;
use crate::model::Units;

/// One finding, before it is a problem.
pub(super) struct Finding {
    pub code: &'static str,
    pub span: Range<usize>,
    pub about: String,
    pub message: String,
    pub expected: String,
    pub hint: String,
}

impl Finding {
    /// Reports it as an error.
    pub fn error(self, reader: &mut Reader<'_>) {
        let problem = reader.error(self.code, &self.span, &self.about, self.message);
        problem.expected = self.expected;
        problem.hint = self.hint;
    }

    /// Reports it as a warning.
    pub fn warn(self, reader: &mut Reader<'_>) {
        let problem = reader.warning(self.code, &self.span, &self.about, self.message);
        problem.expected = self.expected;
        problem.hint = self.hint;
    }
}

/// A length in the job's units with the unit.
pub(super) fn show(mm: f64, units: Units) -> String {
    let text = match units {
        Units::Mm => format!("{mm:.1}"),
        Units::Inch => format!("{:.3}", mm / 25.4),
    };
    let short = text.trim_end_matches('0').trim_end_matches('.');
    match units {
        Units::Mm => format!("{short} mm"),
        Units::Inch => format!("{short} in"),
    }
}
