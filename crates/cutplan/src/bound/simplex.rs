//! A primal simplex method for `min c x, A x >= b, 0 <= x <= u`, to which columns and rows can be
//! added while it stands.
//!
//! Every row has a surplus variable and an artificial one of large cost, so every basis that the
//! method passes is feasible and no first phase is needed; added rows keep it so. The inverse of
//! the basis is kept in full (rows are few hundreds) and is rebuilt now and then. Rule of entry:
//! most negative reduced cost (Dantzig); against cycling the right-hand side is perturbed by parts
//! in 10^6. See V. Chvatal, "Linear Programming" (1983), chapters 7 and 8.
//!
//! The caller must not trust the objective to the last digit: a safe bound is computed from the
//! row prices, which are valid for any error here.

/// Pivots below this are not taken.
const PIVOT: f64 = 1e-7;

/// Reduced costs above minus this are taken as none, relative to the cost scale of 1.
const OPTIMAL: f64 = 1e-7;

/// A row that is short by more than this is unmet: above what the perturbed right-hand sides leave.
const UNMET: f64 = 4e-5;

/// Costs of unmet rows rise no further than this: beyond it rounding would show in the row prices.
const MOST_PENALTY: f64 = 1e6;

/// Pivots between two fresh inverses. Not tuned: more would save work and let rounding grow.
const REFRESH: usize = 150;

/// A sparse column.
#[derive(Debug, Clone, Default)]
pub(crate) struct Column {
    pub cost: f64,
    pub upper: f64,
    pub rows: Vec<(u32, f64)>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum State {
    Basic,
    AtZero,
    AtUpper,
}

/// The linear programme and its current basis.
#[derive(Debug, Clone)]
pub(crate) struct Simplex {
    columns: Vec<Column>,
    state: Vec<State>,
    rhs: Vec<f64>,
    perturbed: Vec<f64>,
    basis: Vec<usize>,
    /// Inverse of the basis, column by column.
    inverse: Vec<Vec<f64>>,
    value: Vec<f64>,
    prices: Vec<f64>,
    since_refresh: usize,
    penalty: f64,
    /// The artificial column of each row.
    artificial: Vec<usize>,
    /// Work done, in thousands of multiplications: about one step.
    pub work: u64,
    work_rest: u64,
}

impl Simplex {
    /// An empty programme; `penalty` is the cost of leaving a row unmet by 1.
    pub fn new(penalty: f64) -> Self {
        Simplex {
            columns: Vec::new(),
            state: Vec::new(),
            rhs: Vec::new(),
            perturbed: Vec::new(),
            basis: Vec::new(),
            inverse: Vec::new(),
            value: Vec::new(),
            prices: Vec::new(),
            since_refresh: 0,
            penalty,
            artificial: Vec::new(),
            work: 0,
            work_rest: 0,
        }
    }

    pub fn rows(&self) -> usize {
        self.rhs.len()
    }

    /// Row prices of the current basis.
    pub fn prices(&self) -> &[f64] {
        &self.prices
    }

    pub fn rhs(&self, row: usize) -> f64 {
        self.rhs[row]
    }

    fn charge(&mut self, multiplications: usize) {
        self.work_rest += multiplications as u64;
        self.work += self.work_rest / 1000;
        self.work_rest %= 1000;
    }

    /// Adds a column at zero; returns its number.
    pub fn add_column(&mut self, column: Column) -> usize {
        self.columns.push(column);
        self.state.push(State::AtZero);
        self.columns.len() - 1
    }

