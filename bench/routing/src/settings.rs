//! What is run.

use std::ops::RangeInclusive;
use std::path::PathBuf;
use std::str::FromStr;
use std::sync::{Arc, LazyLock};

use bench_mesh::scan;
use geom::Vec3;
use geom::mesh::{Mesh, MeshFormat, read};
use job::model::{Job, Keepout, Shape};

use crate::families;

/// A family of jobs by variant.
pub type Family = fn(u32) -> Job;

/// All of them by name.
pub const FAMILIES: &[(&str, Family)] = &[
    ("inline-four", families::inline_four),
    ("v8-bank", families::v8_bank),
    ("inline-six", families::inline_six),
    ("turbo", families::turbo),
    ("scanned-four", scanned_four),
    ("four-two-one", families::four_two_one),
    ("twin-entry", families::twin_turbo_entry),
    ("movable", families::movable),
    ("slid-on", families::slid_on),
    ("both-banks", families::v8_both),
    ("merged-four", |variant| families::merged(families::inline_four(variant))),
    ("merged-movable", |variant| families::merged(families::movable(variant))),
    ("unmeetable", unmeetable),
];

/// The inline four with a scan of 300 000 triangles in the place of its frame rail.
fn scanned_four(variant: u32) -> Job {
    static SCAN: LazyLock<Vec<u8>> = LazyLock::new(|| scan(300_000));
    let mut job = families::inline_four(variant);
    let raw = read(&SCAN, MeshFormat::Stl).expect("the scan is an STL file");
    let mesh = Mesh::new(raw.mapped(|v| v + Vec3::new(-200.0, 590.0, -320.0))).expect("the scan is a mesh");
    job.keepouts.retain(|k| k.name != "frame rail");
    let shape = Shape::Mesh(Arc::new(mesh));
    job.keepouts.push(Keepout { name: "scan".into(), shape, clearance: 10.0, holds_ports: false });
    job
}

/// Jobs that can't be met, each for another reason: tubes too far apart, keep-outs too far off, lengths too short for the
/// bends, a wall, inlets that cross, a collector too close.
fn unmeetable(variant: u32) -> Job {
    let mut job = if variant.is_multiple_of(2) { families::inline_four(0) } else { families::v8_bank(0) };
    match variant % 6 {
        0 => job.clearance.tubes = 42.0,
        1 => job.keepouts.iter_mut().for_each(|k| k.clearance += 55.0),
        2 => job.primary.length.target = Some(655.0),
        3 => job.keepouts.push(wall()),
        4 => job.collectors[0].inlet_of = vec![(1, 4), (2, 2), (3, 1), (4, 3)],
        _ => job.collectors[0].at = Vec3::new(-250.0, 110.0, -150.0),
    }
    job
}

fn wall() -> Keepout {
    let (center, size) = (Vec3::new(-300.0, 150.0, -200.0), Vec3::new(900.0, 20.0, 400.0));
    let shape = Shape::Box { center, size, axes: [Vec3::X, Vec3::Y, Vec3::Z] };
    Keepout { name: "wall".into(), shape, clearance: 10.0, holds_ports: false }
}

/// What the command line asks for.
pub struct Settings {
    /// Names of families; none: all.
    words: Vec<String>,
    /// Variants of each.
    pub variants: RangeInclusive<u32>,
    /// Seeds of each variant.
    pub seeds: RangeInclusive<u64>,
    /// Steps of improvement, as in the program.
    pub effort: usize,
    /// Where rows go.
    pub csv: Option<PathBuf>,
}

impl Settings {
    /// Reads the words of the command line.
    pub fn read(mut words: impl Iterator<Item = String>) -> Result<Self, String> {
        let mut settings = Settings { words: vec![], variants: 0..=2, seeds: 1..=10, effort: 16, csv: None };
        while let Some(word) = words.next() {
            let Some(key) = word.strip_prefix("--") else {
                if !FAMILIES.iter().any(|f| f.0.contains(&word)) {
                    let names: Vec<&str> = FAMILIES.iter().map(|f| f.0).collect();
                    return Err(format!("no family is called {word}; there are {}", names.join(", ")));
                }
                settings.words.push(word);
                continue;
            };
            let value = words.next().ok_or(format!("--{key} needs a value"))?;
            match key {
                "variants" => settings.variants = range(&value)?,
                "seeds" => settings.seeds = range(&value)?,
                "effort" => settings.effort = number(&value)?,
                "csv" => settings.csv = Some(value.into()),
                _ => return Err(format!("--{key} is not known; there are --variants, --seeds, --effort, --csv")),
            }
        }
        Ok(settings)
    }

    /// Whether the family is asked for.
    pub fn wants(&self, family: &str) -> bool {
        self.words.is_empty() || self.words.iter().any(|w| family.contains(w.as_str()))
    }
}

fn number<T: FromStr>(word: &str) -> Result<T, String> {
    word.parse().map_err(|_| format!("{word} is not a whole number"))
}

fn range<T: FromStr + Copy>(word: &str) -> Result<RangeInclusive<T>, String> {
    let (from, to) = word.split_once('-').unwrap_or((word, word));
    Ok(number(from)?..=number(to)?)
}
