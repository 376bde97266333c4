//! Room in memory for what callers send: bodies, and what is unpacked of them, over all callers at a time.

use std::sync::Arc;

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use crate::errors::{ApiError, ApiResult};
use crate::settings::LONGEST_MESH;

/// Bodies held at a time, bytes: one of the longest, and some for everybody else.
const BODIES: usize = LONGEST_MESH + (20 << 20);

/// Bytes unpacked of archives at a time: one archive of the largest.
const UNPACKED: usize = app::archive::LONGEST;

/// Room is counted in pieces of this size, bytes.
const PIECE: usize = 1 << 10;

/// What room there is.
#[derive(Debug)]
pub struct MemoryBudget {
    bodies: Arc<Semaphore>,
    unpacked: Arc<Semaphore>,
}

impl Default for MemoryBudget {
    fn default() -> Self {
        let of = |bytes: usize| Arc::new(Semaphore::new(bytes / PIECE));
        MemoryBudget { bodies: of(BODIES), unpacked: of(UNPACKED) }
    }
}

impl MemoryBudget {
    /// Waits for room for a body.
    ///
    /// # Errors
    /// None but at the end of the program.
    pub async fn of_body(&self, bytes: usize) -> ApiResult<OwnedSemaphorePermit> {
        take(&self.bodies, bytes, BODIES).await
    }

    /// Waits for room for what is unpacked of an archive. Its body has been read, so that room is always taken in this
    /// order and two callers never wait for one another.
    ///
    /// # Errors
    /// As [`MemoryBudget::of_body`].
    pub async fn of_unpacked(&self, bytes: usize) -> ApiResult<OwnedSemaphorePermit> {
        take(&self.unpacked, bytes, UNPACKED).await
    }
}

async fn take(from: &Arc<Semaphore>, bytes: usize, most: usize) -> ApiResult<OwnedSemaphorePermit> {
    let pieces = bytes.min(most).div_ceil(PIECE) as u32;
    from.clone().acquire_many_owned(pieces).await.map_err(|e| ApiError::fault(&e))
}
