//! The answer of `fit` as JSON: lengths in mm, angles in degrees.

use fit::{CutOpen, Forecast, Miss, Remedy};
use serde_json::{Value, json};

use crate::fit_order::{BuiltFrom, order};
use crate::fit_report::{FitReport, NewClocking, NewPiece, NewSlide, RunFit};
use crate::fit_work::ExtraWork;
use crate::summary::rounded;
use crate::wording;

impl FitReport {
    /// Whether every run meets its inlet.
    pub fn met(&self) -> bool {
        self.runs.iter().all(|r| r.correction.met)
    }

    /// As one JSON object.
    pub fn to_json(&self) -> Value {
        json!({
            "format": 1,
            "met": self.met(),
            "order": self.building_order(),
            "runs": self.runs.iter().map(run).collect::<Vec<_>>(),
            "lost_gaps": self.gaps.iter().map(|miss| self.lost_gap(miss)).collect::<Vec<_>>(),
        })
    }
}

impl FitReport {
    /// Which run is built when and from where; null once it is being built.
    fn building_order(&self) -> Value {
        if self.begun {
            return Value::Null;
        }
        let step =
            |(k, from): (usize, BuiltFrom)| json!({"run": self.runs[k].build.run.id.to_string(), "from": from.word()});
        order(&self.runs).into_iter().map(step).collect()
    }

    fn lost_gap(&self, miss: &route::finding::Miss) -> Value {
        json!({
            "run": miss.run.as_ref().map(ToString::to_string),
            "short_mm": rounded(miss.by),
            "message": wording::miss_of_run(miss, self.units),
        })
    }
}

fn run(of: &RunFit) -> Value {
    let done = &of.correction;
    let none = of.build.run.parts.len();
    let suspects = of.estimate.suspects.iter().map(|s| {
        let (key, off, sd) = if s.what.is_angle() {
            ("off_deg", s.off.to_degrees(), s.sd.to_degrees())
        } else {
            ("off_mm", s.off, s.sd)
        };
        json!({"what": s.what.word(), "where": of.place(s.what, s.link), key: rounded(off), "sd": rounded(sd)})
    });
    let contradicting = of.estimate.contradicting.iter().map(|c| {
        let (spot, what) = &of.build.read_at[c.reading];
        json!({"reading": what, "line": spot.line, "column": spot.column, "deviations": rounded(c.deviations)})
    });
    json!({
        "run": of.build.run.id.to_string(),
        "met": done.met,
        "keeps_gaps": of.keeps_gaps,
        "before": miss(&done.before),
        "after": miss(&done.after),
        "length_mm": rounded(done.length),
        "drawn_length_mm": rounded(of.build.run.chain.length(&of.build.run.drawn)),
        "pieces": pieces(&of.pieces(&done.figures, none)),
        "clocking": clockings(&of.clockings(&done.figures, none)),
        "slides": slides(&of.slides(&done.figures)),
        "cut_open": of.cut_open.as_ref().map(|open| cut_open(of, open)),
        "suspect": suspects.collect::<Vec<_>>(),
        "contradicting": contradicting.collect::<Vec<_>>(),
        "open_end": open_end(of),
        "chance": of.chance.map(|[before, after]| json!({
            "before": two_figures(before.share), "after": two_figures(after.share), "builds": after.builds,
        })),
        "forecast": forecast(of, &of.forecast),
    })
}

fn miss(miss: &Miss) -> Value {
    json!({"off_mm": rounded(miss.distance()), "off_deg": rounded(miss.angle.to_degrees())})
}

/// To a ten-thousandth of a millimetre or a hundred-thousandth of a degree, as in cutplan.json.
fn fine(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts + 0.0
}

fn pieces(pieces: &[NewPiece]) -> Value {
    let figures = |mark: &str, of: &[f64; 3]| {
        json!({
            "mark": mark,
            "leg_in_mm": fine(of[0], 1e4),
            "angle_deg": fine(of[1].to_degrees(), 1e5),
            "leg_out_mm": fine(of[2], 1e4),
        })
    };
    pieces
        .iter()
        .map(|p| {
            let mut new = figures(&p.mark, &p.is);
            new["was"] = figures(&p.mark, &p.was);
            new
        })
        .collect()
}

fn clockings(clockings: &[NewClocking]) -> Value {
    let deg = |angle: f64| fine(angle.to_degrees(), 1e5);
    let one = |c: &NewClocking| {
        json!({
            "to": c.to, "angle_deg": deg(c.is), "was_deg": deg(c.was), "from_mark_deg": deg(c.from_mark),
        })
    };
    clockings.iter().map(one).collect()
}

