//! The readable report of routes, cut plan and alternatives.

use cutplan::CutPlan;
use job::model::{Job, Units};
use job::show;

use crate::alternatives::Alternative;
use crate::report_table::{heads, row, table};
use crate::route_job::RouteReport;
use crate::summary::{RunLine, length_spread, run_lines};
use crate::view::finding::UnmetView;

/// Most unmet requirements listed; behind them stands how many more there are.
const MOST_UNMET: usize = 12;

/// What is met or not, and the table of runs.
///
/// `cut` is the cut plan once there is one, or why the runs cannot be cut.
pub fn routes_text(job: &Job, units: Units, report: &RouteReport, cut: Result<Option<&CutPlan>, &UnmetView>) -> String {
    let lines = report.routes().map_or(Vec::new(), |r| run_lines(job, r, cut.unwrap_or(None)));
    let mut out = String::new();
    if report.routed.met && cut.is_ok() {
        out.push_str("All requirements met.\n\n");
    } else {
        out.push_str(&unmet_text(report, cut.err(), units));
    }
    out.push_str(&runs_table(units, &lines));
    let spread = show::length_with_unit(length_spread(&lines), units);
    out.push_str(&format!("\n  primaries differ in length by at most {spread}\n"));
    out
}

fn unmet_text(report: &RouteReport, not_cut: Option<&UnmetView>, units: Units) -> String {
    let mut out = String::from("The job cannot be met as specified. The closest attempt misses:\n");
    let unmet: Vec<&UnmetView> = report.unmet.iter().chain(not_cut).collect();
    for miss in unmet.iter().take(MOST_UNMET) {
        out.push_str(&format!("  - {}\n", miss.sentence()));
    }
    if unmet.len() > MOST_UNMET {
        out.push_str(&format!("  - and {} more\n", unmet.len() - MOST_UNMET));
    }
    let long = |l: f64| show::exact_with_unit(l, units);
    match report.relaxations.first() {
        Some(best) if best.met => {
            out.push_str(&format!("\nFix (tested): {}. Then all requirements are met.\n", best.change))
        }
        Some(best) => {
            let left =
                best.left_mm.map_or(String::from("still no route found"), |l| format!("still {} short", long(l)));
            out.push_str(&format!("\nNo single change tested is enough. Best: {}; {left}.\n", best.change));
        }
        None => {}
    }
    out.push('\n');
    out
}

fn runs_table(units: Units, lines: &[RunLine]) -> String {
    let length = format!("length {}", show::unit(units));
    let joints = lines.iter().any(|l| l.figures.joints.is_some());
    let mut rows =
        vec![heads(["tube", "into", &length, "bends", "total bend", "clearance to tube", "", "to obstacle", ""])];
    if joints {
        rows[0].insert(5, "joints".into());
    }
    for RunLine { name, figures: l } in lines {
        let into = if l.collector.is_empty() { "-".into() } else { format!("{} inlet {}", l.collector, l.inlet) };
        let gap = |g: Option<f64>| g.map_or("-".into(), |g| show::length(g, units));
        let mut cells = row([
            name.clone(),
            into,
            show::length(l.length_mm, units),
            l.bends.to_string(),
            format!("{:.1}\u{b0}", l.turn_deg),
            gap(l.gap_to_tubes_mm),
            l.nearest_tube.clone().unwrap_or_default(),
            gap(l.gap_to_keepouts_mm),
            l.nearest_keepout.clone().unwrap_or_default(),
        ]);
        if joints {
            cells.insert(5, l.joints.map_or("-".into(), |j| j.to_string()));
        }
        rows.push(cells);
    }
    table(&rows)
}

/// The cut plan: what is taken, the pieces, what is left.
pub fn cut_text(units: Units, plan: &CutPlan) -> String {
    let money = |m: job::model::Money| format!("{:.2}", m.units());
    let bound = if plan.proven {
        "proven cheapest".to_string()
    } else {
        format!("no plan costs less than {}", money(plan.lower_bound))
    };
    let mut out = format!(
        "Cut plan: {} for stock, joints and cuts ({bound}).\n{} pieces, {} joints, {} saw cuts, yield {:.0} %.\n\n",
        money(plan.cost),
        plan.pieces.len(),
        plan.joints,
        plan.cuts,
        100.0 * plan.yield_ratio()
    );
    let mut rows = vec![heads(["qty", "item", "unit price"])];
    for line in plan.stock_lines() {
        rows.push(row([line.count.to_string(), line.name.clone(), money(line.price)]));
    }
    out.push_str(&table(&rows));
    out.push('\n');
    out.push_str(&pieces_table(units, plan));
    if !plan.offcuts.is_empty() {
        out.push_str("\n  offcuts to keep: ");
        let kept: Vec<String> = plan
            .offcuts
            .iter()
            .map(|o| format!("{} of {}", show::length_with_unit(o.at[1] - o.at[0], units), plan.items[o.item].id))
            .collect();
        out.push_str(&kept.join(", "));
        out.push('\n');
    }
    out
}

fn pieces_table(units: Units, plan: &CutPlan) -> String {
    let mut rows = vec![heads(["piece", "run", "from", "entry leg", "angle", "exit leg", "to next", "around"])];
    for piece in &plan.pieces {
        let length = |mm: f64| if mm > 0.005 { show::length(mm, units) } else { "-".into() };
        let angle = if piece.angle > 0.0 { format!("{:.1}\u{b0}", piece.angle.to_degrees()) } else { "-".into() };
        let (clock, around) = piece.clocking.as_ref().map_or((String::new(), String::new()), |c| {
            (format!("{:+.1}\u{b0} to {}", c.angle.to_degrees(), c.to), show::length(c.around, units))
        });
        rows.push(row([
            piece.mark.clone(),
            piece.run.to_string(),
            plan.items[piece.item].id.clone(),
            length(piece.leg_in),
            angle,
            length(piece.leg_out),
            clock,
            around,
        ]));
    }
    table(&rows)
}

/// The alternatives side by side.
pub fn alternatives_text(units: Units, alternatives: &[Alternative]) -> String {
    let mut rows = vec![heads([
        "no.",
        "joints",
        "stock, joints, cuts",
        "length spread",
        "spare clearance",
        "total bend",
        "of allowable",
        "quote",
        "weight kg",
        "best for",
    ])];
    for (i, a) in alternatives.iter().enumerate() {
        rows.push(row([
            (i + 1).to_string(),
            a.figures.joints.to_string(),
            format!("{:.2}", a.figures.cost),
            show::length_with_unit(a.figures.spread_mm, units),
            show::length_with_unit(a.figures.room_mm, units),
            format!("{:.0}\u{b0}", a.figures.turn_deg),
            a.figures.share_of_allowable.map_or("-".into(), |s| format!("{:.0} %", 100.0 * s)),
            a.figures.total.map_or("-".into(), |t| format!("{t:.2}")),
            a.figures.weight_kg.map_or("-".into(), |w| format!("{w:.2}")),
            a.best_at.iter().map(|b| b.word()).collect::<Vec<_>>().join(", "),
        ]));
    }
    table(&rows)
}
