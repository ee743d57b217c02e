//! What the wall draws, and what each kind of panel does with it.

use glowloom_design::Wall;
use glowloom_design::wall::{MainsColours, Power as Supplies};
use glowloom_plan::Plan;
use glowloom_plan::power::voltmap::alike;
use glowloom_plan::power::{Binding, FeedPower, PanelPower, Power, Showing};

use super::percent;
use super::schedule::{Schedule, WIDTH, grouped, listed, wrapped};
use super::volts;
use crate::opened::Opened;
use crate::output::{QUIET, STRONG};

/// Most kinds of panel that are told one by one.
const MOST_KINDS: usize = 8;
/// Most kinds whose volts are drawn.
const MOST_MAPS: usize = 3;
/// Most feeds that are listed for a kind of panel.
const MOST_FEEDS: usize = 24;

/// The whole wall, then each kind of panel.
pub fn power(opened: &Opened, plan: &Plan, showing: Showing) -> String {
    let wall = &opened.wall;
    let mut text = whole(wall, plan);
    let kinds = alike(wall, &plan.power);
    for (number, kind) in kinds.iter().take(MOST_KINDS).enumerate() {
        text.push('\n');
        text.push_str(&panel(wall, &plan.power, kind));
        if let Some(first) = kind.first().filter(|_| number < MOST_MAPS) {
            text.push_str(&volts::map(wall, *first, showing, shown(&plan.power)));
        }
    }
    if let Some(left) = kinds.len().checked_sub(MOST_KINDS).filter(|left| *left > 0) {
        text.push_str(&format!("\n  {left} more kinds of panel: see --json\n"));
    }
    text
}

/// `full white`, or the picture's name.
fn shown(power: &Power) -> &str {
    power.picture.as_deref().unwrap_or("full white")
}

fn whole(wall: &Wall, plan: &Plan) -> String {
    let power = &plan.power;
    let mut table = Schedule::new("Power");
    table.quantity(
        "full white",
        &power.full_white.amps.to_string(),
        &format!("nominal sum at {}, no droop", wall.power.trim_volts),
    );
    table.quantity("", &power.full_white.watts.to_string(), "");
    let level = format!("at {} % of full white", percent(wall.power.typical_level));
    table.quantity("typical", &power.typical.amps.to_string(), &level);
    table.quantity("", &power.typical.watts.to_string(), "");
    let supplies = wall.panels.len() * wall.power.supplies_per_panel as usize;
    let each = format!(
        "of {} and {}, {} on each panel",
        wall.power.supply.volts, wall.power.supply.amps, wall.power.supplies_per_panel
    );
    table.row("supplies", &grouped(supplies as u64), "", &each);
    let mains = &wall.power.mains;
    let limit = format!(
        "{} under the ceiling of {} %, solved, receivers included",
        shown(power),
        percent(wall.power.brightness_limit)
    );
    table.quantity("mains", &power.mains.watts.to_string(), &limit);
    table.quantity(
        "",
        &power.mains.amps.to_string(),
        &format!("at {} and a power factor of {:.2}", mains.volts, wall.power.power_factor),
    );
    table.row(
        "",
        &percent(power.mains.circuit_share),
        "%",
        &format!("of a circuit of {}", mains.circuit_amps),
    );
    table.quantity("", &power.mains.supply_heat_watts.to_string(), "of it heat in the supplies");
    for shown in &power.shown {
        let name = if shown.picture == power.shown[0].picture { "strips" } else { "" };
        let told = format!(
            "for {}{}: {} at the lowest pixel",
            shown.picture,
            if shown.brightness < 1.0 { " under the ceiling" } else { "" },
            shown.least_volts
        );
        table.quantity(name, &shown.amps.to_string(), &told);
    }
    if let Some(energy) = &power.energy {
        let told = format!("a year of {} h a day at the typical level", energy.hours_per_day);
        table.row("energy", &format!("{:.0}", energy.kwh_per_year.0), "kWh", &told);
    }
    table.row(
        "safe ceiling",
        &rounded_down(power.highest_safe_brightness),
        "%",
        &format!("of full white keeps every limit; {}", binding(wall, power)),
    );
    let mut text = table.text();
    for line in wrapped(&caution(&wall.power), 92) {
        text.push_str(&format!("  {line}\n"));
    }
    text
}

/// A safe share in per cent: never above what it is.
pub fn rounded_down(share: f64) -> String {
    format!("{:.1}", (share * 1000.0 + 1e-6).floor() / 10.0)
}

/// What sets an end to the brightness.
pub fn binding(wall: &Wall, power: &Power) -> String {
    let what = match limit(power.binding) {
        Some(what) => what,
        None if power.panels.is_empty() => return "its currents could not be worked out".into(),
        None => return "nothing sets an end".into(),
    };
    match &power.binding_panel {
        Some(panel) if wall.panels.len() > 1 => format!("{what} of {panel} sets the end"),
        _ => format!("{what} sets the end"),
    }
}

/// A limit in words.
fn limit(binding: Binding) -> Option<&'static str> {
    Some(match binding {
        Binding::Supply => "a supply's rating",
        Binding::Fuse => "a feed's fuse",
        Binding::Wire => "a feed's wire",
        Binding::Jumper => "a jumper",
        Binding::Rail => "the strip's own copper",
        Binding::LeastVolts => "the lowest pixel's voltage",
        Binding::Circuit => "the mains circuit",
        Binding::None => return None,
    })
}

