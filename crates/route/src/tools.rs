//! Keep-outs made by the tools that must reach bolts and plugs.

use job::model::{Job, Keepout};

/// The sockets' and plugs' ways out.
pub fn tool_ways(_job: &Job) -> Vec<Keepout> {
    Vec::new()
}
