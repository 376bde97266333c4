//! Frames: static solution and modes.

use std::collections::BTreeMap;

use geom::{Centreline, Vec3};
use serde_json::{Value, json};
use strength::frame::{Body, End, Fitting, Frame, Six, Slide, Tube};
use strength::material::Material;
use strength::modes::modes;
use strength::section::{Flexibility, Section};

use super::case::{Case, ZERO_C};

const MM: f64 = 1000.0;

pub fn solve(case: &Case<'_>) -> Result<Value, String> {
    let material = material(&case.get("material"))?;
    let bodies = case.get("bodies").items();
    let names: Vec<&str> = bodies.iter().map(|b| b.get("name").text().unwrap_or("")).collect();
    let tubes = case.get("tubes").items();
    let tube_names: Vec<&str> = tubes.iter().map(|t| t.get("name").text().unwrap_or("")).collect();
    let mut frame = Frame::default();
    for body in &bodies {
        frame.bodies.push(self::body(body, &material)?);
    }
    for tube in &tubes {
        let flexibility = flexibility(&case.get("bend_flexibility"))?;
        frame.tubes.push(self::tube(tube, &material, flexibility, &names)?);
    }
    for key in ["slip_joints", "brackets", "point_masses", "loads"] {
        for item in case.get(key).items() {
            let tube = of_tube(&item, &tube_names)?;
            let at = item.any(&["at_mm", "s_mm", "station_mm", "arc_mm", "arc_length_mm", "place_mm"]).number()? / MM;
            frame.tubes[tube].fittings.push((at, fitting(key, &item)?));
        }
    }
    let standing = frame.stand().map_err(|e| e.to_string())?;
    let mut reactions = BTreeMap::new();
    for ((tube, name), ends) in frame.tubes.iter().zip(&tube_names).zip(&standing.ends) {
        for (end, forces, key) in
            [(&tube.start, ends[0], name.to_string()), (&tube.end, ends[1], format!("{name} end"))]
        {
            if matches!(end, End::Fixed(_)) {
                reactions.insert(key, json!({"force_N": forces[..3], "moment_Nm": forces[3..]}));
            }
        }
    }
    let moved: BTreeMap<&str, Value> = names
        .iter()
        .zip(&standing.bodies)
        .map(|(name, m)| {
            let [shift, turn] = [0, 3].map(|first| [0, 1, 2].map(|i| MM * m[first + i]));
            (*name, json!({"displacement_mm": shift, "rotation_mrad": turn}))
        })
        .collect();
    let count = case.get("modes").number_or(0.0)? as usize;
    let modes = modes(&frame.system().map_err(|e| e.to_string())?, count).map_err(|e| e.to_string())?;
    let frequencies: Vec<f64> = modes.iter().map(|m| m.frequency).collect();
    Ok(json!({"frequencies_Hz": frequencies, "bodies": moved, "reactions": reactions}))
}

fn material(case: &Case<'_>) -> Result<Material, String> {
    let kelvin = |t: f64| t + ZERO_C;
    Ok(Material {
        young: case.get("E_GPa").table(kelvin, |e| e * 1e9)?,
        poisson: case.get("poisson").number()?,
        density: case.get("density_kg_m3").number()?,
        expansion: case.get("mean_alpha_1e-6").table(kelvin, |a| a * 1e-6)?,
        reference: kelvin(case.get("reference_C").number_or(20.0)?),
    })
}

fn flexibility(case: &Case<'_>) -> Result<Flexibility, String> {
    match case.text() {
        None | Some("1.65/h") => Ok(Flexibility::Code),
        Some("1" | "none" | "k=1") => Ok(Flexibility::Rigid),
        Some("fitted") => Ok(Flexibility::Fitted),
        Some(other) => Err(case.wrong(format!("{other:?} is not known; expected 1.65/h"))),
    }
}

fn place(case: &Case<'_>) -> Result<Vec3, String> {
    Ok(Vec3::from_array(case.list::<3>()?))
}

fn body(case: &Case<'_>, material: &Material) -> Result<Body, String> {
    let temperature = case.get("temperature_C").number_or(material.reference - ZERO_C)? + ZERO_C;
    Ok(Body {
        at: place(&case.get("at_mm"))? / MM,
        held: case.get("fixed").is_true(),
        growth: material.growth(temperature),
        mass: case.get("mass_kg").number_or(0.0)?,
        offset: place(&case.get("mass_offset_mm"))? / MM,
        inertia: case.get("inertia_kg_m2").list()?,
        holds: Vec::new(),
        spring: case.any(&["spring_N_per_m", "spring"]).list()?,
        load: case.get("load_N_Nm").list()?,
    })
}

fn tube(case: &Case<'_>, material: &Material, flexibility: Flexibility, bodies: &[&str]) -> Result<Tube, String> {
    let points = case.get("points_mm").items().iter().map(place).collect::<Result<Vec<_>, _>>()?;
    let radii = case.get("radii_mm").numbers()?;
    let line = Centreline::from_points(&points, &radii).map_err(|e| case.wrong(format!("{e:?}")))?;
    Ok(Tube {
        line,
        section: Section { od: case.get("od_mm").number()? / MM, wall: case.get("wall_mm").number()? / MM },
        material: material.clone(),
        flexibility,
        temperature: case.get("temperature_C").table(|x| x / MM, |t| t + ZERO_C)?,
        start: end(&case.get("start"), bodies)?,
        end: end(&case.get("end"), bodies)?,
        fittings: Vec::new(),
    })
}

fn end(case: &Case<'_>, bodies: &[&str]) -> Result<End, String> {
    if let Some(name) = case.get("body").text() {
        let index = bodies.iter().position(|b| *b == name);
        return index.map(End::Body).ok_or_else(|| case.wrong(format!("there is no body {name:?}")));
    }
    if !case.get("fixed").is_true() {
        return Ok(End::Free);
    }
    let [x, y, z] = case.get("move_mm").list::<3>()?;
    let turn = case.get("turn_mrad").list::<3>()?;
    Ok(End::Fixed([x, y, z, turn[0], turn[1], turn[2]].map(|v| v / MM)))
}

fn of_tube(case: &Case<'_>, names: &[&str]) -> Result<usize, String> {
    let name = case.any(&["tube", "run", "on"]);
    let index = match name.text() {
        Some(text) => names.iter().position(|n| *n == text),
        None => name.number().ok().map(|n| n as usize).filter(|n| *n < names.len()),
    };
    index.ok_or_else(|| name.wrong("should name one of the tubes"))
}

fn fitting(key: &str, case: &Case<'_>) -> Result<Fitting, String> {
    Ok(match key {
        "slip_joints" => Fitting::Slip(Slide::default()),
        "brackets" => {
            Fitting::Spring(case.any(&["spring_N_per_m", "stiffness_N_per_m", "k_N_per_m", "N_per_m"]).list()?)
        }
        "point_masses" => Fitting::Mass(case.any(&["mass_kg", "kg"]).number()?),
        _ => {
            let whole: Six = case.any(&["load_N_Nm", "load"]).list()?;
            let [x, y, z] = case.get("force_N").list::<3>()?;
            let [u, v, w] = case.get("moment_Nm").list::<3>()?;
            let parts = [x, y, z, u, v, w];
            Fitting::Load(std::array::from_fn(|i| whole[i] + parts[i]))
        }
    })
}
