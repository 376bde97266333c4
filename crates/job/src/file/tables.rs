//! The tables of job.toml.

use super::body_table::BODY;
use super::describe::{Key, Kind, Range, Table, above, may, must, range};

/// Coordinates, mm: a bay lies within 20 m of its origin.
const PLACE: Range = range(-20_000.0, 20_000.0);
/// Any length that may be 0, mm.
const LENGTH: Range = range(0.0, 20_000.0);
/// Any length above 0, mm.
const POSITIVE: Range = above(0.0, 20_000.0);
/// Outside diameters, mm: from brake pipe to a lorry's stack.
const OD: Range = range(4.0, 400.0);
/// Walls, mm.
const WALL: Range = range(0.2, 20.0);
/// Centreline radii, mm.
const CLR: Range = range(4.0, 5_000.0);
/// Gaps, mm.
const GAP: Range = range(0.0, 500.0);
/// Cylinder numbers.
const CYLINDER: Kind = Kind::Whole(1, 24);

/// Ports, collectors, plugs, tails and runs of each kind: the largest engines have 24 cylinders.
const MOST_PORTS: usize = 64;
/// Bolts of one port's flange.
const MOST_BOLTS: usize = 64;
/// Keep-outs: a crowded bay, every hose and bracket measured, has some two hundred.
const MOST_KEEPOUTS: usize = 2_000;
/// Bends and sticks to buy: a supplier's whole list in one material has a hundred.
const MOST_STOCK: usize = 500;
/// Remnants: a shelf of two thousand pieces is a room.
const MOST_REMNANTS: usize = 2_000;
/// Lines that a shop adds to its quotes.
const MOST_EXTRAS: usize = 200;

/// The place range, for [`Kind::Point`].
pub const COORDINATE: Range = PLACE;

const OD_KEY: Key = may("od", Kind::Length(OD), "Outside diameter.");
const WALL_KEY: Key = may("wall", Kind::Wall(WALL), "Wall, as a length or a tube gauge (\"16 ga\").");
const SIZE_KEY: Key = may(
    "size",
    Kind::Size,
    "Instead of od and wall: \"1 3/4 in x 16 ga\", \"42.4 x 2.0 mm\", \"1 1/2 NPS sch 10S\", \"DN 40 sch 10\".",
);

/// The whole file.
pub static JOB: Table = Table {
    title: "the job",
    doc: "One header, manifold or exhaust to be made: what was measured and what is wanted.",
    keys: &[
        may("format", Kind::Whole(1, 1), "Version of this format."),
        may("name", Kind::Text, "Name of the job; the folder's name unless said."),
        may("units", Kind::Choice(&["mm", "in"]), "Unit of bare numbers that are lengths."),
        may("engine", Kind::Table(&ENGINE), "The engine."),
        may("tube", Kind::Table(&TUBE), "The tube of the primaries."),
        may("length", Kind::Table(&LENGTH_TABLE), "Target for the lengths of the primaries."),
        may("secondary", Kind::Table(&SECONDARY), "Tube and lengths of the secondaries when they differ."),
        may("clearance", Kind::Table(&CLEARANCE), "The gaps to keep, from surface to surface."),
        may("port", Kind::Tables(&PORT, MOST_PORTS), "An exhaust port."),
        may("collector", Kind::Tables(&COLLECTOR, MOST_PORTS), "A collector or turbo flange."),
        may("keepout", Kind::Tables(&KEEPOUT, MOST_KEEPOUTS), "A thing that must not be touched."),
        may("plug", Kind::Tables(&PLUG, MOST_PORTS), "A spark plug: its socket and way out must stay free."),
        may("goes_on", Kind::Table(&GOES_ON), "How the finished header is put on."),
        may("tail", Kind::TablesOrOne(&TAIL, MOST_PORTS), "From the last collector out, through waypoints."),
        may("stock", Kind::Table(&STOCK), "What can be bought and what is on the shelf."),
        may("saw", Kind::Table(&SAW), "The saw and what it can hold."),
        may("cost", Kind::Table(&COST), "Money per joint and cut."),
    ],
};

