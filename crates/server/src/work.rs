//! Heavy work: one queue for everything that keeps a core or much memory busy.
//!
//! Each kind of work has its own lane with a limit of running tasks, a limit of waiting ones, and a 503 with `Retry-After`
//! beyond that. A permit belongs to the work, not to the client: it moves into the thread that does the work and is released
//! with it. Work whose client disconnects is stopped, or never starts. Lanes are separate so that reading a job, which every
//! edit needs, never waits behind a cut plan or a set of sheets.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::sync::{Notify, OwnedSemaphorePermit, Semaphore};

use crate::errors::{ApiError, ApiResult};

/// Lanes of heavy work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lane {
    /// Reading a job and computing its views.
    Read,
    /// Searches and cut plans.
    Search,
    /// Sheets, exports, archives.
    Make,
    /// Unpacking uploaded archives and indexing meshes.
    Intake,
    /// Checking a password.
    SignIn,
}

/// Limits of a lane.
struct Bounds {
    /// Tasks that run at a time.
    at_a_time: usize,
    /// Tasks that may wait.
    waiting: usize,
    /// Delay for a client beyond those, seconds.
    retry: u32,
    /// What the server is busy with, for the error message.
    busy_with: &'static str,
}

impl Lane {
    const ALL: [Lane; 5] = [Lane::Read, Lane::Search, Lane::Make, Lane::Intake, Lane::SignIn];

    fn bounds(self) -> Bounds {
        let cores = std::thread::available_parallelism().map_or(2, usize::from).clamp(2, 8);
        // A search uses every core it can get; two at a time keep one long search from blocking the shop. A read takes
        // milliseconds and up to 100 MB; an archive or mesh up to 400 MB, so one at a time keeps the whole below 1 GB.
        let (at_a_time, waiting, retry, busy_with) = match self {
            Lane::Read => (cores, 128, 2, "too many jobs are being read"),
            Lane::Search => (2, 8, 20, "other searches and cuts are running, and more are waiting"),
            Lane::Make => (2, 16, 5, "other sheets and exports are being made, and more are waiting"),
            Lane::Intake => (1, 8, 10, "other archives and meshes are being read, and more are waiting"),
            Lane::SignIn => (2, 32, 2, "too many people are signing in"),
        };
        Bounds { at_a_time, waiting, retry, busy_with }
    }
}

/// Signals work to stop.
#[derive(Debug, Default)]
pub struct StopSignal {
    flag: AtomicBool,
    left: AtomicBool,
    notify: Notify,
}

impl StopSignal {
    /// Signals the work to end soon with what it has.
    pub fn set(&self) {
        self.flag.store(true, Ordering::Relaxed);
        self.notify.notify_waiters();
    }

    /// Signals the work to end because the client has disconnected.
    pub fn leave(&self) {
        self.left.store(true, Ordering::Relaxed);
        self.set();
    }

    /// Whether the work should end.
    pub fn is_set(&self) -> bool {
        self.flag.load(Ordering::Relaxed)
    }

    /// Whether the client has disconnected.
    pub fn is_left(&self) -> bool {
        self.left.load(Ordering::Relaxed)
    }

    /// The flag, for the stages.
    pub fn flag(&self) -> &AtomicBool {
        &self.flag
    }

    /// Waits until it is set.
    async fn wait(&self) {
        let mut set = std::pin::pin!(self.notify.notified());
        // Registered before the flag is read: a call of `set` in between is not missed.
        set.as_mut().enable();
        if !self.is_set() {
            set.await;
        }
    }
}

/// Sets [`StopSignal::leave`] when it is dropped, unless the work has ended before.
#[derive(Debug)]
pub struct LeaveGuard(Option<Arc<StopSignal>>);

impl LeaveGuard {
    /// A guard for the work that `stop` ends.
    pub fn new(stop: Arc<StopSignal>) -> LeaveGuard {
        LeaveGuard(Some(stop))
    }

    fn disarm(mut self) {
        self.0 = None;
    }
}

impl Drop for LeaveGuard {
    fn drop(&mut self) {
        if let Some(stop) = &self.0 {
            stop.leave();
        }
    }
}

#[derive(Debug)]
struct Queue {
    turns: Arc<Semaphore>,
    waiting: Arc<AtomicUsize>,
}

/// Work that has started and not ended.
#[derive(Debug)]
struct OpenWork {
    job: Option<String>,
    stop: Arc<StopSignal>,
}

