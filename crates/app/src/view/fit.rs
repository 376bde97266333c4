//! Forecast and correction of a build as the page shows them.

use fit::{Chance, CutOpen, Miss, State};
use geom::Centreline;
use job::routes::Routes;
use serde::Serialize;
use utoipa::ToSchema;

use super::line::{LineView, bare_line};
use super::problem::{ProblemView, problems_in};
use super::{Xyz, xyz};
use crate::data_digits::data_digits;
use crate::fit_order::{BuiltFrom, order};
use crate::fit_report::{FitReport, NewClocking, NewPiece, NewSlide, RunFit};
use crate::fit_text::in_words;
use crate::fit_work::ExtraWork;
use crate::open_job::Planned;
use crate::summary::rounded;
use crate::tree::TomlTree;
use crate::wording;

/// A build.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FitView {
    /// Whether something was cut, joined or measured.
    pub begun: bool,
    /// Whether every run meets its inlet as corrected.
    pub met: bool,
    /// Digits of the plan, as at the foot of the sheets.
    pub data: String,
    /// fit.toml as a tree; null without one.
    #[schema(value_type = Option<serde_json::Value>)]
    pub document: Option<TomlTree>,
    /// What only looks wrong in fit.toml.
    pub warnings: Vec<ProblemView>,
    /// The runs, in the order of the routes.
    pub runs: Vec<FitRun>,
    /// Clearances that the corrected build loses, in words.
    pub lost_gaps: Vec<String>,
    /// In which order the runs are best built; empty once the build has begun.
    pub order: Vec<BuildStep>,
}

/// From which side a run is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum BuildSide {
    /// From the flange to its end.
    Flange,
    /// From the collector to its start.
    Collector,
    /// From both, to be closed between.
    Both,
}

/// A run in the order of building.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BuildStep {
    /// The run.
    pub run: String,
    /// From which side.
    pub from: BuildSide,
}

/// A run as it is being built.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FitRun {
    /// The run.
    pub run: String,
    /// Whether its end meets the inlet as corrected.
    pub met: bool,
    /// Its pieces along the flow.
    pub pieces: Vec<FitPiece>,
    /// Names of its joints along the flow.
    pub joints: Vec<String>,
    /// How far the end lies off with the rest made as planned.
    pub before: OffView,
    /// The same as corrected.
    pub after: OffView,
    /// Chance to go in with the rest as planned and as corrected; null before anything is joined.
    #[schema(value_type = Option<Vec<ChanceView>>)]
    pub chance: Option<[ChanceView; 2]>,
    /// Length of the centreline as corrected, mm.
    pub length_mm: f64,
    /// As drawn, mm.
    pub drawn_length_mm: f64,
    /// What is to be expected before the saw.
    pub forecast: ForecastView,
    /// What stands out: errors, and readings that were left out, in words.
    pub remarks: Vec<String>,
    /// Changes of pieces that are not cut yet.
    pub changes: Vec<PieceChange>,
    /// Clockings that differ from their match marks.
    pub clockings: Vec<ClockingChange>,
    /// Slip joints that are pushed in otherwise than drawn.
    pub slides: Vec<SlideChange>,
    /// The weld to cut open where nothing else brings it in.
    pub cut_open: Option<CutOpenView>,
    /// Where the last joined piece ends.
    pub open_end: Option<OpenEndView>,
    /// The run as measured and corrected.
    pub built: Option<LineView>,
}

/// How far a piece has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum PieceProgress {
    /// Not cut.
    Uncut,
    /// Cut.
    Cut,
    /// Tacked to what lies before it.
    Tacked,
    /// Welded.
    Welded,
}

/// A piece.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FitPiece {
    /// Its mark.
    pub mark: String,
    /// How far it has come.
    pub state: PieceProgress,
}

/// A miss.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct OffView {
    /// Place, mm.
    pub mm: f64,
    /// Direction, degrees.
    pub deg: f64,
}

/// A chance.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ChanceView {
    /// Share of simulated builds.
    pub share: f64,
    /// In words: `20 % (1 in 5)`.
    pub words: String,
}

/// What is to be expected before the saw.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ForecastView {
    /// Standard deviation of the end's place, mm.
    pub sd_place_mm: f64,
    /// Of its direction, degrees.
    pub sd_direction_deg: f64,
    /// Of the length, mm.
    pub sd_length_mm: f64,
    /// Chance to go in as drawn.
    pub goes_in: ChanceView,
    /// Sources of error and their share of the variance, the largest first.
    pub sources: Vec<SourceShare>,
    /// Ways to finish the run, the best first; none once it is being built.
    pub remedies: Vec<RemedyView>,
}

/// A source of error.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SourceShare {
    /// What it is.
    pub what: String,
    /// Its share.
    pub share: f64,
}

