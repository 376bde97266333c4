//! What a job's survey needs on paper: marker plates, the bar, the reading sheet, and a first survey.toml.

use std::fmt::Write as _;

use geom::{Solid, Vec3};
use job::model::{Job, Port, Units};
use papers::survey::{DOT, Marker, NetPoint, Plate, Seat, Station, SurveySheets, survey_sheets};
use papers::{Frame, Paper, Pdf, PdfError, write_pdf};
use serde::Serialize;
use survey::photo::decode::marker_cells;
use utoipa::ToSchema;

use crate::fonts::fonts_of;
use crate::papers_job::usual_paper;

/// Side of the black square, mm, and the least that a phone reads well across an engine bay.
const SIDE: f64 = 40.0;
const LEAST_SIDE: f64 = 24.0;
/// Play of a stud in its hole, mm.
const PLAY: f64 = 0.4;
/// Between a marker's ink and a hole, mm.
const CLEAR: f64 = 1.5;
/// Diameter of a stud where the job names no thread, mm.
const STUD: f64 = 8.0;
/// How far datums are drawn off the row of ports, mm.
const OFF: f64 = 300.0;
/// Obstacles of a job that are put on the sheet: a person surveys what is near.
const MOST_OBSTACLES: usize = 40;

/// What to measure to.
const WHAT: [(&str, &str); 5] = [
    ("port", "centre of the port at the flange face"),
    ("rod", "far end of a straight rod that fills the port, 250 mm or longer"),
    ("collector", "centre of the collector's inlet plane, held where it is to be"),
    ("collector rod", "far end of a rod along the collector's axis, 250 mm or longer"),
    ("datum", "a bolt head or punch mark that cannot move"),
];

/// The survey of a job on paper.
#[derive(Debug, Clone, PartialEq)]
pub struct SurveyPaper {
    /// Reading sheets, plates and bar.
    pub pdf: Pdf,
    /// A survey.toml to start from: names, axes, markers, what is what; no reading yet.
    pub start: String,
}

/// A marker plate of the survey sheets.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PrintedPlate {
    /// Number of its marker.
    pub tag: u32,
    /// The point that it is for.
    pub name: String,
    /// Side of its black square as drawn, mm.
    pub side_mm: f64,
}

/// Makes both; `paper` by the job's unit where it is not given.
///
/// # Errors
/// [`PdfError`]: a bug in Tubewright.
pub fn survey_paper(job: &Job, paper: Option<Paper>) -> Result<SurveyPaper, PdfError> {
    let paper = paper.unwrap_or_else(|| usual_paper(job.units));
    let net = Net::of(job);
    let plates = plates(job);
    let next = plates.len() as u32;
    let figures = SurveySheets {
        bar: [next, next + 1].map(|tag| marker(tag, SIDE)),
        stations: net.stations(),
        straight_edge: net.straight_edge(),
        care: CARE.map(String::from).to_vec(),
        points: net.points.clone(),
        units: job.units,
        paper,
        plates: plates.clone(),
    };
    let sheets = survey_sheets(&figures);
    let frame =
        Frame { job: job.name.clone(), paper, left: "survey".into(), middle: String::new(), flag: String::new() };
    let fonts = fonts_of(&sheets, &frame.job);
    Ok(SurveyPaper { pdf: write_pdf(&sheets, &frame, &fonts)?, start: start(job, &net, &plates) })
}

/// What to keep in mind.
const CARE: [&str; 4] = [
    "Engine cold, battery off, key out, vehicle on stands on level ground.",
    "Keep clear of the fan and off the fuel rail; no magnets near the crank sensor.",
    "Measure again once the engine hangs in its mounts.",
    "Follow the vehicle's manual and your local rules.",
];

fn marker(tag: u32, side: f64) -> Marker {
    Marker { tag, cells: marker_cells(tag), side }
}

/// The ends of an obstacle that has any, else its middle: name and place.
fn ends(name: &str, shape: &Solid) -> Vec<(String, Vec3)> {
    match shape {
        Solid::Cylinder { from, to, .. } | Solid::Capsule { from, to, .. } | Solid::Cone { from, to, .. } => {
            vec![(format!("{name} from"), *from), (format!("{name} to"), *to)]
        }
        Solid::Sphere { center, .. } => vec![(name.to_string(), *center)],
        Solid::Box { .. } | Solid::Mesh(_) => Vec::new(),
    }
}

