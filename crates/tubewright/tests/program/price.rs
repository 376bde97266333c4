//! `price` and `size` run as a user runs them.

use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::user::{STOCK, TUBE, err, example, folder, object, out, run};

/// A job of nothing but a measured trial piece, in a folder of its own.
fn trial_piece(name: &str) -> PathBuf {
    let path = folder(name);
    std::fs::create_dir(path.join("job")).unwrap();
    let job = format!("{TUBE}{STOCK}");
    std::fs::write(path.join("job/job.toml"), job).unwrap();
    let routes = "format = 1\n[[primary]]\ncylinder = 1\nsteps = [[60, 0, 90, 76.2], [80.0]]\n";
    std::fs::write(path.join("job/routes.toml"), routes).unwrap();
    path
}

fn adds_up(quote: &Value) {
    let milli = |v: &Value| (v.as_f64().unwrap() * 1000.0).round() as i64;
    let lines = quote["lines"].as_array().unwrap();
    assert!(!lines.is_empty());
    assert_eq!(lines.iter().map(|l| milli(&l["amount"])).sum::<i64>(), milli(&quote["direct"]));
    assert_eq!(milli(&quote["direct"]) + milli(&quote["margin"]), milli(&quote["net"]));
    assert_eq!(milli(&quote["net"]) + milli(&quote["tax"]), milli(&quote["total"]));
    for line in lines {
        assert!(!line["source"].as_str().unwrap().is_empty(), "{line}");
    }
    let runs = quote["runs"].as_array().unwrap();
    let weight: f64 = runs.iter().map(|r| r["weight_kg"].as_f64().unwrap()).sum();
    assert!((weight - quote["weight_kg"].as_f64().unwrap()).abs() < 1e-3 && weight > 0.1);
}

#[test]
fn every_example_is_quoted_and_the_lines_add_up() {
    for name in ["hill-climb-four", "jet-boat-bank", "straight-six", "twin-entry-turbo"] {
        let to = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("quoted-{name}"));
        let built =
            run(&["build", example(name).to_str().unwrap(), "-o", to.to_str().unwrap(), "--effort", "2", "--json"]);
        assert!(matches!(built.status.code(), Some(0 | 1)), "{name}: {}", err(&built));
        let summary = object(&built);
        let quote: Value = serde_json::from_str(&std::fs::read_to_string(to.join("quote.json")).unwrap()).unwrap();
        adds_up(&quote);
        for key in ["currency", "net", "tax", "total"] {
            assert_eq!(summary["quote"][key], quote[key], "{name} {key}");
        }
        assert_eq!(quote["invented_prices"], true);
        let report = std::fs::read_to_string(to.join("report.txt")).unwrap();
        assert!(report.contains("placeholder prices") && report.contains("bare tubes"), "{report}");
        assert!(!example(name).join("quote.json").exists(), "the job's folder is left alone");
        assert_eq!(
            quote["lines"].as_array().unwrap().iter().any(|l| l["what"] == "build collectors"),
            name != "twin-entry-turbo"
        );
    }
}

#[test]
fn the_jobs_own_rates_come_before_the_shops() {
    let here = trial_piece("own-rates");
    let job = here.join("job");
    let rates = |labour: u32| format!("format = 1\nunits = \"mm\"\n[price]\nlabour_per_hour = {labour}\n");
    std::fs::write(here.join("stock.toml"), rates(71)).unwrap();
    let labour = || {
        let priced = run(&["price", job.to_str().unwrap(), "--json"]);
        assert_eq!(priced.status.code(), Some(0), "{}", err(&priced));
        let quote = object(&priced);
        let lines = quote["lines"].as_array().unwrap();
        lines.iter().find(|l| l["group"] == "labour").unwrap()["unit_price"].as_f64().unwrap()
    };
    assert_eq!(labour(), 71.0);
    std::fs::write(job.join("rates.toml"), rates(93)).unwrap();
    assert_eq!(labour(), 93.0);
    std::fs::write(job.join("rates.toml"), "format = 1\n[price]\nlabor_per_hour = 1\n").unwrap();
    let checked = run(&["check", job.to_str().unwrap()]);
    assert_eq!(checked.status.code(), Some(2));
    assert!(out(&checked).contains("rates.toml:3:1"), "{}", out(&checked));
}

