//! Laws that hold for any tube and any solid.

use geom::{
    Arc, Centreline, Element, Frame, LraStep, Solid, Straight, Vec3, any_perpendicular, distance_centrelines,
    distance_element_solid, distance_elements, distance_point_element, distance_self, rotate_about,
};
use proptest::prelude::*;
use std::f64::consts::PI;

fn point(reach: f64) -> impl Strategy<Value = Vec3> {
    (-reach..reach, -reach..reach, -reach..reach).prop_map(|(x, y, z)| Vec3::new(x, y, z))
}

fn direction() -> impl Strategy<Value = Vec3> {
    (-1.0..1.0f64, -PI..PI).prop_map(|(z, a)| {
        let r = (1.0 - z * z).sqrt();
        Vec3::new(r * a.cos(), r * a.sin(), z)
    })
}

fn frame() -> impl Strategy<Value = Frame> {
    (point(500.0), direction(), -PI..PI).prop_map(|(origin, forward, roll)| {
        let up = rotate_about(any_perpendicular(forward), forward, roll);
        Frame { origin, forward, up }
    })
}

fn steps() -> impl Strategy<Value = Vec<LraStep>> {
    let step = (0.0..150.0f64, -PI..PI, 0.05..3.1f64, 40.0..150.0f64)
        .prop_map(|(length, rotation, angle, clr)| LraStep { length, rotation, angle, clr });
    prop::collection::vec(step, 0..6)
}

fn tube() -> impl Strategy<Value = Centreline> {
    (frame(), steps(), 1.0..150.0f64)
        .prop_map(|(start, steps, last)| Centreline::from_steps(start, &steps, last).expect("sound rows"))
}

fn element() -> impl Strategy<Value = Element> {
    let straight = (point(200.0), direction(), 1.0..300.0f64)
        .prop_map(|(start, direction, length)| Element::Straight(Straight { start, direction, length }));
    let arc = (frame(), 30.0..150.0f64, 0.02..6.2f64).prop_map(|(f, radius, angle)| {
        let start = f.origin * 0.4;
        Element::Arc(Arc { start, tangent: f.forward, inward: f.up, radius, angle })
    });
    prop_oneof![straight, arc]
}

fn solid() -> impl Strategy<Value = Solid> {
    let cuboid = (frame(), 10.0..200.0f64, 10.0..200.0f64, 10.0..200.0f64).prop_map(|(f, x, y, z)| Solid::Box {
        center: f.origin * 0.3,
        size: Vec3::new(x, y, z),
        axes: [f.forward, f.up, f.right()],
    });
    let ends = || (point(150.0), direction(), 20.0..300.0f64, 5.0..80.0f64);
    let cylinder = ends().prop_map(|(from, d, l, radius)| Solid::Cylinder { from, to: from + d * l, radius });
    let capsule = ends().prop_map(|(from, d, l, radius)| Solid::Capsule { from, to: from + d * l, radius });
    let cone = (ends(), 0.0..80.0f64).prop_map(|((from, d, l, r), end)| Solid::Cone {
        from,
        to: from + d * l,
        radii: [r, end],
    });
    let ball = (point(150.0), 5.0..100.0f64).prop_map(|(center, radius)| Solid::Sphere { center, radius });
    prop_oneof![cuboid, cylinder, cone, capsule, ball]
}

/// Turns and shifts a point: about the frame's forward axis, then by its origin.
fn moved(f: &Frame, p: Vec3) -> Vec3 {
    f.origin + f.forward * p.x + f.up * p.y + f.right() * p.z
}

