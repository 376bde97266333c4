//! From the file of a survey to the adjustment of its readings.

use job::Problem;
use job::survey::{Side, SurveyFile, TOOLS, Tool};
use survey::matrix::Symmetric;
use survey::photo::place::{Laying, Length, PhotoFrame, Places, Second};
use survey::tape::frame::{Axes, Frame, Upright};
use survey::tape::network::{Network, Reading, ReadingKind};
use survey::tape::rounding;
use survey::tape::search::SearchSettings;
use survey::tape::shape::{Shape, onto};
use survey::tape::survey::{Answer, Input, SurveyError, survey};
use survey::{DMat3, DVec3};

use super::photos::{BAR_SD, thickness};
use super::report::PhotoReport;

/// Standard deviation of a print's size before anything gives it, as a part of it: printers are off by some per cent.
const DRAWN_SD: f64 = 0.03;

/// Adjusts the readings of a survey.
///
/// # Errors
/// A warning that says why its axes cannot be laid: then nothing is fixed.
pub fn tape(file: &SurveyFile, shown: &str) -> Result<Answer, Box<Problem>> {
    let input = Input {
        network: Network::new(file.names.len(), readings(file)),
        frame: frame(file),
        side: match file.frame.side {
            Some(Side::Point(p, left)) => Some((p, left)),
            _ => None,
        },
        tape_sd: file.sd_of(Tool::Tape),
        search: SearchSettings::default(),
        shape: None,
    };
    survey(&input).map_err(|error| Box::new(no_answer(error, file, shown)))
}

/// The readings with their standard deviations, rounding of each tool included.
pub fn readings(file: &SurveyFile) -> Vec<Reading> {
    let step = |tool: Tool| {
        if matches!(tool, Tool::Incline | Tool::Flush | Tool::Row) {
            return 0.0;
        }
        rounding::step(&file.readings.iter().filter(|r| r.tool == tool).map(|r| r.read).collect::<Vec<f64>>())
    };
    let sd = TOOLS.map(|tool| rounding::with_rounding(file.sd_of(tool), step(tool)));
    let sd_of = |tool: Tool| TOOLS.iter().position(|t| *t == tool).map_or(1.0, |i| sd[i]);
    let reading = |r: &job::survey::Reading| {
        let p = &r.points;
        let kind = match r.tool {
            Tool::Height => ReadingKind::Height([p[0], p[1]]),
            Tool::Incline => ReadingKind::Incline([p[0], p[1]]),
            Tool::Flush => ReadingKind::Flush([p[0], p[1], p[2], p[3]]),
            Tool::Row => ReadingKind::Row([p[0], p[1], p[2], p[3]]),
            _ => ReadingKind::Distance([p[0], p[1]]),
        };
        Reading { kind, value: r.value, sd: sd_of(r.tool) }
    };
    file.readings.iter().map(reading).collect()
}

fn frame(file: &SurveyFile) -> Frame {
    let upright = match file.frame.upright {
        Some((p, true)) => Upright::Down(p),
        Some((p, false)) => Upright::Up(p),
        None => Upright::Gravity,
    };
    Frame { origin: file.frame.origin, forward: file.frame.forward, upright }
}

fn no_answer(error: SurveyError, file: &SurveyFile, shown: &str) -> Problem {
    let message = match error {
        SurveyError::NoAxes => "the points of [frame] lie in one line",
        SurveyError::Diverged => "the readings do not fit together at all",
    };
    let problem = Problem::error("no-axes", message).as_warning().in_file(shown);
    let problem = problem.expected("axes from three points that are well apart, each measured to three others or more");
    let names: Vec<&str> = file.frame.forward.iter().map(|p| file.names[*p].as_str()).collect();
    problem.hint(format!("choose a point for `down` that is 200 mm or more off the line of {}", names.join(" and ")))
}

/// A warning of points that the axes hang on and that too few checked readings hold; none where the axes are those of markers' faces.
pub fn axes_unchecked(file: &SurveyFile, answer: &Answer, shown: &str) -> Option<Problem> {
    if matches!(file.frame.side, Some(Side::MeanNormal(_))) {
        return None;
    }
    // A marker is held by its photos.
    let taped = |p: &usize| file.markers.iter().all(|m| m.name != Some(*p));
    let points = answer.unchecked_axes(&frame(file), &readings(file)).into_iter().filter(taped);
    let names: Vec<String> = points.map(|p| format!("`{}`", file.names[p])).collect();
    let message = format!("nothing checks the readings of {}, which the axes hang on", names.join(", "));
    let problem = Problem::error("axes-unchecked", message).as_warning().in_file(shown);
    let problem = problem.expected("four readings or more to each point of [frame]");
    (!names.is_empty()).then(|| {
        problem.hint("measure it to one more point: a slip there shifts or turns every place and nothing shows it")
    })
}

