//! Answers that really differ, side by side: fewest joints, cheapest, most even, most room, least turning, most flexible.

use cutplan::quote::quote;
use cutplan::{CutJob, CutPlan, CutSettings, plan};
use job::Monitor;
use job::model::{Job, Money};
use job::rates::Rates;
use job::routes::Routes;
use route::clearance::clearance;
use route::search::outcome::Answer;
use serde::Serialize;
use utoipa::ToSchema;

use crate::strength_share::highest_share;
use crate::summary::rounded;

/// Steps of the cut plan with which each answer is priced: a good plan with an honest bound, quickly.
const PRICING_STEPS: u64 = 60_000;

/// An answer with its figures.
#[derive(Debug, Clone)]
pub struct Alternative {
    /// What it is best at; empty when it is merely good all round.
    pub best_at: Vec<BestAt>,
    /// Routes of the alternative.
    pub routes: Routes,
    /// Figures of the alternative.
    pub figures: Figures,
}

/// The figures of an alternative. All but the last two are those by which they are compared; less is better but
/// for `room_mm`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figures {
    /// Welds between pieces.
    pub joints: u32,
    /// Stock, joints and cuts, money.
    pub cost: f64,
    /// Largest difference of two primaries' lengths, mm.
    pub spread_mm: f64,
    /// Least room beyond what is needed, to tubes and keep-outs, mm.
    pub room_mm: f64,
    /// Sum of all bend angles, degrees.
    pub turn_deg: f64,
    /// Greatest share of its allowable stress range that a tube reaches when hot; null when it cannot be computed.
    pub share_of_allowable: Option<f64>,
    /// The quote's total, money; null when it could not be priced.
    pub total: Option<f64>,
    /// Weight of the bare tubes, kg.
    pub weight_kg: Option<f64>,
}

/// What an alternative can be best at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub enum BestAt {
    /// The fewest welds between pieces.
    #[serde(rename = "fewest joints")]
    Joints,
    /// The least cost of stock, joints and cuts.
    #[serde(rename = "cheapest")]
    Cost,
    /// The least difference of the primaries' lengths.
    #[serde(rename = "most even")]
    Spread,
    /// The most clearance beyond what is needed.
    #[serde(rename = "most room")]
    Room,
    /// The fewest degrees of bend.
    #[serde(rename = "least turning")]
    Turn,
    /// The lowest share of the allowable stress range.
    #[serde(rename = "most flexible")]
    Flexible,
}

impl BestAt {
    /// The words for it in reports.
    pub fn word(self) -> &'static str {
        match self {
            BestAt::Joints => "fewest welds",
            BestAt::Cost => "cheapest",
            BestAt::Spread => "most equal",
            BestAt::Room => "most clearance",
            BestAt::Turn => "least bend",
            BestAt::Flexible => "most flexible",
        }
    }
}

/// The figures in the order of [`Figures::keys`].
const FIGURES: [BestAt; 6] =
    [BestAt::Joints, BestAt::Cost, BestAt::Spread, BestAt::Room, BestAt::Turn, BestAt::Flexible];

impl Figures {
    /// The figures as numbers of which less is better, rounded to what a person would tell apart.
    fn keys(&self) -> [i64; 6] {
        [
            i64::from(self.joints),
            (self.cost * 100.0).round() as i64,
            (self.spread_mm * 10.0).round() as i64,
            -(self.room_mm * 10.0).round() as i64,
            self.turn_deg.round() as i64,
            // What is not known is no better than anything.
            self.share_of_allowable.map_or(i64::MAX, |s| (s * 100.0).round() as i64),
        ]
    }

    /// Whether it is nowhere worse than `other` and somewhere better.
    pub fn dominates(&self, other: &Figures) -> bool {
        let (a, b) = (self.keys(), other.keys());
        a != b && a.iter().zip(&b).all(|(x, y)| x <= y)
    }
}

/// At most `count` of the answers, none worse than another in everything; the router's best comes first when it is
/// among them.
pub fn choose(job: &Job, answers: &[Answer], count: usize, rates: &Rates) -> Vec<Alternative> {
    let mut priced: Vec<(Figures, &Answer)> = Vec::new();
    for answer in answers {
        let Some(figures) = figures(job, answer, rates) else { continue };
        if !priced.iter().any(|p| p.0.keys() == figures.keys()) {
            priced.push((figures, answer));
        }
    }
    let all: Vec<Figures> = priced.iter().map(|p| p.0.clone()).collect();
    priced.retain(|p| !all.iter().any(|o| o.dominates(&p.0)));
    let mut chosen: Vec<usize> = Vec::new();
    for figure in 0..FIGURES.len() {
        let best = (0..priced.len()).min_by_key(|&i| (priced[i].0.keys()[figure], i));
        chosen.extend(best.filter(|b| !chosen.contains(b)));
    }
    chosen.extend((0..priced.len()).filter(|i| !chosen.contains(i)).collect::<Vec<_>>());
    chosen.truncate(count);
    let least: Vec<i64> =
        (0..FIGURES.len()).map(|f| chosen.iter().map(|&i| priced[i].0.keys()[f]).min().unwrap_or(0)).collect();
    chosen
        .into_iter()
        .map(|i| {
            let keys = priced[i].0.keys();
            let best = |f: &usize| keys[*f] == least[*f] && least[*f] != i64::MAX;
            let best_at = (0..FIGURES.len()).filter(best).map(|f| FIGURES[f]).collect();
            Alternative { best_at, routes: priced[i].1.routes.clone(), figures: priced[i].0.clone() }
        })
        .collect()
}

/// The figures of one answer; `None` when it can't be cut from the stock.
fn figures(job: &Job, answer: &Answer, rates: &Rates) -> Option<Figures> {
    let settings = CutSettings { steps: PRICING_STEPS, ..CutSettings::default() };
    let plan: CutPlan = plan(&answer.routes, &CutJob::of(job), &settings, &mut Monitor::silent()).ok()?;
    let priced = quote(job, &answer.routes, &plan, rates).ok();
    Some(Figures {
        joints: plan.joints,
        cost: Money::units(plan.cost),
        spread_mm: rounded(answer.spread),
        room_mm: rounded(room(job, &answer.routes)),
        turn_deg: rounded(answer.turn.to_degrees()),
        share_of_allowable: highest_share(job, &answer.routes).map(|h| h.share),
        total: priced.as_ref().map(|q| q.total.units()),
        weight_kg: priced.as_ref().map(|q| rounded(q.work.mass())),
    })
}

/// Least room beyond what is needed, to tubes and keep-outs, mm.
fn room(job: &Job, routes: &Routes) -> f64 {
    let Ok(report) = clearance(job, routes) else { return 0.0 };
    let approaches = report.runs.iter().flat_map(|r| r.tubes.iter().chain(&r.itself).chain(&r.keepouts));
    let least = approaches.map(|a| a.gap - a.need).fold(f64::INFINITY, f64::min);
    if least.is_finite() { least } else { 0.0 }
}
