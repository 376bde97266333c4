//! All drawings that go with a job: a flange for its ports, plates and templates for its collectors, and the copes and
//! mitred bends asked for.
//!
//! What the job and its `flange.toml` and `templates.toml` do not say is taken from common practice, and the drawing says
//! so. A drawing whose measures do not go together is left out and named in a warning; the others stand.

mod face;

use job::details::{CollectorDetail, CollectorStyle, CopeDetail, Details, MitreDetail, OpeningShape};
use job::model::{Collector, Groups, Job, Pattern};
use route::inlets::{entering_od, inlet_offsets};

use crate::cope::{BendCope, Cope};
use crate::drawing::Drawing;
use crate::flange::{Flange, Port};
use crate::merge::Merge;
use crate::mitre::MitredBend;
use crate::slip::Slip;
use crate::{Problem, Vec2};

/// The drawings of a job, and what could not be drawn or should be looked at, in plain sentences.
pub fn drawings(job: &Job, details: &Details) -> (Vec<Drawing>, Vec<String>) {
    let mut made = Made::default();
    for detail in face::flanges(job, details) {
        made.add(&detail.name, face::flange_of(job, &detail).map(|d| vec![d]));
    }
    for collector in &job.collectors {
        let detail = details.collectors.iter().find(|d| d.name == collector.name);
        let usual = CollectorDetail::usual(&collector.name);
        made.add(&collector.name, collector_of(job, collector, detail.unwrap_or(&usual), detail.is_none()));
    }
    for cope in &details.copes {
        made.add(&cope.name, cope_of(cope).map(|d| vec![d]).map_err(|p| p.to_string()));
    }
    for mitre in &details.mitres {
        made.add(&mitre.name, mitre_of(mitre).map_err(|p| p.to_string()));
    }
    for detail in &details.collectors {
        if !job.collectors.iter().any(|c| c.name == detail.name) {
            made.warnings
                .push(format!("templates.toml speaks of a collector {}; the job has none of that name", detail.name));
        }
    }
    (made.drawings, made.warnings)
}

#[derive(Default)]
struct Made {
    drawings: Vec<Drawing>,
    warnings: Vec<String>,
}

impl Made {
    fn add(&mut self, what: &str, drawn: Result<Vec<Drawing>, String>) {
        match drawn {
            Ok(more) => self.drawings.extend(more),
            Err(why) => self.warnings.push(format!("{what} is not drawn: {why}")),
        }
    }
}

fn collector_of(
    job: &Job,
    collector: &Collector,
    detail: &CollectorDetail,
    taken: bool,
) -> Result<Vec<Drawing>, String> {
    let od = entering_od(job, collector);
    let tube = if (od - job.secondary.tube.od).abs() < 1e-9 { &job.secondary.tube } else { &job.primary.tube };
    let wall = detail.wall.unwrap_or(tube.wall);
    let inlets: Vec<Vec2> = inlet_offsets(collector.pattern, collector.inlets, od, collector.gap)
        .into_iter()
        .map(|[right, up]| Vec2::new(right, up))
        .collect();
    let name = format!("collector {}", collector.name);
    let mut out = vec![plate(&name, &inlets, od)?];
    let bore = tube.od - 2.0 * tube.wall;
    let outlet_od = detail.outlet_od.unwrap_or(bore * std::f64::consts::SQRT_2 + 2.0 * wall);
    let problem = |p: Problem| p.to_string();
    if detail.style == CollectorStyle::Slip {
        let insertion = detail.insertion.unwrap_or(od.max(25.0));
        let slip = Slip { inlets, od, clearance: detail.clearance, wall, insertion, outlet_od, body: detail.body };
        out.extend(slip.drawings(&format!("{name} slip")).map_err(problem)?);
        return Ok(out);
    }
    if !merges(collector) {
        return Ok(out);
    }
    let merge = Merge { tubes: collector.inlets, od, gap: collector.gap, lean: detail.lean, outlet_od, wall };
    let mut template = merge.template(&format!("{name} merge")).map_err(problem)?;
    let mut transition = merge.transition(&format!("{name} transition"), 0.0).map_err(problem)?;
    if taken {
        for drawing in [&mut template, &mut transition] {
            drawing.note("Lean and outlet are taken from common practice without a source (7.5 degrees, twice the area of one tube), as templates.toml says nothing of this collector.");
        }
    }
    out.extend([template, transition]);
    if let Some(to) = detail.cone_to.or_else(|| tube_after(job, collector)).filter(|to| (to - outlet_od).abs() > 0.5) {
        out.push(merge.outlet_cone(&format!("{name} outlet cone"), to, detail.cone_length).map_err(problem)?);
    }
    Ok(out)
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

/// The plate of a collector's inlets: a flange, or a plate to tack the tubes in.
fn plate(name: &str, inlets: &[Vec2], od: f64) -> Result<Drawing, String> {
    let port = |(i, at): (usize, &Vec2)| Port {
        number: i as u32 + 1,
        at: *at,
        opening: OpeningShape::Round { diameter: od },
        turn: 0.0,
    };
    let flange = Flange {
        name: format!("{name} inlets"),
        thickness: 10.0,
        rim: 8.0,
        ports: inlets.iter().enumerate().map(port).collect(),
        holes: Vec::new(),
    };
    let mut drawing = crate::flange::flange(&flange).map_err(|p| p.to_string())?;
    drawing.title = format!("Inlets of {name}");
    drawing.notes = vec![
        "Inlets as they stand, seen along the flow, up is up: a plate to tack the tubes in, or the start of a flange."
            .into(),
    ];
    Ok(drawing)
}

fn cope_of(detail: &CopeDetail) -> Result<Drawing, Problem> {
    let name = format!("cope {}", detail.name);
    let CopeDetail { branch_od, run_od, angle, offset, .. } = *detail;
    match detail.bend {
        None => {
            // An angle beyond the right one is the same cope seen from the other end of the run.
            let angle = if angle > std::f64::consts::FRAC_PI_2 { std::f64::consts::PI - angle } else { angle };
            Cope { branch_od, run_od, angle, offset }.template(&name)
        }
        Some(bend) => {
            let lean = std::f64::consts::FRAC_PI_2 - angle;
            BendCope { branch_od, run_od, clr: bend.clr, bend: bend.angle, at: bend.at, out: bend.out, lean }
                .template(&name)
        }
    }
}

fn mitre_of(detail: &MitreDetail) -> Result<Vec<Drawing>, Problem> {
    let MitreDetail { od, clr, angle, segments, legs, .. } = *detail;
    MitredBend { od, clr, angle, segments, legs }.templates(&format!("mitre {}", detail.name))
}