/// Ends of the obstacles that are measured by points.
fn obstacles(job: &Job) -> Vec<(String, Vec3)> {
    job.keepouts.iter().flat_map(|k| ends(&k.name, &k.shape)).take(MOST_OBSTACLES).collect()
}

/// The plates of a job as they are printed; the bar has the next two numbers.
pub fn printed_plates(job: &Job) -> Vec<PrintedPlate> {
    let one = |p: Plate| PrintedPlate { tag: p.marker.tag, name: p.name, side_mm: p.marker.side };
    plates(job).into_iter().map(one).collect()
}

fn plates(job: &Job) -> Vec<Plate> {
    let mut plates: Vec<Plate> = Vec::new();
    let mut add = |name: String, side: f64, seat: Seat| {
        plates.push(Plate { marker: marker(plates.len() as u32, side), name, seat });
    };
    for port in &job.ports {
        let (side, holes) = studs(port);
        add(format!("port {}", port.cylinder), side, Seat::Studs(holes));
    }
    for collector in &job.collectors {
        add(format!("collector {}", collector.name), SIDE, Seat::Plug(job.primary.tube.od));
    }
    for (name, _) in obstacles(job) {
        add(name, SIDE, Seat::Flag);
    }
    plates
}

/// The largest marker that clears the studs of a port, and their holes seen from outside; none where no marker would.
fn studs(port: &Port) -> (f64, Vec<([f64; 2], f64)>) {
    let out = port.face.unwrap_or(port.axis);
    let up = (Vec3::Z - out * out.z).try_normalize().unwrap_or(Vec3::X);
    // Looking at the face: forward is against it, right is forward x up.
    let right = up.cross(out);
    let hole = STUD + PLAY;
    let holes: Vec<([f64; 2], f64)> =
        port.bolts.iter().map(|b| b.at - port.at).map(|d| ([d.dot(right), -d.dot(up)], hole)).collect();
    let free = holes.iter().map(|(at, hole)| at[0].abs().max(at[1].abs()) - 0.5 * hole - CLEAR);
    let side = free.fold(SIDE * (DOT.0 + DOT.1), f64::min) / (DOT.0 + DOT.1);
    if side < LEAST_SIDE { (SIDE, Vec::new()) } else { ((10.0 * side).floor() / 10.0, holes) }
}

/// The points to measure between.
struct Net {
    points: Vec<NetPoint>,
    ports: Vec<usize>,
    datums: Vec<usize>,
    /// Foot and end of each rod.
    rods: Vec<[usize; 2]>,
    others: Vec<usize>,
}

impl Net {
    fn of(job: &Job) -> Net {
        let mut net =
            Net { points: Vec::new(), ports: Vec::new(), datums: Vec::new(), rods: Vec::new(), others: Vec::new() };
        for port in &job.ports {
            let foot = net.add(format!("port {}", port.cylinder), WHAT[0].1, port.at, false);
            net.ports.push(foot);
        }
        let middle = job.ports.iter().map(|p| p.at).sum::<Vec3>() * (1.0 / job.ports.len().max(1) as f64);
        let out = job.ports.first().map_or(Vec3::Y, |p| p.axis);
        for (k, (along, aside)) in [(0.8, 0.3), (-0.8, 0.3), (0.0, 1.2)].into_iter().enumerate() {
            let at = middle + Vec3::X * (along * OFF) + out * (aside * OFF);
            let datum = net.add(format!("datum {}", k + 1), WHAT[4].1, at, true);
            net.datums.push(datum);
        }
        let ends: Vec<usize> = net.ends();
        for k in ends {
            let (cylinder, at) = (job.ports[k].cylinder, job.ports[k].at + job.ports[k].axis * 250.0);
            let end = net.add(format!("rod {cylinder}"), WHAT[1].1, at, false);
            net.rods.push([k, end]);
        }
        for collector in &job.collectors {
            let foot = net.add(format!("collector {}", collector.name), WHAT[2].1, collector.at, false);
            let end =
                net.add(format!("{} rod", collector.name), WHAT[3].1, collector.at + collector.axis * 250.0, false);
            net.others.push(foot);
            net.rods.push([foot, end]);
        }
        for (name, at) in obstacles(job) {
            let what = format!("the axis of {}", name.trim_end_matches(" from").trim_end_matches(" to"));
            let point = net.add(name, &what, at, false);
            net.others.push(point);
        }
        net
    }

    fn add(&mut self, name: String, what: &str, at: Vec3, free: bool) -> usize {
        self.points.push(NetPoint { name, what: what.to_string(), about: [at.x, at.y], free });
        self.points.len() - 1
    }