    /// Adds the row `coefficients x >= rhs` over the columns given; returns its number.
    pub fn add_row(&mut self, coefficients: &[(usize, f64)], rhs: f64) -> usize {
        let row = self.rhs.len();
        for &(column, value) in coefficients {
            if value != 0.0 {
                self.columns[column].rows.push((row as u32, value));
            }
        }
        self.rhs.push(rhs);
        // Any fixed sequence will do that has no pattern: the fractional parts of k x golden ratio.
        let shake = ((row as f64 + 1.0) * 0.618_033_988_75).fract();
        self.perturbed.push(rhs + 1e-6 * (1.0 + shake));
        let surplus = self.add_column(Column { cost: 0.0, upper: f64::INFINITY, rows: vec![(row as u32, -1.0)] });
        let artificial =
            self.add_column(Column { cost: self.penalty, upper: f64::INFINITY, rows: vec![(row as u32, 1.0)] });
        self.artificial.push(artificial);
        let activity: f64 = coefficients.iter().map(|&(c, v)| v * self.value_of(c)).sum();
        let short = self.perturbed[row] - activity;
        let (enters, sign) = if short >= 0.0 { (artificial, 1.0) } else { (surplus, -1.0) };
        // The last row of the new inverse: -sign x (row on the basis) x inverse, and sign.
        let mut on_basis = vec![0.0; row];
        for &(column, value) in coefficients {
            if self.state[column] == State::Basic
                && let Some(at) = self.basis.iter().position(|&b| b == column)
            {
                on_basis[at] += value;
            }
        }
        for column in &mut self.inverse {
            let dot: f64 = on_basis.iter().zip(column.iter()).map(|(a, b)| a * b).sum();
            column.push(-sign * dot);
        }
        let mut last = vec![0.0; row + 1];
        last[row] = sign;
        self.inverse.push(last);
        self.basis.push(enters);
        self.state[enters] = State::Basic;
        self.value.push(short.abs());
        self.refresh_prices();
        row
    }

    /// Raises the cost of leaving unmet those rows that the present optimum leaves unmet; false when
    /// there are none, or none whose cost may still rise.
    pub fn raise_penalties(&mut self) -> bool {
        let mut raised = false;
        for at in 0..self.basis.len() {
            let column = self.basis[at];
            if self.value[at] > UNMET && self.columns[column].cost < MOST_PENALTY && self.artificial.contains(&column) {
                self.columns[column].cost *= 8.0;
                raised = true;
            }
        }
        if raised {
            self.refresh_prices();
        }
        raised
    }

    /// Value of a column.
    pub fn value_of(&self, column: usize) -> f64 {
        match self.state[column] {
            State::AtZero => 0.0,
            State::AtUpper => self.columns[column].upper,
            State::Basic => self.basis.iter().position(|&b| b == column).map_or(0.0, |at| self.value[at]),
        }
    }

    /// Values of all columns.
    pub fn values(&self) -> Vec<f64> {
        let mut values: Vec<f64> = self
            .state
            .iter()
            .zip(&self.columns)
            .map(|(s, c)| if *s == State::AtUpper { c.upper } else { 0.0 })
            .collect();
        for (&b, &v) in self.basis.iter().zip(&self.value) {
            values[b] = v;
        }
        values
    }

    /// Cost less the worth of what the column gives at the current prices.
    pub fn reduced_cost(&self, column: usize) -> f64 {
        let c = &self.columns[column];
        c.cost - c.rows.iter().map(|&(r, v)| self.prices[r as usize] * v).sum::<f64>()
    }

    pub fn column(&self, column: usize) -> &Column {
        &self.columns[column]
    }

    fn refresh_prices(&mut self) {
        let costs: Vec<f64> = self.basis.iter().map(|&b| self.columns[b].cost).collect();
        self.prices = self.inverse.iter().map(|col| col.iter().zip(&costs).map(|(a, c)| a * c).sum()).collect();
    }

    fn refresh_values(&mut self) {
        let mut rhs = self.perturbed.clone();
        for (state, column) in self.state.iter().zip(&self.columns) {
            if *state == State::AtUpper && column.upper != 0.0 {
                for &(r, v) in &column.rows {
                    rhs[r as usize] -= v * column.upper;
                }
            }
        }
        self.value.iter_mut().for_each(|v| *v = 0.0);
        for (column, &b) in self.inverse.iter().zip(&rhs) {
            if b != 0.0 {
                for (v, a) in self.value.iter_mut().zip(column) {
                    *v += a * b;
                }
            }
        }
    }

