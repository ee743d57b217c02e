//! How the pixels of a panel are laid into packets.
//!
//! Planning counts these packets and live output sends them, so the two cannot disagree.
//!
//! ANSI E1.31 and Art-Net put each data line into universes of its own, and only the pixels of a
//! universe into its packet. DDP has one buffer of bytes per panel: it is cut every 1440 bytes
//! (on a serial line every 65,535), wherever data lines begin, and where a gap lies between two lines; a packet may hold several.

use std::ops::Range;

use crate::carrier::Carrier;
use crate::patch::{Channels, PanelPatch, Protocol};
use crate::traffic::Traffic;

/// Where a packet's pixels go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// A universe, or the Port-Address of that number.
    Universe(u16),
    /// A place in the panel's buffer, in bytes.
    Offset(u32),
}

/// One data line, without its pixels' sources.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Span {
    first_universe: u16,
    /// In bytes as the carrier counts them.
    offset: usize,
    pixels: usize,
}

/// How the pixels of a panel are laid into packets.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    carrier: Carrier,
    channels: Channels,
    spans: Vec<Span>,
}

impl Layout {
    /// The layout that a panel's patch asks for.
    #[must_use]
    pub fn of(panel: &PanelPatch, carrier: Carrier, channels: Channels) -> Self {
        let spans = panel
            .lines
            .iter()
            .map(|line| Span {
                first_universe: line.first_universe,
                offset: carrier.offset(channels, line.byte_offset as usize),
                pixels: line.pixels.len(),
            })
            .collect();
        Self { carrier, channels, spans }
    }

    /// The layout of data lines of so many pixels, one after the other from universe 1 and byte 0,
    /// before there is a patch. Universes above 65,535 are all given that number.
    #[must_use]
    pub fn of_lengths(lines: &[usize], carrier: Carrier, channels: Channels) -> Self {
        let (mut universe, mut offset) = (1u16, 0);
        let spans = lines
            .iter()
            .map(|&pixels| {
                let span = Span { first_universe: universe, offset, pixels };
                let universes = pixels.div_ceil(channels.pixels_per_universe());
                universe = nth_universe(universe, universes);
                offset += pixels * carrier.pixel(channels);
                span
            })
            .collect();
        Self { carrier, channels, spans }
    }

    /// The packets of a frame, in the order in which they are sent. Lines without pixels have none.
    pub fn datagrams(&self) -> impl Iterator<Item = Datagram<'_>> {
        Datagrams { layout: self, line: 0, pixel: 0 }
    }

    /// Packets and bytes of a frame, synchronization not counted: see
    /// [`Carrier::synchronization`].
    #[must_use]
    pub fn traffic(&self) -> Traffic {
        let around = self.carrier.around();
        self.datagrams()
            .map(|datagram| Traffic { packets: 1, bytes: datagram.size() + around })
            .sum()
    }
}

/// The `n`th universe after one; the highest number where there is none.
fn nth_universe(first: u16, n: usize) -> u16 {
    first.saturating_add(u16::try_from(n).unwrap_or(u16::MAX))
}

/// One packet of a frame.
#[derive(Clone, Copy, Debug)]
pub struct Datagram<'a> {
    layout: &'a Layout,
    place: Place,
    /// Where its first pixel is.
    line: usize,
    pixel: usize,
    pixels: usize,
    last: bool,
}

impl<'a> Datagram<'a> {
    /// Where its pixels go.
    #[must_use]
    pub const fn place(&self) -> Place {
        self.place
    }

    /// Pixels in it.
    #[must_use]
    pub const fn pixels(&self) -> usize {
        self.pixels
    }

    /// Bytes of data in it: its pixels, and with Art-Net a pad.
    #[must_use]
    pub const fn data(&self) -> usize {
        self.layout.carrier.data(self.layout.channels, self.pixels)
    }

    /// Bytes of the whole packet, header included: the UDP payload; on a serial line what goes
    /// into SLIP.
    #[must_use]
    pub const fn size(&self) -> usize {
        self.layout.carrier.header() + self.data()
    }

    /// The last packet of the panel's frame; with DDP the one that carries the push flag.
    #[must_use]
    pub const fn is_last(&self) -> bool {
        self.last
    }

    /// The runs of pixels in it, in order: one per data line that it touches.
    pub fn runs(&self) -> impl Iterator<Item = Run> + use<'a> {
        let layout = self.layout;
        let pixel_bytes = layout.carrier.pixel(layout.channels);
        let mut at = layout.carrier.header();
        let (mut line, mut from, mut left) = (self.line, self.pixel, self.pixels);
        std::iter::from_fn(move || {
            if left == 0 {
                return None;
            }
            // Lines without pixels are stepped over.
            while layout.spans.get(line)?.pixels == from {
                (line, from) = (line + 1, 0);
            }
            let count = left.min(layout.spans.get(line)?.pixels - from);
            let run = Run { line, pixels: from..from + count, at };
            at += count * pixel_bytes;
            left -= count;
            from += count;
            Some(run)
        })
    }
}

/// Pixels of one data line that lie next to each other in a packet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// Which data line of the panel, from 0.
    pub line: usize,
    /// Which pixels of it.
    pub pixels: Range<usize>,
    /// Where in the packet the first of them begins, in bytes from the packet's start.
    pub at: usize,
}

/// Walks over a panel's pixels.
struct Datagrams<'a> {
    layout: &'a Layout,
    line: usize,
    pixel: usize,
}

impl Datagrams<'_> {
    /// Steps to the next line that has pixels left.
    fn settle(&mut self) -> Option<Span> {
        loop {
            let span = self.layout.spans.get(self.line)?;
            if self.pixel < span.pixels {
                return Some(*span);
            }
            (self.line, self.pixel) = (self.line + 1, 0);
        }
    }

    /// Goes over up to `most` pixels; on to the next line only if it joins without a gap.
    fn walk(&mut self, most: usize) -> usize {
        let pixel_bytes = self.layout.carrier.pixel(self.layout.channels);
        let mut taken = 0;
        while let Some(&span) = self.layout.spans.get(self.line) {
            let count = (most - taken).min(span.pixels - self.pixel);
            taken += count;
            self.pixel += count;
            if self.pixel < span.pixels {
                break;
            }
            let end = span.offset + span.pixels * pixel_bytes;
            (self.line, self.pixel) = (self.line + 1, 0);
            if self.settle().is_none_or(|next| next.offset != end) {
                break;
            }
        }
        taken
    }
}

impl<'a> Iterator for Datagrams<'a> {
    type Item = Datagram<'a>;

    fn next(&mut self) -> Option<Datagram<'a>> {
        let Layout { carrier, channels, .. } = *self.layout;
        let span = self.settle()?;
        let (line, pixel) = (self.line, self.pixel);
        let most = carrier.pixels_per_packet(channels);
        let (place, pixels) = match carrier {
            Carrier::Udp(Protocol::E131 | Protocol::ArtNet) => {
                let pixels = most.min(span.pixels - pixel);
                self.pixel += pixels;
                (Place::Universe(nth_universe(span.first_universe, pixel / most)), pixels)
            }
            Carrier::Udp(Protocol::Ddp) | Carrier::Serial(_) => {
                let offset = span.offset + pixel * carrier.pixel(channels);
                // A panel's bytes are counted in 32 bits, by the patch as by the protocol.
                let offset = u32::try_from(offset).unwrap_or(u32::MAX);
                (Place::Offset(offset), self.walk(most))
            }
        };
        let last = self.settle().is_none();
        Some(Datagram { layout: self.layout, place, line, pixel, pixels, last })
    }
}

#[cfg(test)]
mod tests;
