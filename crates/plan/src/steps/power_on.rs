//! First power for one panel, a little more at a time: ohms, volts, one fuse, all of it.

use glowloom_design::wall::{Jumpers, Panel};
use glowloom_units::{Amps, Ohms};

use super::check::{Band, Check, Reading};
use super::what::Stage;
use super::{Of, Step, Task, caution, counted, panel, prepare, time};
use crate::meter::Point;

/// Below this there is a short, or nearly one: a strip in the dark shows hundreds of ohms and more
/// (common practice, no source).
const SHORT: Ohms = Ohms(10.0);
/// A joined wire shows less (common practice, no source).
pub(super) const JOINED: Ohms = Ohms(1.0);
/// How closely a supply is set (own choice).
const SET_TO: f64 = 0.01;
/// Idle currents differ by so much from the file's (own choice).
const IDLE: f64 = 2.0;
/// Dim enough to look at, of full white (own choice).
const DIM: f64 = 0.1;

pub(super) fn steps(of: Of<'_>, panel: &Panel) -> Vec<Step> {
    let mut steps = vec![ohms(of, panel), volts(of, panel)];
    if of.sheet.is_some() && !panel.feeds.is_empty() {
        steps.push(first_strip(of, panel));
    }
    steps.push(lit(of, panel));
    steps
}

fn ohms(of: Of<'_>, panel: &Panel) -> Step {
    let mut step = panel::step("ohms", panel, "Look for shorts on @");
    step.cautions = vec![caution::resistance()];
    step.lines = vec![
        "All plugs are out, all fuses are out, the receiver's too. Touch the meter's tips together first: what it \
         shows then is taken off every reading."
            .into(),
        "Look along every strip and joint with a lamp: no strand, no solder between pads, no pad lifted.".into(),
    ];
    let alone = panel.jumpers == Jumpers::Data;
    let zones = panel::zones(of, panel);
    let what = if alone {
        "plus to minus at the strip side of each fuse holder, one after the other".to_owned()
    } else if zones.takers() > 1 {
        format!(
            "plus to minus at the strip side of a fuse holder, for each of the {} supplies",
            zones.takers()
        )
    } else {
        "plus to minus at the strip side of a fuse holder".to_owned()
    };
    step.checks.push(Check::new(
        what,
        Some(Reading::Ohms(Band::above(SHORT))),
        if alone {
            "Wait until the reading has settled, and swap the tips. Still low: a short on that strip or in its feed; \
             look at its pads, and unsolder one end of the feed to tell which."
        } else {
            "Wait until the reading has settled, and swap the tips. Still low: a short. Open the joints in the middle \
             of the path and read both halves; go on halving where it is low."
        },
    ));
    if !alone && panel.feeds.len() > 1 {
        step.checks.push(Check::new(
            "from the strip side of the first fuse holder of a supply to that of each other one of it",
            Some(Reading::Ohms(Band::below(JOINED))),
            "That feed, or a joint between it and the first, is open: tug, look, solder again.",
        ));
    }
    if zones.takers() > 1 && !alone {
        step.checks.push(Check::new(
            "from the strip side of a fuse holder of one supply to one of another: plus is open between them",
            Some(Reading::Ohms(Band::above(SHORT))),
            "A plus wire is at a joint that must leave it open: take it out.",
        ));
    }
    step.checks.push(Check::new(
        "from the strip side of the receiver's fuse holder to the receiver's plus, and from its minus to the supply's \
         minus terminal",
        Some(Reading::Ohms(Band::below(JOINED))),
        "That wire is open, or the two are swapped: tug, look, join again.",
    ));
    step.checks.push(Check::new(
        if alone {
            "from the supply's minus terminal to the minus pad of each strip"
        } else {
            "from the supply's minus terminal to the minus pad at the end of each data line"
        },
        Some(Reading::Ohms(Band::below(JOINED))),
        "A minus wire is open: follow the path from the supply on.",
    ));
    step.tasks = vec![Task::stage(panel, Stage::Ohms, "")];
    step.estimate =
        time::SETTING + time::times(time::READING, step.checks.len() + panel.feeds.len());
    step
}

