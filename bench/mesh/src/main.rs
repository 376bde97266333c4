//! `cargo run --release -p bench-mesh`: loading, indexing and distances of meshes, side by side with a
//! general-purpose collision library (parry3d-f64) in one run. Both work on one thread in the queries.

use std::hint::black_box;
use std::time::Instant;

use bench_mesh::{points, scan};
use geom::Vec3;
use geom::mesh::{Mesh, MeshFormat, RawMesh, read};
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::query::{PointQuery, distance};
use parry3d_f64::shape::{Segment, TriMesh, TriMeshFlags};

/// Rounds; the median is printed.
const ROUNDS: usize = 7;

/// Gap up to which a distance is asked for, mm: tube radius, clearance and a step of a search.
const LIMIT: f64 = 60.0;

fn main() {
    println!("all times are medians of {ROUNDS} rounds; ratio = library / ours");
    for triangles in [300_000, 1_000_000] {
        if let Err(error) = compare(triangles) {
            eprintln!("{error}");
            std::process::exit(3);
        }
    }
}

fn compare(triangles: usize) -> Result<(), Box<dyn std::error::Error>> {
    let bytes = scan(triangles);
    let raw = read(&bytes, MeshFormat::Stl)?;
    let mesh = Mesh::new(raw.clone())?;
    let other = library(&raw)?;
    println!("\n{} triangles", mesh.triangles().len());
    let ours = median(|| drop(black_box(read(&bytes, MeshFormat::Stl).and_then(Mesh::new))));
    println!("read and index                       {:9.1} ms", 1e3 * ours);
    let index = median(|| drop(black_box(Mesh::new(raw.clone()))));
    let theirs = median(|| drop(black_box(library(&raw))));
    row("index (welded, oriented)", index, theirs, 1e3, "ms");

    let all = points(20_000);
    let near: Vec<Vec3> =
        all.iter().copied().filter(|p| (10.0..LIMIT).contains(&mesh.nearest(*p, f64::INFINITY).distance)).collect();
    for (name, places) in [("point, all around", &all), ("point, 10 to 60 mm outside", &near)] {
        let n = places.len() as f64;
        let ours = median(|| places.iter().for_each(|p| _ = black_box(mesh.nearest(*p, LIMIT)))) / n;
        let theirs = median(|| {
            places.iter().for_each(|p| {
                let v = Vector::new(p.x, p.y, p.z);
                black_box(other.project_local_point_with_max_dist(v, false, LIMIT));
            })
        }) / n;
        row(name, ours, theirs, 1e6, "us");
    }

    let segments: Vec<(Vec3, Vec3)> =
        near.windows(2).map(|w| (w[0], w[0] + (w[1] - w[0]).clamp_length_max(60.0))).collect();
    let n = segments.len() as f64;
    let ours =
        median(|| segments.iter().for_each(|(a, b)| _ = black_box(mesh.distance_segment(*a, *b, f64::INFINITY)))) / n;
    let theirs = median(|| {
        segments.iter().for_each(|(a, b)| {
            let segment = Segment::new(Vector::new(a.x, a.y, a.z), Vector::new(b.x, b.y, b.z));
            let _ = black_box(distance(&Pose::IDENTITY, &segment, &Pose::IDENTITY, &other));
        })
    }) / n;
    row("segment up to 60 mm", ours, theirs, 1e6, "us");
    Ok(())
}

fn row(name: &str, ours: f64, theirs: f64, scale: f64, unit: &str) {
    println!(
        "{name:36} {:9.3} {unit}   library {:9.3} {unit}   ratio {:6.2}",
        ours * scale,
        theirs * scale,
        theirs / ours
    );
}

/// The library's mesh, with what it needs to tell inside from outside.
fn library(raw: &RawMesh) -> Result<TriMesh, Box<dyn std::error::Error>> {
    let vertices = raw.vertices.iter().map(|v| Vector::new(v.x, v.y, v.z)).collect();
    let flags = TriMeshFlags::MERGE_DUPLICATE_VERTICES | TriMeshFlags::ORIENTED;
    Ok(TriMesh::with_flags(vertices, raw.triangles.clone(), flags)?)
}

fn median(mut run: impl FnMut()) -> f64 {
    let mut seconds: Vec<f64> = (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64()
        })
        .collect();
    seconds.sort_by(f64::total_cmp);
    seconds[ROUNDS / 2]
}
