//! The tables of job.toml.

use super::body_table::BODY;
use super::describe::{Key, Range, TableShape, ValueKind, above, may, must, range};
use super::heat_table::{HEAT, STRENGTH};
use super::parts_table::{BRACKET, BUNG, JOINT, MOST_PARTS, SHIELD, SLIP};

/// Coordinates, mm: a bay lies within 20 m of its origin.
const PLACE: Range = range(-20_000.0, 20_000.0);
/// Any length that may be 0, mm.
const LENGTH: Range = range(0.0, 20_000.0);
/// Any length above 0, mm.
const POSITIVE: Range = above(0.0, 20_000.0);
/// Outside diameters, mm: from brake pipe to a lorry's stack.
pub(super) const OD: Range = range(4.0, 400.0);
/// Walls, mm.
const WALL: Range = range(0.2, 20.0);
/// Centreline radii, mm.
pub(super) const CLR: Range = range(4.0, 5_000.0);
/// Gaps, mm.
const GAP: Range = range(0.0, 500.0);
/// Cylinder numbers.
const CYLINDER: ValueKind = ValueKind::Whole(1, 24);

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

/// The place range, for [`ValueKind::Point`].
pub const COORDINATE: Range = PLACE;

const OD_KEY: Key = may("od", ValueKind::Length(OD), "Outside diameter.");
const WALL_KEY: Key = may("wall", ValueKind::Wall(WALL), "Wall, as a length or a tube gauge (\"16 ga\").");
const SIZE_KEY: Key = may(
    "size",
    ValueKind::Size,
    "Instead of od and wall: \"1 3/4 in x 16 ga\", \"42.4 x 2.0 mm\", \"1 1/2 NPS sch 10S\", \"DN 40 sch 10\".",
);

/// The whole file.
pub static JOB: TableShape = TableShape {
    title: "the job",
    doc: "One header, manifold or exhaust to be made: what was measured and what is wanted.",
    keys: &[
        may("format", ValueKind::Whole(1, 1), "Version of this format."),
        may("name", ValueKind::Text, "Name of the job; the folder's name by default."),
        may("units", ValueKind::Choice(&["mm", "in"]), "Unit of bare numbers that are lengths."),
        may("engine", ValueKind::Table(&ENGINE), "The engine."),
        may("tube", ValueKind::Table(&TUBE), "The tube of the primaries."),
        may("length", ValueKind::Table(&LENGTH_TABLE), "Target for the lengths of the primaries."),
        may("secondary", ValueKind::Table(&SECONDARY), "Tube and lengths of the secondaries when they differ."),
        may("clearance", ValueKind::Table(&CLEARANCE), "The gaps to keep, from surface to surface."),
        may("port", ValueKind::Tables(&PORT, MOST_PORTS), "An exhaust port."),
        may("collector", ValueKind::Tables(&COLLECTOR, MOST_PORTS), "A collector or turbo flange."),
        may("keepout", ValueKind::Tables(&KEEPOUT, MOST_KEEPOUTS), "A thing that must not be touched."),
        may("plug", ValueKind::Tables(&PLUG, MOST_PORTS), "A spark plug: its socket and way out must stay free."),
        may("goes_on", ValueKind::Table(&GOES_ON), "How the finished header is put on."),
        may("tail", ValueKind::TablesOrOne(&TAIL, MOST_PORTS), "From the last collector out, through waypoints."),
        may("bracket", ValueKind::Tables(&BRACKET, MOST_PARTS), "A bracket that holds a run or a collector."),
        may("slip", ValueKind::Tables(&SLIP, MOST_PARTS), "A slip joint in a run."),
        may("bung", ValueKind::Tables(&BUNG, MOST_PARTS), "A threaded bung with its sensor."),
        may("joint", ValueKind::Tables(&JOINT, MOST_PARTS), "A joint that comes apart, or bellows, in a run."),
        may("shield", ValueKind::Tables(&SHIELD, MOST_PARTS), "A heat shield between a run and an obstacle."),
        may("heat", ValueKind::Table(&HEAT), "How hot the gas is, what covers the tubes."),
        may("strength", ValueKind::Table(&STRENGTH), "What is required of the hot header."),
        may("stock", ValueKind::Table(&STOCK), "What can be bought and what is on the shelf."),
        may("saw", ValueKind::Table(&SAW), "The saw and what it can hold."),
        may("cost", ValueKind::Table(&COST), "Money per joint and cut."),
    ],
};

