//! The cut list of whole walls: names, connectors, the shelf, panel by panel.

mod support;

use std::collections::{BTreeMap, BTreeSet};

use glowloom_plan::cuts::{Cuts, Pieces};
use glowloom_plan::{Code, Finding, plan};

fn cuts(text: &str) -> Cuts {
    glowloom_plan::cuts::cuts(&support::read(text))
}

fn about_cuts(text: &str) -> Vec<Finding> {
    let codes = [
        Code::CutsNotProven,
        Code::SplicesSaveRolls,
        Code::StripLongerThanRoll,
        Code::StripsSpliced,
    ];
    let all = plan(&support::read(text)).findings.into_iter();
    all.filter(|finding| codes.contains(&finding.code)).collect()
}

fn labels(cuts: &Cuts) -> Vec<String> {
    cuts.rolls_cut.iter().flat_map(|roll| &roll.labels).map(ToString::to_string).collect()
}

/// Rolls hold what they list, and the totals are those of the list.
fn adds_up(cuts: &Cuts) {
    let mut left = 0;
    let mut found: BTreeMap<u32, u32> = BTreeMap::new();
    for roll in &cuts.rolls_cut {
        assert_eq!(roll.pieces.len(), roll.labels.len());
        assert_eq!(roll.pieces.iter().sum::<u32>() + roll.left_over, roll.pixels);
        assert!(roll.shelf || roll.pixels == cuts.roll_pixels);
        left += u64::from(roll.left_over);
        for (pixels, label) in roll.pieces.iter().zip(&roll.labels) {
            *found.entry(*pixels).or_default() += u32::from(label.part.is_none());
        }
    }
    assert_eq!((cuts.rolls as usize, cuts.left_over_pixels), (cuts.rolls_cut.len(), left));
    let bought = cuts.rolls_cut.iter().filter(|roll| !roll.shelf).count();
    assert_eq!(cuts.rolls_to_buy as usize, bought);
    if cuts.joints == 0 {
        found.retain(|_, count| *count > 0);
        let wanted: BTreeMap<u32, u32> = cuts.pieces.iter().map(|p| (p.pixels, p.count)).collect();
        assert_eq!(found, wanted);
    }
}

#[test]
fn the_demo_wall() {
    let cuts = cuts(&support::tidewall());
    adds_up(&cuts);
    assert_eq!((cuts.rolls, cuts.rolls_to_buy, cuts.least_rolls_to_buy), (15, 15, 15));
    assert_eq!(cuts.pieces, [Pieces { pixels: 32, count: 60 }]);
    assert_eq!((cuts.joints, cuts.left_over_pixels, cuts.longest_left_over), (0, 330, 22));
    assert!(cuts.proven_least && cuts.joints_proven_least && cuts.left_over_proven_longest);
    // Each strip under its name, once.
    let found: BTreeSet<String> = labels(&cuts).into_iter().collect();
    let names = ["west", "middle", "east"].iter();
    let wanted: BTreeSet<String> =
        names.flat_map(|name| (1..=20).map(move |strip| format!("{name} {strip}"))).collect();
    assert_eq!((found, labels(&cuts).len()), (wanted, 60));
    // The three data lines start at a roll's own connector: first on their rolls.
    let first: Vec<String> = cuts
        .rolls_cut
        .iter()
        .filter(|roll| roll.connector)
        .map(|roll| roll.labels[0].to_string())
        .collect();
    assert_eq!(
        (first, cuts.lines_at_connector),
        (["west 1", "middle 1", "east 1"].map(String::from).into(), 3)
    );
    let instead = cuts.instead.unwrap();
    assert_eq!((instead.splices, instead.rolls_to_buy, instead.joints), (true, 13, 8));
}

#[test]
fn joined_strips_have_lettered_parts() {
    let text = support::tidewall().replace("splices = false", "splices = true");
    let cuts = cuts(&text);
    adds_up(&cuts);
    assert_eq!((cuts.rolls_to_buy, cuts.joints, cuts.least_joints), (13, 8, 8));
    assert_eq!(cuts.lines_at_connector, 3);
    // The parts of each strip are a and b, and add up to its pixels.
    let mut parts: BTreeMap<String, (Vec<u32>, u32)> = BTreeMap::new();
    for roll in &cuts.rolls_cut {
        for (pixels, label) in roll.pieces.iter().zip(&roll.labels) {
            let strip = glowloom_plan::cuts::Label { part: None, ..label.clone() }.to_string();
            let (letters, sum) = parts.entry(strip).or_default();
            letters.extend(label.part);
            *sum += pixels;
        }
    }
    assert_eq!(parts.len(), 60);
    let joined: Vec<_> = parts.values().filter(|(letters, _)| !letters.is_empty()).collect();
    assert_eq!(joined.len(), 8);
    for (letters, sum) in parts.values() {
        let mut letters = letters.clone();
        letters.sort_unstable();
        assert!(letters.is_empty() || letters == [0, 1], "{letters:?}");
        assert_eq!(*sum, 32);
    }
    assert!(labels(&cuts).iter().any(|label| label.ends_with(" b")));
    assert_eq!(cuts.instead.unwrap().rolls_to_buy, 15);
}

