//! Rates of a quote: prices and time standards, the program's own until the shop gives its own.
//!
//! The program's own stand in `catalogue/data/time_standards.csv` (low, default and high figure, each
//! with its source; most are common practice without one) and `prices.csv` (all invented). A shop's
//! `stock.toml` replaces any of them in its tables `[price]` and `[time]`, and adds lines of its own in `[[extra]]`.

use std::sync::LazyLock;

use crate::catalogue::{number, rows};
use crate::model::Money;

/// Currency of the invented prices, ISO 4217.
const CURRENCY: &str = "USD";

/// Who gave a rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The program: an invented price.
    Invented,
    /// The program: a time standard of `time_standards.csv`.
    Standard,
    /// The shop's file.
    Shop,
}

/// A time standard, or another figure of the shop's practice.
#[derive(Debug, Clone, PartialEq)]
pub struct TimeStandard {
    /// Its key in `[time]`.
    pub key: String,
    /// What it is for.
    pub operation: String,
    /// Unit of its figures.
    pub unit: String,
    /// What a quick shop needs; for a speed, a slow one.
    pub low: f64,
    /// The figure that counts.
    pub value: f64,
    /// The other end of the range.
    pub high: f64,
    /// Where the figure comes from.
    pub source: String,
    /// Who gave it.
    pub origin: Origin,
}

/// A price, or a ratio that is added to one.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceRate {
    /// Its key in `[price]`.
    pub key: String,
    /// What it is the price of.
    pub what: String,
    /// Of how much.
    pub unit: String,
    /// The price, or thousandths of a percent where the unit is `%`.
    pub price: Money,
    /// Who gave it.
    pub origin: Origin,
}

/// A line that the shop adds to a quote: coating, delivery, a day on the dynamometer.
#[derive(Debug, Clone, PartialEq)]
pub struct Extra {
    /// What it is.
    pub what: String,
    /// How much of it.
    pub quantity: f64,
    /// Of what unit.
    pub unit: String,
    /// Price of one unit.
    pub price: Money,
}

/// All rates.
#[derive(Debug, Clone, PartialEq)]
pub struct Rates {
    /// Currency, three letters of ISO 4217.
    pub currency: String,
    /// Price of a bought collector; `None`: collectors are built.
    pub collector: Option<Money>,
    /// Prices.
    pub prices: Vec<PriceRate>,
    /// Time standards.
    pub times: Vec<TimeStandard>,
    /// Lines of the shop's own.
    pub extras: Vec<Extra>,
}

/// Prices that do not count in every quote.
const PRICED_APART: [&str; 10] = [
    "fixture_sheet_per_m2",
    "laser_per_minute",
    "transition",
    "bracket",
    "slip_joint",
    "bung",
    "v_band",
    "bolted_flange",
    "bellows",
    "shield",
];

static OWN: LazyLock<Rates> = LazyLock::new(|| Rates {
    currency: CURRENCY.into(),
    collector: None,
    prices: rows(include_str!("catalogue/data/prices.csv"))
        .map(|r| PriceRate {
            price: Money((number(&r[3]) * 1000.0).round() as i64),
            key: r[0].clone(),
            what: r[1].clone(),
            unit: r[2].clone(),
            origin: Origin::Invented,
        })
        .collect(),
    times: rows(include_str!("catalogue/data/time_standards.csv"))
        .map(|r| TimeStandard {
            low: number(&r[3]),
            value: number(&r[4]),
            high: number(&r[5]),
            key: r[0].clone(),
            operation: r[1].clone(),
            unit: r[2].clone(),
            source: r[6].clone(),
            origin: Origin::Standard,
        })
        .collect(),
    extras: Vec::new(),
});

impl Default for Rates {
    /// The program's own: invented prices, standard times.
    fn default() -> Self {
        OWN.clone()
    }
}

impl Rates {
    /// The price of that key of `prices.csv`.
    ///
    /// # Panics
    /// For a key that is not in the file: a bug in the caller.
    pub fn price(&self, key: &str) -> &PriceRate {
        self.prices.iter().find(|p| p.key == key).expect("the caller asks for keys of the own file (held by a test)")
    }

    /// The time standard of that key of `time_standards.csv`.
    ///
    /// # Panics
    /// For a key that is not in the file: a bug in the caller.
    pub fn time(&self, key: &str) -> &TimeStandard {
        self.times.iter().find(|t| t.key == key).expect("the caller asks for keys of the own file (held by a test)")
    }

    /// True while a price that counts in every quote is an invented one; a fixture, and parts that only some headers carry,
    /// are priced apart.
    pub fn invented(&self) -> bool {
        let apart = |p: &PriceRate| PRICED_APART.contains(&p.key.as_str());
        self.prices.iter().any(|p| p.origin == Origin::Invented && !apart(p))
    }

    /// Replaces a price by the shop's.
    pub fn set_price(&mut self, key: &str, price: Money) {
        for rate in self.prices.iter_mut().filter(|p| p.key == key) {
            (rate.price, rate.origin) = (price, Origin::Shop);
        }
    }

    /// Replaces a time standard by the shop's.
    pub fn set_time(&mut self, key: &str, value: f64) {
        for rate in self.times.iter_mut().filter(|t| t.key == key) {
            (rate.value, rate.origin, rate.source) = (value, Origin::Shop, "the shop's own".into());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_own_figures_lie_in_their_ranges_and_name_their_source() {
        let own = Rates::default();
        assert!(own.times.len() > 25 && own.prices.len() > 6 && own.invented());
        for time in &own.times {
            assert!(time.low <= time.value && time.value <= time.high && time.high > 0.0, "{time:?}");
            assert!(!time.source.is_empty() && !time.operation.is_empty(), "{time:?}");
        }
        assert_eq!(own.price("argon_per_litre").price, Money(18));
        assert_eq!(own.time("cut_bend").value, 3.0);
    }

    #[test]
    fn the_shops_figures_replace_the_own() {
        let mut rates = Rates::default();
        rates.set_price("labour_per_hour", Money(80_000));
        rates.set_time("trial_fit", 55.0);
        assert_eq!((rates.price("labour_per_hour").price, rates.time("trial_fit").value), (Money(80_000), 55.0));
        assert_eq!(rates.time("trial_fit").origin, Origin::Shop);
    }
}
