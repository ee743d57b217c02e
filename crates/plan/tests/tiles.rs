//! Baffle tiles of whole walls: which, how many, of how much, how long.

mod support;

use glowloom_plan::tiles::Tiles;
use glowloom_plan::tiles::kinds::{grid, partition};
use glowloom_plan::{Code, Finding, Kind, Plan, plan};

fn tiles(text: &str) -> Tiles {
    plan(&support::read(text)).tiles.expect("a baffle that can be made")
}

/// Columns, rows, ends, how many.
fn kinds(tiles: &Tiles) -> Vec<(u32, u32, u8, u64)> {
    tiles.kinds.iter().map(|k| (k.columns, k.rows, k.ends, k.per_wall)).collect()
}

fn findings(baffle: &str) -> Vec<Finding> {
    printed(&plan(&support::read(&one(4, 4, "", baffle))))
}

/// What is said of the baffle; the rest of the wall is not the matter here.
fn printed(plan: &Plan) -> Vec<Finding> {
    let ours =
        |found: &&Finding| found.code.key().starts_with("baffle-") || found.code == Code::LongPrint;
    plan.findings.iter().filter(ours).cloned().collect()
}

/// A panel with strips upright.
fn one(columns: u32, rows: u32, panel: &str, baffle: &str) -> String {
    support::one(columns, rows, "ws2812b-30", panel, &format!("[baffle]\n{baffle}\n"))
}

#[test]
fn no_baffle_no_tiles() {
    let plan = plan(&support::read(&support::tidewall()));
    assert_eq!(plan.tiles, None);
    assert_eq!(serde_json::to_value(&plan).unwrap()["tiles"], serde_json::Value::Null);
}

/// Common practice, no source: a panel of 16 x 36 at 33.3 mm on a bed of 220 mm.
#[test]
fn sixteen_by_thirty_six() {
    let wanted = [(6, 6, 0, 8), (6, 6, 1, 4), (4, 6, 0, 4), (4, 6, 1, 2)];
    assert_eq!(kinds(&tiles(&one(16, 36, "", ""))), wanted);
    // The same panel lying, turned, or entered elsewhere is the same tiles.
    assert_eq!(kinds(&tiles(&one(36, 16, "strips = \"horizontal\"", ""))), wanted);
    let turned = one(16, 36, "turn = 90", "")
        .replace("columns = 16\nrows = 36\n[strip]", "columns = 36\nrows = 16\n[strip]");
    assert_eq!(kinds(&tiles(&turned)), wanted);
    assert_eq!(kinds(&tiles(&one(16, 36, "enter = \"top-right\"", ""))), wanted);
    // Strips of 16: ends at the long edges, and the tiles between are the small ones.
    assert_eq!(
        kinds(&tiles(&one(16, 36, "strips = \"horizontal\"", ""))),
        [(6, 6, 1, 12), (6, 4, 0, 6)]
    );
}

