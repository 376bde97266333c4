//! Rows about saw cuts, where each of them is charged.
//!
//! A leg with n fillers has n cuts, and one more at the end of what stands on the arc beside it, unless the leg is used up to the
//! last hair. A stick with n fillers has n, or n - 1 when it is used up. How many legs and sticks are used up is a column each: as
//! many as their material allows, and a whole number, so that it is branched on.

use super::{Column, Master, Row};
use crate::instance::FIT;
use crate::solution::NEAR;

impl Master<'_> {
    /// Adds the columns of cuts in legs and of what is used up; `saw` is the price of a cut.
    pub(super) fn add_cut_columns(&mut self, saw: f64) {
        let mut column = |cost| self.lp.add_column(Column { cost, upper: f64::INFINITY, rows: Vec::new() });
        self.leg_cuts = column(saw);
        // Without a price of cuts one column without a row stands for all.
        (self.full_legs, self.full_sticks) =
            if self.instance.per_piece { (self.leg_cuts, self.leg_cuts) } else { (column(0.0), column(-saw)) };
    }

    /// Adds the rows of saw cuts.
    pub(super) fn add_cut_rows(&mut self) {
        if self.instance.per_piece {
            return;
        }
        for row in [Row::CutsOfPatterns, Row::CutsOfFillers, Row::FullLegs, Row::FullSticks] {
            self.add_row(row, 0.0);
        }
        // Their coefficients are parts of all straights: without one no leg and no stick is used up by fillers.
        if self.total_straight() > 0.0 {
            self.add_row(Row::FullLegLength, 0.0);
            self.add_row(Row::FullStickLength, 0.0);
        }
    }

    /// Coefficients of the columns of cuts and of what is used up.
    pub(super) fn cuts_in_row(&self, row: Row) -> Vec<(usize, f64)> {
        let (cuts, legs, sticks) = (self.leg_cuts, self.full_legs, self.full_sticks);
        match row {
            Row::CutsOfPatterns => vec![(cuts, 1.0), (legs, 1.0)],
            Row::CutsOfFillers => vec![(cuts, 1.0)],
            Row::FullLegs => vec![(legs, -1.0)],
            Row::FullLegLength => vec![(legs, -self.least_in_full_leg() / self.total_straight())],
            Row::FullSticks => vec![(sticks, -1.0)],
            Row::FullStickLength => vec![(sticks, -self.least_in_full_stick() / self.total_straight())],
            Row::CountFullLegs(sign) => vec![(legs, sign)],
            Row::CountFullSticks(sign) => vec![(sticks, sign)],
            _ => Vec::new(),
        }
    }

    /// Least length of fillers and their kerfs in a leg that is used up and not by what it carries, mm: the shortest leg less
    /// the longest straight that does not fill it by itself, or one filler.
    fn least_in_full_leg(&self) -> f64 {
        let straights = || self.instance.straights.iter().map(|s| s.length);
        let beyond = |leg: f64| {
            let short = straights().filter(|length| *length < leg - 3.0 * FIT);
            leg - short.fold(0.0, f64::max)
        };
        let legs = self.instance.bends.iter().flat_map(|b| b.legs).filter(|leg| *leg > 0.0);
        let least = legs.map(beyond).fold(f64::INFINITY, f64::min);
        let filler = self.instance.min_straight + self.instance.kerf;
        if least.is_finite() { least.max(filler) - NEAR - FIT } else { filler }
    }

    /// Least length of fillers and their kerfs in a stick that is used up, mm.
    fn least_in_full_stick(&self) -> f64 {
        let sticks = self.instance.sticks.iter().map(|s| s.length + self.instance.kerf);
        let least = sticks.fold(f64::INFINITY, f64::min);
        if least.is_finite() { least - NEAR - FIT } else { 0.0 }
    }
}
