//! All packets of one frame for all panels, as one block of bytes.
//!
//! Headers are written once. A frame changes only slots, by a table made beforehand that says for
//! each picture pixel where in the block it goes, and packet numbers. The picture is read in its own
//! order and written to scattered places: that is faster than the other way round, and the last
//! place where a byte can be held to the ceiling before it leaves.

use std::collections::BTreeMap;
use std::ops::Range;

use glowloom_wire::layout::Place;
use glowloom_wire::patch::{Channels, PanelPatch, Protocol};
use glowloom_wire::{Carrier, Layout, Patch, e131, layout};

use crate::cables::{self, Wired};
use crate::header::Header;
use crate::numbering::Numbering;
use crate::{DriveError, Settings};

/// In the table: a picture pixel that no panel shows.
const NOWHERE: u32 = u32::MAX;

/// All packets of one frame for all panels.
#[derive(Debug)]
pub struct Block {
    bytes: Vec<u8>,
    packets: Vec<Packet>,
    /// For each panel, which of the packets are its own.
    panels: Vec<Range<usize>>,
    /// For each picture pixel, where its first slot lies in the block.
    table: Vec<u32>,
    numbering: Numbering,
    channels: Channels,
    ceiling: u8,
}

/// Where a packet lies in the block.
#[derive(Clone, Debug)]
struct Packet {
    at: Range<usize>,
    /// Where its slots lie.
    slots: Range<usize>,
}

impl Block {
    /// Lays out the packets of a wall and writes their headers. All pixels are black.
    ///
    /// # Errors
    /// [`DriveError::Layout`], [`DriveError::Priority`], [`DriveError::SyncUniverse`], and
    /// [`DriveError::NoPort`] or [`DriveError::TwoWays`] on serial cables.
    pub fn new(patch: &Patch, settings: &Settings) -> Result<Self, DriveError> {
        let cables = cables::of(patch)?;
        let common = patch.common();
        let pixels = common.columns as usize * common.rows as usize;
        let mut block = Self {
            bytes: Vec::new(),
            packets: Vec::new(),
            panels: Vec::new(),
            table: vec![NOWHERE; pixels],
            numbering: Numbering::new(common.protocol),
            channels: common.channels,
            ceiling: common.ceiling,
        };
        for (index, panel) in patch.panels().iter().enumerate() {
            let reason = |reason: String| DriveError::Layout { panel: panel.name.clone(), reason };
            let carrier = cables::carrier(common, &panel.address);
            let header = Header::new(common, settings, carrier)?;
            let first = block.packets.len();
            let (start, shows) = on_cable(&cables, index).unwrap_or((0, true));
            for datagram in Layout::of(panel, carrier, common.channels).datagrams() {
                let place = match datagram.place() {
                    Place::Offset(offset) => offset.checked_add(start).map(Place::Offset),
                    universe => Some(universe),
                };
                let place = place.ok_or("its cable's panels take more than 4 GB".to_owned());
                let push = shows && datagram.is_last();
                place
                    .and_then(|place| block.lay(&datagram, place, push, panel, carrier, &header))
                    .map_err(reason)?;
            }
            block.panels.push(first..block.packets.len());
            block.numbering.add_panel(block.packets.len() - first);
        }
        Ok(block)
    }

    /// Adds one packet. The reason of an error is one line, no full stop.
    fn lay(
        &mut self,
        datagram: &layout::Datagram<'_>,
        place: Place,
        push: bool,
        panel: &PanelPatch,
        carrier: Carrier,
        header: &Header,
    ) -> Result<(), String> {
        let start = self.bytes.len();
        let slots = start + carrier.header();
        // On a cable pixels may take fewer bytes; here each channel has one, and the cable packs them.
        let end = match carrier {
            Carrier::Udp(_) => start + datagram.size(),
            Carrier::Serial(_) => slots + datagram.pixels() * self.channels.count(),
        };
        let pixel_bytes = carrier.pixel(self.channels);
        if u32::try_from(end).is_err() {
            return Err("the wall's packets take more than 4 GB; make the wall smaller".into());
        }
        self.bytes.resize(end, 0);
        let packet = &mut self.bytes[start..end];
        header.emit(place, push, datagram.data(), packet)?;
        self.packets.push(Packet { at: start..end, slots: slots..end });
        for run in datagram.runs() {
            let sources = &panel.lines[run.line].pixels[run.pixels];
            let first = (run.at - carrier.header()) / pixel_bytes;
            for (nth, source) in sources.iter().enumerate() {
                let at = slots + (first + nth) * self.channels.count();
                if let Some(place) = source.and_then(|source| self.table.get_mut(source as usize)) {
                    // Below the end, which was found to fit.
                    *place = at as u32;
                }
            }
        }
        Ok(())
    }

