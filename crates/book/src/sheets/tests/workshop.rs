//! Sheets to cut by, read back: every piece and every label is there once, to scale, and a wall of any
//! size makes a book that a person can hold.

use std::fmt::Write;

use glowloom_plan::cuts::{Label, Place, Roll};

use super::*;
use crate::draw::text::{NAME, PLAIN, plain};
use crate::labels::labels;
use crate::sheets::{labels as label_sheets, rolls as roll_sheets};

fn texts(sheet: &Sheet) -> impl Iterator<Item = &str> {
    sheet.drawing.items.iter().filter_map(|item| match item {
        Item::Text { text, .. } => Some(text.as_str()),
        _ => None,
    })
}

/// What stands in the line of each roll, without spaces.
fn lines(sheets: &[Sheet]) -> BTreeMap<usize, String> {
    let mut found = BTreeMap::new();
    for sheet in sheets.iter().filter(|sheet| sheet.key.starts_with("cutting-rolls")) {
        let mut roll = None;
        for item in &sheet.drawing.items {
            let Item::Text { hand, text, .. } = item else {
                // Lines stand between the layers of bars and notes.
                if matches!(item, Item::Begin(_)) {
                    roll = None;
                }
                continue;
            };
            let hand = *hand;
            match text.parse::<usize>() {
                Ok(number) if hand == PLAIN.end() => {
                    roll = Some(number);
                    assert!(found.insert(number, String::new()).is_none(), "roll {number} twice");
                }
                // What comes behind all rolls.
                _ if hand == NAME => roll = None,
                _ => {
                    if let Some(line) = roll.and_then(|roll| found.get_mut(&roll)) {
                        line.extend(text.split_whitespace());
                    }
                }
            }
        }
    }
    found
}

/// The same as the plan has it: each label whole; the panel where it is another; places behind it.
fn wanted(roll: &Roll) -> [String; 3] {
    let (mut whole, mut short, mut words) = (String::new(), String::new(), String::new());
    let mut before = None;
    for (i, label) in roll.labels.iter().enumerate() {
        let panel = plain(&label.panel);
        let star = if i == 0 && roll.connector { "*" } else { "" };
        let place = format!("{}{star}", &plain(&label.to_string())[panel.len()..]);
        write!(whole, "{panel}{place}").unwrap();
        if before.as_ref() == Some(&panel) {
            write!(short, "{place}").unwrap();
            write!(words, ",{place}").unwrap();
        } else {
            let apart = if before.is_some() { ";" } else { "" };
            write!(short, "{panel}{place}").unwrap();
            write!(words, "{apart}{panel}:{place}").unwrap();
        }
        before = Some(panel);
    }
    [whole, short, words].map(|text| text.split_whitespace().collect())
}

#[test]
fn every_piece_of_every_roll_has_its_name() {
    let (mut rolls, mut joints) = (0, 0);
    for Drawn { name, wall, sheets } in drawn() {
        // Its panel's name is cut.
        if name == "names" {
            continue;
        }
        let plan = glowloom_plan::plan(wall);
        let found = lines(sheets);
        if plan.cuts.rolls_cut.len() > 300 {
            assert!(found.is_empty() && says(sheets, "; lists/cuts.csv says which"), "{name}");
            continue;
        }
        assert_eq!(found.len(), plan.cuts.rolls_cut.len(), "{name}");
        for (i, roll) in plan.cuts.rolls_cut.iter().enumerate() {
            let line = &found[&(i + 1)];
            assert!(
                wanted(roll).contains(line),
                "{name} roll {}: {line} {:?}",
                i + 1,
                wanted(roll)
            );
            rolls += 1;
        }
        let all: Vec<&str> = sheets.iter().flat_map(texts).collect();
        for joined in &plan.cuts.joined {
            let part = format!("{joined} a, ");
            assert_eq!(
                all.iter().filter(|text| text.starts_with(&part)).count(),
                1,
                "{name} {part}"
            );
            joints += 1;
        }
    }
    assert!(rolls > 100 && joints > 3, "{rolls} {joints}");
}

/// A wall of so many panels across and down, of 16 x 20 pixels each.
fn facade(across: u32, down: u32) -> String {
    let panel = "columns = 16\nrows = 20\nfeeds = 4";
    let places = (0..down).flat_map(|j| (0..across).map(move |i| (i, j)));
    let names: Vec<(String, u32, u32)> =
        places.map(|(i, j)| (format!("p{}-{}", j + 1, i + 1), i * 16, j * 20)).collect();
    let panels: Vec<_> = names.iter().map(|(n, x, y)| (n.as_str(), *x, *y, panel)).collect();
    of(across * 16, down * 20, ALL_THERE, &panels)
}

/// Some sheets of a wall, framed.
fn framed(context: &Context<'_>, draw: impl Fn(&Context<'_>) -> Vec<Sheet>) -> Vec<Sheet> {
    let mut sheets = draw(context);
    let common =
        frame::Common { wall: "W", fingerprint: "0", figures: context.wall.figures, sheets: 99 };
    sheets.iter_mut().for_each(|sheet| frame::close(sheet, &common));
    for sheet in &sheets {
        assert_eq!(faults(sheet), Vec::<String>::new(), "{}", sheet.key);
        assert!(sheet.drawing.left_out.is_empty(), "{:?}", sheet.drawing.left_out);
    }
    sheets
}

fn says(sheets: &[Sheet], part: &str) -> bool {
    sheets.iter().any(|sheet| texts(sheet).any(|text| text.contains(part)))
}

