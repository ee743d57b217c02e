//! The judgements: what in a wall is dangerous, will not work, or could be better.
//!
//! One finding for each cause, not one for each panel that it touches: the panels are named in it.

mod board;
mod buying;
mod copper;
mod coverage;
mod cutting;
mod feeds;
mod hanging;
pub(crate) mod heat;
mod light;
mod mains;
mod printing;
mod rate;
mod supply;
mod switching;
mod tried;
mod volts;
mod ways;
mod words;

use glowloom_design::wall::Panel;
use glowloom_design::{Place, Wall};

use crate::cuts::Cuts;
use crate::data::Data;
use crate::finding::{Code, Finding, sort};
use crate::material::Material;
use crate::optics::Optics;
use crate::power::{Power, Study, UnsolvedPanel};
use crate::structure::Structure;
use crate::tiles::Tiles;
use crate::uncovered::Gap;

use tried::Trial;
use ways::Ways;

pub use supply::may_be_touched;

/// What a wall is made of and what the eye sees of it, worked out before.
pub struct Matter<'p> {
    /// How strips are cut.
    pub cuts: &'p Cuts,
    /// `None`: nothing is printed.
    pub tiles: Option<&'p Tiles>,
    /// `None`: the file does not say how it hangs.
    pub structure: Option<&'p Structure>,
    /// What the eye sees.
    pub optics: &'p Optics,
    /// What is cut and bought.
    pub material: &'p Material,
}

/// Everything that is to be said of a wall, in the order to read it. `study` is what its power was
/// worked out from, or why it was not.
#[must_use]
pub fn findings(
    wall: &Wall,
    gaps: &[Gap],
    data: &Data,
    power: &Power,
    study: Result<&Study, &UnsolvedPanel>,
    matter: &Matter,
) -> Vec<Finding> {
    let mut all = Vec::new();
    all.extend(coverage::uncovered(wall, gaps));
    all.extend(coverage::overlaps(wall));
    let trial = study.ok().map(|study| Trial { wall, study });
    all.extend(rate::not_reached(wall, data, trial));
    all.extend(supply::volts(wall));
    all.extend(supply::touch(wall));
    all.extend(switching::inrush(wall));
    all.extend(switching::not_limited(wall));
    all.extend(feeds::dead(wall));
    match study {
        Ok(study) => {
            let ways = Ways::of(wall, study);
            all.extend(supply::load(wall, power, trial));
            all.extend(copper::copper(wall, power, study, ways.as_ref()));
            all.extend(volts::volts(wall, power, ways.as_ref()));
            all.extend(heat::heat(wall, power));
        }
        Err(unsolved) => all.push(not_solved(wall, unsolved)),
    }
    all.extend(mains::circuit(wall, power));
    all.extend(board::pins(wall));
    all.extend(board::link(wall));
    all.extend(board::level(wall));
    all.extend(board::lead(wall));
    all.extend(hanging::all(wall, matter));
    all.extend(light::uneven(wall, matter.optics));
    all.extend(buying::all(wall, matter.material));
    all.extend(printing::baffle(wall, matter.tiles));
    all.extend(cutting::too_long(wall, matter.cuts));
    all.extend(cutting::unproven(wall, matter.cuts));
    all.extend(cutting::splices(wall, matter.cuts));
    sort(&mut all);
    all
}

/// A panel whose currents could not be found.
fn not_solved(wall: &Wall, unsolved: &UnsolvedPanel) -> Finding {
    Finding::new(
        Code::PowerNotSolved,
        key_place(wall, "power", "feeds"),
        "the currents of the wall could not be worked out".into(),
        format!("{unsolved}; power figures are plain sums, and no brightness is known to be safe"),
        "Look for figures out of all proportion in [power] and [strip], such as ohms; if all are right, \
         please report it with the wall file."
            .into(),
    )
}

/// Where a key that panels may share stands for this one.
fn panel_place(wall: &Wall, panel: &Panel, key: &str) -> Place {
    let paths = panel.paths(key);
    wall.place(&paths.each_ref().map(String::as_str))
}

/// Where a key stands, or its section, or the top of the file.
fn key_place(wall: &Wall, section: &str, key: &str) -> Place {
    wall.place(&[&format!("{section}.{key}"), section])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::power::Unsolved;
    use glowloom_units::Amps;

    #[test]
    fn a_wall_that_is_not_solved_is_told_in_plain_sentences() {
        let text = "format = 1\n[wall]\nname = \"W\"\ncolumns = 2\nrows = 2\n[strip]\npart = \"ws2812b-30\"\n\
                    [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 2\nrows = 2\n[power]\nfeeds = 1\n";
        let wall = glowloom_design::read(text.as_bytes()).unwrap();
        let unsolved = Unsolved { iterations: 9, residual: Amps(1.0) };
        let told = not_solved(&wall, &UnsolvedPanel { panel: "a".into(), unsolved });
        assert_eq!(told.line, 14);
        for text in [&told.title, &told.detail, &told.remedy] {
            assert!(!text.is_empty() && !text.contains("  "), "{text}");
        }
    }
}
