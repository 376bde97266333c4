//! The keys of parts on the tubes: `[[bracket]]`, `[[slip]]` and `[[bung]]`.

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
