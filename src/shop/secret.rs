//! Passphrases and PINs, and the rules for acceptable ones.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;

/// A passphrase that a person chose. It is never shown, logged or stored.
#[derive(Clone, PartialEq, Eq)]
pub struct Passphrase(String);

/// A PIN that a person chose for the quick switch. It is never shown, logged or stored.
#[derive(Clone, PartialEq, Eq)]
pub struct Pin(String);

/// Why a passphrase or PIN is not accepted. The input itself is not in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum Unfit {
    /// It is too short or too long for a passphrase.
    #[error("expected a passphrase of 12 to 128 characters: a few words that only you would combine")]
    Length,
    /// It repeats one character or a few.
    #[error("expected a passphrase with at least 6 different characters")]
    Repeated,
    /// It has characters other than digits, or too few or too many digits.
    #[error("expected a PIN of 4 to 8 digits")]
    NotDigits,
    /// It is a PIN that anybody would try first.
    #[error("expected a PIN that is not one digit repeated or digits in a row")]
    Obvious,
}

impl Passphrase {
    /// The passphrase itself, for hashing.
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl FromStr for Passphrase {
    type Err = Unfit;

    /// Length makes a passphrase strong. So there is no rule for its characters except that they differ (NIST SP
    /// 800-63B, from memory: no composition rules).
    fn from_str(text: &str) -> Result<Self, Unfit> {
        if !(12..=128).contains(&text.chars().count()) {
            return Err(Unfit::Length);
        }
        let mut different: Vec<char> = text.chars().collect();
        different.sort_unstable();
        different.dedup();
        if different.len() < 6 { Err(Unfit::Repeated) } else { Ok(Self(text.to_owned())) }
    }
}

impl Pin {
    /// The PIN itself, for hashing.
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl FromStr for Pin {
    type Err = Unfit;

    fn from_str(text: &str) -> Result<Self, Unfit> {
        let digits = text.as_bytes();
        if !(4..=8).contains(&digits.len()) || !digits.iter().all(u8::is_ascii_digit) {
            return Err(Unfit::NotDigits);
        }
        let stepped = |step: i16| digits.windows(2).all(|two| i16::from(two[1]) - i16::from(two[0]) == step);
        if [0, 1, -1].into_iter().any(stepped) { Err(Unfit::Obvious) } else { Ok(Self(text.to_owned())) }
    }
}

impl fmt::Debug for Passphrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Passphrase(..)")
    }
}

impl fmt::Debug for Pin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Pin(..)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_passphrase_is_long_and_not_one_key_held_down() {
        let read = |text: &str| text.parse::<Passphrase>().map(|_| ());
        assert_eq!(read("two ends on every wire"), Ok(()));
        assert_eq!(read("zwölf Zeichen"), Ok(()));
        assert_eq!(read("eleven char"), Err(Unfit::Length));
        assert_eq!(read(&"long ".repeat(26)), Err(Unfit::Length));
        assert_eq!(read("aaaaaaaaaaaab"), Err(Unfit::Repeated));
    }

    #[test]
    fn a_pin_is_digits_that_nobody_tries_first() {
        let read = |text: &str| text.parse::<Pin>().map(|_| ());
        assert_eq!(read("4071"), Ok(()));
        for bad in ["407", "407100000", "40a1", "", "٤٠٧١"] {
            assert_eq!(read(bad), Err(Unfit::NotDigits), "{bad}");
        }
        for bad in ["0000", "1234", "98765"] {
            assert_eq!(read(bad), Err(Unfit::Obvious), "{bad}");
        }
    }

    #[test]
    fn neither_is_ever_printed() {
        assert_eq!(format!("{:?}", "leave a pull string".parse::<Passphrase>()), "Ok(Passphrase(..))");
        assert_eq!(format!("{:?}", "4071".parse::<Pin>()), "Ok(Pin(..))");
    }
}
