//! What is printed, cut, hung, paid for and shown. An absent section: the wall has none.

use glowloom_units::{
    GramsPerCubicCentimetre, Kilograms, KilogramsPerSquareMetre, Metres, Seconds, VolumeFlow,
};

use super::power::unknown_key;
use super::{Wrong, or, showing};
use crate::catalogue::board::Body;
use crate::catalogue::{board as boards, cloth, filament as filaments};
use crate::text::{self, Text};
use crate::wall::{
    Baffle, Board, CutBy, Cuts, Diffuser, Fixing, Hanging, Paper, Prices, Show, Strip, WireBuying,
};

/// All of it.
pub struct Making {
    pub baffle: Option<Baffle>,
    pub board: Option<Board>,
    pub stock: Option<Vec<u32>>,
    pub wire_buying: WireBuying,
    pub diffuser: Option<Diffuser>,
    pub hanging: Option<Hanging>,
    pub prices: Option<Prices>,
    pub paper: Paper,
    pub book_page: Option<String>,
    pub cuts: Cuts,
    pub show: Show,
}

/// `None` if a part of it is wrong.
/// `strip` is absent where it is wrong itself.
pub fn making(text: &Text, strip: Option<&Strip>, wrong: &mut Wrong) -> Option<Making> {
    let pitch = strip.map_or(USUAL_PITCH, |strip| strip.pixels_per_metre.pitch());
    let baffle = text.baffle.as_ref().map(|section| baffle(section, pitch, wrong));
    let board = text.board.as_ref().map(|section| board(section, wrong));
    let show = showing::show(text.show.as_ref(), wrong);
    // A section that is there but wrong must not pass for one that is absent.
    if matches!(baffle, Some(None)) || matches!(board, Some(None)) {
        return None;
    }
    Some(Making {
        baffle: baffle.flatten(),
        board: board.flatten(),
        stock: text.stock.as_ref().map(stock),
        wire_buying: wire_buying(text.stock.as_ref()),
        diffuser: text.diffuser.as_ref().map(diffuser),
        hanging: text.hanging.as_ref().map(hanging),
        prices: text.prices.as_ref().map(prices),
        paper: or(text.book.as_ref().and_then(|book| book.paper.as_ref()), Paper::A4),
        book_page: text.book.as_ref().and_then(|book| book.page.as_ref()).map(|w| w.value.clone()),
        cuts: cuts(text.cuts.as_ref()),
        show: show?,
    })
}

/// Stands in where the strip is wrong; no wall is made of it.
const USUAL_PITCH: Metres = Metres(1.0 / 30.0);

fn baffle(section: &text::Baffle, pitch: Metres, wrong: &mut Wrong) -> Option<Baffle> {
    let material = or(section.material.as_ref(), "pla".into());
    let own = section.grams_per_cubic_centimetre.as_ref().map(|w| w.value);
    let density: GramsPerCubicCentimetre =
        match (own, filaments::find(&material), &section.material) {
            (Some(own), ..) => own,
            (None, Some(part), _) => part.density.value,
            (None, None, written) => {
                let keys = filaments::ALL.iter().map(|part| part.key);
                let figures = "grams_per_cubic_centimetre = 1.24";
                unknown_key(&material, written.as_ref()?, "filament", keys, figures, wrong);
                return None;
            }
        };
    let depth = or(section.depth.as_ref(), Metres(0.02));
    Some(Baffle {
        bed: or(section.bed.as_ref(), (Metres(0.22), Metres(0.22))),
        wall: or(section.wall.as_ref(), Metres(0.0008)),
        depth,
        material,
        density,
        flow: or(section.flow.as_ref(), VolumeFlow(6.0)),
        nozzle: or(section.nozzle.as_ref(), Metres(0.0004)),
        hours_per_day: or(section.hours_per_day.as_ref(), 12.0),
        fit_gap: or(section.fit_gap.as_ref(), Metres(0.0002)),
        // A strip is 10 mm wide or a little more (common practice, no source).
        channel: or(section.channel.as_ref(), (Metres(0.012), Metres(0.003).min(depth * 0.3))),
        lead_in: or(section.lead_in.as_ref(), Metres(0.001).min(depth * 0.1)),
        joint_room: or(
            section.joint_room.as_ref(),
            (Metres(0.01).min(pitch * 0.3), Metres(0.006).min(depth * 0.5)),
        ),
        lip: section.lip.as_ref().map(|w| w.value),
        rim: section.rim.as_ref().map(|w| w.value),
        filament_diameter: or(section.filament_diameter.as_ref(), Metres(0.00175)),
        spool: or(section.spool.as_ref(), Kilograms(1.0)),
        between_prints: or(section.between_prints.as_ref(), Seconds(900.0)),
    })
}

