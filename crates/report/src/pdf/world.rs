//! The typesetter's world: one template of two, the embedded fonts, nothing else. No files, no packages,
//! no network, no clock; whatever a template asked for beyond that is refused.

use std::sync::LazyLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Dict, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

/// Template of the run sheet.
const SHEET: &str = include_str!("sheet.typ");
/// Template of certificates and records.
const RECORD: &str = include_str!("record.typ");

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

static SHEET_SOURCE: LazyLock<Source> = LazyLock::new(|| source("/sheet.typ", SHEET));
static RECORD_SOURCE: LazyLock<Source> = LazyLock::new(|| source("/record.typ", RECORD));

fn source(path: &str, text: &str) -> Source {
    let path = VirtualPath::new(path).expect("a plain path");
    let id = FileId::new(RootedPath::new(VirtualRoot::Project, path));
    Source::new(id, text.to_owned())
}

/// A world with one sheet's data in it.
pub(super) struct SheetWorld {
    library: LazyHash<Library>,
    main: &'static Source,
}

impl SheetWorld {
    /// A run sheet; `inputs` are values, never markup.
    pub(super) fn new(inputs: Dict) -> Self {
        Self::of(&SHEET_SOURCE, inputs)
    }

    /// A certificate or a record.
    pub(super) fn record(inputs: Dict) -> Self {
        Self::of(&RECORD_SOURCE, inputs)
    }

    fn of(main: &'static Source, inputs: Dict) -> Self {
        Self {
            library: LazyHash::new(Library::builder().with_inputs(inputs).build()),
            main,
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
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() {
            Ok(self.main.clone())
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
