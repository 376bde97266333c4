//! The stocked tube nearest to an inside diameter.

use crate::catalogue::{pipes, tubes};
use crate::model::Tube;

/// A tube of the catalogue.
#[derive(Debug, Clone, PartialEq)]
pub struct StockedTube {
    /// As the trade calls it.
    pub name: String,
    /// Outside diameter, mm.
    pub od: f64,
    /// Wall, mm.
    pub wall: f64,
}

impl StockedTube {
    /// Inside diameter, mm.
    pub fn id(&self) -> f64 {
        self.od - 2.0 * self.wall
    }
}

/// The tube whose inside diameter is nearest to `id` mm: of the same wall as `like`, or pipe of the same
/// schedule when `like` is pipe. `None` when none comes within a fifth.
pub fn stocked(like: &Tube, id: f64) -> Option<StockedTube> {
    let same_pipe = |p: &&crate::catalogue::Pipe| (p.od - like.od).abs() <= 0.06 && (p.wall - like.wall).abs() <= 0.02;
    let schedule = like.nominal.and_then(|_| pipes().iter().find(same_pipe)).map(|p| p.schedule.as_str());
    let all: Vec<StockedTube> = match schedule {
        Some(schedule) => pipes()
            .iter()
            .filter(|p| p.schedule == schedule)
            .map(|p| StockedTube { name: format!("{} NPS sch {schedule}", p.nps), od: p.od, wall: p.wall })
            .collect(),
        None => tubes()
            .iter()
            .filter(|t| t.od > 2.0 * like.wall)
            .map(|t| StockedTube { name: t.name.clone(), od: t.od, wall: like.wall })
            .collect(),
    };
    let nearest = all.into_iter().min_by(|a, b| (a.id() - id).abs().total_cmp(&(b.id() - id).abs()));
    nearest.filter(|t| (t.id() - id).abs() <= 0.2 * id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_by_bore_at_the_same_wall_or_schedule() {
        let tube = Tube { od: 44.45, wall: 1.65, material: "304L".into(), nominal: None };
        assert_eq!(stocked(&tube, 41.3).map(|t| t.name), Some("1 3/4 in".into()));
        let pipe = Tube { od: 48.26, wall: 2.77, material: "304L".into(), nominal: Some(1.5) };
        // Schedules 10 and 10S are one wall at this size; the first of the catalogue names it.
        assert_eq!(stocked(&pipe, 43.0).map(|t| t.name), Some("1 1/2 NPS sch 10".into()));
        assert_eq!(stocked(&tube, 5_000.0), None);
    }
}
