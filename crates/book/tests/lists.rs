//! The pixel map as a list, read back and compared with the plan's own.

mod support;

use std::io::{self, Write};

use glowloom_book::lists;
use glowloom_book::map::{csv, json, svg};
use glowloom_design::Wall;

/// Two panels and a gap; names with what lists and documents have to escape.
fn wall() -> Wall {
    let text = "format = 1\n[wall]\nname = \"Lists\"\ncolumns = 9\nrows = 4\n[strip]\npart = \
                \"ws2812b-30\"\n[receiver]\nboard = \"esp32\"\n\
                [[panels]]\nname = 'left, \"low\"'\nat = [0, 0]\ncolumns = 4\nrows = 4\ndata_lines = 2\n\
                [[panels]]\nname = \"côté <droit>\"\nat = [5, 0]\nturn = 90\ncolumns = 3\nrows = 4\n\
                spare_pixels = 2\n";
    glowloom_design::read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}"))
}

fn bytes(write: impl Fn(&Wall, &mut dyn Write) -> io::Result<()>) -> String {
    let mut bytes = Vec::new();
    write(&wall(), &mut bytes).expect("a vector takes everything");
    String::from_utf8(bytes).expect("a list is text")
}

/// The values of a line, read by RFC 4180 (from memory): a value in quotes holds commas, and each
/// quote twice.
fn values(line: &str) -> Vec<String> {
    let mut values = vec![String::new()];
    let mut letters = line.chars().peekable();
    let mut quoted = false;
    while let Some(letter) = letters.next() {
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                values.last_mut().expect("one at least").push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => values.push(String::new()),
            letter => values.last_mut().expect("one at least").push(letter),
        }
    }
    assert!(!quoted, "{line}");
    values
}

#[test]
fn csv_lists_the_map() {
    let (wall, text) = (wall(), bytes(csv));
    let mut lines = text.strip_suffix('\n').expect("the last line ends").split('\n');
    assert_eq!(lines.next(), Some("column,row,panel,data_line,index,universe,slot,x_mm,y_mm"));
    let mut count = 0;
    for (entry, line) in glowloom_plan::map(&wall).zip(lines.by_ref()) {
        let mut wanted = vec![entry.column.to_string(), entry.row.to_string()];
        match entry.lit {
            Some(lit) => {
                wanted.push(lit.panel.to_owned());
                let numbers = [lit.data_line, lit.index, lit.universe, lit.slot.into()];
                wanted.extend(numbers.map(|n| n.to_string()));
            }
            None => wanted.extend([const { String::new() }; 5]),
        }
        wanted.extend([entry.x.0, entry.y.0].map(|m| format!("{:.2}", m * 1000.0)));
        assert_eq!(values(line), wanted);
        count += 1;
    }
    assert_eq!((count, lines.next()), (36, None));
}

/// Worked by hand: strips of 4 pixels, upright from the lower left, 33.33 mm apart.
#[test]
fn csv_lines_to_the_letter() {
    let text = bytes(csv);
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[1], "0,0,\"left, \"\"low\"\"\",1,3,1,10,16.67,16.67");
    assert_eq!(lines[1 + 4], "4,0,,,,,,150.00,16.67");
    // Turned by a quarter: entered at the upper left, two spares ahead, universe 3.
    assert_eq!(lines[1 + 5], "5,0,côté <droit>,1,2,3,7,183.33,16.67");
}

#[test]
fn json_says_what_csv_says() {
    let document: serde_json::Value = serde_json::from_str(&bytes(json)).expect("JSON");
    let heads: Vec<_> = ["format", "columns", "rows"].map(|key| document[key].as_u64()).into();
    assert_eq!(heads, [Some(1), Some(9), Some(4)]);
    let pixels = document["pixels"].as_array().expect("a list");
    let text = bytes(csv);
    let names = values(text.lines().next().expect("a line of names"));
    assert_eq!(pixels.len(), text.lines().count() - 1);
    for (pixel, line) in pixels.iter().zip(text.lines().skip(1)) {
        assert_eq!(pixel.as_object().expect("an object").len(), names.len());
        for (name, value) in names.iter().zip(values(line)) {
            match &pixel[name] {
                serde_json::Value::Null => assert_eq!(value, ""),
                serde_json::Value::String(text) => assert_eq!(*text, value),
                number => assert_eq!(number.as_f64(), value.parse().ok(), "{name} of {line}"),
            }
        }
    }
    // In the list's order of names.
    let first = bytes(json).lines().nth(1).expect("a pixel").to_owned();
    let places: Vec<_> = names.iter().map(|n| first.find(&format!("\"{n}\":"))).collect();
    assert!(places.iter().all(Option::is_some) && places.is_sorted(), "{first}");
}

#[test]
fn a_writer_s_error_is_passed_on() {
    for room in [0, 100] {
        for write in [csv, json, svg] {
            let error = write(&wall(), &mut support::Full(room)).expect_err("there is no room");
            assert_eq!(error.kind(), io::ErrorKind::StorageFull);
        }
    }
}

/// Each roll from end to end: pieces and what is left follow each other without a gap.
#[test]
fn cuts_run_along_their_rolls() {
    let text = "format = 1\n[wall]\nname = \"L\"\ncolumns = 12\nrows = 47\n[strip]\npart = \"ws2812b-30\"\n\
                [cuts]\nsplices = true\n[stock]\nrolls = [60, 90]\n[[panels]]\nname = \"a, b\"\nat = [0, 0]\n\
                columns = 12\nrows = 47\n";
    let wall = glowloom_design::read(text.as_bytes()).unwrap();
    let plan = glowloom_plan::plan(&wall);
    let mut out = Vec::new();
    lists::cuts(wall.pitch(), &plan.cuts.rolls_cut, &mut out).unwrap();
    let out = String::from_utf8(out).unwrap();
    let mut lines = out.lines();
    let head = "roll,from,roll_pixels,piece,label,panel,pixels,length_mm,from_mm,to_mm,connector";
    assert_eq!(lines.next(), Some(head));
    let rows: Vec<Vec<String>> = lines.map(values).collect();
    let number = |row: &[String], column: usize| -> f64 { row[column].parse().unwrap() };
    let (mut pieces, mut joints) = (0, 0);
    for (i, roll) in plan.cuts.rolls_cut.iter().enumerate() {
        let of = |row: &&Vec<String>| row[0] == (i + 1).to_string();
        let mut at = 0.0;
        for row in rows.iter().filter(of) {
            assert_eq!(row[1], if roll.shelf { "shelf" } else { "new" });
            assert!((number(row, 8) - at).abs() < 0.11, "{row:?}");
            assert!((number(row, 7) - number(row, 6) * 100.0 / 3.0).abs() < 0.051, "{row:?}");
            at = number(row, 9);
            pieces += usize::from(row[5] == "a, b");
            joints += usize::from(row[4].ends_with(" b"));
            assert_eq!(row[4] == "left over", row[3].is_empty() && row[5].is_empty());
        }
        assert!((at - f64::from(roll.pixels) * 100.0 / 3.0).abs() < 0.051, "{at}");
    }
    let all: usize = plan.cuts.rolls_cut.iter().map(|roll| roll.pieces.len()).sum();
    assert_eq!((pieces, joints), (all, plan.cuts.joints as usize));
    assert!(joints > 0 && rows.iter().any(|row| row[1] == "shelf"));
}
