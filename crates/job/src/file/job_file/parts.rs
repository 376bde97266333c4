//! Brackets, slip joints and bungs.

use super::unit;
use crate::file::record::Record;
use crate::parts::{
    Bracket, BracketKind, Bung, Holds, Parts, SlipJoint, USUAL_FRICTION, USUAL_INSERTION, USUAL_SOCKET,
    USUAL_STIFFNESS, USUAL_THREAD,
};

/// The parts of a job; one whose table is bad is left out.
pub fn parts(root: &Record) -> Parts {
    Parts {
        brackets: root.tables("bracket").iter().filter_map(bracket).collect(),
        slips: root.tables("slip").iter().filter_map(slip).collect(),
        bungs: root.tables("bung").iter().filter_map(bung).collect(),
    }
}

fn bracket(table: &Record) -> Option<Bracket> {
    let holds = match table.text("collector") {
        Some(name) => Holds::Collector(name.to_string()),
        None => Holds::Run { run: table.text("run")?.parse().ok()?, at: table.number("at")? },
    };
    let kind = match table.text("kind")? {
        "slotted" => BracketKind::Slotted,
        "link" => BracketKind::Link,
        _ => BracketKind::Tab,
    };
    let stiffness = table.number("stiffness_n_per_mm").unwrap_or(USUAL_STIFFNESS);
    Some(Bracket { holds, kind, along: table.point("along").map(unit), stiffness })
}

fn slip(table: &Record) -> Option<SlipJoint> {
    Some(SlipJoint {
        run: table.text("run")?.parse().ok()?,
        at: table.number("at")?,
        overlap: table.number("overlap")?,
        springs: table.flag("springs").unwrap_or(false),
        friction: table.number("friction_n").unwrap_or(USUAL_FRICTION),
    })
}

fn bung(table: &Record) -> Option<Bung> {
    let length = table.number("length")?;
    Some(Bung {
        run: table.text("run")?.parse().ok()?,
        at: table.number("at")?,
        clock: table.number("clock").unwrap_or(0.0),
        thread: table.text("thread").unwrap_or(USUAL_THREAD).to_string(),
        length,
        socket_od: table.number("socket_od").unwrap_or(USUAL_SOCKET),
        reach: table.number("reach").unwrap_or(length + USUAL_INSERTION),
    })
}
