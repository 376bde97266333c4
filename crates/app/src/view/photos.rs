//! The photos of a survey as the page shows them: markers found in each, plates with their places, where they were taken from.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use job::survey::SurveyFile;
use serde::Serialize;
use survey::DVec3;
use utoipa::ToSchema;

use super::Xyz;
use super::codes::NoPlacesCode;
use crate::summary::rounded;
use crate::survey_job::photo_files::SearchedPhoto;
use crate::survey_job::{GOOD_PHOTOS, PhotoReport, SurveyReport};

/// The photos of a survey.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PhotosView {
    /// All photos of the job, in the order in which they were taken where that is known.
    pub photos: Vec<PhotoView>,
    /// Markers that were found, or that survey.toml names.
    pub plates: Vec<PlateView>,
    /// Whether the photos are still to be looked through and adjusted.
    pub pending: bool,
    /// Why they give no places; null when they do, or were not adjusted.
    pub no_places: Option<NoPlacesCode>,
    /// True size of the prints divided by the drawn one.
    pub print: Option<f64>,
    /// Standard deviation of a marker's dot, pixels.
    pub dot_sd_px: Option<f64>,
}

/// Result of reading a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum PhotoState {
    /// It was not looked through yet.
    Waiting,
    /// Markers were found in it; it was not adjusted yet.
    Searched,
    /// It counts.
    Used,
    /// No marker was found in it.
    Empty,
    /// It does not hang together with the others.
    Apart,
}

/// A photo.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PhotoView {
    /// File name.
    pub name: String,
    /// Result of reading it.
    pub state: PhotoState,
    /// Width and height, pixels; 0 while it waits.
    pub size: [usize; 2],
    /// Quarter turns clockwise by which it is to be shown.
    pub turns: u32,
    /// Markers found in it.
    pub markers: Vec<SeenMarker>,
    /// Markers seen more than once: none of them counts.
    pub twice: Vec<u32>,
    /// Where it was taken from, in the job's axes, mm.
    pub from: Option<Xyz>,
    /// Where it looks.
    pub look: Option<Xyz>,
}

/// A marker in a photo.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SeenMarker {
    /// Its number.
    pub tag: u32,
    /// Corners of its square, pixels.
    pub corners: [[f64; 2]; 4],
    /// How many of its four dots were found.
    pub dots: usize,
}

/// What is to be said of a plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum PlateState {
    /// Enough photos show it.
    Good,
    /// Fewer than three photos show it.
    Few,
    /// No photo shows it.
    Missing,
    /// Its print has another size than the others.
    Misprinted,
}

/// A marker plate.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PlateView {
    /// Number of its marker.
    pub tag: u32,
    /// The point under it.
    pub name: Option<String>,
    /// Photos that show it, and count once they are adjusted.
    pub photos: usize,
    /// What is to be said of it.
    pub state: PlateState,
    /// The place under it, mm, in the job's axes.
    pub at_mm: Option<Xyz>,
    /// Standard deviations, mm.
    pub sd_mm: Option<Xyz>,
    /// Out of its paper.
    pub normal: Option<Xyz>,
    /// Standard deviation of that, degrees.
    pub sd_deg: Option<f64>,
    /// Set when it moved between photos; its place is the one before.
    pub moved: Option<MovedView>,
}

/// How a plate moved.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MovedView {
    /// The last photo before it, counted from 1.
    pub after: usize,
    /// The first photo after it.
    pub from_photo: String,
    /// How far, mm.
    pub by_mm: f64,
    /// How far it turned, degrees.
    pub turn_deg: f64,
}

/// Photos with what was found in them; `None` of one that was not looked through.
pub type KeptPhotos = BTreeMap<String, Option<Arc<SearchedPhoto>>>;

/// The photos of a job; `report` once they were adjusted, `file` when survey.toml can be read.
pub fn photos(
    kept: &KeptPhotos,
    pending: bool,
    file: Option<&SurveyFile>,
    report: Option<&SurveyReport>,
) -> PhotosView {
    let adjusted = report.and_then(|r| r.photos.as_ref());
    let places = adjusted.and_then(|p| p.places.as_ref().ok());
    PhotosView {
        photos: in_order(kept, adjusted).into_iter().map(|name| photo(name, kept[name].as_deref(), adjusted)).collect(),
        plates: plates(kept, file, report),
        pending,
        no_places: adjusted.and_then(|p| p.places.as_ref().err()).map(|e| (*e).into()),
        print: places.map(|p| (p.scale * 1e5).round() / 1e5),
        dot_sd_px: adjusted.and_then(|p| p.answer.as_ref()).map(|a| rounded(a.scatters.marks[0].seen)),
    }
}

