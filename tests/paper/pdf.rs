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

    /// Pages, and the size of the first in millimetres.
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

/// A word on a page with its box in millimetres.
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