/// Common practice, no source: four such panels take about 3.5 kg of PLA, about 1.5 g a cell, and
/// weeks of printing on one small machine. Ours is lighter, as the module says; walls a fifth thicker
/// and no room cut away meet it.
#[test]
fn four_panels_against_practice() {
    let four = |baffle: &str| {
        let panels: String = (0..4)
            .map(|i| format!("[[panels]]\nname = \"p{i}\"\nat = [{}, 0]\n", 16 * i))
            .collect();
        tiles(&format!(
            "format = 1\n[wall]\nname = \"Four\"\ncolumns = 64\nrows = 36\n[strip]\npart = \
             \"ws2812b-30\"\n[panel]\ncolumns = 16\nrows = 36\n{panels}[baffle]\n{baffle}\n"
        ))
    };
    let ours = four("");
    assert_eq!(kinds(&ours), [(6, 6, 0, 32), (6, 6, 1, 16), (4, 6, 0, 16), (4, 6, 1, 8)]);
    assert_eq!((ours.count, ours.cells), (72, 2304));
    let a_cell = ours.filament_kg.0 * 1000.0 / 2304.0;
    assert!((a_cell - 1.26).abs() < 0.005 && (ours.filament_kg.0 - 2.905).abs() < 0.001);
    assert_eq!(ours.spools, 3);
    assert!((ours.left_over_kg.0 - (3.0 - ours.filament_kg.0)).abs() < 1e-12);
    // Makers' sheets as quoted: PLA of 1.75 mm, 335.28 m/kg (computed from 1.24 g/cm3).
    assert!((ours.filament_m.0 / ours.filament_kg.0 - 335.28).abs() < 0.005);
    // 72 prints, 71 times between them.
    let printing = ours.filament_kg.0 / 1240.0 * 1e9 / 6.0 / 3600.0;
    assert!((ours.hours.0 - (printing + 71.0 * 0.25)).abs() < 1e-9);
    assert_eq!(ours.days, 11);
    let slow = four("flow = \"2.5 mm3/s\"");
    assert!((22..=30).contains(&slow.days), "{} days: weeks", slow.days);
    let thicker = four("wall = \"0.95 mm\"").filament_kg.0 * 1000.0 / 2304.0;
    assert!((1.45..1.55).contains(&thicker), "{thicker} g a cell");
}

#[test]
fn different_panels_share_kinds() {
    let text = |spacing: &str| {
        format!(
            "format = 1\n[wall]\nname = \"W\"\ncolumns = 12\nrows = 12\n[strip]\npart = \"ws2812b-30\"\n\
             [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 6\nrows = 12\n{spacing}\
             [[panels]]\nname = \"b\"\nat = [6, 0]\ncolumns = 6\nrows = 6\n\
             [[panels]]\nname = \"c\"\nat = [6, 6]\ncolumns = 6\nrows = 6\nstrips = \"horizontal\"\n\
             [baffle]\nbed = [\"240 mm\", \"220 mm\"]\n"
        )
    };
    assert_eq!(kinds(&tiles(&text(""))), [(6, 6, 1, 2), (6, 6, 2, 2)]);
    // Cells of another size are another kind, and say so in their name.
    let found = tiles(&text("strip_spacing = \"36.25 mm\"\nplace = [\"-50 mm\", \"0 mm\"]\n"));
    assert_eq!(kinds(&found), [(6, 6, 1, 2), (6, 6, 2, 2)]);
    let names: Vec<_> = found.kinds.iter().map(|kind| kind.name.as_str()).collect();
    assert_eq!(names, ["tile-6x6-end-36.25mm", "tile-6x6-both-ends"]);
    assert!((found.kinds[0].width_m.0 - (6.0 * 0.03625 - 0.0002)).abs() < 1e-7);
}

/// A bed may be longer than it is wide: tiles lie on it either way.
#[test]
fn a_bed_that_is_not_square() {
    assert_eq!(kinds(&tiles(&one(4, 8, "", "bed = [\"300 mm\", \"150 mm\"]"))), [(4, 8, 2, 1)]);
    assert_eq!(kinds(&tiles(&one(4, 8, "", "bed = [\"150 mm\", \"300 mm\"]"))), [(4, 8, 2, 1)]);
}

/// Six cells are 200 mm less the gap: a bed of 199.8 mm takes them, a smaller one five.
#[test]
fn the_outer_size_counts() {
    let of =
        |bed: &str| kinds(&tiles(&one(6, 6, "", &format!("bed = [\"{bed} mm\", \"{bed} mm\"]"))));
    assert_eq!(of("199.81"), [(6, 6, 2, 1)]);
    assert_eq!(of("199.79"), [(3, 3, 1, 4)]);
}

