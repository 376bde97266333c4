//! Flanges of a job: the plane of their face, and what lies in it.
//!
//! The face is the plane through the ports' centres and the bolts' that lies nearest to square to the flow; with bolts in
//! one line with the port's centre only, the one square to the flow across that line. A port may blow at an angle to its
//! face.

use geom::{Frame, Vec3, any_perpendicular};
use job::details::{Details, FlangeDetail, OpeningShape};
use job::model::{Bolt, Job, Port as JobPort, Units};
use job::show;

use crate::drawing::Drawing;
use crate::flange::{Flange, Hole, Port, flange};
use crate::{DrawingError, FacePlace, Vec2};

/// How far ports and bolts of one flange may lie off its face, mm: what a tape and a straight-edge show.
const FLAT: f64 = 1.0;
/// How far a flow may lean from square to the face, degrees: beyond, port and bolts are not of one face.
const LEAN: f64 = 45.0;
/// A tube that leans less is square to the face, degrees: on one of 50 mm the ellipse is 0.008 mm longer than wide.
const SQUARE: f64 = 1.0;
/// Least distance from a line at which a point says something of the plane, mm.
const ASIDE: f64 = 8.0;

/// The flanges asked for, and one for each port that none of them holds.
pub(super) fn flanges(job: &Job, details: &Details) -> Vec<FlangeDetail> {
    let mut out = details.flanges.clone();
    for port in &job.ports {
        if !details.flanges.iter().any(|f| f.cylinders.contains(&port.cylinder)) {
            out.push(FlangeDetail::usual(&format!("port {}", port.cylinder), vec![port.cylinder]));
        }
    }
    out
}

/// The frame of the face: at the first port, forward along the flow.
fn face(ports: &[&JobPort], holes: &[Vec3]) -> Option<Frame> {
    let first = ports.first()?;
    let places = ports.iter().flat_map(|p| p.bolts.iter().map(|b| b.at).chain([p.at])).chain(holes.iter().copied());
    let ways: Vec<Vec3> = places.map(|p| p - first.at).collect();
    let longest = ways.iter().copied().max_by(|a, b| a.length().total_cmp(&b.length()))?;
    let normal = match longest.try_normalize() {
        Some(line) if longest.length() > ASIDE => {
            let aside = |w: &Vec3| w.reject_from_normalized(line);
            let widest = ways.iter().map(aside).max_by(|a, b| a.length().total_cmp(&b.length()))?;
            let normal =
                if widest.length() > ASIDE { line.cross(widest) } else { first.axis.reject_from_normalized(line) };
            normal * normal.dot(first.axis).signum()
        }
        _ => first.axis,
    };
    let forward = normal.try_normalize()?;
    Some(Frame { origin: first.at, forward, up: any_perpendicular(forward) })
}

/// The flange of some ports, its words with lengths in `units`.
pub(super) fn flange_of(job: &Job, detail: &FlangeDetail, units: Units) -> Result<Drawing, DrawingError> {
    let port = |cylinder: &u32| {
        let found = job.ports.iter().find(|p| p.cylinder == *cylinder);
        found.ok_or(DrawingError::NoPortOfCylinder { cylinder: *cylinder })
    };
    let ports: Vec<&JobPort> = detail.cylinders.iter().map(port).collect::<Result<_, _>>()?;
    let extra: Vec<Vec3> = detail.holes.iter().map(|(at, _)| *at).collect();
    let frame = face(&ports, &extra).ok_or(DrawingError::NoPort)?;
    lies_flat(&ports, detail, &frame)?;
    let flat = |at: Vec3| Vec2::new((at - frame.origin).dot(frame.right()), (at - frame.origin).dot(frame.up));
    let port = |p: &&JobPort| {
        let (opening, turn) = opening(detail, job.primary.tube.od, p, &frame);
        Port { number: p.cylinder, at: flat(p.at), opening, turn }
    };
    let plate = Flange {
        name: format!("flange {}", detail.name),
        thickness: detail.thickness,
        rim: detail.rim,
        ports: ports.iter().map(port).collect(),
        holes: holes(&ports, detail, flat),
    };
    let mut drawing = flange(&plate, units)?;
    drawing.title = format!("Flange of {}", detail.name);
    notes(&mut drawing, job, detail, &ports, &frame, units);
    Ok(drawing)
}

