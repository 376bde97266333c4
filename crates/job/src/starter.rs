//! A commented starter job for a given engine.
//!
//! The figures are invented but of the right size: ports one bore pitch apart, a collector behind and
//! below them as far as such a header usually needs. Stock comes from the catalogue, whose prices are
//! invented too. Firing orders are common knowledge of engineering textbooks; where a layout has
//! none that is common, the file says that the order has to be put in.

use std::fmt::Write as _;

use crate::body::{Bundle, USUAL_LEAN, usual_outlet};
use crate::catalogue;
use crate::model::{Layout, Money, Units};

/// What the starter job is to be like.
#[derive(Debug, Clone)]
pub struct Starter {
    /// Name of the job.
    pub name: String,
    /// Layout of the engine.
    pub layout: Layout,
    /// Cylinders of the engine.
    pub cylinders: u32,
    /// Unit of the figures.
    pub units: Units,
    /// A short manifold into a turbo flange.
    pub turbo: bool,
    /// Distance of one port from the next, mm.
    pub pitch: f64,
}

/// Distance of one port from the next where none is given, mm (a bore of 84.6 and a web of 10.65).
pub const PITCH: f64 = 95.25;

/// Least straight length leaving a port, mm: half the diameter of the tube and the gap to the head, and
/// a little more, so that a bend right behind it clears the head.
const PORT_STUB: f64 = 36.0;

/// The text of a starter job.
///
/// # Errors
/// Why there is none for that engine.
pub fn starter(answers: &Starter) -> Result<String, String> {
    let n = answers.cylinders;
    match answers.layout {
        _ if answers.name.trim().is_empty() => return Err("the job needs a name".into()),
        _ if !(50.0..=300.0).contains(&answers.pitch) => {
            return Err(format!("starter jobs have ports 50 to 300 mm apart, not {}", answers.pitch));
        }
        Layout::Single if n != 1 => return Err(format!("a single has one cylinder, not {n}")),
        Layout::Inline if !(2..=8).contains(&n) => {
            return Err(format!("starter jobs are for 2 to 8 cylinders in line, not {n} (one cylinder is a single)"));
        }
        Layout::Vee | Layout::Flat if n % 2 == 1 || !(2..=16).contains(&n) => {
            return Err(format!("starter jobs are for 2 to 16 cylinders in two equal banks, not {n}"));
        }
        _ => {}
    }
    let engine = Engine::of(answers);
    let mut text = String::new();
    let page = Page { units: answers.units };
    head(&mut text, answers);
    engine_table(&mut text, answers, &engine, &page);
    wanted(&mut text, answers, &engine, &page);
    ports(&mut text, &engine, &page);
    collectors(&mut text, answers, &engine, &page);
    keepouts(&mut text, &engine, &page);
    stock(&mut text, answers, &page);
    Ok(text)
}

/// Lengths in the file's unit, rounded to what a tape shows.
struct Page {
    units: Units,
}

impl Page {
    fn length(&self, mm: f64) -> String {
        let (step, per) = match self.units {
            Units::Mm => (0.05, 1.0),
            Units::Inch => (1.0 / 16.0, 25.4),
        };
        let value = (mm / per / step).round() * step;
        let text = format!("{value:.6}");
        let short = text.trim_end_matches('0').trim_end_matches('.');
        if short.contains('.') { short.replace("-0.0", "0.0") } else { format!("{short}.0").replace("-0.0", "0.0") }
    }

    fn place(&self, x: f64, y: f64, z: f64) -> String {
        format!("[{}, {}, {}]", self.length(x), self.length(y), self.length(z))
    }
}

/// The bank that the job holds and how its cylinders fire.
struct Engine {
    /// Cylinders of the bank, front to rear.
    bank: Vec<u32>,
    order: Vec<u32>,
    /// False when the order has to be put in by the user.
    known: bool,
    /// The bank's cylinders by collector.
    groups: Vec<Vec<u32>>,
    /// Distance of one port from the next, mm.
    pitch: f64,
}

impl Engine {
    fn of(answers: &Starter) -> Engine {
        let n = answers.cylinders;
        let (order, known): (Vec<u32>, bool) = match (answers.layout, n) {
            (_, 1) => (vec![1], true),
            (_, 2) => (vec![1, 2], true),
            (Layout::Inline, 3) => (vec![1, 3, 2], true),
            (Layout::Inline, 4) => (vec![1, 3, 4, 2], true),
            (Layout::Inline, 5) => (vec![1, 2, 4, 5, 3], true),
            (Layout::Inline, 6) => (vec![1, 5, 3, 6, 2, 4], true),
            (Layout::Flat, 4) => (vec![1, 3, 2, 4], true),
            (Layout::Vee, 6) => (vec![1, 2, 3, 4, 5, 6], true),
            (Layout::Vee, 8) => (vec![1, 8, 7, 3, 6, 5, 4, 2], true),
            (Layout::Vee, 10) => (vec![1, 6, 5, 10, 2, 7, 3, 8, 4, 9], true),
            (Layout::Vee, 12) => (vec![1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10], true),
            _ => ((1..=n).collect(), false),
        };
        let bank: Vec<u32> = match (answers.layout, n) {
            (Layout::Single | Layout::Inline, _) => (1..=n).collect(),
            // Banks numbered odd and even from the front; the ten and the twelve bank by bank.
            (_, 10 | 12) => (1..=n / 2).collect(),
            _ => (1..=n).step_by(2).collect(),
        };
        let groups = match bank.len() {
            6 | 8 => bank.chunks(bank.len() / 2).map(<[u32]>::to_vec).collect(),
            7 => bank.chunks(4).map(<[u32]>::to_vec).collect(),
            _ => vec![bank.clone()],
        };
        Engine { bank, order, known, groups, pitch: answers.pitch }
    }

