//! The token in the cookie of a signed-in browser.

use std::fmt::{self, Write as _};
use std::str::FromStr;

use sha2::{Digest, Sha256};

use super::error::{Error, Result};
use crate::job::value::BadValue;

/// 256 random bits. The browser stores them; the database stores only their SHA-256. That hash needs no salt and
/// need not be slow, because nobody can guess the bits.
#[derive(Clone, PartialEq, Eq)]
pub struct Token([u8; 32]);

impl Token {
    /// A new token from the system's random generator.
    pub(super) fn random() -> Result<Self> {
        let mut bits = [0; 32];
        getrandom::fill(&mut bits).map_err(|error| Error::Hash(error.into()))?;
        Ok(Self(bits))
    }

    /// The hash that the database stores.
    pub(super) fn hash(&self) -> Vec<u8> {
        Sha256::digest(self.0).to_vec()
    }

    /// The token as the cookie holds it: 64 hexadecimal digits.
    pub fn reveal(&self) -> String {
        self.0.iter().fold(String::with_capacity(64), |mut text, byte| {
            // Writing to a string cannot fail.
            let _ = write!(text, "{byte:02x}");
            text
        })
    }
}

impl FromStr for Token {
    type Err = BadValue;

    /// Reads the text from [`Token::reveal`]. The error does not repeat the input.
    fn from_str(text: &str) -> Result<Self, BadValue> {
        let bad = || BadValue { got: "(a token)".to_owned(), expected: "64 hexadecimal digits" };
        if text.len() != 64 || !text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f')) {
            return Err(bad());
        }
        let mut bits = [0; 32];
        for (byte, digits) in bits.iter_mut().zip(text.as_bytes().chunks(2)) {
            let digits = std::str::from_utf8(digits).map_err(|_| bad())?;
            *byte = u8::from_str_radix(digits, 16).map_err(|_| bad())?;
        }
        Ok(Self(bits))
    }
}

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Token(..)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_is_read_as_written_and_never_printed() {
        let token = Token::random().unwrap();
        assert_ne!(token, Token::random().unwrap());
        assert_eq!(token.reveal().parse::<Token>().unwrap(), token);
        assert_eq!(format!("{token:?}"), "Token(..)");
        for bad in ["", "00", &"g".repeat(64), &"A".repeat(64), &"é".repeat(32), &"0".repeat(65)] {
            assert!(bad.parse::<Token>().is_err(), "{bad}");
        }
    }
}