static ENGINE: Table = Table {
    title: "[engine]",
    doc: "The engine.",
    keys: &[
        must("layout", Kind::Choice(&["single", "inline", "vee", "flat"]), "Which way the cylinders stand."),
        must("cylinders", CYLINDER, "Number of cylinders."),
        may("bore", Kind::Length(range(20.0, 400.0)), "Bore."),
        may("stroke", Kind::Length(range(15.0, 600.0)), "Stroke."),
        may("rod_length", Kind::Length(range(30.0, 1500.0)), "Length of the connecting rod between centres."),
        may("compression_ratio", Kind::Number(range(4.0, 30.0)), "Compression ratio."),
        may("firing_order", Kind::WholeList(1, 24), "Each cylinder once, in the order in which they fire."),
        may("peak_power_rpm", Kind::Number(range(300.0, 30_000.0)), "Engine speed of peak power, rpm."),
        may("exhaust_cam", Kind::Table(&EXHAUST_CAM), "Timing and lift of the exhaust valves."),
        may("intake_cam", Kind::Table(&INTAKE_CAM), "Timing and lift of the intake valves."),
        may("valves", Kind::Table(&VALVES), "Number and size of the valves of one cylinder."),
        may("intake", Kind::Table(&INTAKE), "The intake tract of one cylinder."),
    ],
};

static EXHAUST_CAM: Table = Table {
    title: "[engine.exhaust_cam]",
    doc: "Timing and lift of the exhaust valves.",
    keys: &[
        must("opens_bbdc_deg", Kind::Angle(range(-20.0, 150.0)), "Opens, degrees of crank before bottom dead centre."),
        must("closes_atdc_deg", Kind::Angle(range(-60.0, 120.0)), "Closes, degrees of crank after top dead centre."),
        must("lift", Kind::Length(above(0.0, 40.0)), "Greatest lift of the valve."),
        may(
            "timed_at_lift",
            Kind::Length(range(0.0, 5.0)),
            "Lift of the valve at which the timing is counted; 0 unless said.",
        ),
    ],
};

static INTAKE_CAM: Table = Table {
    title: "[engine.intake_cam]",
    doc: "Timing and lift of the intake valves.",
    keys: &[
        must("opens_btdc_deg", Kind::Angle(range(-60.0, 120.0)), "Opens, degrees of crank before top dead centre."),
        must("closes_abdc_deg", Kind::Angle(range(-20.0, 150.0)), "Closes, degrees of crank after bottom dead centre."),
        must("lift", Kind::Length(above(0.0, 40.0)), "Greatest lift of the valve."),
        may(
            "timed_at_lift",
            Kind::Length(range(0.0, 5.0)),
            "Lift of the valve at which the timing is counted; 0 unless said.",
        ),
    ],
};

static VALVES: Table = Table {
    title: "[engine.valves]",
    doc: "Number and size of the valves of one cylinder.",
    keys: &[
        must("exhaust_count", Kind::Whole(1, 4), "Exhaust valves of one cylinder."),
        must("exhaust_diameter", Kind::Length(range(8.0, 150.0)), "Diameter of an exhaust valve's head."),
        must("intake_count", Kind::Whole(1, 4), "Intake valves of one cylinder."),
        must("intake_diameter", Kind::Length(range(8.0, 150.0)), "Diameter of an intake valve's head."),
        may(
            "exhaust_discharge",
            Kind::Number(above(0.0, 1.0)),
            "Discharge coefficient of the exhaust valve at full lift.",
        ),
        may(
            "intake_discharge",
            Kind::Number(above(0.0, 1.0)),
            "Discharge coefficient of the intake valve at full lift.",
        ),
    ],
};

