//! routes.toml read and written.
#![allow(clippy::unwrap_used)]

use geom::Vec3;
use job::model::Units;
use job::routes::{CollectorPlace, Route, Routes, RunId};

fn bare_job() -> job::model::Job {
    let text = "format = 1\nunits = \"mm\"\n[tube]\nod = 44.45\nwall = 1.65\nmaterial = \"304\"\n";
    job::read_job("job.toml", text.as_bytes(), "x", &job::no_mesh_files, None).unwrap_or_else(|p| panic!("{p}")).0
}

fn read(text: &str) -> Result<Routes, job::Problems> {
    job::file::routes_file::read("routes.toml", text.as_bytes(), &bare_job()).map(|(routes, _)| routes)
}

#[test]
fn written_routes_read_back_the_same_in_both_units() {
    let third = 1.0 / 3.0;
    let routes = Routes {
        runs: vec![
            Route {
                run: RunId::Primary { cylinder: 2 },
                collector: "main \"one\"".into(),
                inlet: 3,
                points: vec![
                    Vec3::ZERO,
                    Vec3::new(150.0 + third, -1e-4, 0.0),
                    Vec3::new(150.0 + third, 200.1234567, third),
                ],
                radii: vec![76.2],
                locked: true,
            },
            Route {
                run: RunId::Tail { from: "main \"one\"".into() },
                collector: String::new(),
                inlet: 0,
                points: vec![Vec3::ZERO, Vec3::X * -1234.5],
                radii: vec![],
                locked: false,
            },
        ],
        collectors: vec![CollectorPlace {
            name: "main \"one\"".into(),
            frame: geom::Frame::new(Vec3::new(1.0, 2.0, third), Vec3::new(1.0, 2.0, 3.0), Vec3::Z).unwrap(),
        }],
    };
    for units in [Units::Mm, Units::Inch] {
        let text = job::file::routes_file::write(&routes, units);
        let back = read(&text).unwrap_or_else(|p| panic!("{p}\n{text}"));
        assert_eq!(back.runs.len(), 2);
        for (a, b) in routes.runs.iter().zip(&back.runs) {
            assert_eq!((&a.run, &a.collector, a.inlet, a.locked), (&b.run, &b.collector, b.inlet, b.locked));
            for (p, q) in a.points.iter().zip(&b.points) {
                assert!((*p - *q).length() < 1e-6, "{p} {q}");
            }
        }
        assert!((back.collectors[0].frame.forward - routes.collectors[0].frame.forward).length() < 1e-12);
        assert_eq!(job::file::routes_file::write(&back, units), text);
    }
}

#[test]
fn a_trial_piece_may_be_measured_as_steps() {
    // 100 straight, a right angle on CLR 76.2, 50 straight, a U-turn a quarter round, 30 straight.
    let text = "[[primary]]\ncylinder = 1\nsteps = [[100.0, 0.0, 90.0, 76.2], [50.0, 90.0, 180.0, \"3 in\"], [30.0]]\n";
    let routes = read(text).unwrap_or_else(|p| panic!("{p}"));
    let line = routes.runs[0].centreline().unwrap();
    let by_hand = 100.0 + 76.2 * std::f64::consts::FRAC_PI_2 + 50.0 + 76.2 * std::f64::consts::PI + 30.0;
    assert!((line.length() - by_hand).abs() < 1e-6);
    // The U-turn became two points.
    assert_eq!(routes.runs[0].radii, [76.2, 76.2, 76.2]);
    let bare_last = text.replace("[30.0]", "30.0");
    assert_eq!(read(&bare_last).unwrap().runs[0].points, routes.runs[0].points);
}

#[test]
fn what_is_no_route_says_where_and_why() {
    let problems =
        read("[[primary]]\ncylinder = 1\npoints = [[0,0,0], [50,0,0], [50,50,0]]\nradii = [76.2]\n").unwrap_err();
    let text = problems.to_string();
    assert!(text.contains("26.2") && text.contains("line 3, column 20"), "{text}");
    for (text, code) in [
        ("[[primary]]\ncylinder = 1\n", "missing-key"),
        ("[[primary]]\ncylinder = 1\npoints = [[0,0,0], [9,0,0]]\nsteps = [[1]]\n", "conflict"),
        ("[[primary]]\ncylinder = 1\npoints = [[0,0,0], [0,0,0]]\n", "no-tube"),
        ("[[primary]]\ncylinder = 1\nsteps = [[1,2,3]]\n", "wrong-count"),
        ("[[primary]]\ncylinder = 1\nsteps = [[5]]\n[[primary]]\ncylinder = 1\nsteps = [[5]]\n", "duplicate-run"),
        ("[[primary]]\ncylinder = 1\nsteps = [[nan]]\n", "not-finite"),
        ("", "no-routes"),
        ("[[primery]]\ncylinder = 1\n", "unknown-key"),
    ] {
        let problems = read(text).unwrap_err();
        assert!(problems.0.iter().any(|p| p.code == code), "{text}: {problems}");
    }
}

#[test]
fn a_route_that_is_not_where_its_port_is_is_said() {
    let base = include_str!("../../../cases/bad-jobs/base.toml");
    let job = job::read_job("job.toml", base.as_bytes(), "x", &job::no_mesh_files, None).unwrap().0;
    let text = "[[primary]]\ncylinder = 1\ncollector = \"main\"\ninlet = 1\npoints = [[5, 0, 0], [5, 200, 0], [-900, 200, 0]]\nradii = [76.2]\n";
    let (_, warnings) =
        job::file::routes_file::read("routes.toml", text.as_bytes(), &job).unwrap_or_else(|p| panic!("{p}"));
    let said = warnings.to_string();
    assert!(said.contains("starts 5.0 mm from its place") && said.contains("280.0 mm from the inlet plane"), "{said}");
    assert!(!said.contains("degrees"), "{said}");
    // A trial piece given as steps starts at its port.
    let steps = "[[primary]]\ncylinder = 2\nsteps = [[100.0, 0, 90, 76.2], [50.0]]\n";
    let (routes, warnings) = job::file::routes_file::read("routes.toml", steps.as_bytes(), &job).unwrap();
    assert_eq!(warnings, job::Problems::default());
    assert_eq!(routes.runs[0].points[0], job.ports[1].at);
}

#[test]
fn a_write_that_fails_leaves_the_old_file() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("atomic");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let file = folder.join("routes.toml");
    job::write_atomic(&file, b"old").unwrap();
    // The place of the draft is taken by a folder, so the write cannot begin.
    let draft = folder.join(format!(".routes.toml.{}.new", std::process::id()));
    std::fs::create_dir(&draft).unwrap();
    assert!(job::write_atomic(&file, b"new").is_err());
    assert_eq!(std::fs::read(&file).unwrap(), b"old");
    std::fs::remove_dir(&draft).unwrap();
    job::write_atomic(&file, b"new").unwrap();
    assert_eq!(std::fs::read(&file).unwrap(), b"new");
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 1, "no draft is left behind");
}
