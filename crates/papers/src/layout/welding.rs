//! Welding: what is tacked and welded when, from the bench to the vehicle and back, with purge and fit-up.

use cutplan::quote::Purge;
use cutplan::welding::{Groups, Phase, Remedy, TackPlace, WeldStep, purged, shrinkage};
use job::rates::Rates;

use super::practice::{before, build_collectors, purge};
use super::runs::run_number;
use crate::PaperJob;
use crate::sheet::{Block, Column, RowHeight, Sheet, SheetKind, Side, Table, TextStyle};
use crate::words;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let mut sheet = Sheet::new(SheetKind::Welding, "Welding", "every tack and weld in the order in which it is done");
    let blocks = &mut sheet.blocks;
    blocks.push(Block::Heading("Before the first tack".into()));
    blocks.push(Block::Points(before(papers)));
    let built = build_collectors(papers);
    if !built.is_empty() {
        blocks.push(Block::Heading("Build the collectors".into()));
        blocks.push(Block::Steps(built));
    }
    blocks.push(Block::Heading("Phase 1 · Bench: tack the groups".into()));
    bench(papers, blocks);
    blocks.push(Block::Heading("Phase 2 · On the vehicle: put the groups in and tack them together".into()));
    on_vehicle(papers, blocks);
    blocks.push(Block::Heading("Phase 3 · Off again: weld the groups on the bench".into()));
    off_again(papers, blocks);
    blocks.push(Block::Heading("Phase 4 · Final welds, bolted down".into()));
    last(papers, blocks);
    not_reached(papers, blocks);
    blocks.push(Block::Heading("Purge, filler, shrinkage".into()));
    blocks.push(Block::Points(purge(papers)));
    blocks.push(Block::Table(by_tube(papers)));
    blocks.push(Block::Text(TextStyle::Small, remark(papers)));
    vec![sheet]
}

fn remark(papers: &PaperJob<'_>) -> String {
    let [cup, hand] = [16.0, 28.0].map(|l| words::with_unit(l, papers.units));
    format!(
        "O'clock: 12 is the bold line of the joint's clocking strip, clockwise looking downstream. Reached: share of the \
         circumference that a small TIG torch ({cup} cup, {hand} with fingers, 35° torch angle) reaches past what is there at that \
         time. Line of sight and hand room are not checked."
    )
}

/// The name of a step's joint.
fn joint(papers: &PaperJob<'_>, step: &WeldStep) -> String {
    words::short(&papers.assembly[step.run].joints[step.joint].name, 40)
}

/// Steps of some kind with their number in the order of welding, from 1.
fn numbered<'a>(
    papers: &'a PaperJob<'_>,
    wanted: impl Fn(&WeldStep) -> bool + 'a,
) -> impl Iterator<Item = (usize, &'a WeldStep)> {
    (1..).zip(&papers.welding.steps).filter(move |(_, s)| wanted(s))
}

fn hours(hours: &[usize]) -> String {
    hours.iter().map(usize::to_string).collect::<Vec<_>>().join(", ")
}

/// From mark to mark: `1A to 1C`.
fn span(papers: &PaperJob<'_>, run: usize, [from, to]: [usize; 2]) -> String {
    let mark = |k: usize| papers.plan.pieces[papers.assembly[run].pieces[k]].mark.as_str();
    match to.saturating_sub(from) {
        0 => "-".into(),
        1 => mark(from).into(),
        _ => format!("{} to {}", mark(from), mark(to - 1)),
    }
}

fn box_column() -> Column {
    Column { side: Side::Middle, ..Column::left("done") }
}

const BOX: &str = "[   ]";

fn bench(papers: &PaperJob<'_>, blocks: &mut Vec<Block>) {
    blocks.push(Block::Points(vec![
        "Butt the pieces on their match marks and tack each group below. Check its chords before the next piece goes on.".into(),
    ]));
    let mut table = Table::new(vec![
        Column::left("tube"),
        Column::wide("on the flange", 0.8),
        Column::wide("tube group", 1.0),
        Column::wide("on the collector", 0.8),
        Column::wide("tack joints", 2.2),
        Column::left("at o'clock"),
        box_column(),
    ]);
    for (run, groups) in papers.welding.groups.iter().enumerate() {
        for (first, (at, joints)) in bench_tacks(papers, run).into_iter().enumerate() {
            let Groups { pieces, at_flange, at_collector } = *groups;
            let ends = [[0, at_flange], [at_flange, pieces - at_collector], [pieces - at_collector, pieces]];
            let [flange, middle, collector] =
                ends.map(|e| if first == 0 { span(papers, run, e) } else { String::new() });
            table.row(vec![run_number(papers, run), flange, middle, collector, joints.join(", "), at, BOX.into()]);
        }
    }
    if !table.rows.is_empty() {
        blocks.push(Block::Table(Table { row_height: RowHeight::Low, ..table }));
    }
    let early: Vec<_> = numbered(papers, |s| s.phase == Phase::Bench).collect();
    if !early.is_empty() {
        let only = "Weld these now, before the next piece goes on: afterwards a torch cannot reach all around them.";
        blocks.push(Block::Text(TextStyle::Plain, only.into()));
        blocks.push(Block::Table(welds(papers, &early)));
    }
}

