//! A figure over another one: straight lines between rows, constant beyond the first and the last.

/// Why rows make no table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TableError {
    /// There is no row.
    #[error("a table needs at least one row")]
    Empty,
    /// The first column does not increase.
    #[error("row {0} of the table does not increase")]
    NotIncreasing(usize),
    /// A value is not a finite number.
    #[error("row {0} of the table is not a finite number")]
    NotFinite(usize),
}

/// Rows of (place, figure), the places increasing.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    rows: Vec<(f64, f64)>,
}

impl Table {
    /// A table of these rows.
    ///
    /// # Errors
    /// [`TableError`].
    pub fn new(rows: Vec<(f64, f64)>) -> Result<Self, TableError> {
        if rows.is_empty() {
            return Err(TableError::Empty);
        }
        if let Some(k) = rows.iter().position(|(x, y)| !x.is_finite() || !y.is_finite()) {
            return Err(TableError::NotFinite(k + 1));
        }
        if let Some(k) = rows.windows(2).position(|w| w[1].0 <= w[0].0) {
            return Err(TableError::NotIncreasing(k + 2));
        }
        Ok(Table { rows })
    }

    /// The same figure everywhere.
    pub fn constant(value: f64) -> Self {
        Table { rows: vec![(0.0, value)] }
    }

    /// The figure at a place.
    pub fn at(&self, x: f64) -> f64 {
        let above = self.rows.partition_point(|(place, _)| *place <= x);
        let Some(right) = self.rows.get(above) else { return self.rows[self.rows.len() - 1].1 };
        let Some(left) = above.checked_sub(1).map(|k| self.rows[k]) else { return right.1 };
        left.1 + (right.1 - left.1) * (x - left.0) / (right.0 - left.0)
    }

    /// Places of the rows.
    pub fn places(&self) -> impl Iterator<Item = f64> + '_ {
        self.rows.iter().map(|(x, _)| *x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_lies_on_the_line_between_its_rows_and_stays_beyond_them() {
        let table = Table::new(vec![(20.0, 200.0), (500.0, 160.0)]).unwrap();
        assert_eq!([table.at(0.0), table.at(20.0), table.at(260.0), table.at(900.0)], [200.0, 200.0, 180.0, 160.0]);
        assert_eq!(Table::new(vec![(1.0, 0.0), (1.0, 0.0)]), Err(TableError::NotIncreasing(2)));
        assert_eq!(Table::new(vec![]), Err(TableError::Empty));
        assert_eq!(Table::new(vec![(f64::NAN, 0.0)]), Err(TableError::NotFinite(1)));
    }
}
