//! Random boat forms with random wish lists.
//!
//! 40 of them by default; `DRIPLOOP_PROPOSALS=1000` tries a thousand.

use std::collections::BTreeMap;

use driploop::job::kind::{Catalog, UsualLocation};
use driploop::job::plan::{
    BankCount, BoatForm, BoatVoltage, Engine, EngineCount, Fuel, HullPattern, ProposalRequest, Top,
};
use driploop::trade::energy::battery::Chemistry;
use driploop::trade::rules::RuleSet;
use strum::VariantArray;

use super::{faults, proposed};

/// A small generator of random numbers: splitmix64.
pub(super) struct Dice(pub(super) u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, most: u64) -> u64 {
        self.next() % most
    }

    fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[usize::try_from(self.below(of.len() as u64)).unwrap()]
    }

    fn meters(&mut self, low: u32, high: u32) -> f64 {
        f64::from(low) / 10.0 + f64::from(u32::try_from(self.below(u64::from(high - low))).unwrap()) / 10.0
    }
}

/// A boat form and wishes that a shop could be asked for.
pub(super) fn request(seed: u64) -> ProposalRequest {
    let dice = &mut Dice(seed.wrapping_mul(0x1234_5678_9abc_def1));
    let pattern = dice.one(HullPattern::ALL);
    let engine = match pattern {
        HullPattern::OpenSkiff => Engine::Outboard,
        HullPattern::Sail => Engine::Inboard,
        _ => dice.one(&[Engine::Outboard, Engine::Outboard, Engine::Inboard]),
    };
    let fuel = match (engine, pattern) {
        (Engine::Outboard, _) => Fuel::Gasoline,
        (_, HullPattern::Sail) => Fuel::Diesel,
        _ => dice.one(&[Fuel::Gasoline, Fuel::Diesel]),
    };
    let length = match pattern {
        HullPattern::OpenSkiff => dice.meters(40, 65),
        HullPattern::CenterConsole | HullPattern::DualConsole => dice.meters(52, 95),
        _ => dice.meters(60, 130),
    };
    let is_skiff = pattern == HullPattern::OpenSkiff;
    let boat = BoatForm {
        name: format!("Boat {seed}").parse().unwrap(),
        pattern,
        length_m: length.try_into().unwrap(),
        beam_m: None,
        top: if is_skiff { Top::None } else { dice.one(Top::ALL) },
        engine,
        fuel,
        engines: if is_skiff { EngineCount::One } else { dice.one(EngineCount::ALL) },
        propane: pattern != HullPattern::OpenSkiff && dice.below(4) == 0,
        top_speed_kn: None,
        banks: dice.one(BankCount::ALL),
        chemistry: dice.one(&[Chemistry::Agm, Chemistry::Flooded, Chemistry::Gel, Chemistry::Lifepo4]),
        capacity_ah: None,
        voltage: if is_skiff { BoatVoltage::V12 } else { dice.one(BoatVoltage::ALL) },
        rules: dice.one(&[RuleSet::Us, RuleSet::Iso]),
    };
    let most = if is_skiff { 12 } else { 40 };
    let wishes: Vec<String> = (0..1 + dice.below(most)).map(|_| wish(dice)).collect();
    ProposalRequest { boat, wishes: wishes.join("\n").try_into().unwrap() }
}

/// One line: a kind by one of its names, with a count and a location now and then.
fn wish(dice: &mut Dice) -> String {
    let kinds: Vec<&str> =
        Catalog::built_in().kinds().iter().flat_map(|kind| kind.typed_names().take(2)).collect();
    let kind = dice.one(&kinds);
    let count = if dice.below(4) == 0 { format!("{} ", 2 + dice.below(3)) } else { String::new() };
    let at = if dice.below(4) == 0 {
        format!(" at the {}", dice.one(UsualLocation::VARIANTS).names()[0])
    } else {
        String::new()
    };
    format!("{count}{kind}{at}")
}

/// How many requests are tried.
pub(super) fn tries() -> u64 {
    std::env::var("DRIPLOOP_PROPOSALS").ok().and_then(|text| text.parse().ok()).unwrap_or(40)
}

#[test]
fn no_random_request_gives_a_plan_with_a_fault() {
    let mut wrong: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for seed in 0..tries() {
        let request = request(seed);
        let proposal = proposed(&request);
        for fault in faults(&proposal) {
            let code = fault.split_once(": ").map_or(fault.as_str(), |(_, rest)| rest);
            let code = code.split(' ').next().unwrap().to_owned();
            wrong.entry(code).or_default().push(format!("{seed}: {fault}"));
        }
    }
    wrong.values_mut().for_each(|said| said.truncate(6));
    assert!(wrong.is_empty(), "{wrong:#?}");
}
