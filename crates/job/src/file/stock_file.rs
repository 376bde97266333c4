//! A shop's own file of stock and prices, `stock.toml`.

use super::job_file::{StockGiven, cost, saw, stock};
use super::own_file::read_table;
use super::read::Reader;
use super::record::Record;
use super::tables::STOCK_FILE;
use crate::model::{Cost, Money, Saw, Tube};
use crate::problem::Problem;
use crate::rates::{Extra, Rates};

/// What a shop's file gives.
pub struct ShopFile {
    /// `[stock]`: bends, straights and remnants.
    pub stock: Option<StockGiven>,
    /// `[saw]`.
    pub saw: Option<Saw>,
    /// `[cost]`.
    pub cost: Option<Cost>,
    /// The program's own rates with the shop's in their places.
    pub rates: Rates,
    /// What is wrong with it.
    pub problems: Vec<Problem>,
}

/// Reads the bytes of a shop's file; an item without a tube of its own is of `tube`.
pub fn read(name: &str, bytes: &[u8], tube: Option<&Tube>) -> ShopFile {
    let (read, problems) = read_table(name, bytes, &STOCK_FILE, |reader, record| {
        let stock = record.table("stock").map(|t| stock(reader, t, tube));
        let saw = record.table("saw").map(|t| saw(reader, t));
        let cost = record.table("cost").map(|t| cost(reader, t));
        (stock, saw, cost, rates(reader, record))
    });
    let (stock, saw, cost, rates) = read.unwrap_or_default();
    ShopFile { stock, saw, cost, rates, problems }
}

/// Reads `[price]`, `[time]` and `[[extra]]`.
fn rates(reader: &mut Reader<'_>, record: &Record) -> Rates {
    let mut rates = Rates::default();
    if let Some(table) = record.table("price") {
        price(reader, table, &mut rates);
    }
    if let Some(table) = record.table("time") {
        for key in table.shape.keys {
            if let Some(value) = table.number(key.name) {
                rates.set_time(key.name, value);
            }
        }
    }
    rates.extras = record.tables("extra").iter().filter_map(extra).collect();
    rates
}

fn extra(table: &Record) -> Option<Extra> {
    Some(Extra {
        what: table.text("what")?.into(),
        quantity: table.number("quantity").unwrap_or(1.0),
        unit: table.text("unit").unwrap_or("piece").into(),
        price: table.money("price")?,
    })
}

fn price(reader: &mut Reader<'_>, table: &Record, rates: &mut Rates) {
    for key in table.shape.keys {
        if key.name == "collector" {
            rates.collector = table.money(key.name);
        } else if let Some(price) = table.money(key.name) {
            rates.set_price(key.name, price);
        } else if let Some(percent) = table.number(key.name) {
            rates.set_price(key.name, Money((percent * 1000.0).round() as i64));
        }
    }
    let Some(currency) = table.text("currency") else { return };
    if currency.len() == 3 && currency.bytes().all(|b| b.is_ascii_uppercase()) {
        rates.currency = currency.into();
        return;
    }
    let message = format!("`{currency}` is no currency");
    let problem = reader.error("currency", &table.span_of("currency"), &table.about, message);
    problem.expected = "the three capital letters of ISO 4217, e.g. \"EUR\"".into();
    problem.hint = "write the currency's code".into();
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::tables::{PRICE, TIME};
    use crate::rates::Origin;

    #[test]
    fn the_tables_name_every_rate_and_no_other() {
        let own = Rates::default();
        let times: Vec<&str> = own.times.iter().map(|t| t.key.as_str()).collect();
        assert_eq!(TIME.keys.iter().map(|k| k.name).collect::<Vec<_>>(), times);
        let mut prices = vec!["currency"];
        prices.extend(own.prices.iter().map(|p| p.key.as_str()));
        prices.push("collector");
        assert_eq!(PRICE.keys.iter().map(|k| k.name).collect::<Vec<_>>(), prices);
    }

    #[test]
    fn a_shops_rates_are_read_strictly() {
        let text = "format = 1\nunits = \"mm\"\n[price]\ncurrency = \"EUR\"\nlabour_per_hour = 71.5\n\
                    tax_percent = 19\ncollector = 90\n[time]\ncut_bend = 2.5\n";
        let shop = read("stock.toml", text.as_bytes(), None);
        assert!(shop.problems.is_empty(), "{:?}", shop.problems);
        assert_eq!(shop.rates.currency, "EUR");
        assert_eq!(shop.rates.price("labour_per_hour").price, Money(71_500));
        assert_eq!(shop.rates.price("tax_percent").price, Money(19_000));
        assert_eq!(shop.rates.collector, Some(Money(90_000)));
        let with = format!("{text}[[extra]]\nwhat = \"coating\"\nprice = 180\n[[extra]]\nwhat = \"x\"\nquantity = 0\n");
        let shop = read("stock.toml", with.as_bytes(), None);
        assert_eq!(shop.problems.len(), 2, "a quantity of 0, and no price: {:?}", shop.problems);
        let coating = Extra { what: "coating".into(), quantity: 1.0, unit: "piece".into(), price: Money(180_000) };
        assert_eq!(shop.rates.extras, [coating]);
        assert_eq!((shop.rates.time("cut_bend").value, shop.rates.time("cut_bend").origin), (2.5, Origin::Shop));
        let wrong = read("stock.toml", text.replace("cut_bend", "cut_bnd").replace("EUR", "euro").as_bytes(), None);
        let said: String = wrong.problems.iter().map(|p| p.to_string()).collect();
        assert_eq!(wrong.problems.len(), 2, "{said}");
        assert!(said.contains("cut_bend") && said.contains("stock.toml:9:1") && said.contains("ISO 4217"), "{said}");
    }
}
