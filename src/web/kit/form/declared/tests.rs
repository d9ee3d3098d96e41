//! What a declared form does with stored values and typed text, rule by rule.

use askama::Template;
use serde_json::{Value, json};

use super::{Declared, FieldGroup, FieldRows, FormContext, Input, RowLayout, listed};
use crate::job::plan::HoleFill;
use crate::job::value::{CurrentA, LengthM, Name, Seconds};
use crate::web::kit::form::Form;
use crate::web::kit::length::LengthUnit;

struct Feet;

impl FormContext for Feet {
    fn unit(&self) -> LengthUnit {
        LengthUnit::Foot
    }

    fn is_new(&self) -> bool {
        false
    }
}

fn declared() -> Declared<Feet> {
    let row = [
        Input::hidden::<u16>("number"),
        Input::text::<Name>("name", "What is set").required(),
        Input::check("done", "Done"),
    ];
    Declared::new()
        .group(FieldGroup::new("Pump").hint("One of the two.").inputs([
            Input::fixed::<Name>("id", "Id").required(),
            Input::length::<LengthM>("rise_m", "Rise"),
            Input::select::<HoleFill>("fill", "Closed with", |_| listed(&[(HoleFill::Plug, "A plug")])),
            Input::check("wet", "Wet"),
        ]))
        .fold(
            "While it starts",
            [FieldGroup::new("Start").inputs([
                Input::number::<CurrentA>("start.a", "Current", "A").needed("Give the current too."),
                Input::number::<Seconds>("start.s", "Time", "s").needed("Give the time too."),
                Input::check("start.soft", "Soft start").beside(),
            ])],
        )
        .group(
            FieldGroup::new("Settings").rows(
                FieldRows::new("settings", RowLayout::Columns, row)
                    .spare(2, "More settings")
                    .distinct("name", "This is set already."),
            ),
        )
}

fn read(typed: &[(&'static str, &'static str)]) -> (Option<Value>, Form) {
    let mut form = Form::filled(typed.iter().copied());
    let read = declared().read(&mut form, LengthUnit::Foot);
    (read, form)
}

#[test]
fn what_is_stored_comes_back_as_it_was() {
    let stored = json!({
        "id": "P1", "rise_m": 0.6096, "fill": "plug", "wet": true,
        "start": {"a": 9.5, "s": 0.2, "soft": true},
        "settings": [{"number": 4, "name": "Delay", "done": true}, {"number": 7, "name": "Tone"}],
    });
    let mut form = Form::default();
    declared().fill(&stored, &mut form, LengthUnit::Foot);
    assert_eq!(
        (form.typed("rise_m"), form.typed("wet"), form.typed("settings[1].number")),
        ("2 ft", "yes", "7")
    );
    assert_eq!(
        declared().read(&mut form, LengthUnit::Foot),
        Some(json!({
            "id": "P1", "rise_m": 0.6096, "fill": "plug", "wet": true,
            "start": {"a": 9.5, "s": 0.2, "soft": true},
            "settings": [{"number": 4, "name": "Delay", "done": true}, {"number": 7, "name": "Tone"}],
        }))
    );
}

#[test]
fn every_wrong_field_is_refused_at_once() {
    let (value, form) =
        read(&[("rise_m", "high"), ("fill", "tar"), ("start.a", "much"), ("settings[3].done", "yes")]);
    assert_eq!(value, None);
    for (field, text) in [
        ("id", "Required."),
        ("rise_m", "Expected a length such as 12 ft 3 1/2 in, not \u{2018}high\u{2019}."),
        ("fill", "Choose one of the list."),
        ("start.a", "Expected a current in amperes from 0.001 to 2000, not \u{2018}much\u{2019}."),
        ("start.s", "Give the time too."),
        ("settings[0].name", "Required."),
    ] {
        assert_eq!(form.error(field), Some(text), "{field}: {:?}", form.errors());
    }
    assert_eq!(form.errors().len(), 6, "{:?}", form.errors());
}

#[test]
fn what_goes_with_a_group_is_nothing_without_it() {
    let (value, _) = read(&[("id", "P1"), ("start.soft", "yes"), ("settings[0].number", "3")]);
    assert_eq!(value, Some(json!({"id": "P1", "settings": []})));
}

#[test]
fn a_row_that_repeats_another_is_refused() {
    let (_, form) = read(&[("id", "P1"), ("settings[0].name", "Delay"), ("settings[2].name", "Delay")]);
    assert_eq!(form.error("settings[1].name"), Some("This is set already."));
}

#[test]
fn a_fault_finds_the_nearest_input() {
    let declared = declared();
    let at = |path| declared.input_at(path);
    assert_eq!(at("start.s").as_deref(), Some("start.s"));
    assert_eq!(at("start").as_deref(), Some("start.a"));
    assert_eq!(at("settings").as_deref(), Some("settings[0].name"));
    assert_eq!(at("settings[4].name").as_deref(), Some("settings[4].name"));
    assert_eq!(
        at("settings[4].number").as_deref(),
        Some("settings[4].name"),
        "what is hidden is not shown to"
    );
    assert_eq!(at("elsewhere"), None);
    assert_eq!(declared.label_of("settings[4].name").as_deref(), Some("What is set, row 5"));
    assert_eq!(declared.label_of("rise_m").as_deref(), Some("Rise"));
}

#[test]
fn a_form_is_shown_with_what_was_typed_and_what_is_wrong() {
    let (_, form) = read(&[("id", "P1"), ("rise_m", "<high>"), ("settings[0].name", "Delay")]);
    let html = declared().shown(&form, &Feet).render().unwrap();
    for part in [
        "<legend>Pump</legend>",
        "<p class=\"hint\">One of the two.</p>",
        "<p class=\"sleeve-text\">P1</p>",
        "value=\"&#60;high&#62;\"",
        "Such as 12 ft 3 1/2 in",
        "inputmode=\"text\"",
        "id=\"rise_m-error\"",
        "<details class=\"panel fold\">",
        "<input type=\"hidden\" name=\"settings[0].number\"",
        "id=\"settings[1].name\"",
        "name=\"more\" value=\"settings\"",
    ] {
        assert!(html.contains(part), "{part}: {html}");
    }
    let (_, started) = read(&[("id", "P1"), ("start.a", "9")]);
    let html = declared().shown(&started, &Feet).render().unwrap();
    assert!(html.contains("<details class=\"panel fold\" open>"), "{html}");
}
