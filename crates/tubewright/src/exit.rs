//! How a command ends: its exit code, its messages, and what happens on a bug of our own.

use std::io::Write;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook};
use std::process::ExitCode;

use app::wording;
use cutplan::CutError;
use job::Problems;
use job::model::Units;

/// How a command ended that did its work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Done: exit code 0.
    Done,
    /// The job as given cannot be met: exit code 1.
    Unmet,
    /// The input is wrong, and the command has said so itself: exit code 2.
    WrongInput,
}

/// Why a command could not do its work.
#[derive(Debug)]
pub enum Failure {
    /// The input is wrong: exit code 2.
    Input(Problems),
    /// The system refused, e.g. a folder that cannot be written: exit code 2.
    System(String),
}

impl From<Problems> for Failure {
    fn from(problems: Problems) -> Self {
        Failure::Input(problems)
    }
}

/// Exit code for a bug in Tubewright.
const BUG: u8 = 3;

/// The exit code of a command's result, after saying what went wrong: on standard error for people,
/// as one JSON object on standard output when `json`.
pub fn finish(result: Result<Outcome, Failure>, json: bool) -> ExitCode {
    match result {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::Unmet) => ExitCode::from(1),
        Ok(Outcome::WrongInput) => ExitCode::from(2),
        Err(failure) => {
            let (text, object) = match failure {
                Failure::Input(problems) => (
                    problems.to_string(),
                    serde_json::json!({"format": 1, "error": "input", "problems": problems.to_json()}),
                ),
                Failure::System(message) => (
                    format!("error: {message}"),
                    serde_json::json!({"format": 1, "error": "system", "message": message}),
                ),
            };
            if json {
                print(&object.to_string());
            }
            eprint_line(&text);
            ExitCode::from(2)
        }
    }
}

/// Reports why the tubes cannot be cut from the stock; the input itself is valid.
pub fn cannot_be_cut(error: &CutError, units: Units, json: bool) -> Outcome {
    not_cut(&wording::cut(error, units), json)
}

/// Reports, in words, why the tubes cannot be cut from the stock.
pub fn not_cut(why: &str, json: bool) -> Outcome {
    if json {
        print(&serde_json::json!({"format": 1, "met": false, "unmet": [why]}).to_string());
    }
    eprint_line(&format!("the tubes cannot be cut from this stock: {why}"));
    Outcome::Unmet
}

/// Runs the program; a panic, which is a bug, becomes a plain message and exit code 3.
pub fn catch_panics(program: impl FnOnce() -> ExitCode) -> ExitCode {
    set_hook(Box::new(|info| {
        let what = info.payload().downcast_ref::<&str>().map(|s| (*s).to_string());
        let what = what.or_else(|| info.payload().downcast_ref::<String>().cloned()).unwrap_or_default();
        let place = info.location().map(|l| format!(" ({}:{})", l.file(), l.line())).unwrap_or_default();
        eprint_line(&format!(
            "error: bug in Tubewright, not in your job: {what}{place}\n\
             Existing files are unchanged. Please report it with the job that caused it."
        ));
    }));
    catch_unwind(AssertUnwindSafe(program)).unwrap_or(ExitCode::from(BUG))
}

/// Prints a text and a line end on standard output; a reader that has gone away is no fault.
pub fn print(text: &str) {
    let _ = writeln!(std::io::stdout().lock(), "{}", text.trim_end_matches('\n'));
}

/// Prints a text and a line end on standard error.
pub fn eprint_line(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{}", text.trim_end_matches('\n'));
}

/// Says every list of warnings that is not empty.
pub fn eprint_problems(warnings: &[Problems]) {
    for problems in warnings.iter().filter(|p| !p.0.is_empty()) {
        eprint_line(&problems.to_string());
    }
}
