//! STEP, ISO 10303-21 after AP214: one solid a piece, with exact cylinders, tori and planes, in an assembly of
//! job, runs and pieces, with flanges and collectors beside the runs (`solids`).
//!
//! A piece is bounded by one face for each straight (cylinder) and arc (torus), outside and, when hollow, inside, and a plane
//! at each end. A face all around a tube has a seam: on a torus its outer equator, where the surface's own parameter begins;
//! on a cylinder the line that goes on from the face before. Where two seams meet a circle at different places the circle is
//! two edges. So every face is the surface's natural patch, and a kernel has nothing to repair.
//!
//! Names are written as the standard says (clause 6.4.3): apostrophe and backslash doubled, what is not ASCII between
//! `\X2\` (or `\X4\` beyond the basic plane) and `\X0\`. `checks/exports` has a modelling kernel read what is written.

mod solids;
mod text;

use std::fmt::Write as _;

use geom::{Element, Vec3};

use crate::elements::elements;
use crate::header::{colour, triple};
use crate::{Body, Header, HeaderPiece, Run};
use text::{encoded, real};

/// The time stamp of a file whose date is not given: ISO 10303-21 wants one of ISO 8601 in the header, and the same job must
/// give the same bytes.
const NO_DATE: &str = "1970-01-01";

/// Seams closer than this around the tube are one, rad.
const ONE_SEAM: f64 = 1e-9;

/// The header as a STEP file with `date` (ISO 8601, `2025-03-31`) at midnight in its time stamp; empty: 1970-01-01.
pub fn step(header: &Header, body: Body, date: &str) -> String {
    let mut file = StepWriter::default();
    file.start();
    let top = file.assembly(&header.name);
    let mut styled = Vec::new();
    for run in &header.runs {
        let product = file.assembly(&run.name);
        file.place(&run.name, top, product);
        for part in &run.parts {
            let piece = file.piece(part, run, body, &mut styled);
            file.place(&part.mark, product, piece);
        }
    }
    for group in &header.groups {
        let product = file.assembly(&group.name);
        file.place(&group.name, top, product);
        for solid in &group.solids {
            let made = file.solid(solid, &mut styled);
            file.place(&solid.name, product, made);
        }
    }
    let list = ids(&styled);
    file.add(&format!("MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({list}),#9)"));
    file.finish(&header.name, if date.is_empty() { NO_DATE } else { date })
}

/// A product: its definition and its shape.
#[derive(Debug, Clone, Copy)]
struct Product {
    definition: usize,
    shape: usize,
}

/// A way around a tube at one station: its edges from the vertex of one seam, and from that of the other.
#[derive(Debug, Clone)]
struct Circle {
    /// Edges in the order of a right-hand turn about the flow, from the seam of the face before.
    before: Vec<usize>,
    /// The same from the seam of the face after.
    after: Vec<usize>,
    /// Vertices of the two seams.
    vertices: [usize; 2],
}

#[derive(Default)]
struct StepWriter {
    data: String,
    last: usize,
}

fn ids(list: &[usize]) -> String {
    list.iter().map(|i| format!("#{i}")).collect::<Vec<_>>().join(",")
}

impl StepWriter {
    fn add(&mut self, entity: &str) -> usize {
        self.last += 1;
        // Writing to a String cannot fail.
        let _ = writeln!(self.data, "#{}={entity};", self.last);
        self.last
    }

    /// What all parts share: contexts and units are #1 to #9, the origin is #13.
    fn start(&mut self) {
        for entity in [
            "APPLICATION_CONTEXT('core data for automotive mechanical design processes')",
            "APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,#1)",
            "PRODUCT_CONTEXT('',#1,'mechanical')",
            "PRODUCT_DEFINITION_CONTEXT('part definition',#1,'design')",
            "(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))",
            "(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))",
            "(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())",
            "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-06),#5,'distance_accuracy_value','')",
            "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#8))\
             GLOBAL_UNIT_ASSIGNED_CONTEXT((#5,#6,#7))REPRESENTATION_CONTEXT('',''))",
        ] {
            self.add(entity);
        }
        let origin = self.axes(Vec3::ZERO, Vec3::Z, Vec3::X);
        debug_assert_eq!(origin, ORIGIN);
    }

    fn finish(self, name: &str, date: &str) -> String {
        let (name, date) = (encoded(name), encoded(date));
        format!(
            "ISO-10303-21;\nHEADER;\n\
             FILE_DESCRIPTION(('tubes of an exhaust header, one solid a piece'),'2;1');\n\
             FILE_NAME('{name}','{date}T00:00:00',(''),(''),'tubewright','tubewright','');\n\
             FILE_SCHEMA(('AUTOMOTIVE_DESIGN {{ 1 0 10303 214 1 1 1 1 }}'));\nENDSEC;\nDATA;\n{}ENDSEC;\nEND-ISO-10303-21;\n",
            self.data
        )
    }

