//! The work priced, line by line.

use job::model::{Job, Money};
use job::rates::{Origin, PriceRate, Rates};
use job::routes::Routes;

use super::COIN;
use super::work::{RunWork, Work, weld_min, work};
use crate::CutError;
use crate::plan::{CutPlan, StockRef};

/// What a line is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Bends and elbows to buy.
    Bends,
    /// Sticks of tube to buy.
    Tube,
    /// From the shelf, at its own price.
    Shelf,
    /// Flanges.
    Flanges,
    /// Collectors that are bought.
    Collectors,
    /// Gas, filler, tungsten.
    Consumables,
    /// Labour.
    Labour,
    /// Lines of the shop's own.
    Extras,
}

impl Group {
    /// Its name in files and tables.
    pub fn name(self) -> &'static str {
        match self {
            Group::Bends => "bends",
            Group::Tube => "tube",
            Group::Shelf => "shelf",
            Group::Flanges => "flanges",
            Group::Collectors => "collectors",
            Group::Consumables => "consumables",
            Group::Labour => "labour",
            Group::Extras => "extras",
        }
    }
}

/// A line.
#[derive(Debug, Clone, PartialEq)]
pub struct QuoteLine {
    /// What it is for.
    pub group: Group,
    /// What the line is for.
    pub what: String,
    /// How the quantity came about; empty when it is plain.
    pub basis: String,
    /// How much, to four decimals.
    pub quantity: f64,
    /// Of what unit.
    pub unit: String,
    /// Price of one.
    pub unit_price: Money,
    /// Quantity x price, to the coin.
    pub amount: Money,
    /// Where the price and the quantity's standard come from.
    pub source: String,
}

/// A quote. `direct` is the sum of the lines, `net` = `direct` + `margin`, `total` = `net` + `tax`.
#[derive(Debug, Clone, PartialEq)]
pub struct Quote {
    /// Currency, ISO 4217.
    pub currency: String,
    /// True while a price in it is invented.
    pub invented: bool,
    /// What there is to do.
    pub work: Work,
    /// The lines.
    pub lines: Vec<QuoteLine>,
    /// Sum of the lines.
    pub direct: Money,
    /// Margin in thousandths of a percent of `direct`.
    pub margin_rate: i64,
    /// Margin.
    pub margin: Money,
    /// Price without tax.
    pub net: Money,
    /// Tax in thousandths of a percent of `net`.
    pub tax_rate: i64,
    /// Tax.
    pub tax: Money,
    /// Price.
    pub total: Money,
}

impl Quote {
    /// Sum of one group's lines.
    pub fn sum(&self, group: Group) -> Money {
        sum(self.lines.iter().filter(|l| l.group == group))
    }

    /// Hours of labour.
    pub fn hours(&self) -> f64 {
        self.lines.iter().filter(|l| l.group == Group::Labour).map(|l| l.quantity).sum()
    }
}

/// Prices the job.
///
/// # Errors
/// [`CutError::NoRuns`], [`CutError::BadRoute`].
pub fn quote(job: &Job, routes: &Routes, plan: &CutPlan, rates: &Rates) -> Result<Quote, CutError> {
    let work = work(job, routes, plan, rates)?;
    let mut lines = stock_lines(plan);
    lines.extend(parts(&work, rates));
    let welds = format!("{} of weld", job::show::length_with_unit(work.weld_length(), job.units));
    lines.extend(consumables(&work, rates, &welds));
    lines.extend(labour(&work, rates, &welds));
    lines.extend(rates.extras.iter().map(|e| {
        let source = "price: the shop's own".to_string();
        line(Group::Extras, &*e.what, String::new(), e.quantity, &e.unit, e.price, source)
    }));
    lines.retain(|l| l.quantity > 0.0);
    let percent = |key: &str| rates.price(key).price.0;
    let direct = sum(lines.iter());
    let (margin_rate, tax_rate) = (percent("margin_percent"), percent("tax_percent"));
    let margin = share(direct, margin_rate);
    let net = plus(direct, margin);
    let tax = share(net, tax_rate);
    Ok(Quote {
        currency: rates.currency.clone(),
        invented: rates.invented(),
        work,
        lines,
        direct,
        margin_rate,
        margin,
        net,
        tax_rate,
        tax,
        total: plus(net, tax),
    })
}

