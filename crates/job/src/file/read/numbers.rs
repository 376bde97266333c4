//! Values that are numbers: money, lengths, angles, whole numbers.

use std::ops::Range;

use toml::de::DeValue;

use super::wording::{expected, short};
use super::{At, Reader};
use crate::file::describe::{Kind, Range as Bounds};
use crate::model::Units;
use crate::problem::Problem;
use crate::quantity::{self, LENGTH_FORMS};

impl Reader<'_> {
    pub(super) fn money(&mut self, raw: &DeValue<'_>, span: &Range<usize>, at: At<'_>, kind: &Kind) -> Option<i64> {
        let digits = match raw {
            DeValue::Integer(n) if n.radix() == 10 => n.as_str().to_string(),
            DeValue::Float(n) => n.as_str().to_string(),
            _ => return self.wrong_type(raw, span, at, kind),
        };
        let amount = quantity::money(&digits);
        self.read(amount, span, at, "an amount of 0 or more with at most three decimals")
    }

    /// A plain number, finite or not; reports what is none.
    pub(super) fn any_number(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        kind: &Kind,
    ) -> Option<f64> {
        let value: Option<f64> = match raw {
            DeValue::Integer(n) if n.radix() == 10 => n.as_str().parse().ok(),
            DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix()).ok().map(|n| n as f64),
            DeValue::Float(n) => n.as_str().parse().ok(),
            _ => return self.wrong_type(raw, span, at, kind),
        };
        match value {
            Some(value) if value.is_finite() => Some(value),
            _ => {
                let units = self.units;
                let shown = short(self.source.slice(span));
                let problem = self.error(
                    "not-finite",
                    span,
                    at.about,
                    format!("`{}` is {shown}, which is no finite number", at.key),
                );
                problem.expected = expected(kind, units);
                problem.hint = "write the measured value".into();
                None
            }
        }
    }

    pub(super) fn plain(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        bounds: Bounds,
        kind: &Kind,
    ) -> Option<f64> {
        let value = self.any_number(raw, span, at, kind)?;
        if bounds.holds(value) {
            return Some(value);
        }
        self.out_of_range(span, at, &format!("{value}"), kind);
        None
    }

    pub(super) fn out_of_range(&mut self, span: &Range<usize>, at: At<'_>, shown: &str, kind: &Kind) -> &mut Problem {
        let units = self.units;
        let problem = self.error("out-of-range", span, at.about, format!("`{}` cannot be {shown}", at.key));
        problem.expected = expected(kind, units);
        problem.hint = if at.key == "format" {
            "this program reads format 1; a newer one may have written the file".into()
        } else {
            "write the measured or wanted value".into()
        };
        problem
    }

    pub(super) fn length(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        bounds: Bounds,
        kind: &Kind,
    ) -> Option<f64> {
        if let DeValue::String(text) = raw {
            let read = if matches!(kind, Kind::Wall(_)) { quantity::wall(text) } else { quantity::length(text) };
            let value = self.read(read, span, at, LENGTH_FORMS)?;
            if bounds.holds(value) {
                return Some(value);
            }
            self.out_of_range(span, at, &short(text), kind);
            return None;
        }
        let bare = self.any_number(raw, span, at, kind)?;
        let units = self.units;
        let value = quantity::in_mm(bare, units.in_mm());
        if bounds.holds(value) {
            return Some(value);
        }
        let (shown, word, other, other_word, other_name) = match units {
            Units::Mm => ("mm", "millimetres", Units::Inch, "in", "inches"),
            Units::Inch => ("in", "inches", Units::Mm, "mm", "millimetres"),
        };
        let problem = self.out_of_range(span, at, &format!("{bare} {shown}"), kind);
        if bare != 0.0 && bounds.holds(bare * other.in_mm()) {
            problem.hint = format!("bare numbers are {word} here; for {other_name} write \"{bare} {other_word}\"");
        }
        None
    }

    pub(super) fn angle(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        bounds: Bounds,
        kind: &Kind,
    ) -> Option<f64> {
        let degrees = if let DeValue::String(text) = raw {
            let read = quantity::angle(text);
            // A hair of rounding must not throw out the bound itself.
            (self.read(read, span, at, "an angle in degrees")?.to_degrees() * 1e9).round() / 1e9
        } else {
            self.any_number(raw, span, at, kind)?
        };
        if bounds.holds(degrees) {
            return Some(degrees.to_radians());
        }
        self.out_of_range(span, at, &format!("{degrees} degrees"), kind);
        None
    }

    pub(super) fn whole(
        &mut self,
        raw: &DeValue<'_>,
        span: &Range<usize>,
        at: At<'_>,
        min: i64,
        max: i64,
    ) -> Option<i64> {
        let kind = Kind::Whole(min, max);
        let value = match raw {
            DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix()).ok(),
            DeValue::Float(n) => {
                n.as_str().parse::<f64>().ok().filter(|v| v.fract() == 0.0 && v.abs() < 1e15).map(|v| v as i64)
            }
            _ => return self.wrong_type(raw, span, at, &kind),
        };
        match value {
            Some(value) if (min..=max).contains(&value) => Some(value),
            _ => {
                let shown = short(self.source.slice(span));
                self.out_of_range(span, at, &shown, &kind);
                None
            }
        }
    }
}
