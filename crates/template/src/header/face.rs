//! Flanges of a job: what lies in the plane of their face ([`job::face`]), and where their tubes end.

use geom::{Frame, Vec3};
use job::details::{Details, FlangeDetail, Meets, OpeningShape};
use job::face::{MOST_LEAN, face_of, flanges, hole_places};
use job::model::{Bolt, Job, Port as JobPort, Units};
use job::show;

use crate::adapter::Adapter;
use crate::drawing::Drawing;
use crate::flange::{Flange, Hole, Port, flange};
use crate::wrap::{Wrapping, curve, how, template};
use crate::{DrawingError, FacePlace, Vec2};

/// How far ports and bolts of one flange may lie off its face, mm: what a tape and a straight-edge show.
const FLAT: f64 = 1.0;
/// A tube that leans less is square to the face, degrees: on one of 50 mm the ellipse is 0.008 mm longer than wide.
const SQUARE: f64 = 1.0;

/// A flange of a job in its place.
#[derive(Debug, Clone)]
pub struct PlacedFlange {
    /// What is said of it, or usual.
    pub detail: FlangeDetail,
    /// The plate, in the plane of its face.
    pub plate: Flange,
    /// Its face: drawing x along `right()`, y along `up`, the plate's metal along `forward`.
    pub face: Frame,
    /// The transition of each port, where it has one.
    pub adapters: Vec<Adapter>,
    /// How far the flow of each port leans from square to the face, rad.
    pub leans: Vec<f64>,
}

/// The flanges of a job that can be made, and why the others cannot; each with its name.
pub fn placed(job: &Job, details: &Details) -> Vec<(String, Result<PlacedFlange, DrawingError>)> {
    flanges(job, details).into_iter().map(|detail| (detail.name.clone(), PlacedFlange::of(job, detail))).collect()
}

impl PlacedFlange {
    fn of(job: &Job, detail: FlangeDetail) -> Result<Self, DrawingError> {
        let port = |cylinder: &u32| {
            let found = job.ports.iter().find(|p| p.cylinder == *cylinder);
            found.ok_or(DrawingError::NoPortOfCylinder { cylinder: *cylinder })
        };
        let ports: Vec<&JobPort> = detail.cylinders.iter().map(port).collect::<Result<_, _>>()?;
        let face = face_of(&ports, &hole_places(&detail)).ok_or(DrawingError::NoPort)?;
        lies_flat(&ports, &detail, &face)?;
        let flat = |at: Vec3| Vec2::new((at - face.origin).dot(face.right()), (at - face.origin).dot(face.up));
        let tube = &job.primary.tube;
        let opened = |p: &&JobPort| {
            let (opening, turn) = opening(&detail, tube.od, p, &face);
            Port { number: p.cylinder, at: flat(p.at), opening, turn }
        };
        let plate = Flange {
            name: format!("flange {}", detail.name),
            thickness: detail.thickness,
            rim: detail.rim,
            ports: ports.iter().map(opened).collect(),
            holes: holes(&ports, &detail, flat),
        };
        let adapter = |(port, opened): (&&JobPort, &Port)| {
            let way = |axis: Vec3| port.axis.dot(axis);
            let flow = [way(face.right()), way(face.up), way(face.forward)];
            let (opening, turn) = (opened.opening, opened.turn);
            Some(Adapter { opening, turn, flow, length: detail.transition?, od: tube.od, wall: tube.wall })
        };
        let adapters = ports.iter().zip(&plate.ports).filter_map(adapter).collect();
        let leans = ports.iter().map(|p| job::face::lean(p, face.forward)).collect();
        Ok(PlacedFlange { adapters, leans, plate, face, detail })
    }

    /// Whether one drawing serves both.
    fn is_made_as(&self, other: &PlacedFlange) -> bool {
        let near = |a: &[f64; 3], b: &[f64; 3]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-3);
        self.plate.is_cut_as(&other.plate)
            && (self.detail.meets, self.detail.transition) == (other.detail.meets, other.detail.transition)
            && self.adapters.iter().zip(&other.adapters).all(|(a, b)| near(&a.flow, &b.flow))
            && self.leans.iter().zip(&other.leans).all(|(a, b)| (a - b).abs() < 1e-3)
    }
}

