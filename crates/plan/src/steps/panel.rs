//! One panel on the bench: board, strips, joints, then wiring, first power and its front.

use glowloom_design::catalogue::strip::Signal;
use glowloom_design::wall::{Direction, Edge, Jumpers, Panel, Path, Turn};
use glowloom_units::{Figures, Metres};

use super::what::{Stage, What};
use super::{Of, Step, Task, caution, counted, metric, power_on, prepare, time, wiring};
use crate::built::Built;
use crate::meter::{Spot, near_edge};
use crate::path::{PanelPath, Run, Shares};
use crate::power::figures::edge_key;
use crate::power::measure::Place;
use crate::tiles::kinds::partition;

pub(super) fn steps(of: Of<'_>, panel: &Panel) -> Vec<Step> {
    let mut steps = vec![board(of, panel), strips(of, panel)];
    steps.extend(joints(of, panel));
    steps.extend(wiring::steps(of, panel));
    steps.extend(power_on::steps(of, panel));
    steps.extend(tiles(of, panel));
    steps.extend(cloth(of, panel));
    steps
}

/// A step of a panel; its id is the key and the panel's name, which stands in the title at `@`.
pub(super) fn step(key: &str, panel: &Panel, title: &str) -> Step {
    Step {
        id: format!("{key} {}", panel.name),
        title: title.replacen('@', &panel.name, 1),
        panel: Some(panel.name.clone()),
        cautions: Vec::new(),
        lines: Vec::new(),
        tasks: Vec::new(),
        checks: Vec::new(),
        estimate: time::SETTING,
    }
}

/// The side of an edge as the panel hangs, from the front: `bottom`.
pub(super) fn side(panel: &Panel, edge: Edge) -> &'static str {
    let [near, _] = near_edge(panel);
    match (edge, near) {
        (Edge::Near, near) => near,
        (Edge::Far, "top") => "bottom",
        (Edge::Far, "bottom") => "top",
        (Edge::Far, "left") => "right",
        (Edge::Far, _) => "left",
    }
}

/// Which way data runs on a strip that it enters at that edge: `up`.
fn way(panel: &Panel, enters: Edge) -> &'static str {
    match side(panel, enters) {
        "top" => "down",
        "bottom" => "up",
        "left" => "to the right",
        _ => "to the left",
    }
}

/// Where a strip's data comes in.
pub(super) fn enters(run: &Run) -> Edge {
    if run.starts_near { Edge::Near } else { Edge::Far }
}

/// The strips of a panel shared out among its supplies.
pub(super) fn zones(of: Of<'_>, panel: &Panel) -> Shares {
    let strips = panel.strip_count();
    Shares::new(strips, of.wall.power.supplies_per_panel.min(strips))
}

fn board(of: Of<'_>, panel: &Panel) -> Step {
    let mut step = step("board", panel, "Mark out the board of @");
    let built = Built::of(of.wall, panel);
    let ((width, height), (right, down)) = (built.size(), built.steps());
    let figures = of.wall.figures;
    let near = side(panel, Edge::Near);
    let upright = matches!(near, "top" | "bottom");
    // Strips that stand are as far apart as columns.
    let across = if upright { right } else { down };
    let first = Spot::of(panel, Place::Pad { strip: 1, edge: Edge::Near });
    step.cautions = vec![caution::knives(of.wall)];
    step.lines = vec![
        format!(
            "{} wide, {} high as it hangs. Write TOP at its top, FRONT on its front, and the panel's name on \
             both sides.",
            width.to_mark(figures),
            height.to_mark(figures)
        ),
        format!(
            "On the front draw the centre lines of {}, {} one from the next; the first and the last are {} from \
             their edges. Strips {}.",
            counted(panel.strip_count(), "strip"),
            fine(across, figures),
            fine(across / 2.0, figures),
            if upright { "stand" } else { "lie" },
        ),
        format!(
            "Number them from the corner where strip 1 is: from the front it is the {}. That edge, the {near}, \
             is the near edge.",
            first.front
        ),
        "Bore a hole for each pair of feed wires beside the strip end that it goes to, clear of its line, and for \
         the data lead beside the first pixel. Smooth their edges: no wire is chafed."
            .into(),
    ];
    step.lines.extend(fixing_places(of, panel));
    if of.wall.board.is_none() {
        step.lines.push(
            "The wall file names no board: whatever carries the strips must not burn and must not conduct."
                .into(),
        );
    }
    step.tasks = vec![Task::stage(panel, Stage::Board, prepare::size(of, panel))];
    step.estimate = time::BOARD;
    step
}

