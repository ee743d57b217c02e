//! Heat behind the cloth.

use glowloom_design::Wall;
use glowloom_design::wall::Panel;

use super::words::{listed, names};
use crate::finding::{Code, Finding};
use crate::power::{PanelPower, Power};
use crate::totals::pixel_amps;

/// What a warm surface gives to still air and to the room by radiation together, W/m2 K: soft, from
/// memory; texts on heat transfer have 8 to 12.
const GIVEN: f64 = 10.0;
/// The board that carries heat to its back.
const CONDUCTS: &str = "aluminium-composite";
/// The room on a summer's day, degrees Celsius.
const ROOM: f64 = 25.0;
/// Hot glue lets go and printed PLA softens from about here, degrees Celsius (common practice, no
/// source).
const SOFT: f64 = 60.0;
/// Too hot whatever it is built of: nobody may touch it (common practice, no source), degrees Celsius.
const HOT: f64 = 80.0;
/// Worth a word, degrees Celsius.
const WARM: f64 = 45.0;

/// What each square metre of the front gives for each degree, W/m2 K. A board that conducts gives as much
/// by its back again.
fn given(wall: &Wall) -> f64 {
    if conducts(wall) { 2.0 * GIVEN } else { GIVEN }
}

fn conducts(wall: &Wall) -> bool {
    wall.board.as_ref().is_some_and(|board| board.material == CONDUCTS)
}

/// About how warm the board behind the strips gets, degrees Celsius. Of other boards the back is taken
/// to give nothing.
fn about(wall: &Wall, panel: &PanelPower) -> f64 {
    ROOM + panel.watts_per_m2.0 / given(wall)
}

/// Panels that get warm, or too hot for what they are made of.
pub(super) fn heat(wall: &Wall, power: &Power) -> Option<Finding> {
    let hottest = power.panels.iter().max_by(|a, b| about(wall, a).total_cmp(&about(wall, b)))?;
    let made_of = made_of(wall);
    let code = match about(wall, hottest) {
        hot if hot > HOT || hot > SOFT && !made_of.is_empty() => Code::TooHotForPanel,
        warm if warm > WARM => Code::WarmPanel,
        _ => return None,
    };
    let least = match code {
        Code::TooHotForPanel if made_of.is_empty() => HOT,
        Code::TooHotForPanel => SOFT,
        _ => WARM,
    };
    let warm: Vec<&str> = power
        .panels
        .iter()
        .filter(|panel| about(wall, panel) > least)
        .map(|panel| panel.name.as_str())
        .collect();
    let title = match code {
        Code::TooHotForPanel if made_of.is_empty() => {
            format!("too hot to touch on {}", names(&warm))
        }
        Code::TooHotForPanel => format!("too hot for its {} on {}", made_of, names(&warm)),
        _ => format!("the wall gets warm on {}", names(&warm)),
    };
    let level = super::words::level_to_write(level_for(wall, hottest, least));
    let mut ways = Vec::new();
    ways.extend(level.map(|level| format!("set brightness_limit = {level} in [power]")));
    if !conducts(wall) {
        ways.push(format!("build on a board that conducts heat, such as {CONDUCTS}"));
    }
    if ways.is_empty() {
        ways.push("take strip with fewer pixels to the metre".into());
    }
    let ways: Vec<&str> = ways.iter().map(String::as_str).collect();
    Some(Finding::new(
        code,
        super::key_place(wall, "power", "brightness_limit"),
        title,
        format!(
            "All light and heat at full white under a brightness limit of {} is {} of the \
             panel, {} of it in the copper; in still air that is \
             about {:.0} degrees Celsius in a room of {ROOM:.0} (an estimate: {:.0} W a square \
             metre and degree, from memory)",
            wall.power.brightness_limit,
            hottest.watts_per_m2.shown(wall.figures),
            hottest.copper_watts_per_m2.shown(wall.figures),
            about(wall, hottest),
            given(wall)
        ),
        format!(
            "To have less of it, {}; leave air behind the panel, keep vents free and do not leave it \
             alone until it is proven.",
            listed(&ways, "or")
        ),
    ))
}

/// The brightness at which a panel is no warmer than that: its idle currents stay, and no pixel takes
/// more than its nominal current, also where volts are short at the brightness that is set now.
fn level_for(wall: &Wall, panel: &PanelPower, warm: f64) -> f64 {
    let pixels = wall.panels.iter().find(|of| of.name == panel.name).map_or(0, Panel::pixels);
    let (all, dense) = (panel.led_watts + panel.copper_watts, panel.watts_per_m2);
    let each_m2 = |brightness: f64| {
        let amps = pixel_amps(&wall.strip, brightness) * f64::from(pixels);
        (amps * wall.power.trim_volts).0 * (dense.0 / all.0)
    };
    let (idle, white) = (each_m2(0.0), each_m2(1.0));
    ((warm - ROOM) * given(wall) - idle) / (white - idle)
}

/// The highest brightness of full white at which no panel softens what it may be built of.
pub(crate) fn cool_brightness(wall: &Wall, power: &Power) -> f64 {
    let levels = power.panels.iter().map(|panel| level_for(wall, panel, SOFT));
    levels.filter(|level| level.is_finite()).fold(1.0, f64::min)
}

/// What of the panel burns or softens, in words.
fn made_of(wall: &Wall) -> String {
    let mut parts = Vec::new();
    if let Some(board) = wall.board.as_ref().filter(|board| board.burns) {
        parts.push(board.material.replace('-', " "));
    }
    if let Some(baffle) = wall.baffle.as_ref().filter(|baffle| baffle.material == "pla") {
        parts.push(format!("printed {}", baffle.material.to_uppercase()));
    }
    listed(&parts.iter().map(String::as_str).collect::<Vec<_>>(), "and")
}
