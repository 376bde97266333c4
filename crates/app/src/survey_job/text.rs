//! A survey in plain words.

use std::fmt::Write as _;

use job::show;
use job::survey::{Reading, Tool};
use survey::tape::snoop::usual_slip;
use survey::tape::survey::{Answer, Slip};

use super::photo_warnings::marker_words;
use super::report::{NoPlaces, PhotoReport, SurveyReport};
use crate::report_table::{heads, row, table};

impl SurveyReport {
    /// As text.
    pub fn text(&self) -> String {
        whole(self)
    }
}

/// The whole report.
fn whole(report: &SurveyReport) -> String {
    let mut out = points(report);
    for p in report.unfixed() {
        let count = report.file.readings.iter().filter(|r| r.points.contains(&p)).count();
        let readings = if count == 1 { "1 reading".into() } else { format!("{count} readings") };
        let _ = writeln!(out, "\nNot fixed: {} ({readings}). Measure to it from more points.", name(report, p));
    }
    if let Some(photos) = &report.photos {
        out.push_str(&photo_words(report, photos));
    }
    let Some(answer) = &report.tape else { return out };
    out.push_str(&doubts(report, answer));
    out.push_str(&slips(report, answer));
    out.push_str(&advice(report, answer));
    let _ = writeln!(out, "\n{} more readings than needed; sum of squares {:.1}.", answer.redundancy, answer.chi2);
    if let Some([roll, pitch]) = answer.level {
        let side = if roll >= 0.0 { "left side up" } else { "right side up" };
        let end = if pitch >= 0.0 { "front up" } else { "front down" };
        let (roll, pitch) = (roll.to_degrees().abs(), pitch.to_degrees().abs());
        let _ = writeln!(out, "Vehicle out of level: {roll:.1} deg {side}, {pitch:.1} deg {end}.");
    }
    out
}

fn name(report: &SurveyReport, p: usize) -> &str {
    &report.file.names[p]
}

fn points(report: &SurveyReport) -> String {
    let units = report.file.units;
    let unit = show::unit(units);
    let mut rows = vec![heads(["point", &format!("x {unit}"), "y", "z", "sd x", "sd y", "sd z"])];
    let cell = |v: f64| show::exact(v, units);
    for p in report.points() {
        let name = name(report, p.name).to_string();
        rows.push(row([name, cell(p.at.x), cell(p.at.y), cell(p.at.z), cell(p.sd.x), cell(p.sd.y), cell(p.sd.z)]));
    }
    if rows.len() > 1 { table(&rows) } else { String::new() }
}

/// What the photos gave: markers with their directions, the scale, what moved.
fn photo_words(report: &SurveyReport, photos: &PhotoReport) -> String {
    let mut out = String::new();
    let places = match &photos.places {
        Ok(places) => places,
        Err(NoPlaces::NoScale) => {
            return "\nNo scale: photos alone do not tell the size. Measure the bar with calipers ([photos.bar]), or tape one \
                    distance between two markers.\n"
                .into();
        }
        Err(NoPlaces::NoAxes) => {
            return "\nNo axes: a marker that [frame] names was not found in two photos, or they lie in one line.\n"
                .into();
        }
        Err(NoPlaces::Apart) => {
            return "\nThe photos do not hang together: no two of them share enough markers.\n".into();
        }
    };
    let mut rows = vec![heads(["marker", "point", "photos", "normal x", "y", "z", "sd deg"])];
    for (_, tag, face, count) in photos.placed() {
        let n = face.normal.to_array().map(|v| format!("{v:.4}"));
        let [x, y, z] = n;
        rows.push(row([
            tag.to_string(),
            report.name_of(tag).unwrap_or_default().to_string(),
            count.to_string(),
            x,
            y,
            z,
            format!("{:.2}", face.sd_tilt.to_degrees()),
        ]));
    }
    let _ = writeln!(out, "\n{}", table(&rows));
    let _ =
        writeln!(out, "Prints are {:.2} % of the drawn size (from the {}).", 100.0 * places.scale, photos.scale_from);
    for moved in photos.moved() {
        let what = marker_words(&report.file, moved.tag);
        let by = show::length_with_unit(moved.by.length(), report.file.units);
        let _ = writeln!(
            out,
            "{what} moved by {by} before {}; the place above is the one before.",
            photos.name(moved.photo)
        );
    }
    out
}

