//! Makes places of what a survey measured: reads survey.toml, adjusts the readings, says what is in doubt.

mod adjusted;
mod json;
mod text;

use job::survey::SurveyFile;
use job::{Documents, Problem, Problems};
use serde_json::Value;
use survey::tape::survey::Answer;

/// Name of the file.
pub const SURVEY_FILE: &str = "survey.toml";

/// What came of a survey.
#[derive(Debug, Clone)]
pub struct SurveyReport {
    /// What the file says.
    pub file: SurveyFile,
    /// What only looks wrong in it.
    pub warnings: Problems,
    /// The adjusted readings.
    pub answer: Answer,
}

impl SurveyReport {
    /// Whether the job can be built on it: all points fixed, one answer.
    pub fn is_settled(&self) -> bool {
        self.answer.is_settled()
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

/// Adjusts the survey of a job.
///
/// # Errors
/// All problems of survey.toml; that there is none.
pub fn survey_job(documents: &dyn Documents) -> Result<SurveyReport, Problems> {
    let shown = documents.shown(SURVEY_FILE);
    let Some(document) = documents.own(SURVEY_FILE)? else {
        let problem = Problem::error("missing-file", format!("{shown} is missing")).in_file(&shown);
        let problem = problem.expected("a survey: named points and what was read between them");
        return Err(Problems::one(problem.hint("write survey.toml; docs/survey.md shows one")));
    };
    let (file, problems) = job::file::survey_file::read(&document.shown, &document.bytes);
    let problems = Problems(problems);
    let Some(file) = file else { return Err(problems) };
    let answer = adjusted::tape(&file, &shown)?;
    Ok(SurveyReport { file, warnings: problems, answer })
}