    /// Puts a picture into the packets: rows from the top, slots of a pixel together. No byte above
    /// the ceiling gets in; gives how many had to be held to it.
    ///
    /// # Errors
    /// [`DriveError::FrameSize`] where the bytes are not as many as the picture has.
    pub fn draw(&mut self, frame: &[u8]) -> Result<u64, DriveError> {
        let wanted = self.table.len() * self.channels.count();
        if frame.len() != wanted {
            return Err(DriveError::FrameSize { wanted, found: frame.len() });
        }
        let (table, bytes) = (&self.table, &mut self.bytes);
        Ok(match self.channels {
            Channels::Three => scatter::<3>(frame, table, bytes, self.ceiling),
            Channels::Four => scatter::<4>(frame, table, bytes, self.ceiling),
        })
    }

    /// Makes all pixels black.
    pub fn blacken(&mut self) {
        for packet in &self.packets {
            self.bytes[packet.slots.clone()].fill(0);
        }
    }

    /// From now on every packet says that it is one of the last (E1.31-2018, 6.2.6). Other
    /// protocols have no such switch.
    pub fn terminate(&mut self) {
        if self.numbering.protocol() == Protocol::E131 {
            for packet in &self.packets {
                e131::data::set_options(&mut self.bytes[packet.at.clone()], e131::Options::END);
            }
        }
    }

    /// Goes on with the packet numbers of the block before, so that no receiver takes the next packets for
    /// late ones: by universe, else by the panel that `was` this one.
    pub(crate) fn go_on_from(&mut self, before: &Self, was: impl Fn(usize) -> Option<usize>) {
        let universe = |block: &Self, index| block.numbering.universe(block.packet(index));
        let known: BTreeMap<_, _> = (0..before.packets.len())
            .filter_map(|index| Some((universe(before, index)?, index)))
            .collect();
        for index in 0..self.packets.len() {
            let found = universe(self, index).and_then(|universe| known.get(&universe));
            if let Some(before_index) = found {
                self.numbering.go_on_packet(index, &before.numbering, *before_index);
            }
        }
        for panel in 0..self.panels.len() {
            if let Some(before_panel) = was(panel) {
                self.numbering.go_on_panel(panel, &before.numbering, before_panel);
            }
        }
    }

    /// Panels, in the order of the patch.
    #[must_use]
    pub fn panels(&self) -> usize {
        self.panels.len()
    }

    /// Which packets are a panel's own, in the order in which they are sent.
    #[must_use]
    pub fn packets_of(&self, panel: usize) -> Range<usize> {
        self.panels[panel].clone()
    }

    /// A packet as it leaves; on a serial cable with a byte to each channel and without a number, for
    /// the cable packs and numbers its own.
    #[must_use]
    pub fn packet(&self, index: usize) -> &[u8] {
        &self.bytes[self.packets[index].at.clone()]
    }

    /// The bytes of all packets.
    #[must_use]
    pub fn size(&self) -> usize {
        self.bytes.len()
    }

    /// Writes the next numbers into packets of one panel that are about to be sent.
    pub fn number(&mut self, panel: usize, packets: Range<usize>) {
        for index in packets.clone() {
            let packet = &mut self.bytes[self.packets[index].at.clone()];
            self.numbering.write(panel, index, index - packets.start, packet);
        }
    }

    /// Notes that packets of one panel have left. The numbers of those that have not are given to
    /// the next ones: a receiver that was out of reach for long would otherwise take what comes
    /// then for late.
    pub fn sent(&mut self, panel: usize, packets: Range<usize>) {
        for index in packets {
            let packet = &self.bytes[self.packets[index].at.clone()];
            self.numbering.note(panel, index, packet);
        }
    }
}

