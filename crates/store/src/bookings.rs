//! Stock on hand (the shelf), and bookings: a cut plan takes items from the shelf and adds its offcuts.

use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row as _};

use crate::contents::new_id;
use crate::database::Store;
use crate::error::StoreError;
use crate::seals::{BOOKINGS, SHELF, seal};

/// An item of stock on hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShelfItem {
    /// Id of the shelf item.
    pub id: String,
    /// Label written on the item.
    pub label: String,
    /// Description of the item; the store does not interpret it.
    pub what: String,
    /// When it was added.
    pub made: i64,
    /// The booking whose offcut it is.
    pub from_booking: Option<String>,
}

/// A booking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Booking {
    /// Id of the booking.
    pub id: String,
    /// Job of the booking.
    pub job: String,
    /// The hash of the plan that was booked.
    pub plan: String,
    /// When it was made.
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
    tx: &mut AnyConnection,
    label: &str,
    what: &str,
    from: Option<&str>,
    made: i64,
) -> Result<ShelfItem, StoreError> {
    let item = ShelfItem {
        id: new_id(),
        label: label.into(),
        what: what.into(),
        made,
        from_booking: from.map(str::to_string),
    };
    sqlx::query("INSERT INTO shelf (id, label, what, made, from_booking) VALUES ($1, $2, $3, $4, $5)")
        .bind(&item.id)
        .bind(label)
        .bind(what)
        .bind(made)
        .bind(from)
        .execute(&mut *tx)
        .await?;
    seal(tx, &SHELF, &[&item.id]).await?;
    Ok(item)
}

/// Ids of the items that a booking took.
async fn taken_by(tx: &mut AnyConnection, booking: &str) -> Result<Vec<String>, sqlx::Error> {
    sqlx::query_scalar("SELECT id FROM shelf WHERE taken_by = $1").bind(booking).fetch_all(tx).await
}

impl Store {
    /// Items on the shelf, oldest first.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn shelf(&self) -> Result<Vec<ShelfItem>, StoreError> {
        let select = sqlx::query("SELECT * FROM shelf WHERE taken_by IS NULL ORDER BY made, id");
        self.rows(select).await?.iter().map(item).collect()
    }

    /// Adds `count` equal items to the shelf, all or none.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn add_to_shelf(&self, label: &str, what: &str, count: u32) -> Result<Vec<ShelfItem>, StoreError> {
        let (label, what, now) = (label.to_string(), what.to_string(), (self.clock)());
        self.write(move |tx| {
            Box::pin(async move {
                let mut items = Vec::new();
                for _ in 0..count {
                    items.push(put(tx, &label, &what, None, now).await?);
                }
                Ok(items)
            })
        })
        .await
    }

    /// Removes an item from the shelf for good; the booking whose offcut it is can still be cancelled.
    ///
    /// # Errors
    /// [`StoreError::Missing`] when there is none, or a booking has taken it.
    pub async fn remove_from_shelf(&self, id: &str) -> Result<(), StoreError> {
        let id = id.to_string();
        self.write(move |tx| {
            Box::pin(async move {
                let gone = sqlx::query("DELETE FROM shelf WHERE id = $1 AND taken_by IS NULL").bind(id);
                match gone.execute(tx).await?.rows_affected() {
                    0 => Err(StoreError::Missing("such item on the shelf")),
                    _ => Ok(()),
                }
            })
        })
        .await
    }

    /// The booking of a plan, if any.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn booking_of(&self, job: &str, plan: &str) -> Result<Option<Booking>, StoreError> {
        let select = sqlx::query("SELECT * FROM bookings WHERE job = $1 AND plan = $2").bind(job).bind(plan);
        self.row(select).await?.as_ref().map(booking).transpose()
    }

    /// All bookings of a job, oldest first.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn bookings(&self, job: &str) -> Result<Vec<Booking>, StoreError> {
        let select = sqlx::query("SELECT * FROM bookings WHERE job = $1 ORDER BY made, id").bind(job);
        self.rows(select).await?.iter().map(booking).collect()
    }

    /// Books a plan: takes the items `takes` from the shelf and adds `leaves` (label and description), all or nothing.
    ///
    /// # Errors
    /// [`StoreError::Refused`] when an item is no longer there or the plan is already booked.
    pub async fn book(
        &self,
        job: &str,
        plan: &str,
        takes: &[String],
        leaves: &[(String, String)],
    ) -> Result<Booking, StoreError> {
        let made = Booking { id: new_id(), job: job.into(), plan: plan.into(), made: (self.clock)() };
        let mut takes = takes.to_vec();
        // In one order for all: two bookings of the same items never deadlock.
        takes.sort();
        let leaves = leaves.to_vec();
        self.write(move |tx| Box::pin(book(tx, made, takes, leaves))).await
    }

    /// Cancels a booking: returns what it took and removes the offcuts it added.
    ///
    /// # Errors
    /// [`StoreError::Missing`]; [`StoreError::Refused`] when another booking has taken one of its offcuts.
    pub async fn unbook(&self, id: &str) -> Result<(), StoreError> {
        let id = id.to_string();
        self.write(move |tx| Box::pin(unbook(tx, id))).await
    }
}

