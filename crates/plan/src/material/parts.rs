//! The one list of everything to buy, in the units one buys it in. Prices are put to it elsewhere.

use std::collections::BTreeMap;

use glowloom_design::Wall;
use glowloom_design::catalogue::wire::ampacity;
use glowloom_design::catalogue::{self, small};
use glowloom_design::wall::DataLevel;
use glowloom_units::{Amps, Figures, Metres};
use serde::Serialize;

use super::boards::Boards;
use super::cloth::Cloth;
use super::conductors::MAINS_CAUTION;
use super::made::Made;
use super::wire::{Run, Spools, Use, WireSize};
use crate::path::PanelPath;
use crate::power::WallPower;

/// One line of what to buy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Item {
    /// What it is.
    pub item: String,
    /// Under which its price stands in the wall file.
    pub key: String,
    /// What is counted: `roll`, `spool`, `sheet`, `metre`, `piece`.
    pub unit: &'static str,
    /// How many to buy; null where it is not known.
    pub quantity: Option<f64>,
    /// What to know about it; may be empty.
    pub note: String,
}

/// What the list is made from, all of it worked out elsewhere.
pub struct Sources<'s> {
    /// Rolls and filament.
    pub made: &'s Made,
    /// Every wire.
    pub wires: &'s [Run],
    /// Wire to buy.
    pub spools: &'s [Spools],
    /// Boards, where there are any.
    pub boards: Option<&'s Boards>,
    /// Cloth, where there is any.
    pub cloth: Option<&'s Cloth>,
    /// The solved network, for the fuses; `None`: not solved.
    pub power: Option<&'s WallPower>,
}

/// The list while it grows.
struct List(Vec<Item>);

impl List {
    fn add(
        &mut self,
        item: impl Into<String>,
        key: &str,
        unit: &'static str,
        quantity: Option<f64>,
        note: impl Into<String>,
    ) {
        // What is not needed is not on the list.
        if quantity != Some(0.0) {
            let (item, key, note) = (item.into(), key.to_owned(), note.into());
            self.0.push(Item { item, key, unit, quantity, note });
        }
    }

    /// A small thing of the catalogue.
    fn small(&mut self, item: &str, key: &'static str, count: u64, note: impl Into<String>) {
        let unit = small::find(key).map_or("piece", |part| part.unit);
        self.add(item, key, unit, Some(number(count)), note);
    }
}

/// The key that a price stands under: the part's own, or that of its kind where no catalogue holds
/// it.
fn key_or<'k>(part: &'k str, kind: &'static str) -> &'k str {
    if catalogue::keys().any(|key| key == part) { part } else { kind }
}

#[expect(clippy::cast_precision_loss, reason = "counts far below 2^53")]
fn number(count: u64) -> f64 {
    count as f64
}

/// Everything to buy.
#[must_use]
pub fn list(wall: &Wall, from: &Sources) -> Vec<Item> {
    let mut list = List(Vec::new());
    light(wall, from, &mut list);
    wire(wall, from, &mut list);
    mains(wall, &mut list);
    body(wall, from, &mut list);
    list.0
}

/// Strip, supplies, receivers and what brings data to the strip.
fn light(wall: &Wall, from: &Sources, list: &mut List) {
    let strip = &wall.strip;
    let mut note = format!("of {} pixels", strip.roll_pixels);
    let mut rolls = from.made.rolls_to_buy;
    if from.made.rolls_are_a_bound {
        if let Some(least) = rolls.take().filter(|least| *least > 0) {
            note.push_str(&format!("; {least} without the strips that are longer than a roll"));
        } else {
            note.push_str("; strips are longer than a roll");
        }
    }
    let rolls = rolls.map(f64::from);
    list.add(format!("strip {}", strip.part), key_or(&strip.part, "strip"), "roll", rolls, note);
    let supply = &wall.power.supply;
    let panels = wall.panels.len() as u64;
    let supplies = number(panels * u64::from(wall.power.supplies_per_panel));
    let key = key_or(&supply.part, "supply");
    let note = format!("{} {}; strong enough to weld and to burn", supply.volts, supply.amps);
    list.add(format!("supply {}", supply.part), key, "piece", Some(supplies), note);
    let board = &wall.receiver.board;
    let key = key_or(board, "receiver");
    list.add(format!("receiver {board}"), key, "piece", Some(number(panels)), "");
    let lines: u64 =
        wall.panels.iter().map(|panel| PanelPath::of(panel).lines().count() as u64).sum();
    list.small("data connector", "data-connector", lines, "one in each data lead");
    let leads = from.wires.iter().filter(|run| run.joins == Use::DataLead);
    let signals = leads.filter(|run| matches!(run.label, "DATA" | "CLOCK"));
    let signals = signals.map(|run| run.count).sum();
    let note = "330 to 470 ohm, one in each data wire at its pin (common practice, no source)";
    list.small("series resistor", "series-resistor", signals, note);
    if wall.receiver.data_level == DataLevel::Shifter {
        list.small("level shifter", "level-shifter", signals, "one channel for each data wire");
    }
}