/// Drawings of flanges: those made alike are one, with their count.
pub(super) fn drawings(
    job: &Job,
    details: &Details,
    units: Units,
) -> Vec<(String, Result<Vec<Drawing>, DrawingError>)> {
    let mut alike: Vec<Vec<PlacedFlange>> = Vec::new();
    let mut out = Vec::new();
    for (name, made) in placed(job, details) {
        match made {
            Ok(one) => match alike.iter_mut().find(|group| group[0].is_made_as(&one)) {
                Some(group) => group.push(one),
                None => alike.push(vec![one]),
            },
            Err(why) => out.push((name, Err(why))),
        }
    }
    let drawn = alike.iter().map(|group| (group[0].detail.name.clone(), drawn(job, group, units)));
    drawn.chain(out).collect()
}

/// The plate of some flanges made alike, and what goes between it and its tubes.
fn drawn(job: &Job, alike: &[PlacedFlange], units: Units) -> Result<Vec<Drawing>, DrawingError> {
    let one = &alike[0];
    let mut drawing = flange(&one.plate, units)?;
    let names: Vec<&str> = alike.iter().map(|f| f.detail.name.as_str()).collect();
    drawing.title = match names[..] {
        [name] => format!("Flange of {name}"),
        _ => format!("Flange: {} needed, of {}", names.len(), names.join(", ")),
    };
    if alike.len() > 1 {
        for (i, port) in one.plate.ports.iter().enumerate() {
            let numbers: Vec<String> = alike.iter().map(|f| f.plate.ports[i].number.to_string()).collect();
            let own = port.number.to_string();
            drawing.texts.iter_mut().filter(|t| t.text == own).for_each(|t| t.text = numbers.join(" "));
            drawing.table.iter_mut().filter(|row| row[0] == own).for_each(|row| row[0] = numbers.join(" "));
        }
        drawing.note(format!("{} needed, cut alike. Mark each with its port.", names.len()));
    }
    let ports: Vec<&JobPort> =
        one.detail.cylinders.iter().filter_map(|c| job.ports.iter().find(|p| p.cylinder == *c)).collect();
    notes(&mut drawing, job, &one.detail, &ports, &one.face, units);
    let mut out = vec![drawing];
    out.extend(transitions(alike, units)?);
    out.extend(tube_ends(job, alike, units));
    Ok(out)
}

/// Flat patterns of the transitions, one for those alike.
fn transitions(alike: &[PlacedFlange], units: Units) -> Result<Vec<Drawing>, DrawingError> {
    let one = &alike[0];
    let mut kinds: Vec<(&Adapter, Vec<u32>)> = Vec::new();
    for (i, adapter) in one.adapters.iter().enumerate() {
        let numbers = alike.iter().map(|f| f.plate.ports[i].number);
        let same = |a: &Adapter| a.flow.iter().zip(adapter.flow).all(|(a, b)| (a - b).abs() < 1e-6);
        match kinds.iter_mut().find(|(a, _)| same(a)) {
            Some((_, of)) => of.extend(numbers),
            None => kinds.push((adapter, numbers.collect())),
        }
    }
    let drawn = kinds.into_iter().enumerate().map(|(k, (adapter, of))| {
        let number = if k == 0 { String::new() } else { format!(" {}", k + 1) };
        let mut drawing = adapter.pattern(&format!("{} transition{number}", one.plate.name), units)?;
        drawing.note(format!("{} needed: {}.", of.len(), of_ports(&of)));
        Ok(drawing)
    });
    drawn.collect()
}

fn of_ports(numbers: &[u32]) -> String {
    let list: Vec<String> = numbers.iter().map(u32::to_string).collect();
    format!("port{} {}", if list.len() == 1 { "" } else { "s" }, list.join(", "))
}

