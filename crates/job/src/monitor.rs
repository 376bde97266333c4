//! Long work that reports its progress and can be stopped.

use std::sync::atomic::{AtomicBool, Ordering};

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
}

impl<'a, E> Monitor<'a, E> {
    /// Reports to `report`; the work ends with its best so far soon after `stop` became true.
    pub fn new(stop: &'a AtomicBool, report: impl FnMut(&E) + Send + 'a) -> Self {
        Monitor { report: Box::new(report), stop }
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
}

impl<E> std::fmt::Debug for Monitor<'_, E> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Monitor").field("stopped", &self.is_stopped()).finish_non_exhaustive()
    }
}
