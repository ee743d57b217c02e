//! Sheets of many walls read back: nothing lies over a text, nothing leaves the paper, front and back
//! agree, and the colours of conductors are those of the convention.

mod shapes;
mod workshop;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use glowloom_design::wall::MainsColours;
use glowloom_plan::material::conductors::Conductor;

use shapes::{bounds, enters, holds, inner, segments};

use super::*;
use crate::draw::Item;
use crate::draw::Stroke;
use crate::draw::text::Hand;

fn wall(text: &str) -> Wall {
    glowloom_design::read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}\n{text}"))
}

/// The book of a wall file.
fn with_book<T>(text: &str, run: impl FnOnce(&Book<'_>) -> T) -> T {
    let wall = wall(text);
    let plan = glowloom_plan::plan(&wall);
    let sheet = glowloom_plan::meter::sheet(&wall).ok();
    let steps = glowloom_plan::steps::steps(&wall, &plan, sheet.as_ref());
    let file = text.as_bytes();
    run(&Book { wall: &wall, file, plan: &plan, sheet: sheet.as_ref(), steps: &steps })
}

/// A wall with its sheets.
struct Drawn {
    name: String,
    wall: Wall,
    sheets: Vec<Sheet>,
}

/// All samples, drawn once for all tests.
fn drawn() -> &'static [Drawn] {
    static DRAWN: OnceLock<Vec<Drawn>> = OnceLock::new();
    DRAWN.get_or_init(|| {
        let draw = |(name, text): (String, String)| {
            let wall = wall(&text);
            let sheets = with_book(&text, sheets);
            Drawn { name, wall, sheets }
        };
        samples().into_iter().map(draw).collect()
    })
}

const HEAD: &str = "format = 1\n[strip]\npart = \"ws2812b-30\"\n";

/// A wall of its own size, panels given by name, place and further lines.
fn of(columns: u32, rows: u32, more: &str, panels: &[(&str, u32, u32, &str)]) -> String {
    let mut text = format!(
        "{HEAD}[wall]\nname = \"Any <wall> & \\\"more\\\"\"\ncolumns = {columns}\nrows = {rows}\n{more}\n"
    );
    for (name, column, row, lines) in panels {
        text += &format!("[[panels]]\nname = \"{name}\"\nat = [{column}, {row}]\n{lines}\n");
    }
    text
}

const ALL_THERE: &str = "[baffle]\n[board]\nmaterial = \"plywood\"\nthickness = \"5 mm\"\nsheet = [\"2.5 m\", \
    \"1.25 m\"]\n[diffuser]\n[hanging]\nrated = \"5 kg\"\nfixings_per_panel = 4\nkind = \"screws\"\n";