fn panel(wall: &Wall, power: &Power, kind: &[usize]) -> String {
    let Some(found) = kind.first().and_then(|i| power.panels.get(*i)) else {
        return String::new();
    };
    let names = listed(kind.iter().map(|i| power.panels[*i].name.as_str()));
    let each = if kind.len() > 1 { "each of " } else { "" };
    let mut table = Schedule::new("");
    table.quantity("strips", &found.amps.to_string(), "through all feeds");
    let load = match wall.power.supplies_per_panel {
        1 => format!("of its supply's {}, receiver included", found.supply_amps_rated),
        n => format!(
            "of its rating, the most loaded of {n} supplies; {} together",
            found.supply_amps_rated
        ),
    };
    table.row("supply", &percent(found.supply_share), "%", &load);
    lowest(wall, found, &mut table);
    table.quantity("LEDs", &found.led_watts.to_string(), "light and heat");
    table.quantity("copper", &found.copper_watts.to_string(), "heat in strips, jumpers and feeds");
    let copper = found.copper_watts_per_m2.shown(wall.figures);
    let area = format!("over the panel; {copper} of it in the copper");
    table.quantity("", &found.watts_per_m2.shown(wall.figures), &area);
    if let Some(most) = &found.worst_jumper {
        let may = match wall.power.jumper_wire.amps {
            Some(amps) => format!("may carry {amps}"),
            None => "nobody says what it may carry".into(),
        };
        let place = format!("between strips {} and {}; {may}", most.strip, most.strip + 1);
        table.quantity("most in a jumper", &most.amps.to_string(), &place);
    }
    if let Some(most) = &found.worst_rail {
        let place = format!("strip {}; may carry {}", most.strip, wall.strip.rail_amps);
        table.quantity("most in a strip", &most.amps.to_string(), &place);
    }
    let end =
        limit(found.binding).map_or("every limit holds".into(), |what| format!("set by {what}"));
    table.row("safe ceiling", &rounded_down(found.safe_brightness), "%", &end);
    let body = table.text();
    let body = body.split_once('\n').map_or("", |(_, body)| body);
    let title = format!("Power at {} on {each}{names}", shown(power));
    let title = wrapped(&title, WIDTH).join("\n");
    format!("{STRONG}{title}{STRONG:#}\n{body}{}", feeds(wall, found))
}

fn lowest(wall: &Wall, found: &PanelPower, table: &mut Schedule) {
    let [column, row] = found.least_volts_at;
    let place = format!("wanted {}; first at column {column}, row {row}", wall.power.least_volts);
    table.quantity("lowest pixel", &found.least_volts.to_string(), &place);
    let [red, green, blue, white] = found.least_volts_white.light.map(percent);
    let fourth =
        if wall.strip.channels() == 4 { format!(", white {white}") } else { String::new() };
    let shift = match found.least_volts_white.shift {
        Some(shift) if shift >= 5e-4 => format!("; white is off by {shift:.3} in u'v'"),
        _ => String::new(),
    };
    let light =
        format!("% of the light left there: red, green {green}, blue {blue}{fourth}{shift}");
    table.row("", &red, "%", light.trim_start_matches("% "));
}

/// What each feed carries: they do not share equally.
fn feeds(wall: &Wall, panel: &PanelPower) -> String {
    if panel.feeds.is_empty() {
        return String::new();
    }
    let several = wall.power.supplies_per_panel > 1;
    let mut text = format!(
        "  {QUIET}feed  edge  {}    plus    minus   at the strip   drop   may carry   fuse{QUIET:#}\n",
        if several { "supply" } else { "" }
    );
    for feed in panel.feeds.iter().take(MOST_FEEDS) {
        text.push_str(&feed_line(feed, several));
    }
    if let Some(left) = panel.feeds.len().checked_sub(MOST_FEEDS).filter(|left| *left > 0) {
        text.push_str(&format!("  {left} more feeds: see --json\n"));
    }
    text
}

fn feed_line(feed: &FeedPower, several: bool) -> String {
    let or_none = |amps: Option<glowloom_units::Amps>, none: &str| {
        amps.map_or_else(|| none.to_owned(), |amps| amps.to_string())
    };
    format!(
        "  {:>4}  {:4}  {}{:>8} {:>8}       {:>8} {:>6}    {:>8}  {:>7}\n",
        feed.strip,
        glowloom_plan::power::figures::edge_key(feed.edge),
        if several { format!("{:>6}", feed.supply) } else { String::new() },
        feed.amps.to_string(),
        feed.minus_amps.to_string(),
        feed.volts_at_strip.to_string(),
        feed.drop_volts.to_string(),
        or_none(feed.wire_ampacity, "unknown"),
        or_none(feed.fuse_amps, "none"),
    )
}

/// What is said wherever mains and supplies are spoken of.
fn caution(power: &Supplies) -> String {
    let colours = match power.mains.colours {
        MainsColours::Iec => "brown line, blue neutral, green-and-yellow earth",
        MainsColours::Us => "black line, white neutral, green ground",
    };
    let touch = if glowloom_plan::findings::may_be_touched(power) {
        "An output of so few volts may be touched, and is still strong enough to weld and to burn"
    } else {
        "The output is dangerous to touch, and strong enough to weld and to burn"
    };
    format!(
        "Mains: {colours}. Unplug before any work; follow local codes and ask a licensed electrician \
         where they want one. {touch}: a fuse for every feed, at the supply. Never join two supplies' plus."
    )
}