    /// Basic columns that rounding has left below zero are put to zero and the right-hand side
    /// follows: the prices stay valid, and the basis stays feasible for the shifted problem.
    fn shift_rhs(&mut self) {
        for i in 0..self.value.len() {
            if self.value[i] < 0.0 {
                let missing = -self.value[i];
                self.value[i] = 0.0;
                for &(r, v) in &self.columns[self.basis[i]].rows {
                    self.perturbed[r as usize] += v * missing;
                }
            }
        }
    }

    /// Rebuilds the inverse by Gauss-Jordan elimination with row pivoting.
    fn refresh_inverse(&mut self) {
        let m = self.rows();
        // Columns of the identity are pivoted first: they cost nothing.
        let mut inverse: Vec<Vec<f64>> = (0..m)
            .map(|r| {
                let mut column = vec![0.0; m];
                column[r] = 1.0;
                column
            })
            .collect();
        let mut place = vec![usize::MAX; m];
        let mut taken = vec![false; m];
        let mut order: Vec<usize> = (0..m).collect();
        order.sort_by_key(|&i| self.columns[self.basis[i]].rows.len());
        for &i in &order {
            let mut d = vec![0.0; m];
            for &(r, v) in &self.columns[self.basis[i]].rows {
                for (x, a) in d.iter_mut().zip(&inverse[r as usize]) {
                    *x += v * a;
                }
            }
            let pivot = (0..m).filter(|&r| !taken[r]).max_by(|&a, &b| d[a].abs().total_cmp(&d[b].abs()));
            let Some(p) = pivot else { return };
            if d[p].abs() < 1e-11 {
                // Singular to working precision: the old inverse is kept.
                return;
            }
            taken[p] = true;
            place[p] = self.basis[i];
            pivot_columns(&mut inverse, &d, p);
        }
        self.charge(m * m * m / 4);
        self.basis = place;
        self.inverse = inverse;
        self.since_refresh = 0;
        self.refresh_values();
        self.shift_rhs();
        self.refresh_prices();
    }

    /// Runs to the optimum over the present columns, or at most `pivots` pivots; true at the optimum.
    pub fn solve(&mut self, pivots: usize) -> bool {
        let mut fresh = false;
        for _ in 0..pivots {
            if self.since_refresh >= REFRESH {
                self.refresh_inverse();
            }
            let Some(enters) = self.choose() else {
                if fresh || self.since_refresh < 20 {
                    return true;
                }
                self.refresh_inverse();
                fresh = true;
                continue;
            };
            fresh = false;
            if !self.pivot(enters) {
                self.refresh_inverse();
                // Nothing limits the column: it can only be rounding, so it is left out.
                if !self.pivot(enters) {
                    return false;
                }
            }
        }
        false
    }

    /// The column with the most negative reduced cost.
    fn choose(&mut self) -> Option<usize> {
        let mut best = None;
        let mut least = -OPTIMAL;
        let mut work = 0;
        for j in 0..self.columns.len() {
            let state = self.state[j];
            if state == State::Basic || self.columns[j].upper == 0.0 {
                continue;
            }
            work += self.columns[j].rows.len();
            let d = self.reduced_cost(j);
            let gain = if state == State::AtZero { d } else { -d };
            if gain < least {
                least = gain;
                best = Some(j);
            }
        }
        self.charge(work);
        best
    }

