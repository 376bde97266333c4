//! One `[[measured]]` of fit.toml as readings of the chain, when it can be what was built.

use fit::reading::frame;
use fit::{At, Reading, ReadingKind};
use geom::{Frame, Vec3};
use job::fit::Measured;
use job::problem::Problem;

use crate::fit_bench::{Bench, RunBuild, add, place_of, wrong};

/// An end farther than this from the drawing is another end, another unit or a slip, mm.
const FARTHEST: f64 = 50.0;
/// The same for a direction, degrees.
const MOST_TURNED: f64 = 15.0;
/// Places of distances nearer to one line than this share of their reach see the place only across it.
const IN_LINE: f64 = 0.08;

/// An end as planned, and the other ends that it could be confused with.
pub(crate) struct Drawn {
    at: At,
    frame: Frame,
    others: Vec<(String, Vec3)>,
}

impl Drawn {
    pub(crate) fn of(build: &RunBuild, at: At, bench: &Bench) -> Drawn {
        let run = &build.run;
        let laid = run.chain.lay(&build.planned);
        let ends = run.parts.iter().enumerate().map(|(k, p)| (format!("the end of {}", p.mark), laid.exit[k].origin));
        let others = ends.chain(bench.named.iter().cloned()).collect();
        Drawn { at, frame: frame(&laid, at), others }
    }
}

/// Adds what was read there to a run's readings.
pub(crate) fn read(
    build: &mut RunBuild,
    measured: &Measured,
    drawn: &Drawn,
    bench: &Bench,
    problems: &mut Vec<Problem>,
) {
    let at = drawn.at;
    for (key, place) in [("at", measured.at), ("table", measured.table.and_then(|t| off_table(t, bench)))] {
        let Some(place) = place.filter(|p| can_be_there(*p, drawn, bench, (measured, key), problems)) else { continue };
        add(
            build,
            Reading { kind: ReadingKind::Place(at, place), sd: bench.measuring.place },
            &measured.places,
            key,
            "centre",
        );
    }
    distances(build, measured, drawn, bench, problems);
    directions(build, measured, drawn, bench, problems);
    if let (Some(line), At::After(link)) = (measured.line, at) {
        let across = line.reject_from(drawn.frame.forward).length();
        if across < 0.5 {
            problems.push(wrong(
                "line-along-flow",
                measured.places.of("line"),
                "`line` points along the tube, not across it",
                "the direction from the centre to the reference line on the wall",
                "measure from the centre straight out to the line",
            ));
            return;
        }
        let kind = ReadingKind::Line(link, line);
        add(build, Reading { kind, sd: bench.measuring.line }, &measured.places, "line", "reference line");
    }
}

/// A place over the jig's table in the vehicle's axes.
fn off_table(at: Vec3, bench: &Bench) -> Option<Vec3> {
    let table = bench.jig.as_ref()?.table;
    Some(table.origin + table.forward * at.x + table.up.cross(table.forward) * at.y + table.up * at.z)
}

fn can_be_there(
    place: Vec3,
    drawn: &Drawn,
    bench: &Bench,
    (measured, key): (&Measured, &str),
    problems: &mut Vec<Problem>,
) -> bool {
    let off = (place - drawn.frame.origin).length();
    if off <= FARTHEST {
        return true;
    }
    let near = drawn.others.iter().find(|(_, other)| (*other - place).length() < 15.0);
    let scaled = |factor: f64| key == "at" && (place * factor - drawn.frame.origin).length() <= FARTHEST;
    let hint = if scaled(25.4) {
        "these look like inches: write each with its unit, \"3.5 in\"".to_string()
    } else if scaled(1.0 / 25.4) {
        "these look like millimetres: write each with its unit, \"91.8 mm\"".to_string()
    } else if let Some((name, _)) = near {
        format!("this is where {name} lies: check which end was measured")
    } else {
        "check signs, unit and which end was measured".to_string()
    };
    let [x, y, z] = drawn.frame.origin.to_array().map(|c| job::show::exact(c, bench.units));
    problems.push(wrong(
        "far-off",
        measured.places.of(key),
        format!("this end would be {} from where it is drawn", bench.long(off)),
        format!("near [{x}, {y}, {z}] {} in the vehicle's axes", bench.units.word()),
        hint,
    ));
    false
}

fn distances(build: &mut RunBuild, measured: &Measured, drawn: &Drawn, bench: &Bench, problems: &mut Vec<Problem>) {
    let mut spheres: Vec<(Vec3, f64)> = Vec::new();
    let known = problems.len();
    for (from, is, places) in &measured.distances {
        let Some(place) = place_of(from, bench, places.of("from"), problems) else { continue };
        let expected = (drawn.frame.origin - place).length();
        if (is - expected).abs() > FARTHEST {
            let scaled = |factor: f64| (is * factor - expected).abs() <= FARTHEST;
            let hint = if scaled(25.4) {
                "this looks like inches: write it with its unit, \"12 1/4 in\""
            } else if scaled(1.0 / 25.4) {
                "this looks like millimetres: write it with its unit, \"310.5 mm\""
            } else {
                "check where the tape was held and which end was measured"
            };
            let message = format!("a distance of {} is {} off the drawing", bench.long(*is), bench.long(is - expected));
            problems.push(wrong("far-off", places.of("is"), message, format!("near {}", bench.long(expected)), hint));
            continue;
        }
        spheres.push((place, *is));
        let kind = ReadingKind::Distance(drawn.at, place, *is);
        add(build, Reading { kind, sd: bench.measuring.distance }, places, "is", "distance");
    }
    if problems.len() > known || spheres.len() < 3 {
        return;
    }
    let spot = measured.places.of("distances");
    let missed = misfit(&spheres, drawn.frame.origin);
    if missed > (4.0 * bench.measuring.distance).max(2.0) {
        problems.push(wrong(
            "distances",
            spot,
            format!("these distances cannot meet in one place: they miss by {}", bench.long(missed)),
            "distances that meet, each from the place that is named",
            "measure them again; check which is from where",
        ));
    } else if in_line(&spheres) && measured.at.is_none() && measured.table.is_none() {
        let message = "the places of these distances lie nearly in one line: the end is known only across it";
        let problem =
            wrong("in-line", spot, message, "places well apart in two directions", "measure one more from aside");
        problems.push(problem.as_warning());
    }
}

