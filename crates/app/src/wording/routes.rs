//! What routes miss, why a job cannot be met, which change helps, and why a route cannot be edited.

use geom::CentrelineError;
use job::model::Units;
use job::show::{exact_with_unit, length_with_unit, size_with_unit};
use route::edit::EditError;
use route::finding::{Change, Impossibility, Miss, Neighbour, RunEnd, Shortfall, Travel};
use route::laid::LaidError;

/// A miss with the run it belongs to in front.
pub fn miss_of_run(miss: &Miss, units: Units) -> String {
    let said = shortfall(&miss.what, units);
    miss.run.as_ref().map_or(said.clone(), |run| format!("{run}: {said}"))
}

/// What is missed.
pub fn shortfall(what: &Shortfall, units: Units) -> String {
    let long = |l: f64| exact_with_unit(l, units);
    match what {
        Shortfall::RouteCount { count: 0 } => "has no route".into(),
        Shortfall::RouteCount { count } => format!("has {count} routes; 1 needed"),
        Shortfall::NoPort => "has no port in the job".into(),
        Shortfall::NoCollector { end: RunEnd::Start } => "leaves a collector that the job does not have".into(),
        Shortfall::NoCollector { end: RunEnd::End } => "enters a collector that the job does not have".into(),
        Shortfall::NoInlet { collector, inlet } => format!("{collector} has no inlet {inlet}"),
        Shortfall::NotATube => "its points and radii do not make a tube".into(),
        Shortfall::BendsOverlap { straight, by } => {
            format!("the bends at straight {straight} overlap by {}", long(*by))
        }
        Shortfall::NoRouteAlone { nearest, keepout } => no_route_alone(*nearest, keepout.as_deref(), units),
        Shortfall::EndOffPlace { end, off } => format!("{} {} from where it belongs", starts(*end), long(*off)),
        Shortfall::EndOffAxis { end, off } => {
            format!("{} {:.3}\u{b0} off the axis", starts(*end), off.to_degrees())
        }
        Shortfall::ShortStraight { end, length, need } => {
            let which = if *end == RunEnd::Start { "first" } else { "last" };
            format!("the {which} straight is {}; {} needed", long(*length), long(*need))
        }
        Shortfall::WaypointMissed { waypoint, off } => format!("passes waypoint {waypoint} {} away", long(*off)),
        Shortfall::LengthOffTarget { length, target, tolerance } => {
            format!("{} long; target {} \u{b1} {}", long(*length), long(*target), long(*tolerance))
        }
        Shortfall::LengthSpread { spread, shortest, tolerance } => {
            format!("{} longer than {shortest}; {} allowed", long(*spread), long(*tolerance))
        }
        Shortfall::UnknownClr { bend, clr } => {
            format!("bend {bend} has a CLR of {}, which is not in stock", long(*clr))
        }
        Shortfall::TurnOutOfRange { bend, turn, range: [least, most] } => format!(
            "bend {bend} turns {:.2}\u{b0}; {:.0}\u{b0} to {:.0}\u{b0} allowed",
            turn.to_degrees(),
            least.to_degrees(),
            most.to_degrees()
        ),
        Shortfall::TooClose { to, gap, need, at } => too_close(to, [*gap, *need, *at], units),
        Shortfall::BodyTooClose { collector, to, gap, need } => body_too_close(collector, to, [*gap, *need], units),
        Shortfall::FoulsDuringFitting { collector, keepout, step, before_seated } => {
            let body = collector.as_ref().map_or(String::new(), |name| format!("the body of collector {name} "));
            let left = long(*before_seated);
            format!("{body}fouls {keepout} during fitting, in move {step}, {left} before the header is seated")
        }
        Shortfall::BeyondTravel { collector, travel, moved, allowed } => {
            beyond_travel(collector, *travel, [*moved, *allowed], units)
        }
        Shortfall::Impossible(why) => format!("impossible: {}", impossibility(why, units)),
        other => inlets(other),
    }
}

