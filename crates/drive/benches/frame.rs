//! How long a frame takes: picture to packets, and packets to receivers on the loopback interface.
//!
//! All variants of a round run in turn, so that a machine that changes its speed changes it for all;
//! ratios are of the same round. Printed are minimum, median and maximum. The receivers never read:
//! the loopback interface does their half of the work in the sender's call and then drops the
//! packets. No network card is involved: this ranks the ways of sending and predicts no card.

#![allow(clippy::print_stdout, reason = "the result")]
#![allow(clippy::unwrap_used, reason = "what fails here ends the bench")]

mod support;

use std::hint::black_box;
use std::net::{SocketAddr, UdpSocket};
use std::time::{Duration, Instant};

use glowloom_drive::block::Block;
use glowloom_drive::{Calls, FramesPerSecond, Sender, Settings};
use glowloom_wire::Patch;
use support::{patch, print};

const ROUNDS: usize = 21;

/// Columns, rows, panels side by side, and frames to a round.
const WALLS: [(u32, u32, u32, u32); 3] = [(60, 32, 3, 200), (400, 250, 20, 8), (1250, 800, 50, 1)];

/// Runs every variant once a round. Gives the time of each for one frame, by variant and round.
fn race(frames: u32, variants: &mut [&mut dyn FnMut()]) -> Vec<Vec<Duration>> {
    let mut times = vec![Vec::with_capacity(ROUNDS); variants.len()];
    // The first round warms up.
    for round in 0..=ROUNDS {
        for (variant, times) in variants.iter_mut().zip(&mut times) {
            let start = Instant::now();
            (0..frames).for_each(|_| variant());
            if round > 0 {
                times.push(start.elapsed() / frames);
            }
        }
    }
    times
}

fn ratios(over: &[Duration], under: &[Duration]) -> Vec<f64> {
    over.iter().zip(under).map(|(a, b)| a.as_secs_f64() / b.as_secs_f64()).collect()
}

fn main() {
    // Cargo hands over `--bench` and whatever else; there is nothing to choose.
    let settings = Settings::new(FramesPerSecond(60.0), [7; 16]).unwrap();
    for (columns, rows, panels, frames) in WALLS {
        let receivers: Vec<_> =
            (0..panels).map(|_| UdpSocket::bind("127.0.0.1:0").unwrap()).collect();
        let ports: Vec<_> = receivers.iter().map(|r| r.local_addr().unwrap().port()).collect();
        let patch = patch(columns, rows, panels, &ports);
        let pixels = f64::from(columns * rows);
        let mut frame: Vec<u8> = (0..patch.frame_bytes()).map(|n| (n * 31 % 251) as u8).collect();
        println!(
            "{columns} x {rows} = {pixels} pixels, {panels} panels, minimum / median / maximum"
        );
        to_packets(&patch, &settings, &mut frame, frames, pixels);
        to_receivers(&patch, &settings, &frame, frames, &ports);
    }
}

fn to_packets(patch: &Patch, settings: &Settings, frame: &mut [u8], frames: u32, pixels: f64) {
    let mut block = Block::new(patch, settings).unwrap();
    let mut copy = frame.to_vec();
    let picture = &*frame;
    let times = race(
        frames,
        &mut [
            &mut || {
                black_box(block.draw(black_box(picture)).unwrap());
                for panel in 0..block.panels() {
                    block.number(panel, block.packets_of(panel));
                }
            },
            &mut || black_box(&mut copy).copy_from_slice(black_box(picture)),
        ],
    );
    let per_pixel = |times: &[Duration]| -> Vec<f64> {
        times.iter().map(|time| time.as_secs_f64() * 1e9 / pixels).collect()
    };
    print("picture to packets, ns a pixel", per_pixel(&times[0]), 2);
    print("copy of the picture, ns a pixel", per_pixel(&times[1]), 2);
    print("picture to packets / copy", ratios(&times[0], &times[1]), 1);
}

fn to_receivers(patch: &Patch, settings: &Settings, frame: &[u8], frames: u32, ports: &[u16]) {
    let mut many = Sender::new(patch, settings, Calls::Many).unwrap();
    let mut one = Sender::new(patch, settings, Calls::One).unwrap();
    many.draw(frame).unwrap();
    one.draw(frame).unwrap();
    // What a maker writes first: one socket, one call a packet, the address each time.
    let mut block = Block::new(patch, settings).unwrap();
    block.draw(frame).unwrap();
    let packets: Vec<(SocketAddr, Vec<u8>)> = (0..block.panels())
        .flat_map(|panel| block.packets_of(panel).map(move |index| (panel, index)))
        .map(|(panel, index)| (([127, 0, 0, 1], ports[panel]).into(), block.packet(index).to_vec()))
        .collect();
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    let sync = [0; 49];
    let times = race(
        frames,
        &mut [&mut || many.send(Duration::ZERO), &mut || one.send(Duration::ZERO), &mut || {
            for (to, packet) in &packets {
                socket.send_to(packet, to).unwrap();
            }
            for port in ports {
                socket.send_to(&sync, ("127.0.0.1", *port)).unwrap();
            }
        }],
    );
    let rate = |times: &[Duration]| -> Vec<f64> {
        times.iter().map(|time| 1.0 / time.as_secs_f64()).collect()
    };
    print("sender, many packets a call, frames/s", rate(&times[0]), 0);
    print("sender, one packet a call, frames/s", rate(&times[1]), 0);
    print("plain send_to, frames/s", rate(&times[2]), 0);
    print("plain / many packets a call, time", ratios(&times[2], &times[0]), 2);
    print("plain / one packet a call, time", ratios(&times[2], &times[1]), 2);
    let per_packet = |times: &[Duration]| -> Vec<f64> {
        let count = (packets.len() + ports.len()) as f64;
        times.iter().map(|time| count / time.as_secs_f64() / 1000.0).collect()
    };
    print("many packets a call, thousand packets/s", per_packet(&times[0]), 0);
    let whole = many.panels().iter().all(|panel| panel.dropped == 0);
    println!("  all frames left whole: {}", if whole { "yes" } else { "NO" });
}
