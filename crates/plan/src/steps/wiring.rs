//! The wires of one panel: supplies with their cords, feeds with their fuses, receiver and data leads.
//! Everything here is done with no power anywhere.

use glowloom_design::catalogue::strip::Signal;
use glowloom_design::wall::{Body, DataLevel, Panel};

use super::check::{Band, Check, Reading};
use super::what::What;
use super::{Of, Step, Task, caution, counted, metric, panel, power_on, time};
use crate::material::conductors::Conductor;
use crate::material::wire::WireSize;
use crate::meter::Spot;
use crate::path::PanelPath;
use crate::power::measure::Place;

pub(super) fn steps(of: Of<'_>, panel: &Panel) -> Vec<Step> {
    let mut steps = vec![supplies(of, panel)];
    steps.extend(feeds(of, panel));
    steps.extend([receiver(of, panel), leads(of, panel)]);
    steps
}

fn supplies(of: Of<'_>, panel: &Panel) -> Step {
    let power = &of.wall.power;
    let count = power.supplies_per_panel;
    let mut step = panel::step("supplies", panel, "Wire the mains side of @");
    let colours = caution::mains_colours(of.wall);
    step.cautions =
        vec![caution::mains_work(of.wall), caution::supply_place(of.wall), caution::no_parallel()];
    step.lines = vec![
        format!(
            "{} of {} and {}, each on a cord of {} of its own: plug, inlet fuse, strain relief, then {} to the \
             terminals that bear the same letters.",
            if count == 1 { "1 supply".to_owned() } else { format!("{count} supplies") },
            power.supply.volts,
            power.supply.amps,
            power.mains.cord.shown(of.wall.figures),
            colours,
        ),
        "Where the inlet stands apart from the supply, a piece of the same cord, cut from it, goes from the one to the \
         other, with the same colours."
            .into(),
        "Tug at each conductor. Then put the cover over the mains terminals: from here on it is on whenever the plug is in."
            .into(),
        format!(
            "If the supply has a switch for the mains voltage, set it to {} before the plug ever goes in.",
            power.mains.volts
        ),
        "With the plug out, read from the plug's earth pin to the supply's case: below 1 ohm (common practice, no \
         source). If it is not, the earth is not joined: stop here."
            .into(),
    ];
    if of.wall.board.as_ref().is_some_and(|board| board.body == Some(Body::MetalSkins)) {
        step.lines
            .push("The board is of metal: join its skins to the supply's earth terminal.".into());
    }
    if count > 1 {
        let zones = panel::zones(of, panel);
        let of_each: Vec<String> = (0..zones.takers())
            .map(|zone| {
                let (first, last) = (zones.before(zone) + 1, zones.before(zone + 1));
                format!("supply {} feeds strips {first} to {last}", zone + 1)
            })
            .collect();
        step.lines.push(format!("{}. The minus terminals of all are joined.", of_each.join(", ")));
    }
    let built = format!("{} V, {} A", power.supply.volts.0, power.supply.amps.0);
    step.tasks = (1..=count)
        .map(|supply| {
            Task::new(
                What::Supply { panel: panel.name.clone(), supply },
                "cord, fuse, earth and cover; earth was read",
                built.clone(),
            )
        })
        .collect();
    step.estimate = time::times(time::SUPPLY, count as usize);
    step
}

/// None where the wall file gives the panel no feed: a fault says so.
fn feeds(of: Of<'_>, panel: &Panel) -> Option<Step> {
    if panel.feeds.is_empty() {
        return None;
    }
    let mut step = panel::step("feeds", panel, "Lay the feeds of @");
    step.cautions = vec![caution::fuses(), caution::output(of.wall), caution::solder()];
    step.lines = vec![
        format!(
            "Each feed is a pair of wires: {}. From the supply's plus terminal to a fuse holder, from there to the \
             strip's plus pad; from its minus terminal straight to the minus pad. No fuse is in yet.",
            caution::dc_colours(of.wall)
        ),
        "The holder sits at the supply, so that all of the wire is behind its fuse. A lug at each terminal, a \
         label at both ends, and no pull on the pads: a dot of glue or a tie holds the wire beside them."
            .into(),
    ];
    // Once all are on, the strips' own rails join them, and no reading tells one that is open.
    step.checks.push(Check::new(
        "each feed before its lug goes on the supply's minus terminal: from that lug to the minus pad of its own strip, \
         and from its fuse holder to the plus pad",
        Some(Reading::Ohms(Band::below(power_on::JOINED))),
        "That wire is open, or plus and minus of that feed are swapped at the strip: mend it now, for later readings do \
         not tell.",
    ));
    let power = of.power(panel);
    for (number, feed) in panel.feeds.iter().enumerate() {
        let solved = power.and_then(|power| power.feeds.get(number));
        let fuse = match solved.map(|solved| (solved.fuse_amps, solved.amps)) {
            Some((Some(fuse), amps)) => format!("fuse {} A; carries {amps} at most", fuse.0),
            Some((None, amps)) => {
                format!("NO FUSE FITS its {amps}: mend the wall file before it is powered")
            }
            None => "its fuse is not known".into(),
        };
        let size = WireSize::of(&feed.wire);
        let spot = Spot::of(panel, Place::Pad { strip: feed.strip, edge: feed.edge });
        let supply = if of.wall.power.supplies_per_panel > 1 {
            format!(" from supply {}", feed.supply)
        } else {
            String::new()
        };
        step.tasks.push(Task::new(
            What::Feed { panel: panel.name.clone(), strip: feed.strip, edge: feed.edge },
            format!(
                "F{}; back: {}; {size}, {} each way{supply}; {fuse}",
                number + 1,
                spot.back,
                feed.wire.length.shown(of.wall.figures),
            ),
            format!("{size}, {}, supply {}", metric(feed.wire.length), feed.supply),
        ));
    }
    if let Some(dead) = power.map(|power| &power.dead_strips).filter(|dead| !dead.is_empty()) {
        let dead: Vec<String> = dead.iter().map(u32::to_string).collect();
        step.lines.push(format!(
            "No feed reaches strips {}: they stay dark. Mend the wall file first.",
            dead.join(", ")
        ));
    }
    step.estimate = time::times(time::FEED, panel.feeds.len());
    Some(step)
}

