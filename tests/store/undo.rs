//! What was changed or taken away by mistake is there again, as it was.

use driploop::shop::picture::Picture;
use driploop::store::{Error, jobs, log, photos, undo};

use crate::fixture::{Shop, small};

#[tokio::test]
async fn a_photo_taken_away_comes_back_as_it_was() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let (subject, folder) = ("location/helm".parse().unwrap(), shop.store.folder());
    let picture = Picture { bytes: b"a sketch".to_vec(), width: 2, height: 1 };
    let mut write = shop.write().await;
    let kept = photos::add(&mut write, folder, job, &subject, &picture).await.unwrap();
    let taken = photos::get(&mut write, job, kept).await.unwrap();
    photos::remove(&mut write, job, kept).await.unwrap();
    assert!(photos::of_job(&mut write, job).await.unwrap().is_empty());
    let line = log::of_job(&mut write, job, None, 1).await.unwrap().remove(0);
    undo::line(&mut write, folder, job, line.id).await.unwrap();
    let back = photos::of_job(&mut write, job).await.unwrap().remove(0);
    assert_eq!(
        (&back.subject, back.width, back.by, back.at),
        (&taken.subject, 2, taken.by.clone(), taken.at)
    );

    let again = log::of_job(&mut write, job, None, 1).await.unwrap().remove(0);
    undo::line(&mut write, folder, job, again.id).await.unwrap();
    assert!(photos::of_job(&mut write, job).await.unwrap().is_empty(), "and goes again");
    let nothing = undo::line(&mut write, folder, job, 1).await;
    assert!(matches!(nothing, Err(Error::NotFound(_))), "{nothing:?}");
    std::fs::remove_file(taken.path(folder)).unwrap();
    let lost = undo::line(&mut write, folder, job, line.id).await;
    assert!(matches!(lost, Err(Error::NotFound(_))), "its file is gone: {lost:?}");
}

#[tokio::test]
async fn an_intake_changed_by_mistake_is_as_before() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let folder = shop.store.folder();
    let mut write = shop.write().await;
    let before = jobs::get(&mut write, job).await.unwrap();
    let mut other = before.value.clone();
    other.boat.name = "Other Plover".parse().unwrap();
    jobs::update(&mut write, job, &other, before.version).await.unwrap();
    let line = log::of_job(&mut write, job, None, 1).await.unwrap().remove(0);
    assert!(undo::goes(&line));
    undo::line(&mut write, folder, job, line.id).await.unwrap();
    assert_eq!(jobs::get(&mut write, job).await.unwrap().value, before.value);

    // What was changed again since is not overwritten.
    let held = jobs::get(&mut write, job).await.unwrap();
    other.boat.name = "Third Plover".parse().unwrap();
    jobs::update(&mut write, job, &other, held.version).await.unwrap();
    let stale = undo::line(&mut write, folder, job, line.id).await;
    assert!(matches!(stale, Err(Error::Stale(_))), "{stale:?}");
}
