//! The bodies of collectors: what `[collector.body]` says, and what follows from it.

use crate::body::{
    Body, Bundle, LEAST_LIGAMENT, Making, OutletCone, USUAL_BODY, USUAL_CLEARANCE, USUAL_CONE, USUAL_LEAN,
    usual_insertion, usual_outlet,
};
use crate::body_solids::merges;
use crate::file::read::Reader;
use crate::file::record::{Record, unit};
use crate::inlets::{collector_frame, inlet_offsets};
use crate::model::{Collector, RunSpec, Tail, Tube};
use crate::show;

/// Least difference of diameters for which a cone is made, mm.
const CONE: f64 = 0.5;

/// Steepest that sheet may run from one diameter to another: 45 degrees to the axis.
const STEEPEST: f64 = 1.0;

/// Keys that only some kinds of body have.
const ONLY: [(&str, &[&str]); 8] = [
    ("lean", &["merge"]),
    ("insertion", &["slip"]),
    ("clearance", &["slip"]),
    ("cone_to", &["merge", "slip", "plate"]),
    ("cone_length", &["merge", "slip", "plate"]),
    ("outlet_at", &["bought"]),
    ("outlet_axis", &["bought"]),
    ("price", &["bought"]),
];

/// The tubes of a job.
pub struct Tubes<'a> {
    /// Of the primaries.
    pub primary: &'a RunSpec,
    /// Of the secondaries.
    pub secondary: &'a RunSpec,
    /// Of the tails.
    pub tail: &'a RunSpec,
    /// The tails.
    pub tails: &'a [Tail],
}

/// The collectors with their bodies, for the tables that they stand in.
pub fn with_bodies(
    reader: &mut Reader<'_>,
    collectors: Vec<Collector>,
    tables: &[Record],
    tubes: &Tubes<'_>,
) -> Vec<Collector> {
    let bodies: Vec<Option<Body>> = collectors
        .iter()
        .zip(tables)
        .map(|(collector, table)| {
            let own = table.table("body")?;
            let fed = collectors.iter().any(|other| other.feeds.as_deref() == Some(&collector.name));
            let entering = if fed { &tubes.secondary.tube } else { &tubes.primary.tube };
            let has_tail = tubes.tails.iter().any(|t| t.from == collector.name);
            let leaving = match &collector.feeds {
                Some(_) => Some(tubes.secondary.tube.od),
                None => has_tail.then_some(tubes.tail.tube.od),
            };
            BodyReader { reader, collector, table: own, tube: entering, leaving }.read()
        })
        .collect();
    collectors.into_iter().zip(bodies).map(|(collector, body)| Collector { body, ..collector }).collect()
}

struct BodyReader<'a, 's> {
    reader: &'a mut Reader<'s>,
    collector: &'a Collector,
    table: &'a Record,
    /// The tube that enters.
    tube: &'a Tube,
    /// Outside diameter of the tube that leaves, mm.
    leaving: Option<f64>,
}

impl BodyReader<'_, '_> {
    fn read(mut self) -> Option<Body> {
        let table = self.table;
        if !table.bad.is_empty() {
            return None;
        }
        let made = table.text("made")?;
        for (key, kinds) in ONLY {
            if table.given(key) && !kinds.contains(&made) {
                let message = format!("`{key}` says nothing of a body that is made = \"{made}\"");
                let expected = format!("made = \"{}\" with it", kinds.join("\", \""));
                return self.refuse(key, "unused", message, &expected, "delete it, or correct made");
            }
        }
        let wall = table.number("wall").unwrap_or(self.tube.wall);
        let outlet_od = match made {
            "bought" => self.needed("outlet_od")?,
            _ => table.number("outlet_od").unwrap_or_else(|| usual_outlet(self.tube.id(), wall)),
        };
        let cone = if made == "bought" { None } else { self.cone(outlet_od)? };
        let cone_length = cone.map_or(0.0, |c| c.length);
        let (making, length) = match made {
            "merge" => self.merge(outlet_od, cone_length)?,
            "slip" => self.slip(outlet_od, wall, cone_length)?,
            "plate" => {
                let length = table.number("length").unwrap_or(USUAL_BODY + cone_length);
                self.sheet(length - cone_length, 0.5 * self.tube.od, outlet_od)?;
                (Making::Plate, length)
            }
            _ => (Making::Bought, self.needed("length")?),
        };
        let frame = collector_frame(self.collector);
        let seen = |v: geom::Vec3| geom::Vec3::new(v.dot(frame.forward), v.dot(frame.right()), v.dot(frame.up));
        let outlet = table.point("outlet_at").map_or(geom::Vec3::X * length, |at| seen(at - frame.origin));
        let outlet_axis = table.point("outlet_axis").map_or(geom::Vec3::X, |axis| seen(unit(axis)));
        if outlet.x < 0.0 || outlet.length() > 3.0 * length {
            let message = "the outlet does not lie behind the inlet plane".to_string();
            return self.refuse(
                "outlet_at",
                "outlet-place",
                message,
                "a place downstream of the inlet plane, about `length` from it",
                "measure the centre of the outlet, or delete outlet_at",
            );
        }
        let (mass, price) = (table.number("mass"), table.money("price"));
        Some(Body { making, length, outlet_od, cone, wall, outlet, outlet_axis, mass, price })
    }

