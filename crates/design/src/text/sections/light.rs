//! `[wall]`, `[strip]`, `[panel]` and `[[panels]]`.

use glowloom_units::{
    Amps, Candelas, Chromaticity, Figures, KilogramsPerMetre, Metres, OhmsPerMetre, PerMetre,
    Seconds, Volts,
};

use super::power::{Feeds, Wire, feeds, wire};
use super::{amps, chromaticity, length, share, volts};
use crate::text::Written;
use crate::text::keys::{keys, section};
use crate::text::reader::Section;
use crate::text::values::Value;
use crate::wall::{Corner, Direction, Jumpers, MOST_OHMS_PER_METRE, Order, Path, Turn};

section! {
    /// `[wall]`
    WallSection {
        /// What you call it.
        name: String = |v| v.text(),
        /// Pixels across the picture, 1 to 65535.
        columns: u32 = |v| v.count(1..=65_535),
        /// Pixels down the picture, 1 to 65535; at most 4,000,000 pixels in all.
        rows: u32 = |v| v.count(1..=65_535),
        /// Distance of the nearest viewer.
        seen_from: Metres = length,
        /// `"metric"` or `"imperial"`: how results are printed.
        figures: Figures = |v| v.choice(&[("metric", Figures::Metric), ("imperial", Figures::Imperial)]),
    }
}

section! {
    /// `[strip]`
    Strip {
        /// Catalogue key, such as `"ws2812b-30"`; another name needs every figure below.
        part: String = |v| v.text(),
        /// Pixels for each metre.
        pixels_per_metre: PerMetre = |v| v.number(0.5..=1000.0).map(PerMetre),
        /// Pixels on a roll as sold.
        roll_pixels: u32 = |v| v.count(1..=1_000_000),
        /// One rail, one way, ohm/m.
        rail_ohms_per_metre: OhmsPerMetre = |v| v.number(0.0..=MOST_OHMS_PER_METRE).map(OhmsPerMetre),
        /// Red, green, blue and, if there is one, white: below it a colour's current falls away.
        knee_volts: Vec<Written<Volts>> = |v| v.list(3..=4, volts),
        /// The same for the idle current.
        idle_knee_volts: Volts = volts,
        /// What the strip's own copper may carry, A.
        rail_amps: Amps = amps,
        /// Above this the strip may be destroyed, V.
        max_volts: Volts = volts,
        /// One colour, full on, A.
        channel_amps: Amps = amps,
        /// One pixel, dark, A.
        idle_amps: Amps = amps,
        /// What it is fed with, V.
        volts: Volts = volts,
        /// Time of one bit, s.
        bit_seconds: Seconds = |v| v.quantity(Seconds, |s: Seconds| s.0, 1e-9..=1.0),
        /// Bits to a pixel.
        bits_per_pixel: u32 = |v| v.count(8..=128),
        /// Silence that ends a frame, s.
        reset_seconds: Seconds = |v| v.quantity(Seconds, |s: Seconds| s.0, 0.0..=1.0),
        /// Order of the colours on the strip: `"grb"`, `"rgbw"` and the like.
        order: Order = order,
        /// Bare strip, kg/m.
        kg_per_metre: KilogramsPerMetre = |v| v.number(0.0..=100.0).map(KilogramsPerMetre),
        /// Light of one pixel straight ahead, all colours full on, cd; absent: from its watts.
        candela: Candelas = |v| v.quantity(Candelas, |c: Candelas| c.0, 0.0..=100_000.0),
        /// CIE 1931 x and y of its red, green and blue: `[[0.69, 0.31], [0.17, 0.70], [0.13, 0.08]]`; absent: those of sRGB.
        primaries: Vec<Written<Chromaticity>> = |v| v.list(3..=3, chromaticity),
        /// CIE 1931 x and y of the three full on; absent: `[0.3127, 0.329]`, sRGB's white.
        white_point: Chromaticity = chromaticity,
        /// Its light is (byte / 255) to this power, 1 to 4; absent: 1, in proportion.
        gamma: f64 = |v| v.number(1.0..=4.0),
        /// Light of its white LED full on, in full red, green and blue; absent: `[1, 1, 1]`, as much as the three.
        white_light: Vec<Written<f64>> = |v| v.list(3..=3, |v| v.number(0.05..=20.0)),
    }
}

