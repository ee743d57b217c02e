//! What must hold for every wall: each covered pixel of the picture is shown once, each pixel of
//! each chain shows one place, and map, patch and figures tell the same.

mod support;

use std::collections::{BTreeMap, BTreeSet};

use glowloom_design::Wall;
use glowloom_plan::{map, patch, plan};
use proptest::prelude::*;

#[derive(Clone, Debug)]
struct Shape {
    turn: u32,
    strips: &'static str,
    enter: &'static str,
    path: &'static str,
    lines: u32,
    spare: u32,
    there: bool,
}

fn shape() -> impl Strategy<Value = Shape> {
    (
        prop::sample::select(vec![0u32, 90, 180, 270]),
        prop::sample::select(vec!["vertical", "horizontal"]),
        prop::sample::select(vec!["top-left", "top-right", "bottom-left", "bottom-right"]),
        prop::sample::select(vec!["serpentine", "progressive"]),
        1u32..9,
        prop_oneof![Just(0u32), 0u32..300],
        prop::bool::weighted(0.8),
    )
        .prop_map(|(turn, strips, enter, path, lines, spare, there)| Shape {
            turn,
            strips,
            enter,
            path,
            lines,
            spare,
            there,
        })
}

/// A picture cut into a grid of panels, some of them missing; the text of the wall file.
fn wall_text() -> impl Strategy<Value = String> {
    let cuts = || prop::collection::vec(1u32..14, 1..4);
    let ways = (
        prop::sample::select(vec!["ws2812b-30", "sk6812-rgbw-60", "apa102-30", "sk9822-60"]),
        prop::sample::select(vec!["e1.31", "art-net", "ddp"]),
        prop::sample::select(vec!["wifi", "ethernet", "usb"]),
    );
    (cuts(), cuts(), prop::collection::vec(shape(), 9), ways, 0.0f64..=1.0).prop_map(
        |(widths, heights, shapes, (part, protocol, link), limit)| {
            let (columns, rows): (u32, u32) = (widths.iter().sum(), heights.iter().sum());
            let mut text = format!(
                "format = 1\n[wall]\nname = \"Any\"\ncolumns = {columns}\nrows = {rows}\n[strip]\n\
                 part = \"{part}\"\n[power]\nbrightness_limit = {limit:?}\n[receiver]\nboard = \
                 \"esp32\"\nprotocol = \"{protocol}\"\nlink = \"{link}\"\n"
            );
            let mut any = false;
            let mut y = 0;
            for (j, height) in heights.iter().enumerate() {
                let mut x = 0;
                for (i, width) in widths.iter().enumerate() {
                    let shape = &shapes[3 * j + i];
                    let last = (j, i) == (heights.len() - 1, widths.len() - 1);
                    // A wall has a panel.
                    if shape.there || (last && !any) {
                        any = true;
                        text += &panel_text(shape, (x, y), (*width, *height), (i, j));
                    }
                    x += width;
                }
                y += height;
            }
            text
        },
    )
}

fn panel_text(shape: &Shape, at: (u32, u32), hung: (u32, u32), name: (usize, usize)) -> String {
    let (columns, rows) = if shape.turn % 180 == 90 { (hung.1, hung.0) } else { hung };
    let strips = if shape.strips == "vertical" { columns } else { rows };
    format!(
        "[[panels]]\nname = \"p{}-{}\"\nat = [{}, {}]\nturn = {}\ncolumns = {columns}\nrows = {rows}\n\
         strips = \"{}\"\nenter = \"{}\"\npath = \"{}\"\ndata_lines = {}\nspare_pixels = {}\n",
        name.0,
        name.1,
        at.0,
        at.1,
        shape.turn,
        shape.strips,
        shape.enter,
        shape.path,
        shape.lines.min(strips),
        shape.spare
    )
}

/// Whether a panel takes up that place, by its rectangle alone.
fn covers(wall: &Wall, column: u32, row: u32) -> Option<&str> {
    let inside = |start: u32, length: u32, x: u32| (start..start + length).contains(&x);
    wall.panels
        .iter()
        .find(|p| inside(p.at.0, p.hung().0, column) && inside(p.at.1, p.hung().1, row))
        .map(|p| p.name.as_str())
}

