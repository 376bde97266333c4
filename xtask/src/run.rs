//! Running programs and counting what passed and failed.

use std::ffi::OsStr;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, ExitCode, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

/// What passed and what failed.
#[derive(Debug, Default)]
pub struct Tally {
    passed: usize,
    failed: usize,
    failures: Vec<String>,
}

impl Tally {
    /// Counts one thing as passed.
    pub fn pass(&mut self, what: &str) {
        self.passed += 1;
        println!("  ok      {what}");
    }

    /// Counts one thing as failed, with the reason.
    pub fn fail(&mut self, what: &str, why: &str) {
        self.failed += 1;
        println!("  FAILED  {what}: {why}");
        self.failures.push(format!("{what}: {}", why.lines().next().unwrap_or_default()));
    }

    /// Counts one thing by its result.
    pub fn count(&mut self, what: &str, result: Result<(), String>) {
        match result {
            Ok(()) => self.pass(what),
            Err(why) => self.fail(what, &why),
        }
    }

    /// Counts the tests of one program of tests from its closing line; true when `line` is one.
    pub fn count_result_line(&mut self, line: &str) -> bool {
        let Some(rest) = line.trim().strip_prefix("test result: ") else { return false };
        let number = |word: &str| {
            let before = rest.split(word).next().unwrap_or_default();
            before.rsplit([' ', ';', '.']).find(|w| !w.is_empty()).and_then(|w| w.parse().ok()).unwrap_or(0)
        };
        self.passed += number(" passed");
        let failed: usize = number(" failed");
        self.failed += failed;
        if failed > 0 {
            self.failures.push(format!("cargo test: {failed} failed in one program of tests"));
        }
        true
    }

    /// How many failed so far.
    pub fn failed(&self) -> usize {
        self.failed
    }

    /// Prints what failed and the closing line; the exit code says whether anything did.
    pub fn close(self) -> ExitCode {
        for failure in &self.failures {
            println!("failed: {failure}");
        }
        println!("{} passed, {} failed", self.passed, self.failed);
        if self.failed == 0 && self.passed > 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
    }
}

/// Something to run, by its name.
pub type Job<'a> = (String, Box<dyn Fn() -> Result<(), String> + Sync + 'a>);

/// Runs jobs two at a time, the next one as soon as one has ended, and counts each by its name.
pub fn two_at_a_time(tally: &mut Tally, jobs: &[Job<'_>]) {
    let next = AtomicUsize::new(0);
    let (done, ended) = std::sync::mpsc::channel();
    std::thread::scope(|scope| {
        for done in [done.clone(), done] {
            scope.spawn(|| {
                let done = done;
                while let Some((name, job)) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let begun = Instant::now();
                    let result = job();
                    let _ = done.send((format!("{name} ({:.0} s)", begun.elapsed().as_secs_f64()), result));
                }
            });
        }
        ended.iter().for_each(|(what, result)| tally.count(&what, result));
    });
}

/// A command in `root`.
pub fn command(root: &Path, program: impl AsRef<OsStr>, args: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.current_dir(root).args(args);
    command
}

/// cargo, the one that runs this chore.
pub fn cargo(root: &Path, args: &[&str]) -> Command {
    command(root, std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()), args)
}

/// Runs a command that prints for itself and counts it as one.
pub fn step(tally: &mut Tally, what: &str, command: &mut Command) {
    println!("== {what}");
    let begun = Instant::now();
    let result = succeed(command);
    tally.count(&format!("{what} ({:.0} s)", begun.elapsed().as_secs_f64()), result);
}

/// Runs a command and says why it did not succeed.
pub fn succeed(command: &mut Command) -> Result<(), String> {
    let name = command.get_program().to_string_lossy().into_owned();
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("{name} ended with {status}")),
        Err(error) => Err(format!("{name} cannot be run: {error}")),
    }
}

/// Runs programs of tests, shows what they print and counts each test.
pub fn count_tests(tally: &mut Tally, what: &str, command: &mut Command) {
    println!("== {what}");
    let before = tally.failed();
    let ended = stream(command, |line| {
        println!("{line}");
        tally.count_result_line(line);
    });
    match ended {
        Ok(()) => {}
        // The tests that failed have been counted; anything else (it did not compile) counts once.
        Err(_) if tally.failed() > before => {}
        Err(why) => tally.fail(what, &why),
    }
}

fn stream(command: &mut Command, mut each: impl FnMut(&str)) -> Result<(), String> {
    let mut child = command.stdout(Stdio::piped()).spawn().map_err(|e| e.to_string())?;
    if let Some(out) = child.stdout.take() {
        for line in BufReader::new(out).lines() {
            each(&line.map_err(|e| e.to_string())?);
        }
    }
    let status = child.wait().map_err(|e| e.to_string())?;
    if status.success() { Ok(()) } else { Err(format!("ended with {status}")) }
}

/// What a command prints on standard output.
pub fn output(command: &mut Command) -> Result<String, String> {
    let name = command.get_program().to_string_lossy().into_owned();
    let out = command.stderr(Stdio::inherit()).output().map_err(|e| format!("{name} cannot be run: {e}"))?;
    if !out.status.success() {
        return Err(format!("{name} ended with {}", out.status));
    }
    Ok(String::from_utf8_lossy(&out.stdout).into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closing_lines_are_counted() {
        let mut tally = Tally::default();
        let line = "test result: FAILED. 12 passed; 3 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.31s";
        assert!(tally.count_result_line(line));
        assert!(!tally.count_result_line("test tests::one ... ok"));
        assert_eq!((tally.passed, tally.failed), (12, 3));
    }

    #[test]
    fn jobs_two_at_a_time_are_all_run_and_counted() {
        let mut tally = Tally::default();
        let job = |k: u32| -> Job {
            (format!("{k}"), Box::new(move || if k == 3 { Err("three".to_string()) } else { Ok(()) }))
        };
        two_at_a_time(&mut tally, &(0..7).map(job).collect::<Vec<_>>());
        assert_eq!((tally.passed, tally.failed), (6, 1));
    }

    #[test]
    fn a_command_that_fails_is_counted_once() {
        let mut tally = Tally::default();
        tally.count("no such program", succeed(&mut Command::new("/no/such/program")));
        assert_eq!((tally.passed, tally.failed), (0, 1));
    }
}