type OpenWorks = Mutex<BTreeMap<u64, OpenWork>>;

fn lock(opens: &OpenWorks) -> MutexGuard<'_, BTreeMap<u64, OpenWork>> {
    opens.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The queue of heavy work.
#[derive(Debug)]
pub struct WorkQueue {
    lanes: [Queue; Lane::ALL.len()],
    open: Arc<OpenWorks>,
    number: AtomicU64,
}

impl Default for WorkQueue {
    fn default() -> Self {
        let lane = |kind: Lane| Queue {
            turns: Arc::new(Semaphore::new(kind.bounds().at_a_time)),
            waiting: Arc::new(AtomicUsize::new(0)),
        };
        WorkQueue { lanes: Lane::ALL.map(lane), open: Arc::default(), number: AtomicU64::new(1) }
    }
}

impl WorkQueue {
    /// Runs heavy work that one client waits for.
    ///
    /// # Errors
    /// 503 when the lane is full or the server is shutting down; 500 when the work panics.
    pub async fn run<T: Send + 'static>(
        &self,
        kind: Lane,
        work: impl FnOnce(&StopSignal) -> T + Send + 'static,
    ) -> ApiResult<T> {
        self.begin(kind, None)?.run(work).await
    }

    /// Takes a place in the queue; work for a `job` can be stopped by the task's name.
    ///
    /// # Errors
    /// 503 when the lane is full.
    pub fn begin(&self, kind: Lane, job: Option<&str>) -> ApiResult<Task> {
        let place = self.place(kind)?;
        let number = self.number.fetch_add(1, Ordering::Relaxed);
        let stop = Arc::new(StopSignal::default());
        lock(&self.open).insert(number, OpenWork { job: job.map(String::from), stop: stop.clone() });
        Ok(Task { place, stop, entry: Registered { number, open: self.open.clone() } })
    }

    fn place(&self, kind: Lane) -> ApiResult<Slot> {
        let bounds = kind.bounds();
        let lane = &self.lanes[kind as usize];
        if let Ok(turn) = lane.turns.clone().try_acquire_owned() {
            return Ok(Slot::Turn(turn));
        }
        let waits = Waits(lane.waiting.clone());
        if waits.0.fetch_add(1, Ordering::Relaxed) >= bounds.waiting {
            return Err(ApiError::busy(bounds.busy_with, bounds.retry));
        }
        Ok(Slot::Waits(lane.turns.clone(), waits))
    }

    /// Stops the work of a job by its name; `false` when there is none.
    pub fn stop(&self, job: &str, name: &str) -> bool {
        let number = name.strip_prefix('s').and_then(|n| n.parse().ok()).unwrap_or(0);
        match lock(&self.open).get(&number) {
            Some(open) if open.job.as_deref() == Some(job) => {
                open.stop.set();
                true
            }
            _ => false,
        }
    }

    /// Stops everything, for shutdown.
    pub fn stop_all(&self) {
        lock(&self.open).values().for_each(|open| open.stop.set());
    }

    /// Waits until no work is left, at most `longest`.
    pub async fn drained(&self, longest: Duration) {
        let empty = async {
            while !lock(&self.open).is_empty() {
                tokio::time::sleep(Duration::from_millis(20)).await;
            }
        };
        // What does not stop by then is aborted with the process; nothing of it was acknowledged.
        let _ = tokio::time::timeout(longest, empty).await;
    }
}

/// A place in a lane.
enum Slot {
    Turn(OwnedSemaphorePermit),
    Waits(Arc<Semaphore>, Waits),
}

impl Slot {
    async fn turn(self) -> ApiResult<OwnedSemaphorePermit> {
        match self {
            Slot::Turn(turn) => Ok(turn),
            Slot::Waits(turns, _waits) => turns.acquire_owned().await.map_err(|e| ApiError::fault(&e)),
        }
    }
}

/// Counts one waiting task until dropped.
struct Waits(Arc<AtomicUsize>);

impl Drop for Waits {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

/// Removes work from the list when dropped.
struct Registered {
    number: u64,
    open: Arc<OpenWorks>,
}

impl Drop for Registered {
    fn drop(&mut self) {
        lock(&self.open).remove(&self.number);
    }
}

/// Work that has a place in the queue.
pub struct Task {
    place: Slot,
    stop: Arc<StopSignal>,
    entry: Registered,
}

impl Task {
    /// Name to stop it by.
    pub fn name(&self) -> String {
        format!("s{}", self.entry.number)
    }

