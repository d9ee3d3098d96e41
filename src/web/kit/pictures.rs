//! Pictures that people send: received a few at a time, and decoded one at a time.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use axum::extract::multipart::{Field, MultipartError};
use tokio::task;

use super::Error;
use crate::shop::picture::{Picture, PictureError};
use crate::store::turns::{Turn, Turns};
use crate::store::{self, PersonId};
use crate::trade::say::capital;

/// The largest accepted file; a phone's photo is about a third of it.
pub const BODY_LIMIT: usize = 24 * 1024 * 1024;
/// The room that is set aside for a file. A vector that grows would take twice its size at times, and memory that is
/// never written takes none. The system's allocator gives back more than 32 MiB at once (mallopt(3),
/// M_MMAP_THRESHOLD); what it keeps of less would add up.
const ROOM: usize = 33 * 1024 * 1024;
/// How many files are received at once.
const RECEIVED: usize = 3;
/// How many may wait, over all people.
const WAITING: usize = 64;

/// The turns at sending and decoding. Each person has a queue of their own.
#[derive(Debug)]
pub struct Pictures {
    receiving: Turns<PersonId>,
    decoding: Turns<PersonId>,
}

/// The turn of a person who sends a picture.
#[derive(Debug)]
pub struct Sending<'a> {
    pictures: &'a Pictures,
    person: PersonId,
    _turn: Turn<PersonId>,
}

impl Default for Pictures {
    fn default() -> Self {
        Self { receiving: Turns::new(RECEIVED, WAITING), decoding: Turns::new(1, RECEIVED) }
    }
}

impl Pictures {
    /// Waits until a picture of this person can be received.
    ///
    /// # Errors
    /// [`Error::TooMany`] if too many people wait already.
    pub async fn send(&self, person: PersonId) -> Result<Sending<'_>, Error> {
        let turn = self.receiving.turn(person).await.map_err(store::Error::from)?;
        Ok(Sending { pictures: self, person, _turn: turn })
    }
}

impl Sending<'_> {
    /// Prepares a picture for storage.
    ///
    /// # Errors
    /// [`Error::BadRequest`]: the file is not a picture, or it is too large.
    pub async fn decode(&self, sent: Vec<u8>) -> Result<Picture, Error> {
        let turn = self.pictures.decoding.turn(self.person).await.map_err(store::Error::from)?;
        let asked = Asked::default();
        let wanted = Arc::clone(&asked.0);
        let decode = move || {
            let _held = turn;
            Picture::while_wanted(&sent, || !wanted.load(Ordering::Relaxed))
        };
        let picture = task::spawn_blocking(decode).await.map_err(Error::internal)?;
        drop(asked);
        picture.map_err(|error: PictureError| Error::BadRequest(format!("{}.", capital(&error.to_string()))))
    }
}

/// Whether the one who asked is gone. A request whose client hangs up is dropped, and this with it.
#[derive(Debug, Default)]
struct Asked(Arc<AtomicBool>);

impl Drop for Asked {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// Reads the file in a field.
///
/// # Errors
/// [`MultipartError`] if it is too large or does not arrive whole.
pub async fn file(mut field: Field<'_>) -> Result<Vec<u8>, MultipartError> {
    let mut file = Vec::with_capacity(ROOM);
    while let Some(chunk) = field.chunk().await? {
        file.extend_from_slice(&chunk);
    }
    Ok(file)
}
