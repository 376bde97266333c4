//! Full-size layouts: each bend at 1:1 to lay the metal on.

use cutplan::saw::saw_work;
use cutplan::{CutJob, ItemShape};

use super::item::{Sizes, draw};
use crate::PaperJob;
use crate::outline::Outline;
use crate::sheet::{Drawing, Placing, Point, Sheet, SheetKind};
use crate::tile::{FullSize, fits, tiled};

/// Room around the outline for numbers and figures, mm; the second is tight, tried to save a page.
const AROUND: [f64; 2] = [16.0, 9.0];

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let bends = papers.plan.items.iter().enumerate().filter(|(_, i)| matches!(i.shape, ItemShape::Bend { .. }));
    let mut out = Vec::new();
    for (index, _) in bends {
        if !papers.go_on(out.len()) {
            break;
        }
        out.extend(sheets_of(papers, index));
    }
    out
}

fn sheets_of(papers: &PaperJob<'_>, index: usize) -> Vec<Sheet> {
    let item = &papers.plan.items[index];
    let work = saw_work(papers.plan, index, &CutJob::of(papers.job));
    let outline = Outline::of(item);
    let sizes = Sizes { mark: 8.0, label: 3.6, bubble: 3.2 };
    let drawing = lying(&outline.around(), papers, |size, placing| {
        let mut drawing = Drawing::new(size[0], size[1]);
        draw(papers, item, &work, &mut drawing, placing, &sizes);
        drawing.with_room()
    });
    let title = format!("Full size {}", item.id);
    let about = "lay the bend on the page and transfer the lines".to_string();
    tiled(&FullSize { kind: SheetKind::FullSize, title, about, drawing: &drawing }, papers.paper, papers.units)
}

/// The drawing as it lies to take the fewest pages with all its figures: turned in steps of 5 degrees, level when that is
/// as good.
fn lying(around: &[Point], papers: &PaperJob<'_>, drawn: impl Fn([f64; 2], &Placing) -> Drawing) -> Drawing {
    let at = |turn: f64, room: f64| {
        let unplaced = Placing { origin: [0.0, 0.0], scale: 1.0, turn };
        let placed: Vec<Point> = around.iter().map(|p| unplaced.at(*p)).collect();
        let span = |k: usize| {
            let (low, high) =
                placed.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p[k]), h.max(p[k])));
            high - low + 2.0 * room
        };
        let size = [span(0), span(1)];
        (size, Placing::fit(around, turn, [0.0, 0.0], size, Some(1.0)))
    };
    for room in AROUND {
        for k in 0..36 {
            let (size, placing) = at(f64::from(k) * 5.0_f64.to_radians(), room);
            if fits(size, papers.paper).is_none() {
                continue;
            }
            let drawing = drawn(size, &placing);
            if fits([drawing.width, drawing.height], papers.paper).is_some() {
                return drawing;
            }
        }
    }
    let (size, placing) = at(0.0, AROUND[0]);
    drawn(size, &placing)
}
