//! What is written when a person accepts a correction: more lines of fit.toml, and the routes as built.

use std::fmt::Write as _;

use cutplan::{Clocking, CutPlan};
use fit::Slot;
use fit::chain::figure;
use fit::correction::clocking;
use job::file::routes_file::quote;
use job::model::Units;
use job::routes::Routes;
use job::show::exact_with_unit;

use crate::fit_gaps::set_route;
use crate::fit_report::{FitReport, NewPiece};

/// Figures of lengths in fit.toml: a thousandth of a millimetre or better.
fn length_figure(mm: f64, units: Units) -> String {
    match units {
        Units::Mm => format!("{mm:.3}"),
        Units::Inch => format!("{:.5}", mm / units.in_mm()),
    }
}

/// fit.toml with more lines at its end; a new one when there is none.
pub fn with_lines(old: Option<String>, lines: &str) -> String {
    let old = old.unwrap_or_else(|| "format = 1\n".into());
    let line_end = if old.ends_with('\n') { "" } else { "\n" };
    format!("{old}{line_end}{lines}")
}

/// A day, counted from 1 January 1970, as TOML has it, by the algorithm of a civil calendar counted from 1 March of year 0.
pub fn day_text(days: i64) -> String {
    let days = days + 719_468;
    let era = days.div_euclid(146_097);
    let of_era = days.rem_euclid(146_097);
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

impl FitReport {
    /// The lines to add to fit.toml for every piece that changes; empty when nothing does. `on` is the day as TOML has it.
    pub fn corrected(&self, on: &str) -> String {
        let mut text = String::new();
        // What cannot be brought in at all is nothing to accept.
        for run in self.runs.iter().filter(|r| r.correction.met || r.cut_open.is_some()) {
            let name = quote(&run.build.run.id.to_string());
            let (figures, from, open) = match &run.cut_open {
                Some(open) => (&open.correction.figures, run.made_again(open), Some(open.link)),
                None => (&run.correction.figures, run.build.run.parts.len(), None),
            };
            if let Some(link) = open {
                let joint = quote(&run.build.run.parts[link].joint);
                let _ = write!(text, "\n[[corrected]]\non = {on}\nrun = {name}\ncut_open = {joint}\n");
            }
            let (clockings, slides) = (run.clockings(figures, open.unwrap_or(from)), run.slides(figures));
            for piece in run.pieces(figures, from) {
                let clocking = clockings.iter().find(|c| c.to == piece.mark);
                let turned = clocking.is_some_and(|c| c.from_mark.abs() > 1e-5);
                let slid = slides.iter().find(|s| s.to == piece.mark).map_or(0.0, |s| s.is - s.was);
                if !turned && slid.abs() < 1e-3 && piece.is.iter().zip(piece.was).all(|(a, b)| (a - b).abs() < 1e-3) {
                    continue;
                }
                let _ = write!(
                    text,
                    "\n[[corrected]]\non = {on}\nrun = {name}\npiece = {}\nwas = {}\nis = {}\n",
                    quote(&piece.mark),
                    self.values(&piece.was, 0.0, None),
                    self.values(&piece.is, slid, clocking.map(|c| c.from_mark)),
                );
            }
        }
        text
    }

    fn values(&self, [leg_in, angle, leg_out]: &[f64; 3], slid: f64, clocking: Option<f64>) -> String {
        let [leg_in, leg_out, slid] = [*leg_in, *leg_out, slid].map(|l| (l, length_figure(l, self.units)));
        let turn = clocking.map_or(String::new(), |c| format!(", turned = {:.4}", c.to_degrees()));
        let slide = if slid.0.abs() < 1e-3 { String::new() } else { format!(", slid = {}", slid.1) };
        format!("{{ leg_in = {}, angle = {:.4}, leg_out = {}{turn}{slide} }}", leg_in.1, angle.to_degrees(), leg_out.1)
    }

    /// The routes as built and corrected.
    pub fn as_built(&self, drawn: &Routes) -> Routes {
        let mut routes = drawn.clone();
        for route in &mut routes.runs {
            let Some(run) = self.runs.iter().find(|r| r.build.run.id == route.run) else { continue };
            set_route(route, &run.build.run, run.final_figures());
        }
        routes
    }

    /// The cut plan with its pieces as built and corrected. What lies on the items is as it was planned: they are cut.
    pub fn plan_as_built(&self, plan: &CutPlan) -> CutPlan {
        let mut plan = plan.clone();
        for fit in &self.runs {
            let (run, figures) = (&fit.build.run, fit.final_figures());
            let of = |k: usize, slot| figures[figure(k, slot)];
            let mut from = None;
            for (k, part) in run.parts.iter().enumerate() {
                let Some(piece) = plan.pieces.iter_mut().find(|p| p.mark == part.mark) else { continue };
                [piece.leg_in, piece.angle, piece.leg_out] = [Slot::LegIn, Slot::Angle, Slot::LegOut].map(|s| of(k, s));
                piece.from = from.unwrap_or(piece.from);
                if let Some(clock) = &mut piece.clocking
                    && let Some(next) = run.parts.iter().position(|part| part.mark == clock.to)
                {
                    let angle = clocking(run, figures, next);
                    *clock = Clocking { angle, around: 0.5 * run.od * angle, to: clock.to.clone() };
                }
                piece.to = piece.from + piece.leg_in + of(k, Slot::Clr) * piece.angle + piece.leg_out;
                from = Some(piece.to);
            }
        }
        plan
    }

    /// A piece's change in words: `leg 374.2 -> 371.5`.
    pub(crate) fn change(&self, piece: &NewPiece) -> Option<String> {
        let long = |mm: f64| exact_with_unit(mm, self.units);
        let [leg_in, angle, leg_out] = [0, 1, 2].map(|i| (piece.was[i], piece.is[i]));
        let straight = angle.0 <= 0.0;
        let mut said = Vec::new();
        let mut lengths = |name: &str, (was, is): (f64, f64)| {
            if (was - is).abs() >= 0.05 {
                said.push(format!("{name} {} -> {}", job::show::exact(was, self.units), long(is)));
            }
        };
        lengths(if straight { "length" } else { "entry leg" }, leg_in);
        lengths("exit leg", leg_out);
        if (angle.0 - angle.1).abs() >= 0.005_f64.to_radians() {
            said.push(format!("angle {:.2} -> {:.2} degrees", angle.0.to_degrees(), angle.1.to_degrees()));
        }
        (!said.is_empty()).then(|| said.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::day_text;

    #[test]
    fn days_are_those_of_the_calendar() {
        for (days, text) in [(0, "1970-01-01"), (59, "1970-03-01"), (11_016, "2000-02-29"), (20_786, "2026-11-29")] {
            assert_eq!(day_text(days), text);
        }
    }
}
