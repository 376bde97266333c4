//! Mesh readers: sound files of every form, and kept damaged ones with the message each must
//! give. Files damaged at random are fed to the readers in `fuzz/tests/meshes.rs`.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use fuzz::meshes::{glb, sound_files, stl_binary, stl_text};
use geom::mesh::{Mesh, MeshFormat, RawMesh, read};
use geom::{MeshError, Vec3};
use oorandom::Rand64;

fn format_of(ending: &str) -> MeshFormat {
    MeshFormat::from_extension(ending).unwrap_or_else(|| panic!("{ending} is no mesh format"))
}

#[test]
fn every_form_of_the_tetrahedron_is_the_same_solid() {
    for (i, (form, bytes)) in sound_files().into_iter().enumerate() {
        let mesh = Mesh::new(read(&bytes, format_of(form)).unwrap_or_else(|e| panic!("{i}: {e}"))).unwrap();
        assert_eq!(mesh.vertices().len(), 4, "{i}");
        assert_eq!(mesh.triangles().len(), 4, "{i}");
        assert_eq!(mesh.report().notes(), Vec::<String>::new(), "{i}");
        assert!((mesh.report().volume - 1000.0 / 6.0).abs() < 1e-9, "{i}");
        let inside = mesh.nearest(Vec3::splat(1.0), f64::INFINITY).distance;
        assert!((inside + 1.0).abs() < 1e-12, "{i}: {inside}");
    }
}

#[test]
fn several_solids_in_one_text() {
    for (end, upper) in [("\n", false), ("\r\n", true)] {
        let mesh = Mesh::new(read(&stl_text(3, end, upper), MeshFormat::Stl).unwrap()).unwrap();
        assert_eq!(mesh.report().shells, 3);
        assert!((mesh.report().volume - 500.0).abs() < 1e-6);
    }
}

#[test]
fn nodes_place_their_meshes() {
    // Turned a quarter about z (x to y), doubled, and moved.
    let h = 0.5f64.sqrt();
    let node = format!(r#","translation":[100,0,0],"rotation":[0,0,{h},{h}],"scale":[2,2,2]"#);
    let raw = read(&glb(Some(5123), &node), MeshFormat::Glb).unwrap();
    let wanted = [[100.0, 0.0, 0.0], [100.0, 20.0, 0.0], [80.0, 0.0, 0.0], [100.0, 0.0, 20.0]];
    for (v, w) in raw.vertices.iter().zip(wanted) {
        assert!((*v - Vec3::from_array(w)).length() < 1e-9, "{v}");
    }
    assert!(raw.hints.iter().any(|h| h.contains("metres")));
    // A mirror turns faces over; they still look outwards.
    let node = r#","matrix":[-1,0,0,0, 0,1,0,0, 0,0,1,0, 0,0,0,1]"#;
    let mesh = Mesh::new(read(&glb(Some(5125), node), MeshFormat::Glb).unwrap()).unwrap();
    assert_eq!(mesh.report().notes(), Vec::<String>::new());
    assert!(mesh.nearest(Vec3::new(-1.0, 1.0, 1.0), f64::INFINITY).distance < 0.0);
}

#[test]
fn what_follows_the_last_triangle_is_told() {
    let mut bytes = stl_binary(b"x");
    bytes.extend([1, 2, 3]);
    assert_eq!(read(&bytes, MeshFormat::Stl).unwrap().hints.len(), 1);
}

fn bad_meshes() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases/bad-meshes")
}

#[test]
fn damaged_meshes_give_the_message_that_is_kept() {
    let mut names: Vec<String> = std::fs::read_dir(bad_meshes())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.rsplit('.').next().and_then(MeshFormat::from_extension).is_some())
        .collect();
    names.sort();
    assert!(names.len() > 35);
    let mut said = String::new();
    for name in names {
        let format = MeshFormat::from_extension(name.rsplit('.').next().unwrap()).unwrap();
        let bytes = std::fs::read(bad_meshes().join(&name)).unwrap();
        let error = read(&bytes, format).and_then(Mesh::new).err();
        _ = writeln!(said, "{name}: {}", error.map_or("no error".into(), |e: MeshError| e.to_string()));
    }
    let file = bad_meshes().join("messages.txt");
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&file, &said).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(kept == said, "messages.txt differs; now it is\n{said}");
}

/// Triangles at random, many of them spoilt: cleaning and distances never panic, and the distance is
/// never more than that to any corner.
#[test]
fn cleaning_never_panics() {
    let mut rng = Rand64::new(9);
    for _ in 0..2000 {
        let n = rng.rand_range(3..12) as usize;
        let mut c = || (rng.rand_range(0..5) as f64) * 10.0;
        let vertices: Vec<Vec3> = (0..n).map(|_| Vec3::new(c(), c(), c())).collect();
        let triangles =
            (0..rng.rand_range(1..30)).map(|_| [0; 3].map(|_: u32| rng.rand_range(0..n as u64) as u32)).collect();
        let raw = RawMesh { vertices: vertices.clone(), triangles, hints: vec![] };
        let used: Vec<Vec3> = raw.triangles.iter().flatten().map(|&v| vertices[v as usize]).collect();
        let Ok(mesh) = Mesh::new(raw) else { continue };
        let p = Vec3::new(13.0, 21.0, 9.0);
        let distance = mesh.nearest(p, f64::INFINITY).distance;
        let corner = used.iter().map(|v| v.distance(p)).fold(f64::INFINITY, f64::min);
        assert!(distance.is_finite());
        if mesh.report().degenerate == 0 {
            assert!(distance <= corner + 1e-9);
        }
    }
}
