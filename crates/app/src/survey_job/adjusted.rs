//! From the file of a survey to the adjustment of its readings.

use super::PhotoReport;
use job::Problem;
use job::survey::{Side, SurveyFile, TOOLS, Tool};
use survey::tape::frame::{Axes, Frame, Upright};
use survey::tape::network::{Kind, Network, Reading};
use survey::tape::rounding;
use survey::tape::search::SearchSettings;
use survey::tape::survey::{Answer, Input, SurveyError, survey};
use survey::{DMat3, DVec3};

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
            Tool::Height => Kind::Height([p[0], p[1]]),
            Tool::Incline => Kind::Incline([p[0], p[1]]),
            Tool::Flush => Kind::Flush([p[0], p[1], p[2], p[3]]),
            Tool::Row => Kind::Row([p[0], p[1], p[2], p[3]]),
            _ => Kind::Distance([p[0], p[1]]),
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

/// A point whose place the photos give.
struct Known {
    point: usize,
    plate: usize,
    at: DVec3,
}

/// Adjusts the readings together with the places from photos, in the photos' axes: the photos come in as
/// distances between all their named points, each with its own standard deviation. `None` when fewer than three named
/// markers have a place.
pub fn with_photos(file: &SurveyFile, photos: &PhotoReport) -> Option<Answer> {
    let places = photos.places.as_ref().ok()?;
    let mut known: Vec<Known> = Vec::new();
    for (plate, tag, face, _) in photos.placed() {
        let named = file.markers.iter().find(|m| m.tag == tag).and_then(|m| m.name);
        if let Some(point) = named.filter(|p| known.iter().all(|k| k.point != *p)) {
            known.push(Known { point, plate, at: face.at });
        }
    }
    let base = base(&known)?;
    let mut readings = readings(file);
    for (i, a) in known.iter().enumerate() {
        for b in &known[..i] {
            readings.push(Reading {
                kind: Kind::Distance([a.point, b.point]),
                value: a.at.distance(b.at),
                sd: distance_sd(&places.covariance, a, b),
            });
        }
    }
    let mut at = vec![DVec3::ZERO; file.names.len()];
    known.iter().for_each(|k| at[k.point] = k.at);
    let axes = base.axes(&at)?;
    let off = |k: &Known| (axes.turn * (k.at - axes.origin)).y;
    let side = known.iter().max_by(|a, b| off(a).abs().total_cmp(&off(b).abs())).filter(|k| off(k).abs() > 10.0);
    let input = Input {
        network: Network::new(file.names.len(), readings),
        frame: base,
        side: side.map(|k| (k.point, off(k) > 0.0)),
        tape_sd: file.sd_of(Tool::Tape),
        search: SearchSettings::default(),
    };
    let mut answer = survey(&input).ok()?;
    turn_back(&mut answer, &axes);
    let own = file.readings.len();
    answer.slips.retain(|s| s.reading < own);
    answer.slips.iter_mut().for_each(|s| s.or.retain(|i| *i < own));
    answer.unchecked.retain(|i| *i < own);
    Some(answer)
}

/// Three known points far apart: axes in which net and photos are the same.
fn base(known: &[Known]) -> Option<Frame> {
    let a = known.first()?;
    let b = known.iter().max_by(|p, q| p.at.distance(a.at).total_cmp(&q.at.distance(a.at)))?;
    let along = (b.at - a.at).try_normalize()?;
    let off = |k: &Known| ((k.at - a.at) - along * (k.at - a.at).dot(along)).length();
    let c = known.iter().max_by(|p, q| off(p).total_cmp(&off(q))).filter(|k| off(k) > 10.0)?;
    Some(Frame { origin: a.point, forward: [a.point, b.point], upright: Upright::Up(c.point) })
}

/// Standard deviation of the distance of two places, mm; 0.02 at least.
fn distance_sd(covariance: &survey::matrix::Symmetric, a: &Known, b: &Known) -> f64 {
    let u = (a.at - b.at).normalize_or_zero().to_array();
    let row: Vec<(usize, f64)> = (0..3).flat_map(|c| [(3 * a.plate + c, u[c]), (3 * b.plate + c, -u[c])]).collect();
    covariance.quadratic(&row).max(0.0).sqrt().max(0.02)
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