    fn port_x(&self, cylinder: u32) -> f64 {
        let place = self.bank.iter().position(|c| *c == cylinder).unwrap_or(0);
        -self.pitch * place as f64
    }
}

fn head(text: &mut String, answers: &Starter) {
    let unit = answers.units.word();
    let name = crate::file::routes_file::quote(&answers.name);
    let _ = write!(
        text,
        "# A starter job. All figures are placeholders: replace them with your measurements.\n\
         # Axes: x forward, y left, z up. Bare lengths are in the unit below; text may name its own (\"1 5/8 in\").\n\
         format = 1\nname = {name}\nunits = \"{unit}\"\n\n"
    );
}

fn engine_table(text: &mut String, answers: &Starter, engine: &Engine, page: &Page) {
    let layout = match answers.layout {
        Layout::Single => "single",
        Layout::Inline => "inline",
        Layout::Vee => "vee",
        Layout::Flat => "flat",
    };
    let order = engine.order.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    let remark =
        if engine.known { "check it against your engine" } else { "a placeholder: put your engine's order here" };
    let _ = write!(
        text,
        "[engine]\nlayout = \"{layout}\"\ncylinders = {}\nbore = {}\nstroke = {}\nrod_length = {}\ncompression_ratio = 10.5\n\
         firing_order = [{order}]   # {remark}\npeak_power_rpm = 6800\n\n",
        answers.cylinders,
        page.length(84.6),
        page.length(86.9),
        page.length(145.0),
    );
}

fn wanted(text: &mut String, answers: &Starter, engine: &Engine, page: &Page) {
    text.push_str("[tube]                      # of the primaries; [secondary.tube] and [tail.tube] for other runs\n");
    if answers.turbo {
        text.push_str("size = \"1 1/2 NPS sch 10S\"\nmaterial = \"304L\"\n\n");
        let _ = write!(
            text,
            "[length]\ntolerance = {}            # no target: the runs are only made even, to this\nobjective = \"compact\"\n\n",
            page.length(60.0)
        );
    } else {
        text.push_str("size = \"1 3/4 in x 16 ga\"   # or od and wall\nmaterial = \"304L\"\n\n");
        let _ = write!(
            text,
            "[length]\ntarget = {}             # omit for equal lengths without a target\ntolerance = {}\nobjective = \"even\"\n\n",
            page.length(target(engine)),
            page.length(5.0)
        );
    }
    let _ = write!(
        text,
        "[clearance]                 # from surface to surface\ntubes = {}\nkeepouts = {}\n\n",
        page.length(5.0),
        page.length(10.0)
    );
}

/// A length that the furthest port of each collector reaches with room to spare, mm.
fn target(engine: &Engine) -> f64 {
    let longest = engine.groups.iter().map(Vec::len).max().unwrap_or(1) as f64;
    let straight = ((longest - 1.0) * engine.pitch + 330.0).hypot(260.0).hypot(330.0);
    // Primaries of 1 3/4 in x 16 ga, as in `wanted`.
    let (tubes, od, wall) = (longest as usize, 44.45, 1.651);
    let outlet = usual_outlet(od - 2.0 * wall, wall);
    let beyond =
        if tubes > 1 { Bundle { tubes, od, gap: 2.0 }.height(USUAL_LEAN, outlet) / USUAL_LEAN.cos() } else { 0.0 };
    ((straight * 1.1 + beyond) / 10.0).ceil() * 10.0
}

fn ports(text: &mut String, engine: &Engine, page: &Page) {
    text.push_str("# One [[port]] for each exhaust port. `at` is its centre at the flange face, `axis` the way the flow leaves the head.\n");
    for cylinder in &engine.bank {
        let at = page.place(engine.port_x(*cylinder), 0.0, 0.0);
        let _ = write!(
            text,
            "[[port]]\ncylinder = {cylinder}\nat = {at}\naxis = [0.0, 1.0, 0.0]\nstub = {}               # least straight length leaving it\n\n",
            page.length(PORT_STUB)
        );
    }
}

