//! Why something cannot be drawn or exported, and what the bending machine cannot do.

use export::ExportError;
use export::bending::BendingWarning;
use job::model::Units;
use job::show::{exact_with_unit, length_with_unit, size_with_unit};
use template::{DrawingError, FacePlace, Omission};

use super::routes::centreline;

/// Something that could not be drawn.
pub fn omission(what: &Omission, units: Units) -> String {
    match what {
        Omission::NotDrawn { name, why } => format!("{name} is not drawn: {}", drawing(why, units)),
        Omission::UnknownCollector { name } => {
            format!("templates.toml describes a collector {name}; the job has none of that name")
        }
    }
}

/// Why something cannot be drawn.
pub fn drawing(error: &DrawingError, units: Units) -> String {
    let (exact, size) = (|l: f64| exact_with_unit(l, units), |l: f64| size_with_unit(l, units));
    match error {
        DrawingError::NotPositive { what, value } => format!("{what} is {}; it must be above 0", exact(*value)),
        DrawingError::NoPort => "a flange needs at least one port".into(),
        DrawingError::Opening { port, why } => format!("the opening of port {port} needs {why}"),
        DrawingError::HoleInOpening { hole, port } => format!("bolt hole {hole} runs into the opening of port {port}"),
        DrawingError::OpeningsMeet { ports: [a, b] } => format!("the openings of ports {a} and {b} overlap"),
        DrawingError::SleevesMeet { inlets: [a, b], more, gap } => format!(
            "inlets {a} and {b} are {} too close to leave metal between their sleeves: a slip collector of this sheet needs \
             a gap of at least {} between its tubes, set as `gap` of the collector in job.toml",
            exact(*more),
            exact(*gap)
        ),
        DrawingError::NoSaddle { branch_od, run_od, offset } => format!(
            "a tube of {} that meets {} off centre does not end on one of {} all around",
            size(*branch_od),
            exact(*offset),
            size(*run_od)
        ),
        DrawingError::MissesBend { at_deg } => {
            format!("at {at_deg:.0}\u{b0} around it the branch does not meet the bend within its arc")
        }
        DrawingError::Angle { what, degrees, above, below } => {
            format!("{what} is {degrees:.2}\u{b0}; it must be above {above:.0}\u{b0} and below {below:.0}\u{b0}")
        }
        DrawingError::TooFew { what, count, least } => format!("{what}: {count} given; at least {least} needed"),
        DrawingError::Outlet { outlet, least, most } => format!(
            "an outlet of {} does not suit these tubes; it must be between {} and {}",
            exact(*outlet),
            exact(*least),
            exact(*most)
        ),
        DrawingError::NoPortOfCylinder { cylinder } => format!("the job has no port of cylinder {cylinder}"),
        DrawingError::PortLeans { cylinder, degrees } => {
            format!("the flow of port {cylinder} leans {degrees:.0}\u{b0} from square to the face")
        }
        DrawingError::OffFace { place, off } => {
            format!("{} lies {} off the face of the others: measure it again", face_place(*place), exact(*off))
        }
    }
}

fn face_place(place: FacePlace) -> String {
    match place {
        FacePlace::Port(cylinder) => format!("port {cylinder}"),
        FacePlace::Bolt { bolt, cylinder } => format!("bolt {bolt} of port {cylinder}"),
        FacePlace::Hole(hole) => format!("hole {hole}"),
    }
}

/// Why something cannot be exported.
pub fn export(error: &ExportError, units: Units) -> String {
    let (exact, size) = (|l: f64| exact_with_unit(l, units), |l: f64| size_with_unit(l, units));
    match error {
        ExportError::BadRoute { run, reason } => format!("{run}: {}", centreline(reason, units)),
        ExportError::TightBend { part, clr, od } => format!(
            "{part} has a bend of CLR {}, not above half of the diameter of {}: the tube would run through itself",
            exact(*clr),
            size(*od)
        ),
        ExportError::NoBore { part, wall, od } => {
            format!("{part} has a wall of {} in a tube of {}: there is no bore left", exact(*wall), size(*od))
        }
        ExportError::UnknownPart { asked, known } => {
            format!("there is not a valid tube or piece called `{asked}`; there are {known}")
        }
        ExportError::Empty => "nothing to export: the job has no routed tube".into(),
        ExportError::SmallBed { bed, od, least } => format!(
            "a bed of {bed} mm is too small for trial pieces of a tube of {}: every side must be at least {least:.0} mm",
            size(*od)
        ),
        ExportError::TooLarge { what, format } => format!("{what} is too large for {format}"),
        ExportError::Writer { format, message } => format!("{format}: {message}"),
    }
}

/// What the bending machine cannot do as drawn.
pub fn bending(warning: &BendingWarning, units: Units) -> String {
    let long = |l: f64| length_with_unit(l, units);
    match warning {
        BendingWarning::NoTool { run, bend, od, clr } => {
            format!("{run}: no tool bends {} to CLR {} (bend {bend})", long(*od), long(*clr))
        }
        BendingWarning::BeyondTable { run, bend, angle, tool, most } => format!(
            "{run}: bend {bend} turns {:.1}\u{b0}; the springback table of {tool} ends at {:.1}\u{b0}",
            angle.to_degrees(),
            most.to_degrees()
        ),
        BendingWarning::NoSpringback { run, bend, tool } => {
            format!("{run}: {tool} has no springback table: bend {bend} is set as drawn")
        }
        BendingWarning::ShortLastStraight { run, length, need } => format!(
            "{run}: the last straight is {}; the machine needs {}: leave it longer and cut it off after bending",
            long(*length),
            long(*need)
        ),
        BendingWarning::ShortFirstStraight { run, length, tool, need } => format!(
            "{run}: the first straight is {}; the clamp of {tool} holds {}: leave it longer and cut it off after bending",
            long(*length),
            long(*need)
        ),
        BendingWarning::ShortBetween { run, bend, length, tool, need } => format!(
            "{run}: only {} straight before bend {bend}; {tool} needs {}: bend it in two pieces and weld, or ask for a \
             longer straight",
            long(*length),
            long(*need)
        ),
        BendingWarning::ToolChange { run, clrs } => {
            let list: Vec<String> = clrs.iter().map(|r| long(*r)).collect();
            format!(
                "{run}: its bends have {} radii ({}): the tool must be changed within the run",
                clrs.len(),
                list.join(", ")
            )
        }
    }
}
