//! Items on a page, and chunks of items that stay on one page. Lengths in mm.

use std::rc::Rc;

use super::text::Words;
use crate::sheet::{Drawing, Ink, Point, Stroke};

/// An item on a page.
#[derive(Clone)]
pub(super) enum Placed<'a> {
    /// A line of a text, by its index; the left end of its baseline lies there.
    Line(Rc<Words>, usize, Point),
    /// A level rule.
    Rule {
        /// Left end.
        from: Point,
        /// Length.
        length: f64,
        /// Pen.
        stroke: Stroke,
    },
    /// A filled rectangle.
    Area {
        /// Upper left corner.
        corner: Point,
        /// Width and height.
        size: [f64; 2],
        /// Fill.
        fill: Ink,
        /// Pen of its border.
        stroke: Option<Stroke>,
    },
    /// A drawing with its corner there.
    Drawing(&'a Drawing, Point),
}

impl Placed<'_> {
    /// The same, moved.
    #[must_use]
    pub fn moved(self, by: Point) -> Self {
        let to = |p: Point| [p[0] + by[0], p[1] + by[1]];
        match self {
            Placed::Line(words, line, at) => Placed::Line(words, line, to(at)),
            Placed::Rule { from, length, stroke } => Placed::Rule { from: to(from), length, stroke },
            Placed::Area { corner, size, fill, stroke } => Placed::Area { corner: to(corner), size, fill, stroke },
            Placed::Drawing(drawing, at) => Placed::Drawing(drawing, to(at)),
        }
    }

    /// Upper and lower end, mm.
    fn reach(&self) -> [f64; 2] {
        match self {
            Placed::Line(words, _, at) => [at[1] - words.style().rise(), at[1]],
            Placed::Rule { from, .. } => [from[1], from[1]],
            Placed::Area { corner, size, .. } => [corner[1], corner[1] + size[1]],
            Placed::Drawing(drawing, at) => [at[1], at[1] + drawing.height],
        }
    }
}

/// How far down the lowest of the items reaches, mm.
pub(super) fn lowest(items: &[Placed<'_>]) -> f64 {
    items.iter().map(|item| item.reach()[1]).fold(0.0, f64::max)
}

/// Items that stay on one page, from the upper left corner of their box.
#[derive(Clone, Default)]
pub(super) struct Chunk<'a> {
    /// Height of the box.
    pub height: f64,
    /// Items in the box.
    pub items: Vec<Placed<'a>>,
}

impl<'a> Chunk<'a> {
    /// Writes the lines of a text with their upper left corner at `at`; the box grows to hold them.
    pub fn write(&mut self, words: Rc<Words>, at: Point) {
        for line in 0..words.lines() {
            self.items.push(Placed::Line(Rc::clone(&words), line, [at[0], at[1] + words.baseline(line)]));
        }
        self.height = self.height.max(at[1] + words.height());
    }

    /// Another piece set below this one.
    #[must_use]
    pub fn above(mut self, lower: Chunk<'a>) -> Self {
        let by = [0.0, self.height];
        self.items.extend(lower.items.into_iter().map(|item| item.moved(by)));
        self.height += lower.height;
        self
    }

    /// Cuts off what runs over `height` and returns it; `None` when nothing would be left above. A rectangle that
    /// is cut continues below.
    pub fn split(&mut self, height: f64) -> Option<Chunk<'a>> {
        let over = |item: &Placed<'_>| !matches!(item, Placed::Area { .. }) && item.reach()[1] > height;
        let top = self.items.iter().filter(|i| over(i)).map(|i| i.reach()[0]).fold(f64::INFINITY, f64::min);
        let stays = |item: &Placed<'_>| !matches!(item, Placed::Area { .. } | Placed::Rule { .. }) && !over(item);
        if !top.is_finite() || !self.items.iter().any(stays) {
            return None;
        }
        let mut rest = Chunk { height: self.height - top, items: Vec::new() };
        for item in std::mem::take(&mut self.items) {
            let [low, high] = item.reach();
            match item {
                Placed::Area { corner, size, fill, stroke } => {
                    let part = |from: f64, to: f64| Placed::Area {
                        corner: [corner[0], from],
                        size: [size[0], to - from],
                        fill,
                        stroke,
                    };
                    if low < height {
                        self.items.push(part(low, high.min(height)));
                    }
                    if high > top {
                        rest.items.push(part(low.max(top) - top, high - top));
                    }
                }
                item if over(&item) => rest.items.push(item.moved([0.0, -top])),
                item => self.items.push(item),
            }
        }
        self.height = height;
        Some(rest)
    }
}
