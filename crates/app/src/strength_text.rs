//! The answer of `strength` for people.

use job::model::Units;
use job::show;

use crate::report_table::{heads, row, table};
use crate::strength_answer::{Fares, Help, HelpKind, ModeAnswer, NearAnswer, RunAnswer, StrengthAnswer};
use crate::strength_near::limits;
use crate::wording;

/// Things near hot tubes that are listed.
const MOST_NEAR: usize = 8;

/// What a person must know of it.
const CAUTION: &str = "  Not an approval of pressure piping, aircraft or marine parts. Turbo supports, fuel and brake lines near heat, noise and\n  \
     emission law: have it checked where the law asks a licensed person. After the first heat cycle look for cracks at the\n  \
     flange welds and tighten the nuts again as the gasket's maker says.\n";

/// The whole answer as text, lengths in `units`.
pub fn strength_text(answer: &StrengthAnswer, units: Units) -> String {
    let mut out = runs(answer, units);
    out += &modes(answer);
    out += &parts(answer, units);
    out += &helps(answer, units);
    out += &near(answer, units);
    out += "\nThis ranks designs; it is not a life. Assumed, as the job does not say:\n";
    for a in &answer.assumed {
        let unit = if a.unit.is_empty() { String::new() } else { format!(" {}", a.unit) };
        let [low, high] = a.range;
        out += &format!("  {}: {}{unit} (usually {low} to {high}; {})\n", a.what, a.value, a.source);
    }
    out += &format!("  {}\n", wording::gas_source(&answer.gas));
    for note in &answer.notes {
        out += &format!("  {note}\n");
    }
    out + CAUTION
}

fn runs(answer: &StrengthAnswer, units: Units) -> String {
    let mut out = String::from("When hot, from cold and free\n");
    let mut rows =
        vec![heads(["run", "metal C, about", "range MPa", "of allowable", "where", "cycles, about", "flange N / Nm"])];
    rows.extend(answer.runs.iter().map(|r| run_row(r, units)));
    out += &table(&rows);
    for line in wording::strength(answer, units) {
        out += &format!("\n  {line}");
    }
    out + "\n"
}

fn run_row(r: &RunAnswer, units: Units) -> Vec<String> {
    let [metal, range, share, cycles, flange] = run_cells(r);
    let on = r.joint.as_ref().map(|j| format!(", joint {j}")).or(r.piece.as_ref().map(|p| format!(", in {p}")));
    let place = format!("{} from the start{}", length(r.at_mm, units), on.unwrap_or_default());
    row([r.run.clone(), metal, range, share, place, cycles, flange])
}

/// Metal temperature, stress range, its share of the allowable, cycles, force and moment on the flange.
pub(crate) fn run_cells(r: &RunAnswer) -> [String; 5] {
    [
        format!("{:.0} to {:.0}", r.metal_c[0], r.metal_c[2]),
        format!("{:.0}", r.range_mpa),
        r.share_of_allowable.map_or("not known".into(), |s| format!("{:.0} %", 100.0 * s)),
        r.cycles.map_or("creeps: a ranking only".into(), |[low, high]| format!("{low:.0e} to {high:.0e}")),
        format!("{:.0} / {:.0}", r.flange_force_n, r.flange_moment_nm),
    ]
}

/// Share of the allowable, stress range, stress for 1 g, first frequency.
pub(crate) fn fares_cells(f: &Fares) -> [String; 4] {
    [
        format!("{:.0} %", 100.0 * f.share_of_allowable),
        format!("{:.0}", f.range_mpa),
        format!("{:.1}", f.mpa_per_g),
        format!("{:.0}", f.first_hz),
    ]
}

/// Obstacle, clearance, run, skin, what a thing there comes to, what that is too warm for.
pub(crate) fn near_cells(n: &NearAnswer, units: Units) -> [String; 6] {
    let [least, most] = n.about_c;
    [
        n.obstacle.clone(),
        show::length_with_unit(n.gap_mm, units),
        n.run.clone(),
        format!("{:.0}", n.skin_c),
        format!("{least:.0} to {most:.0}"),
        if n.too_warm.is_empty() { "-".into() } else { n.too_warm.join(", ") },
    ]
}

fn length(mm: f64, units: Units) -> String {
    match units {
        Units::Mm => format!("{mm:.1} mm"),
        Units::Inch => format!("{:.2} in", mm / 25.4),
    }
}