/// Wire, the ends of wire, fuses.
fn wire(wall: &Wall, from: &Sources, list: &mut List) {
    for spools in from.spools {
        let note = if spools.spools.is_none() {
            let longer = "a piece is longer than a spool: set wire_spool in [stock]";
            format!("{} in all; {longer}", spools.total_m.shown(wall.figures))
        } else {
            let (all, one) =
                (spools.total_m.shown(wall.figures), spools.spool_m.shown(wall.figures));
            format!("spools of {one}; {all} in all")
        };
        let item = format!("wire {} {}", spools.size, spools.colour);
        let size = spools.size.to_string();
        let key = if matches!(spools.size, WireSize::Gauge(_)) { &size } else { "wire" };
        list.add(item, key, "spool", spools.spools.map(number), note);
    }
    let mut lugs: BTreeMap<String, u64> = BTreeMap::new();
    for run in from.wires {
        *lugs.entry(run.size.to_string()).or_default() += run.lugs;
    }
    for (size, count) in lugs.into_iter().filter(|lugs| lugs.1 > 0) {
        list.small(&format!("lug for {size}"), "lug", count, "crimped, at screw terminals");
    }
    let soldered: u64 = from.wires.iter().map(|run| run.soldered).sum();
    let note = "heat-shrink, one for each soldered end";
    list.small("sleeve", "sleeve", soldered + 2 * u64::from(from.made.splices), note);
    fuses(wall, from.power, list);
}

/// A fuse and a holder for each feed and for each receiver, in the plus, at the supply. Ratings of
/// feeds come from the solved network.
fn fuses(wall: &Wall, power: Option<&WallPower>, list: &mut List) {
    const PLACE: &str = "in the plus, at the supply";
    let feeds: u64 = wall.panels.iter().map(|panel| panel.feeds.len() as u64).sum();
    let receivers = wall.panels.len() as u64;
    // Ratings are positive, so that their bits rise with them; none sorts last.
    let mut ratings: BTreeMap<u64, (Option<Amps>, u64)> = BTreeMap::new();
    let mut count = |rating: Option<Amps>, count: u64| {
        let key = rating.map_or(u64::MAX, |amps| amps.0.to_bits());
        ratings.entry(key).or_insert((rating, 0)).1 += count;
    };
    count(receiver_fuse(wall), receivers);
    for feed in power.iter().flat_map(|power| &power.panels).flat_map(|panel| &panel.feeds) {
        count(feed.fuse_amps, 1);
    }
    for (rating, count) in ratings.into_values() {
        match rating {
            Some(Amps(amps)) => list.small(&format!("fuse {amps} A"), "fuse", count, PLACE),
            None => {
                let note = format!("for {count}: none carries the current and protects the wire");
                list.add("fuse of no known rating", "fuse", "piece", None, note);
            }
        }
    }
    if power.is_none() {
        list.small("fuse of a feed", "fuse", feeds, "rating: as the solved network says");
    }
    list.small("fuse holder", "fuse-holder", feeds + receivers, PLACE);
}

/// The smallest that carries a receiver and protects its thin wire.
fn receiver_fuse(wall: &Wall) -> Option<Amps> {
    let WireSize::Gauge(gauge) = super::wire::thin(wall) else { return None };
    let limit = ampacity(gauge)?.value;
    let least = wall.receiver.amps / wall.power.fuse_load;
    wall.power.fuses.iter().copied().find(|fuse| *fuse >= least && *fuse <= limit)
}

/// Miniature fuses: IEC 60127-1 Table A.1 (R10 series), as a national text has it; from memory beyond
/// 6.3 A.
const INLET_FUSES: [f64; 13] =
    [0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 10.0];

