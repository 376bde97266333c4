//! Findings: what routes miss of a job, why a job cannot be met, and which change would help.
//!
//! All of it is data: ids, names and plain measures (mm, rad). The sentences are made elsewhere, for the unit that the
//! reader uses.

use job::model::{Job, MayMove, Rotation};
use job::routes::RunId;

/// What is required of routes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Requirement {
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
}

/// One end of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RunEnd {
    /// At the port, or at the collector that the run leaves.
    Start,
    /// At the inlet, or where a tail ends.
    End,
}

/// What a run comes close to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Neighbour {
    /// Another run.
    Run(RunId),
    /// The same run farther along.
    Itself,
    /// An obstacle or a tool's way, by name.
    Keepout(String),
    /// The body of a collector, by name.
    Body(String),
}

/// How a collector was moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Travel {
    /// Along its axis, mm.
    Along,
    /// Across its axis, mm.
    Aside,
    /// Rolled about its axis, rad.
    Roll,
    /// Its axis tilted, rad.
    Tilt,
}

/// What exactly is missed. Lengths in mm, angles in rad; bends, straights, inlets and waypoints are counted from 1.
#[derive(Debug, Clone, PartialEq)]
pub enum Shortfall {
    /// A run with no route, or with several.
    RouteCount {
        /// Routes found for it.
        count: usize,
    },
    /// A route of a port that the job does not have.
    NoPort,
    /// A route that leaves or enters a collector that the job does not have.
    NoCollector {
        /// The end concerned.
        end: RunEnd,
    },
    /// A route to an inlet that the collector does not have.
    NoInlet {
        /// The collector.
        collector: String,
        /// The inlet.
        inlet: usize,
    },
    /// Points and radii that make no tube.
    NotATube,
    /// Two bends that need more room than the straight between them has.
    BendsOverlap {
        /// The straight.
        straight: usize,
        /// Length missing.
        by: f64,
    },
    /// A run found no route even without the other runs.
    NoRouteAlone {
        /// The least amount by which an attempt missed, when one was drawn.
        nearest: Option<f64>,
        /// The obstacle without which it finds one.
        keepout: Option<String>,
    },
    /// An end that is not where it belongs.
    EndOffPlace {
        /// The end.
        end: RunEnd,
        /// Distance from its place.
        off: f64,
    },
    /// An end whose direction is off its axis.
    EndOffAxis {
        /// The end.
        end: RunEnd,
        /// Angle to the axis.
        off: f64,
    },
    /// A first or last straight that is too short.
    ShortStraight {
        /// The end.
        end: RunEnd,
        /// Length of the straight, or of the run, mm.
        length: f64,
        /// The minimum.
        need: f64,
    },
    /// A tail that misses a waypoint.
    WaypointMissed {
        /// The waypoint.
        waypoint: usize,
        /// Distance from it.
        off: f64,
    },
    /// A length off its target.
    LengthOffTarget {
        /// The length.
        length: f64,
        /// The target.
        target: f64,
        /// The tolerance either way.
        tolerance: f64,
    },
    /// Lengths that differ too much.
    LengthSpread {
        /// Longest less shortest.
        spread: f64,
        /// The shortest run.
        shortest: RunId,
        /// The tolerance.
        tolerance: f64,
    },
    /// A CLR that is not in stock.
    UnknownClr {
        /// The bend.
        bend: usize,
        /// Its CLR.
        clr: f64,
    },
    /// A bend that turns too little or too much.
    TurnOutOfRange {
        /// The bend.
        bend: usize,
        /// Angle of the bend, rad.
        turn: f64,
        /// Least and most.
        range: [f64; 2],
    },
    /// Too little clearance.
    TooClose {
        /// To what.
        to: Neighbour,
        /// The clearance, surface to surface; negative when they overlap.
        gap: f64,
        /// The clearance needed.
        need: f64,
        /// Arc length along the run from its start.
        at: f64,
    },
    /// The body of a collector is too close to an obstacle or a tool's way.
    BodyTooClose {
        /// The collector.
        collector: String,
        /// The obstacle.
        to: String,
        /// The clearance, surface to surface; negative when they overlap.
        gap: f64,
        /// The clearance needed.
        need: f64,
    },
    /// The header touches an obstacle while it is put on.
    FoulsDuringFitting {
        /// The collector whose body touches; none: the run itself.
        collector: Option<String>,
        /// The obstacle.
        keepout: String,
        /// The move, counted from 1.
        step: usize,
        /// Way left to the seated place.
        before_seated: f64,
    },
    /// An inlet used by two runs.
    InletTaken {
        /// The collector.
        collector: String,
        /// The inlet.
        inlet: usize,
        /// The other run.
        by: RunId,
    },
    /// A cylinder that the job puts into another inlet.
    WrongInlet {
        /// The collector it belongs to.
        collector: String,
        /// The inlet it belongs to.
        inlet: usize,
    },
    /// An inlet that the job gives to another cylinder.
    InletReserved {
        /// The collector.
        collector: String,
        /// The inlet.
        inlet: usize,
        /// The cylinder it belongs to.
        cylinder: u32,
    },
    /// A collector that does not take this cylinder.
    NotAccepted {
        /// The collector.
        collector: String,
    },
    /// A cylinder that another collector names.
    WrongCollector {
        /// The collector it belongs to.
        collector: String,
    },
    /// A secondary into a collector that it does not feed.
    DoesNotFeed {
        /// The collector it leaves.
        from: String,
        /// The collector it enters.
        collector: String,
    },
    /// A tail that enters a collector.
    TailEntersCollector,
    /// The runs cannot be shared out among the inlets that they can reach.
    Unassignable,
    /// A group of cylinders on both sides of a divided entry.
    GroupSplit {
        /// The collector.
        collector: String,
        /// The group.
        cylinders: Vec<u32>,
    },
    /// Cylinders around a collector out of firing order.
    OutOfOrder {
        /// The collector.
        collector: String,
        /// The cylinders by inlet.
        cylinders: Vec<u32>,
    },
    /// A moved collector that the job does not have.
    UnknownCollector {
        /// The name.
        collector: String,
    },
    /// A collector moved beyond its travel.
    BeyondTravel {
        /// The collector.
        collector: String,
        /// The kind of movement.
        travel: Travel,
        /// By how much it was moved.
        moved: f64,
        /// The most allowed.
        allowed: f64,
    },
    /// No route at all can meet it.
    Impossible(Impossibility),
}