fn slides(slides: &[NewSlide]) -> Value {
    let one = |s: &NewSlide| json!({"joint": s.joint, "overlap_mm": fine(s.is, 1e4), "was_mm": fine(s.was, 1e4)});
    slides.iter().map(one).collect()
}

fn cut_open(of: &RunFit, open: &CutOpen) -> Value {
    let figures = &open.correction.figures;
    json!({
        "joint": of.build.run.parts[open.link].joint,
        "keep_pieces": open.keep,
        "dress_deg": rounded(of.dressed(open).to_degrees()),
        "after": miss(&open.correction.after),
        "pieces": pieces(&of.pieces(figures, of.made_again(open))),
        "clocking": clockings(&of.clockings(figures, open.link)),
        "slides": slides(&of.slides(figures)),
    })
}

/// Where the open end is, with the spread of its place in x, y, z.
fn open_end(of: &RunFit) -> Value {
    let Some(last) = fit::sources::built(&of.build.states()).checked_sub(1) else { return Value::Null };
    let at = of.build.run.chain.lay(&of.estimate.figures).exit[last];
    let drawn = of.build.run.laid().exit[last];
    json!({
        "after": of.build.run.parts[last].mark,
        "at_mm": at.origin.to_array().map(rounded),
        "axis": at.forward.to_array().map(|v| fine(v, 1e6)),
        "drawn_mm": drawn.origin.to_array().map(rounded),
        "sd_mm": of.estimate.place_sd(&of.build.run, last).map(rounded),
    })
}

fn forecast(of: &RunFit, forecast: &Forecast) -> Value {
    let run = &of.build.run;
    let sources =
        forecast.sources.iter().map(|(source, share)| json!({"what": source.word(), "share": rounded(*share)}));
    let sensitivity = forecast.sensitivity.iter().map(|s| {
        json!({
            "what": s.what.word(),
            "where": of.place(s.what, s.link),
            "moves_mm": rounded(s.moves),
            "turns_deg": rounded(s.turns.to_degrees()),
        })
    });
    json!({
        "mean_along_mm": rounded(forecast.mean_along),
        "sd": {
            "along_mm": rounded(forecast.sd_along),
            "across_mm": rounded(forecast.sd_across),
            "place_mm": rounded(forecast.sd_place()),
            "direction_deg": rounded(forecast.sd_direction.to_degrees()),
            "length_mm": rounded(forecast.sd_length),
        },
        "goes_in": fine(forecast.goes_in.share, 1e4),
        "goes_in_along_free": fine(forecast.goes_in_along_free.share, 1e4),
        "builds": forecast.goes_in.builds,
        "sources": sources.collect::<Vec<_>>(),
        "sensitivity": sensitivity.collect::<Vec<_>>(),
        "remedies": of.remedies.iter().zip(&of.work).map(|(r, work)| remedy(run, r, work)).collect::<Vec<_>>(),
        "reserve": of.remedies.first().map(|r| reserve(run, r)),
    })
}

fn remedy(run: &fit::Run, remedy: &Remedy, work: &ExtraWork) -> Value {
    json!({
        "remedy": remedy.kind.word(),
        "pieces": remedy.cut_last.iter().map(|&k| run.parts[k].mark.clone()).collect::<Vec<_>>(),
        "joint": remedy.meets.map(|k| run.parts[k].joint.clone()),
        "measures": remedy.measures,
        "cuts": work.cuts,
        "turned": work.turned,
        "minutes": fine(work.minutes, 10.0),
        "cost": work.cost.units(),
        "reserve": reserve(run, remedy),
        "chance": two_figures(remedy.chance.share),
        "builds": remedy.chance.builds,
    })
}

/// What the pieces that are cut last are to be left with more.
fn reserve(run: &fit::Run, remedy: &Remedy) -> Value {
    remedy
        .reserve
        .iter()
        .map(|r| {
            json!({
                "mark": run.parts[r.link].mark,
                "leg_in_mm": fine(r.leg_in, 10.0),
                "angle_deg": fine(r.angle.to_degrees(), 10.0),
                "leg_out_mm": fine(r.leg_out, 10.0),
            })
        })
        .collect()
}

/// A chance to two figures: what a thousand builds tell.
fn two_figures(share: f64) -> f64 {
    fine(share, 100.0)
}
