//! What an export is asked for and made of: formats and settings, the job with all that has been made of it, and the files that
//! come of it.

use cutplan::CutPlan;
use export::Body;
use export::trial::Printing;
use job::JobExtras;
use job::model::{Job, Units};
use job::rates::Rates;
use job::routes::Routes;
pub use template::fixture::FixtureSheet;

/// A format, or a table in the formats of tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Format {
    /// Solids, AP214.
    Step,
    /// Binary meshes.
    Stl,
    /// Meshes with names and colours.
    ThreeMf,
    /// For viewers.
    Glb,
    /// Drawings for machines.
    Dxf,
    /// Drawings for paper and screen.
    Svg,
    /// Points and radii, CSV.
    Xyz,
    /// Length, rotation, angle, CSV.
    Lra,
    /// Pieces, CSV and XLSX.
    CutList,
    /// The quote, CSV and XLSX.
    Quote,
    /// Plates of a fixture: DXF, STL, STEP and their price.
    Fixture,
}

impl Format {
    /// All of them.
    pub const ALL: [Format; 11] = [
        Format::Step,
        Format::Stl,
        Format::ThreeMf,
        Format::Glb,
        Format::Dxf,
        Format::Svg,
        Format::Xyz,
        Format::Lra,
        Format::CutList,
        Format::Quote,
        Format::Fixture,
    ];

    /// Its word on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Format::Step => "step",
            Format::Stl => "stl",
            Format::ThreeMf => "3mf",
            Format::Glb => "glb",
            Format::Dxf => "dxf",
            Format::Svg => "svg",
            Format::Xyz => "xyz",
            Format::Lra => "lra",
            Format::CutList => "cutlist",
            Format::Quote => "quote",
            Format::Fixture => "fixture",
        }
    }

    /// Whether flanges and collectors are in it.
    pub(crate) fn shows_groups(self) -> bool {
        matches!(self, Format::Step | Format::Glb)
    }

    /// Whether it needs a cut plan.
    pub fn needs_plan(self) -> bool {
        matches!(self, Format::CutList | Format::Quote)
    }

    /// Whether it can show a single run or piece.
    pub fn of_parts(self) -> bool {
        !matches!(self, Format::Dxf | Format::Svg | Format::CutList | Format::Quote | Format::Fixture)
    }
}

/// Mild steel of 4 mm, slots 0.2 mm wider, lines as the finished edges (common practice, no source).
pub const SHEET: FixtureSheet = FixtureSheet { thickness: 4.0, play: 0.2, kerf: 0.0 };

/// What is exported and how.
#[derive(Debug, Clone)]
pub struct ExportSettings {
    /// Formats to write.
    pub formats: Vec<Format>,
    /// Only this run or piece.
    pub of: Option<String>,
    /// Filled or with the bore.
    pub body: Body,
    /// Meshes as trial pieces to print.
    pub trial: Option<Printing>,
    /// Bed and height of the printer that a fixture's plates may go on, mm.
    pub bed: [f64; 3],
    /// How far meshes may be from the true surface, mm.
    pub tolerance: f64,
    /// Sheet and slots of a fixture.
    pub fixture: FixtureSheet,
    /// The date that stands in STEP files, as ISO 8601 writes it; empty: none was given.
    pub date: String,
}

/// 0.02 mm: a twentieth of a printer's 0.4 mm nozzle; some 80 points around a 44 mm tube, volumes to 0.2 % (common practice,
/// no source).
pub const TOLERANCE: f64 = 0.02;

impl Default for ExportSettings {
    fn default() -> Self {
        ExportSettings {
            formats: Format::ALL.to_vec(),
            of: None,
            body: Body::Hollow,
            trial: None,
            bed: Printing::default().bed,
            tolerance: TOLERANCE,
            fixture: SHEET,
            date: String::new(),
        }
    }
}

/// A job with all that has been made of it.
#[derive(Debug, Clone, Copy)]
pub struct Work<'a> {
    /// The job that is exported.
    pub job: &'a Job,
    /// Unit of lengths in tables, drawings and messages.
    pub units: Units,
    /// Routes of its runs.
    pub routes: &'a Routes,
    /// Its cut plan, when it has been cut.
    pub plan: Option<&'a CutPlan>,
    /// Rates of the quote.
    pub rates: &'a Rates,
    /// Flanges, templates and the bending machine.
    pub beside: &'a JobExtras,
}

/// What is exported, as bytes.
#[derive(Debug, Clone, Default)]
pub struct Made {
    /// The files: their names within a folder, with `/`, and what is in them.
    pub files: Vec<(String, Vec<u8>)>,
    /// What a person should know before using them.
    pub warnings: Vec<String>,
}