/// With a wall's rolls shared, 3 x 5 strips of 50 are 5 rolls; panel by panel 2 each are 6.
#[test]
fn panels_that_share_no_rolls() {
    let text = support::tidewall()
        .replace("columns = 20\nrows = 32", "columns = 5\nrows = 50")
        .replace("columns = 60\nrows = 32", "columns = 60\nrows = 50")
        .replace("feeds = 8", "feeds = 5");
    assert_eq!(cuts(&text).rolls_to_buy, 5);
    let apart = text.replace("splices = false", "splices = false\nby = \"panel\"");
    let apart_cuts = cuts(&apart);
    adds_up(&apart_cuts);
    assert_eq!((apart_cuts.rolls_to_buy, apart_cuts.least_rolls_to_buy), (6, 6));
    assert!(apart_cuts.proven_least);
    for roll in &apart_cuts.rolls_cut {
        let panels: BTreeSet<_> = roll.labels.iter().map(|label| &label.panel).collect();
        assert_eq!(panels.len(), 1);
    }
    // The shelf goes to panels in the order of the file: west gets by with it, the rest do not.
    let shelf = format!("{apart}[stock]\nrolls = [120, 150, 40]\n");
    let shelf_cuts = cuts(&shelf);
    adds_up(&shelf_cuts);
    assert_eq!((shelf_cuts.rolls, shelf_cuts.rolls_to_buy), (6, 4));
    assert_eq!((shelf_cuts.least_rolls_to_buy, shelf_cuts.proven_least), (4, true));
    assert_eq!(shelf_cuts.shelf_untouched, [40]);
    let used: Vec<_> = shelf_cuts.rolls_cut.iter().filter(|roll| roll.shelf).collect();
    assert!(used.iter().all(|roll| &*roll.labels[0].panel == "west" && !roll.connector));
}

/// A shelf goes where it saves most, not to the first: and no other way to share it out saves more, by
/// trying them all.
#[test]
fn a_shelf_is_shared_out_where_it_saves_most() {
    // 60 pieces of 32, 20 a panel, 4 a roll: only a panel that gets 4 from the shelf saves a roll.
    let text = support::tidewall().replace("splices = false", "splices = false\nby = \"panel\"");
    let shelf = format!("{text}[stock]\nrolls = [100, 60, 45, 20]\n");
    let cut = cuts(&shelf);
    adds_up(&cut);
    assert_eq!((cut.rolls_to_buy, cut.least_rolls_to_buy, cut.proven_least), (14, 14, true));
    // The one of 100 holds three, and that of 45 the fourth as well as that of 60.
    assert_eq!(cut.shelf_untouched, [60, 20]);
    assert!(about_cuts(&shelf).iter().all(|finding| finding.code != Code::CutsNotProven));

    let panel = |name: &str, at: u32, columns: u32, rows: u32| {
        format!(
            "[[panels]]\nname = \"{name}\"\nat = [{at}, 0]\ncolumns = {columns}\nrows = {rows}\n"
        )
    };
    // The first would take both to save one roll; each saves one for the others.
    let three = [("a", 5, 40), ("b", 1, 60), ("c", 1, 60)];
    let stock = [60, 60];
    let mut text = "format = 1\n[wall]\nname = \"Three\"\ncolumns = 7\nrows = 60\n[strip]\n\
                    part = \"ws2812b-30\"\n[cuts]\nsplices = false\nby = \"panel\"\n"
        .to_owned();
    let mut at = 0;
    for (name, columns, rows) in three {
        text.push_str(&panel(name, at, columns, rows));
        at += columns;
    }
    text.push_str("[power]\nfeeds = 1\n[stock]\nrolls = [60, 60]\n");
    let cut = cuts(&text);
    adds_up(&cut);
    assert!(cut.proven_least);
    let owners = (0..4u32.pow(2)).map(|all| (0..2).map(move |i| all / 4u32.pow(i) % 4));
    let fewest = owners.map(|owners| {
        let owners: Vec<u32> = owners.collect();
        let new = (0u32..).zip(three).map(|(number, (_, columns, rows))| {
            let own = stock.iter().zip(&owners).filter(|(_, owner)| **owner == number);
            let held: u32 = own.map(|(pixels, _)| pixels / rows).sum();
            columns.saturating_sub(held).div_ceil(150 / rows)
        });
        new.sum::<u32>()
    });
    assert_eq!((Some(cut.rolls_to_buy), cut.rolls_to_buy), (fewest.min(), 2));
}

