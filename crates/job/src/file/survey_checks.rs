//! What a survey as a whole must be, and what in it looks like a slip of the pen.

use super::read::Reader;
use super::record::Record;
use crate::problem::Problem;
use crate::source::Spot;
use crate::suggest::nearest;
use crate::survey::{Side, SurveyFile, Tool};

/// Most points of a survey: a full bay has some thirty.
const MOST_POINTS: usize = 100;
/// Most readings.
const MOST_READINGS: usize = 2000;
/// Readings without which a point has no place.
const LEAST_READINGS: usize = 3;
/// Two readings of one pair that differ by more than so many standard deviations of their difference are shown.
const TWICE: f64 = 4.0;
/// A median length in mm below which a metric file looks as if it were in inches, and above which one in inches looks metric.
const LOOKS_LIKE_INCHES: f64 = 40.0;
const LOOKS_LIKE_MM: f64 = 4000.0;

/// Reports everything that is wrong with a survey, or looks so.
pub fn check(reader: &mut Reader<'_>, root: &Record, file: &mut SurveyFile) {
    if reader.broken || reader.problems.iter().any(Problem::is_error) {
        return;
    }
    if file.readings.is_empty() && file.photos.is_none() {
        let problem = reader.error("nothing-measured", &root.span, "", "nothing was measured");
        problem.expected = "[measured] with readings, or [photos]".into();
        problem.hint = "write tape = [[\"port 1\", \"collector\", 512.0], ...] under [measured]".into();
        return;
    }
    if file.names.len() > MOST_POINTS || file.readings.len() > MOST_READINGS {
        let message =
            format!("{} points and {} readings are more than any survey has", file.names.len(), file.readings.len());
        let problem = reader.error("too-many", &root.span, "", message);
        problem.expected = format!("at most {MOST_POINTS} points and {MOST_READINGS} readings");
        problem.hint = "divide it into several surveys".into();
        return;
    }
    frame(reader, root, file);
    places(reader, file);
    readings(reader, file);
    if !reader.problems.iter().any(Problem::is_error) {
        pairs_read_twice(reader, file);
        similar_names(reader, file);
        few_readings(reader, file);
        unit_of_lengths(reader, file);
    }
}

/// Whether a point is measured at all, by reading or marker.
fn measured(file: &SurveyFile, point: usize) -> bool {
    file.readings.iter().any(|r| r.points.contains(&point)) || file.markers.iter().any(|m| m.name == Some(point))
}

fn frame(reader: &mut Reader<'_>, root: &Record, file: &SurveyFile) {
    let Some(table) = root.table("frame") else { return };
    let frame = &file.frame;
    let [from, to] = frame.forward;
    let mut named = vec![("origin", frame.origin), ("forward", from), ("forward", to)];
    named.extend(frame.upright.map(|(p, down)| (if down { "down" } else { "up" }, p)));
    match &frame.side {
        Some(Side::Point(p, left)) => named.push((if *left { "left" } else { "right" }, *p)),
        Some(Side::MeanNormal(list)) => named.extend(list.iter().map(|p| ("left", *p))),
        None => {}
    }
    for (key, p) in named {
        if !measured(file, p) {
            let spot = reader.source.spot(&table.span_of(key));
            unknown_point(reader, file, p, spot, &format!("`{key}` of [frame]"));
        }
    }
    for (pair, other) in [(["down", "up"], "up"), (["left", "right"], "right")] {
        if pair.iter().all(|key| table.given(key)) {
            let message = format!("[frame] has both `{}` and `{}`", pair[0], pair[1]);
            let problem = reader.error("one-of", &table.span_of(other), &table.about, message);
            problem.expected = "one of the two".into();
            problem.hint = format!("delete `{other}`");
        }
    }
    let on_axis = frame.upright.filter(|(p, _)| [frame.origin, from, to].contains(p));
    if from == to || on_axis.is_some() {
        let key = if from == to { "forward" } else { "down" };
        let problem = reader.error("same-point", &table.span_of(key), &table.about, "the axes need different points");
        problem.expected = "two points for `forward`, and for `down` or `up` a third well off their line".into();
        problem.hint = "choose points 200 mm or more apart".into();
    }
    let normals = matches!(frame.side, Some(Side::MeanNormal(_)));
    let levels = file.readings.iter().any(|r| matches!(r.tool, Tool::Height | Tool::Incline));
    if normals && file.markers.is_empty() {
        let problem = reader.error(
            "no-markers",
            &table.span_of("left"),
            &table.about,
            "there are no markers whose normals could be used",
        );
        problem.expected = "the name of a point on the left, or [[marker]] tables".into();
        problem.hint = "write left = \"NAME\"".into();
    } else if frame.upright.is_none() && !normals && !levels {
        let problem = reader.error("missing-key", &table.span, &table.about, "nothing says where down is");
        problem.expected = "`down` or `up`: a point 200 mm or more off the line of `forward`".into();
        problem.hint = "add down = \"NAME\", or heights against gravity".into();
    }
}

