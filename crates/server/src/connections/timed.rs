//! A socket with a time limit for stalled writes, and a response that counts as running until it ends.

use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use axum::body::{Body, Bytes};
use http_body::{Frame, SizeHint};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::Sleep;

use super::registry::Connection;

/// A socket whose writes fail when they make no progress for too long.
pub struct TimedSocket<S> {
    socket: S,
    longest: Duration,
    stalled: Option<Pin<Box<Sleep>>>,
}

impl<S> TimedSocket<S> {
    /// Fails writes when the client reads nothing for `longest`.
    pub fn new(socket: S, longest: Duration) -> TimedSocket<S> {
        TimedSocket { socket, longest, stalled: None }
    }

    /// Fails a write that has been pending too long.
    fn watch<T>(&mut self, written: Poll<io::Result<T>>, cx: &mut Context<'_>) -> Poll<io::Result<T>> {
        if written.is_ready() {
            self.stalled = None;
            return written;
        }
        let longest = self.longest;
        let stalled = self.stalled.get_or_insert_with(|| Box::pin(tokio::time::sleep(longest)));
        match stalled.as_mut().poll(cx) {
            Poll::Ready(()) => Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for TimedSocket<S> {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, into: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.socket).poll_read(cx, into)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for TimedSocket<S> {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.socket).poll_write(cx, bytes);
        self.watch(written, cx)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        parts: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.socket).poll_write_vectored(cx, parts);
        self.watch(written, cx)
    }

    fn is_write_vectored(&self) -> bool {
        self.socket.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let flushed = Pin::new(&mut self.socket).poll_flush(cx);
        self.watch(flushed, cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let shut = Pin::new(&mut self.socket).poll_shutdown(cx);
        self.watch(shut, cx)
    }
}

/// Keeps a connection busy from a request's head to the end of its response.
pub struct ResponseGuard(Arc<Connection>);

impl ResponseGuard {
    /// Starts with a request.
    pub fn begin(connection: Arc<Connection>) -> ResponseGuard {
        connection.begin_request();
        ResponseGuard(connection)
    }

    /// A body whose end ends the guard.
    pub fn with(self, body: Body) -> ResponseBody {
        ResponseBody { body, _answering: self }
    }
}

impl Drop for ResponseGuard {
    fn drop(&mut self) {
        self.0.end_request();
    }
}

/// Body of a response.
pub struct ResponseBody {
    body: Body,
    _answering: ResponseGuard,
}

impl http_body::Body for ResponseBody {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        Pin::new(&mut self.body).poll_frame(cx)
    }

    fn is_end_stream(&self) -> bool {
        self.body.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.body.size_hint()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio::io::AsyncWriteExt as _;

    #[tokio::test]
    async fn a_reader_that_takes_nothing_is_given_up() {
        let (ours, theirs) = tokio::io::duplex(16);
        let mut timed = TimedSocket::new(ours, Duration::from_millis(20));
        assert!(timed.write_all(&[0; 16]).await.is_ok());
        let stalled = timed.write_all(&[0; 16]).await;
        assert_eq!(stalled.map_err(|e| e.kind()), Err(io::ErrorKind::TimedOut));
        drop(theirs);
    }
}
