//! Walls to bench on, and figures of many rounds.

#![allow(dead_code, reason = "each bench uses a part of it")]
#![allow(clippy::print_stdout, reason = "the result")]
#![allow(clippy::unwrap_used, reason = "what fails here ends the bench")]

use glowloom_wire::Patch;
use glowloom_wire::patch::{Address, Channels, Common, Line, PanelPatch, Protocol};

/// Upright serpentine strips, one data line a panel.
pub fn patch(columns: u32, rows: u32, panels: u32, ports: &[u16]) -> Patch {
    let width = columns / panels;
    let panel = |(port, nth): (&u16, u32)| {
        let pixels = (0..width).flat_map(|strip| {
            (0..rows).map(move |step| {
                let row = if strip % 2 == 0 { rows - 1 - step } else { step };
                Some(row * columns + nth * width + strip)
            })
        });
        let pixels: Vec<_> = pixels.collect();
        let universes = pixels.len().div_ceil(170) as u32;
        PanelPatch {
            name: format!("panel {}", nth + 1),
            address: Address::Virtual { port: *port },
            lines: vec![Line {
                first_universe: (1 + nth * universes) as u16,
                byte_offset: 0,
                pixels,
            }],
        }
    };
    let common = Common {
        columns,
        rows,
        channels: Channels::Three,
        protocol: Protocol::E131,
        ceiling: 200,
        sync_universe: 63_999,
    };
    Patch::new(common, ports.iter().zip(0..).map(panel).collect()).unwrap()
}

/// Minimum, median and maximum.
pub fn spread(mut values: Vec<f64>) -> [f64; 3] {
    values.sort_by(f64::total_cmp);
    [values[0], values[values.len() / 2], values[values.len() - 1]]
}

pub fn print(what: &str, values: Vec<f64>, digits: usize) {
    let [min, median, max] = spread(values);
    println!("  {what:<46} {min:>10.digits$} / {median:>10.digits$} / {max:>10.digits$}");
}
