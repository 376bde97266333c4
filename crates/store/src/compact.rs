//! Deletion of old revisions by a retention rule.
//!
//! Always kept: revisions with a name, the head of a job and what redo would restore, and the plan of a booking. The child of
//! a deleted revision gets the nearest older kept one as its parent, so undo steps over the gap.

use std::collections::{BTreeMap, BTreeSet};
use std::str::FromStr;
use std::time::Duration;

use sqlx::{AnyConnection, Executor as _, Row as _};

use crate::connection::close;
use crate::database::Store;
use crate::error::StoreError;
use crate::location::Dialect;
use crate::seals::{REVISIONS, seal};

/// Longest deletion.
const LONGEST_CLEARING: Duration = Duration::from_secs(3600);

/// A day, ms.
const DAY: i64 = 24 * 3600 * 1000;

/// Which revisions of each job to keep: the newest, those of the last days, or both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RetentionRule {
    /// Number of the newest to keep.
    pub last: Option<u32>,
    /// Age below which all are kept, days.
    pub days: Option<u32>,
}

impl FromStr for RetentionRule {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let mut rule = RetentionRule { last: None, days: None };
        for part in text.split(',') {
            let wrong =
                || format!("{part:?} is not a rule; expected last=NUMBER, days=NUMBER or both: last=50,days=90");
            let (name, number) = part.trim().split_once('=').ok_or_else(wrong)?;
            let number = number.trim().parse().ok().filter(|n| (1..=1_000_000).contains(n));
            let number: u32 = number.ok_or_else(|| format!("{part:?}: expected a number from 1 to 1000000"))?;
            match name.trim() {
                "last" if rule.last.is_none() => rule.last = Some(number),
                "days" if rule.days.is_none() => rule.days = Some(number),
                _ => return Err(wrong()),
            }
        }
        Ok(rule)
    }
}

/// Numbers of deleted rows.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Cleared {
    /// Deleted revisions.
    pub revisions: u64,
    /// Deleted contents that nothing referred to any more.
    pub contents: u64,
}

impl Store {
    /// Deletes the revisions that the rule does not keep, and contents that only they had; a server may be running.
    ///
    /// # Errors
    /// [`StoreError`]; nothing is deleted then.
    pub async fn compact(&self, rule: RetentionRule) -> Result<Cleared, StoreError> {
        let (dialect, now) = (self.dialect, (self.clock)());
        let cleared = self.write_within(LONGEST_CLEARING, move |tx| Box::pin(clear(tx, dialect, rule, now))).await?;
        if self.dialect == Dialect::Sqlite {
            // Returns the space to the disk. PostgreSQL does so by itself.
            let mut connection = self.own_connection().await?;
            let done = connection.execute("VACUUM").await.map_err(|e| self.explain(e));
            close(connection).await;
            done?;
        }
        Ok(cleared)
    }
}

async fn clear(tx: &mut AnyConnection, dialect: Dialect, rule: RetentionRule, now: i64) -> Result<Cleared, StoreError> {
    if dialect == Dialect::Postgres {
        // Nobody may start to use a content while it is being deleted.
        tx.execute("LOCK TABLE contents IN SHARE ROW EXCLUSIVE MODE").await?;
    }
    let jobs: Vec<String> = sqlx::query_scalar("SELECT id FROM jobs ORDER BY id").fetch_all(&mut *tx).await?;
    let mut cleared = Cleared::default();
    for job in jobs {
        // Takes the job's lock: its head does not move meanwhile.
        sqlx::query("UPDATE jobs SET version = version WHERE id = $1").bind(&job).execute(&mut *tx).await?;
        cleared.revisions += clear_job(tx, &job, rule, now).await?;
    }
    let loose = "DELETE FROM contents WHERE NOT EXISTS (SELECT 1 FROM documents d WHERE d.hash = contents.hash)";
    cleared.contents = tx.execute(loose).await?.rows_affected();
    Ok(cleared)
}

/// A revision as a rule sees it.
struct RevisionLinks {
    parent: Option<String>,
    number: i64,
    named: bool,
    made: i64,
    redo: Option<String>,
}

