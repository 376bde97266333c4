//! Connections: time limits, their number, and how they end.
//!
//! A client that opens connections and sends nothing must not keep others out. Every connection is a newcomer until it has
//! made a signed-in request; newcomers share a part of the connections, and a new one beyond that closes the oldest of them.
//! So a user who signs in gets a connection whatever others hold open. `registry` counts and closes connections, `timed` has
//! the time limits of the socket.

mod registry;
mod timed;

use std::future::Future;
use std::net::SocketAddr;
use std::pin::pin;
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::Router;
use axum::body::Body;
use axum::extract::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::task::JoinSet;
use tower::ServiceExt as _;

pub use registry::Caller;
use registry::{ConnectionLimits, Registry};
use timed::{ResponseGuard, TimedSocket};

/// Longest time from opening a connection, or from the last response, to the end of the next request's head, for newcomers.
const HEAD: Duration = Duration::from_secs(15);

/// The same after a signed-in request: as long as programs usually keep an idle connection.
const KEPT: Duration = Duration::from_secs(75);

/// Interval of the check for newcomers that take too long.
const CHECK: Duration = Duration::from_secs(5);

/// Longest time in which the client may read nothing of a response.
const STALLED: Duration = Duration::from_secs(20);

/// Largest head of a request: far more than a browser sends.
const LARGEST_HEAD: usize = 64 << 10;

/// Pause after the system refused a connection.
const REFUSED: Duration = Duration::from_millis(100);

/// Shortest time between two log lines about refused connections.
const SAY_AGAIN: Duration = Duration::from_secs(60);

/// Accepts and serves connections until `end`; then lets running requests finish, for at most `grace`.
pub async fn serve(listener: TcpListener, router: Router, end: impl Future<Output = ()>, grace: Duration) {
    let registry = Arc::new(Registry::new(ConnectionLimits::of_this_system()));
    let (ending, ended) = watch::channel(false);
    let mut open = JoinSet::new();
    let mut end = pin!(end);
    let mut said: Option<Instant> = None;
    loop {
        tokio::select! {
            biased;
            () = &mut end => break,
            Some(_) = open.join_next() => {}
            accepted = listener.accept() => match accepted {
                Ok((stream, from)) => {
                    open.spawn(serve_connection(stream, from, router.clone(), registry.clone(), ended.clone()));
                }
                Err(why) => {
                    if said.is_none_or(|at| at.elapsed() >= SAY_AGAIN) {
                        tracing::warn!("cannot accept connections: {why}");
                        said = Some(Instant::now());
                    }
                    tokio::time::sleep(REFUSED).await;
                }
            },
        }
    }
    drop(listener);
    ending.send_replace(true);
    // Those still open after `grace` are aborted with the set.
    let _ = tokio::time::timeout(grace, async { while open.join_next().await.is_some() {} }).await;
    open.shutdown().await;
}

/// Serves the requests of one connection.
async fn serve_connection(
    stream: TcpStream,
    from: SocketAddr,
    router: Router,
    registry: Arc<Registry>,
    mut end: watch::Receiver<bool>,
) {
    // Without it small responses are only slower.
    let _ = stream.set_nodelay(true);
    let registration = Registry::take(&registry, from.ip());
    let caller = Caller::new(from.ip(), registration.connection.clone(), registry);
    let connection = registration.connection.clone();
    let service = service_fn(move |request: hyper::Request<Incoming>| {
        let answering = ResponseGuard::begin(connection.clone());
        let mut request: Request = request.map(Body::new);
        request.extensions_mut().insert(caller.clone());
        let answered = router.clone().oneshot(request);
        async move { answered.await.map(|response| response.map(|body| answering.with(body))) }
    });
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(KEPT).max_buf_size(LARGEST_HEAD);
    let mut serving = pin!(http.serve_connection(TokioIo::new(TimedSocket::new(stream, STALLED)), service));
    let mut ending = false;
    let mut look = tokio::time::interval(CHECK);
    loop {
        tokio::select! {
            ended = serving.as_mut() => {
                if let Err(why) = ended {
                    tracing::debug!("a connection failed: {why}");
                }
                break;
            }
            () = registration.connection.closed() => break,
            _ = look.tick() => {
                if registration.connection.is_stale(HEAD) {
                    break;
                }
            }
            _ = end.changed(), if !ending => {
                ending = true;
                if !registration.connection.is_busy() {
                    break;
                }
                serving.as_mut().graceful_shutdown();
            }
        }
    }
}
