//! Long work that is told as it goes: a stream of events which its caller can leave, and then the work stops.

use std::convert::Infallible;
use std::sync::Arc;

use axum::response::sse::{Event, KeepAlive, Sse};
use serde::Serialize;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use tokio_stream::{Stream, StreamExt as _};
use utoipa::ToSchema;

use crate::errors::ApiError;
use crate::work::{Leaves, Stop};

/// One event of a stream, as it is written; this type only describes it.
#[derive(ToSchema)]
#[expect(dead_code, reason = "events are written by axum")]
pub struct ToldEvent {
    /// Its name: `begun`, `better`, `done` or `failed`.
    event: String,
    /// Its JSON as text.
    data: String,
}

/// `begun`: the work is on its way.
#[derive(Serialize, ToSchema)]
pub struct Begun {
    /// The name by which it is stopped.
    pub search: String,
}

/// Where the work says its events.
#[derive(Clone)]
pub struct Teller(UnboundedSender<Event>);

impl Teller {
    /// Tells an event; `false` when nobody hears it any more.
    pub fn tell(&self, name: &str, data: &impl Serialize) -> bool {
        let told = Event::default().event(name).json_data(data);
        let event = told.unwrap_or_else(|e| {
            tracing::error!("an event can't be written: {e}");
            Event::default().event("failed").data("{}")
        });
        self.0.send(event).is_ok()
    }

    /// Tells that the work came to nothing.
    pub fn failed(&self, error: ApiError) {
        self.tell("failed", &error.body());
    }
}

/// An answer that is told piece by piece, and where to tell it. `stop` is set when its caller leaves.
pub fn told(stop: Arc<Stop>) -> (Teller, Sse<impl Stream<Item = Result<Event, Infallible>>>) {
    let (tell, told) = unbounded_channel();
    (Teller(tell), stream(told, stop))
}

fn stream(told: UnboundedReceiver<Event>, stop: Arc<Stop>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let leaves = Leaves::new(stop);
    let events = tokio_stream::wrappers::UnboundedReceiverStream::new(told).map(move |event| {
        let _stays = &leaves;
        Ok(event)
    });
    Sse::new(events).keep_alive(KeepAlive::default())
}
