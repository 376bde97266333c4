//! Times loading, indexing and distance queries of meshes.

use std::time::Instant;

use geom::Vec3;
use geom::mesh::{Mesh, MeshFormat, read};

/// A bumpy closed block as binary STL with about `triangles` triangles, about 800 mm long.
fn scan(triangles: usize) -> Vec<u8> {
    // A ball of latitude and longitude, pressed into a block with relief.
    let rows = ((triangles / 4) as f64).sqrt() as usize;
    let columns = 2 * rows;
    let at = |i: usize, j: usize| {
        let (a, b) = (
            std::f64::consts::PI * i as f64 / rows as f64,
            std::f64::consts::TAU * (j % columns) as f64 / columns as f64,
        );
        let d = Vec3::new(a.sin() * b.cos(), a.sin() * b.sin(), a.cos());
        let cube = d / d.abs().max_element().powf(0.8);
        let bump = 1.0 + 0.03 * ((9.0 * d.x).sin() + (11.0 * d.y).sin() + (13.0 * d.z).sin() * (7.0 * d.x).cos());
        cube * bump * Vec3::new(400.0, 200.0, 150.0)
    };
    let mut bytes = vec![0u8; 84];
    let mut count = 0u32;
    let mut put = |corners: [Vec3; 3]| {
        bytes.extend([0; 12]);
        for c in corners.iter().flat_map(|v| v.to_array()) {
            bytes.extend((c as f32).to_le_bytes());
        }
        bytes.extend([0; 2]);
        count += 1;
    };
    for i in 0..rows {
        for j in 0..columns {
            let [p, q, r, s] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            if i + 1 < rows {
                put([p, q, r]);
            }
            if i > 0 {
                put([p, r, s]);
            }
        }
    }
    bytes[80..84].copy_from_slice(&count.to_le_bytes());
    bytes
}

fn main() {
    for triangles in [300_000, 1_000_000] {
        let bytes = scan(triangles);
        for _ in 0..3 {
            let start = Instant::now();
            let Ok(raw) = read(&bytes, MeshFormat::Stl) else { return };
            let parsed = start.elapsed();
            let Ok(mesh) = Mesh::new(raw) else { return };
            println!("{} triangles: read {parsed:?}, all {:?}", mesh.triangles().len(), start.elapsed());
            println!("{:?}", mesh.report());
        }
    }
}
