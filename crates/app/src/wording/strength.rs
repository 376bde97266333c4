//! What must be free to move, what a flange weld bears, and which run must not get hotter.

use job::model::Units;
use job::show::length_with_unit;

use crate::strength_answer::{GasRefusal, GasSource, HighestShare, MoveReason, MustMove, StrengthAnswer};

/// Everything that `strength` finds about a header, a sentence each.
pub fn strength(answer: &StrengthAnswer, units: Units) -> Vec<String> {
    let mut said: Vec<String> = answer.gas.refused.map(|why| gas_refusal(why).into()).into_iter().collect();
    said.extend(answer.must_move.iter().map(|m| must_move(m, units)));
    let weld = answer.runs.iter().filter_map(|r| r.flange_weld_mpa).fold(0.0, f64::max);
    if weld > 0.0 {
        said.push(format!(
            "the cold flange bends the hot wall at its weld by up to {weld:.0} MPa more (elastic, an upper value: the flange warms \
             at the weld, and metal that yields bears less)"
        ));
    }
    if let Some(hotter) = &answer.helps.hotter {
        said.push(format!(
            "with {} hotter by {:.0} K the greatest range is {:.2} times as great",
            hotter.run, hotter.by_k, hotter.range_times
        ));
    }
    said.extend(answer.helps.mechanisms.iter().cloned());
    said
}

/// Where the gas comes from.
pub fn gas_source(gas: &GasSource) -> String {
    match gas.rpm {
        Some(rpm) if gas.along_runs => format!("gas along every run from gas.json, at {rpm:.0} rpm"),
        Some(rpm) => {
            format!("gas at the ports from gas.json, at {rpm:.0} rpm; --waves of `gas` gives it along every run")
        }
        None => "gas of a mean flow at peak power".into(),
    }
}

/// Why a kept gas answer was not used.
fn gas_refusal(why: GasRefusal) -> &'static str {
    match why {
        GasRefusal::Stale => {
            "gas.json is of another engine or other routes and was not used: run `tubewright gas` again"
        }
        GasRefusal::Unreadable => {
            "gas.json is not what `tubewright gas` writes and was not used: run `tubewright gas` again"
        }
        GasRefusal::NoSpeed => {
            "gas.json has no settled speed within 10 % of peak power and was not used: run `tubewright gas` at that speed"
        }
    }
}

/// Which share of its allowable a run reaches and what the job allows, without the run in front; `tried`: of how many routes.
pub fn share(found: Option<&HighestShare>, (allowed, tried): (f64, Option<usize>), units: Units) -> String {
    let allowed = format!("{:.0} % allowed", 100.0 * allowed);
    let Some(found) = found else {
        return format!(
            "its share of the allowable stress range cannot be computed ({allowed}): `tubewright strength` says what is missing"
        );
    };
    let place = length_with_unit(found.at_mm, units);
    let all = match tried {
        Some(1) => "; the only route found".into(),
        Some(count) => format!("; the lowest of {count} routes found"),
        None => String::new(),
    };
    format!(
        "reaches {:.0} % of its allowable stress range at {place} from its start; {allowed}{all}",
        100.0 * found.share
    )
}

/// What must be free to move, how far and in which direction.
pub fn must_move(moves: &MustMove, units: Units) -> String {
    let part = &moves.part;
    let far = length_with_unit(moves.by_mm, units);
    let place = moves.at_mm.map_or(String::new(), |mm| format!(" at {}", length_with_unit(mm, units)));
    match moves.why {
        MoveReason::Collector => format!("collector {part} must be free to move {far} {}", mainly(moves.along)),
        MoveReason::FreeEnd => format!("the end of {part} must be free to move {far} {}", mainly(moves.along)),
        MoveReason::Slot => format!("the slot of the bracket on {part}{place} must allow {far}"),
        MoveReason::Slip => format!("the slip joint of {part}{place} must be free to slide {far}"),
    }
}

/// The directions that make up most of a unit direction, the greatest first: `down and back`.
fn mainly(along: [f64; 3]) -> String {
    const WORDS: [[&str; 2]; 3] = [["back", "forward"], ["right", "left"], ["down", "up"]];
    // A direction that is less than a third of the movement is not worth a word.
    let mut parts: Vec<(f64, &str)> = along
        .iter()
        .zip(WORDS)
        .map(|(v, [less, more])| (v.abs(), if *v < 0.0 { less } else { more }))
        .filter(|(size, _)| *size > 1.0 / 3.0)
        .collect();
    parts.sort_by(|a, b| b.0.total_cmp(&a.0));
    parts.iter().map(|(_, word)| *word).collect::<Vec<_>>().join(" and ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_movement_names_its_part_its_way_and_how_far() {
        let collector = MustMove {
            part: "merge".into(),
            at_mm: None,
            by_mm: 7.62,
            along: [-0.2, 0.8, -0.5656],
            why: MoveReason::Collector,
        };
        assert_eq!(must_move(&collector, Units::Inch), "collector merge must be free to move 5/16 in left and down");
        let slot = MustMove { part: "primary 2".into(), at_mm: Some(120.0), why: MoveReason::Slot, ..collector };
        assert_eq!(must_move(&slot, Units::Mm), "the slot of the bracket on primary 2 at 120.0 mm must allow 7.6 mm");
    }
}
