//! Firing order: when each cylinder fires, which cylinders go together, which way round a collector.
//!
//! Everything is computed from the order, for any engine whose cylinders fire at equal intervals of
//! 720/n degrees of crank (four-stroke), or from the firing angles themselves. The rule of grouping:
//! of all ways to part the cylinders into groups of equal size, the one whose smallest gap between
//! two firings inside a group is greatest, then the one whose gaps differ least, then the one that
//! comes first in the order of the cylinder numbers. A group's gaps are the differences, once round
//! the cycle of 720 degrees, of the firing angles of its cylinders. This is elementary counting;
//! the worked table for common engines in `checks/firing` comes from an exhaustive search.

/// Degrees of crank in one cycle of a four-stroke engine.
pub const CYCLE_DEG: f64 = 720.0;

/// Most ways of parting that are tried; 12 cylinders in six pairs are 10 395.
const MOST_PARTINGS: usize = 2_000_000;

/// Why cylinders cannot be grouped.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FiringError {
    /// A cylinder that is not in the firing order.
    #[error("cylinder {0} is not in the firing order")]
    NotInOrder(u32),
    /// The cylinders cannot be parted into that many equal groups.
    #[error("{cylinders} cylinders cannot be parted into {groups} equal groups")]
    Uneven {
        /// Number of cylinders.
        cylinders: usize,
        /// Number of groups.
        groups: usize,
    },
    /// Too many ways to try.
    #[error("{0} cylinders are too many to group")]
    TooMany(usize),
}

/// Firing angle of a cylinder, degrees of crank after the first of the order, for equal intervals.
///
/// `None` when the cylinder is not in the order.
pub fn angle_deg(order: &[u32], cylinder: u32) -> Option<f64> {
    let place = order.iter().position(|c| *c == cylinder)?;
    Some(place as f64 * CYCLE_DEG / order.len() as f64)
}

/// Gaps between successive firings of the cylinders, once round the cycle, degrees, starting with the
/// one that fires first in the order.
///
/// # Errors
/// [`FiringError::NotInOrder`].
///
/// # Example
/// The odd bank of a cross-plane V8 with order 1-8-4-3-6-5-7-2 fires unevenly.
/// ```
/// let gaps = job::firing::gaps_deg(&[1, 8, 4, 3, 6, 5, 7, 2], &[1, 3, 5, 7]).unwrap();
/// assert_eq!(gaps, [270.0, 180.0, 90.0, 180.0]);
/// ```
pub fn gaps_deg(order: &[u32], cylinders: &[u32]) -> Result<Vec<f64>, FiringError> {
    let places = places(order, cylinders)?;
    let step = CYCLE_DEG / order.len() as f64;
    Ok(gaps(order.len(), &places).into_iter().map(|g| g as f64 * step).collect())
}

/// The cylinders parted into `groups` groups of equal size that fire as evenly as can be.
///
/// Each group is sorted by cylinder number, the groups by their first cylinder.
///
/// # Errors
/// [`FiringError`].
///
/// # Example
/// An inline six with two collectors: front three, rear three.
/// ```
/// let order = [1, 5, 3, 6, 2, 4];
/// assert_eq!(job::firing::groups(&order, &[1, 2, 3, 4, 5, 6], 2).unwrap(), [[1, 2, 3], [4, 5, 6]]);
/// ```
pub fn groups(order: &[u32], cylinders: &[u32], groups: usize) -> Result<Vec<Vec<u32>>, FiringError> {
    let uneven = FiringError::Uneven { cylinders: cylinders.len(), groups };
    if groups == 0 || cylinders.is_empty() || !cylinders.len().is_multiple_of(groups) {
        return Err(uneven);
    }
    let mut sorted = cylinders.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    if sorted.len() != cylinders.len() {
        return Err(uneven);
    }
    let places = sorted.iter().map(|c| place(order, *c)).collect::<Result<Vec<usize>, _>>()?;
    let size = sorted.len() / groups;
    if partings(sorted.len(), size).is_none_or(|n| n > MOST_PARTINGS) {
        return Err(FiringError::TooMany(sorted.len()));
    }
    let mut search = Search {
        cycle: order.len(),
        places: &places,
        size,
        free: vec![true; places.len()],
        made: Vec::new(),
        best: None,
    };
    search.part();
    let parted = search.best.map(|(_, parted)| parted).ok_or(uneven)?;
    Ok(parted.into_iter().map(|group| group.into_iter().map(|i| sorted[i]).collect()).collect())
}

