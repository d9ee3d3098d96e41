//! Lines as customers and shops write them, and what is read from them.

use std::sync::LazyLock;

use proptest::prelude::*;

use super::*;
use crate::job::kind::{Catalog, Kind};
use crate::job::plan::Location;
use crate::job::value::KindId;

/// A center console with the usual locations.
fn boat() -> Vec<Location> {
    let named = [
        ("bow", "Bow deck"),
        ("locker", "Anchor locker"),
        ("gp", "Under the port gunwale"),
        ("gs", "Under the starboard gunwale"),
        ("helm", "Helm, face of the console"),
        ("console", "Inside the console"),
        ("top", "T-top"),
        ("post", "Leaning post"),
        ("bilge", "Aft bilge"),
        ("battery", "Battery compartment"),
        ("transom", "Transom"),
    ];
    let location = |(id, name): (&str, &str)| {
        serde_json::from_value(serde_json::json!({"id": id, "name": name})).unwrap()
    };
    named.into_iter().map(location).collect()
}

fn reader() -> &'static WishReader {
    static READER: LazyLock<WishReader> = LazyLock::new(|| WishReader::new(Catalog::built_in(), &boat()));
    &READER
}

/// A wish as one text: `keep 2 speaker @ gp gs; also usb-outlet; rest 7 inch`.
fn said(wish: &Wish) -> String {
    let list = |ids: &[KindId]| ids.iter().map(KindId::as_str).collect::<Vec<_>>().join(" ");
    let mut said = match &wish.wanted {
        Wanted::Kind(kind) => format!("{} {kind}", wish.count),
        Wanted::DidYouMean(kinds) => format!("{} ? {}", wish.count, list(kinds)),
        Wanted::NotWanted(kind) => format!("not {}", kind.as_ref().map_or("?", KindId::as_str)),
        Wanted::NotUnderstood => "???".to_owned(),
        Wanted::TooLong => "too long".to_owned(),
    };
    if wish.kept {
        said.insert_str(0, "keep ");
    }
    match &wish.location {
        WishLocation::NotSaid => {}
        WishLocation::At { usual, locations, .. } => {
            let ids = locations.iter().map(|id| id.to_string());
            let words = usual.iter().map(|usual| format!("({})", usual.word()));
            let all: Vec<String> = if locations.is_empty() || usual.len() > 1 {
                ids.chain(words).collect()
            } else {
                ids.collect()
            };
            said.push_str(&format!(" @ {}", all.join(" ")));
        }
        WishLocation::Unclear { phrase, did_you_mean } => {
            said.push_str(&format!(" @ ? {phrase}: {}", did_you_mean.join(", ")));
        }
    }
    if !wish.also.is_empty() {
        said.push_str(&format!("; also {}", list(&wish.also)));
    }
    if !wish.rest.is_empty() {
        said.push_str(&format!("; rest {}", wish.rest));
    }
    said
}

#[track_caller]
fn check(line: &str, expected: &str) {
    assert_eq!(said(&reader().line(1, 1, line)), expected, "{line}");
}

#[test]
fn kinds_counts_and_locations() {
    check("4 courtesy lights, under the gunwales", "4 courtesy-light @ gp gs");
    check("VHF radio at the helm", "1 vhf-radio @ helm");
    check("2x speakers cockpit", "2 speaker @ (cockpit)");
    check("Speakers x4, T-top", "4 speaker @ top");
    check("speakers (4)", "4 speaker");
    check("four speakers in the gunwales", "4 speaker @ gp gs");
    check("a pair of speakers on the leaning post", "2 speaker @ post");
    check("2 pairs of speakers", "4 speaker");
    check("one windlass", "1 windlass");
    check("Anchor windlass in the anchor locker", "1 windlass @ locker");
    check("bow thruster", "1 bow-thruster");
    check("trim tabs", "1 trim-tabs");
    check("Trim-tabs", "1 trim-tabs");
    check("radar on the hardtop", "1 radar @ top");
    check("RADAR DOME ON TTOP", "1 radar @ top");
    check("GPS chartplotter dash", "1 plotter @ helm");
    check("fish finder", "1 fishfinder");
    check("Fishfinder transducer, transom", "1 transducer @ transom; rest Fishfinder");
    check("AIS", "1 ais-transceiver");
    check("nav lights", "1 navigation-lights");
    check("anchor light on the mast", "1 all-round-light @ (mast)");
    check("stern light", "1 sternlight");
    check("red and green bow light", "1 bow-light");
    check("livewell pump in the bilge", "1 livewell-pump @ bilge");
    check("wash down pump at transom", "1 washdown-pump @ transom");
    check("auto bilge pumps x 2 aft bilge", "2 bilge-pump-automatic @ bilge");
    check("USB ports: 2, helm", "2 usb-outlet @ helm");
    check("three 12V outlets at the console", "3 outlet-12v @ console");
    check("2 12 volt outlets", "2 outlet-12v");
    check("12-volt socket by the helm seat", "1 outlet-12v @ post");
    check("cabin lights, 6", "6 cabin-light");
    check("fridge", "1 refrigerator");
    check("CO detector in the cabin", "1 co-alarm @ (cabin)");
    check("head unit", "1 stereo");
    check("kill switch", "1 kill-switch");
    check("battery monitor with shunt", "1 battery-monitor");
    check("dc-dc charger", "1 dc-dc-charger");
    check("24 to 12 converter", "1 converter");
    check("24V to 12V converter behind the dash", "1 converter @ helm");
    check("two AGM batteries in the battery compartment", "2 battery @ battery");
    check("fuse block inside the console", "1 fuse-block @ console");
    check("electric reel outlets port and starboard gunwale x2", "2 reel-outlet @ gp gs");
    check("underwater lights (2) transom", "2 underwater-light @ transom");
    check("windshield wipers, 2", "2 wiper");
    check("NMEA 2000 network", "1 network-backbone");
    check("horn", "1 horn");
    check("speakers: 2 bow, 2 cockpit", "4 speaker @ bow (bow) (cockpit)");
    check("bilge pumps, one forward and one aft", "2 bilge-pump-automatic @ bow bilge (bow) (stern)");
    check("downriggers (2) port and stbd gunwale", "2 downrigger @ gp gs");
    check("USB-C at the leaning post", "1 usb-outlet @ post");
    check("wifi hotspot", "1 wifi-router");
    check("battery charger 2 bank on board", "1 shore-charger");
    check("fridge under the seat", "1 refrigerator @ ? seat: ");
}

