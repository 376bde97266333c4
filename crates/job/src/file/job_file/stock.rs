//! Stock, saw and cost.

use super::tubes::outline;
use crate::catalogue;
use crate::file::read::Reader;
use crate::file::record::Record;
use crate::model::*;

/// Stands for a saw that was not given.
pub const NO_SAW: Saw = Saw { kerf: 0.0, kerf_at: KerfAt::Inside, min_straight: 0.0, min_arc: 0.0, reserve: None };
/// Stands for costs that were not given.
pub const NO_COST: Cost = Cost { joint: Money(0), cut: Money(0), cut_per: CutPer::Piece };

/// Stock with the tables of its bends.
pub struct StockGiven {
    /// The stock; bad items are left out.
    pub stock: Stock,
    /// Where each bend stands.
    pub bends: Vec<Record>,
    /// False when an item was left out.
    pub whole: bool,
}

/// Reads `[stock]`; `tube` is the primary tube, of which an item is unless it says otherwise.
pub fn stock(reader: &mut Reader<'_>, table: &Record, tube: Option<&Tube>) -> StockGiven {
    let mut given = StockGiven { stock: Stock::default(), bends: Vec::new(), whole: true };
    given.whole &= ["bend", "straight", "remnant"].iter().all(|k| !table.is_bad(k));
    for item in table.tables("bend") {
        match bend(reader, item, tube, None) {
            Some(bend) => {
                given.stock.bends.push(bend);
                given.bends.push(item.clone());
            }
            None => given.whole = false,
        }
    }
    for item in table.tables("straight") {
        match straight(reader, item, tube, None) {
            Some(straight) => given.stock.straights.push(straight),
            None => given.whole = false,
        }
    }
    for item in table.tables("remnant") {
        match remnant(reader, item, tube) {
            Some(remnant) => given.stock.remnants.push(remnant),
            None => given.whole = false,
        }
    }
    given
}

fn count(item: &Record, unless_said: Option<u32>) -> Option<u32> {
    item.whole("count").map(|n| n as u32).or(unless_said)
}

fn remnant(reader: &mut Reader<'_>, item: &Record, tube: Option<&Tube>) -> Option<Remnant> {
    let bent = ["clr", "angle", "elbow", "legs"].into_iter().find(|k| item.given(k));
    match (item.given("length"), bent) {
        (true, None) => straight(reader, item, tube, Some(1)).map(Remnant::Straight),
        (false, Some(_)) => bend(reader, item, tube, Some(1)).map(Remnant::Bend),
        (true, Some(key)) => {
            let problem = reader.error(
                "conflict",
                &item.key_span("length"),
                &item.about,
                format!("both `length` and `{key}` are given"),
            );
            problem.expected = "length for a straight, or clr, angle and legs for a bend".into();
            problem.hint = "delete what the piece on the shelf is not".into();
            None
        }
        (false, None) => {
            if !reader.broken {
                let problem = reader.error(
                    "missing-key",
                    &item.span,
                    &item.about,
                    "a remnant needs `length`, or `clr` and `angle`",
                );
                problem.expected = "length for a straight, or clr, angle and legs for a bend".into();
                problem.hint = "measure the piece on the shelf".into();
            }
            None
        }
    }
}

fn straight(
    reader: &mut Reader<'_>,
    item: &Record,
    tube: Option<&Tube>,
    unless_said: Option<u32>,
) -> Option<StraightStock> {
    let (od, wall, _) = outline(reader, item, tube.map(|t| (t.od, t.wall)))?;
    let length = item.number("length")?;
    let price = item.money("price").or((unless_said.is_some() && !item.is_bad("price")).then_some(Money(0)))?;
    if item.is_bad("count") {
        return None;
    }
    let name = format!("straight {}", length_named(length, reader.units));
    Some(StraightStock { name, od, wall, length, price, count: count(item, unless_said) })
}

fn bend(reader: &mut Reader<'_>, item: &Record, tube: Option<&Tube>, unless_said: Option<u32>) -> Option<BendStock> {
    let (od, wall, nominal) = outline(reader, item, tube.map(|t| (t.od, t.wall)))?;
    let own_size = ["od", "wall", "size"].iter().any(|k| item.given(k));
    let nominal = nominal.or(if own_size { None } else { tube.and_then(|t| t.nominal) });
    let (clr, angle, named) = if item.given("elbow") {
        let (clr, angle) = elbow(reader, item, od, nominal)?;
        (clr, angle, item.text("elbow"))
    } else {
        let missing: Vec<&str> = ["clr", "angle"].into_iter().filter(|k| !item.given(k)).collect();
        if !missing.is_empty() {
            if !reader.broken {
                let message = format!("`{}` missing in {}", missing.join("` and `"), item.about);
                let problem = reader.error("missing-key", &item.span, &item.about, message);
                problem.expected = "clr, angle and legs, or elbow".into();
                problem.hint = "measure the bend, or use the supplier's data".into();
            }
            return None;
        }
        (item.number("clr")?, item.number("angle")?, None)
    };
    if clr <= 0.5 * od {
        let message = format!("a CLR of {} mm is no more than half the outside diameter of {} mm", trim(clr), trim(od));
        let problem = reader.error("clr-too-small", &item.span_of("clr"), &item.about, message);
        problem.expected = format!("a CLR above {} mm; bends are usually 1 to 3 diameters", trim(0.5 * od));
        problem.hint = "clr is measured to the middle of the tube; check the unit".into();
        return None;
    }
    if !item.given("legs") && named.is_none() && unless_said.is_none() && !reader.broken {
        let problem =
            reader.warning("default", &item.span, &item.about, "no legs are given; the bend is taken to have none");
        problem.hint = "add legs = [100.0, 100.0], measured on the bend, or legs = [0.0, 0.0]".into();
    }
    if ["legs", "count", "price", "clr", "angle"].iter().any(|k| item.is_bad(k)) {
        return None;
    }
    let legs = item.numbers("legs").map_or([0.0, 0.0], |l| [l[0], l[1]]);
    let price = item.money("price").or(unless_said.map(|_| Money(0)))?;
    let name = match named {
        Some(elbow) => format!("elbow {elbow}"),
        None => format!("bend {} x {}", length_named(clr, reader.units), trim(angle.to_degrees())),
    };
    Some(BendStock { name, od, wall, clr, angle, legs, price, count: count(item, unless_said) })
}

