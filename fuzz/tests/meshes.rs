//! The mesh readers, fed with damaged files and with headers that lie: they answer with a mesh or with an
//! error that says something; they never panic and never ask for much more memory than the file could fill.
#![allow(clippy::unwrap_used)]

use fuzz::meshes::{glb, ply, sound_files, stl_binary};
use fuzz::{Damage, files_below, peak_memory, rounds};
use geom::mesh::{Mesh, MeshFormat, read};
use geom::{MeshError, Vec3};

/// Most memory that reading files of some kilobytes may take, bytes, the test program with its threads included.
const MOST_MEMORY: u64 = 1 << 31;

fn within_memory(what: &str) {
    let peak = peak_memory().unwrap_or(0);
    assert!(peak < MOST_MEMORY, "{what}: {} MiB were asked for", peak >> 20);
}

/// True when it was read; an error must be fit to be shown.
fn answers(bytes: &[u8], format: MeshFormat) -> bool {
    match read(bytes, format).and_then(Mesh::new) {
        Ok(mesh) => {
            let nearest = mesh.nearest(Vec3::new(3.0, -4.0, 20.0), f64::INFINITY);
            assert!(nearest.distance.is_finite() && nearest.normal.is_finite());
            true
        }
        Err(error) => {
            let said = error.to_string();
            assert!(said.len() > 10 && said.len() < 600 && !said.chars().any(char::is_control), "{said:?}");
            false
        }
    }
}

#[test]
fn damaged_files_of_every_form() {
    let mut damage = Damage::new(5);
    for (n, (ending, sound)) in sound_files().into_iter().enumerate() {
        let format = MeshFormat::from_extension(ending).unwrap();
        let (mut good, mut bad) = (0, 0);
        for i in 0..rounds(1_500) {
            let bytes = if i % 2 == 0 { damage.text(&sound) } else { damage.binary(&sound) };
            if answers(&bytes, format) { good += 1 } else { bad += 1 }
        }
        assert!(good > 20 && bad > 100, "{n}, {ending}: {good} read, {bad} refused: too wild or too tame");
    }
    within_memory("damaged files");
}

/// A form is also fed with the bytes of every other form: files get wrong names.
#[test]
fn files_of_another_form() {
    let kept = files_below("cases/bad-meshes", &["stl", "obj", "ply", "glb"]).unwrap();
    let mut texts: Vec<Vec<u8>> = kept.into_iter().map(|f| std::fs::read(f).unwrap()).collect();
    texts.extend(sound_files().into_iter().map(|(_, bytes)| bytes));
    texts.push(Vec::new());
    texts.push(vec![0; 5_000]);
    texts.push(vec![0xff; 5_000]);
    texts.push(vec![b'\n'; 5_000]);
    let mut damage = Damage::new(6);
    for format in [MeshFormat::Stl, MeshFormat::Obj, MeshFormat::Ply, MeshFormat::Glb] {
        for text in &texts {
            answers(text, format);
            for _ in 0..rounds(5) {
                answers(&damage.binary(text), format);
            }
        }
    }
    within_memory("files of another form");
}