#[test]
fn what_is_kept_replaced_or_not_wanted() {
    check("keep the old bilge pump", "keep 1 bilge-pump-automatic");
    check("Keep existing VHF", "keep 1 vhf-radio");
    check("reuse the two old spreader lights", "keep 2 spreader-light");
    check("the old compass stays", "keep 1 compass-light");
    check("existing horn", "keep 1 horn");
    check("leave the windlass as is", "keep 1 windlass; rest as");
    check("replace the old horn", "1 horn");
    check("upgrade existing stereo", "1 stereo");
    check("no stereo", "not stereo");
    check("remove the old macerator", "not macerator-pump; rest old");
    check("we don't want a radar", "not radar");
    check("bilge pump without float", "1 bilge-pump-hand");
}

#[test]
fn sizes_and_notes_stay_as_a_rest() {
    check("7 inch chartplotter at the helm", "1 plotter @ helm; rest 7 inch");
    check("two 10\" subs", "2 subwoofer; rest 10\"");
    check("25 W VHF radio", "1 vhf-radio; rest 25 W");
    check("10 A breaker", "1 breaker; rest 10");
    check("1100 gph bilge pump", "1 bilge-pump-automatic; rest 1100 gph");
    check("100Ah lithium battery", "1 lithium-battery; rest 100Ah");
    check("4 channel amplifier", "1 amplifier");
    check("courtesy LED lights 6x", "6 courtesy-light; rest LED");
    check("stereo with bluetooth", "1 stereo; rest bluetooth");
}

#[test]
fn several_kinds_on_one_line_are_said() {
    check("VHF and AIS at the helm", "1 vhf-radio @ helm; also ais-transceiver");
    check("stereo with 4 speakers", "1 stereo; also speaker; rest 4");
    check("plotter + radar", "1 plotter; also radar");
    check("washdown and livewell", "1 washdown-pump; also livewell-pump");
    check("12\" MFD at helm with radar", "1 multifunction-display @ helm; also radar; rest 12\"");
    check(
        "lights in cabin and head",
        "1 ? cabin-light navigation-lights bow-light light-bar @ (cabin) (head); rest lights",
    );
    check("stereo w/ 6 speakers, sub", "1 stereo; also speaker subwoofer; rest 6");
    check("light bar, T-top", "1 light-bar @ top");
}

#[test]
fn wrong_letters_are_suggestions_unless_there_is_no_doubt() {
    check("chartploter at the helm", "1 plotter @ helm");
    check("4 courtesy ligths", "4 courtesy-light");
    check("winlass", "1 windlass");
    check("raddar", "1 ? radar");
    check("2 speekers in the cockpit", "2 ? speaker @ (cockpit)");
    check("horn at the helmm", "1 horn @ ? helmm: helm");
    check("speakers cokpit", "1 speaker @ ? cokpit: cockpit");
    check("horn under the flux capacitor", "1 horn @ ? flux capacitor: ");
}

#[test]
fn what_is_not_certain_is_asked() {
    let wanted = |line: &str| reader().line(1, 1, line).wanted;
    let first = |line: &str| match wanted(line) {
        Wanted::DidYouMean(kinds) => kinds.first().map(ToString::to_string),
        other => panic!("{line}: {other:?}"),
    };
    assert_eq!(first("pump for the livewell").as_deref(), Some("livewell-pump"));
    assert_eq!(first("light in the cabin").as_deref(), Some("cabin-light"));
    assert!(first("some lights").is_some() && first("pumps").is_some());
    for nothing in ["flux capacitor", "make it nice", "???", "\u{1f6a4}"] {
        assert_eq!(wanted(nothing), Wanted::NotUnderstood, "{nothing}");
    }
}

