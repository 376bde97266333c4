//! A shop's own file of stock and prices, `stock.toml`.

use super::job_file::{StockGiven, cost, saw, stock};
use super::read::Reader;
use super::syntax;
use super::tables::STOCK_FILE;
use crate::model::{Cost, Saw, Tube, Units};
use crate::problem::Problem;
use crate::source::Source;

/// What a shop's file gives.
pub struct ShopFile {
    /// The stock.
    pub stock: Option<StockGiven>,
    /// The saw.
    pub saw: Option<Saw>,
    /// The costs.
    pub cost: Option<Cost>,
    /// What is wrong with it.
    pub problems: Vec<Problem>,
}

/// Reads the bytes of a shop's file; an item without a tube of its own is of `tube`.
pub fn read(name: &str, bytes: &[u8], tube: Option<&Tube>) -> ShopFile {
    let text = match syntax::decode(name, bytes) {
        Ok(text) => text,
        Err(problems) => return ShopFile { stock: None, saw: None, cost: None, problems: problems.0 },
    };
    let source = Source::new(name, text);
    let tree = syntax::settle(&source);
    let text = tree.text.clone();
    let root = syntax::parse(&text);
    let units = super::units(root.get_ref()).unwrap_or(Units::Mm);
    let mut reader = Reader::new(&source, units, tree);
    let record = reader.file(&STOCK_FILE, &root);
    super::say_defaults(&mut reader, &record);
    let stock = record.table("stock").map(|t| stock(&mut reader, t, tube));
    let saw = record.table("saw").map(|t| saw(&mut reader, t));
    let cost = record.table("cost").map(|t| cost(&mut reader, t));
    ShopFile { stock, saw, cost, problems: reader.finish() }
}
