//! 3MF, core specification 1.3: one object a mesh, named and coloured, millimetres.

use std::io::{Cursor, Write as _};

use geom::Vec3;
use zip::write::SimpleFileOptions;

use crate::ExportError;
use crate::markup::escaped;
use crate::mesh::Triangles;

/// One object.
#[derive(Debug, Clone)]
pub struct Object {
    /// Name of the object.
    pub name: String,
    /// Red, green and blue, 0 to 1.
    pub colour: [f64; 3],
    /// Mesh of the object.
    pub mesh: Triangles,
    /// How far it is moved from where its mesh stands, mm.
    pub shift: Vec3,
}

const TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
"#;

const RELATIONS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
"#;

/// The objects as a 3MF package.
///
/// # Errors
/// [`ExportError::Writer`] where the packing refuses.
pub fn threemf(title: &str, objects: &[Object]) -> Result<Vec<u8>, ExportError> {
    let refused = |e: String| ExportError::Writer { format: "3MF", message: e };
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    // The default time is a fixed one: the same objects give the same bytes.
    let options =
        SimpleFileOptions::default().compression_method(zip::CompressionMethod::Deflated).compression_level(Some(4));
    let model = model(title, objects);
    for (name, text) in [("[Content_Types].xml", TYPES), ("_rels/.rels", RELATIONS), ("3D/3dmodel.model", &model)] {
        zip.start_file(name, options).map_err(|e| refused(e.to_string()))?;
        zip.write_all(text.as_bytes()).map_err(|e| refused(e.to_string()))?;
    }
    Ok(zip.finish().map_err(|e| refused(e.to_string()))?.into_inner())
}

fn model(title: &str, objects: &[Object]) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" xml:lang=\"en-US\" \
         xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n",
    );
    out.push_str(&format!(
        " <metadata name=\"Title\">{}</metadata>\n <resources>\n  <basematerials id=\"1\">\n",
        escaped(title)
    ));
    for object in objects {
        let [r, g, b] = object.colour.map(|c| (c.clamp(0.0, 1.0) * 255.0).round() as u8);
        out.push_str(&format!(
            "   <base name=\"{}\" displaycolor=\"#{r:02X}{g:02X}{b:02X}\"/>\n",
            escaped(&object.name)
        ));
    }
    out.push_str("  </basematerials>\n");
    for (i, object) in objects.iter().enumerate() {
        let name = escaped(&object.name);
        out.push_str(&format!("  <object id=\"{}\" type=\"model\" name=\"{name}\" partnumber=\"{name}\" pid=\"1\" pindex=\"{i}\">\n<mesh><vertices>\n", i + 2));
        for p in &object.mesh.points {
            out.push_str(&format!("<vertex x=\"{}\" y=\"{}\" z=\"{}\"/>\n", short(p.x), short(p.y), short(p.z)));
        }
        out.push_str("</vertices><triangles>\n");
        for [a, b, c] in &object.mesh.triangles {
            out.push_str(&format!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>\n"));
        }
        out.push_str("</triangles></mesh></object>\n");
    }
    out.push_str(" </resources>\n <build>\n");
    for (i, object) in objects.iter().enumerate() {
        let [x, y, z] = [object.shift.x, object.shift.y, object.shift.z].map(short);
        out.push_str(&format!("  <item objectid=\"{}\" transform=\"1 0 0 0 1 0 0 0 1 {x} {y} {z}\"/>\n", i + 2));
    }
    out.push_str(" </build>\n</model>\n");
    out
}

/// To a millionth of a millimetre: points that differ stay apart.
fn short(value: f64) -> String {
    let rounded = (value * 1e6).round() / 1e6 + 0.0;
    format!("{rounded}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_package_is_the_same_each_time() {
        let points = vec![Vec3::ZERO, Vec3::X, Vec3::Y, Vec3::Z];
        let mesh = Triangles { points, triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]] };
        let object = Object { name: "1A".into(), colour: [0.5; 3], mesh, shift: Vec3::ZERO };
        let first = threemf("x", std::slice::from_ref(&object)).unwrap();
        assert_eq!(first, threemf("x", &[object]).unwrap());
        assert!(first.starts_with(b"PK"));
    }
}
