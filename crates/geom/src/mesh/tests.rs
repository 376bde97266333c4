use super::*;

/// A ball of radius 100 as an icosahedron split `times` times, moved by `at`.
fn ball(times: usize, at: Vec3) -> RawMesh {
    let g = 0.5 * (1.0 + 5f64.sqrt());
    let mut vertices: Vec<Vec3> = (0..12)
        .map(|i| {
            let (u, w) = (if i & 1 == 0 { 1.0 } else { -1.0 }, if i & 2 == 0 { g } else { -g });
            [Vec3::new(u, w, 0.0), Vec3::new(0.0, u, w), Vec3::new(w, 0.0, u)][i / 4]
        })
        .collect();
    // Faces are the triples at edge length 2, turned to look outwards.
    let mut triangles = Vec::new();
    for a in 0..12u32 {
        for b in a + 1..12 {
            for c in b + 1..12 {
                let [p, q, r] = [a, b, c].map(|i| vertices[i as usize]);
                if [(p, q), (q, r), (r, p)].iter().all(|(u, w)| ((*u - *w).length() - 2.0).abs() < 1e-9) {
                    triangles.push(if (q - p).cross(r - p).dot(p) > 0.0 { [a, b, c] } else { [a, c, b] });
                }
            }
        }
    }
    for _ in 0..times {
        let mut split = Vec::new();
        for t in &triangles {
            let n = vertices.len() as u32;
            for k in 0..3 {
                vertices.push(0.5 * (vertices[t[k] as usize] + vertices[t[(k + 1) % 3] as usize]));
            }
            split.extend([[t[0], n, n + 2], [n, t[1], n + 1], [n + 2, n + 1, t[2]], [n, n + 1, n + 2]]);
        }
        triangles = split;
    }
    let vertices = vertices.into_iter().map(|v| v.normalize() * 100.0 + at).collect();
    RawMesh { vertices, triangles, hints: Vec::new() }
}

fn block(min: Vec3, max: Vec3) -> RawMesh {
    let vertices =
        (0..8).map(|i| Vec3::new([min.x, max.x][i & 1], [min.y, max.y][i >> 1 & 1], [min.z, max.z][i >> 2])).collect();
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles = quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect();
    RawMesh { vertices, triangles, hints: Vec::new() }
}

fn joined(a: RawMesh, b: RawMesh) -> RawMesh {
    let n = a.vertices.len() as u32;
    let mut all = a;
    all.vertices.extend(b.vertices);
    all.triangles.extend(b.triangles.into_iter().map(|t| t.map(|v| v + n)));
    all
}

/// A soup of triangles without shared vertices, as STL gives.
fn soup(mesh: &RawMesh) -> RawMesh {
    let vertices = mesh.triangles.iter().flatten().map(|&v| mesh.vertices[v as usize]).collect();
    let triangles = (0..mesh.triangles.len() as u32).map(|t| [3 * t, 3 * t + 1, 3 * t + 2]).collect();
    RawMesh { vertices, triangles, hints: Vec::new() }
}

/// Points all over a cube of half side `reach`, the same every time.
fn points(count: usize, reach: f64) -> Vec<Vec3> {
    let mut state = 1u64;
    let mut next = move || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    };
    (0..count).map(|_| Vec3::new(next(), next(), next()) * reach).collect()
}

fn turned_over(mut mesh: RawMesh) -> RawMesh {
    mesh.triangles.iter_mut().for_each(|t| t.swap(0, 1));
    mesh
}

const ALL: f64 = f64::INFINITY;

