//! Invented engine bays and what a person would read in them: noise of the tools, rounding, slips.

use glam::DVec3;
use survey::tape::frame::{Frame, Upright};
use survey::tape::network::{Network, Reading, ReadingKind};
use survey::tape::rounding;
use survey::tape::search::SearchSettings;
use survey::tape::survey::Input;

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct Plan {
    /// Distances of each point that is not a datum or a port: four or five.
    pub each: usize,
    /// With heights and inclines.
    pub levels: bool,
    /// Read in fractions of an inch.
    pub inches: bool,
    /// Number of slips.
    pub slips: usize,
}

/// A survey with its truth.
pub struct Bay {
    pub input: Input,
    /// Places in the job's axes.
    pub truth: Vec<DVec3>,
    /// Slips: reading and size, mm.
    pub slips: Vec<(usize, f64)>,
}

const PORTS: [usize; 4] = [0, 1, 2, 3];
const BOLTS: [usize; 2] = [4, 5];
const DATUMS: [usize; 3] = [6, 7, 8];
const COLLECTOR: usize = 9;
const RODS: [(usize, usize); 3] = [(10, COLLECTOR), (11, 0), (12, 3)];
const OBSTACLES: [usize; 6] = [13, 14, 15, 16, 17, 18];

pub struct Draw(oorandom::Rand64);

impl Draw {
    pub fn new(seed: u64) -> Draw {
        Draw(oorandom::Rand64::new(u128::from(seed) * 7919 + 13))
    }

    fn even(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.0.rand_float()
    }

    /// Normal with standard deviation 1 (Box and Muller).
    fn normal(&mut self) -> f64 {
        (-2.0 * (1.0 - self.0.rand_float()).ln()).sqrt() * (std::f64::consts::TAU * self.0.rand_float()).cos()
    }

    fn one_of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.0.rand_range(0..list.len() as u64) as usize]
    }

    fn around(&mut self, x: f64, y: f64, z: f64, by: f64) -> DVec3 {
        DVec3::new(x + self.even(-by, by), y + self.even(-by, by), z + self.even(-by, by))
    }
}

fn points(draw: &mut Draw) -> Vec<DVec3> {
    let pitch = draw.even(86.0, 108.0);
    let mut x: Vec<DVec3> = (0..4).map(|i| DVec3::new(-pitch * f64::from(i), 0.0, 0.0)).collect();
    let end = x[3].x;
    let studs = draw.even(-6.0, 6.0);
    x.push(DVec3::new(draw.even(10.0, 40.0), studs, draw.even(55.0, 85.0)));
    x.push(DVec3::new(end - draw.even(10.0, 40.0), studs, draw.even(55.0, 85.0)));
    // The straight-edge lies over both studs: they are in one plane with the ports.
    let slope = studs / x[4].z;
    x[5].y = slope * x[5].z;
    x.push(draw.around(120.0, -10.0, -270.0, 40.0));
    x.push(draw.around(end - 120.0, -30.0, -250.0, 40.0));
    x.push(draw.around(0.4 * end, 390.0, -300.0, 40.0));
    x.push(draw.around(end - 280.0, 200.0, -270.0, 70.0));
    let away = draw.around(-1.0, 0.1, -0.1, 0.2).normalize();
    x.push(x[COLLECTOR] + away * 250.0);
    for port in [0, 3] {
        let out = draw.around(0.0, 1.0, -0.05, 0.04).normalize();
        x.push(x[port] + out * 250.0);
    }
    for (a, b, c) in [
        (-250.0, 400.0, 30.0),
        (-440.0, 260.0, 80.0),
        (20.0, 200.0, -150.0),
        (-210.0, 380.0, -20.0),
        (-310.0, 240.0, -320.0),
        (-230.0, 160.0, -330.0),
    ] {
        x.push(draw.around(a, b, c, 60.0));
    }
    x
}

struct Maker<'d> {
    x: Vec<DVec3>,
    /// Turned into axes with z against gravity.
    level: Vec<DVec3>,
    draw: &'d mut Draw,
    inches: bool,
    readings: Vec<Reading>,
}

impl Maker<'_> {
    fn length(&mut self, a: usize, b: usize, sd: f64, metric: f64, inch: f64) {
        let step = if self.inches { 25.4 / inch } else { metric };
        let value = self.x[a].distance(self.x[b]) + sd * self.draw.normal();
        self.push(ReadingKind::Distance([a, b]), (value / step).round() * step, sd);
    }

    fn push(&mut self, kind: ReadingKind, value: f64, sd: f64) {
        self.readings.push(Reading { kind, value, sd });
    }

    fn tape(&mut self, a: usize, b: usize) {
        self.length(a, b, 1.0, 0.5, 16.0);
    }

    fn level_reading(&mut self, a: usize, b: usize, incline: bool) {
        let exact = |kind: ReadingKind, x: &[DVec3]| Reading { kind, value: 0.0, sd: 1.0 }.computed(x);
        if incline {
            let sd = 0.3f64.to_radians();
            let value = (exact(ReadingKind::Incline([a, b]), &self.level) + sd * self.draw.normal()).to_degrees();
            self.push(ReadingKind::Incline([a, b]), ((value * 10.0).round() / 10.0).to_radians(), sd);
        } else {
            let step = if self.inches { 25.4 / 16.0 } else { 0.5 };
            let value = exact(ReadingKind::Height([a, b]), &self.level) + self.draw.normal();
            self.push(ReadingKind::Height([a, b]), (value / step).round() * step, 1.0);
        }
    }
}

