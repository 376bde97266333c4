//! Four families of jobs, each with variations by number: invented engines in invented bays.

use geom::Vec3;
use job::model::*;

fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(x, y, z)
}

fn blank(name: &str, od: f64, wall: f64, wish: LengthWish, clrs: &[f64], legs: f64) -> Job {
    let tube = Tube { od, wall, material: "304".into(), nominal: None };
    let spec = RunSpec { tube, length: wish };
    let even = RunSpec { tube: spec.tube.clone(), length: LengthWish { target: None, tolerance: f64::INFINITY, ..wish } };
    let bends = clrs
        .iter()
        .map(|&clr| BendStock {
            name: format!("bend {clr} x 180"),
            od,
            wall,
            clr,
            angle: std::f64::consts::PI,
            legs: [legs; 2],
            price: Money(24_000),
            count: None,
        })
        .collect();
    let straights = vec![StraightStock { name: "stick".into(), od, wall, length: 1000.0, price: Money(18_000), count: None }];
    Job {
        name: name.into(),
        units: Units::Mm,
        engine: None,
        primary: spec,
        secondary: even.clone(),
        tail: even,
        clearance: Clearance { tubes: 5.0, keepouts: 10.0 },
        ports: vec![],
        collectors: vec![],
        keepouts: vec![],
        plugs: vec![],
        goes_on: None,
        tails: vec![],
        stock: Stock { bends, straights, remnants: vec![] },
        saw: Saw { kerf: 1.6, kerf_at: KerfAt::Inside, min_straight: 12.0, min_arc: 5f64.to_radians() },
        cost: Cost { joint: Money(14_000), cut: Money(2_500), cut_per: CutPer::Piece },
    }
}

fn port(cylinder: u32, at: Vec3, axis: Vec3, stub: f64) -> Port {
    Port { cylinder, at, axis: axis.normalize(), stub, length_in_head: 0.0, bolts: vec![] }
}

fn collector(name: &str, at: Vec3, axis: Vec3, inlets: usize, pattern: Pattern) -> Collector {
    Collector {
        name: name.into(),
        at,
        axis: axis.normalize(),
        up: v(0.0, 0.0, 1.0),
        inlets,
        groups: Groups::None,
        pattern,
        gap: 2.0,
        stub: 40.0,
        cylinders: vec![],
        inlet_of: vec![],
        rotation: Rotation::Any,
        feeds: None,
        may_move: MayMove::default(),
    }
}

fn keep(name: &str, shape: Shape, clearance: f64) -> Keepout {
    Keepout { name: name.into(), shape, clearance, holds_ports: false }
}

fn block(center: Vec3, size: Vec3) -> Shape {
    Shape::Box { center, size, axes: [Vec3::X, Vec3::Y, Vec3::Z] }
}

fn head(mut keepout: Keepout) -> Keepout {
    keepout.holds_ports = true;
    keepout.clearance = 2.0;
    keepout
}

/// An inline four into one collector behind it, with a steering shaft and a frame rail.
pub fn inline_four(variant: u32) -> Job {
    let wish = LengthWish { target: Some(800.0), tolerance: 1.0, objective: Objective::Even };
    let mut job = blank("inline four", 44.45, 1.65, wish, &[66.675, 76.2], 100.0);
    let w = f64::from(variant);
    for i in 0..4 {
        job.ports.push(port(i + 1, v(-92.0 * f64::from(i), 0.0, 0.0), v(0.0, 1.0, -0.25), 25.0));
    }
    let at = v(-480.0 - 25.0 * w, 210.0 + 15.0 * w, -350.0 + 10.0 * w);
    job.collectors.push(collector("main", at, v(-1.0, 0.0, -0.1 * w), 4, Pattern::Square));
    job.keepouts.push(head(keep("head", block(v(-138.0, -105.0, 0.0), v(420.0, 200.0, 140.0)), 2.0)));
    job.keepouts.push(keep("block", block(v(-138.0, -140.0, -260.0), v(420.0, 230.0, 360.0)), 10.0));
    let shaft = Shape::Cylinder { from: v(-560.0, 200.0, -60.0), to: v(350.0, 260.0, 20.0), radius: 11.0 };
    job.keepouts.push(keep("steering shaft", shaft, 20.0));
    job.keepouts.push(keep("frame rail", block(v(-200.0, 390.0, -320.0), v(1400.0, 60.0, 100.0)), 10.0));
    job
}

