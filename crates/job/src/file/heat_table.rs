//! The keys of `[heat]` and `[strength]`.

use super::describe::{TableShape, ValueKind, above, may, must, range};

/// Runs that are covered: as many as there are ports, secondaries and tails.
const MOST_RUNS: usize = 192;

/// `[heat]`.
pub static HEAT: TableShape = TableShape {
    title: "[heat]",
    doc: "How hot the gas is, what is around the tubes, what covers them.",
    keys: &[
        may("gas_c", ValueKind::Number(range(200.0, 1300.0)), "Gas at the ports, mean over a cycle, degrees Celsius."),
        may("flange_c", ValueKind::Number(range(20.0, 700.0)), "Port flange, degrees Celsius."),
        may("air_c", ValueKind::Number(range(-40.0, 250.0)), "Air around the tubes, degrees Celsius."),
        may("air_speed", ValueKind::Number(range(0.1, 100.0)), "Speed of that air, m/s."),
        may("cycles", ValueKind::Number(range(1.0, 1e6)), "Heat cycles that the header is to bear."),
        may("run", ValueKind::Tables(&COVER, MOST_RUNS), "What covers a run."),
    ],
};

/// `[strength]`.
pub static STRENGTH: TableShape = TableShape {
    title: "[strength]",
    doc: "What is required of the hot header.",
    keys: &[may(
        "highest_share",
        ValueKind::Number(range(0.05, 5.0)),
        "Greatest share of its allowable stress range that a tube may reach; 1 is all of it. No limit by default.",
    )],
};

static COVER: TableShape = TableShape {
    title: "[[heat.run]]",
    doc: "What covers a run; bare by default.",
    keys: &[
        must("run", ValueKind::Text, "The run: \"primary 1\", \"secondary NAME\" or \"tail NAME\"."),
        must(
            "cover",
            ValueKind::Choice(&["bare", "bright", "coated", "wrapped"]),
            "bare: oxidised metal; bright: metal kept bright; coated: a ceramic coat; wrapped.",
        ),
        may("thickness", ValueKind::Length(above(0.0, 30.0)), "Of a wrap, its thickness; 3 mm by default."),
    ],
};
