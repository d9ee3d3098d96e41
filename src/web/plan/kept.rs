//! Where each kind of thing is kept, so that one set of handlers serves them all.

use crate::job::board::Board;
use crate::job::plan::{Circuit, Device, Feeder, Location, Mode, Raceway, RemovedEquipment};
use crate::job::point::Point;
use crate::job::value::{
    BoardId, CircuitId, DeviceId, FeederId, LocationId, ModeId, PointId, RacewayId, RemovedId,
};
use crate::store::{
    self, JobId, Store, Version, Versioned, Write, boards, circuits, devices, feeders, locations, modes,
    points, raceways, removed,
};

/// A kind of thing that the store keeps for a job, one versioned row each.
pub trait Kept: Sized + Send + Sync {
    /// Its id.
    type Id: Send + Sync;

    /// Its id.
    fn id(&self) -> &Self::Id;

    /// Reads one.
    fn get(
        store: &Store,
        job: JobId,
        id: &Self::Id,
    ) -> impl Future<Output = store::Result<Versioned<Self>>> + Send;

    /// Adds one at the end.
    fn insert(&self, write: &mut Write, job: JobId) -> impl Future<Output = store::Result<()>> + Send;

    /// Changes one.
    fn update(
        &self,
        write: &mut Write,
        job: JobId,
        expected: Version,
    ) -> impl Future<Output = store::Result<Version>> + Send;

    /// Removes one.
    fn remove(
        write: &mut Write,
        job: JobId,
        id: &Self::Id,
        expected: Version,
    ) -> impl Future<Output = store::Result<()>> + Send;
}

macro_rules! kept {
    ($($thing:ident by $id:ident in $aggregate:ident;)+) => {$(
        impl Kept for $thing {
            type Id = $id;

            fn id(&self) -> &$id {
                &self.id
            }

            async fn get(store: &Store, job: JobId, id: &$id) -> store::Result<Versioned<Self>> {
                $aggregate::get(&mut *store.read().await?, job, id).await
            }

            async fn insert(&self, write: &mut Write, job: JobId) -> store::Result<()> {
                $aggregate::insert(write, job, self).await
            }

            async fn update(&self, write: &mut Write, job: JobId, expected: Version) -> store::Result<Version> {
                $aggregate::update(write, job, self, expected).await
            }

            async fn remove(write: &mut Write, job: JobId, id: &$id, expected: Version) -> store::Result<()> {
                $aggregate::remove(write, job, id, expected).await
            }
        }
    )+};
}

kept! {
    Location by LocationId in locations;
    Board by BoardId in boards;
    Raceway by RacewayId in raceways;
    Point by PointId in points;
    Device by DeviceId in devices;
    Circuit by CircuitId in circuits;
    Feeder by FeederId in feeders;
    Mode by ModeId in modes;
    RemovedEquipment by RemovedId in removed;
}
