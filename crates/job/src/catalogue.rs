//! The catalogue: tube and pipe sizes, gauges, elbows, typical bends and sticks, sockets, materials.
//!
//! The figures stand in `data/*.csv`, one row each with its source; values from memory and rules of
//! thumb say so there. Pipe follows ASME B36.10M and B36.19M with the millimetre sizes, elbows
//! ASME B16.9: the centreline radius of a long-radius elbow is 1.5 x nominal size (not outside
//! diameter), 38.1 mm at NPS 1/2 and 3/4. Tube gauge is the Birmingham gauge (16 ga = 1.651 mm), not
//! a sheet or wire gauge. Prices are invented and only a start; a shop's `stock.toml` replaces them.
//! `checks/pipe` and `checks/elbows` compare the figures with outside sources.

mod bends;
mod csv;
mod materials;
mod sizes;

pub use bends::{BendItem, ElbowItem, StickItem, bends, elbow, elbows, sticks};
pub(crate) use csv::{number, rows};
pub use materials::{Material, Series, material, materials};
pub use sizes::{
    GaugeItem, Pipe, SocketItem, TubeItem, gauge_wall, gauges, nominal_of, parse_inches, pipe_by_dn, pipe_by_nps,
    pipes, socket, sockets, tubes, walls,
};
