//! Invented cut-plan instances: the same for the same name and seed on every machine.
//!
//! Included by the tests, the outside check and the bench, so that all of them speak of the same
//! instances.
#![allow(dead_code)]

use cutplan::CutJob;
use geom::{Centreline, Frame, LraStep, Vec3};
use job::model::{BendStock, Cost, CutPer, KerfAt, Money, Remnant, Saw, Stock, StraightStock, Tube};
use job::routes::{Route, Routes, RunId};

/// A whole instance.
pub struct Sample {
    pub name: String,
    pub routes: Routes,
    pub tube: Tube,
    pub stock: Stock,
    pub saw: Saw,
    pub cost: Cost,
}

impl Sample {
    pub fn job(&self) -> CutJob<'_> {
        CutJob {
            primary: &self.tube,
            secondary: &self.tube,
            tail: &self.tube,
            stock: &self.stock,
            shelf: &[],
            saw: &self.saw,
            cost: &self.cost,
            ports: &[],
            slips: &[],
            couplings: &[],
            cylinders: 0,
        }
    }
}

/// What an instance is made of.
#[derive(Clone, Copy)]
pub struct Family {
    pub name: &'static str,
    pub runs: usize,
    pub arcs: usize,
    /// Leg length of the bends, mm (inch instances round it to eighths).
    pub legs: f64,
    pub inch: bool,
    /// Number of different CLRs, 1..=3.
    pub clrs: usize,
    pub goods: Goods,
    pub shelf: bool,
    pub kerf_at: KerfAt,
    pub cut_per: CutPer,
}

/// Which bends are sold.
#[derive(Clone, Copy, PartialEq)]
pub enum Goods {
    /// U-bends alone.
    U,
    /// U, J (one long leg), 90 and 45.
    Mixed,
    /// Elbows without legs, 90 and 45.
    Elbows,
}

const fn family(name: &'static str, runs: usize, arcs: usize, legs: f64) -> Family {
    Family {
        name,
        runs,
        arcs,
        legs,
        inch: false,
        clrs: 1,
        goods: Goods::U,
        shelf: false,
        kerf_at: KerfAt::Inside,
        cut_per: CutPer::Piece,
    }
}

/// The families that are measured.
pub const FAMILIES: &[Family] = &[
    family("one-long", 1, 4, 100.0),
    family("two-long", 2, 6, 100.0),
    family("three-long", 3, 9, 100.0),
    family("four-long", 4, 14, 100.0),
    Family { inch: true, ..family("four-inch", 4, 15, 150.0) },
    Family { goods: Goods::Mixed, ..family("four-mixed", 4, 14, 100.0) },
    Family { goods: Goods::Mixed, clrs: 2, shelf: true, ..family("four-shelf", 4, 15, 100.0) },
    family("six-long", 6, 21, 100.0),
    Family { clrs: 2, inch: true, ..family("six-two-clr", 6, 22, 100.0) },
    family("eight-long", 8, 29, 150.0),
    Family { goods: Goods::Mixed, clrs: 2, ..family("eight-mixed", 8, 28, 100.0) },
    family("twelve-long", 12, 45, 100.0),
    Family { clrs: 3, goods: Goods::Mixed, shelf: true, ..family("twelve-mixed", 12, 45, 150.0) },
    family("four-50", 4, 14, 50.0),
    family("eight-50", 8, 28, 50.0),
    family("twelve-50", 12, 44, 50.0),
    family("two-25", 2, 6, 25.0),
    family("four-25", 4, 14, 25.0),
    family("eight-25", 8, 28, 25.0),
    family("four-0", 4, 14, 0.0),
    family("twelve-0", 12, 44, 0.0),
    Family { goods: Goods::Elbows, ..family("four-elbows", 4, 14, 0.0) },
    Family { goods: Goods::Elbows, kerf_at: KerfAt::Centreline, ..family("eight-elbows", 8, 28, 0.0) },
    Family { cut_per: CutPer::Saw, ..family("two-saw", 2, 6, 100.0) },
    Family { cut_per: CutPer::Saw, ..family("four-saw", 4, 14, 100.0) },
    Family { cut_per: CutPer::Saw, goods: Goods::Mixed, ..family("eight-saw", 8, 28, 50.0) },
];

/// Small instances that an exact model of the whole problem can solve.
pub const SMALL: &[Family] = &[
    family("small-100", 1, 4, 100.0),
    family("small-two", 2, 5, 100.0),
    family("small-50", 2, 5, 50.0),
    family("small-25", 2, 5, 25.0),
    family("small-0", 1, 5, 0.0),
    Family { inch: true, ..family("small-inch", 2, 5, 100.0) },
    Family { goods: Goods::Mixed, ..family("small-mixed", 1, 4, 50.0) },
    Family { goods: Goods::Mixed, clrs: 2, shelf: true, ..family("small-shelf", 1, 4, 100.0) },
    Family { goods: Goods::Elbows, kerf_at: KerfAt::Centreline, ..family("small-elbows", 1, 4, 0.0) },
    Family { shelf: true, clrs: 2, ..family("small-remnants", 2, 5, 50.0) },
];

