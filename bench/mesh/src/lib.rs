//! The scan that mesh benches and checks share.

use geom::Vec3;

/// A closed, bumpy block about 800 mm long with about `triangles` triangles, as binary STL.
///
/// A ball of latitude and longitude is pressed into a block and given relief: it is invented, but
/// like a scanned engine it has flats, ridges and small triangles where it is curved.
pub fn scan(triangles: usize) -> Vec<u8> {
    let rows = ((triangles / 4) as f64).sqrt() as usize;
    let columns = 2 * rows;
    let at = |i: usize, j: usize| {
        let a = std::f64::consts::PI * i as f64 / rows as f64;
        let b = std::f64::consts::TAU * (j % columns) as f64 / columns as f64;
        let d = Vec3::new(a.sin() * b.cos(), a.sin() * b.sin(), a.cos());
        let cube = d / d.abs().max_element().powf(0.8);
        let bump = 1.0 + 0.03 * ((9.0 * d.x).sin() + (11.0 * d.y).sin() + (13.0 * d.z).sin() * (7.0 * d.x).cos());
        cube * bump * Vec3::new(400.0, 200.0, 150.0)
    };
    let mut bytes = vec![0u8; 84];
    let mut count = 0u32;
    let mut put = |corners: [Vec3; 3]| {
        bytes.extend([0; 12]);
        corners.iter().flat_map(|v| v.to_array()).for_each(|c| bytes.extend((c as f32).to_le_bytes()));
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

/// Points all over a box about the scan, the same every time.
pub fn points(count: usize) -> Vec<Vec3> {
    let mut state = 1u64;
    let mut next = move || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    };
    (0..count).map(|_| Vec3::new(next(), next(), next()) * Vec3::new(520.0, 330.0, 270.0)).collect()
}
