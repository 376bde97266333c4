//! The keys of parts on the tubes: `[[bracket]]`, `[[slip]]`, `[[bung]]`, `[[joint]]` and `[[shield]]`.

use super::describe::{Key, Range, TableShape, ValueKind, above, may, must, range};

/// Parts of one kind: a probe in every tube of the largest engines, twice over.
pub const MOST_PARTS: usize = 64;

const PLACE: Range = range(0.0, 20_000.0);

const RUN: Key = must("run", ValueKind::Text, "The run it is on: \"primary 1\", \"secondary NAME\" or \"tail NAME\".");
const AT: Key = must("at", ValueKind::Length(PLACE), "Distance from the start of the run along the centreline.");

/// `[[bracket]]`.
pub static BRACKET: TableShape = TableShape {
    title: "[[bracket]]",
    doc: "A bracket between a run or a collector and the engine or frame.",
    keys: &[
        may("run", ValueKind::Text, "The run it holds: \"primary 1\", \"secondary NAME\" or \"tail NAME\"."),
        may("collector", ValueKind::Text, "The collector it holds, instead of a run."),
        may("at", ValueKind::Length(PLACE), "On a run, the distance from its start along the centreline."),
        must(
            "kind",
            ValueKind::Choice(&["tab", "slotted", "link"]),
            "tab: holds all ways; slotted: lets it slide along `along`; link: holds along `along` only.",
        ),
        may(
            "along",
            ValueKind::Direction,
            "Direction of the slot or of the link; a slot lies along the growth by default.",
        ),
        may(
            "stiffness_n_per_mm",
            ValueKind::Number(above(0.0, 1e6)),
            "Force that moves the held place by 1 mm, N/mm; 1000 by default.",
        ),
    ],
};

/// `[[slip]]`.
pub static SLIP: TableShape = TableShape {
    title: "[[slip]]",
    doc: "A slip joint in a straight of a run: the tube upstream slides into the one downstream.",
    keys: &[
        RUN,
        AT,
        must("overlap", ValueKind::Length(range(10.0, 200.0)), "How far the tube upstream slides in."),
        may("springs", ValueKind::Flag, "Whether springs hold it together; false by default."),
        may(
            "friction_n",
            ValueKind::Number(range(0.0, 10_000.0)),
            "Axial force, N, below which it does not slide; 100 by default.",
        ),
    ],
};

/// `[[bung]]`.
pub static BUNG: TableShape = TableShape {
    title: "[[bung]]",
    doc: "A threaded bung for a sensor: the sensor and the way it is screwed out must stay free.",
    keys: &[
        RUN,
        AT,
        may(
            "clock",
            ValueKind::Angle(range(-360.0, 360.0)),
            "Where it looks: degrees from up, clockwise looking downstream; on a vertical tube from the front. 0 by default.",
        ),
        may("thread", ValueKind::Text, "Its thread; \"M18x1.5\" by default."),
        must("length", ValueKind::Length(range(10.0, 300.0)), "From the tube to the end of the sensor with its plug."),
        may("socket_od", ValueKind::Length(range(5.0, 120.0)), "Diameter of the sensor's socket; 30 mm by default."),
        may(
            "reach",
            ValueKind::Length(range(10.0, 2_000.0)),
            "How far out the sensor must go to come free; its length and 30 mm by default.",
        ),
    ],
};

/// `[[joint]]`.
pub static JOINT: TableShape = TableShape {
    title: "[[joint]]",
    doc: "A joint that comes apart, or bellows, in a straight of a run: the tube is cut out over its width.",
    keys: &[
        RUN,
        AT,
        must(
            "kind",
            ValueKind::Choice(&["v_band", "flange", "bellows"]),
            "v_band: two lips in a clamp; flange: two flanges with bolts; bellows: flexible, gives along and across.",
        ),
        may(
            "width",
            ValueKind::Length(range(5.0, 400.0)),
            "Length of the run that it takes; 20 mm by default, 80 mm of bellows.",
        ),
        may("mass_kg", ValueKind::Number(above(0.0, 50.0)), "Its mass; by default from the tube's diameter."),
        may(
            "axial_n_per_mm",
            ValueKind::Number(above(0.0, 1e5)),
            "Of bellows, the force that shortens them by 1 mm; 60 by default.",
        ),
        may(
            "lateral_n_per_mm",
            ValueKind::Number(above(0.0, 1e5)),
            "Of bellows, the force across that moves one end by 1 mm, both ends parallel; 40 by default.",
        ),
    ],
};

/// `[[shield]]`.
pub static SHIELD: TableShape = TableShape {
    title: "[[shield]]",
    doc: "A sheet of metal between a run and an obstacle, where the two come nearest.",
    keys: &[
        RUN,
        must("obstacle", ValueKind::Text, "Name of the [[keepout]] that it shields."),
        may("thickness", ValueKind::Length(range(0.2, 10.0)), "Of the sheet; 0.8 mm by default."),
        may("stand_off", ValueKind::Length(range(3.0, 200.0)), "From tube to sheet; 10 mm by default."),
        may("length", ValueKind::Length(range(10.0, 2_000.0)), "Along the tube; 150 mm by default."),
        may("width", ValueKind::Length(range(10.0, 1_000.0)), "Across the tube; 80 mm by default."),
        may("material", ValueKind::Text, "Of the sheet; \"304L\" by default."),
    ],
};
