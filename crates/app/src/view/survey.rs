//! A survey as the page shows it: its file as a tree, each reading with how far it is off, the points, and what is in doubt.

use job::Problems;
use job::model::{Job, Units};
use serde::Serialize;
use survey::DVec3;
use survey::tape::next::Proposal;
use survey::tape::survey::Answer;
use utoipa::ToSchema;

use super::Xyz;
use super::codes::{ToolCode, UnitsCode};
use super::photos::{PhotosView, place};
use super::problem::{ProblemView, problems_in};
use crate::edit_job::PathStep;
use crate::summary::rounded;
use crate::survey_job::{SURVEY_FILE, SurveyReport, adjusted};
use crate::survey_sheet::{PrintedPlate, printed_plates};
use crate::tree::TomlTree;

/// Standard deviations from which a reading that is not called wrong is worth another look.
const DOUBTFUL: f64 = 2.5;

/// A survey.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SurveyView {
    /// survey.toml as a tree; null without one, or when it is not TOML.
    #[schema(value_type = Option<serde_json::Value>)]
    pub document: Option<TomlTree>,
    /// Unit of bare numbers in it.
    pub units: UnitsCode,
    /// All problems of it and of its photos.
    pub problems: Vec<ProblemView>,
    /// What the readings come to; null while there are errors, or nothing is measured yet.
    pub answer: Option<SurveyAnswer>,
    /// Its photos; null while the job has none.
    pub photos: Option<PhotosView>,
    /// Marker plates as the job's survey sheets print them; their bar has the next two numbers.
    pub printed: Vec<PrintedPlate>,
}

/// What the readings of a survey come to.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SurveyAnswer {
    /// Whether the job can be built on it: all points fixed, one answer.
    pub settled: bool,
    /// Readings beyond those that are needed.
    pub redundancy: i64,
    /// Every reading.
    pub readings: Vec<ReadingView>,
    /// Points that have a place.
    pub points: Vec<SurveyPoint>,
    /// Names of points without a place.
    pub unfixed: Vec<String>,
    /// Other answers that fit nearly as well: the points that lie elsewhere in them.
    pub rivals: Vec<Vec<PlaceView>>,
    /// Set when nothing says which of two mirror images is meant.
    pub mirror: Option<MirrorView>,
    /// Distances worth measuring next, the best first.
    pub next: Vec<NextReading>,
    /// Roll (left side up) and pitch (front up) of the job's axes against gravity, degrees; with heights or inclines only.
    pub level_deg: Option<[f64; 2]>,
}

/// What the others say of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum ReadingState {
    /// It fits.
    Fits,
    /// It is off by more than is usual.
    Doubtful,
    /// It is called wrong.
    Wrong,
    /// No other reading checks it.
    Unchecked,
}

/// A reading.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ReadingView {
    /// What it was read with.
    pub tool: ToolCode,
    /// Names of its points.
    pub between: Vec<String>,
    /// Its place in survey.toml.
    pub path: Vec<PathStep>,
    /// Reading less adjusted value, mm, of an incline degrees.
    pub off: f64,
    /// The same in standard deviations.
    pub deviations: f64,
    /// What the others say of it.
    pub state: ReadingState,
    /// Of a wrong one: what should have been read, mm or degrees.
    pub proposed: Option<f64>,
    /// Of a wrong one: places of others one of which may be wrong instead.
    pub or: Vec<Vec<PathStep>>,
}

/// A point with its place.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SurveyPoint {
    /// Name of the point in the survey.
    pub name: String,
    /// In the job's axes, mm.
    pub at_mm: Xyz,
    /// Standard deviations, mm.
    pub sd_mm: Xyz,
    /// Seen from above: x and y.
    pub plan: Ellipse,
    /// Seen from the left: x and z.
    pub side: Ellipse,
}

/// Standard ellipse of a point in a view.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct Ellipse {
    /// Longer half axis, mm.
    pub long_mm: f64,
    /// Shorter half axis, mm.
    pub short_mm: f64,
    /// From the view's first axis to the longer one, degrees.
    pub turned_deg: f64,
}

/// A point that may lie elsewhere.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PlaceView {
    /// Name of the point in the survey.
    pub name: String,
    /// Where, mm.
    pub at_mm: Xyz,
}

/// Two images that distances cannot tell apart.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MirrorView {
    /// The point to ask for: does it lie left or right?
    pub ask: String,
    /// All points in the other image.
    pub points: Vec<PlaceView>,
}

/// A distance worth measuring.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NextReading {
    /// Between these points.
    pub between: [String; 2],
    /// The point that it is for.
    pub point: String,
    /// Standard deviation of that point now, mm.
    pub sd_before_mm: f64,
    /// The same afterwards.
    pub sd_after_mm: f64,
    /// Whether it decides between two answers.
    pub settles: bool,
}

/// A survey from its text and what was made of it; `text` is `None` without survey.toml.
pub fn survey(text: Option<&str>, report: Result<&SurveyReport, &Problems>, job: Option<&Job>) -> SurveyView {
    let document = text.and_then(TomlTree::of);
    let written = document.as_ref().and_then(|t| t.get("units")).and_then(TomlTree::text);
    let units = written.and_then(|word| word.parse().ok());
    let job_units = job.map(|job| job.units).unwrap_or_default();
    let found = match report {
        Ok(report) => &report.warnings,
        Err(problems) => problems,
    };
    SurveyView {
        units: units.unwrap_or(if text.is_some() { Units::Mm } else { job_units }).into(),
        problems: text.map(|text| problems_in(found, SURVEY_FILE, text)).unwrap_or_default(),
        answer: report.ok().filter(|_| text.is_some()).and_then(answer),
        photos: None,
        printed: job.map(printed_plates).unwrap_or_default(),
        document,
    }
}

