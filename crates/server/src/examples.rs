//! The examples that come with the program.

use std::io::Read;

use flate2::read::GzDecoder;

/// An example.
#[derive(Debug)]
pub struct Example {
    /// Name of the example.
    pub name: &'static str,
    /// Title of the example.
    pub title: &'static str,
    /// Short description.
    pub about: &'static str,
    /// Documents of the example.
    pub documents: &'static [(&'static str, Content)],
}

/// What an example's document holds.
#[derive(Debug)]
pub enum Content {
    /// It as it is.
    Plain(&'static [u8]),
    /// It compressed (gzip).
    Packed(&'static [u8]),
}

impl Example {
    /// Its documents with their bytes; one that were damaged in the program is left out.
    pub fn texts(&self) -> Vec<(String, Vec<u8>)> {
        let bytes = |content: &Content| match content {
            Content::Plain(bytes) => Some(bytes.to_vec()),
            Content::Packed(packed) => unpacked(packed).ok(),
        };
        self.documents.iter().filter_map(|(name, content)| Some(((*name).to_string(), bytes(content)?))).collect()
    }
}

/// A built-in file that is kept compressed (gzip).
///
/// # Errors
/// When it is damaged.
pub(crate) fn unpacked(packed: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    GzDecoder::new(packed).read_to_end(&mut bytes)?;
    Ok(bytes)
}

macro_rules! file {
    ($name:literal) => {
        Content::Plain(include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/", $name)))
    };
}

/// All examples; a new shop starts with the first.
pub const EXAMPLES: [Example; 4] = [
    Example {
        name: "hill-climb-four",
        title: "Four into one, behind the engine",
        about: "Four equal-length primaries past a steering shaft into a collector that can shift.",
        documents: &[
            ("job.toml", file!("hill-climb-four/job.toml")),
            ("flange.toml", file!("hill-climb-four/flange.toml")),
            ("templates.toml", file!("hill-climb-four/templates.toml")),
        ],
    },
    Example {
        name: "straight-six",
        title: "Straight six, two collectors",
        about: "Six primaries into two three-into-one collectors.",
        documents: &[("job.toml", file!("straight-six/job.toml"))],
    },
    Example {
        name: "twin-entry-turbo",
        title: "Manifold for a twin-entry turbo",
        about: "Short tubes, grouped by firing order, into a divided turbine flange.",
        documents: &[("job.toml", file!("twin-entry-turbo/job.toml"))],
    },
    Example {
        name: "jet-boat-bank",
        title: "One bank of a boat, beside a scanned hull",
        about: "Four primaries kept clear of a scan of the hull side.",
        documents: &[
            ("job.toml", file!("jet-boat-bank/job.toml")),
            ("hull-side.ply", Content::Packed(include_bytes!(concat!(env!("OUT_DIR"), "/hull-side.ply.gz")))),
        ],
    },
];
