//! The strength sheet of a job as a PDF.

use geom::Vec3;
use job::model::{Job, Units};
use job::routes::Routes;
use job::show;
use papers::strength::{Growth, SheetMode, StrengthRun, StrengthSheet, strength_sheets};
use papers::{Frame, Paper, Pdf, PdfError, write_pdf};
use route::laid::frame_of;

use crate::fonts::fonts_of;
use crate::papers_job::usual_paper;
use crate::strength_answer::{Fares, RunAnswer, StrengthAnswer};
use crate::strength_job::orders;
use crate::strength_near::limits;
use crate::strength_text::{change, fares_cells, near_cells, run_cells};
use crate::wording;

/// Things near hot tubes that are listed.
const MOST_NEAR: usize = 6;

/// Highest speed of the plot over that of peak power.
const BEYOND_PEAK: f64 = 1.1;

/// Sets the sheet.
///
/// # Errors
/// [`PdfError`]: a bug in Tubewright.
pub fn strength_pdf(job: &Job, routes: &Routes, answer: &StrengthAnswer, units: Units) -> Result<Pdf, PdfError> {
    let paper = usual_paper(units);
    let sheets = strength_sheets(&figures(job, routes, answer, (units, paper)));
    let frame = Frame {
        job: job.name.clone(),
        paper,
        left: "strength of the routes as they are".into(),
        middle: String::new(),
        flag: String::new(),
    };
    write_pdf(&sheets, &frame, &fonts_of(&sheets, &frame.job))
}

fn figures(job: &Job, routes: &Routes, answer: &StrengthAnswer, (units, paper): (Units, Paper)) -> StrengthSheet {
    let rpm = job.engine.as_ref().and_then(|e| e.peak_power_rpm).unwrap_or(6000.0);
    let growth = |(k, c): (usize, &job::model::Collector)| {
        let moved = answer.collectors.iter().find(|a| a.collector == c.name)?;
        Some(Growth { at: frame_of(job, routes, k).origin, by: Vec3::from_array(moved.moves_mm) })
    };
    StrengthSheet {
        runs: routes.runs.iter().zip(&answer.runs).filter_map(|(route, a)| run(job, route, a, units)).collect(),
        growth: job.collectors.iter().enumerate().filter_map(growth).collect(),
        modes: answer.modes.iter().map(|m| SheetMode { hz: m.frequency_hz, mpa_per_g: m.mpa_per_g }).collect(),
        orders: orders(job).to_vec(),
        most_rpm: BEYOND_PEAK * rpm,
        findings: wording::strength(answer, units),
        helps: helps(answer, units),
        near: answer.near.iter().take(MOST_NEAR).map(|n| near_cells(n, units)).collect(),
        remarks: remarks(answer),
        units,
        paper,
    }
}

fn run(job: &Job, route: &job::routes::Route, a: &RunAnswer, units: Units) -> Option<StrengthRun> {
    let [metal, range, share, cycles, flange] = run_cells(a);
    let on = a.joint.as_ref().or(a.piece.as_ref()).map_or(String::new(), |name| format!(", {name}"));
    let place = format!("{}{on}", show::length(a.at_mm, units));
    Some(StrengthRun {
        run: route.run.clone(),
        line: route.centreline().ok()?,
        od: job.tube_of(&route.run).od,
        cells: [metal, range, share, place, cycles, flange],
    })
}

fn helps(answer: &StrengthAnswer, units: Units) -> Vec<[String; 6]> {
    let row = |what: String, f: &Fares, price: String| {
        let [share, range, shake, first] = fares_cells(f);
        [what, share, range, shake, first, price]
    };
    let first = row("as it is".into(), &answer.helps.before, String::new());
    let rest = answer.helps.best.iter().map(|h| row(change(h, units), &h.after, format!("{:.2}", h.price)));
    std::iter::once(first).chain(rest).collect()
}

fn remarks(answer: &StrengthAnswer) -> String {
    let assumed: Vec<String> =
        answer.assumed.iter().map(|a| format!("{} {} {}", a.what, a.value, a.unit).trim_end().to_string()).collect();
    format!(
        "Heat: {}. Near heat: a small thing there; limits: {}; its maker's own goes first. Assumed, as the job does not say: {}. {}. Allowable stresses are from memory: whoever owns the standard checks them. \
         Not an approval of pressure piping, aircraft or marine parts; have turbo supports, fuel and brake lines near heat, noise \
         and emissions checked where the law asks a licensed person. After the first heat cycle look for cracks at the flange \
         welds and tighten the nuts as the gasket's maker says.",
        wording::gas_source(&answer.gas),
        limits(),
        assumed.join("; "),
        answer.notes.join("; ")
    )
}