/// Cords and inlets, one for each supply.
fn mains(wall: &Wall, list: &mut List) {
    let power = &wall.power;
    let supplies = wall.panels.len() as u64 * u64::from(power.supplies_per_panel);
    let watts = power.supply.volts * power.supply.amps;
    let amps = watts.0 / (power.efficiency * power.power_factor * power.mains.volts.0);
    let fuse = match INLET_FUSES.iter().find(|rated| **rated >= 1.25 * amps) {
        Some(rated) => format!("fuse T {rated} A for {} at full load", Amps(amps)),
        None => format!("{} at full load: have its fuse chosen by an electrician", Amps(amps)),
    };
    let run = super::wire::runs(wall, wall.panels.first());
    let cord: Vec<&Run> = run.iter().filter(|run| run.joins == Use::MainsCord).collect();
    let colours: Vec<String> =
        cord.iter().map(|run| format!("{} {}", run.label, run.colour)).collect();
    let size = cord.first().map(|run| run.size.to_string()).unwrap_or_default();
    let length = power.mains.cord.shown(wall.figures);
    let item = format!("mains cord {size}, {length}");
    let note = format!("{}; with plug and strain relief; {MAINS_CAUTION}", colours.join(", "));
    list.small(&item, "mains-cord", supplies, note);
    list.small("mains inlet", "mains-inlet", supplies, format!("{fuse}; {MAINS_CAUTION}"));
}

/// Baffle, board, cloth and what holds them.
fn body(wall: &Wall, from: &Sources, list: &mut List) {
    if let Some(baffle) = &wall.baffle {
        let spools = from.made.spools.map(f64::from);
        let note = match from.made.filament {
            Some(mass) => format!("{} in all", mass.shown(wall.figures)),
            None => "how much is not worked out".into(),
        };
        let key = key_or(&baffle.material, "filament");
        list.add(format!("filament {}", baffle.material), key, "spool", spools, note);
    }
    if let Some(boards) = from.boards {
        let note = match (&boards.sheet_m, boards.too_large.is_empty()) {
            (None, _) => "the wall file gives no sheet size".into(),
            (Some(_), false) => "a board is larger than a sheet".into(),
            (Some([width, height]), true) => {
                let size = [width, height].map(|side| side.shown(wall.figures)).join(" x ");
                match boards.sheets_at_least {
                    _ if boards.proven_least => format!("{size}; the fewest, proven"),
                    Some(least) => {
                        format!("{size}; the best found; no way takes fewer than {least}")
                    }
                    None => size,
                }
            }
        };
        let sheets = boards.sheets.map(f64::from);
        let key = key_or(&boards.material, "board");
        list.add(format!("board {}", boards.material), key, "sheet", sheets, note);
    }
    if let Some(cloth) = from.cloth {
        let note = if cloth.too_wide.is_empty() {
            // Sold and priced by the metre, and measured in feet all the same.
            let all = cloth.length_m.filter(|_| wall.figures == Figures::Imperial);
            let all = all.map(|all| format!("{} in all, ", all.shown(wall.figures)));
            let width = cloth.roll_width_m.shown(wall.figures);
            format!("{}from a roll {width} wide", all.unwrap_or_default())
        } else {
            "a piece is wider than the roll".into()
        };
        list.add("cloth", "cloth", "metre", cloth.length_m.map(|length| length.0), note);
        let edges: Metres = cloth
            .pieces
            .iter()
            .map(|piece| {
                (piece.width_m + piece.height_m) * (2.0 * number(piece.panels.len() as u64))
            })
            .sum();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "positive")]
        let rolls = (edges / small::TAPE_ROLL.value).ceil() as u64;
        list.small("tape", "tape", rolls, "holds the wrap of the cloth behind the board");
    }
    if let Some(hanging) = &wall.hanging {
        let panels = wall.panels.len() as u64;
        let fixings = panels * u64::from(hanging.fixings_per_panel);
        let note = format!("rated {} each", hanging.rated.shown(wall.figures));
        list.small(&format!("fixing, {}", hanging.kind.word()), "fixing", fixings, note);
        if hanging.safety_cord || hanging.above_people {
            list.small(
                "safety cord",
                "safety-cord",
                panels,
                "with its own hook, one for each panel",
            );
        }
    }
}