async fn clear_job(tx: &mut AnyConnection, job: &str, rule: RetentionRule, now: i64) -> Result<u64, StoreError> {
    let seen = read(tx, job).await?;
    let head: String = sqlx::query_scalar("SELECT head FROM jobs WHERE id = $1").bind(job).fetch_one(&mut *tx).await?;
    let booked: Vec<String> = sqlx::query_scalar(
        "SELECT r.id FROM revisions r JOIN documents d ON d.revision = r.id AND d.name = 'cutplan.json' \
         JOIN bookings b ON b.job = r.job AND b.plan = d.hash WHERE r.job = $1",
    )
    .bind(job)
    .fetch_all(&mut *tx)
    .await?;
    let kept = kept(&seen, &head, booked, rule, now);
    for (id, revision) in seen.iter().filter(|(id, _)| kept.contains(*id)) {
        relink(tx, id, revision, &seen, &kept).await?;
    }
    // Children before their parents.
    let mut gone: Vec<(&String, &RevisionLinks)> = seen.iter().filter(|(id, _)| !kept.contains(*id)).collect();
    gone.sort_by_key(|(_, revision)| -revision.number);
    for (id, _) in &gone {
        for delete in [
            "DELETE FROM documents WHERE revision = $1",
            "DELETE FROM notes WHERE owner = $1",
            "DELETE FROM revisions WHERE id = $1",
        ] {
            sqlx::query(delete).bind(*id).execute(&mut *tx).await?;
        }
    }
    Ok(gone.len() as u64)
}

async fn read(tx: &mut AnyConnection, job: &str) -> Result<BTreeMap<String, RevisionLinks>, StoreError> {
    let select = "SELECT id, parent, number, name, made, redo FROM revisions WHERE job = $1";
    let rows = sqlx::query(select).bind(job).fetch_all(tx).await?;
    let mut seen = BTreeMap::new();
    for row in rows {
        let revision = RevisionLinks {
            parent: row.try_get("parent")?,
            number: row.try_get("number")?,
            named: !row.try_get::<String, _>("name")?.is_empty(),
            made: row.try_get("made")?,
            redo: row.try_get("redo")?,
        };
        seen.insert(row.try_get("id")?, revision);
    }
    Ok(seen)
}

/// The revisions that stay.
fn kept(
    seen: &BTreeMap<String, RevisionLinks>,
    head: &str,
    booked: Vec<String>,
    rule: RetentionRule,
    now: i64,
) -> BTreeSet<String> {
    let mut kept: BTreeSet<String> = booked.into_iter().collect();
    let mut numbers: Vec<i64> = seen.values().map(|r| r.number).collect();
    numbers.sort_unstable_by(|a, b| b.cmp(a));
    let oldest = rule.last.map(|last| numbers.get(last as usize - 1).copied().unwrap_or(i64::MIN));
    let since = rule.days.map(|days| now - i64::from(days) * DAY);
    for (id, revision) in seen {
        let young = oldest.is_some_and(|n| revision.number >= n) || since.is_some_and(|t| revision.made >= t);
        if young || revision.named {
            kept.insert(id.clone());
        }
    }
    // The head, and what redo after redo would bring back: no more steps than there are revisions.
    let mut next = Some(head.to_string());
    for _ in 0..=seen.len() {
        let Some(id) = next else { break };
        next = seen.get(&id).and_then(|r| r.redo.clone());
        kept.insert(id);
    }
    kept
}

/// Gives a revision that stays a parent and a redo that stay too.
async fn relink(
    tx: &mut AnyConnection,
    id: &str,
    revision: &RevisionLinks,
    seen: &BTreeMap<String, RevisionLinks>,
    kept: &BTreeSet<String>,
) -> Result<(), StoreError> {
    let mut parent = revision.parent.as_ref();
    while let Some(gone) = parent.filter(|p| !kept.contains(*p)) {
        parent = seen.get(gone).and_then(|r| r.parent.as_ref());
    }
    let redo = revision.redo.as_ref().filter(|r| kept.contains(*r));
    if parent == revision.parent.as_ref() && redo == revision.redo.as_ref() {
        return Ok(());
    }
    sqlx::query("UPDATE revisions SET parent = $1, redo = $2 WHERE id = $3")
        .bind(parent)
        .bind(redo)
        .bind(id)
        .execute(&mut *tx)
        .await?;
    Ok(seal(tx, &REVISIONS, &[id]).await?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_are_read_and_nonsense_is_refused() {
        assert_eq!("last=50".parse(), Ok(RetentionRule { last: Some(50), days: None }));
        assert_eq!("last=50, days=90".parse(), Ok(RetentionRule { last: Some(50), days: Some(90) }));
        for bad in ["", "50", "last=0", "last=x", "last=1,last=2", "weeks=3", "last=99999999999"] {
            assert!(bad.parse::<RetentionRule>().is_err(), "{bad}");
        }
    }
}
