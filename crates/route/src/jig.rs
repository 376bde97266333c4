//! Where ports, inlets and supports stand over a flat table.
//!
//! Two set-ups: `FlangeDown` lays the flanges on (or over) the table by the plane of their faces, the tubes growing up from
//! it, when all faces look nearly the same way; `AsOnCar` keeps the vehicle's up, with the table under everything. A port
//! may blow at an angle to its face: the face lies flat, not the port square. Table axes: Z up from the table; X along the
//! row of ports (or forward); Y completes the right hand; X = Y = 0 below the first port. Elementary geometry.

use geom::{Frame, Vec3, any_perpendicular};
use job::face::normal;
use job::inlets::{entering_od, inlets};
use job::model::{Job, Port};
use job::routes::Routes;

use crate::laid::{Laid, LaidError, frame_of, lay};

/// Faces that differ from their mean direction by less than this can all lie on the table, rad.
const SAME_WAY: f64 = 10.0 * std::f64::consts::PI / 180.0;

/// Room kept between the table and what hangs lowest over it, mm: for a clamp's jaw. Common practice, no source.
const UNDER: f64 = 30.0;

/// A tube steeper than this is not laid on a support, rad.
const STEEPEST: f64 = 55.0 * std::f64::consts::PI / 180.0;

/// How the header stands over the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Setup {
    /// Port flanges down on the table.
    FlangeDown,
    /// As it sits in the car.
    AsOnCar,
}

/// What stands somewhere.
#[derive(Debug, Clone, PartialEq)]
pub enum JigPoint {
    /// The centre of a port at its face; its cylinder.
    Port(u32),
    /// The centre of a collector's inlet plane; its name.
    Collector(String),
    /// The centre of an inlet; name of the collector and number.
    Inlet(String, usize),
    /// The underside of a run's tube, where a support may stand: index of the run.
    Support(usize),
    /// Where a tail ends: index of the run.
    End(usize),
}

/// A place over the table.
#[derive(Debug, Clone, PartialEq)]
pub struct JigRow {
    /// What the point is.
    pub what: JigPoint,
    /// X, Y and height Z over the table, mm.
    pub at: [f64; 3],
    /// Direction of the flow there: heading from X towards Y and rise from the table's plane, rad.
    pub heading: f64,
    /// Rise of the flow over the table's plane, rad.
    pub rise: f64,
    /// Arc length along the run, mm; of supports.
    pub station: f64,
    /// How far the face of a port's flange is from lying flat on the table, rad; 0 of everything else.
    pub tilt: f64,
}

/// The header over its table.
#[derive(Debug, Clone, PartialEq)]
pub struct Jig {
    /// The set-up.
    pub setup: Setup,
    /// The table: origin below the first port, `forward` its X, `up` its Z.
    pub table: Frame,
    /// What stands where.
    pub rows: Vec<JigRow>,
}

impl Jig {
    /// A place of the vehicle, over the table: X, Y, Z, mm.
    pub fn over_table(&self, place: Vec3) -> [f64; 3] {
        let d = place - self.table.origin;
        [d.dot(self.table.forward), d.dot(self.table.up.cross(self.table.forward)), d.dot(self.table.up)]
    }

    /// A direction of the vehicle over the table: parts along X, Y and Z.
    pub fn direction(&self, way: Vec3) -> [f64; 3] {
        self.over_table(self.table.origin + way)
    }

    fn row(&self, what: JigPoint, place: Vec3, flow: Vec3, station: f64) -> JigRow {
        let across = self.table.up.cross(self.table.forward);
        JigRow {
            what,
            at: self.over_table(place),
            heading: flow.dot(across).atan2(flow.dot(self.table.forward)),
            rise: flow.dot(self.table.up).clamp(-1.0, 1.0).asin(),
            station,
            tilt: 0.0,
        }
    }
}

/// The set-up that suits the ports: flanges down when all their faces look the same way.
pub fn suited_setup(job: &Job) -> Setup {
    let mean = mean_face(job);
    let same = |face: Vec3| mean.is_some_and(|m| face.dot(m).clamp(-1.0, 1.0).acos() < SAME_WAY);
    if !job.ports.is_empty() && job.ports.iter().all(|p| same(normal(p))) { Setup::FlangeDown } else { Setup::AsOnCar }
}

