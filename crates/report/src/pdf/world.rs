//! The typesetter's world: one template, the embedded fonts, nothing else. No files, no packages,
//! no network, no clock; whatever a template asked for beyond that is refused.

use std::sync::LazyLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Dict, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

/// The page template.
const TEMPLATE: &str = include_str!("sheet.typ");

struct Fonts {
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

/// Text in three cuts, and a wide face for signs and scripts the first lacks.
static FONTS: LazyLock<Fonts> = LazyLock::new(|| {
    let files: [&'static [u8]; 4] = [
        notosans::REGULAR_TTF,
        notosans::BOLD_TTF,
        notosans::ITALIC_TTF,
        dejavu::sans::regular(),
    ];
    let fonts: Vec<Font> = files
        .into_iter()
        .flat_map(|data| Font::iter(Bytes::new(data)))
        .collect();
    Fonts {
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
    }
});

static MAIN: LazyLock<Source> = LazyLock::new(|| {
    let path = VirtualPath::new("/sheet.typ").expect("a plain path");
    let id = FileId::new(RootedPath::new(VirtualRoot::Project, path));
    Source::new(id, TEMPLATE.to_owned())
});

/// A world with one sheet's data in it.
pub(super) struct SheetWorld {
    library: LazyHash<Library>,
}

impl SheetWorld {
    /// `inputs` are values, never markup.
    pub(super) fn new(inputs: Dict) -> Self {
        Self {
            library: LazyHash::new(Library::builder().with_inputs(inputs).build()),
        }
    }
}

impl World for SheetWorld {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &FONTS.book
    }

    fn main(&self) -> FileId {
        MAIN.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == MAIN.id() {
            Ok(MAIN.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }

    fn file(&self, _id: FileId) -> FileResult<Bytes> {
        Err(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.fonts.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
