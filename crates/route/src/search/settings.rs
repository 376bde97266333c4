//! How a search is run.

use std::sync::atomic::{AtomicBool, Ordering};

use job::Pace;

/// How a search is run.
#[derive(Debug, Clone, Copy)]
pub struct Settings<'a> {
    /// Seed of all random numbers.
    pub seed: u64,
    /// Meetings of the lanes after the first answer; each is 80 steps.
    pub effort: usize,
    /// Rounds of picks from one pool before it is given up.
    pub rounds: usize,
    /// Pools, each larger than the one before, until the job is given up; 0: only a nearest answer is wanted.
    pub pools: usize,
    /// Whether a nearest answer is wanted of a job with a run that finds no way even alone.
    pub draw_nearest: bool,
    /// Extra room asked for between tubes and to keep-outs, mm.
    pub room: f64,
    /// Once true, the search ends with what it has found.
    pub stop: &'a AtomicBool,
    /// Where its steps are counted once something holds.
    pub pace: &'a Pace,
}

impl Settings<'_> {
    /// Whether only a nearest answer is wanted, as none that holds can be.
    pub fn hopeless(&self) -> bool {
        self.pools == 0
    }

    /// Whether it is to end.
    pub fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}
