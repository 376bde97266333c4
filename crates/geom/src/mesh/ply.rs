//! PLY: text, binary little endian, binary big endian.
//!
//! Elements and properties other than the places of the vertices and the corners of the faces are
//! passed over, whatever their type.

use super::fault::{EXPORT_AGAIN, bad, check_finite, line_of, number, shown};
use super::polygon::triangulate;
use super::{MeshError, MeshPlace, RawMesh};
use crate::Vec3;

/// Most vertices that a 32-bit number can name.
const MOST_VERTICES: f64 = u32::MAX as f64;

#[derive(Debug, Clone, Copy, PartialEq)]
enum ScalarType {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl ScalarType {
    fn of(word: &[u8]) -> Option<ScalarType> {
        Some(match word {
            b"char" | b"int8" => ScalarType::I8,
            b"uchar" | b"uint8" => ScalarType::U8,
            b"short" | b"int16" => ScalarType::I16,
            b"ushort" | b"uint16" => ScalarType::U16,
            b"int" | b"int32" => ScalarType::I32,
            b"uint" | b"uint32" => ScalarType::U32,
            b"float" | b"float32" => ScalarType::F32,
            b"double" | b"float64" => ScalarType::F64,
            _ => return None,
        })
    }

    fn bytes(self) -> usize {
        match self {
            ScalarType::I8 | ScalarType::U8 => 1,
            ScalarType::I16 | ScalarType::U16 => 2,
            ScalarType::I32 | ScalarType::U32 | ScalarType::F32 => 4,
            ScalarType::F64 => 8,
        }
    }
}

#[derive(Debug, Clone)]
struct Property {
    name: Vec<u8>,
    /// Type of the count, for a list.
    list: Option<ScalarType>,
    kind: ScalarType,
}

#[derive(Debug, Clone)]
struct PlyElement {
    name: Vec<u8>,
    count: usize,
    properties: Vec<Property>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Encoding {
    Text,
    Little,
    Big,
}

pub(super) fn read(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    let mut header = PlyHeader { bytes, at: 0, line: 0 };
    let (encoding, elements) = header.read()?;
    let mut data = ValueReader { bytes, at: header.at, encoding };
    let mut mesh = RawMesh::default();
    let mut faces = false;
    for element in &elements {
        match element.name.as_slice() {
            b"vertex" => read_vertices(&mut data, element, &mut mesh)?,
            b"face" => {
                faces = true;
                read_faces(&mut data, element, &mut mesh)?;
            }
            b"tristrips" => {
                let found = "triangle strips";
                return Err(bad(data.place(), found, "an element \"face\"", "export it with single triangles"));
            }
            _ if element.properties.is_empty() => {}
            _ => (0..element.count).try_for_each(|_| data.skip(&element.properties))?,
        }
    }
    if !faces && !mesh.vertices.is_empty() {
        let found = "vertices without faces (a cloud of points)";
        return Err(bad(line_of(bytes, 0), found, "an element \"face\"", "make a surface of the points first"));
    }
    Ok(mesh)
}

struct PlyHeader<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> PlyHeader<'a> {
    fn next(&mut self) -> Result<&'a [u8], MeshError> {
        let rest = &self.bytes[self.at..];
        let Some(end) = rest.iter().position(|&b| b == b'\n') else {
            return Err(bad(MeshPlace::Line(self.line + 1), "the file ends", "\"end_header\"", EXPORT_AGAIN));
        };
        self.at += end + 1;
        self.line += 1;
        Ok(rest[..end].trim_ascii())
    }

