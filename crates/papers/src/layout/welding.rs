//! Welding: order of tacking and welding over all runs, purge plan, filler.

use cutplan::welding::{Station, WeldStep, purged};
use job::catalogue::material;
use job::model::Tube;

use super::run_number;
use crate::PaperJob;
use crate::sheet::{Block, Column, Look, Rise, Sheet, SheetKind, Side, Table};
use crate::words;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let mut sheet = Sheet::new(SheetKind::Welding, "Welding", "order over all runs, purge, filler");
    sheet.blocks.push(Block::Heading("Order".into()));
    sheet.blocks.push(Block::Steps(order(papers)));
    let off: Vec<&WeldStep> = papers.welding.steps.iter().filter(|s| s.off_car()).collect();
    if !off.is_empty() {
        let names: Vec<String> = off.iter().map(|s| joint(papers, s)).collect();
        sheet.blocks.push(Block::Notice {
            title: "Weld these off the car: on it, a torch does not get all around them".into(),
            points: vec![names.join(", ")],
            grave: false,
        });
    }
    sheet.blocks.push(Block::Heading("Every weld, in order".into()));
    let rise = Rise::of(papers.welding.steps.len() + 6);
    sheet.blocks.push(Block::Table(Table { rise, ..welds(papers) }));
    let [cup, hand] = [16.0, 28.0].map(|l| words::with_unit(l, papers.units));
    sheet.blocks.push(Block::Text(
        Look::Small,
        format!(
            "Reach: share of the joint's circumference that a small TIG torch ({cup} cup, {hand} with the fingers, 35 degrees of \
             lean) gets to past the other tubes, tried every 30 degrees; the size of torch is common practice, no source. Where \
             your eye and hand go is yours to judge."
        ),
    ));
    sheet.blocks.push(Block::Heading("Purge and filler".into()));
    sheet.blocks.push(Block::Points(purge(papers)));
    vec![sheet]
}

fn joint(papers: &PaperJob<'_>, step: &WeldStep) -> String {
    words::short(&papers.assembly[step.run].joints[step.joint].name, 40)
}

fn order(papers: &PaperJob<'_>) -> Vec<String> {
    let numbers: Vec<String> = papers.welding.order.iter().map(|&r| run_number(papers, r)).collect();
    vec![
        "Bolt flanges and collector to the jig (see Jig). Check them against its table before anything is tacked.".into(),
        format!(
            "Fit and tack the runs in this order: {}. Each joint gets three or four small tacks; check clocking and chords before \
             the next piece goes on.",
            numbers.join(", ")
        ),
        "With all runs tacked, check gaps and lengths. Mark every run against its neighbours, then take the runs off that have \
         joints to be welded on the bench."
            .into(),
        "Weld the bench joints run by run, on opposite sides in turn, so that heat pulls evenly. Let cool, check the chords again.".into(),
        "Put the runs back and weld flanges and collector inlets in the order of the table, a quarter at a time, skipping from one \
         end of the flange to the other."
            .into(),
        "Leave it bolted to the jig until cold. Face the flanges afterwards if they have moved.".into(),
    ]
}

fn welds(papers: &PaperJob<'_>) -> Table {
    let mut table = Table::new(vec![
        Column { side: Side::Right, ..Column::left("") },
        Column::wide("joint", 1.2),
        Column::left("run"),
        Column::wide("weld it", 2.6),
        Column::right("alone"),
        Column::right("all there"),
        Column::right("on the car"),
        Column::wide("in the way", 1.0),
        Column { side: Side::Middle, ..Column::left("done") },
    ]);
    for (k, step) in papers.welding.steps.iter().enumerate() {
        let percent = |share: f64| format!("{:.0} %", 100.0 * share);
        let blockers: Vec<String> = step.blockers.iter().map(short_run).collect();
        table.row(vec![
            (k + 1).to_string(),
            joint(papers, step),
            run_number(papers, step.run),
            station(step),
            percent(step.alone),
            percent(step.together),
            percent(step.on_car),
            blockers.join(", "),
            "[   ]".into(),
        ]);
    }
    table
}

fn short_run(run: &job::routes::RunId) -> String {
    words::short(&run.to_string(), 20).replace("primary ", "")
}

fn station(step: &WeldStep) -> String {
    match step.station {
        Station::BenchAlone => "on the bench, run alone".into(),
        Station::OnJig => "on the jig, all runs there".into(),
        Station::BeforeLater => "on the jig, before later runs go in".into(),
        Station::HardToReach => "hard to reach: what shows, or with a bent cup".into(),
    }
}

fn purge(papers: &PaperJob<'_>) -> Vec<String> {
    let mut points = Vec::new();
    let mut seen: Vec<&Tube> = Vec::new();
    for run in papers.assembly {
        if seen.iter().any(|t| t.material == run.tube.material) {
            continue;
        }
        seen.push(&run.tube);
        let filler = material(&run.tube.material).map_or("-", |m| m.filler.as_str());
        let name = &run.tube.material;
        points.push(format!("{name}: filler {filler}."));
        if purged(name) {
            points.push(format!(
                "{name}: purge the inside with argon before the first full weld and until the metal is cool. Cap both ends, let \
                 argon in at the lower one and out at a small hole in the upper one; tape joints that are not welded yet."
            ));
        } else {
            let back = words::with_unit(25.0, papers.units);
            points.push(format!("{name}: no purge needed; clean inside and out to bright metal {back} back."));
        }
    }
    if papers.assembly.iter().any(|a| purged(&a.tube.material)) {
        let litres: Vec<String> = papers
            .assembly
            .iter()
            .enumerate()
            .map(|(i, a)| format!("{} {:.2}", run_number(papers, i), a.volume * 1e-6))
            .collect();
        points.push(format!(
            "Volume to fill, litres by run: {}. Let about six times that through before striking an arc (common practice, no \
             source), longer where the run has dead ends; an oxygen meter at the outlet is better than counting.",
            litres.join("; ")
        ));
        points.push(
            "Argon takes the air from pits and small rooms and gives no warning: ventilate, shut the bottle when you leave.".into(),
        );
    }
    points
}
