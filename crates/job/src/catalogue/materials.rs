//! Materials of exhaust tube.

use std::sync::LazyLock;

use super::csv::{number, rows};

/// One property at one or more temperatures, with a source for each figure.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Series {
    /// Temperature in degrees Celsius (NaN when the property has none), value, source.
    pub points: Vec<(f64, f64, String)>,
}

impl Series {
    /// The value at a temperature, between the nearest two by straight line; the end values beyond.
    pub fn at(&self, temp_c: f64) -> Option<f64> {
        let (first, last) = (self.points.first()?, self.points.last()?);
        if temp_c.is_nan() || temp_c <= first.0 {
            return Some(first.1);
        }
        if temp_c >= last.0 {
            return Some(last.1);
        }
        self.points.windows(2).find(|p| temp_c <= p[1].0).map(|p| {
            let share = (temp_c - p[0].0) / (p[1].0 - p[0].0);
            p[0].1 + share * (p[1].1 - p[0].1)
        })
    }
}

/// A material.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Its name in job files.
    pub name: String,
    /// Its name in full.
    pub title: String,
    /// Other names that are understood.
    pub also: Vec<String>,
    /// Density at 20 degrees Celsius, kg/m3.
    pub density: f64,
    /// Mean thermal expansion from 20 degrees Celsius, 1e-6/K.
    pub expansion: Series,
    /// Thermal conductivity, W/(m K).
    pub conductivity: Series,
    /// Specific heat, J/(kg K).
    pub specific_heat: Series,
    /// Elastic modulus, GPa.
    pub modulus: Series,
    /// Yield strength (0.2 %), MPa.
    pub yield_strength: Series,
    /// Greatest metal temperature in lasting service in air (oxidation alone), degrees Celsius.
    pub service_c: f64,
    /// The same when heated and cooled again and again, where it is published.
    pub service_cycled_c: Option<f64>,
    /// Filler rod for welding it to itself (AWS names).
    pub filler: String,
    /// Source of each figure: property and source.
    pub sources: Vec<(String, String)>,
}

static MATERIALS: LazyLock<Vec<Material>> = LazyLock::new(|| {
    let figures: Vec<Vec<String>> = rows(include_str!("data/materials.csv")).collect();
    rows(include_str!("data/material_names.csv")).map(|names| build(&names, &figures)).collect()
});

fn build(names: &[String], figures: &[Vec<String>]) -> Material {
    let own = || figures.iter().filter(|f| f[0] == names[0]);
    let series = |property: &str| Series {
        points: own()
            .filter(|f| f[1] == property)
            .map(|f| (f[2].parse().unwrap_or(f64::NAN), number(&f[3]), format!("{} ({})", f[5], f[6])))
            .collect(),
    };
    let one = |property: &str| series(property).points.first().map(|p| p.1);
    let must = "every material of the own file has it (held by a test)";
    Material {
        name: names[0].clone(),
        title: names[1].clone(),
        also: names[2].split('|').map(str::to_string).collect(),
        density: one("density").expect(must),
        expansion: series("mean expansion"),
        conductivity: series("conductivity"),
        specific_heat: series("specific heat"),
        modulus: series("elastic modulus"),
        yield_strength: series("yield"),
        service_c: one("service, continuous").expect(must),
        service_cycled_c: one("service, intermittent"),
        filler: own().find(|f| f[1] == "filler").map(|f| f[3].clone()).expect(must),
        sources: own().map(|f| (f[1].clone(), format!("{} ({})", f[5], f[6]))).collect(),
    }
}

/// All materials.
pub fn materials() -> &'static [Material] {
    &MATERIALS
}

/// The material of that name or one of its other names, upper or lower case.
///
/// ```
/// assert_eq!(job::catalogue::material("Inconel 625").unwrap().name, "alloy 625");
/// ```
pub fn material(name: &str) -> Option<&'static Material> {
    let name = name.trim();
    let same = |other: &String| other.eq_ignore_ascii_case(name);
    MATERIALS.iter().find(|m| same(&m.name) || same(&m.title) || m.also.iter().any(same))
}