/// Walls of every kind that is drawn differently, and some that nobody would build.
fn samples() -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = Vec::new();
    for (name, text) in [
        ("tidewall", include_str!("../../../../examples/walls/tidewall.toml")),
        ("chandlery", include_str!("../../../../examples/walls/chandlery.toml")),
        ("lantern", include_str!("../../../../examples/walls/lantern.toml")),
        ("netloft", include_str!("../../../../examples/walls/netloft.toml")),
        ("quay", include_str!("../../../../examples/walls/quay.toml")),
        ("shelf", include_str!("../../../../examples/walls/shelf.toml")),
        ("slipway", include_str!("../../../../examples/walls/slipway.toml")),
    ] {
        all.push((name.into(), text.into()));
    }
    let long =
        "Über die Ostwand hinaus verlängerte Tafel mit einem Namen, der nie zu enden scheint, "
            .repeat(2);
    let panel = "columns = 10\nrows = 8";
    all.push((
        "names".into(),
        of(
            40,
            8,
            ALL_THERE,
            &[
                (&long, 0, 0, panel),
                ("../../etc/<passwd> & 'x'", 10, 0, panel),
                ("שלום עולם", 20, 0, panel),
                ("🚢 harbour", 30, 0, "columns = 10\nrows = 8\nturn = 180"),
            ],
        ),
    ));
    let forty: Vec<(String, u32, u32)> =
        (0..40).map(|i| (format!("panel number {i}"), i % 8 * 4, i / 8 * 3)).collect();
    let forty: Vec<_> =
        forty.iter().map(|(n, c, r)| (n.as_str(), *c, *r, "columns = 4\nrows = 3")).collect();
    all.push(("forty".into(), of(32, 15, ALL_THERE, &forty)));
    all.push(("dot".into(), of(1, 1, "", &[("dot", 0, 0, "columns = 1\nrows = 1")])));
    let dots: Vec<_> = ["a", "b", "c"]
        .into_iter()
        .zip(0..)
        .map(|(n, i)| (n, i, 0, "columns = 1\nrows = 1"))
        .collect();
    all.push(("dots".into(), of(3, 1, ALL_THERE, &dots)));
    all.push((
        "portrait".into(),
        of(20, 60, ALL_THERE, &[("tall", 0, 0, "columns = 20\nrows = 60\nfeeds = 20")]),
    ));
    let side = "columns = 6\nrows = 18";
    all.push((
        "hole".into(),
        of(
            18,
            18,
            ALL_THERE,
            &[
                ("left", 0, 0, side),
                ("above", 6, 0, "columns = 6\nrows = 6\nstrips = \"horizontal\""),
                ("below", 6, 12, "columns = 6\nrows = 6\nturn = 90"),
                ("right", 12, 0, side),
            ],
        ),
    ));
    for (turn, enter) in
        [(0, "top-left"), (90, "top-right"), (180, "bottom-left"), (270, "bottom-right")]
    {
        for strips in ["vertical", "horizontal"] {
            for path in ["serpentine", "progressive"] {
                let lines = format!(
                    "columns = 9\nrows = 6\nturn = {turn}\nenter = \"{enter}\"\nstrips = \"{strips}\"\npath = \
                     \"{path}\"\ndata_lines = 3\nspare_pixels = 1\nfeeds = [{{ strip = 1, edge = \"near\" }}, \
                     {{ strip = 3, edge = \"far\" }}, {{ strip = 6, edge = \"near\" }}, {{ strip = 6, edge = \
                     \"far\" }}]"
                );
                let more = format!(
                    "{ALL_THERE}[power]\nsupplies_per_panel = 2\nmains = {{ colours = \"us\" }}\n\
                                    [receiver]\nboard = \"esp32\"\n"
                );
                all.push((
                    format!("turned {turn} {strips} {path}"),
                    of(9, 9, &more, &[("one", 0, 0, &lines)]),
                ));
            }
        }
    }
    let wide = "columns = 120\nrows = 3\nstrips = \"horizontal\"\njumpers = \"data\"\nfeeds = 3";
    all.push((
        "lying".into(),
        of(120, 3, "paper_of = 1", &[("long", 0, 0, wide)]).replace("paper_of = 1\n", ""),
    ));
    let cloth = "columns = 400\nrows = 90";
    let own = "[power]\nsupply = { volts = 5, amps = 60 }\n";
    all.push(("broad".into(), of(400, 90, own, &[("all", 0, 0, cloth)])));
    let narrow = "columns = 1\nrows = 300\nstrips = \"horizontal\"\nfeeds = 60\ndata_lines = 60";
    all.push(("narrow".into(), of(1, 300, own, &[("all", 0, 0, narrow)])));
    let clocked = of(30, 20, "", &[("clocked", 0, 0, "columns = 30\nrows = 20\nfeeds = 15")]);
    all.push(("clocked".into(), clocked.replace("ws2812b-30", "apa102-30")));
    let third = "columns = 20\nrows = 47\nspare_pixels = 1\nfeeds = 4";
    let own = "[cuts]\nsplices = true\n[stock]\nrolls = [90, 130, 20, 7]\n[book]\npaper = \"letter\"\n\
               page = \"http://192.0.2.10:8080/book/index.html\"\n";
    let thirds = [("west", 0, 0, third), ("middle", 20, 0, third), ("east", 40, 0, third)];
    all.push(("spliced".into(), of(60, 47, own, &thirds)));
    let odd = "columns = 9\nrows = 170\nfeeds = 9";
    all.push(("too long".into(), of(9, 170, "[stock]\nrolls = [60]\n", &[("odd", 0, 0, odd)])));
    all.push((
        "imperial".into(),
        of(24, 16, ALL_THERE, &[("one", 0, 0, "columns = 24\nrows = 16\nfeeds = 5")])
            .replace("rows = 16\n[baffle]", "rows = 16\nfigures = \"imperial\"\n[baffle]")
            + "[book]\npaper = \"letter\"\n",
    ));
    all
}