/// A few bytes that claim what would fill gigabytes.
#[test]
fn headers_that_lie_ask_for_no_memory() {
    let mut stl = stl_binary(b"made up");
    stl[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
    let claims = |format: &str, what: &str| {
        let text = ply(format);
        let end = text.windows(10).position(|w| w == b"end_header").unwrap();
        let head = String::from_utf8(text[..end].to_vec()).unwrap();
        let head = head.replace(&format!("element {what} 4"), &format!("element {what} 4294967295"));
        [head.as_bytes(), &text[end..]].concat()
    };
    let mut lies = vec![(MeshFormat::Stl, stl)];
    for format in ["ascii", "binary_little_endian", "binary_big_endian"] {
        lies.push((MeshFormat::Ply, claims(format, "vertex")));
        lies.push((MeshFormat::Ply, claims(format, "face")));
    }
    for kind in [None, Some(5121), Some(5125)] {
        let sound = glb(kind, "");
        let (length, text) = json_of(&sound);
        let lie = text.replace("\"count\":12", "\"count\":4294967292");
        assert_ne!(lie, text);
        lies.push((MeshFormat::Glb, with_json(&sound, length, lie)));
    }
    let mut chunk = glb(None, "");
    chunk[12..16].copy_from_slice(&u32::MAX.to_le_bytes());
    lies.push((MeshFormat::Glb, chunk));
    for (i, (format, bytes)) in lies.into_iter().enumerate() {
        let error: MeshError = read(&bytes, format).and_then(Mesh::new).expect_err("a header that lies");
        let said = error.to_string();
        assert!(!said.is_empty(), "{i}");
        within_memory(&said);
    }
}

/// One small mesh that many nodes name, each of which many nodes name: a file of a kilobyte that would unfold
/// to 10 ^ 12 triangles.
#[test]
fn a_small_file_that_unfolds_without_end_is_refused() {
    let leaf = glb(Some(5123), "");
    let (length, text) = json_of(&leaf);
    let mut nodes = String::from("\"nodes\":[");
    for level in 0..12 {
        let children = vec![(level + 1).to_string(); 10].join(",");
        nodes.push_str(&format!("{{\"children\":[{children}]}},"));
    }
    nodes.push_str("{\"mesh\":0}],\"meshes\"");
    let from = text.find("\"nodes\"").unwrap();
    let to = text.find("\"meshes\"").unwrap() + "\"meshes\"".len();
    let unfolding = [&text[..from], &nodes, &text[to..]].concat();
    let bytes = with_json(&leaf, length, unfolding);
    let error = read(&bytes, MeshFormat::Glb).expect_err("it unfolds without end").to_string();
    assert!(error.contains("too many triangles"), "{error}");
    within_memory(&error);
}

/// One primitive of many triangles that many nodes name.
#[test]
fn a_large_mesh_named_many_times_is_refused() {
    let count = 300_000;
    let vertices: Vec<u8> =
        [0.0f32, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0].iter().flat_map(|c| c.to_le_bytes()).collect();
    let indices: Vec<u8> = (0..count).map(|i| (i % 3) as u8).collect();
    let data = [vertices, indices].concat();
    let nodes = vec!["{\"mesh\":0}"; 4_000].join(",");
    let text = format!(
        r#"{{"asset":{{"version":"2.0"}},"nodes":[{nodes}],"meshes":[{{"primitives":[{{"attributes":{{"POSITION":0}},"indices":1}}]}}],
        "accessors":[{{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3"}},{{"bufferView":1,"componentType":5121,"count":{count},"type":"SCALAR"}}],
        "bufferViews":[{{"buffer":0,"byteLength":36}},{{"buffer":0,"byteOffset":36,"byteLength":{count}}}],"buffers":[{{"byteLength":{}}}]}}"#,
        data.len()
    );
    let mut bytes = b"glTF\x02\0\0\0\0\0\0\0".to_vec();
    for (kind, part) in [(b"JSON", text.into_bytes()), (b"BIN\0", data)] {
        let mut part = part;
        part.resize(part.len().next_multiple_of(4), if kind == b"JSON" { b' ' } else { 0 });
        bytes.extend((part.len() as u32).to_le_bytes());
        bytes.extend(kind);
        bytes.extend(part);
    }
    let error = read(&bytes, MeshFormat::Glb).expect_err("4000 times 100 000 triangles").to_string();
    assert!(error.contains("corners") || error.contains("triangles"), "{error}");
    within_memory(&error);
}

/// Length and text of the JSON chunk of a GLB.
fn json_of(file: &[u8]) -> (usize, String) {
    let length = u32::from_le_bytes(file[12..16].try_into().unwrap()) as usize;
    (length, String::from_utf8(file[20..20 + length].to_vec()).unwrap())
}

/// The file with another JSON chunk.
fn with_json(file: &[u8], old: usize, mut json: String) -> Vec<u8> {
    while !json.len().is_multiple_of(4) {
        json.push(' ');
    }
    let rest = &file[20 + old..];
    let mut out = file[..8].to_vec();
    out.extend((20 + json.len() as u32 + rest.len() as u32).to_le_bytes());
    out.extend((json.len() as u32).to_le_bytes());
    out.extend(b"JSON");
    out.extend(json.as_bytes());
    out.extend(rest);
    out
}
