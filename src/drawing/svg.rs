//! A small builder for SVG: elements, numbers, escaped text, and the widths of texts.
//!
//! Styles are in presentation attributes and classes and never in `style`, so that a page can forbid inline
//! styles. A style sheet overrides presentation attributes. Paper has no style sheet.

use std::fmt::{self, Display, Write as _};

/// The one accent color, unless a style sheet sets another.
pub const SIGNAL: &str = "#b8320a";

/// An element with its attributes and content.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    name: &'static str,
    attributes: Vec<(&'static str, String)>,
    body: Vec<Node>,
}

#[derive(Debug, Clone, PartialEq)]
enum Node {
    Element(Element),
    Text(String),
}

impl Element {
    /// An empty element.
    pub fn new(name: &'static str) -> Self {
        Self { name, attributes: Vec::new(), body: Vec::new() }
    }

    /// A group with a class.
    pub fn group(class: &str) -> Self {
        Self::new("g").set("class", class)
    }

    /// Adds an attribute.
    pub fn set(mut self, name: &'static str, value: impl Display) -> Self {
        self.attributes.push((name, value.to_string()));
        self
    }

    /// Adds a numeric attribute.
    pub fn num(self, name: &'static str, value: f64) -> Self {
        self.set(name, Number(value))
    }

    /// Adds a child element.
    pub fn with(mut self, child: Self) -> Self {
        self.body.push(Node::Element(child));
        self
    }

    /// Adds child elements.
    pub fn with_all(mut self, children: impl IntoIterator<Item = Self>) -> Self {
        self.body.extend(children.into_iter().map(Node::Element));
        self
    }

    /// Adds text.
    pub fn text(mut self, text: impl Into<String>) -> Self {
        self.body.push(Node::Text(text.into()));
        self
    }

    /// Draws it as a stroke in the text color.
    pub fn stroke(self, width: f64) -> Self {
        self.set("fill", "none").set("stroke", "currentColor").num("stroke-width", width)
    }

    /// Draws it as a faint stroke.
    pub fn faint(self, width: f64) -> Self {
        self.stroke(width).num("stroke-opacity", 0.22)
    }

    /// Draws it as a stroke in the accent color.
    pub fn signal(self, width: f64) -> Self {
        self.set("class", "signal-line").set("fill", "none").set("stroke", SIGNAL).num("stroke-width", width)
    }
}

impl Display for Element {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "<{}", self.name)?;
        for (name, value) in &self.attributes {
            write!(f, " {name}=\"{}\"", Escaped(value))?;
        }
        if self.body.is_empty() {
            return f.write_str("/>");
        }
        f.write_char('>')?;
        for node in &self.body {
            match node {
                Node::Element(element) => element.fmt(f)?,
                Node::Text(text) => Escaped(text).fmt(f)?,
            }
        }
        write!(f, "</{}>", self.name)
    }
}

/// A number with at most two decimals; an invalid number is drawn as zero.
struct Number(f64);

impl Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let value = if self.0.is_finite() { self.0 } else { 0.0 };
        let text = format!("{value:.2}");
        let short = text.trim_end_matches('0').trim_end_matches('.');
        f.write_str(if short == "-0" { "0" } else { short })
    }
}

/// Text escaped for XML.
struct Escaped<'a>(&'a str);

impl Display for Escaped<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.chars().try_for_each(|character| match character {
            '&' => f.write_str("&amp;"),
            '<' => f.write_str("&lt;"),
            '>' => f.write_str("&gt;"),
            '"' => f.write_str("&quot;"),
            // XML cannot represent these characters.
            unwritable if unwritable.is_control() && !matches!(unwritable, '\n' | '\t') => Ok(()),
            plain => f.write_char(plain),
        })
    }
}

/// A whole drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    root: Element,
    title: String,
    /// Width in drawing units.
    pub width: f64,
    /// Height in drawing units.
    pub height: f64,
}

/// The title and description of a drawing, for users who cannot see it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caption {
    /// Its title.
    pub title: String,
    /// What it shows, in a sentence or two.
    pub words: String,
}