    fn read(&mut self) -> Result<(Encoding, Vec<PlyElement>), MeshError> {
        if !self.bytes.starts_with(b"ply") {
            let found = shown(&self.bytes[..self.bytes.len().min(8)]);
            return Err(bad(MeshPlace::Line(1), found, "\"ply\"", "this is no PLY file: check its name"));
        }
        self.next()?;
        let mut encoding = None;
        let mut elements: Vec<PlyElement> = Vec::new();
        loop {
            let line = self.next()?;
            let words: Vec<&[u8]> = line.split(|b| b.is_ascii_whitespace()).filter(|w| !w.is_empty()).collect();
            match words.as_slice() {
                [b"format", b"ascii", _] => encoding = Some(Encoding::Text),
                [b"format", b"binary_little_endian", _] => encoding = Some(Encoding::Little),
                [b"format", b"binary_big_endian", _] => encoding = Some(Encoding::Big),
                [b"element", name, count] => {
                    let count = std::str::from_utf8(count).ok().and_then(|c| c.parse().ok());
                    let count = count.ok_or_else(|| self.wrong(line, "a count of elements"))?;
                    elements.push(PlyElement { name: name.to_vec(), count, properties: Vec::new() });
                }
                [b"property", rest @ ..] => {
                    let property = property(rest).ok_or_else(|| self.wrong(line, "a type and a name"))?;
                    let element = elements.last_mut().ok_or_else(|| self.wrong(line, "an element before it"))?;
                    element.properties.push(property);
                }
                [b"end_header"] => break,
                [b"comment" | b"obj_info", ..] | [] => {}
                _ => return Err(self.wrong(line, "format, element, property, comment or end_header")),
            }
        }
        let encoding = encoding.ok_or_else(|| self.wrong(b"end_header", "a line \"format\" before it"))?;
        Ok((encoding, elements))
    }

    fn wrong(&self, line: &[u8], expected: &str) -> MeshError {
        bad(MeshPlace::Line(self.line), shown(line), expected, EXPORT_AGAIN)
    }
}

fn property(words: &[&[u8]]) -> Option<Property> {
    match words {
        [b"list", count, kind, name] => {
            let count = ScalarType::of(count).filter(|k| !matches!(k, ScalarType::F32 | ScalarType::F64))?;
            Some(Property { name: name.to_vec(), list: Some(count), kind: ScalarType::of(kind)? })
        }
        [kind, name] => Some(Property { name: name.to_vec(), list: None, kind: ScalarType::of(kind)? }),
        _ => None,
    }
}

/// What follows the header, value by value.
struct ValueReader<'a> {
    bytes: &'a [u8],
    at: usize,
    encoding: Encoding,
}

impl ValueReader<'_> {
    fn place(&self) -> MeshPlace {
        self.place_at(self.at)
    }

    /// The place of the value that begins at or after byte `at`.
    fn place_at(&self, at: usize) -> MeshPlace {
        if self.encoding != Encoding::Text {
            return MeshPlace::Byte(at);
        }
        let blank = self.bytes[at..].iter().take_while(|b| b.is_ascii_whitespace()).count();
        line_of(self.bytes, at + blank)
    }

    fn ends(&self) -> MeshError {
        bad(self.place(), "the file ends", "more values, as its header says", EXPORT_AGAIN)
    }

    fn value(&mut self, kind: ScalarType) -> Result<f64, MeshError> {
        if self.encoding == Encoding::Text {
            let rest = &self.bytes[self.at..];
            let start = rest.iter().position(|b| !b.is_ascii_whitespace()).ok_or_else(|| self.ends())?;
            let length = rest[start..].iter().position(|b| b.is_ascii_whitespace()).unwrap_or(rest.len() - start);
            let from = self.at + start;
            self.at = from + length;
            return number(&self.bytes[from..self.at], || line_of(self.bytes, from));
        }
        let mut raw = [0u8; 8];
        let n = kind.bytes();
        raw[..n].copy_from_slice(self.bytes.get(self.at..self.at + n).ok_or_else(|| self.ends())?);
        self.at += n;
        if self.encoding == Encoding::Big {
            raw[..n].reverse();
        }
        let [a, b, c, d, ..] = raw;
        Ok(match kind {
            ScalarType::I8 => f64::from(a as i8),
            ScalarType::U8 => f64::from(a),
            ScalarType::I16 => f64::from(i16::from_le_bytes([a, b])),
            ScalarType::U16 => f64::from(u16::from_le_bytes([a, b])),
            ScalarType::I32 => f64::from(i32::from_le_bytes([a, b, c, d])),
            ScalarType::U32 => f64::from(u32::from_le_bytes([a, b, c, d])),
            ScalarType::F32 => f64::from(f32::from_le_bytes([a, b, c, d])),
            ScalarType::F64 => f64::from_le_bytes(raw),
        })
    }

    /// The length of a list.
    fn length(&mut self, kind: ScalarType) -> Result<usize, MeshError> {
        let place = self.at;
        let n = self.value(kind)?;
        if !(0.0..=MOST_VERTICES).contains(&n) || n.fract() != 0.0 {
            return Err(bad(self.place_at(place), format!("a list of {n} values"), "a count", EXPORT_AGAIN));
        }
        Ok(n as usize)
    }

    fn skip(&mut self, properties: &[Property]) -> Result<(), MeshError> {
        for property in properties {
            let count = property.list.map_or(Ok(1), |kind| self.length(kind))?;
            for _ in 0..count {
                self.value(property.kind)?;
            }
        }
        Ok(())
    }
}