/// The ports in groups whose flanges look the same way: the banks of a header.
pub fn ports_by_face(job: &Job) -> Vec<Vec<Port>> {
    let mut groups: Vec<Vec<Port>> = Vec::new();
    for port in &job.ports {
        let same = |other: &Port| normal(port).dot(normal(other)).clamp(-1.0, 1.0).acos() < SAME_WAY;
        match groups.iter_mut().find(|group| same(&group[0])) {
            Some(group) => group.push(port.clone()),
            None => groups.push(vec![port.clone()]),
        }
    }
    groups
}

/// The direction that the faces of all flanges look, out of the head.
fn mean_face(job: &Job) -> Option<Vec3> {
    job.ports.iter().map(normal).sum::<Vec3>().try_normalize()
}

/// The header over the table in the given set-up.
///
/// # Errors
/// [`LaidError`] when a route is not a valid tube.
pub fn jig(job: &Job, routes: &Routes, setup: Setup) -> Result<Jig, LaidError> {
    let runs = lay(job, routes)?;
    let up = match setup {
        Setup::FlangeDown => mean_face(job).unwrap_or(Vec3::Z),
        Setup::AsOnCar => Vec3::Z,
    };
    let first = job.ports.first().map(|p| p.at).or(runs.first().map(|r| r.line.start().origin)).unwrap_or(Vec3::ZERO);
    let last = job.ports.last().map_or(first, |p| p.at);
    let along = match setup {
        Setup::FlangeDown => (last - first).reject_from_normalized(up).try_normalize(),
        Setup::AsOnCar => Some(Vec3::X),
    };
    let forward = along.unwrap_or_else(|| any_perpendicular(up));
    let lowest = lowest_over(&runs, job, up);
    let ports_at = job.ports.iter().map(|p| p.at.dot(up)).fold(f64::INFINITY, f64::min);
    // Faces lie on the table unless a tube hangs lower.
    let table = if setup == Setup::FlangeDown && lowest >= ports_at - 1.0 { ports_at } else { lowest - UNDER };
    let origin = first - up * (first.dot(up) - table);
    let mut jig = Jig { setup, table: Frame { origin, forward, up }, rows: Vec::new() };
    jig.rows = rows(&jig, job, routes, &runs);
    Ok(jig)
}

/// Lowest underside of all runs (where they leave their ports and inlets the tube counts, not the flange).
fn lowest_over(runs: &[Laid], job: &Job, up: Vec3) -> f64 {
    let ports = job.ports.iter().map(|p| p.at.dot(up));
    let tubes = runs.iter().flat_map(|run| {
        // Where a tube that leans begins its flange holds it: that edge does not hang over the table.
        let on_flange = |s: &f64| run.leaves.is_none() && *s < run.radius;
        stations(run).filter(move |s| !on_flange(s)).map(move |s| {
            let frame = run.line.at(s);
            frame.origin.dot(up) - run.radius * (1.0 - frame.forward.dot(up).powi(2)).max(0.0).sqrt()
        })
    });
    tubes.chain(ports).fold(f64::INFINITY, f64::min)
}

/// Places along a run every 5 mm.
fn stations(run: &Laid) -> impl Iterator<Item = f64> + use<> {
    let length = run.line.length();
    let count = (length / 5.0).ceil().max(1.0) as usize;
    (0..=count).map(move |i| length * i as f64 / count as f64)
}

