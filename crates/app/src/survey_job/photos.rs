//! The photos of a survey: read, searched for markers, adjusted, laid into the job's axes and brought to size.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use job::survey::{Photos, Side, SurveyFile, Tool};
use job::{Problem, Problems};
use survey::photo::place::{Laying, Length, PhotoFrame, Places, Second};
use survey::photo::survey::{LensStart, Photo, PhotoAnswer, PhotoInput, adjust};

use super::photo_files::{CameraName, MOST_PHOTOS, PhotoFiles, SearchedPhoto, matching};
use super::photo_warnings;
use super::report::{NoPlaces, PhotoReport, plate_of};

/// Focal length as a part of the photo's width when EXIF says nothing: a phone's main camera.
const USUAL_FOCUS: f64 = 0.75;
/// Diagonal of 35 mm film, mm.
const FILM_DIAGONAL: f64 = 43.27;
/// Standard deviation of a bar measured with calipers, mm.
pub const BAR_SD: f64 = 0.05;
/// Standard deviations by which a length may lie off the size that all give together.
const LENGTH_OFF: f64 = 4.0;

/// Works out the photos of a survey.
///
/// # Errors
/// Photos that cannot be used, when fewer than two are left; that it was stopped.
pub fn photos(
    file: &SurveyFile,
    photos: &Photos,
    files: &dyn PhotoFiles,
    stop: &AtomicBool,
) -> Result<PhotoReport, Problems> {
    let (mut found, mut problems) = searched(photos, files, stop)?;
    if found.iter().all(|f| f.file.time.is_some()) {
        found.sort_by(|a, b| (&a.file.time, &a.file.name).cmp(&(&b.file.time, &b.file.name)));
    }
    let (input, cameras) = input(file, photos, &found);
    problems.extend(photo_warnings::of_photos(photos, &found, &cameras));
    let answer = adjust(&input, stop);
    let (places, scale_from) = match &answer {
        None => (Err(NoPlaces::Apart), ""),
        Some(answer) => laid(file, photos, answer, &mut problems),
    };
    if let Some(answer) = &answer {
        problems.extend(photo_warnings::of_answer(file, photos, &found, answer));
    }
    Ok(PhotoReport { photos: found, answer, places, scale_from, warnings: problems })
}

/// A photo with its place in the list of names, or why it cannot be used.
type Numbered = (usize, Result<Arc<SearchedPhoto>, Box<Problem>>);

/// Names of the files that the survey asks for.
fn names(photos: &Photos, files: &dyn PhotoFiles) -> Result<Vec<String>, Problems> {
    let all = files.names().map_err(|e| {
        Problems::one(
            Problem::error("unreadable-folder", format!("the photos cannot be listed: {e}")).at(photos.spot.clone()),
        )
    })?;
    let heic =
        all.iter().filter(|n| n.to_lowercase().ends_with(".heic") || n.to_lowercase().ends_with(".heif")).count();
    let names = matching(&photos.files, all);
    if names.is_empty() || names.len() > MOST_PHOTOS {
        let hint = match heic {
            0 => "put the photos beside survey.toml and write files = \"*.jpg\"".to_string(),
            n => format!(
                "the {n} HEIC photos there are not read: set the camera to JPEG, or export them as JPEG at full size"
            ),
        };
        let message = format!("`files` matches {} files in the folder", names.len());
        let problem = Problem::error("photo-count", message).at(photos.spot.clone());
        let problem = problem.expected(format!("2 to {MOST_PHOTOS} photos; 12 to 16 do"));
        return Err(Problems::one(problem.hint(hint)));
    }
    Ok(names)
}

/// Reads and searches all photos, some at a time; those that cannot be used become warnings.
fn searched(
    photos: &Photos,
    files: &dyn PhotoFiles,
    stop: &AtomicBool,
) -> Result<(Vec<Arc<SearchedPhoto>>, Vec<Problem>), Problems> {
    let names = names(photos, files)?;
    let next = AtomicUsize::new(0);
    let results: Mutex<Vec<Numbered>> = Mutex::new(Vec::new());
    let work = || {
        while let Some((i, name)) = Some(next.fetch_add(1, Ordering::Relaxed)).and_then(|i| Some((i, names.get(i)?))) {
            if stop.load(Ordering::Relaxed) {
                return;
            }
            let one = files.searched(name).map_err(|problem| Box::new(problem.at(photos.spot.clone())));
            results.lock().unwrap_or_else(std::sync::PoisonError::into_inner).push((i, one));
        }
    };
    // Each worker holds one decoded photo: a few hundred MB at most.
    let workers = std::thread::available_parallelism().map_or(1, usize::from).min(4);
    std::thread::scope(|scope| (0..workers).for_each(|_| drop(scope.spawn(work))));
    if stop.load(Ordering::Relaxed) {
        return Err(Problems::one(Problem::error("stopped", "the photos were not looked through to the end")));
    }
    let mut results = results.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    results.sort_by_key(|r| r.0);
    let (mut found, mut problems) = (Vec::new(), Vec::new());
    for (_, result) in results {
        match result {
            Ok(one) => found.push(one),
            Err(problem) => problems.push(*problem),
        }
    }
    if found.len() < 2 {
        return Err(Problems(problems));
    }
    Ok((found, problems.into_iter().map(Problem::as_warning).collect()))
}

