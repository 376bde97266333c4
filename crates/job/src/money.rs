//! Money.

/// An amount of money in thousandths of the currency's unit, so that the smallest coin of every
/// currency is a whole number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(pub i64);

impl Money {
    /// The amount in units of the currency, for printing and for files.
    pub fn units(self) -> f64 {
        self.0 as f64 / 1000.0
    }
}
