//! `tubewright new`: a commented starter job.

use std::fs;
use std::path::{Path, PathBuf};

use job::model::{Layout, Units};
use job::starter::{PITCH, Starter, starter};
use job::{Problem, Problems};

use crate::exit::{Failure, Outcome, print};

/// Options of `new`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Folder to create; its name becomes the job's name
    name: PathBuf,
    /// Engine layout
    #[arg(long, value_enum, default_value = "inline")]
    layout: LayoutWord,
    /// Number of cylinders of the engine
    #[arg(long, default_value_t = 4)]
    cylinders: u32,
    /// Unit of the figures in the file
    #[arg(long, value_name = "UNIT", default_value = "mm")]
    units: Units,
    /// A turbo manifold instead of a header
    #[arg(long)]
    turbo: bool,
    /// Print one JSON object instead of text
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Clone, Copy, clap::ValueEnum)]
enum LayoutWord {
    Single,
    Inline,
    Vee,
    Flat,
}

/// Writes the starter job into a new folder.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let name = args.name.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let wanted = Starter {
        name,
        layout: match args.layout {
            LayoutWord::Single => Layout::Single,
            LayoutWord::Inline => Layout::Inline,
            LayoutWord::Vee => Layout::Vee,
            LayoutWord::Flat => Layout::Flat,
        },
        cylinders: args.cylinders,
        units: args.units,
        turbo: args.turbo,
        pitch: PITCH,
    };
    let text = starter(&wanted).map_err(|why| refuse("starter", why))?;
    let file = args.name.join("job.toml");
    if file.exists() {
        return Err(refuse("exists", format!("{} is already there", file.display())));
    }
    fs::create_dir_all(&args.name)
        .and_then(|()| job::write_atomic(&file, text.as_bytes()))
        .and_then(|()| terms(&args.name))
        .map_err(|e| Failure::System(format!("{} cannot be written: {e}", file.display())))?;
    let shown = file.display().to_string();
    if args.json {
        print(&serde_json::json!({"format": 1, "file": shown}).to_string());
    } else {
        print(&format!(
            "Wrote {shown}.\nReplace the figures with your own measurements, and put your terms of sale into terms.txt beside it, then: tubewright check {}",
            args.name.display()
        ));
    }
    Ok(Outcome::Done)
}

/// The program's own terms as a start for the shop's, where there are none yet.
fn terms(folder: &Path) -> std::io::Result<()> {
    let file = folder.join("terms.txt");
    if file.exists() { Ok(()) } else { job::write_atomic(&file, papers::DEFAULT_TERMS.as_bytes()) }
}

fn refuse(code: &'static str, why: String) -> Failure {
    Failure::Input(Problems::one(
        Problem::error(code, why).hint("choose another name or other options (see tubewright new --help)"),
    ))
}