#[test]
fn a_leading_number_is_the_rank() {
    let list = "1. VHF\n\n3) radar\n- horn\n* 2 speakers\n3.5 inch display\n2 speakers";
    let wishes = reader().read(list).unwrap();
    let ranks: Vec<(usize, usize, u16)> =
        wishes.iter().map(|wish| (wish.line, wish.rank, wish.count)).collect();
    assert_eq!(ranks, [(1, 1, 1), (3, 3, 1), (4, 3, 1), (5, 4, 2), (6, 5, 1), (7, 6, 2)]);
}

#[test]
fn sizes_of_a_list_have_limits() {
    let many = "horn\n".repeat(MOST_LINES + 1);
    assert_eq!(reader().read(&many), Err(TooManyLines { lines: MOST_LINES + 1 }));
    assert_eq!(reader().read(&"horn\n".repeat(MOST_LINES)).unwrap().len(), MOST_LINES);
    let long = "horn ".repeat(MOST_LETTERS);
    let wish = reader().line(1, 1, &long);
    assert_eq!((wish.wanted, wish.text), (Wanted::TooLong, long));
    check("500 speakers", "1 speaker; rest 500");
    check("0 speakers", "1 speaker; rest 0");
}

#[test]
fn a_boat_without_locations_still_has_the_usual_ones() {
    let wish = WishReader::new(Catalog::built_in(), &[]).line(1, 1, "VHF radio at the dash");
    assert_eq!(said(&wish), "1 vhf-radio @ (helm)");
}

#[test]
fn a_kind_of_the_shop_is_found_by_its_name() {
    let horn = Catalog::built_in().named("horn").unwrap();
    let own = Kind {
        id: "our-horn".parse().unwrap(),
        name: "Twin trumpet".parse().unwrap(),
        names: vec!["horn".parse().unwrap()],
        ..horn.clone()
    };
    let reader = WishReader::new(&Catalog::built_in().with([own]), &boat());
    for line in ["twin trumpets", "horn"] {
        assert_eq!(said(&reader.line(1, 1, line)), "1 our-horn", "{line}");
    }
}

/// Two kinds never have one name, and each name leads to its kind.
#[test]
fn every_name_of_the_catalog_is_found() {
    let reader = reader();
    for kind in Catalog::built_in().kinds() {
        for name in kind.typed_names() {
            let wish = reader.line(1, 1, name);
            assert_eq!(wish.kind(), Some(&kind.id), "{name}");
            assert_eq!((wish.count, wish.kept, wish.also.len()), (1, false, 0), "{name}");
            let plural = if name.ends_with('s') || name.len() < 3 { "" } else { "s" };
            let many = reader.line(1, 1, &format!("3 {}{plural}", name.to_uppercase()));
            assert_eq!((many.kind(), many.count), (Some(&kind.id), 3), "{name}");
        }
    }
}

fn pieces() -> impl Strategy<Value = String> {
    let known = prop::sample::select(vec![
        "2",
        "4x",
        "x3",
        "VHF",
        "bilge pump",
        "courtesy lights",
        "at the helm",
        "under the",
        "gunwales",
        "keep",
        "old",
        "no",
        "1.",
        ",",
        "and",
        "7\"",
        "12V",
        "outlet",
        "(",
        ")",
        "-",
        "pair of",
        "radar",
        "transom",
        "\u{2019}s",
        "\u{130}",
        "\u{df}",
    ]);
    prop_oneof![3 => known.prop_map(str::to_owned), 1 => ".{0,12}"]
}

proptest! {
    #[test]
    fn every_line_comes_back(lines in prop::collection::vec(prop::collection::vec(pieces(), 0..8), 0..6)) {
        let text = lines.into_iter().map(|line| line.join(" ")).collect::<Vec<_>>().join("\n");
        let wishes = reader().read(&text).unwrap();
        let filled: Vec<(usize, &str)> = (1..).zip(text.lines()).filter(|(_, line)| !line.trim().is_empty()).collect();
        let back: Vec<(usize, &str)> = wishes.iter().map(|wish| (wish.line, wish.text.as_str())).collect();
        prop_assert_eq!(back, filled);
        for wish in &wishes {
            prop_assert!((1..=MOST_COUNT).contains(&wish.count));
        }
    }

    /// Case and outer spaces change nothing.
    #[test]
    fn case_changes_nothing(line in prop::collection::vec(pieces(), 0..6)) {
        let line = line.join(" ").to_ascii_lowercase();
        let reader = reader();
        let (small, large) = (reader.line(1, 1, &line), reader.line(1, 1, &format!("  {} ", line.to_ascii_uppercase())));
        prop_assert_eq!(small.wanted, large.wanted);
        prop_assert_eq!((small.count, small.kept, small.also), (large.count, large.kept, large.also));
    }
}
