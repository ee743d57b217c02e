//! Labels: each thing of a wall has its own, and no text leaves its label.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use glowloom_book::labels::{Label, labels, sheets, svg};
use glowloom_design::Wall;

fn wall(names: [&str; 2], paper: &str) -> Wall {
    let text = format!(
        "format = 1\n[wall]\nname = \"{}\"\ncolumns = 30\nrows = 4\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 15\nrows = 4\n[[panels]]\nname = '{}'\nat = [0, 0]\n\
         address = \"receiver-of-a-long-name.workshop.example.org:12345\"\n\
         [[panels]]\nname = '{}'\nat = [15, 0]\n[power]\nfeeds = 3\n[book]\npaper = \"{paper}\"\n",
        "W".repeat(200),
        names[0],
        names[1]
    );
    glowloom_design::read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}"))
}

fn of(wall: &Wall) -> Vec<Label> {
    labels(wall, &glowloom_plan::plan(wall))
}

fn drawn(wall: &Wall, labels: &[Label], sheet: usize) -> String {
    let mut out = Vec::new();
    svg(wall, labels, sheet, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

/// The value of an attribute.
fn attribute(element: &str, name: &str) -> f64 {
    let start = format!(" {name}=\"");
    let rest = element.split(&start).nth(1).unwrap_or_else(|| panic!("{element}"));
    rest.split('"').next().unwrap().parse().unwrap()
}

#[test]
fn everything_has_its_label() {
    let wall = wall(["west", "east"], "a4");
    let all = of(&wall);
    let west: Vec<&str> = all
        .iter()
        .filter(|label| label.panel == "west")
        .map(|label| label.title.as_str())
        .collect();
    let mut wanted = vec!["panel".to_owned(), "receiver".to_owned()];
    wanted.extend((1..=15).map(|strip| format!("strip {strip}")));
    // Feeds evenly over 15 strips, and a label for each end.
    wanted.extend([3, 3, 8, 8, 13, 13].map(|strip| format!("feed {strip} near")));
    assert_eq!(west, wanted);
    assert_eq!(all.len(), 2 * wanted.len());
    assert!(all.iter().all(|label| label.address == format!("index.html#panel-{}", label.panel)));
    let ends: Vec<bool> = all
        .iter()
        .filter(|label| label.title == "feed 8 near" && label.number == 1)
        .map(|label| label.lines[0].starts_with("supply end, fuse "))
        .collect();
    assert_eq!(ends, [true, false]);
    // Two sheets of 39.
    assert_eq!(sheets(&wall, &all), 2);
    let first = drawn(&wall, &all, 0);
    assert_eq!(first.matches("<rect class=\"thin\"").count(), 39);
    assert_eq!(drawn(&wall, &all, 1).matches("<rect class=\"thin\"").count(), 46 - 39);
    assert_eq!(drawn(&wall, &all, 9).matches("<rect class=\"thin\"").count(), 0);
}

/// With letters of half their height, wider than most: no text reaches over the edge of its label, and
/// nothing of the sheet leaves the paper.
#[test]
fn text_stays_on_its_label() {
    let long = "Backstube über dem Hafenbecken mit Blick auf die alte Werft ".repeat(3);
    let wide = format!("{}🌊 מזרח", "W".repeat(150));
    for (paper, size) in [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))] {
        let wall = wall([long.trim(), &wide], paper);
        let all = of(&wall);
        for sheet in 0..sheets(&wall, &all) {
            let text = drawn(&wall, &all, sheet);
            let (mut place, mut texts) = (None, 0);
            for line in text.lines() {
                if line.starts_with("<rect class=\"thin\"") {
                    let of = |name| attribute(line, name);
                    place = Some((of("x"), of("y"), of("x") + of("width"), of("y") + of("height")));
                    let (left, top, right, bottom) = place.unwrap();
                    assert!(
                        left > 3.0 && top > 3.0 && right < size.0 - 3.0 && bottom < size.1 - 3.0
                    );
                }
                if let (true, Some((left, top, right, bottom))) = (line.starts_with("<text"), place)
                {
                    let height = if line.contains("medium-text") { 3.5 } else { 2.5 };
                    let words = line.split_once('>').unwrap().1.strip_suffix("</text>").unwrap();
                    let (x, y) = (attribute(line, "x"), attribute(line, "y"));
                    let letters = words.chars().count() as f64;
                    assert!(x > left + 18.0 && x + letters * height * 0.45 < right, "{line}");
                    assert!(y - height > top && y + height * 0.25 <= bottom, "{line}");
                    texts += 1;
                }
            }
            assert!(texts > 20, "{texts}");
            // Panels whose names are cut are told by their numbers.
            let numbered = ["1: Backstube", "2: WWW"].iter().filter(|start| text.contains(*start));
            assert!(numbered.count() >= 1);
        }
    }
}