/// Draws a survey.
pub fn bay(seed: u64, plan: Plan) -> Bay {
    let draw = &mut Draw::new(seed);
    let x = points(draw);
    let tilt =
        glam::DQuat::from_rotation_x(draw.even(-0.03, 0.03)) * glam::DQuat::from_rotation_y(draw.even(-0.03, 0.03));
    let level = x.iter().map(|p| tilt * *p).collect();
    let mut maker = Maker { x: x.clone(), level, draw, inches: plan.inches, readings: Vec::new() };
    read_all(&mut maker, &plan);
    let mut readings = maker.readings;
    let slips = add_slips(&mut readings, draw, plan.slips);
    if plan.inches {
        round_to_fractions(&mut readings);
    }
    let frame = Frame { origin: 0, forward: [3, 0], upright: Upright::Down(6) };
    let truth = frame.map(&x).expect("the axes stand");
    let input = Input {
        network: Network::new(x.len(), readings),
        frame,
        side: Some((8, true)),
        tape_sd: 1.0,
        search: SearchSettings::default(),
        shape: None,
    };
    Bay { input, truth, slips }
}

/// Every reading of the plan: lengths, flush faces, rows and levels.
fn read_all(maker: &mut Maker<'_>, plan: &Plan) {
    for i in 0..3 {
        maker.length(i, i + 1, 0.15, 0.01, 64.0);
    }
    let rule = [(0, 3), (4, 0), (4, 3), (5, 0), (5, 3), (4, 5), (4, 1), (5, 2), (4, 2), (5, 1)];
    for (a, b) in rule {
        maker.length(a, b, 0.5, 0.5, 32.0);
    }
    for d in DATUMS {
        for p in [0, 3, 4, 5] {
            maker.tape(d, p);
        }
    }
    for (a, b) in [(6, 7), (6, 8), (7, 8)] {
        maker.tape(a, b);
    }
    for p in [COLLECTOR, 10].into_iter().chain(OBSTACLES) {
        let to: &[usize] = if plan.each >= 5 { &[6, 7, 8, 0, 3] } else { &[6, 7, 8, 0] };
        for q in to {
            maker.tape(p, *q);
        }
    }
    for p in [11, 12] {
        for d in DATUMS {
            maker.tape(p, d);
        }
    }
    for (a, b) in [(11, 3), (12, 0), (11, 12)] {
        maker.tape(a, b);
    }
    for (rod, foot) in RODS {
        maker.length(rod, foot, 0.3, 0.01, 32.0);
    }
    for p in [1, 2, 5] {
        let value = 0.0;
        maker.push(ReadingKind::Flush([0, 3, 4, p]), value, 0.2);
    }
    for p in [1, 2] {
        maker.push(ReadingKind::Row([0, 3, 4, p]), 0.0, 0.5);
    }
    if plan.levels {
        for (a, b) in
            [(0, 3), (0, 6), (0, 7), (0, 8), (0, COLLECTOR), (0, 13), (0, 14), (0, 15), (0, 16), (0, 17), (0, 18)]
        {
            maker.level_reading(a, b, false);
        }
        for (foot, rod) in [(0, 11), (3, 12), (COLLECTOR, 10)] {
            maker.level_reading(foot, rod, true);
        }
    }
}

/// Adds the rounding of each tool to the standard deviations of its readings.
fn round_to_fractions(readings: &mut [Reading]) {
    let tools: [&dyn Fn(&Reading) -> bool; 5] = [
        &|r| matches!(r.kind, ReadingKind::Distance(_)) && r.sd == 1.0,
        &|r| matches!(r.kind, ReadingKind::Distance(_)) && r.sd == 0.5,
        &|r| matches!(r.kind, ReadingKind::Distance(_)) && r.sd == 0.15,
        &|r| matches!(r.kind, ReadingKind::Distance(_)) && r.sd == 0.3,
        &|r| matches!(r.kind, ReadingKind::Height(_)),
    ];
    let known = [16.0, 32.0, 64.0, 32.0, 16.0];
    let of: Vec<Option<usize>> = readings.iter().map(|r| tools.iter().position(|t| t(r))).collect();
    for (reading, tool) in readings.iter_mut().zip(of) {
        if let Some(tool) = tool {
            reading.sd = rounding::with_rounding(reading.sd, 25.4 / known[tool]);
        }
    }
}

fn add_slips(readings: &mut [Reading], draw: &mut Draw, count: usize) -> Vec<(usize, f64)> {
    let may: Vec<usize> = (0..readings.len())
        .filter(|i| {
            matches!(readings[*i].kind, ReadingKind::Distance(_) | ReadingKind::Height(_)) && readings[*i].sd != 0.3
        })
        .collect();
    let mut slips: Vec<(usize, f64)> = Vec::new();
    while slips.len() < count {
        let i = draw.one_of(&may);
        let size = draw.one_of(&[5.0, 10.0, 20.0, 25.4, 50.0, 100.0]) * draw.one_of(&[-1.0, 1.0]);
        let fits = matches!(readings[i].kind, ReadingKind::Height(_)) || readings[i].value + size > 20.0;
        if fits && slips.iter().all(|s| s.0 != i) {
            readings[i].value += size;
            slips.push((i, size));
        }
    }
    let _ = PORTS.len() + BOLTS.len();
    slips
}
