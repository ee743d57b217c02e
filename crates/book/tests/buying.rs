//! The lists to buy and to cut by, read back and compared with the plan.

mod support;

use std::io::{self, Write};

use glowloom_book::lists::{bill, boards, wires};
use glowloom_design::Wall;
use glowloom_plan::{Plan, plan};

const BODY: &str = "[board]\nsheet = [\"1.2 m\", \"0.8 m\"]\n[diffuser]\n[prices]\ncurrency = \"EUR\"\n\
                    ws2812b-30 = 14.5\ncorrugated-card = 4.0\n\"22 AWG\" = 3\n";

fn wall(body: &str) -> Wall {
    let text = format!(
        "format = 1\n[wall]\nname = \"W\"\ncolumns = 26\nrows = 20\n[strip]\npart = \"ws2812b-30\"\n\
         [[panels]]\nname = 'left, \"low\"'\nat = [0, 0]\ncolumns = 13\nrows = 20\n\
         [[panels]]\nname = \"right\"\nat = [13, 0]\ncolumns = 13\nrows = 20\n{body}"
    );
    glowloom_design::read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}"))
}

fn text(write: impl Fn(&mut dyn Write) -> io::Result<()>) -> String {
    let mut bytes = Vec::new();
    write(&mut bytes).expect("a vector takes everything");
    String::from_utf8(bytes).expect("a list is text")
}

fn both(body: &str) -> (Wall, Plan) {
    let wall = wall(body);
    let plan = plan(&wall);
    (wall, plan)
}

/// Worked by hand: 520 pixels are 4 rolls of 150 at 14.50; a supply has no price.
#[test]
fn the_bill_to_the_letter() {
    let (wall, plan) = both(BODY);
    let text = text(|out| bill(&wall, &plan.material.items, out));
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[0], "item,unit,quantity,price,total,currency,note");
    let strip = "strip ws2812b-30,roll,4,14.50,58.00,EUR,";
    assert!(lines[1].starts_with(strip), "{}", lines[1]);
    assert!(lines[2].starts_with("supply 5v-60a,piece,2,,,,"), "{}", lines[2]);
    assert_eq!(lines.len() - 1, plan.material.items.len());
    // What is priced adds up to the plan's own total.
    let totals = lines[1..].iter().filter_map(|line| {
        let values: Vec<&str> = line.split(",EUR,").next()?.split(',').collect();
        line.contains(",EUR,").then(|| values.last()?.parse::<f64>().ok()).flatten()
    });
    let cost = plan.cost.expect("prices");
    assert!((totals.sum::<f64>() - cost.total).abs() < 0.005, "{text}");
    assert_eq!(lines[1..].iter().filter(|line| line.contains(",EUR,")).count(), cost.lines.len());
}

#[test]
fn no_prices_are_no_zeros() {
    let (wall, plan) = both("[board]\n");
    let text = text(|out| bill(&wall, &plan.material.items, out));
    assert!(!text.contains("EUR") && !text.contains("0.00"), "{text}");
    let board = text.lines().find(|line| line.starts_with("board ")).expect("a board");
    assert_eq!(board, "board corrugated-card,sheet,,,,,the wall file gives no sheet size");
}

#[test]
fn wires_have_their_colours_and_ends() {
    let (_, plan) = both("");
    let text = text(|out| wires(&plan.material.wires, out));
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[0], "joins,label,colour,size,count,length_mm,cut_mm,soldered_ends,lugs,note");
    assert_eq!(lines[1], "supply to strip,DC +,red,16 AWG,2,1000.0,1100.0,2,2,");
    assert_eq!(lines.len() - 1, plan.material.wires.len());
    let earth = lines.iter().find(|line| line.contains(",PE,")).expect("earth");
    assert!(earth.starts_with("plug to supply,PE,green-and-yellow,1.5 mm2,2,2000.0,"), "{earth}");
    assert!(earth.contains("licensed electrician"), "{earth}");
}

/// Two boards of 433.3 x 666.7 mm side by side on a sheet of 1.2 x 0.8 m.
#[test]
fn boards_lie_on_their_sheets() {
    let (_, plan) = both(BODY);
    let found = plan.material.boards.as_ref().expect("boards");
    let text = text(|out| boards(found, out));
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[0], "sheet,panel,x_mm,y_mm,width_mm,height_mm");
    assert_eq!(lines.len(), 3);
    assert!(lines[1].starts_with("1,\"left, \"\"low\"\"\",0.0,0.0,"), "{}", lines[1]);
    assert!(lines[2].starts_with("1,right,"), "{}", lines[2]);
    let (_, plan) = both("[board]\n");
    let found = plan.material.boards.as_ref().expect("boards");
    let text = self::text(|out| boards(found, out));
    assert!(text.ends_with("\n,right,,,433.3,666.7\n"), "{text}");
}

#[test]
fn a_writer_s_error_is_passed_on() {
    let (wall, plan) = both(BODY);
    let found = plan.material.boards.as_ref().expect("boards");
    for room in [0, 50] {
        let errors = [
            bill(&wall, &plan.material.items, &mut support::Full(room)),
            wires(&plan.material.wires, &mut support::Full(room)),
            boards(found, &mut support::Full(room)),
        ];
        for error in errors {
            assert_eq!(error.expect_err("there is no room").kind(), io::ErrorKind::StorageFull);
        }
    }
}
