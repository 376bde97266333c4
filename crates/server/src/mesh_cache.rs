//! Indexed meshes in memory, by the hash of their file and where they are placed.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use geom::Mesh;
use lru::LruCache;
use store::Hash;

/// Triangles kept in memory, of all indexed meshes together. A million take about 300 MB.
const MOST_CACHED_TRIANGLES: usize = 1_000_000;

/// Hash of the mesh file, and the unit and placement in text form.
pub type MeshKey = (Hash, String);

/// Indexed meshes, the least recently used dropped first.
#[derive(Debug)]
pub struct MeshCache {
    meshes: Mutex<LruCache<MeshKey, Arc<Mesh>>>,
    indexing: Mutex<()>,
}

impl Default for MeshCache {
    fn default() -> Self {
        MeshCache { meshes: Mutex::new(LruCache::unbounded()), indexing: Mutex::default() }
    }
}

/// Takes a lock. A thread that panicked while holding it cannot have left the data half-changed.
fn locked<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl MeshCache {
    /// Waits for the turn to index a mesh: one is indexed at a time, whoever needs it.
    pub fn indexing(&self) -> MutexGuard<'_, ()> {
        locked(&self.indexing)
    }

    /// The mesh under this key, when it is in memory.
    pub fn get(&self, key: &MeshKey) -> Option<Arc<Mesh>> {
        locked(&self.meshes).get(key).cloned()
    }

    /// Adds a mesh, and drops the least recently used ones above the limit. The newest always stays.
    pub fn insert(&self, key: MeshKey, mesh: Arc<Mesh>) {
        let mut meshes = locked(&self.meshes);
        meshes.put(key, mesh);
        while meshes.len() > 1 && meshes.iter().map(|(_, m)| m.triangles().len()).sum::<usize>() > MOST_CACHED_TRIANGLES
        {
            meshes.pop_lru();
        }
    }
}
