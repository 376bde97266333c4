//! `cutplan.json`: the cut plan as a file, written and read back.
//!
//! Places are centreline intervals in mm, angles in degrees, money in units of the currency.

mod bounds;
mod plan_file;

use std::collections::BTreeMap;
use std::str::FromStr;

use job::model::Money;

use crate::plan::{Clocking, CutMark, CutPlace, CutPlan, Item, ItemShape, Offcut, Piece, Reserve, StockRef};

pub use plan_file::{
    BuyFile, ClockingFile, FileError, ItemFile, MarkFile, OffcutFile, PieceFile, PlanFile, ReserveFile,
};

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
