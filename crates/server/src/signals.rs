//! Shutdown signals: Ctrl-C, and the signal that ends a service.
//!
//! Signals are received on their own thread, so that a busy or stuck program still receives them. The first one starts the
//! shutdown; a second one ends the program at once, and so does the time limit. That loses nothing: what was acknowledged is
//! in the database.

use std::time::Duration;

use tokio::sync::oneshot;

/// Longest from the first signal to the end of the program, some seconds more than everything in order takes.
const LONGEST_END: Duration = Duration::from_millis(9500);

/// Exit code of an interrupted program: 128 + SIGINT.
const INTERRUPTED: i32 = 130;

/// Waits for the first signal. After it the program ends within ten seconds, whatever it is doing.
pub async fn shutdown_signal() {
    let (sender, receiver) = oneshot::channel();
    let listens = std::thread::Builder::new().name("signals".into()).spawn(move || listen(sender));
    if let Err(why) = listens {
        tracing::warn!("cannot listen for signals: {why}");
    }
    if receiver.await.is_err() {
        // Without signals the server runs until it is killed.
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
        tracing::info!("shutting down; a second signal ends at once");
        tokio::select! {
            () = signals.next() => std::process::exit(INTERRUPTED),
            () = tokio::time::sleep(LONGEST_END) => {
                tracing::warn!("some work did not end in time and is aborted");
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

/// Windows: Ctrl-C and Ctrl-Break, a closed console window, log-off and shutdown. After the last three the system ends the
/// program within about five seconds.
#[cfg(windows)]
struct Signals {
    interrupt: tokio::signal::windows::CtrlC,
    break_key: tokio::signal::windows::CtrlBreak,
    close: tokio::signal::windows::CtrlClose,
    log_off: tokio::signal::windows::CtrlLogoff,
    shutdown: tokio::signal::windows::CtrlShutdown,
}

#[cfg(windows)]
impl Signals {
    fn new() -> std::io::Result<Signals> {
        use tokio::signal::windows::{ctrl_break, ctrl_c, ctrl_close, ctrl_logoff, ctrl_shutdown};
        Ok(Signals {
            interrupt: ctrl_c()?,
            break_key: ctrl_break()?,
            close: ctrl_close()?,
            log_off: ctrl_logoff()?,
            shutdown: ctrl_shutdown()?,
        })
    }

    async fn next(&mut self) {
        tokio::select! {
            _ = self.interrupt.recv() => {}
            _ = self.break_key.recv() => {}
            _ = self.close.recv() => {}
            _ = self.log_off.recv() => {}
            _ = self.shutdown.recv() => {}
        }
    }
}