/// Whether no number of a document is negative, minus zero included: every figure counts or measures.
fn none_below_zero(value: &serde_json::Value) -> bool {
    use serde_json::Value;
    match value {
        Value::Number(number) => number.as_f64().is_some_and(f64::is_sign_positive),
        Value::Array(items) => items.iter().all(none_below_zero),
        Value::Object(fields) => fields.values().all(none_below_zero),
        Value::Null | Value::Bool(_) | Value::String(_) => true,
    }
}

proptest! {
    #[test]
    fn every_pixel_once(text in wall_text()) {
        let wall = support::read(&text);
        let mut chains = BTreeSet::new();
        let mut slots = BTreeSet::new();
        let mut lines: BTreeMap<(&str, u32), BTreeSet<u32>> = BTreeMap::new();
        let channels = wall.strip.channels() as u16;
        let mut places = (0..wall.rows).flat_map(|row| (0..wall.columns).map(move |c| (c, row)));
        let entries: Vec<_> = map(&wall).collect();
        prop_assert_eq!(map(&wall).len(), entries.len());
        for entry in &entries {
            // Row-major, nothing left out, nothing twice.
            prop_assert_eq!(places.next(), Some((entry.column, entry.row)));
            prop_assert_eq!(entry.lit.map(|lit| lit.panel), covers(&wall, entry.column, entry.row));
            let Some(lit) = entry.lit else { continue };
            prop_assert!(chains.insert((lit.panel, lit.data_line, lit.index)));
            prop_assert!(slots.insert((lit.universe, lit.slot)));
            prop_assert_eq!((lit.slot - 1) % channels, 0);
            prop_assert!(lit.slot + channels <= 513);
            lines.entry((lit.panel, lit.data_line)).or_default().insert(lit.index);
        }
        prop_assert_eq!(places.next(), None);
        // Each chain is whole: from its last spare pixel to its end.
        for panel in &wall.panels {
            let shares: Vec<u32> = panel.strips_per_line().collect();
            for (line, strips) in (1..).zip(shares) {
                let end = panel.spare_pixels + strips * panel.strip_pixels();
                let wanted: BTreeSet<u32> = (panel.spare_pixels..end).collect();
                prop_assert_eq!(&lines[&(panel.name.as_str(), line)], &wanted);
            }
        }
    }

    #[test]
    fn map_and_patch_tell_the_same(text in wall_text()) {
        let wall = support::read(&text);
        let patch = patch(&wall).unwrap();
        let channels = patch.common().channels;
        let from_map: BTreeMap<_, _> = map(&wall)
            .filter_map(|e| e.lit.map(|lit| (e.row * wall.columns + e.column, lit)))
            .collect();
        let mut shown = 0;
        for (panel, patched) in wall.panels.iter().zip(patch.panels()) {
            // The wall file was checked with these universes.
            let universes: Vec<u32> = patched.universes(channels).map(u32::from).collect();
            let wanted: Vec<u32> = (u32::from(panel.first_universe)..panel.universes_end).collect();
            prop_assert_eq!(universes, wanted);
            let mut bytes = 0;
            for (number, line) in (1..).zip(&patched.lines) {
                prop_assert_eq!(line.byte_offset as usize, bytes);
                bytes += line.pixels.len() * channels.count();
                let spare = panel.spare_pixels as usize;
                prop_assert!(line.pixels[..spare].iter().all(Option::is_none));
                for (index, source) in line.pixels.iter().enumerate().skip(spare) {
                    let lit = from_map[&source.unwrap()];
                    prop_assert_eq!((lit.panel, lit.data_line), (panel.name.as_str(), number));
                    prop_assert_eq!(lit.index as usize, index);
                    let per_universe = channels.pixels_per_universe();
                    let universe = usize::from(line.first_universe) + index / per_universe;
                    prop_assert_eq!(lit.universe as usize, universe);
                    let slot = index % per_universe * channels.count() + 1;
                    prop_assert_eq!(usize::from(lit.slot), slot);
                    shown += 1;
                }
            }
        }
        prop_assert_eq!(shown, from_map.len());
    }

    #[test]
    fn figures_agree_with_the_map(text in wall_text()) {
        let wall = support::read(&text);
        let plan = plan(&wall);
        let dark = map(&wall).filter(|e| e.lit.is_none()).count();
        prop_assert_eq!(plan.geometry.uncovered_pixels as usize, dark);
        let lit: u32 = plan.geometry.panels.iter().map(|p| p.pixels).sum();
        prop_assert_eq!(plan.geometry.pixels, lit + plan.geometry.uncovered_pixels);
        let chains: u32 = plan.data.lines.iter().map(|l| l.pixels - l.spare_pixels).sum();
        prop_assert_eq!(chains, lit);
        // The gaps hold the dark pixels and no other.
        let gaps = glowloom_plan::uncovered::gaps(&wall);
        for entry in map(&wall) {
            let holding = gaps.iter().filter(|gap| {
                (gap.column..gap.column + gap.columns).contains(&entry.column)
                    && (gap.row..gap.row + gap.rows).contains(&entry.row)
            });
            prop_assert_eq!(holding.count(), usize::from(entry.lit.is_none()));
        }
        // On the common grid the wall is as large as the picture.
        let close = |a: f64, b: f64| (a - b).abs() < 1e-12 * b.max(1.0);
        let pitch = wall.pitch().0;
        prop_assert!(close(plan.geometry.width_m.0, f64::from(wall.columns) * pitch));
        prop_assert!(close(plan.geometry.height_m.0, f64::from(wall.rows) * pitch));
    }

    #[test]
    fn the_same_wall_gives_the_same_bytes(text in wall_text()) {
        let json = |text: &str| serde_json::to_string(&plan(&support::read(text))).unwrap();
        let once = json(&text);
        prop_assert_eq!(&once, &json(&text));
        prop_assert!(none_below_zero(&serde_json::from_str(&once).unwrap()), "{}", once);
        for line in ["\"fps\":null", "\"amps\":null", "\"watts\":null", "\"width_m\":null"] {
            prop_assert!(!once.contains(line), "{}", line);
        }
    }

    #[test]
    fn findings_can_be_acted_on(text in wall_text()) {
        let wall = support::read(&text);
        let lines = text.lines().count();
        for finding in plan(&wall).findings {
            prop_assert!(!finding.remedy.is_empty() && !finding.title.is_empty());
            prop_assert!(!finding.detail.is_empty());
            prop_assert_eq!(finding.kind, finding.code.kind());
            prop_assert!((1..=lines).contains(&finding.line));
            prop_assert!(!finding.detail.contains("NaN") && !finding.remedy.contains("NaN"));
            prop_assert!(!finding.detail.contains("inf ") && !finding.remedy.contains("inf "));
        }
    }
}