#[test]
fn a_rim_is_printed_as_its_own_strips() {
    let bare = tiles(&one(6, 6, "", ""));
    let found = tiles(&one(6, 6, "", "rim = \"1.2 mm\""));
    assert_eq!(kinds(&found), kinds(&bare));
    assert_eq!((found.count, found.rim.len()), (1, 1));
    // Four sides of 201.2 mm, 20 mm broad, 1.2 mm thick.
    assert_eq!(found.rim[0].per_wall, 4);
    let grams = (found.filament_kg.0 - bare.filament_kg.0) * 1000.0;
    assert!((grams - 4.0 * 201.2 * 20.0 * 1.2 * 1.24e-3).abs() < 1e-3, "{grams}");
    // Eight lie on the bed at once: 20 mm and 5 mm between.
    let rim = found.plates.iter().find(|plate| plate.part == found.rim[0].name).unwrap();
    assert_eq!((rim.copies, rim.times), (4, 1));
}

/// Every panel's parts cover it, and tiles of the list are those of the panels.
#[test]
fn every_cell_is_printed_once() {
    let walls = [
        support::tidewall() + "[baffle]\n",
        one(16, 36, "", "bed = [\"90 mm\", \"150 mm\"]\nlip = [\"2 mm\", \"1 mm\"]"),
        one(17, 23, "strips = \"horizontal\"", "bed = [\"160 mm\", \"110 mm\"]\nhours_per_day = 2"),
        one(1, 1, "", ""),
        one(
            41,
            7,
            "strip_spacing = \"28 mm\"",
            "bed = [\"300 mm\", \"70 mm\"]\nflow = \"1 mm3/s\"",
        ),
    ];
    for (name, text) in walls.iter().enumerate() {
        let wall = support::read(text);
        let Some(tiles) = plan(&wall).tiles else { panic!("{name}: {:?}", plan(&wall).findings) };
        let cells: u64 = kinds(&tiles)
            .iter()
            .map(|(columns, rows, _, n)| u64::from(*columns) * u64::from(*rows) * n)
            .sum();
        let pixels: u32 = wall.panels.iter().map(glowloom_design::wall::Panel::pixels).sum();
        assert_eq!((cells, tiles.cells), (u64::from(pixels), u64::from(pixels)), "{name}");
        let baffle = wall.baffle.as_ref().unwrap();
        let cut = wall.panels.iter().map(|panel| {
            let partition = partition(&wall, baffle, panel).unwrap();
            let sum = |runs: &[glowloom_plan::tiles::partition::Run]| {
                runs.iter().map(|run| run.cells * run.parts).sum::<u32>()
            };
            let grid = grid(&wall, baffle, panel);
            assert_eq!((sum(&partition.across), sum(&partition.along)), (grid.columns, grid.rows));
            partition.tiles()
        });
        assert_eq!(cut.sum::<u64>(), tiles.count, "{name}");
        // Plates print what is wanted, no more.
        for kind in &tiles.kinds {
            let printed: u64 = tiles
                .plates
                .iter()
                .filter(|plate| plate.part == kind.name)
                .map(|plate| plate.copies * plate.times)
                .sum();
            assert_eq!(printed, kind.per_wall, "{name}");
        }
        let in_calendar: u64 = tiles
            .calendar
            .iter()
            .map(|stretch| {
                let turns = (stretch.last_day - stretch.first_day + 1) / stretch.days_each;
                turns * stretch.plates.iter().map(|printed| printed.plates).sum::<u64>()
            })
            .sum();
        assert_eq!(in_calendar, tiles.plates.iter().map(|plate| plate.times).sum::<u64>());
    }
}

/// The one finding about the baffle; its remedy, written into the file, must settle it.
#[track_caller]
fn finding(baffle: &str, code: Code) -> Finding {
    let mut found = findings(baffle);
    assert_eq!(found.iter().map(|f| f.code).collect::<Vec<_>>(), [code], "{found:#?}");
    found.remove(0)
}

/// The words of a remedy that may be written into the file: from a key to the end of its value.
fn advised<'r>(remedy: &'r str, key: &str) -> &'r str {
    let start = remedy.find(&format!("{key} = ")).unwrap_or_else(|| panic!("{remedy}"));
    let rest = &remedy[start..];
    let list = rest[key.len() + 3..].starts_with('[');
    let end = if list {
        rest.find(']').expect("a list ends") + 1
    } else {
        rest.match_indices('"').nth(1).expect("a text ends").0 + 1
    };
    &rest[..end]
}

