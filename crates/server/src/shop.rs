//! The shop: state shared by all calls.

use std::sync::Arc;

use app::open_job::TEXTS;
use store::{Commit, DocumentUpdate, DocumentsWithTexts, JobRecord, Store, hash_of};
use tokio::runtime::Handle;

use crate::errors::{ApiError, ApiResult};
use crate::job_view::{JobSummary, JobView};
use crate::loaded::{LoadedRevision, Meshes};
use crate::lockout::Lockout;
use crate::memory::MemoryBudget;
use crate::mesh_cache::MeshCache;
use crate::photo_cache::PhotoCache;
use crate::revision_cache::{RevisionCache, RevisionKey};
use crate::session::Sessions;
use crate::settings::ServerSettings;
use crate::stored::{StoredDocuments, Texts};
use crate::work::{Lane, StopSignal, WorkQueue};

/// Name of the shop's file of stock and prices in the store.
pub const STOCK: &str = "stock.toml";

/// Name of the shop's terms for its customers in the store.
const TERMS: &str = "terms.txt";

/// Revisions looked back through for a bay that can be shown while job.toml has errors.
const LOOK_BACK: usize = 40;

/// The shop.
#[derive(Debug)]
pub struct Shop {
    /// Jobs, stock on hand and files.
    pub store: Store,
    /// Settings of the server.
    pub settings: ServerSettings,
    /// Loaded revisions.
    pub revisions: Arc<RevisionCache>,
    /// Indexed meshes.
    pub meshes: Arc<MeshCache>,
    /// Photos that were looked through, and surveys made of them.
    pub photos: Arc<PhotoCache>,
    /// Memory for uploads.
    pub room: MemoryBudget,
    /// Queue of heavy work.
    pub work: WorkQueue,
    /// Open sessions.
    pub sessions: Sessions,
    /// Protection against password guessing.
    pub lockout: Lockout,
}

/// The shop, shared by the handlers.
pub type SharedShop = Arc<Shop>;

impl Shop {
    /// A shop around an open store.
    pub fn new(store: Store, settings: ServerSettings) -> Shop {
        Shop {
            store,
            settings,
            revisions: Arc::default(),
            meshes: Arc::default(),
            photos: Arc::default(),
            room: MemoryBudget::default(),
            work: WorkQueue::default(),
            sessions: Sessions::default(),
            lockout: Lockout::default(),
        }
    }

    /// The shop's file of stock; empty when there is none.
    async fn stock(&self) -> ApiResult<String> {
        Ok(self.store.shop_text(STOCK).await?.map(|k| k.text).filter(|t| !t.trim().is_empty()).unwrap_or_default())
    }

    /// What the shop keeps for all its jobs.
    async fn documents(&self) -> ApiResult<Texts> {
        let texts = self.store.shop_texts([STOCK, TERMS]).await?;
        let said = texts.into_iter().filter(|(name, text)| name != STOCK || !text.trim().is_empty());
        Ok(said.map(|(name, text)| (name, text.into_bytes())).collect())
    }

    /// The job's head revision, loaded.
    pub async fn loaded(&self, job: &JobRecord) -> ApiResult<Arc<LoadedRevision>> {
        self.loaded_at(&job.name, &job.head.id).await
    }

    /// A revision, loaded; `name` is the job's.
    pub async fn loaded_at(&self, name: &str, revision: &str) -> ApiResult<Arc<LoadedRevision>> {
        let loader = self.loader(name, revision).await?;
        match loader.known() {
            Some(loaded) => Ok(loaded),
            None => self.work.run(Lane::Read, move |_| loader.loaded()).await?,
        }
    }

    /// What loads a revision; `name` is the job's.
    async fn loader(&self, name: &str, revision: &str) -> ApiResult<RevisionLoader> {
        let shops = self.documents().await?;
        let of_shop: Vec<u8> =
            shops.iter().flat_map(|(name, text)| [name.as_bytes(), &b"\0"[..], text].concat()).collect();
        let key = (revision.to_string(), hash_of(&of_shop));
        Ok(RevisionLoader {
            name: name.to_string(),
            revision: revision.to_string(),
            shops,
            key,
            store: self.store.clone(),
            runtime: tokio::runtime::Handle::current(),
            revisions: self.revisions.clone(),
            meshes: self.meshes.clone(),
        })
    }

    /// The text of a document of a job; `None` when it has none.
    pub async fn own_text(&self, job: &JobRecord, name: &str) -> ApiResult<Option<String>> {
        let documents = self.store.documents(&job.head.id).await?;
        let Some(hash) = documents.get(name) else { return Ok(None) };
        Ok(Some(String::from_utf8_lossy(&self.store.content(hash).await?).into_owned()))
    }