#[test]
fn a_trial_piece_is_priced_with_the_shops_rates() {
    let here = trial_piece("priced");
    let job = here.join("job");
    let first = run(&["price", job.to_str().unwrap(), "--json"]);
    assert_eq!(first.status.code(), Some(0), "{}", err(&first));
    let own = object(&first);
    adds_up(&own);
    assert!(job.join("quote.json").is_file() && job.join("cutplan.json").is_file());

    let shop = "format = 1\nunits = \"mm\"\n[price]\ncurrency = \"EUR\"\nlabour_per_hour = 0\nmargin_percent = 0\n\
                tax_percent = 19\n[time]\nweld_mm_per_min = 50\n";
    std::fs::write(here.join("stock.toml"), shop).unwrap();
    let second = run(&["price", job.to_str().unwrap(), "--json"]);
    let shops = object(&second);
    adds_up(&shops);
    assert_eq!((shops["currency"].as_str(), shops["margin"].as_f64()), (Some("EUR"), Some(0.0)));
    let labour =
        |q: &Value, what: &str| q["lines"].as_array().unwrap().iter().find(|l| l["what"] == what).cloned().unwrap();
    assert_eq!(labour(&shops, "weld")["amount"], 0.0);
    let hours = |q: &Value| labour(q, "weld")["quantity"].as_f64().unwrap();
    assert!((hours(&shops) - 2.0 * hours(&own)).abs() < 1e-3);
    assert!(!err(&second).contains("anew"), "the saved plan still fits: {}", err(&second));
    let text = run(&["price", job.to_str().unwrap()]);
    assert!(out(&text).contains("Quote:") && out(&text).contains("EUR"), "{}", out(&text));
}

#[test]
fn a_cut_plan_of_other_routes_is_cut_anew() {
    let here = trial_piece("anew");
    let job = here.join("job");
    assert!(run(&["cut", job.to_str().unwrap()]).status.success());
    let routes = std::fs::read_to_string(job.join("routes.toml")).unwrap();
    std::fs::write(job.join("routes.toml"), routes.replace("[80.0]", "[190.0]")).unwrap();
    let priced = run(&["price", job.to_str().unwrap(), "--json"]);
    assert_eq!(priced.status.code(), Some(0));
    assert!(err(&priced).contains("planning again"), "{}", err(&priced));
    let length = object(&priced)["runs"][0]["length_mm"].as_f64().unwrap();
    assert!((length - (60.0 + 190.0 + 76.2 * std::f64::consts::FRAC_PI_2)).abs() < 1e-2, "{length}");
}