    fn point(&mut self, p: Vec3) -> usize {
        let [x, y, z] = triple(p).map(real);
        self.add(&format!("CARTESIAN_POINT('',({x},{y},{z}))"))
    }

    fn direction(&mut self, d: Vec3) -> usize {
        let [x, y, z] = triple(d.normalize_or(Vec3::Z)).map(real);
        self.add(&format!("DIRECTION('',({x},{y},{z}))"))
    }

    fn axes(&mut self, origin: Vec3, axis: Vec3, reference: Vec3) -> usize {
        let (o, a, r) = (self.point(origin), self.direction(axis), self.direction(reference));
        self.add(&format!("AXIS2_PLACEMENT_3D('',#{o},#{a},#{r})"))
    }

    /// A product whose shape is the representation `shape`.
    fn product(&mut self, name: &str, shape: usize) -> Product {
        let name = encoded(name);
        let product = self.add(&format!("PRODUCT('{name}','{name}','',(#3))"));
        self.add(&format!("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#{product}))"));
        let formation = self.add(&format!("PRODUCT_DEFINITION_FORMATION('','',#{product})"));
        let definition = self.add(&format!("PRODUCT_DEFINITION('design','',#{formation},#4)"));
        let of = self.add(&format!("PRODUCT_DEFINITION_SHAPE('','',#{definition})"));
        self.add(&format!("SHAPE_DEFINITION_REPRESENTATION(#{of},#{shape})"));
        Product { definition, shape }
    }

    fn assembly(&mut self, name: &str) -> Product {
        let shape = self.add(&format!("SHAPE_REPRESENTATION('{}',(#{ORIGIN}),#9)", encoded(name)));
        self.product(name, shape)
    }

    /// Puts `child` into `parent` where it stands: all parts are drawn in the vehicle's axes.
    fn place(&mut self, name: &str, parent: Product, child: Product) {
        let name = encoded(name);
        let (above, below) = (parent.definition, child.definition);
        let use_of = self.add(&format!("NEXT_ASSEMBLY_USAGE_OCCURRENCE('{name}','{name}','',#{above},#{below},$)"));
        let shape = self.add(&format!("PRODUCT_DEFINITION_SHAPE('','',#{use_of})"));
        let way = self.add(&format!("ITEM_DEFINED_TRANSFORMATION('','',#{ORIGIN},#{ORIGIN})"));
        let relation = self.add(&format!(
            "(REPRESENTATION_RELATIONSHIP('','',#{},#{})REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#{way})\
             SHAPE_REPRESENTATION_RELATIONSHIP())",
            child.shape, parent.shape
        ));
        self.add(&format!("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#{relation},#{shape})"));
    }

    fn piece(&mut self, part: &HeaderPiece, run: &Run, body: Body, styled: &mut Vec<usize>) -> Product {
        let elements = elements(&part.line);
        let (mut faces, outer) = self.skin(&elements, 0.5 * run.od, false);
        let inner = match body {
            Body::Solid => None,
            Body::Hollow => {
                let (more, ends) = self.skin(&elements, 0.5 * run.od - run.wall, true);
                faces.extend(more);
                Some(ends)
            }
        };
        for (end, circle) in outer.iter().enumerate() {
            faces.push(self.end_face(&elements, end, circle, inner.as_ref().map(|i| &i[end])));
        }
        let shell = self.add(&format!("CLOSED_SHELL('',({}))", ids(&faces)));
        let mark = encoded(&part.mark);
        let solid = self.add(&format!("MANIFOLD_SOLID_BREP('{mark}',#{shell})"));
        styled.push(self.styled(solid, colour(run.number)));
        let shape = self.add(&format!("ADVANCED_BREP_SHAPE_REPRESENTATION('{mark}',(#{ORIGIN},#{solid}),#9)"));
        self.product(&part.mark, shape)
    }

    fn styled(&mut self, solid: usize, [r, g, b]: [f64; 3]) -> usize {
        let rgb = self.add(&format!("COLOUR_RGB('',{},{},{})", real(r), real(g), real(b)));
        let fill = self.add(&format!("FILL_AREA_STYLE_COLOUR('',#{rgb})"));
        let area = self.add(&format!("FILL_AREA_STYLE('',(#{fill}))"));
        let surface = self.add(&format!("SURFACE_STYLE_FILL_AREA(#{area})"));
        let side = self.add(&format!("SURFACE_SIDE_STYLE('',(#{surface}))"));
        let usage = self.add(&format!("SURFACE_STYLE_USAGE(.BOTH.,#{side})"));
        let style = self.add(&format!("PRESENTATION_STYLE_ASSIGNMENT((#{usage}))"));
        self.add(&format!("STYLED_ITEM('',(#{style}),#{solid})"))
    }

