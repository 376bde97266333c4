//! Opens the small files beside a job that only drawings and bending tables need.

use crate::bender::Bender;
use crate::details::Details;
use crate::documents::{Document, Documents};
use crate::file::{bender_file, details_file};
use crate::model::Job;
use crate::problem::Problems;

/// What was read of the files beside a job.
#[derive(Debug, Clone, Default)]
pub struct JobExtras {
    /// Flanges, collectors, copes and mitred bends.
    pub details: Details,
    /// The bending machine, when there is a `bender.toml`.
    pub bender: Option<Bender>,
}

/// Reads `flange.toml`, `templates.toml` and `bender.toml`, the last also from the shop; each may be missing, and of one that is
/// wrong nothing is there. Flanges and collectors are held against the `job` where there is one.
pub fn read_extras(documents: &dyn Documents, job: Option<&Job>) -> (JobExtras, Problems) {
    let mut extras = JobExtras::default();
    let mut problems = Vec::new();
    let mut found = |file: Result<Option<Document>, Problems>| {
        file.unwrap_or_else(|wrong| {
            problems.extend(wrong.0);
            None
        })
    };
    let templates = found(documents.own("templates.toml"));
    let flanges = found(documents.own("flange.toml"));
    let bender = found(documents.own_or_shops("bender.toml"));
    if let Some(file) = templates {
        let (details, wrong) = details_file::read_templates(&file.shown, &file.bytes, job);
        extras.details = details.unwrap_or_default();
        problems.extend(wrong);
    }
    if let Some(file) = flanges {
        let (flanges, wrong) = details_file::read_flanges(&file.shown, &file.bytes, job);
        extras.details.flanges = flanges.unwrap_or_default();
        problems.extend(wrong);
    }
    if let Some(file) = bender {
        let (bender, wrong) = bender_file::read(&file.shown, &file.bytes);
        extras.bender = bender;
        problems.extend(wrong);
    }
    (extras, Problems(problems))
}
