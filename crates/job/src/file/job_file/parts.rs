//! Brackets, slip joints, bungs, joints that come apart and heat shields.

use crate::file::record::{Record, unit};
use crate::parts::listed::{
    Bracket, BracketKind, Bung, Coupling, CouplingKind, Holds, Parts, Shield, SlipJoint, USUAL_FRICTION, USUAL_GIVE,
    USUAL_INSERTION, USUAL_SOCKET, USUAL_STIFFNESS, USUAL_THREAD,
};

/// Sheet of a shield that says nothing: thickness, stand-off, length and width, mm (common practice, no source).
const USUAL_SHIELD: [f64; 4] = [0.8, 10.0, 150.0, 80.0];

/// The parts of a job; one whose table is bad is left out.
pub fn parts(root: &Record) -> Parts {
    Parts {
        brackets: root.tables("bracket").iter().filter_map(bracket).collect(),
        slips: root.tables("slip").iter().filter_map(slip).collect(),
        bungs: root.tables("bung").iter().filter_map(bung).collect(),
        couplings: root.tables("joint").iter().filter_map(coupling).collect(),
        shields: root.tables("shield").iter().filter_map(shield).collect(),
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

fn coupling(table: &Record) -> Option<Coupling> {
    let kind = match table.text("kind")? {
        "v_band" => CouplingKind::VBand,
        "flange" => CouplingKind::Flange,
        _ => CouplingKind::Bellows {
            axial: table.number("axial_n_per_mm").unwrap_or(USUAL_GIVE[0]),
            lateral: table.number("lateral_n_per_mm").unwrap_or(USUAL_GIVE[1]),
        },
    };
    Some(Coupling {
        run: table.text("run")?.parse().ok()?,
        at: table.number("at")?,
        width: table.number("width").unwrap_or(kind.usual_width()),
        kind,
        mass: table.number("mass_kg"),
    })
}

fn shield(table: &Record) -> Option<Shield> {
    let [thickness, stand_off, length, width] = USUAL_SHIELD;
    Some(Shield {
        run: table.text("run")?.parse().ok()?,
        obstacle: table.text("obstacle")?.to_string(),
        thickness: table.number("thickness").unwrap_or(thickness),
        stand_off: table.number("stand_off").unwrap_or(stand_off),
        length: table.number("length").unwrap_or(length),
        width: table.number("width").unwrap_or(width),
        material: table.text("material").unwrap_or("304L").to_string(),
    })
}