/// Where a panel's bytes begin on its cable, and whether its last packet is the cable's; `None` for
/// panels on no cable.
fn on_cable(cables: &[Wired], panel: usize) -> Option<(u32, bool)> {
    cables.iter().find_map(|cable| {
        let nth = cable.panels.iter().position(|(index, _)| *index == panel)?;
        Some((cable.panels[nth].1, nth + 1 == cable.panels.len()))
    })
}

/// Writes each pixel to its place and counts the bytes that are above the ceiling.
fn scatter<const N: usize>(frame: &[u8], table: &[u32], block: &mut [u8], ceiling: u8) -> u64 {
    let mut held = 0;
    let (pixels, _) = frame.as_chunks::<N>();
    for (pixel, &at) in pixels.iter().zip(table) {
        // `NOWHERE` lies beyond every block.
        let place = block.get_mut(at as usize..).and_then(<[u8]>::first_chunk_mut::<N>);
        let Some(to) = place else { continue };
        for (to, &from) in to.iter_mut().zip(pixel) {
            *to = from.min(ceiling);
            held += u64::from(from > ceiling);
        }
    }
    held
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::FramesPerSecond;
    use glowloom_wire::patch::{Address, Common, Line};

    fn settings() -> Settings {
        Settings::new(FramesPerSecond(30.0), [7; 16]).unwrap()
    }

    /// Two panels on a picture of 2 rows: west shows the first `half` pixels of each row on one
    /// line with a spare ahead, east all the others but the last pixel, backwards, on two lines.
    fn patch(protocol: Protocol, channels: Channels, half: u32, ceiling: u8) -> Patch {
        let columns = 2 * half;
        let common = Common { columns, rows: 2, channels, protocol, ceiling, sync_universe: 99 };
        let west = std::iter::once(None)
            .chain((0..half).map(Some))
            .chain((columns..columns + half).map(Some))
            .collect();
        let row = |from: u32, to: u32| (from..to).rev().map(Some).collect::<Vec<_>>();
        let line =
            |first_universe, byte_offset, pixels| Line { first_universe, byte_offset, pixels };
        let panel = |name: &str, port, lines| PanelPatch {
            name: name.into(),
            address: Address::Virtual { port },
            lines,
        };
        let bytes = channels.count() as u32 * half;
        Patch::new(
            common,
            vec![
                panel("west", 1, vec![line(1, 0, west)]),
                panel(
                    "east",
                    2,
                    vec![
                        line(40, 0, row(half, columns)),
                        line(50, bytes, row(columns + half, 2 * columns - 1)),
                    ],
                ),
            ],
        )
        .unwrap()
    }

    /// The slots of a panel's packets, one after the other.
    fn slots(block: &Block, panel: usize, header: usize) -> Vec<u8> {
        let packets = block.packets_of(panel).map(|index| block.packet(index));
        packets.flat_map(|packet| packet[header..].to_vec()).collect()
    }

    #[test]
    fn every_pixel_goes_to_its_place() {
        for (protocol, header) in
            [(Protocol::E131, 126), (Protocol::ArtNet, 18), (Protocol::Ddp, 10)]
        {
            for channels in [Channels::Three, Channels::Four] {
                let size = channels.count();
                let patch = patch(protocol, channels, 200, 255);
                let mut block = Block::new(&patch, &settings()).unwrap();
                let frame: Vec<u8> = (0..patch.frame_bytes()).map(|n| (n % 253) as u8).collect();
                assert_eq!(block.draw(&frame).unwrap(), 0);
                for (index, panel) in patch.panels().iter().enumerate() {
                    let wanted: Vec<u8> = (panel.lines.iter().flat_map(|line| &line.pixels))
                        .flat_map(|source| match source {
                            Some(at) => frame[*at as usize * size..][..size].to_vec(),
                            None => vec![0; size],
                        })
                        .collect();
                    let found = slots(&block, index, header);
                    let (found, pad) = found.split_at(wanted.len());
                    assert!(found == wanted, "{protocol:?} {channels:?} {}", panel.name);
                    // Only Art-Net pads, and only an odd packet.
                    assert!(pad.is_empty() || protocol == Protocol::ArtNet && pad == [0]);
                }
            }
        }
    }

    #[test]
    fn no_byte_passes_the_ceiling() {
        let patch = patch(Protocol::E131, Channels::Three, 2, 100);
        let mut block = Block::new(&patch, &settings()).unwrap();
        let mut frame = vec![100; patch.frame_bytes()];
        frame[..4].copy_from_slice(&[101, 255, 100, 200]);
        // Nobody shows the last pixel, so nothing of it has to be held.
        frame[21..].fill(255);
        assert_eq!(block.draw(&frame).unwrap(), 3);
        let west = slots(&block, 0, 126);
        assert_eq!(west, [[0; 3], [100; 3], [100; 3], [100; 3], [100; 3]].concat());
        assert!(slots(&block, 1, 126).iter().all(|&byte| byte == 100));
        block.blacken();
        assert!((0..2).all(|panel| slots(&block, panel, 126).iter().all(|&byte| byte == 0)));
        let size = block.draw(&frame[1..]);
        assert!(matches!(size, Err(DriveError::FrameSize { wanted: 24, found: 23 })));
    }

    #[test]
    fn packets_are_those_of_the_protocol() {
        let mut chosen = settings();
        chosen.priority = 120;
        let patch = patch(Protocol::E131, Channels::Three, 100, 255);
        let mut block = Block::new(&patch, &chosen).unwrap();
        block.terminate();
        let mut universes = Vec::new();
        for index in 0..block.packets_of(1).end {
            let e131::Any::Data(data) = e131::Any::parse(block.packet(index)).unwrap() else {
                panic!("not data");
            };
            let header = data.header;
            assert_eq!(header.sync, e131::Universe::new(99).ok());
            assert_eq!((header.priority.get(), header.options), (120, e131::Options::END));
            assert_eq!((header.cid, header.source.as_str()), (e131::Cid([7; 16]), "Glowloom"));
            universes.push(header.universe.get());
        }
        assert_eq!(universes, [1, 2, 40, 50]);
    }

    #[test]
    fn what_cannot_be_sent_is_refused() {
        let patch = patch(Protocol::E131, Channels::Three, 2, 255);
        let chosen = Settings { priority: 201, ..settings() };
        assert!(matches!(Block::new(&patch, &chosen), Err(DriveError::Priority(201))));
        let common = Common { sync_universe: 0, ..patch.common().clone() };
        let wrong = Patch::new(common, patch.panels().to_vec()).unwrap();
        assert!(matches!(Block::new(&wrong, &settings()), Err(DriveError::SyncUniverse(0))));
        let common = Common { protocol: Protocol::ArtNet, ..patch.common().clone() };
        let mut panels = patch.panels().to_vec();
        panels[1].lines[0].first_universe = 40_000;
        let high = Patch::new(common, panels).unwrap();
        let error = Block::new(&high, &settings()).unwrap_err().to_string();
        assert!(error.contains("panel east") && error.contains("40000"), "{error}");
    }

    #[test]
    fn numbers_of_packets_that_stayed_are_used_again() {
        for (protocol, at, wanted) in [
            (Protocol::E131, 111, [[0, 0], [1, 1], [2, 1]]),
            (Protocol::ArtNet, 12, [[1, 1], [2, 2], [3, 2]]),
            // One count for both packets of the receiver.
            (Protocol::Ddp, 1, [[1, 2], [3, 4], [4, 5]]),
        ] {
            let patch = patch(protocol, Channels::Four, 200, 255);
            let mut block = Block::new(&patch, &settings()).unwrap();
            let packets = block.packets_of(1).start..block.packets_of(1).start + 2;
            let seen = [packets.end, packets.end - 1, packets.end].map(|left| {
                block.number(1, packets.clone());
                block.sent(1, packets.start..left);
                [packets.start, packets.start + 1].map(|index| block.packet(index)[at])
            });
            let numbers = seen;
            assert_eq!(numbers, wanted, "{protocol:?}");
        }
    }
}