/// Joints of a run that are tacked on the bench, those at the same hours together.
fn bench_tacks(papers: &PaperJob<'_>, run: usize) -> Vec<(String, Vec<String>)> {
    let mut found: Vec<(String, Vec<String>)> = Vec::new();
    let mut own: Vec<&WeldStep> = papers.welding.steps.iter().filter(|s| s.run == run).collect();
    own.sort_by_key(|s| s.joint);
    for step in own.into_iter().filter(|s| s.tacked == TackPlace::Bench) {
        let at = hours(&step.tacks);
        match found.iter_mut().find(|(hours, _)| *hours == at) {
            Some((_, joints)) => joints.push(joint(papers, step)),
            None => found.push((at, vec![joint(papers, step)])),
        }
    }
    found
}

fn on_vehicle(papers: &PaperJob<'_>, blocks: &mut Vec<Block>) {
    let numbers: Vec<String> = papers.welding.order.iter().map(|&r| run_number(papers, r)).collect();
    blocks.push(Block::Points(vec![
        "Bolt flanges and collectors in place, with their groups on them; on the jig where the vehicle is not there.".into(),
        format!("Fit the tubes in this order: {}. Tack each at its closing joints before the next one.", numbers.join(", ")),
        "Check lengths and clearances, and that the header comes off and on. Scribe a witness line across every closing joint.".into(),
    ]));
    let mut table = Table::new(vec![
        Column::left("tube"),
        Column::wide("tack joint", 1.4),
        Column::left("at o'clock"),
        Column::wide("where", 1.6),
        box_column(),
    ]);
    for &run in &papers.welding.order {
        let mut own: Vec<&WeldStep> = papers.welding.steps.iter().filter(|s| s.run == run && s.closes()).collect();
        own.sort_by_key(|s| s.joint);
        for step in own {
            let place = match step.tacked {
                TackPlace::Jig => "on the jig: no room for the torch on the vehicle",
                _ => "on the vehicle",
            };
            let cells = [run_number(papers, run), joint(papers, step), hours(&step.tacks), place.into(), BOX.into()];
            table.row(cells.to_vec());
        }
    }
    if !table.rows.is_empty() {
        blocks.push(Block::Table(Table { row_height: RowHeight::Low, ..table }));
    }
}

fn off_again(papers: &PaperJob<'_>, blocks: &mut Vec<Block>) {
    let own: Vec<_> = numbered(papers, |s| matches!(s.phase, Phase::Alone | Phase::Ends)).collect();
    if own.is_empty() {
        let whole = "Take the header off as one piece. No tube has to come out: all is welded in phase 4.";
        blocks.push(Block::Text(TextStyle::Plain, whole.into()));
        return;
    }
    let mut out: Vec<usize> = own.iter().map(|(_, s)| s.run).collect();
    out.sort_unstable();
    out.dedup();
    let numbers: Vec<String> = out.into_iter().map(|r| run_number(papers, r)).collect();
    blocks.push(Block::Points(vec![
        format!("Take the header off as one piece. Cut the closing tacks of tubes {}, take these out, dress the tacks flush.", numbers.join(", ")),
        "Weld in table order, a quarter of the circumference at a time on opposite sides. Let it cool, check the chords again.".into(),
    ]));
    blocks.push(Block::Table(welds(papers, &own)));
}

fn last(papers: &PaperJob<'_>, blocks: &mut Vec<Block>) {
    blocks.push(Block::Points(vec![
        "Bolt the flanges to a strongback: a flat plate at least twice as thick as the flange, every bolt in. Refit the tubes in the \
         order of phase 2 by their witness lines and tack the closing joints again at the same places."
            .into(),
        "Weld in table order, alternating ends of the flange. Leave it bolted down until it is cold to the hand.".into(),
        format!(
            "Unbolt, lay a straight edge over each flange: surface it where a feeler of {} goes under.",
            words::exact_with_unit(0.1, papers.units)
        ),
    ]));
    let own: Vec<_> = numbered(papers, |s| matches!(s.phase, Phase::Staged | Phase::Together)).collect();
    if !own.is_empty() {
        blocks.push(Block::Table(welds(papers, &own)));
    }
}

