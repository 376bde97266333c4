//! What else was asked of a header's gas besides its curve: as JSON beside the curve, and as text.

use job::model::Units;
use job::show;
use serde::Serialize;
use serde_json::Value;

use crate::gas_compare::{Compared, Unevenness};
use crate::gas_curve::{GasBand, GasMap};
use crate::gas_model::Size;
use crate::gas_sound::Sound;
use crate::gas_waves::{Arrival, EntryPulse, GasWaves, Origin};
use crate::report_table::{heads, row, table};
use crate::summary::{RunFigures, RunKind, RunLine};

/// Lengths of a primary that are one, mm: both are rounded.
const SAME: f64 = 0.05;

/// What a build says of the gas, from the text of gas.json; that it is out of date when its primaries have other lengths.
pub(crate) fn gas_paragraph(text: &str, lines: &[RunLine]) -> String {
    let Ok(gas) = serde_json::from_str::<Value>(text) else {
        return "\ngas.json is not what `tubewright gas` writes: run it again.\n".into();
    };
    let kept = gas["primaries_mm"].as_array().map_or(&[][..], Vec::as_slice);
    let lengths = lines.iter().map(|l| &l.figures).filter(|f| f.kind == RunKind::Primary);
    let same = |f: &RunFigures| {
        let place = gas["cylinders"]
            .as_array()
            .and_then(|all| all.iter().position(|c| c.as_u64() == f.cylinder.map(u64::from)));
        place.and_then(|i| kept.get(i)?.as_f64()).is_some_and(|l| (l - f.length_mm).abs() < SAME)
    };
    if kept.is_empty() || !lengths.into_iter().all(same) {
        return "\ngas.json belongs to other routes: run `tubewright gas` again.\n".into();
    }
    let best = |key: &str| (gas[key]["value"].as_f64(), gas[key]["rpm"].as_f64());
    let ((Some(torque), Some(at)), (Some(power), Some(high))) = (best("peak_torque_nm"), best("peak_power_kw")) else {
        return String::new();
    };
    let mut out = format!(
        "\nGas in these tubes, computed: {torque:.0} Nm at {at:.0} rpm, {power:.0} kW at {high:.0} rpm. Absolute values are \
         optimistic; compare headers by them.\n"
    );
    if let (Some(length), Some(range)) =
        (gas["worth"]["best_length_mm"].as_f64(), gas["worth"]["within_0_1_percent_mm"].as_array())
    {
        let [low, high] = [0, 1].map(|i| range.get(i).and_then(Value::as_f64).unwrap_or(length));
        out.push_str(&format!(
            "Best length of the primaries {length:.0} mm; from {low:.0} to {high:.0} mm you lose 0.1 % at most.\n"
        ));
    }
    out
}

/// Answers beside the curve; what was not asked is empty or null.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct More {
    /// Torques between which the curve lies.
    pub band: Option<GasBand>,
    /// Pressures, arrivals and wave pictures, one for each speed that was asked for.
    pub waves: Vec<GasWaves>,
    /// Torque over speed and a size.
    pub maps: Vec<GasMap>,
    /// The cylinders as routed and with equal lengths.
    pub unevenness: Option<Unevenness>,
    /// 4-into-1 against 4-into-2-into-1.
    pub pairings: Option<Vec<Compared>>,
    /// The routes against others.
    pub alternatives: Option<Vec<Compared>>,
    /// What the sound file holds.
    pub sound: Option<Sound>,
}

impl More {
    /// As text.
    pub fn text(&self, units: Units) -> String {
        let mut out = String::new();
        if let Some(band) = &self.band {
            out.push_str(&band_text(band));
        }
        for waves in &self.waves {
            out.push_str(&waves_text(waves, units));
        }
        for map in &self.maps {
            out.push_str(&map_text(map, units));
        }
        if let Some(unevenness) = &self.unevenness {
            out.push_str(&unevenness_text(unevenness, units));
        }
        for (title, list) in [("Pairings of the same tubes", &self.pairings), ("Routes", &self.alternatives)] {
            if let Some(list) = list {
                out.push_str(&compared_text(title, list));
            }
        }
        if let Some(sound) = &self.sound {
            out.push_str(&format!(
                "\nSound of the open end, an impression: {} Pa at 1 m, steady at {:.0} rpm.\n",
                sound.pressure_at_1_m_pa, sound.steady_rpm
            ));
        }
        out
    }
}

fn band_text(band: &GasBand) -> String {
    let mut rows = vec![heads(["rpm", "from Nm", "to Nm"])];
    for ((rpm, low), high) in band.rpm.iter().zip(&band.low_nm).zip(&band.high_nm) {
        rows.push(row([format!("{rpm:.0}"), format!("{low:.1}"), format!("{high:.1}")]));
    }
    format!("\nFour in five of {} samples of what is not known lie between:\n\n{}", band.samples, table(&rows))
}