/// The cylinders in pairs for a 4-2-1 (or n into n/2): [`groups`] of two.
///
/// # Errors
/// [`FiringError`].
///
/// # Example
/// ```
/// assert_eq!(job::firing::pairs(&[1, 3, 4, 2], &[1, 2, 3, 4]).unwrap(), [[1, 4], [2, 3]]);
/// ```
pub fn pairs(order: &[u32], cylinders: &[u32]) -> Result<Vec<[u32; 2]>, FiringError> {
    let parted = groups(order, cylinders, cylinders.len() / 2)?;
    Ok(parted.iter().map(|g| [g[0], g[1]]).collect())
}

/// The cylinders in the order in which they fire, beginning with the lowest number: the order of the
/// inlets once round a collector, either way.
///
/// # Errors
/// [`FiringError::NotInOrder`].
///
/// # Example
/// ```
/// assert_eq!(job::firing::rotation(&[1, 3, 4, 2], &[2, 3, 4]).unwrap(), [2, 3, 4]);
/// ```
pub fn rotation(order: &[u32], cylinders: &[u32]) -> Result<Vec<u32>, FiringError> {
    let mut places = places(order, cylinders)?;
    places.sort_unstable();
    let mut turned: Vec<u32> = places.into_iter().map(|p| order[p]).collect();
    let first = turned.iter().enumerate().min_by_key(|(_, c)| **c).map_or(0, |(i, _)| i);
    turned.rotate_left(first);
    Ok(turned)
}

/// Whether `around` (cylinders in the order of the inlets around a collector) follows the firing order,
/// either way round.
///
/// # Errors
/// [`FiringError::NotInOrder`].
pub fn follows(order: &[u32], around: &[u32]) -> Result<bool, FiringError> {
    let wanted = rotation(order, around)?;
    let mut given = around.to_vec();
    let turn = |list: &mut Vec<u32>| {
        let first = list.iter().enumerate().min_by_key(|(_, c)| **c).map_or(0, |(i, _)| i);
        list.rotate_left(first);
    };
    turn(&mut given);
    if given == wanted {
        return Ok(true);
    }
    given.reverse();
    turn(&mut given);
    Ok(given == wanted)
}

fn place(order: &[u32], cylinder: u32) -> Result<usize, FiringError> {
    order.iter().position(|c| *c == cylinder).ok_or(FiringError::NotInOrder(cylinder))
}

fn places(order: &[u32], cylinders: &[u32]) -> Result<Vec<usize>, FiringError> {
    cylinders.iter().map(|c| place(order, *c)).collect()
}

/// Gaps in intervals, from the earliest place on.
fn gaps(cycle: usize, places: &[usize]) -> Vec<usize> {
    let mut sorted = places.to_vec();
    sorted.sort_unstable();
    (0..sorted.len())
        .map(|i| {
            let next = if i + 1 < sorted.len() { sorted[i + 1] } else { sorted[0] + cycle };
            next - sorted[i]
        })
        .collect()
}

/// Number of ways to part `n` things into sets of `size`; `None` when it is beyond counting.
fn partings(n: usize, size: usize) -> Option<usize> {
    let mut total: usize = 1;
    let mut left = n;
    while left > size {
        let mut ways: usize = 1;
        for i in 0..size - 1 {
            ways = ways.checked_mul(left - 1 - i)? / (i + 1);
        }
        total = total.checked_mul(ways)?;
        left -= size;
    }
    Some(total)
}

