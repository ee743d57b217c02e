//! Every wall of `examples/walls/` is read and planned, and says what it is there to say.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use glowloom_design::{Wall, read};
use glowloom_plan::{Kind, Plan, patch, plan};

fn walls() -> Vec<(String, Wall, Plan)> {
    let folder = glowloom_tests::at("examples/walls");
    let mut names: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    names.sort();
    names
        .iter()
        .map(|path| {
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            let wall = read(&std::fs::read(path).unwrap())
                .unwrap_or_else(|wrong| panic!("{name}: {wrong:#?}"));
            let plan = plan(&wall);
            (name, wall, plan)
        })
        .collect()
}

fn count(plan: &Plan, kind: Kind) -> usize {
    plan.findings.iter().filter(|finding| finding.kind == kind).count()
}

#[test]
fn each_is_planned_and_patched() {
    let walls = walls();
    assert!(walls.len() >= 7);
    for (name, wall, plan) in &walls {
        let patch = patch(wall).unwrap_or_else(|error| panic!("{name}: {error}"));
        let shown: usize =
            patch.panels().iter().flat_map(|p| &p.lines).flat_map(|l| &l.pixels).flatten().count();
        let covered = plan.geometry.pixels - plan.geometry.uncovered_pixels;
        assert_eq!(shown, covered as usize, "{name}");
        // The document holds nothing that JSON has no word for.
        let json = serde_json::to_value(plan).unwrap();
        assert_eq!(json["format"], 1, "{name}");
        assert_eq!(plan.tiles.is_some(), wall.baffle.is_some(), "{name}");
        for finding in &plan.findings {
            assert!(finding.line > 0 && !finding.remedy.is_empty(), "{name}: {finding:?}");
        }
    }
}

#[test]
fn the_demo_is_sound_and_the_slipway_is_not() {
    for (name, _, plan) in walls() {
        let (hazards, faults) = (count(&plan, Kind::Hazard), count(&plan, Kind::Fault));
        if name == "slipway" {
            assert!(hazards >= 2 && faults >= 4, "{:#?}", plan.findings);
        } else {
            assert_eq!((hazards, faults), (0, 0), "{name}: {:#?}", plan.findings);
        }
    }
}

/// The whole path of one wall, by hand: 640 pixels a line are 19.48 ms at 1.25 us a bit and a reset
/// of 280 us (WS2812B data sheets); each line takes 4 universes of 170, and one synchronization
/// packet goes to each receiver.
#[test]
fn figures_of_the_demo() {
    let (_, _, plan) = walls().into_iter().find(|wall| wall.0 == "tidewall").unwrap();
    assert_eq!(plan.geometry.pixels, 1920);
    assert!((plan.geometry.width_m.0 - 2.0).abs() < 1e-9);
    assert!((plan.data.lines[0].seconds_per_frame.0 - 0.01948).abs() < 1e-9);
    assert_eq!(plan.data.link.packets_per_frame, 3 * (4 + 1));
    let bytes = 3 * (3 * (126 + 510) + (126 + 130 * 3) + 49);
    assert_eq!(plan.data.link.bytes_per_frame, bytes);
    assert!((plan.power.full_white.amps.0 - 1920.0 * 0.061).abs() < 1e-9);
}

/// A file that `new` writes is within its limits, whatever strip it is of and however large.
#[test]
fn new_walls_begin_sound() {
    use glowloom_design::catalogue::strip;
    use glowloom_design::draft::Answers;
    for part in strip::ALL {
        for (columns, rows, panels) in [(16, 16, 1), (60, 32, 1), (120, 68, 4)] {
            let mut answers = Answers {
                strip: part.key.into(),
                columns,
                rows,
                panels_across: panels,
                ..Answers::default()
            };
            let wall = read(answers.text().as_bytes()).unwrap();
            answers.brightness_limit = glowloom_plan::sound::sound_brightness(&wall).unwrap();
            let plan = plan(&read(answers.text().as_bytes()).unwrap());
            let serious = count(&plan, Kind::Hazard) + count(&plan, Kind::Fault);
            assert_eq!(serious, 0, "{} {columns} x {rows}: {:#?}", part.key, plan.findings);
        }
    }
}