impl Drawing {
    /// A picture without links. Screen readers present it as one object.
    pub fn picture(class: &str, size: (f64, f64), caption: &Caption) -> Self {
        Self::begin(class, size, caption, "img")
    }

    /// A drawing with links, which the picture role would hide from screen readers.
    pub fn linked(class: &str, size: (f64, f64), caption: &Caption) -> Self {
        Self::begin(class, size, caption, "group")
    }

    fn begin(class: &str, (width, height): (f64, f64), caption: &Caption, role: &str) -> Self {
        let root = Element::new("svg")
            .set("xmlns", "http://www.w3.org/2000/svg")
            .set("class", format!("drawing {class}"))
            .set("viewBox", format!("0 0 {} {}", Number(width), Number(height)))
            .num("width", width)
            .num("height", height)
            .set("role", role)
            .set("aria-label", &caption.title)
            .set("font-family", "sans-serif")
            .set("fill", "currentColor")
            .with(Element::new("title").text(&caption.title))
            .with(Element::new("desc").text(&caption.words));
        Self { root, title: caption.title.clone(), width, height }
    }

    /// Its title.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// Adds an element.
    pub fn with(mut self, child: Element) -> Self {
        self.root = self.root.with(child);
        self
    }

    /// Adds elements.
    pub fn with_all(mut self, children: impl IntoIterator<Item = Element>) -> Self {
        self.root = self.root.with_all(children);
        self
    }
}

impl Display for Drawing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.root.fmt(f)
    }
}

impl askama::filters::HtmlSafe for Drawing {}

/// A straight line.
pub fn line((x1, y1): (f64, f64), (x2, y2): (f64, f64)) -> Element {
    Element::new("line").num("x1", x1).num("y1", y1).num("x2", x2).num("y2", y2)
}

/// A rectangle.
pub fn rect((x, y): (f64, f64), width: f64, height: f64) -> Element {
    Element::new("rect").num("x", x).num("y", y).num("width", width).num("height", height)
}

/// A circle.
pub fn circle((x, y): (f64, f64), radius: f64) -> Element {
    Element::new("circle").num("cx", x).num("cy", y).num("r", radius)
}

/// A line through points.
pub fn polyline(points: impl IntoIterator<Item = (f64, f64)>) -> Element {
    let points: Vec<String> =
        points.into_iter().map(|(x, y)| format!("{},{}", Number(x), Number(y))).collect();
    Element::new("polyline").set("points", points.join(" "))
}

/// How text is aligned with its position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It begins at the position.
    Start,
    /// It is centered at the position.
    Middle,
    /// It ends at the position.
    End,
}

impl Anchor {
    fn word(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Middle => "middle",
            Self::End => "end",
        }
    }
}

/// Text on its baseline.
pub fn label((x, y): (f64, f64), anchor: Anchor, size: f64, text: &str) -> Element {
    Element::new("text")
        .num("x", x)
        .num("y", y)
        .set("text-anchor", anchor.word())
        .num("font-size", size)
        .set("fill", "currentColor")
        .text(text)
}

/// Makes an element a link, if there is an address.
pub fn link(address: Option<String>, title: &str, element: Element) -> Element {
    match address {
        Some(address) => {
            let title = Element::new("title").text(title);
            Element::new("a").set("class", "part").set("href", address).with(title).with(element)
        }
        None => element,
    }
}

/// The box of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TextBox {
    /// Left edge.
    pub left: f64,
    /// Top edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Bottom edge.
    pub bottom: f64,
}

impl TextBox {
    /// The box of text on its baseline.
    pub fn of((x, y): (f64, f64), anchor: Anchor, size: f64, text: &str) -> Self {
        let width = text_width(text, size);
        let left = match anchor {
            Anchor::Start => x,
            Anchor::Middle => x - width / 2.0,
            Anchor::End => x - width,
        };
        Self { left, top: y - 0.76 * size, right: left + width, bottom: y + 0.22 * size }
    }

