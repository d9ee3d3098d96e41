//! The label settings of the shop: the text rule, the label sheet, and the address in the QR codes.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use crate::job::label::{Measures, OwnSheet, STOCKS, Stock, StockKey, Word};
use crate::shop::labels::LabelSetting;
use crate::store::{self, Versioned, labels};
use crate::web::kit::form::{Form, Refusal};
use crate::web::kit::frame::Frame;
use crate::web::kit::page::{Here, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "labels/setting.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
}

impl Page {
    fn new(frame: Frame, form: Form) -> Self {
        Self { title_block: frame.title_block("Labels").at(Here::Labels), form }
    }

    fn stocks(&self) -> Vec<(&'static str, String)> {
        let listed = STOCKS.map(|stock| (stock.key, stock.to_string()));
        listed.into_iter().chain([(Stock::OWN, "Our own sheet, dimensions below".to_owned())]).collect()
    }

    fn words(&self) -> impl Iterator<Item = (&'static str, &'static str)> {
        Word::ALL.iter().map(|word| (word.text(), word.says()))
    }
}

/// The settings.
pub async fn show(frame: Frame, State(app): State<AppState>) -> Result<Html<String>, Error> {
    let held = labels::get(&mut *app.store().read().await?).await?;
    html(&Page::new(frame, filled(&held)))
}

/// Saves the settings.
pub async fn save(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    mut form: Form,
) -> Result<Response, Error> {
    let version = form.version()?;
    if let Some(setting) = read(&mut form) {
        let mut write = app.store().write(&user.actor(), app.now()).await?;
        match labels::update(&mut write, &setting, version).await {
            Ok(_) => {
                write.commit().await?;
                return Ok(Redirect::to("/labels").into_response());
            }
            Err(store::Error::Stale(stale)) => form.refuse_held(*stale, |theirs| Ok(filled(theirs)))?,
            Err(error) => form.refuse_saving(error)?,
        }
    }
    Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&Page::new(frame, form))?).into_response())
}

fn filled(held: &Versioned<LabelSetting>) -> Form {
    let LabelSetting { rule, stock, own, address } = &held.value;
    let mut form = Form::filled([("version", held.version)]);
    form.put("rule", Some(rule));
    form.put("stock", Some(stock));
    form.put("address", address.as_ref());
    if let Some(sheet) = own.as_ref().map(OwnSheet::measures) {
        form.put("own.paper_width_mm", Some(sheet.paper_width_mm));
        form.put("own.paper_height_mm", Some(sheet.paper_height_mm));
        form.put("own.columns", Some(sheet.columns));
        form.put("own.rows", Some(sheet.rows));
        form.put("own.width_mm", Some(sheet.width_mm));
        form.put("own.height_mm", Some(sheet.height_mm));
        form.put("own.left_mm", Some(sheet.left_mm));
        form.put("own.top_mm", Some(sheet.top_mm));
        form.put("own.across_mm", sheet.across_mm);
        form.put("own.down_mm", sheet.down_mm);
        form.put("own.print_mm", sheet.print_mm);
    }
    form
}

fn read(form: &mut Form) -> Option<LabelSetting> {
    let rule = form.required("rule");
    let stock = form.required("stock");
    let own = if form.holds("own") { own(form) } else { None };
    let address = form.optional("address");
    if stock == Some(StockKey::OWN) && !form.holds("own") {
        form.refuse("stock", "Enter the dimensions of that sheet below, or choose one from the list.");
    }
    form.sound()?;
    Some(LabelSetting { rule: rule?, stock: stock?, own, address })
}

/// Reads the dimensions of a sheet.
fn own(form: &mut Form) -> Option<OwnSheet> {
    let [paper_width_mm, paper_height_mm] =
        ["own.paper_width_mm", "own.paper_height_mm"].map(|field| form.required(field));
    let [columns, rows] = ["own.columns", "own.rows"].map(|field| form.required(field));
    let [width_mm, height_mm] = ["own.width_mm", "own.height_mm"].map(|field| form.required(field));
    let [left_mm, top_mm] = ["own.left_mm", "own.top_mm"].map(|field| form.required(field));
    let [across_mm, down_mm, print_mm] =
        ["own.across_mm", "own.down_mm", "own.print_mm"].map(|field| form.optional(field));
    form.sound()?;
    let measures = Measures {
        paper_width_mm: paper_width_mm?,
        paper_height_mm: paper_height_mm?,
        columns: columns?,
        rows: rows?,
        width_mm: width_mm?,
        height_mm: height_mm?,
        left_mm: left_mm?,
        top_mm: top_mm?,
        across_mm,
        down_mm,
        print_mm,
    };
    match OwnSheet::try_from(measures) {
        Ok(sheet) => Some(sheet),
        Err(bad) => {
            form.refuse(&format!("own.{}", bad.field), bad.sentence());
            None
        }
    }
}
