//! The shop's settings for labels: their rule, the sheet in its printer, the address in the codes.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::job::label::{OwnSheet, Rule, STOCKS, Stock, StockKey};
use crate::job::value::BadValue;

/// How the shop makes its labels.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LabelSetting {
    /// The rule for their text.
    pub rule: Rule,
    /// The sheet that is usually in the printer.
    pub stock: StockKey,
    /// The shop's own sheet, by its dimensions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub own: Option<OwnSheet>,
    /// The address in the codes; `None` for the address that the browser used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub address: Option<Address>,
}

impl Default for LabelSetting {
    fn default() -> Self {
        Self { rule: Rule::default(), stock: StockKey::FIRST, own: None, address: None }
    }
}

impl LabelSetting {
    /// The available sheets, the shop's own last.
    pub fn stocks(&self) -> impl Iterator<Item = Stock> {
        STOCKS.into_iter().chain(self.own.as_ref().map(OwnSheet::stock))
    }

    /// A sheet by its key; the shop's own only if it was measured.
    pub fn sheet(&self, key: StockKey) -> Option<Stock> {
        self.stocks().find(|stock| stock.key == key.as_str())
    }
}

/// The address of this program for other devices: scheme, host and port, without a path.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Address(String);

impl Address {
    /// Maximum length of an address, so that its code stays readable.
    const LONGEST: usize = 100;

    /// The address without a slash at its end.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FromStr for Address {
    type Err = BadValue;

    fn from_str(text: &str) -> Result<Self, BadValue> {
        let address = text.trim().trim_end_matches('/');
        let host = address.strip_prefix("https://").or_else(|| address.strip_prefix("http://"));
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | ':' | '[' | ']');
        match host {
            Some(host) if !host.is_empty() && host.chars().all(plain) && address.len() <= Self::LONGEST => {
                Ok(Self(address.to_owned()))
            }
            _ => Err(BadValue {
                got: text.to_owned(),
                expected: "an address such as https://shop.example:7117, without anything behind it",
            }),
        }
    }
}

impl TryFrom<String> for Address {
    type Error = BadValue;

    fn try_from(text: String) -> Result<Self, BadValue> {
        text.parse()
    }
}

impl From<Address> for String {
    fn from(address: Address) -> Self {
        address.0
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::Address;

    #[test]
    fn an_address_is_a_host_and_nothing_behind_it() {
        let read = |text: &str| text.parse::<Address>().ok().map(String::from);
        assert_eq!(read(" http://192.168.1.20:7117/ ").as_deref(), Some("http://192.168.1.20:7117"));
        assert_eq!(read("https://[fd00::2]:7117").as_deref(), Some("https://[fd00::2]:7117"));
        for bad in ["shop.example", "ftp://shop", "https://", "https://a/jobs", "https://a b", "https://a?x"]
        {
            assert_eq!(read(bad), None, "{bad}");
        }
    }
}