/// A generator with one 64-bit state (Steele, Lea and Flood, OOPSLA 2014).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.unit()
    }

    fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }
}

/// The instance of a family with a seed.
pub fn sample(family: &Family, seed: u64) -> Sample {
    let hash = family.name.bytes().fold(7u64, |h, b| h.wrapping_mul(131).wrapping_add(u64::from(b)));
    let mut random = Random(hash ^ seed.wrapping_mul(0x5851_F42D_4C95_7F2D));
    let clrs: Vec<f64> = if family.inch { vec![63.5, 76.2, 101.6] } else { vec![75.0, 60.0, 100.0] };
    let clrs = &clrs[..family.clrs];
    let tube = Tube { od: if family.inch { 44.45 } else { 42.4 }, wall: 1.65, material: "304".into(), nominal: None };
    let runs = (0..family.runs)
        .map(|r| {
            let arcs = family.arcs / family.runs + usize::from(r < family.arcs % family.runs);
            route(r, arcs, clrs, family, &mut random)
        })
        .collect();
    Sample {
        name: format!("{}-{seed}", family.name),
        routes: Routes { runs, collectors: Vec::new() },
        stock: stock(&tube, clrs, family, &mut random),
        tube,
        saw: Saw { kerf: 1.6, kerf_at: family.kerf_at, min_straight: 12.0, min_arc: 5f64.to_radians(), reserve: None },
        cost: Cost { joint: Money(14_000), cut: Money(2_500), cut_per: family.cut_per },
    }
}

fn route(index: usize, arcs: usize, clrs: &[f64], family: &Family, random: &mut Random) -> Route {
    let round = |v: f64, step: f64| (v / step).round() * step;
    let step = if family.inch { 25.4 / 16.0 } else { 1.0 };
    let mut steps = Vec::new();
    for k in 0..arcs {
        let length = if k == 0 {
            random.between(25.0, 60.0)
        } else if random.chance(0.15) {
            0.0
        } else {
            random.between(14.0, 110.0)
        };
        let largest = if family.goods == Goods::Elbows { 100.0 } else { 130.0 };
        let angle = round(random.between(15.0, largest), 0.5).to_radians();
        let rotation = if random.chance(0.2) { 0.0 } else { round(random.between(-170.0, 170.0), 1.0).to_radians() };
        let clr = clrs[(random.next() % clrs.len() as u64) as usize];
        steps.push(LraStep { length: round(length, step), rotation, angle, clr });
    }
    let last = round(random.between(40.0, 90.0), step);
    let start = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z };
    let centreline = Centreline::from_steps(start, &steps, last).expect("the rows are a tube");
    let (points, radii) = centreline.to_points();
    Route {
        run: RunId::Primary { cylinder: index as u32 + 1 },
        collector: String::new(),
        inlet: 0,
        points,
        radii,
        locked: false,
    }
}

fn stock(tube: &Tube, clrs: &[f64], family: &Family, random: &mut Random) -> Stock {
    let mut stock = Stock::default();
    let bend = |clr: f64, angle: f64, legs: [f64; 2], price: i64| BendStock {
        name: format!("bend {clr} x {angle}"),
        od: tube.od,
        wall: tube.wall,
        clr,
        angle: angle.to_radians(),
        legs,
        price: Money(price),
        count: None,
    };
    let leg = if family.inch { (family.legs / 3.175).round() * 3.175 } else { family.legs };
    for (i, &clr) in clrs.iter().enumerate() {
        let more = 1500 * i as i64;
        match family.goods {
            Goods::U => stock.bends.push(bend(clr, 180.0, [leg, leg], 24_000 + more)),
            Goods::Mixed => {
                stock.bends.push(bend(clr, 180.0, [leg, leg], 26_000 + more));
                stock.bends.push(bend(clr, 180.0, [2.0 * leg, 0.5 * leg], 28_000 + more));
                stock.bends.push(bend(clr, 90.0, [leg, leg], 15_500 + more));
                stock.bends.push(bend(clr, 45.0, [leg, leg], 11_000 + more));
            }
            Goods::Elbows => {
                stock.bends.push(bend(clr, 90.0, [0.0, 0.0], 9_800 + more));
                stock.bends.push(bend(clr, 45.0, [0.0, 0.0], 7_400 + more));
            }
        }
        if family.shelf {
            let angle = random.between(60.0, 140.0).round();
            let mut remnant = bend(clr, angle, [random.between(20.0, 90.0).round(), 0.0], 0);
            remnant.count = Some(1);
            stock.remnants.push(Remnant::Bend(remnant));
        }
    }
    let stick = |length: f64, price: i64, count| StraightStock {
        name: format!("stick {length}"),
        od: tube.od,
        wall: tube.wall,
        length,
        price: Money(price),
        count,
    };
    stock.straights.push(stick(if family.inch { 1219.2 } else { 1000.0 }, 18_000, None));
    if family.shelf {
        stock.remnants.push(Remnant::Straight(stick(random.between(120.0, 400.0).round(), 1_000, Some(1))));
    }
    stock
}
