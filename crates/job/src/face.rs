//! The plane of a flange's face.
//!
//! It is the plane through the centres of the ports and their bolts that lies nearest to square to the flow; with bolts in
//! one line with the port's centre only, the one square to the flow across that line; with neither, the one square to the
//! flow. What a port says itself (`face`) goes before that. A port may blow at an angle to its face.

use geom::{Frame, Vec3, any_perpendicular};

use crate::details::{Details, FlangeDetail};
use crate::model::{Job, Port};

/// Most that a flow may lean from square to its face, rad: beyond, port and bolts are not of one face.
pub const MOST_LEAN: f64 = 45.0 * std::f64::consts::PI / 180.0;
/// Least distance from a line at which a point says something of the plane, mm.
const ASIDE: f64 = 8.0;

/// The frame of the face of some ports with more `holes`: at the first port, forward out of the head; `None` without a port.
pub fn face_of(ports: &[&Port], holes: &[Vec3]) -> Option<Frame> {
    let first = ports.first()?;
    let framed = |forward: Vec3| Frame { origin: first.at, forward, up: any_perpendicular(forward) };
    if let Some(face) = ports.iter().find_map(|p| p.face) {
        return Some(framed(face));
    }
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
    normal.try_normalize().map(framed)
}

/// The unit direction square to the face of one port, out of the head.
pub fn normal(port: &Port) -> Vec3 {
    face_of(&[port], &[]).map_or(port.axis, |frame| frame.forward)
}

/// How far a port's flow leans from square to a face, rad.
pub fn lean(port: &Port, normal: Vec3) -> f64 {
    port.axis.dot(normal).clamp(-1.0, 1.0).acos()
}

/// Gives the ports of a job the face of the flange that holds them, and where their tubes start in it. A flange whose
/// ports are not of one face is left out: its drawing says so.
pub fn seat_ports(job: &mut Job, flanges: &[FlangeDetail]) {
    let od = job.primary.tube.od;
    for detail in flanges {
        let Some(frame) = face_of(&ports_of(job, detail), &hole_places(detail)) else { continue };
        let on_it = |p: &&mut Port| detail.cylinders.contains(&p.cylinder) && lean(p, frame.forward) <= MOST_LEAN;
        for port in job.ports.iter_mut().filter(on_it) {
            port.face = Some(frame.forward);
            // A seat beyond the straight is refused where flange.toml is held against the job.
            port.seat = detail.seat(lean(port, frame.forward), od).min(port.stub);
            port.transition = detail.transition.is_some();
        }
    }
}

/// The ports that a flange holds, in its own order.
pub fn ports_of<'a>(job: &'a Job, detail: &FlangeDetail) -> Vec<&'a Port> {
    detail.cylinders.iter().filter_map(|c| job.ports.iter().find(|p| p.cylinder == *c)).collect()
}

/// Centres of a flange's own holes.
pub fn hole_places(detail: &FlangeDetail) -> Vec<Vec3> {
    detail.holes.iter().map(|(at, _)| *at).collect()
}

/// The flanges asked for, and a usual one for each port that none of them holds.
pub fn flanges(job: &Job, details: &Details) -> Vec<FlangeDetail> {
    let mut out = details.flanges.clone();
    for port in &job.ports {
        if !details.flanges.iter().any(|f| f.cylinders.contains(&port.cylinder)) {
            out.push(FlangeDetail::usual(&format!("port {}", port.cylinder), vec![port.cylinder]));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::details::Meets;

    fn port(axis: Vec3) -> Port {
        let axis = axis.normalize();
        Port {
            cylinder: 1,
            at: Vec3::ZERO,
            axis,
            stub: 30.0,
            length_in_head: 0.0,
            face: None,
            seat: 0.0,
            transition: false,
            bolts: vec![],
        }
    }

    fn detail(meets: Option<Meets>, transition: Option<f64>) -> FlangeDetail {
        FlangeDetail { thickness: 12.0, meets, transition, ..FlangeDetail::usual("f", vec![1]) }
    }

    #[test]
    fn a_face_that_is_given_goes_before_the_flow() {
        let leaning = Port { face: Some(Vec3::Y), ..port(Vec3::new(0.0, 0.98, -0.2)) };
        assert_eq!(normal(&leaning), Vec3::Y);
        assert!((lean(&leaning, Vec3::Y).to_degrees() - 11.53).abs() < 0.01);
    }

    #[test]
    fn tubes_start_on_the_outer_face_at_the_port_face_or_on_the_floor_of_a_pocket() {
        let square = |meets| detail(Some(meets), None).seat(0.0, 40.0);
        assert_eq!(square(Meets::Butt), 12.0);
        assert_eq!(square(Meets::Through), 0.0);
        assert_eq!(square(Meets::Pocket { depth: 5.0 }), 7.0);
        assert_eq!(detail(None, None).seat(0.0, 40.0), 0.0);
        assert_eq!(detail(Some(Meets::Butt), Some(25.0)).seat(0.0, 40.0), 37.0);
    }

    #[test]
    fn a_leaning_tube_starts_where_its_longer_side_meets_the_plate() {
        // 30 degrees: 12 / cos 30 = 13.856 along the flow, less 10 tan 30 = 5.774.
        let lean = 30f64.to_radians();
        assert!((detail(Some(Meets::Butt), None).seat(lean, 20.0) - 8.0829).abs() < 1e-3);
        assert!((detail(Some(Meets::Butt), Some(25.0)).seat(lean, 20.0) - 38.8564).abs() < 1e-3);
        assert_eq!(detail(Some(Meets::Butt), None).seat(lean, 60.0), 0.0);
    }
}