/// Where to mark the places of the fixings, while the board still lies free.
fn fixing_places(of: Of<'_>, panel: &Panel) -> Option<String> {
    let hanging = of.wall.hanging.as_ref()?;
    let points = crate::structure::points::fixings(of.wall, panel, hanging);
    let (shown, figures) = (points.iter().take(MOST_PLACES), of.wall.figures);
    let places: Vec<String> = shown
        .map(|point| {
            let (right, down) = (point.right.to_mark(figures), point.down.to_mark(figures));
            format!("{right} right and {down} down")
        })
        .collect();
    let more = if points.len() > MOST_PLACES {
        "; the others are on the sheet of hanging points"
    } else {
        ""
    };
    Some(format!(
        "Mark where the {} fixings go, seen from the front from the top-left corner: {}{more}. What is bored for \
         them is bored now; there is a template of the corners.",
        points.len(),
        places.join("; "),
    ))
}

/// So many places of fixings are read in one sentence.
const MOST_PLACES: usize = 8;

/// A spacing, which matters to the hundredth of a millimetre.
fn fine(length: Metres, figures: Figures) -> String {
    match figures {
        Figures::Metric => format!("{:.2} mm", length.0 * 1000.0),
        Figures::Imperial => format!("{:.3} in", length.0 / 0.0254),
    }
}

fn strips(of: Of<'_>, panel: &Panel) -> Step {
    let mut step = step("strips", panel, "Lay the strips of @");
    let pixels = panel.strip_pixels();
    step.cautions = vec![caution::glue()];
    step.lines = vec![
        format!(
            "Each is a piece of {}. Lay it along its centre line, its first and last pixel half a pitch ({}) \
             from the edges; the end named below is where data comes in (DI); from there \
             its arrows point away. All seen from the front as it hangs.",
            counted(pixels, "pixel"),
            fine(of.wall.pitch() / 2.0, of.wall.figures),
        ),
        match panel.path {
            Path::Serpentine => {
                "The arrows of neighbours on one data line point opposite ways: look twice at every strip \
                 before it sticks."
            }
            Path::Progressive => "The arrows of all strips point the same way.",
        }
        .into(),
        "Press each down from one end to the other. Bare board must be clean, dry and free of dust.".into(),
    ];
    let lines = PanelPath::of(panel);
    // What is built stays the same however it is hung.
    let unturned = Panel { turn: Turn::None, ..panel.clone() };
    for line in lines.lines() {
        for run in line.runs() {
            let (strip, edge) = (run.first.strip, enters(&run));
            let place = Place::Pad { strip, edge };
            let (spot, own) = (Spot::of(panel, place), Spot::of(&unturned, place));
            let way = way(panel, edge);
            let line_words = if lines.shares().takers() > 1 {
                format!(", data line {}", line.number)
            } else {
                String::new()
            };
            step.tasks.push(Task::new(
                What::Strip { panel: panel.name.clone(), strip },
                // Twenty such lines below each other are read faster when each is one line.
                format!("front: {}; arrows {way}{line_words}", spot.front.replace("at its ", "")),
                format!("{pixels} pixels, in at the {}", own.front),
            ));
        }
    }
    let length = of.wall.pitch() * f64::from(pixels);
    let each = time::LAY + time::LAY_METRE * length.0;
    step.estimate = time::times(each, panel.strip_count() as usize);
    step
}

/// The joints of a panel; none where every data line has one strip.
fn joints(of: Of<'_>, panel: &Panel) -> Option<Step> {
    let mut step = step("joints", panel, "Join the strips of @");
    let zones = zones(of, panel);
    let clocked = of.wall.strip.signal != Signal::OneWire;
    let data = if clocked { "data and clock" } else { "data" };
    let mut wires = 0;
    let mut open = 0;
    for line in PanelPath::of(panel).lines() {
        let runs: Vec<Run> = line.runs().collect();
        for pair in runs.windows(2) {
            let [before, after] = pair else { continue };
            let strip = before.first.strip;
            let (leaves, enters) = (enters(before).opposite(), enters(after));
            let apart = zones.taker_of(strip - 1) != zones.taker_of(strip);
            let (power, power_wires) = match panel.jumpers {
                Jumpers::Data => (format!("{data} alone; each strip has its own power"), 0),
                Jumpers::PowerAndData if apart => {
                    open += 1;
                    (
                        format!(
                            "minus and {data}; LEAVE PLUS OPEN: supply {} ends here, supply {} begins",
                            zones.taker_of(strip - 1) + 1,
                            zones.taker_of(strip) + 1
                        ),
                        1,
                    )
                }
                Jumpers::PowerAndData => (format!("plus, minus and {data}"), 2),
            };
            wires += power_wires + if clocked { 2 } else { 1 };
            let ends = if leaves == enters {
                format!("at the {} edge ({})", side(panel, leaves), edge_key(leaves))
            } else {
                format!(
                    "from the {} edge ({}) back to the {} edge ({})",
                    side(panel, leaves),
                    edge_key(leaves),
                    side(panel, enters),
                    edge_key(enters)
                )
            };
            step.tasks.push(Task::new(
                What::Joint { panel: panel.name.clone(), strip },
                format!("{ends}: {power}"),
                format!("{} to {}: {power}", edge_key(leaves), edge_key(enters)),
            ));
        }
    }
    if step.tasks.is_empty() {
        return None;
    }
    let wire = &of.wall.power.jumper_wire;
    let length = match panel.path {
        Path::Serpentine => wire.length,
        Path::Progressive => wire.length + of.wall.pitch() * f64::from(panel.strip_pixels()),
    };
    let spare = length * of.wall.wire_buying.spare;
    step.cautions = vec![caution::solder()];
    step.lines = vec![
        format!(
            "Short wires from the pads of one strip to the same pads of the next: plus to plus, minus to minus, \
             data out (DO) of the first to data in (DI) of the second. {} for power. As cut, {} each, {} is spare for \
             the ends.",
            crate::material::wire::WireSize::of(wire),
            (length + spare).to_mark(of.wall.figures),
            spare.to_mark(of.wall.figures),
        ),
        "After each: tug at the wire, and look that no solder or strand lies between two pads."
            .into(),
    ];
    if panel.data_lines.min(panel.strip_count()) > 1 {
        step.lines.push(
            "Between the last strip of one data line and the first of the next there is no joint and no wire."
                .into(),
        );
    }
    if open > 0 {
        step.lines.push(format!(
            "At {} plus stays open, since two supplies meet there; minus and data go on.",
            counted(open as u64, "joint")
        ));
    }
    step.estimate = time::times(time::JUMPER, wires);
    Some(step)
}

