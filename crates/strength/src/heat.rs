//! Gas and metal temperature along one tube, steady.
//!
//! Gas: m cp(Tg) dTg/ds = -hi pi Di (Tg - Tw). Wall: (k A Tw')' + hi pi Di (Tg - Tw) - q = 0, held at the flange, no heat
//! through the far end. A bare wall gives off q = pi D [ho (T - Tair) + e s (T^4 - Tsur^4)]; a wrapped one the same from the
//! face of its wrap, which it reaches through 2 pi k / ln(D2 / Do).
//!
//! Method: cells that are short at the flange, where the metal rises over a length of 10 to 15 mm. Within a cell the gas
//! falls exponentially (exact for the cell's own wall temperature and heat capacity); the wall is a tridiagonal system of
//! finite volumes, solved by Newton; both in turn until nothing moves.

use std::f64::consts::PI;

use crate::section::Section;
use crate::table::Table;

/// Stefan-Boltzmann constant, W/m2K4 (CODATA 2018).
pub const STEFAN: f64 = 5.670_374_419e-8;

/// Length of the first cell, m, and by how much each next is longer, up to the longest.
const FIRST_CELL: f64 = 5.0e-5;
const GROWTH: f64 = 1.02;
const LONGEST_CELL: f64 = 4.0e-3;

/// Turns of gas and wall; each brings them some ten times nearer.
const MOST_TURNS: usize = 200;

/// What a table for a frame may be off, K: a strain of 2e-6, a thousandth of what the metal grows.
const SAME_HEAT: f64 = 0.1;

/// Nothing moves by more than this, K; what is left is some ten times less.
const SETTLED: f64 = 1e-6;

/// A wrap around the tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wrap {
    /// Its outside diameter, m.
    pub od: f64,
    /// Its conductivity, W/mK.
    pub conductivity: f64,
}

/// What surrounds a tube.
#[derive(Debug, Clone, PartialEq)]
pub struct Outside {
    /// Heat transfer to the air, W/m2K.
    pub transfer: f64,
    /// Emissivity of the outer face.
    pub emissivity: f64,
    /// Air, K.
    pub air: f64,
    /// What the outer face sees, K.
    pub surroundings: f64,
    /// Wrap, if any.
    pub wrap: Option<Wrap>,
}

/// A tube with gas in it. SI, temperatures in K.
#[derive(Debug, Clone, PartialEq)]
pub struct HotTube {
    /// Cross-section.
    pub section: Section,
    /// Length, m.
    pub length: f64,
    /// Mass flow, kg/s.
    pub mass_flow: f64,
    /// Gas at the start.
    pub gas_in: f64,
    /// Gas along the tube over the length from its start, m, where it is known; else it cools from `gas_in`.
    pub gas: Option<Table>,
    /// Heat capacity of the gas, J/kgK, as a polynomial of K from its constant on.
    pub gas_cp: Vec<f64>,
    /// Heat transfer inside, W/m2K.
    pub inside: f64,
    /// The outer side.
    pub outside: Outside,
    /// Conductivity of the wall, W/mK, over K.
    pub conductivity: Table,
    /// Metal at the flange.
    pub flange: f64,
}

/// Temperatures along a tube, K.
#[derive(Debug, Clone, PartialEq)]
pub struct Temperatures {
    /// Bounds of the cells, m.
    edges: Vec<f64>,
    /// Gas at the bounds.
    gas: Vec<f64>,
    /// Wall in the cells.
    wall: Vec<f64>,
    /// Outer face in the cells.
    skin: Vec<f64>,
    /// Wall and outer face at the flange.
    flange: [f64; 2],
    /// Heat that the metal carries into the flange, W.
    pub into_flange: f64,
}

/// Gas and wall do not settle.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("gas and wall still move by {0} K")]
pub struct NotSettled(pub f64);

impl HotTube {
    /// Solves it.
    ///
    /// # Errors
    /// [`NotSettled`] with the last movement.
    pub fn solve(&self) -> Result<Temperatures, NotSettled> {
        let edges = self.edges();
        let count = edges.len() - 1;
        let mut gas = vec![self.gas_in; count + 1];
        let mut wall = vec![0.5 * (self.gas_in + self.flange); count];
        let mut moved = f64::INFINITY;
        for _ in 0..MOST_TURNS {
            let means = match &self.gas {
                Some(known) => known_means(known, &edges, &mut gas),
                None => self.cool(&edges, &wall, &mut gas),
            };
            moved = self.warm(&edges, &means, &mut wall);
            if moved < SETTLED {
                let skin: Vec<f64> = wall.iter().map(|t| self.skin(*t)).collect();
                let flange = [self.flange, self.skin(self.flange)];
                let into_flange = self.heat_of_flange(&edges, wall[0]);
                return Ok(Temperatures { edges, gas, wall, skin, flange, into_flange });
            }
        }
        Err(NotSettled(moved))
    }