#[test]
fn the_default_baffle_has_no_findings() {
    assert_eq!(findings(""), []);
    assert_eq!(findings("lip = [\"2 mm\", \"1 mm\"]\nrim = \"1.2 mm\""), []);
}

/// A new wall file offers a baffle; with every comment taken away it is one that can be printed.
#[test]
fn what_a_new_file_offers_can_be_printed() {
    for strip in ["ws2812b-30", "ws2812b-60"] {
        let strip = strip.to_owned();
        let text = glowloom_design::draft::Answers { strip, ..Default::default() }.text();
        let (start, end) = (text.find("# [baffle]").unwrap(), text.find("# [board]").unwrap());
        let offered: String = text[start..end]
            .lines()
            .map(|line| format!("{}\n", line.trim_start_matches("# ")))
            .collect();
        let text = format!("{}{offered}{}", &text[..start], &text[end..]);
        let plan = plan(&support::read(&text));
        assert_eq!(printed(&plan), []);
        let tiles = plan.tiles.expect("a baffle that can be made");
        assert_eq!(tiles.cells, 600);
        assert!(!tiles.rim.is_empty());
    }
}

#[test]
fn a_bed_smaller_than_a_cell() {
    let found = finding("bed = [\"30 mm\", \"220 mm\"]", Code::BaffleBedTooSmall);
    assert_eq!(found.kind, Kind::Fault);
    assert_eq!(
        found.detail,
        "a tile of one cell of only is 33.1 mm x 33.1 mm, the bed 30.0 mm x 220 mm"
    );
    assert_eq!(findings(advised(&found.remedy, "bed")), []);
    assert_eq!(plan(&support::read(&one(4, 4, "", "bed = [\"30 mm\", \"220 mm\"]"))).tiles, None);
    // A rim strip as broad as the tiles are deep.
    let deep = "bed = [\"34 mm\", \"34 mm\"]\ndepth = \"35 mm\"\nrim = \"1.2 mm\"";
    let found = finding(deep, Code::BaffleBedTooSmall);
    assert_eq!(found.title, "a strip of the rim does not lie on the bed");
}

#[test]
fn walls_thinner_than_a_line() {
    let found = finding("wall = \"0.7 mm\"", Code::BaffleWallTooThin);
    assert!(found.detail.contains("an outer wall is 0.35 mm"), "{}", found.detail);
    assert_eq!(findings(advised(&found.remedy, "wall")), []);
    assert_eq!(findings(&format!("wall = \"0.7 mm\"\n{}", advised(&found.remedy, "nozzle"))), []);
    assert_eq!(findings("wall = \"1.2 mm\"\nnozzle = \"0.6 mm\""), []);
    let found = finding("rim = \"0.3 mm\"", Code::BaffleWallTooThin);
    assert_eq!(found.title, "the rim is thinner than a line of the nozzle");
    assert_eq!(findings(advised(&found.remedy, "rim")), []);
    // It can be drawn all the same.
    assert!(plan(&support::read(&one(4, 4, "", "wall = \"0.6 mm\""))).tiles.is_some());
}

#[test]
fn a_channel_wider_than_the_cell() {
    let found = finding("channel = [\"31 mm\", \"3 mm\"]", Code::BaffleChannelTooWide);
    assert!(
        found
            .detail
            .contains("31.0 mm wide, 33.0 mm with its lead-in; a cell of only is 32.3 mm wide"),
        "{}",
        found.detail
    );
    assert_eq!(findings(advised(&found.remedy, "channel")), []);
    let both = format!("channel = [\"31 mm\", \"3 mm\"]\n{}", advised(&found.remedy, "lead_in"));
    assert_eq!(findings(&both), []);
    let spacing = advised(&found.remedy, "strip_spacing");
    let wide = one(4, 4, spacing, "channel = [\"31 mm\", \"3 mm\"]");
    assert_eq!(printed(&plan(&support::read(&wide))), []);
    // Strips of 144 a metre lie 6.9 mm apart: no strip of 10 mm does.
    let dense = support::one(4, 4, "ws2812b-144", "", "[baffle]\nwall = \"0.8 mm\"\n");
    let codes: Vec<_> = printed(&plan(&support::read(&dense))).iter().map(|f| f.code).collect();
    assert_eq!(codes, [Code::BaffleChannelTooWide]);
}

