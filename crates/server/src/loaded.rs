//! One revision of a job in memory, with the views computed so far.

use std::collections::BTreeMap;
use std::io;
use std::sync::{Arc, OnceLock};

use app::gas_job::gas_at_peak;
use app::open_job::{OpenJob, open};
use app::view::bay::{BayView, bay};
use app::view::plan::PlanView;
use app::view::quote::{QuoteSummary, summary};
use app::view::routes::{RoutesView, judged_routes, routes};
use cutplan::CutJob;
use geom::{Mesh, Solid};
use job::MeshFiles;
use job::model::Job;
use job::routes::Routes;
use route::judge::{Judged, judge};
use store::{Hash, Store};

use crate::mesh_cache::MeshCache;
use crate::settings::MOST_TRIANGLES;
use crate::stored::StoredDocuments;

/// A revision of a job in memory.
#[derive(Debug)]
pub struct LoadedRevision {
    /// What its documents say.
    pub texts: OpenJob,
    /// Its documents: name and hash.
    pub documents: BTreeMap<String, Hash>,
    /// Length of its texts, bytes.
    pub size: usize,
    /// Whether a document is missing from the store or job.toml is not TOML.
    pub is_broken: bool,
    judged: OnceLock<Option<Judged>>,
    routes: OnceLock<Option<RoutesView>>,
    attempt: OnceLock<Option<RoutesView>>,
    bay: OnceLock<Option<BayView>>,
    quote: OnceLock<Option<QuoteSummary>>,
    picture: OnceLock<String>,
    gas: OnceLock<Option<String>>,
}

impl LoadedRevision {
    /// Reads a job; blocks while meshes are fetched and indexed.
    pub fn read(stored: &StoredDocuments<'_>, documents: BTreeMap<String, Hash>) -> LoadedRevision {
        let texts = open(stored);
        LoadedRevision {
            size: stored.texts.values().map(Vec::len).sum(),
            is_broken: !stored.lost.is_empty() || texts.tree.is_none(),
            texts,
            documents,
            judged: OnceLock::new(),
            routes: OnceLock::new(),
            attempt: OnceLock::new(),
            bay: OnceLock::new(),
            quote: OnceLock::new(),
            picture: OnceLock::new(),
            gas: OnceLock::new(),
        }
    }

    /// The meshes of its obstacles.
    pub fn meshes(&self) -> impl Iterator<Item = &Arc<Mesh>> {
        let keepouts = self.texts.shown().map_or(&[][..], |job| &job.keepouts);
        keepouts.iter().filter_map(|k| if let Solid::Mesh(mesh) = &k.shape { Some(mesh) } else { None })
    }

    /// Its job and its routes, when it has routes that can be judged.
    fn routable(&self) -> Option<(&Job, &Routes)> {
        let found = self.texts.routes.as_ref().filter(|_| self.texts.routable())?;
        Some((&self.texts.opened.as_ref()?.job, found))
    }

    /// What its routes miss, with their clearances.
    fn judged(&self) -> Option<&Judged> {
        self.judged.get_or_init(|| self.routable().map(|(job, found)| judge(job, found))).as_ref()
    }

    /// Its routes with their figures, when it has routes that can be judged.
    pub fn routes(&self) -> Option<&RoutesView> {
        let make = || {
            let (job, found) = self.routable()?;
            Some(judged_routes(job, found, self.texts.fresh_plan(), self.judged()?))
        };
        self.routes.get_or_init(make).as_ref()
    }

    /// The closest attempt of its last search, with its figures.
    pub fn attempt(&self) -> Option<&RoutesView> {
        let make = || {
            let opened = self.texts.opened.as_ref()?;
            let found = self.texts.attempt.as_ref().filter(|_| self.texts.routable())?;
            Some(routes(&opened.job, found, None))
        };
        self.attempt.get_or_init(make).as_ref()
    }

    /// Its engine bay, when every value of job.toml can be read.
    pub fn bay(&self) -> Option<&BayView> {
        let make = || {
            let job = self.texts.shown()?;
            let gaps = self.judged().and_then(|judged| judged.clearance.as_ref());
            Some(bay(job, self.texts.routes.as_ref(), gaps, &self.texts.mesh_files()))
        };
        self.bay.get_or_init(make).as_ref()
    }

    /// View of its cut plan.
    pub fn plan(&self) -> Option<PlanView> {
        let (opened, plan) = (self.texts.opened.as_ref()?, self.texts.plan.as_ref()?);
        Some(app::view::plan::plan(plan, &CutJob::of(&opened.job), self.plan_hash()?))
    }

    /// Hash of its cut plan document.
    pub fn plan_hash(&self) -> Option<&str> {
        self.documents.get("cutplan.json").map(String::as_str)
    }

    /// Summary of its quote.
    pub fn quote(&self) -> Option<&QuoteSummary> {
        self.quote.get_or_init(|| self.texts.quote().as_ref().map(summary)).as_ref()
    }

    /// The gas at peak power, which heats it; some tenths of a second at the first call.
    pub fn gas_at_peak(&self) -> Option<&str> {
        let make = || gas_at_peak(&self.texts.opened.as_ref()?.job, self.texts.routes.as_ref()?);
        self.gas.get_or_init(make).as_deref()
    }

    /// A small picture of it, SVG.
    pub fn picture(&self) -> &str {
        self.picture.get_or_init(|| match &self.texts.opened {
            Some(opened) => app::view::picture::picture(&opened.job, self.texts.routes.as_ref()),
            None => "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 320 200\" role=\"img\"></svg>\n".into(),
        })
    }
}

/// The mesh files of a job, from the store.
pub struct Meshes {
    /// Names and hashes.
    pub documents: BTreeMap<String, Hash>,
    /// The store that has them.
    pub store: Store,
    /// Runtime of the store.
    pub runtime: tokio::runtime::Handle,
    /// Cache of indexed meshes.
    pub cache: Arc<MeshCache>,
}

impl Meshes {
    fn hash(&self, name: &str) -> Option<&Hash> {
        self.documents.get(name)
    }
}

impl MeshFiles for Meshes {
    fn bytes(&self, name: &str) -> io::Result<Vec<u8>> {
        let hash = self.hash(name).ok_or(io::ErrorKind::NotFound)?;
        self.runtime.block_on(self.store.content(hash)).map_err(io::Error::other)
    }

    fn recall(&self, name: &str, place: &str) -> Option<Arc<Mesh>> {
        self.cache.get(&(self.hash(name)?.clone(), place.to_string()))
    }

    fn most_triangles(&self) -> usize {
        MOST_TRIANGLES
    }

    fn one_by_one(&self, index: &mut dyn FnMut()) {
        let _turn = self.cache.indexing();
        index();
    }

    fn keep(&self, name: &str, place: &str, mesh: &Arc<Mesh>) {
        if let Some(hash) = self.hash(name) {
            self.cache.insert((hash.clone(), place.to_string()), mesh.clone());
        }
    }
}
