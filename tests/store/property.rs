//! Any job comes out as it went in: to the last bit of a number, the last character of a name, and in order.

use driploop::job::file::JobFile;
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::Value;

use crate::fixture::{Shop, small};

/// What makes one job of [`small`] into another: a factor for each figure, a text for each name, and how each list
/// is cut to another order.
#[derive(Debug, Clone)]
struct Change {
    factors: Vec<f64>,
    texts: Vec<String>,
    cuts: Vec<Index>,
}

fn change() -> impl Strategy<Value = Change> {
    (
        prop::collection::vec(0.9..1.0_f64, 97),
        prop::collection::vec("[^\\p{C}]{0,40}[^\\p{C}\\s]", 31),
        prop::collection::vec(any::<Index>(), 7),
    )
        .prop_map(|(factors, texts, cuts)| Change { factors, texts, cuts })
}

/// Changes every figure that has a unit and every text that is free.
fn vary(value: &mut Value, key: &str, change: &Change, seen: &mut usize) {
    *seen += 1;
    match value {
        // A count is whole and stays as it is.
        Value::Number(_) if key == "old_holes" => {}
        Value::Number(number) if key.contains('_') || matches!(key, "a" | "w" | "ohm" | "s" | "share") => {
            let factor = change.factors[*seen % change.factors.len()];
            *value = (number.as_f64().unwrap() * factor).into();
        }
        Value::String(text) if matches!(key, "name" | "contact" | "wishes" | "note" | "reason" | "by") => {
            text.clone_from(&change.texts[*seen % change.texts.len()]);
        }
        Value::Array(items) => items.iter_mut().for_each(|item| vary(item, key, change, seen)),
        Value::Object(fields) => fields.iter_mut().for_each(|(key, field)| vary(field, key, change, seen)),
        _ => {}
    }
}

fn other(change: &Change) -> JobFile {
    let mut document: Value = serde_json::from_str(&small().write()).unwrap();
    vary(&mut document, "", change, &mut 0);
    let lists = ["locations", "raceways", "points", "feeders", "devices", "circuits", "modes"];
    for (list, cut) in lists.into_iter().zip(&change.cuts) {
        let items = document[list].as_array_mut().unwrap();
        let at = cut.index(items.len());
        items.rotate_left(at);
    }
    JobFile::read(document.to_string().as_bytes()).unwrap()
}

#[test]
fn any_job_comes_out_as_it_went_in() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let shop = runtime.block_on(Shop::open());
    proptest!(ProptestConfig::with_cases(48), |(change in change())| {
        let job = other(&change);
        let out = runtime.block_on(async { shop.export(shop.import(&job).await).await });
        prop_assert_eq!(out.write(), job.write());
        prop_assert_eq!(out, job);
    });
}
