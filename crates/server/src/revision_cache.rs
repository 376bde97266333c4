//! Loaded revisions in memory.

use std::collections::BTreeSet;
use std::num::NonZeroUsize;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use lru::LruCache;
use store::Hash;

use crate::loaded::LoadedRevision;

/// Revisions kept in memory: one for each open page, and some to step back and forth.
const MOST_REVISIONS: NonZeroUsize = NonZeroUsize::new(64).expect("not zero");

/// Bytes of text of all cached revisions together. What is parsed from a text takes about ten times its length.
const MOST_TEXT: usize = 16 << 20;

/// Triangles of the meshes of all cached revisions together.
const MOST_TRIANGLES: usize = 1_000_000;

/// Id of the revision, and the hash of the shop's stock file that it was read with.
pub type RevisionKey = (String, Hash);

/// Loaded revisions, the least recently used dropped first.
#[derive(Debug)]
pub struct RevisionCache {
    revisions: Mutex<LruCache<RevisionKey, Arc<LoadedRevision>>>,
}

impl Default for RevisionCache {
    fn default() -> Self {
        RevisionCache { revisions: Mutex::new(LruCache::new(MOST_REVISIONS)) }
    }
}

/// Whether revisions take more memory together than they may; a mesh of several revisions counts once.
fn is_too_much<'a>(revisions: impl Iterator<Item = &'a LoadedRevision>) -> bool {
    let (mut text, mut triangles, mut seen) = (0, 0, BTreeSet::new());
    for loaded in revisions {
        text += loaded.size;
        for mesh in loaded.meshes() {
            if seen.insert(Arc::as_ptr(mesh)) {
                triangles += mesh.triangles().len();
            }
        }
    }
    text > MOST_TEXT || triangles > MOST_TRIANGLES
}

impl RevisionCache {
    /// A thread that panicked while holding the lock cannot have left the map half-changed.
    fn locked(&self) -> MutexGuard<'_, LruCache<RevisionKey, Arc<LoadedRevision>>> {
        self.revisions.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The revision under this key, when it is in memory.
    pub fn get(&self, key: &RevisionKey) -> Option<Arc<LoadedRevision>> {
        self.locked().get(key).cloned()
    }

    /// Adds a revision, and drops the least recently used ones above the limits. One that is too large is not cached.
    pub fn insert(&self, key: RevisionKey, loaded: Arc<LoadedRevision>) {
        if loaded.size > MOST_TEXT {
            return;
        }
        let mut revisions = self.locked();
        revisions.put(key, loaded);
        while revisions.len() > 1 && is_too_much(revisions.iter().map(|(_, loaded)| loaded.as_ref())) {
            revisions.pop_lru();
        }
    }
}
