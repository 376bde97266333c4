//! From the tables of job.toml to the job.

mod bay;
mod bodies;
mod heat;
mod parts;
mod stock;
mod tubes;

use super::read::Reader;
use super::record::Record;
use crate::mesh_file::Files;
use crate::model::*;

pub use stock::{StockGiven, cost, saw, stock};

/// A job with the tables it came from; items whose tables were bad are left out.
pub struct Draft {
    /// The job as far as it could be read.
    pub job: Job,
    /// The whole file.
    pub root: Record,
    /// Where each port of the job stands.
    pub ports: Vec<Record>,
    /// Where each collector of the job stands.
    pub collectors: Vec<Record>,
    /// Where each keep-out of the job stands.
    pub keepouts: Vec<Record>,
    /// Where each bend of the stock stands; empty for stock from a shop's file.
    pub bends: Vec<Record>,
    /// Where each tail of the job stands.
    pub tails: Vec<Record>,
    /// False when a port was left out.
    pub ports_whole: bool,
    /// False when a collector was left out.
    pub collectors_whole: bool,
    /// False when an item of the stock was left out.
    pub stock_whole: bool,
    /// What the file gives.
    pub given: Given,
}

/// What a job file gives, for commands that need it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Given {
    /// `[tube]`.
    pub tube: bool,
    /// `[clearance]`.
    pub clearance: bool,
    /// Stock of any kind, in the job or in the shop's file.
    pub stock: bool,
    /// `[saw]`, in the job or in the shop's file.
    pub saw: bool,
    /// `[cost]`, in the job or in the shop's file.
    pub cost: bool,
}

/// Builds the job; what is wrong goes into the reader's problems.
pub fn draft(reader: &mut Reader<'_>, root: Record, default_name: &str, files: Files<'_>) -> Draft {
    let units = reader.units;
    let (primary, secondary, tail) = tubes::run_specs(reader, &root);
    let clearance = root
        .table("clearance")
        .and_then(|t| Some(Clearance { tubes: t.number("tubes")?, keepouts: t.number("keepouts")? }));
    let given = Given {
        tube: root.given("tube"),
        clearance: root.given("clearance"),
        stock: root.given("stock"),
        saw: root.given("saw"),
        cost: root.given("cost"),
    };
    let clearance = clearance.unwrap_or(Clearance { tubes: 0.0, keepouts: 0.0 });
    let (ports, port_records) = bay::ports(reader, &root);
    let (collectors, collector_records) = bay::collectors(reader, &root);
    let (keepouts, keepout_records) = bay::keepouts(reader, &root, clearance.keepouts, files);
    let (tails, tail_records) = bay::tails(reader, &root);
    let tubes = bodies::Tubes { primary: &primary, secondary: &secondary, tail: &tail, tails: &tails };
    let collectors = bodies::with_bodies(reader, collectors, &collector_records, &tubes);
    let stock = match root.table("stock") {
        Some(table) => stock::stock(reader, table, Some(&primary.tube)),
        None => StockGiven { stock: Stock::default(), bends: Vec::new(), whole: !root.is_bad("stock") },
    };
    let job = Job {
        name: root.text("name").unwrap_or(default_name).to_string(),
        units,
        engine: root.table("engine").and_then(engine),
        primary,
        secondary,
        tail,
        clearance,
        ports,
        collectors,
        keepouts,
        plugs: root.tables("plug").iter().filter_map(bay::plug).collect(),
        goes_on: root.table("goes_on").and_then(|t| t.points("moves")),
        tails,
        parts: parts::parts(&root),
        heat: heat::heat(&root),
        highest_share: root.table("strength").and_then(|t| t.number("highest_share")),
        stock: stock.stock,
        saw: root.table("saw").map_or(stock::NO_SAW, |t| stock::saw(reader, t)),
        cost: root.table("cost").map_or(stock::NO_COST, |t| stock::cost(reader, t)),
    };
    Draft {
        ports_whole: !root.is_bad("port") && root.tables("port").len() == port_records.len(),
        collectors_whole: !root.is_bad("collector") && root.tables("collector").len() == collector_records.len(),
        stock_whole: stock.whole,
        job,
        ports: port_records,
        collectors: collector_records,
        keepouts: keepout_records,
        bends: stock.bends,
        tails: tail_records,
        given,
        root,
    }
}

fn engine(table: &Record) -> Option<Engine> {
    let cam = |key: &str, opens: &str, closes: &str| {
        let t = table.table(key)?;
        Some(Cam {
            opens: t.number(opens)?,
            closes: t.number(closes)?,
            lift: t.number("lift"),
            timed_at_lift: t.number("timed_at_lift").unwrap_or(0.0),
        })
    };
    let exhaust_cam = cam("exhaust_cam", "opens_bbdc_deg", "closes_atdc_deg");
    Some(Engine {
        layout: match table.text("layout")? {
            "single" => Layout::Single,
            "vee" => Layout::Vee,
            "flat" => Layout::Flat,
            _ => Layout::Inline,
        },
        cylinders: table.whole("cylinders")? as u32,
        bore: table.number("bore"),
        stroke: table.number("stroke"),
        rod_length: table.number("rod_length"),
        compression_ratio: table.number("compression_ratio"),
        firing_order: table.wholes("firing_order").map(|list| list.into_iter().map(|c| c as u32).collect()),
        peak_power_rpm: table.number("peak_power_rpm"),
        exhaust_opens: exhaust_cam.map(|c| c.opens),
        breathing: Breathing {
            exhaust_cam,
            intake_cam: cam("intake_cam", "opens_btdc_deg", "closes_abdc_deg"),
            valves: table.table("valves").and_then(valves),
            intake: table.table("intake").and_then(intake),
        },
    })
}

fn valves(t: &Record) -> Option<Valves> {
    Some(Valves {
        exhaust_count: t.whole("exhaust_count")? as u32,
        exhaust_diameter: t.number("exhaust_diameter")?,
        exhaust_discharge: t.number("exhaust_discharge"),
        intake_count: t.whole("intake_count")? as u32,
        intake_diameter: t.number("intake_diameter")?,
        intake_discharge: t.number("intake_discharge"),
    })
}

fn intake(t: &Record) -> Option<Intake> {
    Some(Intake {
        runner_length: t.number("runner_length")?,
        runner_diameter: t.number("runner_diameter")?,
        plenum_volume_l: t.number("plenum_volume_l"),
        throttle_diameter: t.number("throttle_diameter"),
        boost_kpa: t.number("boost_kpa").unwrap_or(0.0),
    })
}
