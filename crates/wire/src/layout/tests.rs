//! Layouts worked by hand, and what must hold for every panel.

use super::*;
use crate::ColourBits;
use crate::patch::{Address, Line};
use proptest::prelude::*;

const E131: Carrier = Carrier::Udp(Protocol::E131);
const ART_NET: Carrier = Carrier::Udp(Protocol::ArtNet);
const DDP: Carrier = Carrier::Udp(Protocol::Ddp);
const SERIAL: Carrier = Carrier::Serial(ColourBits::TwentyFour);
const SERIAL_16: Carrier = Carrier::Serial(ColourBits::Sixteen);
const CARRIERS: [Carrier; 5] = [E131, ART_NET, DDP, SERIAL, SERIAL_16];

fn panel(lines: &[(u16, u32, usize)]) -> PanelPatch {
    let lines = lines.iter().map(|&(first_universe, byte_offset, pixels)| Line {
        first_universe,
        byte_offset,
        pixels: vec![None; pixels],
    });
    let address = Address::Virtual { port: 15_568 };
    PanelPatch { name: "west".into(), address, lines: lines.collect() }
}

fn traffic(lines: &[usize], carrier: Carrier, channels: Channels) -> (usize, usize) {
    let traffic = Layout::of_lengths(lines, carrier, channels).traffic();
    (traffic.packets, traffic.bytes)
}

/// Worked by hand: header 126, 18 or 10 bytes a packet, SLIP two more.
#[test]
fn packets_and_bytes_of_a_frame() {
    // 640 pixels: universes of 170, 170, 170, 130; Art-Net the same; 1920 bytes as 1440 and 480.
    assert_eq!(traffic(&[640], E131, Channels::Three), (4, 4 * 126 + 1920));
    assert_eq!(traffic(&[640], ART_NET, Channels::Three), (4, 4 * 18 + 1920));
    assert_eq!(traffic(&[640], DDP, Channels::Three), (2, 2 * 10 + 1920));
    assert_eq!(traffic(&[640], SERIAL, Channels::Three), (1, 12 + 1920));
    // 1280 bytes with 16 colour bits.
    assert_eq!(traffic(&[640], SERIAL_16, Channels::Three), (1, 12 + 1280));
    // With white: 128 to a universe; 2560 bytes as 1440 and 1120; 1920 with 16 colour bits.
    assert_eq!(traffic(&[640], E131, Channels::Four), (5, 5 * 126 + 2560));
    assert_eq!(traffic(&[640], DDP, Channels::Four), (2, 2 * 10 + 2560));
    assert_eq!(traffic(&[640], SERIAL_16, Channels::Four), (1, 12 + 1920));
    // What the length field counts, and one pixel more.
    assert_eq!(traffic(&[21_845], SERIAL, Channels::Three), (1, 12 + 65_535));
    assert_eq!(traffic(&[21_846], SERIAL, Channels::Three), (2, 2 * 12 + 65_535 + 3));
    // Two lines of 171: each a full universe and one pixel more. 3 slots are 4 with Art-Net.
    assert_eq!(traffic(&[171, 171], E131, Channels::Three), (4, 4 * 126 + 2 * 513));
    assert_eq!(traffic(&[171, 171], ART_NET, Channels::Three), (4, 4 * 18 + 2 * (510 + 4)));
    assert_eq!(traffic(&[171, 171], DDP, Channels::Three), (1, 10 + 1026));
    // Eight lines of 80: one packet each, or all 1920 bytes in two.
    assert_eq!(traffic(&[80; 8], E131, Channels::Three), (8, 8 * 126 + 1920));
    assert_eq!(traffic(&[80; 8], DDP, Channels::Three), (2, 2 * 10 + 1920));
    for carrier in CARRIERS {
        assert_eq!(traffic(&[], carrier, Channels::Three), (0, 0));
        assert_eq!(traffic(&[0, 0], carrier, Channels::Three), (0, 0));
    }
}

#[test]
fn each_universe_has_its_pixels() {
    let panel = panel(&[(7, 0, 171), (20, 513, 2)]);
    let layout = Layout::of(&panel, ART_NET, Channels::Three);
    let found: Vec<_> = layout
        .datagrams()
        .map(|datagram| {
            let runs: Vec<_> = datagram.runs().collect();
            (datagram.place(), runs, datagram.data(), datagram.size(), datagram.is_last())
        })
        .collect();
    let run = |line, pixels| vec![Run { line, pixels, at: 18 }];
    let wanted = [
        (Place::Universe(7), run(0, 0..170), 510, 528, false),
        (Place::Universe(8), run(0, 170..171), 4, 22, false),
        (Place::Universe(20), run(1, 0..2), 6, 24, true),
    ];
    assert_eq!(found, wanted);
}

#[test]
fn a_packet_of_ddp_holds_lines_that_join() {
    // 479 and 2 pixels join; the third line begins 3 bytes after the second ends.
    let panel = panel(&[(1, 0, 479), (4, 1437, 2), (5, 1446, 1), (6, 1449, 0)]);
    let layout = Layout::of(&panel, DDP, Channels::Three);
    let found: Vec<_> = layout
        .datagrams()
        .map(|datagram| {
            let runs: Vec<_> = datagram.runs().collect();
            (datagram.place(), datagram.pixels(), runs, datagram.is_last())
        })
        .collect();
    let run = |line, pixels, at| Run { line, pixels, at };
    let wanted = [
        (Place::Offset(0), 480, vec![run(0, 0..479, 10), run(1, 0..1, 10 + 1437)], false),
        (Place::Offset(1440), 1, vec![run(1, 1..2, 10)], false),
        (Place::Offset(1446), 1, vec![run(2, 0..1, 10)], true),
    ];
    assert_eq!(found, wanted);
}

