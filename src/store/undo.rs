//! Taking a change of the plan back by its line in the log: what was different is as it was, what was removed is
//! there again, what was new is gone. That is a change like any other, with its own line.

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::column::{JobId, Version};
use super::events;
use super::folder::Folder;
use super::jobs::{self, Intake};
use super::log::{self, Change, Line};
use super::{
    Error, Result, Stale, Write, boards, circuits, devices, feeders, locations, modes, photos, points,
    raceways, removed,
};
use crate::job::board::Board;
use crate::job::event::{Mark, Tick, Withdrawal};
use crate::job::plan::{Circuit, Device, Feeder, Location, Mode, Raceway, RemovedEquipment};
use crate::job::point::Point;
use crate::job::subject::{Subject, SubjectKind};

/// How many ticks one change of a plan may have taken back.
const LOOK_BACK: u32 = 5000;

/// Whether a line of the log tells of something that can be taken back so.
pub fn goes(line: &Line) -> bool {
    let kind = line.subject.parse::<Subject>().map(|subject| subject.kind);
    let of_plan = matches!(
        kind,
        Ok(SubjectKind::Location
            | SubjectKind::Board
            | SubjectKind::Raceway
            | SubjectKind::Point
            | SubjectKind::Device
            | SubjectKind::Circuit
            | SubjectKind::Feeder
            | SubjectKind::Mode
            | SubjectKind::Removed)
    );
    match line.change {
        // The intake of a boat: a job that is there can be as it was, and is not taken away by an undo.
        Change::Changed if kind == Ok(SubjectKind::Job) => true,
        Change::Added | Change::Changed | Change::Removed => of_plan,
        Change::Photographed => true,
        _ => false,
    }
}

/// Takes the change of a line back.
///
/// # Errors
///
/// [`Error::NotFound`] where there is no such line or it is none of those; [`Error::Stale`] where the thing was
/// changed again since; whatever else keeps it from being as it was.
pub async fn take_back(write: &mut Write, folder: &Folder, job: JobId, id: i64) -> Result<()> {
    let line = log::of_job(write, job, Some(id.saturating_add(1)), 1).await?.into_iter().next();
    let no_such = || Error::NotFound(format!("change {id} that can be taken back"));
    let line = line.filter(|line| line.id == id && goes(line)).ok_or_else(no_such)?;
    let subject: Subject = line.subject.parse().map_err(|_| no_such())?;
    let lines = log::of_job(write, job, Some(id), LOOK_BACK).await?;
    if line.change == Change::Photographed {
        return photos::reverse(write, folder, job, &subject, &line).await;
    }
    macro_rules! reverse {
        ($thing:ty, $aggregate:ident) => {{
            let (before, after) = (read::<$thing>(&line.before)?, read::<$thing>(&line.after)?);
            match (before, after) {
                (Some(before), Some(after)) => {
                    let held = $aggregate::get(write, job, &after.id).await?;
                    // The same form, sent twice.
                    if held.value == before {
                        return Ok(());
                    }
                    unchanged(&subject, held.version, &held.value, &after)?;
                    $aggregate::update(write, job, &before, held.version).await?;
                }
                (Some(before), None) => $aggregate::insert(write, job, &before).await?,
                (None, Some(after)) => {
                    let held = $aggregate::get(write, job, &after.id).await?;
                    unchanged(&subject, held.version, &held.value, &after)?;
                    $aggregate::remove(write, job, &after.id, held.version).await?;
                }
                (None, None) => return Err(no_such()),
            }
        }};
    }
    match subject.kind {
        SubjectKind::Job => intake(write, job, &line).await?,
        SubjectKind::Location => reverse!(Location, locations),
        SubjectKind::Board => reverse!(Board, boards),
        SubjectKind::Raceway => reverse!(Raceway, raceways),
        SubjectKind::Point => reverse!(Point, points),
        SubjectKind::Device => reverse!(Device, devices),
        SubjectKind::Circuit => reverse!(Circuit, circuits),
        SubjectKind::Feeder => reverse!(Feeder, feeders),
        SubjectKind::Mode => reverse!(Mode, modes),
        SubjectKind::Removed => reverse!(RemovedEquipment, removed),
        _ => return Err(no_such()),
    }
    for tick in opened_by(&line, &lines)? {
        let (id, by, at) = (events::id_at(write.now()), write.actor().name.clone(), write.now());
        events::add(write, job, &Withdrawal { id, event: tick.id, by, at }).await?;
    }
    Ok(())
}

/// Head, boat and customer as they were before a change.
async fn intake(write: &mut Write, job: JobId, line: &Line) -> Result<()> {
    let (Some(before), Some(after)) = (read::<Intake>(&line.before)?, read::<Intake>(&line.after)?) else {
        return Err(Error::NotFound(format!("change {} that can be taken back", line.id)));
    };
    let held = jobs::get(write, job).await?;
    // The same form, sent twice.
    if held.value == before {
        return Ok(());
    }
    unchanged(&jobs::subject(job), held.version, &held.value, &after)?;
    jobs::update(write, job, &before, held.version).await.map(|_| ())
}

/// What was taken back of the wire's ticks by the very change of this line: the lines right before it, of the
/// same moment and hand.
fn opened_by(line: &Line, before: &[Line]) -> Result<Vec<Tick>> {
    let same = |other: &&Line| other.change == Change::Ticked && (other.at, &other.by) == (line.at, &line.by);
    let ticks = before.iter().take_while(same).map(|line| read::<Tick>(&line.after));
    let ticks = ticks.filter_map(Result::transpose).collect::<Result<Vec<_>>>()?;
    Ok(ticks.into_iter().filter(|tick| tick.mark == Mark::Undone && tick.reason.is_some()).collect())
}

fn read<T: DeserializeOwned>(content: &Option<serde_json::Value>) -> Result<Option<T>> {
    Ok(content.clone().map(serde_json::from_value).transpose()?)
}

/// Refuses to take back a change that somebody built on.
fn unchanged<T: PartialEq + Serialize>(
    subject: &Subject,
    version: Version,
    held: &T,
    after: &T,
) -> Result<()> {
    if held == after {
        return Ok(());
    }
    let theirs = serde_json::to_value(held)?;
    Err(Error::Stale(Box::new(Stale { subject: subject.to_string(), version, theirs })))
}