/// Whether ports, bolts and holes are of one face.
fn lies_flat(ports: &[&JobPort], detail: &FlangeDetail, frame: &Frame) -> Result<(), DrawingError> {
    let off = |at: Vec3| (at - frame.origin).dot(frame.forward).abs();
    let mut places: Vec<(FacePlace, Vec3)> = Vec::new();
    for port in ports {
        let cylinder = port.cylinder;
        let degrees = lean(port, frame);
        if degrees > LEAN {
            return Err(DrawingError::PortLeans { cylinder, degrees });
        }
        places.push((FacePlace::Port(cylinder), port.at));
        let bolt = |(i, b): (usize, &Bolt)| (FacePlace::Bolt { bolt: i + 1, cylinder }, b.at);
        places.extend(port.bolts.iter().enumerate().map(bolt));
    }
    places.extend(detail.holes.iter().enumerate().map(|(i, (at, _))| (FacePlace::Hole(i + 1), *at)));
    match places.iter().find(|(_, at)| off(*at) > FLAT) {
        Some(&(place, at)) => Err(DrawingError::OffFace { place, off: off(at) }),
        None => Ok(()),
    }
}

/// How far a port's flow leans from square to the face, degrees.
fn lean(port: &JobPort, frame: &Frame) -> f64 {
    port.axis.dot(frame.forward).clamp(-1.0, 1.0).acos().to_degrees()
}

/// A port's opening and its turn. One of which nothing is said takes the tube: where the tube leans it is an ellipse, long
/// the way the tube leans.
fn opening(detail: &FlangeDetail, od: f64, port: &JobPort, frame: &Frame) -> (OpeningShape, f64) {
    if detail.opening.is_none() && lean(port, frame) > SQUARE {
        let long = Vec2::new(port.axis.dot(frame.right()), port.axis.dot(frame.up));
        let width = od / port.axis.dot(frame.forward);
        return (OpeningShape::Ellipse { width, height: od }, long.to_angle());
    }
    (detail.opening.unwrap_or(OpeningShape::Round { diameter: od }), detail.turn)
}

