//! Makes places of what a survey measured: reads survey.toml and photos, adjusts them, says what is in doubt.

pub(crate) mod adjusted;
mod json;
pub mod photo_files;
mod photo_warnings;
mod photos;
mod pixels;
mod report;
mod text;
pub mod write;

use std::sync::atomic::{AtomicBool, Ordering};

use job::{Documents, Problem, Problems};

use photo_files::PhotoFiles;
pub use report::{GOOD_PHOTOS, NoPlaces, PhotoReport, Point, SurveyReport};

/// Name of the file.
pub const SURVEY_FILE: &str = "survey.toml";

/// Adjusts the survey of a job; its photos lie in `files`, and looking through them can be stopped.
///
/// # Errors
/// All problems of survey.toml; that there is none; photos of which fewer than two can be used; that it was stopped.
pub fn survey_job(
    documents: &dyn Documents,
    files: &dyn PhotoFiles,
    stop: &AtomicBool,
) -> Result<SurveyReport, Problems> {
    let shown = documents.shown(SURVEY_FILE);
    let Some(document) = documents.own(SURVEY_FILE)? else {
        let problem = Problem::error("missing-file", format!("{shown} is missing")).in_file(&shown);
        let problem = problem.expected("a survey: named points and what was read between them");
        return Err(Problems::one(problem.hint("write survey.toml; docs/survey.md shows one")));
    };
    let (file, mut problems) = job::file::survey_file::read(&document.shown, &document.bytes);
    let Some(file) = file else { return Err(Problems(problems)) };
    let mut photos = match file.photos.as_ref().map(|p| photos::photos(&file, p, files, stop)).transpose() {
        // Readings are not lost because photos cannot be used yet.
        Err(found) if photos::has_net(&file) && !stop.load(Ordering::Relaxed) => {
            problems.extend(found.0.into_iter().map(Problem::as_warning));
            None
        }
        photos => photos?,
    };
    let joined = photos.as_ref().filter(|_| photos::has_net(&file)).and_then(|p| adjusted::with_photos(&file, p));
    let tape = match (joined, &mut photos, &file.photos) {
        (Some(joined), Some(report), Some(given)) => {
            photos::join(report, &file, given, joined.places, joined.bar);
            Some(joined.answer)
        }
        // Readings between two plates have given the size; there is nothing else in them.
        (_, Some(report), _) if report.places.is_ok() || !photos::has_net(&file) => None,
        _ => adjusted::tape(&file, &shown).map_err(|problem| problems.push(*problem)).ok(),
    };
    problems.extend(photos.iter().flat_map(|p| p.warnings.clone()));
    problems.extend(tape.as_ref().and_then(|answer| adjusted::axes_unchecked(&file, answer, &shown)));
    Ok(SurveyReport { file, warnings: Problems(problems), tape, photos })
}
