//! Whether what holds the panels does so, and for how long.

use glowloom_design::Wall;
use glowloom_design::wall::{Body, Fixing, Hanging, SupplyOn};

use super::words::{mass_to_write, names};
use super::{Matter, key_place};
use crate::built::Built;
use crate::finding::{Code, Finding};
use crate::material::made::Made;
use crate::structure::{Structure, structure};

/// Wanted of a rating over its load (common practice, no source; second-hand for adhesive: 1.5 to 2).
const WANTED: f64 = 2.0;
/// No file may have more on a panel.
const MOST_FIXINGS: f64 = 10_000.0;

/// Everything about the hanging of a wall that says how it hangs.
pub(super) fn all(wall: &Wall, matter: &Matter) -> Vec<Finding> {
    let (Some(hanging), Some(structure)) = (&wall.hanging, matter.structure) else {
        return Vec::new();
    };
    let trial = Trial { wall, made: Made::of(matter.cuts, matter.tiles) };
    [
        load(&trial, hanging, structure),
        peel(&trial, hanging, structure),
        above_people(wall, hanging),
        supply_on_card(wall, hanging),
        supply_unsaid(wall, hanging, structure),
        supply_off_board(wall, hanging),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn code(factor: f64) -> Option<Code> {
    if factor < 1.0 {
        Some(Code::HangingOverloaded)
    } else if factor < WANTED {
        Some(Code::HangingNearLimit)
    } else {
        None
    }
}

/// A wall on which other ways to hang it are tried before they are advised.
struct Trial<'w> {
    wall: &'w Wall,
    made: Made,
}

impl Trial<'_> {
    /// The supplies off the board, and fixings enough for what is left, in words. Empty where they are
    /// off already, or where that is not enough.
    fn supplies_off(
        &self,
        now: &Structure,
        factor: fn(&Structure) -> f64,
        enough: fn(&Structure) -> f64,
    ) -> String {
        if now.supply_on != SupplyOn::Board {
            return String::new();
        }
        let off = |fixings| {
            let wall = self.wall.with_hanging(fixings, SupplyOn::Wall)?;
            structure(&wall, &self.made)
        };
        let Some(hung) = off(now.fixings) else { return String::new() };
        if factor(&hung) >= WANTED {
            return " Or let the wall of the house carry the supplies: supply_on = \"wall\"."
                .into();
        }
        let fixings = match count(enough(&hung)) {
            Some(fixings) if off(fixings).is_some_and(|hung| factor(&hung) >= WANTED) => fixings,
            _ => return String::new(),
        };
        format!(
            " Or let the wall of the house carry the supplies: supply_on = \"wall\" with \
             fixings_per_panel = {fixings}."
        )
    }
}

/// So many fixings, if a file may have them.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 10,000")]
fn count(fixings: f64) -> Option<u32> {
    (0.0..=MOST_FIXINGS).contains(&fixings).then_some(fixings as u32)
}

/// `In [hanging], set fixings_per_panel = 6, or `: nothing where no file may have so many.
fn more_fixings(fixings: f64) -> String {
    let set = |fixings| format!("set fixings_per_panel = {fixings}, or ");
    format!("In [hanging], {}", count(fixings).map(set).unwrap_or_default())
}

/// Fixings that hold the weight of the worst panel.
fn enough_for_weight(structure: &Structure) -> f64 {
    (structure.panel_kg * WANTED / structure.rated_kg).ceil()
}

/// Fixings of which the upper half holds the pull of the worst panel.
fn enough_for_pull(structure: &Structure) -> f64 {
    let upper = f64::from((structure.fixings / 2).max(1));
    let factor = pull_factor(structure);
    // Half a thousandth of a millionth: 3.0000000001 of them are three.
    2.0 * (upper * WANTED / factor - 5e-10).ceil()
}

/// How well the upper fixings hold; without end where nothing pulls.
fn pull_factor(structure: &Structure) -> f64 {
    structure.most_pulled().and_then(|most| most.peel_safety_factor).unwrap_or(f64::INFINITY)
}

/// The fixings of a panel against its weight.
fn load(trial: &Trial, hanging: &Hanging, structure: &Structure) -> Option<Finding> {
    let wall = trial.wall;
    let code = code(structure.safety_factor)?;
    let concerned: Vec<&str> = structure
        .panels
        .iter()
        .filter(|panel| panel.safety_factor < WANTED)
        .map(|panel| panel.name.as_str())
        .collect();
    let figures = wall.figures;
    let rated = structure.panel_kg * WANTED / f64::from(hanging.fixings_per_panel);
    let title = if code == Code::HangingOverloaded {
        format!("the fixings do not hold {}", names(&concerned))
    } else {
        format!("the fixings hold {} with little to spare", names(&concerned))
    };
    Some(Finding::new(
        code,
        key_place(wall, "hanging", "rated"),
        title,
        format!(
            "{} weighs {}{}; {} fixings rated {} each hold {:.2} times that, {WANTED} times is \
             wanted (common practice, no source)",
            structure.panel,
            structure.panel_kg.shown(figures),
            not_weighed(structure),
            hanging.fixings_per_panel,
            hanging.rated.shown(figures),
            structure.safety_factor,
        ),
        format!(
            "{}take fixings of more: rated = \"{}\"; or make panels smaller.{}",
            more_fixings(enough_for_weight(structure)),
            mass_to_write(rated, figures),
            trial.supplies_off(structure, |hung| hung.safety_factor, enough_for_weight),
        ),
    ))
}

