//! Findings for files and calls: a stable code, names and measures as data, and the sentence beside them.
//!
//! Lengths in mm (keys end in `_mm`), angles in degrees (`_deg`). Bends, straights, inlets and waypoints are counted from 1.

use job::model::Units;
use route::finding::{Change, Impossibility, Miss, Neighbour, Requirement, RunEnd, Shortfall, Travel};
use route::judge::MissAt;
use route::relax::Relaxation;
use serde::Serialize;
use serde_json::{Map, Value, json};
use utoipa::ToSchema;

use super::{Xyz, xyz};
use crate::strength_answer::HighestShare;
use crate::summary::rounded;
use crate::wording;

/// What is required: the stable code of a requirement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RequirementCode {
    /// Every run has one route that is a valid tube.
    Runs,
    /// A run starts at its port or collector, along its axis.
    Start,
    /// A run ends at its inlet or place, along its axis.
    End,
    /// The CLRs are in stock.
    Radii,
    /// No bend turns too little or too much.
    Turn,
    /// The straights at both ends are long enough.
    Stub,
    /// The length of a run, or the largest difference among runs.
    Length,
    /// A tail passes through its waypoints.
    Via,
    /// The clearance to another run or to the body of a collector.
    TubeGap,
    /// The clearance of a run to itself.
    SelfGap,
    /// The clearance to an obstacle or to a tool's way.
    KeepoutGap,
    /// A run may use its inlet, and no other run uses it.
    Inlet,
    /// Each half of a divided entry takes one group of cylinders.
    Twin,
    /// The inlets follow the firing order.
    Rotation,
    /// A moved collector stays within its travel.
    Collector,
    /// The runs can be cut from the stock.
    Cut,
    /// No run goes beyond the share of its allowable stress range that the job allows.
    Strength,
}

impl From<Requirement> for RequirementCode {
    fn from(of: Requirement) -> Self {
        match of {
            Requirement::Runs => RequirementCode::Runs,
            Requirement::Start => RequirementCode::Start,
            Requirement::End => RequirementCode::End,
            Requirement::Radii => RequirementCode::Radii,
            Requirement::Turn => RequirementCode::Turn,
            Requirement::Stub => RequirementCode::Stub,
            Requirement::Length => RequirementCode::Length,
            Requirement::Via => RequirementCode::Via,
            Requirement::TubeGap => RequirementCode::TubeGap,
            Requirement::SelfGap => RequirementCode::SelfGap,
            Requirement::KeepoutGap => RequirementCode::KeepoutGap,
            Requirement::Inlet => RequirementCode::Inlet,
            Requirement::Twin => RequirementCode::Twin,
            Requirement::Rotation => RequirementCode::Rotation,
            Requirement::Collector => RequirementCode::Collector,
        }
    }
}

/// What exactly is missed, or why it cannot be met: stable codes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "each stands for the variant of the same name in `route::finding`")]
pub enum FindingCode {
    RouteCount,
    NoPort,
    NoCollector,
    NoInlet,
    NotATube,
    BendsOverlap,
    NoRouteAlone,
    EndOffPlace,
    EndOffAxis,
    ShortStraight,
    WaypointMissed,
    LengthOffTarget,
    LengthSpread,
    UnknownClr,
    TurnOutOfRange,
    TooClose,
    BodyTooClose,
    FoulsDuringFitting,
    InletTaken,
    WrongInlet,
    InletReserved,
    DoesNotFeed,
    TailEntersCollector,
    Unassignable,
    GroupSplit,
    OutOfOrder,
    BeyondTravel,
    StraightLineTooLong,
    ShortestRouteTooLong,
    PortsTooClose,
    TooFewInlets,
    NotAccepted,
    WrongCollector,
    UnknownCollector,
    StubTooClose,
    StubFoulsDuringFitting,
    CannotBeCut,
    ShareTooHigh,
    ShareUnknown,
}

