//! Heat along one tube.

use serde_json::{Value, json};
use strength::heat::{HotTube, Outside, Wrap};
use strength::section::Section;

use super::case::{Case, ZERO_C};

const MM: f64 = 1000.0;

pub fn solve(case: &Case<'_>) -> Result<Value, String> {
    let od = case.get("od_mm").number()? / MM;
    let wrap = wrap(case, od)?;
    let emissivity = match &wrap {
        Some((_, Some(of_wrap))) => *of_wrap,
        _ => case.get("emissivity").number()?,
    };
    let air = case.get("air_C").number()?;
    let tube = HotTube {
        section: Section { od, wall: case.get("wall_mm").number()? / MM },
        length: case.get("length_mm").number()? / MM,
        mass_flow: case.get("mass_flow_kg_s").number()?,
        gas_in: case.get("gas_in_C").number()? + ZERO_C,
        gas: None,
        gas_cp: case.get("gas_cp_J_kgK_poly_of_K").numbers()?,
        inside: case.get("inside_W_m2K").number()?,
        outside: Outside {
            transfer: case.get("outside_W_m2K").number()?,
            emissivity,
            air: air + ZERO_C,
            surroundings: case.get("surroundings_C").number_or(air)? + ZERO_C,
            wrap: wrap.map(|(wrap, _)| wrap),
        },
        conductivity: case.get("wall_conductivity_W_mK").table(|t| t + ZERO_C, |k| k)?,
        flange: case.get("flange_C").number()? + ZERO_C,
    };
    let found = tube.solve().map_err(|e| e.to_string())?;
    let stations: Vec<f64> = case.get("stations_mm").numbers()?.iter().map(|s| s / MM).collect();
    let at = |of: &dyn Fn(f64) -> f64| stations.iter().map(|s| of(*s) - ZERO_C).collect::<Vec<f64>>();
    Ok(json!({
        "gas_C": at(&|s| found.gas(s)),
        "wall_C": at(&|s| found.wall(s)),
        "skin_C": at(&|s| found.skin(s)),
        "heat_into_flange_W": found.into_flange,
    }))
}

/// The wrap, and the emissivity of its face where it has one of its own. Its measures stand in an object of their own or
/// beside those of the tube with `wrap_` before them; its size as a diameter or a thickness.
fn wrap(case: &Case<'_>, od: f64) -> Result<Option<(Wrap, Option<f64>)>, String> {
    let own = case.get("wrap");
    let find = |names: &[&str]| {
        let inside = own.any(names);
        let beside: Vec<String> = names.iter().map(|n| format!("wrap_{n}")).collect();
        let beside: Vec<&str> = beside.iter().map(String::as_str).collect();
        if inside.is_there() { inside } else { case.any(&beside) }
    };
    let outside = find(&["od_mm", "outside_mm", "outer_mm", "diameter_mm", "outside_diameter_mm", "outer_diameter_mm"]);
    let thickness = find(&["thickness_mm", "mm"]);
    let conductivity = find(&["conductivity_W_mK", "W_mK", "k_W_mK"]);
    let emissivity = find(&["emissivity"]);
    if !outside.is_there() && !thickness.is_there() {
        return Ok(None);
    }
    let outer = if outside.is_there() { outside.number()? / MM } else { od + 2.0 * thickness.number()? / MM };
    if outer <= od {
        return Err(outside.wrong("should be larger than the tube"));
    }
    let emissivity = if emissivity.is_there() { Some(emissivity.number()?) } else { None };
    Ok(Some((Wrap { od: outer, conductivity: conductivity.number()? }, emissivity)))
}
