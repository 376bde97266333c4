//! The examples that come with the program.

/// An example.
#[derive(Debug)]
pub struct Example {
    /// Name of the example.
    pub name: &'static str,
    /// Title of the example.
    pub title: &'static str,
    /// What it shows.
    pub about: &'static str,
    /// Documents of the example.
    pub documents: &'static [(&'static str, &'static [u8])],
}

macro_rules! file {
    ($name:literal) => {
        include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/", $name))
    };
}

/// All of them, the one that the shop begins with first.
pub const EXAMPLES: [Example; 4] = [
    Example {
        name: "hill-climb-four",
        title: "Four into one, behind the engine",
        about: "Four long primaries of one length into a collector that may be moved, past a steering shaft.",
        documents: &[
            ("job.toml", file!("hill-climb-four/job.toml")),
            ("flange.toml", file!("hill-climb-four/flange.toml")),
            ("templates.toml", file!("hill-climb-four/templates.toml")),
        ],
    },
    Example {
        name: "straight-six",
        title: "Straight six, two collectors",
        about: "Six primaries in two groups, and what follows behind them.",
        documents: &[("job.toml", file!("straight-six/job.toml"))],
    },
    Example {
        name: "twin-entry-turbo",
        title: "Manifold for a twin-entry turbo",
        about: "Short runs in two groups by firing order into a divided flange.",
        documents: &[("job.toml", file!("twin-entry-turbo/job.toml"))],
    },
    Example {
        name: "jet-boat-bank",
        title: "One bank of a boat, beside a scanned hull",
        about: "Four primaries kept clear of a scan of the hull's side.",
        documents: &[
            ("job.toml", file!("jet-boat-bank/job.toml")),
            ("hull-side.ply", file!("jet-boat-bank/hull-side.ply")),
        ],
    },
];
