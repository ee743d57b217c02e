//! Every wire of a wall: what it joins, how long it is, how its ends are made.

use std::collections::BTreeMap;

use glowloom_design::Wall;
use glowloom_design::catalogue::strip::Signal;
use glowloom_design::wall::{Body, Jumpers, Panel, Path, Wire};
use glowloom_units::{Figures, Gauge, Metres};
use serde::{Serialize, Serializer};

use super::conductors::{Conductor, MAINS_CAUTION};
use crate::path::{PanelPath, Shares};

/// What a wire joins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Use {
    /// The supply and a strip's end.
    Feed,
    /// Two strips.
    Jumper,
    /// The receiver and the head of a data line.
    DataLead,
    /// The supply and the receiver.
    ReceiverSupply,
    /// The supply's earth terminal and a board of metal.
    BoardEarth,
    /// The plug and the supply, in one cord.
    MainsCord,
}

/// The size of a wire as it is bought.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WireSize {
    /// By gauge.
    Gauge(Gauge),
    /// By the resistance that the wall file gives, ohm/m.
    Ohms(f64),
}

impl WireSize {
    /// That of a wire of the wall file.
    #[must_use]
    pub fn of(wire: &Wire) -> Self {
        wire.gauge.map_or(Self::Ohms(wire.ohms_per_metre.0), Self::Gauge)
    }

    /// Cross-section of its copper, mm2; `None` for a wire of no resistance.
    #[must_use]
    pub fn copper_mm2(self) -> Option<f64> {
        match self {
            Self::Gauge(gauge) => Some(gauge.area_mm2()),
            Self::Ohms(ohms) => {
                // Copper of 1 mm2 has this resistance.
                let one = Gauge::SquareMillimetres(1.0).copper().0;
                (ohms > 0.0).then(|| one / ohms)
            }
        }
    }

    /// In the order of thickness, thick first, then by name.
    fn order(self) -> (u64, String) {
        let thin = 1.0 / self.copper_mm2().unwrap_or(f64::MAX).max(f64::MIN_POSITIVE);
        (thin.to_bits(), self.to_string())
    }
}

impl std::fmt::Display for WireSize {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Gauge(gauge) => gauge.fmt(f),
            Self::Ohms(ohms) => write!(f, "{ohms} ohm/m"),
        }
    }
}

impl Serialize for WireSize {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

/// Equal wires.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Run {
    /// What they join.
    pub joins: Use,
    /// What they carry.
    pub conductor: Conductor,
    /// As labelled at both ends.
    pub label: &'static str,
    /// Under the convention that the wall file names.
    pub colour: &'static str,
    /// Who says that colour.
    pub colour_source: &'static str,
    /// Of the conductor.
    pub size: WireSize,
    /// How many.
    pub count: u64,
    /// Of each as laid, one way.
    pub length_m: Metres,
    /// Of each as cut, with the spare; of a cord as bought.
    pub cut_m: Metres,
    /// Of all as cut.
    pub total_m: Metres,
    /// Ends of all that are soldered.
    pub soldered: u64,
    /// Ends of all that are crimped into a lug for a screw terminal.
    pub lugs: u64,
    /// What to take care of; may be empty.
    pub note: &'static str,
}

/// Equal wires while they are counted: by what they are, their length's bits and size's order.
type Key = (Use, Conductor, (u64, String), u64);

/// Wires being counted.
#[derive(Default)]
struct Count(BTreeMap<Key, (WireSize, Metres, u64)>);

impl Count {
    fn add(
        &mut self,
        joins: Use,
        conductor: Conductor,
        size: WireSize,
        length: Metres,
        count: u64,
    ) {
        if count > 0 {
            let key = (joins, conductor, size.order(), length.0.to_bits());
            self.0.entry(key).or_insert((size, length, 0)).2 += count;
        }
    }
}

/// From the supply's earth terminal to a board of metal (own choice).
const BOARD_EARTH: Metres = Metres(0.5);

/// Thin wire for data and for the receiver, as the figures of the wall have it (own choice).
pub(super) fn thin(wall: &Wall) -> WireSize {
    WireSize::Gauge(match wall.figures {
        Figures::Metric => Gauge::SquareMillimetres(0.5),
        Figures::Imperial => Gauge::Awg(20),
    })
}