/// `orange (DATA)`
fn coloured(of: Of<'_>, conductor: Conductor) -> String {
    let convention = of.wall.power.mains.colours;
    format!("{} ({})", conductor.colour(convention).name, conductor.label(convention))
}

fn receiver(of: Of<'_>, panel: &Panel) -> Step {
    let receiver = &of.wall.receiver;
    let mut step = panel::step("receiver", panel, "Fix the receiver of @");
    step.cautions = vec![caution::usb()];
    step.lines = vec![
        format!(
            "One {}, on spacers, away from the supply's heat, and where a data lead of {} reaches the first pixel of every \
             data line. Its plus and minus come from the terminals of supply \
             1 by a pair of their own, through a fuse of 1 A (common practice, no source), which stays out yet; it \
             draws {}.",
            receiver.board,
            receiver.data_lead.shown(of.wall.figures),
            receiver.amps
        ),
        "A receiver that takes another voltage than the supply gives has a converter ahead of it: its data \
         sheet rules."
            .into(),
    ];
    if of.wall.power.trim_volts > glowloom_units::Volts(5.5) {
        step.lines.push(format!(
            "This wall's supplies give {}: a board for 5 V needs a converter.",
            of.wall.power.trim_volts
        ));
    }
    step.lines.push(
        "Give it its program and its identity before it is built in, from a computer's USB, with the panel's \
         supply unplugged."
            .into(),
    );
    step.tasks = vec![Task::new(
        What::Receiver { panel: panel.name.clone() },
        "fixed, labelled, its own pair of wires joined",
        receiver.board.clone(),
    )];
    step.estimate = time::RECEIVER;
    step
}

fn leads(of: Of<'_>, panel: &Panel) -> Step {
    let receiver = &of.wall.receiver;
    let mut step = panel::step("leads", panel, "Lay the data leads of @");
    let clocked = of.wall.strip.signal != Signal::OneWire;
    let clock = if clocked {
        format!(", {} from clock pin to clock in", coloured(of, Conductor::Clock))
    } else {
        String::new()
    };
    let minus = coloured(of, Conductor::Minus);
    step.lines = vec![format!(
        "For each data line {} from the receiver's pin to data in (DI) of its first pixel{clock}, and {minus} \
         beside it from the receiver's minus to the strip's minus pad there. {} long, twisted together, apart \
         from the feeds and the mains.",
        coloured(of, Conductor::Data),
        receiver.data_lead.shown(of.wall.figures),
    )];
    step.lines.push(
        "Where the first strip of a line has kept its roll's own connector, the lead ends in the other half of one and \
         plugs in. Whatever else comes out of a roll's end, such as a second pair of plus and minus, is live once \
         the panel is fed: cut it back and insulate each end."
            .into(),
    );
    step.lines.push(match receiver.data_level {
        DataLevel::Shifter => {
            "A level shifter sits at the receiver, fed with 5 V; behind it a resistor of 330 to 470 \
             ohm in series (common practice, no source)."
                .into()
        }
        DataLevel::SparePixel => {
            "The spare pixel at the head is fed through a diode, about 0.7 V below the rest, and re-shapes the \
             signal; a resistor of 330 to 470 ohm sits in series at the pin (common practice, no source)."
                .into()
        }
        DataLevel::None => format!(
            "The pin, of {}, drives the strip as it is; a resistor of 330 to 470 ohm sits in series at the pin \
             (common practice, no source).",
            receiver.pin_volts
        ),
    });
    for line in PanelPath::of(panel).lines() {
        let Some(run) = line.runs().next() else { continue };
        let edge = panel::enters(&run);
        let place = Place::Pad { strip: run.first.strip, edge };
        let spot = Spot::of(panel, place);
        let spare = match line.spare_pixels() {
            0 => String::new(),
            spare => format!(", through {}, kept dark", counted(spare, "spare pixel")),
        };
        step.tasks.push(Task::new(
            What::Lead { panel: panel.name.clone(), line: line.number },
            format!("data line {}: back: {}{spare}", line.number, spot.back),
            format!("to strip {}, {} spare", run.first.strip, line.spare_pixels()),
        ));
    }
    step.estimate = time::times(time::LEAD, step.tasks.len());
    step
}