    /// Whether two boxes overlap.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }
}

/// The approximate width of text in a wide sans-serif font, rather too large than too small.
pub fn text_width(text: &str, size: f64) -> f64 {
    let ems: f64 = text
        .chars()
        .map(|character| match character {
            'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' | 'I' => 0.34,
            'f' | 'r' | 't' | '(' | ')' | '/' | '-' => 0.42,
            'm' | 'w' | 'M' | 'W' | '%' | '@' => 0.98,
            'A'..='Z' => 0.72,
            '\u{2e80}'.. => 1.05,
            _ => 0.64,
        })
        .sum();
    ems * size
}

/// Text in as many lines as a width needs, broken at spaces. A word that is too long is broken within.
pub fn wrapped(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace().flat_map(|word| broken(word, size, width)) {
        match lines.last_mut() {
            Some(line) if text_width(&format!("{line} {word}"), size) <= width => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

/// A word in the pieces that fit a width, each of at least one character.
fn broken(word: &str, size: f64, width: f64) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for character in word.chars() {
        let Some(piece) = pieces.last_mut() else { break };
        if piece.is_empty() || text_width(&format!("{piece}{character}"), size) <= width {
            piece.push(character);
        } else {
            pieces.push(character.to_string());
        }
    }
    pieces
}

/// Text shortened with an ellipsis to fit a width.
pub fn fitted(text: &str, size: f64, width: f64) -> String {
    if text_width(text, size) <= width {
        return text.to_owned();
    }
    let mut short: String = text.to_owned();
    while !short.is_empty() && text_width(&short, size) + text_width("\u{2026}", size) > width {
        short.pop();
    }
    format!("{}\u{2026}", short.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_cannot_break_out() {
        let drawn =
            label((1.0, 2.5), Anchor::Start, 14.0, "<script>\"&\u{0}").set("class", "\"><b>").to_string();
        assert_eq!(
            drawn,
            "<text x=\"1\" y=\"2.5\" text-anchor=\"start\" font-size=\"14\" fill=\"currentColor\" \
             class=\"&quot;&gt;&lt;b&gt;\">&lt;script&gt;&quot;&amp;</text>"
        );
    }

    #[test]
    fn numbers_are_short_and_always_numbers() {
        let shown = |value| Number(value).to_string();
        assert_eq!([shown(1.0), shown(-0.001), shown(2.505), shown(f64::NAN)], ["1", "0", "2.5", "0"]);
    }

    #[test]
    fn long_text_is_shortened_to_its_room() {
        assert_eq!(fitted("Bilge", 14.0, 100.0), "Bilge");
        let short = fitted("Forward livewell aerator", 14.0, 100.0);
        assert!(short.ends_with('\u{2026}') && text_width(&short, 14.0) <= 100.0, "{short}");
    }

    #[test]
    fn long_text_takes_lines_and_loses_no_character() {
        assert_eq!(wrapped("Bilge", 14.0, 100.0), ["Bilge"]);
        assert_eq!(wrapped("Forward livewell aerator", 14.0, 100.0), ["Forward", "livewell", "aerator"]);
        let long = wrapped("Pump W\u{e4}rmetauscherumw\u{e4}lzpumpe 2", 14.0, 100.0);
        assert!(long.iter().all(|line| text_width(line, 14.0) <= 100.0), "{long:?}");
        assert_eq!(long.concat().replace(' ', ""), "PumpW\u{e4}rmetauscherumw\u{e4}lzpumpe2");
        assert_eq!(wrapped("  ", 14.0, 100.0), [""; 0]);
    }

    #[test]
    fn boxes_overlap_or_do_not() {
        let one = TextBox::of((0.0, 0.0), Anchor::Start, 14.0, "one");
        assert!(one.overlaps(&TextBox::of((5.0, 4.0), Anchor::Start, 14.0, "two")));
        assert!(!one.overlaps(&TextBox::of((0.0, 16.0), Anchor::Start, 14.0, "two")));
    }
}
