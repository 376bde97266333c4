//! glTF 2.0 in its binary form (Khronos glTF 2.0 specification, sections 3 and 4; ISO/IEC 12113).
//!
//! Read are the triangles (lists, strips, fans) of all meshes in the default scene, each placed by
//! its nodes. Refused with the reason: compressed or quantised meshes, sparse accessors, data in
//! other files.

use serde_json::Value;

use super::fault::{EXPORT_AGAIN, bad, check_finite, shown};
use super::{MeshError, MeshPlace, RawMesh};
use crate::Vec3;

/// Deepest chain of nodes: deeper ones are taken for a ring.
const DEEPEST: usize = 64;

/// Most nodes visited, so that a file whose nodes share children cannot keep us for ever.
const MOST_NODES: usize = 1_000_000;

/// Most corners made of one file: a small file may name one mesh many times. Two million triangles, some 600 MB once
/// indexed; a scan of a bay has a fifth of it.
const MOST_CORNERS: usize = 6_000_000;

pub(super) fn read(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    let (json, binary) = chunks(bytes)?;
    let document: Value = serde_json::from_slice(json).map_err(|e| {
        bad(MeshPlace::Byte(20), format!("JSON that does not parse ({e})"), "a glTF document", EXPORT_AGAIN)
    })?;
    refuse_extensions(&document)?;
    let mut reader = GlbReader { document: &document, binary, mesh: RawMesh::default(), passed: 0, nodes: 0 };
    for node in reader.roots()? {
        reader.node(node, Transform::HERE, 0)?;
    }
    let mut mesh = reader.mesh;
    if reader.passed > 0 {
        mesh.hints.push(format!("{} sets of points or lines in the file were passed over", reader.passed));
    }
    mesh.hints.push("glTF is in metres with y up by its standard: give unit = \"m\" unless it was made in mm".into());
    check_finite(&mesh.vertices, |v, _| MeshPlace::Vertex(v + 1))?;
    Ok(mesh)
}

/// An error about the document, which has no place but the JSON chunk.
fn wrong(found: impl Into<String>, expected: impl Into<String>) -> MeshError {
    bad(MeshPlace::Byte(20), found, expected, EXPORT_AGAIN)
}

/// The JSON chunk and the binary one.
fn chunks(bytes: &[u8]) -> Result<(&[u8], &[u8]), MeshError> {
    let word = |at: usize| {
        let raw = bytes.get(at..at + 4)?;
        Some(u32::from_le_bytes([raw[0], raw[1], raw[2], raw[3]]) as usize)
    };
    if !bytes.starts_with(b"glTF") {
        let found = shown(&bytes[..bytes.len().min(8)]);
        return Err(bad(MeshPlace::Byte(0), found, "\"glTF\"", "this is no GLB file: check its name"));
    }
    let end = || bad(MeshPlace::Byte(bytes.len()), "the file ends", "the length its header says", EXPORT_AGAIN);
    let version = word(4).ok_or_else(end)?;
    if version != 2 {
        return Err(bad(MeshPlace::Byte(4), format!("glTF version {version}"), "version 2", "export it as glTF 2.0"));
    }
    if word(8).ok_or_else(end)? > bytes.len() {
        return Err(end());
    }
    let chunk = |at: usize, kind: &[u8; 4]| {
        let length = word(at).ok_or_else(end)?;
        if bytes.get(at + 4..at + 8) != Some(kind) {
            let found = "another kind of chunk";
            return Err(bad(MeshPlace::Byte(at + 4), found, shown(kind), EXPORT_AGAIN));
        }
        bytes.get(at + 8..(at + 8).saturating_add(length)).ok_or_else(end)
    };
    let json = chunk(12, b"JSON")?;
    let after = 20 + json.len();
    let binary = if after < bytes.len() { chunk(after, b"BIN\0")? } else { &[] };
    Ok((json, binary))
}