/// What is wrong at the inlets of a collector.
fn inlets(what: &Shortfall) -> String {
    let list = |cylinders: &[u32]| cylinders.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    match what {
        Shortfall::InletTaken { collector, inlet, by } => format!("inlet {inlet} of {collector} is also used by {by}"),
        Shortfall::WrongInlet { collector, inlet } => format!("belongs in inlet {inlet} of {collector}"),
        Shortfall::InletReserved { collector, inlet, cylinder } => {
            format!("inlet {inlet} of {collector} belongs to cylinder {cylinder}")
        }
        Shortfall::NotAccepted { collector } => format!("{collector} does not take this cylinder"),
        Shortfall::WrongCollector { collector } => format!("belongs to {collector}"),
        Shortfall::DoesNotFeed { from, collector } => format!("{from} does not feed {collector}"),
        Shortfall::TailEntersCollector => "a tail pipe cannot enter a collector".into(),
        Shortfall::Unassignable => "the tubes cannot be shared out among the inlets that each of them can reach".into(),
        Shortfall::GroupSplit { collector, cylinders } => {
            format!("collector {collector}: cylinders {} belong on one side of the divided entry", list(cylinders))
        }
        Shortfall::OutOfOrder { collector, cylinders } => {
            format!("collector {collector}: cylinders {} around it do not follow the firing order", list(cylinders))
        }
        Shortfall::UnknownCollector { collector } => format!("collector {collector}: the job has none of this name"),
        _ => unreachable!("worded by `shortfall`"),
    }
}

fn starts(end: RunEnd) -> &'static str {
    match end {
        RunEnd::Start => "starts",
        RunEnd::End => "ends",
    }
}

fn no_route_alone(nearest: Option<f64>, keepout: Option<&str>, units: Units) -> String {
    let attempt =
        nearest.map_or(String::new(), |by| format!("; the closest attempt misses by {}", exact_with_unit(by, units)));
    match keepout {
        Some(name) => format!("{name} blocks every route, even with no other tube there{attempt}"),
        None => format!("no route found, even with no other tube there{attempt}"),
    }
}

fn body_too_close(collector: &str, to: &str, [gap, need]: [f64; 2], units: Units) -> String {
    let need = exact_with_unit(need, units);
    if gap < 0.0 {
        let by = exact_with_unit(-gap, units);
        return format!("the body of collector {collector} overlaps {to} by {by}; {need} clear needed");
    }
    let gap = exact_with_unit(gap, units);
    format!("the body of collector {collector} is {gap} from {to}; {need} needed")
}

fn too_close(to: &Neighbour, [gap, need, at]: [f64; 3], units: Units) -> String {
    let to = match to {
        Neighbour::Run(run) => run.to_string(),
        Neighbour::Itself => "itself".into(),
        Neighbour::Keepout(name) => name.clone(),
        Neighbour::Body(name) => format!("the body of collector {name}"),
    };
    let (at, need) = (length_with_unit(at, units), exact_with_unit(need, units));
    if gap < 0.0 {
        return format!(
            "overlaps {to} by {} at {at} from its start; {need} clear needed",
            exact_with_unit(-gap, units)
        );
    }
    format!("{} clear of {to} at {at} from its start; {need} needed", exact_with_unit(gap, units))
}

fn beyond_travel(collector: &str, travel: Travel, [moved, allowed]: [f64; 2], units: Units) -> String {
    let long = |l: f64| exact_with_unit(l, units);
    let turn = |angle: f64| format!("{:.3}\u{b0}", angle.to_degrees());
    let (how, moved, allowed) = match travel {
        Travel::Along => ("moved along its axis by", long(moved), long(allowed)),
        Travel::Aside => ("moved sideways by", long(moved), long(allowed)),
        Travel::Roll => ("rotated by", turn(moved), turn(allowed)),
        Travel::Tilt => ("tilted by", turn(moved), turn(allowed)),
    };
    format!("collector {collector}: {how} {moved}; {allowed} allowed")
}

/// Why no route can meet a requirement.
pub fn impossibility(why: &Impossibility, units: Units) -> String {
    let long = |l: f64| exact_with_unit(l, units);
    let stub = |end: RunEnd, length: f64| match end {
        RunEnd::Start => format!("the first {}, straight out of the port,", long(length)),
        RunEnd::End => format!("the last {}, straight into the inlet,", long(length)),
    };
    match why {
        Impossibility::StraightLineTooLong { line, most, .. } => {
            format!("the straight line alone is {}; at most {} allowed", long(*line), long(*most))
        }
        Impossibility::ShortestRouteTooLong { least, most } => {
            format!("no route at its tightest CLR is shorter than {}; at most {} allowed", long(*least), long(*most))
        }
        Impossibility::StubTooClose { end, stub: length, keepout, by } => {
            format!("{} comes {} too close to {keepout}", stub(*end, *length), long(*by))
        }
        Impossibility::StubFoulsDuringFitting { end, stub: length, keepout, by } => {
            format!("{} fouls {keepout} by {} during fitting", stub(*end, *length), long(*by))
        }
        Impossibility::PortsTooClose { other, by } => {
            format!("its port is {} too close to that of {other} for tubes of this size", long(*by))
        }
        Impossibility::TooFewInlets(inner) => {
            format!("too few inlets are left for all tubes: {}", impossibility(inner, units))
        }
    }
}