fn tiles(of: Of<'_>, panel: &Panel) -> Option<Step> {
    let (tiles, baffle) = (of.plan.tiles.as_ref()?, of.wall.baffle.as_ref()?);
    let partition = partition(of.wall, baffle, panel)?;
    let mut step = step("tiles", panel, "Lay the baffle of @");
    let upright = panel.strips == Direction::Vertical;
    let runs = |runs: &[crate::tiles::partition::Run]| {
        let all: Vec<String> = runs
            .iter()
            .map(|run| match run.parts {
                parts @ 1..=8 => vec![run.cells.to_string(); parts as usize].join(", "),
                parts => format!("{} ({parts} times)", run.cells),
            })
            .collect();
        all.join(", ")
    };
    let (across, along) = (runs(&partition.across), runs(&partition.along));
    let (columns, rows) = if upright { (&across, &along) } else { (&along, &across) };
    let turned = match panel.turn.degrees() {
        0 => String::new(),
        degrees => format!(", before the panel is turned by {degrees} degrees clockwise"),
    };
    let mut parts: Vec<String> = Vec::new();
    for kind in &tiles.kinds {
        let same = |(columns, rows, ends, _): &(u32, u32, u8, u64)| {
            (*columns, *rows, *ends) == (kind.columns, kind.rows, kind.ends)
        };
        let count: u64 = partition.kinds().filter(same).map(|part| part.3).sum();
        // Kinds of another spacing are another panel's.
        let grid = crate::tiles::kinds::grid(of.wall, baffle, panel);
        if count > 0 && kind.shape.half_column == grid.half_column {
            parts.push(format!("{count} x {}", kind.name));
        }
    }
    step.lines = vec![
        format!("It takes {}.", parts.join(", ")),
        format!(
            "Seen from the front{turned}: from the left tiles of {columns} cells, from the top of {rows}. Open \
             edges of end tiles lie over the joints."
        ),
        "Each cell sits over its pixel before glue is used. A few dots of glue are enough: a tile must come off \
         again for a repair."
            .into(),
    ];
    if !tiles.rim.is_empty() {
        step.lines
            .push("Then the strips of the rim, each past one corner and up to the next.".into());
    }
    step.lines.insert(0, DEAD.into());
    step.cautions = vec![caution::glue()];
    let built = format!("{columns} by {rows} cells, {} deep", metric(baffle.depth));
    step.tasks = vec![Task::stage(panel, Stage::Tiles, built)];
    step.estimate =
        time::times(time::TILE, usize::try_from(partition.tiles()).unwrap_or(usize::MAX));
    Some(step)
}

/// The panel was lit in the step before.
const DEAD: &str = "Plug out, and wait until plus to minus reads below 1 V: nothing is worked on while it is live.";

fn cloth(of: Of<'_>, panel: &Panel) -> Option<Step> {
    let diffuser = of.wall.diffuser.as_ref()?;
    let mut step = step("cloth", panel, "Stretch the cloth over @");
    step.lines = vec![format!(
        "Lay it face down, the panel on it, and fold {} behind on each side: the middle of each side first, \
         opposite sides in turn, corners last, each cut off as the sheet of the cloth's corner has it once all fits dry. The weave runs \
         straight along the edges. Where it would cover the place of a fixing, cut a window.",
        diffuser.wrap.shown(of.wall.figures)
    )];
    step.lines.insert(0, DEAD.into());
    step.cautions = vec![caution::covered()];
    let (width, height) = Built::of(of.wall, panel).size();
    let (width, height) = crate::material::cloth::piece(of.wall, width, height, diffuser.wrap);
    step.tasks =
        vec![Task::stage(panel, Stage::Cloth, format!("{} x {}", metric(width), metric(height)))];
    step.estimate = time::CLOTH;
    Some(step)
}