/// 2 strips of 60 a line and 1 pixel ahead of each line.
#[test]
fn spare_pixels() {
    let of = |level: &str, roll: u32| {
        let text = support::one(
            4,
            60,
            "ws2812b-30",
            "data_lines = 2\nspare_pixels = 1",
            &format!("[receiver]\nboard = \"esp32\"\ndata_level = \"{level}\"\n"),
        );
        let part = "part = \"ws2812b-30\"";
        cuts(&text.replace(part, &format!("{part}\nroll_pixels = {roll}")))
    };
    let pieces = |cuts: &Cuts| cuts.pieces.iter().map(|p| (p.pixels, p.count)).collect::<Vec<_>>();
    // Cut in one piece with the first strip.
    let with = of("shifter", 150);
    adds_up(&with);
    assert_eq!(pieces(&with), [(61, 2), (60, 2)]);
    let found: BTreeSet<String> = labels(&with).into_iter().collect();
    let wanted = ["only 1 + 1 spare", "only 2", "only 3 + 1 spare", "only 4"];
    assert_eq!(found, wanted.map(String::from).into());
    // 61 + 61 and 60 + 60 leave 30 in one piece, 61 + 60 twice only 29: so one line starts at a
    // connector, where with the second way two would.
    assert_eq!((with.longest_left_over, with.lines_at_connector), (30, 1));
    // By itself, since its plus comes through a diode.
    let apart = of("spare pixel", 150);
    adds_up(&apart);
    assert_eq!(pieces(&apart), [(60, 4), (1, 2)]);
    assert!(labels(&apart).contains(&"only line 2 spare".to_owned()));
    // By itself, since no roll is longer than a strip.
    let tight = of("shifter", 60);
    adds_up(&tight);
    assert_eq!(pieces(&tight), [(60, 4), (1, 2)]);
    assert_eq!((tight.rolls_to_buy, tight.too_long.len()), (5, 0));
}

/// Two heads of lines of two lengths, three rolls: the rolls are shared so that both get one.
#[test]
fn as_many_lines_as_can_be_start_at_a_connector() {
    let text = "format = 1\n[wall]\nname = \"Two\"\ncolumns = 6\nrows = 100\n[strip]\n\
         part = \"ws2812b-30\"\n[cuts]\nsplices = false\n\
         [[panels]]\nname = \"tall\"\nat = [0, 0]\ncolumns = 3\nrows = 100\ndata_lines = 3\n\
         [[panels]]\nname = \"low\"\nat = [3, 0]\ncolumns = 3\nrows = 50\n";
    let cuts = cuts(text);
    adds_up(&cuts);
    // 3 rolls of 100 + 50: four lines start, three rolls have a connector.
    assert_eq!((cuts.rolls, cuts.lines_at_connector), (3, 3));
    let fewer = text.replace("data_lines = 3", "data_lines = 2");
    assert_eq!(self::cuts(&fewer).lines_at_connector, 3);
    // One line each: one roll goes without.
    let fewest = text.replace("data_lines = 3", "data_lines = 1");
    assert_eq!(self::cuts(&fewest).lines_at_connector, 2);
}