    /// The faces around the tube at `radius`, and the circles at its two ends. `inward`: the metal lies outside.
    fn skin(&mut self, elements: &[Element], radius: f64, inward: bool) -> (Vec<usize>, [Circle; 2]) {
        let seams = seams(elements);
        let mut circles = Vec::new();
        for i in 0..=elements.len() {
            let (at, way) = station(elements, i);
            // The end of the seam before and the start of the one after; the ends of the tube have but one.
            let before = if i > 0 { seams[i - 1][1] } else { seams[0][0] };
            let after = if i < elements.len() { seams[i][0] } else { before };
            circles.push(self.circle(at, way, radius, before, after));
        }
        let faces = elements
            .iter()
            .enumerate()
            .map(|(i, element)| self.around(element, radius, seams[i], [&circles[i], &circles[i + 1]], inward))
            .collect();
        let last = circles.len() - 1;
        (faces, [circles[0].clone(), circles[last].clone()])
    }

    /// The circle around `at`, with vertices where the two seams meet it.
    fn circle(&mut self, at: Vec3, way: Vec3, radius: f64, before: Vec3, after: Vec3) -> Circle {
        let axes = self.axes(at, way, before);
        let curve = self.add(&format!("CIRCLE('',#{axes},{})", real(radius)));
        let vertex = |file: &mut Self, seam: Vec3| {
            let p = file.point(at + seam * radius);
            file.add(&format!("VERTEX_POINT('',#{p})"))
        };
        let a = vertex(self, before);
        if before.cross(after).length() < ONE_SEAM && before.dot(after) > 0.0 {
            let edge = self.add(&format!("EDGE_CURVE('',#{a},#{a},#{curve},.T.)"));
            return Circle { before: vec![edge], after: vec![edge], vertices: [a, a] };
        }
        let b = vertex(self, after);
        let first = self.add(&format!("EDGE_CURVE('',#{a},#{b},#{curve},.T.)"));
        let second = self.add(&format!("EDGE_CURVE('',#{b},#{a},#{curve},.T.)"));
        Circle { before: vec![first, second], after: vec![second, first], vertices: [a, b] }
    }

    /// The face of one element between two circles.
    fn around(&mut self, element: &Element, radius: f64, seam: [Vec3; 2], ends: [&Circle; 2], inward: bool) -> usize {
        let (from, to) = (ends[0].vertices[1], ends[1].vertices[0]);
        let (surface, curve) = match element {
            Element::Straight(s) => {
                let axes = self.axes(s.start, s.direction, seam[0]);
                let surface = self.add(&format!("CYLINDRICAL_SURFACE('',#{axes},{})", real(radius)));
                let (p, d) = (self.point(s.start + seam[0] * radius), self.direction(s.direction));
                let vector = self.add(&format!("VECTOR('',#{d},1.)"));
                (surface, self.add(&format!("LINE('',#{p},#{vector})")))
            }
            Element::Arc(a) => {
                let axes = self.axes(a.centre(), a.axis(), -a.inward);
                let (wide, thick) = (real(a.radius), real(radius));
                let surface = self.add(&format!("TOROIDAL_SURFACE('',#{axes},{wide},{thick})"));
                (surface, self.add(&format!("CIRCLE('',#{axes},{})", real(a.radius + radius))))
            }
        };
        let seam = self.add(&format!("EDGE_CURVE('',#{from},#{to},#{curve},.T.)"));
        let mut way: Vec<(usize, bool)> = ends[0].after.iter().map(|e| (*e, true)).collect();
        way.push((seam, true));
        way.extend(ends[1].before.iter().rev().map(|e| (*e, false)));
        way.push((seam, false));
        let bound = self.bound(&turned(way, inward), true);
        self.add(&format!("ADVANCED_FACE('',(#{bound}),#{surface},{})", flag(!inward)))
    }

    /// The plane at an end, with a hole when there is a bore.
    fn end_face(&mut self, elements: &[Element], end: usize, outer: &Circle, inner: Option<&Circle>) -> usize {
        let (at, way) = station(elements, if end == 0 { 0 } else { elements.len() });
        let normal = if end == 0 { -way } else { way };
        let axes = self.axes(at, normal, geom::any_perpendicular(normal));
        let plane = self.add(&format!("PLANE('',#{axes})"));
        let whole = |c: &Circle| c.before.iter().map(|e| (*e, true)).collect::<Vec<_>>();
        let mut bounds = vec![self.bound(&turned(whole(outer), end == 0), true)];
        if let Some(inner) = inner {
            bounds.push(self.bound(&turned(whole(inner), end == 1), false));
        }
        self.add(&format!("ADVANCED_FACE('',({}),#{plane},.T.)", ids(&bounds)))
    }