/// What is wrong with a sheet, in words.
fn faults(sheet: &Sheet) -> Vec<String> {
    let items = &sheet.drawing.items;
    let mut wrong = Vec::new();
    let texts: Vec<(usize, Hand, &str, Rect)> = items
        .iter()
        .enumerate()
        .filter_map(|(i, item)| match item {
            Item::Text { at, hand, text } => Some((i, *hand, text.as_str(), hand.ink(*at, text))),
            _ => None,
        })
        .collect();
    // Of each path its lines and how far they reach: codes on labels have thousands.
    let paths: Vec<(Vec<(Point, Point)>, Rect)> = items
        .iter()
        .map(|item| match item {
            Item::Path { steps, .. } => (segments(steps), bounds(steps)),
            _ => (Vec::new(), bounds(&[])),
        })
        .collect();
    let paper = Rect {
        left: 5.0,
        top: 5.0,
        width: sheet.frame.width - 10.0,
        height: sheet.frame.height - 10.0,
    };
    for (k, (i, hand, text, ink)) in texts.iter().enumerate() {
        if !holds(&paper, ink) {
            wrong.push(format!("\"{text}\" leaves the paper: {ink:?}"));
        }
        for (_, _, other, its) in &texts[k + 1..] {
            let across = ink.right().min(its.right()) - ink.left.max(its.left);
            let down = ink.bottom().min(its.bottom()) - ink.top.max(its.top);
            if across > 0.05 && down > 0.05 {
                wrong.push(format!("\"{text}\" over \"{other}\": {ink:?} {its:?}"));
            }
        }
        let letters = inner(ink, 0.12);
        let covers: Vec<usize> = items
            .iter()
            .enumerate()
            .filter_map(|(j, item)| match item {
                Item::Path { fill: Some(_), .. } if j < *i && holds(&paths[j].1, ink) => Some(j),
                _ => None,
            })
            .collect();
        let covered = if hand.plate { Some(*i) } else { covers.last().copied() };
        for (j, item) in items.iter().enumerate() {
            let Item::Path { steps, stroke: Some(_), .. } = item else { continue };
            if covered.is_some_and(|covered| j < covered) {
                continue;
            }
            let (lines, reach) = &paths[j];
            let apart = reach.right() < letters.left
                || reach.left > letters.right()
                || reach.bottom() < letters.top
                || reach.top > letters.bottom();
            if !apart && lines.iter().any(|(a, b)| enters(*a, *b, &letters)) {
                wrong.push(format!(
                    "a line over \"{text}\": {ink:?} {:?}",
                    &steps[..steps.len().min(4)]
                ));
                break;
            }
        }
    }
    wrong
}

