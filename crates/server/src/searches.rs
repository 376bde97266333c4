//! Searches on their way: a few at a time, a short queue, each can be stopped.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// Searches at a time. Each uses every core it can get.
const AT_A_TIME: usize = 2;

/// Searches that may wait.
const QUEUE: usize = 4;

/// The flag by which a search is stopped.
pub type StopFlag = Arc<AtomicBool>;

/// All searches.
#[derive(Debug)]
pub struct Searches {
    turns: Arc<Semaphore>,
    waiting: AtomicUsize,
    running: Mutex<BTreeMap<String, (String, StopFlag)>>,
    number: AtomicUsize,
}

impl Default for Searches {
    fn default() -> Self {
        Searches {
            turns: Arc::new(Semaphore::new(AT_A_TIME)),
            waiting: AtomicUsize::new(0),
            running: Mutex::default(),
            number: AtomicUsize::new(0),
        }
    }
}

impl Searches {
    /// A turn to search, waited for; `None` when too many wait already.
    pub async fn turn(&self) -> Option<OwnedSemaphorePermit> {
        if let Ok(turn) = self.turns.clone().try_acquire_owned() {
            return Some(turn);
        }
        let waits = Waits::new(&self.waiting);
        if waits.before >= QUEUE {
            return None;
        }
        self.turns.clone().acquire_owned().await.ok()
    }

    /// Notes a search of a job; its name and the flag that stops it.
    pub fn begin(&self, job: &str) -> (String, StopFlag) {
        let name = format!("s{}", self.number.fetch_add(1, Ordering::Relaxed) + 1);
        let flag = StopFlag::default();
        self.lock().insert(name.clone(), (job.to_string(), flag.clone()));
        (name, flag)
    }

    /// Forgets a search that has ended.
    pub fn end(&self, name: &str) {
        self.lock().remove(name);
    }

    /// Stops a search of a job; `false` when there is none of that name.
    pub fn stop(&self, job: &str, name: &str) -> bool {
        match self.lock().get(name) {
            Some((of, flag)) if of == job => {
                flag.store(true, Ordering::Relaxed);
                true
            }
            _ => false,
        }
    }

    /// Stops all of them: the server is about to end.
    pub fn stop_all(&self) {
        self.lock().values().for_each(|(_, flag)| flag.store(true, Ordering::Relaxed));
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, BTreeMap<String, (String, StopFlag)>> {
        self.running.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Counts one that waits, until it is dropped.
struct Waits<'a> {
    count: &'a AtomicUsize,
    before: usize,
}

impl<'a> Waits<'a> {
    fn new(count: &'a AtomicUsize) -> Self {
        Waits { count, before: count.fetch_add(1, Ordering::Relaxed) }
    }
}

impl Drop for Waits<'_> {
    fn drop(&mut self) {
        self.count.fetch_sub(1, Ordering::Relaxed);
    }
}
