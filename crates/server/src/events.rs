//! Progress of long work as a stream of events. When the client disconnects, the work stops.

use std::convert::Infallible;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use axum::response::sse::{Event, KeepAlive, Sse};
use job::Pace;
use serde::Serialize;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use tokio::time::timeout;
use tokio_stream::{Stream, StreamExt as _};
use utoipa::ToSchema;

use crate::errors::ApiError;
use crate::work::{LeaveGuard, StopSignal};

/// What an event of a stream reports.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum EventName {
    /// The work has started.
    Begun,
    /// A better answer was found.
    Better,
    /// How far the work is.
    Pace,
    /// The work has ended.
    Done,
    /// The work has failed.
    Failed,
}

impl EventName {
    fn word(self) -> &'static str {
        match self {
            EventName::Begun => "begun",
            EventName::Better => "better",
            EventName::Pace => "pace",
            EventName::Done => "done",
            EventName::Failed => "failed",
        }
    }
}

/// One event of a stream as it is written; this type only describes it.
#[derive(ToSchema)]
#[expect(dead_code, reason = "events are written by axum")]
pub struct StreamEvent {
    /// What it reports.
    event: EventName,
    /// JSON of the event, as text.
    data: String,
}

/// `begun`: the work has started.
#[derive(Serialize, ToSchema)]
pub struct Started {
    /// Name to stop the work by.
    pub search: String,
}

/// `pace`: how far the work is, twice a second once its steps can be counted ahead. It may end sooner.
#[derive(Serialize, ToSchema)]
pub struct PaceView {
    /// Share that is done, 0 to 1.
    share: f64,
}

/// How often `pace` is sent.
const BEAT: Duration = Duration::from_millis(500);

/// Sender of a stream of events.
#[derive(Clone)]
pub struct EventSender(UnboundedSender<Event>);

impl EventSender {
    /// Sends an event; `false` when the client has disconnected.
    pub fn send(&self, name: EventName, data: &impl Serialize) -> bool {
        let event = Event::default().event(name.word()).json_data(data).unwrap_or_else(|e| {
            tracing::error!("cannot write an event: {e}");
            Event::default().event(EventName::Failed.word()).data("{}")
        });
        self.0.send(event).is_ok()
    }

    /// Runs `work` to its end, and sends how far it is meanwhile.
    pub async fn paced<T>(&self, pace: &Pace, work: impl Future<Output = T>) -> T {
        let mut work = pin!(work);
        loop {
            match timeout(BEAT, &mut work).await {
                Ok(done) => return done,
                Err(_) => drop(pace.share().map(|share| self.send(EventName::Pace, &PaceView { share }))),
            }
        }
    }

    /// Sends that the work failed.
    pub fn failed(&self, error: ApiError) {
        self.send(EventName::Failed, &error.body());
    }
}

/// A response that is a stream of events, and its sender. `stop` is set when the client disconnects.
pub fn event_stream(stop: Arc<StopSignal>) -> (EventSender, Sse<impl Stream<Item = Result<Event, Infallible>>>) {
    let (sender, receiver) = unbounded_channel();
    (EventSender(sender), stream(receiver, stop))
}

fn stream(
    receiver: UnboundedReceiver<Event>,
    stop: Arc<StopSignal>,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let leaves = LeaveGuard::new(stop);
    let events = tokio_stream::wrappers::UnboundedReceiverStream::new(receiver).map(move |event| {
        let _stays = &leaves;
        Ok(event)
    });
    Sse::new(events).keep_alive(KeepAlive::default())
}
