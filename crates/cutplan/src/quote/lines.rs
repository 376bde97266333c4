//! The work priced, line by line.

use job::model::{Job, Money};
use job::rates::{Origin, PriceRate, Rates};
use job::routes::Routes;

use super::COIN;
use super::basis::{Basis, LineSource, PriceFrom, ShareOf, Standard};
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
    /// Brackets, slip joints, sensor bungs.
    Parts,
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
            Group::Parts => "parts",
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
    /// How the quantity came about.
    pub basis: Basis,
    /// How much, to four decimals.
    pub quantity: f64,
    /// Of what unit.
    pub unit: String,
    /// Price of one.
    pub unit_price: Money,
    /// Quantity x price, to the coin.
    pub amount: Money,
    /// Where the price and the quantity's standard come from.
    pub source: LineSource,
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
    /// Lines of the quote, in the order of their groups.
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
    lines.extend(on_tubes(job, rates));
    lines.extend(consumables(&work, rates));
    lines.extend(labour(&work, rates));
    lines.extend(rates.extras.iter().map(|e| {
        let source = LineSource::of(PriceFrom::Shop);
        line(Group::Extras, &*e.what, Basis::Plain, e.quantity, &e.unit, e.price, source)
    }));
    lines.retain(|l| l.quantity > 0.0);
    let percent = |key: &str| rates.price(key).price.0;
    let direct = sum(lines.iter());
    let (margin_rate, tax_rate) = (percent("margin_percent"), percent("tax_percent"));
    let margin = share(direct, margin_rate);
    let net = plus(direct, margin);
    let tax = share(net, tax_rate);
    let invented = |l: &QuoteLine| l.source.price == PriceFrom::Invented;
    Ok(Quote {
        currency: rates.currency.clone(),
        invented: rates.invented() || lines.iter().any(invented),
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
    basis: Basis,
    quantity: f64,
    unit: &str,
    unit_price: Money,
    source: LineSource,
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

fn price_from(rate: &PriceRate) -> PriceFrom {
    match rate.origin {
        Origin::Shop => PriceFrom::Shop,
        Origin::Invented | Origin::Standard => PriceFrom::Invented,
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
            let source = LineSource::of(PriceFrom::StockList);
            line(group, l.name, Basis::Plain, f64::from(l.count), "piece", l.price, source)
        })
        .collect();
    lines.sort_by_key(|l| l.group);
    lines
}

fn parts(work: &Work, rates: &Rates) -> Vec<QuoteLine> {
    let mut lines = Vec::new();
    let counts = [
        ("port_flange", work.port_flanges),
        ("transition", work.transitions),
        ("collector_flange", work.collector_flanges),
    ];
    for (key, count) in counts {
        let rate = rates.price(key);
        let source = LineSource::of(price_from(rate));
        lines.push(line(Group::Flanges, &*rate.what, Basis::Plain, f64::from(count), "piece", rate.price, source));
    }
    for (name, price) in &work.bought {
        let (what, source) = (format!("collector {name}"), LineSource::of(PriceFrom::Job));
        lines.push(line(Group::Collectors, what, Basis::Plain, 1.0, "piece", *price, source));
    }
    if let Some(price) = rates.collector {
        for (name, inlets) in &work.collectors {
            let what = format!("collector {name}, {inlets} into 1");
            let source = LineSource::of(PriceFrom::Shop);
            lines.push(line(Group::Collectors, what, Basis::Plain, 1.0, "piece", price, source));
        }
    }
    lines
}

/// What sits on the tubes, priced by the piece.
fn on_tubes(job: &Job, rates: &Rates) -> Vec<QuoteLine> {
    let parts = &job.parts;
    let of_key = |key: &'static str| (key, parts.couplings.iter().filter(|c| c.kind.price_key() == key).count());
    let counts = [
        ("bracket", parts.brackets.len()),
        ("slip_joint", parts.slips.len()),
        ("bung", parts.bungs.len()),
        of_key("v_band"),
        of_key("bolted_flange"),
        of_key("bellows"),
        ("shield", parts.shields.len()),
    ];
    let priced = |(key, count): (&str, usize)| {
        let rate = rates.price(key);
        let source = LineSource::of(price_from(rate));
        line(Group::Parts, &*rate.what, Basis::Plain, count as f64, "piece", rate.price, source)
    };
    counts.into_iter().map(priced).collect()
}

fn consumables(work: &Work, rates: &Rates) -> Vec<QuoteLine> {
    let mut lines = Vec::new();
    let mut fillers: Vec<(&str, f64)> = Vec::new();
    for run in &work.runs {
        match fillers.iter_mut().find(|f| f.0 == run.filler) {
            Some(known) => known.1 += run.filler_g,
            None => fillers.push((&run.filler, run.filler_g)),
        }
    }
    let standard = |rate: &PriceRate, key: &str| {
        LineSource::with(price_from(rate), Standard::Quantity(rates.time(key).source.clone()))
    };
    let rate = rates.price("filler_per_kg");
    for (name, grams) in fillers {
        let what = format!("{} {name}", rate.what);
        let source = standard(rate, "filler_g_per_100mm");
        let basis = Basis::WeldLength(work.weld_length());
        lines.push(line(Group::Consumables, what.trim_end(), basis, grams / 1000.0, "kg", rate.price, source));
    }
    let rate = rates.price("argon_per_litre");
    let litres: f64 = work.runs.iter().map(|r| r.argon_l).sum();
    let basis = Basis::Argon { arc_min: work.runs.iter().map(|r| r.arc_min).sum() };
    let source = standard(rate, "torch_l_per_min");
    lines.push(line(Group::Consumables, &*rate.what, basis, litres, "l", rate.price, source));
    let rate = rates.price("tungsten");
    let used = f64::from(work.welds()) / rates.time("joints_per_tungsten").value;
    let basis = Basis::Welds(work.welds());
    let source = standard(rate, "joints_per_tungsten");
    lines.push(line(Group::Consumables, &*rate.what, basis, used, "piece", rate.price, source));
    lines
}

/// Lines of labour as they are gathered, with the minutes that shares are taken of.
struct Labour<'a> {
    rates: &'a Rates,
    lines: Vec<QuoteLine>,
    /// All labour so far, min.
    direct: f64,
    /// Labour at joints so far, min.
    at_joints: f64,
}