/// Welds in their order, with what is there then.
fn welds(papers: &PaperJob<'_>, steps: &[(usize, &WeldStep)]) -> Table {
    let mut table = Table::new(vec![
        Column::right("weld"),
        Column::wide("joint", 1.3),
        Column::left("tube"),
        Column::wide("with", 2.4),
        Column::right("reached"),
        box_column(),
    ]);
    for (number, step) in steps {
        table.row(vec![
            number.to_string(),
            joint(papers, step),
            run_number(papers, step.run),
            there(papers, step),
            format!("{:.0} %", 100.0 * step.share()),
            BOX.into(),
        ]);
    }
    Table { row_height: RowHeight::Low, ..table }
}

/// What is there when a joint is welded.
fn there(papers: &PaperJob<'_>, step: &WeldStep) -> String {
    let own = span(papers, step.run, step.group);
    match step.phase {
        Phase::Bench | Phase::Alone => format!("{own} alone on the bench"),
        Phase::Ends => format!("{own}, tubes before it already on"),
        Phase::Together => "all tubes in".into(),
        Phase::Staged => {
            let place = papers.welding.order.iter().position(|r| *r == step.run).unwrap_or(0);
            match papers.welding.order.get(place + 1) {
                Some(next) => format!("before tube {} goes in", run_number(papers, *next)),
                None => "all tubes in".into(),
            }
        }
    }
}

/// What a torch does not reach from outside in any order, and what to do there instead.
fn not_reached(papers: &PaperJob<'_>, blocks: &mut Vec<Block>) {
    let missed: Vec<_> = numbered(papers, |s| s.remedy.is_some()).collect();
    if missed.is_empty() {
        return;
    }
    let mut table = Table::new(vec![
        Column::right("weld"),
        Column::left("joint"),
        Column::left("not reached, o'clock"),
        Column::left("in the way"),
        Column::wide("do this instead", 1.0),
    ]);
    for (number, step) in missed {
        let blockers: Vec<String> = step.blockers.iter().map(|r| r.to_string().replace("primary ", "")).collect();
        let blockers = match &blockers[..] {
            [] => "itself".into(),
            [one] => format!("tube {one}"),
            more => words::short(&format!("tubes {}", more.join(", ")), 30),
        };
        let instead = step.remedy.map_or(String::new(), |r| instead(papers, step, r));
        table.row(vec![number.to_string(), joint(papers, step), hours(&step.missed()), blockers, instead]);
    }
    blocks.push(Block::Heading("Not reached from outside in any order: do this".into()));
    blocks.push(Block::Table(Table { row_height: RowHeight::Low, ..table }));
}

fn instead(papers: &PaperJob<'_>, step: &WeldStep, remedy: Remedy) -> String {
    let port = step.joint == 0;
    match remedy {
        Remedy::FromInside if port => "from the bore, through the flange, before it is surfaced".into(),
        Remedy::FromInside => {
            "from inside, through the open end of the collector, before its cone or next tube goes on".into()
        }
        Remedy::Move(by) => format!(
            "move the joint {} {}: a torch reaches all around it there (change the cut plan first)",
            words::with_unit(by.abs(), papers.units),
            if by < 0.0 { "upstream" } else { "downstream" }
        ),
        Remedy::Change => "make it a slip joint, or give the tube another route: it cannot be welded all around".into(),
    }
}

/// Welds, shrinkage and argon of each tube.
fn by_tube(papers: &PaperJob<'_>) -> Table {
    let figure = papers.quote.map_or_else(|| Purge::of(&Rates::default()), |q| q.work.purge);
    let mut table = Table::new(vec![
        Column::left("tube"),
        Column::wide("material", 1.0),
        Column::right("welds"),
        Column::right(words::head("shorter by about", papers.units)),
        Column::right("argon, one flooding, l"),
        Column::right(format!("minutes at {} l/min", words::trimmed(figure.flow))),
    ]);
    table.row_height = RowHeight::Low;
    for (run, assembly) in papers.assembly.iter().enumerate() {
        let welds = assembly.joints.iter().filter(|j| j.kind.welded()).count();
        let flooding = figure.flooding_l(assembly.volume);
        let argon = |value: f64| if purged(&assembly.tube.material) { format!("{value:.1}") } else { "-".into() };
        table.row(vec![
            run_number(papers, run),
            assembly.tube.material.clone(),
            welds.to_string(),
            words::length(welds as f64 * shrinkage(assembly.tube.wall), papers.units),
            argon(flooding),
            argon(flooding / figure.flow),
        ]);
    }
    table
}
