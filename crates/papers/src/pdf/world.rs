//! What the layout engine sees: one template, the data, the fonts. No file, no clock, no network.

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Dict};
use typst::syntax::{FileId, Source};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

use super::fonts::Fonts;

/// The template.
const TEMPLATE: &str = include_str!("sheets.typ");

/// A world with one file in it.
pub(super) struct SheetWorld<'a> {
    library: LazyHash<Library>,
    template: Source,
    fonts: &'a Fonts,
}

impl<'a> SheetWorld<'a> {
    pub(super) fn new(inputs: Dict, fonts: &'a Fonts) -> Self {
        let library = LazyHash::new(Library::builder().with_inputs(inputs).build());
        SheetWorld { library, template: Source::detached(TEMPLATE), fonts }
    }
}

impl World for SheetWorld<'_> {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        self.fonts.book()
    }

    fn main(&self) -> FileId {
        self.template.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.template.id() { Ok(self.template.clone()) } else { Err(missing(id)) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        Err(missing(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index)
    }

    fn today(&self, _offset: Option<i64>) -> Option<Datetime> {
        None
    }
}

fn missing(id: FileId) -> FileError {
    FileError::NotFound(id.vpath().as_rootless_path().into())
}