#[test]
fn nothing_lies_over_a_text_and_nothing_leaves_the_paper() {
    let mut wrong = BTreeMap::new();
    for Drawn { name, sheets, .. } in drawn() {
        for sheet in sheets {
            let found = faults(sheet);
            if let Some(first) = found.first() {
                wrong.insert(format!("{name} {}", sheet.file()), (found.len(), first.clone()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// A note may be the one caution that counts.
#[test]
fn no_note_is_left_out() {
    let mut out = BTreeMap::new();
    for Drawn { name, sheets, .. } in drawn() {
        for sheet in sheets {
            if let Some(first) = sheet.drawing.left_out.first() {
                out.insert(format!("{name} {}", sheet.file()), first.clone());
            }
        }
    }
    assert!(out.is_empty(), "{out:#?}");
}

/// The test above must be able to see what it looks for.
#[test]
fn faults_are_seen() {
    let mut sheet =
        Sheet::new("x", "X", View::None, Frame::new(glowloom_design::wall::Paper::A4, false));
    let hand = crate::draw::text::PLAIN;
    sheet.drawing.text(hand, Point::new(50.0, 50.0), "one");
    assert!(faults(&sheet).is_empty());
    sheet.drawing.text(hand, Point::new(52.0, 51.0), "two");
    assert_eq!(faults(&sheet).len(), 1);
    sheet.drawing.line(crate::draw::THIN, Point::new(40.0, 49.5), Point::new(50.9, 49.5));
    assert_eq!(faults(&sheet).len(), 2);
    sheet.drawing.text(hand, Point::new(2.0, 100.0), "off");
    assert_eq!(faults(&sheet).len(), 3);
}

#[test]
fn keys_and_numbers_are_unlike_each_other_and_fit_for_files() {
    for Drawn { name, wall, sheets } in drawn() {
        let files: BTreeSet<String> = sheets.iter().map(Sheet::file).collect();
        assert_eq!(files.len(), sheets.len(), "{name}");
        for (i, sheet) in sheets.iter().enumerate() {
            assert_eq!(sheet.number, i + 1);
            let safe = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
            assert!(sheet.key.chars().all(safe) && sheet.key.len() < 60, "{}", sheet.key);
            assert!(!sheet.description.is_empty(), "{}", sheet.key);
        }
        // Every panel has its front and its back.
        for panel in &wall.panels {
            for view in [View::Front, View::Back] {
                let of = |sheet: &&Sheet| {
                    sheet.view == view
                        && sheet.panels.contains(&panel.name)
                        && sheet.key.starts_with("panel-")
                };
                assert!(sheets.iter().any(|sheet| of(&sheet)), "{name}: {}", panel.name);
            }
        }
    }
}

/// Ends of every strip as drawn, by its number.
fn strips(sheet: &Sheet) -> BTreeMap<String, (Point, Point)> {
    let strip = |item: &Item| match item {
        Item::Path { steps, about, .. } => {
            let number = about.iter().find(|(name, _)| *name == "strip")?;
            let (from, to) = *segments(steps).first()?;
            Some((number.1.clone(), (from, to)))
        }
        _ => None,
    };
    sheet.drawing.items.iter().filter_map(strip).collect()
}

#[test]
fn the_back_is_the_front_mirrored() {
    let mut compared = 0;
    for Drawn { name, sheets, .. } in drawn() {
        for front in sheets.iter().filter(|sheet| sheet.key.ends_with("-front")) {
            let key = front.key.replace("-front", "-back");
            let back = sheets.iter().find(|sheet| sheet.key == key).unwrap();
            assert_eq!(front.scale, back.scale);
            let (ours, theirs) = (strips(front), strips(back));
            assert_eq!(ours.len(), theirs.len(), "{name}");
            let data = |sheet: &Sheet, what: &str| -> f64 {
                sheet.data.iter().find(|(name, _)| *name == what).unwrap().1.parse().unwrap()
            };
            for (number, (from, to)) in &ours {
                let (a, b) = theirs[number];
                for (p, q) in [(from, a), (to, b)] {
                    let (right, left) = (p.x - data(front, "left"), data(back, "right") - q.x);
                    assert!((right - left).abs() < 1e-9, "{name} strip {number}");
                    assert!((p.y - q.y).abs() < 1e-9, "{name} strip {number}");
                }
                compared += 1;
            }
        }
    }
    assert!(compared > 200);
}

/// Red, green and blue.
type Shade = (u8, u8, u8);

/// Own colours of conductors on a sheet, by label.
fn colours(sheet: &Sheet) -> BTreeMap<String, BTreeSet<Shade>> {
    let mut found: BTreeMap<String, BTreeSet<Shade>> = BTreeMap::new();
    for item in &sheet.drawing.items {
        let Item::Path { stroke: Some(Stroke { ink: Ink::Colour(r, g, b), .. }), about, .. } = item
        else {
            continue;
        };
        let value = |name: &str| about.iter().find(|(n, _)| *n == name).map(|(_, v)| v.as_str());
        if matches!(value("part"), Some("core" | "stripe"))
            && let Some(label) = value("conductor")
        {
            found.entry(label.to_owned()).or_default().insert((*r, *g, *b));
        }
    }
    found
}

/// IEC 60445 and the NEC, second-hand, written out here once more: brown, blue, green and yellow; black,
/// white, green. The worst mistake that a sheet can have.
#[test]
fn conductors_have_the_colours_of_the_convention() {
    let (brown, blue) = ((0x7a, 0x3e, 0x00), (0x00, 0x56, 0xb3));
    let (green, yellow) = ((0x00, 0x7a, 0x3d), (0xff, 0xd4, 0x00));
    let (black, white) = ((0x11, 0x11, 0x11), (0xff, 0xff, 0xff));
    let mut seen = BTreeSet::new();
    for Drawn { name, wall, sheets } in drawn() {
        let mains = sheets.iter().find(|sheet| sheet.key == "mains").unwrap();
        let of = colours(mains);
        let wanted: Vec<(&str, Vec<Shade>)> = match wall.power.mains.colours {
            MainsColours::Iec => {
                vec![("L", vec![brown]), ("N", vec![blue]), ("PE", vec![green, yellow])]
            }
            MainsColours::Us => vec![("L", vec![black]), ("N", vec![white]), ("G", vec![green])],
        };
        seen.insert(format!("{:?}", wall.power.mains.colours));
        assert_eq!(of.len(), 3, "{name}: no DC on the sheet of the mains");
        for (label, colours) in wanted {
            assert_eq!(of[label], colours.into_iter().collect(), "{name} {label}");
        }
        // And no mains on the others; data never green.
        for sheet in sheets.iter().filter(|sheet| sheet.key != "mains") {
            for (label, colours) in colours(sheet) {
                assert!(!["L", "N", "PE", "G"].contains(&label.as_str()), "{name} {}", sheet.key);
                for (r, g, b) in colours {
                    assert!(!(g > r && g > b), "{name} {} {label} is green", sheet.key);
                }
            }
        }
        // Words beside them say the same.
        let convention = wall.power.mains.colours;
        for wire in [Conductor::Line, Conductor::Neutral, Conductor::Earth] {
            let words = format!("{} {}", wire.label(convention), wire.colour(convention).name);
            let said = |item: &Item| matches!(item, Item::Text { text, .. } if *text == words);
            assert!(mains.drawing.items.iter().any(said), "{name}: {words}");
        }
    }
    assert_eq!(seen.len(), 2, "both conventions");
}

#[test]
fn the_same_wall_gives_the_same_bytes() {
    let (_, text) = samples().swap_remove(0);
    let bytes = || {
        with_book(&text, |book| {
            let mut all = Vec::new();
            for document in crate::documents(book) {
                document.write(&mut all).unwrap();
            }
            all
        })
    };
    assert!(bytes() == bytes());
}
