//! Start and shutdown of the server.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use app::reserve_job::cut_with_reserve;
use axum::Router;
use axum::extract::Request;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use job::Monitor;
use store::{Commit, DocumentUpdate, JobRecord, Store, StoreError};
use tokio::net::TcpListener;
use tower::ServiceBuilder;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::timeout::{RequestBodyTimeoutLayer, TimeoutLayer};

use crate::errors::ApiError;
use crate::shop::{SharedShop, Shop};
use crate::stored::{StoredDocuments, Texts};
use crate::work::{Lane, StopSignal};
use crate::{ServerSettings, api, connections, guard, page};

/// Largest body that is read before the response starts, bytes: most calls of the page.
const SMALL_BODY: usize = 8 << 10;

/// Longest time of a call until its response starts.
const LONGEST_CALL: Duration = Duration::from_secs(60);

/// Longest pause in a body that is being sent.
const BODY_PAUSE: Duration = Duration::from_secs(15);

/// At shutdown, longest time for running requests.
const GRACE: Duration = Duration::from_secs(4);

/// At shutdown, longest time for stopped work after that.
const STOPPED: Duration = Duration::from_secs(2);

/// At shutdown, longest time for the store to close.
const CLOSED: Duration = Duration::from_secs(2);

/// Name of the owner's password among the shop's texts.
pub const PASSWORD: &str = "password";

/// Why the server cannot run.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The store cannot be read.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The address cannot be used.
    #[error("cannot listen on {address}: {why}")]
    Address {
        /// The address.
        address: SocketAddr,
        /// The system's error.
        why: std::io::Error,
    },
    /// Other computers could reach it without a password.
    #[error("a server that other computers can reach needs a password: set one with `tubewright serve --set-password`")]
    NoPassword,
}

/// A server that listens but does not respond yet.
pub struct Server {
    listener: TcpListener,
    shop: SharedShop,
}

impl Server {
    /// Starts to listen.
    ///
    /// # Errors
    /// [`ServeError::Address`]; [`ServeError::NoPassword`] for an address that other computers can reach.
    pub async fn bind(store: Store, mut settings: ServerSettings) -> Result<Server, ServeError> {
        if settings.password.is_none() {
            settings.password = store.shop_text(PASSWORD).await?.map(|k| k.text).filter(|p| !p.is_empty());
        }
        if settings.password.is_none() && (!settings.address.ip().is_loopback() || settings.tls_name.is_some()) {
            return Err(ServeError::NoPassword);
        }
        let wrong = |why| ServeError::Address { address: settings.address, why };
        let listener = TcpListener::bind(settings.address).await.map_err(wrong)?;
        settings.address = listener.local_addr().map_err(wrong)?;
        Ok(Server { listener, shop: Arc::new(Shop::new(store, settings)) })
    }

    /// The address it listens on.
    pub fn address(&self) -> SocketAddr {
        self.shop.settings.address
    }

    /// Serves requests until `end` completes. Then it stops heavy work, finishes running requests and closes the store; what
    /// does not end in time is aborted, so that this takes at most eight seconds.
    pub async fn run(self, end: impl Future<Output = ()> + Send + 'static) {
        let shop = self.shop.clone();
        let checking = tokio::spawn(check_in_background(self.shop.store.clone()));
        let stopping = async move {
            end.await;
            shop.work.stop_all();
        };
        connections::serve(self.listener, router(self.shop.clone()), stopping, GRACE).await;
        self.shop.work.drained(STOPPED).await;
        checking.abort();
        if tokio::time::timeout(CLOSED, self.shop.store.clone().close()).await.is_err() {
            tracing::warn!("the store was not closed in time; nothing acknowledged is lost");
        }
    }

    /// Adds an example to a shop without jobs, so that a new user has something to look at, and routes it in the background.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn add_first_example(&self) -> Result<(), StoreError> {
        let store = &self.shop.store;
        if !store.jobs(false).await?.is_empty() || !store.jobs(true).await?.is_empty() {
            return Ok(());
        }
        let example = &crate::examples::EXAMPLES[0];
        let documents = example.texts();
        let job = store.create(example.name, documents.clone(), &format!("Copy of example {}", example.name)).await?;
        let shop = self.shop.clone();
        tokio::spawn(async move {
            let work = move |stop: &StopSignal| finish(example.name, documents, stop);
            let Ok(Some((routes, plan))) = shop.work.run(Lane::Search, work).await else { return };
            if let Err(why) = keep_finished(&shop.store, &job, routes, plan).await {
                // Someone has started to work on it.
                tracing::info!("the first example is left unchanged: {why}");
            }
        });
        Ok(())
    }
}

/// Reads the whole store while the server runs and logs damage.
async fn check_in_background(store: Store) {
    let begun = std::time::Instant::now();
    match store.check().await {
        Ok(found) if found.is_empty() => {
            tracing::info!(seconds = begun.elapsed().as_secs(), "checked {}: no damage", store.location_name());
        }
        Ok(found) => {
            for damage in &found {
                tracing::error!("{} is damaged: {damage}", store.location_name());
            }
            tracing::error!("restore a backup into a new folder (tubewright serve --restore FILE --data NEW-FOLDER)");
        }
        Err(why) => tracing::warn!("the check of the store did not finish: {why}"),
    }
}

