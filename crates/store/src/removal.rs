//! Deletion of a job for good.
//!
//! Its revisions, notes and bookings go with it, and the items that its bookings used up. Offcuts that its bookings put on
//! the shelf stay there: the metal exists. Contents that only it had go with the next [`Store::compact`].

use sqlx::AnyConnection;

use crate::database::Store;
use crate::error::StoreError;
use crate::jobs::job_in;
use crate::seals::{SHELF, seal};

impl Store {
    /// Deletes an archived job for good.
    ///
    /// # Errors
    /// [`StoreError::Missing`]; [`StoreError::Conflict`] when it has changed since `version`; [`StoreError::Refused`] when
    /// it is not archived.
    pub async fn delete(&self, id: &str, version: i64) -> Result<(), StoreError> {
        let id = id.to_string();
        self.write(move |tx| Box::pin(delete(tx, id, version))).await
    }
}

async fn delete(tx: &mut AnyConnection, id: String, version: i64) -> Result<(), StoreError> {
    // Takes the job's lock: nobody changes or books it meanwhile.
    sqlx::query("UPDATE jobs SET version = version WHERE id = $1").bind(&id).execute(&mut *tx).await?;
    let job = job_in(tx, &id).await?;
    if job.version != version {
        return Err(StoreError::Conflict { version: job.version, last: Box::new(job.head) });
    }
    if !job.archived {
        return Err(StoreError::Refused("only an archived job can be deleted; archive it first".into()));
    }
    let offcuts = "SELECT s.id FROM shelf s JOIN bookings b ON b.id = s.from_booking WHERE b.job = $1";
    let offcuts: Vec<String> = sqlx::query_scalar(offcuts).bind(&id).fetch_all(&mut *tx).await?;
    for statement in [
        "DELETE FROM shelf WHERE taken_by IN (SELECT id FROM bookings WHERE job = $1)",
        "UPDATE shelf SET from_booking = NULL WHERE from_booking IN (SELECT id FROM bookings WHERE job = $1)",
        "DELETE FROM bookings WHERE job = $1",
        "DELETE FROM notes WHERE owner IN (SELECT id FROM revisions WHERE job = $1)",
        // The ticks at the saw belong to the job and a plan.
        "DELETE FROM notes WHERE owner LIKE $1 || ' %'",
        "DELETE FROM documents WHERE revision IN (SELECT id FROM revisions WHERE job = $1)",
        "UPDATE revisions SET parent = NULL WHERE job = $1",
        "DELETE FROM revisions WHERE job = $1",
        "DELETE FROM jobs WHERE id = $1",
    ] {
        sqlx::query(statement).bind(&id).execute(&mut *tx).await?;
    }
    for offcut in offcuts {
        seal(tx, &SHELF, &[&offcut]).await?;
    }
    Ok(())
}