    fn bound(&mut self, way: &[(usize, bool)], outer: bool) -> usize {
        let edges: Vec<usize> = way
            .iter()
            .map(|(edge, with)| self.add(&format!("ORIENTED_EDGE('',*,*,#{edge},{})", flag(*with))))
            .collect();
        let edges = self.add(&format!("EDGE_LOOP('',({}))", ids(&edges)));
        let kind = if outer { "FACE_OUTER_BOUND" } else { "FACE_BOUND" };
        self.add(&format!("{kind}('',#{edges},.T.)"))
    }
}

/// The number of the origin's axes.
const ORIGIN: usize = 13;

fn flag(yes: bool) -> &'static str {
    if yes { ".T." } else { ".F." }
}

/// A loop the other way round when `turn`.
fn turned(way: Vec<(usize, bool)>, turn: bool) -> Vec<(usize, bool)> {
    if turn { way.into_iter().rev().map(|(edge, with)| (edge, !with)).collect() } else { way }
}

/// Place and direction of flow before element `i`, or after the last one.
fn station(elements: &[Element], i: usize) -> (Vec3, Vec3) {
    match elements.get(i) {
        Some(element) => (element.point(0.0), element.direction(0.0)),
        None => elements.last().map_or((Vec3::ZERO, Vec3::Z), |e| (e.end(), e.direction(e.length()))),
    }
}

/// Directions across the tube of each element's seam at its start and end.
fn seams(elements: &[Element]) -> Vec<[Vec3; 2]> {
    let of_arc = |e: &Element| match e {
        Element::Arc(a) => Some([-a.inward, -a.inward_at(a.angle)]),
        Element::Straight(_) => None,
    };
    let mut out: Vec<[Vec3; 2]> = Vec::new();
    for (i, element) in elements.iter().enumerate() {
        out.push(of_arc(element).unwrap_or_else(|| {
            let way = element.direction(0.0);
            let before = out.last().map(|s: &[Vec3; 2]| s[1]);
            let after = || elements.get(i + 1).and_then(of_arc).map(|s| s[0]);
            let seam = before.or_else(after).unwrap_or_else(|| geom::any_perpendicular(way));
            // Rounding of the bend before must not tilt it.
            [seam.reject_from_normalized(way).normalize(); 2]
        }));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::Centreline;

    fn header(points: &[Vec3], radii: &[f64], name: &str) -> Header {
        let line = Centreline::from_points(points, radii).unwrap();
        let part = HeaderPiece { mark: "1A".into(), line: line.clone() };
        let run = Run { name: "primary 1".into(), number: 0, line, od: 44.45, wall: 1.65, parts: vec![part] };
        Header { name: name.into(), runs: vec![run], groups: Vec::new() }
    }

    #[test]
    fn two_planes_of_bending_give_cylinders_tori_and_two_planes() {
        let v = Vec3::new;
        let points = [v(0.0, 0.0, 0.0), v(200.0, 0.0, 0.0), v(200.0, 200.0, 0.0), v(200.0, 200.0, 200.0)];
        let text = step(&header(&points, &[76.2, 76.2], "x"), Body::Hollow, "");
        let count = |word: &str| text.matches(&format!("={word}(")).count();
        assert_eq!((count("CYLINDRICAL_SURFACE"), count("TOROIDAL_SURFACE"), count("PLANE")), (6, 4, 2));
        assert_eq!(count("MANIFOLD_SOLID_BREP"), 1);
        // Every number that is used is defined.
        let defined: Vec<&str> = text.lines().filter_map(|l| l.strip_prefix('#')?.split('=').next()).collect();
        for used in text.split('#').skip(1) {
            let id: String = used.chars().take_while(char::is_ascii_digit).collect();
            assert!(defined.contains(&id.as_str()), "#{id}");
        }
        assert!(text.is_ascii());
    }

    #[test]
    fn a_name_cannot_break_out_of_its_quotes() {
        let points = [Vec3::ZERO, Vec3::new(100.0, 0.0, 0.0)];
        let text = step(&header(&points, &[], "a');#1=X('\\X2\\\n排🔥"), Body::Solid, "");
        assert!(text.contains(r"a'');#1=X(''\\X2\\\X2\6392\X0\\X4\0001F525\X0\"), "{text}");
    }

    #[test]
    fn the_time_stamp_is_the_given_date_or_a_fixed_one() {
        let points = [Vec3::ZERO, Vec3::new(100.0, 0.0, 0.0)];
        let text = |date: &str| step(&header(&points, &[], "x"), Body::Hollow, date);
        assert!(text("2025-03-31").contains("FILE_NAME('x','2025-03-31T00:00:00',"));
        assert!(text("").contains("FILE_NAME('x','1970-01-01T00:00:00',"));
    }
}
