//! Assembly steps: of every wall all of it, once, and of no other.

mod support;

use std::collections::BTreeSet;

use glowloom_design::Wall;
use glowloom_design::wall::Edge;
use glowloom_plan::meter::sheet;
use glowloom_plan::path::{PanelPath, Shares};
use glowloom_plan::plan;
use glowloom_plan::steps::{Danger, Reading, Stage, Step, Steps, What, steps};
use proptest::prelude::*;

fn of(text: &str) -> (Wall, Steps) {
    let wall = support::read(text);
    let sheet = sheet(&wall).expect("a network with an answer");
    let steps = steps(&wall, &plan(&wall), Some(&sheet));
    (wall, steps)
}

fn step<'s>(steps: &'s Steps, id: &str) -> &'s Step {
    steps.steps().find(|step| step.id == id).unwrap_or_else(|| panic!("no step {id}"))
}

fn words(steps: &Steps, what: &str) -> String {
    let mut found = steps.tasks().filter(|task| task.what.to_string() == what);
    let task = found.next().unwrap_or_else(|| panic!("no task {what}"));
    assert!(found.next().is_none(), "{what} twice");
    task.words.clone()
}

/// Everything to build a wall from, and no hand on the mains without a word.
#[test]
fn the_demo_by_its_steps() {
    let file = include_str!("../../../examples/walls/tidewall.toml");
    let (wall, steps) = of(file);
    let panels: Vec<&str> =
        steps.sections.iter().filter_map(|section| section.panel.as_deref()).collect();
    assert_eq!(panels, ["west", "middle", "east"]);
    // By hand from the file: 20 strips entered at the bottom left, serpentine; 8 feeds evenly.
    assert_eq!(words(&steps, "joint west:4-5"), "at the bottom edge (near): plus, minus and data");
    assert_eq!(words(&steps, "joint west:5-6"), "at the top edge (far): plus, minus and data");
    let third = words(&steps, "strip west 3");
    assert_eq!(third, "front: 3rd strip from the left, bottom end; arrows up");
    let feed = words(&steps, "feed west 2 near");
    let wanted =
        "F1; back: 2nd strip from the right, at its bottom end; 2.5 mm2, 1.20 m each way; fuse 5 A";
    assert!(feed.starts_with(wanted), "{feed}");
    // A panel of 20 x 32 pixels 33.33 mm apart; the wall's lower edge is 1.1 m above the floor.
    let hung = words(&steps, "panel middle hung");
    assert_eq!(hung, "top-left corner 666.7 mm right and 0 mm down, 2166.7 mm above the floor");
    assert_eq!(words(&steps, "tile 5x6-plain"), "48 of them, printed and looked over");
    // What to read is what the plan says of the supply and of the measuring points.
    let volts = &step(&steps, "volts west").checks[0];
    assert_eq!(volts.reading.map(|r| r.to_string()).as_deref(), Some("5.00 V (4.95 to 5.05 V)"));
    let sheet = sheet(&wall).unwrap();
    let lit = step(&steps, "lit west");
    for point in &sheet.kinds[0].points {
        let At { expected, .. } = At::of(point);
        let found = lit.checks.iter().any(|check| {
            let Some(Reading::Volts(band)) = check.reading else { return false };
            check.words.contains(&point.spot.words)
                && band.expected.map(|volts| volts.0) == Some(expected)
        });
        assert!(found, "{}", point.spot.words);
    }
    for check in steps.steps().flat_map(|step| &step.checks) {
        assert!(!check.otherwise.is_empty(), "{check:?}");
    }
    // Nobody works on a panel that is still lit.
    for id in ["tiles west", "cloth west"] {
        assert!(step(&steps, id).lines[0].starts_with("Plug out"), "{id}");
    }
    cautions(&steps, "brown (L), neutral blue (N), earth green-and-yellow (PE)");
    let us = file.replace("colours = \"iec\"", "colours = \"us\"");
    cautions(&of(&us).1, "black (L), neutral white (N), earth green (G)");
}

struct At {
    expected: f64,
}

impl At {
    fn of(point: &glowloom_plan::meter::Point) -> Self {
        Self { expected: point.volts[0].expected.0 }
    }
}

/// Where mains is worked on or switched on stands a caution that defers to local codes; mains colours
/// are those of the file's convention and of no other.
fn cautions(steps: &Steps, colours: &str) {
    let has = |id: &str, danger: Danger| {
        let found = step(steps, id).cautions.iter().find(|caution| caution.danger == danger);
        found.unwrap_or_else(|| panic!("{id} says nothing of {danger:?}")).text.clone()
    };
    for id in ["supplies west", "volts west", "bench", "hang", "all-on"] {
        assert!(has(id, Danger::Mains).contains("local codes"), "{id}");
    }
    assert!(has("supplies west", Danger::Mains).contains(colours));
    for id in
        ["feeds west", "ohms west", "volts west", "first-strip west", "lit west", "receiver west"]
    {
        has(id, Danger::Dc);
    }
    for id in ["lit west", "all-on", "watch", "cloth west", "print"] {
        has(id, Danger::Heat);
    }
    has("hang", Danger::Hanging);
    has("joints west", Danger::Tools);
    has("lit west", Danger::Flashes);
}

