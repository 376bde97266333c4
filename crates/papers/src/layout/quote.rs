//! The quote for the customer: scope, picture, price, terms. It shows no cost of ours.

use cutplan::quote::Group;
use job::routes::RunId;

use super::overview::{Bank, bank, named_views};
use super::runs::{lines, tubes};
use crate::PaperJob;
use crate::sheet::{Block, Column, Drawing, Placing, Sheet, SheetKind, Table, TextStyle};
use crate::view::{Scene, extent};
use crate::words;

/// Terms that stand until the shop writes its own: a starting point, not legal advice.
pub const DEFAULT_TERMS: &str = include_str!("terms.txt");

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let Some(quote) = papers.quote else { return Vec::new() };
    let mut sheet = Sheet::new(SheetKind::Quote, "Quote", words::short(&papers.job.name, 70));
    if quote.invented {
        sheet.blocks.push(Block::Notice {
            title: "DRAFT, do not send: placeholder prices".into(),
            points: vec![
                "Some prices are placeholders: enter your own in [price] of stock.toml and print again.".into(),
            ],
            grave: true,
        });
    }
    let money = |m: job::model::Money| format!("{} {:.2}", quote.currency, m.units());
    let mut price = Table::new(vec![Column::wide("", 1.0), Column::right("price")]);
    price.row(vec!["Header/manifold as described, ready to fit".into(), money(quote.net)]);
    if quote.tax_rate != 0 {
        price.row(vec![format!("Tax {} %", words::trimmed(quote.tax_rate as f64 / 1000.0)), money(quote.tax)]);
    }
    price.row(vec!["Total".into(), money(quote.total)]);
    let date = if papers.date.is_empty() { "Date: ____________".to_string() } else { format!("Date: {}", papers.date) };
    let right = vec![
        Block::Text(TextStyle::Plain, date),
        Block::Text(
            TextStyle::Plain,
            format!("Revision: {}", if papers.revision.is_empty() { "-" } else { papers.revision }),
        ),
        Block::Heading("Price".into()),
        Block::Text(TextStyle::Large, money(quote.total)),
        Block::Table(price),
    ];
    let [width, _] = papers.paper.room(false);
    let picture = picture(papers, 0.52 * (width - 5.0));
    sheet.blocks.push(Block::Columns(vec![(0.52, vec![Block::Drawing(picture)]), (0.48, right)]));
    sheet.blocks.push(Block::Heading("What you get".into()));
    sheet.blocks.push(Block::Points(scope(papers)));
    // Editors on Windows end lines with CR LF.
    let lines = papers.terms.replace("\r\n", "\n");
    for paragraph in lines.split("\n\n").map(str::trim).filter(|p| !p.is_empty()) {
        terms(paragraph, &mut sheet.blocks);
    }
    sheet.blocks.push(Block::Room(8.0));
    sheet
        .blocks
        .push(Block::Blanks(["Signed for the shop", "Accepted (customer)", "Date", "Date"].map(String::from).to_vec()));
    vec![sheet]
}

/// One paragraph of the terms: a heading, points, or text.
fn terms(paragraph: &str, blocks: &mut Vec<Block>) {
    let mut rest = paragraph;
    if let Some(line) = paragraph.strip_prefix("# ") {
        let (heading, after) = line.split_once('\n').unwrap_or((line, ""));
        blocks.push(Block::Heading(heading.trim().into()));
        rest = after.trim();
    }
    if rest.is_empty() {
        return;
    }
    let joined = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    if rest.starts_with("- ") {
        let points = rest.split("\n- ").map(|p| joined(p.trim_start_matches("- "))).collect();
        blocks.push(Block::Points(points));
    } else {
        blocks.push(Block::Text(TextStyle::Plain, joined(rest)));
    }
}

fn picture(papers: &PaperJob<'_>, width: f64) -> Drawing {
    let mut d = Drawing::new(width, 0.72 * width);
    let lines = lines(papers);
    let tubes = tubes(papers, &lines, None);
    if !tubes.is_empty() {
        let runs: Vec<RunId> = papers.routes.runs.iter().map(|r| r.run.clone()).collect();
        let [.., (_, view)] = named_views(bank(&lines, &runs) == Bank::Right);
        let placing = Placing::fit(&extent(&tubes, &view), 0.0, [2.0, 2.0], [width - 4.0, 0.72 * width - 4.0], None);
        Scene::new(&tubes, view).draw(&mut d, &placing);
    }
    d
}

/// What is made, in words.
fn scope(papers: &PaperJob<'_>) -> Vec<String> {
    let job = papers.job;
    let count = |kind: fn(&RunId) -> bool| papers.routes.runs.iter().filter(|r| kind(&r.run)).count();
    let kinds = [
        (count(|r| matches!(r, RunId::Primary { .. })), "primary", &job.primary.tube),
        (count(|r| matches!(r, RunId::Secondary { .. })), "secondary", &job.secondary.tube),
        (count(|r| matches!(r, RunId::Tail { .. })), "tail", &job.tail.tube),
    ];
    let mut points: Vec<String> = kinds
        .iter()
        .filter(|(n, _, _)| *n > 0)
        .map(|(n, name, tube)| {
            let what = if *n == 1 { "tube" } else { "tubes" };
            format!("{n} {name} {what} of {}, {}.", words::tube(tube.od, tube.wall, papers.units), tube.material)
        })
        .collect();
    let collectors = job.collectors.iter().filter(|c| papers.routes.runs.iter().any(|r| r.collector == c.name));
    for collector in collectors {
        let n = papers.routes.runs.iter().filter(|r| r.collector == collector.name).count();
        points.push(format!("Collector \"{}\": {n} into 1.", words::short(&collector.name, 60)));
    }
    let target = job.primary.length.target.map(|t| words::with_unit(t, papers.units));
    if let Some(target) = target {
        let tolerance = words::with_unit(job.primary.length.tolerance, papers.units);
        points.push(format!("Primary length {target} ± {tolerance}."));
    }
    let extras = papers.quote.into_iter().flat_map(|q| q.lines.iter().filter(|l| l.group == Group::Extras));
    points.extend(extras.map(|l| match (&*l.unit, l.quantity) {
        ("piece", 1.0) => format!("{}.", l.what),
        _ => format!("{}: {} {}.", l.what, words::trimmed(l.quantity), l.unit),
    }));
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn terms_become_headings_points_and_text() {
        let mut blocks = Vec::new();
        terms("# Valid\n- 30 days\n  from today\n- here", &mut blocks);
        terms("plain\ntext", &mut blocks);
        assert_eq!(
            blocks,
            [
                Block::Heading("Valid".into()),
                Block::Points(vec!["30 days from today".into(), "here".into()]),
                Block::Text(TextStyle::Plain, "plain text".into())
            ]
        );
    }

    #[test]
    fn the_default_terms_name_validity_and_exclusions() {
        assert!(DEFAULT_TERMS.contains("# Validity") && DEFAULT_TERMS.contains("# Not included"));
    }
}