static INTAKE: Table = Table {
    title: "[engine.intake]",
    doc: "The intake tract of one cylinder.",
    keys: &[
        must("runner_length", Kind::Length(POSITIVE), "Length from the valve to the open end or plenum."),
        must("runner_diameter", Kind::Length(range(5.0, 200.0)), "Inside diameter."),
        may(
            "plenum_volume_l",
            Kind::Number(above(0.0, 200.0)),
            "Volume of the plenum, litres; open to the air unless said.",
        ),
        may("throttle_diameter", Kind::Length(range(5.0, 300.0)), "Diameter of the throttle."),
        may("boost_kpa", Kind::Number(range(0.0, 600.0)), "Pressure of a blower or turbo above the air's, kPa."),
    ],
};

static TUBE: Table = Table {
    title: "[tube]",
    doc: "A round tube: od and wall, or size.",
    keys: &[OD_KEY, WALL_KEY, SIZE_KEY, may("material", Kind::Material, "Material, by its name in the catalogue.")],
};

static LENGTH_TABLE: Table = Table {
    title: "[length]",
    doc: "Target for the lengths of one kind of run.",
    keys: &[
        may("target", Kind::Length(POSITIVE), "Wanted length; without it the runs are only made even."),
        may("tolerance", Kind::Length(POSITIVE), "Each within this of the target; without one, every pair within it."),
        may("objective", Kind::Choice(&["even", "compact"]), "even, or compact: as short as possible, then even."),
    ],
};

static SECONDARY: Table = Table {
    title: "[secondary]",
    doc: "What is wanted of the secondaries; what is not said is as for the primaries.",
    keys: &[
        may("tube", Kind::Table(&TUBE), "Their tube."),
        may("length", Kind::Table(&LENGTH_TABLE), "Target for their lengths."),
    ],
};

static CLEARANCE: Table = Table {
    title: "[clearance]",
    doc: "The gaps to keep, from surface to surface.",
    keys: &[
        must("tubes", Kind::Length(GAP), "Between two tubes."),
        must("keepouts", Kind::Length(GAP), "To keep-outs that name no gap of their own."),
    ],
};

static PORT: Table = Table {
    title: "[[port]]",
    doc: "An exhaust port.",
    keys: &[
        must("cylinder", CYLINDER, "Its cylinder."),
        must("at", Kind::Point, "Centre of the port at the flange face."),
        must("axis", Kind::Direction, "Direction of flow out of the head."),
        may("stub", Kind::Length(LENGTH), "Least straight length leaving it."),
        may("length_in_head", Kind::Length(range(0.0, 1_000.0)), "Length of the port in the head."),
        may("bolt", Kind::Tables(&BOLT, MOST_BOLTS), "A bolt of its flange."),
    ],
};

static BOLT: Table = Table {
    title: "[[port.bolt]]",
    doc: "A flange bolt: the socket needs its place and its way straight out.",
    keys: &[
        must("at", Kind::Point, "Centre at the flange face."),
        may("thread", Kind::Thread, "Thread; the socket's size comes from the catalogue."),
        may("socket_od", Kind::Length(range(3.0, 120.0)), "Outside diameter of the socket, instead of thread."),
        must("reach", Kind::Length(above(0.0, 2_000.0)), "How far straight out the tool must go."),
    ],
};

static COLLECTOR: Table = Table {
    title: "[[collector]]",
    doc: "A collector or turbo flange.",
    keys: &[
        must("name", Kind::Text, "Its name."),
        must("at", Kind::Point, "Centre of the inlet plane."),
        must("axis", Kind::Direction, "Direction of flow."),
        may("up", Kind::Direction, "Fixes the roll of the inlet pattern."),
        must("inlets", Kind::Whole(1, 24), "Number of inlets."),
        may("groups", Kind::Choice(&["none", "twin"]), "twin: a twin-entry flange, two groups by firing order."),
        may("pattern", Kind::Choice(&["line", "triangle", "square", "ring"]), "Arrangement of the inlets."),
        may("gap", Kind::Length(range(0.0, 200.0)), "Gap between neighbouring inlets' tubes."),
        may("stub", Kind::Length(LENGTH), "Least straight length entering it."),
        may("cylinders", Kind::WholeList(1, 24), "Which cylinders it takes; any unless said."),
        may("inlet_of", Kind::InletOf, "Inlets fixed for single cylinders: { 1 = 3 }."),
        may("rotation", Kind::Choice(&["any", "firing"]), "firing: the inlets around it follow the firing order."),
        may("feeds", Kind::Text, "Another collector that its outlet feeds through a secondary."),
        may("may_move", Kind::Table(&MAY_MOVE), "How far the tool may move it."),
        may("body", Kind::Table(&BODY), "How it is made, from its inlet plane to its outlet."),
    ],
};

