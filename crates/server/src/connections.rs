//! Connections: how long each may take, how many there are, and how they end.
//!
//! A caller that opens connections and says nothing must not keep others out. Every connection is a newcomer until it has
//! made a signed-in request; newcomers share a part of the connections, and a new one beyond that closes the oldest of
//! them. So a person who signs in, or has, is let in whatever others hold open. The rules and their count are in `seats`,
//! the time limits on the socket in `timed`.

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
use registry::Registry;
use timed::{ResponseGuard, TimedSocket};

/// Longest from a connection, or the answer before, to the end of the next request's head, for newcomers.
const HEAD: Duration = Duration::from_secs(15);

/// The same for those who have made a signed-in request: as long as programs usually keep a connection for the next call.
const KEPT: Duration = Duration::from_secs(75);

/// How often it is looked whether a newcomer takes too long.
const LOOK: Duration = Duration::from_secs(5);

/// Longest that the other end may take nothing of an answer.
const STALLED: Duration = Duration::from_secs(20);

/// Largest head of a request: far more than a browser sends.
const LARGEST_HEAD: usize = 64 << 10;

/// Pause after the system refused another connection.
const REFUSED: Duration = Duration::from_millis(100);

/// How often a refusal of the system is logged at most.
const SAY_AGAIN: Duration = Duration::from_secs(60);

/// Accepts connections and answers on them until `end`; then lets requests on their way end, for `grace` at most.
pub async fn serve(listener: TcpListener, router: Router, end: impl Future<Output = ()>, grace: Duration) {
    let seats = Arc::new(Registry::new(registry::ConnectionLimits::of_this_system()));
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
                    open.spawn(answer(stream, from, router.clone(), seats.clone(), ended.clone()));
                }
                Err(why) => {
                    if said.is_none_or(|at| at.elapsed() >= SAY_AGAIN) {
                        tracing::warn!("no connection can be accepted: {why}");
                        said = Some(Instant::now());
                    }
                    tokio::time::sleep(REFUSED).await;
                }
            },
        }
    }
    drop(listener);
    ending.send_replace(true);
    // Those that are still there after the grace are aborted with the set.
    let _ = tokio::time::timeout(grace, async { while open.join_next().await.is_some() {} }).await;
    open.shutdown().await;
}

/// Answers the requests of one connection.
async fn answer(
    stream: TcpStream,
    from: SocketAddr,
    router: Router,
    seats: Arc<Registry>,
    mut end: watch::Receiver<bool>,
) {
    // A system that cannot send small answers at once is only slower.
    let _ = stream.set_nodelay(true);
    let taken = Registry::take(&seats, from.ip());
    let caller = Caller::new(from.ip(), taken.seat.clone(), seats);
    let seat = taken.seat.clone();
    let service = service_fn(move |request: hyper::Request<Incoming>| {
        let answering = ResponseGuard::begin(seat.clone());
        let mut request: Request = request.map(Body::new);
        request.extensions_mut().insert(caller.clone());
        let answered = router.clone().oneshot(request);
        async move { answered.await.map(|response| response.map(|body| answering.with(body))) }
    });
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(KEPT).max_buf_size(LARGEST_HEAD);
    let mut connection = pin!(http.serve_connection(TokioIo::new(TimedSocket::new(stream, STALLED)), service));
    let mut ending = false;
    let mut look = tokio::time::interval(LOOK);
    loop {
        tokio::select! {
            ended = connection.as_mut() => {
                if let Err(why) = ended {
                    tracing::debug!("a connection broke: {why}");
                }
                break;
            }
            () = taken.seat.closed() => break,
            _ = look.tick() => {
                if taken.seat.is_stale(HEAD) {
                    break;
                }
            }
            _ = end.changed(), if !ending => {
                ending = true;
                if !taken.seat.is_busy() {
                    break;
                }
                connection.as_mut().graceful_shutdown();
            }
        }
    }
}
