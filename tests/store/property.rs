//! Any job comes out as it went in: to the last bit of a number, the last character of a name, and in order.

use driploop::job::file::JobFile;
use driploop::job::plan::Plan;
use driploop::job::plan::item::{self, Item, ItemVisitor};
use driploop::store::doctor;
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

/// The fields of the job file that name items.
const NAMES: [&str; 12] = [
    "location", "between", "from", "to", "return", "panel", "junction", "devices", "device", "circuit",
    "charging", "board",
];

/// What makes the plan of [`small`] into one that may not fit together: which of its names lead elsewhere, and where.
fn strays() -> impl Strategy<Value = Vec<(Index, Index)>> {
    prop::collection::vec((any::<Index>(), any::<Index>()), 0..4)
}

/// Everything in a document that names an item.
fn names<'v>(value: &'v mut Value, key: &str, found: &mut Vec<&'v mut Value>) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(|item| names(item, key, found)),
        Value::Object(fields) => fields.iter_mut().for_each(|(key, field)| names(field, key, found)),
        name @ Value::String(_) if NAMES.contains(&key) => found.push(name),
        _ => {}
    }
}

/// The documents of a plan, each with its kind and id.
struct Documents<'a> {
    plan: &'a Plan,
    all: Vec<(&'static str, String, Value)>,
}

impl ItemVisitor for Documents<'_> {
    fn visit<T: Item>(&mut self) {
        let documents = T::list(self.plan)
            .iter()
            .map(|item| (T::KIND.word(), item.id().to_string(), serde_json::to_value(item).unwrap()));
        self.all.extend(documents);
    }
}

/// A plan with other documents for its items, which need not fit together.
struct Written<'a> {
    plan: Plan,
    documents: &'a [(&'static str, String, Value)],
}

impl ItemVisitor for Written<'_> {
    fn visit<T: Item>(&mut self) {
        let own = self.documents.iter().filter(|(kind, ..)| *kind == T::KIND.word());
        let items = own.map(|(.., document)| serde_json::from_value(document.clone()).unwrap());
        *T::list_mut(&mut self.plan) = items.collect();
    }
}

#[test]
fn the_doctor_finds_what_the_plan_itself_says_is_wrong() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    proptest!(ProptestConfig::with_cases(24), |(strays in strays())| {
        let JobFile { plan, .. } = small();
        let mut documents = Documents { plan: &plan, all: Vec::new() };
        item::visit(&mut documents);
        let mut documents = documents.all;
        let ids: Vec<String> =
            documents.iter().map(|(_, id, _)| id.clone()).chain(["nowhere".to_owned()]).collect();
        let mut named = Vec::new();
        documents.iter_mut().for_each(|(.., document)| names(document, "", &mut named));
        for (name, to) in &strays {
            let at = name.index(named.len());
            *named[at] = ids[to.index(ids.len())].clone().into();
        }
        let mut written = Written { plan: plan.clone(), documents: &documents };
        item::visit(&mut written);
        let expected: Vec<String> = written.plan.faults().iter().map(ToString::to_string).collect();

        let told: Vec<String> = runtime.block_on(async {
            let shop = Shop::open().await;
            shop.import(&small()).await;
            let mut raw = shop.raw().await;
            sqlx::raw_sql("DROP TRIGGER item_keeps_its_id").execute(&mut raw).await.unwrap();
            for (kind, id, document) in &documents {
                let update = sqlx::query("UPDATE item SET body = ? WHERE kind = ? AND id = ?");
                update.bind(document.to_string()).bind(kind).bind(id).execute(&mut raw).await.unwrap();
            }
            let report = doctor::examine(shop.store.folder().root()).await.unwrap();
            assert_eq!(report.is_well(), expected.is_empty());
            report.unreadable.into_iter().map(|(_, fault)| fault).collect()
        });
        prop_assert_eq!(told, expected);
    });
}