async fn book(
    tx: &mut AnyConnection,
    made: Booking,
    takes: Vec<String>,
    leaves: Vec<(String, String)>,
) -> Result<Booking, StoreError> {
    let new = sqlx::query("INSERT INTO bookings (id, job, plan, made) VALUES ($1, $2, $3, $4) ON CONFLICT DO NOTHING")
        .bind(&made.id)
        .bind(&made.job)
        .bind(&made.plan)
        .bind(made.made)
        .execute(&mut *tx)
        .await?;
    if new.rows_affected() == 0 {
        return Err(StoreError::Refused("the stock of this plan is already reserved".into()));
    }
    seal(tx, &BOOKINGS, &[&made.id]).await?;
    for id in &takes {
        let taken = sqlx::query("UPDATE shelf SET taken_by = $1 WHERE id = $2 AND taken_by IS NULL")
            .bind(&made.id)
            .bind(id)
            .execute(&mut *tx)
            .await?;
        if taken.rows_affected() == 0 {
            let label: Option<String> =
                sqlx::query_scalar("SELECT label FROM shelf WHERE id = $1").bind(id).fetch_optional(&mut *tx).await?;
            let label = label.unwrap_or_else(|| "an item that the plan uses".into());
            return Err(StoreError::Refused(format!("{label} is no longer in stock: re-plan the cuts")));
        }
        seal(tx, &SHELF, &[id]).await?;
    }
    for (label, what) in &leaves {
        put(tx, label, what, Some(&made.id), made.made).await?;
    }
    Ok(made)
}

async fn unbook(tx: &mut AnyConnection, id: String) -> Result<(), StoreError> {
    // Takes the row's lock: two cancellations wait for one another.
    let there = sqlx::query("UPDATE bookings SET made = made WHERE id = $1").bind(&id).execute(&mut *tx).await?;
    if there.rows_affected() == 0 {
        return Err(StoreError::Missing("such booking"));
    }
    sqlx::query("DELETE FROM shelf WHERE from_booking = $1 AND taken_by IS NULL").bind(&id).execute(&mut *tx).await?;
    let used = sqlx::query("SELECT * FROM shelf WHERE from_booking = $1").bind(&id).fetch_optional(&mut *tx).await?;
    if let Some(row) = used {
        let label = item(&row)?.label;
        return Err(StoreError::Refused(format!("its offcut {label} has since been used by another booking")));
    }
    let taken = taken_by(tx, &id).await?;
    sqlx::query("UPDATE shelf SET taken_by = NULL WHERE taken_by = $1").bind(&id).execute(&mut *tx).await?;
    for thing in &taken {
        seal(tx, &SHELF, &[thing]).await?;
    }
    sqlx::query("DELETE FROM bookings WHERE id = $1").bind(&id).execute(&mut *tx).await?;
    Ok(())
}
