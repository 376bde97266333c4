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
mod saw;
mod slip;
mod stock;
mod templates;
mod welding;

use std::sync::atomic::Ordering;

use cutplan::CutJob;
use cutplan::figures::{Steps, in_steps};

use crate::PaperJob;
use crate::sheet::{Sheet, SheetKind};

/// Most sheets of a set that is looked at to its end. A set of 24 runs has 200.
pub const MOST_SHEETS: usize = 1_000;

/// Whether to draw further sheets: not when they are stopped, and not when there are more than anybody prints.
fn go_on(papers: &PaperJob<'_>, sheets: &[Sheet]) -> bool {
    sheets.len() <= MOST_SHEETS && !papers.stop.load(Ordering::Relaxed)
}

/// The sheets of the wanted kinds, in the order of the set. Ends soon after there are more than [`MOST_SHEETS`], or when it
/// is stopped.
pub fn sheets(papers: &PaperJob<'_>, wanted: &[SheetKind]) -> Vec<Sheet> {
    let shown = in_steps(papers.plan, Steps::of(papers.units), &CutJob::of(papers.job));
    let papers = &PaperJob { plan: &shown, ..*papers };
    let mut out = Vec::new();
    for kind in SheetKind::ALL.into_iter().filter(|k| wanted.contains(k)) {
        if !go_on(papers, &out) {
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

/// Number that a run has on the papers, from 1: the one its piece marks begin with.
fn run_number(papers: &PaperJob<'_>, index: usize) -> String {
    let first = papers.assembly.get(index).and_then(|a| a.pieces.first());
    let digits = |mark: &str| mark.chars().take_while(char::is_ascii_digit).collect::<String>();
    first.map(|&k| digits(&papers.plan.pieces[k].mark)).filter(|d| !d.is_empty()).unwrap_or((index + 1).to_string())
}
