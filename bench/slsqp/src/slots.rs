//! A fixed place for every requirement: general solvers want the same number of them at every point.

use std::collections::BTreeMap;

use route::problem::RoutingProblem;
use route::search::evaluate::{Evaluator, RowKind, Tag};
use route::search::state::State;

/// Places by tag.
#[derive(Debug, Default)]
pub struct Slots {
    places: BTreeMap<Tag, usize>,
    block: usize,
}

impl Slots {
    /// All requirements that `state` can have at the places that `evaluator` looks at; `block` neighbouring points share one.
    pub fn new(problem: &RoutingProblem, state: &State, evaluator: &Evaluator, block: usize) -> Self {
        let mut slots = Slots { places: BTreeMap::new(), block: block.max(1) };
        let runs = problem.runs.len();
        for i in 0..runs {
            let bends = state.runs[i].clrs.len();
            for k in 0..=bends {
                slots.put(Tag(RowKind::Fit, i, 0, k));
            }
            for k in 0..bends {
                slots.put(Tag(RowKind::Slight, i, 0, k));
                slots.put(Tag(RowKind::Sharp, i, 0, k));
            }
            for side in 0..2 {
                slots.put(Tag(RowKind::Length, i, 0, side));
                slots.put(Tag(RowKind::Even, i, 0, side));
            }
            for point in evaluator.places(i) {
                slots.put(Tag(RowKind::Itself, i, point, 0));
                (0..problem.obstacles.len()).for_each(|o| slots.put(Tag(RowKind::Keepout, i, o, point)));
                (i + 1..runs).for_each(|j| slots.put(Tag(RowKind::Tube, i, j, point)));
            }
            for j in i + 1..runs {
                slots.put(Tag(RowKind::Early, i, j, 0));
                slots.put(Tag(RowKind::Early, i, j, 1));
            }
        }
        slots
    }

    /// Number of requirements.
    pub fn count(&self) -> usize {
        self.places.len()
    }

    /// The place of a requirement.
    pub fn of(&self, tag: Tag) -> usize {
        *self.places.get(&self.shared(tag)).expect("the families have these kinds of requirements only")
    }

    fn put(&mut self, tag: Tag) {
        let (tag, next) = (self.shared(tag), self.places.len());
        self.places.entry(tag).or_insert(next);
    }

    fn shared(&self, tag: Tag) -> Tag {
        match tag.0 {
            RowKind::Itself => Tag(tag.0, tag.1, tag.2 / self.block, 0),
            RowKind::Keepout | RowKind::Tube => Tag(tag.0, tag.1, tag.2, tag.3 / self.block),
            _ => tag,
        }
    }
}