proptest! {
    #[test]
    fn rows_return(start in frame(), rows in steps(), last in 0.0..100.0f64) {
        let tube = Centreline::from_steps(start, &rows, last).unwrap();
        let (again, last_again) = tube.to_steps();
        prop_assert_eq!(again.len(), rows.len());
        prop_assert!((last_again - last).abs() < 2e-5);
        for (a, b) in again.iter().zip(&rows) {
            prop_assert!((a.length - b.length).abs() < 2e-5 && (a.angle - b.angle).abs() < 1e-9);
            let turn = (a.rotation - b.rotation).rem_euclid(2.0 * PI);
            prop_assert!(turn.min(2.0 * PI - turn) < 1e-7, "{} {}", a.rotation, b.rotation);
        }
    }

    #[test]
    fn points_return_even_for_u_turns(tube in tube()) {
        let (points, radii) = tube.to_points();
        let again = Centreline::from_points(&points, &radii).unwrap();
        prop_assert!((again.length() - tube.length()).abs() < 1e-6);
        prop_assert!((again.end().origin - tube.end().origin).length() < 1e-6);
        prop_assert!(again.end().forward.distance(tube.end().forward) < 1e-7);
        for i in 0..=20 {
            let s = tube.length() * f64::from(i) / 20.0;
            prop_assert!((again.at(s).origin - tube.at(s).origin).length() < 1e-5);
        }
    }

    #[test]
    fn a_rigid_move_changes_no_length_and_no_distance(a in tube(), b in tube(), f in frame()) {
        let carry = |t: &Centreline| {
            let (points, radii) = t.to_points();
            let points: Vec<Vec3> = points.into_iter().map(|p| moved(&f, p)).collect();
            Centreline::from_points(&points, &radii).unwrap()
        };
        let (c, d) = (carry(&a), carry(&b));
        prop_assert!((a.length() - c.length()).abs() < 1e-6);
        prop_assert!((distance_centrelines(&a, &b).distance - distance_centrelines(&c, &d).distance).abs() < 1e-5);
    }

    #[test]
    fn a_reference_line_does_not_twist(tube in tube()) {
        for i in 0..=10 {
            let f = tube.at(tube.length() * f64::from(i) / 10.0);
            prop_assert!(f.forward.dot(f.up).abs() < 1e-9 && (f.up.length() - 1.0).abs() < 1e-9);
        }
        let middle = 0.37 * tube.length();
        let part = tube.stretch(middle, tube.length());
        prop_assert!((part.end().origin - tube.end().origin).length() < 1e-6);
        prop_assert!((part.end().up - tube.end().up).length() < 1e-6);
    }

    #[test]
    fn distance_of_elements_is_symmetric_and_that_of_their_points(a in element(), b in element()) {
        let (ab, ba) = (distance_elements(&a, &b), distance_elements(&b, &a));
        prop_assert!((ab.distance - ba.distance).abs() < 3e-6);
        prop_assert!((a.point(ab.at_a).distance(b.point(ab.at_b)) - ab.distance).abs() < 1e-9);
        let mut dense = f64::INFINITY;
        for i in 0..=4000 {
            let p = a.point(a.length() * f64::from(i) / 4000.0);
            dense = dense.min(distance_point_element(p, &b).0);
        }
        prop_assert!(ab.distance <= dense + 2e-6 && dense - ab.distance <= a.length() / 8000.0 + 1e-6);
    }

    #[test]
    fn the_point_distance_is_the_least(e in element(), p in point(400.0)) {
        let (distance, at) = distance_point_element(p, &e);
        prop_assert!((e.point(at).distance(p) - distance).abs() < 1e-9);
        for i in 0..=500 {
            prop_assert!(e.point(e.length() * f64::from(i) / 500.0).distance(p) >= distance - 1e-9);
        }
    }

    #[test]
    fn a_part_of_an_element_lies_on_it(e in element(), a in 0.0..0.5f64, b in 0.5..1.0f64) {
        let (from, to) = (a * e.length(), b * e.length());
        let part = e.part(from, to);
        prop_assert!((part.length() - (to - from)).abs() < 1e-9);
        for i in 0..=8 {
            let s = part.length() * f64::from(i) / 8.0;
            prop_assert!(part.point(s).distance(e.point(from + s)) < 1e-9);
            prop_assert!(part.direction(s).distance(e.direction(from + s)) < 1e-9);
        }
        let (centre, radius) = e.ball();
        for i in 0..=50 {
            prop_assert!(e.point(e.length() * f64::from(i) / 50.0).distance(centre) <= radius + 1e-9);
        }
    }

    #[test]
    fn solids_have_a_true_distance(s in solid(), p in point(400.0), q in point(400.0)) {
        let (a, b) = (s.nearest(p, f64::INFINITY), s.nearest(q, f64::INFINITY));
        // Never more than the way between, and the gradient leads to the surface.
        prop_assert!((a.distance - b.distance).abs() <= p.distance(q) + 1e-9);
        prop_assert!((a.normal.length() - 1.0).abs() < 1e-9);
        prop_assert!(s.distance(p - a.normal * a.distance).abs() < 1e-7);
        // What lies in the solid lies in its bounds.
        prop_assert!(s.bounds().distance(p) <= a.distance.max(0.0) + 1e-9);
    }

    #[test]
    fn distance_to_a_solid_is_that_of_the_elements_points(e in element(), s in solid()) {
        let exact = distance_element_solid(&e, &s, f64::INFINITY).unwrap();
        prop_assert!((s.distance(e.point(exact.at)) - exact.distance).abs() < 1e-9);
        let n = 5000;
        let dense = (0..=n)
            .map(|i| s.distance(e.point(e.length() * f64::from(i) / f64::from(n))))
            .fold(f64::INFINITY, f64::min);
        prop_assert!(exact.distance <= dense + 1.1e-3, "{} {dense}", exact.distance);
        prop_assert!(dense - exact.distance <= 0.5 * e.length() / f64::from(n) + 1e-9);
        prop_assert_eq!(distance_element_solid(&e, &s, exact.distance - 0.01), None);
    }

    #[test]
    fn the_distance_to_itself_is_that_of_its_points(tube in tube()) {
        let (apart, limit) = (160.0, 120.0);
        let n = (tube.length() / 1.5) as usize;
        let at = |i: usize| tube.length() * i as f64 / n as f64;
        let places: Vec<Vec3> = (0..=n).map(|i| tube.at(at(i)).origin).collect();
        let mut dense = f64::INFINITY;
        for i in 0..=n {
            for j in i + 1..=n {
                if at(j) - at(i) >= apart {
                    dense = dense.min(places[i].distance(places[j]));
                }
            }
        }
        match distance_self(&tube, apart, limit) {
            Some(c) => {
                prop_assert!(c.at_b - c.at_a >= apart - 1e-9);
                prop_assert!(c.distance <= dense + 1.1e-3 && dense - c.distance < 3.0, "{c:?} {dense}");
                let there = tube.at(c.at_a).origin.distance(tube.at(c.at_b).origin);
                prop_assert!((there - c.distance).abs() < 1e-6);
            }
            None => prop_assert!(dense >= limit - 1.1e-3),
        }
    }
}

/// Bends within a hair of a half turn, as rows and as points.
#[test]
fn near_half_turns_are_exact() {
    let start = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z };
    for off in [-1e-3, -1e-7, 0.0, 1e-7, 1e-3] {
        let angle = PI + off;
        let tube =
            Centreline::from_steps(start, &[LraStep { length: 50.0, rotation: 0.0, angle, clr: 60.0 }], 80.0).unwrap();
        let end = Vec3::new(50.0 + 60.0 * angle.sin(), 0.0, 60.0 - 60.0 * angle.cos())
            + Vec3::new(angle.cos(), 0.0, angle.sin()) * 80.0;
        assert!((tube.end().origin - end).length() < 1e-9);
        let (points, radii) = tube.to_points();
        let again = Centreline::from_points(&points, &radii).unwrap();
        assert!((again.end().origin - end).length() < 1e-9 && (again.length() - tube.length()).abs() < 1e-9);
    }
}
