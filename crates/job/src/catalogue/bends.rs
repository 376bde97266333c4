//! Elbows, and bends and sticks as they are typically sold.

use std::sync::LazyLock;

use super::csv::{number, rows};
use super::parse_inches;
use crate::model::Money;

/// A butt-weld elbow or return.
#[derive(Debug, Clone, PartialEq)]
pub struct ElbowItem {
    /// Nominal pipe size, inches.
    pub nominal: f64,
    /// How it is called without its size, e.g. `LR 90`.
    pub name: String,
    /// Angle, degrees.
    pub angle_deg: f64,
    /// Centreline radius, mm.
    pub clr: f64,
    /// Where the figure comes from.
    pub source: String,
}

/// A mandrel bend as it is typically sold, at an invented price.
#[derive(Debug, Clone, PartialEq)]
pub struct BendItem {
    /// `U`, `J`, `90` or `45`.
    pub kind: String,
    /// Outside diameter, mm.
    pub od: f64,
    /// Centreline radius, mm.
    pub clr: f64,
    /// Angle, degrees.
    pub angle_deg: f64,
    /// Legs, mm.
    pub legs: [f64; 2],
    /// An invented price.
    pub price: Money,
    /// Where the figures come from.
    pub source: String,
}

/// A stick of tube as it is typically sold, at an invented price.
#[derive(Debug, Clone, PartialEq)]
pub struct StickItem {
    /// Outside diameter, mm.
    pub od: f64,
    /// Length, mm.
    pub length: f64,
    /// An invented price.
    pub price: Money,
    /// Where the figures come from.
    pub source: String,
}

static ELBOWS: LazyLock<Vec<ElbowItem>> = LazyLock::new(|| {
    rows(include_str!("data/elbows.csv"))
        .map(|r| ElbowItem {
            nominal: parse_inches(&r[0]).expect("nominal sizes of the own file are inches (held by a test)"),
            name: format!("{} {}", r[1], r[2]),
            angle_deg: number(&r[2]),
            clr: number(&r[4]),
            source: format!("{}; {}", r[6], r[5]),
        })
        .collect()
});
static BENDS: LazyLock<Vec<BendItem>> = LazyLock::new(|| {
    rows(include_str!("data/bends.csv"))
        .map(|r| BendItem {
            kind: r[2].clone(),
            od: number(&r[1]),
            clr: number(&r[3]),
            angle_deg: number(&r[4]),
            legs: [number(&r[5]), number(&r[6])],
            price: Money((number(&r[7]) * 1000.0).round() as i64),
            source: r[8].clone(),
        })
        .collect()
});
static STICKS: LazyLock<Vec<StickItem>> = LazyLock::new(|| {
    rows(include_str!("data/straights.csv"))
        .map(|r| StickItem {
            od: number(&r[1]),
            length: number(&r[2]),
            price: Money((number(&r[3]) * 1000.0).round() as i64),
            source: r[4].clone(),
        })
        .collect()
});

/// All elbows and returns.
pub fn elbows() -> &'static [ElbowItem] {
    &ELBOWS
}

/// The elbow called `name` (`LR 90`) of a nominal size in inches.
///
/// ```
/// // 1.5 x nominal size, not 1.5 x the 48.3 mm outside diameter.
/// assert_eq!(job::catalogue::elbow(1.5, "LR 90").unwrap().clr, 57.15);
/// // The standard's deviation.
/// assert_eq!(job::catalogue::elbow(0.5, "LR 90").unwrap().clr, 38.1);
/// ```
pub fn elbow(nominal: f64, name: &str) -> Option<&'static ElbowItem> {
    ELBOWS.iter().find(|e| e.nominal == nominal && e.name == name)
}

/// Bends as they are typically sold.
pub fn bends() -> &'static [BendItem] {
    &BENDS
}

/// Sticks as they are typically sold.
pub fn sticks() -> &'static [StickItem] {
    &STICKS
}