section! {
    /// What panels share, and any one may have otherwise.
    PanelShape {
        /// Pixels across, before the turn.
        columns: u32 = |v| v.count(1..=65_535),
        /// Pixels down, before the turn.
        rows: u32 = |v| v.count(1..=65_535),
        /// `"vertical"` or `"horizontal"`.
        strips: Direction = |v| {
            v.choice(&[("vertical", Direction::Vertical), ("horizontal", Direction::Horizontal)])
        },
        /// Corner of the first pixel, seen from the front: `"bottom-left"` and the like.
        enter: Corner = |v| v.choice(&[
            ("top-left", Corner::TopLeft),
            ("top-right", Corner::TopRight),
            ("bottom-left", Corner::BottomLeft),
            ("bottom-right", Corner::BottomRight),
        ]),
        /// `"serpentine"`: each next strip runs back; `"progressive"`: each starts at the same edge.
        path: Path = |v| {
            v.choice(&[("serpentine", Path::Serpentine), ("progressive", Path::Progressive)])
        },
        /// Receiver pins that the strips are shared among.
        data_lines: u32 = |v| v.count(1..=65_535),
        /// Unlit pixels at the head of each data line.
        spare_pixels: u32 = |v| v.count(0..=1000),
        /// `"power and data"` or `"data"`: whether power crosses the joints.
        jumpers: Jumpers = |v| {
            v.choice(&[("power and data", Jumpers::PowerAndData), ("data", Jumpers::Data)])
        },
        /// Distance across the strips; absent: the pixel pitch.
        strip_spacing: Metres = length,
        /// Share of its light that it keeps, 0 to 1, so that panels from brighter rolls match; absent: 1.
        brightness: f64 = share,
        /// The same for its red, green, blue and, if there is one, white alone; absent: `[1, 1, 1]`.
        balance: Vec<Written<f64>> = |v| v.list(3..=4, share),
    }
}

keys! {
    /// What each panel has of its own.
    PanelOwn {
        /// Not empty, unlike every other panel's.
        name: String = |v| v.text(),
        /// Its top-left pixel in the picture: column, row, from 0.
        at: (u32, u32) = |v| v.pair(|v| v.count(0..=65_534)),
        /// Degrees clockwise as hung: 0, 90, 180 or 270.
        turn: Turn = turn,
        /// Host name or address, `:port` if not the protocol's own; absent: a virtual panel.
        address: String = |v| v.text(),
        /// Of its first data line; absent: numbered in order.
        first_universe: u32 = |v| v.count(1..=63_999),
        /// Its top-left corner as built, right and down; absent: from `at`.
        place: (Metres, Metres) = |v| v.pair(|v| v.measured(|m: Metres| m.0, -1000.0..=1000.0)),
        /// Feeds of its own, as in `[power]`.
        feeds: Feeds = feeds,
        /// Of those feeds, in place of the `[power]` one.
        feed_wire: Wire = wire,
    }
}

/// `[[panels]]`: one panel.
#[derive(Clone, Debug, Default)]
pub struct Panel {
    /// What it has of its own.
    pub own: PanelOwn,
    /// What it has otherwise than `[panel]`.
    pub shape: PanelShape,
}

impl Panel {
    pub(in crate::text) fn read(mut section: Section<'_, '_, '_>) -> Self {
        let read =
            Self { own: PanelOwn::take(&mut section), shape: PanelShape::take(&mut section) };
        let keys = PanelOwn::KEYS.iter().chain(PanelShape::KEYS).map(|key| key.0);
        section.finish(&keys.collect::<Vec<_>>());
        read
    }
}

fn order(mut v: Value<'_, '_, '_>) -> Option<Order> {
    let wanted = "each of r, g, b once, and w on 4-channel strips, such as \"grb\"";
    let Some(text) = v.value.get_ref().as_str() else {
        v.wrong_type(wanted);
        return None;
    };
    let order = Order::from_text(text);
    if order.is_none() {
        v.unknown_value(text, ["grb", "rgb", "bgr", "grbw", "rgbw"].into_iter());
    }
    order
}

fn turn(mut v: Value<'_, '_, '_>) -> Option<Turn> {
    let turn = match v.value.get_ref().as_integer().map(|n| n.as_str()) {
        Some("0") => Some(Turn::None),
        Some("90") => Some(Turn::Quarter),
        Some("180") => Some(Turn::Half),
        Some("270") => Some(Turn::ThreeQuarters),
        _ => None,
    };
    match turn {
        None if v.is_integer() => v.out_of_range("0, 90, 180 or 270 (degrees clockwise as hung)"),
        None => v.wrong_type("0, 90, 180 or 270 (degrees clockwise as hung)"),
        Some(_) => {}
    }
    turn
}
