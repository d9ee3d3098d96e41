//! Boards in the check of a whole plan.

use driploop::job::board::parts;
use driploop::job::check::Report;
use serde_json::{Value, json};

use crate::fixture::{plan, report, said, told};

/// The sound job with a board at the helm and the fuse block and the negative bar on it.
fn boarded(job: &mut Value) {
    job["boards"] = json!([{"id": "b1", "name": "Console board", "location": "helm", "width_mm": 400, "height_mm": 200,
        "thickness_mm": 12, "laminate_mm": 4}]);
    part(&mut job["points"][1], 160, 80, Some((20, 20)));
    part(&mut job["points"][2], 120, 40, Some((20, 130)));
}

fn part(thing: &mut Value, width: u16, height: u16, at: Option<(u16, u16)>) {
    thing["footprint"] = json!({"width_mm": width, "height_mm": height, "clearance_mm": 10, "screw_mm": 4.2});
    thing["mounting"] = json!({"board": "b1"});
    if let Some((x, y)) = at {
        thing["mounting"]["at"] = json!({"x_mm": x, "y_mm": y});
    }
}

/// The findings that a board adds to the sound job.
fn added(change: impl FnOnce(&mut Value)) -> Vec<String> {
    let plain: Vec<String> = report(|_| {}).findings.iter().map(told).collect();
    let changed: Report = report(|job| {
        boarded(job);
        change(job);
    });
    changed.findings.iter().map(told).filter(|line| !plain.contains(line)).collect()
}

#[test]
fn a_board_with_room_has_nothing_said_of_it() {
    assert_eq!(added(|_| {}), Vec::<String>::new());
}

#[test]
fn parts_keep_off_each_other_and_on_their_board() {
    assert_eq!(
        added(|job| job["points"][2]["mounting"]["at"]["y_mm"] = json!(99)),
        ["fix parts-overlap point/fb1"]
    );
    assert_eq!(
        added(|job| job["points"][2]["mounting"]["at"]["y_mm"] = json!(115)),
        ["fix clearance-too-small point/fb1"]
    );
    assert_eq!(
        added(|job| job["points"][2]["mounting"]["at"]["x_mm"] = json!(275)),
        ["fix part-off-board point/neg1"],
        "its free ground reaches 405 of 400 mm"
    );
}

#[test]
fn what_does_not_fit_says_how_much_is_missing_and_what_to_move() {
    let all = report(|job| {
        boarded(job);
        part(&mut job["points"][4], 390, 150, None);
    });
    let finding =
        all.findings.iter().find(|finding| told(finding) == "fix board-too-small board/b1").unwrap();
    // Free: 400 x 200 less 180 x 100 and 140 x 60 mm, 536 cm2; asked: 410 x 170 mm, 697 cm2.
    let text = said(finding);
    assert!(text.contains("161 cm\u{b2} are missing"), "{text}");
    assert!(text.contains("without jb1"), "{text}");
}

#[test]
fn a_part_without_a_position_gets_one_beside_those_that_have_one() {
    let plan = plan(|job| {
        boarded(job);
        part(&mut job["points"][4], 150, 30, None);
        job["points"][4]["footprint"]["wire_bend_mm"] = json!(30);
    });
    let (board, on) = (&plan.boards[0], parts::on(&plan, &plan.boards[0].id));
    let spots = parts::proposed(board, &on).unwrap();
    assert_eq!(spots.len(), 1);
    let (part, at) = &spots[0];
    let envelope = part.part.envelope((at.x_mm.number(), at.y_mm.number()), at.turned);
    assert!(envelope.is_within(&parts::area(board)));
    assert!(on.iter().filter_map(|other| other.envelope()).all(|other| !other.overlaps(&envelope)));
}

#[test]
fn water_thin_laminate_and_missing_measures_are_said() {
    assert_eq!(
        added(|job| job["locations"][0]["wet"] = json!(true)),
        ["fix not-splashproof point/fb1", "fix not-splashproof point/neg1"]
    );
    let thin = |job: &mut Value| {
        let board = job["boards"][0].as_object_mut().unwrap();
        board.remove("thickness_mm");
    };
    assert_eq!(
        added(thin),
        ["fix thread-engagement-too-short point/fb1", "fix thread-engagement-too-short point/neg1"]
    );
    let unmeasured = |job: &mut Value| {
        job["points"][1].as_object_mut().unwrap().remove("footprint");
    };
    assert_eq!(added(unmeasured), ["fix input-missing point/fb1"], "never passed by default");
    let unscrewed = |job: &mut Value| {
        job["points"][1]["footprint"].as_object_mut().unwrap().remove("screw_mm");
    };
    assert_eq!(added(unscrewed), ["note not-checked point/fb1"]);
}