fn refuse_extensions(document: &Value) -> Result<(), MeshError> {
    let required = document["extensionsRequired"].as_array().map_or(&[][..], |a| a);
    match required.first() {
        None => Ok(()),
        Some(name) => Err(bad(
            MeshPlace::Byte(20),
            format!("a file that needs the extension {}", shown(name.as_str().unwrap_or("?").as_bytes())),
            "plain glTF 2.0",
            "export it without compression or quantisation",
        )),
    }
}

/// A linear map and a shift.
#[derive(Clone, Copy)]
struct Transform {
    x: Vec3,
    y: Vec3,
    z: Vec3,
    at: Vec3,
}

impl Transform {
    const HERE: Transform = Transform { x: Vec3::X, y: Vec3::Y, z: Vec3::Z, at: Vec3::ZERO };

    fn turn(&self, v: Vec3) -> Vec3 {
        self.x * v.x + self.y * v.y + self.z * v.z
    }

    fn point(&self, p: Vec3) -> Vec3 {
        self.turn(p) + self.at
    }

    /// `inner` first, then this.
    fn of(&self, inner: &Transform) -> Transform {
        Transform { x: self.turn(inner.x), y: self.turn(inner.y), z: self.turn(inner.z), at: self.point(inner.at) }
    }

    /// Whether it turns faces over.
    fn mirrors(&self) -> bool {
        self.x.dot(self.y.cross(self.z)) < 0.0
    }
}

struct GlbReader<'a> {
    document: &'a Value,
    binary: &'a [u8],
    mesh: RawMesh,
    /// Primitives that are no triangles.
    passed: usize,
    nodes: usize,
}

impl<'a> GlbReader<'a> {
    /// The nodes of the default scene, or all that are no other node's children.
    fn roots(&self) -> Result<Vec<usize>, MeshError> {
        let scenes = self.document["scenes"].as_array().map_or(&[][..], |a| a);
        let scene = match self.document.get("scene") {
            Some(n) => Some(index(n).and_then(|n| scenes.get(n)).ok_or_else(|| wrong("no such scene", "a scene"))?),
            None => scenes.first(),
        };
        if let Some(scene) = scene {
            return indices(&scene["nodes"]);
        }
        let nodes = self.document["nodes"].as_array().map_or(&[][..], |a| a);
        let mut is_root = vec![true; nodes.len()];
        for node in nodes {
            for child in indices(&node["children"])? {
                if let Some(root) = is_root.get_mut(child) {
                    *root = false;
                }
            }
        }
        Ok((0..nodes.len()).filter(|&n| is_root[n]).collect())
    }

