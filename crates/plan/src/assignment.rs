//! What the board of a panel is told: its place in the picture's packets, its strip, and what it may take.

use glowloom_design::Wall;
use glowloom_design::catalogue::strip::Signal;
use glowloom_design::wall::{Link, OnLoss};
use glowloom_units::{Amps, Seconds};
use glowloom_wire::Patch;
use glowloom_wire::orders::{Assignment, AssignmentError, AssignmentLine};

/// How a chip wants a one: high for half of its bit, where others want three quarters. By the windows of
/// their data sheets, which `receiver/test/waveform_test.cpp` checks.
const SHORT_ONES: &[&str] = &["sk6812", "ws2811"];

/// Whether the strip's ones are short.
#[must_use]
pub fn short_one(wall: &Wall) -> bool {
    SHORT_ONES.iter().any(|chip| wall.strip.part.starts_with(chip))
}

/// Whether the strip has a clock wire.
#[must_use]
pub fn clocked(wall: &Wall) -> bool {
    matches!(wall.strip.signal, Signal::Clocked { .. })
}

/// The most that a board lets its panel's pixels take: the supplies' load share, less what the board takes
/// itself.
#[must_use]
pub fn ceiling_amps(wall: &Wall) -> Amps {
    let power = &wall.power;
    let supplies = f64::from(power.supplies_per_panel) * power.supply.amps.0 * power.supply_load;
    Amps((supplies - wall.receiver.amps.0).max(0.0))
}

/// What a board is told: the panel of that number, from 0; on USB, where one cable carries the whole wall to one
/// board, all of them. The patch is to be the wall's own, made under `highest_safe_brightness`: a board on its own
/// does not know what feeds and wires carry.
///
/// # Errors
/// [`AssignmentError`] where no board can drive that.
pub fn assignment(wall: &Wall, patch: &Patch, panel: usize) -> Result<Assignment, AssignmentError> {
    let Some(this) = patch.panels().get(panel) else { return Err(AssignmentError::Lines(0)) };
    let mut told = Assignment::of(patch.common(), this)?;
    let usb = wall.receiver.link == Link::Usb;
    let mut share = 1.0;
    if usb {
        told.name = "USB".into();
        told.lines = cable(patch)?;
        share = patch.panels().len() as f64;
    }
    told.order = wall.strip.order.letters().chars().map(channel).collect();
    told.clocked = clocked(wall);
    told.short_one = short_one(wall);
    told.packed = usb && wall.receiver.colour_bits == 16;
    told.on_loss = match wall.receiver.on_loss {
        OnLoss::Black => 0,
        OnLoss::Keep => 1,
        OnLoss::Glow => 2,
    };
    told.bit_ns = whole(wall.strip.bit_seconds.0 * 1e9);
    told.reset_us = whole(wall.strip.reset_seconds.0 * 1e6).max(least_reset(wall));
    told.milliamps = rounded_down(ceiling_amps(wall).0 * 1e3 * share);
    let full = whole(wall.strip.channel_amps.0 * 1e6);
    let white = if wall.strip.channels() == 4 { full } else { 0 };
    told.microamps = [full, full, full, white, whole(wall.strip.idle_amps.0 * 1e6)];
    Ok(told)
}

/// The lines of all panels, one after the other in the cable's bytes.
fn cable(patch: &Patch) -> Result<Vec<AssignmentLine>, AssignmentError> {
    let channels = patch.common().channels.count() as u32;
    let (mut lines, mut start) = (Vec::new(), 0);
    for panel in patch.panels() {
        let of_panel = Assignment::of(patch.common(), panel)?.lines;
        let end = of_panel.iter().map(|line| line.byte_offset + line.pixels * channels).max();
        lines.extend(of_panel.iter().map(|line| {
            let byte_offset = line.byte_offset.saturating_add(start);
            AssignmentLine { byte_offset, ..*line }
        }));
        start += end.unwrap_or(0);
    }
    if lines.len() > 8 { Err(AssignmentError::Lines(lines.len())) } else { Ok(lines) }
}

/// A one-wire strip is given 300 us at least: the longest silence of the data sheets, that of the WS2813.
fn least_reset(wall: &Wall) -> u16 {
    if clocked(wall) { 0 } else { whole(Seconds(300e-6).0 * 1e6) }
}

fn channel(letter: char) -> u8 {
    match letter {
        'g' => 1,
        'b' => 2,
        'w' => 3,
        _ => 0,
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held to its range")]
fn whole(value: f64) -> u16 {
    value.round().clamp(0.0, f64::from(u16::MAX)) as u16
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held to its range")]
fn rounded_down(value: f64) -> u32 {
    value.floor().clamp(0.0, f64::from(u32::MAX)) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_wire::patch::Protocol;

    fn wall(strip: &str, receiver: &str) -> Wall {
        let text = format!(
            "format = 1\n[wall]\nname = \"x\"\ncolumns = 4\nrows = 4\n[strip]\npart = \"{strip}\"\n\
             [panel]\ncolumns = 2\nrows = 4\n[[panels]]\nname = \"a\"\nat = [0, 0]\n[[panels]]\nname = \"b\"\n\
             at = [2, 0]\n[power]\nsupply = \"5v-10a\"\n[receiver]\n{receiver}\n"
        );
        glowloom_design::read(text.as_bytes()).unwrap()
    }

    #[test]
    fn a_board_is_told_its_panel() {
        let wall = wall("sk6812-rgbw-30", "protocol = \"art-net\"\non_loss = \"glow\"");
        let patch = crate::patch(&wall).unwrap();
        let told = assignment(&wall, &patch, 1).unwrap();
        assert_eq!((told.name.as_str(), told.protocol), ("b", Protocol::ArtNet));
        assert_eq!((told.order, told.short_one, told.on_loss), (vec![1, 0, 2, 3], true, 2));
        // 10 A x 0.8 - 0.3 A.
        assert_eq!(told.milliamps, 7700);
        assert_eq!(told.microamps[3], told.microamps[0]);
        assert_eq!((told.bit_ns, told.reset_us), (1250, 300));
        assert_eq!(told.lines.len(), 1);
        assert_eq!((told.lines[0].first_universe, told.lines[0].pixels), (2, 8));
        assert_eq!(assignment(&wall, &patch, 2), Err(AssignmentError::Lines(0)));
    }

    #[test]
    fn one_cable_carries_all_panels() {
        let wall = wall("ws2812b-30", "board = \"esp32\"\nlink = \"usb\"\ncolour_bits = 16");
        let told = assignment(&wall, &crate::patch(&wall).unwrap(), 0).unwrap();
        assert_eq!((told.protocol, told.packed, told.milliamps), (Protocol::Ddp, true, 15_400));
        let places: Vec<_> =
            told.lines.iter().map(|line| (line.byte_offset, line.pixels)).collect();
        assert_eq!(places, [(0, 8), (24, 8)]);
    }

    #[test]
    fn every_strip_of_the_catalogue_has_its_signal() {
        for part in glowloom_design::catalogue::strip::ALL {
            let wall = wall(part.key, "");
            let clocks = part.key.starts_with("apa102") || part.key.starts_with("sk9822");
            assert_eq!(clocked(&wall), clocks, "{}", part.key);
            assert!(assignment(&wall, &crate::patch(&wall).unwrap(), 0).is_ok(), "{}", part.key);
        }
    }
}
