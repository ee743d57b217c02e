//! Cautions, each at the step where it matters. All say to follow local codes where these rule.

use glowloom_design::Wall;
use glowloom_design::wall::{Body, Fixing, SupplyOn};
use serde::Serialize;

use crate::findings::may_be_touched;
use crate::material::conductors::Conductor;

/// What may hurt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)] // the name says it
pub enum Danger {
    Mains,
    Dc,
    Heat,
    Hanging,
    Tools,
    Flashes,
}

impl Danger {
    /// The word for it, as a heading.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Mains => "MAINS",
            Self::Dc => "DC",
            Self::Heat => "HEAT",
            Self::Hanging => "HANGING",
            Self::Tools => "TOOLS",
            Self::Flashes => "FLASHES",
        }
    }
}

/// What to mind at a step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// What may hurt.
    pub danger: Danger,
    /// In sentences.
    pub text: String,
}

const CODES: &str = "Follow local codes, and ask a licensed electrician where they want one.";

fn of(danger: Danger, text: impl Into<String>) -> Caution {
    Caution { danger, text: text.into() }
}

/// The mains conductors by the convention that the file names: `line brown (L), ...`.
pub(super) fn mains_colours(wall: &Wall) -> String {
    let convention = wall.power.mains.colours;
    let named =
        [(Conductor::Line, "line"), (Conductor::Neutral, "neutral"), (Conductor::Earth, "earth")];
    let each = named.map(|(conductor, word)| {
        let (colour, label) = (conductor.colour(convention).name, conductor.label(convention));
        format!("{word} {colour} ({label})")
    });
    each.join(", ")
}

/// The DC conductors: `plus red (DC +), minus white (DC -)`.
pub(super) fn dc_colours(wall: &Wall) -> String {
    let convention = wall.power.mains.colours;
    let each = [(Conductor::Plus, "plus"), (Conductor::Minus, "minus")].map(|(conductor, word)| {
        let (colour, label) = (conductor.colour(convention).name, conductor.label(convention));
        format!("{word} {colour} ({label})")
    });
    each.join(", ")
}

pub(super) fn mains_work(wall: &Wall) -> Caution {
    of(
        Danger::Mains,
        format!(
            "Mains kills. The plug is out, and in sight, while anything here is open. Conductors: {}; a \
             strip's own lead colours are not mains colours. Wanted: a cord of the right gauge with strain \
             relief, a fuse at the inlet, earth on the supply's case, covered terminals, residual-current \
             protection in the circuit. {CODES}",
            mains_colours(wall)
        ),
    )
}

pub(super) fn mains_on(wall: &Wall) -> Caution {
    let circuit = wall.power.mains.circuit_amps;
    of(
        Danger::Mains,
        format!(
            "Before the plug goes in all mains terminals are covered, and nobody touches the supply's mains \
             side from then on. The circuit is of {circuit} and has residual-current protection. {CODES}"
        ),
    )
}

pub(super) fn inrush(wall: &Wall) -> Caution {
    of(
        Danger::Mains,
        format!(
            "Supplies draw a great gulp as they are plugged in: switch them on one after the other, or in \
             groups of three. A breaker of {} that trips is never answered with a larger one. {CODES}",
            wall.power.mains.circuit_amps
        ),
    )
}

/// What the output of a supply can do.
pub(super) fn output(wall: &Wall) -> Caution {
    let touch = if may_be_touched(&wall.power) {
        "may be touched, but is not power-limited: it"
    } else {
        "is dangerous to touch, and"
    };
    of(
        Danger::Dc,
        format!(
            "The output of a supply of {} and {} {touch} can weld, burn and start a fire. Take off rings and \
             watches; no tool lies across its terminals.",
            wall.power.supply.volts, wall.power.supply.amps
        ),
    )
}

pub(super) fn fuses() -> Caution {
    of(
        Danger::Dc,
        "Every feed has its own fuse, in plus, at the supply: else the wire burns before the supply gives \
         up. All fuses stay out until the first power-on says so.",
    )
}

pub(super) fn no_parallel() -> Caution {
    of(Danger::Dc, "No two supplies' plus are ever joined; minus is common within this panel only.")
}