    fn pivot(&mut self, enters: usize) -> bool {
        let m = self.rows();
        let mut d = vec![0.0; m];
        for &(r, v) in &self.columns[enters].rows {
            for (x, a) in d.iter_mut().zip(&self.inverse[r as usize]) {
                *x += v * a;
            }
        }
        let sign = if self.state[enters] == State::AtUpper { -1.0 } else { 1.0 };
        let (mut step, leaves) = self.ratio_test(&d, sign, self.columns[enters].upper);
        if !step.is_finite() {
            return false;
        }
        step = step.max(0.0);
        for (v, di) in self.value.iter_mut().zip(&d) {
            *v -= sign * step * di;
        }
        let Some((p, to_upper)) = leaves else {
            self.state[enters] = if sign > 0.0 { State::AtUpper } else { State::AtZero };
            return true;
        };
        let reduced = self.reduced_cost(enters) / d[p];
        for (price, column) in self.prices.iter_mut().zip(&self.inverse) {
            *price += reduced * column[p];
        }
        let start = if sign > 0.0 { 0.0 } else { self.columns[enters].upper };
        self.state[self.basis[p]] = if to_upper { State::AtUpper } else { State::AtZero };
        self.state[enters] = State::Basic;
        self.basis[p] = enters;
        self.value[p] = start + sign * step;
        let touched = pivot_columns(&mut self.inverse, &d, p);
        self.charge(touched * m + m);
        self.since_refresh += 1;
        true
    }
}

impl Simplex {
    /// How far the entering column can go, and which basic column stops it (and at its upper limit?).
    ///
    /// In two passes (P. M. J. Harris, "Pivot selection methods of the Devex LP code", Mathematical
    /// Programming 5 (1973) 1-28): with a small allowance first, then the largest pivot within it.
    fn ratio_test(&self, d: &[f64], sign: f64, own: f64) -> (f64, Option<(usize, bool)>) {
        let limit = |i: usize, allowance: f64| {
            let rate = sign * d[i];
            let upper = self.columns[self.basis[i]].upper;
            if rate > PIVOT {
                (self.value[i].max(0.0) + allowance) / rate
            } else if rate < -PIVOT && upper.is_finite() {
                ((upper - self.value[i]).max(0.0) + allowance) / -rate
            } else {
                f64::INFINITY
            }
        };
        let reach = (0..d.len()).map(|i| limit(i, 1e-8)).fold(own, f64::min);
        let mut leaves: Option<usize> = None;
        for i in 0..d.len() {
            if limit(i, 0.0) <= reach && limit(i, 0.0) < own && leaves.is_none_or(|l| d[i].abs() > d[l].abs()) {
                leaves = Some(i);
            }
        }
        match leaves {
            Some(i) => (limit(i, 0.0), Some((i, sign * d[i] < 0.0))),
            None => (own, None),
        }
    }
}

/// Replaces place `p` of the basis by a column with `d = inverse x column`; returns how many
/// columns of the inverse changed.
fn pivot_columns(inverse: &mut [Vec<f64>], d: &[f64], p: usize) -> usize {
    let mut touched = 0;
    for column in inverse.iter_mut() {
        if column[p] == 0.0 {
            continue;
        }
        touched += 1;
        let t = column[p] / d[p];
        for (x, di) in column.iter_mut().zip(d) {
            *x -= t * di;
        }
        column[p] = t;
    }
    touched
}

#[cfg(test)]
mod tests {
    use super::*;

    /// min 3x + 2y with x + y >= 4, x + 3y >= 6, x <= 3: both rows meet at (3, 1), worth 11; (0, 4)
    /// is worth 8 and better.
    #[test]
    fn a_corner_by_hand() {
        let mut lp = Simplex::new(1000.0);
        let x = lp.add_column(Column { cost: 3.0, upper: 3.0, rows: vec![] });
        let y = lp.add_column(Column { cost: 2.0, upper: f64::INFINITY, rows: vec![] });
        lp.add_row(&[(x, 1.0), (y, 1.0)], 4.0);
        lp.add_row(&[(x, 1.0), (y, 3.0)], 6.0);
        assert!(lp.solve(100));
        assert!((lp.value_of(y) - 4.0).abs() < 1e-5 && lp.value_of(x).abs() < 1e-5);
        // Now y <= 1.5 as a row: x must be 2.5, worth 10.5.
        lp.add_row(&[(y, -1.0)], -1.5);
        assert!(lp.solve(100));
        assert!((lp.value_of(x) - 2.5).abs() < 1e-5);
        let worth: f64 = (0..lp.rows()).map(|r| lp.prices()[r] * lp.rhs(r)).sum();
        assert!((worth - 10.5).abs() < 1e-5);
    }
}
