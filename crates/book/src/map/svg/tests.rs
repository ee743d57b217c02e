//! Sheets read back: well formed, everything on the paper, no letters over others, every pixel there.

use std::collections::BTreeMap;

use super::*;
use crate::lettering::{LARGE, MEDIUM, bold_width};

fn wall(text: &str) -> Wall {
    glowloom_design::read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}"))
}

fn drawn(text: &str) -> String {
    let mut bytes = Vec::new();
    svg(&wall(text), &mut bytes).expect("a vector takes everything");
    String::from_utf8(bytes).expect("a sheet is text")
}

/// A picture of so many columns and rows; `panels` are name, column, row and further lines.
fn text(columns: u32, rows: u32, panels: &[(&str, u32, u32, &str)]) -> String {
    let mut text = format!(
        "format = 1\n[wall]\nname = \"Any <wall> & \\\"more\\\"\"\ncolumns = {columns}\nrows = {rows}\n\
         [strip]\npart = \"ws2812b-30\"\n[receiver]\nboard = \"esp32\"\n"
    );
    for (name, column, row, lines) in panels {
        text += &format!("[[panels]]\nname = \"{name}\"\nat = [{column}, {row}]\n{lines}\n");
    }
    text
}

/// Walls of every kind that is drawn differently.
fn samples() -> Vec<String> {
    let turned: Vec<(String, u32, String)> = [0, 90, 180, 270]
        .into_iter()
        .zip(["top-left", "top-right", "bottom-left", "bottom-right"])
        .enumerate()
        .map(|(i, (turn, enter))| {
            let path = if i % 2 == 0 { "serpentine" } else { "progressive" };
            let lines = format!(
                "columns = 12\nrows = 12\nturn = {turn}\nenter = \"{enter}\"\npath = \"{path}\"\n\
                 data_lines = 3\nspare_pixels = {i}"
            );
            (format!("turned {turn}"), 12 * i as u32, lines)
        })
        .collect();
    let turned: Vec<_> = turned.iter().map(|(n, c, l)| (n.as_str(), *c, 0, l.as_str())).collect();
    let third = "columns = 20\nrows = 32";
    let lying = "strips = \"horizontal\"\nenter = \"top-right\"";
    vec![
        text(60, 32, &[("west", 0, 0, third), ("middle", 20, 0, third), ("east", 40, 0, third)]),
        text(7, 5, &[("sample", 0, 0, "columns = 7\nrows = 5\ndata_lines = 2\nspare_pixels = 1")]),
        text(48, 12, &turned),
        text(
            40,
            20,
            &[
                ("côté gauche, près de l'entrée <1> & Türöffnung", 2, 1, "columns = 10\nrows = 16"),
                ("centre", 14, 0, &format!("columns = 16\nrows = 12\n{lying}")),
                ("Жёлтая панель", 32, 3, "columns = 8\nrows = 17\nenter = \"top-right\""),
            ],
        ),
        text(
            12,
            8,
            &[
                ("one row", 0, 0, "columns = 12\nrows = 1"),
                ("two rows", 0, 1, "columns = 12\nrows = 2"),
                ("lines of one", 0, 3, &format!("columns = 12\nrows = 3\ndata_lines = 3\n{lying}")),
                ("low", 0, 6, "columns = 12\nrows = 2\nturn = 180\npath = \"progressive\""),
            ],
        ),
        text(1, 1, &[("dot", 0, 0, "columns = 1\nrows = 1")]),
        text(300, 1, &[("long", 0, 0, "columns = 300\nrows = 1\nstrips = \"horizontal\"")]),
        text(
            20,
            6,
            &[
                ("left", 0, 0, "columns = 10\nrows = 6\nstrip_spacing = \"50 mm\""),
                ("right", 10, 0, "columns = 10\nrows = 6\nplace = [\"520 mm\", \"20 mm\"]"),
            ],
        ),
        text(300, 100, &[("large", 0, 0, "columns = 300\nrows = 90\ndata_lines = 7")]),
    ]
}

