//! A TOML file of its own beside job.toml: from bytes to what one table shape makes of it.

use super::describe::TableShape;
use super::read::Reader;
use super::record::Record;
use super::syntax;
use crate::model::Units;
use crate::problem::Problem;
use crate::source::Source;

/// Opens a file of its own and makes something of its table, when nothing is wrong with it.
pub(super) fn opened<T>(
    name: &str,
    bytes: &[u8],
    shape: &'static TableShape,
    make: impl FnOnce(&mut Reader<'_>, &Record) -> T,
) -> (Option<T>, Vec<Problem>) {
    sound(read_table(name, bytes, shape, make))
}

/// As [`opened`], bare numbers being in `units` where the file names none, without a word on what it leaves out.
pub(super) fn opened_in<T>(
    name: &str,
    bytes: &[u8],
    shape: &'static TableShape,
    units: Units,
    make: impl FnOnce(&mut Reader<'_>, &Record) -> T,
) -> (Option<T>, Vec<Problem>) {
    sound(read_as(name, bytes, shape, Some(units), make))
}

/// What was made, when nothing is wrong with it.
fn sound<T>((made, problems): (Option<T>, Vec<Problem>)) -> (Option<T>, Vec<Problem>) {
    let good = !problems.iter().any(Problem::is_error);
    (made.filter(|_| good), problems)
}

/// Reads a file of its own and makes something of its table as far as it goes; nothing when it is no text.
pub(super) fn read_table<T>(
    name: &str,
    bytes: &[u8],
    shape: &'static TableShape,
    make: impl FnOnce(&mut Reader<'_>, &Record) -> T,
) -> (Option<T>, Vec<Problem>) {
    read_as(name, bytes, shape, None, make)
}

/// Reads a file whose units are `given` when it names none; without `given` its defaults are said.
fn read_as<T>(
    name: &str,
    bytes: &[u8],
    shape: &'static TableShape,
    given: Option<Units>,
    make: impl FnOnce(&mut Reader<'_>, &Record) -> T,
) -> (Option<T>, Vec<Problem>) {
    let text = match syntax::decode(name, bytes) {
        Ok(text) => text,
        Err(problems) => return (None, problems.0),
    };
    let source = Source::new(name, text);
    let tree = syntax::settle(&source);
    let text = tree.text.clone();
    let root = syntax::parse(&text);
    let units = super::units(root.get_ref()).or(given).unwrap_or(Units::Mm);
    let mut reader = Reader::new(&source, units, tree);
    let record = reader.file(shape, &root);
    if given.is_none() {
        super::say_defaults(&mut reader, &record);
    }
    let made = make(&mut reader, &record);
    (Some(made), reader.finish())
}
