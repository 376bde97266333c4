//! The shelf, and bookings: a cut plan takes things off the shelf and puts what is left on it.

use sqlx::any::AnyRow;
use sqlx::{Any, Row as _, Transaction};

use crate::contents::{new_id, now};
use crate::database::Store;
use crate::error::StoreError;

/// A thing on the shelf.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShelfItem {
    /// Its id.
    pub id: String,
    /// What is written on it.
    pub label: String,
    /// What it is, in the words of the caller.
    pub what: String,
    /// When it was put there.
    pub made: i64,
    /// The booking that left it.
    pub from_booking: Option<String>,
}

/// A booking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Booking {
    /// Its id.
    pub id: String,
    /// Its job.
    pub job: String,
    /// The hash of the plan that was booked.
    pub plan: String,
    /// When.
    pub made: i64,
}

fn item(row: &AnyRow) -> Result<ShelfItem, StoreError> {
    Ok(ShelfItem {
        id: row.try_get("id")?,
        label: row.try_get("label")?,
        what: row.try_get("what")?,
        made: row.try_get("made")?,
        from_booking: row.try_get("from_booking")?,
    })
}

fn booking(row: &AnyRow) -> Result<Booking, StoreError> {
    Ok(Booking {
        id: row.try_get("id")?,
        job: row.try_get("job")?,
        plan: row.try_get("plan")?,
        made: row.try_get("made")?,
    })
}

async fn put(
    tx: &mut Transaction<'static, Any>,
    label: &str,
    what: &str,
    from: Option<&str>,
) -> Result<ShelfItem, StoreError> {
    let item = ShelfItem {
        id: new_id(),
        label: label.into(),
        what: what.into(),
        made: now(),
        from_booking: from.map(str::to_string),
    };
    sqlx::query("INSERT INTO shelf (id, label, what, made, from_booking) VALUES ($1, $2, $3, $4, $5)")
        .bind(&item.id)
        .bind(label)
        .bind(what)
        .bind(item.made)
        .bind(from)
        .execute(&mut **tx)
        .await?;
    Ok(item)
}

impl Store {
    /// What is on the shelf, in the order in which it was put there.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn shelf(&self) -> Result<Vec<ShelfItem>, StoreError> {
        let rows = sqlx::query("SELECT * FROM shelf WHERE taken_by IS NULL ORDER BY made, id");
        rows.fetch_all(&self.pool).await?.iter().map(item).collect()
    }

    /// Puts a thing on the shelf.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn put_on_shelf(&self, label: &str, what: &str) -> Result<ShelfItem, StoreError> {
        let mut tx = self.write().await?;
        let item = put(&mut tx, label, what, None).await?;
        tx.commit().await?;
        Ok(item)
    }

    /// Takes a thing off the shelf for good; a booking that left it can still be undone.
    ///
    /// # Errors
    /// [`StoreError::Missing`] when it is not there, or taken by a booking.
    pub async fn throw_away(&self, id: &str) -> Result<(), StoreError> {
        let gone = sqlx::query("DELETE FROM shelf WHERE id = $1 AND taken_by IS NULL").bind(id);
        let gone = gone.execute(&self.pool).await?;
        if gone.rows_affected() == 0 { Err(StoreError::Missing("such thing on the shelf")) } else { Ok(()) }
    }

    /// The booking of a plan, when it has been booked.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn booking_of(&self, job: &str, plan: &str) -> Result<Option<Booking>, StoreError> {
        let row = sqlx::query("SELECT * FROM bookings WHERE job = $1 AND plan = $2").bind(job).bind(plan);
        row.fetch_optional(&self.pool).await?.as_ref().map(booking).transpose()
    }

    /// Every booking of a job.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn bookings(&self, job: &str) -> Result<Vec<Booking>, StoreError> {
        let rows = sqlx::query("SELECT * FROM bookings WHERE job = $1 ORDER BY made, id").bind(job);
        rows.fetch_all(&self.pool).await?.iter().map(booking).collect()
    }

    /// Books a plan: takes `takes` off the shelf and puts `leaves` (label and what) on it, all or nothing.
    ///
    /// # Errors
    /// [`StoreError::Refused`] when one of them is no longer there, or the plan is booked already.
    pub async fn book(
        &self,
        job: &str,
        plan: &str,
        takes: &[String],
        leaves: &[(String, String)],
    ) -> Result<Booking, StoreError> {
        let made = Booking { id: new_id(), job: job.into(), plan: plan.into(), made: now() };
        let mut tx = self.write().await?;
        let new =
            sqlx::query("INSERT INTO bookings (id, job, plan, made) VALUES ($1, $2, $3, $4) ON CONFLICT DO NOTHING")
                .bind(&made.id)
                .bind(job)
                .bind(plan)
                .bind(made.made)
                .execute(&mut *tx)
                .await?;
        if new.rows_affected() == 0 {
            return Err(StoreError::Refused("this plan is booked already".into()));
        }
        for id in takes {
            let taken = sqlx::query("UPDATE shelf SET taken_by = $1 WHERE id = $2 AND taken_by IS NULL")
                .bind(&made.id)
                .bind(id)
                .execute(&mut *tx)
                .await?;
            if taken.rows_affected() == 0 {
                let label: Option<String> = sqlx::query_scalar("SELECT label FROM shelf WHERE id = $1")
                    .bind(id)
                    .fetch_optional(&mut *tx)
                    .await?;
                let label = label.unwrap_or_else(|| "a thing that the plan uses".into());
                return Err(StoreError::Refused(format!("{label} is no longer on the shelf: cut the job anew")));
            }
        }
        for (label, what) in leaves {
            put(&mut tx, label, what, Some(&made.id)).await?;
        }
        tx.commit().await?;
        Ok(made)
    }

    /// Undoes a booking: what it took is on the shelf again, what it left is not.
    ///
    /// # Errors
    /// [`StoreError::Missing`]; [`StoreError::Refused`] when another booking has taken what it left.
    pub async fn unbook(&self, id: &str) -> Result<(), StoreError> {
        let mut tx = self.write().await?;
        // The row's lock: two who undo it wait for one another.
        let there = sqlx::query("UPDATE bookings SET made = made WHERE id = $1").bind(id).execute(&mut *tx).await?;
        if there.rows_affected() == 0 {
            return Err(StoreError::Missing("such booking"));
        }
        sqlx::query("DELETE FROM shelf WHERE from_booking = $1 AND taken_by IS NULL")
            .bind(id)
            .execute(&mut *tx)
            .await?;
        let used = sqlx::query("SELECT * FROM shelf WHERE from_booking = $1").bind(id).fetch_optional(&mut *tx).await?;
        if let Some(row) = used {
            let label = item(&row)?.label;
            return Err(StoreError::Refused(format!("{label}, which it left, has been used by another booking since")));
        }
        sqlx::query("UPDATE shelf SET taken_by = NULL WHERE taken_by = $1").bind(id).execute(&mut *tx).await?;
        sqlx::query("DELETE FROM bookings WHERE id = $1").bind(id).execute(&mut *tx).await?;
        tx.commit().await?;
        Ok(())
    }
}
