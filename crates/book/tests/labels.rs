//! Labels: each thing of a wall has its own, on the sheets and in the list.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use glowloom_book::labels::{Label, labels};
use glowloom_book::lists;
use glowloom_design::Wall;

fn wall(names: [&str; 2]) -> Wall {
    let text = format!(
        "format = 1\n[wall]\nname = \"{}\"\ncolumns = 30\nrows = 4\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 15\nrows = 4\n[[panels]]\nname = '{}'\nat = [0, 0]\n\
         address = \"receiver-of-a-long-name.workshop.example.org:12345\"\n\
         [[panels]]\nname = '{}'\nat = [15, 0]\n[power]\nfeeds = 3\n",
        "W".repeat(200),
        names[0],
        names[1]
    );
    glowloom_design::read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}"))
}

fn of(wall: &Wall) -> Vec<Label> {
    labels(wall, &glowloom_plan::plan(wall))
}

#[test]
fn everything_has_its_label() {
    let wall = wall(["west", "east"]);
    let all = of(&wall);
    let west: Vec<&str> = all
        .iter()
        .filter(|label| label.panel == "west")
        .map(|label| label.title.as_str())
        .collect();
    let mut wanted = vec!["panel".to_owned(), "receiver".to_owned()];
    wanted.extend((1..=15).map(|strip| format!("strip {strip}")));
    // One data line, feeds evenly over 15 strips, and a label for each end.
    wanted.extend(["D1 data lead", "D1 data lead"].map(str::to_owned));
    let feeds = [(1, 3), (2, 8), (3, 13)];
    wanted.extend(feeds.iter().flat_map(|(f, strip)| vec![format!("F{f} feed {strip} near"); 2]));
    assert_eq!(west, wanted);
    assert_eq!(all.len(), 2 * wanted.len());
    assert!(all.iter().all(|label| label.address == format!("index.html#panel-{}", label.panel)));
    let ends: Vec<bool> = all
        .iter()
        .filter(|label| label.title == "F2 feed 8 near" && label.number == 1)
        .map(|label| label.lines[0].starts_with("supply end, fuse "))
        .collect();
    assert_eq!(ends, [true, false]);
    let mut list = Vec::new();
    lists::labels(&all, &mut list).unwrap();
    let list = String::from_utf8(list).unwrap();
    let lines: Vec<&str> = list.lines().collect();
    assert_eq!(lines.len(), 1 + all.len());
    assert_eq!(lines[0], "panel,thing,title,first,second,code");
    assert_eq!(
        lines[3],
        "west,strip,strip 1,\"4 px, data in at its bottom end\",front: 1st from the left,index.html#panel-west"
    );
}