/// Why no route can meet a requirement. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Impossibility {
    /// The straight line between the ends, stubs included, is longer than the run may be.
    StraightLineTooLong {
        /// The straight line.
        line: f64,
        /// The least length of a route at the tightest CLR.
        least: f64,
        /// The most allowed.
        most: f64,
    },
    /// No route at the tightest CLR is short enough.
    ShortestRouteTooLong {
        /// The least length.
        least: f64,
        /// The most allowed.
        most: f64,
    },
    /// A stub too close to an obstacle.
    StubTooClose {
        /// The end of the run.
        end: RunEnd,
        /// Length of the stub.
        stub: f64,
        /// The obstacle.
        keepout: String,
        /// Clearance missing.
        by: f64,
    },
    /// A stub that runs into an obstacle while the header is put on.
    StubFoulsDuringFitting {
        /// The end of the run.
        end: RunEnd,
        /// Length of the stub.
        stub: f64,
        /// The obstacle.
        keepout: String,
        /// Depth of the overlap.
        by: f64,
    },
    /// Two ports too close together for tubes of this size.
    PortsTooClose {
        /// The run of the other port.
        other: RunId,
        /// Clearance missing.
        by: f64,
    },
    /// Closing the ends that cannot be reached leaves too few inlets for all runs; the nearest such end.
    TooFewInlets(Box<Impossibility>),
}

impl Impossibility {
    /// The requirement that cannot be met.
    pub fn requirement(&self) -> Requirement {
        match self {
            Impossibility::StraightLineTooLong { .. } | Impossibility::ShortestRouteTooLong { .. } => {
                Requirement::Length
            }
            Impossibility::StubTooClose { .. } | Impossibility::StubFoulsDuringFitting { .. } => {
                Requirement::KeepoutGap
            }
            Impossibility::PortsTooClose { .. } => Requirement::TubeGap,
            Impossibility::TooFewInlets(why) => why.requirement(),
        }
    }

