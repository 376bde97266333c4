//! All drawings that go with a job: a flange for its ports, plates and templates for its collectors, and the copes and
//! mitred bends asked for.
//!
//! What the job and its `flange.toml` and `templates.toml` do not say is taken from common practice, and the drawing says
//! so. A drawing whose measures do not go together is left out and named in a warning; the others stand.

mod face;
mod twin;

use job::details::{CollectorDetail, CollectorStyle, CopeDetail, Details, MitreDetail, OpeningShape};
use job::model::{Collector, Groups, Job, Pattern, Units};
use route::inlets::{entering_od, inlet_offsets};

use crate::cope::{BendCope, Cope};
use crate::drawing::Drawing;
use crate::flange::{Flange, Port};
use crate::merge::Merge;
use crate::mitre::MitredBend;
use crate::slip::Slip;
use crate::{DrawingError, Omission, Vec2};

/// The drawings of a job, their words with lengths in `units`, and what could not be drawn.
pub fn drawings(job: &Job, details: &Details, units: Units) -> (Vec<Drawing>, Vec<Omission>) {
    let mut made = PageSet::default();
    for detail in face::flanges(job, details) {
        made.add(&detail.name, face::flange_of(job, &detail, units).map(|d| vec![d]));
    }
    for collector in &job.collectors {
        let detail = details.collectors.iter().find(|d| d.name == collector.name);
        let usual = CollectorDetail::usual(&collector.name);
        let ends = CollectorEnds::of(job, collector, detail.unwrap_or(&usual));
        made.add(&collector.name, ends.plates(units));
        let mut shaped = ends.templates(job, units);
        if let (Ok(drawings), None) = (&mut shaped, detail) {
            drawings.iter_mut().for_each(|d| d.note(TAKEN));
        }
        made.add(&collector.name, shaped);
    }
    for cope in &details.copes {
        made.add(&cope.name, cope_of(cope, units).map(|d| vec![d]));
    }
    for mitre in &details.mitres {
        made.add(&mitre.name, mitre_of(mitre, units));
    }
    for detail in &details.collectors {
        if !job.collectors.iter().any(|c| c.name == detail.name) {
            made.omissions.push(Omission::UnknownCollector { name: detail.name.clone() });
        }
    }
    (made.drawings, made.omissions)
}

#[derive(Default)]
struct PageSet {
    drawings: Vec<Drawing>,
    omissions: Vec<Omission>,
}

impl PageSet {
    fn add(&mut self, name: &str, drawn: Result<Vec<Drawing>, DrawingError>) {
        match drawn {
            Ok(more) => self.drawings.extend(more),
            Err(why) => self.omissions.push(Omission::NotDrawn { name: name.into(), why }),
        }
    }
}

/// What a drawing says that stands on common practice alone.
const TAKEN: &str = "templates.toml does not give lean and outlet of this collector: common practice without a source is used (7.5 degrees, twice the area of one tube).";

/// A collector with the tubes that enter it.
struct CollectorEnds<'a> {
    collector: &'a Collector,
    detail: &'a CollectorDetail,
    name: String,
    /// Centres of the inlets in (right, up), seen along the flow, mm.
    inlets: Vec<Vec2>,
    /// Outside diameter of the tubes, mm.
    od: f64,
    /// Inside diameter of the tubes, mm.
    bore: f64,
    /// Wall of the collector's sheet, mm.
    wall: f64,
}

impl<'a> CollectorEnds<'a> {
    fn of(job: &Job, collector: &'a Collector, detail: &'a CollectorDetail) -> Self {
        let od = entering_od(job, collector);
        let tube = if (od - job.secondary.tube.od).abs() < 1e-9 { &job.secondary.tube } else { &job.primary.tube };
        let offsets = inlet_offsets(collector.pattern, collector.inlets, od, collector.gap);
        CollectorEnds {
            collector,
            detail,
            name: format!("collector {}", collector.name),
            inlets: offsets.into_iter().map(|[right, up]| Vec2::new(right, up)).collect(),
            od,
            bore: tube.od - 2.0 * tube.wall,
            wall: detail.wall.unwrap_or(tube.wall),
        }
    }

    /// The plate that the tubes end in, and of a twin entry the turbo's.
    fn plates(&self, units: Units) -> Result<Vec<Drawing>, DrawingError> {
        let mut out = vec![plate(&self.name, &self.inlets, self.od, units)?];
        if self.collector.groups == Groups::Twin {
            out.push(twin::flange_of(self, units)?);
        }
        Ok(out)
    }