static MAY_MOVE: Table = Table {
    title: "may_move",
    doc: "How far a collector may be moved from where it was drawn.",
    keys: &[
        may("along", Kind::Length(range(0.0, 5_000.0)), "Along its axis, either way."),
        may("aside", Kind::Length(range(0.0, 5_000.0)), "Across its axis."),
        may("roll", Kind::AngleOrAny(range(0.0, 180.0)), "About its axis, degrees either way, or \"any\"."),
    ],
};

static KEEPOUT: Table = Table {
    title: "[[keepout]]",
    doc: "A thing that must not be touched.",
    keys: &[
        must("name", Kind::Text, "Its name."),
        must("shape", Kind::Choice(&["box", "cylinder", "capsule", "sphere", "mesh"]), "Its shape."),
        may("center", Kind::Point, "Centre of a box or sphere."),
        may("size", Kind::Lengths(3, POSITIVE), "Whole lengths of a box along its axes."),
        may("axes", Kind::Axes, "Rows of a box's axes, at right angles to one another."),
        may("from", Kind::Point, "One end of a cylinder or capsule."),
        may("to", Kind::Point, "The other end."),
        may("radius", Kind::Length(POSITIVE), "Radius of a cylinder, capsule or sphere."),
        may("file", Kind::Text, "File of a mesh (stl, obj, ply, glb), from the job's folder."),
        may("unit", Kind::Choice(&["mm", "cm", "m", "in"]), "Unit of the mesh; mm unless said."),
        may("place", Kind::Placing, "Three points on the mesh and the three places where they belong."),
        may("clearance", Kind::Length(GAP), "The gap it needs."),
        may("holds_ports", Kind::Flag, "True for what the ports sit in (head, flange)."),
    ],
};

static PLUG: Table = Table {
    title: "[[plug]]",
    doc: "A spark plug: its socket and way out must stay free.",
    keys: &[
        must("at", Kind::Point, "Centre of its seat."),
        must("axis", Kind::Direction, "Direction in which it is withdrawn."),
        must("socket_od", Kind::Length(range(3.0, 120.0)), "Outside diameter of the socket."),
        must("reach", Kind::Length(above(0.0, 2_000.0)), "How far out the socket must go."),
    ],
};

static GOES_ON: Table = Table {
    title: "[goes_on]",
    doc: "How the finished header is put on.",
    keys: &[must("moves", Kind::Points(1), "Moves in order; the last one ends at the seated place.")],
};

static TAIL: Table = Table {
    title: "[[tail]]",
    doc: "From the last collector out, through waypoints.",
    keys: &[
        may("from", Kind::Text, "The collector it leaves."),
        may("via", Kind::Points(0), "Points that its centreline passes through, in order."),
        may("to", Kind::Table(&TAIL_END), "Where it ends."),
        may("tube", Kind::Table(&TUBE), "The tube of the tails; as for the primaries unless said."),
        may("length", Kind::Table(&LENGTH_TABLE), "Target for their lengths."),
    ],
};

static TAIL_END: Table = Table {
    title: "to",
    doc: "Where a tail ends.",
    keys: &[must("at", Kind::Point, "Centre of its end."), must("axis", Kind::Direction, "Direction of flow there.")],
};