fn rows(jig: &Jig, job: &Job, routes: &Routes, runs: &[Laid]) -> Vec<JigRow> {
    let port = |p: &job::model::Port| {
        let tilt = normal(p).dot(jig.table.up).clamp(-1.0, 1.0).acos();
        JigRow { tilt, ..jig.row(JigPoint::Port(p.cylinder), p.at, p.axis, 0.0) }
    };
    let mut rows: Vec<JigRow> = job.ports.iter().map(port).collect();
    for (index, collector) in job.collectors.iter().enumerate() {
        if !runs.iter().any(|r| r.enters == Some(index)) {
            continue;
        }
        let frame = frame_of(job, routes, index);
        rows.push(jig.row(JigPoint::Collector(collector.name.clone()), frame.origin, frame.forward, 0.0));
        for (i, inlet) in inlets(collector, &frame, entering_od(job, collector)).into_iter().enumerate() {
            rows.push(jig.row(JigPoint::Inlet(collector.name.clone(), i + 1), inlet.in_plane, inlet.axis, 0.0));
        }
    }
    for (index, run) in runs.iter().enumerate() {
        if run.enters.is_none() {
            let end = run.line.end();
            rows.push(jig.row(JigPoint::End(index), end.origin, end.forward, run.line.length()));
        }
        rows.extend(support(jig, run, index));
    }
    rows
}