    fn item(&self, kind: &str, n: usize) -> Result<&'a Value, MeshError> {
        let found = self.document[kind].get(n);
        found.ok_or_else(|| wrong(format!("{kind} {n}, which is not there"), format!("one of its {kind}")))
    }

    fn node(&mut self, n: usize, outer: Transform, depth: usize) -> Result<(), MeshError> {
        self.nodes += 1;
        if depth > DEEPEST || self.nodes > MOST_NODES {
            return Err(wrong(format!("nodes in a ring at node {n}"), "a tree of nodes"));
        }
        let node = self.item("nodes", n)?;
        let place = outer.of(&place(node).ok_or_else(|| wrong(format!("a bad placing of node {n}"), "numbers"))?);
        if let Some(mesh) = node.get("mesh") {
            let mesh = index(mesh).ok_or_else(|| wrong(format!("a bad mesh in node {n}"), "its number"))?;
            let primitives = self.item("meshes", mesh)?["primitives"].as_array();
            for primitive in primitives.ok_or_else(|| wrong(format!("mesh {mesh} without primitives"), "some"))? {
                self.primitive(primitive, &place)?;
            }
        }
        for child in indices(&node["children"])? {
            self.node(child, place, depth + 1)?;
        }
        Ok(())
    }

    fn primitive(&mut self, primitive: &Value, place: &Transform) -> Result<(), MeshError> {
        let mode = primitive.get("mode").map_or(Some(4), index).unwrap_or(usize::MAX);
        if mode < 4 {
            self.passed += 1;
            return Ok(());
        }
        let position = index(&primitive["attributes"]["POSITION"])
            .ok_or_else(|| wrong("a primitive without POSITION", "places of its vertices"))?;
        let positions = self.accessor(position, "VEC3")?;
        let first = self.mesh.vertices.len();
        let count = positions.count;
        let corners = match primitive.get("indices") {
            Some(n) => {
                let n = index(n).ok_or_else(|| wrong("bad indices", "the number of an accessor"))?;
                self.accessor(n, "SCALAR")?.whole_numbers()?
            }
            None => (0..count as u32).collect(),
        };
        if first + count + 3 * self.mesh.triangles.len() + corners.len() > MOST_CORNERS {
            return Err(wrong("too many triangles", format!("at most {} corners", MOST_CORNERS)));
        }
        self.mesh.vertices.extend(positions.points()?.into_iter().map(|p| place.point(p)));
        if let Some(far) = corners.iter().find(|&&c| c as usize >= count) {
            return Err(wrong(format!("vertex {far} in a mesh of {count}"), "vertices that are there"));
        }
        let triangle = |i: usize, j: usize, k: usize| {
            let t = [corners[i], corners[j], corners[k]].map(|c| first as u32 + c);
            if place.mirrors() { [t[0], t[2], t[1]] } else { t }
        };
        let last = corners.len().saturating_sub(2);
        match mode {
            4 => self.mesh.triangles.extend((0..corners.len() / 3).map(|t| triangle(3 * t, 3 * t + 1, 3 * t + 2))),
            5 => self.mesh.triangles.extend((0..last).map(|i| triangle(i, i + 1 + i % 2, i + 2 - i % 2))),
            6 => self.mesh.triangles.extend((0..last).map(|i| triangle(i + 1, i + 2, 0))),
            _ => return Err(wrong("a primitive of unknown mode", "4, 5 or 6 (triangles, strip, fan)")),
        }
        Ok(())
    }

    fn accessor(&self, n: usize, wanted: &str) -> Result<Accessor<'a>, MeshError> {
        let accessor = self.item("accessors", n)?;
        let trouble = |what: &str| wrong(format!("accessor {n} {what}"), "plain data in the binary chunk");
        if accessor.get("sparse").is_some() {
            return Err(trouble("is sparse"));
        }
        if accessor["type"].as_str() != Some(wanted) {
            return Err(wrong(format!("accessor {n} of another type"), wanted));
        }
        let count = index(&accessor["count"]).ok_or_else(|| trouble("has no count"))?;
        let kind = index(&accessor["componentType"]).unwrap_or(0);
        let Some(width) = component_bytes(kind) else { return Err(trouble("has an unknown component type")) };
        let view = index(&accessor["bufferView"]).ok_or_else(|| trouble("has no buffer view"))?;
        let view = self.item("bufferViews", view)?;
        let buffer = index(&view["buffer"]).ok_or_else(|| trouble("has no buffer"))?;
        if buffer != 0 || self.item("buffers", buffer)?.get("uri").is_some() {
            return Err(trouble("has its data outside the binary chunk"));
        }
        let optional = |v: &Value, key: &str| v.get(key).map_or(Some(0), index);
        let item = width * if wanted == "VEC3" { 3 } else { 1 };
        let data = || {
            let from = optional(view, "byteOffset")?;
            let view_data = self.binary.get(from..from.checked_add(index(&view["byteLength"])?)?)?;
            let stride = Some(optional(view, "byteStride")?).filter(|s| *s > 0).unwrap_or(item);
            let inner = optional(accessor, "byteOffset")?;
            let needed = if count == 0 { 0 } else { stride.checked_mul(count - 1)?.checked_add(item)? };
            let data = view_data.get(inner..inner.checked_add(needed)?)?;
            Some(Accessor { data, count, stride, kind })
        };
        data().filter(|a| a.stride >= item).ok_or_else(|| trouble("reaches beyond its data"))
    }
}