    fn edges(&self) -> Vec<f64> {
        let mut edges = vec![0.0];
        let (mut at, mut cell) = (0.0, FIRST_CELL.min(0.25 * self.length));
        while at + 1.5 * cell < self.length {
            at += cell;
            edges.push(at);
            cell = (cell * GROWTH).min(LONGEST_CELL);
        }
        edges.push(self.length);
        edges
    }

    fn bore(&self) -> f64 {
        self.section.od - 2.0 * self.section.wall
    }

    fn cp(&self, gas: f64) -> f64 {
        self.gas_cp.iter().rev().fold(0.0, |sum, c| sum * gas + c)
    }

    /// Gas at the bounds from the wall in the cells; gives its mean in each cell, as the wall feels it. The heat capacity is that of
    /// the middle of the cell, with the gas behind it as it was the turn before.
    fn cool(&self, edges: &[f64], wall: &[f64], gas: &mut [f64]) -> Vec<f64> {
        let per_length = self.inside * PI * self.bore();
        let mut means = Vec::with_capacity(wall.len());
        for (k, metal) in wall.iter().enumerate() {
            let length = edges[k + 1] - edges[k];
            let units = per_length * length / (self.mass_flow * self.cp(0.5 * (gas[k] + gas[k + 1])));
            let (above, lost) = (gas[k] - metal, -(-units).exp_m1());
            let share = if units > 1e-9 { lost / units } else { 1.0 };
            means.push(metal + above * share);
            gas[k + 1] = metal + above * (1.0 - lost);
        }
        means
    }

    /// One step of Newton for the wall; gives the largest movement.
    fn warm(&self, edges: &[f64], gas: &[f64], wall: &mut [f64]) -> f64 {
        let count = wall.len();
        let (area, per_length) = (self.section.area(), self.inside * PI * self.bore());
        let mut below = vec![0.0; count];
        let mut middle = vec![0.0; count];
        let mut above = vec![0.0; count];
        let mut left = vec![0.0; count];
        for k in 0..count {
            let length = edges[k + 1] - edges[k];
            let (out, slope) = self.given_off(wall[k]);
            left[k] += length * (per_length * (gas[k] - wall[k]) - out);
            middle[k] += length * (per_length + slope);
            let centre = 0.5 * (edges[k + 1] + edges[k]);
            let [before, apart] = match k {
                0 => [self.flange, centre],
                _ => [wall[k - 1], centre - 0.5 * (edges[k] + edges[k - 1])],
            };
            let carried = self.conductivity.at(0.5 * (before + wall[k])) * area / apart;
            left[k] += carried * (before - wall[k]);
            middle[k] += carried;
            if k > 0 {
                below[k] = -carried;
                above[k - 1] = -carried;
                middle[k - 1] += carried;
                left[k - 1] += carried * (wall[k] - before);
            }
        }
        let step = tridiagonal(&below, middle, &above, left);
        wall.iter_mut().zip(&step).for_each(|(t, by)| *t += by);
        step.iter().fold(0.0, |most, by| most.max(by.abs()))
    }

    /// Heat given off per length at a wall temperature, W/m, and its slope, W/mK.
    fn given_off(&self, wall: f64) -> (f64, f64) {
        let face = self.skin(wall);
        let (out, slope) = self.given_off_by_face(face);
        match self.outside.wrap {
            None => (out, slope),
            Some(wrap) => {
                let through = 2.0 * PI * wrap.conductivity / (wrap.od / self.section.od).ln();
                (out, through * slope / (through + slope))
            }
        }
    }

    /// Heat given off per length by an outer face, W/m, and its slope, W/mK.
    fn given_off_by_face(&self, face: f64) -> (f64, f64) {
        let around = PI * self.outside.wrap.map_or(self.section.od, |w| w.od);
        let Outside { transfer, emissivity, air, surroundings, .. } = self.outside;
        let radiated = emissivity * STEFAN * (face.powi(4) - surroundings.powi(4));
        let slope = transfer + 4.0 * emissivity * STEFAN * face.powi(3);
        (around * (transfer * (face - air) + radiated), around * slope)
    }

