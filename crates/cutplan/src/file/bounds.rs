//! What a `cutplan.json` may hold at most, checked before anything is worked out from it.
//!
//! The bounds of lengths and angles are those of job.toml, where what is cut comes from. Those of counts are some times
//! what the largest job has: 24 cylinders with a secondary and a tail each, every run of ten pieces.

use super::plan_file::{FileError, PlanFile};

/// Most items, pieces and lines of what is bought.
const MOST: usize = 2_000;
/// Most offcuts: an item leaves one more than it has pieces.
const MOST_OFFCUTS: usize = 2 * MOST;
/// Marks of a piece: its two ends.
const MOST_MARKS: usize = 2;
/// Longest name, characters.
const LONGEST_NAME: usize = 200;
/// Longest length on an item or a run, mm: an item has two legs of 20 m at most, a run 30 m.
const LONGEST: f64 = 100_000.0;
/// Longest leg of a bend or stick, mm.
const LONGEST_LEG: f64 = 20_000.0;
/// Largest centreline radius, mm.
const LARGEST_CLR: f64 = 5_000.0;
/// Largest diameter, mm.
const LARGEST_OD: f64 = 400.0;
/// Largest amount of money.
const LARGEST_AMOUNT: f64 = 1e12;

/// Checks one file.
struct Check {
    wrong: Option<String>,
}

impl Check {
    /// A value at a place, said only when it is the first that is wrong.
    fn within(&mut self, place: impl FnOnce() -> String, value: f64, low: f64, high: f64) {
        if self.wrong.is_none() && !(low..=high).contains(&value) {
            self.wrong = Some(format!("{} is {value}; it lies between {low} and {high}", place()));
        }
    }

    fn count(&mut self, what: &str, count: usize, most: usize) {
        if self.wrong.is_none() && count > most {
            self.wrong = Some(format!("it has {count} {what}; at most {most} are read"));
        }
    }

    fn name(&mut self, place: impl FnOnce() -> String, name: &str) {
        if self.wrong.is_none() && name.chars().count() > LONGEST_NAME {
            self.wrong = Some(format!("{} is longer than {LONGEST_NAME} characters", place()));
        }
    }
}

/// Checks all numbers, counts and names of a file.
///
/// # Errors
/// [`FileError::Value`] for the first that is out of bounds, with its place.
pub(super) fn check(file: &PlanFile) -> Result<(), FileError> {
    let mut check = Check { wrong: None };
    check.within(|| "cost".into(), file.cost, 0.0, LARGEST_AMOUNT);
    check.within(|| "lower_bound".into(), file.lower_bound, -LARGEST_AMOUNT, LARGEST_AMOUNT);
    check.within(|| "yield".into(), file.yield_ratio, 0.0, 2.0);
    let all = [("items", file.items.len()), ("pieces", file.pieces.len()), ("lines to buy", file.buy.len())];
    all.into_iter().for_each(|(what, count)| check.count(what, count, MOST));
    check.count("offcuts", file.offcuts.len(), MOST_OFFCUTS);
    if check.wrong.is_none() {
        items(&mut check, file);
        pieces(&mut check, file);
        for (i, line) in file.buy.iter().enumerate() {
            check.within(|| format!("buy[{i}].count"), f64::from(line.count), 0.0, MOST as f64);
            check.within(|| format!("buy[{i}].price"), line.price, 0.0, LARGEST_AMOUNT);
            check.name(|| format!("buy[{i}].name"), &line.name);
        }
        for (i, offcut) in file.offcuts.iter().enumerate() {
            offcut.at.iter().for_each(|at| check.within(|| format!("offcuts[{i}].at"), *at, -1.0, LONGEST));
        }
    }
    check.wrong.map_or(Ok(()), |wrong| Err(FileError::Value(wrong)))
}

fn items(check: &mut Check, file: &PlanFile) {
    for (i, item) in file.items.iter().enumerate() {
        let place = |key: &'static str| move || format!("items[{i}].{key}");
        check.name(place("id"), &item.id);
        check.name(place("name"), &item.name);
        check.within(place("od_mm"), item.od_mm, 0.0, LARGEST_OD);
        check.within(place("clr_mm"), item.clr_mm.unwrap_or(1.0), 0.1, LARGEST_CLR);
        check.within(place("angle_deg"), item.angle_deg.unwrap_or(1.0), 0.0, 360.0);
        for leg in item.legs_mm.unwrap_or_default() {
            check.within(place("legs_mm"), leg, 0.0, LONGEST_LEG);
        }
        check.within(place("length_mm"), item.length_mm, 0.0, LONGEST);
        check.within(place("price"), item.price, 0.0, LARGEST_AMOUNT);
    }
}

