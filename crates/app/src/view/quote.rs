//! The quote and the rates behind it.

use cutplan::quote::file::{LineFile, QuoteFile};
use job::rates::{Extra, Rates};
use serde::Serialize;
use utoipa::ToSchema;

use super::codes::{GroupCode, OriginCode};

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

/// A whole quote.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct QuoteView {
    /// Currency, ISO 4217.
    pub currency: String,
    /// Whether it has placeholder prices: do not send it to a customer.
    pub invented_prices: bool,
    /// The lines.
    pub lines: Vec<QuoteLineView>,
    /// Subtotal.
    pub direct: f64,
    /// Margin, percent of `direct`.
    pub margin_percent: f64,
    /// Margin.
    pub margin: f64,
    /// `direct` + `margin`.
    pub net: f64,
    /// Tax, percent of `net`.
    pub tax_percent: f64,
    /// Tax.
    pub tax: f64,
    /// `net` + `tax`.
    pub total: f64,
    /// Weight of all bare tubes.
    pub weight_kg: f64,
    /// Weight of the collectors' bodies.
    pub collectors_kg: f64,
    /// Length of all welds around tubes.
    pub weld_mm: f64,
    /// Hours of labour.
    pub labour_h: f64,
    /// Weight and welds, run by run.
    pub runs: Vec<QuoteRunView>,
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

/// A line.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct QuoteLineView {
    /// Group of the line.
    pub group: GroupCode,
    /// What the line is for.
    pub what: String,
    /// How the quantity came about; may be empty.
    pub basis: String,
    /// Quantity.
    pub quantity: f64,
    /// Of what.
    pub unit: String,
    /// Price of one.
    pub unit_price: f64,
    /// Quantity x price, to the coin.
    pub amount: f64,
    /// Source of the price or time.
    pub source: String,
}

/// A run's part in a quote.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct QuoteRunView {
    /// `primary 1`.
    pub run: String,
    /// Length of its centreline.
    pub length_mm: f64,
    /// Weight of its bare tube.
    pub weight_kg: f64,
    /// Welds around the tube.
    pub welds: u32,
    /// Their length.
    pub weld_mm: f64,
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

/// A whole quote with its rates.
pub fn quote(file: QuoteFile, with: &Rates, own_extras: &[Extra]) -> QuoteView {
    QuoteView {
        currency: file.currency,
        invented_prices: file.invented_prices,
        lines: file.lines.into_iter().map(line).collect(),
        direct: file.direct,
        margin_percent: file.margin_percent,
        margin: file.margin,
        net: file.net,
        tax_percent: file.tax_percent,
        tax: file.tax,
        total: file.total,
        weight_kg: file.weight_kg,
        collectors_kg: file.collectors_kg,
        weld_mm: file.weld_mm,
        labour_h: file.labour_h,
        runs: file
            .runs
            .into_iter()
            .map(|r| QuoteRunView {
                run: r.run,
                length_mm: r.length_mm,
                weight_kg: r.weight_kg,
                welds: r.welds,
                weld_mm: r.weld_mm,
            })
            .collect(),
        rates: rates(with),
        own_extras: own_extras.iter().map(extra).collect(),
    }
}

fn extra(extra: &Extra) -> ExtraView {
    ExtraView {
        what: extra.what.clone(),
        quantity: extra.quantity,
        unit: extra.unit.clone(),
        price: extra.price.units(),
    }
}

fn line(line: LineFile) -> QuoteLineView {
    QuoteLineView {
        group: line.group.into(),
        what: line.what,
        basis: line.basis,
        quantity: line.quantity,
        unit: line.unit,
        unit_price: line.unit_price,
        amount: line.amount,
        source: line.source,
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