/// A change of the job: stable codes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "each stands for the variant of the same name in `route::finding::Change`")]
pub enum ChangeCode {
    Unlock,
    LengthenPortStubs,
    HalveStubs,
    ReduceClearance,
    ReduceAllClearances,
    ReduceTubeClearance,
    MoveKeepout,
    ChangeTarget,
    WidenTolerance,
    FreeCollector,
    FreeInlets,
    AddTighterBend,
}

/// One requirement that is not met.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct UnmetView {
    /// The requirement.
    pub requirement: RequirementCode,
    /// The specific finding.
    pub finding: FindingCode,
    /// The run; null when it is not one run's.
    pub run: Option<String>,
    /// The amount missing: mm, or degrees where it is an angle; 1 where there is no amount.
    pub by: f64,
    /// The finding in words, lengths in the reader's unit.
    pub message: String,
    /// Names and measures of the finding; their keys go with `finding`.
    #[schema(value_type = Object)]
    pub measures: Map<String, Value>,
    /// Arc length along the run, when at one place.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_mm: Option<f64>,
    /// The place on the centreline, when at one place.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<Xyz>,
}

impl UnmetView {
    /// Of a miss.
    pub fn of(miss: &Miss, units: Units) -> Self {
        let (finding, measures) = shortfall(&miss.what);
        UnmetView {
            requirement: miss.requirement().into(),
            finding,
            run: miss.run.as_ref().map(ToString::to_string),
            by: rounded(miss.by),
            message: wording::shortfall(&miss.what, units),
            measures,
            at_mm: None,
            at: None,
        }
    }

    /// Of a miss and its place.
    pub fn at(found: &MissAt, units: Units) -> Self {
        let (at_mm, at) = (found.at.map(rounded), found.place.map(xyz));
        UnmetView { at_mm, at, ..UnmetView::of(&found.miss, units) }
    }

    /// Of runs that cannot be cut from the stock.
    pub fn of_cut(error: &cutplan::CutError, units: Units) -> Self {
        UnmetView {
            requirement: RequirementCode::Cut,
            finding: FindingCode::CannotBeCut,
            run: None,
            by: 1.0,
            message: wording::cut(error, units),
            measures: Map::new(),
            at_mm: None,
            at: None,
        }
    }

    /// Of a run that goes beyond the share of its allowable that the job allows, or of a share that cannot be computed (`None`); with
    /// how many routes were tried, where the router looked for some.
    pub fn of_share(found: Option<&HighestShare>, (allowed, tried): (f64, Option<usize>), units: Units) -> Self {
        let measures = |f: &HighestShare| {
            [("share", json!(f.share)), ("allowed", json!(allowed)), ("at_mm", mm(f.at_mm)), ("tried", json!(tried))]
        };
        let (finding, measures) = match found {
            Some(found) => coded(FindingCode::ShareTooHigh, measures(found)),
            None => coded(FindingCode::ShareUnknown, [("allowed", json!(allowed))]),
        };
        UnmetView {
            requirement: RequirementCode::Strength,
            finding,
            run: found.map(|f| f.run.to_string()),
            by: found.map_or(1.0, |f| rounded(f.share - allowed)),
            message: wording::share(found, (allowed, tried), units),
            measures,
            at_mm: found.map(|f| f.at_mm),
            at: None,
        }
    }

    /// The sentence, with the run in front.
    pub fn sentence(&self) -> String {
        self.run.as_ref().map_or(self.message.clone(), |run| format!("{run}: {}", self.message))
    }
}

/// A change of the job that was tried.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RelaxationView {
    /// The change in words, as an instruction.
    pub change: String,
    /// The change as a code.
    pub code: ChangeCode,
    /// Names and measures of the change; their keys go with `code`.
    #[schema(value_type = Object)]
    pub measures: Map<String, Value>,
    /// Whether every requirement holds then.
    pub met: bool,
    /// The largest miss left, mm; null when no answer was found at all.
    pub left_mm: Option<f64>,
}

