//! Four families of jobs, each with variations by number: invented engines in invented bays.

use geom::Vec3;
use job::body::{Body, Bundle, Making, USUAL_LEAN, usual_outlet};
use job::model::*;

fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(x, y, z)
}

fn blank(name: &str, od: f64, wall: f64, wanted: LengthTarget, clrs: &[f64], legs: f64) -> Job {
    let tube = Tube { od, wall, material: "304".into(), nominal: None };
    let spec = RunSpec { tube, length: wanted };
    let even =
        RunSpec { tube: spec.tube.clone(), length: LengthTarget { target: None, tolerance: f64::INFINITY, ..wanted } };
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
    let straights =
        vec![StraightStock { name: "stick".into(), od, wall, length: 1000.0, price: Money(18_000), count: None }];
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
        parts: job::parts::Parts::default(),
        highest_share: None,
        heat: job::heat::Heat::default(),
        stock: Stock { bends, straights, remnants: vec![] },
        saw: Saw { kerf: 1.6, kerf_at: KerfAt::Inside, min_straight: 12.0, min_arc: 5f64.to_radians(), reserve: None },
        cost: Cost { joint: Money(14_000), cut: Money(2_500), cut_per: CutPer::Piece },
    }
}

fn port(cylinder: u32, at: Vec3, axis: Vec3, stub: f64) -> Port {
    Port {
        cylinder,
        at,
        axis: axis.normalize(),
        stub,
        length_in_head: 0.0,
        face: None,
        seat: 0.0,
        transition: false,
        bolts: vec![],
    }
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
        body: None,
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
    let wanted = LengthTarget { target: Some(800.0), tolerance: 1.0, objective: Objective::Even };
    let mut job = blank("inline four", 44.45, 1.65, wanted, &[66.675, 76.2], 100.0);
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
    let wanted = LengthTarget { target: Some(850.0), tolerance: 1.0, objective: Objective::Even };
    let mut job = blank("v8 bank", 47.6, 1.65, wanted, &[63.5, 76.2], 100.0);
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
    job.keepouts.push(keep(
        "starter",
        Shape::Cylinder { from: v(-380.0, -20.0, -360.0), to: v(-560.0, -20.0, -360.0), radius: 45.0 },
        15.0,
    ));
    job
}

