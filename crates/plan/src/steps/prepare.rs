//! Before the first panel: what to have at hand, the bench test, printing and cutting.

use std::collections::BTreeMap;

use glowloom_design::wall::{Baffle, Panel};
use glowloom_units::Seconds;

use super::check::{Band, Check, Reading};
use super::what::What;
use super::{Of, Step, Task, caution, counted, metric, time};
use crate::built::Built;
use crate::finding::Kind;
use crate::material::wire::Use;
use crate::tiles::Tiles;

pub(super) fn steps(of: Of<'_>) -> Vec<Step> {
    let steps = [
        Some(ready(of)),
        Some(bench(of)),
        print(of),
        Some(cut_strips(of)),
        Some(cut_wires(of)),
        cut_boards(of),
        cut_cloth(of),
    ];
    steps.into_iter().flatten().collect()
}

/// A step of the whole wall with one thing to tick off.
pub(super) fn step(id: &str, title: &str, words: &str, estimate: Seconds) -> Step {
    Step {
        id: id.into(),
        title: title.into(),
        panel: None,
        cautions: Vec::new(),
        lines: Vec::new(),
        tasks: vec![Task::step(id, words)],
        checks: Vec::new(),
        estimate,
    }
}

fn ready(of: Of<'_>) -> Step {
    let mut step =
        step("ready", "Have everything at hand", "bought, laid out and counted", time::READY);
    let findings = |kind: Kind| of.plan.findings.iter().filter(move |finding| finding.kind == kind);
    for (kind, word) in [(Kind::Hazard, "hazard"), (Kind::Fault, "fault")] {
        let titles: Vec<&str> = findings(kind).map(|finding| finding.title.as_str()).collect();
        if !titles.is_empty() {
            step.lines.push(format!(
                "Do not build yet. The plan has {}: {}. Mend the wall file first; glowloom check tells \
                 how.",
                counted(titles.len() as u64, word),
                titles.join("; "),
            ));
        }
    }
    step.lines.push(
        "Buy what lists/buying.csv has. What it does not know the quantity or price of stands there without \
         a number: see to it yourself."
            .into(),
    );
    if let Some(sheet) = of.sheet {
        step.lines.push(format!(
            "For the test of one roll besides: {}.",
            match sheet.bench.fuse_amps {
                Some(fuse) => format!("a fuse of {} A with its holder, unless a supply with a current limit is at hand", fuse.0),
                None => "a supply with a current limit".into(),
            }
        ));
    }
    step.lines.push(
        "What nobody counts: solder, hot-melt glue or what else holds strips and tiles, cable ties, alcohol and a cloth \
         to clean the boards, tape to hold cloth while it is stretched. (Common practice, no source.)"
            .into(),
    );
    step.lines.push(
        "Tools: soldering iron with stand and solder, wire stripper, crimping tool for the lugs, side cutter, \
         knife and steel rule, saw and drill with eye cover for a board that no knife cuts, screwdrivers, a multimeter with fresh batteries (a clamp for DC amps saves \
         opening wires), tape measure, labels, a fire blanket or extinguisher within reach. (Common practice, \
         no source.)"
            .into(),
    );
    step.lines.push(
        "Front is the side that is looked at. Left and right are said from the front, and from the back where \
         it says so. On every board write TOP and FRONT before anything else."
            .into(),
    );
    step
}

