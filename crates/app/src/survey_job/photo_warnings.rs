//! What looks wrong in photos of a survey: said by name, with what was expected and how to fix it.

use std::sync::Arc;

use job::Problem;
use job::survey::{Photos, SurveyFile};
use survey::photo::detect::Found;
use survey::photo::flaws;
use survey::photo::place::Length;
use survey::photo::survey::{PhotoAnswer, Plate};

use super::photo_files::{CameraName, SearchedPhoto};
use super::report::{GOOD_PHOTOS, LEAST_PHOTOS, plate_of};

/// Scatter of the dots in pixels above which photos were not sharp.
const BLURRED: f64 = 0.3;

/// What is wrong with the photos themselves; `cameras` are those that they were taken with.
pub fn of_photos(photos: &Photos, found: &[Arc<SearchedPhoto>], cameras: &[CameraName]) -> Vec<Problem> {
    let mut problems: Vec<Problem> = found.iter().flat_map(|photo| photo_problems(photos, photo)).collect();
    problems.extend(without_exif(photos, found));
    problems.extend(flawed(photos, found));
    if cameras.len() > 1 {
        let list: Vec<String> = cameras.iter().map(camera_words).collect();
        let message = format!("the photos come from {} cameras or lenses: {}", cameras.len(), list.join("; "));
        let problem = Problem::error("mixed-lenses", message).as_warning().at(photos.spot.clone());
        problems.push(problem.expected("one lens for all photos").hint(
            "take all photos with the main lens, without zoom and uncropped; each lens here is worked out for itself",
        ));
    }
    problems
}

/// What the adjustment shows: photos apart from the others, plates with too few photos, wrong prints, blur.
pub fn of_answer(
    file: &SurveyFile,
    photos: &Photos,
    found: &[Arc<SearchedPhoto>],
    answer: &PhotoAnswer,
) -> Vec<Problem> {
    let lost = answer.lost_photos.iter().map(|p| &found[*p]).filter(|p| !p.found.sightings.is_empty());
    let apart = |photo: &Arc<SearchedPhoto>| {
        let message = format!("{}: its markers are in no other photo that counts", photo.file.name);
        let problem = Problem::error("photo-apart", message).as_warning().at(photos.spot.clone());
        problem.expected("two or more markers that other photos show too").hint("take photos in between that overlap")
    };
    let mut problems: Vec<Problem> = lost.map(apart).collect();
    problems.extend(plate_problems(file, photos, answer));
    problems
}

fn photo_problems(photos: &Photos, photo: &SearchedPhoto) -> Vec<Problem> {
    let SearchedPhoto { file, found } = photo;
    let mut problems = Vec::new();
    let mut warn = |code, message: String, expected: &str, hint: &str| {
        let problem = Problem::error(code, format!("{}: {message}", file.name)).as_warning();
        problems.push(problem.at(photos.spot.clone()).expected(expected).hint(hint));
    };
    if found.sightings.is_empty() {
        warn(
            "no-marker",
            "no marker found".into(),
            "markers 25 pixels wide or more",
            "go nearer, hold still, or add light",
        );
    }
    for tag in &found.twice {
        let message = format!("marker {tag} is seen more than once; none of them is used");
        warn("marker-twice", message, "each number on one plate only", "print each number once, and cover reflections");
    }
    let sorted = |mut size: [usize; 2]| {
        size.sort_unstable();
        size
    };
    if let Some(taken) = file.taken_size.filter(|taken| sorted(*taken) != sorted(file.camera.size)) {
        let [width, height] = file.camera.size;
        let message = format!("is {width} x {height} pixels but was taken with {} x {}", taken[0], taken[1]);
        warn("cropped", message, "the photo as the phone took it, uncropped", "copy the original file from the phone");
    }
    problems
}

/// Photos that are blurred more than the others, and those that cut off markers which too few others show whole.
fn flawed(photos: &Photos, found: &[Arc<SearchedPhoto>]) -> Vec<Problem> {
    let warn = |code, photo: usize, message: String| {
        let name = &found[photo].file.name;
        Problem::error(code, format!("{name}: {message}")).as_warning().at(photos.spot.clone())
    };
    let all: Vec<(&Found, [usize; 2])> = found.iter().map(|f| (&f.found, f.file.camera.size)).collect();
    let blurred = flaws::blurred(&all.iter().map(|f| f.0).collect::<Vec<&Found>>()).into_iter().map(|b| {
        let message = format!("blurred by {:.1} pixels, the others by {:.1}", b.blur, b.usual);
        let problem = warn("blurred-photo", b.photo, message).expected("edges as sharp as in the other photos");
        problem.hint("take it again: let the camera focus, hold still or add light")
    });
    let cut = flaws::cut_off(&all, GOOD_PHOTOS).into_iter().map(|c| {
        let tags: Vec<String> = c.tags.iter().map(u32::to_string).collect();
        let markers = if tags.len() == 1 { "marker" } else { "markers" };
        let message = format!("the edge of the photo cuts off {markers} {}", tags.join(", "));
        let expected = format!("each marker whole, with its four dots, in {GOOD_PHOTOS} photos or more");
        warn("cut-off", c.photo, message).expected(expected).hint("take another photo with the whole plate in it")
    });
    blurred.chain(cut).collect()
}