fn volts(of: Of<'_>, panel: &Panel) -> Step {
    let power = &of.wall.power;
    let trim = power.trim_volts;
    let most = (trim * (1.0 + SET_TO)).min(of.wall.strip.max_volts).max(trim);
    let mut step = panel::step("volts", panel, "Set the supplies of @, with no load");
    step.cautions = vec![caution::mains_on(of.wall), caution::output(of.wall)];
    if trim > of.wall.strip.max_volts {
        step.lines.push(format!(
            "Do not go on: trim_volts is {trim}, and the strip withstands {}.",
            of.wall.strip.max_volts
        ));
    }
    step.lines.extend([
        "All fuses are still out. Covers on, hands away, plug in.".to_owned(),
        format!(
            "Turn the trimmer of each supply with an insulated screwdriver until its terminals show {:.2} V; then \
             plug out, wait until it has fallen below 1 V, plug in and read again.",
            trim.0
        ),
    ]);
    let set = Some(Reading::Volts(Band::around(trim, trim * (1.0 - SET_TO), most)));
    step.checks = vec![
        Check::new(
            "volts at each supply's terminals, red tip on plus",
            set,
            format!(
                "A minus sign: the terminals or the tips are swapped; find out which. Nothing: mains switch, inlet \
                 fuse, plug. It cannot be set so: another supply. Never let it above {:.2} V.",
                of.wall.strip.max_volts.0
            ),
        ),
        Check::new(
            "volts from the supply side of each fuse holder (red tip) to the minus pad of its own strip (black tip)",
            set,
            "A minus sign: plus and minus are swapped at the supply. Nothing: the wire to that holder, or all minus \
             wires. Plug out, mend, read again: strip does not survive reversed polarity.",
        ),
        Check::new(
            "volts from the supply side of the receiver's fuse holder (red tip) to the receiver's minus (black tip)",
            set,
            "A minus sign: its pair is swapped at the supply. Nothing: one of its wires is open. Plug out and mend \
             before its fuse goes in.",
        ),
    ];
    step.tasks = vec![Task::stage(panel, Stage::Volts, format!("set to {:.2} V", trim.0))];
    let readings = power.supplies_per_panel as usize + panel.feeds.len();
    step.estimate = time::SETTING + time::times(time::READING, readings);
    step
}

/// With one fuse in: what it feeds, and what that draws.
struct OneFuse {
    /// Of the first feed.
    fuse: Amps,
    /// Pixels behind it.
    pixels: f64,
    /// These, dark: a plain sum.
    idle: Amps,
    /// Of full white, so that the fuse holds with its margin; none where even the dark is too much.
    level: Option<f64>,
}

impl OneFuse {
    fn of(of: Of<'_>, panel: &Panel) -> Option<Self> {
        let feed = panel.feeds.first()?;
        let fuse = of.power(panel)?.feeds.first()?.fuse_amps?;
        let zones = panel::zones(of, panel);
        let strips = match panel.jumpers {
            Jumpers::Data => 1,
            Jumpers::PowerAndData => zones.of(zones.taker_of(feed.strip - 1)),
        };
        let strip = &of.wall.strip;
        let pixels = f64::from(strips) * f64::from(panel.strip_pixels());
        let idle = strip.idle_amps * pixels;
        #[expect(clippy::cast_precision_loss, reason = "3 or 4")]
        let white = strip.channel_amps * (pixels * strip.channels() as f64);
        let room = fuse * of.wall.power.fuse_load - idle;
        let ceiling = of.sheet?.ceiling;
        let level = (room / white).min(DIM).min(ceiling);
        // Down to a whole per cent.
        let level = (level * 100.0 + 1e-9).floor() / 100.0;
        Some(Self { fuse, pixels, idle, level: (level > 0.0).then_some(level) })
    }
}

fn first_strip(of: Of<'_>, panel: &Panel) -> Step {
    let mut step = panel::step("first-strip", panel, "Light one strip of @, with one fuse in");
    step.cautions =
        vec![caution::heat(of.wall), caution::output(of.wall), caution::usb(), caution::flashes()];
    step.tasks = vec![Task::stage(panel, Stage::FirstStrip, "")];
    step.estimate = time::SETTING * 2.0;
    let (Some(one), Some(feed)) = (OneFuse::of(of, panel), panel.feeds.first()) else {
        step.lines.push(
            "No fuse fits the first feed, so that this panel must not be powered: mend the wall file first.".into(),
        );
        return step;
    };
    let trim = of.wall.power.trim_volts;
    step.lines = vec![format!(
        "Plug out. Put in one fuse, the {} A one of the feed to strip {}, and the receiver's. Plug in, with a hand \
         on the plug. {} have power now.",
        one.fuse.0,
        feed.strip,
        counted(whole(one.pixels), "pixel"),
    )];
    step.checks = vec![
        Check::new(
            "amps in that feed's plus, the panel dark (a plain sum)",
            Some(Reading::Amps(Band {
                expected: Some(one.idle),
                least: None,
                most: Some(one.idle * IDLE),
            })),
            "Much more, and nothing is lit: plug out; a short or a chip that is destroyed gets warm. Nothing at all: \
             fuse, holder, feed.",
        ),
        Check::new(
            format!("volts between the pads of strip {}, where that feed lands", feed.strip),
            Some(Reading::Volts(Band::around(
                trim,
                trim * (1.0 - 2.0 * SET_TO),
                trim * (1.0 + SET_TO),
            ))),
            "Lower: a bad joint in that feed. Plug out, solder again.",
        ),
    ];
    match one.level {
        Some(level) => {
            let share = level / of.wall.power.brightness_limit;
            let share = (share * 100.0 + 1e-9).floor().max(1.0) / 100.0;
            step.lines.push(format!(
                "Now show a picture at most {:.0} % bright, so that this one fuse holds: glowloom show WALL tide \
                 --brightness {share}, a share of brightness_limit. Look at strip 1 alone.",
                level * 100.0
            ));
            step.checks.push(Check::new(
                "strip 1 lights from its first pixel to its last, steady, in the colours of the picture",
                None,
                "Dark or flickering from its first pixel on: data lead, level, common minus, arrows. From some pixel \
                 on: the joint or pixel before that. Wrong colours: order in [strip]. Fading to red away from the \
                 feed: too bright for one feed, or a bad joint.",
            ));
        }
        None => step.lines.push(
            "Even in the dark this panel draws more than one fuse may carry for long: read, then go on to the next \
             step at once, and light nothing before all fuses are in."
                .into(),
        ),
    }
    step
}

