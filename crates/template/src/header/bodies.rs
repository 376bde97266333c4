//! The body of a collector in parts, from the same measures as its drawings.
//!
//! Places are right of, above and along the collector's axis from the middle of its inlet plane, mm. The tubes of a merge are
//! parts of their runs and not among them. A bought body is known by its inlets and its outlet alone: it is the hull between
//! them.

use job::body::Making;
use job::details::{CollectorDetail, Details};
use job::model::Job;

use super::ends::{CollectorEnds, PLATE, RIM, inlet_plate};
use crate::Vec2;
use crate::flange::Flange;
use crate::sheet::Transition;

/// Form of a part.
#[derive(Debug, Clone, PartialEq)]
pub enum BodyShape {
    /// A plate whose lower face lies `at` along the axis.
    Plate {
        /// The plate.
        plate: Flange,
        /// Along the axis, mm.
        at: f64,
    },
    /// Sheet between two edges, outside and inside; without an inside it is filled.
    Sheet {
        /// Places once around its lower and upper edge, outside.
        outer: [Vec<[f64; 3]>; 2],
        /// The same inside.
        inner: Option<[Vec<[f64; 3]>; 2]>,
    },
    /// A cone, or a sleeve of one diameter.
    Cone {
        /// Its axis, right of and above the collector's.
        centre: Vec2,
        /// Where it begins along the axis.
        from: f64,
        /// Its length.
        length: f64,
        /// Outside radii at both ends.
        radii: [f64; 2],
        /// Wall across the axis.
        wall: f64,
    },
}

/// A part with its name.
#[derive(Debug, Clone, PartialEq)]
pub struct BodyPart {
    /// `merge sheet`, `sleeve 2`.
    pub name: String,
    /// Its form.
    pub shape: BodyShape,
}

/// The body of a collector.
#[derive(Debug, Clone, PartialEq)]
pub struct CollectorBody {
    /// Its place among the job's collectors.
    pub collector: usize,
    /// The collector's name.
    pub name: String,
    /// Its parts along the flow.
    pub parts: Vec<BodyPart>,
}

/// The bodies of a job's collectors; a collector that is taken as its inlet plane has none.
pub fn collector_bodies(job: &Job, details: &Details) -> Vec<CollectorBody> {
    let body = |(collector, of): (usize, &job::model::Collector)| {
        let body = of.body.as_ref()?;
        let usual = CollectorDetail::usual(&of.name);
        let ends = CollectorEnds::of(job, of, details.collectors.iter().find(|d| d.name == of.name).unwrap_or(&usual));
        let mut parts = ends.parts();
        let own = body.own_length();
        if let Some(cone) = body.cone {
            let radii = [0.5 * body.outlet_od, 0.5 * cone.to];
            let shape = BodyShape::Cone { centre: Vec2::ZERO, from: own, length: cone.length, radii, wall: body.wall };
            parts.push(BodyPart { name: "outlet cone".into(), shape });
        }
        if body.making == Making::Bought {
            parts.push(bought(&ends, body));
        }
        Some(CollectorBody { collector, name: of.name.clone(), parts })
    };
    job.collectors.iter().enumerate().filter_map(body).collect()
}

/// The hull of a bought body, from the band around its inlets to its outlet where that stands.
fn bought(ends: &CollectorEnds<'_>, body: &job::body::Body) -> BodyPart {
    let transition = |radius: f64, outlet: f64| {
        Transition { centres: ends.inlets.clone(), radius, outlet, height: body.length }.edge_places()
    };
    let [low, high] = transition(0.5 * ends.od, 0.5 * body.outlet_od);
    // The outlet's circle turned square to its axis: right and up made so.
    let axis = [body.outlet_axis.y, body.outlet_axis.z, body.outlet_axis.x];
    let dot = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let centre = [body.outlet.y, body.outlet.z, body.outlet.x];
    let radius = 0.5 * body.outlet_od;
    let turned = |p: [f64; 3]| {
        let out = [p[0], p[1], 0.0];
        let along = dot(out, axis);
        let aside: [f64; 3] = std::array::from_fn(|k| out[k] - along * axis[k]);
        let long = dot(aside, aside).sqrt().max(1e-9);
        std::array::from_fn(|k| centre[k] + aside[k] / long * radius)
    };
    let outer = [low, high.into_iter().map(turned).collect()];
    BodyPart { name: "body (outline only)".into(), shape: BodyShape::Sheet { outer, inner: None } }
}

impl CollectorEnds<'_> {
    /// Parts of the body before its cone.
    fn parts(&self) -> Vec<BodyPart> {
        let (wall, outlet) = (self.wall, 0.5 * self.made.outlet_od);
        let part = |name: &str, shape| BodyPart { name: name.into(), shape };
        match self.made.making {
            Making::Merge { lean } => {
                let merge = self.merge(lean);
                let centres: Vec<Vec2> = (0..merge.tubes).map(|i| merge.centre(i, 0.0)).collect();
                let height = merge.height();
                vec![part("sheet around the tubes", sheet(&centres, 0.0, height, [0.5 * self.od, outlet - wall], wall))]
            }
            Making::Slip { insertion, clearance } => {
                let radius = 0.5 * (self.od + clearance) + wall;
                let sleeve = |(i, centre): (usize, &Vec2)| {
                    let shape =
                        BodyShape::Cone { centre: *centre, from: 0.0, length: insertion, radii: [radius; 2], wall };
                    part(&format!("sleeve {}", i + 1), shape)
                };
                let mut out: Vec<BodyPart> = self.inlets.iter().enumerate().map(sleeve).collect();
                let plate = self.plate_of(2.0 * radius, [wall, wall]);
                out.push(part("plate", BodyShape::Plate { plate, at: insertion - wall }));
                let shape = sheet(&self.inlets, insertion, self.made.sheet, [radius, outlet - wall], wall);
                out.push(part("sheet", shape));
                out
            }
            Making::Plate => {
                let plate = self.plate_of(self.od, [PLATE, RIM]);
                let inside = 0.5 * self.od - wall;
                vec![
                    part("plate", BodyShape::Plate { plate, at: -PLATE }),
                    part("sheet", sheet(&self.inlets, 0.0, self.made.sheet, [inside, outlet - wall], wall)),
                ]
            }
            Making::Bought => Vec::new(),
        }
    }

    fn plate_of(&self, diameter: f64, sizes: [f64; 2]) -> Flange {
        inlet_plate(format!("{} plate", self.name), &self.inlets, diameter, sizes)
    }
}

/// Sheet of `wall` from the band around circles to the outlet, its inner radii in both planes given, `at` along the axis.
fn sheet(centres: &[Vec2], at: f64, height: f64, inside: [f64; 2], wall: f64) -> BodyShape {
    let edges = |out: f64| {
        let transition =
            Transition { centres: centres.to_vec(), radius: inside[0] + out, outlet: inside[1] + out, height };
        transition.edge_places().map(|edge| edge.into_iter().map(|[x, y, z]| [x, y, z + at]).collect())
    };
    BodyShape::Sheet { outer: edges(wall), inner: Some(edges(0.0)) }
}