fn input(file: &SurveyFile, photos: &Photos, found: &[Arc<SearchedPhoto>]) -> (PhotoInput, Vec<CameraName>) {
    let mut cameras: Vec<CameraName> = Vec::new();
    let mut list = Vec::new();
    for photo in found {
        let lens = cameras.iter().position(|c| *c == photo.file.camera).unwrap_or_else(|| {
            cameras.push(photo.file.camera.clone());
            cameras.len() - 1
        });
        list.push(Photo { sightings: photo.found.sightings.clone(), lens });
    }
    let lens = |camera: &CameraName| {
        let [width, height] = camera.size.map(|s| s as f64);
        let usual = USUAL_FOCUS * width.max(height);
        LensStart {
            f: camera.film_mm.map_or(usual, |f| f64::from(f) / FILM_DIAGONAL * width.hypot(height)),
            size: [width, height],
        }
    };
    let sides = file.markers.iter().filter_map(|m| Some((m.tag, m.side?))).collect();
    (PhotoInput { photos: list, lenses: cameras.iter().map(lens).collect(), side: photos.side, sides }, cameras)
}

/// Axes and size. A length that does not agree with the others is left out, the worst first, and said.
fn laid(
    file: &SurveyFile,
    photos: &Photos,
    answer: &PhotoAnswer,
    problems: &mut Vec<Problem>,
) -> (Result<Places, NoPlaces>, &'static str) {
    let (lengths, from) = lengths(file, photos, answer);
    if lengths.is_empty() {
        return (Err(NoPlaces::NoScale), "");
    }
    let Some(frame) = frame(file, answer) else { return (Err(NoPlaces::NoAxes), from) };
    let mut laying = Laying { answer, frame, thickness: thickness(file, photos, answer), lengths };
    loop {
        let Some(places) = laying.places() else { return (Err(NoPlaces::NoAxes), from) };
        let misfits = places.misfits.iter().map(|m| m.abs()).enumerate();
        let worst = misfits.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|w| w.1 > LENGTH_OFF);
        let Some((worst, _)) = worst else { return (Ok(places), from) };
        problems.push(photo_warnings::length_off(file, photos, answer, &laying.lengths[worst]));
        // Of two that disagree either may be wrong: both stay, and the warning says so.
        if laying.lengths.len() < 3 {
            return (Ok(places), from);
        }
        laying.lengths.remove(worst);
    }
}

/// Thickness of each plate, mm.
pub fn thickness(file: &SurveyFile, photos: &Photos, answer: &PhotoAnswer) -> Vec<f64> {
    let own = |tag: u32| file.markers.iter().find(|m| m.tag == tag).and_then(|m| m.plate);
    answer.plates.iter().map(|p| own(p.tag).unwrap_or(photos.plate)).collect()
}

/// The plate under which a point lies.
fn plate_at(file: &SurveyFile, answer: &PhotoAnswer, point: usize) -> Option<usize> {
    file.markers.iter().filter(|m| m.name == Some(point)).find_map(|m| plate_of(answer, m.tag))
}

fn lengths(file: &SurveyFile, photos: &Photos, answer: &PhotoAnswer) -> (Vec<Length>, &'static str) {
    let mut lengths = Vec::new();
    if let Some(([a, b], length)) = photos.bar
        && let (Some(a), Some(b)) = (plate_of(answer, a), plate_of(answer, b))
    {
        lengths.push(Length { between: [a, b], length, sd: BAR_SD, faces: false });
    }
    let bar = !lengths.is_empty();
    for reading in file.readings.iter().filter(|r| r.tool.is_length()) {
        if let (Some(a), Some(b)) =
            (plate_at(file, answer, reading.points[0]), plate_at(file, answer, reading.points[1]))
        {
            lengths.push(Length { between: [a, b], length: reading.value, sd: file.sd_of(reading.tool), faces: true });
        }
    }
    let from = match (bar, lengths.len() > usize::from(bar)) {
        (true, true) => "bar and tape",
        (true, false) => "bar",
        _ => "tape",
    };
    (lengths, from)
}

fn frame(file: &SurveyFile, answer: &PhotoAnswer) -> Option<PhotoFrame> {
    let at = |p: usize| plate_at(file, answer, p);
    let second = match (&file.frame.side, file.frame.upright) {
        (Some(Side::MeanNormal(points)), _) => {
            Second::MeanNormal(points.iter().map(|p| at(*p)).collect::<Option<Vec<usize>>>()?)
        }
        (_, Some((p, down))) => Second::Point(at(p)?, down),
        _ => return None,
    };
    Some(PhotoFrame {
        origin: at(file.frame.origin)?,
        forward: [at(file.frame.forward[0])?, at(file.frame.forward[1])?],
        second,
    })
}

/// The photos as adjusted together with the readings: which of these are off is said there.
pub fn join(report: &mut PhotoReport, file: &SurveyFile, photos: &Photos, places: Places, bar: Option<f64>) {
    report.warnings.retain(|w| w.code != "scale");
    report.places = Ok(places);
    report.scale_from = if photos.bar.is_some() { "bar and tape" } else { "tape" };
    if let Some((read, says)) = photos.bar.map(|b| b.1).zip(bar) {
        let [read, says] = [read, says].map(|v| job::show::length_with_unit(v, file.units));
        let message = format!("the bar was measured as {read}; readings and photos together say {says}");
        let problem = Problem::error("scale", message).as_warning().at(photos.spot.clone());
        let problem = problem.expected("a bar and readings that give one size");
        report.warnings.push(problem.hint("measure it again with calipers, centre to centre; it was left out"));
    }
}

/// Whether the survey has readings that make a net of their own.
pub fn has_net(file: &SurveyFile) -> bool {
    file.readings.iter().any(|r| r.tool != Tool::Flush && r.tool != Tool::Row)
}
