//! The answer of `fit` in words, lengths in the job's unit.

use std::fmt::Write as _;

use fit::{Chance, Figure, RemedyKind, Suspect};
use job::show::{exact_with_unit, length_with_unit};

use crate::fit_order::{BuiltFrom, order};
use crate::fit_report::{FitReport, RunFit};
use crate::wording;

impl FitReport {
    /// For people.
    pub fn text(&self) -> String {
        let mut out = String::new();
        for run in &self.runs {
            let _ = writeln!(out, "{}", run.build.run.id);
            if self.begun {
                self.as_measured(run, &mut out);
            } else {
                self.before_the_saw(run, &mut out);
            }
            out.push('\n');
        }
        if !self.begun && self.runs.len() > 1 {
            let name = |(k, from): (usize, BuiltFrom)| {
                let side = match from {
                    BuiltFrom::Flange => "from the flange",
                    BuiltFrom::Collector => "from the collector",
                    BuiltFrom::Both => "from both ends",
                };
                format!("{} {side}", self.runs[k].build.run.id)
            };
            let steps: Vec<String> = order(&self.runs).into_iter().map(name).collect();
            let _ = writeln!(out, "order of the tubes, the least likely to go in first: {}", steps.join(", "));
        }
        for gap in &self.gaps {
            let _ = writeln!(out, "clearance lost: {}", wording::miss_of_run(gap, self.units));
        }
        out.push_str(if self.begun {
            "Measure again after every weld; the last reading decides. Accept with --accept to keep this correction.\n"
        } else {
            "Standard deviations of what a shop holds (common practice, no source): put your own into [shop] of fit.toml.\n"
        });
        out
    }

    fn long(&self, mm: f64) -> String {
        exact_with_unit(mm, self.units)
    }

    fn before_the_saw(&self, run: &RunFit, out: &mut String) {
        let f = &run.forecast;
        let _ = writeln!(
            out,
            "  made as drawn, the end lies {} and {:.1} degrees off its inlet (one standard deviation)",
            length_with_unit(f.sd_place(), self.units),
            f.sd_direction.to_degrees()
        );
        let largest: Vec<String> =
            f.sources.iter().take(3).map(|(s, share)| format!("{} {:.0} %", s.word(), share * 100.0)).collect();
        let _ = writeln!(out, "  mostly from: {}", largest.join(", "));
        for (remedy, work) in run.remedies.iter().zip(&run.work) {
            let joint = remedy.meets.map(|k| format!(" {}", run.build.run.parts[k].joint));
            let marks: Vec<&str> = remedy.cut_last.iter().map(|&k| run.build.run.parts[k].mark.as_str()).collect();
            let which = if marks.is_empty() { joint.unwrap_or_default() } else { format!(" {}", marks.join(", ")) };
            let more = if work.minutes > 0.0 {
                format!("; {:.0} minutes more, {:.2}", work.minutes, work.cost.units())
            } else {
                String::new()
            };
            let _ = writeln!(out, "  {}{which}: goes in {}{more}", remedy.kind.word(), in_words(remedy.chance));
        }
        if let Some(pair) = run.remedies.first().filter(|r| r.kind == RemedyKind::ClosingPair) {
            self.order(run, pair, out);
        }
    }

    /// How a closing pair is made.
    fn order(&self, run: &RunFit, pair: &fit::Remedy, out: &mut String) {
        let parts = &run.build.run.parts;
        let (first, last) = (pair.cut_last[0], pair.cut_last[pair.cut_last.len() - 1]);
        let upstream =
            if first > 0 { format!("weld up to {}", parts[first - 1].mark) } else { "start at the flange".into() };
        let downstream = match parts.get(last + 1) {
            Some(next) => format!(", weld from {} on to the inlet", next.mark),
            None => String::new(),
        };
        let _ = writeln!(
            out,
            "  order: {upstream}{downstream}; measure, cut {} and tack; measure again, cut {} and tack; turn, trim, dress, weld",
            parts[first].mark,
            parts[first + 1..=last].iter().map(|p| p.mark.as_str()).collect::<Vec<_>>().join(", ")
        );
        for left in &pair.reserve {
            let mut more = Vec::new();
            let leg = |name: &str, mm: f64| (mm >= 0.5).then(|| format!("{} {name}", length_with_unit(mm, self.units)));
            more.extend(leg(if parts[left.link].is_bend() { "entry leg" } else { "length" }, left.leg_in));
            if left.angle.to_degrees() >= 0.1 {
                more.push(format!("{:.1} degrees", left.angle.to_degrees()));
            }
            more.extend(leg("exit leg", left.leg_out));
            if !more.is_empty() {
                let _ = writeln!(out, "  leave on {}: {}", parts[left.link].mark, more.join(", "));
            }
        }
    }