/// A point whose place the photos give.
struct Known {
    point: usize,
    plate: usize,
    at: DVec3,
}

/// Readings and photos adjusted together.
pub struct Joined {
    /// The answer; its readings are those of the file.
    pub answer: Answer,
    /// All markers in the same axes and size.
    pub places: Places,
    /// What the bar should have been, mm, when it does not agree with the rest.
    pub bar: Option<f64>,
}

/// Adjusts readings and photos in one least squares. `None` when fewer than three named markers have a place, or nothing
/// gives the axes.
pub fn with_photos(file: &SurveyFile, photos: &PhotoReport) -> Option<Joined> {
    let (known, laid, size) = shape_of(file, photos)?;
    let count = known.len();
    let mut covariance = Symmetric::zero(3 * count);
    for (i, j) in (0..3 * count).flat_map(|i| (0..3 * count).map(move |j| (i, j))) {
        let plate = |i: usize| 3 * known[i / 3].plate + i % 3;
        *covariance.at_mut(i, j) = laid.covariance.at(plate(i), plate(j));
    }
    let (points, at) = (known.iter().map(|k| k.point).collect(), known.iter().map(|k| k.at).collect());
    // Axes that hang on the plates' directions are those of the photos: the answer is laid by three markers and turned into them.
    let by_faces = matches!(file.frame.side, Some(Side::MeanNormal(_))).then(|| turned_axes(file, photos, &known));
    let input = Input {
        network: Network::new(file.names.len(), readings(file)),
        frame: by_faces.map_or_else(|| Some(frame(file)), |axes| axes.map(|a| a.0))?,
        side: None,
        tape_sd: file.sd_of(Tool::Tape),
        search: SearchSettings::default(),
        shape: Some(Shape { points, at, covariance, size }),
    };
    let mut answer = survey(&input).ok()?;
    if let Some((_, axes)) = by_faces.flatten() {
        turn_back(&mut answer, &axes);
    }
    let own = file.readings.len();
    let bar = answer.slips.iter().find(|s| s.reading >= own).map(|s| s.proposed);
    answer.slips.retain(|s| s.reading < own);
    answer.slips.iter_mut().for_each(|s| s.or.retain(|i| *i < own));
    let places = in_place(&laid, &known, &answer)?;
    Some(Joined { answer, places, bar })
}

/// The named markers as the photos lay them, in axes of their own, and the bar: as laid, as measured, its standard deviation.
fn shape_of(file: &SurveyFile, photos: &PhotoReport) -> Option<(Vec<Known>, Places, Option<[f64; 3]>)> {
    let answer = photos.answer.as_ref()?;
    let poses = &answer.poses;
    let mut known: Vec<Known> = Vec::new();
    for marker in &file.markers {
        let (Some(point), Some(plate)) = (marker.name, photos.plate_of(marker.tag)) else { continue };
        if known.iter().all(|k| k.point != point) {
            known.push(Known { point, plate, at: poses[plate].shift });
        }
    }
    let [a, b, c] = spread(&known, 0)?;
    let given = file.photos.as_ref()?;
    let bar = given.bar.and_then(|([a, b], length)| {
        let ends = [photos.plate_of(a)?, photos.plate_of(b)?];
        Some(Length { between: ends, length, sd: BAR_SD, faces: false })
    });
    // Without a bar the readings give the size; until then it is as drawn, or as they say directly.
    let scale = photos.places.as_ref().map_or(1.0, |p| p.scale);
    let ends = [known[a].plate, known[b].plate];
    let drawn = poses[ends[0]].shift.distance(poses[ends[1]].shift) * scale;
    let guess = Length { between: ends, length: drawn, sd: DRAWN_SD * drawn, faces: false };
    let laying = Laying {
        answer,
        frame: PhotoFrame { origin: ends[0], forward: ends, second: Second::Point(known[c].plate, false) },
        thickness: thickness(file, given, answer),
        lengths: vec![bar.unwrap_or(guess)],
    };
    let laid = laying.places()?;
    known.iter_mut().for_each(|k| k.at = laid.faces[k.plate].at);
    let size = bar.map(|b| {
        let now = poses[b.between[0]].shift.distance(poses[b.between[1]].shift) * laid.scale;
        [now, b.length, b.sd]
    });
    Some((known, laid, size))
}