/// Where a wave came from, in words.
pub(crate) fn came_from(a: &Arrival) -> String {
    let at = a.collector.as_ref().map_or(String::new(), |c| format!(" \"{c}\""));
    match a.from {
        Origin::OwnCollector | Origin::SecondCollector => format!("own pulse from collector{at}"),
        Origin::OpenEnd => "own pulse from the open end".into(),
        Origin::OtherCylinder => format!("pulse of cylinder {} over collector{at}", a.pulse_of),
    }
}

fn waves_text(waves: &GasWaves, units: Units) -> String {
    let mut rows = vec![heads(["cylinder", "arrives at", "wave", "from", "exhaust valve"])];
    for cylinder in &waves.cylinders {
        for a in &cylinder.arrivals {
            rows.push(row([
                cylinder.cylinder.to_string(),
                format!("{:.0}°", a.arrives_deg),
                if a.suction { "suction".into() } else { "pressure".into() },
                came_from(a),
                if a.valve_open { "open".into() } else { "shut".into() },
            ]));
        }
    }
    let head = format!("\nWaves at the exhaust valves at {:.0} rpm, by crank angle from firing:\n\n", waves.rpm);
    let mut out = head + &table(&rows);
    for pulse in &waves.entries {
        out.push_str(&format!("  {}\n", entry_text(pulse, units)));
    }
    out
}

/// How much of a group's pulse reaches the other entry, in words.
pub(crate) fn entry_text(pulse: &EntryPulse, units: Units) -> String {
    let (own, unit) = show::pressure(pulse.own_kpa, units);
    let cylinders: Vec<String> = pulse.cylinders.iter().map(u32::to_string).collect();
    format!(
        "of the pulse of cylinders {} ({own:.0} {unit} at their own entry) {:.0} % reaches the other entry ({:.0} dB)",
        cylinders.join(" and "),
        pulse.share_percent,
        pulse.share_db
    )
}

fn map_text(map: &GasMap, units: Units) -> String {
    let what = match map.size {
        Size::Length => "primary length",
        Size::Diameter => "primary inside diameter",
        Size::Outlet => "collector outlet inside diameter",
    };
    let unit = show::unit(units);
    let mut rows = vec![heads([&format!("{what} {unit}"), "mean Nm"])];
    for (value, torque) in map.values_mm.iter().zip(&map.mean_torque_nm) {
        rows.push(row([show::length(*value, units), format!("{torque:.2}")]));
    }
    let drawn = show::length(map.drawn_mm, units);
    format!("\nMean torque by {what}, drawn at {drawn} {unit}:\n\n{}", table(&rows))
}

/// The least and the greatest: `-0.21 to +0.35`.
pub(crate) fn spread_of(v: &[f64]) -> String {
    let (low, high) = v.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(*x), h.max(*x)));
    format!("{low:+.2} to {high:+.2}")
}

fn unevenness_text(u: &Unevenness, units: Units) -> String {
    let head = ["cylinder", &format!("primary {}", show::unit(units)), "traps, as routed", "with equal lengths"];
    let mut rows = vec![heads(head)];
    let range = |v: &[f64]| format!("{} %", spread_of(v));
    for c in &u.cylinders {
        let length = show::length(c.length_mm, units);
        rows.push(row([c.cylinder.to_string(), length, range(&c.routed_percent), range(&c.equal_percent)]));
    }
    format!(
        "\nMass that each cylinder traps against the mean of all, over these speeds:\n\n{}  mean torque {:.2} Nm as routed, {:.2} Nm with equal lengths\n",
        table(&rows),
        u.routed_mean_torque_nm,
        u.equal_mean_torque_nm
    )
}

fn compared_text(title: &str, list: &[Compared]) -> String {
    let mut rows = vec![heads([title, "mean Nm", "best Nm", "beats the first"])];
    for c in list {
        let best = c.curve.torque_nm.iter().copied().fold(0.0, f64::max);
        let beats = c.beats_first.map_or(String::new(), |s| format!("{:.0} % of samples", 100.0 * s));
        rows.push(row([c.name.clone(), format!("{:.2}", c.curve.mean_torque_nm), format!("{best:.1}"), beats]));
    }
    format!("\n{title} by torque:\n\n{}", table(&rows))
}

#[cfg(test)]
mod tests {
    use super::gas_paragraph;

    #[test]
    fn a_build_says_when_gas_json_is_not_of_its_routes() {
        assert!(gas_paragraph("no JSON", &[]).contains("run it again"));
        let empty = r#"{"primaries_mm": [], "cylinders": []}"#;
        assert!(gas_paragraph(empty, &[]).contains("other routes"));
        let kept = r#"{"primaries_mm": [800.0], "cylinders": [1], "peak_torque_nm": {"rpm": 5000.0, "value": 150.0},
            "peak_power_kw": {"rpm": 6000.0, "value": 90.0}}"#;
        assert!(gas_paragraph(kept, &[]).contains("150 Nm at 5000 rpm, 90 kW at 6000 rpm"));
    }
}