/// The stock, in a job or in a shop's own file.
pub static STOCK: Table = Table {
    title: "[stock]",
    doc: "What can be bought and what is on the shelf.",
    keys: &[
        may("bend", Kind::Tables(&BEND, MOST_STOCK), "A mandrel bend or elbow to buy."),
        may("straight", Kind::Tables(&STRAIGHT, MOST_STOCK), "A stick to buy."),
        may(
            "remnant",
            Kind::Tables(&REMNANT, MOST_REMNANTS),
            "On the shelf: a bend with what is left of it, or a length of tube.",
        ),
    ],
};

const COUNT: Key = may("count", Kind::Whole(0, 1_000_000), "How many there are; without limit unless said.");
const ANGLE: Key = may("angle", Kind::Angle(above(0.0, 359.0)), "Angle of the bend, degrees.");
const CLR_KEY: Key = may("clr", Kind::Length(CLR), "Centreline radius.");
const LEGS: Key = may("legs", Kind::Lengths(2, LENGTH), "Straight tangents before and after the arc.");

static BEND: Table = Table {
    title: "[[stock.bend]]",
    doc: "A bend to buy: clr, angle and legs, or elbow. Of the primary tube unless od, wall or size say otherwise.",
    keys: &[
        CLR_KEY,
        ANGLE,
        LEGS,
        may("elbow", Kind::Elbow, "Instead of clr and angle: \"LR 90\", \"SR 90\", \"LR 45\", \"LR 180\"."),
        OD_KEY,
        WALL_KEY,
        SIZE_KEY,
        must("price", Kind::Money, "Price of one."),
        COUNT,
    ],
};

static STRAIGHT: Table = Table {
    title: "[[stock.straight]]",
    doc: "A stick to buy.",
    keys: &[
        must("length", Kind::Length(POSITIVE), "Its length."),
        OD_KEY,
        WALL_KEY,
        SIZE_KEY,
        must("price", Kind::Money, "Price of one."),
        COUNT,
    ],
};

static REMNANT: Table = Table {
    title: "[[stock.remnant]]",
    doc: "On the shelf: a bend (clr, angle, legs, or elbow) or a length of tube (length).",
    keys: &[
        CLR_KEY,
        ANGLE,
        LEGS,
        may("elbow", Kind::Elbow, "Instead of clr and angle."),
        may("length", Kind::Length(POSITIVE), "Of a straight remnant: its length."),
        OD_KEY,
        WALL_KEY,
        SIZE_KEY,
        may("price", Kind::Money, "What it counts for; 0 unless said."),
        may("count", Kind::Whole(0, 1_000_000), "How many there are; 1 unless said."),
    ],
};

/// The saw.
pub static SAW: Table = Table {
    title: "[saw]",
    doc: "The saw and what it can hold.",
    keys: &[
        must("kerf", Kind::Length(range(0.0, 20.0)), "Width of the cut."),
        may("kerf_at", Kind::Choice(&["inside", "centreline"]), "Where the blade's width counts on a bend."),
        may("min_straight", Kind::Length(range(0.0, 1_000.0)), "Shortest straight piece that can be held."),
        may("min_arc", Kind::Angle(range(0.0, 90.0)), "Least arc of a piece with arc, degrees."),
    ],
};

/// The costs.
pub static COST: Table = Table {
    title: "[cost]",
    doc: "Money per joint and cut.",
    keys: &[
        may("joint", Kind::Money, "Per welded joint: fit-up, tack, weld, dress."),
        may("cut", Kind::Money, "Per cut."),
        may("cut_per", Kind::Choice(&["piece", "saw"]), "piece: one cut a piece; saw: every saw cut made."),
    ],
};

/// A shop's own file of stock and prices.
pub static STOCK_FILE: Table = Table {
    title: "the stock file",
    doc: "What a shop can buy and has on the shelf, shared by its jobs.",
    keys: &[
        may("format", Kind::Whole(1, 1), "Version of this format."),
        may("units", Kind::Choice(&["mm", "in"]), "Unit of bare numbers that are lengths."),
        may("stock", Kind::Table(&STOCK), "What can be bought and what is on the shelf."),
        may("saw", Kind::Table(&SAW), "The saw, when the job says nothing of it."),
        may("cost", Kind::Table(&COST), "Money per joint and cut, when the job says nothing of it."),
        may("price", Kind::Table(&PRICE), "The shop's prices, margin and tax."),
        may("time", Kind::Table(&TIME), "The shop's time standards."),
        may("extra", Kind::Tables(&EXTRA, MOST_EXTRAS), "Lines that are added to every quote."),
    ],
};

