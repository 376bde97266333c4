//! The straights and arcs of a tube as solids and meshes have them.

use geom::{Arc, Centreline, Element, Straight};

/// Directions closer than this are one, rad: a thousandth of a millimetre in a metre.
const ONE_WAY: f64 = 1e-6;

/// The straights and arcs of a centreline, neighbours that are one straight or one circle taken together: a bend
/// above 135 degrees is two points in a route.
pub fn elements(line: &Centreline) -> Vec<Element> {
    let mut out: Vec<Element> = Vec::new();
    for element in line.elements() {
        let joined = out.last().and_then(|last| joined(last, element));
        match joined {
            Some(whole) => {
                out.pop();
                out.push(whole);
            }
            None => out.push(*element),
        }
    }
    without_slivers(&mut out);
    out
}

/// Ends shorter than this get no separate face, mm: a cut plan places its cuts on whole thousandths, which may lie
/// a hair beyond the end of a bend.
const SLIVER: f64 = 2e-3;

/// Gives a sliver at either end to its neighbour, so that the length stays.
fn without_slivers(elements: &mut Vec<Element>) {
    if elements.len() > 1 && elements[elements.len() - 1].length() < SLIVER {
        let over = elements.pop().map_or(0.0, |e| e.length());
        match elements.last_mut() {
            Some(Element::Straight(s)) => s.length += over,
            Some(Element::Arc(a)) => a.angle += over / a.radius,
            None => {}
        }
    }
    if elements.len() > 1 && elements[0].length() < SLIVER {
        let over = elements.remove(0).length();
        match &mut elements[0] {
            Element::Straight(s) => {
                s.start -= s.direction * over;
                s.length += over;
            }
            Element::Arc(a) => {
                let back = -over / a.radius;
                let (start, tangent, inward) = (a.point(back), a.direction(back), a.inward_at(back));
                *a = Arc { start, tangent, inward, angle: a.angle - back, ..*a };
            }
        }
    }
}

fn joined(a: &Element, b: &Element) -> Option<Element> {
    match (a, b) {
        (Element::Straight(a), Element::Straight(b)) => (a.direction.cross(b.direction).length() < ONE_WAY)
            .then_some(Element::Straight(Straight { length: a.length + b.length, ..*a })),
        (Element::Arc(a), Element::Arc(b)) => {
            let same: bool = (a.radius - b.radius).abs() < 1e-6
                && (a.centre() - b.centre()).length() < 1e-4
                && (a.axis() - b.axis()).length() < ONE_WAY;
            (same && a.angle + b.angle < 0.99 * std::f64::consts::TAU)
                .then_some(Element::Arc(Arc { angle: a.angle + b.angle, ..*a }))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use geom::Vec3;

    use super::*;

    #[test]
    fn a_u_bend_written_as_two_points_is_one_arc() {
        let points = [Vec3::ZERO, Vec3::new(176.2, 0.0, 0.0), Vec3::new(176.2, 152.4, 0.0), Vec3::new(0.0, 152.4, 0.0)];
        let line = Centreline::from_points(&points, &[76.2, 76.2]).unwrap();
        assert_eq!(line.elements().len(), 4);
        assert_eq!(elements(&line).len(), 3);
    }
}
