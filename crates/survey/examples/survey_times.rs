//! Times of one thread: a tape survey of 19 points, the search of a photo of 12 megapixels, 30 photos adjusted.
//! Processor time where the system tells it, so that other work on the machine does not count. `survey_times FOLDER` also writes that
//! photo and the adjusted scene there, for `bench/survey.py`.

#[path = "../tests/bay/mod.rs"]
#[allow(dead_code)]
mod bay;
#[path = "photo_scene.rs"]
#[allow(dead_code)]
mod photo_scene;
#[path = "../tests/scene/mod.rs"]
#[allow(dead_code)]
mod scene;

use std::fs;
use std::io;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use scene::{SetPlan, photo, set};
use survey::photo::detect::detect;
use survey::photo::survey::adjust;
use survey::tape::survey::survey;

/// Seconds of processor time of this thread (Linux), else none.
fn processor() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(text.split_whitespace().next()?.parse::<f64>().ok()? * 1e-9)
}

/// The median of five runs.
fn timed<T>(what: &str, mut run: impl FnMut() -> T) {
    let mut times: Vec<f64> = (0..5)
        .map(|_| {
            let (began, before) = (Instant::now(), processor());
            std::hint::black_box(run());
            before.zip(processor()).map_or(began.elapsed().as_secs_f64(), |(a, b)| b - a)
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!("{what}: median {:.3} s, most {:.3} s", times[2], times[4]);
}

fn main() -> io::Result<()> {
    let folder = std::env::args().nth(1);
    for slips in [0, 2] {
        let bay = bay::bay(11 + slips, bay::Plan { each: 5, levels: false, inches: false, slips: slips as usize });
        timed(&format!("tape survey, 19 points, 85 readings, {slips} slips"), || survey(&bay.input));
    }
    let plan = SetPlan {
        width: 4000,
        photos: 30,
        print: 1.0,
        bend: 0.05,
        moved: None,
        misprinted: None,
        sharpen: 0.6,
        blur: 0.9,
        motion: 0.0,
        quality: 90,
        covered: 0.1,
    };
    let grey = photo(3, plan);
    println!("markers in the photo: {}", detect(&grey).sightings.len());
    timed("a photo of 12 megapixels searched", || detect(&grey));
    let set = set(4, SetPlan { width: 1200, ..plan });
    let adjusted = || adjust(&set.input, &AtomicBool::new(false));
    timed("30 photos of 20 plates adjusted", adjusted);
    if let (Some(folder), Some(answer)) = (folder, adjusted()) {
        let (width, height) = (grey.width as u32, grey.height as u32);
        let kind = image::ExtendedColorType::L8;
        image::save_buffer(format!("{folder}/photo.png"), &grey.pixels, width, height, kind)
            .map_err(io::Error::other)?;
        let names: Vec<String> = (0..plan.photos).map(|n| n.to_string()).collect();
        fs::write(format!("{folder}/scene.csv"), photo_scene::scene_lines(&names, &answer).join("\n"))?;
    }
    Ok(())
}