static ENGINE: TableShape = TableShape {
    title: "[engine]",
    doc: "The engine.",
    keys: &[
        must("layout", ValueKind::Choice(&["single", "inline", "vee", "flat"]), "Engine layout."),
        must("cylinders", CYLINDER, "Number of cylinders."),
        may("bore", ValueKind::Length(range(20.0, 400.0)), "Bore."),
        may("stroke", ValueKind::Length(range(15.0, 600.0)), "Stroke."),
        may("rod_length", ValueKind::Length(range(30.0, 1500.0)), "Length of the connecting rod between centres."),
        may("compression_ratio", ValueKind::Number(range(4.0, 30.0)), "Compression ratio."),
        may("firing_order", ValueKind::WholeList(1, 24), "Each cylinder once, in the order in which they fire."),
        may("peak_power_rpm", ValueKind::Number(range(300.0, 30_000.0)), "Engine speed of peak power, rpm."),
        may("exhaust_cam", ValueKind::Table(&EXHAUST_CAM), "Timing and lift of the exhaust valves."),
        may("intake_cam", ValueKind::Table(&INTAKE_CAM), "Timing and lift of the intake valves."),
        may("valves", ValueKind::Table(&VALVES), "Number and size of the valves of one cylinder."),
        may("intake", ValueKind::Table(&INTAKE), "The intake tract of one cylinder."),
    ],
};

/// Valve events near bottom dead centre, degrees of crank.
const AROUND_BOTTOM: Range = range(-20.0, 150.0);
/// Valve events near top dead centre, degrees of crank.
const AROUND_TOP: Range = range(-60.0, 120.0);

const LIFT: Key = may("lift", ValueKind::Length(above(0.0, 40.0)), "Greatest lift of the valve.");

const TIMED_AT_LIFT: Key = may(
    "timed_at_lift",
    ValueKind::Length(range(0.0, 5.0)),
    "Lift of the valve at which the timing is counted; 0 by default.",
);

static EXHAUST_CAM: TableShape = TableShape {
    title: "[engine.exhaust_cam]",
    doc: "Timing and lift of the exhaust valves.",
    keys: &[
        must("opens_bbdc_deg", ValueKind::Angle(AROUND_BOTTOM), "Opens, degrees of crank before bottom dead centre."),
        must("closes_atdc_deg", ValueKind::Angle(AROUND_TOP), "Closes, degrees of crank after top dead centre."),
        LIFT,
        TIMED_AT_LIFT,
    ],
};

static INTAKE_CAM: TableShape = TableShape {
    title: "[engine.intake_cam]",
    doc: "Timing and lift of the intake valves.",
    keys: &[
        must("opens_btdc_deg", ValueKind::Angle(AROUND_TOP), "Opens, degrees of crank before top dead centre."),
        must("closes_abdc_deg", ValueKind::Angle(AROUND_BOTTOM), "Closes, degrees of crank after bottom dead centre."),
        LIFT,
        TIMED_AT_LIFT,
    ],
};

static VALVES: TableShape = TableShape {
    title: "[engine.valves]",
    doc: "Number and size of the valves of one cylinder.",
    keys: &[
        must("exhaust_count", ValueKind::Whole(1, 4), "Exhaust valves of one cylinder."),
        must("exhaust_diameter", ValueKind::Length(range(8.0, 150.0)), "Diameter of an exhaust valve's head."),
        must("intake_count", ValueKind::Whole(1, 4), "Intake valves of one cylinder."),
        must("intake_diameter", ValueKind::Length(range(8.0, 150.0)), "Diameter of an intake valve's head."),
        may(
            "exhaust_discharge",
            ValueKind::Number(above(0.0, 1.0)),
            "Discharge coefficient of the exhaust valve at full lift.",
        ),
        may(
            "intake_discharge",
            ValueKind::Number(above(0.0, 1.0)),
            "Discharge coefficient of the intake valve at full lift.",
        ),
    ],
};

