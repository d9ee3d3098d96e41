//! Wire colors: what the trade uses each for, and which colors could be mistaken for another use.
//!
//! Common practice for direct current under 50 V, from memory; no law requires it. A color is text, as wire
//! is sold: `red`, `yellow with red stripe`, `yellow/red`.

use super::finding::{Code, Level, RuleFinding};
use super::say::{Statement, say};
use super::source::WIRE_COLORS;

/// A color and its use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ColorUse {
    /// The color as text.
    pub color: &'static str,
    /// Its use.
    pub of: &'static str,
}

/// The trade's table of colors and their uses.
pub const TABLE: [ColorUse; 18] = [
    ColorUse { color: "black", of: "negative" },
    ColorUse { color: "yellow", of: "negative where black could be taken for mains; else bilge blower" },
    ColorUse { color: "red", of: "positive main" },
    ColorUse { color: "green", of: "bonding, and nothing else" },
    ColorUse { color: "green with yellow stripe", of: "bonding, and nothing else" },
    ColorUse { color: "orange", of: "accessory feed" },
    ColorUse { color: "dark gray", of: "navigation lights; tachometer sender" },
    ColorUse { color: "brown", of: "pumps; charge indicator" },
    ColorUse { color: "brown with yellow stripe", of: "bilge blower" },
    ColorUse { color: "dark blue", of: "cabin and instrument lights" },
    ColorUse { color: "purple", of: "switched by the ignition; instrument feed" },
    ColorUse { color: "yellow with red stripe", of: "starting circuit, switch to solenoid" },
    ColorUse { color: "light blue", of: "oil pressure sender" },
    ColorUse { color: "tan", of: "water temperature sender" },
    ColorUse { color: "pink", of: "fuel level sender" },
    ColorUse { color: "green with white stripe", of: "tilt or trim down" },
    ColorUse { color: "blue with white stripe", of: "tilt or trim up" },
    ColorUse { color: "white", of: "none of its own" },
];

/// A color split into base and stripe.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Read {
    base: String,
    stripe: Option<String>,
}

impl Read {
    fn of(words: &str) -> Self {
        let words = words.to_lowercase();
        let two =
            words.split_once(" with ").or_else(|| words.split_once('/')).or_else(|| words.split_once(','));
        let plain = |text: &str| text.trim().trim_end_matches("stripe").trim().to_owned();
        match two {
            Some((base, stripe)) => Self { base: plain(base), stripe: Some(plain(stripe)) },
            None => Self { base: plain(&words), stripe: None },
        }
    }

    /// Whether the color has this base, with this stripe or with none.
    fn is(&self, base: &str, stripe: Option<&str>) -> bool {
        self.base == base && self.stripe.as_deref() == stripe
    }

    fn is_bonding(&self) -> bool {
        self.is("green", None) || self.is("green", Some("yellow"))
    }
}

/// A finding if a negative of this color could be mistaken. The colors of a negative are black and plain
/// yellow.
pub fn negative(color: &str) -> Option<RuleFinding> {
    let read = Read::of(color);
    if read.is_bonding() {
        return Some(bonding(color));
    }
    if read.base == "red" || read.stripe.as_deref() == Some("red") {
        return Some(misleads(
            Level::Fix,
            say!("A {} negative looks like a positive. Use black or yellow.", color.to_owned()),
        ));
    }
    if read.base == "black" || read.is("yellow", None) {
        return None;
    }
    Some(misleads(Level::Note, say!("A {} negative is not usual. Use black or yellow.", color.to_owned())))
}

/// A finding if a positive of this color could be mistaken.
pub fn positive(color: &str) -> Option<RuleFinding> {
    let read = Read::of(color);
    if read.is_bonding() {
        return Some(bonding(color));
    }
    if read.base == "black" {
        return Some(misleads(
            Level::Fix,
            say!("A {} positive looks like a negative. Use another color.", color.to_owned()),
        ));
    }
    read.is("yellow", None).then(|| {
        let text =
            say!("A yellow positive is for a bilge blower, and only where no negative is yellow. Use another color.");
        misleads(Level::Note, text)
    })
}

fn bonding(color: &str) -> RuleFinding {
    misleads(
        Level::Fix,
        say!("{} is for bonding only. Use another color for a wire that carries current.", color.to_owned()),
    )
}

fn misleads(level: Level, text: Statement) -> RuleFinding {
    let text = text.then(say!("Source: {}, {}.", WIRE_COLORS.title, WIRE_COLORS.kind.words()));
    RuleFinding { level, ..RuleFinding::new(Code::ColorMisleads, text) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn level(said: Option<RuleFinding>) -> Option<Level> {
        said.map(|finding| finding.level)
    }

    #[test]
    fn a_negative_is_black_or_yellow_and_never_red() {
        for fine in ["black", "Black", "yellow", "black with white stripe"] {
            assert_eq!(level(negative(fine)), None, "{fine}");
        }
        for wrong in ["red", "red/black", "yellow with red stripe", "green", "green with yellow stripe"] {
            assert_eq!(level(negative(wrong)), Some(Level::Fix), "{wrong}");
        }
        assert_eq!(level(negative("white")), Some(Level::Note));
    }

    #[test]
    fn a_positive_is_anything_but_black_and_bonding_green() {
        for fine in ["red", "orange", "yellow with red stripe", "green with white stripe", "mauve"] {
            assert_eq!(level(positive(fine)), None, "{fine}");
        }
        for wrong in ["black", "green", "green/yellow"] {
            assert_eq!(level(positive(wrong)), Some(Level::Fix), "{wrong}");
        }
        assert_eq!(level(positive("yellow")), Some(Level::Note));
    }

    #[test]
    fn the_table_has_every_color_of_the_reference() {
        let table = include_str!("../../tests/reference/wire_colors.csv");
        let given = table.lines().skip(2).filter_map(|line| line.split_once(','));
        // The source uses British spelling.
        for color in
            given.flat_map(|(colors, _)| colors.split(" or ")).map(|color| color.replace("grey", "gray"))
        {
            let spoken_of_loosely = ["green with other stripe", "blue with stripe"].contains(&color.as_str());
            assert!(spoken_of_loosely || TABLE.iter().any(|known| known.color == color), "{color}");
        }
    }
}
