//! A shop's bending machine, `bender.toml`.

use super::describe::{Key, Range, TableShape, ValueKind, above, may, must, range};
use super::details_file::{FORMAT, UNITS};
use super::own_file::opened;
use super::read::Reader;
use super::record::Record;
use super::tables::{CLR, OD};
use crate::bender::{Bender, Measured, Tool};
use crate::problem::Problem;

/// Tools of a machine.
const MOST_TOOLS: usize = 200;
/// Measured bends of one tool.
const MOST_MEASURED: usize = 500;

/// The whole file.
pub static BENDER: TableShape = TableShape {
    title: "the bending machine",
    doc: "What the shop's bending machine holds, and what its bends were measured to do.",
    keys: &[
        FORMAT,
        UNITS,
        may("end_allowance", ValueKind::Length(STRAIGHT), "Length added to what is cut and cut off after bending."),
        may("last_straight", ValueKind::Length(STRAIGHT), "Least straight after the last bend."),
        must("tool", ValueKind::Tables(&TOOL, MOST_TOOLS), "A tool of the machine."),
    ],
};

static TOOL: TableShape = TableShape {
    title: "[[tool]]",
    doc: "A tool: it bends one diameter to one radius.",
    keys: &[
        may("name", ValueKind::Text, "Its name; its radius by default."),
        must("od", ValueKind::Length(OD), "Outside diameter of its tube."),
        must("clr", ValueKind::Length(CLR), "Centreline radius that it bends to."),
        must("clamp", ValueKind::Length(STRAIGHT), "Straight that its clamp holds."),
        may("between", ValueKind::Length(STRAIGHT), "Least straight between two bends; the clamp's by default."),
        may("measured", ValueKind::Tables(&MEASURED, MOST_MEASURED), "A bend that was made and measured."),
    ],
};

static MEASURED: TableShape = TableShape {
    title: "[[tool.measured]]",
    doc: "A bend that was made and measured.",
    keys: &[
        must("angle", ANGLE, "The angle that came out."),
        must("springback", ValueKind::Angle(range(0.0, 45.0)), "How much farther the machine had been set."),
        may(
            "elongation",
            ValueKind::Length(range(-200.0, 200.0)),
            "How much longer the tube had become; 0 by default.",
        ),
    ],
};

const STRAIGHT: Range = range(0.0, 2000.0);

const ANGLE: ValueKind = ValueKind::Angle(above(0.0, 200.0));

/// Reads the bytes of the file.
pub fn read(name: &str, bytes: &[u8]) -> (Option<Bender>, Vec<Problem>) {
    opened(name, bytes, &BENDER, |reader, record| Bender {
        end_allowance: record.number("end_allowance").unwrap_or(0.0),
        last_straight: record.number("last_straight").unwrap_or(0.0),
        tools: record.tables("tool").iter().map(|t| tool(reader, t)).collect(),
    })
}

fn tool(reader: &mut Reader<'_>, table: &Record) -> Tool {
    let number = |key: &str| table.number(key).unwrap_or(0.0);
    let mut measured: Vec<Measured> = Vec::new();
    for row in table.tables("measured") {
        let value = |key: &str| row.number(key).unwrap_or(0.0);
        let next = Measured { angle: value("angle"), springback: value("springback"), elongation: value("elongation") };
        if row.number("angle").is_some() && measured.last().is_some_and(|last| last.angle >= next.angle) {
            let message = "the angles of [[tool.measured]] must rise";
            let problem = reader.error("order", &row.span_of("angle"), &row.about, message);
            problem.expected = "a larger angle than in the row before".into();
            problem.hint = "put the rows in the order of their angles, each angle once".into();
        }
        measured.push(next);
    }
    let clr = number("clr");
    let name = table.text("name").map_or_else(|| format!("CLR {clr:.1}"), String::from);
    Tool {
        name,
        od: number("od"),
        clr,
        clamp: number("clamp"),
        between: table.number("between").unwrap_or(number("clamp")),
        measured,
    }
}

/// The keys of the file, for the check that the manual names all of them.
pub fn keys() -> Vec<&'static Key> {
    [&BENDER, &TOOL, &MEASURED].iter().flat_map(|t| t.keys).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = "format = 1\nunits = \"mm\"\nlast_straight = 60\n[[tool]]\nod = 44.45\nclr = 76.2\nclamp = 80\n\
                        [[tool.measured]]\nangle = 45\nspringback = 1.2\n[[tool.measured]]\nangle = 90\nspringback = 2.5\nelongation = 3\n";

    #[test]
    fn a_machine_is_read() {
        let (bender, problems) = read("bender.toml", GOOD.as_bytes());
        assert!(problems.is_empty(), "{problems:?}");
        let bender = bender.unwrap();
        let tool = bender.tool(76.2, 44.45).unwrap();
        assert!((tool.springback(90f64.to_radians()).unwrap().to_degrees() - 2.5).abs() < 1e-9);
        assert_eq!((tool.between, tool.name.as_str(), bender.last_straight), (80.0, "CLR 76.2", 60.0));
    }

    #[test]
    fn wrong_keys_and_a_wrong_order_are_said_with_their_line() {
        let (none, problems) =
            read("bender.toml", GOOD.replace("clamp", "clmp").replace("angle = 90", "angle = 30").as_bytes());
        let said: String = problems.iter().map(ToString::to_string).collect();
        assert!(none.is_none() && said.contains("clmp") && said.contains("bender.toml:7:1"), "{said}");
        assert!(said.contains("must rise") && said.contains("bender.toml:12"), "{said}");
        assert!(problems.iter().all(|p| !p.hint.is_empty() && !p.expected.is_empty()), "{said}");
    }
}