fn plus(a: Money, b: Money) -> Money {
    Money(a.0.saturating_add(b.0))
}

fn sum<'a>(lines: impl Iterator<Item = &'a QuoteLine>) -> Money {
    lines.fold(Money(0), |sum, line| plus(sum, line.amount))
}

/// `over / under` to the coin, half up; neither is negative.
fn to_coin(over: i128, under: i128) -> Money {
    let coin = i128::from(COIN);
    let coins = (2 * over + under * coin) / (2 * under * coin);
    Money(i64::try_from(coins * coin).unwrap_or(i64::MAX))
}

/// A rate in thousandths of a percent of an amount.
fn share(of: Money, rate: i64) -> Money {
    to_coin(i128::from(of.0) * i128::from(rate), 100_000)
}

/// Ten-thousandths: the quantities that a line counts.
const PARTS: f64 = 1e4;

fn line(
    group: Group,
    what: impl Into<String>,
    basis: String,
    quantity: f64,
    unit: &str,
    unit_price: Money,
    source: String,
) -> QuoteLine {
    let parts = (quantity * PARTS).round();
    let amount = to_coin(parts as i128 * i128::from(unit_price.0), PARTS as i128);
    QuoteLine {
        group,
        what: what.into(),
        basis,
        quantity: parts / PARTS,
        unit: unit.into(),
        unit_price,
        amount,
        source,
    }
}

fn price_source(rate: &PriceRate) -> String {
    match rate.origin {
        Origin::Shop => "price: the shop's own".into(),
        Origin::Invented | Origin::Standard => "price: invented".into(),
    }
}

/// What is taken, at the prices of the stock list. A catalogue's start is invented, a shop's is not; the
/// list itself does not tell.
fn stock_lines(plan: &CutPlan) -> Vec<QuoteLine> {
    let mut lines: Vec<QuoteLine> = plan
        .stock_lines()
        .into_iter()
        .map(|l| {
            let group = match l.stock {
                StockRef::Bend(_) => Group::Bends,
                StockRef::Straight(_) => Group::Tube,
                StockRef::Remnant(_) => Group::Shelf,
            };
            let source = "price: stock list".to_string();
            line(group, l.name, String::new(), f64::from(l.count), "piece", l.price, source)
        })
        .collect();
    lines.sort_by_key(|l| l.group);
    lines
}

fn parts(work: &Work, rates: &Rates) -> Vec<QuoteLine> {
    let mut lines = Vec::new();
    for (key, count) in [("port_flange", work.port_flanges), ("collector_flange", work.collector_flanges)] {
        let rate = rates.price(key);
        let source = price_source(rate);
        lines.push(line(Group::Flanges, &*rate.what, String::new(), f64::from(count), "piece", rate.price, source));
    }
    if let Some(price) = rates.collector {
        for (name, inlets) in &work.collectors {
            let what = format!("collector {name}, {inlets} into 1");
            let source = "price: the shop's own".into();
            lines.push(line(Group::Collectors, what, String::new(), 1.0, "piece", price, source));
        }
    }
    lines
}

/// `welds`: the length of all welds in words.
fn consumables(work: &Work, rates: &Rates, welds: &str) -> Vec<QuoteLine> {
    let mut lines = Vec::new();
    let mut fillers: Vec<(&str, f64)> = Vec::new();
    for run in &work.runs {
        match fillers.iter_mut().find(|f| f.0 == run.filler) {
            Some(known) => known.1 += run.filler_g,
            None => fillers.push((&run.filler, run.filler_g)),
        }
    }
    let standard =
        |rate: &PriceRate, key: &str| format!("{}; standard: {}", price_source(rate), rates.time(key).source);
    let rate = rates.price("filler_per_kg");
    for (name, grams) in fillers {
        let what = format!("{} {name}", rate.what);
        let source = standard(rate, "filler_g_per_100mm");
        lines.push(line(
            Group::Consumables,
            what.trim_end(),
            welds.to_string(),
            grams / 1000.0,
            "kg",
            rate.price,
            source,
        ));
    }
    let rate = rates.price("argon_per_litre");
    let litres: f64 = work.runs.iter().map(|r| r.argon_l).sum();
    let basis = format!("{:.1} min of arc, purge", work.runs.iter().map(|r| r.arc_min).sum::<f64>());
    lines.push(line(
        Group::Consumables,
        &*rate.what,
        basis,
        litres,
        "l",
        rate.price,
        standard(rate, "torch_l_per_min"),
    ));
    let rate = rates.price("tungsten");
    let used = f64::from(work.welds()) / rates.time("joints_per_tungsten").value;
    let basis = format!("{} welds", work.welds());
    let source = standard(rate, "joints_per_tungsten");
    lines.push(line(Group::Consumables, &*rate.what, basis, used, "piece", rate.price, source));
    lines
}

