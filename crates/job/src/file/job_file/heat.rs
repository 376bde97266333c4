//! Heat: the gas, what covers the runs, what obstacles bear.

use crate::file::record::Record;
use crate::heat::{Cover, CoveredRun, Heat};

/// Thickness of a wrap that gives none, mm: two layers of tape (common practice, no source).
const USUAL_WRAP: f64 = 3.0;

/// What the file says of heat.
pub fn heat(root: &Record) -> Heat {
    let limit = |k: &Record| Some((k.text("name")?.to_string(), k.number("max_c")?));
    let limits = root.tables("keepout").iter().filter_map(limit).collect();
    let Some(table) = root.table("heat") else { return Heat { limits, ..Heat::default() } };
    Heat {
        gas_c: table.number("gas_c"),
        flange_c: table.number("flange_c"),
        air_c: table.number("air_c"),
        air_speed: table.number("air_speed"),
        cycles: table.number("cycles"),
        covers: table.tables("run").iter().filter_map(covered).collect(),
        limits,
    }
}

fn covered(table: &Record) -> Option<CoveredRun> {
    let cover = match table.text("cover")? {
        "bright" => Cover::Bright,
        "coated" => Cover::Coated,
        "wrapped" => Cover::Wrapped { thickness: table.number("thickness").unwrap_or(USUAL_WRAP) },
        _ => Cover::Bare,
    };
    Some(CoveredRun { run: table.text("run")?.parse().ok()?, cover })
}