/// A length in the name of a stock item: millimetres bare, inches with their unit as the trade writes them,
/// `2 5/8 in`, and as a decimal when no 32nd of an inch is that length.
fn length_named(mm: f64, units: Units) -> String {
    /// Lengths are read from decimals of an inch with three places: half of the last one, mm.
    const ROUNDED: f64 = 0.0127;
    let off = (mm / 25.4 * 32.0).round() / 32.0 * 25.4 - mm;
    match units {
        Units::Mm => trim(mm),
        Units::Inch if off.abs() <= ROUNDED => crate::show::length_with_unit(mm, units),
        Units::Inch => format!("{} in", trim(mm / 25.4)),
    }
}

/// CLR and angle of an elbow of the catalogue.
fn elbow(reader: &mut Reader<'_>, item: &Record, od: f64, nominal: Option<f64>) -> Option<(f64, f64)> {
    if let Some(key) = ["clr", "angle"].into_iter().find(|k| item.given(k)) {
        let problem =
            reader.error("conflict", &item.key_span(key), &item.about, format!("both `elbow` and `{key}` are given"));
        problem.expected = "either elbow, or clr, angle and legs".into();
        problem.hint = format!("delete `{key}`: the elbow says it");
        return None;
    }
    let name = item.text("elbow")?;
    let Some(nominal) = nominal else {
        let message = format!("elbows go by nominal pipe size, and {} mm is the outside diameter of no pipe", trim(od));
        let problem = reader.error("elbow-not-pipe", &item.span_of("elbow"), &item.about, message);
        problem.expected = "a tube of nominal pipe size, e.g. size = \"1 1/2 NPS sch 10S\"".into();
        problem.hint = "give clr, angle and legs instead of elbow, or the pipe's size".into();
        return None;
    };
    let Some(found) = catalogue::elbow(nominal, name) else {
        let known: Vec<&str> =
            catalogue::elbows().iter().filter(|e| e.nominal == nominal).map(|e| e.name.as_str()).collect();
        let problem = reader.error(
            "unknown-value",
            &item.span_of("elbow"),
            &item.about,
            format!("there is no elbow {name} of NPS {nominal} in the catalogue"),
        );
        problem.expected = if known.is_empty() { "clr, angle and legs".into() } else { crate::suggest::either(&known) };
        problem.hint = "give clr, angle and legs instead".into();
        return None;
    };
    Some((found.clr, found.angle_deg.to_radians()))
}

/// Reads `[saw]`.
pub fn saw(reader: &mut Reader<'_>, table: &Record) -> Saw {
    for (key, taken) in [("min_straight", "0 mm"), ("min_arc", "0 degrees")] {
        if !table.given(key) && !reader.broken {
            let problem =
                reader.warning("default", &table.span, &table.about, format!("`{key}` is not given; {taken} is taken"));
            problem.hint = format!("add {key} = ... : what your saw can still hold");
        }
    }
    Saw {
        kerf: table.number("kerf").unwrap_or(0.0),
        kerf_at: match table.text("kerf_at") {
            Some("centreline") => KerfAt::Centreline,
            _ => KerfAt::Inside,
        },
        min_straight: table.number("min_straight").unwrap_or(0.0),
        min_arc: table.number("min_arc").unwrap_or(0.0),
        reserve: match table.text("reserve") {
            Some("never") => Some(Reserving::Never),
            Some("free") => Some(Reserving::WhenFree),
            Some("always") => Some(Reserving::Always),
            _ => None,
        },
    }
}

/// Reads `[cost]`.
pub fn cost(reader: &mut Reader<'_>, table: &Record) -> Cost {
    for key in ["joint", "cut"] {
        if !table.given(key) && !reader.broken {
            let problem = reader.warning(
                "default",
                &table.span,
                &table.about,
                format!("`{key}` is not given; it counts nothing"),
            );
            problem.hint = format!("add {key} = ... (money)");
        }
    }
    Cost {
        joint: table.money("joint").unwrap_or_default(),
        cut: table.money("cut").unwrap_or_default(),
        cut_per: match table.text("cut_per") {
            Some("saw") => CutPer::Saw,
            _ => CutPer::Piece,
        },
    }
}

/// A figure with up to three decimals.
fn trim(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