    fn as_measured(&self, run: &RunFit, out: &mut String) {
        let (before, after) = (&run.correction.before, &run.correction.after);
        let _ = writeln!(
            out,
            "  the rest made as planned, the end lies {} and {:.2} degrees off its inlet",
            self.long(before.distance()),
            before.angle.to_degrees()
        );
        for remark in self.found(run) {
            let _ = writeln!(out, "  {remark}");
        }
        let none = run.build.run.parts.len();
        if run.correction.met {
            self.changes(run, &run.correction.figures, (none, none), out);
        } else {
            let _ = writeln!(
                out,
                "  what is not welded cannot bring it in: at best {} and {:.2} degrees off",
                self.long(after.distance()),
                after.angle.to_degrees()
            );
            let _ = writeln!(out, "  {}{}", self.opened(run), if run.cut_open.is_some() { "; then:" } else { "" });
            if let Some(open) = &run.cut_open {
                self.changes(run, &open.correction.figures, (run.made_again(open), open.link), out);
            }
        }
        if let Some([before, after]) = run.chance {
            let _ =
                writeln!(out, "  chance to go in: as planned {}, as corrected {}", in_words(before), in_words(after));
        }
    }

    /// What stands out in a run, and what is to be done before its pieces are cut.
    pub(crate) fn remarks(&self, run: &RunFit) -> Vec<String> {
        let mut remarks = self.found(run);
        if !run.correction.met {
            remarks.push(self.opened(run));
        }
        remarks
    }

    /// Errors that stand out and readings that were left out.
    fn found(&self, run: &RunFit) -> Vec<String> {
        let looks = run.estimate.suspects.iter().map(|s| format!("looks wrong: {}", self.suspect(run, s)));
        let left_out = run.estimate.contradicting.iter().map(|fault| {
            let (spot, what) = &run.build.read_at[fault.reading];
            format!(
                "left out: the {what} on line {} contradicts the other readings ({:.0} standard deviations); measure it again",
                spot.line, fault.deviations
            )
        });
        looks.chain(left_out).collect()
    }

    /// Which weld to cut open where what is not welded does not do.
    fn opened(&self, run: &RunFit) -> String {
        let Some(open) = &run.cut_open else {
            return "no single weld cut open is enough: start this tube again".into();
        };
        let joint = &run.build.run.parts[open.link].joint;
        let how = if open.keep {
            let dressed = run.dressed(open).to_degrees();
            format!("keep the pieces (3 mm go with the cut), dress the face by {dressed:.1} degrees")
        } else {
            "make everything after it again".to_string()
        };
        format!("cut weld {joint} open and {how}")
    }

    fn changes(&self, run: &RunFit, figures: &[f64], (again, open): (usize, usize), out: &mut String) {
        let mut any = false;
        for piece in run.pieces(figures, again) {
            if let Some(change) = self.change(&piece) {
                any = true;
                let _ = writeln!(out, "  cut {}: {change}", piece.mark);
            }
        }
        for clocking in run.clockings(figures, open) {
            if clocking.from_mark.abs() >= 0.05_f64.to_radians() {
                any = true;
                let [was, is, past] = [clocking.was, clocking.is, clocking.from_mark].map(f64::to_degrees);
                let _ = writeln!(
                    out,
                    "  clock {}: {past:+.1} degrees from its mark ({was:.1} -> {is:.1} from the bend before)",
                    clocking.to
                );
            }
        }
        for slide in run.slides(figures) {
            if (slide.is - slide.was).abs() >= 0.05 {
                any = true;
                let _ = writeln!(
                    out,
                    "  slip joint {}: overlap {} -> {}",
                    slide.joint,
                    self.long(slide.was),
                    self.long(slide.is)
                );
            }
        }
        if !any {
            out.push_str("  nothing to change\n");
        }
    }

    fn suspect(&self, run: &RunFit, suspect: &Suspect) -> String {
        let place = run.place(suspect.what, suspect.link);
        let what = match suspect.what {
            Figure::Clocking => format!("clocking of joint {place}"),
            other => format!("{} of {place}", other.word()),
        };
        let (off, sd) = if suspect.what.is_angle() {
            (format!("{:+.1} degrees", suspect.off.to_degrees()), format!("{:.1}", suspect.sd.to_degrees()))
        } else {
            let sign = if suspect.off < 0.0 { "" } else { "+" };
            (format!("{sign}{}", self.long(suspect.off)), self.long(suspect.sd))
        };
        format!("{what}, {off} (give or take {sd})")
    }
}

/// A chance to two figures and in words.
pub(crate) fn in_words(chance: Chance) -> String {
    let share = chance.share;
    let words = match share {
        s if s < 0.005 => "hardly ever".to_string(),
        s if s > 0.995 => "nearly always".to_string(),
        s if s <= 0.5 => format!("1 in {:.0}", 1.0 / s),
        s => {
            // The nearest of 2 in 3, 3 in 4 ... 19 in 20.
            let parts = (1.0 / (1.0 - s)).round().clamp(2.0, 20.0);
            format!("{:.0} in {parts:.0}", parts - 1.0)
        }
    };
    format!("{:.0} % ({words})", share * 100.0)
}
