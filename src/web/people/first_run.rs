//! The first run: names the shop and creates the manager's account.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;

use super::client::Client;
use super::sign_in;
use crate::job::value::Name;
use crate::shop::profile::{Profile, Units};
use crate::shop::role::Role;
use crate::shop::secret::Passphrase;
use crate::store::people::{self, Newcomer};
use crate::store::sign_in::SignInRefusal;
use crate::store::{self, Actor, Hashed, shop};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::page::{TitleBlock, html};
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "people/first_run.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
}

/// The values of the form.
struct FirstRun {
    shop: Profile,
    name: Name,
    passphrase: Passphrase,
}

impl Page {
    fn new(frame: Frame, form: Form) -> Self {
        Self { title_block: frame.title_block("First run").help("operating#the-first-start"), form }
    }

    fn units(&self) -> [(&'static str, &'static str); 2] {
        Units::ALL.map(|units| (units.word(), units.said()))
    }
}

/// The form, or the shop floor if the shop exists already.
pub async fn ask(frame: Frame) -> Result<Response, Error> {
    if frame.shop.is_some() {
        return Ok(Redirect::to("/").into_response());
    }
    let form =
        Form::filled([("time_zone", here()), ("currency", "USD".to_owned()), ("units", "us".to_owned())]);
    Ok(html(&Page::new(frame, form))?.into_response())
}

/// Creates the shop and its manager, and signs the manager in.
pub async fn make(
    frame: Frame,
    State(app): State<AppState>,
    jar: CookieJar,
    client: Client,
    mut form: Form,
) -> Result<Response, Error> {
    let Some(first) = read(&mut form) else {
        return refused(frame, form);
    };
    let manager = Newcomer {
        passphrase: Hashed::passphrase(&first.passphrase).await?,
        name: first.name.clone(),
        role: Role::Manager,
        pin: None,
    };
    let mut write = app.store().write(&Actor { person: None, name: first.name.clone() }, app.now()).await?;
    let made = match people::add_first(&mut write, &manager).await {
        Ok(_) => shop::create(&mut write, &first.shop).await,
        Err(error) => Err(error),
    };
    match made {
        Ok(()) => write.commit().await?,
        Err(store::Error::SetUpAlready) if frame.shop.is_none() => {
            drop(write);
            return take_up(frame, &app, jar, &client, form, &first).await;
        }
        Err(store::Error::SetUpAlready) => return Ok(Redirect::to("/").into_response()),
        Err(error) => {
            form.refuse_saving(error)?;
            return refused(frame, form);
        }
    }
    match sign_in::open(&app, &client, first.name.as_str(), form.typed("passphrase")).await {
        Ok(cookie) => Ok((jar.add(cookie), Redirect::to("/")).into_response()),
        Err(refusal) => Err(sign_in::refused(&app, refusal)),
    }
}

/// Creates the shop if accounts were created before it on the command line: this needs a manager's account.
async fn take_up(
    frame: Frame,
    app: &AppState,
    jar: CookieJar,
    client: &Client,
    mut form: Form,
    first: &FirstRun,
) -> Result<Response, Error> {
    let cookie = match sign_in::open(app, client, first.name.as_str(), first.passphrase.reveal()).await {
        Ok(cookie) => cookie,
        Err(SignInRefusal::Wrong) => return not_an_managers(frame, form),
        Err(refusal) => return Err(sign_in::refused(app, refusal)),
    };
    let person = people::named(&mut *app.store().read().await?, first.name.as_str()).await?;
    let Some(manager) = person.filter(|person| person.role == Role::Manager) else {
        return not_an_managers(frame, form);
    };
    let mut write = app.store().write(&manager.actor(), app.now()).await?;
    match shop::create(&mut write, &first.shop).await {
        Ok(()) => write.commit().await?,
        Err(error) => {
            form.refuse_saving(error)?;
            return refused(frame, form);
        }
    }
    Ok((jar.add(cookie), Redirect::to("/")).into_response())
}

fn not_an_managers(frame: Frame, mut form: Form) -> Result<Response, Error> {
    form.refuse("passphrase", "There are accounts here already: enter a manager’s name and passphrase.");
    refused(frame, form)
}

fn refused(frame: Frame, form: Form) -> Result<Response, Error> {
    Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&Page::new(frame, form))?).into_response())
}

fn read(form: &mut Form) -> Option<FirstRun> {
    let shop = form.required("shop");
    let units = form.required("units");
    let time_zone = form.required("time_zone");
    let currency = form.required("currency");
    let name = form.required("name");
    let passphrase = form.required("passphrase");
    same_again(form);
    form.sound()?;
    let shop = Profile {
        name: shop?,
        address: None,
        phone: None,
        time_zone: time_zone?,
        currency: currency?,
        units: units?,
    };
    Some(FirstRun { shop, name: name?, passphrase: passphrase? })
}

/// The passphrase is typed twice, because nobody else could reset a mistyped one yet.
fn same_again(form: &mut Form) {
    if form.error("passphrase").is_none() && form.typed("passphrase") != form.typed("passphrase_again") {
        form.refuse("passphrase_again", "The passphrases differ.");
    }
}

/// The name of this machine's time zone.
fn here() -> String {
    jiff::tz::TimeZone::system().iana_name().unwrap_or("UTC").to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shop_needs_a_name_a_zone_and_a_manager_who_typed_the_passphrase_twice() {
        let filled = [
            ("shop", "Otterslip"),
            ("units", "us"),
            ("time_zone", "America/New_York"),
            ("currency", "USD"),
            ("name", "Ines"),
            ("passphrase", "copper before chrome"),
            ("passphrase_again", "copper before chrome"),
        ];
        assert!(read(&mut Form::filled(filled)).is_some());
        for (field, wrong) in [
            ("shop", ""),
            ("units", "feet"),
            ("time_zone", "Mars"),
            ("currency", "dollar"),
            ("passphrase", "short"),
        ] {
            let mut form = Form::filled(filled);
            form.put(field, Some(wrong));
            assert!(read(&mut form).is_none(), "{field}");
            assert!(form.error(field).is_some(), "{field}: {:?}", form.errors());
        }
        let mut form = Form::filled(filled);
        form.put("passphrase_again", Some("copper before Chrome"));
        assert!(read(&mut form).is_none() && form.error("passphrase_again").is_some());
    }
}