fn answer(report: &SurveyReport) -> Option<SurveyAnswer> {
    let name = |p: &usize| report.file.names[*p].clone();
    let tape = report.tape.as_ref();
    if tape.is_none() && report.photos.as_ref().is_none_or(|p| p.places.is_err()) {
        return None;
    }
    let elsewhere = |list: &[(usize, DVec3)]| -> Vec<PlaceView> {
        list.iter().map(|(p, at)| PlaceView { name: name(p), at_mm: place(*at) }).collect()
    };
    let mirror = tape.and_then(|t| t.mirror.as_ref());
    let next = |n: &Proposal| NextReading {
        between: n.between.map(|p| name(&p)),
        point: name(&n.point),
        sd_before_mm: rounded(n.sd_before),
        sd_after_mm: rounded(n.sd_after),
        settles: n.settles,
    };
    Some(SurveyAnswer {
        settled: report.is_settled(),
        redundancy: report.redundancy(),
        readings: tape.map(|tape| readings(report, tape)).unwrap_or_default(),
        points: points(report),
        unfixed: report.unfixed().iter().map(name).collect(),
        rivals: tape.iter().flat_map(|t| &t.rivals).map(|r| elsewhere(r)).collect(),
        mirror: mirror.map(|m| MirrorView { ask: name(&m.ask), points: elsewhere(&m.points) }),
        next: tape.iter().flat_map(|t| &t.next).map(next).collect(),
        level_deg: tape.and_then(|t| t.level).map(|angles| angles.map(|a| rounded(a.to_degrees()))),
    })
}

fn readings(report: &SurveyReport, tape: &Answer) -> Vec<ReadingView> {
    let file = &report.file;
    let path_of = |i: usize| {
        let reading = &file.readings[i];
        vec![PathStep::Key("measured".into()), PathStep::Key(reading.tool.key().into()), PathStep::Place(reading.row)]
    };
    let weighed = adjusted::readings(file);
    let one = |(i, reading): (usize, &job::survey::Reading)| {
        let in_unit = |v: f64| rounded(if reading.tool == job::survey::Tool::Incline { v.to_degrees() } else { v });
        let slip = tape.slips.iter().find(|s| s.reading == i);
        let (off, checked) = (tape.errors[i], tape.checked[i]);
        let unchecked = tape.unchecked.contains(&i);
        let deviations = off / (weighed[i].sd * if checked > 0.0 { checked.sqrt() } else { 1.0 });
        let state = match () {
            () if slip.is_some() => ReadingState::Wrong,
            () if unchecked => ReadingState::Unchecked,
            () if deviations.abs() > DOUBTFUL => ReadingState::Doubtful,
            () => ReadingState::Fits,
        };
        ReadingView {
            tool: reading.tool.into(),
            between: reading.points.iter().map(|p| file.names[*p].clone()).collect(),
            path: path_of(i),
            off: in_unit(off),
            deviations: rounded(deviations),
            state,
            // Over edges, what should have been read is over the edges too.
            proposed: slip.map(|s| in_unit(s.proposed + reading.read - reading.value)),
            or: slip.map(|s| s.or.iter().map(|i| path_of(*i)).collect()).unwrap_or_default(),
        }
    };
    file.readings.iter().enumerate().map(one).collect()
}

fn points(report: &SurveyReport) -> Vec<SurveyPoint> {
    let of = |point: crate::survey_job::Point| {
        let c = report.covariance(point.name, point.name);
        SurveyPoint {
            name: report.file.names[point.name].clone(),
            at_mm: place(point.at),
            sd_mm: place(point.sd),
            plan: ellipse(c.x_axis.x, c.x_axis.y, c.y_axis.y),
            side: ellipse(c.x_axis.x, c.x_axis.z, c.z_axis.z),
        }
    };
    report.points().into_iter().map(of).collect()
}

/// Axes of the ellipse of a covariance matrix with entries `a b; b c`.
fn ellipse(a: f64, b: f64, c: f64) -> Ellipse {
    let (mean, half) = (0.5 * (a + c), (0.5 * (a - c)).hypot(b));
    Ellipse {
        long_mm: rounded((mean + half).max(0.0).sqrt()),
        short_mm: rounded((mean - half).max(0.0).sqrt()),
        turned_deg: rounded((0.5 * (2.0 * b).atan2(a - c)).to_degrees()),
    }
}

#[cfg(test)]
mod tests {
    use super::ellipse;

    #[test]
    fn the_ellipse_of_a_covariance_has_its_eigenvalues_as_squared_half_axes() {
        // [[5, 3], [3, 5]]: eigenvalues 8 and 2, the greater along 45 degrees.
        let found = ellipse(5.0, 3.0, 5.0);
        assert!((found.long_mm - 8_f64.sqrt()).abs() < 1e-3 && (found.short_mm - 2_f64.sqrt()).abs() < 1e-3);
        assert!((found.turned_deg - 45.0).abs() < 1e-9);
        // Turned a quarter when the second axis is the longer.
        assert!((ellipse(1.0, 0.0, 4.0).turned_deg - 90.0).abs() < 1e-9);
    }
}
