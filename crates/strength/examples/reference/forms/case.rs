//! Reading values of a case, with the place of a wrong one.

use serde_json::Value;
use strength::table::Table;

/// 0 degrees Celsius, K.
pub const ZERO_C: f64 = 273.15;

/// A value with its path in the file.
#[derive(Clone)]
pub struct Case<'a> {
    value: Option<&'a Value>,
    path: String,
}

impl<'a> Case<'a> {
    pub fn new(value: &'a Value) -> Self {
        Case { value: Some(value), path: String::new() }
    }

    /// The value of the first of these keys that is there.
    pub fn any(&self, keys: &[&str]) -> Case<'a> {
        let found = keys.iter().find_map(|key| self.value?.get(key).map(|v| (v, *key)));
        let name = found.map_or(keys.first().copied().unwrap_or_default(), |(_, key)| key);
        Case { value: found.map(|(v, _)| v), path: format!("{}.{name}", self.path) }
    }

    pub fn get(&self, key: &str) -> Case<'a> {
        self.any(&[key])
    }

    pub fn is_there(&self) -> bool {
        self.value.is_some_and(|v| !v.is_null())
    }

    /// Whether it is `true`.
    pub fn is_true(&self) -> bool {
        self.value.and_then(Value::as_bool).unwrap_or(false)
    }

    pub fn text(&self) -> Option<&'a str> {
        self.value?.as_str()
    }

    pub fn number(&self) -> Result<f64, String> {
        self.value.and_then(Value::as_f64).ok_or_else(|| format!("{} should be a number", self.path))
    }

    pub fn number_or(&self, other: f64) -> Result<f64, String> {
        if self.is_there() { self.number() } else { Ok(other) }
    }

    /// Its items; none where it is missing.
    pub fn items(&self) -> Vec<Case<'a>> {
        let all = self.value.and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
        let item = |(k, value)| Case { value: Some(value), path: format!("{}[{k}]", self.path) };
        all.iter().enumerate().map(item).collect()
    }

    pub fn numbers(&self) -> Result<Vec<f64>, String> {
        self.items().iter().map(Case::number).collect()
    }

    /// `N` numbers, the missing ones 0; one number alone stands for the first three.
    pub fn list<const N: usize>(&self) -> Result<[f64; N], String> {
        if !self.is_there() {
            return Ok([0.0; N]);
        }
        if let Some(one) = self.value.and_then(Value::as_f64) {
            return Ok(std::array::from_fn(|i| if i < 3 { one } else { 0.0 }));
        }
        let all = self.numbers()?;
        if all.len() > N {
            return Err(format!("{} has {} numbers; at most {N} expected", self.path, all.len()));
        }
        Ok(std::array::from_fn(|i| all.get(i).copied().unwrap_or(0.0)))
    }

    /// Rows of two numbers, both changed on the way.
    pub fn table(&self, place: impl Fn(f64) -> f64, figure: impl Fn(f64) -> f64) -> Result<Table, String> {
        if let Some(one) = self.value.and_then(Value::as_f64) {
            return Ok(Table::constant(figure(one)));
        }
        let mut rows = Vec::new();
        for row in self.items() {
            let [x, y] = row.list::<2>()?;
            rows.push((place(x), figure(y)));
        }
        Table::new(rows).map_err(|e| format!("{}: {e}", self.path))
    }

    /// What is wrong with it.
    pub fn wrong(&self, why: impl std::fmt::Display) -> String {
        format!("{}: {why}", self.path)
    }
}
