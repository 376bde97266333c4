//! Whether a flange of flange.toml goes with the tubes and bolts of its job, and whether a collector of templates.toml says
//! what job.toml says already.

use std::ops::Range;

use super::read::Reader;
use super::record::Record;
use crate::details::{FlangeDetail, Meets, OpeningShape};
use crate::face::{MOST_LEAN, face_of, hole_places, lean, ports_of};
use crate::model::{Job, Tube};
use crate::show;

/// Most that a hole may be wider than the tube that goes through it, mm: a fillet bridges half of it (common practice, no
/// source).
const LOOSE: f64 = 1.0;

/// A step from an opening to the tube's bore that is not worth a word, mm.
const STEP: f64 = 0.5;

/// Steepest that the sheet of a transition may run: 45 degrees to the flow.
const STEEPEST: f64 = 1.0;

/// Looks at one flange beside its job.
pub(super) fn check_flange(reader: &mut Reader<'_>, table: &Record, detail: &FlangeDetail, job: &Job) {
    let ports = ports_of(job, detail);
    if reader.broken || ports.is_empty() {
        return;
    }
    let mut check = FlangeCheck { reader, table, detail, tube: &job.primary.tube };
    if detail.holes.is_empty() && ports.iter().all(|p| p.bolts.is_empty()) {
        check.warn(
            "cylinders",
            "no-bolt-holes",
            format!("flange {} has no bolt holes", detail.name),
            "[[port.bolt]] of its ports in job.toml, or [[flange.hole]] here",
            "measure the studs and add them",
        );
    }
    match (detail.transition, detail.meets, detail.opening) {
        (Some(length), ..) => check.transition(length),
        (None, Some(Meets::Through), opening) => check.through(opening),
        (None, meets, Some(opening)) => check.butt(opening, meets.is_some()),
        (None, _, None) => {}
    }
    let Some(face) = face_of(&ports, &hole_places(detail)) else { return };
    for port in ports {
        let leaning = lean(port, face.forward);
        if leaning > MOST_LEAN {
            continue;
        }
        let seat = detail.seat(leaning, job.primary.tube.od);
        if seat > port.stub + 1e-6 {
            check.seat_beyond_stub(port.cylinder, seat, port.stub);
            return;
        }
    }
}

struct FlangeCheck<'a, 's> {
    reader: &'a mut Reader<'s>,
    table: &'a Record,
    detail: &'a FlangeDetail,
    tube: &'a Tube,
}

impl FlangeCheck<'_, '_> {
    /// A tube that goes through the plate.
    fn through(&mut self, opening: Option<OpeningShape>) {
        let od = self.tube.od;
        match opening {
            None => {}
            Some(OpeningShape::Round { diameter }) if diameter < od - 1e-6 => {
                let message =
                    format!("a tube of {} does not go through a hole of {}", self.show(od), self.show(diameter));
                let expected = format!("from {} to {}", self.show(od), self.show(od + LOOSE));
                self.refuse("diameter", "opening-small", message, &expected, BUTT);
            }
            Some(OpeningShape::Round { diameter }) if diameter > od + LOOSE + 1e-6 => {
                let message = format!(
                    "the hole of {} leaves a gap of {} around the tube",
                    self.show(diameter),
                    self.show(0.5 * (diameter - od))
                );
                let expected = format!("from {} to {}", self.show(od), self.show(od + LOOSE));
                self.warn(
                    "diameter",
                    "opening-wide",
                    message,
                    &expected,
                    "cut the hole to the tube, or write meets = \"butt\"",
                );
            }
            Some(OpeningShape::Round { .. }) => {}
            Some(_) => {
                let message = "a round tube does not go through an opening of this shape".to_string();
                self.refuse("meets", "opening-shape", message, "shape = \"round\" with meets = \"through\"", BUTT);
            }
        }
    }

    /// A tube that ends on the plate around the opening; `said`: the job says that it does.
    fn butt(&mut self, opening: OpeningShape, said: bool) {
        let (od, bore) = (self.tube.od, self.tube.id());
        let takes = matches!(opening, OpeningShape::Round { diameter } if (od..=od + LOOSE).contains(&diameter));
        if takes && !said {
            return;
        }
        let (reach, nearest) = (opening.reach(), opening.nearest());
        if reach > 0.5 * od + 1e-6 {
            let message = format!(
                "the opening reaches {} beyond the outside of its {} tube: no weld closes it",
                self.show(reach - 0.5 * od),
                self.show(od)
            );
            let expected = format!("an opening within a circle of {}", self.show(od));
            if said {
                self.refuse("shape", "opening-outside-weld", message, &expected, TRANSITION);
            } else {
                self.warn("shape", "opening-outside-weld", message, &expected, TRANSITION);
            }
        } else if nearest < 0.5 * bore - STEP {
            let message = format!(
                "the opening is {} at its narrowest and the tube's bore {}: a step of {}",
                self.show(2.0 * nearest),
                self.show(bore),
                self.show(0.5 * bore - nearest)
            );
            let expected = format!("an opening as wide as the bore, {}, or a transition", self.show(bore));
            self.warn("shape", "opening-step", message, &expected, TRANSITION);
        }
    }