/// Other answers, the mirror question.
fn doubts(report: &SurveyReport, answer: &Answer) -> String {
    let mut out = String::new();
    for rival in &answer.rivals {
        let _ = writeln!(out, "\nTwo answers fit nearly as well. In the other one:");
        for (p, at) in rival {
            let away = show::length_with_unit(at.distance(answer.at[*p]), report.file.units);
            let _ = writeln!(out, "  {} lies {away} away from the place above", name(report, *p));
        }
    }
    if let Some(mirror) = &answer.mirror {
        let ask = name(report, mirror.ask);
        let side = if answer.at[mirror.ask].y > 0.0 { "left" } else { "right" };
        let _ = writeln!(out, "\nDistances cannot tell left from right. Does `{ask}` lie on the left or on the right?");
        let _ = writeln!(
            out,
            "  The places above take it to be on the {side}. Write left = \"{ask}\" or right = \"{ask}\" under [frame]."
        );
    }
    out
}

fn slips(report: &SurveyReport, answer: &Answer) -> String {
    let mut out = String::new();
    for slip in &answer.slips {
        let reading = &report.file.readings[slip.reading];
        let (read, proposed) = (
            value(report, reading, reading.read),
            value(report, reading, slip.proposed + reading.read - reading.value),
        );
        let _ = writeln!(
            out,
            "\nLine {}: {} {} reads {read}; the other readings say {proposed}.",
            reading.spot.line,
            reading.tool.key(),
            between(report, reading)
        );
        if let Some(words) = usual(reading, slip) {
            let _ = writeln!(out, "  It looks {words}.");
        }
        for other in &slip.or {
            let other = &report.file.readings[*other];
            let _ = writeln!(
                out,
                "  Or line {} is wrong instead: {} {}.",
                other.spot.line,
                other.tool.key(),
                between(report, other)
            );
        }
        let _ = writeln!(out, "  Measure it again and correct the file; the places above leave it out.");
    }
    out
}

fn usual(reading: &Reading, slip: &Slip) -> Option<&'static str> {
    reading.tool.is_length().then(|| usual_slip(reading.value, slip.proposed, slip.sd)).flatten()
}

fn value(report: &SurveyReport, reading: &Reading, value: f64) -> String {
    match reading.tool {
        Tool::Incline => format!("{:.1} deg", value.to_degrees()),
        _ => show::length_with_unit(value, report.file.units),
    }
}

fn between(report: &SurveyReport, reading: &Reading) -> String {
    let names: Vec<String> = reading.points.iter().map(|p| format!("`{}`", name(report, *p))).collect();
    names.join(" to ")
}

/// What nothing checks, and what to measure next.
fn advice(report: &SurveyReport, answer: &Answer) -> String {
    let mut out = String::new();
    if !answer.unchecked.is_empty() {
        out.push_str("\nNo other reading checks these; read them twice:\n");
    }
    for i in &answer.unchecked {
        let reading = &report.file.readings[*i];
        let _ = writeln!(out, "  line {}: {} {}", reading.spot.line, reading.tool.key(), between(report, reading));
    }
    if !answer.next.is_empty() {
        out.push_str("\nMeasure next:\n");
    }
    for n in &answer.next {
        let [a, b] = n.between.map(|p| name(report, p));
        let sd = |v: f64| show::exact_with_unit(v, report.file.units);
        let why = if n.settles {
            "decides between the two answers".to_string()
        } else {
            format!("sd of {} {} -> {}", name(report, n.point), sd(n.sd_before), sd(n.sd_after))
        };
        let _ = writeln!(out, "  {a} to {b} ({why})");
    }
    out
}