pub(super) fn usb() -> Caution {
    of(
        Danger::Dc,
        "The receiver is never on a computer's USB while the panel's supply feeds it, unless the 5 V is \
         parted.",
    )
}

pub(super) fn resistance() -> Caution {
    of(
        Danger::Dc,
        "A short that is found with an ohmmeter costs nothing; the same short found by the supply burns.",
    )
}

pub(super) fn heat(wall: &Wall) -> Caution {
    let mut burns = Vec::new();
    if wall.board.as_ref().is_some_and(|board| board.burns) {
        burns.push("the board burns");
    }
    if wall.baffle.is_some() {
        burns
            .push("printed parts and hot glue soften from about 60 C (common practice, no source)");
    }
    if wall.diffuser.is_some() {
        burns.push("cloth keeps the heat in");
    }
    let why = if burns.is_empty() { String::new() } else { format!(": {}", burns.join(", ")) };
    of(
        Danger::Heat,
        format!(
            "Stay with it{why}. Switch off if anything smells or is too hot to keep a finger on. Vents stay \
             free; nothing runs unattended until it has proven itself for some evenings."
        ),
    )
}

pub(super) fn printer() -> Caution {
    of(
        Danger::Heat,
        "A printer is never left alone where it could burn. PLA softens from about 55 C (common practice, no \
         source): printed parts stay off hot supplies.",
    )
}

pub(super) fn covered() -> Caution {
    of(
        Danger::Heat,
        "Cloth keeps the heat in: no supply behind it without vents that stay free, and nothing that was warm \
         to the touch before it went on.",
    )
}

pub(super) fn solder() -> Caution {
    of(
        Danger::Tools,
        "A soldering iron is some 350 C hot (common practice, no source): a stand, air, eye cover, hands \
         washed after. Solder with the plug out and all fuses out.",
    )
}

pub(super) fn knives(wall: &Wall) -> Caution {
    let dust = match wall.board.as_ref().and_then(|board| board.body) {
        Some(Body::MetalSkins) => " Cut edges of metal are sharp, and must never reach a pad.",
        _ => "",
    };
    of(
        Danger::Tools,
        format!(
            "Cut away from hands, with a sharp blade along a clamped rule. To saw or bore: the board clamped, eyes \
             covered, dust kept out of lungs.{dust}"
        ),
    )
}

pub(super) fn glue() -> Caution {
    of(
        Danger::Tools,
        "Hot glue leaves the nozzle at 160 to 200 C and lets go from about 60 C (common practice, no \
         source): it is no sole support beside warm strip.",
    )
}

pub(super) fn supply_place(wall: &Wall) -> Caution {
    let burns = wall.board.as_ref().is_some_and(|board| board.burns);
    let on = wall.hanging.as_ref().and_then(|hanging| hanging.supply_on);
    let place = match (on, burns) {
        (Some(SupplyOn::Wall), _) => {
            "The supplies hang on the wall of the house, not on the panel."
        }
        (Some(SupplyOn::Floor), _) => "The supplies stand on the floor, not on the panel.",
        (_, true) => {
            "A board that burns carries no supply: put a plate that does not burn between."
        }
        (_, false) => "The supplies are screwed on, never glued.",
    };
    of(Danger::Heat, format!("{place} Vents stay free on all sides."))
}

pub(super) fn hanging(wall: &Wall, two_people: bool) -> Caution {
    let mut text = String::new();
    if let Some(hanging) = &wall.hanging {
        if hanging.kind == Fixing::Adhesive {
            text.push_str(
                "Glued fixings hold on smooth, clean, sound paint only, and less when warm or damp. ",
            );
        }
        if hanging.above_people && hanging.kind == Fixing::Adhesive || hanging.safety_cord {
            text.push_str("Each panel has a hook or cord besides, and it is made fast first. ");
        }
    }
    if two_people {
        text.push_str("Two people for each panel. ");
    }
    text.push_str(
        "The plug is out. A ladder stands on firm ground and somebody holds it; nobody is below.",
    );
    of(Danger::Hanging, text)
}

pub(super) fn flashes() -> Caution {
    of(
        Danger::Flashes,
        "Flashing light can bring on a seizure. Keep the flash guard on; look beside a bright wall, not into \
         it.",
    )
}