#[test]
fn steps_of_two_walls_differ() {
    let one = of(&support::one(4, 3, "ws2812b-30", "", "[power]\nfeeds = 2\n")).1;
    let other = of(&support::one(4, 3, "ws2812b-30", "", "[power]\nfeeds = 1\n")).1;
    assert_ne!(one, other);
    let turned = of(&support::one(4, 4, "ws2812b-30", "turn = 90\n", "[power]\nfeeds = 2\n")).1;
    assert_eq!(words(&turned, "joint only:1-2"), "at the right edge (far): plus, minus and data");
    // It is built as before, and hung another way.
    let built = |steps: &Steps, what: &str| {
        steps.tasks().find(|task| task.what.to_string() == what).unwrap().built.clone()
    };
    let square = of(&support::one(4, 4, "ws2812b-30", "", "[power]\nfeeds = 2\n")).1;
    for what in ["strip only 2", "joint only:1-2", "feed only 1 near"] {
        assert_eq!(built(&turned, what), built(&square, what));
    }
    assert_ne!(built(&turned, "panel only hung"), built(&square, "panel only hung"));
}

#[test]
fn plus_stays_open_between_supplies_and_nothing_joins_data_lines() {
    let panel = "data_lines = 2\n";
    let power = "[power]\nfeeds = 3\nsupplies_per_panel = 3\n[receiver]\nboard = \"esp32\"\n";
    let (_, steps) = of(&support::one(6, 2, "ws2812b-30", panel, power));
    // Zones of strips 1-2, 3-4, 5-6; lines of strips 1-3, 4-6.
    let joints: Vec<(String, bool)> = steps
        .tasks()
        .filter(|task| matches!(task.what, What::Joint { .. }))
        .map(|task| (task.what.to_string(), task.words.contains("LEAVE PLUS OPEN")))
        .collect();
    let joint = |strips: &str, open| (format!("joint only:{strips}"), open);
    assert_eq!(
        joints,
        [joint("1-2", false), joint("2-3", true), joint("4-5", true), joint("5-6", false)]
    );
    let ohms = step(&steps, "ohms only");
    assert!(ohms.checks.iter().any(|check| check.words.contains("plus is open between them")));
    let alone =
        of(&support::one(3, 2, "ws2812b-30", "jumpers = \"data\"\n", "[power]\nfeeds = 3\n")).1;
    let wanted = "at the top edge (far): data alone; each strip has its own power";
    assert_eq!(words(&alone, "joint only:1-2"), wanted);
}

/// Where nobody can say what a meter shows, nobody is told to go on.
#[test]
fn without_figures_the_steps_say_so() {
    let wall = support::read(&support::one(4, 3, "ws2812b-30", "", "[power]\nfeeds = 2\n"));
    let steps = steps(&wall, &plan(&wall), None);
    for id in ["bench", "lit only", "all-on"] {
        let said = step(&steps, id).lines.iter().any(|line| line.contains("Do not power anything"));
        assert!(said, "{id}");
    }
}

/// A wall that can burn is not powered on by its own book.
#[test]
fn steps_of_a_dangerous_wall_stop() {
    let (_, steps) = of(include_str!("../../../examples/walls/slipway.toml"));
    assert!(step(&steps, "ready").lines[0].starts_with("Do not build yet. The plan has "));
    let panel = steps.sections.iter().find_map(|section| section.panel.clone()).unwrap();
    let lit = step(&steps, &format!("lit {panel}"));
    assert!(lit.lines.iter().any(|line| line.contains("do not power it")), "{:?}", lit.lines);
    assert!(lit.checks.is_empty());
    let volts = step(&steps, &format!("volts {panel}"));
    assert!(volts.lines[0].starts_with("Do not go on: trim_volts is 5.60 V"), "{:?}", volts.lines);
    let feeds = step(&steps, &format!("feeds {panel}"));
    assert!(feeds.tasks.iter().any(|task| task.words.contains("NO FUSE FITS")));
}