#[test]
fn what_is_wrong_gives_2_and_what_cannot_be_cut_1() {
    let here = trial_piece("wrong");
    let job = here.join("job");
    std::fs::write(
        here.join("stock.toml"),
        "format = 1\nunits = \"mm\"\n[price]\nlabour_per_huor = 60\n[time]\ncut_bend = -1\n",
    )
    .unwrap();
    let wrong = run(&["price", job.to_str().unwrap(), "--json"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert_eq!(object(&wrong)["problems"].as_array().unwrap().len(), 2, "{}", out(&wrong));
    assert!(err(&wrong).contains("labour_per_hour") && err(&wrong).contains("stock.toml:4:1"), "{}", err(&wrong));
    std::fs::remove_file(here.join("stock.toml")).unwrap();

    std::fs::write(job.join("cutplan.json"), "{").unwrap();
    let broken = run(&["price", job.to_str().unwrap(), "--json"]);
    assert_eq!(broken.status.code(), Some(2));
    assert!(err(&broken).contains("no cut plan"), "{}", err(&broken));
    std::fs::remove_file(job.join("cutplan.json")).unwrap();

    let routes = std::fs::read_to_string(job.join("routes.toml")).unwrap();
    std::fs::write(job.join("routes.toml"), routes.replace("76.2", "50.0")).unwrap();
    let uncut = run(&["price", job.to_str().unwrap(), "--json"]);
    assert_eq!(uncut.status.code(), Some(1), "{}", err(&uncut));
    assert_eq!(object(&uncut)["met"], false);
    std::fs::remove_file(job.join("routes.toml")).unwrap();
    let none = run(&["price", job.to_str().unwrap(), "--json"]);
    assert_eq!(none.status.code(), Some(2));
    object(&none);
}

#[test]
fn sizes_come_with_their_sources_and_the_firing_order_is_told() {
    let four = object(&run(&["size", example("hill-climb-four").to_str().unwrap(), "--json"]));
    let rules = four["rules"].as_array().unwrap();
    for of in
        ["primary length", "primary inside diameter", "collector outlet inside diameter", "collector merge length"]
    {
        assert!(rules.iter().any(|r| r["of"] == of), "{of}");
    }
    assert!(
        rules.iter().all(|r| !r["source"].as_str().unwrap().is_empty() && !r["range"].as_str().unwrap().is_empty())
    );
    assert!(rules.iter().any(|r| r["source"].as_str().unwrap().contains("from memory")));
    assert_eq!(four["firing"]["pairs_360"], serde_json::json!([[1, 4], [2, 3]]));
    assert_eq!(four["missing"], serde_json::json!([]));

    let bank = object(&run(&["size", example("jet-boat-bank").to_str().unwrap(), "--json"]));
    assert_eq!(bank["firing"]["pairs"][0]["cylinders"], serde_json::json!([1, 3]));
    assert_eq!(bank["missing"], serde_json::json!([]));
    let camless = folder("sized-without-cams");
    std::fs::copy(example("jet-boat-bank").join("hull-side.ply"), camless.join("hull-side.ply")).unwrap();
    let job = std::fs::read_to_string(example("jet-boat-bank").join("job.toml")).unwrap();
    let (before, cams) = job.split_once("[engine.exhaust_cam]").unwrap();
    let (_, after) = cams.split_once("[engine.intake_cam]").unwrap();
    std::fs::write(camless.join("job.toml"), format!("{before}[engine.intake_cam]{after}")).unwrap();
    let sized = object(&run(&["size", camless.to_str().unwrap(), "--json"]));
    assert_eq!(sized["missing"][0]["key"], "engine.exhaust_cam.opens_bbdc_deg");
    let text = run(&["size", camless.to_str().unwrap()]);
    assert!(out(&text).contains("is not given: needed for lengths"), "{}", out(&text));

    let turbo = object(&run(&["size", example("twin-entry-turbo").to_str().unwrap(), "--json"]));
    assert_eq!(turbo["firing"]["groups"][0], serde_json::json!({"cylinders": [1, 4], "gaps_deg": [360.0, 360.0]}));

    let here = trial_piece("unsized");
    let bare = run(&["size", here.join("job").to_str().unwrap(), "--json"]);
    assert_eq!(bare.status.code(), Some(0));
    assert_eq!(object(&bare)["missing"][0]["key"], "[engine]");
}

#[test]
fn alternatives_show_what_each_costs_and_weighs() {
    let to = Path::new(env!("CARGO_TARGET_TMPDIR")).join("priced-alternatives");
    let args = [
        "build",
        example("hill-climb-four").to_str().unwrap().to_owned().leak(),
        "--alternatives",
        "3",
        "--effort",
        "3",
        "--json",
        "-o",
    ];
    let built = run(&[&args[..], &[to.to_str().unwrap()]].concat());
    assert_eq!(built.status.code(), Some(0), "{}", err(&built));
    let summary = object(&built);
    for alternative in summary["alternatives"].as_array().unwrap() {
        let figures = &alternative["figures"];
        assert!(figures["total"].as_f64().unwrap() > figures["cost"].as_f64().unwrap(), "{figures}");
        assert!(figures["weight_kg"].as_f64().unwrap() > 1.0, "{figures}");
    }
}
