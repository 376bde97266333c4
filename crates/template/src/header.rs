//! All drawings that go with a job: a flange for its ports, plates and templates for its collectors, and the copes and
//! mitred bends asked for.
//!
//! What the job and its `flange.toml` and `templates.toml` do not say is taken from common practice, and the drawing says
//! so. A drawing whose measures do not go together is left out and named in a warning; the others stand.

mod bodies;
mod ends;
mod face;
mod twin;

pub use bodies::{BodyPart, BodyShape, CollectorBody, collector_bodies};
pub use face::{PlacedFlange, placed};

use job::body::Making;
use job::body_solids::merges;
use job::details::{CollectorDetail, CopeDetail, Details, MitreDetail};
use job::model::{Groups, Job, Units};

use crate::cope::{BendCope, Cope};
use crate::drawing::Drawing;
use crate::mitre::MitredBend;
use crate::sheet::Transition;
use crate::slip::Slip;
use crate::{DrawingError, Omission, Vec2};
use ends::{BodyMeasures, CollectorEnds, PLATE, RIM, inlet_plate};

/// The drawings of a job, their words with lengths in `units`, and what could not be drawn.
pub fn drawings(job: &Job, details: &Details, units: Units) -> (Vec<Drawing>, Vec<Omission>) {
    let mut made = PageSet::default();
    for (name, drawn) in face::drawings(job, details, units) {
        made.add(&name, drawn);
    }
    for collector in &job.collectors {
        let detail = details.collectors.iter().find(|d| d.name == collector.name);
        let usual = CollectorDetail::usual(&collector.name);
        let ends = CollectorEnds::of(job, collector, detail.unwrap_or(&usual));
        made.add(&collector.name, ends.plates(units));
        let mut shaped = ends.templates(units);
        if let (Ok(drawings), None, None) = (&mut shaped, detail, &collector.body) {
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

impl CollectorEnds<'_> {
    /// The plate that the tubes end in, and of a twin entry the turbo's.
    fn plates(&self, units: Units) -> Result<Vec<Drawing>, DrawingError> {
        let mut out = vec![plate(&self.name, &self.inlets, self.od, units)?];
        if self.collector.groups == Groups::Twin {
            out.push(twin::flange_of(self, units)?);
        }
        Ok(out)
    }

    /// What brings the tubes together.
    fn templates(&self, units: Units) -> Result<Vec<Drawing>, DrawingError> {
        let (name, BodyMeasures { making, outlet_od, cone, sheet }) = (&self.name, &self.made);
        let outlet_od = *outlet_od;
        match *making {
            Making::Slip { insertion, clearance } => {
                let slip = Slip {
                    inlets: self.inlets.clone(),
                    od: self.od,
                    clearance,
                    wall: self.wall,
                    insertion,
                    outlet_od,
                    body: *sheet,
                };
                slip.drawings(&format!("{name} slip"), units)
            }
            Making::Merge { lean } if merges(self.collector.pattern, self.collector.inlets, self.collector.groups) => {
                let merge = self.merge(lean);
                let mut out = vec![
                    merge.template(&format!("{name} merge"), units)?,
                    merge.transition(&format!("{name} transition"), 0.0, units)?,
                ];
                if let Some(cone) = cone {
                    out.push(merge.outlet_cone(&format!("{name} outlet cone"), cone.to, cone.length, units)?);
                }
                Ok(out)
            }
            Making::Plate => {
                let middle = self.inlets.iter().copied().sum::<Vec2>() / self.inlets.len().max(1) as f64;
                let body = Transition {
                    centres: self.inlets.iter().map(|c| *c - middle).collect(),
                    radius: 0.5 * (self.od - self.wall),
                    outlet: 0.5 * (outlet_od - self.wall),
                    height: *sheet,
                };
                Ok(vec![body.pattern(&format!("{name} body"), units)?])
            }
            Making::Merge { .. } | Making::Bought => Ok(Vec::new()),
        }
    }
}

/// The plate of a collector's inlets: a flange, or a plate to tack the tubes in.
fn plate(name: &str, inlets: &[Vec2], od: f64, units: Units) -> Result<Drawing, DrawingError> {
    let flange = inlet_plate(format!("{name} inlets"), inlets, od, [PLATE, RIM]);
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
