//! The keys of `[collector.body]`.

use super::describe::{Range, TableShape, ValueKind, above, may, must, range};

const OD: Range = range(4.0, 400.0);
const LENGTH: Range = above(0.0, 3_000.0);

/// `[collector.body]`.
pub static BODY: TableShape = TableShape {
    title: "[collector.body]",
    doc: "How the collector is made from its inlet plane to its outlet.",
    keys: &[
        must(
            "made",
            ValueKind::Choice(&["merge", "slip", "plate", "bought"]),
            "merge: leaning tubes cut where they meet; slip: sleeves; plate: a plate and a body of sheet; bought.",
        ),
        may(
            "length",
            ValueKind::Length(LENGTH),
            "From the inlet plane to the outlet, cone included; of a merge by its lean by default.",
        ),
        may(
            "outlet_od",
            ValueKind::Length(OD),
            "Outside diameter of its outlet; twice the area of one tube by default.",
        ),
        may(
            "lean",
            ValueKind::Angle(range(1.0, 30.0)),
            "Of a merge, how far each tube leans in; 7.5 degrees by default.",
        ),
        may(
            "insertion",
            ValueKind::Length(LENGTH),
            "Of a slip collector, how far tubes slide in; their diameter, at least 25 mm by default.",
        ),
        may(
            "clearance",
            ValueKind::Length(above(0.0, 10.0)),
            "Of a slip collector, on the diameter; 0.5 mm by default.",
        ),
        may("wall", ValueKind::Wall(range(0.2, 20.0)), "Wall of its sheet; the tubes' by default."),
        may("cone_to", ValueKind::Length(OD), "Outside diameter after the cone; the tube that leaves it by default."),
        may("cone_length", ValueKind::Length(LENGTH), "Length of the cone; 100 mm by default."),
        may("outlet_at", ValueKind::Point, "Of a bought one, the centre of its outlet when that is not on the axis."),
        may("outlet_axis", ValueKind::Direction, "Of a bought one, the direction of flow at its outlet."),
        may("mass", ValueKind::Number(above(0.0, 200.0)), "Mass, kg."),
        may("price", ValueKind::Money, "Of a bought one, its price."),
    ],
};