/// Smallest gap, then minus the sum of squares of all gaps.
type Score = (usize, std::cmp::Reverse<usize>);

/// Exhaustive search over the partings. Score: smallest gap, then minus the sum of squares of all gaps
/// (their sum is fixed, so least squares is least spread).
struct Search<'a> {
    cycle: usize,
    places: &'a [usize],
    size: usize,
    free: Vec<bool>,
    made: Vec<Vec<usize>>,
    best: Option<(Score, Vec<Vec<usize>>)>,
}

impl Search<'_> {
    fn part(&mut self) {
        let Some(first) = self.free.iter().position(|f| *f) else {
            let gaps: Vec<usize> = self
                .made
                .iter()
                .flat_map(|group| gaps(self.cycle, &group.iter().map(|i| self.places[*i]).collect::<Vec<_>>()))
                .collect();
            let least = gaps.iter().copied().min().unwrap_or(self.cycle);
            let score = (least, std::cmp::Reverse(gaps.iter().map(|g| g * g).sum()));
            if self.best.as_ref().is_none_or(|(best, _)| score > *best) {
                self.best = Some((score, self.made.clone()));
            }
            return;
        };
        self.free[first] = false;
        self.fill(vec![first]);
        self.free[first] = true;
    }

    fn fill(&mut self, group: Vec<usize>) {
        if group.len() == self.size {
            self.made.push(group);
            self.part();
            self.made.pop();
            return;
        }
        let after = group.last().map_or(0, |last| last + 1);
        for i in after..self.places.len() {
            if self.free[i] {
                self.free[i] = false;
                let mut wider = group.clone();
                wider.push(i);
                self.fill(wider);
                self.free[i] = true;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(n: u32) -> Vec<u32> {
        (1..=n).collect()
    }

    #[test]
    fn common_engines_group_as_the_arithmetic_says() {
        // Computed by hand from the angles: i*720/n.
        let v8 = [1, 8, 4, 3, 6, 5, 7, 2];
        assert_eq!(groups(&v8, &all(8), 2).unwrap(), [[1, 4, 6, 7], [2, 3, 5, 8]]);
        assert_eq!(pairs(&v8, &all(8)).unwrap(), [[1, 6], [2, 3], [4, 7], [5, 8]]);
        assert_eq!(pairs(&v8, &[1, 3, 5, 7]).unwrap(), [[1, 5], [3, 7]]);
        assert_eq!(pairs(&v8, &[2, 4, 6, 8]).unwrap(), [[2, 4], [6, 8]]);
        let flat_plane = [1, 8, 3, 6, 4, 5, 2, 7];
        assert_eq!(groups(&flat_plane, &all(8), 2).unwrap(), [[1, 2, 3, 4], [5, 6, 7, 8]]);
        let v12 = [1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10];
        assert_eq!(groups(&v12, &all(12), 2).unwrap(), [all(6), (7..=12).collect()]);
        assert_eq!(groups(&v12, &all(6), 2).unwrap(), [[1, 2, 3], [4, 5, 6]]);
    }

    #[test]
    fn rotation_is_taken_either_way() {
        let order = [1, 3, 4, 2];
        assert!(follows(&order, &[4, 2, 1, 3]).unwrap());
        assert!(follows(&order, &[3, 1, 2, 4]).unwrap());
        assert!(!follows(&order, &[1, 2, 3, 4]).unwrap());
    }

    #[test]
    fn what_cannot_be_grouped_says_why() {
        assert_eq!(groups(&[1, 2, 3], &[1, 2, 3], 2), Err(FiringError::Uneven { cylinders: 3, groups: 2 }));
        assert_eq!(groups(&[1, 2], &[1, 9], 2), Err(FiringError::NotInOrder(9)));
        assert_eq!(groups(&all(40), &all(40), 2), Err(FiringError::TooMany(40)));
        assert!(groups(&[1, 2], &[1, 1], 2).is_err());
    }
}
