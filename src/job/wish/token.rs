//! The terms of a line, compared without case, plural and punctuation.

/// A term of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Term<'a> {
    /// As typed.
    pub(super) text: &'a str,
    /// Its first and its last byte in the line.
    pub(super) at: (usize, usize),
    /// In small letters, in the singular.
    pub(super) stem: String,
    /// Whether a comma, a bracket or another sign parts it from the term before.
    pub(super) parted: bool,
    /// Whether a sign for inches or feet follows it.
    pub(super) inches: bool,
}

/// The terms of a line, in order.
pub(super) fn terms(line: &str) -> Vec<Term<'_>> {
    let mut terms: Vec<Term<'_>> = Vec::new();
    let mut start = None;
    let mut parted = false;
    let letters: Vec<(usize, char)> = line.char_indices().collect();
    for (number, (at, letter)) in letters.iter().copied().enumerate() {
        let next = letters.get(number + 1).map(|(_, next)| *next);
        let before = number.checked_sub(1).and_then(|before| letters.get(before)).map(|(_, before)| *before);
        let inside = letter.is_alphanumeric() || is_inside(before, letter, next);
        match (inside, start) {
            (true, None) => start = Some(at),
            (false, Some(from)) => {
                terms.push(term(line, (from, at), parted, Some(letter)));
                start = None;
                parted = false;
            }
            _ => {}
        }
        parted |= !inside && is_break(letter);
    }
    terms.extend(start.map(|from| term(line, (from, line.len()), parted, None)));
    terms
}

/// Whether a sign belongs to the term around it: an apostrophe, or the point or stroke inside a number.
fn is_inside(before: Option<char>, sign: char, next: Option<char>) -> bool {
    let between = |test: fn(char) -> bool| before.is_some_and(test) && next.is_some_and(test);
    match sign {
        '\'' | '\u{2019}' => between(char::is_alphabetic),
        '.' | '/' => between(|letter| letter.is_ascii_digit()),
        _ => false,
    }
}

/// Whether a sign parts a line: the terms before and after it are no phrase.
fn is_break(sign: char) -> bool {
    matches!(sign, ',' | ';' | ':' | '(' | ')' | '[' | ']' | '\t' | '+' | '&' | '\u{2013}' | '\u{2014}')
}

/// A term, and the sign after it.
fn term(line: &str, at: (usize, usize), parted: bool, after: Option<char>) -> Term<'_> {
    let text = line.get(at.0..at.1).unwrap_or_default();
    let is_with = after == Some('/') && text.eq_ignore_ascii_case("w");
    let stem = if is_with { "with".to_owned() } else { stem(text) };
    Term { text, at, stem, parted, inches: matches!(after, Some('"' | '\u{201d}' | '\u{2033}')) }
}

/// A term in small letters without signs, in the singular, abbreviations written out.
pub(super) fn stem(text: &str) -> String {
    let small: String = text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
    match small.as_str() {
        "stbd" | "sb" => return "starboard".to_owned(),
        "fwd" | "frwd" => return "forward".to_owned(),
        "colour" => return "color".to_owned(),
        "grey" => return "gray".to_owned(),
        _ => {}
    }
    singular(small)
}

/// The singular by the regular rules of English. Names of the catalog pass here too, so a wrong singular does no harm.
fn singular(small: String) -> String {
    let cut = |letters: usize, end: &str| {
        let kept = small.len().checked_sub(letters).and_then(|until| small.get(..until));
        kept.map(|kept| format!("{kept}{end}"))
    };
    let ends = |end: &str| small.ends_with(end);
    let shorter = if small.chars().count() <= 3 || ends("ss") {
        None
    } else if ends("ies") {
        cut(3, "y")
    } else if ends("ches") || ends("shes") || ends("xes") || ends("sses") || ends("buses") {
        cut(2, "")
    } else if ends("s") {
        cut(1, "")
    } else {
        None
    };
    shorter.unwrap_or(small)
}

/// Terms that say nothing about what is meant.
const FILLERS: &[&str] = &[
    "the",
    "a",
    "an",
    "of",
    "some",
    "my",
    "our",
    "new",
    "please",
    "i",
    "we",
    "want",
    "need",
    "would",
    "like",
    "id",
    "add",
    "install",
    "fit",
    "put",
    "mount",
    "mounted",
    "get",
    "have",
    "wish",
    "to",
    "be",
    "should",
    "must",
    "is",
    "are",
    "it",
    "one's",
    "another",
    "there",
    "also",
    "extra",
    "additional",
    "more",
    "good",
    "nice",
    "quality",
    "that",
    "which",
];

