//! An item of stock drawn in its plane: pieces, cuts, kerfs, scrap. Saw sheets and full-size pages share it.

use cutplan::saw::{Part, SawWork, Stretch};
use cutplan::{CutPlace, Item};
use job::model::Units;

use crate::PaperJob;
use crate::outline::Outline;
use crate::sheet::{Anchor, Drawing, Ink, Placing, Point, Stroke, Weight};
use crate::words;

/// How large things are written: true mm, not scaled.
pub(super) struct Sizes {
    pub mark: f64,
    pub label: f64,
    pub bubble: f64,
}

/// What a cut's label says: its angle, or its way from a tangent line or end.
pub(super) fn cut_label(place: &CutPlace, units: Units) -> String {
    match place {
        CutPlace::Arc { angle, .. } => words::angle(*angle),
        CutPlace::FirstLeg { from_tangent } => format!("T1 + {}", words::length(*from_tangent, units)),
        CutPlace::SecondLeg { from_tangent } => format!("T2 + {}", words::length(*from_tangent, units)),
        CutPlace::Straight { from_end } => words::length(*from_end, units),
    }
}

/// Draws the item: stretches, kerfs, cut lines with their numbers, tangent lines, marks and flow.
pub(super) fn draw(
    papers: &PaperJob<'_>,
    item: &Item,
    work: &SawWork,
    d: &mut Drawing,
    placing: &Placing,
    sizes: &Sizes,
) {
    let outline = Outline::of(item);
    let shown = Shown { papers, item, outline, placing, sizes };
    for stretch in &work.stretches {
        let (ink, fill) = match stretch.part {
            Part::Piece(_) => (Ink::BLACK, Ink::WHITE),
            Part::Offcut(_) => (Ink::BLACK, Ink(244, 244, 244)),
            Part::Scrap => (Ink::GREY, Ink::PALE),
        };
        d.path(outline.border(stretch.at[0], stretch.at[1], placing), Some(Stroke::of(0.35, ink)), Some(fill));
    }
    for cut in &work.cuts {
        d.path(outline.border(cut.kerf[0], cut.kerf[1], placing), None, Some(Ink(70, 70, 70)));
    }
    shown.tangent_lines(d);
    for stretch in &work.stretches {
        shown.name(stretch, d);
    }
    shown.cuts(work, d);
}

/// An item with what it is drawn by.
struct Shown<'a> {
    papers: &'a PaperJob<'a>,
    item: &'a Item,
    outline: Outline,
    placing: &'a Placing,
    sizes: &'a Sizes,
}

