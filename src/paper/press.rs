//! Runs typst with one template, one data file, a few pictures and the embedded font.

use std::sync::LazyLock;

use serde::Serialize;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World, comemo};
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

use super::{Error, Result};

/// Number of documents after which the cache of one document is cleared.
const KEPT_FOR: usize = 2;

/// The parts that are the same for every document: the library of typst, and the fonts.
struct Shop {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

static SHOP: LazyLock<Shop> = LazyLock::new(|| {
    let faces = [
        dejavu::sans::regular(),
        dejavu::sans::bold(),
        dejavu::sans_condensed::regular(),
        dejavu::sans_condensed::bold(),
    ];
    let fonts: Vec<Font> = faces.into_iter().flat_map(|face| Font::iter(Bytes::new(face))).collect();
    Shop {
        library: LazyHash::new(Library::default()),
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
    }
});

/// A picture for a template, with its file name.
pub(super) struct PressPicture {
    /// Its file name: `board.svg`.
    pub(super) name: String,
    /// The SVG.
    pub(super) svg: String,
}

/// Processes a template with its data and pictures, and returns the PDF.
pub(super) fn print(template: &str, data: &impl Serialize, pictures: Vec<PressPicture>) -> Result<Vec<u8>> {
    let job = Job::new(template, serde_json::to_vec(data)?, pictures)?;
    let document = typst::compile::<PagedDocument>(&job).output.map_err(|errors| refused(&errors))?;
    let pdf = typst_pdf::pdf(&document, &PdfOptions::default()).map_err(|errors| refused(&errors));
    // The server runs for months, and typst's cache of one document is useless for most others.
    comemo::evict(KEPT_FOR);
    pdf
}

fn refused(errors: &[SourceDiagnostic]) -> Error {
    Error::Set(errors.iter().map(|error| error.message.as_str()).collect::<Vec<_>>().join("; "))
}

/// One document for typst.
struct Job {
    main: Source,
    files: Vec<(FileId, Bytes)>,
}

impl Job {
    fn new(template: &str, data: Vec<u8>, pictures: Vec<PressPicture>) -> Result<Self> {
        let mut files = vec![(id("data.json")?, Bytes::new(data))];
        for PressPicture { name, svg } in pictures {
            files.push((id(&name)?, Bytes::from_string(svg)));
        }
        Ok(Self { main: Source::new(id("main.typ")?, template.to_owned()), files })
    }
}

fn id(name: &str) -> Result<FileId> {
    let path = VirtualPath::new(name).map_err(|error| Error::Set(error.to_string()))?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

impl World for Job {
    fn library(&self) -> &LazyHash<Library> {
        &SHOP.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &SHOP.book
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() { Ok(self.main.clone()) } else { Err(FileError::NotSource) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let file = self.files.iter().find(|(known, _)| *known == id).map(|(_, bytes)| bytes.clone());
        file.ok_or_else(|| FileError::Other(Some("no such file on the press".into())))
    }

    fn font(&self, index: usize) -> Option<Font> {
        SHOP.fonts.get(index).cloned()
    }

    /// None: documents use the date in their data and never that of the system.
    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
