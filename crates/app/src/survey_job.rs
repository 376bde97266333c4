//! Makes places of what a survey measured: reads survey.toml and photos, adjusts them, says what is in doubt.

pub(crate) mod adjusted;
mod json;
pub mod photo_files;
mod photos;
mod text;
pub mod write;

use job::survey::SurveyFile;
use job::{Documents, Problem, Problems};
use serde_json::Value;
use survey::DVec3;
use survey::tape::survey::Answer;

use photo_files::PhotoFiles;
pub use photos::{NoPlaces, PhotoReport};

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
    /// Points that have a place, in the order of the file; of a marker what the photos say: a tape adds nothing to that.
    pub fn points(&self) -> Vec<Point> {
        (0..self.file.names.len()).filter_map(|p| self.photographed(p).or_else(|| self.taped(p))).collect()
    }

    fn taped(&self, p: usize) -> Option<Point> {
        let answer = self.tape.as_ref()?;
        (!answer.unfixed.contains(&p)).then(|| Point { name: p, at: answer.at[p], sd: answer.sd(p) })
    }

    fn photographed(&self, p: usize) -> Option<Point> {
        let tags: Vec<u32> = self.file.markers.iter().filter(|m| m.name == Some(p)).map(|m| m.tag).collect();
        let (_, _, face, _) = self.photos.as_ref()?.placed().find(|(_, tag, _, _)| tags.contains(tag))?;
        Some(Point { name: p, at: face.at, sd: face.sd })
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

    /// As one JSON object.
    pub fn to_json(&self) -> Value {
        json::report(self)
    }

    /// As text.
    pub fn text(&self) -> String {
        text::report(self)
    }
}

/// Adjusts the survey of a job; its photos lie in `files`.
///
/// # Errors
/// All problems of survey.toml; that there is none; photos of which fewer than two can be used.
pub fn survey_job(documents: &dyn Documents, files: &dyn PhotoFiles) -> Result<SurveyReport, Problems> {
    let shown = documents.shown(SURVEY_FILE);
    let Some(document) = documents.own(SURVEY_FILE)? else {
        let problem = Problem::error("missing-file", format!("{shown} is missing")).in_file(&shown);
        let problem = problem.expected("a survey: named points and what was read between them");
        return Err(Problems::one(problem.hint("write survey.toml; docs/survey.md shows one")));
    };
    let (file, mut problems) = job::file::survey_file::read(&document.shown, &document.bytes);
    let Some(file) = file else { return Err(Problems(problems)) };
    let photos = file.photos.as_ref().map(|p| photos::photos(&file, p, files)).transpose()?;
    problems.extend(photos.iter().flat_map(|p| p.warnings.clone()));
    let tape = match &photos {
        None => adjusted::tape(&file, &shown).map_err(|problem| problems.push(*problem)).ok(),
        Some(report) if photos::has_net(&file) => adjusted::with_photos(&file, report),
        Some(_) => None,
    };
    Ok(SurveyReport { file, warnings: Problems(problems), tape, photos })
}
