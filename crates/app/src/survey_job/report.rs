//! What a survey comes to: the places of its points, by its readings and its photos.

use std::sync::Arc;

use job::survey::SurveyFile;
use job::{Problem, Problems};
use survey::matrix::Symmetric;
use survey::photo::place::{Face, Places};
use survey::photo::survey::{PhotoAnswer, Plate};
use survey::tape::survey::Answer;
use survey::{DMat3, DVec3};

use super::photo_files::SearchedPhoto;

/// Photos from which a plate's place can be given.
pub const LEAST_PHOTOS: usize = 2;
/// Photos of a plate from which its place can be trusted.
pub const GOOD_PHOTOS: usize = 3;

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
    pub(super) fn marker_at(&self, p: usize) -> Option<(usize, &Face)> {
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
}

/// Why photos give no places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoPlaces {
    /// No two photos share enough markers.
    Apart,
    /// Nothing was measured that gives the size.
    NoScale,
    /// A marker that the axes hang on was not found in two photos.
    NoAxes,
}

/// The result of the photos.
#[derive(Debug, Clone)]
pub struct PhotoReport {
    /// The photos that could be read, in the order in which they were taken.
    pub photos: Vec<Arc<SearchedPhoto>>,
    /// The adjusted photos.
    pub answer: Option<PhotoAnswer>,
    /// Places, or why there are none.
    pub places: Result<Places, NoPlaces>,
    /// What gave the scale: `bar`, `tape` or `bar and tape`.
    pub scale_from: &'static str,
    /// What looks wrong.
    pub warnings: Vec<Problem>,
}

/// A plate that was moved between photos.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moved {
    /// Number of its marker.
    pub tag: u32,
    /// The first photo after it, by its place in the order.
    pub photo: usize,
    /// How far, mm.
    pub by: DVec3,
    /// How far it turned, rad.
    pub turn: f64,
}

impl PhotoReport {
    /// Plates with a place of their own, not those that others moved to: number in the answer, marker, face, photos.
    pub fn placed(&self) -> impl Iterator<Item = (usize, u32, &Face, usize)> {
        let plates = self.answer.iter().flat_map(|a| a.plates.iter().enumerate());
        plates
            .filter(|(_, p)| p.moved_at.is_none() && p.photos >= LEAST_PHOTOS)
            .filter_map(|(i, p)| Some((i, p.tag, self.places.as_ref().ok()?.faces.get(i)?, p.photos)))
    }

    /// File name of a photo by its place in the order.
    pub fn name(&self, photo: usize) -> &str {
        self.photos.get(photo).map_or("", |p| p.file.name.as_str())
    }

    /// Plates that moved.
    pub fn moved(&self) -> Vec<Moved> {
        let (Some(answer), Ok(places)) = (&self.answer, &self.places) else { return Vec::new() };
        let one = |(after, plate): (usize, &Plate)| {
            let at = plate.moved_at?;
            let before = answer.plates.iter().position(|p| p.tag == plate.tag && p.moved_at.is_none())?;
            let by = places.faces[after].at - places.faces[before].at;
            let turn = answer.poses[before].turn.angle_between(answer.poses[after].turn);
            Some(Moved { tag: plate.tag, photo: at, by, turn })
        };
        answer.plates.iter().enumerate().filter_map(one).collect()
    }

    /// The plate of a marker before it moved.
    pub fn plate_of(&self, tag: u32) -> Option<usize> {
        plate_of(self.answer.as_ref()?, tag)
    }
}

/// The plate of a marker before it moved.
pub fn plate_of(answer: &PhotoAnswer, tag: u32) -> Option<usize> {
    answer.plates.iter().position(|p| p.tag == tag && p.moved_at.is_none() && p.photos >= LEAST_PHOTOS)
}