#[test]
fn rooms_and_lips_that_do_not_fit() {
    let found = finding("lead_in = \"3.5 mm\"", Code::BaffleLeadInTooHigh);
    assert_eq!(findings(advised(&found.remedy, "lead_in")), []);
    let found = finding("joint_room = [\"20 mm\", \"6 mm\"]", Code::BaffleJointRoomTooLong);
    assert_eq!(findings(advised(&found.remedy, "joint_room")), []);
    let found = finding("joint_room = [\"10 mm\", \"20 mm\"]", Code::BaffleTooShallow);
    assert_eq!(found.title, "the joint room is as high as the baffle is deep");
    let deeper =
        format!("joint_room = [\"10 mm\", \"20 mm\"]\n{}", advised(&found.remedy, "depth"));
    assert_eq!(findings(&deeper), []);
    let found = finding("channel = [\"12 mm\", \"20 mm\"]", Code::BaffleTooShallow);
    assert_eq!(found.title, "the channel is as high as the baffle is deep");
    let found = finding("lip = [\"10 mm\", \"1 mm\"]", Code::BaffleLipTooWide);
    assert_eq!(findings(advised(&found.remedy, "lip")), []);
    let thick = finding("lip = [\"2 mm\", \"14 mm\"]", Code::BaffleTooShallow);
    assert!(
        thick.detail.ends_with("the joint room is 6 mm high, the lip 14.0 mm thick"),
        "{thick:?}"
    );
}

#[test]
fn walls_that_leave_no_cell() {
    let codes: Vec<_> =
        findings("wall = \"40 mm\"").into_iter().map(|finding| finding.code).collect();
    assert_eq!(codes, [Code::BaffleChannelTooWide, Code::BaffleJointRoomTooLong]);
}

#[test]
fn a_print_longer_than_a_day() {
    let slow = "flow = \"0.5 mm3/s\"\nhours_per_day = 8\nbed = [\"220 mm\", \"220 mm\"]";
    let found = finding(slow, Code::LongPrint);
    assert_eq!(found.kind, Kind::Advice);
    let hours = found.remedy.split("hours_per_day = ").nth(1).unwrap().split(' ').next().unwrap();
    assert_eq!(findings(&slow.replace("_day = 8", &format!("_day = {hours}"))), []);
    // It is counted as the days that it takes.
    let tiles = tiles(&one(4, 4, "", slow));
    assert_eq!((tiles.days, tiles.calendar[0].days_each), (2, 2));
}

/// One finding names all panels that have it, and where cells differ each has its own.
#[test]
fn panels_are_named() {
    let text = "format = 1\n[wall]\nname = \"W\"\ncolumns = 12\nrows = 4\n[strip]\npart = \"ws2812b-30\"\n\
        [panel]\ncolumns = 4\nrows = 4\n\
        [[panels]]\nname = \"a\"\nat = [0, 0]\n[[panels]]\nname = \"b\"\nat = [4, 0]\nstrip_spacing = \"25 mm\"\n\
        [[panels]]\nname = \"c\"\nat = [8, 0]\n[baffle]\nchannel = [\"31 mm\", \"3 mm\"]\n";
    let plan = plan(&support::read(text));
    let details: Vec<_> = plan
        .findings
        .iter()
        .filter(|finding| finding.code == Code::BaffleChannelTooWide)
        .map(|finding| finding.detail.as_str())
        .collect();
    assert_eq!(details.len(), 2);
    assert!(details.iter().any(|detail| detail.contains("a cell of a and c")), "{details:?}");
    assert!(details.iter().any(|detail| detail.contains("a cell of b is 24.0 mm")), "{details:?}");
}