    fn transition(&mut self, length: f64) {
        let Some(opening) = self.detail.opening else {
            let message = "a transition without the shape of its opening".to_string();
            return self.refuse(
                "transition",
                "missing-key",
                message,
                "shape with its sizes",
                "add the port's shape, or delete transition",
            );
        };
        if matches!(self.detail.meets, None | Some(Meets::Through)) {
            let message = "a transition ends on the plate, and `meets` does not say so".to_string();
            let expected = "meets = \"butt\", or \"pocket\" with its depth";
            return self.refuse("transition", "conflict", message, expected, "add meets = \"butt\"");
        }
        let bore = 0.5 * self.tube.id();
        let radial = (opening.reach() - bore).abs().max((opening.nearest() - bore).abs());
        if length < radial * STEEPEST - 1e-6 {
            let message = format!("a transition of {} is too short for this opening", self.show(length));
            let expected = format!("{} or more: 45 degrees to the flow at most", self.show(radial));
            self.refuse("transition", "transition-short", message, &expected, "give it more length");
        }
    }

    fn seat_beyond_stub(&mut self, cylinder: u32, seat: f64, stub: f64) {
        let message = format!(
            "the tube of port {cylinder} starts {} from the port face, and only {} of its run is straight there",
            self.show(seat),
            self.show(stub)
        );
        let expected = format!("a stub of {} or more for that port in job.toml", self.show(seat));
        let key = if self.detail.transition.is_some() { "transition" } else { "meets" };
        self.refuse(
            key,
            "seat-beyond-stub",
            message,
            &expected,
            "give the port a longer stub, or a shorter transition",
        );
    }

    fn show(&self, mm: f64) -> String {
        show::exact_with_unit(mm, self.reader.units)
    }

    /// The place of a key, or of the table where it is not given.
    fn place(&self, key: &str) -> Range<usize> {
        if self.table.given(key) { self.table.span_of(key) } else { self.table.span.clone() }
    }

    fn refuse(&mut self, key: &str, code: &'static str, message: String, expected: &str, hint: &str) {
        let place = self.place(key);
        let problem = self.reader.error(code, &place, &self.table.about, message);
        (problem.expected, problem.hint) = (expected.into(), hint.into());
    }

    fn warn(&mut self, key: &str, code: &'static str, message: String, expected: &str, hint: &str) {
        let place = self.place(key);
        let problem = self.reader.warning(code, &place, &self.table.about, message);
        (problem.expected, problem.hint) = (expected.into(), hint.into());
    }
}

const BUTT: &str = "write meets = \"butt\" or \"pocket\", or correct the opening";
const TRANSITION: &str = "add transition = ... with meets = \"butt\", or correct the opening or the tube";

/// How a flange's tubes meet it. A pocket needs its depth, and nothing else has one.
pub(super) fn meets(reader: &mut Reader<'_>, table: &Record, thickness: f64) -> Option<Meets> {
    let said = table.text("meets");
    let depth = table.number("pocket");
    let mut refuse = |key: &str, code, message: &str, expected: &str, hint: &str| {
        let span = if table.given(key) { table.span_of(key) } else { table.span.clone() };
        let problem = reader.error(code, &span, &table.about, message);
        (problem.expected, problem.hint) = (expected.into(), hint.into());
        None
    };
    match (said, depth) {
        (Some("pocket"), Some(depth)) if depth >= thickness => refuse(
            "pocket",
            "pocket-deep",
            "the pocket is as deep as the plate",
            "less than `thickness`",
            "correct pocket or thickness",
        ),
        (Some("pocket"), Some(depth)) => Some(Meets::Pocket { depth }),
        (Some("pocket"), None) if table.is_bad("pocket") => None,
        (Some("pocket"), None) => {
            refuse("meets", "missing-key", "a pocket needs its depth", "`pocket`: a length", "add pocket = ...")
        }
        (_, Some(_)) => refuse(
            "pocket",
            "misplaced-key",
            "`pocket` says nothing without meets = \"pocket\"",
            "meets = \"pocket\" with it",
            "delete it, or add meets = \"pocket\"",
        ),
        (Some("butt"), None) => Some(Meets::Butt),
        (Some("through"), None) => Some(Meets::Through),
        _ => None,
    }
}

/// Keys of a collector in templates.toml that a body in job.toml goes before.
const OF_BODY: [&str; 9] =
    ["style", "lean", "outlet_od", "wall", "cone_to", "cone_length", "clearance", "insertion", "body"];

/// Warns of what a collector of templates.toml says in vain.
pub(super) fn check_collector(reader: &mut Reader<'_>, table: &Record, job: &Job) {
    let named = table.text("name");
    let of_body = job.collectors.iter().any(|c| Some(c.name.as_str()) == named && c.body.is_some());
    if !of_body || reader.broken {
        return;
    }
    for key in OF_BODY.into_iter().filter(|key| table.given(key)) {
        let message = format!("`{key}` is not used: the collector's body in job.toml says how it is made");
        let problem = reader.warning("overridden", &table.key_span(key), &table.about, message);
        problem.expected = "how a collector is made in one place".into();
        problem.hint = format!("delete `{key}` here, and correct the body in job.toml when it is wrong");
    }
}