/// A count that was a number of floating point.
fn whole(count: f64) -> u64 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count of pixels"
    )]
    let whole = count as u64;
    whole
}

fn lit(of: Of<'_>, panel: &Panel) -> Step {
    let mut step = panel::step("lit", panel, "Light all of @");
    step.cautions =
        vec![caution::heat(of.wall), caution::output(of.wall), caution::flashes(), caution::usb()];
    step.tasks = vec![Task::stage(panel, Stage::Lit, "")];
    let kind = of.sheet.and_then(|sheet| {
        sheet.kinds.iter().find(|kind| kind.panels.contains(&panel.name)).zip(Some(sheet))
    });
    let Some((kind, sheet)) = kind else {
        step.lines.push(prepare::no_figures());
        return step;
    };
    let fused =
        of.power(panel).is_some_and(|power| power.feeds.iter().all(|f| f.fuse_amps.is_some()));
    if !fused {
        step.lines.push(
            "A feed of this panel has no fuse that fits it: do not power it, and mend the wall file first.".into(),
        );
        return step;
    }
    step.lines = vec![
        "Plug out. Put in all other fuses. Plug in; look, smell and feel along the strips in the dark first.".into(),
        format!(
            "Then show a white picture, dim at first, then at {:.0} % of full white, which is this wall's ceiling by \
             {}. Read while it shows, for no longer than that takes: {}.",
            sheet.ceiling * 100.0,
            sheet.ceiling_by.replace('_', " "),
            super::raise::white(of),
        ),
    ];
    let trim = of.wall.power.trim_volts;
    step.lines.push(format!(
        "Volts below are for {:.2} V at the supply's terminals while it shows: what these have more or less, every \
         other place has more or less too.",
        trim.0
    ));
    step.checks.push(Check::new(
        "volts at each supply's terminals, while white shows",
        Some(Reading::Volts(Band::around(trim, trim * (1.0 - SET_TO), trim * (1.0 + SET_TO)))),
        "Lower: its trimmer, or more is drawn than it can give: see the amps. It never stands above what it was set \
         to with no load.",
    ));
    if let Some(amps) = kind.amps.first() {
        step.checks.push(Check::new(
            "amps in all feeds' plus together (a clamp round all plus wires)",
            Some(Reading::Amps(Band::from(amps))),
            "Less: strips that are dark or dim; find them by eye. More: the picture is brighter than you think, or \
             the strip draws more than the file says: read the bench test again.",
        ));
    }
    for point in &kind.points {
        step.checks.extend(at_point(point));
    }
    step.lines.push(
        "Write the readings down. They go into the wall file under [[measured]]; glowloom plan WALL --measured says \
         what they mean."
            .into(),
    );
    step.estimate = time::SETTING + time::times(time::READING, step.checks.len());
    step
}

/// What to read at one of the plan's measuring points.
fn at_point(point: &Point) -> Vec<Check> {
    let spot = &point.spot;
    let place = format!("{} (back: {}): {}", spot.words, spot.back, point.why);
    let mut checks = Vec::new();
    if let Some(volts) = point.volts.first() {
        checks.push(Check::new(
            format!("volts at {place}"),
            Some(Reading::Volts(Band::from(volts))),
            "Lower: a bad joint, feed or fuse between here and the supply; feel for a warm one with the plug out. \
             Higher: less is lit than you think.",
        ));
    }
    if let Some(amps) = point.amps.first() {
        checks.push(Check::new(
            format!("amps in the plus wire of the feed at {}", spot.words),
            Some(Reading::Amps(Band::from(amps))),
            "Less than its share: its own joints, lugs or fuse. More: its neighbours' are bad.",
        ));
    }
    checks
}
