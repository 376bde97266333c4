//! Keep-outs made by the tools that must reach bolts and plugs.
//!
//! The socket of a flange bolt goes straight out from the bolt along its port's axis, that of a spark
//! plug out along the plug's own; what it sweeps is a flat-ended cylinder. No gap is asked beyond the
//! socket's own diameter: whoever wants room for the hand gives a bigger socket. The ways count
//! against every tube, the one on the very same port too.

use geom::Solid;
use job::model::{Job, Keepout};

/// The ways of the sockets of all flange bolts and spark plugs, named "bolt 2 of port 1" (the number
/// of the port is its cylinder's) and "plug 3"; bolts and plugs are counted from 1 in the job's order.
pub fn tool_ways(job: &Job) -> Vec<Keepout> {
    let way = |name: String, from, axis: geom::Vec3, reach: f64, socket_od: f64| Keepout {
        name,
        shape: Solid::Cylinder { from, to: from + axis * reach, radius: 0.5 * socket_od },
        clearance: 0.0,
        holds_ports: false,
    };
    let mut ways = Vec::new();
    for port in &job.ports {
        for (i, bolt) in port.bolts.iter().enumerate() {
            let name = format!("bolt {} of port {}", i + 1, port.cylinder);
            ways.push(way(name, bolt.at, port.axis, bolt.reach, bolt.socket_od));
        }
    }
    for (i, plug) in job.plugs.iter().enumerate() {
        ways.push(way(format!("plug {}", i + 1), plug.at, plug.axis, plug.reach, plug.socket_od));
    }
    ways
}
