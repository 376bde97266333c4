//! Fonts built into the program, and others as further fallback.

use std::sync::LazyLock;

use typst::foundations::Bytes;
use typst::text::{Font, FontBook, FontInfo};
use typst::utils::LazyHash;

/// The built-in fonts in the order in which a character is looked for.
const OWN: [&[u8]; 8] = [
    include_bytes!("../../fonts/Inter-Regular.otf"),
    include_bytes!("../../fonts/Inter-Bold.otf"),
    include_bytes!("../../fonts/NotoSansHebrew-Regular.ttf"),
    include_bytes!("../../fonts/NotoSansArabic-Regular.ttf"),
    include_bytes!("../../fonts/NotoSansDevanagari-Regular.ttf"),
    include_bytes!("../../fonts/NotoSansThai-Regular.ttf"),
    include_bytes!("../../fonts/WenQuanYiMicroHei.ttc"),
    include_bytes!("../../fonts/NotoEmoji-Regular.ttf"),
];

static READ: LazyLock<Vec<Font>> =
    LazyLock::new(|| OWN.iter().flat_map(|data| Font::iter(Bytes::new(*data))).collect());

/// The fonts that papers are set in.
#[derive(Debug, Clone)]
pub struct Fonts {
    fonts: Vec<Font>,
    book: LazyHash<FontBook>,
}

impl Default for Fonts {
    /// The built-in ones.
    fn default() -> Self {
        Fonts::of(READ.clone())
    }
}

impl Fonts {
    fn of(fonts: Vec<Font>) -> Self {
        let book = LazyHash::new(FontBook::from_fonts(&fonts));
        Fonts { fonts, book }
    }

    /// The built-in ones, and behind them those of the given files; what is no font is passed over.
    pub fn with_files(files: Vec<Vec<u8>>) -> Self {
        let more = files.into_iter().flat_map(|data| Font::iter(Bytes::new(data)).collect::<Vec<_>>());
        Fonts::of(READ.iter().cloned().chain(more).collect())
    }

    /// Whether a font file holds one of these characters.
    pub fn file_has(bytes: &[u8], characters: &[char]) -> bool {
        FontInfo::iter(bytes).any(|info| characters.iter().any(|c| info.coverage.contains(u32::from(*c))))
    }

    /// Whether one of them has that character.
    pub fn has(&self, character: char) -> bool {
        self.fonts.iter().any(|f| f.info().coverage.contains(u32::from(character)))
    }

    pub(super) fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    pub(super) fn get(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    /// Names of the families, each once, in order.
    pub(super) fn families(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        for font in &self.fonts {
            if !names.contains(&font.info().family) {
                names.push(font.info().family.clone());
            }
        }
        names
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
    }
}
