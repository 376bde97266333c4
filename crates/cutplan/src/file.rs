//! `cutplan.json`: the cut plan as a file, written and read back.
//!
//! Places are centreline intervals in mm, angles in degrees, money in units of the currency.

mod bounds;

use std::collections::BTreeMap;
use std::str::FromStr;

use job::model::Money;
use serde::{Deserialize, Serialize};

use crate::plan::{Clocking, CutMark, CutPlace, CutPlan, Item, ItemShape, Offcut, Piece, Reserve, StockRef};

/// Why a `cutplan.json` cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// It is no JSON of this shape.
    #[error("{0}")]
    Json(#[from] serde_json::Error),
    /// A format number of another version.
    #[error("format {0} is not known; this version reads format 1")]
    Format(u32),
    /// A name or value that says nothing.
    #[error("{0}")]
    Value(String),
}

/// A cut plan as `cutplan.json` has it; lengths in mm, angles in degrees.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanFile {
    /// 1.
    pub format: u32,
    /// Items + joints + cuts, money.
    pub cost: f64,
    /// No plan costs less, money.
    pub lower_bound: f64,
    /// True when both are equal.
    pub proven: bool,
    /// Welds between pieces of one run.
    pub joints: u32,
    /// Saw cuts made.
    pub cuts: u32,
    /// Length of pieces / length of stock used.
    #[serde(rename = "yield")]
    pub yield_ratio: f64,
    /// What is taken, counted.
    #[serde(default)]
    pub buy: Vec<BuyFile>,
    /// Items used.
    pub items: Vec<ItemFile>,
    /// Pieces, port to collector.
    pub pieces: Vec<PieceFile>,
    /// What is left and worth keeping.
    pub offcuts: Vec<OffcutFile>,
}

/// A line of what is taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BuyFile {
    /// Kind and place in the job's stock, counted from 0.
    pub stock: String,
    /// Its name in lists.
    pub name: String,
    /// How many.
    pub count: u32,
    /// Price of one, money.
    pub price: f64,
}

/// An item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ItemFile {
    /// Its name in the plan.
    pub id: String,
    /// Kind and place in the job's stock, counted from 0.
    pub stock: String,
    /// Its name in lists.
    #[serde(default)]
    pub name: String,
    /// Outside diameter, mm.
    #[serde(default)]
    pub od_mm: f64,
    /// Centreline radius of a bend, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clr_mm: Option<f64>,
    /// Angle of a bend, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle_deg: Option<f64>,
    /// Legs of a bend, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub legs_mm: Option<[f64; 2]>,
    /// Length of the whole centreline, mm.
    #[serde(default)]
    pub length_mm: f64,
    /// Its price, money.
    #[serde(default)]
    pub price: f64,
}

/// A piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PieceFile {
    /// Run number and letter.
    pub mark: String,
    /// `primary 1`, `secondary NAME`, `tail NAME`.
    pub run: String,
    /// Where it begins on the route, mm.
    pub from: f64,
    /// Where it ends on the route, mm.
    pub to: f64,
    /// The item's id.
    pub item: String,
    /// The stretch of the item's centreline, mm.
    pub at: [f64; 2],
    /// True when the route's `from` end lies at `at[1]`.
    pub reversed: bool,
    /// What it has more on the item than on the route; none in most pieces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reserve: Option<ReserveFile>,
    /// Straight before the arc along the flow, mm.
    #[serde(default)]
    pub leg_in_mm: f64,
    /// Arc, degrees.
    #[serde(default)]
    pub angle_deg: f64,
    /// Straight after the arc along the flow, mm.
    #[serde(default)]
    pub leg_out_mm: f64,
    /// The marks at `at[0]` and `at[1]`.
    #[serde(default)]
    pub marks: Vec<MarkFile>,
    /// Turn to the next piece with a bend.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clocking: Option<ClockingFile>,
}

/// What a piece has more on its item than on its route.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct ReserveFile {
    /// Of the straight before the arc, or of a straight piece, mm.
    #[serde(skip_serializing_if = "is_zero")]
    pub leg_in_mm: f64,
    /// Of the arc, degrees.
    #[serde(skip_serializing_if = "is_zero")]
    pub angle_deg: f64,
    /// Of the straight after the arc, mm.
    #[serde(skip_serializing_if = "is_zero")]
    pub leg_out_mm: f64,
}

fn is_zero(value: &f64) -> bool {
    *value == 0.0
}

/// A mark: where an end of a piece lies on its item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MarkFile {
    /// `leg 1`, `arc`, `leg 2` or `straight`.
    pub on: String,
    /// On a leg: from its tangent line outwards; on a straight: from its end 0, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_mm: Option<f64>,
    /// On the arc: from the first tangent line, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle_deg: Option<f64>,
    /// The same with a tape along the outside, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_mm: Option<f64>,
    /// The same along the centreline, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre_mm: Option<f64>,
    /// The same along the inside, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inside_mm: Option<f64>,
    /// True where the item's own end is used.
    pub mill_end: bool,
    /// True at the end of the piece that lies upstream.
    pub upstream: bool,
}