/// A line that the shop adds to its quotes.
static EXTRA: Table = Table {
    title: "[[extra]]",
    doc: "A line that is added to the quote: coating, delivery, work that the program does not count.",
    keys: &[
        must("what", Kind::Text, "What it is, in the words of the quote."),
        may("quantity", Kind::Number(above(0.0, 1_000_000.0)), "How much of it; 1 unless said."),
        may("unit", Kind::Text, "Of what unit; \"piece\" unless said."),
        must("price", Kind::Money, "Price of one unit."),
    ],
};

/// Prices, margin and tax of a shop; what is not said is the program's own invented figure.
pub static PRICE: Table = Table {
    title: "[price]",
    doc: "The shop's prices, margin and tax.",
    keys: &[
        may("currency", Kind::Text, "Currency, three letters of ISO 4217."),
        may("labour_per_hour", Kind::Money, "An hour of labour."),
        may("argon_per_litre", Kind::Money, "A litre of argon."),
        may("filler_per_kg", Kind::Money, "A kilogram of filler rod."),
        may("tungsten", Kind::Money, "A tungsten electrode."),
        may("port_flange", Kind::Money, "The flange of one port."),
        may("collector_flange", Kind::Money, "The flange of a collector, or a turbo flange."),
        may("margin_percent", Kind::Number(range(0.0, 1_000.0)), "Margin, percent of everything before it."),
        may("tax_percent", Kind::Number(range(0.0, 100.0)), "Tax, percent of the net price."),
        may("collector", Kind::Money, "A bought collector; built from labour unless said."),
    ],
};

const MINUTES: Kind = Kind::Number(range(0.0, 10_000.0));
const SPEED: Kind = Kind::Number(range(1.0, 10_000.0));
const RATE: Kind = Kind::Number(range(0.0, 1_000.0));

/// Time standards of a shop, minutes unless the key says otherwise.
pub static TIME: Table = Table {
    title: "[time]",
    doc: "The shop's time standards, minutes unless the key says otherwise.",
    keys: &[
        may("saw_set_up", MINUTES, "Set up the saw or change the angle, once for each kind of stock."),
        may("cut_straight", MINUTES, "Cut a stick square, cold saw."),
        may("cut_bend", MINUTES, "Cut a bend to a mark in a jig, band saw."),
        may("mark_piece", MINUTES, "Mark clocking and cut lines on a piece."),
        may("face_end", MINUTES, "True a cut end on a sander."),
        may("deburr_end", MINUTES, "Deburr an end inside and outside."),
        may("clean_end", MINUTES, "Clean an end 25 mm back."),
        may("fit_up_joint", MINUTES, "Fit up and align a joint, free-hand."),
        may("tack_joint", MINUTES, "Tack a joint in 3 or 4 places."),
        may("purge_set_up", MINUTES, "Plugs, dams and hose of a purged run."),
        may("flange_fit", MINUTES, "Fit and tack a flange."),
        may("flange_face", MINUTES, "True a flange face after welding."),
        may(
            "collector_build",
            MINUTES,
            "Build a 4-into-1 collector from cut tubes; other numbers of inlets in proportion.",
        ),
        may("trial_fit", MINUTES, "Trial fit on the engine."),
        may("leak_test", MINUTES, "Leak test with caps and air."),
        may("weld_mm_per_min", SPEED, "Manual TIG along the seam of a tube with a wall of 1.2 to 1.65 mm, arc on."),
        may("weld_thick_mm_per_min", SPEED, "The same from a wall of 2.3 mm on (schedule 10 pipe), with filler."),
        may("weld_titanium_mm_per_min", SPEED, "The same, titanium of 1.0 to 1.2 mm: the trailing shield limits it."),
        may("weld_625_mm_per_min", SPEED, "The same, alloy 625 of 1.2 to 1.65 mm."),
        may(
            "arc_on_percent",
            Kind::Number(range(1.0, 100.0)),
            "Arc time as a share of the time of welding, manual TIG on tube.",
        ),
        may("torch_l_per_min", RATE, "Shielding gas at the torch while the arc is on, gas lens."),
        may("purge_l_per_min", RATE, "Back purge while welding."),
        may("purge_volumes", RATE, "Volumes of a run flooded before it is welded."),
        may("trail_l_per_min", RATE, "Trailing shield while the arc is on, titanium."),
        may("filler_g_per_100mm", RATE, "Filler, square butt of 1.65 mm."),
        may("filler_thick_g_per_100mm", RATE, "Filler from a wall of 2.3 mm on."),
        may("joints_per_tungsten", Kind::Number(range(1.0, 10_000.0)), "Joints welded with one tungsten."),
        may("one_off_percent", RATE, "Finding out and setting up for a one-off, of the direct time."),
        may("rework_percent", RATE, "Rework, of the time at joints."),
    ],
};

