//! How SQLite stores the values of a job: numbers as REAL, names and texts as TEXT.
//!
//! A value read from a column passes the same rule as a value from a file. So a database that was changed from
//! outside gives an error with what was expected, and never a value out of bounds.

use std::fmt;

use jiff::Timestamp;
use serde::de::IntoDeserializer;
use serde::de::value::{Error as WordError, StrDeserializer};
use serde::{Deserialize, Serialize};
use sqlx::encode::IsNull;
use sqlx::error::BoxDynError;
use sqlx::sqlite::{SqliteArgumentsBuffer, SqliteTypeInfo, SqliteValueRef};
use sqlx::{Decode, Encode, Sqlite, Type};
use uuid::Uuid;

use crate::job::label::{Rule, StockKey};
use crate::job::subject::Subject;
use crate::job::value::{GapMm, Name, Prose, SizeMm};
use crate::shop::access::Proof;
use crate::shop::job_state::JobState;
use crate::shop::labels::Address;
use crate::shop::profile::{Currency, Units, Zone};
use crate::shop::role::Role;

/// Bounded numbers: written and read as `f64`. The bound is checked on reading.
macro_rules! real {
    ($($name:ident),+ $(,)?) => {$(
        impl Type<Sqlite> for $name {
            fn type_info() -> SqliteTypeInfo {
                <f64 as Type<Sqlite>>::type_info()
            }
        }

        impl Encode<'_, Sqlite> for $name {
            fn encode_by_ref(&self, buffer: &mut SqliteArgumentsBuffer) -> Result<IsNull, BoxDynError> {
                Encode::<Sqlite>::encode(f64::from(*self), buffer)
            }
        }

        impl<'r> Decode<'r, Sqlite> for $name {
            fn decode(value: SqliteValueRef<'r>) -> Result<Self, BoxDynError> {
                Ok(Self::try_from(<f64 as Decode<Sqlite>>::decode(value)?)?)
            }
        }
    )+};
}

/// Values written and read as text, with the conversion of each.
macro_rules! text {
    ($write:expr, $read:expr; $($name:ident),+ $(,)?) => {$(
        impl Type<Sqlite> for $name {
            fn type_info() -> SqliteTypeInfo {
                <str as Type<Sqlite>>::type_info()
            }
        }

        impl Encode<'_, Sqlite> for $name {
            fn encode_by_ref(&self, buffer: &mut SqliteArgumentsBuffer) -> Result<IsNull, BoxDynError> {
                let write: fn(&$name) -> Result<String, BoxDynError> = $write;
                Encode::<Sqlite>::encode(write(self)?, buffer)
            }
        }

        impl<'r> Decode<'r, Sqlite> for $name {
            fn decode(value: SqliteValueRef<'r>) -> Result<Self, BoxDynError> {
                let read: fn(&str) -> Result<$name, BoxDynError> = $read;
                read(<&str as Decode<Sqlite>>::decode(value)?)
            }
        }
    )+};
}

real! { GapMm, SizeMm }

text! {
    |value| Ok(value.as_str().to_owned()), |text| Ok(text.to_owned().try_into()?);
    Name, Prose,
}

text! {
    |value| Ok(value.to_string()), |text| Ok(text.parse()?);
    Subject, Zone, Currency, Rule, Address, At, ClientId,
}

text! {
    |value| word(value), |text| from_word(text);
    Role, Units, StockKey, Proof, JobState,
}

/// The name of a kind in the job file.
pub(super) fn word(kind: &impl Serialize) -> Result<String, BoxDynError> {
    match serde_json::to_value(kind)? {
        serde_json::Value::String(word) => Ok(word),
        other => Err(format!("expected a word, not {other}").into()),
    }
}

pub(super) fn from_word<'de, T: Deserialize<'de>>(word: &'de str) -> Result<T, BoxDynError> {
    let word: StrDeserializer<'de, WordError> = word.into_deserializer();
    Ok(T::deserialize(word)?)
}

/// Declares the column form of a type from another crate.
macro_rules! foreign {
    ($($(#[$doc:meta])* $name:ident of $inner:ty;)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub(crate) struct $name(pub(crate) $inner);

        impl From<$name> for $inner {
            fn from(column: $name) -> $inner {
                column.0
            }
        }

        impl std::str::FromStr for $name {
            type Err = <$inner as std::str::FromStr>::Err;

            fn from_str(text: &str) -> Result<Self, Self::Err> {
                Ok(Self(text.parse()?))
            }
        }
    )+};
}

foreign! {
    /// A time in UTC, always with nine decimals, so that text order is time order.
    At of Timestamp;
    /// An id made by a client.
    ClientId of Uuid;
}

impl fmt::Display for At {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.9}", self.0)
    }
}

impl fmt::Display for ClientId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.hyphenated().fmt(f)
    }
}

/// Declares the integer keys that the database assigns.
macro_rules! keys {
    ($($(#[$doc:meta])* $name:ident;)+) => {$(
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, sqlx::Type,
        )]
        #[serde(transparent)]
        #[sqlx(transparent)]
        pub struct $name(i64);

        impl $name {
            /// The number.
            pub fn number(self) -> i64 {
                self.0
            }
        }

        impl From<i64> for $name {
            fn from(number: i64) -> Self {
                Self(number)
            }
        }

        impl std::str::FromStr for $name {
            type Err = std::num::ParseIntError;

            fn from_str(text: &str) -> Result<Self, Self::Err> {
                text.parse().map(Self)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }
    )+};
}

keys! {
    /// The key of a job, as in addresses.
    JobId;
    /// The key of a person.
    PersonId;
    /// The key of a photo.
    PhotoId;
    /// The key of a sign-in: one browser on one device.
    SignInId;
    /// The version that an edit form started from. For an item of a plan it is the number of the change that wrote
    /// it. For any other row it is the number of its changes, counted from 1.
    Version;
}
