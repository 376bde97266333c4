use super::*;
use crate::model::Units;
use crate::read_job;
use crate::routes::Route;

const JOB: &str = "format = 1\nunits = \"mm\"\nname = \"t\"\n[tube]\nod = 44.45\nwall = 1.65\nmaterial = \"304L\"\n\
                   [[port]]\ncylinder = 1\nat = [0.0, 0.0, 0.0]\naxis = [1.0, 0.0, 0.0]\nstub = 20.0\n";

fn job(parts: &str) -> Result<Job, String> {
    let text = format!("{JOB}{parts}");
    let read = read_job("job.toml", text.as_bytes(), "t", &crate::no_mesh_files, None);
    read.map(|(job, ..)| job).map_err(|p| p.to_string())
}

fn routes() -> Routes {
    let points = [(0.0, 0.0, 0.0), (200.0, 0.0, 0.0), (200.0, 0.0, -300.0)].map(Vec3::from).to_vec();
    let run = RunId::Primary { cylinder: 1 };
    let route = Route { run, collector: String::new(), inlet: 0, points, radii: vec![66.7], locked: false };
    Routes { runs: vec![route], collectors: Vec::new() }
}

#[test]
fn parts_are_read_with_their_defaults() {
    let job = job("[[bracket]]\nrun = \"primary 1\"\nat = 200\nkind = \"slotted\"\n[[slip]]\nrun = \"primary 1\"\nat = 50\noverlap = 40\n\
                   [[bung]]\nrun = \"primary 1\"\nat = 80\nclock = 90\nlength = 70\n")
        .unwrap();
    assert_eq!(job.units, Units::Mm);
    assert_eq!((job.parts.brackets[0].stiffness, job.parts.brackets[0].along), (USUAL_STIFFNESS, None));
    assert_eq!((job.parts.slips[0].friction, job.parts.slips[0].springs), (USUAL_FRICTION, false));
    assert_eq!((job.parts.bungs[0].reach, job.parts.bungs[0].thread.as_str()), (100.0, "M18x1.5"));
    assert!(misplaced(&job, &routes()).is_empty(), "{:?}", misplaced(&job, &routes()));
}

#[test]
fn a_bung_looks_where_its_clock_says() {
    // Flow along x, up is z; 90 degrees clockwise looking downstream is to the right: -y.
    let job = job("[[bung]]\nrun = \"primary 1\"\nat = 80\nclock = 90\nlength = 70\n").unwrap();
    let routes = routes();
    let placed = placed_bungs(&job, &routes);
    assert!((placed[0].axis + Vec3::Y).length() < 1e-12, "{}", placed[0].axis);
    assert!((placed[0].foot - Vec3::new(80.0, -22.225, 0.0)).length() < 1e-9);
}

#[test]
fn parts_that_cannot_be_there_are_refused_with_the_place() {
    for (parts, said) in [
        ("[[bracket]]\nkind = \"tab\"\n", "needs what it holds"),
        ("[[bracket]]\nrun = \"primary 1\"\nkind = \"tab\"\n", "needs `at`"),
        ("[[bracket]]\nrun = \"primary 1\"\nat = 10\nkind = \"link\"\n", "needs `along`"),
        ("[[bracket]]\nrun = \"primary 1\"\nat = 10\nkind = \"tab\"\nalong = [1, 0, 0]\n", "has no `along`"),
        ("[[bracket]]\nrun = \"primary 1\"\nat = -5\nkind = \"tab\"\n", "`at`"),
        ("[[slip]]\nrun = \"primary 2\"\nat = 50\noverlap = 40\n", "no run \"primary 2\""),
        ("[[slip]]\nrun = \"primary 1\"\nat = 50\noverlap = -3\n", "`overlap`"),
        ("[[bung]]\nrun = \"primary 1\"\nat = 50\nlength = 70\nreach = 40\n", "would not come out"),
    ] {
        let wrong = job(parts).unwrap_err();
        assert!(wrong.contains(said) && wrong.contains("job.toml:1"), "{parts}{wrong}");
    }
}

#[test]
fn a_slip_joint_on_a_bend_and_a_part_beyond_the_run_are_found_with_the_routes() {
    let with = |parts: &str| misplaced(&job(parts).unwrap(), &routes());
    let bend = with("[[slip]]\nrun = \"primary 1\"\nat = 120\noverlap = 40\n");
    assert_eq!((bend[0].code, bend[0].place.about.as_str()), ("slip-on-bend", "[[slip]] 1"));
    assert!(bend[0].expected.contains("0.0 mm to 133.3 mm"), "{}", bend[0].expected);
    let far = with("[[bracket]]\nrun = \"primary 1\"\nat = 900\nkind = \"tab\"\n");
    assert!(far[0].message.contains("this lies at 900.0 mm"), "{}", far[0].message);
    let twice = with(
        "[[slip]]\nrun = \"primary 1\"\nat = 20\noverlap = 40\n[[slip]]\nrun = \"primary 1\"\nat = 40\noverlap = 40\n",
    );
    assert_eq!(twice.iter().map(|p| p.code).collect::<Vec<_>>(), ["slips-overlap"]);
}
