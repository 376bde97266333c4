//! How warm things near hot tubes get, at the clearances that the routes have.

use job::model::Job;
use job::parts::SHIELD_ROOM;
use job::routes::Routes;
use route::clearance::{Other, clearance};
use strength::near::{InSight, Sheet, shielded, warmed};

use crate::strength_answer::NearAnswer;
use crate::strength_model::{MM, StrengthModel, ZERO_C};
use crate::summary::rounded;

/// A gap beyond which a tube is not looked at, mm: there a hose stays within 15 K of the air.
const FAR: f64 = 250.0;

/// Skin below which nothing near is warned of, degrees Celsius.
const WARM: f64 = 100.0;

/// What bears how much, degrees Celsius, for long, and where that comes from. Whoever knows the part uses its own limit.
pub const LIMITS: [(&str, f64, &str); 6] = [
    ("PVC wire", 85.0, "class A of ISO 6722-1, from memory"),
    ("paint", 90.0, "common practice, no source"),
    ("brake and fuel hose", 120.0, "common practice, no source"),
    ("coolant hose", 125.0, "common practice, no source"),
    ("silicone hose", 180.0, "common practice, no source"),
    ("wire of class F", 200.0, "ISO 6722-1, from memory"),
];

/// What is too warm where everything in [`LIMITS`] is.
const ALL: &str = "all hoses, wires and paint";

/// The limits with where they come from, in words.
pub fn limits() -> String {
    let one = |(what, limit, source): &(&str, f64, &str)| format!("{what} {limit:.0} C ({source})");
    LIMITS.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// What stands within sight of the tubes, the warmest first. What ports and collectors sit in is left out.
pub fn near_heat(job: &Job, routes: &Routes, model: &StrengthModel) -> Vec<NearAnswer> {
    let Ok(report) = clearance(job, routes) else { return Vec::new() };
    let mut out = Vec::new();
    for keepout in job.keepouts.iter().filter(|k| !k.holds_ports) {
        let mut seen = Vec::new();
        let mut nearest: Option<(f64, NearAnswer)> = None;
        for run in &report.runs {
            let Some(k) = model.runs.iter().position(|r| r.run == run.run) else { continue };
            let named = |to: &Other| matches!(to, Other::Keepout(name) if *name == keepout.name);
            let Some(approach) = run.keepouts.iter().find(|a| named(&a.to) && a.gap < FAR) else { continue };
            let skin = model.runs[k].temperatures[1].skin(approach.at * MM);
            let radius = 0.5 * model.frame.tubes[k].section.od / MM;
            let factor = radius / (radius + approach.gap.max(0.0));
            let tube = InSight { factor, skin };
            let shield = job.parts.shields.iter().find(|s| s.run == run.run && s.obstacle == keepout.name);
            let shield = shield.map(|s| {
                let left = (approach.gap - s.stand_off - s.thickness).max(SHIELD_ROOM);
                let sheet = Sheet { radii: (radius + s.stand_off) / radius, wide: 0.5 * s.width / left };
                shielded(tube, sheet, model.air)
            });
            match &shield {
                Some((_, behind)) => seen.extend(behind),
                None => seen.push(tube),
            }
            let heat = factor * skin.powi(4);
            if nearest.as_ref().is_none_or(|(most, _)| heat > *most) {
                let answer = NearAnswer {
                    obstacle: keepout.name.clone(),
                    run: run.run.to_string(),
                    at_mm: rounded(approach.at),
                    gap_mm: rounded(approach.gap),
                    skin_c: rounded(skin - ZERO_C),
                    about_c: [0.0; 2],
                    shield_c: shield.map(|(t, _)| rounded(t - ZERO_C)),
                    bears_c: None,
                    too_warm: Vec::new(),
                };
                nearest = Some((heat, answer));
            }
        }
        let Some((_, mut answer)) = nearest.filter(|(_, a)| a.skin_c > WARM) else { continue };
        answer.about_c = warmed(&seen, model.air).map(|t| rounded(t - ZERO_C));
        let known = job.heat.limits.iter().find(|(name, _)| *name == keepout.name);
        answer.bears_c = known.map(|(_, limit)| *limit);
        let over = |limit: f64| limit < answer.about_c[1];
        answer.too_warm = match answer.bears_c {
            Some(limit) if over(limit) => vec![format!("itself: it bears {limit:.0} C")],
            Some(_) => Vec::new(),
            None => {
                let warm: Vec<String> = LIMITS.iter().filter(|l| over(l.1)).map(|l| l.0.to_string()).collect();
                if warm.len() == LIMITS.len() { vec![ALL.into()] } else { warm }
            }
        };
        out.push(answer);
    }
    out.sort_by(|a, b| b.about_c[1].total_cmp(&a.about_c[1]));
    out
}