#[test]
fn lines_without_pixels_are_stepped_over() {
    for carrier in CARRIERS {
        let layout = Layout::of_lengths(&[0, 2, 0, 0, 3, 0], carrier, Channels::Three);
        let runs = layout.datagrams().flat_map(|datagram| datagram.runs());
        let runs: Vec<_> = runs.map(|run| (run.line, run.pixels)).collect();
        assert_eq!(runs, [(1, 0..2), (4, 0..3)]);
    }
}

#[test]
fn sixteen_bits_move_the_offsets() {
    // 600 pixels of two bytes end where the second line begins: 1800 / 3 * 2.
    let panel = panel(&[(1, 0, 600), (5, 1800, 32_700)]);
    let layout = Layout::of(&panel, SERIAL_16, Channels::Three);
    let found: Vec<_> = layout.datagrams().map(|d| (d.place(), d.pixels())).collect();
    assert_eq!(found, [(Place::Offset(0), 32_767), (Place::Offset(65_534), 533)]);
}

fn any_panel() -> impl Strategy<Value = (PanelPatch, Channels)> {
    let channels = prop_oneof![Just(Channels::Three), Just(Channels::Four)];
    // Lines that join, lines of few pixels and lines of none are what can go wrong.
    let pixels = prop_oneof![Just(0), 1..9usize, 0..700usize];
    let lines = prop::collection::vec((pixels, prop_oneof![Just(0u32), 0..9u32]), 0..8);
    (lines, channels).prop_map(|(lines, channels)| {
        let (mut universe, mut offset) = (1, 0);
        let mut placed = Vec::new();
        for (pixels, gap) in lines {
            offset += gap;
            placed.push((universe, offset, pixels));
            universe += pixels.div_ceil(channels.pixels_per_universe()) as u16;
            offset += (pixels * channels.count()) as u32;
        }
        (panel(&placed), channels)
    })
}

proptest! {
    #[test]
    fn every_pixel_is_sent_once_and_in_order((panel, channels) in any_panel()) {
        let wanted: Vec<_> = (0..panel.lines.len())
            .flat_map(|line| (0..panel.lines[line].pixels.len()).map(move |pixel| (line, pixel)))
            .collect();
        for carrier in CARRIERS {
            let layout = Layout::of(&panel, carrier, channels);
            let sent: Vec<_> = layout
                .datagrams()
                .flat_map(|datagram| datagram.runs())
                .flat_map(|run| run.pixels.map(move |pixel| (run.line, pixel)))
                .collect();
            prop_assert_eq!(&sent, &wanted);
        }
    }

    #[test]
    fn packets_are_full_and_fit((panel, channels) in any_panel()) {
        for carrier in CARRIERS {
            let layout = Layout::of(&panel, carrier, channels);
            for datagram in layout.datagrams() {
                let most = carrier.pixels_per_packet(channels);
                prop_assert!((1..=most).contains(&datagram.pixels()));
                let mut at = carrier.header();
                for run in datagram.runs() {
                    prop_assert!(!run.pixels.is_empty());
                    prop_assert_eq!(run.at, at);
                    at += run.pixels.len() * carrier.pixel(channels);
                }
                prop_assert!(datagram.size() - at <= 1);
                prop_assert_eq!(datagram.size(), carrier.header() + datagram.data());
            }
            let last: Vec<_> = layout.datagrams().map(|datagram| datagram.is_last()).collect();
            let wanted: Vec<_> = (1..=last.len()).map(|n| n == last.len()).collect();
            prop_assert_eq!(last, wanted);
        }
    }

    #[test]
    fn universes_are_those_of_the_patch((panel, channels) in any_panel()) {
        let wanted: Vec<_> = panel.universes(channels).map(Place::Universe).collect();
        for carrier in [E131, ART_NET] {
            let layout = Layout::of(&panel, carrier, channels);
            prop_assert_eq!(&layout.datagrams().map(|d| d.place()).collect::<Vec<_>>(), &wanted);
        }
    }

    #[test]
    fn offsets_are_those_of_the_patch((panel, channels) in any_panel()) {
        for carrier in [DDP, SERIAL] {
            let layout = Layout::of(&panel, carrier, channels);
            let mut end = 0;
            for datagram in layout.datagrams() {
                let Place::Offset(offset) = datagram.place() else { panic!("no offset") };
                prop_assert!(offset >= end);
                for run in datagram.runs() {
                    let first = panel.lines[run.line].byte_offset as usize;
                    let wanted = first + run.pixels.start * channels.count();
                    prop_assert_eq!(offset as usize + run.at - carrier.header(), wanted);
                }
                end = offset + datagram.data() as u32;
            }
        }
    }

    #[test]
    fn lengths_alone_give_the_same_layout(
        lengths in prop::collection::vec(0..900usize, 0..6),
        channels in prop_oneof![Just(Channels::Three), Just(Channels::Four)],
    ) {
        let (mut universe, mut offset) = (1, 0);
        let mut placed = Vec::new();
        for &pixels in &lengths {
            placed.push((universe, offset, pixels));
            universe += pixels.div_ceil(channels.pixels_per_universe()) as u16;
            offset += (pixels * channels.count()) as u32;
        }
        let panel = panel(&placed);
        for carrier in CARRIERS {
            let patched = Layout::of(&panel, carrier, channels);
            prop_assert_eq!(Layout::of_lengths(&lengths, carrier, channels), patched);
        }
    }
}