/// A change of the job, as an instruction.
pub fn change(change: &Change, units: Units) -> String {
    let long = |l: f64| size_with_unit(l, units);
    match change {
        Change::Unlock { run } => format!("unlock {run}"),
        Change::LengthenPortStubs { by } => format!("lengthen the straights at the ports by {}", long(*by)),
        Change::HalveStubs => "halve the minimum straights".into(),
        Change::ReduceClearance { keepout, from, to } => {
            let change = format!("reduce the clearance to {keepout} from {} to {}", long(*from), long(*to));
            if suffers_from_heat(keepout) { change + HEAT } else { change }
        }
        Change::ReduceAllClearances { by } => {
            format!(
                "reduce the clearance to every obstacle by {} (lines, hoses and wires only behind a heat shield)",
                long(*by)
            )
        }
        Change::ReduceTubeClearance { from, to } => {
            format!("reduce the clearance between tubes from {} to {}", long(*from), long(*to))
        }
        Change::MoveKeepout { keepout } => format!("move {keepout} out of the way"),
        Change::ChangeTarget { from, to } => {
            format!("make the primaries {} long instead of {}", long(*to), long(*from))
        }
        Change::WidenTolerance { from, to } => {
            format!("let the lengths differ by {} instead of {}", long(*to), long(*from))
        }
        Change::FreeCollector { collector, travel } => {
            format!("let collector \"{collector}\" move up to {} and rotate freely", long(*travel))
        }
        Change::FreeInlets => "let the router choose the inlets".into(),
        Change::AddTighterBend { clr } => format!("also buy bends of CLR {}", long(*clr)),
    }
}

/// What goes with less clearance to something that heat can burst, melt or light.
const HEAT: &str = ", only behind a heat shield: heat bursts hoses and brake lines, melts wires and can light fuel";

/// Whether an obstacle is by its name something that heat can burst, melt or light.
fn suffers_from_heat(keepout: &str) -> bool {
    const WORDS: [&str; 11] =
        ["fuel", "brake", "line", "hose", "wire", "wiring", "loom", "harness", "cable", "tank", "clutch"];
    let name = keepout.to_lowercase();
    name.split(|c: char| !c.is_alphanumeric()).any(|word| WORDS.contains(&word.trim_end_matches('s')))
}

/// Why points and radii make no tube. Points are counted from 0, the start.
pub fn centreline(error: &CentrelineError, units: Units) -> String {
    match error {
        CentrelineError::BadRadius { at, value } => {
            format!("the radius at point {at} is {}; it must be above 0", exact_with_unit(*value, units))
        }
        CentrelineError::Overlap { at, missing } => {
            let missing = exact_with_unit(*missing, units);
            format!("the bends need {missing} more than there is between points {at} and {}", at + 1)
        }
        other => other.to_string(),
    }
}

/// Why routes cannot be laid out.
pub fn laid(error: &LaidError, units: Units) -> String {
    match error {
        LaidError::NoTube { run, error } => format!("{run}: {}", centreline(error, units)),
        LaidError::Unknown(run) => format!("{run} is not a tube of the job"),
    }
}

/// Why a route cannot be edited so. Bends are counted from 1.
pub fn edit(error: &EditError, units: Units) -> String {
    match error {
        EditError::NoBend { index, bends } => format!("there is no bend {index}: the tube has {bends}"),
        EditError::Held { index } => {
            format!("bend {index} lies on the lines of both ends; insert another bend first")
        }
        EditError::Needed { index } => format!(
            "without bend {index} the two ends do not meet: a tube between two lines needs two bends, or one where they \
             cross"
        ),
        EditError::NoTube(error) => centreline(error, units),
        EditError::NoLength { wanted, reached } => format!(
            "the tube reaches {}, not {}; insert a bend, or use a tighter CLR",
            length_with_unit(*reached, units),
            length_with_unit(*wanted, units)
        ),
    }
}