static INTAKE: TableShape = TableShape {
    title: "[engine.intake]",
    doc: "The intake tract of one cylinder.",
    keys: &[
        must("runner_length", ValueKind::Length(POSITIVE), "Length from the valve to the open end or plenum."),
        must("runner_diameter", ValueKind::Length(range(5.0, 200.0)), "Inside diameter."),
        may(
            "plenum_volume_l",
            ValueKind::Number(above(0.0, 200.0)),
            "Volume of the plenum, litres; open to the air by default.",
        ),
        may("throttle_diameter", ValueKind::Length(range(5.0, 300.0)), "Diameter of the throttle."),
        may("boost_kpa", ValueKind::Number(range(0.0, 600.0)), "Pressure of a blower or turbo above the air's, kPa."),
    ],
};

static TUBE: TableShape = TableShape {
    title: "[tube]",
    doc: "A round tube: od and wall, or size.",
    keys: &[
        OD_KEY,
        WALL_KEY,
        SIZE_KEY,
        may("material", ValueKind::Material, "Material, by its name in the catalogue."),
    ],
};

static LENGTH_TABLE: TableShape = TableShape {
    title: "[length]",
    doc: "Target for the lengths of one kind of run.",
    keys: &[
        may("target", ValueKind::Length(POSITIVE), "Wanted length; without it the runs are only made even."),
        may(
            "tolerance",
            ValueKind::Length(POSITIVE),
            "Each within this of the target; without one, every pair within it.",
        ),
        may("objective", ValueKind::Choice(&["even", "compact"]), "even, or compact: as short as possible, then even."),
    ],
};

static SECONDARY: TableShape = TableShape {
    title: "[secondary]",
    doc: "Requirements of the secondaries; as for the primaries where left out.",
    keys: &[
        may("tube", ValueKind::Table(&TUBE), "Their tube."),
        may("length", ValueKind::Table(&LENGTH_TABLE), "Target for their lengths."),
    ],
};

static CLEARANCE: TableShape = TableShape {
    title: "[clearance]",
    doc: "The gaps to keep, from surface to surface.",
    keys: &[
        must("tubes", ValueKind::Length(GAP), "Between two tubes."),
        must("keepouts", ValueKind::Length(GAP), "To keep-outs that name no gap of their own."),
    ],
};

/// Standard deviations of a place, and of a direction.
const AT_SD: ValueKind = ValueKind::Lengths(3, range(0.0, 1_000.0));
const AXIS_SD: ValueKind = ValueKind::Angle(range(0.0, 90.0));

static PORT: TableShape = TableShape {
    title: "[[port]]",
    doc: "An exhaust port.",
    keys: &[
        must("cylinder", CYLINDER, "Its cylinder."),
        must("at", ValueKind::Point, "Centre of the port at the flange face."),
        must("axis", ValueKind::Direction, "Direction of flow out of the head."),
        may("at_sd", AT_SD, "Standard deviations of `at`, as a survey left them."),
        may("axis_sd", AXIS_SD, "Standard deviation of `axis`, as a survey left it."),
        may("stub", ValueKind::Length(LENGTH), "Least straight length leaving it."),
        may("length_in_head", ValueKind::Length(range(0.0, 1_000.0)), "Length of the port in the head."),
        may("face", ValueKind::Direction, "Square to the flange face, out of the head; from its bolts by default."),
        may("bolt", ValueKind::Tables(&BOLT, MOST_BOLTS), "A bolt of its flange."),
    ],
};

static BOLT: TableShape = TableShape {
    title: "[[port.bolt]]",
    doc: "A flange bolt: the socket needs its place and its way straight out.",
    keys: &[
        must("at", ValueKind::Point, "Centre at the flange face."),
        may("thread", ValueKind::Thread, "Thread; the socket's size comes from the catalogue."),
        may("socket_od", ValueKind::Length(range(3.0, 120.0)), "Outside diameter of the socket, instead of thread."),
        must("reach", ValueKind::Length(above(0.0, 2_000.0)), "How far straight out the tool must go."),
    ],
};

