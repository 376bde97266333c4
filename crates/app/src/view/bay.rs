//! The engine bay: ports, collectors, obstacles, tool paths, tails.

use geom::{Aabb, Solid, Vec3};
use job::inlets::{entering_od, inlets, outlet};
use job::model::{Collector, Job, Keepout};
use job::parts::{placed_bungs, solids as part_solids};
use job::routes::Routes;
use route::clearance::Clearance;
use route::laid::frame_of;
use route::tools::tool_ways;
use serde::Serialize;
use utoipa::ToSchema;

use super::routes::keepout_gaps;
use super::{Xyz, xyz};
use crate::summary::rounded;

/// The engine bay.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BayView {
    /// Ports in the order of the file.
    pub ports: Vec<PortView>,
    /// Collectors, where they stand.
    pub collectors: Vec<CollectorView>,
    /// Obstacles to stay clear of.
    pub keepouts: Vec<KeepoutView>,
    /// Paths of sockets to bolts and plugs.
    pub tools: Vec<ToolView>,
    /// Tail pipes.
    pub tails: Vec<TailView>,
    /// Brackets, slip joints and bungs with their sensors, as simple solids where the runs carry them.
    pub parts: Vec<PartView>,
    /// Bounding box of everything.
    pub bounds: BoundsView,
}

/// A port.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PortView {
    /// Cylinder of the port.
    pub cylinder: u32,
    /// Centre at the flange face.
    pub at: Xyz,
    /// Direction of flow out of the head.
    pub axis: Xyz,
    /// Least straight length leaving it, mm.
    pub stub: f64,
    /// Outside diameter of the tube, mm.
    pub od: f64,
}

/// A collector.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CollectorView {
    /// Name of the collector.
    pub name: String,
    /// Centre of the inlet plane.
    pub at: Xyz,
    /// Direction of flow.
    pub axis: Xyz,
    /// Across it, the roll of the inlets.
    pub up: Xyz,
    /// Outside diameter of the tubes that enter, mm.
    pub od: f64,
    /// Inlets of the collector.
    pub inlets: Vec<InletView>,
    /// Least straight length entering it, mm.
    pub stub: f64,
    /// The collector that its outlet feeds.
    pub feeds: Option<String>,
    /// What it takes up behind its inlet plane; empty: nothing is known of it.
    pub body: Vec<ShapeView>,
    /// Centre of its outlet.
    pub outlet: Xyz,
}

/// An inlet.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct InletView {
    /// From 1.
    pub number: usize,
    /// Centre of the inlet.
    pub at: Xyz,
}

/// An obstacle.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct KeepoutView {
    /// Name of the obstacle.
    pub name: String,
    /// Shape of the obstacle.
    pub shape: ShapeView,
    /// Minimum clearance, mm.
    pub clearance: f64,
    /// Whether ports or collectors are mounted in it.
    pub holds_ports: bool,
    /// Clearance of the run that is furthest below the minimum, or nearest, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gap: Option<f64>,
    /// Clearance missing there, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub short: Option<f64>,
}

/// A shape.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum ShapeView {
    /// A box.
    Box {
        /// Centre.
        center: Xyz,
        /// Whole lengths along its axes, mm.
        size: Xyz,
        /// Axes of the shape.
        #[schema(value_type = (Xyz, Xyz, Xyz))]
        axes: [Xyz; 3],
    },
    /// A cylinder with flat ends.
    Cylinder {
        /// Centre of one end.
        from: Xyz,
        /// Centre of the other.
        to: Xyz,
        /// Radius, mm.
        radius: f64,
    },
    /// A cone with its tip cut off.
    Cone {
        /// Centre of one end.
        from: Xyz,
        /// Centre of the other.
        to: Xyz,
        /// Radius of each end, mm.
        radii: (f64, f64),
    },
    /// A cylinder with round ends.
    Capsule {
        /// Centre of one end's ball.
        from: Xyz,
        /// Centre of the other's.
        to: Xyz,
        /// Radius, mm.
        radius: f64,
    },
    /// A sphere.
    Sphere {
        /// Centre.
        center: Xyz,
        /// Radius, mm.
        radius: f64,
    },
    /// A triangle mesh.
    Mesh {
        /// The document that holds it.
        file: String,
        /// Triangles.
        triangles: usize,
        /// Bounding box.
        bounds: BoundsView,
    },
}

/// The path of a tool.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ToolView {
    /// Its name: `bolt 2 of port 1`.
    pub name: String,
    /// Start of the tool's path.
    pub from: Xyz,
    /// Where it ends.
    pub to: Xyz,
    /// Radius, mm.
    pub radius: f64,
}

/// A part on a tube.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PartView {
    /// Its name: `bung of primary 1`.
    pub name: String,
    /// A shape that stands for it.
    pub shape: ShapeView,
}

/// A tail pipe.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TailView {
    /// The collector it leaves.
    pub from: String,
    /// Points that it passes through.
    pub via: Vec<Xyz>,
    /// Where it ends.
    pub to: Xyz,
    /// Direction of flow there.
    pub axis: Xyz,
    /// Outside diameter, mm.
    pub od: f64,
}

/// A box along the axes.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BoundsView {
    /// Least corner.
    pub min: Xyz,
    /// Greatest corner.
    pub max: Xyz,
}

