//! How the quantity of a line came about, and where its price and its standard come from: ids and plain measures.

/// How the quantity of a line came about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Basis {
    /// Nothing to explain: things that are counted.
    Plain,
    /// Length of all welds, mm.
    WeldLength(f64),
    /// Arc time, min, and the purge.
    Argon {
        /// Arc time of all welds, min.
        arc_min: f64,
    },
    /// Number of welds.
    Welds(u32),
    /// A count times a time standard.
    Standard {
        /// How often it is done.
        count: f64,
        /// The time standard, min.
        minutes: f64,
    },
    /// Time of welding.
    Welding {
        /// Length of all welds, mm.
        length: f64,
        /// Share of the time that the arc burns, percent.
        arc_on_percent: f64,
    },
    /// A share of other times, percent.
    Share {
        /// The share, percent.
        percent: f64,
        /// Of which times.
        of: ShareOf,
    },
}

/// Which times a share is taken of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShareOf {
    /// Fitting up, tacking and welding joints.
    Joints,
    /// All labour but rework.
    AllButRework,
}

/// Where the price of a line comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PriceFrom {
    /// The list of stock.
    StockList,
    /// The job itself.
    Job,
    /// The shop's own rates.
    Shop,
    /// The program: nobody has given one yet.
    Invented,
}

/// A published or customary standard behind a quantity, by its source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standard {
    /// Of a quantity: filler, gas, tungsten.
    Quantity(String),
    /// Of a time.
    Time(String),
}

/// Where price and quantity of a line come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineSource {
    /// Where its price comes from.
    pub price: PriceFrom,
    /// The standard behind its quantity, where there is one.
    pub standard: Option<Standard>,
}

impl LineSource {
    pub(super) fn of(price: PriceFrom) -> Self {
        LineSource { price, standard: None }
    }

    pub(super) fn with(price: PriceFrom, standard: Standard) -> Self {
        LineSource { price, standard: Some(standard) }
    }
}
