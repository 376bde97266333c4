//! Being asked to end by the system: Ctrl-C, or on Unix the signal by which a service is ended.
//!
//! Signals are heard on a thread of their own, so that a program that is busy or stuck still hears them. The first one
//! asks to end; a second one ends the program at once, and so does the time limit. That loses nothing: what was
//! acknowledged is in the database.

use std::time::Duration;

use tokio::sync::oneshot;

/// Longest from the first signal to the end of the program, some seconds more than everything in order takes.
const LONGEST_END: Duration = Duration::from_millis(9500);

/// What a shell shows of a program that was interrupted: 128 + SIGINT.
const INTERRUPTED: i32 = 130;

/// Waits for the first signal. After it the program ends within ten seconds, whatever it is doing.
pub async fn shutdown_signal() {
    let (sender, receiver) = oneshot::channel();
    let listens = std::thread::Builder::new().name("signals".into()).spawn(move || listen(sender));
    if let Err(why) = listens {
        tracing::warn!("signals cannot be heard: {why}");
    }
    if receiver.await.is_err() {
        // Without the means to hear them the server runs until it is killed.
        std::future::pending::<()>().await;
    }
}

fn listen(sender: oneshot::Sender<()>) {
    let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_all().build() else { return };
    runtime.block_on(async move {
        let Ok(mut signals) = Signals::new() else { return };
        signals.next().await;
        if sender.send(()).is_err() {
            return;
        }
        tracing::info!("ending; a second signal ends at once");
        tokio::select! {
            () = signals.next() => std::process::exit(INTERRUPTED),
            () = tokio::time::sleep(LONGEST_END) => {
                tracing::warn!("some work did not end in time and is cut off");
                std::process::exit(0);
            }
        }
    });
}

/// The signals, kept so that none is missed between two waits.
#[cfg(unix)]
struct Signals {
    interrupt: tokio::signal::unix::Signal,
    terminate: tokio::signal::unix::Signal,
}

#[cfg(unix)]
impl Signals {
    fn new() -> std::io::Result<Signals> {
        use tokio::signal::unix::{SignalKind, signal};
        Ok(Signals { interrupt: signal(SignalKind::interrupt())?, terminate: signal(SignalKind::terminate())? })
    }

    async fn next(&mut self) {
        tokio::select! {
            _ = self.interrupt.recv() => {}
            _ = self.terminate.recv() => {}
        }
    }
}

#[cfg(not(unix))]
struct Signals;

#[cfg(not(unix))]
impl Signals {
    fn new() -> std::io::Result<Signals> {
        Ok(Signals)
    }

    async fn next(&mut self) {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    }
}
