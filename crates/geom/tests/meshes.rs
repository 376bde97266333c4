//! Mesh readers: sound files of every form, kept damaged ones with the message each must give, and
//! files damaged at random, which must never make a reader panic.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use geom::mesh::{Mesh, MeshFormat, RawMesh, read};
use geom::{MeshError, Vec3};
use oorandom::Rand64;

/// A tetrahedron with three edges of 10 mm at right angles.
const VERTICES: [[f32; 3]; 4] = [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0], [0.0, 0.0, 10.0]];
const FACES: [[u32; 3]; 4] = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];

fn stl_text(solids: usize, end: &str, upper: bool) -> Vec<u8> {
    let mut out = String::new();
    for n in 0..solids {
        let _ = write!(out, "solid part {n}{end}");
        for face in FACES {
            let _ = write!(out, "  facet normal 0 0 0{end}    outer loop{end}");
            for v in face.map(|i| VERTICES[i as usize]) {
                let _ = write!(out, "      vertex {:e} {} {}{end}", v[0] + 20.0 * n as f32, v[1], v[2]);
            }
            let _ = write!(out, "    endloop{end}  endfacet{end}");
        }
        let _ = write!(out, "endsolid part {n}{end}");
    }
    if upper { out.to_uppercase().into_bytes() } else { out.into_bytes() }
}

fn stl_binary(header: &[u8]) -> Vec<u8> {
    let mut out = header.to_vec();
    out.resize(80, b' ');
    out.extend(4u32.to_le_bytes());
    for face in FACES {
        out.extend([0; 12]);
        face.iter().flat_map(|&i| VERTICES[i as usize]).for_each(|c| out.extend(c.to_le_bytes()));
        out.extend([0; 2]);
    }
    out
}

fn ply(format: &str) -> Vec<u8> {
    let mut out = format!(
        "ply\nformat {format} 1.0\ncomment made up\nobj_info none\nelement material 1\nproperty list uint8 uchar tags\n\
         element vertex 4\nproperty uchar red\nproperty float x\nproperty double y\nproperty float z\n\
         element face 4\nproperty short group\nproperty list uchar int vertex_indices\nend_header\n"
    )
    .into_bytes();
    if format == "ascii" {
        let mut text = String::from("2 7 9\n");
        VERTICES.iter().for_each(|v| _ = writeln!(text, "255 {} {} {}", v[0], v[1], v[2]));
        FACES.iter().for_each(|f| _ = writeln!(text, "-3 3 {} {} {}", f[0], f[1], f[2]));
        out.extend(text.into_bytes());
        return out;
    }
    let big = format == "binary_big_endian";
    let put = |out: &mut Vec<u8>, mut bytes: Vec<u8>| {
        if big {
            bytes.reverse();
        }
        out.extend(bytes);
    };
    out.extend([2, 7, 9]);
    for v in VERTICES {
        out.push(255);
        put(&mut out, v[0].to_le_bytes().to_vec());
        put(&mut out, f64::from(v[1]).to_le_bytes().to_vec());
        put(&mut out, v[2].to_le_bytes().to_vec());
    }
    for f in FACES {
        put(&mut out, (-3i16).to_le_bytes().to_vec());
        out.push(3);
        f.iter().for_each(|i| put(&mut out, (*i as i32).to_le_bytes().to_vec()));
    }
    out
}

const OBJ: &str = "# made up\r\nmtllib none.mtl\r\no tetra\r\nv 0 0 0\r\nv 10 0 0 1.0\r\nv 0 10 0\r\nv 0 0 10\r\n\
    vt 0 0\r\nvn 0 0 1\r\ng bottom\r\nusemtl grey\r\ns off\r\nf 1//1 3//1 \\\r\n2//1\r\ng sides\r\nf 1/1 2/1 4/1\r\n\
    f -3/1/1 -2/1/1 -1/1/1\r\nf 3 1 4 # the last\r\n";

