//! The shop's shelf as a job sees it: what was on it when the job was cut, kept with the plan as `shelf.json`.
//!
//! Things on the shelf stand behind the job's own remnants, in the order of the file, so that `remnant:3` of a saved
//! plan means the same thing ever after, whatever has become of the shelf since.

use cutplan::{CutPlan, ItemShape, StockRef};
use job::catalogue::material;
use job::model::{BendStock, Job, Money, Remnant, SAME_SIZE, StraightStock, Units};
use job::show::length_with_unit;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What a thing on the shelf is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "lowercase", deny_unknown_fields)]
pub enum ShelfShape {
    /// A bend, perhaps with less angle and one leg.
    Bend {
        /// CLR, mm.
        clr: f64,
        /// Angle.
        angle_deg: f64,
        /// Legs before and after the arc, mm.
        #[schema(value_type = (f64, f64))]
        legs: [f64; 2],
    },
    /// A length of tube.
    Straight {
        /// Its length, mm.
        length: f64,
    },
}

/// A thing on the shelf.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShelfThing {
    /// Outside diameter, mm.
    pub od: f64,
    /// Wall, mm.
    pub wall: f64,
    /// Name of its material in the catalogue; empty: not known.
    #[serde(default)]
    pub material: String,
    /// Shape of the offcut.
    pub shape: ShelfShape,
}

impl ShelfThing {
    /// What is wrong with it, in words.
    ///
    /// # Errors
    /// The first length or angle that no such thing has.
    pub fn check(&self) -> Result<(), String> {
        let good = |name: &str, value: f64, low: f64, high: f64| {
            let fits = value.is_finite() && value >= low && value <= high;
            if fits { Ok(()) } else { Err(format!("{name} is {value}; it lies between {low} and {high}")) }
        };
        good("od", self.od, 1.0, 1000.0)?;
        good("wall", self.wall, 0.1, 0.5 * self.od)?;
        match self.shape {
            ShelfShape::Bend { clr, angle_deg, legs } => {
                good("clr", clr, 0.5 * self.od, 10_000.0)?;
                good("angle_deg", angle_deg, 1.0, 360.0)?;
                legs.iter().try_for_each(|leg| good("a leg", *leg, 0.0, 10_000.0))
            }
            ShelfShape::Straight { length } => good("length", length, 1.0, 20_000.0),
        }
    }
}

/// A thing that was on the shelf when a job was cut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShelfOffer {
    /// Its id on the shelf.
    pub id: String,
    /// What is written on it.
    pub label: String,
    /// What it is.
    pub thing: ShelfThing,
}

/// Most things of a shelf that are offered to a job; a shelf of two thousand pieces is a room.
const MOST: usize = 2000;

/// Longest label or id, characters.
const LONGEST_LABEL: usize = 200;

impl ShelfOffer {
    /// Reads the bytes of a shelf.json.
    ///
    /// # Errors
    /// What is wrong with it, in words.
    pub fn read_all(bytes: &[u8]) -> Result<Vec<ShelfOffer>, String> {
        let all: Vec<ShelfOffer> = serde_json::from_slice(bytes).map_err(|e| e.to_string())?;
        if all.len() > MOST {
            return Err(format!("it lists {} things; at most {MOST} are read", all.len()));
        }
        for (i, offered) in all.iter().enumerate() {
            let place = |why: String| format!("thing {}: {why}", i + 1);
            offered.thing.check().map_err(place)?;
            if [&offered.id, &offered.label].iter().any(|text| text.chars().count() > LONGEST_LABEL) {
                return Err(place(format!("its label is longer than {LONGEST_LABEL} characters")));
            }
        }
        Ok(all)
    }
}

/// Those of the shelf that a job can use: tube of one of its kinds of run; the first of very many.
pub fn usable(job: &Job, shelf: Vec<ShelfOffer>) -> Vec<ShelfOffer> {
    let specs = [&job.primary, &job.secondary, &job.tail];
    let fits = |thing: &ShelfThing| {
        specs.iter().any(|s| {
            let known = |name: &str| material(name).map(|m| m.name.as_str());
            let alike = thing.material.is_empty() || known(&thing.material) == known(&s.tube.material);
            alike && s.tube.is_same_size(thing.od, thing.wall)
        })
    };
    shelf.into_iter().filter(|o| fits(&o.thing)).take(MOST).collect()
}