fn read_vertices(data: &mut ValueReader, element: &PlyElement, mesh: &mut RawMesh) -> Result<(), MeshError> {
    let axis_of = |p: &Property| match p.name.as_slice() {
        b"x" if p.list.is_none() => Some(0),
        b"y" if p.list.is_none() => Some(1),
        b"z" if p.list.is_none() => Some(2),
        _ => None,
    };
    let axes: Vec<Option<usize>> = element.properties.iter().map(axis_of).collect();
    if (0..3).any(|axis| !axes.contains(&Some(axis))) {
        return Err(bad(data.place(), "vertices without x, y and z", "properties x, y, z", EXPORT_AGAIN));
    }
    let mut places = Vec::new();
    for _ in 0..element.count {
        let mut v = [0.0; 3];
        let place = data.at;
        for (property, axis) in element.properties.iter().zip(&axes) {
            match axis {
                Some(axis) => v[*axis] = data.value(property.kind)?,
                None => data.skip(std::slice::from_ref(property))?,
            }
        }
        mesh.vertices.push(Vec3::from_array(v));
        if places.is_empty() && v.iter().any(|c| !c.is_finite()) {
            places.push(data.place_at(place));
        }
    }
    check_finite(&mesh.vertices, |_, _| places[0])
}

fn read_faces(data: &mut ValueReader, element: &PlyElement, mesh: &mut RawMesh) -> Result<(), MeshError> {
    let is_corners =
        |p: &Property| p.list.is_some() && matches!(p.name.as_slice(), b"vertex_indices" | b"vertex_index");
    let Some(corners) = element.properties.iter().position(is_corners) else {
        let expected = "a list property \"vertex_indices\"";
        return Err(bad(data.place(), "faces without a list of vertices", expected, EXPORT_AGAIN));
    };
    let count = mesh.vertices.len();
    let mut polygon = Vec::new();
    for _ in 0..element.count {
        for (i, property) in element.properties.iter().enumerate() {
            let Some(list) = property.list.filter(|_| i == corners) else {
                data.skip(std::slice::from_ref(property))?;
                continue;
            };
            polygon.clear();
            let place = data.at;
            for _ in 0..data.length(list)? {
                let place = data.at;
                let index = data.value(property.kind)?;
                if !(index >= 0.0 && index < count as f64 && index.fract() == 0.0) {
                    let expected = format!("0 to {} (the vertices before the faces)", count.saturating_sub(1));
                    return Err(bad(data.place_at(place), format!("vertex {index}"), expected, EXPORT_AGAIN));
                }
                polygon.push(index as u32);
            }
            if polygon.len() < 3 {
                let found = format!("a face with {} vertices", polygon.len());
                return Err(bad(data.place_at(place), found, "at least three", EXPORT_AGAIN));
            }
            triangulate(&polygon, &mesh.vertices, &mut mesh.triangles);
        }
    }
    Ok(())
}
