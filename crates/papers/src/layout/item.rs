//! An item of stock drawn in its plane: pieces, cuts, kerfs, scrap. Saw sheets and full-size pages share it.

use std::f64::consts::PI;

use cutplan::saw::{Face, Outcome, SawCut, SawWork, SawnStretch};
use cutplan::{CutPlace, Item};
use job::model::Units;

use crate::PaperJob;
use crate::balloon::crosses;
use crate::outline::Outline;
use crate::sheet::{Anchor, Drawing, Ink, Placing, Point, Stroke, Text, Weight, polyline};
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
        CutPlace::Arc { angle, .. } => words::fine_angle(*angle),
        CutPlace::FirstLeg { from_tangent } => format!("T1 + {}", words::figure(*from_tangent, units)),
        CutPlace::SecondLeg { from_tangent } => format!("T2 + {}", words::figure(*from_tangent, units)),
        CutPlace::Straight { from_end } => words::figure(*from_end, units),
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
            Outcome::Piece(_) => (Ink::BLACK, Ink::WHITE),
            Outcome::Offcut(_) => (Ink::BLACK, Ink(244, 244, 244)),
            Outcome::Scrap => (Ink::GREY, Ink::PALE),
        };
        d.path(outline.border(stretch.at[0], stretch.at[1], placing), Some(Stroke::of(0.35, ink)), Some(fill));
    }
    for stretch in &work.stretches {
        shown.reserve(stretch, d);
    }
    for cut in &work.cuts {
        shown.blade(cut, d);
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
    /// What the blade takes: a strip of its own width beside the line. On the blade's side, what is left up to the second
    /// face's line, dashed, is trued off.
    fn blade(&self, cut: &SawCut, d: &mut Drawing) {
        let (outline, line) = (&self.outline, cut.saw.line);
        if let Some(second) = cut.second.filter(Face::trued) {
            let ends = [line.min(second.line), line.max(second.line)];
            d.path(outline.border(ends[0], ends[1], self.placing), None, Some(Ink(200, 200, 200)));
            let beyond = 2.0 / self.placing.scale;
            let pen = Stroke::black(0.3).dashed(&[8, 6]);
            outline.across(d, self.placing, second.line, [beyond, beyond], pen);
        }
        let (a, half) = (outline.heading(line), 0.5 * self.item.od);
        let wide = if cut.kerf_after { 1.0 } else { -1.0 } * self.papers.saw().kerf;
        let corner = |out: f64, aside: f64| {
            let [x, y] = outline.point(line, out);
            self.placing.at([x + aside * a.cos(), y + aside * a.sin()])
        };
        let corners = [corner(half, 0.0), corner(half, wide), corner(-half, wide), corner(-half, 0.0)];
        d.path(polyline(&corners), None, Some(Ink(70, 70, 70)));
    }

    /// Hatches what a piece is left longer, up to the dashed line of its drawn end.
    fn reserve(&self, stretch: &SawnStretch, d: &mut Drawing) {
        let Outcome::Piece(k) = stretch.part else { return };
        let (outline, placing) = (&self.outline, self.placing);
        let piece = &self.papers.plan.pieces[k];
        let slant = 2.0 * outline.radius;
        for at in piece.reserve_at(&self.item.shape) {
            let mut from = at[0] - slant;
            while from < at[1] {
                // The part of a slanted line that lies within the reserve.
                let ends = [at[0].max(from), at[1].min(from + slant)];
                let place = |s: f64| placing.at(outline.point(s, (s - from) - outline.radius));
                d.line(place(ends[0]), place(ends[1]), Stroke::of(0.2, Ink(90, 90, 90)));
                from += HATCH / placing.scale;
            }
            let drawn = if (at[0] - piece.at[0]).abs() < 1e-9 { at[1] } else { at[0] };
            outline.across(d, placing, drawn, [0.0, 0.0], Stroke::black(0.3).dashed(&[8, 6]));
        }
    }

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
    fn name(&self, stretch: &SawnStretch, d: &mut Drawing) {
        let (papers, outline, placing, sizes) = (self.papers, &self.outline, self.placing, self.sizes);
        let (at, item) = (stretch.at, self.item);
        let middle = 0.5 * (at[0] + at[1]);
        let place = placing.at(outline.point(middle, 0.0));
        let long = (at[1] - at[0]) * placing.scale;
        let turn = placing.reading(outline.heading(middle));
        match stretch.part {
            Outcome::Piece(k) => {
                let piece = &papers.plan.pieces[k];
                self.flow(at, piece.reversed, d);
                let mut size = sizes.mark.min(0.55 * long).max(2.4);
                // On a very short piece it stands across the tube.
                let across = 0.62 * size * piece.mark.chars().count() as f64 > long;
                if across {
                    size = (0.8 * long).clamp(2.0, sizes.mark);
                }
                let text = d.text(place, size, Anchor::Middle, &piece.mark);
                (text.weight, text.over) = (Weight::Bold, !across);
                if across {
                    text.turn = placing.reading(outline.heading(middle) + 0.5 * PI);
                }
            }
            Outcome::Offcut(k) => {
                let length = papers.plan.offcuts[k].at;
                let full = format!("KEEP {} · {}", item.id, words::with_unit(length[1] - length[0], papers.units));
                // The table below says the rest where the whole label does not fit.
                let fits = 0.62 * sizes.label * full.chars().count() as f64 <= long;
                let label = if fits { full } else { "KEEP".into() };
                let text = d.text(place, sizes.label, Anchor::Middle, label);
                (text.turn, text.over, text.weight) = (turn, true, Weight::Bold);
            }
            Outcome::Scrap if long > 4.0 * sizes.label => {
                let text = d.text(place, sizes.label, Anchor::Middle, "scrap");
                (text.turn, text.ink) = (turn, Ink::GREY);
            }
            Outcome::Scrap => {}
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

    /// Cut lines with their number and figure outside the bend; those of close neighbours are set apart so that no leader
    /// crosses a figure.
    fn cuts(&self, work: &SawWork, d: &mut Drawing) {
        let mut taken = Taken::default();
        for cut in &work.cuts {
            let label = cut_label(&cut.saw.place, self.papers.units);
            // Where cuts crowd the number stands alone: the table says the figure.
            let (spots, alone) = (self.spots(cut.saw.line, &label), self.spots(cut.saw.line, ""));
            let free = |list: &'_ [Spot]| list.iter().position(|s| taken.free(s));
            let spot = free(&spots).map(|i| &spots[i]).or(free(&alone).map(|i| &alone[i])).or(alone.first());
            let Some(spot) = spot else { continue };
            let (short, knee) = (3.0 / self.placing.scale, KNEE * self.sizes.bubble / self.placing.scale);
            let beyond = if spot.outside { [short, knee] } else { [knee, short] };
            self.outline.across(d, self.placing, cut.saw.line, beyond, Stroke::black(0.45));
            d.line(spot.leader[0], spot.leader[1], Stroke::black(0.3));
            d.bubble(spot.number, self.sizes.bubble, cut.number.to_string(), Ink::BLACK, true);
            let text = &spot.figure;
            let written = d.text(text.at, text.size, text.anchor, text.text.clone());
            (written.weight, written.over) = (Weight::Bold, text.over);
            taken.take(spot);
        }
    }

    /// Where the number and figure of a cut may stand, the best first: straight out from it, then to the sides, then farther
    /// out; on a straight on its other side too.
    fn spots(&self, line: f64, label: &str) -> Vec<Spot> {
        let (outline, placing, sizes) = (&self.outline, self.placing, self.sizes);
        let unit = |p: Point| p.map(|c| c / placing.scale);
        let a = outline.heading(line);
        let (out_way, along) = (unit(placing.way([a.sin(), -a.cos()])), unit(placing.way([a.cos(), a.sin()])));
        let reach = outline.radius + KNEE * sizes.bubble / placing.scale;
        let mut spots = Vec::new();
        let levels = [1.3, 3.0, 4.8, 6.6];
        for out in levels.into_iter().take(if outline.bent() { 4 } else { 2 }) {
            for outside in [true, false].into_iter().take(if outline.bent() { 1 } else { 2 }) {
                let sign = if outside { 1.0 } else { -1.0 };
                let knee = placing.at(outline.point(line, sign * reach));
                let way = out_way.map(|c| sign * c);
                for aside in ASIDE {
                    let number = [0, 1].map(|k| knee[k] + sizes.bubble * (out * way[k] + aside * along[k]));
                    let figures = self.figures(way, number, label).into_iter();
                    let spot = |figure| Spot { leader: [knee, number], number, bubble: sizes.bubble, figure, outside };
                    spots.extend(figures.map(spot));
                }
            }
        }
        spots
    }

    /// The figure beyond its number, away from the tube; on level tube also beside it.
    fn figures(&self, way: Point, number: Point, label: &str) -> Vec<Text> {
        let beside = self.sizes.bubble + 1.2;
        let level = way[0].abs() < 0.35;
        let ways = match level {
            true if way[1] > 0.0 => {
                vec![(Anchor::Top, [0.0, beside]), (Anchor::Right, [-beside, 0.0]), (Anchor::Left, [beside, 0.0])]
            }
            true => {
                vec![(Anchor::Bottom, [0.0, -beside]), (Anchor::Right, [-beside, 0.0]), (Anchor::Left, [beside, 0.0])]
            }
            false if way[0] > 0.0 => vec![(Anchor::Left, [beside, 0.0])],
            false => vec![(Anchor::Right, [-beside, 0.0])],
        };
        let text = |(anchor, shift): (Anchor, Point)| Text {
            at: [number[0] + shift[0], number[1] + shift[1]],
            text: label.to_string(),
            size: self.sizes.label,
            anchor,
            turn: 0.0,
            weight: Weight::Bold,
            ink: Ink::BLACK,
            over: false,
        };
        ways.into_iter().map(text).collect()
    }
}

/// Distance of hatching lines along the tube, mm on paper.
const HATCH: f64 = 1.5;

/// From the tube's outside to where a leader may bend, in radii of a number's ring.
const KNEE: f64 = 0.8;

/// How far numbers are set aside along the tube, in radii of their ring.
const ASIDE: [f64; 13] = [0.0, -1.6, 1.6, -3.2, 3.2, -4.8, 4.8, -6.4, 6.4, -8.0, 8.0, -9.6, 9.6];

/// A place for a cut's number and figure.
struct Spot {
    /// From the cut line's end to the middle of the number.
    leader: [Point; 2],
    number: Point,
    bubble: f64,
    figure: Text,
    /// Whether it stands on the outside of the bend.
    outside: bool,
}

/// What numbers, figures and leaders have taken already.
#[derive(Default)]
struct Taken {
    boxes: Vec<[Point; 2]>,
    leaders: Vec<[Point; 2]>,
}

impl Taken {
    fn free(&self, spot: &Spot) -> bool {
        let boxes = spot.boxes();
        let clear = |a: &[Point; 2], b: &[Point; 2]| (0..2).any(|k| a[1][k] < b[0][k] || b[1][k] < a[0][k]);
        boxes.iter().all(|a| self.boxes.iter().all(|b| clear(a, b)))
            && boxes.iter().all(|a| self.leaders.iter().all(|l| !crosses(l, a)))
            && self.boxes.iter().all(|b| !crosses(&spot.leader, b))
    }

    fn take(&mut self, spot: &Spot) {
        self.boxes.extend(spot.boxes());
        self.leaders.push(spot.leader);
    }
}

impl Spot {
    /// Boxes around number and figure, a little wider than they are.
    fn boxes(&self) -> [[Point; 2]; 2] {
        let r = self.bubble + 0.2;
        let [low, high] = self.figure.letters();
        let number = [self.number.map(|c| c - r), self.number.map(|c| c + r)];
        [number, [low.map(|c| c - 0.4), high.map(|c| c + 0.4)]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(x: f64, label: &str) -> Spot {
        let mut d = Drawing::new(1.0, 1.0);
        let figure = d.text([x, -6.0], 3.4, Anchor::Bottom, label).clone();
        Spot { leader: [[x, 0.0], [x, -3.0]], number: [x, -3.0], bubble: 3.0, figure, outside: true }
    }

    #[test]
    fn a_place_is_free_where_neither_figures_nor_leaders_meet() {
        let mut taken = Taken::default();
        taken.take(&spot(0.0, "T1 + 12.0"));
        assert!(!taken.free(&spot(7.0, "T1 + 14.0")), "the figures overlap");
        assert!(taken.free(&spot(25.0, "T1 + 14.0")));
        let mut beyond = spot(8.0, "1");
        beyond.leader = [[8.0, 0.0], [8.0, -20.0]];
        (beyond.number, beyond.figure.at) = ([8.0, -20.0], [8.0, -23.0]);
        assert!(!taken.free(&beyond), "its leader runs through the first one's figure");
    }
}
