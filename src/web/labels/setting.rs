//! How the shop words its labels, which sheet it has, and where the codes lead.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use super::asked::stocks;
use crate::job::label::Word;
use crate::shop::labels::LabelSetting;
use crate::store::{self, Versioned, labels};
use crate::web::form::Form;
use crate::web::page::{Frame, Here, Sheet, html};
use crate::web::viewer::Viewer;
use crate::web::{AppState, Error};

#[derive(Template)]
#[template(path = "labels/setting.html")]
struct Page {
    sheet: Sheet,
    form: Form,
}

impl Page {
    fn new(frame: Frame, form: Form) -> Self {
        Self { sheet: frame.sheet("Labels").at(Here::Labels), form }
    }

    fn stocks(&self) -> Vec<(&'static str, String)> {
        stocks().to_vec()
    }

    fn words(&self) -> impl Iterator<Item = (&'static str, &'static str)> {
        Word::ALL.iter().map(|word| (word.text(), word.says()))
    }
}

/// What is settled.
pub async fn show(frame: Frame, State(app): State<AppState>) -> Result<Html<String>, Error> {
    let held = labels::get(&mut *app.store().read().await?).await?;
    html(&Page::new(frame, filled(&held)))
}

/// Settles it anew.
pub async fn save(
    frame: Frame,
    viewer: Viewer,
    State(app): State<AppState>,
    mut form: Form,
) -> Result<Response, Error> {
    let version = form.version()?;
    if let Some(setting) = read(&mut form) {
        let mut write = app.store().write(&viewer.actor(), app.now()).await?;
        match labels::update(&mut write, &setting, version).await {
            Ok(_) => {
                write.commit().await?;
                return Ok(Redirect::to("/labels").into_response());
            }
            Err(store::Error::Stale(stale)) => {
                let value = serde_json::from_value(stale.theirs.clone()).map_err(Error::internal)?;
                form.refuse_stale(&filled(&Versioned { value, version: stale.version }));
            }
            Err(error) => form.refuse_saving(error)?,
        }
    }
    Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&Page::new(frame, form))?).into_response())
}

fn filled(held: &Versioned<LabelSetting>) -> Form {
    let LabelSetting { rule, stock, address } = &held.value;
    let mut form = Form::filled([("version", held.version)]);
    form.put("rule", Some(rule));
    form.put("stock", Some(stock.key));
    form.put("address", address.as_ref());
    form
}

fn read(form: &mut Form) -> Option<LabelSetting> {
    let rule = form.required("rule");
    let stock = form.required("stock");
    let address = form.optional("address");
    form.sound()?;
    Some(LabelSetting { rule: rule?, stock: stock?, address })
}