    /// By how much it is missed at least, mm.
    pub fn by(&self) -> f64 {
        match self {
            Impossibility::StraightLineTooLong { least, most, .. }
            | Impossibility::ShortestRouteTooLong { least, most } => least - most,
            Impossibility::StubTooClose { by, .. }
            | Impossibility::StubFoulsDuringFitting { by, .. }
            | Impossibility::PortsTooClose { by, .. } => *by,
            Impossibility::TooFewInlets(why) => why.by(),
        }
    }

    /// The obstacle concerned.
    pub fn keepout(&self) -> Option<&str> {
        match self {
            Impossibility::StubTooClose { keepout, .. } | Impossibility::StubFoulsDuringFitting { keepout, .. } => {
                Some(keepout)
            }
            Impossibility::TooFewInlets(why) => why.keepout(),
            _ => None,
        }
    }
}

impl Shortfall {
    /// The requirement that is missed.
    pub fn requirement(&self) -> Requirement {
        match self {
            Shortfall::RouteCount { .. }
            | Shortfall::NoPort
            | Shortfall::NoCollector { .. }
            | Shortfall::NoInlet { .. }
            | Shortfall::NotATube
            | Shortfall::BendsOverlap { .. }
            | Shortfall::NoRouteAlone { .. } => Requirement::Runs,
            Shortfall::EndOffPlace { end, .. } | Shortfall::EndOffAxis { end, .. } => match end {
                RunEnd::Start => Requirement::Start,
                RunEnd::End => Requirement::End,
            },
            Shortfall::ShortStraight { .. } => Requirement::Stub,
            Shortfall::WaypointMissed { .. } => Requirement::Via,
            Shortfall::LengthOffTarget { .. } | Shortfall::LengthSpread { .. } => Requirement::Length,
            Shortfall::UnknownClr { .. } => Requirement::Radii,
            Shortfall::TurnOutOfRange { .. } => Requirement::Turn,
            Shortfall::TooClose { to, .. } => match to {
                Neighbour::Run(_) | Neighbour::Body(_) => Requirement::TubeGap,
                Neighbour::Itself => Requirement::SelfGap,
                Neighbour::Keepout(_) => Requirement::KeepoutGap,
            },
            Shortfall::BodyTooClose { .. } | Shortfall::FoulsDuringFitting { .. } => Requirement::KeepoutGap,
            Shortfall::InletTaken { .. }
            | Shortfall::WrongInlet { .. }
            | Shortfall::InletReserved { .. }
            | Shortfall::NotAccepted { .. }
            | Shortfall::WrongCollector { .. }
            | Shortfall::DoesNotFeed { .. }
            | Shortfall::TailEntersCollector
            | Shortfall::Unassignable => Requirement::Inlet,
            Shortfall::GroupSplit { .. } => Requirement::Twin,
            Shortfall::OutOfOrder { .. } => Requirement::Rotation,
            Shortfall::UnknownCollector { .. } | Shortfall::BeyondTravel { .. } => Requirement::Collector,
            Shortfall::Impossible(why) => why.requirement(),
        }
    }
}

/// One requirement that is missed.
#[derive(Debug, Clone, PartialEq)]
pub struct Miss {
    /// The run concerned, when it is one run.
    pub run: Option<RunId>,
    /// The amount missing: mm, or degrees for turns and directions; 1 where there is no amount.
    pub by: f64,
    /// What exactly is missed.
    pub what: Shortfall,
}

impl Miss {
    /// A miss of one run.
    pub fn of(run: &RunId, by: f64, what: Shortfall) -> Miss {
        Miss { run: Some(run.clone()), by, what }
    }

    /// The requirement that is missed.
    pub fn requirement(&self) -> Requirement {
        self.what.requirement()
    }

    /// The obstacle concerned.
    pub fn keepout(&self) -> Option<&str> {
        match &self.what {
            Shortfall::TooClose { to: Neighbour::Keepout(name), .. } => Some(name),
            Shortfall::BodyTooClose { to: keepout, .. } | Shortfall::FoulsDuringFitting { keepout, .. } => {
                Some(keepout)
            }
            Shortfall::NoRouteAlone { keepout, .. } => keepout.as_deref(),
            Shortfall::Impossible(why) => why.keepout(),
            _ => None,
        }
    }
}