static COLLECTOR: TableShape = TableShape {
    title: "[[collector]]",
    doc: "A collector or turbo flange.",
    keys: &[
        must("name", ValueKind::Text, "Name of the collector, by which runs and tails refer to it."),
        must("at", ValueKind::Point, "Centre of the inlet plane."),
        must("axis", ValueKind::Direction, "Direction of flow."),
        may("at_sd", AT_SD, "Standard deviations of `at`, as a survey left them."),
        may("axis_sd", AXIS_SD, "Standard deviation of `axis`, as a survey left it."),
        may("up", ValueKind::Direction, "Fixes the roll of the inlet pattern."),
        must("inlets", ValueKind::Whole(1, 24), "Number of inlets."),
        may("groups", ValueKind::Choice(&["none", "twin"]), "twin: a twin-entry flange, two groups by firing order."),
        may("pattern", ValueKind::Choice(&["line", "triangle", "square", "ring"]), "Arrangement of the inlets."),
        may("gap", ValueKind::Length(range(0.0, 200.0)), "Gap between neighbouring inlets' tubes."),
        may("stub", ValueKind::Length(LENGTH), "Least straight length entering it."),
        may("cylinders", ValueKind::WholeList(1, 24), "Which cylinders it takes; any by default."),
        may("inlet_of", ValueKind::InletOf, "Inlets fixed for single cylinders: { 1 = 3 }."),
        may("rotation", ValueKind::Choice(&["any", "firing"]), "firing: the inlets around it follow the firing order."),
        may("feeds", ValueKind::Text, "Another collector that its outlet feeds through a secondary."),
        may("may_move", ValueKind::Table(&MAY_MOVE), "How far the tool may move it."),
        may("body", ValueKind::Table(&BODY), "How it is made, from its inlet plane to its outlet."),
    ],
};

static MAY_MOVE: TableShape = TableShape {
    title: "may_move",
    doc: "How far a collector may be moved from where it was drawn.",
    keys: &[
        may("along", ValueKind::Length(range(0.0, 5_000.0)), "Along its axis, either way."),
        may("aside", ValueKind::Length(range(0.0, 5_000.0)), "Across its axis."),
        may("roll", ValueKind::AngleOrAny(range(0.0, 180.0)), "About its axis, degrees either way, or \"any\"."),
    ],
};

static KEEPOUT: TableShape = TableShape {
    title: "[[keepout]]",
    doc: "A thing that must not be touched.",
    keys: &[
        must("name", ValueKind::Text, "Name of the obstacle."),
        must("shape", ValueKind::Choice(&["box", "cylinder", "capsule", "sphere", "mesh"]), "Its shape."),
        may("center", ValueKind::Point, "Centre of a box or sphere."),
        may("size", ValueKind::Lengths(3, POSITIVE), "Whole lengths of a box along its axes."),
        may("axes", ValueKind::Axes, "Rows of a box's axes, at right angles to one another."),
        may("from", ValueKind::Point, "One end of a cylinder or capsule."),
        may("to", ValueKind::Point, "The other end."),
        may("radius", ValueKind::Length(POSITIVE), "Radius of a cylinder, capsule or sphere."),
        may("file", ValueKind::Text, "File of a mesh (stl, obj, ply, glb), from the job's folder."),
        may("unit", ValueKind::Choice(&["mm", "cm", "m", "in"]), "Unit of the mesh; mm by default."),
        may("place", ValueKind::Placing, "Three points on the mesh and the three places where they belong."),
        may("clearance", ValueKind::Length(GAP), "The gap it needs."),
        may("holds_ports", ValueKind::Flag, "True for what the ports sit in (head, flange)."),
        may("max_c", ValueKind::Number(range(20.0, 1000.0)), "The greatest temperature it bears, degrees Celsius."),
    ],
};

static PLUG: TableShape = TableShape {
    title: "[[plug]]",
    doc: "A spark plug: its socket and way out must stay free.",
    keys: &[
        must("at", ValueKind::Point, "Centre of its seat."),
        must("axis", ValueKind::Direction, "Direction in which it is withdrawn."),
        must("socket_od", ValueKind::Length(range(3.0, 120.0)), "Outside diameter of the socket."),
        must("reach", ValueKind::Length(above(0.0, 2_000.0)), "How far out the socket must go."),
    ],
};

static GOES_ON: TableShape = TableShape {
    title: "[goes_on]",
    doc: "How the finished header is put on.",
    keys: &[must("moves", ValueKind::Points(1), "Moves in order; the last one ends at the seated place.")],
};

