//! Numbers of arcs, straights and kinds of stock of an instance, each a type of its own.

use std::ops::{Index, IndexMut};

macro_rules! id {
    ($(#[$meta:meta])* $name:ident) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
        pub(crate) struct $name(pub usize);

        impl $name {
            /// The first `count` of them.
            pub fn all(count: usize) -> impl DoubleEndedIterator<Item = $name> + ExactSizeIterator + Clone {
                (0..count).map($name)
            }
        }

        impl<T> Index<$name> for Vec<T> {
            type Output = T;

            fn index(&self, at: $name) -> &T {
                &self[at.0]
            }
        }

        impl<T> IndexMut<$name> for Vec<T> {
            fn index_mut(&mut self, at: $name) -> &mut T {
                &mut self[at.0]
            }
        }
    };
}

id! {
    /// An arc that the runs need: a place in `Instance::arcs`.
    ArcId
}
id! {
    /// A straight that the runs need: a place in `Instance::straights`.
    StraightId
}
id! {
    /// A kind of bend that can be bought: a place in `Instance::bends`.
    KindId
}
id! {
    /// A kind of stick that can be bought: a place in `Instance::sticks`.
    StickId
}
