//! The patch of a wall: all that live output will know of it.

use glowloom_design::Wall;
use glowloom_design::wall::{self, Link, Panel};
use glowloom_wire::patch::{Address, Common, Line, PanelPatch, Patch, PatchError, Protocol};
use glowloom_wire::{Balance, ColourBits};

use crate::numbering::{Numbering, channels, slots};
use crate::path::PanelPath;

/// A checked wall gave a patch that must not be sent: a mistake of this program, not of the wall
/// file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PatchRefused(pub PatchError);

impl std::fmt::Display for PatchRefused {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "the wall file is sound, but the patch made from it is not: {}; this is a mistake of \
             this program: please report it with the wall file",
            self.0
        )
    }
}

impl std::error::Error for PatchRefused {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        Some(&self.0)
    }
}

/// The patch of a wall, its ceiling the file's `brightness_limit`.
///
/// # Errors
/// [`PatchRefused`] where the patch breaks a rule that every checked wall keeps.
pub fn patch(wall: &Wall) -> Result<Patch, PatchRefused> {
    patch_under(wall, 1.0)
}

/// The same with a ceiling no higher than a brightness of 0 to 1.
///
/// # Errors
/// As [`patch`].
pub fn patch_under(wall: &Wall, brightness: f64) -> Result<Patch, PatchRefused> {
    let common = Common {
        columns: wall.columns,
        rows: wall.rows,
        channels: channels(&wall.strip),
        protocol: protocol(carried(wall)),
        ceiling: ceiling(wall.power.brightness_limit.min(brightness)),
        // The others synchronize without one; 0 is no universe, so it can meet no data.
        sync_universe: match carried(wall) {
            wall::Protocol::E131 => wall.receiver.sync_universe,
            wall::Protocol::ArtNet | wall::Protocol::Ddp => 0,
        },
    };
    let panels = wall.panels.iter().map(|panel| panel_patch(wall, panel)).collect::<Result<_, _>>();
    let patch = Patch::new(common, panels.map_err(PatchRefused)?).map_err(PatchRefused)?;
    let patch = patch.of_wall(&wall.name);
    patch.with_balances(wall.panels.iter().map(balance).collect()).map_err(PatchRefused)
}

/// How much of its light a panel keeps.
fn balance(panel: &Panel) -> Balance {
    #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
    let shares = panel.shares.map(|share| share as f32);
    // A checked wall has no others.
    Balance::new(shares).unwrap_or(Balance::EVEN)
}

/// The protocol that frames go by: on USB always DDP.
fn carried(wall: &Wall) -> wall::Protocol {
    match wall.receiver.link {
        Link::Usb => wall::Protocol::Ddp,
        Link::Ethernet | Link::Wifi => wall.receiver.protocol,
    }
}

/// The highest byte of any channel under a brightness limit of 0 to 1: rounded down, so that no
/// byte passes the limit; the billionth forgives limits such as 0.6 that no `f64` holds exactly.
fn ceiling(brightness_limit: f64) -> u8 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
    let byte = (brightness_limit.clamp(0.0, 1.0) * 255.0 + 1e-9).floor() as u8;
    byte
}

/// The same protocol in the words of the wire.
#[must_use]
pub fn protocol(protocol: wall::Protocol) -> Protocol {
    match protocol {
        wall::Protocol::E131 => Protocol::E131,
        wall::Protocol::ArtNet => Protocol::ArtNet,
        wall::Protocol::Ddp => Protocol::Ddp,
    }
}

fn panel_patch(wall: &Wall, panel: &Panel) -> Result<PanelPatch, PatchError> {
    let path = PanelPath::of(panel);
    let channels = channels(&wall.strip);
    let numbering = Numbering::new(path, channels);
    let mut byte_offset = 0;
    let mut lines = Vec::new();
    for line in path.lines() {
        let universe = numbering.first_universe(line.number);
        let first_universe = u16::try_from(universe).map_err(|_| PatchError::Universe(u16::MAX))?;
        let spare = (0..line.spare_pixels()).map(|_| None);
        let lit =
            line.path().map(|pixel| Some(pixel.picture.row * wall.columns + pixel.picture.column));
        let mut pixels = Vec::with_capacity(line.pixels() as usize);
        pixels.extend(spare.chain(lit));
        lines.push(Line { first_universe, byte_offset, pixels });
        byte_offset += line.pixels() * slots(channels);
    }
    Ok(PanelPatch { name: panel.name.clone(), address: address(wall, panel), lines })
}

/// A USB link whose port is named is a cable; a panel of which nothing is named is virtual, whatever
/// the link.
fn address(wall: &Wall, panel: &Panel) -> Address {
    let receiver = &wall.receiver;
    if receiver.link == Link::Usb && receiver.port.is_some() {
        let bits = match receiver.colour_bits {
            16 => ColourBits::Sixteen,
            _ => ColourBits::TwentyFour,
        };
        return Address::Serial { port: receiver.port.clone(), baud: receiver.baud, bits };
    }
    match &panel.address {
        wall::Address::Virtual { port } => Address::Virtual { port: *port },
        wall::Address::Host { host, port } => Address::Udp { host: host.clone(), port: *port },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ceiling_never_passes_its_limit() {
        assert_eq!([0.0, 0.5, 0.6, 1.0].map(ceiling), [0, 127, 153, 255]);
        for byte in 0..=255u8 {
            assert_eq!(ceiling(f64::from(byte) / 255.0), byte);
        }
    }

    #[test]
    fn a_refusal_says_whose_mistake_it_is() {
        let text = PatchRefused(PatchError::UniverseTwice(7)).to_string();
        assert!(text.contains("universe 7 is used twice") && text.contains("report it"), "{text}");
    }
}
