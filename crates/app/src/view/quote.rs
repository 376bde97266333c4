//! The quote and the rates behind it.

use job::rates::{Extra, Rates};
use serde::Serialize;
use utoipa::ToSchema;

use super::codes::OriginCode;
use crate::quote_file::QuoteFile;

/// Summary of a quote.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct QuoteSummary {
    /// Currency, ISO 4217.
    pub currency: String,
    /// Whether it has placeholder prices: do not send it to a customer.
    pub invented_prices: bool,
    /// Before tax.
    pub net: f64,
    /// Tax.
    pub tax: f64,
    /// `net` + `tax`.
    pub total: f64,
    /// Weight of all bare tubes.
    pub weight_kg: f64,
    /// Hours of labour.
    pub labour_h: f64,
}

/// A quote with the rates behind it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct QuoteView {
    /// The quote.
    #[serde(flatten)]
    pub quote: QuoteFile,
    /// The rates behind it, in groups of `price` and `time`.
    pub rates: Vec<RateView>,
    /// Lines that the job's own rates.toml adds, in the order of its `extra` tables.
    pub own_extras: Vec<ExtraView>,
}

/// A line that a job adds to its quote.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ExtraView {
    /// Name of the item.
    pub what: String,
    /// Quantity.
    pub quantity: f64,
    /// Unit.
    pub unit: String,
    /// Price of one unit.
    pub price: f64,
}

/// A table of rates.toml.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum RateTable {
    /// Prices.
    Price,
    /// Times.
    Time,
}

/// A rate that can be set in rates.toml.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RateView {
    /// Table of rates.toml that it belongs to.
    pub table: RateTable,
    /// Key in that table.
    pub key: String,
    /// Purpose of the rate.
    pub what: String,
    /// Unit.
    pub unit: String,
    /// Its value; percent where the unit is `%`.
    pub value: f64,
    /// Who gave it.
    pub origin: OriginCode,
}

/// The few figures of a quote.
pub fn summary(file: &QuoteFile) -> QuoteSummary {
    QuoteSummary {
        currency: file.currency.clone(),
        invented_prices: file.invented_prices,
        net: file.net,
        tax: file.tax,
        total: file.total,
        weight_kg: file.weight_kg,
        labour_h: file.labour_h,
    }
}

/// A quote with its rates.
pub fn quote(quote: QuoteFile, with: &Rates, own_extras: &[Extra]) -> QuoteView {
    QuoteView { quote, rates: rates(with), own_extras: own_extras.iter().map(extra).collect() }
}

fn extra(extra: &Extra) -> ExtraView {
    ExtraView {
        what: extra.what.clone(),
        quantity: extra.quantity,
        unit: extra.unit.clone(),
        price: extra.price.units(),
    }
}

/// The rates of a quote.
pub fn rates(with: &Rates) -> Vec<RateView> {
    let prices = with.prices.iter().map(|p| RateView {
        table: RateTable::Price,
        key: p.key.clone(),
        what: p.what.clone(),
        unit: p.unit.clone(),
        value: p.price.units(),
        origin: p.origin.into(),
    });
    let times = with.times.iter().map(|t| RateView {
        table: RateTable::Time,
        key: t.key.clone(),
        what: t.operation.clone(),
        unit: t.unit.clone(),
        value: t.value,
        origin: t.origin.into(),
    });
    prices.chain(times).collect()
}