fn bench(of: Of<'_>) -> Step {
    let mut step = step(
        "bench",
        "Measure one roll on the bench",
        "one roll was read, and the wall file has what was read",
        time::BENCH,
    );
    step.cautions = vec![
        caution::mains_work(of.wall),
        caution::mains_on(of.wall),
        caution::output(of.wall),
        caution::heat(of.wall),
    ];
    let Some(sheet) = of.sheet else {
        step.lines.push(no_figures());
        return step;
    };
    let test = &sheet.bench;
    step.lines.push(
        "Strips of one name differ by a factor of two. One roll, read before anything is built, makes every \
         figure in this book truer."
            .into(),
    );
    step.lines.push(
        format!(
            "Where the panel's own supply is used, first wire its mains side whole, as the step of its panel has it: \
             cord, inlet fuse, earth, cover, and the reading of the earth. Then, with nothing on its output, plug in \
             and turn its trimmer to {:.2} V.",
            test.volts_at_start.0
        ),
    );
    step.lines.extend(test.steps.iter().cloned());
    let then = "Strips of that name may still be so, or a joint is bad: read again, then write it into the wall \
                file; glowloom plan WALL --measured says what it means. Write this book anew after that.";
    step.checks = vec![
        Check::new(
            format!("volts behind the lit pixels, {} of them white", test.pixels),
            Some(Reading::Volts(Band::from(&test.volts_at_end))),
            then,
        ),
        Check::new("amps into the roll", Some(Reading::Amps(Band::from(&test.amps))), then),
    ];
    step
}

/// Said in the place of figures.
pub(super) fn no_figures() -> String {
    "The network of this wall has no answer, so that nobody can say what a meter should show: see that no \
     figure of [strip] or [power] is absurd, and write this book anew. Do not power anything until then."
        .into()
}

fn print(of: Of<'_>) -> Option<Step> {
    let (tiles, baffle) = (of.plan.tiles.as_ref()?, of.wall.baffle.as_ref()?);
    let mut step = step("print", "Print the baffle", "", Seconds(0.0));
    step.lines = vec![
        format!(
            "{} of filament, {:.0} h of printing, {}. Which file how often, and on which day: \
             parts/list.txt. Print on while you wire.",
            tiles.filament_kg.shown(of.wall.figures),
            tiles.hours.0,
            counted(tiles.days, "day"),
        ),
        "Print one first, and lay it over two strips as soon as they are joined, before you print the rest.".into(),
    ];
    step.cautions = vec![caution::printer()];
    step.tasks = printed(tiles, baffle);
    Some(step)
}

/// Tiles and strips of a rim, by kind.
fn printed(tiles: &Tiles, baffle: &Baffle) -> Vec<Task> {
    let walls = format!("{} deep, walls {}", metric(baffle.depth), metric(baffle.wall));
    let of_tiles = tiles.kinds.iter().map(|kind| Task {
        what: What::Part { name: kind.name.clone() },
        count: kind.per_wall,
        words: format!("{} of them, printed and looked over", kind.per_wall),
        built: format!("{} x {}, {walls}", metric(kind.width_m), metric(kind.length_m)),
    });
    let of_rim = tiles.rim.iter().map(|kind| Task {
        what: What::Part { name: kind.name.clone() },
        count: kind.per_wall,
        words: format!("{} of them, printed and looked over", kind.per_wall),
        built: format!("{} long, {} deep", metric(kind.length_m), metric(baffle.depth)),
    });
    of_tiles.chain(of_rim).collect()
}

fn cut_strips(of: Of<'_>) -> Step {
    let mut pieces: BTreeMap<u32, u64> = BTreeMap::new();
    let mut spare: BTreeMap<u32, u64> = BTreeMap::new();
    for panel in &of.wall.panels {
        *pieces.entry(panel.strip_pixels()).or_default() += u64::from(panel.strip_count());
        if panel.spare_pixels > 0 {
            let lines = panel.data_lines.min(panel.strip_count());
            *spare.entry(panel.spare_pixels).or_default() += u64::from(lines);
        }
    }
    let count: u64 = pieces.values().chain(spare.values()).sum();
    let mut step = step(
        "cut-strips",
        "Cut the strips",
        "every piece is cut, counted and labelled",
        time::times(time::CUT_STRIP, usize::try_from(count).unwrap_or(usize::MAX)),
    );
    step.cautions = vec![caution::knives(of.wall)];
    for (pixels, count) in pieces.iter().rev() {
        step.lines.push(format!(
            "{} of {}, from mark to mark.",
            counted(*count, "piece"),
            counted(*pixels, "pixel")
        ));
    }
    for (pixels, count) in spare.iter().rev() {
        step.lines.push(format!(
            "{} of {} for the heads of data lines: they stay dark.",
            counted(*count, "piece"),
            counted(*pixels, "pixel")
        ));
    }
    step.lines.push(format!(
        "Rolls are of {} pixels. Cut in the middle of the copper pads at a mark, midway between two pixels, so \
         that half of each pad stays on either side. Where a maker's solder joint lies within a piece, it \
         counts as a joint: look at it.",
        of.wall.strip.roll_pixels
    ));
    step.lines.push(
        "Put the label of its strip (sheets of labels) like a flag round each piece, at the end where its arrows start: \
         it comes off when the strip is laid, and the number is then on the board."
            .into(),
    );
    step
}

