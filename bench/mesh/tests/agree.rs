//! Distances to meshes are those of a general-purpose collision library (parry3d-f64): see
//! `checks/mesh-distances`.

use bench_mesh::{points, scan};
use geom::Vec3;
use geom::mesh::{Mesh, MeshFormat, read};
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::query::{PointQuery, distance};
use parry3d_f64::shape::{Segment, TriMesh, TriMeshFlags};

/// The library works in double precision on the same single-precision corners; ours are welded to
/// 0.001 mm at most.
const AGREE: f64 = 1e-3;

fn both(triangles: usize) -> (Mesh, TriMesh) {
    let raw = read(&scan(triangles), MeshFormat::Stl).expect("a sound scan");
    let vertices = raw.vertices.iter().map(|v| Vector::new(v.x, v.y, v.z)).collect();
    let flags = TriMeshFlags::MERGE_DUPLICATE_VERTICES | TriMeshFlags::ORIENTED;
    let library = TriMesh::with_flags(vertices, raw.triangles.clone(), flags).expect("a sound mesh");
    (Mesh::new(raw).expect("a sound scan"), library)
}

#[test]
fn points_are_as_far_and_on_the_same_side() {
    let (mesh, library) = both(40_000);
    let mut inside = 0;
    for p in points(4000) {
        let v = Vector::new(p.x, p.y, p.z);
        let theirs = library.project_local_point(v, false);
        let distance = (theirs.point - v).length() * if theirs.is_inside { -1.0 } else { 1.0 };
        let ours = mesh.nearest(p, f64::INFINITY);
        assert!((ours.distance - distance).abs() < AGREE, "{p}: {ours:?}, the library {distance}");
        inside += usize::from(theirs.is_inside);
    }
    assert!((400..3600).contains(&inside));
}

#[test]
fn segments_are_as_far() {
    let (mesh, library) = both(40_000);
    for w in points(1500).windows(2) {
        let (a, b) = (w[0], w[0] + (w[1] - w[0]).clamp_length_max(150.0));
        let vector = |v: Vec3| Vector::new(v.x, v.y, v.z);
        let segment = Segment::new(vector(a), vector(b));
        let theirs = distance(&Pose::IDENTITY, &segment, &Pose::IDENTITY, &library).unwrap().distance;
        let (ours, _) = mesh.distance_segment(a, b, f64::INFINITY).unwrap();
        assert!((ours - theirs).abs() < AGREE, "{a} {b}: {ours}, the library {theirs}");
    }
}