/// A GLB of the tetrahedron: `kind` is the component type of the indices, or none for a plain list.
fn glb(kind: Option<u32>, node: &str) -> Vec<u8> {
    let mut data = Vec::new();
    let corners: Vec<u32> = FACES.iter().flatten().copied().collect();
    let places: Vec<u32> = if kind.is_some() { vec![0, 1, 2, 3] } else { corners.clone() };
    places.iter().flat_map(|&i| VERTICES[i as usize]).for_each(|c| data.extend(c.to_le_bytes()));
    let split = data.len();
    for i in corners {
        match kind {
            Some(5121) => data.push(i as u8),
            Some(5123) => data.extend((i as u16).to_le_bytes()),
            Some(_) => data.extend(i.to_le_bytes()),
            None => {}
        }
    }
    let indices = kind.map_or(String::new(), |_| r#","indices":1"#.into());
    let mut text = format!(
        r#"{{"asset":{{"version":"2.0"}},"nodes":[{{"children":[1]}},{{"mesh":0{node}}}],
        "meshes":[{{"primitives":[{{"attributes":{{"POSITION":0}}{indices}}}]}}],
        "accessors":[{{"bufferView":0,"componentType":5126,"count":{},"type":"VEC3"}},
        {{"bufferView":1,"componentType":{},"count":12,"type":"SCALAR"}}],
        "bufferViews":[{{"buffer":0,"byteLength":{split}}},{{"buffer":0,"byteOffset":{split},"byteLength":{}}}],
        "buffers":[{{"byteLength":{}}}]}}"#,
        places.len(),
        kind.unwrap_or(5125),
        data.len() - split,
        data.len()
    );
    while text.len() % 4 != 0 {
        text.push(' ');
    }
    data.resize(data.len().next_multiple_of(4), 0);
    let mut out = b"glTF".to_vec();
    out.extend(2u32.to_le_bytes());
    out.extend((28 + text.len() as u32 + data.len() as u32).to_le_bytes());
    out.extend((text.len() as u32).to_le_bytes());
    out.extend(b"JSON");
    out.extend(text.as_bytes());
    out.extend((data.len() as u32).to_le_bytes());
    out.extend(b"BIN\0");
    out.extend(data);
    out
}

fn sound_files() -> Vec<(MeshFormat, Vec<u8>)> {
    vec![
        (MeshFormat::Stl, stl_text(1, "\n", false)),
        (MeshFormat::Stl, stl_text(1, "\r\n", true)),
        (MeshFormat::Stl, stl_binary(b"made up")),
        (MeshFormat::Stl, stl_binary(b"solid made up")),
        (MeshFormat::Obj, OBJ.as_bytes().to_vec()),
        (MeshFormat::Ply, ply("ascii")),
        (MeshFormat::Ply, ply("binary_little_endian")),
        (MeshFormat::Ply, ply("binary_big_endian")),
        (MeshFormat::Glb, glb(Some(5121), "")),
        (MeshFormat::Glb, glb(Some(5123), "")),
        (MeshFormat::Glb, glb(Some(5125), "")),
        (MeshFormat::Glb, glb(None, "")),
    ]
}

#[test]
fn every_form_of_the_tetrahedron_is_the_same_solid() {
    for (i, (format, bytes)) in sound_files().into_iter().enumerate() {
        let mesh = Mesh::new(read(&bytes, format).unwrap_or_else(|e| panic!("{i}: {e}"))).unwrap();
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

/// Damages sound files at random (the same every time): bytes changed, cut out, doubled, cut off.
#[test]
fn readers_never_panic() {
    let mut rng = Rand64::new(5);
    let mut read_well = 0;
    for (format, sound) in sound_files() {
        for _ in 0..1500 {
            let mut bytes = sound.clone();
            for _ in 0..rng.rand_range(1..5) {
                let at = rng.rand_range(0..bytes.len() as u64) as usize;
                match rng.rand_range(0..6) {
                    0 => bytes[at] = rng.rand_u64() as u8,
                    1 => bytes[at] ^= 1 << rng.rand_range(0..8),
                    2 => bytes.truncate(at + 1),
                    3 => drop(bytes.drain(at..(at + rng.rand_range(1..20) as usize).min(bytes.len()))),
                    4 => bytes[at] = b"0123456789-.eEnN /\n\"[]{}"[rng.rand_range(0..24) as usize],
                    _ => {
                        let piece = bytes[at..(at + 30).min(bytes.len())].to_vec();
                        bytes.splice(at..at, piece);
                    }
                }
                if bytes.is_empty() {
                    bytes.push(b's');
                }
            }
            if let Ok(mesh) = read(&bytes, format).and_then(Mesh::new) {
                read_well += 1;
                let p = Vec3::new(3.0, -4.0, 20.0);
                let n = mesh.nearest(p, f64::INFINITY);
                assert!(n.distance.is_finite() && n.normal.is_finite());
            }
        }
    }
    assert!(read_well > 500, "only {read_well} of the damaged files were read at all");
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