#[test]
fn a_fine_ball_is_a_ball() {
    let mesh = Mesh::new(soup(&ball(5, Vec3::new(3.0, -7.0, 11.0)))).unwrap();
    assert_eq!(mesh.report().welded_to, 10242);
    assert_eq!(mesh.report().notes(), Vec::<String>::new());
    let volume = 4.0 / 3.0 * std::f64::consts::PI * 1e6;
    assert!((mesh.report().volume / volume - 1.0).abs() < 2e-3);
    for p in points(3000, 200.0) {
        let exact = (p - Vec3::new(3.0, -7.0, 11.0)).length() - 100.0;
        let got = mesh.nearest(p, ALL);
        // The facets lie up to 0.1 mm within the ball.
        assert!((-0.01..0.11).contains(&(got.distance - exact)), "{p} {got:?} {exact}");
        assert!((got.normal.length() - 1.0).abs() < 1e-9);
        if exact.abs() > 5.0 && exact > -90.0 {
            assert!(got.normal.dot((p - Vec3::new(3.0, -7.0, 11.0)).normalize()) > 0.97);
        }
    }
}

#[test]
fn a_block_is_a_box_inside_and_out_and_at_its_corners() {
    let (min, max) = (Vec3::new(-40.0, -60.0, -90.0), Vec3::new(40.0, 60.0, 90.0));
    let mesh = Mesh::new(block(min, max)).unwrap();
    let solid = crate::Solid::Box { center: Vec3::ZERO, size: max - min, axes: [Vec3::X, Vec3::Y, Vec3::Z] };
    for p in points(5000, 150.0).into_iter().chain([max * 1.5, min * 1.1, Vec3::ZERO]) {
        let (a, b) = (mesh.nearest(p, ALL), solid.nearest(p, ALL));
        assert!((a.distance - b.distance).abs() < 1e-9, "{p} {a:?} {b:?}");
        let limited = mesh.nearest(p, 30.0);
        if b.distance < 30.0 {
            assert_eq!(limited, a);
        } else {
            assert!(limited.distance >= 30.0 && limited.distance <= b.distance + 1e-9);
        }
    }
}

#[test]
fn every_triangle_turned_at_random_is_mended() {
    let mut raw = ball(4, Vec3::ZERO);
    raw.triangles.iter_mut().enumerate().filter(|(i, _)| i % 3 == 0).for_each(|(_, t)| t.swap(0, 1));
    let mesh = Mesh::new(raw).unwrap();
    assert_eq!(mesh.report().flipped, 5120usize.div_ceil(3));
    assert!(mesh.nearest(Vec3::ZERO, 1.0).distance < -99.0);
    let inside_out = Mesh::new(turned_over(ball(4, Vec3::ZERO))).unwrap();
    assert_eq!(inside_out.report().inside_out, 1);
    assert!(inside_out.nearest(Vec3::ZERO, 1.0).distance < -99.0);
}

#[test]
fn double_and_degenerate_triangles_and_holes_are_mended() {
    let mut raw = ball(4, Vec3::ZERO);
    let again: Vec<[u32; 3]> = raw.triangles.iter().take(500).copied().collect();
    raw.triangles.extend(again);
    raw.triangles.extend([[0, 0, 5], [7, 7, 7]]);
    // Holes: single triangles, and one of a few together.
    let mut i = 0;
    raw.triangles.retain(|t| {
        i += 1;
        i > 5120 || !(i % 400 == 0 || t.contains(&11))
    });
    let given = raw.triangles.len();
    let mesh = Mesh::new(raw).unwrap();
    let report = mesh.report();
    assert_eq!((report.triangles, report.degenerate), (given, 2));
    assert!(report.duplicates > 480 && report.holes_closed > 5 && report.sheets == 0, "{report:?}");
    for p in points(2000, 150.0) {
        let exact = p.length() - 100.0;
        let got = mesh.nearest(p, ALL).distance;
        assert!(
            (got - exact).abs() < 4.0 && (exact.abs() < 4.0 || got.signum() == exact.signum()),
            "{p} {got} {exact}"
        );
    }
}

#[test]
fn a_sheet_has_no_inside() {
    let mut raw = ball(4, Vec3::ZERO);
    let vertices = raw.vertices.clone();
    raw.triangles.retain(|t| t.iter().all(|&v| vertices[v as usize].z > -1e-9));
    let mesh = Mesh::new(raw).unwrap();
    assert!(!mesh.has_inside() && mesh.report().sheets == 1);
    assert!((mesh.nearest(Vec3::new(0.0, 0.0, 60.0), ALL).distance - 40.0).abs() < 0.5);
    assert!(mesh.nearest(Vec3::new(0.0, 0.0, 60.0), ALL).normal.z < -0.9);
}