/// The opening tags of a document in order, each with the text that follows it. Stops the test where
/// tags do not nest or a character is not escaped.
fn elements(document: &str) -> Vec<(&str, &str)> {
    let mut open = Vec::new();
    let mut found = Vec::new();
    let mut rest = document;
    while let Some(start) = rest.find('<') {
        let end = start + rest[start..].find('>').expect("each tag ends");
        let (tag, after) = (&rest[start + 1..end], &rest[end + 1..]);
        let text = &after[..after.find('<').unwrap_or(after.len())];
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name));
        } else {
            found.push((tag, text));
            if !tag.ends_with('/') {
                open.push(tag.split(' ').next().unwrap_or(tag));
            }
        }
        for reference in text.split('&').skip(1) {
            let name = reference.split(';').next().unwrap_or("");
            assert!(["amp", "lt", "gt", "quot", "apos"].contains(&name), "&{reference}");
        }
        rest = after;
    }
    assert!(open.is_empty(), "{open:?} do not end");
    found
}

fn attribute<'t>(tag: &'t str, name: &str) -> Option<&'t str> {
    let start = tag.find(&format!(" {name}=\""))? + name.len() + 3;
    Some(&tag[start..start + tag[start..].find('"')?])
}

fn number(tag: &str, name: &str) -> Option<f64> {
    attribute(tag, name)?.parse().ok()
}

/// Left, top, right and bottom of a text's capitals.
fn letters(tag: &str, text: &str) -> [f64; 4] {
    let plain = ["&lt;", "&gt;", "&quot;", "&apos;", "&amp;"];
    let mut text = text.to_owned();
    for (entity, letter) in plain.iter().zip(["<", ">", "\"", "'", "&"]) {
        text = text.replace(entity, letter);
    }
    let classes: Vec<&str> = attribute(tag, "class").unwrap_or("").split(' ').collect();
    let has = |class: &str| classes.contains(&class);
    let height = if has("large") {
        LARGE
    } else if has("medium-text") {
        MEDIUM
    } else {
        SMALL
    };
    let long = if has("bold") { bold_width(&text, height) } else { width(&text, height) };
    let before = if has("middle") {
        long / 2.0
    } else if has("end") {
        long
    } else {
        0.0
    };
    let tall = height * CAPITAL;
    match attribute(tag, "transform") {
        Some(transform) => {
            let inner = transform.trim_start_matches("translate(").split(')').next().unwrap_or("");
            let (x, y) = inner.split_once(' ').expect("a place");
            let (x, y): (f64, f64) = (x.parse().expect("x"), y.parse().expect("y"));
            [x - tall, y + before - long, x, y + before]
        }
        None => {
            let (x, y) = (number(tag, "x").expect("x"), number(tag, "y").expect("y"));
            [x - before, y - tall, x - before + long, y]
        }
    }
}

/// Whether two boxes share more than a line.
fn meet(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[2].min(b[2]) - a[0].max(b[0]) > 0.01 && a[3].min(b[3]) - a[1].max(b[1]) > 0.01
}

