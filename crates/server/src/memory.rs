//! Memory for uploads: bodies and their unpacked contents, over all clients.

use std::sync::Arc;

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use crate::errors::{ApiError, ApiResult};
use crate::settings::LONGEST_MESH;

/// Bytes of bodies in memory at a time: the largest one, and some more for everyone else.
const BODIES: usize = LONGEST_MESH + (20 << 20);

/// Bytes of unpacked archives in memory at a time: the largest one.
const UNPACKED: usize = app::archive::LONGEST;

/// Unit in which memory is counted, bytes.
const PIECE: usize = 1 << 10;

/// Memory left for uploads.
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
    /// Waits for memory for a body.
    ///
    /// # Errors
    /// Only at shutdown.
    pub async fn of_body(&self, bytes: usize) -> ApiResult<OwnedSemaphorePermit> {
        take(&self.bodies, bytes, BODIES).await
    }

    /// Waits for memory for an unpacked archive. Its body has been read before, so memory is always taken in this order and two
    /// clients never wait for one another.
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
