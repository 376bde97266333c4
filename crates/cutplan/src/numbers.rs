//! The number of a run, which the marks of its pieces begin with.

use job::routes::RunId;

/// The number of each run: a primary has that of its cylinder, secondaries and tails count on, in the order of the routes,
/// from the last cylinder of the engine (`cylinders`, 0 when it is not known) or of the primaries, whichever is higher.
///
/// # Example
/// ```
/// # use job::routes::RunId;
/// let bank = [RunId::Primary { cylinder: 2 }, RunId::Primary { cylinder: 4 }, RunId::Tail { from: "merge".into() }];
/// assert_eq!(cutplan::run_numbers(&bank, 8), [2, 4, 9]);
/// ```
pub fn run_numbers<'a>(runs: impl IntoIterator<Item = &'a RunId>, cylinders: u32) -> Vec<u32> {
    let runs: Vec<&RunId> = runs.into_iter().collect();
    let of = |run: &RunId| if let RunId::Primary { cylinder } = run { Some(*cylinder) } else { None };
    let mut last = runs.iter().filter_map(|r| of(r)).fold(cylinders, u32::max);
    let mut number = |run: &RunId| {
        of(run).unwrap_or_else(|| {
            last = last.saturating_add(1);
            last
        })
    };
    runs.iter().map(|r| number(r)).collect()
}