fn router(shop: SharedShop) -> Router {
    let layers = ServiceBuilder::new()
        .layer(axum::middleware::from_fn(whole_small_body))
        .layer(CompressionLayer::new())
        .layer(axum::middleware::from_fn_with_state(shop.clone(), guard::guard))
        .layer(CatchPanicLayer::custom(internal_error))
        .layer(axum::middleware::from_fn(timed_out))
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, LONGEST_CALL))
        .layer(RequestBodyTimeoutLayer::new(BODY_PAUSE));
    api::router()
        .method_not_allowed_fallback(|| async { ApiError::method() })
        .fallback(page::page)
        .layer(layers)
        .with_state(shop)
}

/// Reads a small body before the response starts: a connection that is sent a response while the body is still arriving
/// would be closed, and the client's next request lost.
async fn whole_small_body(request: Request, next: axum::middleware::Next) -> Response {
    let length = request.headers().get(header::CONTENT_LENGTH).and_then(|l| l.to_str().ok()?.parse::<usize>().ok());
    if length.is_none_or(|length| length > SMALL_BODY) {
        return next.run(request).await;
    }
    let (parts, body) = request.into_parts();
    match tokio::time::timeout(BODY_PAUSE, axum::body::to_bytes(body, SMALL_BODY)).await {
        Ok(Ok(bytes)) => next.run(Request::from_parts(parts, bytes.into())).await,
        Ok(Err(_)) => ApiError::malformed("the body ended early").into_response(),
        Err(_) => ApiError::busy("the body took too long to arrive", 30).into_response(),
    }
}

/// Responds to a call that timed out with our error body.
async fn timed_out(request: Request, next: axum::middleware::Next) -> Response {
    let response = next.run(request).await;
    if response.status() == StatusCode::REQUEST_TIMEOUT {
        return ApiError::busy("the call timed out", 30).into_response();
    }
    response
}

fn internal_error(what: Box<dyn std::any::Any + Send>) -> Response {
    let said = what.downcast_ref::<String>().cloned().or_else(|| what.downcast_ref::<&str>().map(ToString::to_string));
    ApiError::fault(&format!("panic: {}", said.unwrap_or_default())).into_response()
}

async fn keep_finished(store: &Store, job: &JobRecord, routes: String, plan: String) -> Result<(), StoreError> {
    let put = |name: &str, text: String| vec![DocumentUpdate::Put(name.into(), text.into_bytes())];
    let commit = Commit { version: job.version, label: "Route", changes: put("routes.toml", routes) };
    let routed = store.commit(&job.id, commit).await?;
    let commit = Commit { version: routed.version, label: "Cut", changes: put("cutplan.json", plan) };
    store.commit(&job.id, commit).await.map(drop)
}

/// Routes and cuts an example: the texts of its routes.toml and cutplan.json. Nothing when it was stopped.
fn finish(name: &str, documents: Vec<(String, Vec<u8>)>, stop: &StopSignal) -> Option<(String, String)> {
    let texts: Texts = documents.into_iter().collect();
    let meshes = &job::no_mesh_files;
    let stored = StoredDocuments { name, texts: &texts, lost: &[], shops: &Texts::new(), meshes };
    let job = &job::open(&stored).ok()?.job;
    let settings = route::RouteSettings { effort: 8, ..route::RouteSettings::default() };
    let mut monitor = Monitor::new(stop.flag(), |_| ());
    let report = app::route_job::route_job(job, None, settings, job.units, &mut monitor);
    let routes = report.routes().filter(|_| !stop.is_set())?;
    let mut monitor = Monitor::new(stop.flag(), |_| ());
    let cut_job = cutplan::CutJob::of(job);
    let cut = cut_with_reserve(job, &cut_job, routes, &cutplan::CutSettings::default(), &mut monitor).ok()?;
    Some((job::routes_text(routes, job.units), app::papers_job::plan_text(&cut.plan).ok()?))
}

/// The file of the store in the user's data folder: `$XDG_DATA_HOME/tubewright/shop.sqlite` or what stands for it.
pub fn default_file() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let home = || set("HOME").or_else(|| set("USERPROFILE"));
    let data = if cfg!(windows) {
        set("LOCALAPPDATA")
    } else if cfg!(target_os = "macos") {
        home().map(|h| h.join("Library/Application Support"))
    } else {
        set("XDG_DATA_HOME").or_else(|| home().map(|h| h.join(".local/share")))
    };
    data.map(|d| d.join("tubewright").join("shop.sqlite"))
}

/// Says what happens on standard error: faults of ours, searches, readers that broke.
pub fn log_to_stderr() {
    // A second call finds the log set already: then there is nothing to do.
    let _ = tracing_subscriber::fmt().with_writer(std::io::stderr).with_target(false).with_ansi(false).try_init();
}