impl RelaxationView {
    /// Of a change that was tried.
    pub fn of(tried: &Relaxation, units: Units) -> Self {
        let (code, measures) = change(&tried.change);
        RelaxationView {
            change: wording::change(&tried.change, units),
            code,
            measures,
            met: tried.met,
            left_mm: tried.left.is_finite().then(|| rounded(tried.left)),
        }
    }
}

/// A code with its names and measures.
type Coded<C> = (C, Map<String, Value>);

fn coded<C, const N: usize>(code: C, measures: [(&str, Value); N]) -> Coded<C> {
    (code, measures.into_iter().map(|(key, value)| (key.to_string(), value)).collect())
}

fn mm(value: f64) -> Value {
    json!(rounded(value))
}

fn deg(value: f64) -> Value {
    json!(rounded(value.to_degrees()))
}

fn end_word(end: RunEnd) -> Value {
    json!(match end {
        RunEnd::Start => "start",
        RunEnd::End => "end",
    })
}

fn shortfall(what: &Shortfall) -> Coded<FindingCode> {
    match what {
        Shortfall::RouteCount { count } => coded(FindingCode::RouteCount, [("count", json!(count))]),
        Shortfall::NoPort => coded(FindingCode::NoPort, []),
        Shortfall::NoCollector { end } => coded(FindingCode::NoCollector, [("end", end_word(*end))]),
        Shortfall::NoInlet { collector, inlet } => {
            coded(FindingCode::NoInlet, [("collector", json!(collector)), ("inlet", json!(inlet))])
        }
        Shortfall::NotATube => coded(FindingCode::NotATube, []),
        Shortfall::BendsOverlap { straight, by } => {
            coded(FindingCode::BendsOverlap, [("straight", json!(straight)), ("by_mm", mm(*by))])
        }
        Shortfall::NoRouteAlone { nearest, keepout } => {
            coded(FindingCode::NoRouteAlone, [("nearest_mm", json!(nearest.map(rounded))), ("keepout", json!(keepout))])
        }
        Shortfall::EndOffPlace { end, off } => {
            coded(FindingCode::EndOffPlace, [("end", end_word(*end)), ("off_mm", mm(*off))])
        }
        Shortfall::EndOffAxis { end, off } => {
            coded(FindingCode::EndOffAxis, [("end", end_word(*end)), ("off_deg", deg(*off))])
        }
        Shortfall::ShortStraight { end, length, need } => coded(
            FindingCode::ShortStraight,
            [("end", end_word(*end)), ("length_mm", mm(*length)), ("need_mm", mm(*need))],
        ),
        Shortfall::WaypointMissed { waypoint, off } => {
            coded(FindingCode::WaypointMissed, [("waypoint", json!(waypoint)), ("off_mm", mm(*off))])
        }
        Shortfall::LengthOffTarget { length, target, tolerance } => coded(
            FindingCode::LengthOffTarget,
            [("length_mm", mm(*length)), ("target_mm", mm(*target)), ("tolerance_mm", mm(*tolerance))],
        ),
        Shortfall::LengthSpread { spread, shortest, tolerance } => coded(
            FindingCode::LengthSpread,
            [("spread_mm", mm(*spread)), ("shortest", json!(shortest.to_string())), ("tolerance_mm", mm(*tolerance))],
        ),
        Shortfall::UnknownClr { bend, clr } => {
            coded(FindingCode::UnknownClr, [("bend", json!(bend)), ("clr_mm", mm(*clr))])
        }
        Shortfall::TurnOutOfRange { bend, turn, range: [least, most] } => coded(
            FindingCode::TurnOutOfRange,
            [("bend", json!(bend)), ("turn_deg", deg(*turn)), ("least_deg", deg(*least)), ("most_deg", deg(*most))],
        ),
        Shortfall::Impossible(why) => impossibility(why),
        Shortfall::TooClose { .. } | Shortfall::BodyTooClose { .. } | Shortfall::FoulsDuringFitting { .. } => {
            lost_clearance(what)
        }
        other => collector_shortfall(other),
    }
}