/// Terms that describe equipment without changing its kind.
const LOOKS: &[&str] = &[
    "led",
    "marine",
    "waterproof",
    "small",
    "big",
    "large",
    "little",
    "bright",
    "white",
    "blue",
    "red",
    "black",
    "single",
    "twin",
    "dual",
    "double",
    "heavy",
    "duty",
    "electric",
    "digital",
    "cheap",
    "decent",
    "flush",
    "surface",
    "stainless",
    "steel",
    "basic",
    "simple",
    "premium",
];

/// Terms before a location.
const PREPOSITIONS: &[&str] = &[
    "at",
    "in",
    "on",
    "under",
    "by",
    "near",
    "inside",
    "behind",
    "beside",
    "above",
    "below",
    "beneath",
    "over",
    "within",
    "along",
    "around",
    "between",
    "for",
    "underneath",
    "into",
    "onto",
    "throughout",
    "next",
    "against",
    "outside",
];

/// Terms that join two things.
const JOINERS: &[&str] = &["and", "plus", "with", "or", "incl", "including"];

/// Terms that many kinds have in their names.
const COMMON: &[&str] = &["unit", "system", "set", "power", "kit", "device", "way", "degree"];

/// Units that make a number a size.
const UNITS: &[&str] = &[
    "v", "vdc", "volt", "w", "watt", "a", "amp", "ampere", "ah", "mah", "wh", "in", "inch", "ft", "foot",
    "feet", "mm", "cm", "m", "kw", "hp", "gpm", "gph", "lph", "lpm", "l", "ch", "channel", "position", "pos",
    "gang", "port", "bank", "ohm", "kg", "lb", "gal", "gallon", "degree", "deg", "nm", "hz", "khz", "mhz",
    "mp", "awg", "psi", "bar", "db", "c", "f", "pin", "mile", "k",
];

impl Term<'_> {
    fn is_in(&self, list: &[&str]) -> bool {
        list.contains(&self.stem.as_str())
    }

    /// Whether it says nothing about what is meant.
    pub(super) fn is_filler(&self) -> bool {
        self.is_in(FILLERS)
    }

    /// Whether it describes equipment without changing its kind.
    pub(super) fn is_look(&self) -> bool {
        self.is_in(LOOKS)
    }

    /// Whether a location follows it.
    pub(super) fn is_preposition(&self) -> bool {
        self.is_in(PREPOSITIONS)
    }

    /// Whether another thing follows it.
    pub(super) fn is_joiner(&self) -> bool {
        self.is_in(JOINERS)
    }

    /// Whether it is the unit of a number before it.
    pub(super) fn is_unit(&self) -> bool {
        self.is_in(UNITS) && !self.parted
    }

    /// Whether a kind can be guessed from it.
    pub(super) fn is_telling(&self) -> bool {
        !(self.is_filler()
            || self.is_look()
            || self.is_preposition()
            || self.is_joiner()
            || self.is_in(COMMON))
    }

    /// The whole number that it is, in digits or in letters.
    pub(super) fn number(&self) -> Option<u16> {
        const LETTERS: [&str; 13] = [
            "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
            "twelve",
        ];
        let written =
            || LETTERS.iter().zip(0..).find(|(word, _)| **word == self.stem).map(|(_, number)| number);
        self.text.parse().ok().or_else(written)
    }

    /// Whether it begins with a digit: a size, if it is no count.
    pub(super) fn is_numeric(&self) -> bool {
        self.text.starts_with(|letter: char| letter.is_ascii_digit())
    }

    /// The count in `4x` or `x4`.
    pub(super) fn times(&self) -> Option<u16> {
        let small = self.text.to_ascii_lowercase();
        small.strip_suffix('x').or_else(|| small.strip_prefix('x'))?.parse().ok()
    }
}

/// Stems of a phrase, without those that say nothing.
pub(super) fn stems(phrase: &str) -> Vec<String> {
    terms(phrase).into_iter().filter(|term| !term.is_filler()).map(|term| term.stem).collect()
}
