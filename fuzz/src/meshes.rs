//! A tetrahedron in every form in which meshes are read.

use std::fmt::Write as _;

/// A tetrahedron with three edges of 10 mm at right angles.
pub const VERTICES: [[f32; 3]; 4] = [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0], [0.0, 0.0, 10.0]];
/// Its faces, counter-clockwise seen from outside.
pub const FACES: [[u32; 3]; 4] = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];

/// STL text of a row of `solids` tetrahedra with the given line `end`.
pub fn stl_text(solids: usize, end: &str, upper: bool) -> Vec<u8> {
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

/// Binary STL with the given start of its header.
pub fn stl_binary(header: &[u8]) -> Vec<u8> {
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

/// PLY in `format`: `ascii`, `binary_little_endian` or `binary_big_endian`.
pub fn ply(format: &str) -> Vec<u8> {
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

/// The same as OBJ text, with all that such files carry beside the places.
pub const OBJ: &str = "# made up\r\nmtllib none.mtl\r\no tetra\r\nv 0 0 0\r\nv 10 0 0 1.0\r\nv 0 10 0\r\nv 0 0 10\r\n\
    vt 0 0\r\nvn 0 0 1\r\ng bottom\r\nusemtl grey\r\ns off\r\nf 1//1 3//1 \\\r\n2//1\r\ng sides\r\nf 1/1 2/1 4/1\r\n\
    f -3/1/1 -2/1/1 -1/1/1\r\nf 3 1 4 # the last\r\n";

/// A GLB of the tetrahedron: `kind` is the component type of the indices, or none for a plain list.
pub fn glb(kind: Option<u32>, node: &str) -> Vec<u8> {
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

/// Every form of the tetrahedron, with the ending of its file.
pub fn sound_files() -> Vec<(&'static str, Vec<u8>)> {
    vec![
        ("stl", stl_text(1, "\n", false)),
        ("stl", stl_text(1, "\r\n", true)),
        ("stl", stl_binary(b"made up")),
        ("stl", stl_binary(b"solid made up")),
        ("obj", OBJ.as_bytes().to_vec()),
        ("ply", ply("ascii")),
        ("ply", ply("binary_little_endian")),
        ("ply", ply("binary_big_endian")),
        ("glb", glb(Some(5121), "")),
        ("glb", glb(Some(5123), "")),
        ("glb", glb(Some(5125), "")),
        ("glb", glb(None, "")),
    ]
}