static TAIL: TableShape = TableShape {
    title: "[[tail]]",
    doc: "From the last collector out, through waypoints.",
    keys: &[
        may("from", ValueKind::Text, "The collector it leaves."),
        may("via", ValueKind::Points(0), "Points that its centreline passes through, in order."),
        may("to", ValueKind::Table(&TAIL_END), "Where it ends."),
        may("tube", ValueKind::Table(&TUBE), "The tube of the tails; as for the primaries by default."),
        may("length", ValueKind::Table(&LENGTH_TABLE), "Target for their lengths."),
    ],
};

static TAIL_END: TableShape = TableShape {
    title: "to",
    doc: "Where a tail ends.",
    keys: &[
        must("at", ValueKind::Point, "Centre of its end."),
        must("axis", ValueKind::Direction, "Direction of flow there."),
    ],
};

/// The stock, in a job or in a shop's own file.
pub static STOCK: TableShape = TableShape {
    title: "[stock]",
    doc: "What can be bought and what is on the shelf.",
    keys: &[
        may("bend", ValueKind::Tables(&BEND, MOST_STOCK), "A mandrel bend or elbow to buy."),
        may("straight", ValueKind::Tables(&STRAIGHT, MOST_STOCK), "A stick to buy."),
        may(
            "remnant",
            ValueKind::Tables(&REMNANT, MOST_REMNANTS),
            "On the shelf: a bend with what is left of it, or a length of tube.",
        ),
    ],
};

const COUNT: Key = may("count", ValueKind::Whole(0, 1_000_000), "How many there are; without limit by default.");
const ANGLE: Key = may("angle", ValueKind::Angle(above(0.0, 359.0)), "Angle of the bend, degrees.");
const CLR_KEY: Key = may("clr", ValueKind::Length(CLR), "Centreline radius.");
const LEGS: Key = may("legs", ValueKind::Lengths(2, LENGTH), "Straight tangents before and after the arc.");

static BEND: TableShape = TableShape {
    title: "[[stock.bend]]",
    doc: "A bend to buy: clr, angle and legs, or elbow. Of the primary tube unless od, wall or size say otherwise.",
    keys: &[
        CLR_KEY,
        ANGLE,
        LEGS,
        may("elbow", ValueKind::Elbow, "Instead of clr and angle: \"LR 90\", \"SR 90\", \"LR 45\", \"LR 180\"."),
        OD_KEY,
        WALL_KEY,
        SIZE_KEY,
        must("price", ValueKind::Money, "Price of one."),
        COUNT,
    ],
};

static STRAIGHT: TableShape = TableShape {
    title: "[[stock.straight]]",
    doc: "A stick to buy.",
    keys: &[
        must("length", ValueKind::Length(POSITIVE), "Its length."),
        OD_KEY,
        WALL_KEY,
        SIZE_KEY,
        must("price", ValueKind::Money, "Price of one."),
        COUNT,
    ],
};

static REMNANT: TableShape = TableShape {
    title: "[[stock.remnant]]",
    doc: "On the shelf: a bend (clr, angle, legs, or elbow) or a length of tube (length).",
    keys: &[
        CLR_KEY,
        ANGLE,
        LEGS,
        may("elbow", ValueKind::Elbow, "Instead of clr and angle."),
        may("length", ValueKind::Length(POSITIVE), "Of a straight remnant: its length."),
        OD_KEY,
        WALL_KEY,
        SIZE_KEY,
        may("price", ValueKind::Money, "What it counts for; 0 by default."),
        may("count", ValueKind::Whole(0, 1_000_000), "How many there are; 1 by default."),
    ],
};

/// `[saw]`: kerf and limits of the saw.
pub static SAW: TableShape = TableShape {
    title: "[saw]",
    doc: "The saw and what it can hold.",
    keys: &[
        must("kerf", ValueKind::Length(range(0.0, 20.0)), "Width of the cut."),
        may("kerf_at", ValueKind::Choice(&["inside", "centreline"]), "Where the blade's width counts on a bend."),
        may("min_straight", ValueKind::Length(range(0.0, 1_000.0)), "Shortest straight piece that can be held."),
        may("min_arc", ValueKind::Angle(range(0.0, 90.0)), "Least arc of a piece with arc, degrees."),
        may(
            "reserve",
            ValueKind::Choice(&["free", "always", "never"]),
            "Pieces that are cut last are planned longer: where it costs nothing, always, or never.",
        ),
    ],
};