    /// The first and the last port.
    fn ends(&self) -> Vec<usize> {
        let mut ends: Vec<usize> = self.ports.first().into_iter().chain(self.ports.last()).copied().collect();
        ends.dedup();
        ends
    }

    /// Readings by station, from the front of the vehicle to its rear: every point gets five or more.
    fn stations(&self) -> Vec<Station> {
        let tape = |to: &usize| ("tape".to_string(), *to);
        let ends = self.ends();
        let mut stations: Vec<Station> = Vec::new();
        for pair in self.ports.windows(2) {
            stations.push(Station { point: pair[0], readings: vec![("calipers".into(), pair[1])] });
        }
        if let [_, _, .., last] = self.ports[..] {
            stations[0].readings.push(("rule".into(), last));
        }
        for (k, datum) in self.datums.iter().enumerate() {
            let to = self.ports.iter().chain(&self.datums[k + 1..]).map(tape).collect();
            stations.push(Station { point: *datum, readings: to });
        }
        for [foot, end] in &self.rods {
            let others = self.datums.iter().chain(ends.iter().filter(|e| *e != foot)).map(tape);
            let rod = ("rod".to_string(), *foot);
            stations.push(Station { point: *end, readings: std::iter::once(rod).chain(others).collect() });
        }
        for point in &self.others {
            stations.push(Station { point: *point, readings: self.datums.iter().chain(&ends).map(tape).collect() });
        }
        let front = |s: &Station| -self.points[s.point].about[0];
        stations.sort_by(|a, b| front(a).total_cmp(&front(b)));
        stations
    }

    /// A straight-edge holds ports in a row, which distances along it cannot.
    fn straight_edge(&self) -> Vec<String> {
        let [first, between @ .., last] = &self.ports[..] else { return Vec::new() };
        if between.is_empty() {
            return Vec::new();
        }
        let name = |p: &usize| self.points[*p].name.clone();
        let touched: Vec<String> = between.iter().map(name).collect();
        vec![format!(
            "Lay it over the flange faces of {} and {} and a third place of the face (a stud boss): does it touch {}? \
             Is their middle on the line of the two? Then note both as `flush` and `row`.",
            name(first),
            name(last),
            touched.join(", ")
        )]
    }
}

/// A survey.toml without readings.
fn start(job: &Job, net: &Net, plates: &[Plate]) -> String {
    let units = if job.units == Units::Inch { "in" } else { "mm" };
    let name = |p: Option<&usize>| p.map_or("", |p| net.points[*p].name.as_str());
    let in_unit = |mm: f64| (mm / job.units.in_mm() * 1e4).round() / 1e4;
    let mut text = format!(
        "# Readings of the survey; docs/survey.md describes every key.\nformat = 1\nunits = {units:?}\n\n[frame]\norigin = {:?}\nforward = [{:?}, {:?}]\n\
         down = \"datum 3\"\nleft = \"datum 1\"               # or right: the side on which that point lies\n\n\
         [measured]\ncalipers = []\nrule = []\ntape = []                      # [\"datum 1\", \"port 1\", 512.5],\nrod = []\n",
        name(net.ports.first()),
        name(net.ports.last()),
        name(net.ports.first()),
    );
    let _ = write!(
        text,
        "\n# With photos, take the # away and give the bar as measured:\n# [photos]\n# files = \"*.jpg\"\n# side = {}\n\
         # bar = {{ between = [{}, {}], measured = {} }}\n",
        in_unit(SIDE),
        plates.len(),
        plates.len() + 1,
        in_unit(papers::survey::BAR),
    );
    for plate in plates {
        let side = plate.marker.side;
        let side = if side == SIDE { String::new() } else { format!("# side = {}\n", in_unit(side)) };
        let _ = write!(text, "# [[marker]]\n# tag = {}\n# name = {:?}\n{side}", plate.marker.tag, plate.name);
    }
    text.push('\n');
    for port in &job.ports {
        let name = format!("port {}", port.cylinder);
        let _ = write!(text, "[[is]]\nport = {}\nat = {name:?}\n\n", port.cylinder);
    }
    for collector in &job.collectors {
        let foot = format!("collector {}", collector.name);
        let end = format!("{} rod", collector.name);
        let _ = write!(text, "[[is]]\ncollector = {:?}\nat = {foot:?}\naxis = [{foot:?}, {end:?}]\n\n", collector.name);
    }
    text
}