/// One bank of a V8 with a collector below and behind.
pub fn v8_bank(variant: u32) -> Job {
    let wish = LengthWish { target: Some(850.0), tolerance: 1.0, objective: Objective::Even };
    let mut job = blank("v8 bank", 47.6, 1.65, wish, &[63.5, 76.2], 100.0);
    let w = f64::from(variant);
    for i in 0..4 {
        job.ports.push(port(2 * i + 1, v(-112.0 * f64::from(i), 0.0, 0.0), v(0.0, 0.9, -0.45), 25.0));
    }
    let at = v(-560.0 - 20.0 * w, 130.0 + 10.0 * w, -420.0);
    job.collectors.push(collector("bank", at, v(-1.0, 0.0, -0.2), 4, Pattern::Square));
    job.keepouts.push(head(keep("head", block(v(-168.0, -110.0, 30.0), v(520.0, 200.0, 160.0)), 2.0)));
    job.keepouts.push(keep("block", block(v(-168.0, -180.0, -280.0), v(520.0, 260.0, 420.0)), 10.0));
    job.keepouts.push(keep("rail", block(v(-200.0, 330.0, -300.0), v(1600.0, 70.0, 120.0)), 10.0));
    let shaft = Shape::Capsule { from: v(-420.0, 190.0, -120.0), to: v(250.0, 240.0, -160.0), radius: 10.0 };
    job.keepouts.push(keep("shaft", shaft, 15.0));
    job.keepouts.push(keep("starter", Shape::Cylinder { from: v(-380.0, -20.0, -360.0), to: v(-560.0, -20.0, -360.0), radius: 45.0 }, 15.0));
    job
}

/// An inline six into two three-into-one collectors.
pub fn inline_six(variant: u32) -> Job {
    let wish = LengthWish { target: Some(830.0), tolerance: 1.0, objective: Objective::Even };
    let mut job = blank("inline six", 41.3, 1.65, wish, &[57.15, 76.2], 100.0);
    let w = f64::from(variant);
    for i in 0..6 {
        job.ports.push(port(i + 1, v(-98.0 * f64::from(i), 0.0, 0.0), v(0.0, 1.0, -0.2), 25.0));
    }
    for (k, (name, cylinders)) in [("front", [1, 2, 3]), ("rear", [4, 5, 6])].into_iter().enumerate() {
        let at = v(-640.0 - 20.0 * w, 130.0 + 125.0 * k as f64, -360.0 + 8.0 * w);
        let mut c = collector(name, at, v(-1.0, 0.0, 0.0), 3, Pattern::Triangle);
        c.cylinders = cylinders.to_vec();
        job.collectors.push(c);
    }
    job.keepouts.push(head(keep("head", block(v(-245.0, -105.0, 0.0), v(640.0, 200.0, 140.0)), 2.0)));
    job.keepouts.push(keep("block", block(v(-245.0, -140.0, -270.0), v(640.0, 230.0, 380.0)), 10.0));
    job.keepouts.push(keep("rail", block(v(-300.0, 420.0, -340.0), v(1800.0, 70.0, 120.0)), 10.0));
    job
}

/// A short manifold of an inline four to a turbo above.
pub fn turbo(variant: u32) -> Job {
    let wish = LengthWish { target: None, tolerance: 60.0, objective: Objective::Even };
    let mut job = blank("turbo", 42.2, 2.77, wish, &[47.625], 0.0);
    let w = f64::from(variant);
    for i in 0..4 {
        job.ports.push(port(i + 1, v(-92.0 * f64::from(i), 0.0, 0.0), v(0.0, 1.0, 0.0), 20.0));
    }
    let at = v(-150.0 - 10.0 * w, 170.0 + 10.0 * w, 150.0);
    let mut c = collector("flange", at, v(0.0, 0.0, 1.0), 4, Pattern::Square);
    c.up = v(1.0, 0.0, 0.0);
    c.stub = 20.0;
    job.collectors.push(c);
    job.keepouts.push(head(keep("head", block(v(-138.0, -105.0, 0.0), v(420.0, 200.0, 140.0)), 2.0)));
    job
}