fn modes(answer: &StrengthAnswer) -> String {
    let orders: Vec<f64> = answer.modes.first().map_or(Vec::new(), |m| m.meets.iter().map(|o| o.order).collect());
    let mut head = heads(["mode", "Hz"]);
    head.extend(
        orders.iter().map(|o| if *o == 1.0 { "engine speed of order 1".into() } else { format!("of order {o}") }),
    );
    head.extend(heads(["MPa per g", "in"]));
    let mut rows = vec![head];
    let mode = |(k, m): (usize, &ModeAnswer)| {
        let mut cells = row([(k + 1).to_string(), format!("{:.0}", m.frequency_hz)]);
        cells.extend(m.meets.iter().map(|o| format!("{:.0}", o.rpm)));
        cells.extend(row([format!("{:.1}", m.mpa_per_g), m.run.clone()]));
        cells
    };
    rows.extend(answer.modes.iter().enumerate().map(mode));
    format!("\nShakes at, about\n{}", table(&rows))
}

fn parts(answer: &StrengthAnswer, units: Units) -> String {
    let mut out = String::new();
    for slip in &answer.slips {
        let place = format!("slip joint of {} at {}", slip.run, show::length_with_unit(slip.at_mm, units));
        let (locked, friction) = (slip.locked_n.abs(), slip.friction_n);
        out += &if slip.sticks {
            format!("\n{place} does not slide: {locked:.0} N along it is less than its friction of {friction:.0} N")
        } else {
            format!("\n{place} slides {} and takes {locked:.0} N away", length(slip.slides_mm.abs(), units))
        };
    }
    for bellows in &answer.bellows {
        let place = format!("bellows of {} at {}", bellows.run, show::length_with_unit(bellows.at_mm, units));
        let (by, aside) = (length(bellows.shortens_mm.abs(), units), length(bellows.aside_mm, units));
        let way = if bellows.shortens_mm < 0.0 { "longer" } else { "shorter" };
        out += &format!("\n{place} get {by} {way} and move {aside} across: keep to their maker's limits");
    }
    for bracket in &answer.brackets {
        let far = bracket.moves_mm.iter().map(|v| v * v).sum::<f64>().sqrt();
        let at = bracket.at_mm.map_or(String::new(), |mm| format!(" at {}", show::length_with_unit(mm, units)));
        out += &format!("\n{} bracket on {}{at}: moves {}", bracket.kind, bracket.on, length(far, units));
    }
    if out.is_empty() { out } else { out + "\n" }
}

fn helps(answer: &StrengthAnswer, units: Units) -> String {
    let helps = &answer.helps;
    let mut out = format!("\nWhat helps most, of {} single changes solved\n", helps.tried);
    let mut rows = vec![heads(["", "of allowable", "range MPa", "MPa per g", "first Hz", "price", ""])];
    let mut line = |what: String, f: &Fares, rest: [String; 2]| {
        let mut cells = vec![what];
        cells.extend(row(fares_cells(f)));
        cells.extend(rest);
        rows.push(cells);
    };
    line("as it is".into(), &helps.before, [String::new(), String::new()]);
    for help in &helps.best {
        line(change(help, units), &help.after, [format!("{:.2}", help.price), remark(help, units)]);
    }
    out += &table(&rows);
    if helps.best.is_empty() {
        out += "  none makes the header clearly better\n";
    }
    out
}

/// A change in words.
pub fn change(help: &Help, units: Units) -> String {
    let at = help.at_mm.map_or(String::new(), |mm| format!(" at {}", show::length_with_unit(mm, units)));
    match help.kind {
        HelpKind::Slip => format!("slip joint in {}{at}", help.on),
        HelpKind::Tab => format!("bracket on {}{at}, holding all ways", help.on),
        HelpKind::Slotted => format!("bracket on {}{at}, slot along the growth", help.on),
        HelpKind::Link => format!("link on {}{at}, across the growth", help.on),
        HelpKind::Longer => {
            let longer = show::length_with_unit(help.longer_mm.unwrap_or(0.0), units);
            format!("{} longer by {longer}, on a wider way", help.on)
        }
    }
}

fn remark(help: &Help, units: Units) -> String {
    match help.kind {
        HelpKind::Slip => format!("slides {}, takes {:.0} N away", length(help.slides_mm.abs(), units), help.force_n),
        HelpKind::Longer => "clear of all else; give the others the same length".into(),
        _ => format!("bears {:.0} N", help.force_n),
    }
}

fn near(answer: &StrengthAnswer, units: Units) -> String {
    if answer.near.is_empty() {
        return String::new();
    }
    let mut rows = vec![heads(["near", "clearance", "to", "skin C", "about C", "too warm there for"])];
    rows.extend(answer.near.iter().take(MOST_NEAR).map(|n| row(near_cells(n, units))));
    let mut out = format!("\nWhat the heat does to what stands near\n{}", table(&rows));
    out += &format!("  a small thing there; limits: {}; its maker's own goes first\n", limits());
    out
}
