//! Sets of rendered photos, adjusted and held against their truth: `photo_sets [first seed] [count] [width]`.
//!
//! How far plates are off is given with the bar measured exactly, and with a reading of it that has the error its standard deviation says; how honest
//! the standard deviations are (z) with that reading.

#[path = "../tests/scene/mod.rs"]
#[allow(dead_code)]
mod scene;

use std::sync::atomic::AtomicBool;
use std::time::Instant;

use scene::{Draw, SetPlan, axes, set};
use survey::photo::survey::adjust;

/// What varies from set to set.
pub fn plan(seed: u64, width: usize) -> SetPlan {
    let mut draw = Draw::new(seed + 5_000_000);
    let moved = (seed % 3 == 1).then(|| (4 + (seed as usize * 5) % 12, 4 + (seed as usize) % 5));
    let misprinted = (seed % 4 == 2).then_some((6 + (seed as usize) % 9, 0.97));
    SetPlan {
        width,
        photos: 12,
        print: draw.even(0.97, 1.01),
        bend: [0.0, 0.05, 0.1][(seed % 3) as usize],
        moved,
        misprinted,
        sharpen: [0.0, 0.6, 1.2][(seed as usize / 2) % 3],
        blur: draw.even(0.6, 1.1),
        motion: if seed.is_multiple_of(5) { 2.5 } else { 0.0 },
        quality: 80 + (seed % 4) as u8 * 4,
        covered: 0.12,
    }
}

fn main() {
    let number = |i: usize, default: u64| std::env::args().nth(i).and_then(|a| a.parse().ok()).unwrap_or(default);
    let (first, count, width) = (number(1, 1), number(2, 12), number(3, 2000) as usize);
    let (mut z2, mut zn, mut worst, mut worst_read, mut worst_tilt) = (0.0, 0, 0.0f64, 0.0f64, 0.0f64);
    for seed in first..first + count {
        let plan = plan(seed, width);
        let set = set(seed, plan);
        let began = Instant::now();
        let Some(answer) = adjust(&set.input, &AtomicBool::new(false)) else {
            println!("seed {seed}: no answer");
            continue;
        };
        let ms = began.elapsed().as_secs_f64() * 1e3;
        let reading = set.bar + axes::BAR_SD * Draw::new(seed + 9_000_000).normal();
        let exact = axes::places(&answer, set.bar, axes::BAR_SD);
        let (Some(places), Some(read)) = (exact, axes::places(&answer, reading, axes::BAR_SD)) else {
            println!("seed {seed}: a port or an end of the bar is seen in fewer than two photos");
            continue;
        };
        let (mut far, mut far_read, mut tilt) = (0.0f64, 0.0f64, 0.0f64);
        let faces = places.faces.iter().zip(&read.faces);
        for (plate, (face, read)) in answer.plates.iter().zip(faces).filter(|(p, _)| p.photos >= 3) {
            let (at, normal) = axes::truth(&set, plate);
            let (off, turned) = (face.at.distance(at), face.normal.angle_between(normal).to_degrees());
            if off > 0.3 || turned > 0.15 {
                let (sd, sd_tilt) = (face.sd.length(), face.sd_tilt.to_degrees());
                let (tag, photos) = (plate.tag, plate.photos);
                println!("  tag {tag} photos {photos} off {off:.2} sd {sd:.2} tilt {turned:.2} sd {sd_tilt:.2}");
            }
            (far, far_read, tilt) = (far.max(off), far_read.max(read.at.distance(at)), tilt.max(turned));
            for (e, sd) in (read.at - at).to_array().into_iter().zip(read.sd.to_array()) {
                if sd > 1e-3 {
                    z2 += (e / sd).powi(2);
                    zn += 1;
                }
            }
        }
        (worst, worst_read, worst_tilt) = (worst.max(far), worst_read.max(far_read), worst_tilt.max(tilt));
        let moved: Vec<(u32, usize)> = answer.plates.iter().filter_map(|p| Some((p.tag, p.moved_at?))).collect();
        let misprinted: Vec<u32> = answer.plates.iter().filter(|p| p.misprinted).map(|p| p.tag).collect();
        println!(
            "seed {seed}: off {far:.3} mm, bar read {far_read:.3}, {tilt:.3} deg; dots {:.3} px, bend {:.3} of {:.2}; rejected {}; moved {moved:?} of {:?}; misprinted {misprinted:?} of {:?}; print {:.4} of {:.4}; lost {:?}; {ms:.0} ms",
            answer.scatters.marks[0].seen,
            answer.scatters.marks[0].along,
            plan.bend,
            answer.rejected,
            plan.moved,
            plan.misprinted,
            places.scale,
            plan.print,
            answer.lost_tags
        );
    }
    let z = (z2 / f64::from(zn)).sqrt();
    println!("worst {worst:.3} mm, bar read {worst_read:.3} mm, {worst_tilt:.3} deg; z rms {z:.2}");
}
