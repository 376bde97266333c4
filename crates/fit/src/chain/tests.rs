//! Twists against differences, and closed forms.

use std::f64::consts::FRAC_PI_2;

use super::*;

fn chain(links: usize) -> Chain {
    let start = Frame { origin: Vec3::new(1.0, 2.0, 3.0), forward: Vec3::X, up: Vec3::Z };
    Chain { start, inlet: Frame { origin: Vec3::new(100.0, 20.0, 60.0), forward: Vec3::Y, up: Vec3::X }, links }
}

/// Three pieces: bend, straight, bend; with every figure off its drawn value.
fn figures(chain: &Chain) -> Vec<f64> {
    let mut figures: Vec<f64> = (0..chain.figures()).map(|i| 0.003 * ((i * 7 % 5) as f64 - 2.0)).collect();
    for (k, [leg, clr, angle, out]) in
        [[30.0, 70.0, 1.1, 12.0], [200.0, 0.0, 0.0, 0.0], [5.0, 60.0, 0.7, 40.0]].iter().enumerate()
    {
        figures[figure(k, Slot::LegIn)] += leg;
        figures[figure(k, Slot::Clr)] = *clr;
        figures[figure(k, Slot::Angle)] = *angle;
        figures[figure(k, Slot::LegOut)] += out;
        figures[figure(k, Slot::Roll)] += 0.6 * k as f64;
    }
    figures
}

#[test]
fn slopes_of_every_figure_agree_with_differences() {
    let chain = chain(3);
    let base = figures(&chain);
    let laid = chain.lay(&base);
    let step = 1e-6;
    for index in 0..chain.figures() {
        let at = |d: f64| {
            let mut moved = base.clone();
            moved[index] += d;
            let laid = chain.lay(&moved);
            Miss::of(&laid.end(), &laid.inlet).parts
        };
        let (more, less) = (at(step), at(-step));
        let slope = Miss::slope(&laid, index);
        for part in 0..5 {
            let difference = (more[part] - less[part]) / (2.0 * step);
            assert!(
                (difference - slope[part]).abs() < 1e-5,
                "figure {index}, part {part}: {difference} {}",
                slope[part]
            );
        }
    }
}

#[test]
fn the_miss_alone_is_that_of_the_whole_and_lengths_change_as_by_differences() {
    let chain = chain(3);
    let base = figures(&chain);
    let laid = chain.lay(&base);
    assert_eq!(chain.miss(&base), Miss::of(&laid.end(), &laid.inlet));
    for index in 0..chain.figures() {
        let mut moved = base.clone();
        moved[index] += 0.5;
        let difference = (chain.length(&moved) - chain.length(&base)) / 0.5;
        assert!((difference - chain.length_slope(&base, index)).abs() < 1e-9, "figure {index}: {difference}");
    }
}

/// A quarter bend of CLR 100 up from x: the end lies 100 on and 100 up and looks up.
#[test]
fn a_quarter_bend_ends_where_a_pencil_puts_it() {
    let mut chain = chain(1);
    chain.start.origin = Vec3::ZERO;
    let mut figures = vec![0.0; chain.figures()];
    figures[figure(0, Slot::Clr)] = 100.0;
    figures[figure(0, Slot::Angle)] = FRAC_PI_2;
    figures[figure(0, Slot::LegOut)] = 50.0;
    let end = chain.lay(&figures).end();
    assert!((end.origin - Vec3::new(100.0, 0.0, 150.0)).length() < 1e-12);
    assert!((end.forward - Vec3::Z).length() < 1e-12 && (end.up + Vec3::X).length() < 1e-12);
    // One degree of clocking before it moves the end by 100 pi / 180 across, and 300 mm behind the bend by 5.24 more.
    figures[figure(0, Slot::Roll)] = 1f64.to_radians();
    figures[figure(0, Slot::LegOut)] = 300.0;
    let rolled = chain.lay(&figures).end().origin;
    assert!((rolled.y.abs() - 400.0 * 1f64.to_radians().sin()).abs() < 1e-9);
    assert!((300.0 * 1f64.to_radians() - 5.236).abs() < 1e-3);
}