#[test]
fn a_compass_is_checked_against_the_whole_boat() {
    let compass = |job: &mut Value| {
        job["devices"][0]["footprint"] = json!({"width_mm": 100, "height_mm": 100, "compass": true});
        job["points"][1]["footprint"]["compass_safe_mm"] = json!(800);
    };
    assert_eq!(added(compass), ["fix input-missing point/fb1"], "bow and helm are nowhere on the drawing");
    let spots = |ahead: f64| {
        move |job: &mut Value| {
            compass(job);
            job["locations"][0]["at"] = json!({"ahead_m": 3.0, "starboard_m": 0.0});
            job["locations"][2]["at"] = json!({"ahead_m": ahead, "starboard_m": 0.3});
        }
    };
    assert_eq!(added(spots(3.5)), ["fix too-near-compass point/fb1"]);
    assert_eq!(added(spots(6.0)), Vec::<String>::new());
}

/// A second board at the helm with the negative bar on it.
fn two_boards(job: &mut Value) {
    boarded(job);
    job["boards"].as_array_mut().unwrap().push(
        json!({"id": "b2", "name": "Console side", "location": "helm", "width_mm": 300, "height_mm": 300}),
    );
    job["points"][2]["mounting"]["board"] = json!("b2");
}

/// What is said of heat and compasses after a change.
fn of_distance(change: impl FnOnce(&mut Value)) -> Vec<String> {
    let all = report(|job| {
        two_boards(job);
        change(job);
    });
    let kept = |line: &String| {
        let input = line.contains("input-missing") && line.contains("point/fb1");
        input || line.contains("too-near-heat") || line.contains("too-near-compass")
    };
    all.findings.iter().map(told).filter(kept).collect()
}

/// Both boards on the console: one looks aft, the other beside it to port; the bar is 20 mm in and 130 mm down.
fn stand(job: &mut Value, ahead_m: f64) {
    job["boards"][0]["stands"] = json!({"ahead_m": 3, "starboard_m": 0, "up_m": 1.2, "faces": "aft"});
    job["boards"][1]["stands"] =
        json!({"ahead_m": ahead_m, "starboard_m": 0.18, "up_m": 1.2, "faces": "aft"});
}

#[test]
fn heat_is_held_from_board_to_board() {
    let hot = |job: &mut Value| job["points"][1]["footprint"]["hot"] = json!(true);
    assert_eq!(of_distance(|_| {}), Vec::<String>::new(), "nothing is hot");
    assert_eq!(of_distance(hot), ["fix input-missing point/fb1"], "never passed by default");
    // The block is from 20 to 180 mm to starboard and from 1.1 to 1.18 m up; the bar from 200 to 320 mm and from
    // 1.03 to 1.07 m: 20 mm beside and 30 mm below, and as far ahead as its board.
    let at = |ahead_m: f64| {
        of_distance(|job| {
            hot(job);
            stand(job, ahead_m);
        })
    };
    // By hand: the root of 20^2 + 30^2 is 36 mm; with 40 mm ahead as well it is 53.9.
    assert_eq!(at(3.0), ["fix too-near-heat point/fb1"]);
    assert_eq!(at(3.04), Vec::<String>::new());
}

#[test]
fn a_compass_is_held_from_board_to_board() {
    let compass = |job: &mut Value| {
        job["points"][1]["footprint"]["compass"] = json!(true);
        job["points"][2]["footprint"]["compass_safe_mm"] = json!(300);
    };
    assert_eq!(of_distance(compass), ["fix input-missing point/fb1"]);
    let at = |ahead_m: f64, spot: bool| {
        of_distance(|job| {
            compass(job);
            stand(job, ahead_m);
            if !spot {
                job["points"][2]["mounting"].as_object_mut().unwrap().remove("at");
            }
        })
    };
    // By hand: the root of 297^2 + 36.06^2 is 299.2 mm, of 298^2 + 36.06^2 300.2 mm.
    assert_eq!(at(3.297, true), ["fix too-near-compass point/fb1"]);
    assert_eq!(at(3.298, true), Vec::<String>::new());
    assert_eq!(at(3.298, false), ["fix input-missing point/fb1"], "anywhere on its board it may be nearer");
    assert_eq!(at(3.4, false), Vec::<String>::new(), "nowhere on its board it is nearer");
}
