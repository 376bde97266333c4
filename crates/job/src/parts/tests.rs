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
        ("[[joint]]\nrun = \"primary 1\"\nat = 50\nkind = \"v_band\"\naxial_n_per_mm = 9\n", "gives in no way"),
        ("[[joint]]\nrun = \"primary 1\"\nat = 50\nkind = \"bellows\"\nmass_kg = -1\n", "`mass_kg`"),
        ("[[shield]]\nrun = \"primary 1\"\nobstacle = \"rail\"\n", "no obstacle \"rail\""),
        ("[strength]\nhighest_share = 0.8\n", "needs bore, stroke, peak_power_rpm"),
    ] {
        let wrong = job(parts).unwrap_err();
        assert!(wrong.contains(said) && wrong.contains("job.toml:1"), "{parts}{wrong}");
    }
}

#[test]
fn a_slip_joint_on_a_bend_and_a_part_beyond_the_run_are_found_with_the_routes() {
    let with = |parts: &str| misplaced(&job(parts).unwrap(), &routes());
    let bend = with("[[slip]]\nrun = \"primary 1\"\nat = 120\noverlap = 40\n");
    assert_eq!((bend[0].code, bend[0].place.about.as_str()), ("joint-on-bend", "[[slip]] 1"));
    assert!(bend[0].expected.contains("0.0 mm to 133.3 mm"), "{}", bend[0].expected);
    let far = with("[[bracket]]\nrun = \"primary 1\"\nat = 900\nkind = \"tab\"\n");
    assert!(far[0].message.contains("this lies at 900.0 mm"), "{}", far[0].message);
    let twice = with(
        "[[slip]]\nrun = \"primary 1\"\nat = 20\noverlap = 40\n[[slip]]\nrun = \"primary 1\"\nat = 40\noverlap = 40\n",
    );
    assert_eq!(twice.iter().map(|p| p.code).collect::<Vec<_>>(), ["joints-overlap"]);
}

#[test]
fn joints_take_a_straight_and_a_shield_the_room_before_its_obstacle() {
    let keepout = "[clearance]\ntubes = 5\nkeepouts = 5\n[[keepout]]\nname = \"rail\"\nshape = \"box\"\ncenter = [60, 0, -62.225]\nsize = [20, 20, 40]\n";
    let with = |parts: &str| job(&format!("{keepout}{parts}")).unwrap();
    let clamp = |at: u32| format!("[[joint]]\nrun = \"primary 1\"\nat = {at}\nkind = \"v_band\"\n");
    let found = with(&clamp(60));
    let coupling = &found.parts.couplings[0];
    assert_eq!((coupling.width, coupling.end(), coupling.name().as_str()), (20.0, 80.0, "V-band of primary 1"));
    assert!((coupling.mass(&found) - 0.3556).abs() < 1e-9 && misplaced(&found, &routes()).is_empty());
    assert_eq!(misplaced(&with(&clamp(120)), &routes())[0].code, "joint-on-bend");
    let on_slip = format!("{}[[slip]]\nrun = \"primary 1\"\nat = 40\noverlap = 40\n", clamp(60));
    assert_eq!(misplaced(&with(&on_slip), &routes()).iter().map(|p| p.code).collect::<Vec<_>>(), ["joints-overlap"]);
    // The rail ends 42.225 mm below the axis: 20 mm below the tube.
    let shield = |off: u32| format!("[[shield]]\nrun = \"primary 1\"\nobstacle = \"rail\"\nstand_off = {off}\n");
    let fits = with(&shield(10));
    let placed = fits.parts.shields[0].placed(&fits, &routes()).unwrap();
    assert!((placed.gap - 20.0).abs() < 0.01, "{}", placed.gap);
    let Solid::Box { center, axes, .. } = placed.solid else { panic!("a sheet") };
    assert!((center.z + 22.225 + 10.4).abs() < 0.01 && axes[1].z < -0.999, "{center} {}", axes[1]);
    assert_eq!(
        (misplaced(&fits, &routes()).len(), misplaced(&with(&shield(17)), &routes())[0].code),
        (0, "shield-no-room")
    );
    assert_eq!(solids(&fits, &routes())[0].name, "shield of primary 1 against rail");
}
