//! All panels together: hanging them, lighting them, keeping an eye on them.

use glowloom_design::wall::{Panel, SupplyOn};
use glowloom_units::{Amps, Kilograms, Metres, Seconds, Watts};

use super::check::{Band, Check, Reading};
use super::what::Stage;
use super::{Of, Step, Task, caution, prepare, time};
use crate::built::Built;
use crate::geometry::outline;
use crate::meter::{At, Kind};
use crate::power::mains::mains;
use crate::structure::balance::SUPPLY_DEPTH;
use crate::structure::mass::supply_on;
use crate::uncovered::gaps;

/// A panel that is larger or heavier than this is carried by two (common practice, no source).
const LARGE: (Metres, Kilograms) = (Metres(1.0), Kilograms(8.0));
/// Room for air behind a panel besides a supply (own choice).
const AIR: Metres = Metres(0.02);
/// How far a plug-in meter and a supply's efficiency may be off together, besides the strip (own choice).
const PLUG: f64 = 0.15;

pub(super) fn steps(of: Of<'_>) -> Vec<Step> {
    vec![hang(of), all_on(of), watch(of)]
}

/// Whether a panel wants two people.
fn large(of: Of<'_>, panel: &Panel) -> bool {
    let (width, height) = Built::of(of.wall, panel).size();
    let heavy = of.plan.structure.as_ref().is_some_and(|structure| structure.panel_kg > LARGE.1);
    width.max(height) > LARGE.0 || heavy
}

fn hang(of: Of<'_>) -> Step {
    let wall = of.wall;
    let two = wall.panels.iter().any(|panel| large(of, panel));
    let mut step =
        prepare::step("hang", "Hang the panels", "", time::times(time::HANG, wall.panels.len()));
    step.cautions = vec![caution::hanging(wall, two), caution::mains_work(wall)];
    match (&wall.hanging, &of.plan.structure) {
        (Some(hanging), Some(structure)) => {
            step.lines.push(format!(
                "{} fixings ({}) for each panel, rated {} each along the wall. The heaviest panel, {}, weighs {}{}: {} \
                 on each, {:.1} times less than its rating.",
                hanging.fixings_per_panel,
                hanging.kind.word(),
                hanging.rated.shown(wall.figures),
                structure.panel,
                structure.panel_kg.shown(wall.figures),
                if structure.not_weighed.is_empty() { "" } else { " and what nobody has weighed" },
                structure.load_per_fixing_kg.shown(wall.figures),
                structure.safety_factor,
            ));
        }
        _ => step.lines.push(
            "The wall file does not say how the panels hang ([hanging]): weigh one, and take fixings rated for twice \
             that (common practice, no source)."
                .into(),
        ),
    }
    if supply_on(wall) == SupplyOn::Board {
        step.lines.push(format!(
            "The supplies are on the back: spacers or battens hold the panel off the wall by more than a supply is thick, \
             some {} with air around it (from memory; measure yours). They carry what a fixing carries, reach past \
             supplies and wires, and are in no list.",
            (SUPPLY_DEPTH + AIR).shown(wall.figures)
        ));
    }
    step.lines.push(
        "A screw or a hook touches neither strip nor wire: hold each place against the panel's front sheet, and move \
         it between two strips, before anything is bored or screwed."
            .into(),
    );
    step.lines.push(
        "Weigh the first panel before it goes up. Mark the top-left corner of each on the wall, right and down from \
         the picture's top-left corner, with a level; hang from one side on, edges touching."
            .into(),
    );
    let whole = outline(wall, &gaps(wall));
    step.tasks = wall
        .panels
        .iter()
        .map(|panel| {
            let at = Built::of(wall, panel).outline();
            let turned = match panel.turn.degrees() {
                0 => String::new(),
                degrees => format!(", turned {degrees} degrees clockwise"),
            };
            let built = format!(
                "{}, {} by {} from the corner{turned}",
                prepare::size(of, panel),
                super::metric(at.left),
                super::metric(at.top)
            );
            let mut task = Task::stage(panel, Stage::Hung, built);
            let high = match wall.hanging.as_ref().and_then(|hanging| hanging.above_floor) {
                Some(floor) => {
                    let high = whole.bottom - at.top + floor;
                    format!(", {} above the floor", high.to_mark(wall.figures))
                }
                None => String::new(),
            };
            task.words = format!(
                "top-left corner {} right and {} down{high}{turned}",
                at.left.to_mark(wall.figures),
                at.top.to_mark(wall.figures)
            );
            task
        })
        .collect();
    step
}

