//! The usual locations of a boat, with the names that people type for them.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantArray};

/// A location that boats usually have.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum UsualLocation {
    /// The bow deck.
    Bow,
    /// The locker of the anchor and its chain.
    AnchorLocker,
    /// The foredeck casting platform or bow seating.
    BowSeat,
    /// Under the gunwales.
    Gunwale,
    /// The helm: the dash before the steering wheel.
    Helm,
    /// Inside the console.
    Console,
    /// The seat or post behind the helm.
    LeaningPost,
    /// The cockpit.
    Cockpit,
    /// The cabin.
    Cabin,
    /// The galley.
    Galley,
    /// The toilet compartment.
    Head,
    /// The engine space.
    EngineSpace,
    /// The bilge.
    Bilge,
    /// The battery compartment.
    Batteries,
    /// A locker or hatch for storage.
    Locker,
    /// The transom.
    Transom,
    /// The stern deck.
    Stern,
    /// The swim platform.
    SwimPlatform,
    /// The hardtop, T-top or bimini.
    Hardtop,
    /// The mast.
    Mast,
    /// The fuel tank.
    FuelTank,
    /// The fresh water tank.
    WaterTank,
    /// The livewell.
    Livewell,
}

impl UsualLocation {
    /// The name of the location in files.
    pub fn word(self) -> &'static str {
        self.into()
    }

    /// The names that people type for it, its own name first, in the singular. Common practice, no source.
    pub fn names(self) -> &'static [&'static str] {
        match self {
            Self::Bow => &[
                "bow",
                "bow deck",
                "foredeck",
                "fore deck",
                "front",
                "forward",
                "fwd",
                "nose",
                "prow",
                "pulpit",
                "bow rail",
            ],
            Self::AnchorLocker => {
                &["anchor locker", "chain locker", "rope locker", "anchor well", "windlass locker"]
            }
            Self::BowSeat => &["bow seat", "bow seating", "casting deck", "front deck", "bow platform"],
            Self::Gunwale => {
                &["gunwale", "gunnel", "gunwhale", "side deck", "covering board", "washboard", "coaming"]
            }
            Self::Helm => &[
                "helm",
                "dash",
                "dashboard",
                "helm station",
                "wheel",
                "steering wheel",
                "helm dash",
                "console face",
                "driver",
                "instrument panel",
            ],
            Self::Console => {
                &["console", "center console", "inside console", "pod", "behind dash", "behind helm"]
            }
            Self::LeaningPost => &["leaning post", "leaningpost", "helm seat", "seat box", "driver seat"],
            Self::Cockpit => &[
                "cockpit",
                "cockpit floor",
                "well deck",
                "aft deck",
                "cockpit sole",
                "fish deck",
                "fishing deck",
            ],
            Self::Cabin => &[
                "cabin",
                "cuddy",
                "saloon",
                "salon",
                "below",
                "below deck",
                "berth",
                "v berth",
                "wheelhouse",
                "pilothouse",
            ],
            Self::Galley => &["galley", "kitchen"],
            Self::Head => &["head", "toilet", "bathroom", "heads"],
            Self::EngineSpace => &[
                "engine space",
                "engine room",
                "engine compartment",
                "engine bay",
                "motor box",
                "engine box",
                "motor well",
            ],
            Self::Bilge => &["bilge", "aft bilge", "bilge well", "sump", "main bilge"],
            Self::Batteries => {
                &["battery compartment", "battery", "battery locker", "battery box", "battery tray"]
            }
            Self::Locker => {
                &["locker", "hatch", "storage", "cubby", "glovebox", "glove box", "fish box", "seat locker"]
            }
            Self::Transom => &["transom", "on transom", "back", "engine bracket", "outboard bracket"],
            Self::Stern => &["stern", "aft", "stern deck", "rear", "after deck", "lazarette"],
            Self::SwimPlatform => &["swim platform", "bathing platform", "swim step", "swim ladder"],
            Self::Hardtop => &[
                "hardtop",
                "hard top",
                "t top",
                "ttop",
                "top",
                "bimini",
                "roof",
                "tower",
                "arch",
                "radar arch",
                "electronics box",
                "overhead",
                "targa",
            ],
            Self::Mast => &["mast", "masthead", "mast head", "mast top", "spreader", "light mast", "pole"],
            Self::FuelTank => &["fuel tank", "gas tank", "tank", "diesel tank"],
            Self::WaterTank => &["water tank", "fresh water tank", "freshwater tank"],
            Self::Livewell => &["livewell", "live well", "baitwell", "bait well", "bait tank"],
        }
    }
}