    /// The cone, when one is asked for or the tube after it has another diameter.
    fn cone(&mut self, outlet_od: f64) -> Option<Option<OutletCone>> {
        let to = self.table.number("cone_to").or(self.leaving);
        let asked = self.table.given("cone_to");
        let Some(to) = to.filter(|to| asked || (to - outlet_od).abs() > CONE) else {
            if self.table.given("cone_length") {
                let message = "`cone_length` is given, and no cone is needed".to_string();
                return self.refuse("cone_length", "unused", message, "cone_to with it", "delete it, or add cone_to");
            }
            return Some(None);
        };
        let whole = self.table.number("length");
        let usual = whole.map_or(USUAL_CONE, |whole| USUAL_CONE.min(0.4 * whole));
        let length = self.table.number("cone_length").unwrap_or(usual);
        if let Some(whole) = whole.filter(|whole| length >= *whole) {
            let message = format!("a cone of {} leaves nothing of a body of {}", self.show(length), self.show(whole));
            let expected = format!("less than {}: length counts with the cone", self.show(whole));
            return self.refuse("cone_length", "cone-long", message, &expected, "correct cone_length or length");
        }
        let radial = 0.5 * (to - outlet_od).abs();
        if length < radial * STEEPEST {
            let message = format!(
                "a cone of {} is too short from {} to {}",
                self.show(length),
                self.show(outlet_od),
                self.show(to)
            );
            let expected = format!("{} or more: 45 degrees to the axis at most", self.show(radial));
            let key = if self.table.given("cone_length") { "cone_length" } else { "cone_to" };
            return self.refuse(key, "cone-short", message, &expected, "give it more length: cone_length = ...");
        }
        Some(Some(OutletCone { to, length }))
    }

    fn merge(&mut self, outlet_od: f64, cone: f64) -> Option<(Making, f64)> {
        let Collector { pattern, inlets: tubes, groups, gap, .. } = *self.collector;
        if !merges(pattern, tubes, groups) {
            return self.refuse(
                "made",
                "merge-pattern",
                "tubes that stand so cannot run together into one".into(),
                "2 in a line, or a triangle, square or ring, with groups = \"none\"",
                "write made = \"plate\" or \"slip\", or correct pattern",
            );
        }
        let bundle = Bundle { tubes, od: self.tube.od, gap };
        let lean = match (self.table.number("lean"), self.table.number("length")) {
            (Some(_), Some(_)) => {
                return self.refuse(
                    "length",
                    "conflict",
                    "the length of a merge follows from its lean, and both are given".into(),
                    "one of the two",
                    "delete length, or measure length and delete lean",
                );
            }
            (Some(lean), None) => lean,
            (None, Some(length)) => match bundle.lean_for(length - cone, outlet_od) {
                Some(lean) => lean,
                None => {
                    let least = self.show(bundle.height(crate::body::MOST_LEAN, outlet_od) + cone);
                    let message = "tubes would have to lean more than 30 degrees to meet so soon".to_string();
                    let expected = format!("{least} or more, the cone of {} in it", self.show(cone));
                    return self.refuse("length", "lean", message, &expected, "measure the body again");
                }
            },
            (None, None) => USUAL_LEAN,
        };
        let most = 2.0 * (bundle.ring() + 0.5 * self.tube.od / lean.cos());
        if !(self.tube.od..most).contains(&outlet_od) {
            let message = format!("an outlet of {} is no outlet of these tubes", self.show(outlet_od));
            let expected =
                format!("from {} (one tube) to less than {} (all of them)", self.show(self.tube.od), self.show(most));
            return self.refuse("outlet_od", "outlet-size", message, &expected, "correct outlet_od");
        }
        Some((Making::Merge { lean }, bundle.height(lean, outlet_od) + cone))
    }