/// Three known points far apart, the first given: numbers in the list.
fn spread(known: &[Known], first: usize) -> Option<[usize; 3]> {
    let a = known.get(first)?;
    let from = |i: &usize| known[*i].at.distance(a.at);
    let b = (0..known.len()).max_by(|p, q| from(p).total_cmp(&from(q)))?;
    let along = (known[b].at - a.at).try_normalize()?;
    let off = |i: &usize| ((known[*i].at - a.at) - along * (known[*i].at - a.at).dot(along)).length();
    let c = (0..known.len()).max_by(|p, q| off(p).total_cmp(&off(q))).filter(|c| off(c) > 10.0)?;
    Some([first, b, c])
}

/// A frame of three markers, and how it lies in the job's axes as the photos alone lay them.
fn turned_axes(file: &SurveyFile, photos: &PhotoReport, known: &[Known]) -> Option<(Frame, Axes)> {
    let places = photos.places.as_ref().ok()?;
    let origin = known.iter().position(|k| k.point == file.frame.origin)?;
    let [a, b, c] = spread(known, origin)?;
    let [a, b, c] = [a, b, c].map(|i| known[i].point);
    let frame = Frame { origin: a, forward: [a, b], upright: Upright::Up(c) };
    let mut at = vec![DVec3::ZERO; file.names.len()];
    known.iter().for_each(|k| at[k.point] = places.faces[k.plate].at);
    Some((frame, frame.axes(&at)?))
}

/// All markers as laid, brought onto the points of the answer.
fn in_place(laid: &Places, known: &[Known], answer: &Answer) -> Option<Places> {
    let here: Vec<DVec3> = known.iter().map(|k| answer.at[k.point]).collect();
    let middle = known.iter().map(|k| k.at).sum::<DVec3>() / known.len() as f64;
    let there: Vec<DVec3> = known.iter().map(|k| k.at - middle).collect();
    let (turn, target) = onto(&here, &there);
    let along = |(p, q): (&DVec3, &DVec3)| q.dot(turn * (*p - target));
    let square = there.iter().map(|q| q.length_squared()).sum::<f64>();
    let size = here.iter().zip(&there).map(along).sum::<f64>() / square;
    let mut places = laid.moved(turn.transpose(), size, middle, target);
    for k in known {
        let face = places.faces.get_mut(k.plate)?;
        (face.at, face.sd) = (answer.at[k.point], answer.sd(k.point));
    }
    Some(places)
}

/// From the axes of three markers into the job's.
fn turn_back(answer: &mut Answer, axes: &Axes) {
    let turn = axes.turn.transpose();
    let back = |p: DVec3| turn * p + axes.origin;
    answer.at.iter_mut().for_each(|p| *p = back(*p));
    answer.rivals.iter_mut().flatten().for_each(|(_, p)| *p = back(*p));
    if let Some(mirror) = &mut answer.mirror {
        mirror.points.iter_mut().for_each(|(_, p)| *p = back(*p));
    }
    let n = answer.at.len();
    let block = |c: &survey::matrix::Symmetric, p: usize, q: usize| {
        DMat3::from_cols_array(&std::array::from_fn(|k| c.at(3 * p + k % 3, 3 * q + k / 3)))
    };
    let before = answer.covariance.clone();
    for p in 0..n {
        for q in 0..n {
            let turned = turn * block(&before, p, q) * turn.transpose();
            for k in 0..9 {
                *answer.covariance.at_mut(3 * p + k % 3, 3 * q + k / 3) = turned.to_cols_array()[k];
            }
        }
    }
    // The level is that of the job's axes.
    if let Some([roll, pitch]) = answer.level {
        let up = turn * DVec3::new(pitch.sin(), roll.sin() * pitch.cos(), roll.cos() * pitch.cos());
        answer.level = Some([up.y.atan2(up.z), up.x.clamp(-1.0, 1.0).asin()]);
    }
}