/// A way to finish a run.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RemedyView {
    /// The way, in words.
    pub way: String,
    /// Pieces that are cut last, along the flow.
    pub pieces: Vec<String>,
    /// How often the open end is measured.
    pub measures: usize,
    /// Chance to go in.
    pub chance: ChanceView,
    /// Time beside what the plan has, minutes.
    pub extra_minutes: f64,
    /// That time at the rate for labour, money.
    pub extra_cost: f64,
    /// What those pieces are to be left with more than drawn.
    pub reserve: Vec<ReserveView>,
}

/// What a piece is left with more than drawn.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ReserveView {
    /// The piece.
    pub mark: String,
    /// Whether it is a straight: its length is then the entry leg.
    pub straight: bool,
    /// On its entry leg, mm.
    pub leg_in_mm: f64,
    /// On its arc, degrees.
    pub angle_deg: f64,
    /// On its exit leg, mm.
    pub leg_out_mm: f64,
}

/// A piece whose figures change.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PieceChange {
    /// Its mark.
    pub mark: String,
    /// Straight before the arc, or the length of a straight: planned and corrected, mm.
    #[schema(value_type = Vec<f64>)]
    pub leg_in_mm: [f64; 2],
    /// The arc: planned and corrected, degrees.
    #[schema(value_type = Vec<f64>)]
    pub angle_deg: [f64; 2],
    /// Straight behind the arc: planned and corrected, mm.
    #[schema(value_type = Vec<f64>)]
    pub leg_out_mm: [f64; 2],
}

/// A clocking that differs from its match mark.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ClockingChange {
    /// The piece that is turned.
    pub to: String,
    /// Degrees past the match mark, right-hand rule about the flow.
    pub from_mark_deg: f64,
}

/// A slip joint that is pushed in otherwise than drawn.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SlideChange {
    /// The joint.
    pub joint: String,
    /// The overlap, planned and corrected, mm.
    #[schema(value_type = Vec<f64>)]
    pub overlap_mm: [f64; 2],
}

/// A weld to cut open.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CutOpenView {
    /// The joint.
    pub joint: String,
    /// Whether the pieces behind it are kept.
    pub keep_pieces: bool,
    /// How far the face is dressed out of square, degrees.
    pub dress_deg: f64,
    /// How far the end lies off then.
    pub after: OffView,
    /// Pieces that change then.
    pub changes: Vec<PieceChange>,
    /// Clockings that differ then.
    pub clockings: Vec<ClockingChange>,
    /// Slip joints that differ then.
    pub slides: Vec<SlideChange>,
}

/// Where the last joined piece ends.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct OpenEndView {
    /// Mark of the piece.
    pub after: String,
    /// Where its end is, mm.
    pub at_mm: Xyz,
    /// Where it is drawn, mm.
    pub drawn_mm: Xyz,
    /// Standard deviations, mm.
    pub sd_mm: Xyz,
}

/// The view of a report.
pub fn fit(planned: Planned<'_>, report: &FitReport) -> FitView {
    let text = planned.open.fit.as_ref().map(|f| String::from_utf8_lossy(&f.bytes).into_owned());
    let built = report.begun.then(|| report.as_built(planned.routes));
    let step = |(k, from): (usize, BuiltFrom)| BuildStep {
        run: report.runs[k].build.run.id.to_string(),
        from: match from {
            BuiltFrom::Flange => BuildSide::Flange,
            BuiltFrom::Collector => BuildSide::Collector,
            BuiltFrom::Both => BuildSide::Both,
        },
    };
    FitView {
        begun: report.begun,
        met: report.met(),
        data: data_digits(planned).unwrap_or_default(),
        document: text.as_deref().and_then(TomlTree::of),
        warnings: problems_in(&report.warnings, "fit.toml", text.as_deref().unwrap_or_default()),
        runs: report.runs.iter().map(|r| run(report, r, built.as_ref())).collect(),
        lost_gaps: report.gaps.iter().map(|gap| wording::miss_of_run(gap, report.units)).collect(),
        order: if report.begun { Vec::new() } else { order(&report.runs).into_iter().map(step).collect() },
    }
}

fn off(miss: &Miss) -> OffView {
    OffView { mm: rounded(miss.distance()), deg: rounded(miss.angle.to_degrees()) }
}

fn chance(of: Chance) -> ChanceView {
    ChanceView { share: rounded(of.share), words: in_words(of) }
}

fn run(report: &FitReport, of: &RunFit, built: Option<&Routes>) -> FitRun {
    let parts = &of.build.run.parts;
    let none = parts.len();
    let figures = &of.correction.figures;
    let line_of = |routes: &Routes| -> Option<LineView> {
        let route = routes.runs.iter().find(|r| r.run == of.build.run.id)?;
        let centreline: Centreline = route.centreline().ok()?;
        Some(bare_line(&centreline))
    };
    FitRun {
        run: of.build.run.id.to_string(),
        met: of.correction.met,
        pieces: parts.iter().zip(&of.build.freedoms).map(|(p, f)| piece(&p.mark, f.state)).collect(),
        joints: parts.iter().map(|p| p.joint.clone()).collect(),
        before: off(&of.correction.before),
        after: off(&of.correction.after),
        chance: of.chance.map(|both| both.map(chance)),
        length_mm: rounded(of.correction.length),
        drawn_length_mm: rounded(of.build.run.chain.length(&of.build.run.drawn)),
        forecast: forecast(of),
        remarks: if report.begun { report.remarks(of) } else { Vec::new() },
        changes: changes(&of.pieces(figures, none)),
        clockings: clockings(&of.clockings(figures, none)),
        slides: slides(&of.slides(figures)),
        cut_open: of.cut_open.as_ref().map(|open| cut_open(of, open)),
        open_end: open_end(of),
        built: built.and_then(line_of),
    }
}

