//! One file for each kind of paper: from the job to its sheets.

mod assembly;
mod cautions;
mod clocking;
mod full_size;
mod inspection;
mod item;
mod jig;
pub(crate) mod overview;
mod practice;
pub mod quote;
mod runs;
mod saw;
mod slip;
mod stock;
mod templates;
mod welding;

use cutplan::CutJob;
use cutplan::figures::{Steps, in_steps};

use crate::PaperJob;
use crate::sheet::{Sheet, SheetKind};

/// The sheets of the wanted kinds, in the order of the set. Ends soon after there are more than [`crate::MOST_SHEETS`], or when it
/// is stopped.
pub fn sheets(papers: &PaperJob<'_>, wanted: &[SheetKind]) -> Vec<Sheet> {
    let shown = in_steps(papers.plan, Steps::of(papers.units), &CutJob::of(papers.job));
    let papers = &PaperJob { plan: &shown, ..*papers };
    let mut out = Vec::new();
    for kind in SheetKind::ALL.into_iter().filter(|k| wanted.contains(k)) {
        if !papers.go_on(out.len()) {
            break;
        }
        out.extend(match kind {
            SheetKind::Cautions => cautions::sheets(papers),
            SheetKind::Overview => overview::sheets(papers),
            SheetKind::Stock => stock::sheets(papers),
            SheetKind::Saw => saw::sheets(papers),
            SheetKind::FullSize => full_size::sheets(papers),
            SheetKind::Clocking => clocking::sheets(papers),
            SheetKind::Assembly => assembly::sheets(papers),
            SheetKind::Welding => welding::sheets(papers),
            SheetKind::Jig => jig::sheets(papers),
            SheetKind::Templates => templates::sheets(papers),
            SheetKind::Inspection => inspection::sheets(papers),
            SheetKind::Slip => slip::sheets(papers),
            SheetKind::Quote => quote::sheets(papers),
        });
    }
    out
}
