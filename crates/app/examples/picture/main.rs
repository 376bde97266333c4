//! Draws a job as it is routed and cut: a view of the bay, and every run pulled straight.
//!
//! `cargo run --release -p app --example picture -- JOB FILE.svg`; `cargo x picture` does it for docs/. Seed and
//! effort are the program's own, so that the picture is what `tubewright build` gives.

mod bay;
mod paint;
mod rulers;
mod view;

use std::path::Path;
use std::process::ExitCode;

use app::cut_job::cut_job;
use app::route_job::route_job;
use app::wording;
use cutplan::CutSettings;
use job::Monitor;
use route::RouteSettings;
use route::laid::lay;

use paint::{INK, PAPER, QUIET, text};

/// Width of the drawing, px.
const WIDTH: f64 = 1200.0;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [job, file] = words.as_slice() else {
        eprintln!("picture JOB FILE.svg");
        return ExitCode::from(2);
    };
    match draw(Path::new(job)).and_then(|svg| std::fs::write(file, svg).map_err(|e| format!("{file}: {e}"))) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}

fn draw(folder: &Path) -> Result<String, String> {
    let opened = job::open(&job::Folder::of(folder)).map_err(|p| p.to_string())?;
    let job = &opened.job;
    let report = route_job(job, None, RouteSettings::default(), job.units, &mut Monitor::silent());
    if !report.routed.met {
        return Err(format!("{} is not met; there is nothing to show", job.name));
    }
    let routes = report.routes().ok_or("there are no routes")?;
    let plan = cut_job(&cutplan::CutJob::of(job), routes, &CutSettings::default(), &mut Monitor::silent())
        .map_err(|e| wording::cut(&e, job.units))?
        .plan;
    let laid = lay(job, routes).map_err(|e| wording::laid(&e, job.units))?;

    let (bay, bottom) = bay::bay(job, routes, &laid);
    let (rulers, end) = rulers::rulers(job, &laid, &plan, bottom + 64.0);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH:.0} {end:.0}\" \
         font-family=\"'DejaVu Sans', Verdana, sans-serif\">\n<title>{}: routes and pieces</title>\n\
         <rect width=\"{WIDTH:.0}\" height=\"{end:.0}\" fill=\"{PAPER}\"/>\n",
        paint::escape(&job.name)
    );
    svg += &text(40.0, 52.0, 26.0, INK, "start", &title(&job.name));
    svg += &text(40.0, 80.0, 15.0, QUIET, "start", &subtitle(job, &laid, &plan));
    svg += &bay;
    svg += &rulers;
    Ok(svg + "</svg>\n")
}

fn title(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

fn subtitle(job: &job::model::Job, laid: &[route::laid::Laid], plan: &cutplan::CutPlan) -> String {
    let lengths = || laid.iter().map(|l| l.line.length());
    let (low, high) = lengths().fold((f64::INFINITY, 0.0_f64), |(l, h), x| (l.min(x), h.max(x)));
    let tube = &job.primary.tube;
    format!(
        "{} runs of {:.2} x {:.2} mm tube, {low:.1} to {high:.1} mm long; {} pieces, {} joints, yield {:.0} %",
        laid.len(),
        tube.od,
        tube.wall,
        plan.pieces.len(),
        plan.joints,
        100.0 * plan.yield_ratio()
    )
}
