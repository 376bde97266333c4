//! What is kept of a settled cycle besides its sums: pressures at the valves, the wave picture, means along the pipes.

use crate::cylinder::CYCLE;
use crate::engine::{Engine, Link, Running};
use crate::field::At;

/// Pressures of one cylinder over crank angle from its own firing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trace {
    /// rad from the cylinder's firing, in the order they were passed: it starts again at 0 once.
    pub angle: Vec<f64>,
    /// Pressure in the cylinder, Pa.
    pub cylinder: Vec<f64>,
    /// Pressure in the pipe at the exhaust valves, Pa.
    pub exhaust: Vec<f64>,
    /// Pressure in the pipe at the intake valves, Pa.
    pub intake: Vec<f64>,
}

/// Means over the cycle along a pipe, by cell.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Along {
    /// Length of a cell, m.
    pub dx: f64,
    /// Temperature of the gas, K.
    pub t: Vec<f64>,
    /// Speed of sound, m/s.
    pub c: Vec<f64>,
    /// Velocity along the pipe, m/s.
    pub u: Vec<f64>,
    /// Heat to the wall, W/m.
    pub heat: Vec<f64>,
}

/// What was kept of a cycle.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Record {
    /// One for each cylinder.
    pub traces: Vec<Trace>,
    /// Crank angles of the picture, rad from the start of the cycle.
    pub angle: Vec<f64>,
    /// Pressure at those angles: by pipe, then angle, then cell, Pa.
    pub picture: Vec<Vec<Vec<f64>>>,
    /// Volume that leaves by all ends that are open to the surroundings of number 0, at the same angles, m3/s.
    pub mouths: Vec<f64>,
    /// One for each pipe.
    pub along: Vec<Along>,
}

/// Fills a [`Record`] step by step.
pub(crate) struct Recorder {
    angles: usize,
    seconds: f64,
    record: Record,
}

impl Recorder {
    /// `angles` of a cycle are kept.
    pub(crate) fn new(engine: &Engine, running: &Running, angles: usize) -> Recorder {
        let along = running.network.field.spans().iter().map(|s| {
            let zero = || vec![0.0; s.cells];
            Along { dx: s.dx, t: zero(), c: zero(), u: zero(), heat: zero() }
        });
        let record = Record {
            traces: vec![Trace::default(); engine.firing.len()],
            picture: vec![Vec::new(); engine.pipes.len()],
            along: along.collect(),
            ..Record::default()
        };
        Recorder { angles, seconds: 0.0, record }
    }

    /// After a step of `dt` seconds that turned the crank from `from` by `turned`, rad.
    pub(crate) fn see(&mut self, engine: &Engine, running: &Running, from: f64, turned: f64, dt: f64) {
        self.seconds += dt;
        let field = &running.network.field;
        for (k, along) in self.record.along.iter_mut().enumerate() {
            for i in 0..along.t.len() {
                along.t[i] += dt * field.temperature(k, i);
                along.c[i] += dt * field.sound(k, i);
                along.u[i] += dt * field.cell(k, i).u;
                along.heat[i] += dt * field.wall_heat(k, i) / along.dx;
            }
        }
        let step = CYCLE / self.angles as f64;
        let passes = |from: f64| (from / step).floor() < ((from + turned) / step).floor();
        if passes(from) {
            self.picture(engine, running, from + turned);
        }
        for (c, trace) in self.record.traces.iter_mut().enumerate() {
            let own = (from - engine.firing[c]).rem_euclid(CYCLE);
            if passes(own) {
                let face = |(k, at): (usize, At)| field.end_state(k, at).p;
                trace.angle.push((own + turned).rem_euclid(CYCLE));
                trace.cylinder.push(running.network.vessels[c].p());
                trace.exhaust.push(face(running.ports[c][0]));
                trace.intake.push(face(running.ports[c][1]));
            }
        }
    }

    fn picture(&mut self, engine: &Engine, running: &Running, angle: f64) {
        let field = &running.network.field;
        self.record.angle.push(angle.min(CYCLE));
        let mut out = 0.0;
        for (k, pipe) in engine.pipes.iter().enumerate() {
            let cells = field.spans()[k].cells;
            self.record.picture[k].push((0..cells).map(|i| field.cell(k, i).p).collect());
            for (link, at) in pipe.ends.iter().zip([At::Start, At::Finish]) {
                if *link == Link::Open(0) {
                    out += running.network.flow(k, at)[0] / field.end_state(k, at).rho;
                }
            }
        }
        self.record.mouths.push(out);
    }

    pub(crate) fn finish(mut self) -> Record {
        for along in &mut self.record.along {
            for lane in [&mut along.t, &mut along.c, &mut along.u, &mut along.heat] {
                lane.iter_mut().for_each(|v| *v /= self.seconds);
            }
        }
        self.record
    }
}