    /// The signal that stops it.
    pub fn stop(&self) -> Arc<StopSignal> {
        self.stop.clone()
    }

    /// Waits for a permit and runs the work. Dropping this future before the end means that the client has disconnected.
    ///
    /// # Errors
    /// 503 when it was stopped before its turn; 500 when the work panics.
    pub async fn run<T: Send + 'static>(self, work: impl FnOnce(&StopSignal) -> T + Send + 'static) -> ApiResult<T> {
        let Task { place, stop, entry } = self;
        let leaves = LeaveGuard::new(stop.clone());
        let turn = match place {
            // Work that can start at once does so even when already stopped: it then ends with its first result.
            Slot::Turn(turn) if !stop.is_left() => turn,
            waiting => tokio::select! {
                biased;
                () = stop.wait() => return Err(ApiError::busy("stopped before it started", 5)),
                turn = waiting.turn() => turn?,
            },
        };
        let done = tokio::task::spawn_blocking(move || {
            let _held = (turn, entry);
            work(&stop)
        });
        let done = done.await?;
        leaves.disarm();
        Ok(done)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Work that runs until it is stopped.
    fn endless(stop: &StopSignal) {
        while !stop.is_set() {
            std::thread::sleep(Duration::from_millis(1));
        }
    }

    async fn until(holds: impl Fn() -> bool) {
        for _ in 0..5000 {
            if holds() {
                return;
            }
            tokio::time::sleep(Duration::from_millis(1)).await;
        }
        panic!("it never came to hold");
    }

    #[tokio::test]
    async fn a_lane_ends_and_what_nobody_waits_for_frees_its_place() {
        let work = Arc::new(WorkQueue::default());
        let bounds = Lane::Make.bounds();
        let callers: Vec<_> = (0..bounds.at_a_time + bounds.waiting)
            .map(|_| {
                let work = work.clone();
                tokio::spawn(async move { work.run(Lane::Make, endless).await })
            })
            .collect();
        until(|| lock(&work.open).len() == bounds.at_a_time + bounds.waiting).await;
        assert!(work.run(Lane::Make, |_| ()).await.is_err(), "beyond the queue's end");
        assert!(work.run(Lane::Read, |_| ()).await.is_ok(), "another lane");
        callers.iter().for_each(tokio::task::JoinHandle::abort);
        until(|| lock(&work.open).is_empty()).await;
        assert!(work.run(Lane::Make, |_| ()).await.is_ok());
    }

    #[tokio::test]
    async fn a_turn_belongs_to_the_work_and_not_to_its_caller() {
        let work = WorkQueue::default();
        let turns = work.lanes[Lane::Intake as usize].turns.clone();
        let (begun, began) = std::sync::mpsc::channel();
        let (end, ended) = std::sync::mpsc::channel::<()>();
        let stubborn = move |_: &StopSignal| {
            let _ = begun.send(());
            let _ = ended.recv();
        };
        let mut call = Box::pin(work.run(Lane::Intake, stubborn));
        // Polled once: the work begins, and then its caller leaves.
        let _ = tokio::time::timeout(Duration::from_millis(1), &mut call).await;
        assert!(began.recv().is_ok());
        drop(call);
        assert_eq!(turns.available_permits(), 0, "the thread is still busy");
        drop(end);
        until(|| turns.available_permits() == 1).await;
    }

    #[tokio::test]
    async fn work_is_stopped_by_its_name_and_waiting_work_never_begins() {
        let work = WorkQueue::default();
        let running: Vec<Task> = (0..2).map(|_| work.begin(Lane::Search, Some("a")).unwrap()).collect();
        let waiting = work.begin(Lane::Search, Some("b")).unwrap();
        let name = waiting.name();
        assert!(!work.stop("a", &name) && !work.stop("b", "s99") && work.stop("b", &name));
        let began = Arc::new(AtomicBool::new(false));
        let seen = began.clone();
        assert!(waiting.run(move |_| seen.store(true, Ordering::Relaxed)).await.is_err());
        assert!(!began.load(Ordering::Relaxed));
        work.stop_all();
        assert!(running.iter().all(|task| task.stop.is_set()));
    }
}