/// Photos whose EXIF data says no focal length, all in one warning.
fn without_exif(photos: &Photos, found: &[Arc<SearchedPhoto>]) -> Option<Problem> {
    let names: Vec<&str> =
        found.iter().map(|f| &f.file).filter(|f| f.camera.film_mm.is_none()).map(|f| f.name.as_str()).collect();
    let first = names.first()?;
    let message = format!("{} of {} photos say no focal length, {first} for one", names.len(), found.len());
    let problem = Problem::error("no-exif", message).as_warning().at(photos.spot.clone());
    let problem = problem.expected("photos as the phone took them, neither edited nor sent through a chat");
    Some(
        problem.hint("copy the original files from the phone; without it the lens is worked out from the photos alone"),
    )
}

fn camera_words(camera: &CameraName) -> String {
    let focus = camera.film_mm.map_or("focal length not said".into(), |f| format!("{f} mm"));
    format!("{} {focus}, {} x {}", camera.model, camera.size[0], camera.size[1]).trim().to_string()
}

/// A length that does not agree with the size that the others give.
pub fn length_off(file: &SurveyFile, photos: &Photos, answer: &PhotoAnswer, length: &Length) -> Problem {
    let [a, b] = length.between.map(|p| marker_words(file, answer.plates[p].tag));
    let shown = job::show::length_with_unit(length.length, file.units);
    let message = format!("{a} to {b}, {shown}: does not agree with the other lengths that give the size");
    let problem = Problem::error("scale", message).as_warning().at(photos.spot.clone());
    let problem = problem.expected("lengths that give one size within their standard deviations");
    problem.hint("measure it again; the bar with calipers, centre to centre")
}

fn plate_problems(file: &SurveyFile, photos: &Photos, answer: &PhotoAnswer) -> Vec<Problem> {
    const THREE: &str = "three photos or more of each marker";
    let mut problems = Vec::new();
    let mut warn = |code, message: String, expected: &str, hint: &str| {
        problems.push(Problem::error(code, message).as_warning().at(photos.spot.clone()).expected(expected).hint(hint));
    };
    let words = |tag: u32| marker_words(file, tag);
    for tag in &answer.lost_tags {
        let message = format!("{} is seen in fewer than two photos that hang together", words(*tag));
        warn("one-photo", message, THREE, "take two or more photos that show it together with other markers");
    }
    let few = |p: &&Plate| p.moved_at.is_none() && (LEAST_PHOTOS..GOOD_PHOTOS).contains(&p.photos);
    for plate in answer.plates.iter().filter(few) {
        let message = format!("{} is seen in {} photos only", words(plate.tag), plate.photos);
        warn("few-photos", message, THREE, "take another photo of it from the side");
    }
    for plate in answer.plates.iter().filter(|p| p.misprinted) {
        let message = format!("{}: its size does not fit the other prints", words(plate.tag));
        let hint = "print it again at the same size as the others, or glue it down flat";
        warn("print-size", message, "all markers printed at one size", hint);
    }
    if answer.scatters.marks[0].seen > BLURRED {
        let message = format!("the markers' dots scatter by {:.2} pixels", answer.scatters.marks[0].seen);
        warn("blurred", message, "0.1 pixels or less", "hold still or add more light, and use stiff, flat plates");
    }
    let unseen = |tag: u32| !answer.lost_tags.contains(&tag) && answer.plates.iter().all(|p| p.tag != tag);
    for marker in file.markers.iter().filter(|m| plate_of(answer, m.tag).is_none() && unseen(m.tag)) {
        let message = format!("{} is in no photo", words(marker.tag));
        let expected = "every marker of the file in three photos";
        warn("marker-missing", message, expected, "check its number, or photograph it");
    }
    problems
}

/// A marker in words: its point, or its number.
pub fn marker_words(file: &SurveyFile, tag: u32) -> String {
    let name = file.markers.iter().find(|m| m.tag == tag).and_then(|m| m.name).map(|p| file.names[p].as_str());
    name.map_or(format!("marker {tag}"), |name| format!("marker {tag} (`{name}`)"))
}