fn labour(work: &Work, rates: &Rates, welds: &str) -> Vec<QuoteLine> {
    let rate = rates.price("labour_per_hour");
    let hourly = |what: &str, basis: String, minutes: f64, source: &str| {
        let source = format!("{}; time: {source}", price_source(rate));
        line(Group::Labour, what, basis, minutes / 60.0, "h", rate.price, source)
    };
    let mut lines = Vec::new();
    let mut direct = 0.0;
    let mut timed = |lines: &mut Vec<QuoteLine>, what: &str, key: &str, count: f64| {
        let time = rates.time(key);
        direct += count * time.value;
        let basis = format!("{} x {} min", trim(count), trim(time.value));
        lines.push(hourly(what, basis, count * time.value, &time.source));
        count * time.value
    };
    let ends = 2.0 * f64::from(work.pieces);
    timed(&mut lines, "set up the saw", "saw_set_up", f64::from(work.set_ups));
    timed(&mut lines, "cut bends", "cut_bend", f64::from(work.bend_cuts));
    timed(&mut lines, "cut sticks", "cut_straight", f64::from(work.straight_cuts));
    timed(&mut lines, "mark pieces", "mark_piece", f64::from(work.pieces));
    timed(&mut lines, "true ends", "face_end", ends);
    timed(&mut lines, "deburr ends", "deburr_end", ends);
    timed(&mut lines, "clean ends", "clean_end", ends);
    let joints = f64::from(work.joints());
    let mut at_joints = timed(&mut lines, "fit up joints", "fit_up_joint", joints);
    at_joints += timed(&mut lines, "tack joints", "tack_joint", joints);
    let purged = work.runs.iter().filter(|r| r.purged && r.weld_length > 0.0).count();
    timed(&mut lines, "set up the purge", "purge_set_up", purged as f64);
    let flanges = f64::from(work.port_flanges + work.collector_flanges);
    timed(&mut lines, "fit flanges", "flange_fit", flanges);
    timed(&mut lines, "true flange faces", "flange_face", flanges);
    if rates.collector.is_none() {
        timed(&mut lines, "build collectors", "collector_build", work.collector_share);
    }
    if !work.runs.is_empty() && flanges > 0.0 {
        timed(&mut lines, "trial fit", "trial_fit", 1.0);
        timed(&mut lines, "leak test", "leak_test", 1.0);
    }
    let welding = welding_min(&work.runs, rates);
    at_joints += welding;
    direct += welding;
    let basis = format!("{welds}, arc on {} %", trim(rates.time("arc_on_percent").value));
    lines.push(hourly("weld", basis, welding, &rates.time("weld_mm_per_min").source));
    for (what, key, of, minutes) in [
        ("rework", "rework_percent", "the time at joints", at_joints),
        ("one-off", "one_off_percent", "all above but rework", direct),
    ] {
        let time = rates.time(key);
        let basis = format!("{} % of {of}", trim(time.value));
        lines.push(hourly(what, basis, minutes * time.value / 100.0, &time.source));
    }
    lines
}

fn welding_min(runs: &[RunWork], rates: &Rates) -> f64 {
    weld_min(runs.iter().map(|r| r.arc_min).sum(), rates)
}

/// A figure with up to two decimals.
fn trim(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_rounded_to_the_coin_half_up() {
        // 0.3333 h at 62 = 20.6646; 2.5 x 0.002 = 0.005: half a coin goes up.
        let amount = |quantity: f64, price: i64| {
            line(Group::Labour, "", String::new(), quantity, "h", Money(price), String::new()).amount
        };
        assert_eq!(amount(0.3333, 62_000), Money(20_660));
        assert_eq!(amount(2.5, 2), Money(10));
        assert_eq!(amount(2.4, 2), Money(0));
        assert_eq!(share(Money(100_050), 19_000), Money(19_010));
    }
}