fn piece(mark: &str, state: State) -> FitPiece {
    let state = match state {
        State::Uncut => PieceProgress::Uncut,
        State::Cut => PieceProgress::Cut,
        State::Tacked => PieceProgress::Tacked,
        State::Welded => PieceProgress::Welded,
    };
    FitPiece { mark: mark.to_string(), state }
}

fn forecast(of: &RunFit) -> ForecastView {
    let (run, f) = (&of.build.run, &of.forecast);
    let remedy = |(r, work): (&fit::Remedy, &ExtraWork)| RemedyView {
        way: r.kind.word().to_string(),
        pieces: r.cut_last.iter().map(|&k| run.parts[k].mark.clone()).collect(),
        measures: r.measures,
        chance: chance(r.chance),
        extra_minutes: rounded(work.minutes),
        extra_cost: work.cost.units(),
        reserve: r
            .reserve
            .iter()
            .map(|r| ReserveView {
                mark: run.parts[r.link].mark.clone(),
                straight: !run.parts[r.link].is_bend(),
                leg_in_mm: rounded(r.leg_in),
                angle_deg: rounded(r.angle.to_degrees()),
                leg_out_mm: rounded(r.leg_out),
            })
            .collect(),
    };
    ForecastView {
        sd_place_mm: rounded(f.sd_place()),
        sd_direction_deg: rounded(f.sd_direction.to_degrees()),
        sd_length_mm: rounded(f.sd_length),
        goes_in: chance(f.goes_in),
        sources: f
            .sources
            .iter()
            .map(|(source, share)| SourceShare { what: source.word().to_string(), share: rounded(*share) })
            .collect(),
        remedies: of.remedies.iter().zip(&of.work).map(remedy).collect(),
    }
}

/// A length that changes by less is the same at the bench, mm, and an angle, degrees.
const SAME: (f64, f64) = (0.05, 0.05);

fn changes(pieces: &[NewPiece]) -> Vec<PieceChange> {
    let of = |p: &NewPiece| PieceChange {
        mark: p.mark.clone(),
        leg_in_mm: [p.was[0], p.is[0]].map(rounded),
        angle_deg: [p.was[1], p.is[1]].map(|a| rounded(a.to_degrees())),
        leg_out_mm: [p.was[2], p.is[2]].map(rounded),
    };
    let differs = |c: &PieceChange| {
        let by = |pair: [f64; 2]| (pair[0] - pair[1]).abs();
        by(c.leg_in_mm) >= SAME.0 || by(c.leg_out_mm) >= SAME.0 || by(c.angle_deg) >= SAME.1
    };
    pieces.iter().map(of).filter(differs).collect()
}

fn clockings(of: &[NewClocking]) -> Vec<ClockingChange> {
    let change =
        |c: &NewClocking| ClockingChange { to: c.to.clone(), from_mark_deg: rounded(c.from_mark.to_degrees()) };
    of.iter().map(change).filter(|c| c.from_mark_deg.abs() >= SAME.1).collect()
}

fn slides(of: &[NewSlide]) -> Vec<SlideChange> {
    let change = |s: &NewSlide| SlideChange { joint: s.joint.clone(), overlap_mm: [s.was, s.is].map(rounded) };
    of.iter().filter(|s| (s.is - s.was).abs() >= SAME.0).map(change).collect()
}

fn cut_open(of: &RunFit, open: &CutOpen) -> CutOpenView {
    let figures = &open.correction.figures;
    CutOpenView {
        joint: of.build.run.parts[open.link].joint.clone(),
        keep_pieces: open.keep,
        dress_deg: rounded(of.dressed(open).to_degrees()),
        after: off(&open.correction.after),
        changes: changes(&of.pieces(figures, of.made_again(open))),
        clockings: clockings(&of.clockings(figures, open.link)),
        slides: slides(&of.slides(figures)),
    }
}

fn open_end(of: &RunFit) -> Option<OpenEndView> {
    let last = fit::sources::built(&of.build.states()).checked_sub(1)?;
    Some(OpenEndView {
        after: of.build.run.parts[last].mark.clone(),
        at_mm: xyz(of.build.run.chain.lay(&of.estimate.figures).exit[last].origin),
        drawn_mm: xyz(of.build.run.laid().exit[last].origin),
        sd_mm: Xyz(of.estimate.place_sd(&of.build.run, last).map(rounded)),
    })
}