#[test]
fn strips_longer_than_a_roll() {
    let text = support::one(2, 160, "ws2812b-30", "", "");
    let found = about_cuts(&text);
    assert_eq!(found.len(), 1);
    let fault = &found[0];
    assert_eq!(fault.code, Code::StripLongerThanRoll);
    assert_eq!(
        fault.detail,
        "no roll is long enough for 2 of 160 pixels: a new roll has 150 pixels"
    );
    assert_eq!(fault.line, support::line_of(&text, "splices"));
    let cut = cuts(&text);
    adds_up(&cut);
    assert_eq!((cut.rolls, cut.proven_least, cut.pieces.len()), (0, false, 0));
    assert_eq!(cut.too_long, [Pieces { pixels: 160, count: 2 }]);
    // What the remedy says ends it.
    assert!(fault.remedy.contains("splices = true") && fault.remedy.contains("roll_pixels = 160"));
    let spliced = text.replace("splices = false", "splices = true");
    let advice = about_cuts(&spliced);
    assert_eq!(advice.iter().map(|f| f.code).collect::<Vec<_>>(), [Code::StripsSpliced]);
    assert_eq!(cuts(&spliced).joints, 2);
    let part = "part = \"ws2812b-30\"";
    let longer = text.replace(part, &format!("{part}\nroll_pixels = 160"));
    assert_eq!(about_cuts(&longer), []);
    // A part roll that is long enough holds one of them; the other is left.
    let shelf = format!("{text}[stock]\nrolls = [170]\n");
    let found = about_cuts(&shelf);
    assert!(found[0].detail.contains("1 of 160 pixels") && found[0].detail.contains("shelf"));
    assert_eq!(cuts(&shelf).rolls_cut.len(), 1);
    assert_eq!(about_cuts(&format!("{text}[stock]\nrolls = [170, 160]\n")), []);
}

/// Panels are named as the wall file has them, and their rolls are not taken for none.
#[test]
fn strips_too_long_are_named_in_order_and_not_free() {
    let text =
        support::tidewall().replace("rows = 32", "rows = 160") + "[prices]\nws2812b-30 = 14.0\n";
    for by in ["", "by = \"panel\"\n"] {
        let text = text.replace("[cuts]\n", &format!("[cuts]\n{by}"));
        let found = about_cuts(&text);
        assert_eq!(found[0].title, "strips longer than a roll on west, middle and east");
        let cost = plan(&support::read(&text)).cost.expect("prices");
        assert_eq!(cost.total, 0.0);
        assert!(cost.unpriced.contains(&"strip ws2812b-30 (quantity not known)".to_owned()));
    }
}

#[test]
fn what_splices_would_save() {
    // The file has chosen.
    let chosen = support::tidewall();
    assert_eq!(about_cuts(&chosen), []);
    let open = chosen.replace("splices = false", "by = \"wall\"");
    let found = about_cuts(&open);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].code, Code::SplicesSaveRolls);
    assert_eq!(found[0].title, "spliced strips would save 2 rolls");
    assert_eq!(found[0].detail, "13 to buy in place of 15, for 8 joints more to solder");
    assert_eq!(found[0].line, support::line_of(&open, "[cuts]"));
    // Written so, it is so.
    let written = chosen.replace("splices = false", "splices = true");
    assert_eq!((cuts(&written).rolls_to_buy, cuts(&written).joints), (13, 8));
    let found = about_cuts(&written);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].title, "8 strips joined from pieces");
    assert!(found[0].remedy.contains("splices = false: 15 rolls to buy then in place of 13"));
    // Nothing to save, nothing to say.
    let full = support::one(30, 50, "ws2812b-30", "", "").replace("splices = false", "");
    assert_eq!(about_cuts(&full), []);
}

#[test]
fn an_empty_shelf_is_none() {
    let text = support::tidewall();
    let empty = cuts(&format!("{text}[stock]\nrolls = []\n"));
    assert_eq!(empty, cuts(&text));
    let stocked = cuts(&format!("{text}[stock]\nrolls = [90, 150]\n"));
    adds_up(&stocked);
    // 56 of the 60 come from 14 new rolls, and 4 from the shelf: the longer roll alone does.
    assert_eq!((stocked.rolls, stocked.rolls_to_buy), (15, 14));
    assert!(stocked.proven_least);
    assert_eq!(stocked.shelf_untouched, [90]);
}

/// Very large walls, and walls of very short strips, are cut like others.
#[test]
fn large_walls() {
    let wide = support::one(60_000, 66, "ws2812b-30", "", "");
    let wide_cuts = cuts(&wide);
    adds_up(&wide_cuts);
    assert_eq!((wide_cuts.rolls_to_buy, wide_cuts.proven_least), (30_000, true));
    let short = support::one(65_535, 1, "ws2812b-30", "", "");
    assert_eq!(cuts(&short).rolls_to_buy, 437);
    let long =
        support::one(1, 65_535, "ws2812b-30", "", "").replace("splices = false", "splices = true");
    let long_cuts = cuts(&long);
    assert_eq!((long_cuts.rolls_to_buy, long_cuts.joints), (437, 436));
}