/// The bay of a job. `mesh_files`: the file of each keep-out that is a mesh, in the order of the job's keep-outs.
pub fn bay(job: &Job, routes: Option<&Routes>, gaps: Option<&Clearance>, mesh_files: &[Option<String>]) -> BayView {
    let none = Routes::default();
    let standing = routes.unwrap_or(&none);
    let collectors: Vec<CollectorView> =
        job.collectors.iter().enumerate().map(|(i, c)| collector(job, standing, i, c)).collect();
    let sensors: Vec<Keepout> = placed_bungs(job, standing).into_iter().map(|p| p.way).collect();
    let files = mesh_files.iter().cloned().chain(std::iter::repeat(None));
    BayView {
        ports: job
            .ports
            .iter()
            .map(|p| PortView {
                cylinder: p.cylinder,
                at: xyz(p.at),
                axis: xyz(p.axis),
                stub: p.stub,
                od: job.primary.tube.od,
            })
            .collect(),
        bounds: bounds_view(bounds(job, routes)),
        collectors,
        keepouts: job.keepouts.iter().zip(files).map(|(k, file)| keepout(k, file, gaps)).collect(),
        tools: tool_ways(job).iter().chain(&sensors).filter_map(tool).collect(),
        parts: part_solids(job, standing)
            .into_iter()
            .map(|p| PartView { name: p.name, shape: shape(&p.solid, None) })
            .collect(),
        tails: job
            .tails
            .iter()
            .map(|t| TailView {
                from: t.from.clone(),
                via: t.via.iter().map(|p| xyz(*p)).collect(),
                to: xyz(t.to),
                axis: xyz(t.axis),
                od: job.tail.tube.od,
            })
            .collect(),
    }
}

fn collector(job: &Job, routes: &Routes, index: usize, drawn: &Collector) -> CollectorView {
    let frame = frame_of(job, routes, index);
    let od = entering_od(job, drawn);
    let places = inlets(drawn, &frame, od).into_iter().enumerate();
    let solids = drawn.body.iter().flat_map(|b| b.solids(drawn, &frame, od));
    CollectorView {
        name: drawn.name.clone(),
        at: xyz(frame.origin),
        axis: xyz(frame.forward),
        up: xyz(frame.up),
        od,
        inlets: places.map(|(i, inlet)| InletView { number: i + 1, at: xyz(inlet.in_plane) }).collect(),
        stub: drawn.stub,
        feeds: drawn.feeds.clone(),
        body: solids.map(|s| shape(&s, None)).collect(),
        outlet: xyz(outlet(drawn, &frame).at),
    }
}

fn keepout(drawn: &Keepout, file: Option<String>, gaps: Option<&Clearance>) -> KeepoutView {
    let nearest = gaps.and_then(|g| keepout_gaps(g, &drawn.name));
    KeepoutView {
        name: drawn.name.clone(),
        shape: shape(&drawn.shape, file),
        clearance: drawn.clearance,
        holds_ports: drawn.holds_ports,
        gap: nearest.map(|(gap, _)| rounded(gap)),
        short: nearest.map(|(gap, need)| need - gap).filter(|s| *s > route::clearance::TOLERANCE).map(rounded),
    }
}

fn shape(solid: &Solid, file: Option<String>) -> ShapeView {
    match solid {
        Solid::Box { center, size, axes } => {
            ShapeView::Box { center: xyz(*center), size: xyz(*size), axes: axes.map(xyz) }
        }
        Solid::Cylinder { from, to, radius } => ShapeView::Cylinder { from: xyz(*from), to: xyz(*to), radius: *radius },
        Solid::Cone { from, to, radii } => {
            ShapeView::Cone { from: xyz(*from), to: xyz(*to), radii: (radii[0], radii[1]) }
        }
        Solid::Capsule { from, to, radius } => ShapeView::Capsule { from: xyz(*from), to: xyz(*to), radius: *radius },
        Solid::Sphere { center, radius } => ShapeView::Sphere { center: xyz(*center), radius: *radius },
        Solid::Mesh(mesh) => ShapeView::Mesh {
            file: file.unwrap_or_default(),
            triangles: mesh.triangles().len(),
            bounds: bounds_view(mesh.bounds()),
        },
    }
}

fn tool(way: &Keepout) -> Option<ToolView> {
    let Solid::Cylinder { from, to, radius } = &way.shape else { return None };
    Some(ToolView { name: way.name.clone(), from: xyz(*from), to: xyz(*to), radius: *radius })
}

/// The least box around ports, collectors, keep-outs and runs.
fn bounds(job: &Job, routes: Option<&Routes>) -> Aabb {
    let ports = job.ports.iter().map(|p| p.at);
    let collectors = job.collectors.iter().map(|c| c.at);
    let tails = job.tails.iter().flat_map(|t| t.via.iter().copied().chain([t.to]));
    let points = routes.into_iter().flat_map(|r| r.runs.iter().flat_map(|r| r.points.iter().copied()));
    let all: Vec<Vec3> = ports.chain(collectors).chain(tails).chain(points).collect();
    let solids = job.keepouts.iter().map(|k| k.shape.bounds());
    let around = (!all.is_empty()).then(|| Aabb::around(all));
    solids.chain(around).reduce(Aabb::union).unwrap_or(Aabb { min: Vec3::ZERO, max: Vec3::ZERO })
}

fn bounds_view(bounds: Aabb) -> BoundsView {
    BoundsView { min: xyz(bounds.min), max: xyz(bounds.max) }
}
