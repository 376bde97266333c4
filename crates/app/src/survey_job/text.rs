//! A survey in plain words.

use std::fmt::Write as _;

use job::show;
use job::survey::{Reading, Tool};
use survey::tape::snoop::usual_slip;
use survey::tape::survey::Slip;

use super::SurveyReport;
use crate::report::{heads, row, table};

/// The whole report.
pub fn report(report: &SurveyReport) -> String {
    let mut out = points(report);
    out.push_str(&doubts(report));
    out.push_str(&slips(report));
    out.push_str(&advice(report));
    let answer = &report.answer;
    let _ = writeln!(out, "\n{} more readings than needed; sum of squares {:.1}.", answer.redundancy, answer.chi2);
    if let Some([roll, pitch]) = answer.level {
        let side = if roll >= 0.0 { "left side up" } else { "right side up" };
        let end = if pitch >= 0.0 { "front up" } else { "front down" };
        let _ = writeln!(
            out,
            "Vehicle out of level: {:.1} deg {side}, {:.1} deg {end}.",
            roll.to_degrees().abs(),
            pitch.to_degrees().abs()
        );
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
    let answer = &report.answer;
    for p in (0..answer.at.len()).filter(|p| !answer.unfixed.contains(p)) {
        let (at, sd) = (answer.at[p], answer.sd(p));
        let cell = |v: f64| show::exact(v, units);
        rows.push(row([
            name(report, p).to_string(),
            cell(at.x),
            cell(at.y),
            cell(at.z),
            cell(sd.x),
            cell(sd.y),
            cell(sd.z),
        ]));
    }
    if rows.len() > 1 { table(&rows) } else { String::new() }
}

/// What is not fixed, other answers, the mirror question.
fn doubts(report: &SurveyReport) -> String {
    let answer = &report.answer;
    let mut out = String::new();
    for p in &answer.unfixed {
        let count = report.file.readings.iter().filter(|r| r.points.contains(p)).count();
        let _ = writeln!(
            out,
            "\nNot fixed: {}. Its {count} readings leave it free to move; measure to it from more points.",
            name(report, *p)
        );
    }
    for rival in &answer.rivals {
        let _ = writeln!(out, "\nTwo answers fit nearly as well. In the other one:");
        for (p, at) in rival {
            let away = show::length_with_unit(at.distance(answer.at[*p]), report.file.units);
            let _ = writeln!(out, "  {} lies {away} away from the place above", name(report, *p));
        }
    }
    if let Some(mirror) = &answer.mirror {
        let ask = name(report, mirror.ask);
        let _ = writeln!(
            out,
            "\nDistances cannot tell left from right. Does `{ask}` lie on the left? The places above take it to be on the left."
        );
        let _ = writeln!(out, "  Write left = \"{ask}\" or right = \"{ask}\" under [frame].");
    }
    out
}

fn slips(report: &SurveyReport) -> String {
    let mut out = String::new();
    for slip in &report.answer.slips {
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
fn advice(report: &SurveyReport) -> String {
    let answer = &report.answer;
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
