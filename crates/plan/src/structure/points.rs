//! Where on a panel its fixings go, and where its cord leaves it.

use glowloom_design::Wall;
use glowloom_design::wall::{Direction, Hanging, Panel, SupplyOn};
use glowloom_units::Metres;

use super::balance::supply_place;
use super::mass::supply_on;
use crate::built::Built;

/// From the edge along which a row of fixings runs, or from the fold of cloth there; a quarter of the panel
/// where it is low (common practice, no source).
const INSET: Metres = Metres(0.03);

/// A place on a panel as it hangs, from its top-left corner as seen from the front.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// To the right.
    pub right: Metres,
    /// Down.
    pub down: Metres,
}

/// Where a panel's fixings go: half of them along its upper edge, at least one, the others along its
/// lower edge, those of a row each in the middle of as much panel as the others (common practice, no
/// source), moved to between two strips, where no copper is. By row from the top, left to right.
#[must_use]
pub fn fixings(wall: &Wall, panel: &Panel, hanging: &Hanging) -> Vec<Point> {
    let built = Built::of(wall, panel);
    let ((width, height), (right, down)) = (built.size(), built.steps());
    let upper = (hanging.fixings_per_panel / 2).max(1);
    let lower = hanging.fixings_per_panel.saturating_sub(upper);
    // What is stuck to the cloth's fold hangs on the cloth.
    let fold = wall.diffuser.as_ref().map_or(Metres(0.0), |diffuser| diffuser.wrap);
    let inset = (fold + INSET).min(height / 4.0);
    let upright = (panel.strips == Direction::Vertical) != panel.turn.swaps();
    let row = |count: u32, at: Metres| {
        let each = move |i: u32| width * (f64::from(2 * i + 1) / f64::from(2 * count));
        (0..count).map(move |i| match upright {
            true => Point { right: between(each(i), width, right), down: at },
            false => Point { right: each(i), down: between(at, height, down) },
        })
    };
    row(upper, inset).chain(row(lower, height - inset)).collect()
}

/// The nearest place between two strips, the outer one of two that are as near; what lies in one half of
/// the panel is the mirror image of the other. Where there is one strip alone it stays.
fn between(at: Metres, whole: Metres, step: Metres) -> Metres {
    let strips = (whole / step).round();
    if strips < 2.0 {
        return at;
    }
    let nearest = |at: Metres| step * (at / step - 1e-6).round().clamp(1.0, strips - 1.0);
    if at > whole / 2.0 { whole - nearest(whole - at) } else { nearest(at) }
}

/// Where a panel's cords and data lead leave it: at its lower edge, below the supplies where these are
/// on the board, else in the middle (own choice).
#[must_use]
pub fn cord(wall: &Wall, panel: &Panel) -> Point {
    let (width, height) = Built::of(wall, panel).size();
    let on_board = supply_on(wall) == SupplyOn::Board;
    let at = wall.hanging.as_ref().filter(|_| on_board).map(|h| supply_place(h, width, height).0);
    Point { right: at.unwrap_or(width / 2.0), down: height }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wall(hanging: &str) -> Wall {
        let text = format!(
            "format = 1\n[wall]\nname = \"W\"\ncolumns = 30\nrows = 6\n[strip]\npart = \"ws2812b-30\"\n\
             [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 30\nrows = 6\n[hanging]\n{hanging}\n"
        );
        glowloom_design::read(text.as_bytes()).unwrap()
    }

    fn places(hanging: &str) -> Vec<(i64, i64)> {
        let wall = wall(hanging);
        #[expect(clippy::cast_possible_truncation, reason = "a panel's millimetres")]
        let millimetres = |length: Metres| (length.0 * 1000.0).round() as i64;
        let points = fixings(&wall, &wall.panels[0], wall.hanging.as_ref().unwrap());
        points.iter().map(|p| (millimetres(p.right), millimetres(p.down))).collect()
    }

    /// A panel of 1 m by 0.2 m, 30 strips 33.3 mm apart: 7.5 of them are a quarter, and so are 7.
    #[test]
    fn rows_of_fixings() {
        let four = [(233, 30), (767, 30), (233, 170), (767, 170)];
        assert_eq!(places("fixings_per_panel = 4"), four);
        assert_eq!(places("fixings_per_panel = 1"), [(500, 30)]);
        let five = [(233, 30), (767, 30), (167, 170), (500, 170), (833, 170)];
        assert_eq!(places("fixings_per_panel = 5"), five);
        assert_eq!(places("fixings_per_panel = 10000").len(), 10_000);
    }

    /// However strips run and panels hang, no fixing is nearer to the middle of a strip than half a step.
    #[test]
    fn no_fixing_lies_on_a_strip() {
        for (strips, turn) in
            [("vertical", 0), ("vertical", 90), ("horizontal", 0), ("horizontal", 270)]
        {
            for (columns, rows) in [(12, 12), (10, 12), (17, 9), (2, 2)] {
                let text = format!(
                    "format = 1\n[wall]\nname = \"W\"\ncolumns = 20\nrows = 20\n[strip]\npart = \"ws2812b-30\"\n\
                     [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = {columns}\nrows = {rows}\nstrips = \"{strips}\"\n\
                     turn = {turn}\n[hanging]\nfixings_per_panel = 5\n"
                );
                let wall = glowloom_design::read(text.as_bytes()).unwrap();
                let panel = &wall.panels[0];
                let upright = (strips == "vertical") != panel.turn.swaps();
                for point in fixings(&wall, panel, wall.hanging.as_ref().unwrap()) {
                    let along = if upright { point.right } else { point.down };
                    let steps = along.0 * 30.0;
                    assert!(
                        (steps - steps.round()).abs() < 1e-6,
                        "{strips} {turn} {columns}: {steps}"
                    );
                }
            }
        }
    }

    #[test]
    fn the_cord_leaves_below_its_supply() {
        let at = |hanging: &str| {
            let wall = wall(hanging);
            let cord = cord(&wall, &wall.panels[0]);
            assert!((cord.down.0 - 0.2).abs() < 1e-9);
            (cord.right.0 * 1000.0).round()
        };
        assert_eq!(at("supply_on = \"board\"\nsupply_at = [\"200 mm\", \"100 mm\"]"), 200.0);
        assert_eq!(at("supply_on = \"wall\"\nsupply_at = [\"200 mm\", \"100 mm\"]"), 500.0);
    }
}
