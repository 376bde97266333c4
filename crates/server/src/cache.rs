//! What has been read once is not read again: jobs by their revision, meshes by their content and place.

use std::collections::BTreeSet;
use std::num::NonZeroUsize;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use geom::Mesh;
use lru::LruCache;

use crate::loaded::LoadedRevision;

/// Jobs kept read: one for each page that is open, and some to go back and forth.
const JOBS: NonZeroUsize = NonZeroUsize::new(64).expect("not zero");

/// Bytes of texts of the jobs kept read, all together. What is read of a text takes some ten times its length.
const TEXTS: usize = 16 << 20;

/// Triangles kept indexed, of all meshes together, and again of the jobs kept read. A million take about 300 MB.
const TRIANGLES: usize = 1_000_000;

/// Which reading of a job: its revision, and the hash of the shop's file that it was read with.
pub type RevisionKey = (String, String);

/// Which mesh: hash of its file, unit and place.
pub type MeshKey = (String, String);

/// Whether jobs take more memory together than is given to them; a mesh of several revisions counts once.
fn is_too_much<'a>(revisions: impl Iterator<Item = &'a LoadedRevision>) -> bool {
    let (mut texts, mut triangles, mut seen) = (0, 0, BTreeSet::new());
    for loaded in revisions {
        texts += loaded.size;
        for mesh in loaded.meshes() {
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
    revisions: Mutex<LruCache<RevisionKey, Arc<LoadedRevision>>>,
    meshes: Mutex<LruCache<MeshKey, Arc<Mesh>>>,
    indexing: Mutex<()>,
}

impl Default for Cache {
    fn default() -> Self {
        Cache {
            revisions: Mutex::new(LruCache::new(JOBS)),
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
    pub fn loaded(&self, key: &RevisionKey) -> Option<Arc<LoadedRevision>> {
        open(&self.revisions).get(key).cloned()
    }

    /// Keeps a job that was read, and lets go of those not used longest. One that is too large is not kept.
    pub fn keep_revision(&self, key: RevisionKey, loaded: Arc<LoadedRevision>) {
        if loaded.size > TEXTS {
            return;
        }
        let mut revisions = open(&self.revisions);
        revisions.put(key, loaded);
        while revisions.len() > 1 && is_too_much(revisions.iter().map(|(_, loaded)| loaded.as_ref())) {
            revisions.pop_lru();
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
