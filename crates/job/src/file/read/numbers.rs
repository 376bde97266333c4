//! Values that are numbers: money, lengths, angles, whole numbers.

use toml::de::DeValue;

use super::wording::{expected, short};
use super::{Entry, Reader};
use crate::file::describe::{Range as Bounds, ValueKind};
use crate::model::Units;
use crate::problem::Problem;
use crate::quantity::{self, LENGTH_FORMS};

impl Reader<'_> {
    pub(super) fn money(&mut self, entry: &Entry<'_>) -> Option<i64> {
        let digits = match entry.raw {
            DeValue::Integer(n) if n.radix() == 10 => n.as_str().to_string(),
            DeValue::Float(n) => n.as_str().to_string(),
            _ => return self.wrong_type(entry),
        };
        let amount = quantity::money(&digits);
        self.read(amount, entry, "an amount of 0 or more with at most three decimals")
    }

    /// A plain number, finite or not; reports what is none.
    pub(super) fn any_number(&mut self, entry: &Entry<'_>) -> Option<f64> {
        let value: Option<f64> = match entry.raw {
            DeValue::Integer(n) if n.radix() == 10 => n.as_str().parse().ok(),
            DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix()).ok().map(|n| n as f64),
            DeValue::Float(n) => n.as_str().parse().ok(),
            _ => return self.wrong_type(entry),
        };
        match value {
            Some(value) if value.is_finite() => Some(value),
            _ => {
                let units = self.units;
                let shown = short(self.source.slice(&entry.span));
                let problem =
                    self.wrong("not-finite", entry, format!("`{}` is {shown}, which is no finite number", entry.key));
                problem.expected = expected(&entry.kind, units);
                problem.hint = "write the measured value".into();
                None
            }
        }
    }

    pub(super) fn plain(&mut self, entry: &Entry<'_>, bounds: Bounds) -> Option<f64> {
        let value = self.any_number(entry)?;
        if bounds.holds(value) {
            return Some(value);
        }
        self.out_of_range(entry, &format!("{value}"));
        None
    }

    pub(super) fn out_of_range(&mut self, entry: &Entry<'_>, shown: &str) -> &mut Problem {
        let units = self.units;
        let problem = self.wrong("out-of-range", entry, format!("`{}` cannot be {shown}", entry.key));
        problem.expected = expected(&entry.kind, units);
        problem.hint = if entry.key == "format" {
            "this program reads format 1; a newer one may have written the file".into()
        } else {
            "write the measured or wanted value".into()
        };
        problem
    }

    pub(super) fn length(&mut self, entry: &Entry<'_>, bounds: Bounds) -> Option<f64> {
        if let DeValue::String(text) = entry.raw {
            let read =
                if matches!(entry.kind, ValueKind::Wall(_)) { quantity::wall(text) } else { quantity::length(text) };
            let value = self.read(read, entry, LENGTH_FORMS)?;
            if bounds.holds(value) {
                return Some(value);
            }
            self.out_of_range(entry, &short(text));
            return None;
        }
        let bare = self.any_number(entry)?;
        let units = self.units;
        let value = quantity::in_mm(bare, units.in_mm());
        if bounds.holds(value) {
            return Some(value);
        }
        let (shown, word, other, other_word, other_name) = match units {
            Units::Mm => ("mm", "millimetres", Units::Inch, "in", "inches"),
            Units::Inch => ("in", "inches", Units::Mm, "mm", "millimetres"),
        };
        let problem = self.out_of_range(entry, &format!("{bare} {shown}"));
        if bare != 0.0 && bounds.holds(bare * other.in_mm()) {
            problem.hint = format!("bare numbers are {word} here; for {other_name} write \"{bare} {other_word}\"");
        }
        None
    }

    pub(super) fn angle(&mut self, entry: &Entry<'_>, bounds: Bounds) -> Option<f64> {
        let degrees = if let DeValue::String(text) = entry.raw {
            let read = quantity::angle(text);
            // A hair of rounding must not throw out the bound itself.
            (self.read(read, entry, "an angle in degrees")?.to_degrees() * 1e9).round() / 1e9
        } else {
            self.any_number(entry)?
        };
        if bounds.holds(degrees) {
            return Some(degrees.to_radians());
        }
        self.out_of_range(entry, &format!("{degrees} degrees"));
        None
    }

    pub(super) fn whole(&mut self, entry: &Entry<'_>, min: i64, max: i64) -> Option<i64> {
        let value = match entry.raw {
            DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix()).ok(),
            DeValue::Float(n) => {
                n.as_str().parse::<f64>().ok().filter(|v| v.fract() == 0.0 && v.abs() < 1e15).map(|v| v as i64)
            }
            _ => return self.wrong_type(entry),
        };
        match value {
            Some(value) if (min..=max).contains(&value) => Some(value),
            _ => {
                let shown = short(self.source.slice(&entry.span));
                self.out_of_range(entry, &shown);
                None
            }
        }
    }
}
