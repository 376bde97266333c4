//! All drawings that go with a job: a flange for its ports, plates and templates for its collectors, and the copes and
//! mitred bends asked for.
//!
//! What the job and its `flange.toml` and `templates.toml` do not say is taken from common practice, and the drawing says
//! so. A drawing whose measures do not go together is left out and named in a warning; the others stand.

use geom::{Frame, Vec3, any_perpendicular};
use job::details::{CollectorDetail, CollectorStyle, CopeDetail, Details, FlangeDetail, MitreDetail, OpeningShape};
use job::model::{Collector, Groups, Job, Pattern, Port as JobPort};
use route::inlets::{entering_od, inlet_offsets};

use crate::cope::{BendCope, Cope};
use crate::drawing::Drawing;
use crate::flange::{Flange, Hole, Opening, Port, flange};
use crate::merge::Merge;
use crate::mitre::MitredBend;
use crate::slip::Slip;
use crate::{Problem, Vec2};

/// How far ports of one flange may stand before or behind one another, mm: what a gasket takes up.
const FLAT: f64 = 0.5;
/// How far their axes may lean from one another, as the sine of the angle (0.6 degrees).
const PARALLEL: f64 = 0.01;

/// The drawings of a job, and what could not be drawn or should be looked at, in plain sentences.
pub fn drawings(job: &Job, details: &Details) -> (Vec<Drawing>, Vec<String>) {
    let mut made = Made::default();
    for detail in flanges(job, details) {
        made.add(&detail.name, flange_of(job, &detail).map(|d| vec![d]));
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

/// The flanges asked for, and one for each port that none of them holds.
fn flanges(job: &Job, details: &Details) -> Vec<FlangeDetail> {
    let mut out = details.flanges.clone();
    for port in &job.ports {
        if !details.flanges.iter().any(|f| f.cylinders.contains(&port.cylinder)) {
            out.push(FlangeDetail::usual(&format!("port {}", port.cylinder), vec![port.cylinder]));
        }
    }
    out
}

fn flange_of(job: &Job, detail: &FlangeDetail) -> Result<Drawing, String> {
    let port = |cylinder: &u32| {
        let found = job.ports.iter().find(|p| p.cylinder == *cylinder);
        found.ok_or_else(|| format!("the job has no port of cylinder {cylinder}"))
    };
    let ports: Vec<&JobPort> = detail.cylinders.iter().map(port).collect::<Result<_, _>>()?;
    let Some(first) = ports.first() else { return Err(Problem::NoPort.to_string()) };
    let frame = Frame { origin: first.at, forward: first.axis, up: any_perpendicular(first.axis) };
    let flat = |at: Vec3| Vec2::new((at - frame.origin).dot(frame.right()), (at - frame.origin).dot(frame.up));
    for port in &ports {
        let off = (port.at - frame.origin).dot(frame.forward);
        if off.abs() > FLAT || port.axis.cross(frame.forward).length() > PARALLEL {
            return Err(format!(
                "port {} does not lie in one plane with port {}: {off:.2} mm off",
                port.cylinder, first.cylinder
            ));
        }
    }
    let od = job.primary.tube.od;
    let opening = match detail.opening {
        None => Opening::Round { diameter: od },
        Some(OpeningShape::Round { diameter }) => Opening::Round { diameter },
        Some(OpeningShape::Oval { width, height }) => Opening::Oval { width, height },
        Some(OpeningShape::Rectangular { width, height, corner }) => Opening::Rectangular { width, height, corner },
        Some(OpeningShape::D { diameter, flat }) => Opening::D { diameter, flat },
    };
    let bolts = ports.iter().flat_map(|p| &p.bolts);
    let mut holes: Vec<Hole> = Vec::new();
    let bolt_holes =
        bolts.map(|b| Hole { at: flat(b.at), diameter: detail.bolt_hole.unwrap_or(hole_for(b.socket_od)) });
    for hole in bolt_holes.chain(detail.holes.iter().map(|(at, diameter)| Hole { at: flat(*at), diameter: *diameter }))
    {
        // Neighbouring ports may name the same bolt.
        if !holes.iter().any(|h| h.at.distance(hole.at) < 0.5) {
            holes.push(hole);
        }
    }
    let mut drawing = flange(&Flange {
        name: format!("flange {}", detail.name),
        thickness: detail.thickness,
        rim: detail.rim,
        ports: ports.iter().map(|p| Port { number: p.cylinder, at: flat(p.at), opening, turn: detail.turn }).collect(),
        holes,
    })
    .map_err(|p| p.to_string())?;
    if detail.opening.is_none() {
        drawing.note("The opening is as wide as the tube outside, as nothing else is said; thickness and rim of the plate are common practice without a source unless flange.toml gives them.");
    }
    if detail.bolt_hole.is_none() && !drawing.paths.is_empty() && ports.iter().any(|p| !p.bolts.is_empty()) {
        drawing.note("Bolt holes are taken from the sockets (ISO 273, medium series, from memory): check them against the studs.");
    }
    Ok(drawing)
}

/// Clearance hole, mm, of the thread whose socket has that outside diameter: M6 6.6, M8 9, M10 11, M12 13.5 (ISO 273, medium
/// series, from memory); inch threads take the next one up.
fn hole_for(socket_od: f64) -> f64 {
    match socket_od {
        ..16.5 => 6.6,
        16.5..19.5 => 9.0,
        19.5..24.5 => 11.0,
        _ => 13.5,
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
        opening: Opening::Round { diameter: od },
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
