//! Progress of long work as a stream of events. When the caller leaves, the work stops.

use std::convert::Infallible;
use std::sync::Arc;

use axum::response::sse::{Event, KeepAlive, Sse};
use serde::Serialize;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use tokio_stream::{Stream, StreamExt as _};
use utoipa::ToSchema;

use crate::errors::ApiError;
use crate::work::{Leaves, Stop};

/// One event of a stream as it is written; this type only describes it.
#[derive(ToSchema)]
#[expect(dead_code, reason = "events are written by axum")]
pub struct StreamEvent {
    /// Its name: `begun`, `better`, `done` or `failed`.
    event: String,
    /// Its JSON as text.
    data: String,
}

/// `begun`: the work has started.
#[derive(Serialize, ToSchema)]
pub struct Started {
    /// Name by which the work is stopped.
    pub search: String,
}

/// Sends the events of a stream.
#[derive(Clone)]
pub struct EventSender(UnboundedSender<Event>);

impl EventSender {
    /// Sends an event; `false` when nobody listens any more.
    pub fn send(&self, name: &str, data: &impl Serialize) -> bool {
        let event = Event::default().event(name).json_data(data).unwrap_or_else(|e| {
            tracing::error!("cannot write an event: {e}");
            Event::default().event("failed").data("{}")
        });
        self.0.send(event).is_ok()
    }

    /// Sends that the work failed.
    pub fn failed(&self, error: ApiError) {
        self.send("failed", &error.body());
    }
}

/// A response that is a stream of events, and its sender. `stop` is set when the caller leaves.
pub fn event_stream(stop: Arc<Stop>) -> (EventSender, Sse<impl Stream<Item = Result<Event, Infallible>>>) {
    let (sender, receiver) = unbounded_channel();
    (EventSender(sender), stream(receiver, stop))
}

fn stream(receiver: UnboundedReceiver<Event>, stop: Arc<Stop>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let leaves = Leaves::new(stop);
    let events = tokio_stream::wrappers::UnboundedReceiverStream::new(receiver).map(move |event| {
        let _stays = &leaves;
        Ok(event)
    });
    Sse::new(events).keep_alive(KeepAlive::default())
}
