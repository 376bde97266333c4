//! What has been read once is not read again: jobs by their revision, meshes by their content and place.

use std::num::NonZeroUsize;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use geom::Mesh;
use lru::LruCache;

use crate::desk::Desk;

/// Jobs kept read: one for each page that is open, and some to go back and forth.
const JOBS: NonZeroUsize = NonZeroUsize::new(64).expect("not zero");

/// Triangles kept indexed, of all meshes together. A million take about 300 MB.
const TRIANGLES: usize = 3_000_000;

/// Which reading of a job: its revision, and the hash of the shop's file that it was read with.
pub type DeskKey = (String, String);

/// Which mesh: hash of its file, unit and place.
pub type MeshKey = (String, String);

/// What is kept.
#[derive(Debug)]
pub struct Cache {
    desks: Mutex<LruCache<DeskKey, Arc<Desk>>>,
    meshes: Mutex<LruCache<MeshKey, Arc<Mesh>>>,
}

impl Default for Cache {
    fn default() -> Self {
        Cache { desks: Mutex::new(LruCache::new(JOBS)), meshes: Mutex::new(LruCache::unbounded()) }
    }
}

/// A lock whose holder panicked holds a map that is whole all the same.
fn open<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Cache {
    /// A job that was read.
    pub fn desk(&self, key: &DeskKey) -> Option<Arc<Desk>> {
        open(&self.desks).get(key).cloned()
    }

    /// Keeps a job that was read.
    pub fn keep_desk(&self, key: DeskKey, desk: Arc<Desk>) {
        open(&self.desks).put(key, desk);
    }

    /// A mesh that was indexed.
    pub fn mesh(&self, key: &MeshKey) -> Option<Arc<Mesh>> {
        open(&self.meshes).get(key).cloned()
    }

    /// Keeps a mesh that was indexed, and lets go of those not used longest.
    pub fn keep_mesh(&self, key: MeshKey, mesh: Arc<Mesh>) {
        let mut meshes = open(&self.meshes);
        meshes.put(key, mesh);
        while meshes.len() > 1 && meshes.iter().map(|(_, m)| m.triangles().len()).sum::<usize>() > TRIANGLES {
            meshes.pop_lru();
        }
    }
}