/// An inline six into two three-into-one collectors.
pub fn inline_six(variant: u32) -> Job {
    let wanted = LengthTarget { target: Some(830.0), tolerance: 1.0, objective: Objective::Even };
    let mut job = blank("inline six", 41.3, 1.65, wanted, &[57.15, 76.2], 100.0);
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
    let wanted = LengthTarget { target: None, tolerance: 60.0, objective: Objective::Even };
    let mut job = blank("turbo", 42.2, 2.77, wanted, &[47.625], 0.0);
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

/// An inline four into two pairs, the pairs into one, with a tail through two waypoints.
pub fn four_two_one(variant: u32) -> Job {
    let mut job = inline_four(variant);
    job.name = "four-two-one".into();
    job.primary.length = LengthTarget { target: Some(580.0), tolerance: 2.0, objective: Objective::Even };
    job.secondary.tube.od = 50.8;
    job.secondary.length = LengthTarget { target: Some(560.0), tolerance: 5.0, objective: Objective::Even };
    job.tail.tube.od = 63.5;
    for (od, clr) in [(50.8, 76.2), (63.5, 95.25)] {
        let mut bend = job.stock.bends[0].clone();
        (bend.od, bend.clr) = (od, clr);
        job.stock.bends.push(bend);
        let mut stick = job.stock.straights[0].clone();
        stick.od = od;
        job.stock.straights.push(stick);
    }
    job.engine = Some(engine(4, &[1, 3, 4, 2]));
    job.collectors.clear();
    for (k, (name, cylinders)) in [("outer", [1, 4]), ("inner", [2, 3])].into_iter().enumerate() {
        let at = v(-330.0 - 40.0 * k as f64, 100.0 + 110.0 * k as f64, -270.0);
        let mut c = collector(name, at, v(-1.0, 0.0, -0.3), 2, Pattern::Line);
        c.cylinders = cylinders.to_vec();
        c.feeds = Some("final".into());
        job.collectors.push(c);
    }
    let mut last = collector("final", v(-800.0, 150.0, -400.0), v(-1.0, 0.0, 0.0), 2, Pattern::Line);
    last.gap = 2.0;
    job.collectors.push(last);
    job.tails.push(Tail {
        from: "final".into(),
        via: vec![v(-1100.0, 170.0, -420.0), v(-1500.0, 320.0, -420.0)],
        to: v(-2100.0, 330.0, -400.0),
        axis: v(-1.0, 0.0, 0.0),
    });
    job
}

/// The turbo manifold with a divided entry and a firing order.
pub fn twin_turbo_entry(variant: u32) -> Job {
    let mut job = turbo(variant);
    job.name = "twin entry".into();
    job.engine = Some(engine(4, &[1, 3, 4, 2]));
    job.collectors[0].groups = Groups::Twin;
    job
}

/// The inline four with inlets in firing order and a collector that may be moved.
pub fn movable(variant: u32) -> Job {
    let mut job = inline_four(variant);
    job.name = "movable collector".into();
    job.engine = Some(engine(4, &[1, 3, 4, 2]));
    job.collectors[0].rotation = Rotation::Firing;
    job.collectors[0].may_move = MayMove { along: 40.0, aside: 25.0, roll: std::f64::consts::PI };
    job
}

/// Both banks of a V8, each into its own collector.
pub fn v8_both(variant: u32) -> Job {
    let mut job = v8_bank(variant);
    job.name = "both banks".into();
    let mirror = |p: Vec3| v(p.x - 20.0, -p.y - 420.0, p.z);
    let mut other = v8_bank(variant);
    for port in &mut other.ports {
        port.cylinder += 1;
        port.at = mirror(port.at);
        port.axis.y = -port.axis.y;
    }
    other.collectors[0].name = "other bank".into();
    other.collectors[0].at = mirror(other.collectors[0].at);
    job.collectors[0].cylinders = vec![1, 3, 5, 7];
    other.collectors[0].cylinders = vec![2, 4, 6, 8];
    job.ports.extend(other.ports);
    job.collectors.extend(other.collectors);
    job.keepouts.retain(|k| k.name != "starter");
    let far = keep("far head", block(v(-188.0, -310.0, 30.0), v(520.0, 200.0, 160.0)), 2.0);
    job.keepouts.push(head(far));
    job
}

fn engine(cylinders: u32, order: &[u32]) -> Engine {
    Engine {
        layout: Layout::Inline,
        cylinders,
        bore: Some(86.0),
        stroke: Some(86.0),
        rod_length: None,
        compression_ratio: None,
        firing_order: Some(order.to_vec()),
        peak_power_rpm: None,
        exhaust_opens: None,
        breathing: Breathing::default(),
    }
}

/// The inline four that must be slid onto its studs past the steering shaft and rail.
pub fn slid_on(variant: u32) -> Job {
    let mut job = inline_four(variant);
    job.name = "slid on".into();
    job.goes_on = Some(vec![v(0.0, 0.0, 60.0), v(0.0, -60.0, 0.0)]);
    job
}

/// The job with its collectors built as merges, their tubes longer by what lies beyond the inlet planes.
pub fn merged(mut job: Job) -> Job {
    let mut beyond = 0.0_f64;
    for i in 0..job.collectors.len() {
        let c = &job.collectors[i];
        let fed = job.collectors.iter().any(|o| o.feeds.as_deref() == Some(&c.name));
        let tube = if fed { &job.secondary.tube } else { &job.primary.tube };
        let (tubes, od, gap) = (c.inlets, tube.od, c.gap);
        let outlet_od = usual_outlet(tube.id(), tube.wall);
        let length = Bundle { tubes, od, gap }.height(USUAL_LEAN, outlet_od);
        let (outlet, outlet_axis) = (Vec3::X * length, Vec3::X);
        let making = Making::Merge { lean: USUAL_LEAN };
        let wall = tube.wall;
        let body = Body { making, length, outlet_od, cone: None, wall, outlet, outlet_axis, mass: None, price: None };
        if !fed {
            beyond = beyond.max(body.beyond());
        }
        job.collectors[i].body = Some(body);
    }
    if let Some(target) = &mut job.primary.length.target {
        *target += beyond;
    }
    job
}