    /// Everything the page shows of a job.
    pub async fn view(&self, job: JobRecord) -> ApiResult<JobView> {
        let loader = self.loader(&job.name, &job.head.id).await?;
        let viewed = move |_: &StopSignal| {
            let loaded = loader.loaded()?;
            let view = loaded.texts.shown().is_some().then(|| JobView::new(&job, &loaded, None));
            Ok::<_, ApiError>((job, loaded, view))
        };
        match self.work.run(Lane::Read, viewed).await?? {
            (_, _, Some(view)) => Ok(view),
            (job, loaded, None) => {
                let older = self.last_good(&job).await?;
                self.work.run(Lane::Read, move |_| JobView::new(&job, &loaded, older.as_deref())).await
            }
        }
    }

    /// The newest revision before the head whose job.toml can be read.
    async fn last_good(&self, job: &JobRecord) -> ApiResult<Option<Arc<LoadedRevision>>> {
        let mut at = job.head.parent.clone();
        for _ in 0..LOOK_BACK {
            let Some(id) = at else { break };
            let loaded = self.loaded_at(&job.name, &id).await?;
            if loaded.texts.shown().is_some() {
                return Ok(Some(loaded));
            }
            at = self.store.revision(&job.id, &id).await?.parent;
        }
        Ok(None)
    }

    /// A job in the list, from a note stored with its head when there is one.
    pub async fn card(&self, job: &JobRecord) -> ApiResult<JobSummary> {
        let stock = hash_of(self.stock().await?.as_bytes());
        let note = format!("card {}", &stock[..16]);
        let kept = self.store.note(&job.head.id, &note).await?;
        if let Some(figures) = kept.and_then(|text| serde_json::from_str(&text).ok()) {
            return Ok(JobSummary::new(job, figures));
        }
        let loaded = self.loaded(job).await?;
        let figures = self.work.run(Lane::Read, move |_| crate::job_view::figures(&loaded)).await?;
        let text = serde_json::to_string(&figures).map_err(|e| ApiError::fault(&e))?;
        // Only a cache: the list works even while nothing can be written.
        let (store, revision) = (self.store.clone(), job.head.id.clone());
        tokio::spawn(async move { store.set_note(&revision, &note, &text).await });
        Ok(JobSummary::new(job, figures))
    }

    /// Adds a revision with changed documents, and returns the job's view.
    pub async fn commit(
        &self,
        id: &str,
        version: i64,
        label: &str,
        changes: Vec<DocumentUpdate>,
    ) -> ApiResult<JobView> {
        let job = self.store.commit(id, Commit { version, label, changes }).await?;
        self.view(job).await
    }

    /// The job, when it is still at that version.
    pub async fn job_at(&self, id: &str, version: i64) -> ApiResult<JobRecord> {
        let job = self.store.job(id).await?;
        if job.version == version {
            return Ok(job);
        }
        Err(ApiError::conflict(job.version, job.head.label, job.head.made))
    }
}

/// A revision to load. It fetches its texts only when its turn has come, so that waiting loads hold no memory.
struct RevisionLoader {
    name: String,
    revision: String,
    shops: Texts,
    key: RevisionKey,
    store: Store,
    runtime: Handle,
    revisions: Arc<RevisionCache>,
    meshes: Arc<MeshCache>,
}

impl RevisionLoader {
    /// The revision, when it is in memory already.
    fn known(&self) -> Option<Arc<LoadedRevision>> {
        self.revisions.get(&self.key)
    }

    /// The revision; blocks while it is read. Another call may have read it while this one waited.
    fn loaded(self) -> ApiResult<Arc<LoadedRevision>> {
        if let Some(loaded) = self.known() {
            return Ok(loaded);
        }
        let names = TEXTS.map(|(name, _)| name);
        let DocumentsWithTexts { documents, texts } =
            self.runtime.block_on(self.store.documents_with(&self.revision, &names))?;
        let lost: Vec<String> =
            documents.keys().filter(|name| is_text(name) && !texts.contains_key(*name)).cloned().collect();
        let meshes =
            Meshes { documents: documents.clone(), store: self.store, runtime: self.runtime, cache: self.meshes };
        let stored =
            StoredDocuments { name: &self.name, texts: &texts, lost: &lost, shops: &self.shops, meshes: &meshes };
        let loaded = Arc::new(LoadedRevision::read(&stored, documents));
        self.revisions.insert(self.key, loaded.clone());
        Ok(loaded)
    }
}

/// Whether a document is one of the texts of a job.
pub fn is_text(name: &str) -> bool {
    TEXTS.iter().any(|(text, _)| *text == name)
}
