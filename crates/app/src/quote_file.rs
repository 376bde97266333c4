//! `quote.json`: the quote as a file. Money in units of the currency, lengths in mm, masses in kg.

use cutplan::quote::{Quote, QuoteLine, RunWork};
use job::model::Units;
use serde::Serialize;
use utoipa::ToSchema;

use crate::view::codes::GroupCode;
use crate::wording;

/// A quote.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct QuoteFile {
    /// 1.
    pub format: u32,
    /// Currency, ISO 4217.
    pub currency: String,
    /// True while a price in it is invented: no price to give to a customer.
    pub invented_prices: bool,
    /// Lines of the quote, in the order of their groups.
    pub lines: Vec<QuoteLineFile>,
    /// Sum of the lines.
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
    /// Weight and welds, run by run.
    pub runs: Vec<QuoteRunFile>,
    /// Weight of all bare tubes.
    pub weight_kg: f64,
    /// Weight of the collectors' bodies, as given or of their sheet.
    pub collectors_kg: f64,
    /// Length of all welds around tubes.
    pub weld_mm: f64,
    /// Hours of labour.
    pub labour_h: f64,
}

/// A line of a quote.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct QuoteLineFile {
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
    /// Where price and standard come from.
    pub source: String,
}

/// A run's part in a quote.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct QuoteRunFile {
    /// `primary 1`.
    pub run: String,
    /// Length of its centreline.
    pub length_mm: f64,
    /// Weight of its bare tube.
    pub weight_kg: f64,
    /// Welds around the tube: joints, flange, collectors.
    pub welds: u32,
    /// Length of these welds, mm.
    pub weld_mm: f64,
}

fn to(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts + 0.0
}

impl QuoteFile {
    /// A quote as a file, its sentences with lengths in `units`.
    pub fn of(quote: &Quote, units: Units) -> Self {
        QuoteFile {
            format: 1,
            currency: quote.currency.clone(),
            invented_prices: quote.invented,
            lines: quote.lines.iter().map(|line| line_file(line, units)).collect(),
            direct: quote.direct.units(),
            margin_percent: quote.margin_rate as f64 / 1000.0,
            margin: quote.margin.units(),
            net: quote.net.units(),
            tax_percent: quote.tax_rate as f64 / 1000.0,
            tax: quote.tax.units(),
            total: quote.total.units(),
            runs: quote.work.runs.iter().map(run_file).collect(),
            weight_kg: to(quote.work.mass(), 1e4),
            collectors_kg: to(quote.work.body_mass, 1e4),
            weld_mm: to(quote.work.weld_length(), 10.0),
            labour_h: to(quote.hours(), 1e4),
        }
    }

    /// The file's text.
    ///
    /// # Errors
    /// When a number is not finite.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string_pretty(self)
    }
}

fn line_file(line: &QuoteLine, units: Units) -> QuoteLineFile {
    QuoteLineFile {
        group: line.group.into(),
        what: line.what.clone(),
        basis: wording::quote_basis(&line.basis, units),
        quantity: line.quantity,
        unit: line.unit.clone(),
        unit_price: line.unit_price.units(),
        amount: line.amount.units(),
        source: wording::quote_source(&line.source),
    }
}

fn run_file(run: &RunWork) -> QuoteRunFile {
    QuoteRunFile {
        run: run.run.to_string(),
        length_mm: to(run.length, 1e3),
        weight_kg: to(run.mass, 1e4),
        welds: run.joints + run.flange_welds + run.collector_welds,
        weld_mm: to(run.weld_length, 10.0),
    }
}
