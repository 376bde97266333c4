//! What was found in photos, and what surveys with photos came to, in memory: both take seconds to work out again.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use app::survey_job::SurveyReport;
use app::survey_job::photo_files::{SearchedPhoto, search, thumbnail};
use axum::body::Bytes;
use job::{Problem, Problems};
use lru::LruCache;
use store::Hash;

/// Photos kept: those of a dozen jobs; a thumbnail takes some 30 kB.
const MOST_PHOTOS: usize = 480;
/// Answers kept: one takes up to 2 MB.
const MOST_ANSWERS: usize = 16;

/// Name of a photo and the hash of its file.
pub type PhotoKey = (String, Hash);

/// A photo that was looked through.
#[derive(Debug)]
pub struct CachedPhoto {
    /// The markers in it.
    pub searched: Arc<SearchedPhoto>,
    /// A small picture of it, JPEG.
    pub thumbnail: Bytes,
    /// Length of its file, bytes.
    pub length: usize,
}

/// What a survey came to.
pub type SurveyResult = Arc<Result<SurveyReport, Problems>>;

/// Photos and answers, the least recently used dropped first.
#[derive(Debug)]
pub struct PhotoCache {
    photos: Mutex<LruCache<PhotoKey, Arc<CachedPhoto>>>,
    answers: Mutex<LruCache<Hash, SurveyResult>>,
    searching: Mutex<()>,
}

impl Default for PhotoCache {
    fn default() -> Self {
        PhotoCache {
            photos: Mutex::new(LruCache::unbounded()),
            answers: Mutex::new(LruCache::unbounded()),
            searching: Mutex::default(),
        }
    }
}

/// Takes a lock. A thread that panicked while holding it cannot have left the data half-changed.
fn locked<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl PhotoCache {
    /// The photo, when it is in memory.
    pub fn get(&self, key: &PhotoKey) -> Option<Arc<CachedPhoto>> {
        locked(&self.photos).get(key).cloned()
    }

    /// Decodes and looks through a photo, one at a time, and keeps what was found. A file on which a decoder panics is refused
    /// like any bad file.
    ///
    /// # Errors
    /// Why it cannot be used.
    pub fn search(&self, key: PhotoKey, bytes: &[u8]) -> Result<Arc<CachedPhoto>, Box<Problem>> {
        let _turn = locked(&self.searching);
        if let Some(known) = self.get(&key) {
            return Ok(known);
        }
        let found = catch_unwind(AssertUnwindSafe(|| search(&key.0, bytes)));
        let (searched, grey) = found.unwrap_or_else(|_| {
            tracing::warn!(name = key.0, "a decoder panicked on a photo");
            let problem =
                Problem::error("broken-photo", format!("{}: the file is damaged in an unexpected way", key.0));
            Err(Box::new(problem.expected("a photo in JPEG or PNG").hint("copy it from the phone again")))
        })?;
        let thumbnail = thumbnail(&grey).into();
        let photo = Arc::new(CachedPhoto { searched: Arc::new(searched), thumbnail, length: bytes.len() });
        let mut photos = locked(&self.photos);
        photos.put(key, photo.clone());
        if photos.len() > MOST_PHOTOS {
            photos.pop_lru();
        }
        Ok(photo)
    }

    /// What a survey came to, by the hash of its text and its photos.
    pub fn answer(&self, key: &Hash) -> Option<SurveyResult> {
        locked(&self.answers).get(key).cloned()
    }

    /// Keeps what a survey came to.
    pub fn keep_answer(&self, key: Hash, answer: SurveyResult) {
        let mut answers = locked(&self.answers);
        answers.put(key, answer);
        if answers.len() > MOST_ANSWERS {
            answers.pop_lru();
        }
    }
}
