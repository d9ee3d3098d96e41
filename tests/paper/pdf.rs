//! A PDF as poppler sees it.

use std::path::PathBuf;
use std::process::Command;

use tempfile::TempDir;

/// A PDF on the disk, gone with the test.
pub struct Pdf {
    folder: TempDir,
}

impl Pdf {
    pub fn of(bytes: &[u8]) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("document.pdf"), bytes).expect("room on the disk");
        Self { folder }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("document.pdf")
    }

    fn ask(&self, program: &str, arguments: &[&str]) -> String {
        let output = Command::new(program)
            .args(arguments)
            .arg(self.path())
            .arg("-")
            .output()
            .unwrap_or_else(|error| panic!("{program}: {error}; tests/run installs it"));
        assert!(output.status.success(), "{program}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).expect("text")
    }

    /// The text of all pages, laid out as on paper.
    pub fn text(&self) -> String {
        self.ask("pdftotext", &["-layout"])
    }

    /// The words with their boxes, as XHTML.
    pub fn boxes(&self) -> Vec<Word> {
        let words = self.ask("pdftotext", &["-bbox"]);
        words.lines().filter_map(Word::read).collect()
    }

    /// Pages, and the size of the first in millimeters.
    pub fn pages(&self) -> (usize, [f64; 2]) {
        let output =
            Command::new("pdfinfo").arg(self.path()).output().expect("pdfinfo; tests/run installs it");
        let told = String::from_utf8(output.stdout).expect("text");
        let line = |name: &str| told.lines().find_map(|line| line.strip_prefix(name)).expect(name).trim();
        let size: Vec<f64> =
            line("Page size:").split_whitespace().filter_map(|word| word.parse().ok()).collect();
        (line("Pages:").parse().expect("a count"), [size[0], size[1]].map(|points| points / 72.0 * 25.4))
    }

    /// Each face: its name, and whether it is embedded.
    pub fn faces(&self) -> Vec<(String, bool)> {
        let output =
            Command::new("pdffonts").arg(self.path()).output().expect("pdffonts; tests/run installs it");
        let told = String::from_utf8(output.stdout).expect("text");
        let face = |line: &str| {
            let words: Vec<&str> = line.split_whitespace().collect();
            (words[0].to_owned(), words[words.len() - 5] == "yes")
        };
        told.lines().skip(2).map(face).collect()
    }
}

impl Pdf {
    /// A page in shades of gray, as poppler renders it at so many dots an inch.
    pub fn picture(&self, page: usize, dots: u32) -> Picture {
        let (page, dots) = (page.to_string(), dots.to_string());
        let output = Command::new("pdftoppm")
            .args(["-gray", "-r", &dots, "-f", &page, "-l", &page])
            .arg(self.path())
            .output()
            .expect("pdftoppm; tests/run installs it");
        Picture::read(&output.stdout)
    }
}

/// A picture in shades of gray.
pub struct Picture {
    width: usize,
    gray: Vec<u8>,
}

impl Picture {
    /// Reads a binary PGM: `P5`, width, height, 255, then a byte for each dot.
    fn read(bytes: &[u8]) -> Self {
        let mut rest = bytes;
        let mut words = Vec::new();
        while words.len() < 4 {
            let end = rest.iter().position(u8::is_ascii_whitespace).expect("a header");
            words.push(std::str::from_utf8(&rest[..end]).expect("text").to_owned());
            rest = &rest[end + 1..];
        }
        assert_eq!((words[0].as_str(), words[3].as_str()), ("P5", "255"));
        let (width, height): (usize, usize) =
            (words[1].parse().expect("a width"), words[2].parse().expect("a height"));
        assert_eq!(rest.len(), width * height);
        Self { width, gray: rest.to_vec() }
    }

    pub fn height(&self) -> usize {
        self.gray.len() / self.width
    }

    pub fn rows(&self) -> impl Iterator<Item = &[u8]> {
        self.gray.chunks(self.width)
    }

    /// What is below a row.
    pub fn below(&self, row: usize) -> Self {
        Self { width: self.width, gray: self.gray[row * self.width..].to_vec() }
    }

    /// The darkest dot so near a spot.
    pub fn darkest(&self, x: usize, y: usize, near: usize) -> u8 {
        let dots = (y - near..=y + near).flat_map(|y| (x - near..=x + near).map(move |x| (x, y)));
        dots.map(|(x, y)| self.gray[y * self.width + x]).min().expect("a dot")
    }
}

/// A printed term on a page with its box in millimeters.
#[derive(Debug, Clone, PartialEq)]
pub struct Word {
    pub text: String,
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Word {
    fn read(line: &str) -> Option<Self> {
        let inner = line.trim().strip_prefix("<word ")?;
        let (attributes, rest) = inner.split_once('>')?;
        let number = |name: &str| {
            let (_, rest) = attributes.split_once(&format!("{name}=\""))?;
            rest.split_once('"')?.0.parse::<f64>().ok().map(|points| points / 72.0 * 25.4)
        };
        Some(Self {
            text: rest.strip_suffix("</word>")?.to_owned(),
            left: number("xMin")?,
            top: number("yMin")?,
            right: number("xMax")?,
            bottom: number("yMax")?,
        })
    }
}
