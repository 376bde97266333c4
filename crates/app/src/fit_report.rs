//! What is known of a build: each run with its forecast, where its end is, and what is to be changed.

use fit::chain::figure;
use fit::correction::clocking;
use fit::{Chance, Correction, CutOpen, Estimate, Forecast, Remedy, Shop, Slot, State};
use job::Problems;
use job::model::Units;
use route::finding::Miss;

use crate::fit_bench::RunBuild;
use crate::fit_work::ExtraWork;

/// What is known of a build.
#[derive(Debug)]
pub struct FitReport {
    /// Its runs, in the order of the routes.
    pub runs: Vec<RunFit>,
    /// True when something was cut, joined or measured.
    pub begun: bool,
    /// Clearances that the corrected build no longer keeps, where the drawing does.
    pub gaps: Vec<Miss>,
    /// What only looks wrong.
    pub warnings: Problems,
    /// Names of the plan's items.
    pub items: Vec<String>,
    /// The job's units.
    pub units: Units,
}

/// What is known of a run.
#[derive(Debug)]
pub struct RunFit {
    /// The run as it is being built.
    pub build: RunBuild,
    /// How well the shop works.
    pub shop: Shop,
    /// What is to be expected of it.
    pub forecast: Forecast,
    /// What can be done about it before the saw, the best first; empty once it is being built.
    pub remedies: Vec<Remedy>,
    /// What each of these costs beside the plan.
    pub work: Vec<ExtraWork>,
    /// Where it is.
    pub estimate: Estimate,
    /// What is to be changed.
    pub correction: Correction,
    /// Whether that is more than the least change, so that clearances are kept.
    pub keeps_gaps: bool,
    /// The weld to cut open when that does not do.
    pub cut_open: Option<CutOpen>,
    /// Chance to go in as planned and as corrected; `None` before anything is built.
    pub chance: Option<[Chance; 2]>,
}

/// A piece as it is to be made.
#[derive(Debug, Clone, PartialEq)]
pub struct NewPiece {
    /// Its mark.
    pub mark: String,
    /// Straight before the arc, angle (rad) and straight behind it as planned, mm.
    pub was: [f64; 3],
    /// The same as corrected.
    pub is: [f64; 3],
}

/// A clocking as it is to be set.
#[derive(Debug, Clone, PartialEq)]
pub struct NewClocking {
    /// The piece with the bend.
    pub to: String,
    /// As planned, rad.
    pub was: f64,
    /// As corrected, rad.
    pub is: f64,
    /// Past the match mark of its joint, which is where the plan has it, rad.
    pub from_mark: f64,
}

/// A slip joint that is to be pushed in otherwise than drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct NewSlide {
    /// The piece behind it, whose end is expanded.
    pub to: String,
    /// The joint.
    pub joint: String,
    /// The overlap as planned, mm.
    pub was: f64,
    /// As corrected, mm.
    pub is: f64,
}

impl RunFit {
    /// Its figures as built and corrected, with a weld cut open where nothing less does.
    pub(crate) fn final_figures(&self) -> &[f64] {
        self.cut_open.as_ref().map_or(&self.correction.figures, |open| &open.correction.figures)
    }

    /// The pieces that are still to be cut, in a correction.
    pub fn pieces(&self, figures: &[f64], from: usize) -> Vec<NewPiece> {
        let run = &self.build.run;
        (0..run.parts.len())
            .filter(|&k| k >= from || self.build.freedoms[k].state <= State::Cut)
            .map(|k| {
                let of = |all: &[f64]| [Slot::LegIn, Slot::Angle, Slot::LegOut].map(|s| all[figure(k, s)]);
                NewPiece { mark: run.parts[k].mark.clone(), was: of(&self.build.planned), is: of(figures) }
            })
            .collect()
    }

    /// The clockings that are still to be set, in a correction: also that of a joint that is cut open.
    pub fn clockings(&self, figures: &[f64], from: usize) -> Vec<NewClocking> {
        let run = &self.build.run;
        let open = run.parts[from.min(run.parts.len())..].iter().position(fit::Part::is_bend).map(|n| from + n);
        (0..run.parts.len())
            .filter(|&k| run.parts[k].is_bend())
            .filter(|&k| {
                let first = run.bend_before(k).map_or(0, |b| b + 1);
                let loose = |j: usize| self.build.freedoms[j].state < State::Welded || run.parts[j].joining.turns();
                let free = (first..=k).any(loose);
                free || open == Some(k)
            })
            .map(|k| NewClocking {
                to: run.parts[k].mark.clone(),
                was: clocking(run, &self.build.planned, k),
                is: clocking(run, figures, k),
                from_mark: figures[figure(k, Slot::Roll)] - self.build.planned[figure(k, Slot::Roll)],
            })
            .collect()
    }

    /// The slip joints of the run, in a correction.
    pub fn slides(&self, figures: &[f64]) -> Vec<NewSlide> {
        let run = &self.build.run;
        let slips = (0..run.parts.len()).filter(|&k| run.parts[k].joining.slides() > 0.0);
        let of = |all: &[f64], k: usize| -all[figure(k, Slot::Shift)];
        let slide = |k: usize| NewSlide {
            to: run.parts[k].mark.clone(),
            joint: run.parts[k].joint.clone(),
            was: of(&self.build.planned, k),
            is: of(figures, k),
        };
        slips.map(slide).collect()
    }

    /// Name of what a joint or piece is called in answers.
    pub fn place(&self, what: fit::Figure, link: usize) -> &str {
        let part = &self.build.run.parts[link];
        if what == fit::Figure::Clocking { &part.joint } else { &part.mark }
    }

    /// How far the face at a weld that is cut open is dressed out of square, rad.
    pub fn dressed(&self, open: &CutOpen) -> f64 {
        let by =
            |slot| open.correction.figures[figure(open.link, slot)] - self.estimate.figures[figure(open.link, slot)];
        if open.keep { by(Slot::KinkUp).hypot(by(Slot::KinkRight)) } else { 0.0 }
    }

    /// From which piece on a cut-open weld makes all again; beyond the last one when the pieces are kept.
    pub fn made_again(&self, open: &CutOpen) -> usize {
        if open.keep { self.build.run.parts.len() } else { open.link }
    }
}