/// A wall and its plan, with nothing else of a book.
fn with_plan<T>(wall: &Wall, plan: &Plan, run: impl FnOnce(&Context<'_>) -> T) -> T {
    let steps = Steps { sections: Vec::new(), estimate: glowloom_units::Seconds(0.0) };
    run(&Context::new(&Book { wall, file: b"", plan, sheet: None, steps: &steps }))
}

#[test]
fn a_wall_of_416_panels_is_cut_by_a_few_sheets() {
    let wall = wall(&facade(26, 16));
    let plan = glowloom_plan::plan(&wall);
    with_plan(&wall, &plan, |context| {
        let sheets = framed(context, roll_sheets::draw);
        assert!(sheets.len() <= 12 && lines(&sheets).is_empty(), "{}", sheets.len());
        assert!(says(
            &sheets,
            "rolls 1 to 950; lists/cuts.csv says which strip each piece becomes"
        ));
        let sheets = framed(context, cutting::draw);
        assert!(sheets.len() <= 60, "{}", sheets.len());
        assert!(says(&sheets, "and 392 more: see") && says(&sheets, "lists/cuts.csv"));
        let sheets = framed(context, label_sheets::draw);
        assert!(sheets.len() <= 32 && says(&sheets, "those of strips, leads and feeds are in"));
        let count = codes(&sheets).len();
        assert_eq!(count, 2 * 416, "panels and receivers");
    });
}

#[test]
fn of_very_many_ways_the_first_are_drawn() {
    let wall = wall(&facade(1, 1));
    let mut plan = glowloom_plan::plan(&wall);
    let roll = |pixels: u32| Roll {
        pieces: vec![pixels, 1],
        labels: (1..=2)
            .map(|strip| Label { panel: "p1-1".into(), place: Place::Strip(strip), part: None })
            .collect(),
        left_over: 150 - 1 - pixels,
        pixels: 150,
        shelf: false,
        connector: false,
    };
    plan.cuts.rolls_cut = (2..149).map(roll).collect();
    with_plan(&wall, &plan, |context| {
        let sheets = framed(context, roll_sheets::draw);
        assert_eq!(sheets.len(), 12);
        let bars = sheets.iter().flat_map(|sheet| &sheet.drawing.items).filter(|item| {
            matches!(item, Item::Path { about, .. } if about.iter().any(|(k, _)| *k == "roll-pixels"))
        });
        let rest = 147 - bars.count();
        let foot =
            format!("{rest} rolls more, cut in {rest} more ways: lists/cuts.csv has every roll");
        assert!(rest > 20 && says(&sheets, &foot), "{foot}");
    });
}

/// What codes hold, with the box of their squares.
fn codes(sheets: &[Sheet]) -> Vec<(&str, Rect)> {
    fn code(item: &Item) -> Option<(&str, Rect)> {
        let Item::Path { steps, about, .. } = item else { return None };
        let (_, code) = about.iter().find(|(name, _)| *name == "code")?;
        Some((code.as_str(), bounds(steps)))
    }
    sheets.iter().flat_map(|sheet| &sheet.drawing.items).filter_map(code).collect()
}

/// Each label is drawn once, its code and its texts within its lines, dark on light also by night.
#[test]
fn labels_are_whole() {
    let mut seen = 0;
    for Drawn { name, wall, sheets } in drawn() {
        let all = labels(wall, &glowloom_plan::plan(wall));
        let found = codes(sheets);
        let wanted: Vec<&str> = all.iter().map(|label| label.address.as_str()).collect();
        assert_eq!(found.iter().map(|code| code.0).collect::<Vec<_>>(), wanted, "{name}");
        for sheet in sheets.iter().filter(|sheet| sheet.key.starts_with("labels")) {
            assert!(sheet.daylight);
            let (mut place, mut number) = (None, 0);
            for item in &sheet.drawing.items {
                match item {
                    Item::Begin(_) => number = 0,
                    Item::End => place = None,
                    Item::Path { steps, about, .. } => match place {
                        None if number == 1 => {
                            let shape = bounds(steps);
                            let of = |size: f64, wanted: f64| (size - wanted).abs() < 1e-9;
                            let label = of(shape.width, 60.0) && of(shape.height, 19.0);
                            place = label.then_some(shape);
                        }
                        Some(place) => {
                            let squares = bounds(steps);
                            assert_eq!(about[0].0, "code");
                            // Four light squares, and a millimetre beyond them.
                            assert!(holds(&inner(&place, 2.0), &squares), "{place:?} {squares:?}");
                            seen += 1;
                        }
                        None => {}
                    },
                    Item::Text { at, hand, text } => {
                        if let Some(place) = place {
                            let ink = hand.ink(*at, text);
                            assert!(holds(&inner(&place, 0.5), &ink), "{name} {text}");
                        }
                    }
                }
                number += 1;
            }
        }
    }
    assert!(seen > 500, "{seen}");
}

/// Where the codes lead, the page has a place, once.
#[test]
fn codes_lead_to_places_of_the_page() {
    let samples = samples();
    let known = |wanted: &str| samples.iter().find(|(name, _)| name == wanted).unwrap().1.clone();
    let page = "[book]\npage = \"http://192.0.2.10/tide/index.html\"\n";
    for (text, head) in [
        (known("names"), "index.html#"),
        (known("hole"), "index.html#"),
        (known("netloft") + page, "http://192.0.2.10/tide/index.html#"),
    ] {
        with_book(&text, |book| {
            let mut bytes = Vec::new();
            let documents = crate::documents(book);
            let of_page = documents.iter().find(|document| document.path() == "index.html");
            of_page.unwrap().write(&mut bytes).unwrap();
            let html = String::from_utf8(bytes).unwrap();
            for label in labels(book.wall, book.plan) {
                let place = label.address.strip_prefix(head).unwrap();
                assert_eq!(html.matches(&format!("id=\"{place}\"")).count(), 1, "{place}");
            }
        });
    }
}
