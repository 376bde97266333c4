//! What has been read once is not read again: jobs by their revision, meshes by their content and place.

use std::collections::BTreeSet;
use std::num::NonZeroUsize;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use geom::Mesh;
use lru::LruCache;

use crate::desk::Desk;

/// Jobs kept read: one for each page that is open, and some to go back and forth.
const JOBS: NonZeroUsize = NonZeroUsize::new(64).expect("not zero");

/// Bytes of texts of the jobs kept read, all together. What is read of a text takes some ten times its length.
const TEXTS: usize = 16 << 20;

/// Triangles kept indexed, of all meshes together, and again of the jobs kept read. A million take about 300 MB.
const TRIANGLES: usize = 1_000_000;

/// Which reading of a job: its revision, and the hash of the shop's file that it was read with.
pub type DeskKey = (String, String);

/// Which mesh: hash of its file, unit and place.
pub type MeshKey = (String, String);

/// Whether jobs take more memory together than is given to them; a mesh of several revisions counts once.
fn is_too_much<'a>(desks: impl Iterator<Item = &'a Desk>) -> bool {
    let (mut texts, mut triangles, mut seen) = (0, 0, BTreeSet::new());
    for desk in desks {
        texts += desk.size;
        for mesh in desk.meshes() {
            if seen.insert(Arc::as_ptr(mesh)) {
                triangles += mesh.triangles().len();
            }
        }
    }
    texts > TEXTS || triangles > TRIANGLES
}

/// What is kept.
#[derive(Debug)]
pub struct Cache {
    desks: Mutex<LruCache<DeskKey, Arc<Desk>>>,
    meshes: Mutex<LruCache<MeshKey, Arc<Mesh>>>,
    indexing: Mutex<()>,
}

impl Default for Cache {
    fn default() -> Self {
        Cache {
            desks: Mutex::new(LruCache::new(JOBS)),
            meshes: Mutex::new(LruCache::unbounded()),
            indexing: Mutex::default(),
        }
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

    /// Keeps a job that was read, and lets go of those not used longest. One that is too large is not kept.
    pub fn keep_desk(&self, key: DeskKey, desk: Arc<Desk>) {
        if desk.size > TEXTS {
            return;
        }
        let mut desks = open(&self.desks);
        desks.put(key, desk);
        while desks.len() > 1 && is_too_much(desks.iter().map(|(_, desk)| desk.as_ref())) {
            desks.pop_lru();
        }
    }

    /// A turn to index a mesh: one is indexed at a time, whoever needs it.
    pub fn indexing(&self) -> MutexGuard<'_, ()> {
        open(&self.indexing)
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