fn any_wall() -> impl Strategy<Value = String> {
    let panel = (
        1u32..7,
        1u32..5,
        0usize..4,
        any::<bool>(),
        any::<bool>(),
        1u32..4,
        0u32..2,
        any::<bool>(),
    );
    let walls = prop::collection::vec(panel, 1..4);
    (walls, 1u32..4, any::<bool>()).prop_map(|(panels, supplies, baffle)| {
        let corners = ["top-left", "top-right", "bottom-left", "bottom-right"];
        let (mut text, mut at, mut least) = (String::new(), 0, supplies);
        for (number, panel) in panels.iter().enumerate() {
            let (columns, rows, corner, upright, serpentine, lines, spare, data_only) = *panel;
            let strips = if upright { columns } else { rows };
            least = least.min(strips);
            text.push_str(&format!(
                "[[panels]]\nname = \"p{number}: x\"\nat = [{at}, 0]\ncolumns = {columns}\nrows = {rows}\n\
                 enter = \"{}\"\nstrips = \"{}\"\npath = \"{}\"\ndata_lines = {}\nspare_pixels = {spare}\n\
                 jumpers = \"{}\"\nfeeds = {strips}\n",
                corners[corner],
                if upright { "vertical" } else { "horizontal" },
                if serpentine { "serpentine" } else { "progressive" },
                lines.min(strips),
                if data_only { "data" } else { "power and data" },
            ));
            at += columns;
        }
        let baffle = if baffle { "[baffle]\n" } else { "" };
        format!(
            "format = 1\n[wall]\nname = \"Any\"\ncolumns = {at}\nrows = 5\n[strip]\npart = \"ws2812b-30\"\n\
             {text}[power]\nsupplies_per_panel = {least}\n[receiver]\nboard = \"esp32\"\n{baffle}"
        )
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Each panel, strip, joint, feed, supply and data line of a wall has one task, and nothing else has.
    #[test]
    fn everything_of_a_wall_once(text in any_wall()) {
        let (wall, steps) = of(&text);
        let tasks: Vec<&What> = steps.tasks().map(|task| &task.what).collect();
        let set: BTreeSet<&What> = tasks.iter().copied().collect();
        prop_assert_eq!(tasks.len(), set.len(), "a task comes twice");
        let ids: BTreeSet<&str> = steps.steps().map(|step| step.id.as_str()).collect();
        prop_assert_eq!(ids.len(), steps.steps().count(), "an id comes twice");
        let sections: Vec<&str> = steps.sections.iter().filter_map(|s| s.panel.as_deref()).collect();
        let names: Vec<&str> = wall.panels.iter().map(|panel| panel.name.as_str()).collect();
        prop_assert_eq!(sections, names);
        // What there is, counted from the wall itself.
        let mut wanted = BTreeSet::new();
        for panel in &wall.panels {
            let name = || panel.name.clone();
            let strips = panel.strip_count();
            wanted.extend((1..=strips).map(|strip| What::Strip { panel: name(), strip }));
            let lines = Shares::new(strips, panel.data_lines);
            let joined = (1..strips).filter(|s| lines.taker_of(s - 1) == lines.taker_of(*s));
            wanted.extend(joined.map(|strip| What::Joint { panel: name(), strip }));
            for feed in &panel.feeds {
                wanted.insert(What::Feed { panel: name(), strip: feed.strip, edge: feed.edge });
            }
            let count = PanelPath::of(panel).lines().count() as u32;
            wanted.extend((1..=count).map(|line| What::Lead { panel: name(), line }));
            let supplies = wall.power.supplies_per_panel;
            wanted.extend((1..=supplies).map(|supply| What::Supply { panel: name(), supply }));
            wanted.insert(What::Receiver { panel: name() });
            wanted.insert(What::Panel { panel: name(), stage: Stage::Hung });
        }
        let found: BTreeSet<What> = set
            .iter()
            .filter(|what| !matches!(what, What::Step { .. } | What::Part { .. }))
            .filter(|what| !matches!(what, What::Panel { stage, .. } if *stage != Stage::Hung))
            .map(|what| (*what).clone())
            .collect();
        prop_assert_eq!(found, wanted);
        // Words name it again, to the last letter, and every task of a panel is in its section.
        for what in &set {
            let count = if matches!(what, What::Part { .. }) { " 1" } else { "" };
            let read = glowloom_plan::steps::what::read(&format!("{what}{count}"));
            prop_assert_eq!(read.map(|read| read.0), Ok((*what).clone()));
        }
        for section in &steps.sections {
            for task in section.steps.iter().flat_map(|step| &step.tasks) {
                let hung = matches!(task.what, What::Panel { stage: Stage::Hung, .. });
                prop_assert!(hung || task.what.panel() == section.panel.as_deref());
            }
        }
        // Data goes on where it comes out: each joint's edges against the path itself.
        for panel in &wall.panels {
            for line in PanelPath::of(panel).lines() {
                let runs: Vec<_> = line.runs().collect();
                for pair in runs.windows(2) {
                    let edge = |near: bool| if near { Edge::Near } else { Edge::Far };
                    let key = |edge| if edge == Edge::Near { "near" } else { "far" };
                    let what = What::Joint { panel: panel.name.clone(), strip: pair[0].first.strip };
                    let task = steps.tasks().find(|task| task.what == what).unwrap();
                    let ends = format!("{} to {}", key(edge(!pair[0].starts_near)), key(edge(pair[1].starts_near)));
                    prop_assert!(task.built.starts_with(&ends), "{} {}", task.what, task.built);
                }
            }
        }
    }
}