    /// Drawings of the collector.
    fn templates(&self, job: &Job, units: Units) -> Result<Vec<Drawing>, DrawingError> {
        let (detail, name) = (self.detail, &self.name);
        let outlet_od = detail.outlet_od.unwrap_or(self.bore * std::f64::consts::SQRT_2 + 2.0 * self.wall);
        if detail.style == CollectorStyle::Slip {
            let slip = Slip {
                inlets: self.inlets.clone(),
                od: self.od,
                clearance: detail.clearance,
                wall: self.wall,
                insertion: detail.insertion.unwrap_or(self.od.max(25.0)),
                outlet_od,
                body: detail.body,
            };
            return slip.drawings(&format!("{name} slip"), units);
        }
        if !merges(self.collector) {
            return Ok(Vec::new());
        }
        let Collector { inlets: tubes, gap, .. } = *self.collector;
        let merge = Merge { tubes, od: self.od, gap, lean: detail.lean, outlet_od, wall: self.wall };
        let mut out = vec![
            merge.template(&format!("{name} merge"), units)?,
            merge.transition(&format!("{name} transition"), 0.0, units)?,
        ];
        let to = detail.cone_to.or_else(|| tube_after(job, self.collector));
        if let Some(to) = to.filter(|to| (to - outlet_od).abs() > 0.5) {
            out.push(merge.outlet_cone(&format!("{name} outlet cone"), to, detail.cone_length, units)?);
        }
        Ok(out)
    }
}

/// Outside diameter of the tube that leaves a collector, when one does.
fn tube_after(job: &Job, collector: &Collector) -> Option<f64> {
    if collector.feeds.is_some() {
        return Some(job.secondary.tube.od);
    }
    job.tails.iter().any(|t| t.from == collector.name).then_some(job.tail.tube.od)
}

/// Whether the inlets stand evenly around the axis and run into one.
fn merges(collector: &Collector) -> bool {
    let even = match collector.pattern {
        Pattern::Line => collector.inlets == 2,
        Pattern::Square => collector.inlets == 4,
        Pattern::Triangle | Pattern::Ring => collector.inlets >= 2,
    };
    even && collector.groups == Groups::None
}

/// Thickness of a collector's plates and metal around their openings, mm (common practice, no source).
const PLATE: f64 = 10.0;
const RIM: f64 = 8.0;

/// The plate of a collector's inlets: a flange, or a plate to tack the tubes in.
fn plate(name: &str, inlets: &[Vec2], od: f64, units: Units) -> Result<Drawing, DrawingError> {
    let port = |(i, at): (usize, &Vec2)| Port {
        number: i as u32 + 1,
        at: *at,
        opening: OpeningShape::Round { diameter: od },
        turn: 0.0,
    };
    let flange = Flange {
        name: format!("{name} inlets"),
        thickness: PLATE,
        rim: RIM,
        ports: inlets.iter().enumerate().map(port).collect(),
        holes: Vec::new(),
    };
    let mut drawing = crate::flange::flange(&flange, units)?;
    drawing.title = format!("Inlets of {name}");
    drawing.notes = vec![
        "Inlets in position, looking downstream, up is up: a plate for tacking the tubes, or the start of a flange."
            .into(),
    ];
    Ok(drawing)
}

fn cope_of(detail: &CopeDetail, units: Units) -> Result<Drawing, DrawingError> {
    let name = format!("cope {}", detail.name);
    let CopeDetail { branch_od, run_od, angle, offset, .. } = *detail;
    match detail.bend {
        None => {
            // An angle beyond the right one is the same cope seen from the other end of the run.
            let angle = if angle > std::f64::consts::FRAC_PI_2 { std::f64::consts::PI - angle } else { angle };
            Cope { branch_od, run_od, angle, offset }.template(&name, units)
        }
        Some(bend) => {
            let lean = std::f64::consts::FRAC_PI_2 - angle;
            BendCope { branch_od, run_od, clr: bend.clr, bend: bend.angle, at: bend.at, out: bend.out, lean }
                .template(&name, units)
        }
    }
}

fn mitre_of(detail: &MitreDetail, units: Units) -> Result<Vec<Drawing>, DrawingError> {
    let MitreDetail { od, clr, angle, segments, legs, .. } = *detail;
    MitredBend { od, clr, angle, segments, legs }.templates(&format!("mitre {}", detail.name), units)
}
