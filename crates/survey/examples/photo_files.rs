//! Writes a small rendered set as photo files with their truth: `photo_files FOLDER [seed]`. The kept set in `checks/photos` was made so.

#[path = "../tests/scene/mod.rs"]
#[allow(dead_code)]
mod scene;

use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::PathBuf;

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageEncoder};
use scene::{SetPlan, axes, set_with};
use survey::photo::survey::Plate;

const PLAN: SetPlan = SetPlan {
    width: 1200,
    photos: 8,
    print: 0.985,
    bend: 0.05,
    moved: Some((9, 5)),
    misprinted: None,
    sharpen: 0.6,
    blur: 0.7,
    motion: 0.0,
    quality: 92,
    covered: 0.0,
};

fn main() -> io::Result<()> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().unwrap_or_else(|| "photos".into()));
    let seed = arguments.next().and_then(|a| a.parse().ok()).unwrap_or(7);
    fs::create_dir_all(&folder)?;
    let mut result = Ok(());
    let set = set_with(seed, PLAN, &mut |number, grey| {
        let mut jpeg = Vec::new();
        let encoder = JpegEncoder::new_with_quality(&mut jpeg, 82);
        let (width, height) = (grey.width as u32, grey.height as u32);
        let written = encoder.write_image(&grey.pixels, width, height, ExtendedColorType::L8).map_err(io::Error::other);
        let written = written.and_then(|()| fs::write(folder.join(format!("IMG_{:02}.jpg", number + 1)), jpeg));
        result = std::mem::replace(&mut result, Ok(())).and(written);
    });
    result?;
    let mut truth = String::from("tag,x,y,z,normal x,normal y,normal z\n");
    for tag in 0..set.plates.len() as u32 {
        let (at, normal) = axes::truth(&set, &Plate { tag, photos: 0, moved_at: None, misprinted: false });
        let _ = writeln!(
            truth,
            "{tag},{:.4},{:.4},{:.4},{:.6},{:.6},{:.6}",
            at.x, at.y, at.z, normal.x, normal.y, normal.z
        );
    }
    fs::write(folder.join("truth.csv"), truth)?;
    println!("bar {:.3} mm", set.bar);
    Ok(())
}