/// Wrap templates of tubes that end on a plate which is not square to them: s = R tan(lean) (1 + cos phi) from the square
/// end, phi from the longer side.
fn tube_ends(job: &Job, alike: &[PlacedFlange], units: Units) -> Option<Drawing> {
    let one = &alike[0];
    let ends = matches!(one.detail.meets, Some(Meets::Butt | Meets::Pocket { .. })) && one.detail.transition.is_none();
    let lean = one.leans.iter().copied().find(|l| ends && l.to_degrees() > SQUARE)?;
    let od = job.primary.tube.od;
    let rise = 0.5 * od * lean.tan();
    let name = format!("{} tube end", one.plate.name);
    let mut drawing = Drawing::new(name, format!("End of the tube on the flange of {}", one.detail.name));
    let numbers: Vec<u32> = alike.iter().flat_map(|f| f.plate.ports.iter().map(|p| p.number)).collect();
    drawing.note(format!(
        "{}: the tube leans {:.2} degrees from square to the plate. Lay the straight edge on its square end; 0 lies on the \
         longer side, where nothing comes off, 180 where {} comes off.",
        of_ports(&numbers),
        lean.to_degrees(),
        show::exact_with_unit(2.0 * rise, units)
    ));
    drawing.note(how(units));
    let s = curve(|phi| rise * (1.0 - phi.cos()));
    template(&mut drawing, Wrapping::of(od), &s, 0.0, ["longer side", "side", "shorter side", "side"]);
    Some(drawing)
}

/// Whether ports, bolts and holes are of one face.
fn lies_flat(ports: &[&JobPort], detail: &FlangeDetail, frame: &Frame) -> Result<(), DrawingError> {
    let off = |at: Vec3| (at - frame.origin).dot(frame.forward).abs();
    let mut places: Vec<(FacePlace, Vec3)> = Vec::new();
    for port in ports {
        let cylinder = port.cylinder;
        let degrees = lean(port, frame);
        if degrees > MOST_LEAN.to_degrees() {
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
    drawing.note(where_tubes_end(detail, units));
    if ports.iter().all(|p| p.bolts.is_empty()) && detail.holes.is_empty() {
        drawing.note("No bolts are given: this plate has no bolt holes yet.");
    }
    if detail.opening.is_none() {
        drawing.note("No opening given: the tube OD is used. Plate thickness and land are common practice without a source unless flange.toml gives them.");
    }
    if detail.bolt_hole.is_none() && ports.iter().any(|p| !p.bolts.is_empty()) {
        drawing.note("Bolt holes assumed from the socket sizes (ISO 273, medium series, from memory): check them against the studs.");
    }
}

/// Where tubes end on the plate, and what a length from the port face counts.
fn where_tubes_end(detail: &FlangeDetail, units: Units) -> String {
    let exact = |l: f64| show::exact_with_unit(l, units);
    let part = if detail.transition.is_some() { "transitions" } else { "tubes" };
    let floor = exact(detail.floor());
    match detail.meets {
        None => "How tubes meet the plate is not given: lengths and first pieces count from the port face, the side of the gasket.".into(),
        Some(Meets::Through) => "Tubes go through the plate: first pieces start at the port face. Trim them flush with it after welding.".into(),
        Some(Meets::Butt) => format!("Butt {part} on the outer face, {floor} from the port face."),
        Some(Meets::Pocket { depth }) => format!(
            "Pocket {} deep in the outer face, around each opening, to the outside of its {part}: they end on its floor, {floor} from the port face.",
            exact(depth)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn face(ports: &[&JobPort], holes: &[Vec3]) -> Option<Frame> {
        face_of(ports, holes)
    }

    fn port(axis: Vec3, bolts: &[Vec3]) -> JobPort {
        let bolts = bolts.iter().map(|at| Bolt { at: *at, socket_od: 18.4, reach: 70.0 }).collect();
        JobPort {
            cylinder: 1,
            at: Vec3::ZERO,
            axis: axis.normalize(),
            stub: 20.0,
            length_in_head: 0.0,
            face: None,
            seat: 0.0,
            transition: false,
            bolts,
        }
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
