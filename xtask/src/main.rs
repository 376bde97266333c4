//! The project's own chores: `cargo x test`.

use std::process::{Command, exit};

fn main() {
    let status = Command::new("cargo").args(["test", "--workspace"]).status();
    exit(if status.is_ok_and(|s| s.success()) { 0 } else { 1 })
}