/// routes.toml.
pub static ROUTES: Table = Table {
    title: "the routes",
    doc: "Where every run's centreline goes.",
    keys: &[
        may("format", Kind::Whole(1, 1), "Version of this format."),
        may("units", Kind::Choice(&["mm", "in"]), "Unit of bare numbers; the job's unless said."),
        may("primary", Kind::Tables(&PRIMARY_ROUTE, MOST_PORTS), "From a cylinder's port to a collector."),
        may("secondary", Kind::Tables(&SECONDARY_ROUTE, MOST_PORTS), "From a collector to the next."),
        may("tail", Kind::Tables(&TAIL_ROUTE, MOST_PORTS), "From the last collector out."),
        may("collector", Kind::Tables(&MOVED, MOST_PORTS), "A collector that stands elsewhere than drawn."),
    ],
};

const POINTS: Key = may("points", Kind::Points(2), "Start, intersection points and end.");
const RADII: Key = may("radii", Kind::LengthList(CLR), "CLR at each point between the first and the last.");
const STEPS: Key =
    may("steps", Kind::Steps, "Instead of points: rows of [length, rotation, angle, clr] and a last [length].");
const LOCKED: Key = may("locked", Kind::Flag, "True keeps it as it is when the rest is routed.");
const INLET: Key = may("inlet", Kind::Whole(1, 24), "The inlet it enters.");

static PRIMARY_ROUTE: Table = Table {
    title: "[[primary]]",
    doc: "The route from a cylinder's port to a collector.",
    keys: &[
        must("cylinder", CYLINDER, "Its cylinder."),
        may("collector", Kind::Text, "The collector it enters."),
        INLET,
        POINTS,
        RADII,
        STEPS,
        LOCKED,
    ],
};

static SECONDARY_ROUTE: Table = Table {
    title: "[[secondary]]",
    doc: "The route from a collector to the next.",
    keys: &[
        must("from", Kind::Text, "The collector it leaves."),
        may("to", Kind::Text, "The collector it enters."),
        INLET,
        POINTS,
        RADII,
        STEPS,
        LOCKED,
    ],
};

static TAIL_ROUTE: Table = Table {
    title: "[[tail]]",
    doc: "The route from the last collector out.",
    keys: &[must("from", Kind::Text, "The collector it leaves."), POINTS, RADII, STEPS, LOCKED],
};

static MOVED: Table = Table {
    title: "[[collector]]",
    doc: "Where a collector that may move came to stand.",
    keys: &[
        must("name", Kind::Text, "Its name."),
        must("at", Kind::Point, "Centre of the inlet plane."),
        must("axis", Kind::Direction, "Direction of flow."),
        must("up", Kind::Direction, "Roll of the inlet pattern."),
    ],
};
