//! GLB, the binary form of glTF 2.0: a node for each run and piece, coloured by run, in metres.
//!
//! glTF has y up; the root node turns the vehicle's axes (z up) into that, so that points stay as they are. Every piece
//! carries its mark, run and measures in `extras`.

use geom::{Frame, Vec3};
use serde_json::{Value, json};

use crate::header::colour;
use crate::mesh::{Triangles, circle, points_around, stations};
use crate::solid::METAL;
use crate::{Body, ExportError, Header, HeaderPiece, Run};

/// Metres in a millimetre.
const METRE: f64 = 1e-3;

/// The header as GLB; surfaces within `tolerance` mm of the true ones.
///
/// # Errors
/// [`ExportError::TooLarge`] above the 4 GiB that the format can hold.
pub fn glb(header: &Header, body: Body, tolerance: f64) -> Result<Vec<u8>, ExportError> {
    let mut file = Buffers::default();
    let mut nodes = Vec::new();
    let mut meshes = Vec::new();
    let mut materials = Vec::new();
    let mut runs = Vec::new();
    for run in &header.runs {
        let [r, g, b] = colour(run.number).map(linear);
        materials.push(json!({
            "name": run.name,
            "pbrMetallicRoughness": {"baseColorFactor": [r, g, b, 1.0], "metallicFactor": 0.3, "roughnessFactor": 0.5},
        }));
        let mut children = Vec::new();
        for part in &run.parts {
            let primitive = file.add(&skin(part, run, body, tolerance), materials.len() - 1);
            meshes.push(json!({"name": part.mark, "primitives": [primitive]}));
            children.push(nodes.len());
            nodes.push(json!({
                "name": part.mark,
                "mesh": meshes.len() - 1,
                "extras": {"mark": part.mark, "run": run.name, "length_mm": part.line.length(), "od_mm": run.od, "wall_mm": run.wall},
            }));
        }
        runs.push(nodes.len());
        nodes.push(json!({"name": run.name, "children": children, "extras": {"length_mm": run.line.length()}}));
    }
    if !header.groups.is_empty() {
        let [r, g, b] = METAL.map(linear);
        materials.push(json!({
            "name": "flanges and collectors",
            "pbrMetallicRoughness": {"baseColorFactor": [r, g, b, 1.0], "metallicFactor": 0.3, "roughnessFactor": 0.5},
        }));
    }
    for group in &header.groups {
        let mut children = Vec::new();
        for solid in &group.solids {
            let primitive = file.add(&Skin::faceted(&solid.mesh(tolerance)), materials.len() - 1);
            meshes.push(json!({"name": solid.name, "primitives": [primitive]}));
            children.push(nodes.len());
            nodes.push(json!({"name": solid.name, "mesh": meshes.len() - 1}));
        }
        runs.push(nodes.len());
        nodes.push(json!({"name": group.name, "children": children}));
    }
    // A quarter turn about x takes z to y.
    let half = std::f64::consts::FRAC_1_SQRT_2;
    nodes.push(json!({"name": header.name, "children": runs, "rotation": [-half, 0.0, 0.0, half]}));
    let document = json!({
        "asset": {"version": "2.0", "generator": "tubewright"},
        "scene": 0,
        "scenes": [{"name": header.name, "nodes": [nodes.len() - 1]}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": materials,
        "accessors": file.accessors,
        "bufferViews": file.views,
        "buffers": [{"byteLength": file.bytes.len()}],
    });
    packed(&document, file.bytes)
}

/// Head, JSON chunk, binary chunk, each filled to four bytes.
fn packed(document: &Value, mut binary: Vec<u8>) -> Result<Vec<u8>, ExportError> {
    let mut text = document.to_string().into_bytes();
    text.resize(text.len().next_multiple_of(4), b' ');
    binary.resize(binary.len().next_multiple_of(4), 0);
    let total = 12 + 8 + text.len() + 8 + binary.len();
    let size =
        |n: usize| u32::try_from(n).map_err(|_| ExportError::TooLarge { what: "the header".into(), format: "GLB" });
    let mut out = b"glTF".to_vec();
    out.extend(2u32.to_le_bytes());
    out.extend(size(total)?.to_le_bytes());
    for (kind, chunk) in [(b"JSON", &text), (b"BIN\0", &binary)] {
        out.extend(size(chunk.len())?.to_le_bytes());
        out.extend(kind);
        out.extend(chunk);
    }
    Ok(out)
}

/// A colour channel as glTF wants it: linear light (IEC 61966-2-1, the sRGB curve).
fn linear(channel: f64) -> f64 {
    if channel <= 0.04045 { channel / 12.92 } else { ((channel + 0.055) / 1.055).powf(2.4) }
}

/// Points with normals, and triangles.
#[derive(Default)]
struct Skin {
    points: Vec<Vec3>,
    normals: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
}

impl Skin {
    /// A mesh whose triangles each have their own normal.
    fn faceted(mesh: &Triangles) -> Skin {
        let mut skin = Skin::default();
        for t in &mesh.triangles {
            let [a, b, c] = t.map(|i| mesh.points[i as usize]);
            let Some(normal) = (b - a).cross(c - a).try_normalize() else { continue };
            let first = skin.points.len() as u32;
            skin.points.extend([a, b, c]);
            skin.normals.extend([normal; 3]);
            skin.triangles.push([first, first + 1, first + 2]);
        }
        skin
    }

    /// A strip between two rings, their points from `at` on; `flip` turns its outside.
    fn strip(&mut self, first: usize, second: usize, n: usize, flip: bool) {
        let index = |start: usize, i: usize| (start + i % n) as u32;
        for i in 0..n {
            let (a, b) = (index(first, i), index(first, i + 1));
            let (c, d) = (index(second, i + 1), index(second, i));
            for [p, q, r] in [[a, b, c], [a, c, d]] {
                self.triangles.push(if flip { [p, r, q] } else { [p, q, r] });
            }
        }
    }

    fn ring(&mut self, frame: &Frame, radius: f64, n: usize, normal: impl Fn(Vec3) -> Vec3) -> usize {
        let first = self.points.len();
        for p in circle(frame, radius, n) {
            self.points.push(p);
            self.normals.push(normal((p - frame.origin).normalize_or(frame.up)));
        }
        first
    }

    /// The wall around the tube.
    fn wall(&mut self, frames: &[Frame], radius: f64, n: usize, inward: bool) {
        let mut last = None;
        for frame in frames {
            let ring = self.ring(frame, radius, n, |out| if inward { -out } else { out });
            if let Some(last) = last {
                self.strip(last, ring, n, inward);
            }
            last = Some(ring);
        }
    }

    /// The face at an end, looking along `normal`.
    fn end(&mut self, frame: &Frame, normal: Vec3, outer: f64, inner: f64, n: usize) {
        let wide = self.ring(frame, outer, n, |_| normal);
        let flip = normal.dot(frame.forward) < 0.0;
        if inner > 0.0 {
            let narrow = self.ring(frame, inner, n, |_| normal);
            self.strip(wide, narrow, n, flip);
            return;
        }
        let middle = self.points.len() as u32;
        self.points.push(frame.origin);
        self.normals.push(normal);
        for i in 0..n {
            let (a, b) = ((wide + i) as u32, (wide + (i + 1) % n) as u32);
            self.triangles.push(if flip { [middle, b, a] } else { [middle, a, b] });
        }
    }
}

fn skin(part: &HeaderPiece, run: &Run, body: Body, tolerance: f64) -> Skin {
    let outer = 0.5 * run.od;
    let n = points_around(outer, tolerance);
    let frames = stations(&part.line, outer, tolerance);
    let mut skin = Skin::default();
    skin.wall(&frames, outer, n, false);
    let inner = match body {
        Body::Solid => 0.0,
        Body::Hollow => {
            skin.wall(&frames, outer - run.wall, n, true);
            outer - run.wall
        }
    };
    if let (Some(first), Some(last)) = (frames.first(), frames.last()) {
        skin.end(first, -first.forward, outer, inner, n);
        skin.end(last, last.forward, outer, inner, n);
    }
    skin
}

/// The binary part with what describes it.
#[derive(Default)]
struct Buffers {
    bytes: Vec<u8>,
    views: Vec<Value>,
    accessors: Vec<Value>,
}

/// Kinds of a buffer's use and of its numbers, from the glTF 2.0 specification.
const ARRAY_BUFFER: u32 = 34962;
const ELEMENT_ARRAY_BUFFER: u32 = 34963;
const FLOAT: u32 = 5126;
const UNSIGNED_INT: u32 = 5125;

impl Buffers {
    /// Adds a skin and returns the primitive that shows it.
    fn add(&mut self, skin: &Skin, material: usize) -> Value {
        let floats = |list: &[Vec3], scale: f64| -> Vec<[f32; 3]> {
            list.iter().map(|v| [(v.x * scale) as f32, (v.y * scale) as f32, (v.z * scale) as f32]).collect()
        };
        let points = floats(&skin.points, METRE);
        let limit = |pick: fn(f32, f32) -> f32, from: f32| {
            points.iter().fold([from; 3], |m, p| [pick(m[0], p[0]), pick(m[1], p[1]), pick(m[2], p[2])])
        };
        let (min, max) = (limit(f32::min, f32::INFINITY), limit(f32::max, f32::NEG_INFINITY));
        let position = self.view(points.as_flattened().iter().flat_map(|v| v.to_le_bytes()), ARRAY_BUFFER);
        self.accessors.push(json!({
            "bufferView": position, "componentType": FLOAT, "count": points.len(), "type": "VEC3",
            "min": min.map(f64::from), "max": max.map(f64::from),
        }));
        let normals = floats(&skin.normals, 1.0);
        let normal = self.view(normals.as_flattened().iter().flat_map(|v| v.to_le_bytes()), ARRAY_BUFFER);
        self.accessors
            .push(json!({"bufferView": normal, "componentType": FLOAT, "count": normals.len(), "type": "VEC3"}));
        let flat = skin.triangles.as_flattened();
        let index = self.view(flat.iter().flat_map(|i| i.to_le_bytes()), ELEMENT_ARRAY_BUFFER);
        self.accessors
            .push(json!({"bufferView": index, "componentType": UNSIGNED_INT, "count": flat.len(), "type": "SCALAR"}));
        let last = self.accessors.len();
        json!({"attributes": {"POSITION": last - 3, "NORMAL": last - 2}, "indices": last - 1, "material": material})
    }

    fn view(&mut self, bytes: impl Iterator<Item = u8>, target: u32) -> usize {
        let from = self.bytes.len();
        self.bytes.extend(bytes);
        self.views
            .push(json!({"buffer": 0, "byteOffset": from, "byteLength": self.bytes.len() - from, "target": target}));
        self.views.len() - 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::Centreline;

    #[test]
    fn the_file_says_its_own_length_and_names_every_piece() {
        let line = Centreline::from_points(&[Vec3::ZERO, Vec3::new(100.0, 0.0, 0.0)], &[]).unwrap();
        let part = HeaderPiece { mark: "1A".into(), line: line.clone() };
        let run = Run { name: "primary 1".into(), number: 0, line, od: 40.0, wall: 2.0, parts: vec![part] };
        let bytes = glb(&Header { name: "x".into(), runs: vec![run], groups: Vec::new() }, Body::Hollow, 0.05).unwrap();
        assert_eq!(u32::from_le_bytes(bytes[8..12].try_into().unwrap()) as usize, bytes.len());
        let length = u32::from_le_bytes(bytes[12..16].try_into().unwrap()) as usize;
        let document: Value = serde_json::from_slice(&bytes[20..20 + length]).unwrap();
        assert_eq!(document["nodes"][0]["extras"]["mark"], "1A");
        assert_eq!(document["accessors"][0]["max"][0].as_f64().unwrap() as f32, 0.1);
    }
}