impl Labour<'_> {
    /// A line of labour that takes `minutes`.
    fn add(&mut self, what: &str, basis: Basis, minutes: f64, standard: &str) {
        let rate = self.rates.price("labour_per_hour");
        let source = LineSource::with(price_from(rate), Standard::Time(standard.to_string()));
        self.lines.push(line(Group::Labour, what, basis, minutes / 60.0, "h", rate.price, source));
    }

    /// Work that is done `count` times, each in the time of a standard; its minutes.
    fn timed(&mut self, what: &str, key: &str, count: f64) -> f64 {
        let time = self.rates.time(key);
        let minutes = count * time.value;
        self.add(what, Basis::Standard { count, minutes: time.value }, minutes, &time.source);
        self.direct += minutes;
        minutes
    }

    /// A share of the time of other labour.
    fn share(&mut self, what: &str, key: &str, of: ShareOf) {
        let time = self.rates.time(key);
        let minutes = match of {
            ShareOf::Joints => self.at_joints,
            ShareOf::AllButRework => self.direct,
        };
        self.add(what, Basis::Share { percent: time.value, of }, minutes * time.value / 100.0, &time.source);
    }

    fn pieces(&mut self, work: &Work) {
        let ends = 2.0 * f64::from(work.pieces);
        self.timed("set up the saw", "saw_set_up", f64::from(work.set_ups));
        self.timed("cut bends", "cut_bend", f64::from(work.bend_cuts));
        self.timed("cut sticks", "cut_straight", f64::from(work.straight_cuts));
        self.timed("mark pieces", "mark_piece", f64::from(work.pieces));
        self.timed("true ends", "face_end", ends);
        self.timed("deburr ends", "deburr_end", ends);
        self.timed("clean ends", "clean_end", ends);
    }

    fn assembly(&mut self, work: &Work) {
        let joints = f64::from(work.joints());
        self.at_joints += self.timed("fit up joints", "fit_up_joint", joints);
        self.at_joints += self.timed("tack joints", "tack_joint", joints);
        let purged = work.runs.iter().filter(|r| r.purged && r.weld_length > 0.0).count();
        self.timed("set up the purge", "purge_set_up", purged as f64);
        let flanges = f64::from(work.port_flanges + work.collector_flanges);
        self.timed("fit flanges", "flange_fit", flanges);
        self.timed("true flange faces", "flange_face", flanges);
        if self.rates.collector.is_none() {
            self.timed("build collectors", "collector_build", work.collector_share);
        }
        if !work.runs.is_empty() && flanges > 0.0 {
            self.timed("trial fit", "trial_fit", 1.0);
            self.timed("leak test", "leak_test", 1.0);
        }
    }

    fn welding(&mut self, work: &Work) {
        let minutes = welding_min(&work.runs, self.rates);
        let arc_on_percent = self.rates.time("arc_on_percent").value;
        let basis = Basis::Welding { length: work.weld_length(), arc_on_percent };
        self.add("weld", basis, minutes, &self.rates.time("weld_mm_per_min").source);
        self.at_joints += minutes;
        self.direct += minutes;
    }
}

fn labour(work: &Work, rates: &Rates) -> Vec<QuoteLine> {
    let mut labour = Labour { rates, lines: Vec::new(), direct: 0.0, at_joints: 0.0 };
    labour.pieces(work);
    labour.assembly(work);
    labour.welding(work);
    labour.share("rework", "rework_percent", ShareOf::Joints);
    labour.share("one-off", "one_off_percent", ShareOf::AllButRework);
    labour.lines
}

fn welding_min(runs: &[RunWork], rates: &Rates) -> f64 {
    weld_min(runs.iter().map(|r| r.arc_min).sum(), rates)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_rounded_to_the_coin_half_up() {
        // 0.3333 h at 62 = 20.6646; 2.5 x 0.002 = 0.005: half a coin goes up.
        let amount = |quantity: f64, price: i64| {
            let source = LineSource::of(PriceFrom::Invented);
            line(Group::Labour, "", Basis::Plain, quantity, "h", Money(price), source).amount
        };
        assert_eq!(amount(0.3333, 62_000), Money(20_660));
        assert_eq!(amount(2.5, 2), Money(10));
        assert_eq!(amount(2.4, 2), Money(0));
        assert_eq!(share(Money(100_050), 19_000), Money(19_010));
    }
}
