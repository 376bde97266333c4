//! Photo files of a survey: found by name, read within limits, decoded to grey, with what their EXIF data says.

use std::fs;
use std::io::{self, Cursor, Read as _};
use std::path::{Path, PathBuf};

use image::{ImageFormat, ImageReader, Limits};
use job::Problem;
use job::source::Spot;
use survey::photo::grey::Grey;

/// Longest photo file, bytes: a phone's best takes 25 MB.
const LONGEST: u64 = 64 << 20;
/// Most pixels of a photo: beyond any phone's single picture, and 1 GB when decoded in colour.
const MOST_PIXELS: u64 = 120_000_000;
/// Photos of one survey.
pub const MOST_PHOTOS: usize = 120;
/// Longest side divided by the shorter from which it is a panorama.
const PANORAMA: f64 = 2.3;

/// Where the photos of a survey are kept.
pub trait PhotoFiles: Sync {
    /// Names of all files there.
    ///
    /// # Errors
    /// What the system says.
    fn names(&self) -> io::Result<Vec<String>>;

    /// The bytes of one, at most `most` and one more.
    ///
    /// # Errors
    /// What the system says.
    fn bytes(&self, name: &str, most: u64) -> io::Result<Vec<u8>>;
}

/// Photos in a folder.
#[derive(Debug, Clone)]
pub struct PhotoFolder(pub PathBuf);

impl PhotoFolder {
    /// The folder of a job, given as such or by a file in it.
    pub fn of(path: &Path) -> PhotoFolder {
        let folder = if path.is_dir() { path } else { path.parent().unwrap_or(Path::new(".")) };
        PhotoFolder(if folder.as_os_str().is_empty() { PathBuf::from(".") } else { folder.to_path_buf() })
    }
}

impl PhotoFiles for PhotoFolder {
    fn names(&self) -> io::Result<Vec<String>> {
        let files = fs::read_dir(&self.0)?.flatten().filter(|e| e.path().is_file());
        Ok(files.filter_map(|e| e.file_name().into_string().ok()).collect())
    }

    fn bytes(&self, name: &str, most: u64) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        fs::File::open(self.0.join(name))?.take(most + 1).read_to_end(&mut bytes)?;
        Ok(bytes)
    }
}

/// A photo's camera, so far as EXIF says: photos with the same one share a lens.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct CameraName {
    /// Maker and model.
    pub model: String,
    /// Focal length as on 35 mm film, mm.
    pub film_mm: Option<u32>,
    /// Width and height, pixels.
    pub size: [usize; 2],
}

/// A photo that was read.
#[derive(Debug, Clone)]
pub struct PhotoFile {
    /// File name.
    pub name: String,
    /// Grey pixels, as the sensor has them.
    pub grey: Grey,
    /// Its camera.
    pub camera: CameraName,
    /// When it was taken, as EXIF writes it.
    pub time: Option<String>,
    /// Width and height when it was taken, pixels, as EXIF says; others than those of the file when it was cut or made smaller.
    pub taken_size: Option<[usize; 2]>,
}

/// Names that match one of the patterns, sorted so that 9 comes before 10.
pub fn matching(patterns: &[String], mut names: Vec<String>) -> Vec<String> {
    names.retain(|name| patterns.iter().any(|p| matches(&p.to_lowercase(), &name.to_lowercase())));
    names.sort_by_key(|name| natural(name));
    names.dedup();
    names
}

/// `*` stands for any letters, `?` for one.
fn matches(pattern: &str, name: &str) -> bool {
    let (pattern, name): (Vec<char>, Vec<char>) = (pattern.chars().collect(), name.chars().collect());
    // Which prefixes of the name the pattern so far can stand for.
    let mut reached = vec![false; name.len() + 1];
    reached[0] = true;
    for p in pattern {
        if p == '*' {
            let first = reached.iter().position(|r| *r).unwrap_or(reached.len());
            reached.iter_mut().skip(first).for_each(|r| *r = true);
        } else {
            for i in (0..name.len()).rev() {
                reached[i + 1] = reached[i] && (p == '?' || p == name[i]);
            }
            reached[0] = false;
        }
    }
    reached[name.len()]
}

/// Letters as they are, numbers by their value.
fn natural(name: &str) -> Vec<(u64, String)> {
    let mut parts: Vec<(u64, String)> = Vec::new();
    let mut digits = String::new();
    for c in name.to_lowercase().chars().chain(['\0']) {
        if c.is_ascii_digit() && digits.len() < 18 {
            digits.push(c);
            continue;
        }
        if !digits.is_empty() {
            parts.push((digits.parse().unwrap_or(0), String::new()));
            digits.clear();
        }
        parts.push((0, c.to_string()));
    }
    parts
}