#[test]
fn shells_that_overlap_and_a_cavity() {
    let two = joined(ball(4, Vec3::ZERO), ball(4, Vec3::new(120.0, 0.0, 0.0)));
    let mesh = Mesh::new(two).unwrap();
    for p in points(3000, 260.0) {
        let exact = (p.length() - 100.0).min((p - Vec3::new(120.0, 0.0, 0.0)).length() - 100.0);
        let got = mesh.nearest(p, ALL).distance;
        assert!(exact.abs() < 1.0 || exact.signum() == got.signum(), "{p} {got} {exact}");
        assert!(exact < 0.0 || (got - exact).abs() < 0.6);
    }
    let room = joined(block(Vec3::splat(-150.0), Vec3::splat(150.0)), turned_over(ball(4, Vec3::ZERO)));
    let mesh = Mesh::new(room).unwrap();
    assert_eq!((mesh.report().inside_out, mesh.report().shells), (0, 2));
    assert!(mesh.nearest(Vec3::ZERO, ALL).distance > 99.0, "within the cavity it is free");
    assert!(mesh.nearest(Vec3::splat(120.0), ALL).distance < -29.0);
}

#[test]
fn the_segment_distance_is_that_of_its_points() {
    let mesh = Mesh::new(ball(3, Vec3::ZERO)).unwrap();
    let ends = points(200, 220.0);
    for pair in ends.chunks(2) {
        let (a, b) = (pair[0], pair[1]);
        let (distance, t) = mesh.distance_segment(a, b, ALL).unwrap();
        let dense = (0..=400).map(|i| mesh.nearest(a.lerp(b, i as f64 / 400.0), ALL).distance.abs());
        let dense = dense.fold(ALL, f64::min);
        assert!(distance <= dense + 1e-9 && dense - distance < 1.0);
        assert!((mesh.nearest(a.lerp(b, t), ALL).distance.abs() - distance).abs() < 1e-6);
    }
}

#[test]
fn what_is_no_mesh_is_refused() {
    let none = RawMesh::default();
    assert_eq!(Mesh::new(none).unwrap_err(), MeshError::Empty);
    let mut nan = ball(0, Vec3::ZERO);
    nan.vertices[4].y = f64::NAN;
    nan.vertices[7].x = f64::INFINITY;
    assert_eq!(Mesh::new(nan).unwrap_err(), MeshError::NotFinite { count: 2, first: MeshPlace::Vertex(5) });
    let mut far = ball(0, Vec3::ZERO);
    far.vertices[1].z = 3e7;
    assert!(matches!(Mesh::new(far).unwrap_err(), MeshError::TooFar { vertex: 2, .. }));
    let mut wrong = ball(0, Vec3::ZERO);
    wrong.triangles[3][1] = 12;
    assert!(matches!(Mesh::new(wrong).unwrap_err(), MeshError::BadIndex { triangle: 4, vertex: 12, count: 12 }));
    let mut flat = ball(0, Vec3::ZERO);
    flat.triangles.iter_mut().for_each(|t| t[1] = t[0]);
    assert_eq!(Mesh::new(flat).unwrap_err(), MeshError::AllDegenerate(20));
}

#[test]
fn slivers_do_not_spoil_distances() {
    let mut raw = block(Vec3::splat(-50.0), Vec3::splat(50.0));
    // A point in the middle of an edge makes the two triangles there leave a sliver.
    raw.vertices.push(Vec3::new(0.0, -50.0, -50.0));
    raw.triangles.push([0, 8, 1]);
    let mesh = Mesh::new(raw).unwrap();
    let solid = crate::Solid::Box { center: Vec3::ZERO, size: Vec3::splat(100.0), axes: [Vec3::X, Vec3::Y, Vec3::Z] };
    for p in points(2000, 120.0) {
        assert!((mesh.nearest(p, ALL).distance - solid.distance(p)).abs() < 1e-6, "{p}");
    }
}