fn unknown_point(reader: &mut Reader<'_>, file: &SurveyFile, point: usize, spot: Spot, whose: &str) {
    let name = &file.names[point];
    let known = file.names.iter().enumerate().filter(|(p, _)| *p != point && measured(file, *p));
    let near = nearest(name, known.map(|(_, n)| n.as_str()));
    let problem =
        reader.error("unknown-point", &spot.span, "", format!("{whose}: no reading and no marker names `{name}`"));
    problem.expected = "a name that is used under [measured] or in [[marker]]".into();
    problem.hint =
        near.map_or_else(|| "measure to it, or name another point".into(), |near| format!("write \"{near}\""));
}

fn places(reader: &mut Reader<'_>, file: &SurveyFile) {
    for place in &file.places {
        let points = [place.at, place.from, place.to].into_iter().flatten().chain(place.axis.into_iter().flatten());
        for p in points {
            if !measured(file, p) {
                unknown_point(reader, file, p, place.spot.clone(), "[[is]]");
            }
        }
    }
}

fn readings(reader: &mut Reader<'_>, file: &SurveyFile) {
    for reading in &file.readings {
        let mut points = reading.points.clone();
        points.sort_unstable();
        points.dedup();
        if points.len() < reading.points.len() {
            let message = format!("`{}` names the same point twice in one row", reading.tool.key());
            let problem = reader.error("same-point", &reading.spot.span, "", message);
            problem.expected = "different points".into();
            problem.hint = "write the names of both ends".into();
        }
        if reading.tool.is_length() && reading.value <= 0.0 {
            let message = format!("the centres would be {:.1} mm apart", reading.value);
            let problem = reader.error("out-of-range", &reading.spot.span, "", message);
            problem.expected = "a reading that leaves a distance between the centres".into();
            problem.hint = "give the reading over the edges and the two diameters, in this order".into();
        }
    }
}

fn pairs_read_twice(reader: &mut Reader<'_>, file: &SurveyFile) {
    let lengths: Vec<&crate::survey::Reading> = file.readings.iter().filter(|r| r.tool.is_length()).collect();
    for (i, reading) in lengths.iter().enumerate() {
        let same = |other: &&&crate::survey::Reading| {
            other.points == reading.points
                || (other.points[0] == reading.points[1] && other.points[1] == reading.points[0])
        };
        let Some(before) = lengths[..i].iter().find(same) else { continue };
        let apart = (reading.value - before.value).abs();
        if apart > TWICE * file.sd_of(reading.tool).hypot(file.sd_of(before.tool)) {
            let unit = |v: f64| crate::show::length(v, file.units);
            let message = format!(
                "`{}` to `{}` is {} here and {} in line {}",
                file.names[reading.points[0]],
                file.names[reading.points[1]],
                unit(reading.value),
                unit(before.value),
                before.spot.line
            );
            let problem = reader.warning("read-twice", &reading.spot.span, "", message);
            problem.expected = "two readings of one distance that agree".into();
            problem.hint = "both are kept; measure it once more and correct the wrong one".into();
        }
    }
}