fn pieces(check: &mut Check, file: &PlanFile) {
    for (i, piece) in file.pieces.iter().enumerate() {
        let place = |key: &'static str| move || format!("pieces[{i}].{key}");
        check.name(place("mark"), &piece.mark);
        check.name(place("run"), &piece.run);
        for (key, value) in [("from", piece.from), ("to", piece.to), ("at", piece.at[0]), ("at", piece.at[1])] {
            check.within(place(key), value, -1.0, LONGEST);
        }
        check.within(place("leg_in_mm"), piece.leg_in_mm, 0.0, LONGEST_LEG);
        check.within(place("leg_out_mm"), piece.leg_out_mm, 0.0, LONGEST_LEG);
        check.within(place("angle_deg"), piece.angle_deg, 0.0, 360.0);
        if let Some(reserve) = &piece.reserve {
            check.within(place("reserve.leg_in_mm"), reserve.leg_in_mm, 0.0, LONGEST_LEG);
            check.within(place("reserve.leg_out_mm"), reserve.leg_out_mm, 0.0, LONGEST_LEG);
            check.within(place("reserve.angle_deg"), reserve.angle_deg, 0.0, 360.0);
        }
        check.within(|| format!("the number of marks of piece {i}"), piece.marks.len() as f64, 0.0, MOST_MARKS as f64);
        for mark in &piece.marks {
            check.within(place("marks.angle_deg"), mark.angle_deg.unwrap_or_default(), -1.0, 361.0);
            for length in [mark.from_mm, mark.outside_mm, mark.centre_mm, mark.inside_mm].into_iter().flatten() {
                check.within(place("marks"), length, -LARGEST_OD, LONGEST);
            }
        }
        if let Some(clocking) = &piece.clocking {
            check.name(place("clocking.to"), &clocking.to);
            check.within(place("clocking.angle_deg"), clocking.angle_deg, -180.0, 180.0);
            check.within(place("clocking.around_mm"), clocking.around_mm, -LONGEST_LEG, LONGEST_LEG);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::*;

    fn plan() -> PlanFile {
        let text = r#"{"format": 1, "cost": 1, "lower_bound": 1, "proven": true, "joints": 0, "cuts": 0, "yield": 1,
            "items": [{"id": "b1", "stock": "bend:0", "clr_mm": 76, "angle_deg": 90, "legs_mm": [10, 20]}],
            "pieces": [{"mark": "1A", "run": "primary 1", "from": 0, "to": 10, "item": "b1", "at": [0, 10],
                "reversed": false, "marks": []}], "offcuts": []}"#;
        PlanFile::from_json(text).unwrap()
    }

    fn refusal(change: impl Fn(&mut PlanFile)) -> String {
        let mut file = plan();
        change(&mut file);
        PlanFile::from_json(&file.to_json().unwrap()).unwrap_err().to_string()
    }

    #[test]
    fn a_length_beyond_any_tube_is_said_with_its_place() {
        let leg = refusal(|f| f.items[0].legs_mm = Some([0.0, 4_294_967_296.0]));
        assert_eq!(leg, "items[0].legs_mm is 4294967296; it lies between 0 and 20000");
        assert!(refusal(|f| f.pieces[0].leg_in_mm = -1.0).starts_with("pieces[0].leg_in_mm"));
        assert!(refusal(|f| f.pieces[0].at[1] = 1e9).starts_with("pieces[0].at"));
    }

    #[test]
    fn counts_and_names_have_an_end() {
        assert!(refusal(|f| f.items = vec![f.items[0].clone(); 2001]).contains("2001 items"));
        assert!(refusal(|f| f.items[0].name = "x".repeat(201)).contains("items[0].name"));
        let twice = plan();
        let twice = PlanFile { items: vec![twice.items[0].clone(); 2], ..twice };
        assert!(twice.to_plan().unwrap_err().to_string().contains("two items"));
    }
}
