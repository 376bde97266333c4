//! Photo files of a survey: found by name, read within limits, decoded to grey, searched for markers, with what their EXIF data says.

use std::fs;
use std::io::{self, Cursor, Read as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use job::Problem;
use survey::photo::detect::{Found, detect};
use survey::photo::grey::Grey;

use super::pixels::{self, Format};

/// Endings of photo files, in lower case.
pub const ENDINGS: [&str; 3] = ["jpg", "jpeg", "png"];
/// Longest photo file, bytes: a phone's best takes 25 MB.
pub const LONGEST: u64 = 64 << 20;
/// Most pixels of a photo: beyond any phone's single picture, and 1 GB when decoded in colour.
const MOST_PIXELS: u64 = 120_000_000;
/// Photos of one survey.
pub const MOST_PHOTOS: usize = 120;
/// Shorter side of the smallest photo that is read, pixels.
const LEAST_SIDE: u32 = 200;
/// Longest side divided by the shorter from which it is a panorama.
const PANORAMA: f64 = 2.3;
/// Longer side of a thumbnail, pixels, at most, and its JPEG quality.
const THUMBNAIL: (usize, u8) = (640, 80);

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

    /// One with the markers in it. A place that remembers what was found need not look again.
    ///
    /// # Errors
    /// Why it cannot be used, with how to fix it.
    fn searched(&self, name: &str) -> Result<Arc<SearchedPhoto>, Box<Problem>> {
        let bytes = self.bytes(name, LONGEST).map_err(|e| unreadable(name, &e))?;
        Ok(Arc::new(search(name, &bytes)?.0))
    }
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

/// A photo and the markers found in it.
#[derive(Debug, Clone)]
pub struct SearchedPhoto {
    /// The photo.
    pub file: PhotoFile,
    /// The markers.
    pub found: Found,
}

/// What is known of a photo beside its pixels.
#[derive(Debug, Clone)]
pub struct PhotoFile {
    /// File name.
    pub name: String,
    /// Its camera.
    pub camera: CameraName,
    /// When it was taken, as EXIF writes it.
    pub time: Option<String>,
    /// Width and height when it was taken, pixels, as EXIF says; others than those of the file when it was cut or made smaller.
    pub taken_size: Option<[usize; 2]>,
    /// Quarter turns clockwise by which it is to be shown; pixels and markers are as the sensor has them.
    pub turns: u32,
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

fn refusal(name: &str, code: &'static str, message: &str, hint: &str) -> Box<Problem> {
    let problem = Problem::error(code, format!("{name}: {message}"));
    Box::new(problem.expected("a photo in JPEG or PNG").hint(hint))
}

/// That a file cannot be read.
pub fn unreadable(name: &str, error: &io::Error) -> Box<Problem> {
    refusal(name, "unreadable-photo", &format!("cannot be read: {error}"), "check the file's name and rights")
}

fn broken(name: &str, why: &str) -> Box<Problem> {
    refusal(name, "broken-photo", why, "copy it from the phone again")
}

/// Format and size of a photo from its first bytes, within the limits; its pixels are not looked at.
///
/// # Errors
/// Why it cannot be used, with how to fix it.
pub fn sized(name: &str, bytes: &[u8]) -> Result<(Format, [u32; 2]), Box<Problem>> {
    let refuse = |code, message: &str, hint: &str| Err(refusal(name, code, message, hint));
    if bytes.len() as u64 > LONGEST {
        let message = format!("more than {} MB", LONGEST >> 20);
        return refuse("huge-photo", &message, "export it as JPEG at its full size");
    }
    if bytes.get(4..8) == Some(b"ftyp") {
        let hint = "set the phone's camera to JPEG (\"most compatible\"), or export the photos as JPEG at full size";
        return refuse("heic", "HEIC photos are not read", hint);
    }
    let Some(format) = Format::of(bytes) else {
        return refuse("not-a-photo", "neither JPEG nor PNG", "take it out of the folder or out of `files`");
    };
    if format == Format::Jpeg && !is_whole_jpeg(bytes) {
        return Err(broken(name, "the file ends early"));
    }
    let [width, height] = format.size(bytes).map_err(|e| broken(name, &format!("cannot be decoded: {e}")))?;
    let (long, short) = (width.max(height), width.min(height));
    if u64::from(width) * u64::from(height) > MOST_PIXELS || short < LEAST_SIDE {
        let hint = "use the phone's plain photo mode at full size";
        return refuse("photo-size", &format!("{width} x {height} pixels"), hint);
    }
    if f64::from(long) > PANORAMA * f64::from(short) {
        let hint = "take single photos: a panorama is put together and its geometry is lost";
        return refuse("panorama", &format!("{width} x {height} pixels look like a panorama"), hint);
    }
    Ok((format, [width, height]))
}

/// Whether a JPEG file reaches its end: decoders fill what is missing with grey. (ITU-T T.81, B.1: segments with their lengths up to the
/// first scan, FF D9 at the end; in the data of a scan FF is never followed by D9.)
fn is_whole_jpeg(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some([0xff, marker, high, low]) = bytes.get(at..at + 4) {
        if *marker == 0xff {
            at += 1;
            continue;
        }
        at += 2 + usize::from(u16::from_be_bytes([*high, *low]));
        if *marker == 0xda {
            return bytes.get(at..).is_some_and(|scan| scan.windows(2).any(|w| w == [0xff, 0xd9]));
        }
    }
    false
}

/// Decodes a photo and looks for markers; with its grey pixels.
///
/// # Errors
/// Why it cannot be used, with how to fix it.
pub fn search(name: &str, bytes: &[u8]) -> Result<(SearchedPhoto, Grey), Box<Problem>> {
    let (format, size) = sized(name, bytes)?;
    let size = size.map(|s| s as usize);
    let pixels = format.grey(bytes).map_err(|e| broken(name, &format!("cannot be decoded: {e}")))?;
    let grey = Grey::new(size[0], size[1], pixels).ok_or_else(|| broken(name, "its rows are incomplete"))?;
    let found = detect(&grey);
    Ok((SearchedPhoto { file: photo(name, size, exif_of(bytes).as_ref()), found }, grey))
}

/// A small picture of a photo, as JPEG; empty when it cannot be written.
pub fn thumbnail(grey: &Grey) -> Vec<u8> {
    let (most, quality) = THUMBNAIL;
    pixels::jpeg(&grey.shrunk(grey.width.max(grey.height).div_ceil(most)), quality)
}

/// What EXIF says, as far as it can be read: many programs write it a little wrong.
fn exif_of(bytes: &[u8]) -> Option<exif::Exif> {
    let mut reader = exif::Reader::new();
    let read = reader.continue_on_error(true).read_from_container(&mut Cursor::new(bytes));
    read.or_else(|e| e.distill_partial_result(|_| ())).ok()
}

fn photo(name: &str, size: [usize; 2], exif: Option<&exif::Exif>) -> PhotoFile {
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
    let turns = match whole(exif::Tag::Orientation) {
        Some(6) => 1,
        Some(3) => 2,
        Some(8) => 3,
        _ => 0,
    };
    PhotoFile { name: name.to_string(), camera: CameraName { model, film_mm, size }, time, taken_size, turns }
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
