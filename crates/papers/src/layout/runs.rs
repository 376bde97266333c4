//! The runs as the papers show them: their numbers and names, their centrelines, their tubes in a view.

use geom::Centreline;
use job::routes::RunId;

use crate::PaperJob;
use crate::view::DrawnTube;
use crate::words;

/// Number that a run has on the papers, from 1: the one its piece marks begin with.
pub(super) fn run_number(papers: &PaperJob<'_>, index: usize) -> String {
    let first = papers.assembly.get(index).and_then(|a| a.pieces.first());
    let digits = |mark: &str| mark.chars().take_while(char::is_ascii_digit).collect::<String>();
    first.map(|&k| digits(&papers.plan.pieces[k].mark)).filter(|d| !d.is_empty()).unwrap_or((index + 1).to_string())
}

/// A run's name.
pub(super) fn run_name(run: &RunId) -> String {
    words::short(&run.to_string(), 48)
}

/// The centrelines of all runs; a route that is not a valid tube has none.
pub(super) fn lines(papers: &PaperJob<'_>) -> Vec<Option<Centreline>> {
    papers.routes.runs.iter().map(|r| r.centreline().ok()).collect()
}

/// All runs as tubes to be drawn; `only` shows one and the others faint.
pub(super) fn tubes<'a>(
    papers: &PaperJob<'_>,
    lines: &'a [Option<Centreline>],
    only: Option<usize>,
) -> Vec<DrawnTube<'a>> {
    let mut out = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let (Some(line), Some(run)) = (line, papers.assembly.get(index)) else { continue };
        let faint = only.is_some_and(|o| o != index);
        let joints = &run.joints;
        let rings = if faint { Vec::new() } else { joints.iter().map(|j| j.station).collect() };
        let (ink, dash) = (words::run_ink(index), words::run_dash(index));
        out.push(DrawnTube { line, radius: 0.5 * run.tube.od, ink, dash, rings, faint });
    }
    out
}