/// Clocking to the next piece with a bend.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClockingFile {
    /// Mark of that piece.
    pub to: String,
    /// By the right-hand rule about the flow, degrees.
    pub angle_deg: f64,
    /// Around the outside of the tube, mm.
    pub around_mm: f64,
}

/// What is left.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OffcutFile {
    /// The item's id.
    pub item: String,
    /// The stretch of the item's centreline, mm.
    pub at: [f64; 2],
}

/// Lengths are written to a ten-thousandth of a mm, angles to a hundred-thousandth of a degree:
/// below any check, and short to read.
fn mm(value: f64) -> f64 {
    (value * 1e4).round() / 1e4 + 0.0
}

fn deg(angle: f64) -> f64 {
    (angle.to_degrees() * 1e5).round() / 1e5 + 0.0
}

impl From<&CutPlan> for PlanFile {
    fn from(plan: &CutPlan) -> Self {
        let id = |item: usize| plan.items[item].id.clone();
        PlanFile {
            format: 1,
            cost: plan.cost.units(),
            lower_bound: plan.lower_bound.units(),
            proven: plan.proven,
            joints: plan.joints,
            cuts: plan.cuts,
            yield_ratio: (plan.yield_ratio() * 1e4).round() / 1e4,
            buy: plan
                .stock_lines()
                .into_iter()
                .map(|l| BuyFile { stock: l.stock.to_string(), name: l.name, count: l.count, price: l.price.units() })
                .collect(),
            items: plan.items.iter().map(item_file).collect(),
            pieces: plan.pieces.iter().map(|p| piece_file(p, id(p.item))).collect(),
            offcuts: plan.offcuts.iter().map(|o| OffcutFile { item: id(o.item), at: o.at.map(mm) }).collect(),
        }
    }
}

fn item_file(item: &Item) -> ItemFile {
    let (clr_mm, angle_deg, legs_mm) = match item.shape {
        ItemShape::Bend { clr, angle, legs } => (Some(mm(clr)), Some(deg(angle)), Some(legs.map(mm))),
        ItemShape::Straight { .. } => (None, None, None),
    };
    ItemFile {
        id: item.id.clone(),
        stock: item.stock.to_string(),
        name: item.name.clone(),
        od_mm: mm(item.od),
        clr_mm,
        angle_deg,
        legs_mm,
        length_mm: mm(item.shape.length()),
        price: item.price.units(),
    }
}

fn piece_file(piece: &Piece, item: String) -> PieceFile {
    PieceFile {
        mark: piece.mark.clone(),
        run: piece.run.to_string(),
        from: mm(piece.from),
        to: mm(piece.to),
        item,
        at: piece.at.map(mm),
        reversed: piece.reversed,
        reserve: (!piece.reserve.is_none()).then(|| ReserveFile {
            leg_in_mm: mm(piece.reserve.leg_in),
            angle_deg: deg(piece.reserve.angle),
            leg_out_mm: mm(piece.reserve.leg_out),
        }),
        leg_in_mm: mm(piece.leg_in),
        angle_deg: deg(piece.angle),
        leg_out_mm: mm(piece.leg_out),
        marks: piece.cuts.iter().map(mark_file).collect(),
        clocking: piece.clocking.as_ref().map(|c| ClockingFile {
            to: c.to.clone(),
            angle_deg: deg(c.angle),
            around_mm: mm(c.around),
        }),
    }
}

fn mark_file(mark: &CutMark) -> MarkFile {
    let mut file = MarkFile {
        on: String::new(),
        from_mm: None,
        angle_deg: None,
        outside_mm: None,
        centre_mm: None,
        inside_mm: None,
        mill_end: mark.mill_end,
        upstream: mark.upstream,
    };
    match mark.place {
        CutPlace::FirstLeg { from_tangent } => (file.on, file.from_mm) = ("leg 1".into(), Some(mm(from_tangent))),
        CutPlace::SecondLeg { from_tangent } => (file.on, file.from_mm) = ("leg 2".into(), Some(mm(from_tangent))),
        CutPlace::Straight { from_end } => (file.on, file.from_mm) = ("straight".into(), Some(mm(from_end))),
        CutPlace::Arc { angle, outside, centre, inside } => {
            file.on = "arc".into();
            file.angle_deg = Some(deg(angle));
            file.outside_mm = Some(mm(outside));
            file.centre_mm = Some(mm(centre));
            file.inside_mm = Some(mm(inside));
        }
    }
    file
}

impl PlanFile {
    /// The file's text.
    ///
    /// # Errors
    /// [`FileError::Json`] when a number is not finite.
    pub fn to_json(&self) -> Result<String, FileError> {
        Ok(serde_json::to_string_pretty(self)?)
    }