/// Numbers in the binary chunk.
struct Accessor<'a> {
    data: &'a [u8],
    count: usize,
    stride: usize,
    kind: usize,
}

impl Accessor<'_> {
    fn points(&self) -> Result<Vec<Vec3>, MeshError> {
        if self.kind != 5126 {
            return Err(wrong("places of vertices that are no floats", "component type 5126 (float)"));
        }
        let float = |b: &[u8]| f64::from(f32::from_le_bytes([b[0], b[1], b[2], b[3]]));
        let point = |i: usize| {
            let raw = &self.data[i * self.stride..];
            Vec3::new(float(raw), float(&raw[4..]), float(&raw[8..]))
        };
        Ok((0..self.count).map(point).collect())
    }

    fn whole_numbers(&self) -> Result<Vec<u32>, MeshError> {
        let number = |i: usize| {
            let b = &self.data[i * self.stride..];
            match self.kind {
                5121 => u32::from(b[0]),
                5123 => u32::from(u16::from_le_bytes([b[0], b[1]])),
                _ => u32::from_le_bytes([b[0], b[1], b[2], b[3]]),
            }
        };
        match self.kind {
            5121 | 5123 | 5125 => Ok((0..self.count).map(number).collect()),
            _ => Err(wrong("indices that are no whole numbers", "component type 5121, 5123 or 5125")),
        }
    }
}

fn component_bytes(kind: usize) -> Option<usize> {
    match kind {
        5120 | 5121 => Some(1),
        5122 | 5123 => Some(2),
        5125 | 5126 => Some(4),
        _ => None,
    }
}

fn index(value: &Value) -> Option<usize> {
    value.as_u64().and_then(|n| usize::try_from(n).ok())
}

fn indices(value: &Value) -> Result<Vec<usize>, MeshError> {
    let all: Option<Vec<usize>> = match value {
        Value::Null => Some(Vec::new()),
        Value::Array(items) => items.iter().map(index).collect(),
        _ => None,
    };
    all.ok_or_else(|| wrong("a list of nodes that is none", "numbers of nodes"))
}

/// `N` numbers of a node, or `usual` when they are not given.
fn numbers<const N: usize>(value: &Value, usual: [f64; N]) -> Option<[f64; N]> {
    if value.is_null() {
        return Some(usual);
    }
    let items = value.as_array().filter(|items| items.len() == N)?;
    let mut out = usual;
    for (o, item) in out.iter_mut().zip(items) {
        *o = item.as_f64()?;
    }
    Some(out)
}

/// The placing of a node: its matrix, or its translation, rotation (a unit quaternion) and scale.
fn place(node: &Value) -> Option<Transform> {
    if !node["matrix"].is_null() {
        let m: [f64; 16] = numbers(&node["matrix"], [0.0; 16])?;
        let column = |i: usize| Vec3::new(m[4 * i], m[4 * i + 1], m[4 * i + 2]);
        return Some(Transform { x: column(0), y: column(1), z: column(2), at: column(3) });
    }
    let at = Vec3::from_array(numbers(&node["translation"], [0.0; 3])?);
    let scale: [f64; 3] = numbers(&node["scale"], [1.0; 3])?;
    let [x, y, z, w] = numbers(&node["rotation"], [0.0, 0.0, 0.0, 1.0])?;
    let axis = Vec3::new(x, y, z);
    // v turned by the quaternion (axis, w): v + 2 w (axis x v) + 2 axis x (axis x v).
    let turn = |v: Vec3| v + (axis.cross(v) * w + axis.cross(axis.cross(v))) * 2.0;
    Some(Transform { x: turn(Vec3::X) * scale[0], y: turn(Vec3::Y) * scale[1], z: turn(Vec3::Z) * scale[2], at })
}
