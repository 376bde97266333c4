//! Properties of gases as the solver has them: T(e) fitted to the mixture of the file.

use gas::medium::{Gas, Medium, Mixture};
use gas::species::{PRANDTL, Species, viscosity};
use serde_json::{Value, json};

use super::{Answer, with};

pub fn properties(file: &Value) -> Answer {
    let tables = file.get("tables").and_then(Value::as_array).ok_or("a list is expected at \"tables\"")?;
    let tables = tables.iter().map(table).collect::<Result<Vec<Value>, String>>()?;
    let mut answer = with(file, json!({"tables": tables}));
    // What is fitted to a table is the table's, not ours.
    answer.as_object_mut().map(|o| o.remove("fits_stoichiometric"));
    Ok(answer)
}

fn table(item: &Value) -> Answer {
    let moles = item.get("mole_fractions_unnormalised").and_then(Value::as_object);
    let moles = moles.ok_or("an object is expected at \"mole_fractions_unnormalised\"")?;
    let part = |(name, n): (&String, &Value)| {
        let species = Species::named(name).ok_or_else(|| format!("{name} is none of the species known"))?;
        Ok((species, n.as_f64().ok_or_else(|| format!("a number is expected at \"{name}\""))?))
    };
    let parts = moles.iter().map(part).collect::<Result<Vec<_>, String>>()?;
    let gas = Gas::fit(&parts).ok_or("the mole fractions must be positive in sum")?;
    let medium = Mixture::only(gas);
    let columns: Vec<&str> =
        item.get("columns").and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_str).collect();
    let e298 = medium.energy(298.15, 0.0);
    let row = |row: &Value| -> Answer {
        let t = row.get(0).and_then(Value::as_f64).ok_or("a temperature is expected in every row")?;
        let e = medium.energy(t, 0.0);
        let cv = 1.0 / medium.thermal(e, 0.0).t_e;
        let mu = viscosity(&parts, t);
        let cp = cv + gas.r;
        let value = |name: &&str| match *name {
            "T_K" => Some(t),
            "cp" => Some(cp),
            "cv" => Some(cv),
            "gamma" => Some(cp / cv),
            "mu_Pa_s" => Some(mu),
            "k_W_mK" => Some(mu * cp / PRANDTL),
            "Pr" => Some(PRANDTL),
            "h_minus_h298" => Some(e - e298 + gas.r * (t - 298.15)),
            "e_minus_e298" => Some(e - e298),
            _ => None,
        };
        Ok(json!(columns.iter().map(value).collect::<Vec<Option<f64>>>()))
    };
    let rows = item.get("rows").and_then(Value::as_array).into_iter().flatten();
    let rows = rows.map(row).collect::<Result<Vec<Value>, String>>()?;
    let kg_per_kmol = gas::species::R_MOLAR / gas.r * 1000.0;
    Ok(with(item, json!({"R": gas.r, "W_kg_per_kmol": kg_per_kmol, "rows": rows})))
}
