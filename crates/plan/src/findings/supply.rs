//! What the supplies have to give, and at which voltage.

use std::collections::BTreeMap;

use glowloom_design::Wall;
use glowloom_design::catalogue::supply as catalogue;
use glowloom_design::wall::{Panel, Power};
use glowloom_units::{Amps, Volts};

use super::key_place;
use super::tried::{Outcome, Trial};
use super::words::{level_to_write, listed, names, percent};
use crate::finding::{Code, Finding};
use crate::path::Shares;
use crate::power as solved;
use crate::totals::pixel_amps;

/// The most that may be touched, DC: the limit of extra-low voltage (IEC 61140; 60 V in the dry).
const TOUCHED: Volts = Volts(60.0);

/// Whether the output of the supplies is of so few volts that it may be touched.
#[must_use]
pub fn may_be_touched(power: &Power) -> bool {
    power.supply.volts <= TOUCHED && power.trim_volts <= TOUCHED
}

/// An output that is dangerous to touch.
pub(super) fn touch(wall: &Wall) -> Option<Finding> {
    let power = &wall.power;
    if may_be_touched(power) {
        return None;
    }
    Some(Finding::new(
        Code::TouchVolts,
        key_place(wall, "power", "supply"),
        "the supply's output is dangerous to touch".into(),
        format!(
            "It gives {}; above {TOUCHED} DC a voltage is not extra-low any more (IEC 61140)",
            power.supply.volts.max(power.trim_volts)
        ),
        if wall.strip.volts <= TOUCHED {
            format!(
                "In [power], take a supply and trim_volts of at most {TOUCHED}, best the strip's own {}.",
                wall.strip.volts
            )
        } else {
            format!(
                "In [strip], take a part for at most {TOUCHED}, with a supply of as many volts."
            )
        },
    ))
}

/// Supplies above their rating, and those above the share of it that is wanted at most.
pub(super) fn load(wall: &Wall, solved: &solved::Power, trial: Option<Trial>) -> Vec<Finding> {
    let power = &wall.power;
    let (rated, wanted) = (power.supply.amps, power.supply.amps * power.supply_load);
    // Panels with equal loads together, the greatest first; loads are positive, so that their bits
    // rise with them.
    let mut over: BTreeMap<u64, Vec<&str>> = BTreeMap::new();
    let mut near: BTreeMap<u64, Vec<&str>> = BTreeMap::new();
    for panel in &solved.panels {
        let Amps(amps) = panel.most_loaded(rated);
        let group = if beyond(amps, rated) {
            &mut over
        } else if beyond(amps, wanted) {
            &mut near
        } else {
            continue;
        };
        group.entry(amps.to_bits()).or_default().push(&panel.name);
    }
    let mut findings = Vec::new();
    let level = level_to_write(solved.highest_safe_brightness);
    let mut add = |code, groups| {
        findings.extend(load_finding(wall, code, groups, level.as_deref(), trial));
    };
    add(Code::SupplyOverloaded, &over);
    add(Code::SupplyNearLimit, &near);
    findings
}

/// Above a limit by more than rounding.
fn beyond(amps: f64, limit: Amps) -> bool {
    amps > limit.0 * (1.0 + 1e-9)
}

fn load_finding(
    wall: &Wall,
    code: Code,
    groups: &BTreeMap<u64, Vec<&str>>,
    level: Option<&str>,
    trial: Option<Trial>,
) -> Option<Finding> {
    let power = &wall.power;
    let (worst, _) = groups.last_key_value()?;
    let worst = Amps(f64::from_bits(*worst));
    let concerned: Vec<&str> = groups.values().rev().flatten().copied().collect();
    let loads: Vec<String> = groups
        .iter()
        .rev()
        .take(3)
        .map(|(amps, panels)| format!("{} on {}", Amps(f64::from_bits(*amps)), names(panels)))
        .collect();
    let loads: Vec<&str> = loads.iter().map(String::as_str).collect();
    let (title, limit) = if code == Code::SupplyOverloaded {
        let title = format!("supply overloaded on {}", names(&concerned));
        (title, String::new())
    } else {
        let title = format!("supply near its rating on {}", names(&concerned));
        let share = percent(power.supply_load);
        (title, format!(", {share} of which is {}", power.supply.amps * power.supply_load))
    };
    Some(Finding::new(
        code,
        key_place(wall, "power", "supply"),
        title,
        format!(
            "At full white under a brightness limit of {} the most loaded supply of a panel gives \
             {}, its receiver's {} included; it is rated {}{limit}",
            power.brightness_limit,
            listed(&loads, "and"),
            wall.receiver.amps,
            power.supply.amps
        ),
        load_remedy(wall, worst, level, trial),
    ))
}

/// The ways to bring the worst panel under the wanted share of a supply.
fn load_remedy(wall: &Wall, worst: Amps, level: Option<&str>, trial: Option<Trial>) -> String {
    let power = &wall.power;
    let wanted = power.supply.amps * power.supply_load;
    let mut ways = Vec::new();
    if let Some(level) = level {
        ways.push(format!("set brightness_limit = {level}"));
    }
    if let (Some(supplies), Some(trial)) = (supplies_for(wall, wanted), trial) {
        let more = format!("set supplies_per_panel = {supplies}");
        match trial.supplies(supplies) {
            Outcome::Keeps => ways.push(more),
            Outcome::WithFeeds(feeds) => ways.push(format!("{more} and {feeds}")),
            Outcome::No => {}
        }
    }
    let needed = worst / power.supply_load;
    let larger = catalogue::ALL.iter().filter(|part| part.volts == power.supply.volts);
    let larger =
        larger.filter(|part| part.amps >= needed).min_by(|a, b| a.amps.0.total_cmp(&b.amps.0));
    ways.push(match larger {
        Some(part) => format!("set supply = \"{}\"", part.key),
        None => format!(
            "take a supply of {:.0} A or more and write supply = {{ volts = {}, amps = {:.0} }}",
            needed.0.ceil(),
            power.supply.volts.0,
            needed.0.ceil()
        ),
    });
    let ways: Vec<&str> = ways.iter().map(String::as_str).collect();
    format!("In [power], {}.", listed(&ways, "or"))
}

