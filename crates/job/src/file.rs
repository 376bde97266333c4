//! The files of a job: what their tables are, how they are read and written.

pub mod bender_file;
mod body_table;
pub mod describe;
pub mod details_file;
pub mod fit_file;
mod flange_checks;
mod heat_table;
pub mod job_file;
mod own_file;
mod parts_table;
pub mod read;
pub mod record;
pub mod routes_file;
pub mod stock_file;
mod survey_checks;
pub mod survey_file;
pub mod syntax;
pub mod tables;

use toml::de::{DeTable, DeValue};

use crate::model::Units;

/// The unit of bare numbers that a file names, when it names a known one.
pub(crate) fn units(root: &DeTable<'_>) -> Option<Units> {
    let value = root.iter().find(|(key, _)| key.get_ref() == "units")?.1;
    match value.get_ref() {
        DeValue::String(text) if text == "inch" => Some(Units::Inch),
        DeValue::String(text) => text.parse().ok(),
        _ => None,
    }
}

/// Says what is taken where a file does not name its format and units.
pub(crate) fn say_defaults(reader: &mut read::Reader<'_>, root: &record::Record) {
    if reader.broken {
        return;
    }
    for (key, taken) in [("format", "1"), ("units", "\"mm\"")] {
        if !root.given(key) {
            let problem = reader.warning("default", &(0..0), "", format!("`{key}` is not given; {taken} is taken"));
            problem.hint = format!("add {key} = {taken} at the top of the file");
        }
    }
}