    /// Reads a file's text.
    ///
    /// # Errors
    /// [`FileError::Json`] with line and column, [`FileError::Format`], [`FileError::Value`] for a number, count or name
    /// beyond what a plan can have.
    pub fn from_json(text: &str) -> Result<Self, FileError> {
        let file: PlanFile = serde_json::from_str(text)?;
        if file.format != 1 {
            return Err(FileError::Format(file.format));
        }
        bounds::check(&file)?;
        Ok(file)
    }

    /// The plan that the file holds.
    ///
    /// # Errors
    /// [`FileError::Value`] for an unknown run, item, stock or kind of mark.
    pub fn to_plan(&self) -> Result<CutPlan, FileError> {
        let mut places = BTreeMap::new();
        for (at, item) in self.items.iter().enumerate() {
            if places.insert(item.id.as_str(), at).is_some() {
                return Err(FileError::Value(format!("two items are called `{}`", item.id)));
            }
        }
        let place = |id: &str| {
            let at = places.get(id).copied();
            at.ok_or_else(|| FileError::Value(format!("there is no item `{id}`")))
        };
        let mut plan = CutPlan {
            cost: money(self.cost),
            lower_bound: money(self.lower_bound),
            proven: self.proven,
            joints: self.joints,
            cuts: self.cuts,
            items: Vec::new(),
            pieces: Vec::new(),
            offcuts: Vec::new(),
        };
        for item in &self.items {
            plan.items.push(item.to_item()?);
        }
        for piece in &self.pieces {
            plan.pieces.push(piece.to_piece(place(&piece.item)?)?);
        }
        for offcut in &self.offcuts {
            plan.offcuts.push(Offcut { item: place(&offcut.item)?, at: offcut.at });
        }
        Ok(plan)
    }
}

fn money(units: f64) -> Money {
    Money((units * 1000.0).round() as i64)
}

impl ItemFile {
    fn to_item(&self) -> Result<Item, FileError> {
        let shape = match (self.clr_mm, self.angle_deg, self.legs_mm) {
            (Some(clr), Some(angle), Some(legs)) => ItemShape::Bend { clr, angle: angle.to_radians(), legs },
            _ => ItemShape::Straight { length: self.length_mm },
        };
        Ok(Item {
            id: self.id.clone(),
            stock: StockRef::from_str(&self.stock).map_err(FileError::Value)?,
            name: self.name.clone(),
            od: self.od_mm,
            shape,
            price: money(self.price),
        })
    }
}

impl PieceFile {
    fn to_piece(&self, item: usize) -> Result<Piece, FileError> {
        let mut cuts = Vec::new();
        for mark in &self.marks {
            cuts.push(mark.to_mark()?);
        }
        let cuts: [CutMark; 2] =
            cuts.try_into().map_err(|_| FileError::Value(format!("piece {} needs two marks", self.mark)))?;
        Ok(Piece {
            mark: self.mark.clone(),
            run: self.run.parse().map_err(FileError::Value)?,
            from: self.from,
            to: self.to,
            item,
            at: self.at,
            reversed: self.reversed,
            reserve: self.reserve.map_or_else(Reserve::default, |r| Reserve {
                leg_in: r.leg_in_mm,
                angle: r.angle_deg.to_radians(),
                leg_out: r.leg_out_mm,
            }),
            leg_in: self.leg_in_mm,
            angle: self.angle_deg.to_radians(),
            leg_out: self.leg_out_mm,
            cuts,
            clocking: self.clocking.as_ref().map(|c| Clocking {
                to: c.to.clone(),
                angle: c.angle_deg.to_radians(),
                around: c.around_mm,
            }),
        })
    }
}

impl MarkFile {
    fn to_mark(&self) -> Result<CutMark, FileError> {
        let missing = || FileError::Value(format!("a mark on `{}` lacks a length or angle", self.on));
        let from = || self.from_mm.ok_or_else(missing);
        let place = match self.on.as_str() {
            "leg 1" => CutPlace::FirstLeg { from_tangent: from()? },
            "leg 2" => CutPlace::SecondLeg { from_tangent: from()? },
            "straight" => CutPlace::Straight { from_end: from()? },
            "arc" => CutPlace::Arc {
                angle: self.angle_deg.ok_or_else(missing)?.to_radians(),
                outside: self.outside_mm.ok_or_else(missing)?,
                centre: self.centre_mm.ok_or_else(missing)?,
                inside: self.inside_mm.ok_or_else(missing)?,
            },
            other => {
                return Err(FileError::Value(format!(
                    "a mark lies on `leg 1`, `arc`, `leg 2` or `straight`, not `{other}`"
                )));
            }
        };
        Ok(CutMark { place, mill_end: self.mill_end, upstream: self.upstream })
    }
}