/// Stops the test where letters lie over letters, a plate over anything but its own, or anything
/// off the sheet.
fn assert_clear(sample: &str) {
    let document = drawn(sample);
    let elements = elements(&document);
    let (width, height) = elements
        .first()
        .and_then(|(tag, _)| attribute(tag, "viewBox"))
        .and_then(|view| view.strip_prefix("0 0 ")?.split_once(' '))
        .map(|(w, h)| (w.parse::<f64>().expect("width"), h.parse::<f64>().expect("height")))
        .expect("a sheet has a size");
    let texts: Vec<_> = elements
        .iter()
        .filter(|(tag, text)| tag.starts_with("text ") && !text.is_empty())
        .map(|(tag, text)| (*text, letters(tag, text)))
        .collect();
    assert!(texts.len() > 20);
    for (i, (text, a)) in texts.iter().enumerate() {
        let inside = a[0] > 10.0 && a[1] > 10.0 && a[2] < width - 10.0 && a[3] < height - 10.0;
        assert!(inside, "{text} is off the sheet: {a:?}, {sample}");
        for (other, b) in &texts[i + 1..] {
            assert!(!meet(a, b), "{text} over {other}: {a:?} {b:?}, {sample}");
        }
    }
    let dots = dots(&elements);
    for (tag, _) in elements.iter().filter(|(tag, _)| tag.starts_with("rect class=\"plate\"")) {
        let of = |name| number(tag, name).expect("a rectangle has its edges");
        let (x, y) = (of("x"), of("y"));
        let plate = [x, y, x + of("width"), y + of("height")];
        let under: Vec<_> = texts.iter().filter(|(_, letters)| meet(letters, &plate)).collect();
        assert_eq!(under.len(), 1, "{under:?} under {plate:?}, {sample}");
        let hidden = |(x, y): &&(f64, f64)| meet(&plate, &[x - 0.5, y - 0.5, x + 0.5, y + 0.5]);
        assert_eq!(dots.iter().find(hidden), None, "under {plate:?}, {sample}");
    }
}

/// The middles of all dots, in the order in which they are drawn.
fn dots(elements: &[(&str, &str)]) -> Vec<(f64, f64)> {
    elements
        .iter()
        .filter(|(tag, _)| tag.contains("class=\"dots l"))
        .filter_map(|(tag, _)| attribute(tag, "d"))
        .flat_map(|d| d.split('M').skip(1))
        .filter_map(|dot| dot.trim_end_matches("h0").split_once(' '))
        .map(|(x, y)| (x.parse().expect("x"), y.parse().expect("y")))
        .collect()
}

#[test]
fn letters_keep_clear_of_each_other_and_of_the_paper_s_edge() {
    samples().iter().for_each(|sample| assert_clear(sample));
}

#[test]
fn panels_of_any_small_shape_are_readable() {
    for columns in 1..=5u32 {
        for rows in 1..=5u32 {
            for (strips, count) in [("vertical", columns), ("horizontal", rows)] {
                for (path, enter) in [("serpentine", "bottom-left"), ("progressive", "top-right")] {
                    let lines = count.min(2);
                    let shape = format!(
                        "columns = {columns}\nrows = {rows}\nstrips = \"{strips}\"\npath = \
                         \"{path}\"\nenter = \"{enter}\"\ndata_lines = {lines}\nspare_pixels = 9"
                    );
                    // A turned neighbour has the same numbers the other way.
                    let turned = format!("{shape}\nturn = 90");
                    let panels = [("Any name", 0, 0, &*shape), ("turned", 0, rows, &*turned)];
                    assert_clear(&text(columns.max(rows), rows + columns, &panels));
                }
            }
        }
    }
}

#[test]
fn every_pixel_is_a_dot_where_the_map_has_it() {
    for sample in samples() {
        let wall = wall(&sample);
        let document = drawn(&sample);
        let lit: Vec<_> = glowloom_plan::map(&wall).filter(|e| e.lit.is_some()).collect();
        let dots = dots(&elements(&document));
        if wall.columns * wall.rows > super::super::detail::MOST_DOTS {
            assert!(document.contains("Pixels and numbers are left out"));
            // The legend is without them too.
            assert!(dots.is_empty());
            continue;
        }
        // One more stands in the legend, which is drawn first.
        let dots = &dots[1..];
        assert_eq!(dots.len(), lit.len());
        // Scale and corner from two pixels at most; all others must agree.
        let gaps = gaps(&wall);
        let whole = outline(&wall, &gaps);
        let (view, across, down) = View::of(&wall, &whole);
        let view = view.at(&Sheet::holding(wall.paper, across, down).drawing);
        let place = |p: Point| ((p.x * 100.0).round() as i64, (p.y * 100.0).round() as i64);
        let mut wanted: BTreeMap<(i64, i64), i32> = BTreeMap::new();
        for pixel in &lit {
            *wanted.entry(place(view.point((pixel.x, pixel.y)))).or_default() += 1;
        }
        for (x, y) in dots {
            *wanted.entry(place(Point::new(*x, *y))).or_default() -= 1;
        }
        assert!(wanted.values().all(|n| *n == 0), "{sample}");
    }
}

