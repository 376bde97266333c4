//! Checks that need the whole job. An error cannot be right; a warning looks wrong.

mod bay;
mod collectors;
mod engine;
mod parts;
mod reach;
mod scale;
mod stock;
mod strength;

use std::ops::Range;

use crate::file::job_file::Draft;
use crate::file::read::Reader;
use crate::model::{Collector, Job, Units};

/// All checks of a job whose tables were read.
pub fn whole(reader: &mut Reader<'_>, draft: &Draft) {
    engine::check(reader, draft);
    collectors::check(reader, draft);
    bay::check(reader, draft);
    reach::check(reader, draft);
    scale::check(reader, draft);
    stock::check(reader, draft);
    parts::check(reader, draft);
    strength::check(reader, draft);
}

/// One finding, before it is a problem.
struct Finding {
    code: &'static str,
    span: Range<usize>,
    about: String,
    message: String,
    expected: String,
    hint: String,
}

impl Finding {
    fn error(self, reader: &mut Reader<'_>) {
        let problem = reader.error(self.code, &self.span, &self.about, self.message);
        problem.expected = self.expected;
        problem.hint = self.hint;
    }

    fn warn(self, reader: &mut Reader<'_>) {
        let problem = reader.warning(self.code, &self.span, &self.about, self.message);
        problem.expected = self.expected;
        problem.hint = self.hint;
    }
}

/// A length in the job's units with the unit.
fn show(mm: f64, units: Units) -> String {
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

/// How far a collector may come from where it was drawn, mm.
fn play(collector: &Collector) -> f64 {
    collector.may_move.along.hypot(collector.may_move.aside)
}

/// Indices of the collectors that a port may go to.
fn choices(job: &Job, port: usize) -> Vec<usize> {
    let cylinder = job.ports[port].cylinder;
    let free = |c: &Collector| c.cylinders.is_empty() || c.cylinders.contains(&cylinder);
    let fixed = job.collectors.iter().position(|c| c.inlet_of.iter().any(|(cyl, _)| *cyl == cylinder));
    match fixed {
        Some(only) => vec![only],
        None => {
            let named: Vec<usize> =
                (0..job.collectors.len()).filter(|i| job.collectors[*i].cylinders.contains(&cylinder)).collect();
            if !named.is_empty() {
                return named;
            }
            (0..job.collectors.len()).filter(|i| free(&job.collectors[*i])).collect()
        }
    }
}