/// `[cost]`: money per joint and cut.
pub static COST: TableShape = TableShape {
    title: "[cost]",
    doc: "Money per joint and cut.",
    keys: &[
        may("joint", ValueKind::Money, "Per welded joint: fit-up, tack, weld, dress."),
        may("cut", ValueKind::Money, "Per cut."),
        may("cut_per", ValueKind::Choice(&["piece", "saw"]), "piece: one cut a piece; saw: every saw cut made."),
    ],
};

/// A shop's own file of stock and prices.
pub static STOCK_FILE: TableShape = TableShape {
    title: "the stock file",
    doc: "What a shop can buy and has on the shelf, shared by its jobs.",
    keys: &[
        may("format", ValueKind::Whole(1, 1), "Version of this format."),
        may("units", ValueKind::Choice(&["mm", "in"]), "Unit of bare numbers that are lengths."),
        may("stock", ValueKind::Table(&STOCK), "What can be bought and what is on the shelf."),
        may("saw", ValueKind::Table(&SAW), "The saw, when the job says nothing of it."),
        may("cost", ValueKind::Table(&COST), "Money per joint and cut, when the job says nothing of it."),
        may("price", ValueKind::Table(&PRICE), "The shop's prices, margin and tax."),
        may("time", ValueKind::Table(&TIME), "The shop's time standards."),
        may("extra", ValueKind::Tables(&EXTRA, MOST_EXTRAS), "Lines that are added to every quote."),
    ],
};

/// A line that the shop adds to its quotes.
static EXTRA: TableShape = TableShape {
    title: "[[extra]]",
    doc: "A line that is added to the quote: coating, delivery, work that the program does not count.",
    keys: &[
        must("what", ValueKind::Text, "What it is, in the words of the quote."),
        may("quantity", ValueKind::Number(above(0.0, 1_000_000.0)), "How much of it; 1 by default."),
        may("unit", ValueKind::Text, "Of what unit; \"piece\" by default."),
        must("price", ValueKind::Money, "Price of one unit."),
    ],
};

/// Prices, margin and tax of a shop; what is not said is the program's own invented figure.
pub static PRICE: TableShape = TableShape {
    title: "[price]",
    doc: "The shop's prices, margin and tax.",
    keys: &[
        may("currency", ValueKind::Text, "Currency, three letters of ISO 4217."),
        may("labour_per_hour", ValueKind::Money, "An hour of labour."),
        may("argon_per_litre", ValueKind::Money, "A litre of argon."),
        may("filler_per_kg", ValueKind::Money, "A kilogram of filler rod."),
        may("tungsten", ValueKind::Money, "A tungsten electrode."),
        may("port_flange", ValueKind::Money, "The flange of one port."),
        may("collector_flange", ValueKind::Money, "The flange of a collector, or a turbo flange."),
        may("margin_percent", ValueKind::Number(range(0.0, 1_000.0)), "Margin, percent of everything before it."),
        may("tax_percent", ValueKind::Number(range(0.0, 100.0)), "Tax, percent of the net price."),
        may("fixture_sheet_per_m2", ValueKind::Money, "A square metre of a fixture's sheet."),
        may("laser_per_minute", ValueKind::Money, "A minute of laser cutting."),
        may(
            "transition",
            ValueKind::Money,
            "A sheet transition from a port's shape to its tube: rolled, seamed and welded in.",
        ),
        may("bracket", ValueKind::Money, "A bracket on a tube or collector, with its bolt."),
        may("slip_joint", ValueKind::Money, "Expanding an end for a slip joint, with springs where it has them."),
        may("bung", ValueKind::Money, "A threaded sensor bung."),
        may("v_band", ValueKind::Money, "A V-band clamp with both lips."),
        may("bolted_flange", ValueKind::Money, "A pair of flanges with gasket and bolts."),
        may("bellows", ValueKind::Money, "Flexible bellows."),
        may("shield", ValueKind::Money, "A heat shield with its clamps."),
        may("collector", ValueKind::Money, "A bought collector; built from labour by default."),
    ],
};

