//! Makes places of what a survey measured: reads survey.toml and photos, adjusts them, says what is in doubt.

pub(crate) mod adjusted;
mod json;
pub mod photo_files;
mod photo_warnings;
mod photos;
mod pixels;
mod text;
pub mod write;

use std::sync::atomic::{AtomicBool, Ordering};

use job::survey::SurveyFile;
use job::{Documents, Problem, Problems};
use serde_json::Value;
use survey::matrix::Symmetric;
use survey::photo::place::Face;
use survey::tape::survey::Answer;
use survey::{DMat3, DVec3};

use photo_files::PhotoFiles;
pub use photos::{GOOD_PHOTOS, NoPlaces, PhotoReport};

/// Name of the file.
pub const SURVEY_FILE: &str = "survey.toml";

/// A point with its place, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Number of its name in the file.
    pub name: usize,
    /// In the job's axes.
    pub at: DVec3,
    /// Standard deviations.
    pub sd: DVec3,
}

/// The result of a survey.
#[derive(Debug, Clone)]
pub struct SurveyReport {
    /// What the file says.
    pub file: SurveyFile,
    /// What only looks wrong in it, or in the photos.
    pub warnings: Problems,
    /// The adjusted readings.
    pub tape: Option<Answer>,
    /// The adjusted photos.
    pub photos: Option<PhotoReport>,
}

impl SurveyReport {
    /// Points that have a place, in the order of the file; what readings and photos say together where there are both.
    pub fn points(&self) -> Vec<Point> {
        (0..self.file.names.len()).filter_map(|p| self.taped(p).or_else(|| self.photographed(p))).collect()
    }

    fn taped(&self, p: usize) -> Option<Point> {
        let answer = self.tape.as_ref()?;
        (!answer.unfixed.contains(&p)).then(|| Point { name: p, at: answer.at[p], sd: answer.sd(p) })
    }

    fn photographed(&self, p: usize) -> Option<Point> {
        let (_, face) = self.marker_at(p)?;
        Some(Point { name: p, at: face.at, sd: face.sd })
    }

    /// The marker on a point: its number in the photos' answer, and the face under it.
    fn marker_at(&self, p: usize) -> Option<(usize, &Face)> {
        let on = |tag: u32| self.file.markers.iter().any(|m| m.tag == tag && m.name == Some(p));
        let (plate, _, face, _) = self.photos.as_ref()?.placed().find(|(_, tag, _, _)| on(*tag))?;
        Some((plate, face))
    }

    /// Covariance of two points, mm²; zero between one from the tape and one from the photos alone.
    pub fn covariance(&self, p: usize, q: usize) -> DMat3 {
        let of = |c: &Symmetric, i: usize, j: usize| {
            DMat3::from_cols_array(&std::array::from_fn(|k| c.at(3 * i + k % 3, 3 * j + k / 3)))
        };
        if let Some(answer) = self.tape.as_ref().filter(|a| !a.unfixed.contains(&p) && !a.unfixed.contains(&q)) {
            return of(&answer.covariance, p, q);
        }
        let plate = |point: usize| self.marker_at(point).map(|(plate, _)| plate);
        match (plate(p), plate(q), self.photos.as_ref().and_then(|f| f.places.as_ref().ok())) {
            (Some(i), Some(j), Some(places)) => of(&places.covariance, i, j),
            _ => DMat3::ZERO,
        }
    }

    /// Points without a place.
    pub fn unfixed(&self) -> Vec<usize> {
        let placed = self.points();
        (0..self.file.names.len()).filter(|p| placed.iter().all(|q| q.name != *p)).collect()
    }

    /// Whether the job can be built on it: all points fixed, one answer, a scale.
    pub fn is_settled(&self) -> bool {
        let open = |a: &Answer| !a.rivals.is_empty() || a.mirror.is_some();
        let sized = self.photos.as_ref().is_none_or(|p| p.places.is_ok());
        self.unfixed().is_empty() && sized && !self.tape.as_ref().is_some_and(open)
    }

    /// Readings beyond those that are needed: of the net when there is one, the photos are part of it.
    pub fn redundancy(&self) -> i64 {
        let photos = || self.photos.as_ref().and_then(|p| p.answer.as_ref()).map_or(0, |a| a.redundancy);
        self.tape.as_ref().map_or_else(photos, |a| a.redundancy)
    }

    /// The name of the point under a marker.
    pub fn name_of(&self, tag: u32) -> Option<&str> {
        let point = self.file.markers.iter().find(|m| m.tag == tag)?.name?;
        Some(&self.file.names[point])
    }

    /// As one JSON object.
    pub fn to_json(&self) -> Value {
        json::report(self)
    }

    /// As text.
    pub fn text(&self) -> String {
        text::report(self)
    }
}

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