impl Shown<'_> {
    fn tangent_lines(&self, d: &mut Drawing) {
        let (outline, placing, sizes) = (&self.outline, self.placing, self.sizes);
        if !outline.bent() {
            return;
        }
        let pen = Stroke::of(0.25, Ink::GREY).dashed(&[30, 10, 6, 10]);
        let beyond = 3.0 / placing.scale;
        for (name, s) in ["T1", "T2"].into_iter().zip(outline.tangents()) {
            outline.across(d, placing, s, [beyond, beyond], pen);
            let at = placing.at(outline.point(s, -outline.radius - beyond - 0.75 * sizes.label / placing.scale));
            let text = d.text(at, sizes.label * 0.9, Anchor::Middle, name);
            (text.ink, text.weight) = (Ink::GREY, Weight::Bold);
        }
    }

    /// Names what a stretch becomes, with the way of the flow.
    fn name(&self, stretch: &Stretch, d: &mut Drawing) {
        let (papers, outline, placing, sizes) = (self.papers, &self.outline, self.placing, self.sizes);
        let (at, item) = (stretch.at, self.item);
        let middle = 0.5 * (at[0] + at[1]);
        let place = placing.at(outline.point(middle, 0.0));
        let long = (at[1] - at[0]) * placing.scale;
        let turn = placing.reading(outline.heading(middle));
        match stretch.part {
            Part::Piece(k) => {
                let piece = &papers.plan.pieces[k];
                self.flow(at, piece.reversed, d);
                let size = sizes.mark.min(0.55 * long).max(2.4);
                let text = d.text(place, size, Anchor::Middle, &piece.mark);
                (text.weight, text.over) = (Weight::Bold, true);
            }
            Part::Offcut(k) => {
                let length = papers.plan.offcuts[k].at;
                let full = format!("KEEP {} · {}", item.id, words::with_unit(length[1] - length[0], papers.units));
                // The table below says the rest where the whole label does not fit.
                let fits = 0.62 * sizes.label * full.chars().count() as f64 <= long;
                let label = if fits { full } else { "KEEP".into() };
                let text = d.text(place, sizes.label, Anchor::Middle, label);
                (text.turn, text.over, text.weight) = (turn, true, Weight::Bold);
            }
            Part::Scrap if long > 4.0 * sizes.label => {
                let text = d.text(place, sizes.label, Anchor::Middle, "scrap");
                (text.turn, text.ink) = (turn, Ink::GREY);
            }
            Part::Scrap => {}
        }
    }

    /// A thin centreline with a head that points along the flow.
    fn flow(&self, at: [f64; 2], reversed: bool, d: &mut Drawing) {
        let (outline, placing) = (&self.outline, self.placing);
        let pen = Stroke::of(0.25, Ink::GREY);
        let inset = (0.08 * (at[1] - at[0])).min(4.0 / placing.scale);
        let (from, to) = (at[0] + inset, at[1] - inset);
        d.path(outline.centre(from, to, placing), Some(pen), None);
        let (tip, sign) = if reversed { (from, -1.0) } else { (to, 1.0) };
        let a = outline.heading(tip);
        d.head(placing.at(outline.point(tip, 0.0)), placing.way([sign * a.cos(), sign * a.sin()]), 3.4, Ink::GREY);
    }

    /// Cut lines with their number and figure outside the bend; close neighbours are set apart.
    fn cuts(&self, work: &SawWork, d: &mut Drawing) {
        let (papers, outline, placing, sizes) = (self.papers, &self.outline, self.placing, self.sizes);
        let mut taken: Vec<Point> = Vec::new();
        for cut in &work.cuts {
            let a = outline.heading(cut.line);
            let way = placing.way([a.sin() / placing.scale, -a.cos() / placing.scale]);
            // Figures stand above or below numbers on level tube, and then need more room.
            let level = way[0].abs() < 0.35;
            let apart = if level { 4.6 } else { 2.3 } * sizes.bubble;
            let spot = |out: f64| placing.at(outline.point(cut.line, outline.radius + out / placing.scale));
            let free = |out: f64| taken.iter().all(|p| (p[0] - spot(out)[0]).hypot(p[1] - spot(out)[1]) > apart);
            let tries = [2.0, 4.4, 6.8].map(|n| n * sizes.bubble);
            let out = tries.into_iter().find(|t| free(*t)).unwrap_or(tries[2]);
            let beyond = [3.0 / placing.scale, (out - sizes.bubble) / placing.scale];
            outline.across(d, placing, cut.line, beyond, Stroke::black(0.45));
            let at = spot(out);
            d.bubble(at, sizes.bubble, cut.number.to_string(), Ink::BLACK, true);
            // The figure goes beyond the number, away from the tube.
            let beside = sizes.bubble + 1.2;
            let (anchor, shift) = match level {
                true if way[1] > 0.0 => (Anchor::Top, [0.0, beside]),
                true => (Anchor::Bottom, [0.0, -beside]),
                false if way[0] > 0.0 => (Anchor::Left, [beside, 0.0]),
                false => (Anchor::Right, [-beside, 0.0]),
            };
            let label = cut_label(&cut.place, papers.units);
            d.text([at[0] + shift[0], at[1] + shift[1]], sizes.label, anchor, label).weight = Weight::Bold;
            taken.push(at);
        }
    }
}