    /// The outer face at a wall temperature.
    fn skin(&self, wall: f64) -> f64 {
        let Some(wrap) = self.outside.wrap else { return wall };
        let through = 2.0 * PI * wrap.conductivity / (wrap.od / self.section.od).ln();
        let mut face = 0.5 * (wall + self.outside.air);
        // What comes through falls and what is given off rises with the face: Newton meets from any side in a few steps.
        for _ in 0..50 {
            let (out, slope) = self.given_off_by_face(face);
            let step = (through * (wall - face) - out) / (through + slope);
            face += step;
            if step.abs() < 1e-12 * face.abs() {
                break;
            }
        }
        face
    }

    /// What the balance of the first cell passes to the flange.
    fn heat_of_flange(&self, edges: &[f64], first: f64) -> f64 {
        let conductivity = self.conductivity.at(0.5 * (self.flange + first));
        conductivity * self.section.area() * (first - self.flange) / (0.5 * (edges[1] - edges[0]))
    }
}

/// Gas at the bounds from a table; gives that in the middle of each cell.
fn known_means(known: &Table, edges: &[f64], gas: &mut [f64]) -> Vec<f64> {
    gas.iter_mut().zip(edges).for_each(|(t, at)| *t = known.at(*at));
    edges.windows(2).map(|w| known.at(0.5 * (w[0] + w[1]))).collect()
}

/// Thomas's elimination.
fn tridiagonal(below: &[f64], mut middle: Vec<f64>, above: &[f64], mut right: Vec<f64>) -> Vec<f64> {
    for k in 1..middle.len() {
        let factor = below[k] / middle[k - 1];
        middle[k] -= factor * above[k - 1];
        right[k] -= factor * right[k - 1];
    }
    for k in (0..middle.len()).rev() {
        if k + 1 < middle.len() {
            right[k] -= above[k] * right[k + 1];
        }
        right[k] /= middle[k];
    }
    right
}

impl Temperatures {
    /// Gas at a distance from the start, m.
    pub fn gas(&self, s: f64) -> f64 {
        line(&self.edges, &self.gas, s)
    }

    /// Metal there.
    pub fn wall(&self, s: f64) -> f64 {
        self.in_cells(&self.wall, s, self.flange[0])
    }

    /// Outer face there: of the wrap, or the metal.
    pub fn skin(&self, s: f64) -> f64 {
        self.in_cells(&self.skin, s, self.flange[1])
    }

    fn in_cells(&self, values: &[f64], s: f64, at_flange: f64) -> f64 {
        // Known at the flange and in the middle of each cell.
        let middle = |k: usize| 0.5 * (self.edges[k] + self.edges[k + 1]);
        let cell = self.edges.partition_point(|e| *e <= s).clamp(1, values.len()) - 1;
        let right = (cell + usize::from(s > middle(cell))).min(values.len() - 1);
        let (from, before) = right.checked_sub(1).map_or((0.0, at_flange), |k| (middle(k), values[k]));
        let share = ((s - from) / (middle(right) - from)).clamp(0.0, 1.0);
        before + (values[right] - before) * share
    }

    /// The rise of the metal beside the flange, within `within` m of it.
    pub fn rise(&self, within: f64) -> crate::flange_weld::TemperatureRise {
        let hotter = self.wall(within) - self.flange[0];
        let reached = |s: &f64| (self.wall(*s) - self.flange[0]).abs() >= (1.0 - (-1.0_f64).exp()) * hotter.abs();
        let steps = 600;
        let place = |k: usize| within * k as f64 / f64::from(steps);
        let over = (1..=600).map(place).find(|s| reached(s)).unwrap_or(within);
        crate::flange_weld::TemperatureRise { hotter, over }
    }

    /// The metal over the length, as a table for a frame: K over m.
    ///
    /// # Errors
    /// [`crate::table::TableError`] when a temperature is not a number.
    pub fn wall_table(&self) -> Result<Table, crate::table::TableError> {
        let cells = self.edges.windows(2).zip(&self.wall);
        let rows = std::iter::once((0.0, self.flange[0])).chain(cells.map(|(w, t)| (0.5 * (w[0] + w[1]), *t)));
        Table::new(thinned(&rows.collect::<Vec<_>>()))
    }
}