/// Of what comes too close to something.
fn lost_clearance(what: &Shortfall) -> Coded<FindingCode> {
    match what {
        Shortfall::TooClose { to, gap, need, at } => {
            let (kind, name) = neighbour(to);
            coded(
                FindingCode::TooClose,
                [("to", json!(kind)), ("name", name), ("gap_mm", mm(*gap)), ("need_mm", mm(*need)), ("at_mm", mm(*at))],
            )
        }
        Shortfall::BodyTooClose { collector, to, gap, need } => coded(
            FindingCode::BodyTooClose,
            [("collector", json!(collector)), ("name", json!(to)), ("gap_mm", mm(*gap)), ("need_mm", mm(*need))],
        ),
        Shortfall::FoulsDuringFitting { collector, keepout, step, before_seated } => coded(
            FindingCode::FoulsDuringFitting,
            [
                ("collector", json!(collector)),
                ("keepout", json!(keepout)),
                ("step", json!(step)),
                ("before_seated_mm", mm(*before_seated)),
            ],
        ),
        other => collector_shortfall(other),
    }
}

fn neighbour(to: &Neighbour) -> (&'static str, Value) {
    match to {
        Neighbour::Run(run) => ("run", json!(run.to_string())),
        Neighbour::Itself => ("itself", Value::Null),
        Neighbour::Keepout(name) => ("keepout", json!(name)),
        Neighbour::Body(name) => ("collector", json!(name)),
    }
}

fn collector_shortfall(what: &Shortfall) -> Coded<FindingCode> {
    let named = |code, collector: &str| coded(code, [("collector", json!(collector))]);
    match what {
        Shortfall::InletTaken { collector, inlet, by } => coded(
            FindingCode::InletTaken,
            [("collector", json!(collector)), ("inlet", json!(inlet)), ("by", json!(by.to_string()))],
        ),
        Shortfall::WrongInlet { collector, inlet } => {
            coded(FindingCode::WrongInlet, [("collector", json!(collector)), ("inlet", json!(inlet))])
        }
        Shortfall::InletReserved { collector, inlet, cylinder } => coded(
            FindingCode::InletReserved,
            [("collector", json!(collector)), ("inlet", json!(inlet)), ("cylinder", json!(cylinder))],
        ),
        Shortfall::NotAccepted { collector } => named(FindingCode::NotAccepted, collector),
        Shortfall::WrongCollector { collector } => named(FindingCode::WrongCollector, collector),
        Shortfall::DoesNotFeed { from, collector } => {
            coded(FindingCode::DoesNotFeed, [("from", json!(from)), ("collector", json!(collector))])
        }
        Shortfall::TailEntersCollector => coded(FindingCode::TailEntersCollector, []),
        Shortfall::Unassignable => coded(FindingCode::Unassignable, []),
        Shortfall::GroupSplit { collector, cylinders } => {
            coded(FindingCode::GroupSplit, [("collector", json!(collector)), ("cylinders", json!(cylinders))])
        }
        Shortfall::OutOfOrder { collector, cylinders } => {
            coded(FindingCode::OutOfOrder, [("collector", json!(collector)), ("cylinders", json!(cylinders))])
        }
        Shortfall::UnknownCollector { collector } => named(FindingCode::UnknownCollector, collector),
        Shortfall::BeyondTravel { collector, travel, moved, allowed } => {
            beyond_travel(collector, *travel, *moved, *allowed)
        }
        _ => unreachable!("coded by `shortfall`"),
    }
}