/// Holes for the bolts, and those asked for besides.
fn holes(ports: &[&JobPort], detail: &FlangeDetail, flat: impl Fn(Vec3) -> Vec2) -> Vec<Hole> {
    let bolts = ports.iter().flat_map(|p| &p.bolts);
    let for_bolts = bolts.map(|b| (b.at, detail.bolt_hole.unwrap_or(hole_for(b.socket_od))));
    let mut holes: Vec<Hole> = Vec::new();
    for (at, diameter) in for_bolts.chain(detail.holes.iter().copied()) {
        let at = flat(at);
        // Neighbouring ports may name the same bolt.
        if !holes.iter().any(|h| h.at.distance(at) < 0.5) {
            holes.push(Hole { at, diameter });
        }
    }
    holes
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

fn notes(drawing: &mut Drawing, job: &Job, detail: &FlangeDetail, ports: &[&JobPort], frame: &Frame, units: Units) {
    let od = job.primary.tube.od;
    if let Some(port) = ports.iter().find(|p| lean(p, frame) > SQUARE) {
        let long = show::exact_with_unit(od / port.axis.dot(frame.forward), units);
        drawing.note(format!(
            "Port {} leaves the face {:.1} degrees off square: its {} tube meets the plate in an ellipse {long} long. Cut or bevel \
             the opening along the flow, not square through the plate.",
            port.cylinder,
            lean(port, frame),
            show::size_with_unit(od, units)
        ));
    }
    if detail.opening.is_none() {
        drawing.note("No opening given: the tube OD is used. Plate thickness and land are common practice without a source unless flange.toml gives them.");
    }
    if detail.bolt_hole.is_none() && ports.iter().any(|p| !p.bolts.is_empty()) {
        drawing.note("Bolt holes assumed from the socket sizes (ISO 273, medium series, from memory): check them against the studs.");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn port(axis: Vec3, bolts: &[Vec3]) -> JobPort {
        let bolts = bolts.iter().map(|at| Bolt { at: *at, socket_od: 18.4, reach: 70.0 }).collect();
        JobPort { cylinder: 1, at: Vec3::ZERO, axis: axis.normalize(), stub: 20.0, length_in_head: 0.0, bolts }
    }

    #[test]
    fn bolts_in_one_line_with_the_port_turn_the_face() {
        let v = Vec3::new;
        let leaning = port(v(0.0, 0.97, -0.243), &[v(0.0, 2.0, 38.0), v(0.0, -2.0, -38.0)]);
        let frame = face(&[&leaning], &[]).unwrap();
        assert!(lies_flat(&[&leaning], &FlangeDetail::usual("x", vec![1]), &frame).is_ok());
        assert!((lean(&leaning, &frame) - 11.05).abs() < 0.1, "{}", lean(&leaning, &frame));
    }

    #[test]
    fn three_bolts_fix_the_face_and_a_fourth_off_it_is_said() {
        let v = Vec3::new;
        let bolts = [v(30.0, 0.0, 20.0), v(-30.0, 0.0, 20.0), v(30.0, 0.0, -20.0), v(-30.0, 3.0, -20.0)];
        let detail = FlangeDetail::usual("x", vec![1]);
        let good = port(Vec3::Y, &bolts[..3]);
        let frame = face(&[&good], &[]).unwrap();
        assert!((frame.forward - Vec3::Y).length() < 1e-12 && lies_flat(&[&good], &detail, &frame).is_ok());
        let bad = port(Vec3::Y, &bolts);
        let found = lies_flat(&[&bad], &detail, &frame).unwrap_err();
        let DrawingError::OffFace { place, off } = found else { panic!("{found:?}") };
        assert!(place == FacePlace::Bolt { bolt: 4, cylinder: 1 } && (off - 3.0).abs() < 1e-9, "{place:?} {off}");
    }

    #[test]
    fn a_tube_that_leans_60_degrees_from_the_face_meets_it_in_an_ellipse_long_the_way_it_leans() {
        // Leaning 30 degrees from square towards +z: 40 / cos 30 = 46.188.
        let v = Vec3::new;
        let bolts = [v(30.0, 0.0, 20.0), v(-30.0, 0.0, 20.0), v(0.0, 0.0, -30.0)];
        let leaning = port(v(0.0, 30f64.to_radians().cos(), 0.5), &bolts);
        let frame = face(&[&leaning], &[]).unwrap();
        let (shape, turn) = opening(&FlangeDetail::usual("x", vec![1]), 40.0, &leaning, &frame);
        let OpeningShape::Ellipse { width, height } = shape else { panic!("{shape:?}") };
        assert!((width - 46.188).abs() < 1e-3 && (height - 40.0).abs() < 1e-12, "{width} {height}");
        let long = frame.right() * turn.cos() + frame.up * turn.sin();
        assert!((long - Vec3::Z).length() < 1e-9, "{long}");
        // What was measured at the face stays as it was measured.
        let measured =
            FlangeDetail { opening: Some(OpeningShape::Round { diameter: 41.0 }), ..FlangeDetail::usual("x", vec![1]) };
        assert_eq!(opening(&measured, 40.0, &leaning, &frame), (OpeningShape::Round { diameter: 41.0 }, 0.0));
    }
}
