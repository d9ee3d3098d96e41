//! The shop itself: its name, address and phone, its time zone, its currency and its units.

use std::fmt;
use std::str::FromStr;

use jiff::tz::TimeZone;
use serde::{Deserialize, Serialize};

use crate::job::value::{BadValue, Name, Prose};
pub use crate::trade::units::Units;

/// The settings of the whole shop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    /// Name of the shop.
    pub name: Name,
    /// Its address, as papers show it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub address: Option<Prose>,
    /// Its phone number, as papers show it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub phone: Option<Name>,
    /// Its time zone.
    pub time_zone: Zone,
    /// Its currency.
    pub currency: Currency,
    /// Its units on screen and paper.
    pub units: Units,
}

/// A time zone by its IANA name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Zone(String);

/// A currency by its ISO 4217 code.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Currency(String);

impl Zone {
    /// The IANA name.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The zone with its rules.
    pub fn rules(&self) -> TimeZone {
        // The name was checked when it was read. A zone that was since removed from the database shows UTC.
        TimeZone::get(&self.0).unwrap_or(TimeZone::UTC)
    }
}

impl Currency {
    /// The code.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FromStr for Zone {
    type Err = BadValue;

    fn from_str(text: &str) -> Result<Self, BadValue> {
        match TimeZone::get(text) {
            Ok(_) => Ok(Self(text.to_owned())),
            Err(_) => Err(BadValue {
                got: text.to_owned(),
                expected: "a time zone by its IANA name, such as America/New_York",
            }),
        }
    }
}

impl FromStr for Currency {
    type Err = BadValue;

    fn from_str(text: &str) -> Result<Self, BadValue> {
        if text.len() == 3 && text.bytes().all(|byte| byte.is_ascii_uppercase()) {
            Ok(Self(text.to_owned()))
        } else {
            Err(BadValue {
                got: text.to_owned(),
                expected: "a currency by its three capital letters, such as USD",
            })
        }
    }
}

impl FromStr for Units {
    type Err = BadValue;

    fn from_str(text: &str) -> Result<Self, BadValue> {
        Self::ALL
            .into_iter()
            .find(|units| units.word() == text)
            .ok_or_else(|| BadValue { got: text.to_owned(), expected: "units: us or metric" })
    }
}

/// Implements serde and `Display` for a text type of this file.
macro_rules! as_text {
    ($($name:ident),+) => {$(
        impl TryFrom<String> for $name {
            type Error = BadValue;

            fn try_from(text: String) -> Result<Self, BadValue> {
                text.parse()
            }
        }

        impl From<$name> for String {
            fn from(value: $name) -> String {
                value.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(&self.0)
            }
        }
    )+};
}

as_text!(Zone, Currency);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zones_and_currencies_are_read_by_their_standard_names() {
        assert_eq!("America/New_York".parse::<Zone>().unwrap().as_str(), "America/New_York");
        assert_eq!("NZD".parse::<Currency>().unwrap().as_str(), "NZD");
        assert_eq!(
            "Harbour".parse::<Zone>().unwrap_err().to_string(),
            "'Harbour' is not valid here: expected a time zone by its IANA name, such as America/New_York"
        );
        assert!("usd".parse::<Currency>().is_err() && "EURO".parse::<Currency>().is_err());
    }
}