/// Reads one photo.
///
/// # Errors
/// Why it cannot be used, with how to fix it; `spot` is where the survey asks for it.
pub fn read(files: &dyn PhotoFiles, name: &str, spot: &Spot) -> Result<PhotoFile, Box<Problem>> {
    let refuse = |code: &'static str, message: String, hint: &str| {
        let problem = Problem::error(code, format!("{name}: {message}")).at(spot.clone());
        Box::new(problem.expected("a photo in JPEG or PNG").hint(hint))
    };
    let bytes = files
        .bytes(name, LONGEST)
        .map_err(|e| refuse("unreadable-photo", format!("cannot be read: {e}"), "check the file's name and rights"))?;
    if bytes.len() as u64 > LONGEST {
        return Err(refuse(
            "huge-photo",
            format!("more than {} MB", LONGEST >> 20),
            "export it as JPEG at its full size",
        ));
    }
    if bytes.get(4..8) == Some(b"ftyp") {
        let hint = "set the phone's camera to JPEG (\"most compatible\"), or export the photos as JPEG at full size";
        return Err(refuse("heic", "HEIC photos are not read".into(), hint));
    }
    let format = match image::guess_format(&bytes) {
        Ok(format @ (ImageFormat::Jpeg | ImageFormat::Png)) => format,
        _ => {
            return Err(refuse(
                "not-a-photo",
                "neither JPEG nor PNG".into(),
                "take it out of the folder or out of `files`",
            ));
        }
    };
    let broken = |e: image::ImageError| {
        refuse("broken-photo", format!("cannot be decoded: {e}"), "copy it from the phone again")
    };
    let (width, height) = ImageReader::with_format(Cursor::new(&bytes), format).into_dimensions().map_err(broken)?;
    if u64::from(width) * u64::from(height) > MOST_PIXELS || width < 200 || height < 200 {
        let hint = "use the phone's plain photo mode at full size";
        return Err(refuse("photo-size", format!("{width} x {height} pixels"), hint));
    }
    if f64::from(width.max(height)) > PANORAMA * f64::from(width.min(height)) {
        let hint = "take single photos: a panorama is put together and its geometry is lost";
        return Err(refuse("panorama", format!("{width} x {height} pixels look like a panorama"), hint));
    }
    let mut reader = ImageReader::with_format(Cursor::new(&bytes), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(2 << 30);
    reader.limits(limits);
    let grey = reader.decode().map_err(broken)?.into_luma8();
    let size = [width as usize, height as usize];
    let Some(grey) = Grey::new(size[0], size[1], grey.into_raw()) else {
        return Err(refuse("broken-photo", "its rows are incomplete".into(), "copy it from the phone again"));
    };
    Ok(photo(name, grey, size, exif_of(&bytes).as_ref()))
}

/// What EXIF says, as far as it can be read: many programs write it a little wrong.
fn exif_of(bytes: &[u8]) -> Option<exif::Exif> {
    let mut reader = exif::Reader::new();
    let read = reader.continue_on_error(true).read_from_container(&mut Cursor::new(bytes));
    read.or_else(|e| e.distill_partial_result(|_| ())).ok()
}

fn photo(name: &str, grey: Grey, size: [usize; 2], exif: Option<&exif::Exif>) -> PhotoFile {
    let text = |tag: exif::Tag| {
        let field = exif?.get_field(tag, exif::In::PRIMARY)?;
        let exif::Value::Ascii(parts) = &field.value else { return None };
        let text: String = parts.iter().map(|p| String::from_utf8_lossy(p).into_owned()).collect();
        Some(text.chars().filter(|c| !c.is_control()).take(60).collect::<String>())
    };
    let whole = |tag: exif::Tag| exif?.get_field(tag, exif::In::PRIMARY)?.value.get_uint(0);
    let model = [exif::Tag::Make, exif::Tag::Model].into_iter().filter_map(text).collect::<Vec<_>>().join(" ");
    let film_mm = whole(exif::Tag::FocalLengthIn35mmFilm).filter(|f| (5..=500).contains(f));
    let time = text(exif::Tag::DateTimeOriginal).or_else(|| text(exif::Tag::DateTime));
    let taken = [exif::Tag::PixelXDimension, exif::Tag::PixelYDimension].map(|tag| whole(tag).map(|v| v as usize));
    let taken_size = taken[0].zip(taken[1]).map(|(w, h)| [w, h]).filter(|t| t.iter().all(|v| *v > 0));
    PhotoFile { name: name.to_string(), grey, camera: CameraName { model, film_mm, size }, time, taken_size }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_match_as_in_a_shell() {
        assert!(matches("img_*.jpg", "img_01.jpg") && matches("*", "x") && matches("a?c*", "abc"));
        assert!(!matches("img_*.jpg", "img_01.png") && !matches("a?c", "ac"));
        let names = ["IMG_10.jpg", "img_9.JPG", "x.toml"].map(String::from).to_vec();
        assert_eq!(matching(&["img_*.jpg".into()], names), ["img_9.JPG", "IMG_10.jpg"]);
    }
}