/// Things on the shelf as stock that a cut plan may use; what is on the shelf has been paid for.
pub fn remnants(shelf: &[ShelfOffer]) -> Vec<Remnant> {
    shelf.iter().map(remnant).collect()
}

fn remnant(offered: &ShelfOffer) -> Remnant {
    let ShelfThing { od, wall, .. } = offered.thing;
    let (name, price, count) = (offered.label.clone(), Money(0), Some(1));
    match offered.thing.shape {
        ShelfShape::Bend { clr, angle_deg, legs } => {
            Remnant::Bend(BendStock { name, od, wall, clr, angle: angle_deg.to_radians(), legs, price, count })
        }
        ShelfShape::Straight { length } => Remnant::Straight(StraightStock { name, od, wall, length, price, count }),
    }
}

/// What a plan that was made with `shelf` takes off it: ids, each once.
pub fn taken(job: &Job, plan: &CutPlan, shelf: &[ShelfOffer]) -> Vec<String> {
    let own = job.stock.remnants.len();
    let place = |stock: StockRef| match stock {
        StockRef::Remnant(i) => i.checked_sub(own),
        _ => None,
    };
    plan.items.iter().filter_map(|i| shelf.get(place(i.stock)?)).map(|o| o.id.clone()).collect()
}

/// What a plan leaves on the shelf, each with its label: the job's name, the item and the place on it.
pub fn left(job: &Job, plan: &CutPlan) -> Vec<(String, ShelfThing)> {
    plan.offcuts
        .iter()
        .map(|offcut| {
            let item = &plan.items[offcut.item];
            let [from, to] = offcut.at;
            let shape = match item.shape {
                ItemShape::Straight { .. } => ShelfShape::Straight { length: round(to - from) },
                ItemShape::Bend { clr, angle, legs } => {
                    let arc = [legs[0], legs[0] + clr * angle];
                    let within = |low: f64, high: f64| (to.min(high) - from.max(low)).max(0.0);
                    let turn = within(arc[0], arc[1]) / clr;
                    let legs = [within(0.0, arc[0]), within(arc[1], item.shape.length())].map(round);
                    if turn.to_degrees() < 1.0 {
                        ShelfShape::Straight { length: legs[0].max(legs[1]) }
                    } else {
                        ShelfShape::Bend { clr, angle_deg: round(turn.to_degrees()), legs }
                    }
                }
            };
            let tube = tube_of(job, item.od);
            let thing = ShelfThing { od: item.od, wall: tube.0, material: tube.1, shape };
            (label(&job.name, &item.id, &thing, job.units), thing)
        })
        .filter(|(_, thing)| thing.check().is_ok())
        .collect()
}

fn round(value: f64) -> f64 {
    (value * 100.0).floor() / 100.0
}

/// Wall and material of the job's tube of that diameter.
fn tube_of(job: &Job, od: f64) -> (f64, String) {
    let specs = [&job.primary, &job.secondary, &job.tail];
    let spec = specs.into_iter().find(|s| (s.tube.od - od).abs() <= SAME_SIZE).unwrap_or(&job.primary);
    (spec.tube.wall, spec.tube.material.clone())
}

/// What is written on an offcut.
fn label(job: &str, item: &str, thing: &ShelfThing, units: Units) -> String {
    let what = describe(thing, units);
    format!("{job} {item}: {what}")
}

/// A thing in words: `bend 76.2 mm x 95.0°`, `straight 420.0 mm`.
pub fn describe(thing: &ShelfThing, units: Units) -> String {
    match thing.shape {
        ShelfShape::Bend { clr, angle_deg, .. } => {
            format!("bend {} x {angle_deg:.1}°", length_with_unit(clr, units))
        }
        ShelfShape::Straight { length } => format!("straight {}", length_with_unit(length, units)),
    }
}