#[test]
fn names_and_marks_are_there() {
    for sample in samples() {
        let wall = wall(&sample);
        let document = drawn(&sample);
        let elements = elements(&document);
        let texts: Vec<&str> = elements.iter().map(|(_, text)| *text).collect();
        assert!(texts.contains(&"Pixel map of Any &lt;wall&gt; &amp; &quot;more&quot;"));
        for word in ["Pixel map, seen from the FRONT", "FRONT", "TOP", "BOTTOM", "LEFT", "RIGHT"] {
            assert!(texts.contains(&word), "{word}");
        }
        let groups = |start: &str| {
            let starts = |tag: &&str| tag.starts_with(start);
            elements.iter().map(|(tag, _)| *tag).filter(starts).count()
        };
        assert_eq!(groups("g aria-label=\"panel "), wall.panels.len());
        let lines: u32 = wall.panels.iter().map(|panel| panel.data_lines).sum();
        assert_eq!(groups("g aria-label=\"data line "), lines as usize);
        let dark = glowloom_plan::map(&wall).any(|entry| entry.lit.is_none());
        assert_eq!(texts.contains(&"pixels that no panel shows"), dark);
        assert_eq!(document.contains("<rect class=\"hatch\""), dark);
    }
}

/// The numbers of a panel of 7 x 5 pixels on two data lines, worked by hand.
#[test]
fn numbers_of_strips_and_indices() {
    let document = drawn(&samples()[1]);
    let elements = elements(&document);
    let of = |class: &str| -> Vec<&str> {
        let tag = format!("text class=\"{class}\" x");
        let panel = elements.iter().skip_while(|(tag, _)| *tag != "g aria-label=\"panel sample\"");
        let inside = panel.take_while(|(tag, _)| !tag.contains("class=\"thick\""));
        inside.filter(|(t, _)| t.starts_with(&tag)).map(|(_, text)| *text).collect()
    };
    assert_eq!(of("bold middle"), ["1", "2", "3", "4", "5", "6", "7"]);
    let indices = ["1", "5", "6", "10", "11", "15", "16", "20", "1", "5", "6", "10", "11", "15"];
    assert_eq!(of("middle"), indices);
    assert!(document.contains(">sample, line 1, universe 1<"));
    assert!(document.contains(">sample, line 2, universe 2<"));
    assert!(document.contains(">index on its line, spares first<"));
    assert!(document.contains(">1:1<"));
}

/// What a wall without end would need is not drawn.
#[test]
fn a_large_wall_makes_a_small_sheet() {
    let large = text(2000, 2000, &[("all", 0, 0, "columns = 2000\nrows = 2000")])
        + "[power]\nsupply = { volts = 5, amps = 60 }\n";
    let document = drawn(&large);
    assert!(document.contains("Pixels, numbers and data lines are left out"));
    assert!(document.len() < 20_000, "{}", document.len());
    let long = text(65_535, 1, &[("all", 0, 0, "columns = 65535\nrows = 1")]);
    assert!(drawn(&long).contains("left out"));
}

#[test]
fn the_same_wall_gives_the_same_bytes() {
    for sample in samples() {
        assert_eq!(drawn(&sample), drawn(&sample));
    }
}

#[test]
fn rulers_leave_room_between_numbers() {
    assert_eq!(marked(60, 6.67, 5.0).count(), 60);
    assert_eq!(marked(60, 1.0, 5.0).collect::<Vec<_>>()[..3], [0, 5, 10]);
    assert_eq!(marked(60, 0.9, 5.0).collect::<Vec<_>>()[..3], [0, 10, 20]);
}
