//! What a simulation needs and a job need not say: each value with its range and source.

use job::model::{Cam, Engine, Valves};
use serde::{Serialize, Serializer};
use utoipa::ToSchema;

use crate::summary::figure;

const PRACTICE: &str = "common practice, no source";

/// A value that was taken for one that the job does not give.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Assumed {
    /// A fixed short name.
    pub key: &'static str,
    /// What it is.
    pub what: &'static str,
    /// The value taken.
    #[serde(serialize_with = "short")]
    pub value: f64,
    /// Least value that engines have.
    #[serde(serialize_with = "short")]
    pub low: f64,
    /// Greatest value that engines have.
    #[serde(serialize_with = "short")]
    pub high: f64,
    /// Unit of the three; empty without one.
    pub unit: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// Writes four figures.
fn short<S: Serializer>(value: &f64, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_f64(figure(*value))
}

/// Takes what the job gives, and keeps a list of what it does not.
#[derive(Debug, Default)]
pub struct Ledger {
    /// What was assumed, in the order it was needed.
    pub assumed: Vec<Assumed>,
    /// Picks values between low and high instead of the usual ones.
    pub sampler: Option<Sampler>,
}

/// Even random numbers: SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, 2014, from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sampler(pub u64);

impl Sampler {
    /// The next number from 0 to 1.
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

impl Ledger {
    /// The given value, or a default that is noted: `[value, low, high]`.
    pub fn given(
        &mut self,
        given: Option<f64>,
        key: &'static str,
        what: &'static str,
        values: [f64; 3],
        unit: &'static str,
    ) -> f64 {
        given.unwrap_or_else(|| self.assume(key, what, values, unit, PRACTICE))
    }

    /// A default that no key of the job can give.
    pub fn assume(
        &mut self,
        key: &'static str,
        what: &'static str,
        [value, low, high]: [f64; 3],
        unit: &'static str,
        source: &'static str,
    ) -> f64 {
        if let Some(known) = self.assumed.iter().find(|a| a.key == key) {
            return known.value;
        }
        let whole = low.fract() == 0.0 && high - low <= 2.0;
        let value = match &mut self.sampler {
            // A number of valves is no unknown that a fabricator lives with.
            Some(sampler) if !whole => low + sampler.next() * (high - low),
            _ => value,
        };
        self.assumed.push(Assumed { key, what, value, low, high, unit, source });
        value
    }
}

/// The valves of one cylinder, lengths in mm.
#[derive(Debug, Clone, Copy)]
pub struct Gear {
    /// Valves of one cylinder.
    pub count: u32,
    /// Diameter of the head.
    pub diameter: f64,
    /// Greatest lift.
    pub lift: f64,
    /// Discharge coefficient.
    pub discharge: f64,
}

/// Valves as given or, for an engine of `bore` mm, as in most engines of four valves.
pub fn gears(ledger: &mut Ledger, engine: &Engine, bore: f64) -> [Gear; 2] {
    let given: Option<Valves> = engine.breathing.valves;
    let scaled = |parts: [f64; 3]| parts.map(|p| p * bore);
    let mut of = |side: Side| {
        let (key, what, parts) = side.head;
        let count = given.map_or(2, |v| (side.count)(&v));
        if given.is_none() {
            ledger.assume(side.counted.0, side.counted.1, [2.0, 1.0, 3.0], "", PRACTICE);
        }
        let diameter = ledger.given(given.map(|v| (side.diameter)(&v)), key, what, scaled(parts), "mm");
        let (key, what) = side.lift;
        let lift = side.cam.and_then(|c| c.lift);
        let lift = ledger.given(lift, key, what, [0.30, 0.22, 0.38].map(|p| p * diameter), "mm");
        let (key, what) = side.flow;
        let discharge = ledger.given(given.and_then(|v| (side.discharge)(&v)), key, what, [0.85, 0.75, 0.95], "");
        Gear { count, diameter, lift, discharge }
    };
    let breathing = &engine.breathing;
    [
        of(Side {
            counted: ("engine.valves.exhaust_count", "exhaust valves of one cylinder"),
            head: ("engine.valves.exhaust_diameter", "diameter of an exhaust valve's head", [0.335, 0.30, 0.37]),
            lift: ("engine.exhaust_cam.lift", "greatest lift of the exhaust valves"),
            flow: (
                "engine.valves.exhaust_discharge",
                "discharge coefficient of the exhaust valves, of curtain and throat together",
            ),
            cam: breathing.exhaust_cam,
            count: |v| v.exhaust_count,
            diameter: |v| v.exhaust_diameter,
            discharge: |v| v.exhaust_discharge,
        }),
        of(Side {
            counted: ("engine.valves.intake_count", "intake valves of one cylinder"),
            head: ("engine.valves.intake_diameter", "diameter of an intake valve's head", [0.390, 0.35, 0.42]),
            lift: ("engine.intake_cam.lift", "greatest lift of the intake valves"),
            flow: (
                "engine.valves.intake_discharge",
                "discharge coefficient of the intake valves, of curtain and throat together",
            ),
            cam: breathing.intake_cam,
            count: |v| v.intake_count,
            diameter: |v| v.intake_diameter,
            discharge: |v| v.intake_discharge,
        }),
    ]
}

/// Keys and fields of one kind of valve.
struct Side {
    counted: (&'static str, &'static str),
    head: (&'static str, &'static str, [f64; 3]),
    lift: (&'static str, &'static str),
    flow: (&'static str, &'static str),
    cam: Option<Cam>,
    count: fn(&Valves) -> u32,
    diameter: fn(&Valves) -> f64,
    discharge: fn(&Valves) -> Option<f64>,
}