/// How far the nearest place misses the spheres' surfaces at most, mm: Gauss-Newton on both sides of their plane.
fn misfit(spheres: &[(Vec3, f64)], start: Vec3) -> f64 {
    let mut at = start;
    for _ in 0..50 {
        let (mut normal, mut right) = ([Vec3::ZERO; 3], Vec3::ZERO);
        for (centre, radius) in spheres {
            let away = at - *centre;
            let unit = away.normalize_or_zero();
            let off = radius - away.length();
            right += unit * off;
            for (row, part) in normal.iter_mut().zip(unit.to_array()) {
                *row += unit * part;
            }
        }
        for (row, axis) in normal.iter_mut().zip(Vec3::AXES) {
            *row += axis * 1e-6;
        }
        let step = solved(normal, right);
        at += step.clamp_length_max(50.0);
        if step.length() < 1e-6 {
            break;
        }
    }
    spheres.iter().map(|(c, r)| ((at - *c).length() - r).abs()).fold(0.0, f64::max)
}

/// The solution of a symmetric system of three rows, by Cramer's rule.
fn solved(rows: [Vec3; 3], right: Vec3) -> Vec3 {
    let determinant = rows[0].dot(rows[1].cross(rows[2]));
    if determinant.abs() < 1e-18 {
        return Vec3::ZERO;
    }
    (rows[1].cross(rows[2]) * right.x + rows[2].cross(rows[0]) * right.y + rows[0].cross(rows[1]) * right.z)
        / determinant
}

/// Whether places lie nearly in one line.
fn in_line(spheres: &[(Vec3, f64)]) -> bool {
    let first = spheres[0].0;
    let ways: Vec<Vec3> = spheres.iter().map(|(c, _)| *c - first).collect();
    let longest = ways.iter().copied().max_by(|a, b| a.length().total_cmp(&b.length())).unwrap_or(Vec3::ZERO);
    let Some(line) = longest.try_normalize() else { return true };
    let aside = ways.iter().map(|w| w.reject_from_normalized(line).length()).fold(0.0, f64::max);
    aside < IN_LINE * longest.length()
}

fn directions(build: &mut RunBuild, measured: &Measured, drawn: &Drawn, bench: &Bench, problems: &mut Vec<Problem>) {
    let by_finder = measured.heading_rise.and_then(|[heading, rise]| {
        let table = bench.jig.as_ref()?.table;
        let flat = table.forward * heading.cos() + table.up.cross(table.forward) * heading.sin();
        Some((flat * rise.cos() + table.up * rise.sin(), bench.measuring.direction))
    });
    let by_rod = measured.points.map(|[a, b]| {
        let length = (b - a).length();
        ((b - a) / length, bench.measuring.point * std::f64::consts::SQRT_2 / length)
    });
    let by_axis = measured.axis.map(|axis| (axis, bench.measuring.direction));
    for (key, given) in [("axis", by_axis), ("points", by_rod), ("heading", by_finder)] {
        let Some((axis, sd)) = given else { continue };
        if !can_point_there(axis, drawn, (measured, key), problems) {
            continue;
        }
        let kind = ReadingKind::Direction(drawn.at, axis);
        add(build, Reading { kind, sd }, &measured.places, key, "direction");
    }
    // A rod whose end says where the axis is, where nothing else does.
    let placed = measured.at.is_some() || measured.table.is_some() || !measured.distances.is_empty();
    if let Some([first, _]) = measured.points.filter(|_| !placed && problems.is_empty()) {
        let kind = ReadingKind::OnAxis(drawn.at, first);
        add(build, Reading { kind, sd: bench.measuring.point }, &measured.places, "points", "rod");
    }
}

fn can_point_there(axis: Vec3, drawn: &Drawn, (measured, key): (&Measured, &str), problems: &mut Vec<Problem>) -> bool {
    let turned = axis.angle_between(drawn.frame.forward).to_degrees();
    if turned <= MOST_TURNED {
        return true;
    }
    let [x, y, z] = drawn.frame.forward.to_array();
    let hint = if turned >= 180.0 - MOST_TURNED {
        let back = 180.0 - turned;
        format!("it points against the flow: turned round it would be {back:.1} degrees off the drawing")
    } else {
        "check signs and which end was measured; the direction is that of the flow".to_string()
    };
    problems.push(wrong(
        "far-off",
        measured.places.of(key),
        format!("this direction is {turned:.1} degrees from the drawn one"),
        format!("near [{x:.3}, {y:.3}, {z:.3}], along the flow"),
        hint,
    ));
    false
}
