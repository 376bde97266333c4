//! First sizes of a job as text and as JSON.

use job::model::{Job, Units};
use job::show;
use job::size::{FiringReport, Gaps, Rule, Sizing, size};
use serde_json::{Value, json};

use crate::report_table::{heads, row, table};
use crate::summary::rounded;

/// First sizes of a job.
pub struct SizeReport<'a> {
    /// The job that is sized.
    pub job: &'a Job,
    /// What the rules say.
    pub sizing: Sizing,
}

/// Sizes a job.
pub fn size_job(job: &Job) -> SizeReport<'_> {
    SizeReport { job, sizing: size(job) }
}

impl SizeReport<'_> {
    /// As one JSON object.
    pub fn to_json(&self) -> Value {
        let s = &self.sizing;
        let missing: Vec<Value> = s.missing.iter().map(|m| json!({"key": m.key, "needed_for": m.needed_for})).collect();
        json!({
            "format": 1,
            "job": self.job.name,
            "starting_points": true,
            "cylinder_cm3": s.cylinder_cm3.map(rounded),
            "mean_piston_speed_m_s": s.piston_m_s.map(rounded),
            "rules": s.rules.iter().map(rule_json).collect::<Vec<Value>>(),
            "firing": s.firing.as_ref().map(firing_json),
            "missing": missing,
        })
    }

    /// As text.
    pub fn text(&self) -> String {
        let s = &self.sizing;
        let units = self.job.units;
        let mut out = format!(
            "Starting sizes for {}: rules of thumb from published sources, not a simulation.\n\n",
            self.job.name
        );
        if let Some(cm3) = s.cylinder_cm3 {
            let piston =
                s.piston_m_s.map_or(String::new(), |v| format!(", mean piston speed {v:.1} m/s at peak power"));
            out.push_str(&format!("  one cylinder {cm3:.0} cm3{piston}\n\n"));
        }
        if !s.rules.is_empty() {
            out.push_str(&rules_table(&s.rules, units));
            out.push('\n');
        }
        if let Some(firing) = &s.firing {
            out.push_str(&firing_text(firing));
        }
        for m in &s.missing {
            out.push_str(&format!("  {} is not given: needed for {}\n", m.key, m.needed_for));
        }
        out
    }
}

fn rule_json(rule: &Rule) -> Value {
    let nearest = rule
        .nearest
        .as_ref()
        .map(|t| json!({"name": t.name, "od_mm": rounded(t.od), "wall_mm": rounded(t.wall), "id_mm": rounded(t.id())}));
    json!({
        "of": rule.of.name(),
        "collector": rule.collector,
        "rule": rule.rule,
        "low_mm": rounded(rule.mm[0]),
        "high_mm": rounded(rule.mm[1]),
        "source": rule.source,
        "range": rule.range,
        "nearest_stocked": nearest,
    })
}

fn firing_json(f: &FiringReport) -> Value {
    let gaps = |g: &Gaps| json!({"cylinders": g.cylinders, "gaps_deg": g.gaps_deg});
    let angles: Vec<Value> =
        f.angles_deg.iter().map(|(c, a)| json!({"cylinder": c, "angle_deg": rounded(*a)})).collect();
    let collectors: Vec<Value> = f
        .collectors
        .iter()
        .map(|c| json!({"collector": c.collector, "around": c.around.cylinders, "gaps_deg": c.around.gaps_deg}))
        .collect();
    json!({
        "order": f.order,
        "angles": angles,
        "cylinders": f.cylinders,
        "pairs": f.pairs.iter().map(gaps).collect::<Vec<Value>>(),
        "pairs_360": f.pairs_360,
        "groups": f.groups.iter().map(gaps).collect::<Vec<Value>>(),
        "collectors": collectors,
    })
}

/// The rules, and below them where each comes from and holds.
fn rules_table(rules: &[Rule], units: Units) -> String {
    let first = format!("starting size {}", show::unit(units));
    let mut rows = vec![heads(["", "what", &first, "nearest in stock", "rule"])];
    let mut notes = String::new();
    for (i, rule) in rules.iter().enumerate() {
        let [low, high] = rule.mm.map(|mm| show::length(mm, units));
        let of = rule.collector.as_ref().map_or(rule.of.name().into(), |c| format!("{} of {c}", rule.of.name()));
        let nearest = rule
            .nearest
            .as_ref()
            .map_or(String::new(), |t| format!("{} (inside {})", t.name, show::length(t.id(), units)));
        let value = if low == high { low } else { format!("{low} to {high}") };
        rows.push(row([(i + 1).to_string(), of, value, nearest, rule.rule.into()]));
        notes.push_str(&format!("  {}: {}; holds for {}\n", i + 1, rule.source, rule.range));
    }
    format!("{}\n{notes}", table(&rows))
}

fn list(cylinders: &[u32], between: &str) -> String {
    cylinders.iter().map(u32::to_string).collect::<Vec<_>>().join(between)
}

fn degrees(gaps: &[f64]) -> String {
    gaps.iter().map(|g| format!("{g:.0}")).collect::<Vec<_>>().join(", ")
}

fn firing_text(f: &FiringReport) -> String {
    let together = |groups: &[Gaps]| {
        let one = |g: &Gaps| format!("{} (gaps {})", list(&g.cylinders, "+"), degrees(&g.gaps_deg));
        groups.iter().map(one).collect::<Vec<_>>().join(", ")
    };
    let mut out = format!("  Firing order {}, degrees of crank:\n", list(&f.order, "-"));
    let angles: Vec<String> = f.angles_deg.iter().map(|(c, a)| format!("{c} at {a:.0}")).collect();
    out.push_str(&format!("    firing angles   {}\n", angles.join(", ")));
    if !f.pairs_360.is_empty() {
        let pairs: Vec<String> = f.pairs_360.iter().map(|p| list(p, "+")).collect();
        out.push_str(&format!("    fire 360 apart  {}\n", pairs.join(", ")));
    }
    if !f.pairs.is_empty() {
        out.push_str(&format!("    best 4-2-1      {}\n", together(&f.pairs)));
        out.push_str(&format!("    twin-entry      {}\n", together(&f.groups)));
    }
    for c in &f.collectors {
        let around =
            format!("{} around it, either way (gaps {})", list(&c.around.cylinders, "-"), degrees(&c.around.gaps_deg));
        out.push_str(&format!("    collector {}: {around}\n", c.collector));
    }
    out.push('\n');
    out
}