/// The command that shows white at the wall's ceiling, which `--brightness` is a share of.
pub(super) fn white(of: Of<'_>) -> String {
    let ceiling = of.sheet.map_or(0.0, |sheet| sheet.ceiling);
    let share = (ceiling / of.wall.power.brightness_limit * 100.0 + 1e-9).floor() / 100.0;
    format!(
        "glowloom show WALL \"text,colour=ffffff,ground=ffffff:white\" --brightness {share} (a share of \
         brightness_limit, {:.0} % of full white)",
        of.wall.power.brightness_limit * 100.0
    )
}

fn all_on(of: Of<'_>) -> Step {
    let readings = time::times(time::READING, of.wall.panels.len() + 2);
    let mut step = prepare::step(
        "all-on",
        "Light the wall",
        "all panels show one picture, and the plug was read",
        time::SETTING + readings,
    );
    step.cautions = vec![
        caution::mains_on(of.wall),
        caution::inrush(of.wall),
        caution::heat(of.wall),
        caution::flashes(),
    ];
    step.lines = vec![
        "Plug in one supply after the other, dark. Then show the pixels one by one: glowloom show WALL count \
         --brightness 0.1. They light row by row, from the top-left corner, across all panels."
            .into(),
        format!(
            "Then a white picture at the wall's ceiling, for no longer than reading takes: {}.",
            white(of)
        ),
    ];
    step.checks.push(Check::new(
        "the count goes on from panel to panel without a jump, and no panel is upside down",
        None,
        "A jump or a step back within a panel: enter, strips or path of it are not as built. Panels swapped: their \
         addresses are.",
    ));
    if let Some(sheet) = of.sheet {
        let sum = |amps: fn(&At<Amps>) -> Amps| -> Watts {
            let of_kind = |kind: &Kind| {
                #[expect(clippy::cast_precision_loss, reason = "a count of panels")]
                let panels = kind.panels.len() as f64;
                kind.amps.first().map_or(Amps(0.0), amps) * panels
            };
            mains(of.wall, sheet.kinds.iter().map(of_kind).sum()).watts
        };
        let (least, most) = (sum(|at| at.least), sum(|at| at.most));
        let band = Band::around(sum(|at| at.expected), least * (1.0 - PLUG), most * (1.0 + PLUG));
        step.checks.push(Check::new(
            format!(
                "watts of all plugs together, by a plug-in meter, white at the ceiling of {:.0} %",
                sheet.ceiling * 100.0
            ),
            Some(Reading::Watts(band)),
            "More: measure each panel alone, and compare its amps with what was read on the bench. Less: something \
             is dark, or the strip draws less than the file says.",
        ));
    } else {
        step.lines.push(prepare::no_figures());
    }
    step
}

fn watch(of: Of<'_>) -> Step {
    let mut step = prepare::step(
        "watch",
        "Stay with it for the first evenings",
        "three evenings with somebody in the room, and nothing got too hot",
        Seconds(0.0),
    );
    step.cautions =
        vec![caution::heat(of.wall), caution::mains_work(of.wall), caution::output(of.wall)];
    let seen: Vec<String> = of
        .plan
        .power
        .panels
        .iter()
        .map(|panel| panel.copper_watts.0 + panel.led_watts.0)
        .reduce(f64::max)
        .map(|watts| {
            format!(
                "At the ceiling a panel turns up to {watts:.0} W into light and heat. After half an hour, an hour and \
                 an evening feel the supplies, the fuse holders, the feeds' lugs and the cloth."
            )
        })
        .into_iter()
        .collect();
    step.lines = seen;
    step.lines.push(
        "To feel them, plug out first, and take the panel down where it covers them. Tighten every terminal again after \
         the first week: plug out, below 1 V, then the mains cover off, and on again before the plug goes in. Copper \
         settles (common practice, no source)."
            .into(),
    );
    step.checks = vec![Check::new(
        "nothing is too hot to keep a finger on, nothing smells, nothing has changed colour",
        None,
        "Switch off. A hot lug or joint is a bad one: make it anew. Hot all over: set brightness_limit lower.",
    )];
    step
}
