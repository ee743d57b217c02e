//! Whether the strips can be cut from rolls, and whether it could take fewer.

use glowloom_design::{Place, Wall};

use super::words::names;
use crate::cuts::{Cuts, Instead, Pieces};
use crate::finding::{Code, Finding};
use crate::steps::counted;

/// Where the file speaks of it, or of rolls at all.
fn place(wall: &Wall, key: &str) -> Place {
    wall.place(&[&format!("cuts.{key}"), "cuts", "strip.roll_pixels", "strip"])
}

/// Strips longer than any roll: what lies on the shelf was tried as well.
pub(super) fn too_long(wall: &Wall, cuts: &Cuts) -> Option<Finding> {
    let longest = cuts.too_long.first()?.pixels;
    let panels: Vec<&str> = cuts.panels_too_long.iter().map(String::as_str).collect();
    let kinds = cuts.too_long.iter();
    let kinds = kinds.map(|p| format!("{} of {} pixels", p.count, p.pixels)).collect::<Vec<_>>();
    let kinds: Vec<&str> = kinds.iter().map(String::as_str).collect();
    let shelf = wall.stock.as_ref().is_some_and(|rolls| !rolls.is_empty());
    let shelf =
        if shelf { ", and the part rolls on the shelf are too short or used up" } else { "" };
    Some(Finding::new(
        Code::StripLongerThanRoll,
        place(wall, "splices"),
        format!("strips longer than a roll on {}", names(&panels)),
        format!(
            "no roll is long enough for {}: a new roll has {} pixels{shelf}",
            names(&kinds),
            cuts.roll_pixels
        ),
        format!(
            "In [cuts], set splices = true to join strips from pieces; or buy longer rolls and in \
             [strip] set roll_pixels = {longest}; or turn the strips the other way."
        ),
    ))
}

/// A number of rolls that may not be the least.
pub(super) fn unproven(wall: &Wall, cuts: &Cuts) -> Option<Finding> {
    if cuts.proven_least || !cuts.too_long.is_empty() {
        return None;
    }
    Some(Finding::new(
        Code::CutsNotProven,
        place(wall, "by"),
        "the cut list may not take the fewest rolls".into(),
        format!(
            "{} to buy: the best found within the limit of the search; no way takes fewer than {}",
            counted(cuts.rolls_to_buy, "roll"),
            cuts.least_rolls_to_buy
        ),
        "The list can be used as it is. Strips of fewer different lengths, or by = \"wall\" in [cuts] \
         where the shelf is short, are easier to prove."
            .into(),
    ))
}

/// What the other choice of `splices` would do: said where the file has not chosen, and wherever
/// strips are joined.
pub(super) fn splices(wall: &Wall, cuts: &Cuts) -> Option<Finding> {
    if cuts.joints > 0 {
        return Some(spliced(wall, cuts));
    }
    let instead = cuts.instead.filter(|other| other.splices)?;
    // A file that says `splices` has made its choice.
    let chosen = wall.place(&["cuts.splices"]).line > 1;
    if chosen || instead.rolls_to_buy >= cuts.rolls_to_buy {
        return None;
    }
    let Instead { rolls_to_buy, joints, .. } = instead;
    let saved = cuts.rolls_to_buy - rolls_to_buy;
    Some(Finding::new(
        Code::SplicesSaveRolls,
        place(wall, "splices"),
        format!("spliced strips would save {}", counted(saved, "roll")),
        format!(
            "{} to buy in place of {}, for {} more to solder",
            rolls_to_buy,
            cuts.rolls_to_buy,
            counted(joints, "joint")
        ),
        "In [cuts], set splices = true; or splices = false to keep every strip in one piece."
            .into(),
    ))
}

fn spliced(wall: &Wall, cuts: &Cuts) -> Finding {
    let strips: Vec<&str> = cuts.joined.iter().map(String::as_str).collect();
    let count = u32::try_from(strips.len()).unwrap_or(u32::MAX);
    let longest = cuts.pieces.first().map_or(0, |Pieces { pixels, .. }| *pixels);
    let remedy = match cuts.instead {
        Some(other) if other.rolls_to_buy > cuts.rolls_to_buy => format!(
            "To keep every strip in one piece, in [cuts] set splices = false: {} to buy then in place \
             of {}.",
            counted(other.rolls_to_buy, "roll"),
            cuts.rolls_to_buy
        ),
        _ if longest > cuts.roll_pixels => format!(
            "Strips longer than a roll cannot do without; with longer rolls, in [strip] set \
             roll_pixels = {longest}."
        ),
        _ => "To keep every strip in one piece, in [cuts] set splices = false.".into(),
    };
    Finding::new(
        Code::StripsSpliced,
        place(wall, "splices"),
        format!("{} joined from pieces", counted(count, "strip")),
        format!(
            "{} in {}; each carries data, plus and minus, and wants checking",
            counted(cuts.joints, "joint"),
            names(&strips)
        ),
        remedy,
    )
}