const MINUTES: ValueKind = ValueKind::Number(range(0.0, 10_000.0));
const SPEED: ValueKind = ValueKind::Number(range(1.0, 10_000.0));
const RATE: ValueKind = ValueKind::Number(range(0.0, 1_000.0));

/// Time standards of a shop, minutes unless the key says otherwise.
pub static TIME: TableShape = TableShape {
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
            ValueKind::Number(range(1.0, 100.0)),
            "Arc time as a share of the time of welding, manual TIG on tube.",
        ),
        may("torch_l_per_min", RATE, "Shielding gas at the torch while the arc is on, gas lens."),
        may("purge_l_per_min", RATE, "Back purge while welding."),
        may("purge_volumes", RATE, "Volumes of a run flooded before it is welded."),
        may("trail_l_per_min", RATE, "Trailing shield while the arc is on, titanium."),
        may("filler_g_per_100mm", RATE, "Filler, square butt of 1.65 mm."),
        may("filler_thick_g_per_100mm", RATE, "Filler from a wall of 2.3 mm on."),
        may("joints_per_tungsten", ValueKind::Number(range(1.0, 10_000.0)), "Joints welded with one tungsten."),
        may("one_off_percent", RATE, "Finding out and setting up for a one-off, of the direct time."),
        may("rework_percent", RATE, "Rework, of the time at joints."),
        may("laser_mm_per_min", SPEED, "Laser cutting of a fixture's sheet, with piercing."),
    ],
};

/// routes.toml.
pub static ROUTES: TableShape = TableShape {
    title: "the routes",
    doc: "Where every run's centreline goes.",
    keys: &[
        may("format", ValueKind::Whole(1, 1), "Version of this format."),
        may("units", ValueKind::Choice(&["mm", "in"]), "Unit of bare numbers; the job's by default."),
        may("primary", ValueKind::Tables(&PRIMARY_ROUTE, MOST_PORTS), "From a cylinder's port to a collector."),
        may("secondary", ValueKind::Tables(&SECONDARY_ROUTE, MOST_PORTS), "From a collector to the next."),
        may("tail", ValueKind::Tables(&TAIL_ROUTE, MOST_PORTS), "From the last collector out."),
        may("collector", ValueKind::Tables(&MOVED, MOST_PORTS), "A collector that stands elsewhere than drawn."),
    ],
};

const POINTS: Key = may("points", ValueKind::Points(2), "Start, intersection points and end.");
const RADII: Key = may("radii", ValueKind::LengthList(CLR), "CLR at each point between the first and the last.");
const STEPS: Key =
    may("steps", ValueKind::Steps, "Instead of points: rows of [length, rotation, angle, clr] and a last [length].");
const LOCKED: Key = may("locked", ValueKind::Flag, "True keeps it as it is when the rest is routed.");
const INLET: Key = may("inlet", ValueKind::Whole(1, 24), "The inlet it enters.");

static PRIMARY_ROUTE: TableShape = TableShape {
    title: "[[primary]]",
    doc: "The route from a cylinder's port to a collector.",
    keys: &[
        must("cylinder", CYLINDER, "Its cylinder."),
        may("collector", ValueKind::Text, "The collector it enters."),
        INLET,
        POINTS,
        RADII,
        STEPS,
        LOCKED,
    ],
};

static SECONDARY_ROUTE: TableShape = TableShape {
    title: "[[secondary]]",
    doc: "The route from a collector to the next.",
    keys: &[
        must("from", ValueKind::Text, "The collector it leaves."),
        may("to", ValueKind::Text, "The collector it enters."),
        INLET,
        POINTS,
        RADII,
        STEPS,
        LOCKED,
    ],
};

static TAIL_ROUTE: TableShape = TableShape {
    title: "[[tail]]",
    doc: "The route from the last collector out.",
    keys: &[must("from", ValueKind::Text, "The collector it leaves."), POINTS, RADII, STEPS, LOCKED],
};

static MOVED: TableShape = TableShape {
    title: "[[collector]]",
    doc: "Where a collector that may move came to stand.",
    keys: &[
        must("name", ValueKind::Text, "Name of the collector in job.toml."),
        must("at", ValueKind::Point, "Centre of the inlet plane."),
        must("axis", ValueKind::Direction, "Direction of flow."),
        must("up", ValueKind::Direction, "Roll of the inlet pattern."),
    ],
};