/// What the mass leaves out, in words.
fn not_weighed(structure: &Structure) -> String {
    let parts: Vec<&str> = structure.not_weighed.iter().map(|part| part.words()).collect();
    if parts.is_empty() {
        String::new()
    } else {
        format!(" without {}, which nobody has weighed", names(&parts))
    }
}

/// The upper fixings against the panel's tilting off the wall, where their rating in peel is known.
fn peel(trial: &Trial, hanging: &Hanging, structure: &Structure) -> Option<Finding> {
    let wall = trial.wall;
    let most = structure.most_pulled()?;
    let code = code(most.peel_safety_factor?)?;
    let rated = hanging.rated_in_peel?;
    let figures = wall.figures;
    Some(Finding::new(
        code,
        key_place(wall, "hanging", "rated_in_peel"),
        "the upper fixings are pulled off the wall".into(),
        format!(
            "{} tilts about its lower edge, since its weight lies off the wall: each of the upper half \
             of its fixings is pulled by {}, and is rated {} in peel; {WANTED} times is wanted (common \
             practice, no source)",
            most.name,
            most.peel_per_fixing_kg.shown(figures),
            rated.shown(figures),
        ),
        format!(
            "{}hang the panel by screws or hooks at its upper edge that hold more: rated_in_peel = \
             \"{}\".{}",
            more_fixings(enough_for_pull(structure)),
            mass_to_write(most.peel_per_fixing_kg * WANTED, figures),
            trial.supplies_off(structure, pull_factor, enough_for_pull),
        ),
    ))
}

/// Glue alone over people.
fn above_people(wall: &Wall, hanging: &Hanging) -> Option<Finding> {
    if !hanging.above_people || hanging.kind != Fixing::Adhesive || hanging.safety_cord {
        return None;
    }
    Some(Finding::new(
        Code::AdhesiveAbovePeople,
        key_place(wall, "hanging", "above_people"),
        "panels hang above people by glue alone".into(),
        "Adhesive lets go without warning when it is warm, damp or old, and its rating is for smooth, \
         clean, sound walls (second-hand: makers' instructions)"
            .into(),
        "Hang each panel on a hook or cord besides, screwed into the wall, that holds it when the \
         glue lets go, and set safety_cord = true in [hanging]; or use kind = \"screws\" or \"hooks\"."
            .into(),
    ))
}

fn of_paper(wall: &Wall) -> bool {
    wall.board.as_ref().is_some_and(|board| board.body == Some(Body::Paper))
}

/// A supply hung on paper, by the file's own word.
fn supply_on_card(wall: &Wall, hanging: &Hanging) -> Option<Finding> {
    let board = wall.board.as_ref().filter(|_| of_paper(wall))?;
    if hanging.supply_on != Some(SupplyOn::Board) {
        return None;
    }
    Some(Finding::new(
        Code::SupplyOnCard,
        key_place(wall, "hanging", "supply_on"),
        "supplies hang on card".into(),
        format!(
            "The board is {}: screws tear out of it, it softens when damp, and it burns, while a \
             supply is heavy and warm (common practice, no source)",
            board.material
        ),
        "Fix the supplies to the wall of the house or stand them on the floor, their vents free, and \
         set supply_on = \"wall\" or \"floor\" in [hanging]; or take a board of plywood."
            .into(),
    ))
}

/// Card, and nothing said of the supplies: the mass is counted with them, but they must not hang there.
fn supply_unsaid(wall: &Wall, hanging: &Hanging, structure: &Structure) -> Option<Finding> {
    if !of_paper(wall) || hanging.supply_on.is_some() {
        return None;
    }
    Some(Finding::new(
        Code::SupplyPlaceUnsaid,
        key_place(wall, "hanging", "supply_on"),
        "the file does not say what carries the supplies".into(),
        format!(
            "Taken to be the board, so that {} weighs {}; but a supply must not hang on card",
            structure.panel,
            structure.panel_kg.shown(wall.figures)
        ),
        "In [hanging], set supply_on = \"wall\" or \"floor\".".into(),
    ))
}

/// A supply whose middle is not on its board.
fn supply_off_board(wall: &Wall, hanging: &Hanging) -> Option<Finding> {
    if crate::structure::mass::supply_on(wall) != SupplyOn::Board {
        return None;
    }
    let (x, y) = hanging.supply_at?;
    let off: Vec<&str> = wall
        .panels
        .iter()
        .filter(|panel| {
            let (width, height) = Built::of(wall, panel).size();
            x > width || y > height
        })
        .map(|panel| panel.name.as_str())
        .collect();
    if off.is_empty() {
        return None;
    }
    let figures = wall.figures;
    Some(Finding::new(
        Code::SupplyOffBoard,
        key_place(wall, "hanging", "supply_at"),
        format!("the supply does not lie on the board of {}", names(&off)),
        format!(
            "Its middle is {} right and {} below the corner, off the board",
            x.shown(figures),
            y.shown(figures)
        ),
        "In [hanging], give a supply_at that lies on every panel, or leave it out.".into(),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_of_the_factor() {
        assert_eq!(code(0.999), Some(Code::HangingOverloaded));
        assert_eq!(code(1.0), Some(Code::HangingNearLimit));
        assert_eq!(code(1.999), Some(Code::HangingNearLimit));
        assert_eq!(code(2.0), None);
    }
}
