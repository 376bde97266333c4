//! A collector with the tubes that enter it: the measures that its drawings and its body are made from.

use job::body::{Body, Making, OutletCone, usual_insertion, usual_outlet};
use job::details::{CollectorDetail, CollectorStyle, OpeningShape};
use job::inlets::{entering_tube, inlet_offsets};
use job::model::{Collector, Job};

use crate::Vec2;
use crate::flange::{Flange, Port};
use crate::merge::Merge;

/// Thickness of a collector's plates and metal around their openings, mm (common practice, no source).
pub(super) const PLATE: f64 = 10.0;
pub(super) const RIM: f64 = 8.0;

/// A collector with the tubes that enter it.
pub(super) struct CollectorEnds<'a> {
    pub collector: &'a Collector,
    pub detail: &'a CollectorDetail,
    pub name: String,
    /// Centres of the inlets in (right, up), seen along the flow, mm.
    pub inlets: Vec<Vec2>,
    /// Outside diameter of the tubes, mm.
    pub od: f64,
    /// Inside diameter of the tubes, mm.
    pub bore: f64,
    /// Wall of the collector's sheet, mm.
    pub wall: f64,
    /// How it is made: as the job's body says, else as its detail.
    pub made: BodyMeasures,
}

/// What a collector's drawings are made from. Lengths in mm.
pub(super) struct BodyMeasures {
    pub making: Making,
    pub outlet_od: f64,
    pub cone: Option<OutletCone>,
    /// Length of the sheet from plate or sleeves to the outlet.
    pub sheet: f64,
}

impl BodyMeasures {
    /// As the job says of the body.
    pub fn of_body(body: &Body) -> Self {
        let sleeves = if let Making::Slip { insertion, .. } = body.making { insertion } else { 0.0 };
        let sheet = body.own_length() - sleeves;
        BodyMeasures { making: body.making, outlet_od: body.outlet_od, cone: body.cone, sheet }
    }

    /// Without a body in the job: from the detail, and a cone where the tube `after` has another diameter.
    pub fn of_detail(detail: &CollectorDetail, od: f64, usual_outlet: f64, after: Option<f64>) -> Self {
        let outlet_od = detail.outlet_od.unwrap_or(usual_outlet);
        let making = match detail.style {
            CollectorStyle::Merge => Making::Merge { lean: detail.lean },
            CollectorStyle::Slip => {
                let insertion = detail.insertion.unwrap_or_else(|| usual_insertion(od));
                Making::Slip { insertion, clearance: detail.clearance }
            }
        };
        let to = detail.cone_to.or(after).filter(|to| (to - outlet_od).abs() > 0.5);
        let cone = to.map(|to| OutletCone { to, length: detail.cone_length });
        BodyMeasures { making, outlet_od, cone, sheet: detail.body }
    }
}

impl<'a> CollectorEnds<'a> {
    /// A collector of a job, with what is said of it.
    pub fn of(job: &Job, collector: &'a Collector, detail: &'a CollectorDetail) -> Self {
        let tube = entering_tube(job, collector);
        let od = tube.od;
        let offsets = inlet_offsets(collector.pattern, collector.inlets, od, collector.gap);
        let (bore, body) = (tube.id(), collector.body.as_ref());
        let wall = body.map(|b| b.wall).or(detail.wall).unwrap_or(tube.wall);
        let from_detail = || BodyMeasures::of_detail(detail, od, usual_outlet(bore, wall), tube_after(job, collector));
        CollectorEnds {
            collector,
            detail,
            name: format!("collector {}", collector.name),
            inlets: offsets.into_iter().map(|[right, up]| Vec2::new(right, up)).collect(),
            od,
            bore,
            wall,
            made: body.map_or_else(from_detail, BodyMeasures::of_body),
        }
    }

    /// The tubes cut to lie against one another, each leaning so much, rad.
    pub fn merge(&self, lean: f64) -> Merge {
        let Collector { inlets: tubes, gap, .. } = *self.collector;
        Merge { tubes, od: self.od, gap, lean, outlet_od: self.made.outlet_od, wall: self.wall }
    }
}

/// Outside diameter of the tube that leaves a collector, when one does.
fn tube_after(job: &Job, collector: &Collector) -> Option<f64> {
    if collector.feeds.is_some() {
        return Some(job.secondary.tube.od);
    }
    job.tails.iter().any(|t| t.from == collector.name).then_some(job.tail.tube.od)
}

/// A plate with a hole of that diameter at each inlet.
pub(super) fn inlet_plate(name: String, inlets: &[Vec2], diameter: f64, [thickness, rim]: [f64; 2]) -> Flange {
    let port = |(i, at): (usize, &Vec2)| Port {
        number: i as u32 + 1,
        at: *at,
        opening: OpeningShape::Round { diameter },
        turn: 0.0,
    };
    Flange { name, thickness, rim, ports: inlets.iter().enumerate().map(port).collect(), holes: Vec::new() }
}