/// Every figure of the map in one place: two lines of 4 and 3 strips of 5 pixels, one spare ahead.
#[test]
fn a_panel_worked_by_hand() {
    let text = support::one(
        7,
        5,
        "ws2812b-30",
        "data_lines = 2\nspare_pixels = 1",
        "[receiver]\nboard = \"esp32\"",
    );
    let wall = support::read(&text);
    let at = |column, row| map(&wall).find(|e| (e.column, e.row) == (column, row)).unwrap();
    let of = |column, row| {
        let lit = at(column, row).lit.unwrap();
        (lit.data_line, lit.index, lit.universe, lit.slot)
    };
    assert_eq!(of(0, 4), (1, 1, 1, 4)); // the first pixel, after one spare
    assert_eq!(of(0, 0), (1, 5, 1, 16));
    assert_eq!(of(1, 0), (1, 6, 1, 19)); // and back down
    assert_eq!(of(3, 4), (1, 20, 1, 61));
    assert_eq!(of(4, 4), (2, 1, 2, 4)); // the second line begins anew, on its own universe
    assert_eq!(of(6, 0), (2, 15, 2, 46));
    let mm = |entry: glowloom_plan::map::Entry<'_>| (entry.x.0 * 1e3, entry.y.0 * 1e3);
    let (x, y) = mm(at(3, 4));
    assert!((x - 3.5 / 0.03).abs() < 1e-9 && (y - 4.5 / 0.03).abs() < 1e-9);
}

