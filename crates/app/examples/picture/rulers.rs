//! Every run pulled straight: straights as thin bars, bends as blocks, joints as ticks.

use cutplan::CutPlan;
use job::model::Job;
use job::routes::RunId;
use route::laid::Laid;

use crate::WIDTH;
use crate::paint::{self, INK, QUIET, disc, lit, pale, text};

/// Where the rulers begin and end, px.
const LEFT: f64 = 84.0;
const RIGHT: f64 = WIDTH - 110.0;

/// From one ruler to the next, px.
const PITCH: f64 = 84.0;

/// The rulers of all runs below `top`, and where the drawing ends, px.
pub fn rulers(job: &Job, laid: &[Laid], plan: &CutPlan, top: f64) -> (String, f64) {
    let longest = laid.iter().map(|l| l.line.length()).fold(1.0, f64::max);
    let scale = (RIGHT - LEFT) / longest;
    let mut out = text(40.0, top - 22.0, 15.0, INK, "start", "Every run pulled straight, from port to collector");
    out += &text(
        WIDTH - 40.0,
        top - 22.0,
        13.0,
        QUIET,
        "end",
        "blocks are bends with angle and CLR, ticks are joints, 1A is the mark of a piece",
    );
    for (index, run) in laid.iter().enumerate() {
        let y = top + 46.0 + PITCH * index as f64;
        out += &ruler(run, index, plan, y, scale);
    }
    let bottom = top + 12.0 + PITCH * laid.len() as f64;
    out += &axis(longest, scale, bottom);
    if let Some(target) = job.primary.length.target {
        let x = LEFT + target * scale;
        out += &format!(
            "<path d=\"M{x:.1} {:.1}V{bottom:.1}\" stroke=\"{INK}\" stroke-width=\"1\" stroke-dasharray=\"3 3\"/>\n",
            top + 6.0
        );
        out += &text(x, top + 2.0, 12.0, QUIET, "middle", &format!("target {target:.0}"));
    }
    (out, bottom + 48.0)
}

fn ruler(run: &Laid, index: usize, plan: &CutPlan, y: f64, scale: f64) -> String {
    let colour = paint::run(index);
    let at = |s: f64| LEFT + s * scale;
    let number = match &run.id {
        RunId::Primary { cylinder } => cylinder.to_string(),
        RunId::Secondary { .. } => "S".into(),
        RunId::Tail { .. } => "T".into(),
    };
    let mut out = disc(LEFT - 30.0, y, colour, &number);
    out += &bar(at(0.0), y - 7.0, run.line.length() * scale, 14.0, &pale(colour, 0.42));
    for bend in run.line.bends() {
        let (from, long) = (at(bend.from), bend.arc.angle * bend.arc.radius * scale);
        out += &bar(from, y - 14.0, long, 28.0, &lit(colour, 0.72));
        let middle = from + 0.5 * long;
        out += &text(middle, y - 33.0, 13.5, INK, "middle", &format!("{:.1}°", bend.arc.angle.to_degrees()));
        out += &text(middle, y - 19.0, 11.0, QUIET, "middle", &figure(bend.arc.radius));
    }
    let pieces: Vec<_> = plan.pieces.iter().filter(|p| p.run == run.id).collect();
    for piece in &pieces {
        if piece.from > 0.5 {
            let x = at(piece.from);
            out +=
                &format!("<path d=\"M{x:.1} {:.1}V{:.1}\" stroke=\"#fff\" stroke-width=\"4\"/>\n", y - 16.0, y + 16.0);
            out +=
                &format!("<path d=\"M{x:.1} {:.1}V{:.1}\" stroke=\"{INK}\" stroke-width=\"2\"/>\n", y - 18.0, y + 18.0);
        }
        let middle = at(0.5 * (piece.from + piece.to));
        out += &format!(
            "<text x=\"{middle:.1}\" y=\"{:.1}\" font-size=\"12\" fill=\"{INK}\" \
             text-anchor=\"middle\">{}</text>\n",
            y + 31.0,
            piece.mark
        );
    }
    out + &text(at(run.line.length()) + 12.0, y + 5.0, 14.0, INK, "start", &format!("{:.1} mm", run.line.length()))
}

fn bar(x: f64, y: f64, width: f64, height: f64, fill: &str) -> String {
    format!("<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"{fill}\"/>\n")
}

/// A figure with up to three decimals and no idle zeros.
fn figure(value: f64) -> String {
    format!("{value:.3}").trim_end_matches('0').trim_end_matches('.').to_string()
}

fn axis(longest: f64, scale: f64, y: f64) -> String {
    let mut out = format!("<path d=\"M{LEFT:.1} {y:.1}H{RIGHT:.1}\" stroke=\"{QUIET}\" stroke-width=\"1\"/>\n");
    for i in 0..=(longest / 100.0) as u32 {
        let x = LEFT + f64::from(i) * 100.0 * scale;
        out += &format!("<path d=\"M{x:.1} {y:.1}v6\" stroke=\"{QUIET}\" stroke-width=\"1\"/>\n");
        out += &text(x, y + 22.0, 12.0, QUIET, "middle", &(i * 100).to_string());
    }
    out + &text(RIGHT + 12.0, y + 22.0, 12.0, QUIET, "start", "mm")
}