/// A support under the middle of the longest stretch that lies flat enough; none where there is no such.
fn support(jig: &Jig, run: &Laid, index: usize) -> Option<JigRow> {
    let flat = |s: f64| run.line.at(s).forward.dot(jig.table.up).abs() < STEEPEST.sin();
    let high = |s: f64| jig.over_table(run.line.at(s).origin)[2] > run.radius + 5.0;
    let mut best: Option<(f64, f64)> = None;
    let mut begun: Option<f64> = None;
    for s in stations(run) {
        if flat(s) && high(s) {
            let from = *begun.get_or_insert(s);
            if best.is_none_or(|(a, b)| s - from > b - a) {
                best = Some((from, s));
            }
        } else {
            begun = None;
        }
    }
    let station = best.map(|(a, b)| 0.5 * (a + b))?;
    let frame = run.line.at(station);
    let level = (1.0 - frame.forward.dot(jig.table.up).powi(2)).max(1e-6).sqrt();
    // Straight down from the centre to the wall of a sloping tube.
    let under = frame.origin - jig.table.up * (run.radius / level);
    Some(jig.row(JigPoint::Support(index), under, frame.forward, station))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example(name: &str) -> Job {
        let folder = format!("{}/../../examples/{name}", env!("CARGO_MANIFEST_DIR"));
        job::open(&job::Folder::of(std::path::Path::new(&folder))).unwrap().job
    }

    #[test]
    fn ports_that_look_one_way_lie_on_the_table_in_a_row() {
        let job = example("straight-six");
        assert_eq!(suited_setup(&job), Setup::FlangeDown);
        let jig = jig(&job, &Routes::default(), Setup::FlangeDown).unwrap();
        let ports: Vec<&JigRow> = jig.rows.iter().filter(|r| matches!(r.what, JigPoint::Port(_))).collect();
        assert_eq!(ports.len(), 6);
        assert!(ports.iter().all(|p| p.at[2].abs() < 1.0 && p.rise > 1.4), "{ports:?}");
        assert!(ports[0].at[0].abs() < 1e-9 && ports[5].at[0] > 100.0 && ports[5].at[1].abs() < 1.0);
    }

    #[test]
    fn distances_over_the_table_are_those_in_the_car() {
        let job = example("straight-six");
        for setup in [Setup::FlangeDown, Setup::AsOnCar] {
            let jig = jig(&job, &Routes::default(), setup).unwrap();
            let (a, b) = (jig.over_table(job.ports[0].at), jig.over_table(job.ports[3].at));
            let apart = (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt();
            assert!((apart - (job.ports[0].at - job.ports[3].at).length()).abs() < 1e-9);
            assert!(jig.rows.iter().all(|r| r.at[2] > -1e-6));
        }
    }

    /// A port at the origin of a face that looks along +y, its flow leaning `degrees` down from it, and one 100 mm behind it.
    fn leaning(degrees: f64) -> Job {
        let mut job = example("straight-six");
        let (sin, cos) = degrees.to_radians().sin_cos();
        job.ports.truncate(2);
        for (i, port) in job.ports.iter_mut().enumerate() {
            port.at = Vec3::new(-100.0 * i as f64, 50.0, 20.0);
            (port.axis, port.face) = (Vec3::new(0.0, cos, -sin), Some(Vec3::Y));
        }
        job
    }

    #[test]
    fn a_port_that_blows_off_square_leaves_its_flange_flat_on_the_table() {
        let job = leaning(11.0);
        assert_eq!(suited_setup(&job), Setup::FlangeDown);
        let jig = jig(&job, &Routes::default(), Setup::FlangeDown).unwrap();
        // X goes from port 1 to port 2, vehicle -x; Z is vehicle y; Y = Z x X is vehicle z: (0,1,0) x (-1,0,0) = (0,0,1).
        assert!((jig.table.up - Vec3::Y).length() < 1e-12 && (jig.table.forward + Vec3::X).length() < 1e-12);
        let near = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9);
        assert!(near(jig.direction(Vec3::Z), [0.0, 1.0, 0.0]) && near(jig.direction(Vec3::X), [-1.0, 0.0, 0.0]));
        let ports: Vec<&JigRow> = jig.rows.iter().filter(|r| matches!(r.what, JigPoint::Port(_))).collect();
        assert!(near(ports[0].at, [0.0; 3]) && near(ports[1].at, [100.0, 0.0, 0.0]), "{ports:?}");
        // Down by 11 degrees in the vehicle is 79 degrees to the table, towards -Y.
        let [first, _] = ports[..] else { panic!() };
        assert!((first.rise.to_degrees() - 79.0).abs() < 1e-9 && (first.heading.to_degrees() + 90.0).abs() < 1e-9);
        assert!(first.tilt.abs() < 1e-9);
        // A place 400 mm out along that flow: 400 sin 79 high, 400 cos 79 towards -Y.
        let [x, y, z] = jig.over_table(job.ports[0].at + job.ports[0].axis * 400.0);
        assert!(x.abs() < 1e-9 && (y + 76.3236).abs() < 1e-4 && (z - 392.6509).abs() < 1e-4, "{x} {y} {z}");
    }

    #[test]
    fn table_axes_are_a_right_handed_triple() {
        let job = leaning(11.0);
        for name in ["hill-climb-four", "jet-boat-bank", "straight-six", "twin-entry-turbo"] {
            for (job, setup) in
                [(&example(name), Setup::FlangeDown), (&example(name), Setup::AsOnCar), (&job, Setup::FlangeDown)]
            {
                let jig = jig(job, &Routes::default(), setup).unwrap();
                // What is right-handed in the vehicle is so over the table: x, y, z go to columns of determinant 1.
                let [x, y, z] = [Vec3::X, Vec3::Y, Vec3::Z].map(|v| Vec3::from(jig.direction(v)));
                assert!((x.cross(y).dot(z) - 1.0).abs() < 1e-9, "{name} {setup:?}");
            }
        }
    }

    #[test]
    fn the_hill_climb_flange_lies_flat_by_its_studs() {
        // Studs at (0, 2, 38) from the port: the face looks along (0, 38, -2), 3.01 degrees below y, the flow 14.06.
        let job = example("hill-climb-four");
        let jig = jig(&job, &Routes::default(), Setup::FlangeDown).unwrap();
        let wanted = Vec3::new(0.0, 38.0, -2.0).normalize();
        assert!((jig.table.up - wanted).length() < 1e-9, "{}", jig.table.up);
        for port in &job.ports {
            assert!(jig.over_table(port.at)[2].abs() < 1e-9);
            assert!(port.bolts.iter().all(|b| jig.over_table(b.at)[2].abs() < 1e-9), "studs stand in the table");
        }
    }

    #[test]
    fn a_leaning_tube_does_not_lift_its_flange_off_the_table() {
        let mut job = leaning(11.0);
        job.ports.truncate(1);
        let port = &job.ports[0];
        let route = job::routes::Route {
            run: job::routes::RunId::Primary { cylinder: port.cylinder },
            collector: String::new(),
            inlet: 0,
            points: vec![port.at, port.at + port.axis * 300.0],
            radii: Vec::new(),
            locked: false,
        };
        let routes = Routes { runs: vec![route], collectors: Vec::new() };
        let jig = jig(&job, &routes, Setup::FlangeDown).unwrap();
        assert!(jig.over_table(port.at)[2].abs() < 1e-9);
    }
}