#[test]
fn a_universe_holds_170_pixels_or_128() {
    for (part, per_universe, slots) in [("ws2812b-60", 170, 3), ("sk6812-rgbw-60", 128, 4)] {
        let wall = support::read(&support::one(1, 400, part, "enter = \"top-left\"", ""));
        for entry in map(&wall) {
            let lit = entry.lit.unwrap();
            assert_eq!(lit.index, entry.row);
            assert_eq!(lit.universe, 1 + entry.row / per_universe);
            assert_eq!(u32::from(lit.slot), 1 + entry.row % per_universe * slots);
        }
    }
}

/// Upright strips 40 mm apart at 30 pixels a metre, the second panel turned, the third with a
/// place of its own.
#[test]
fn places_as_built() {
    let text = "format = 1\n[wall]\nname = \"Spaced\"\ncolumns = 12\nrows = 4\n[strip]\npart = \
                \"ws2812b-30\"\n[panel]\ncolumns = 4\nrows = 4\nstrip_spacing = \"40 mm\"\n\
                [[panels]]\nname = \"a\"\nat = [0, 0]\n\
                [[panels]]\nname = \"b\"\nat = [4, 0]\nturn = 90\nplace = [\"160 mm\", \"0 mm\"]\n\
                [[panels]]\nname = \"c\"\nat = [8, 0]\nplace = [\"400 mm\", \"-5 mm\"]\n";
    let wall = support::read(text);
    let pitch = 1000.0 / 30.0;
    let at = |column, row| {
        let entry = map(&wall).find(|e| (e.column, e.row) == (column, row)).unwrap();
        (entry.x.0 * 1e3, entry.y.0 * 1e3)
    };
    let close = |found: (f64, f64), wanted: (f64, f64)| {
        let near = (found.0 - wanted.0).abs() < 1e-9 && (found.1 - wanted.1).abs() < 1e-9;
        assert!(near, "{found:?}, not {wanted:?}");
    };
    close(at(3, 2), (3.5 * 40.0, 2.5 * pitch));
    close(at(5, 3), (160.0 + 1.5 * pitch, 3.5 * 40.0)); // spacing turned with the panel
    close(at(8, 0), (400.0 + 20.0, -5.0 + 0.5 * pitch));
    let geometry = plan(&wall).geometry;
    let sizes: Vec<_> =
        geometry.panels.iter().map(|p| (p.width_m.0 * 1e3, p.height_m.0 * 1e3)).collect();
    close(sizes[0], (160.0, 4.0 * pitch));
    close(sizes[1], (4.0 * pitch, 160.0));
    // From the left edge of a to the right edge of c, and from 5 mm above to b's lower edge.
    close((geometry.width_m.0 * 1e3, geometry.height_m.0 * 1e3), (560.0, 165.0));
}

/// Steps of 40 mm with no place of its own: the corner still stands on the grid.
#[test]
fn spacing_alone_does_not_move_the_corner() {
    let text = "format = 1\n[wall]\nname = \"Spaced\"\ncolumns = 4\nrows = 2\n[strip]\npart = \
                \"ws2812b-30\"\n[[panels]]\nname = \"a\"\nat = [2, 0]\ncolumns = 2\nrows = 2\n\
                strip_spacing = \"40 mm\"\n";
    let wall = support::read(text);
    let x: Vec<f64> = map(&wall).take(4).map(|e| e.x.0 * 1e3).collect();
    let pitch = 1000.0 / 30.0;
    for (found, wanted) in
        x.iter().zip([0.5 * pitch, 1.5 * pitch, 2.0 * pitch + 20.0, 2.0 * pitch + 60.0])
    {
        assert!((found - wanted).abs() < 1e-9, "{x:?}");
    }
}
