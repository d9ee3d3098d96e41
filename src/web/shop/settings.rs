//! The settings of the shop: name, address and phone, units, time zone and currency, and the mark.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use crate::shop::profile::{Profile, Units};
use crate::store::{self, Versioned, mark, shop};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::page::{Here, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "shop/settings.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
    /// The hash of the mark, if there is one.
    mark: Option<String>,
}

impl Page {
    async fn new(app: &AppState, frame: Frame, form: Form) -> Result<Self, Error> {
        let mark = mark::hash(&mut *app.store().read().await?).await?;
        Ok(Self { title_block: frame.title_block("Settings").at(Here::Settings), form, mark })
    }

    fn units(&self) -> [(&'static str, &'static str); 2] {
        Units::ALL.map(|units| (units.word(), units.said()))
    }
}

/// The settings.
pub async fn show(frame: Frame, State(app): State<AppState>) -> Result<Html<String>, Error> {
    let held = shop::get(&mut *app.store().read().await?).await?.ok_or(Error::NotFound("shop"))?;
    html(&Page::new(&app, frame, filled(&held)).await?)
}

/// Saves the settings.
pub async fn save(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    mut form: Form,
) -> Result<Response, Error> {
    let version = form.version()?;
    if let Some(profile) = read(&mut form) {
        let mut write = app.store().write(&user.actor(), app.now()).await?;
        match shop::update(&mut write, &profile, version).await {
            Ok(_) => {
                write.commit().await?;
                return Ok(Redirect::to("/shop").into_response());
            }
            Err(store::Error::Stale(stale)) => form.refuse_held(*stale, |theirs| Ok(filled(theirs)))?,
            Err(error) => form.refuse_saving(error)?,
        }
    }
    Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&Page::new(&app, frame, form).await?)?).into_response())
}

fn filled(held: &Versioned<Profile>) -> Form {
    let Profile { name, address, phone, time_zone, currency, units } = &held.value;
    let mut form = Form::filled([("version", held.version)]);
    form.put("name", Some(name));
    form.put("address", address.as_ref());
    form.put("phone", phone.as_ref());
    form.put("time_zone", Some(time_zone));
    form.put("currency", Some(currency));
    form.put("units", Some(units.word()));
    form
}

fn read(form: &mut Form) -> Option<Profile> {
    let name = form.required("name");
    let (address, phone) = (form.optional("address"), form.optional("phone"));
    let time_zone = form.required("time_zone");
    let currency = form.required("currency");
    let units = form.required("units");
    form.sound()?;
    Some(Profile { name: name?, address, phone, time_zone: time_zone?, currency: currency?, units: units? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_are_read_as_they_are_filled() {
        let filled = [
            ("name", "Otterslip"),
            ("address", "3 Slip Road\nAlder Cove"),
            ("phone", "+1 555 0100"),
            ("time_zone", "America/New_York"),
            ("currency", "USD"),
            ("units", "us"),
        ];
        let profile = read(&mut Form::filled(filled)).unwrap();
        let again = super::filled(&Versioned { version: 1.into(), value: profile.clone() });
        assert_eq!(read(&mut again.clone()), Some(profile));
        assert_eq!(again.typed("address"), "3 Slip Road\nAlder Cove");
        for (field, wrong) in [("name", ""), ("time_zone", "Mars"), ("currency", "dollar"), ("units", "feet")]
        {
            let mut form = Form::filled(filled);
            form.put(field, Some(wrong));
            assert!(read(&mut form).is_none() && form.error(field).is_some(), "{field}");
        }
    }
}
