//! Welding: sequence of tacks and welds over all runs, purge plan, filler.

use cutplan::welding::{Station, WeldStep, purged};
use job::catalogue::material;
use job::model::Tube;

use super::run_number;
use crate::PaperJob;
use crate::sheet::{Block, Column, Look, Rise, Sheet, SheetKind, Side, Table};
use crate::words;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let mut sheet = Sheet::new(SheetKind::Welding, "Welding", "sequence, purge, filler");
    sheet.blocks.push(Block::Heading("Sequence".into()));
    sheet.blocks.push(Block::Steps(order(papers)));
    let off: Vec<&WeldStep> = papers.welding.steps.iter().filter(|s| s.off_car()).collect();
    if !off.is_empty() {
        let names: Vec<String> = off.iter().map(|s| joint(papers, s)).collect();
        sheet.blocks.push(Block::Notice {
            title: "Weld these off the vehicle: on it, a torch cannot reach all around them".into(),
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
            "Torch access: share of the joint's circumference that a small TIG torch ({cup} cup, {hand} with fingers, 35° torch \
             angle) can reach past the other tubes, checked every 30 degrees; the torch size is common practice, no source. Line \
             of sight and hand room are not checked."
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
        "Bolt flanges and collector to the jig (see Jig). Check them against its table before tacking.".into(),
        format!(
            "Fit and tack the tubes in this order: {}. Three or four small tacks per joint; check clocking and chords before fitting \
             the next piece.",
            numbers.join(", ")
        ),
        "With all tubes tacked, check clearances and lengths. Mark each tube against its neighbours, then remove the tubes that \
         have joints to weld on the bench."
            .into(),
        "Weld the bench joints tube by tube, on opposite sides in turn to balance distortion. Let it cool, then check the chords again.".into(),
        "Refit the tubes and weld flanges and collector inlets in table order, a quarter of the circumference at a time, \
         alternating ends of the flange."
            .into(),
        "Leave it bolted to the jig until cold. Face the flanges afterwards if they have moved.".into(),
    ]
}

fn welds(papers: &PaperJob<'_>) -> Table {
    let mut table = Table::new(vec![
        Column { side: Side::Right, ..Column::left("") },
        Column::wide("joint", 1.2),
        Column::left("tube"),
        Column::wide("where to weld", 2.6),
        Column::right("tube alone"),
        Column::right("all fitted"),
        Column::right("on vehicle"),
        Column::wide("blocked by", 1.0),
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
        Station::BenchAlone => "on the bench, tube alone".into(),
        Station::OnJig => "on the jig, all tubes fitted".into(),
        Station::BeforeLater => "on the jig, before later tubes are fitted".into(),
        Station::HardToReach => {
            "poor access: weld what you can reach; try a flex-head torch, stubby back cap or mirror".into()
        }
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
                "{name}: purge the inside with argon for tacks and full welds, until the metal is cool. Cap both ends, feed \
                 argon in at the lower one and vent it at a small hole in the upper one; tape joints not yet welded."
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
            "Volume, litres per tube: {}. Flow at least 8 volumes (5 to 10) before striking an arc (common practice, no source), more \
             where the tube has dead ends; an oxygen meter at the outlet is better.",
            litres.join("; ")
        ));
        points.push(
            "Argon displaces air in pits and small rooms without warning: ventilate; close the cylinder valve when you leave.".into(),
        );
    }
    points
}
