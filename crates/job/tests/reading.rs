//! The job reader on whole files.
#![allow(clippy::unwrap_used)]

use job::{Problems, read_job};

/// Every table of the format with the values of its manual.
pub const FULL: &str = include_str!("full.toml");

fn read(text: &str) -> Result<(job::model::Job, Problems), Problems> {
    read_job("job.toml", text.as_bytes(), "folder", &job::no_mesh_files, None).map(|(job, warnings, _)| (job, warnings))
}

#[test]
fn the_whole_format_is_read_without_a_word() {
    let (job, warnings) = read(FULL).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(warnings, Problems::default(), "{warnings}");
    assert_eq!((job.ports.len(), job.collectors.len(), job.stock.bends.len()), (4, 1, 2));
    assert_eq!(job.stock.remnants.len(), 1);
    assert_eq!(job.ports[0].bolts[0].socket_od, 18.4);
}
