//! Frame rates: what the data lines, the link and the receivers each allow.

use glowloom_design::Wall;
use glowloom_units::{Hertz, Seconds};
use serde::Serialize;

use crate::link::{self, LinkFigures};
use crate::path::PanelPath;
use crate::signal::frame_seconds;

/// How the picture gets to the pixels, and how often.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Data {
    /// By panel, in the order of the wall file, then by line.
    pub lines: Vec<LineFigures>,
    /// What the slowest data line allows.
    pub wire_fps: Hertz,
    /// From the computer to the receivers, the whole wall.
    pub link: LinkFigures,
    /// What the busiest receiver takes in; absent on USB, where it is not counted in packets.
    pub receiver_fps: Option<Hertz>,
    /// The highest rate that all of them allow, not cut to the wanted one.
    pub fps: Hertz,
    /// Which of them keeps the wall from the wanted rate.
    pub bottleneck: Bottleneck,
}

/// One data line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LineFigures {
    /// The panel's name.
    pub panel: String,
    /// From 1.
    pub line: u32,
    /// Of the chain, spare ones included.
    pub pixels: u32,
    /// How many of them are spare.
    pub spare_pixels: u32,
    /// From the start of one frame to that of the next.
    pub seconds_per_frame: Seconds,
    /// What it allows.
    pub fps: Hertz,
}

impl Data {
    /// The rate to send at: the wanted one, or what the wall can show if that is less, but never
    /// below one frame a second, so that receivers do not take the sender for gone.
    #[must_use]
    pub fn sending_rate(&self, wanted: Hertz) -> Hertz {
        wanted.min(self.fps).max(Hertz(1.0))
    }

    /// Share of a Wi-Fi channel's air time at a rate, where `wanted` is the wall file's; `None` on other links.
    #[must_use]
    pub fn airtime_share_at(&self, rate: Hertz, wanted: Hertz) -> Option<f64> {
        Some(self.link.airtime_share? * (rate / wanted))
    }
}

/// What keeps the wall from the wanted rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bottleneck {
    /// The slowest data line.
    OneWire,
    /// The link.
    Link,
    /// The busiest receiver.
    Receiver,
    /// Nothing: it is reached.
    None,
}

/// The rates of a wall.
#[must_use]
pub fn data(wall: &Wall) -> Data {
    let lines: Vec<_> =
        wall.panels.iter().flat_map(|panel| line_figures(wall, PanelPath::of(panel))).collect();
    let wire_fps = lines.iter().map(|line| line.fps).reduce(Hertz::min).unwrap_or_default();
    let traffic = link::traffic(wall, link::Way::of(wall));
    let figures = link::figures(wall, &traffic);
    let receiver_fps = link::receiver_fps(wall, &traffic);
    let limits = [
        (wire_fps, Bottleneck::OneWire),
        (figures.fps, Bottleneck::Link),
        (receiver_fps.unwrap_or(Hertz(f64::INFINITY)), Bottleneck::Receiver),
    ];
    // The first of equals.
    let (fps, slowest) =
        limits.into_iter().reduce(|a, b| if b.0 < a.0 { b } else { a }).unwrap_or(limits[0]);
    let bottleneck =
        if reached(fps, wall.receiver.frames_per_second) { Bottleneck::None } else { slowest };
    Data { lines, wire_fps, link: figures, receiver_fps, fps, bottleneck }
}

/// Whether a rate is the wanted one or above; the billionth forgives rounding.
#[must_use]
pub fn reached(fps: Hertz, wanted: Hertz) -> bool {
    fps >= wanted * (1.0 - 1e-9)
}

fn line_figures<'w>(wall: &'w Wall, path: PanelPath<'w>) -> impl Iterator<Item = LineFigures> + 'w {
    path.lines().map(move |line| {
        let seconds = frame_seconds(&wall.strip, line.pixels());
        LineFigures {
            panel: path.panel().name.clone(),
            line: line.number,
            pixels: line.pixels(),
            spare_pixels: line.spare_pixels(),
            seconds_per_frame: seconds,
            fps: seconds.rate(),
        }
    })
}