/// A place, rounded to a micrometre.
pub(super) fn place(at: DVec3) -> Xyz {
    Xyz(at.to_array().map(rounded))
}

/// A direction, rounded to a millionth.
fn direction(v: DVec3) -> Xyz {
    Xyz(v.to_array().map(|c| (c * 1e6).round() / 1e6))
}

/// Names in the order of the adjustment, then those that have no part in it.
fn in_order<'a>(kept: &'a KeptPhotos, adjusted: Option<&PhotoReport>) -> Vec<&'a String> {
    let taken = |name: &String| adjusted.and_then(|a| a.photos.iter().position(|p| p.file.name == *name));
    let mut names: Vec<&String> = kept.keys().collect();
    names.sort_by_key(|name| (taken(name).unwrap_or(usize::MAX), *name));
    names
}

fn photo(name: &str, searched: Option<&SearchedPhoto>, adjusted: Option<&PhotoReport>) -> PhotoView {
    let number = adjusted.and_then(|a| a.photos.iter().position(|p| p.file.name == name));
    let answer = adjusted.and_then(|a| a.answer.as_ref());
    let camera = number.and_then(|n| answer?.cameras.iter().find(|c| c.0 == n));
    let places = adjusted.and_then(|a| a.places.as_ref().ok());
    let seen = camera.zip(places).map(|((_, camera), places)| places.camera(camera));
    let state = match searched {
        None => PhotoState::Waiting,
        Some(photo) if photo.found.sightings.is_empty() => PhotoState::Empty,
        Some(_) if camera.is_some() => PhotoState::Used,
        Some(_) if number.is_some() => PhotoState::Apart,
        Some(_) => PhotoState::Searched,
    };
    let marker = |s: &survey::photo::detect::Sighting| SeenMarker {
        tag: s.tag,
        corners: s.corners.map(|c| [(c.x * 10.0).round() / 10.0, (c.y * 10.0).round() / 10.0]),
        dots: s.dots.iter().flatten().count(),
    };
    PhotoView {
        name: name.to_string(),
        state,
        size: searched.map_or([0, 0], |p| p.file.camera.size),
        turns: searched.map_or(0, |p| p.file.turns),
        markers: searched.map(|p| p.found.sightings.iter().map(marker).collect()).unwrap_or_default(),
        twice: searched.map(|p| p.found.twice.clone()).unwrap_or_default(),
        from: seen.map(|(at, _)| place(at)),
        look: seen.map(|(_, look)| direction(look)),
    }
}

fn plates(kept: &KeptPhotos, file: Option<&SurveyFile>, report: Option<&SurveyReport>) -> Vec<PlateView> {
    let sightings = || kept.values().flatten().flat_map(|p| &p.found.sightings);
    let mut tags: BTreeSet<u32> = sightings().map(|s| s.tag).collect();
    tags.extend(file.iter().flat_map(|f| &f.markers).map(|m| m.tag));
    let adjusted = report.and_then(|r| r.photos.as_ref());
    let moves = adjusted.map(PhotoReport::moved).unwrap_or_default();
    let one = |tag: u32| {
        let plate =
            adjusted.and_then(|a| a.answer.as_ref()?.plates.iter().find(|p| p.tag == tag && p.moved_at.is_none()));
        let seen = sightings().filter(|s| s.tag == tag).count();
        let photos = plate.map_or(seen, |p| p.photos);
        let state = match photos {
            _ if plate.is_some_and(|p| p.misprinted) => PlateState::Misprinted,
            0 => PlateState::Missing,
            few if few < GOOD_PHOTOS => PlateState::Few,
            _ => PlateState::Good,
        };
        let face = adjusted.and_then(|a| a.placed().find(|p| p.1 == tag)).map(|p| p.2);
        let named = file.and_then(|f| Some(f.names[f.markers.iter().find(|m| m.tag == tag)?.name?].clone()));
        PlateView {
            tag,
            name: named,
            photos,
            state,
            at_mm: face.map(|f| place(f.at)),
            sd_mm: face.map(|f| place(f.sd)),
            normal: face.map(|f| direction(f.normal)),
            sd_deg: face.map(|f| rounded(f.sd_tilt.to_degrees())),
            moved: moves.iter().find(|m| m.tag == tag).map(|m| MovedView {
                after: m.photo,
                from_photo: adjusted.map_or("", |a| a.name(m.photo)).to_string(),
                by_mm: rounded(m.by.length()),
                turn_deg: rounded(m.turn.to_degrees()),
            }),
        }
    };
    tags.into_iter().map(one).collect()
}