fn collectors(text: &mut String, answers: &Starter, engine: &Engine, page: &Page) {
    text.push_str("# Where the runs end. `at` is the centre of the inlet plane, `axis` points with the flow, `up` fixes the roll.\n");
    for (i, group) in engine.groups.iter().enumerate() {
        let name = match (engine.groups.len(), answers.turbo) {
            (1, true) => "turbo",
            (1, false) => "main",
            _ => ["front", "rear"][i.min(1)],
        };
        let rear = group.iter().map(|c| engine.port_x(*c)).fold(f64::INFINITY, f64::min);
        let (at, stub) = if answers.turbo {
            (page.place(rear - 230.0, 200.0, -160.0), page.length(25.0))
        } else {
            (page.place(rear - 330.0, 260.0, -330.0), page.length(40.0))
        };
        let pattern = match group.len() {
            1 | 2 => "line",
            3 => "triangle",
            4 => "square",
            _ => "ring",
        };
        let cylinders = group.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
        let twin = answers.turbo && group.len() == 4 && engine.known;
        let _ = write!(
            text,
            "[[collector]]\nname = \"{name}\"\nat = {at}\naxis = [-1.0, 0.0, 0.0]\nup = [0.0, 0.0, 1.0]\ninlets = {}\n\
             pattern = \"{pattern}\"\ngap = {}\nstub = {stub}\ncylinders = [{cylinders}]\n",
            group.len(),
            page.length(2.0)
        );
        if twin {
            text.push_str("groups = \"twin\"             # a divided flange: two groups by the firing order\n");
        }
        let _ = writeln!(text, "{}\n", body(answers, group.len(), page));
    }
}

/// How a collector is made, and what else it could be.
fn body(answers: &Starter, inlets: usize, page: &Page) -> String {
    if answers.turbo {
        let (length, outlet) = (page.length(90.0), page.length(70.0));
        return format!(
            "body = {{ made = \"bought\", length = {length}, outlet_od = {outlet} }}   # the turbo behind its flange"
        );
    }
    let made = if inlets > 1 { "merge" } else { "plate" };
    format!("body = {{ made = \"{made}\" }}   # merge, slip, plate, or bought with its length and outlet_od")
}

fn keepouts(text: &mut String, engine: &Engine, page: &Page) {
    let rear = -engine.pitch * (engine.bank.len() as f64 - 1.0);
    let middle = 0.5 * rear;
    let _ = write!(
        text,
        "# Obstacles to stay clear of. Shapes: box, cylinder, capsule, sphere, mesh (a scan in stl, obj, ply or glb).\n\
         [[keepout]]\nname = \"head\"\nshape = \"box\"\ncenter = {}\nsize = {}\nholds_ports = true          # the ports sit in it\n\n",
        page.place(middle, -90.0, 40.0),
        page.place(-rear + 120.0, 180.0, 200.0)
    );
    let _ = write!(
        text,
        "[[keepout]]\nname = \"frame rail\"\nshape = \"box\"\ncenter = {}\nsize = {}\n\n",
        page.place(middle - 150.0, 480.0, -380.0),
        page.place(-rear + 1200.0, 80.0, 120.0)
    );
}

fn stock(text: &mut String, answers: &Starter, page: &Page) {
    text.push_str(
        "# What can be bought. The prices are invented: put your supplier's here, or into a stock.toml beside or\n\
         # above the job's folder that many jobs share (then leave [stock] out here).\n",
    );
    let money = |m: Money| format!("{:.2}", m.units());
    let od = if answers.turbo { 48.3 } else { 44.45 };
    if answers.turbo {
        for (elbow, price) in [("LR 90", "9.50"), ("LR 45", "7.80"), ("SR 90", "9.00")] {
            let _ = write!(text, "[[stock.bend]]\nelbow = \"{elbow}\"\nprice = {price}\n\n");
        }
    } else {
        for bend in catalogue::bends().iter().filter(|b| b.od == od && (b.kind == "U" || b.kind == "90")) {
            let _ = write!(
                text,
                "[[stock.bend]]\nclr = {}\nangle = {:.1}\nlegs = [{}, {}]\nprice = {}\n\n",
                page.length(bend.clr),
                bend.angle_deg,
                page.length(bend.legs[0]),
                page.length(bend.legs[1]),
                money(bend.price)
            );
        }
    }
    for stick in catalogue::sticks().iter().filter(|s| s.od == od) {
        let _ = write!(
            text,
            "[[stock.straight]]\nlength = {}\nprice = {}\n\n",
            page.length(stick.length),
            money(stick.price)
        );
    }
    let _ = write!(
        text,
        "[saw]\nkerf = {}\nmin_straight = {}         # shortest straight piece that can be held\nmin_arc = 5.0               # degrees\n\n\
         [cost]                      # money\njoint = 14.0                # per welded joint: fit-up, tack, weld, dress\ncut = 2.5\ncut_per = \"piece\"\n",
        page.length(1.6),
        page.length(12.0)
    );
}