/// The cord of a supply: enough for a circuit of 16 A, or of 15 A in the US, by the reference tables
/// of cord. Local codes rule.
fn cord(wall: &Wall) -> WireSize {
    use glowloom_design::wall::MainsColours;
    WireSize::Gauge(match wall.power.mains.colours {
        MainsColours::Iec => Gauge::SquareMillimetres(1.5),
        MainsColours::Us => Gauge::Awg(14),
    })
}

/// The wires of some panels, by what they join.
#[must_use]
pub fn runs<'p>(wall: &Wall, panels: impl IntoIterator<Item = &'p Panel>) -> Vec<Run> {
    let mut count = Count::default();
    for panel in panels {
        feeds(panel, &mut count);
        jumpers(wall, panel, &mut count);
        receiver(wall, panel, &mut count);
        mains(wall, &mut count);
    }
    let runs = count.0.into_iter().map(|((joins, conductor, ..), (size, length, count))| {
        let colour = conductor.colour(wall.power.mains.colours);
        // A cord comes made, of its own length.
        let spare = if joins == Use::MainsCord { 0.0 } else { wall.wire_buying.spare };
        let cut = length * (1.0 + spare);
        let (soldered, lugs) = ends(joins);
        Run {
            joins,
            conductor,
            label: conductor.label(wall.power.mains.colours),
            colour: colour.name,
            colour_source: colour.source,
            size,
            count,
            length_m: length,
            cut_m: cut,
            #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
            total_m: cut * count as f64,
            soldered: soldered * count,
            lugs: lugs * count,
            note: if conductor.is_mains() { MAINS_CAUTION } else { "" },
        }
    });
    runs.collect()
}

/// Of one wire: soldered ends, ends with a lug. The plug's end of a cord comes made.
fn ends(joins: Use) -> (u64, u64) {
    match joins {
        Use::Feed | Use::ReceiverSupply => (1, 1),
        Use::Jumper | Use::DataLead => (2, 0),
        Use::BoardEarth => (0, 2),
        Use::MainsCord => (0, 1),
    }
}

fn feeds(panel: &Panel, count: &mut Count) {
    for feed in &panel.feeds {
        let size = WireSize::of(&feed.wire);
        for conductor in [Conductor::Plus, Conductor::Minus] {
            count.add(Use::Feed, conductor, size, feed.wire.length, 1);
        }
    }
}

/// What a data line carries its picture by.
fn signals(wall: &Wall) -> &'static [Conductor] {
    match wall.strip.signal {
        Signal::OneWire => &[Conductor::Data],
        _ => &[Conductor::Data, Conductor::Clock],
    }
}

fn jumpers(wall: &Wall, panel: &Panel, count: &mut Count) {
    let strips = panel.strip_count();
    let lines = Shares::new(strips, panel.data_lines);
    let zones = Shares::new(strips, wall.power.supplies_per_panel);
    let joints = u64::from(strips - lines.takers().min(strips));
    // Plus stays open where one supply's strips end and the next one's begin within a data line.
    let starts_line = |strip: u32| lines.before(lines.taker_of(strip)) == strip;
    let open = (1..zones.takers()).filter(|zone| !starts_line(zones.before(*zone))).count() as u64;
    let wire = &wall.power.jumper_wire;
    let length = match panel.path {
        Path::Serpentine => wire.length,
        Path::Progressive => wire.length + wall.pitch() * f64::from(panel.strip_pixels()),
    };
    let size = WireSize::of(wire);
    if panel.jumpers == Jumpers::PowerAndData {
        count.add(Use::Jumper, Conductor::Plus, size, length, joints - open.min(joints));
        count.add(Use::Jumper, Conductor::Minus, size, length, joints);
    }
    for signal in signals(wall) {
        count.add(Use::Jumper, *signal, thin(wall), length, joints);
    }
}

fn receiver(wall: &Wall, panel: &Panel, count: &mut Count) {
    let lines = PanelPath::of(panel).lines().count() as u64;
    let lead = wall.receiver.data_lead;
    for conductor in signals(wall).iter().chain(&[Conductor::Minus]) {
        count.add(Use::DataLead, *conductor, thin(wall), lead, lines);
    }
    // It hangs where feeds reach.
    let reach = panel.feeds.iter().map(|feed| feed.wire.length).reduce(Metres::max).unwrap_or(lead);
    for conductor in [Conductor::Plus, Conductor::Minus] {
        count.add(Use::ReceiverSupply, conductor, thin(wall), reach, 1);
    }
}