/// What the most loaded of so many supplies on a panel gives at most, no volts lost. It is the first:
/// it takes the odd strip, and the receiver hangs on it.
fn supply_amps(wall: &Wall, panel: &Panel, supplies: u32) -> Amps {
    let strips = Shares::new(panel.strip_count(), supplies).of(0);
    let pixels = f64::from(strips * panel.strip_pixels());
    pixel_amps(&wall.strip, wall.power.brightness_limit) * pixels + wall.receiver.amps
}

/// The least supplies for each panel at which every one gives the wanted amps at most.
fn supplies_for(wall: &Wall, wanted: Amps) -> Option<u32> {
    let power = &wall.power;
    let most = wall.panels.iter().map(|panel| panel.strip_count()).min()?;
    // One strip and the receiver may be too much already.
    let strip = wall.panels.iter().map(|panel| panel.strip_pixels()).max()?;
    let least = pixel_amps(&wall.strip, power.brightness_limit) * f64::from(strip);
    if least + wall.receiver.amps > wanted {
        return None;
    }
    let holds = |supplies: &u32| {
        wall.panels.iter().all(|panel| supply_amps(wall, panel, *supplies) <= wanted)
    };
    (power.supplies_per_panel + 1..=most).find(holds)
}

/// A supply whose voltage does not suit the strip.
pub(super) fn volts(wall: &Wall) -> Vec<Finding> {
    match own_volts(wall) {
        Some(finding) => vec![finding],
        None => [too_high(wall), too_low(wall)].into_iter().flatten().collect(),
    }
}

/// A strip whose own figures leave no voltage to feed it with: nothing can be advised on those.
fn own_volts(wall: &Wall) -> Option<Finding> {
    let strip = &wall.strip;
    if strip.volts <= strip.max_volts && strip.volts >= strip.idle_knee_volts {
        return None;
    }
    let keys = ["strip.max_volts", "strip.volts", "strip.idle_knee_volts", "strip"];
    Some(Finding::new(
        Code::SupplyVoltsTooHigh,
        wall.place(&keys),
        "the strip's own voltages contradict each other".into(),
        format!(
            "volts is {}, max_volts {}, idle_knee_volts {}: a strip is fed with no more than it \
             withstands and no less than its chips need",
            strip.volts, strip.max_volts, strip.idle_knee_volts
        ),
        "In [strip], give volts, max_volts and idle_knee_volts as the data sheet has them.".into(),
    ))
}

fn too_high(wall: &Wall) -> Option<Finding> {
    let (power, strip) = (&wall.power, &wall.strip);
    let supply = power.supply.volts > strip.max_volts;
    let trim = power.trim_volts > strip.max_volts;
    let (key, what, found) = match (supply, trim) {
        (true, _) => ("supply", "the supply's rated voltage", power.supply.volts),
        (false, true) => ("trim_volts", "trim_volts", power.trim_volts),
        (false, false) => return None,
    };
    let remedy = match (supply, trim) {
        (true, true) => format!(
            "In [power], choose a supply of {} and set trim_volts = {}.",
            strip.volts, strip.volts.0
        ),
        (true, false) => format!("In [power], choose a supply of {}.", strip.volts),
        (false, _) => format!("In [power], set trim_volts = {}.", strip.volts.0),
    };
    Some(Finding::new(
        Code::SupplyVoltsTooHigh,
        key_place(wall, "power", key),
        "the supply's voltage can destroy the strip".into(),
        format!(
            "{what} is {found}; the strip, {} nominal, withstands {}; above that chips fail and may \
             overheat",
            strip.volts, strip.max_volts
        ),
        remedy,
    ))
}

/// A supply whose rating is this far below the strip's is another kind of supply (common practice,
/// no source).
const SUPPLY_BELOW_STRIP: f64 = 0.2;

fn too_low(wall: &Wall) -> Option<Finding> {
    let (power, strip) = (&wall.power, &wall.strip);
    let (key, detail) = if power.supply.volts < strip.volts * (1.0 - SUPPLY_BELOW_STRIP) {
        let detail = format!(
            "the supply is rated {}, more than {} below the strip's {}",
            power.supply.volts,
            percent(SUPPLY_BELOW_STRIP),
            strip.volts
        );
        ("supply", detail)
    } else if power.trim_volts < strip.idle_knee_volts {
        let detail = format!(
            "trim_volts is {}; below {} the strip's chips stop working",
            power.trim_volts, strip.idle_knee_volts
        );
        ("trim_volts", detail)
    } else {
        return None;
    };
    let remedy = if key == "supply" {
        format!(
            "In [power], choose a supply of {} and leave trim_volts out, or in [strip] choose a \
             part for {}.",
            strip.volts, power.supply.volts
        )
    } else {
        format!("In [power], set trim_volts = {}.", strip.volts.0)
    };
    let title = "the supply's voltage is too low for the strip".into();
    Some(Finding::new(
        Code::SupplyVoltsTooLow,
        key_place(wall, "power", key),
        title,
        detail,
        remedy,
    ))
}
