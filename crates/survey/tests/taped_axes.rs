//! Axes on points that only a tape reaches, hung on a shape from photos (invented places).

use survey::DVec3;
use survey::matrix::Symmetric;
use survey::tape::frame::{Frame, Upright};
use survey::tape::network::{Network, Reading, ReadingKind};
use survey::tape::search::SearchSettings;
use survey::tape::shape::Shape;
use survey::tape::survey::{Answer, Input, survey};

/// Six markers, then the three points of the axes, mm, in the axes of the photos.
const PLACES: [[f64; 3]; 9] = [
    [0.0, 0.0, 0.0],
    [-290.0, 10.0, -15.0],
    [-500.0, 220.0, -330.0],
    [-410.0, 390.0, -280.0],
    [120.0, 240.0, 10.0],
    [-140.0, 40.0, 110.0],
    [-620.0, -150.0, 60.0],
    [260.0, -120.0, 90.0],
    [-200.0, -180.0, -420.0],
];
const AXES: [usize; 3] = [6, 7, 8];
const FRAME: Frame = Frame { origin: 7, forward: [6, 7], upright: Upright::Down(8) };
/// Standard deviation of a marker's place, mm.
const MARKER_SD: f64 = 0.3;

fn truth() -> Vec<DVec3> {
    FRAME.map(&PLACES.map(DVec3::from_array)).expect("axes")
}

/// The adjusted survey with `counts` readings from each point of the axes to markers, rounded to half a millimetre.
fn surveyed(counts: [usize; 3], slip: Option<(usize, f64)>) -> (Answer, Vec<Reading>) {
    let x = PLACES.map(DVec3::from_array);
    let mut readings = Vec::new();
    for (p, count) in AXES.into_iter().zip(counts) {
        let read = |q: usize| (2.0 * x[p].distance(x[q])).round() / 2.0;
        readings.extend((0..count).map(|q| Reading { kind: ReadingKind::Distance([p, q]), value: read(q), sd: 1.0 }));
    }
    if let Some((reading, by)) = slip {
        readings[reading].value += by;
    }
    let mut covariance = Symmetric::zero(18);
    (0..18).for_each(|i| *covariance.at_mut(i, i) = MARKER_SD * MARKER_SD);
    let shape = Shape { points: (0..6).collect(), at: x[..6].to_vec(), covariance, size: Some([200.0, 200.0, 0.05]) };
    let input = Input {
        network: Network::new(9, readings.clone()),
        frame: FRAME,
        side: None,
        tape_sd: 1.0,
        search: SearchSettings::default(),
        shape: Some(shape),
    };
    (survey(&input).expect("an answer"), readings)
}

#[test]
fn places_stand_in_axes_that_only_a_tape_reaches() {
    let (answer, readings) = surveyed([6, 6, 6], None);
    assert!(answer.is_settled() && answer.slips.is_empty(), "{:?}", answer.slips);
    for (p, is) in truth().into_iter().enumerate() {
        let off = answer.at[p] - is;
        let sd = answer.sd(p);
        assert!(off.length() < 1.5 && off.length() < 4.0 * sd.length() + 0.01, "{p}: {off}, sd {sd}");
        // What the tape is worth comes in through the axes: no marker is as sure in them as in the photos.
        assert!(p == FRAME.origin || sd.length() > MARKER_SD, "{p}: {sd}");
    }
    assert!(answer.unchecked_axes(&FRAME, &readings).is_empty());
}

#[test]
fn a_slip_at_a_point_of_the_axes_is_named() {
    let (answer, _) = surveyed([6, 6, 6], Some((8, 20.0)));
    assert!(answer.slips.iter().any(|s| s.reading == 8), "{:?}", answer.slips);
    let (slip, is) = (&answer.slips[0], truth());
    assert!((slip.proposed - is[7].distance(is[2])).abs() < 3.0, "{slip:?}");
}

#[test]
fn a_point_of_the_axes_with_three_readings_is_called_unchecked() {
    let (answer, readings) = surveyed([6, 6, 3], None);
    assert_eq!(answer.unchecked_axes(&FRAME, &readings), [8]);
    // As it is: none of the three is checked, and a slip in one goes unnamed.
    let (answer, _) = surveyed([6, 6, 3], Some((12, 20.0)));
    assert!(answer.slips.is_empty(), "{:?}", answer.slips);
}

#[test]
fn a_point_of_the_axes_with_two_readings_fixes_nothing() {
    let (answer, _) = surveyed([6, 6, 2], None);
    assert!(!answer.is_settled(), "sd {}", answer.sd(0));
}