fn beyond_travel(collector: &str, travel: Travel, moved: f64, allowed: f64) -> Coded<FindingCode> {
    let (word, angle) = match travel {
        Travel::Along => ("along", false),
        Travel::Aside => ("aside", false),
        Travel::Roll => ("roll", true),
        Travel::Tilt => ("tilt", true),
    };
    let [moved, allowed] = if angle {
        [("moved_deg", deg(moved)), ("allowed_deg", deg(allowed))]
    } else {
        [("moved_mm", mm(moved)), ("allowed_mm", mm(allowed))]
    };
    coded(FindingCode::BeyondTravel, [("collector", json!(collector)), ("travel", json!(word)), moved, allowed])
}

fn impossibility(why: &Impossibility) -> Coded<FindingCode> {
    let of_stub = |code, end: RunEnd, stub: f64, keepout: &str, by: f64| {
        let measures = [("end", end_word(end)), ("stub_mm", mm(stub)), ("keepout", json!(keepout)), ("by_mm", mm(by))];
        coded(code, measures)
    };
    match why {
        Impossibility::StraightLineTooLong { line, least, most } => {
            let measures = [("line_mm", mm(*line)), ("least_mm", mm(*least)), ("most_mm", mm(*most))];
            coded(FindingCode::StraightLineTooLong, measures)
        }
        Impossibility::ShortestRouteTooLong { least, most } => {
            coded(FindingCode::ShortestRouteTooLong, [("least_mm", mm(*least)), ("most_mm", mm(*most))])
        }
        Impossibility::StubTooClose { end, stub, keepout, by } => {
            of_stub(FindingCode::StubTooClose, *end, *stub, keepout, *by)
        }
        Impossibility::StubFoulsDuringFitting { end, stub, keepout, by } => {
            of_stub(FindingCode::StubFoulsDuringFitting, *end, *stub, keepout, *by)
        }
        Impossibility::PortsTooClose { other, by } => {
            coded(FindingCode::PortsTooClose, [("other", json!(other.to_string())), ("by_mm", mm(*by))])
        }
        Impossibility::TooFewInlets(inner) => {
            let (code, measures) = impossibility(inner);
            coded(FindingCode::TooFewInlets, [("cause", json!({"finding": code, "measures": measures}))])
        }
    }
}

fn change(change: &Change) -> Coded<ChangeCode> {
    let from_to = |from: f64, to: f64| [("from_mm", mm(from)), ("to_mm", mm(to))];
    match change {
        Change::Unlock { run } => coded(ChangeCode::Unlock, [("run", json!(run.to_string()))]),
        Change::LengthenPortStubs { by } => coded(ChangeCode::LengthenPortStubs, [("by_mm", mm(*by))]),
        Change::HalveStubs => coded(ChangeCode::HalveStubs, []),
        Change::ReduceClearance { keepout, from, to } => {
            let [from, to] = from_to(*from, *to);
            coded(ChangeCode::ReduceClearance, [("keepout", json!(keepout)), from, to])
        }
        Change::ReduceAllClearances { by } => coded(ChangeCode::ReduceAllClearances, [("by_mm", mm(*by))]),
        Change::ReduceTubeClearance { from, to } => coded(ChangeCode::ReduceTubeClearance, from_to(*from, *to)),
        Change::MoveKeepout { keepout } => coded(ChangeCode::MoveKeepout, [("keepout", json!(keepout))]),
        Change::ChangeTarget { from, to } => coded(ChangeCode::ChangeTarget, from_to(*from, *to)),
        Change::WidenTolerance { from, to } => coded(ChangeCode::WidenTolerance, from_to(*from, *to)),
        Change::FreeCollector { collector, travel } => {
            coded(ChangeCode::FreeCollector, [("collector", json!(collector)), ("travel_mm", mm(*travel))])
        }
        Change::FreeInlets => coded(ChangeCode::FreeInlets, []),
        Change::AddTighterBend { clr } => coded(ChangeCode::AddTighterBend, [("clr_mm", mm(*clr))]),
    }
}
