//! The photo readers, fed with damaged files, wrong names and headers that lie about their size: they answer with a photo or with an
//! error that says something, and look at the size before they decode.
#![allow(clippy::unwrap_used)]

use app::survey_job::photo_files::search;
use fuzz::{Damage, files_below, peak_memory, rounds};

/// Most memory that photos of some hundred kilobytes may take, bytes, the test program included.
const MOST_MEMORY: u64 = 1 << 31;

fn sound() -> Vec<Vec<u8>> {
    let kept = files_below("checks/photos/given", &["jpg"]).unwrap();
    assert!(!kept.is_empty());
    let small = image::open(&kept[0]).unwrap().into_luma8();
    let small = image::imageops::thumbnail(&small, 320, 240);
    let written = |format| {
        let mut bytes = std::io::Cursor::new(Vec::new());
        small.write_to(&mut bytes, format).unwrap();
        bytes.into_inner()
    };
    let jpeg = written(image::ImageFormat::Jpeg);
    vec![with_exif(&jpeg), jpeg, written(image::ImageFormat::Png)]
}

/// The same photo with an EXIF segment: orientation, focal length, a maker's name.
fn with_exif(jpeg: &[u8]) -> Vec<u8> {
    let mut tiff = b"Exif\0\0II*\0\x08\0\0\0".to_vec();
    let entries: [(u16, u16, u32, u32); 4] =
        [(0x010f, 2, 4, u32::from_le_bytes(*b"abc\0")), (0x0112, 3, 1, 6), (0x8769, 4, 1, 62), (0xa405, 3, 1, 26)];
    tiff.extend((entries.len() as u16).to_le_bytes());
    for (tag, kind, count, value) in entries {
        tiff.extend(tag.to_le_bytes());
        tiff.extend(kind.to_le_bytes());
        tiff.extend(count.to_le_bytes());
        tiff.extend(value.to_le_bytes());
    }
    tiff.extend([0; 4]);
    let mut out = jpeg[..2].to_vec();
    out.extend([0xff, 0xe1]);
    out.extend((tiff.len() as u16 + 2).to_be_bytes());
    out.extend(tiff);
    out.extend(&jpeg[2..]);
    out
}

/// True when it was read; an error must be fit to be shown.
fn answers(bytes: &[u8]) -> bool {
    match search("x.jpg", bytes) {
        Ok((photo, grey)) => {
            assert_eq!(photo.file.camera.size, [grey.width, grey.height]);
            assert!(photo.found.sightings.iter().all(|s| s.tag < 587 && s.corners.iter().all(|c| c.is_finite())));
            true
        }
        Err(problem) => {
            let said = &problem.message;
            assert!(said.len() > 10 && said.len() < 600 && !said.chars().any(char::is_control), "{said:?}");
            assert!(!problem.expected.is_empty() && !problem.hint.is_empty(), "{said}");
            false
        }
    }
}

#[test]
fn damaged_photos() {
    let mut damage = Damage::new(23);
    for (n, sound) in sound().into_iter().enumerate() {
        assert!(answers(&sound), "{n}");
        let (mut good, mut bad) = (0, 0);
        for i in 0..rounds(250) {
            // Every second fault is in the headers.
            let split = if i % 2 == 0 { sound.len().min(200) } else { sound.len() };
            let mut bytes = damage.binary(&sound[..split]);
            bytes.extend(&sound[split..]);
            if answers(&bytes) { good += 1 } else { bad += 1 }
        }
        assert!(good + bad >= 250 && bad > 20, "{n}: {good} read, {bad} refused");
    }
    assert!(peak_memory().unwrap_or(0) < MOST_MEMORY);
}

#[test]
fn cut_off_photos_are_refused() {
    for sound in sound() {
        for part in 0..40 {
            assert!(!answers(&sound[..sound.len() * part / 40]), "{part} of 40");
        }
    }
}

/// A size of four billion pixels in the header of a file of some kilobytes.
#[test]
fn sizes_that_lie_are_refused_before_decoding() {
    let mut png = sound().pop().unwrap();
    png[16..24].copy_from_slice(&[0, 0, 255, 255, 0, 0, 255, 255]);
    // The checksum of the header, so that only the size is wrong (PNG, 5.5: over type and data).
    let crc = png[12..29].iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| if c & 1 == 1 { (c >> 1) ^ 0xedb8_8320 } else { c >> 1 })
    });
    png[29..33].copy_from_slice(&(!crc).to_be_bytes());
    let said = search("x.png", &png).unwrap_err();
    assert_eq!(said.code, "photo-size", "{}", said.message);
    let mut jpeg = sound().swap_remove(1);
    let frame = jpeg.windows(2).position(|w| w == [0xff, 0xc0] || w == [0xff, 0xc2]).unwrap();
    jpeg[frame + 5..frame + 9].copy_from_slice(&[255, 255, 255, 255]);
    assert_eq!(search("x.jpg", &jpeg).unwrap_err().code, "photo-size");
}

#[test]
fn other_files_are_no_photos() {
    for other in [&b""[..], b"\xff\xd8", b"\x89PNG\r\n\x1a\n", b"BM", &[0; 4000], &[0xff; 4000], b"\0\0\0\x18ftypheic"]
    {
        assert!(!answers(other));
    }
}