fn mains(wall: &Wall, count: &mut Count) {
    let power = &wall.power;
    for conductor in [Conductor::Line, Conductor::Neutral, Conductor::Earth] {
        let supplies = u64::from(power.supplies_per_panel);
        count.add(Use::MainsCord, conductor, cord(wall), power.mains.cord, supplies);
    }
    if wall.board.as_ref().is_some_and(|board| board.body == Some(Body::MetalSkins)) {
        count.add(Use::BoardEarth, Conductor::Earth, cord(wall), BOARD_EARTH, 1);
    }
}

/// Wire of one size and colour, and the spools that it is cut from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Spools {
    /// Of the conductor.
    pub size: WireSize,
    /// Of the insulation.
    pub colour: &'static str,
    /// Of all pieces as cut.
    pub total_m: Metres,
    /// Wire on one spool.
    pub spool_m: Metres,
    /// To buy; null where a piece is longer than a spool.
    pub spools: Option<u64>,
}

/// What to buy. Wires in cords are bought as cords.
#[must_use]
pub fn spools(wall: &Wall, runs: &[Run]) -> Vec<Spools> {
    let mut kinds: BTreeMap<((u64, String), &str), Vec<&Run>> = BTreeMap::new();
    for run in runs.iter().filter(|run| run.joins != Use::MainsCord) {
        kinds.entry((run.size.order(), run.colour)).or_default().push(run);
    }
    let spool = wall.wire_buying.spool;
    kinds
        .into_values()
        .filter_map(|runs| {
            let first = runs.first()?;
            let pieces = runs.iter().map(|run| (run.cut_m, run.count));
            Some(Spools {
                size: first.size,
                colour: first.colour,
                total_m: runs.iter().map(|run| run.total_m).sum(),
                spool_m: spool,
                spools: cut(pieces.collect(), spool),
            })
        })
        .collect()
}

/// Spools for pieces of wire, the longest cut first, each spool to its end before the next: a way
/// that works, and with pieces far shorter than a spool within one of the fewest. `None` where a
/// piece is longer than a spool.
fn cut(mut pieces: Vec<(Metres, u64)>, spool: Metres) -> Option<u64> {
    pieces.sort_by(|a, b| b.0.0.total_cmp(&a.0.0));
    let (mut spools, mut rest) = (0u64, 0.0);
    for (Metres(length), mut count) in pieces {
        if length > spool.0 * (1.0 + 1e-9) {
            return None;
        }
        if length <= 0.0 {
            continue;
        }
        let fit = |room: f64| -> u64 {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            let fit = (room / length + 1e-9).floor().clamp(0.0, 1e15) as u64;
            fit
        };
        let here = fit(rest).min(count);
        #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
        let used = |count: u64| count as f64 * length;
        rest -= used(here);
        count -= here;
        if count > 0 {
            let each = fit(spool.0).max(1);
            spools += count.div_ceil(each);
            let last = (count - 1) % each + 1;
            rest = spool.0 - used(last);
        }
    }
    Some(spools)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spools_are_cut_to_their_end() {
        let of = |pieces: &[(f64, u64)]| {
            cut(pieces.iter().map(|(l, n)| (Metres(*l), *n)).collect(), Metres(25.0))
        };
        assert_eq!(of(&[]), Some(0));
        assert_eq!(of(&[(2.5, 10)]), Some(1));
        assert_eq!(of(&[(2.5, 11)]), Some(2));
        // 24 m are one spool by length, but only two pieces of 8.5 m come off one.
        assert_eq!(of(&[(8.5, 3)]), Some(2));
        // Short ones come out of what long ones leave: 25 - 2 x 8.5 = 8 m.
        assert_eq!(of(&[(8.5, 2), (1.0, 8)]), Some(1));
        assert_eq!(of(&[(8.5, 2), (1.0, 9)]), Some(2));
        assert_eq!(of(&[(25.1, 1)]), None);
    }
}
