//! `driploop backup`: makes a backup now. Also the automatic backups of the server.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::Duration;

use jiff::{SignedDuration, Timestamp};

use super::data::Data;
use super::open::with_store;
use super::outcome::{Error, Outcome};
use crate::store::{self, Store, backup};

/// The arguments of `driploop backup`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Folder of backups; each gets a folder of its own in it [default: backups in the data folder]
    #[arg(long, value_name = "DIR")]
    to: Option<PathBuf>,
    /// Keep only the newest backups of that folder
    #[arg(long, value_name = "NUMBER")]
    keep: Option<usize>,
    #[command(flatten)]
    data: Data,
}

/// Makes a backup and prints its path. A server may be running.
///
/// # Errors
///
/// [`Error`] if the data cannot be opened, or the backup cannot be written or verified.
pub fn run(args: &Args, out: &mut impl Write) -> Result<Outcome, Error> {
    let taken = with_store(&args.data, async |store| {
        let to = args.to.clone().unwrap_or_else(|| store.folder().backups());
        let now = Timestamp::now();
        let taken = backup::take(store, &to, now).await?;
        if let Some(keep) = args.keep {
            backup::rotate(store, &taken, keep, now).await?;
        }
        warn_of_dates_ahead(&to, now)?;
        Ok(taken)
    })?;
    writeln!(out, "{}", taken.path.display())?;
    Ok(Outcome::Well)
}

/// Says which backups have a date in the future.
fn warn_of_dates_ahead(of: &Path, now: Timestamp) -> Result<(), Error> {
    for backup in backup::ahead(of, now)? {
        let path = backup.path.display();
        eprintln!("driploop: {path} has a date in the future: the clock ran ahead then, or is behind now");
    }
    Ok(())
}

/// The schedule of the server's automatic backups. Each option can also be set in the environment; the command
/// line has precedence.
#[derive(Debug, Clone, clap::Args)]
pub struct Schedule {
    /// Hours between the server's automatic backups; 0 for none
    #[arg(long, env = "DRIPLOOP_BACKUP_HOURS", value_name = "HOURS", default_value_t = 24)]
    backup_hours: u32,
    /// Folder of the automatic backups, best on another disk [default: backups in the data folder]
    #[arg(long, env = "DRIPLOOP_BACKUP_TO", value_name = "DIR")]
    backup_to: Option<PathBuf>,
    /// Number of automatic backups to keep
    #[arg(long, env = "DRIPLOOP_BACKUP_KEEP", value_name = "NUMBER", default_value_t = 14)]
    backup_keep: usize,
}

impl Schedule {
    /// How often the server checks whether a backup is due. With this interval a computer that was asleep makes it
    /// soon after it wakes.
    const LOOK: Duration = Duration::from_secs(5 * 60);

    /// The folder of the automatic backups, if given.
    pub fn folder(&self) -> Option<&PathBuf> {
        self.backup_to.as_ref()
    }

    /// Makes backups when they are due, as long as it is polled. An error goes into the log, and the next check
    /// tries again.
    pub async fn keep(self, store: Store) {
        if self.backup_hours == 0 {
            return;
        }
        loop {
            match self.look(&store, Timestamp::now()).await {
                Ok(Some(taken)) => tracing::info!(path = %taken.path.display(), "backup taken"),
                Ok(None) => {}
                Err(error) => tracing::error!(%error, "no backup could be taken"),
            }
            tokio::time::sleep(Self::LOOK).await;
        }
    }

    async fn look(&self, store: &Store, now: Timestamp) -> store::Result<Option<backup::Backup>> {
        let to = self.backup_to.clone().unwrap_or_else(|| store.folder().backups());
        let every = SignedDuration::from_hours(self.backup_hours.into());
        if !backup::is_due(store, &to, every, now).await? {
            return Ok(None);
        }
        let taken = backup::take(store, &to, now).await?;
        backup::rotate(store, &taken, self.backup_keep, now).await?;
        for backup in backup::ahead(&to, now)? {
            tracing::warn!(path = %backup.path.display(), "a backup has a date in the future: check the clock");
        }
        Ok(Some(taken))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn a_backup_is_taken_when_due_and_the_oldest_goes() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).await.unwrap();
        let schedule = Schedule { backup_hours: 24, backup_to: None, backup_keep: 2 };
        let mut taken = 0;
        for hour in 0..100 {
            let now = Timestamp::from_second(1_772_000_000 + hour * 3600).unwrap();
            taken += usize::from(schedule.look(&store, now).await.unwrap().is_some());
        }
        assert_eq!(taken, 5);
        assert_eq!(backup::list(&store.folder().backups()).unwrap().len(), 2);
    }
}
