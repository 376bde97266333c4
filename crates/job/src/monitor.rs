//! Long work that reports its progress and can be stopped.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// Steps that nobody counts.
pub static UNCOUNTED: Pace = Pace::new();

/// Never set: the stop flag of work that nobody stops.
pub static NEVER: AtomicBool = AtomicBool::new(false);

/// What long work reports to, and what tells it to stop.
///
/// # Example
/// ```
/// # use std::sync::atomic::{AtomicBool, Ordering};
/// # use job::Monitor;
/// let stop = AtomicBool::new(false);
/// let mut best = 9;
/// let mut monitor = Monitor::new(&stop, |found: &i32| {
///     best = *found;
///     stop.store(*found < 5, Ordering::Relaxed);
/// });
/// monitor.report(&7);
/// assert!(!monitor.is_stopped());
/// monitor.report(&3);
/// assert!(monitor.is_stopped());
/// ```
pub struct Monitor<'a, E> {
    report: Box<dyn FnMut(&E) + Send + 'a>,
    stop: &'a AtomicBool,
    pace: &'a Pace,
}

impl<'a, E> Monitor<'a, E> {
    /// Reports to `report`; the work ends with its best so far soon after `stop` became true.
    pub fn new(stop: &'a AtomicBool, report: impl FnMut(&E) + Send + 'a) -> Self {
        Monitor { report: Box::new(report), stop, pace: &UNCOUNTED }
    }

    /// The same, with its steps counted in `pace`.
    pub fn paced(self, pace: &'a Pace) -> Self {
        Monitor { pace, ..self }
    }

    /// Reports to `report` and never stops the work.
    pub fn reporting(report: impl FnMut(&E) + Send + 'a) -> Self {
        Monitor::new(&NEVER, report)
    }

    /// Reports to nobody and never stops the work.
    pub fn silent() -> Self {
        Monitor::reporting(|_| ())
    }

    /// Reports progress.
    pub fn report(&mut self, progress: &E) {
        (self.report)(progress);
    }

    /// Whether the work is to end.
    pub fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// The flag that stops the work, for threads of its own.
    pub fn stop_flag(&self) -> &'a AtomicBool {
        self.stop
    }

    /// Where the work counts its steps.
    pub fn pace(&self) -> &'a Pace {
        self.pace
    }
}

/// How far long work is, where its steps can be counted ahead.
///
/// # Example
/// ```
/// # use job::Pace;
/// let pace = Pace::new();
/// assert_eq!(pace.share(), None);
/// let mut first = pace.ahead(3);
/// let second = pace.ahead(1);
/// first.step(1);
/// assert_eq!(pace.share(), Some(0.25));
/// drop(first); // ended early: nothing of it is left to do
/// assert_eq!(pace.share(), Some(0.75));
/// second.give_back(); // not done at all
/// assert_eq!(pace.share(), Some(1.0));
/// ```
#[derive(Debug, Default)]
pub struct Pace {
    done: AtomicU64,
    of: AtomicU64,
}

impl Pace {
    /// Nothing counted yet.
    pub const fn new() -> Self {
        Pace { done: AtomicU64::new(0), of: AtomicU64::new(0) }
    }

    /// Counts on `steps` steps more.
    pub fn ahead(&self, steps: u64) -> StepsAhead<'_> {
        self.of.fetch_add(steps, Ordering::Relaxed);
        StepsAhead { pace: self, left: steps }
    }

    /// The share that is done, 0 to 1; `None` while no step is in sight.
    pub fn share(&self) -> Option<f64> {
        let of = self.of.load(Ordering::Relaxed);
        (of > 0).then(|| (self.done.load(Ordering::Relaxed) as f64 / of as f64).min(1.0))
    }
}

/// Some steps of long work. Those that are left when it is dropped count as done.
#[derive(Debug)]
pub struct StepsAhead<'a> {
    pace: &'a Pace,
    left: u64,
}

impl StepsAhead<'_> {
    /// `steps` of it are done; more than are left count as those.
    pub fn step(&mut self, steps: u64) {
        let steps = steps.min(self.left);
        self.left -= steps;
        self.pace.done.fetch_add(steps, Ordering::Relaxed);
    }

    /// What is left of it will not be done.
    pub fn give_back(mut self) {
        self.pace.of.fetch_sub(self.left, Ordering::Relaxed);
        self.left = 0;
    }
}

impl Drop for StepsAhead<'_> {
    fn drop(&mut self) {
        self.step(self.left);
    }
}

impl<E> std::fmt::Debug for Monitor<'_, E> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Monitor").field("stopped", &self.is_stopped()).finish_non_exhaustive()
    }
}
