//! Fonts built into the program, and others as further fallback.

use std::collections::BTreeMap;
use std::fmt;
use std::io::Read as _;
use std::sync::{Arc, LazyLock};

use krilla::text::Font;
use parley::fontique::{Blob, Collection, CollectionOptions, FontInfo, FontInfoOverride, GenericFamily, SourceCache};
use parley::{FontContext, FontData};

use super::error::PdfError;

/// The built-in fonts in the order in which a character is looked for; those of East Asia and emoji, compressed, come last.
const BUILT_IN: [&[u8]; 6] = [
    include_bytes!("../../fonts/Inter-Regular.otf"),
    include_bytes!("../../fonts/Inter-Bold.otf"),
    include_bytes!("../../fonts/NotoSansHebrew-Regular.ttf"),
    include_bytes!("../../fonts/NotoSansArabic-Regular.ttf"),
    include_bytes!("../../fonts/NotoSansDevanagari-Regular.ttf"),
    include_bytes!("../../fonts/NotoSansThai-Regular.ttf"),
];
const EAST_ASIA: &[u8] = include_bytes!("../../fonts/WenQuanYiMicroHei.ttc.gz");
const EMOJI: &[u8] = include_bytes!("../../fonts/NotoEmoji-Regular.ttf.gz");

static READ: LazyLock<Fonts> = LazyLock::new(Fonts::built_in);

/// The fonts that papers are set in.
#[derive(Clone)]
pub struct Fonts {
    collection: Collection,
    families: Vec<String>,
    faces: Vec<(Blob<u8>, FontInfo)>,
}

impl Default for Fonts {
    /// The built-in ones.
    fn default() -> Self {
        READ.clone()
    }
}

impl fmt::Debug for Fonts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Fonts").field("families", &self.families).finish_non_exhaustive()
    }
}

/// A built-in file that is kept compressed; empty, and so no font, were it damaged.
fn unpacked(compressed: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    match flate2::read::GzDecoder::new(compressed).read_to_end(&mut bytes) {
        Ok(_) => bytes,
        Err(_) => Vec::new(),
    }
}

impl Fonts {
    /// The built-in ones, and behind them those of the given files; what is no font is passed over.
    pub fn with_files(files: Vec<Vec<u8>>) -> Self {
        let mut fonts = Fonts::default();
        for (number, file) in files.into_iter().enumerate() {
            let blob = Blob::new(Arc::new(file));
            // A file with one face gets its own name: one of a built-in family must not change how that is set.
            let alone = faces(&blob).len() == 1;
            fonts.add(blob, alone.then(|| format!("file {number}")));
        }
        fonts
    }

    /// The built-in ones, read from their bytes.
    pub(super) fn built_in() -> Self {
        let mut fonts = Fonts { collection: empty(), families: Vec::new(), faces: Vec::new() };
        for data in BUILT_IN {
            fonts.add(Blob::new(Arc::new(data)), None);
        }
        fonts.add(Blob::new(Arc::new(unpacked(EAST_ASIA))), None);
        fonts.add(Blob::new(Arc::new(unpacked(EMOJI))), None);
        let emoji = fonts.families.last().and_then(|name| fonts.collection.family_id(name));
        fonts.collection.set_generic_families(GenericFamily::Emoji, emoji.into_iter());
        fonts
    }

    /// Whether a font file holds one of these characters.
    pub fn file_has(bytes: &[u8], characters: &[char]) -> bool {
        let blob = Blob::new(Arc::new(bytes.to_vec()));
        faces(&blob).iter().any(|face| characters.iter().any(|c| covers(&blob, face, *c)))
    }

    /// Whether one of them has that character.
    pub fn has(&self, character: char) -> bool {
        self.faces.iter().any(|(data, face)| covers(data, face, character))
    }

    /// Names of the families, each once, in the order in which a character is looked for.
    pub(super) fn families(&self) -> &[String] {
        &self.families
    }

    /// Shaping context.
    pub(super) fn context(&self) -> FontContext {
        FontContext { collection: self.collection.clone(), source_cache: SourceCache::default() }
    }

    fn add(&mut self, data: Blob<u8>, family: Option<String>) {
        let named = FontInfoOverride { family_name: family.as_deref(), ..FontInfoOverride::default() };
        let mut added: Vec<(String, Vec<FontInfo>)> = Vec::new();
        for (id, faces) in self.collection.register_fonts(data.clone(), Some(named)) {
            added.push((self.collection.family_name(id).unwrap_or_default().to_string(), faces));
        }
        // The families of one file have no defined order.
        added.sort_by(|a, b| a.0.cmp(&b.0));
        for (name, faces) in added {
            if !self.families.contains(&name) {
                self.families.push(name);
            }
            self.faces.extend(faces.into_iter().map(|face| (data.clone(), face)));
        }
    }
}

fn empty() -> Collection {
    Collection::new(CollectionOptions { shared: false, system_fonts: false })
}

fn faces(data: &Blob<u8>) -> Vec<FontInfo> {
    empty().register_fonts(data.clone(), None).into_iter().flat_map(|(_, faces)| faces).collect()
}

fn covers(data: &Blob<u8>, face: &FontInfo, character: char) -> bool {
    let map = face.charmap_index().charmap(data.as_ref());
    map.and_then(|map| map.map(u32::from(character))).is_some_and(|glyph| glyph != 0)
}

/// The fonts that are embedded in a file, each read once.
#[derive(Default)]
pub(super) struct Faces {
    read: BTreeMap<(u64, u32), Font>,
}

impl Faces {
    /// The font to embed for one that a text was shaped with.
    ///
    /// # Errors
    /// [`PdfError::Font`] when it can't be read.
    pub fn get(&mut self, font: &FontData) -> Result<Font, PdfError> {
        let key = (font.data.id(), font.index);
        if let Some(read) = self.read.get(&key) {
            return Ok(read.clone());
        }
        let (data, _) = font.data.clone().into_raw_parts();
        let read = Font::new(data.into(), font.index).ok_or(PdfError::Font)?;
        self.read.insert(key, read.clone());
        Ok(read)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scripts_of_the_table_are_covered() {
        let fonts = Fonts::default();
        for c in "aé€ß±°×→Ωж שלום سلام कष ไทย 中文漢字 日本かな 한국 😀🔧".chars()
        {
            assert!(fonts.has(c), "{c} {:x}", u32::from(c));
        }
        assert!(!fonts.has('\u{12000}'), "cuneiform is in none");
    }

    #[test]
    fn what_is_no_font_is_passed_over() {
        assert_eq!(Fonts::with_files(vec![b"no font".to_vec()]).families(), Fonts::default().families());
        assert!(!Fonts::file_has(b"no font", &['a']));
    }

    #[test]
    fn a_file_of_a_built_in_family_goes_under_a_name_of_its_own() {
        let fonts = Fonts::with_files(vec![BUILT_IN[1].to_vec()]);
        assert_eq!(fonts.families().len(), Fonts::default().families().len() + 1);
        assert!(Fonts::file_has(BUILT_IN[1], &['\u{12000}', 'a']));
    }
}