/// Rows that say the same within [`SAME_HEAT`]: each next one is the farthest to which the straight line passes all between
/// near enough.
fn thinned(rows: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = rows.first().copied().into_iter().collect();
    let mut from = 0;
    while from + 1 < rows.len() {
        let passes = |to: usize| {
            let slope = (rows[to].1 - rows[from].1) / (rows[to].0 - rows[from].0);
            let off = |r: &(f64, f64)| (rows[from].1 + slope * (r.0 - rows[from].0) - r.1).abs();
            rows[from..to].iter().all(|r| off(r) <= SAME_HEAT)
        };
        let mut to = from + 1;
        while to + 1 < rows.len() && passes(to + 1) {
            to += 1;
        }
        out.push(rows[to]);
        from = to;
    }
    out
}

/// On the straight line between neighbouring places; constant beyond them.
fn line(places: &[f64], values: &[f64], at: f64) -> f64 {
    let right = places.partition_point(|p| *p <= at).clamp(1, places.len() - 1);
    let share = ((at - places[right - 1]) / (places[right] - places[right - 1])).clamp(0.0, 1.0);
    values[right - 1] + share * (values[right] - values[right - 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tube() -> HotTube {
        HotTube {
            section: Section { od: 0.04445, wall: 0.00165 },
            length: 0.8,
            mass_flow: 0.04,
            gas_in: 1173.0,
            gas: None,
            gas_cp: vec![1200.0],
            inside: 300.0,
            outside: Outside { transfer: 20.0, emissivity: 0.0, air: 333.0, surroundings: 333.0, wrap: None },
            conductivity: Table::constant(1e-9),
            flange: 573.0,
        }
    }

    #[test]
    fn gas_cools_exponentially_where_no_heat_runs_along_the_wall() {
        // Inside and outside in series, W/mK: 1 / (1 / 300 pi Di + 1 / 20 pi Do).
        let tube = tube();
        let [inside, outside] = [300.0 * PI * 0.04115, 20.0 * PI * 0.04445];
        let through = 1.0 / (1.0 / inside + 1.0 / outside);
        let found = tube.solve().unwrap();
        let expected = 333.0 + 840.0 * (-through * 0.8 / (0.04 * 1200.0)).exp();
        assert!((found.gas(0.8) - expected).abs() < 1e-4, "{} {expected}", found.gas(0.8));
    }

    #[test]
    fn a_fin_at_the_flange_rises_by_its_own_length() {
        // Far more gas than the wall can cool, nothing given off: Tw = Tg - (Tg - Tf) exp(-x / d), d = sqrt(k A / hi pi Di).
        let mut tube = tube();
        tube.mass_flow = 1e6;
        tube.outside.transfer = 0.0;
        tube.conductivity = Table::constant(20.0);
        let found = tube.solve().unwrap();
        let depth = (20.0 * tube.section.area() / (300.0 * PI * 0.04115)).sqrt();
        for x in [0.005, 0.01, 0.02, 0.04] {
            let expected = 1173.0 - 600.0 * f64::exp(-x / depth);
            assert!((found.wall(x) - expected).abs() < 0.02, "{x}: {} {expected}", found.wall(x));
        }
        let flow = 20.0 * tube.section.area() * 600.0 / depth;
        assert!((found.into_flange / flow - 1.0).abs() < 1e-4, "{} {flow}", found.into_flange);
    }

    #[test]
    fn the_face_of_a_bare_tube_is_its_metal_down_to_the_flange() {
        let found = tube().solve().unwrap();
        assert_eq!(found.skin(0.0), 573.0);
        assert!([0.0, 1e-5, 1e-3, 0.1, 0.8].iter().all(|s| found.skin(*s) == found.wall(*s)));
    }

    #[test]
    fn a_table_for_a_frame_has_few_rows_and_says_the_same() {
        let mut tube = tube();
        tube.conductivity = Table::constant(20.0);
        let found = tube.solve().unwrap();
        let table = found.wall_table().unwrap();
        assert!(table.places().count() < 120, "{}", table.places().count());
        for k in 0..=800 {
            let s = f64::from(k) * 1e-3;
            assert!((table.at(s) - found.wall(s)).abs() < 2.0 * SAME_HEAT, "{s}");
        }
    }

    #[test]
    fn a_wrap_heats_the_metal_and_cools_the_skin() {
        let mut tube = tube();
        tube.outside.emissivity = 0.8;
        let bare = tube.solve().unwrap();
        tube.outside.wrap = Some(Wrap { od: 0.05045, conductivity: 0.15 });
        let wrapped = tube.solve().unwrap();
        assert!(wrapped.wall(0.4) > bare.wall(0.4) + 50.0 && wrapped.skin(0.4) < bare.skin(0.4) - 50.0);
    }
}