    fn slip(&mut self, outlet_od: f64, wall: f64, cone: f64) -> Option<(Making, f64)> {
        let insertion = self.table.number("insertion").unwrap_or_else(|| usual_insertion(self.tube.od));
        let clearance = self.table.number("clearance").unwrap_or(USUAL_CLEARANCE);
        let length = self.table.number("length").unwrap_or(insertion + USUAL_BODY + cone);
        if insertion + cone >= length {
            let message =
                format!("tubes would slide {} into a body of {}", self.show(insertion), self.show(length - cone));
            let key = if self.table.given("insertion") { "insertion" } else { "length" };
            let expected = format!("less than {}", self.show(length - cone));
            return self.refuse(key, "insertion-long", message, &expected, "correct insertion or length");
        }
        let sleeve = self.tube.od + clearance + 2.0 * wall;
        self.holes_apart(sleeve)?;
        self.sheet(length - cone - insertion, 0.5 * sleeve, outlet_od)?;
        Some((Making::Slip { insertion, clearance }, length))
    }

    /// Metal must be left between the holes of sleeves of outside diameter `od` mm.
    fn holes_apart(&mut self, od: f64) -> Option<()> {
        let c = self.collector;
        let places = inlet_offsets(c.pattern, c.inlets, self.tube.od, c.gap);
        let apart = |a: &[f64; 2], b: &[f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
        let pairs = places.iter().enumerate().flat_map(|(i, a)| places[i + 1..].iter().map(move |b| apart(a, b)));
        let least = pairs.fold(f64::INFINITY, f64::min) - od;
        if least >= LEAST_LIGAMENT {
            return Some(());
        }
        let gap = self.show(c.gap + LEAST_LIGAMENT - least);
        let message = if least > 0.0 {
            format!("only {} of metal is left between two sleeves", self.show(least))
        } else {
            format!("two sleeves overlap by {}", self.show(-least))
        };
        let expected = format!("{} or more of metal: gap = {gap} for these tubes", self.show(LEAST_LIGAMENT));
        self.refuse(
            "made",
            "holes-too-close",
            message,
            &expected,
            &format!("write gap = {gap}, or take a thinner wall"),
        )
    }

    /// Sheet from the outermost tube, its outside `radius` mm from its own axis, to the outlet over `length` mm.
    fn sheet(&mut self, length: f64, radius: f64, outlet_od: f64) -> Option<()> {
        let c = self.collector;
        let places = inlet_offsets(c.pattern, c.inlets, self.tube.od, c.gap);
        let farthest = places.iter().map(|p| p[0].hypot(p[1])).fold(0.0, f64::max) + radius;
        let least = (farthest - 0.5 * outlet_od).abs() * STEEPEST;
        if length >= least {
            return Some(());
        }
        let message = format!("a body of {} is too short from these inlets to its outlet", self.show(length));
        let expected = format!("{} or more: 45 degrees to the axis at most", self.show(least));
        let key = if self.table.given("length") { "length" } else { "made" };
        self.refuse(key, "body-short", message, &expected, "give it more length")
    }

    fn needed(&mut self, key: &str) -> Option<f64> {
        if let Some(value) = self.table.number(key) {
            return Some(value);
        }
        let message = format!("`{key}` of a bought collector is missing");
        self.refuse(key, "missing-key", message, "its measure", &format!("measure it and add {key} = ..."))
    }

    fn show(&self, mm: f64) -> String {
        show::exact_with_unit(mm, self.reader.units)
    }

    fn refuse<T>(&mut self, key: &str, code: &'static str, message: String, expected: &str, hint: &str) -> Option<T> {
        if !self.reader.broken {
            let problem = self.reader.error(code, &self.table.span_of(key), &self.table.about, message);
            problem.expected = expected.into();
            problem.hint = hint.into();
        }
        None
    }
}
