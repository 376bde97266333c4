//! Prices a job: from routes and cut plan to `quote.json`.

use cutplan::quote::{Group, Quote};
use job::model::Units;
use job::show;
use serde_json::{Value, json};

use crate::quote_file::QuoteFile;
use crate::report_table::{heads, row, table};
use crate::wording;

/// What `summary.json` says of the quote.
pub fn quote_summary(quote: &QuoteFile) -> Value {
    json!({
        "currency": quote.currency,
        "net": quote.net,
        "tax": quote.tax,
        "total": quote.total,
        "invented_prices": quote.invented_prices,
        "weight_kg": quote.weight_kg,
    })
}

/// The quote as text: lines by group, sums, weight and welds by run.
pub fn quote_text(quote: &Quote, units: Units) -> String {
    let mut out = format!("Quote: {:.2} {}", quote.total.units(), quote.currency);
    if quote.invented {
        out.push_str(" (placeholder prices: put your own into [price] of stock.toml)");
    }
    out.push_str(".\n\n");
    out.push_str(&lines_table(quote, units));
    out.push('\n');
    out.push_str(&runs_table(quote, units));
    out.push_str("\n  default times are typical figures without a published source; enter your own in [time]\n");
    out
}

fn lines_table(quote: &Quote, units: Units) -> String {
    let mut rows = vec![heads(["for", "what", "quantity", "", "each", "amount", "from"])];
    let mut last: Option<Group> = None;
    for line in &quote.lines {
        let group = if last == Some(line.group) { "" } else { line.group.name() };
        last = Some(line.group);
        let quantity = if line.unit == "piece" && line.quantity.fract() == 0.0 {
            format!("{:.0}", line.quantity)
        } else {
            format!("{:.3}", line.quantity)
        };
        rows.push(row([
            group.into(),
            line.what.clone(),
            quantity,
            line.unit.clone(),
            each(line.unit_price.units()),
            format!("{:.2}", line.amount.units()),
            wording::quote_basis(&line.basis, units),
        ]));
    }
    let percent = |rate: i64| format!("{} %", rate as f64 / 1000.0);
    for (name, of, amount) in [
        ("subtotal", String::new(), quote.direct),
        ("margin", percent(quote.margin_rate), quote.margin),
        ("net", String::new(), quote.net),
        ("tax", percent(quote.tax_rate), quote.tax),
        ("total", String::new(), quote.total),
    ] {
        let amount = format!("{:.2}", amount.units());
        rows.push(row([name.into(), of, String::new(), String::new(), String::new(), amount, String::new()]));
    }
    table(&rows)
}

/// A unit price: two decimals, or three where it needs them.
fn each(price: f64) -> String {
    let fine = format!("{price:.3}");
    fine.strip_suffix('0').map_or(fine.clone(), String::from)
}

fn runs_table(quote: &Quote, units: Units) -> String {
    let file = QuoteFile::of(quote, units);
    let mut rows = vec![heads(["tube", "weight kg", "welds", &format!("weld {}", show::unit(units))])];
    for run in &file.runs {
        rows.push(row([
            run.run.clone(),
            format!("{:.3}", run.weight_kg),
            run.welds.to_string(),
            show::length(run.weld_mm, units),
        ]));
    }
    let welds = quote.work.welds().to_string();
    if file.collectors_kg > 0.0 {
        let weight = format!("{:.3}", file.collectors_kg);
        rows.push(row(["collector bodies".into(), weight, String::new(), String::new()]));
    }
    rows.push(row(["bare tubes".into(), format!("{:.3}", file.weight_kg), welds, show::length(file.weld_mm, units)]));
    table(&rows)
}