/// A single change of a job that may make it possible to meet. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Unlock a run, so that it is routed again.
    Unlock {
        /// The run.
        run: RunId,
    },
    /// Lengthen the straights at all ports.
    LengthenPortStubs {
        /// By how much.
        by: f64,
    },
    /// Halve the minimum straights at ports and collectors.
    HalveStubs,
    /// Ask for less clearance to one obstacle.
    ReduceClearance {
        /// The obstacle.
        keepout: String,
        /// The clearance now.
        from: f64,
        /// The clearance then.
        to: f64,
    },
    /// Ask for less clearance to every obstacle.
    ReduceAllClearances {
        /// By how much.
        by: f64,
    },
    /// Ask for less clearance between tubes.
    ReduceTubeClearance {
        /// The clearance now.
        from: f64,
        /// The clearance then.
        to: f64,
    },
    /// Move an obstacle out of the way.
    MoveKeepout {
        /// The obstacle.
        keepout: String,
    },
    /// Another target length of the primaries.
    ChangeTarget {
        /// The target now.
        from: f64,
        /// The target then.
        to: f64,
    },
    /// A wider tolerance on the length of the primaries.
    WidenTolerance {
        /// The tolerance now.
        from: f64,
        /// The tolerance then.
        to: f64,
    },
    /// Let a collector move and roll.
    FreeCollector {
        /// The collector.
        collector: String,
        /// How far either way, along and across its axis.
        travel: f64,
    },
    /// Let the router choose the inlets.
    FreeInlets,
    /// Buy bends of a tighter CLR too.
    AddTighterBend {
        /// Their CLR.
        clr: f64,
    },
}

impl Change {
    /// The obstacle that it concerns.
    pub fn keepout(&self) -> Option<&str> {
        match self {
            Change::ReduceClearance { keepout, .. } | Change::MoveKeepout { keepout } => Some(keepout),
            _ => None,
        }
    }

    /// Makes the change.
    pub fn apply(&self, job: &mut Job) {
        match self {
            // Locks are no part of the job; the router leaves this run out of those it keeps.
            Change::Unlock { .. } => {}
            Change::LengthenPortStubs { by } => job.ports.iter_mut().for_each(|p| p.stub += by),
            Change::HalveStubs => {
                job.ports.iter_mut().for_each(|p| p.stub *= 0.5);
                job.collectors.iter_mut().for_each(|c| c.stub *= 0.5);
            }
            Change::ReduceClearance { keepout, to, .. } => {
                job.keepouts.iter_mut().filter(|k| k.name == *keepout).for_each(|k| k.clearance = *to);
            }
            Change::ReduceAllClearances { by } => {
                job.keepouts.iter_mut().for_each(|k| k.clearance = (k.clearance - by).max(0.0));
            }
            Change::ReduceTubeClearance { to, .. } => job.clearance.tubes = *to,
            Change::MoveKeepout { keepout } => job.keepouts.retain(|k| k.name != *keepout),
            Change::ChangeTarget { to, .. } => job.primary.length.target = Some(*to),
            Change::WidenTolerance { to, .. } => job.primary.length.tolerance = *to,
            Change::FreeCollector { collector, travel } => {
                let free = MayMove { along: *travel, aside: *travel, roll: std::f64::consts::PI };
                job.collectors.iter_mut().filter(|c| c.name == *collector).for_each(|c| c.may_move = free);
            }
            Change::FreeInlets => {
                for c in &mut job.collectors {
                    c.rotation = Rotation::Any;
                    c.inlet_of.clear();
                }
            }
            Change::AddTighterBend { clr } => {
                let Some(least) = job.stock.bends.iter().map(|b| b.clr).min_by(f64::total_cmp) else { return };
                let mut tighter: Vec<_> = job.stock.bends.iter().filter(|b| b.clr == least).cloned().collect();
                tighter.iter_mut().for_each(|b| b.clr = *clr);
                job.stock.bends.extend(tighter);
            }
        }
    }
}