fn board(section: &text::Board, wrong: &mut Wrong) -> Option<Board> {
    let material = or(section.material.as_ref(), "corrugated-card".into());
    let known = boards::find(&material);
    let own: Option<KilogramsPerSquareMetre> =
        section.kg_per_square_metre.as_ref().map(|w| w.value);
    let thickness = or(section.thickness.as_ref(), Metres(0.005));
    let mass = match (own, known, &section.material) {
        (Some(own), ..) => own,
        (None, Some(part), _) => part.mass.value * (thickness / part.thickness),
        (None, None, written) => {
            let keys = boards::ALL.iter().map(|part| part.key);
            unknown_key(
                &material,
                written.as_ref()?,
                "board",
                keys,
                "kg_per_square_metre = 0.7",
                wrong,
            );
            return None;
        }
    };
    Some(Board {
        material,
        thickness,
        mass,
        // What nobody knows is taken to burn.
        burns: known.is_none_or(|part| part.burns),
        body: known.map(|part| part.body),
        sheet: section.sheet.as_ref().map(|w| w.value),
        saw_cut: or(section.saw_cut.as_ref(), Metres(0.0)),
        stiffness: section.stiffness.as_ref().map(|w| w.value).or(known
            .filter(|part| part.thickness == thickness || part.body == Body::Wood)
            .and_then(|part| part.stiffness)
            .map(|figure| figure.value)),
    })
}

/// The cloth. Its figures from memory are marked so in the catalogue of cloth.
fn diffuser(section: &text::Diffuser) -> Diffuser {
    Diffuser {
        wrap: or(section.wrap.as_ref(), Metres(0.04)),
        roll_width: or(section.roll_width.as_ref(), cloth::ROLL_WIDTH.value),
        mass: or(section.kg_per_square_metre.as_ref(), cloth::MASS.value),
        transmission: or(section.transmission.as_ref(), cloth::TRANSMISSION.value),
        cell_reflectance: or(section.cell_reflectance.as_ref(), cloth::CELL_REFLECTANCE.value),
        wanted_evenness: section.wanted_evenness.as_ref().map(|w| w.value),
    }
}

fn hanging(section: &text::Hanging) -> Hanging {
    Hanging {
        kind: or(section.kind.as_ref(), Fixing::Adhesive),
        rated: or(section.rated.as_ref(), Kilograms(1.8)),
        fixings_per_panel: or(section.fixings_per_panel.as_ref(), 4),
        rated_in_peel: section.rated_in_peel.as_ref().map(|w| w.value),
        above_people: or(section.above_people.as_ref(), false),
        safety_cord: or(section.safety_cord.as_ref(), false),
        supply_on: section.supply_on.as_ref().map(|w| w.value),
        supply_at: section.supply_at.as_ref().map(|w| w.value),
        supply_mass: section.supply_mass.as_ref().map(|w| w.value),
        above_floor: section.above_floor.as_ref().map(|w| w.value),
    }
}

/// How wire is bought: there even where nothing is on the shelf.
fn wire_buying(section: Option<&text::Stock>) -> WireBuying {
    WireBuying {
        spool: or(section.and_then(|stock| stock.wire_spool.as_ref()), Metres(25.0)),
        spare: or(section.and_then(|stock| stock.wire_spare.as_ref()), 0.1),
    }
}

fn stock(section: &text::Stock) -> Vec<u32> {
    let rolls = section.rolls.as_ref().map(|w| w.value.as_slice());
    rolls.unwrap_or_default().iter().map(|roll| roll.value).collect()
}

fn prices(section: &text::Prices) -> Prices {
    Prices {
        currency: or(section.money.currency.as_ref(), "EUR".into()),
        energy_per_kwh: or(section.money.energy_per_kwh.as_ref(), 0.30),
        hours_per_day: or(section.money.hours_per_day.as_ref(), 5.0),
        items: section.items.iter().cloned().collect(),
    }
}

fn cuts(section: Option<&text::Cuts>) -> Cuts {
    Cuts {
        by: or(section.and_then(|cuts| cuts.by.as_ref()), CutBy::Wall),
        splices: or(section.and_then(|cuts| cuts.splices.as_ref()), false),
    }
}