/// How often each point is named by a reading.
fn counts(file: &SurveyFile) -> Vec<usize> {
    let mut counts = vec![0; file.names.len()];
    file.readings.iter().flat_map(|r| &r.points).for_each(|p| counts[*p] += 1);
    counts
}

/// Points called nearly the same, one of which is hardly measured or differs only in spelling.
fn similar_names(reader: &mut Reader<'_>, file: &SurveyFile) {
    let plain =
        |name: &str| name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect::<String>();
    let digits = |name: &str| name.chars().filter(char::is_ascii_digit).collect::<String>();
    let counts = counts(file);
    for (p, name) in file.names.iter().enumerate() {
        let others = || {
            file.names
                .iter()
                .enumerate()
                .filter(|(q, other)| *q != p && counts[*q] >= counts[p] && digits(other) == digits(name))
        };
        let twin = others()
            .find(|(q, other)| plain(other) == plain(name) && (counts[*q] > counts[p] || *q < p))
            .map(|(_, n)| n.as_str());
        let near = || nearest(name, others().filter(|(q, _)| counts[*q] >= LEAST_READINGS).map(|(_, n)| n.as_str()));
        let alike = |other: &&str| {
            let (a, b) = (plain(name), plain(other));
            a.chars().count().abs_diff(b.chars().count()) <= 2 && !a.starts_with(&b) && !b.starts_with(&a)
                || a.len().abs_diff(b.len()) == 1
        };
        let meant =
            twin.or_else(|| if counts[p] > 0 && counts[p] < LEAST_READINGS { near().filter(alike) } else { None });
        let (Some(meant), Some(spot)) = (meant, first_spot(file, p)) else { continue };
        let message = format!("`{name}` has {} and is written nearly like `{meant}`", times(counts[p]));
        let problem = reader.warning("similar-names", &spot.span, "", message);
        problem.expected = "one spelling for each point".into();
        problem.hint = format!("write \"{meant}\" if it is the same point, or give them names that differ more");
    }
}

fn times(count: usize) -> String {
    if count == 1 { "1 reading".into() } else { format!("{count} readings") }
}

fn first_spot(file: &SurveyFile, p: usize) -> Option<Spot> {
    file.readings.iter().find(|r| r.points.contains(&p)).map(|r| r.spot.clone())
}

fn few_readings(reader: &mut Reader<'_>, file: &SurveyFile) {
    for (p, count) in counts(file).into_iter().enumerate() {
        let seen = file.markers.iter().any(|m| m.name == Some(p));
        let Some(spot) = first_spot(file, p).filter(|_| count < LEAST_READINGS && !seen) else { continue };
        let message = format!("`{}` has only {}", file.names[p], times(count));
        let problem = reader.warning("few-readings", &spot.span, "", message);
        problem.expected = "five distances a point; three fix it, but nothing checks them".into();
        problem.hint = format!("measure from `{}` to more points that are well apart", file.names[p]);
    }
}

fn unit_of_lengths(reader: &mut Reader<'_>, file: &SurveyFile) {
    let mut lengths: Vec<(f64, &Spot)> =
        file.readings.iter().filter(|r| r.tool == Tool::Tape).map(|r| (r.value, &r.spot)).collect();
    lengths.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some((median, spot)) = lengths.get(lengths.len() / 2) else { return };
    let other = match file.units {
        crate::model::Units::Mm if *median < LOOKS_LIKE_INCHES => "in",
        crate::model::Units::Inch if *median > LOOKS_LIKE_MM => "mm",
        _ => return,
    };
    let message = format!("half of the tape readings are below {}", crate::show::length(*median, file.units));
    let message = if other == "mm" { message.replace("below", "above") } else { message };
    let span = spot.span.clone();
    let problem = reader.warning("unit", &span, "", message);
    problem.expected = "lengths as in an engine bay".into();
    problem.hint = format!("write units = \"{other}\" at the top if that is what was read");
}