fn cut_wires(of: Of<'_>) -> Step {
    let wires = of.plan.material.wires.iter().filter(|run| run.joins != Use::MainsCord);
    let count: u64 = wires.clone().map(|run| run.count).sum();
    let mut step = step(
        "cut-wires",
        "Cut the wires",
        "every wire is cut; feeds and data leads have their labels",
        time::times(time::CUT_WIRE, usize::try_from(count).unwrap_or(usize::MAX)),
    );
    step.lines.push("With some spare for the ends; lists/wires.csv has them all.".into());
    for run in wires {
        step.lines.push(format!(
            "{} of {} {} ({}), {} each: {}.",
            run.count,
            run.size,
            run.colour,
            run.label,
            run.cut_m.to_mark(of.wall.figures),
            joins(run.joins),
        ));
    }
    step.lines.push(format!(
        "DC colours of this wall: {}. They are no mains colours of the convention that the file names; data is \
         never green. A strip's own lead colours, often red, green and white, mean nothing here.",
        caution::dc_colours(of.wall)
    ));
    step
}

fn joins(joins: Use) -> &'static str {
    match joins {
        Use::Feed => "supply to strip",
        Use::Jumper => "strip to strip",
        Use::DataLead => "receiver to first pixel",
        Use::ReceiverSupply => "supply to receiver",
        Use::BoardEarth => "earth to board",
        Use::MainsCord => "plug to supply",
    }
}

fn cut_boards(of: Of<'_>) -> Option<Step> {
    let boards = of.plan.material.boards.as_ref()?;
    let mut step = step(
        "cut-boards",
        "Cut the boards",
        "every board is cut",
        time::times(time::BOARD / 2.0, of.wall.panels.len()),
    );
    step.cautions = vec![caution::knives(of.wall)];
    let figures = of.wall.figures;
    for piece in &boards.pieces {
        step.lines.push(format!(
            "{} of {} x {}, {} of {}.",
            counted(piece.panels.len() as u64, "board"),
            piece.width_m.to_mark(figures),
            piece.height_m.to_mark(figures),
            boards.thickness_m.shown(figures),
            boards.material,
        ));
    }
    step.lines.push(
        "Where each lies on its sheet: lists/boards.csv, and the sheet of boards. Lengths are of the boards as they \
         are wanted: a saw takes its width beside the line, so mark the next board when the one before is off. \
         Measure both diagonals of each."
            .into(),
    );
    Some(step)
}

fn cut_cloth(of: Of<'_>) -> Option<Step> {
    let cloth = of.plan.material.cloth.as_ref()?;
    let mut step = step(
        "cut-cloth",
        "Cut the cloth",
        "every piece of cloth is cut",
        time::times(time::CUT_CLOTH, of.wall.panels.len()),
    );
    let figures = of.wall.figures;
    for piece in &cloth.pieces {
        step.lines.push(format!(
            "{} of {} x {}, sides and fold included.",
            counted(piece.panels.len() as u64, "piece"),
            piece.width_m.to_mark(figures),
            piece.height_m.to_mark(figures),
        ));
    }
    Some(step)
}

/// Width and height of a panel as it hangs, for what was built.
pub(super) fn size(of: Of<'_>, panel: &Panel) -> String {
    let (width, height) = Built::of(of.wall, panel).size();
    format!("{} x {}", metric(width), metric(height))
}
