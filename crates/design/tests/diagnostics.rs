//! Every way in which a wall file can be wrong: what is said, and under which words.
//!
//! A case is a wall file in which `^^^ code` stands under what is wrong. All errors of a case must
//! be marked, and all marks must be errors.

mod marks;

use glowloom_design::read;
use marks::{HEAD, STRIP, base, check, found};

#[test]
fn the_base_is_right() {
    check(&base());
}

#[test]
fn unknown_keys_and_sections() {
    check(
        &(base()
            + "[powr]
 ^^^^^ unknown-key
[receiver]
link = \"wifi\"
colour = 3
^^^^^^ unknown-key
[baffle]
bedd = 1
^^^^ unknown-key
"),
    );
}

#[test]
fn the_nearest_key_is_named() {
    let (_, wrong) = found(&base().replace("columns = 20", "colums = 20"));
    assert!(wrong.iter().any(|d| d.wanted == "did you mean `columns`?"), "{wrong:?}");
}

#[test]
fn every_problem_in_one_run() {
    check(
        "format = 1
[wall]
name = \"\"
       ^^ empty
columns = -3
          ^^ out-of-range
rows = \"10\"
       ^^^^ wrong-type
seen_from = 4
            ^ missing-unit
figures = \"metrik\"
          ^^^^^^^^ unknown-value
[strip]
part = \"ws2812b-31\"
       ^^^^^^^^^^^^ unknown-value
channel_amps = \"20 mV\"
               ^^^^^^^ wrong-unit
[[panels]]
^ missing-key missing-key missing-key
name = \"é\"
turn = 45
       ^^ out-of-range
[[panels]]
name = \"é\"
       ^^^ repeated-name
at = [0, 0, 1]
     ^^^^^^^^^ wrong-type
columns = 0
          ^ out-of-range
rows = 4.5
       ^^^ wrong-type
",
    );
}

#[test]
fn sizes_absurd_and_negative() {
    for (wrong, code) in [
        ("columns = 1000000000", "out-of-range"),
        ("columns = 99999999999999999999999999", "out-of-range"),
        ("columns = 0", "out-of-range"),
        ("columns = 0x10", ""),
    ] {
        let (marks, _) = found(&base().replace("columns = 20", wrong));
        let codes: Vec<&str> = marks.iter().map(|m| m.code.as_str()).collect();
        assert_eq!(codes, if code.is_empty() { vec![] } else { vec![code] }, "{wrong}");
    }
    check(
        &(base()
            + "[power]
trim_volts = -5
             ^^ out-of-range
feed_wire = { gauge = \"16 AWG\", length = \"-1 m\" }
                                         ^^^^^^ out-of-range
jumper_wire = { gauge = \"99 AWG\" }
                        ^^^^^^^^ out-of-range
connection_ohms = nan
                  ^^^ out-of-range
brightness_limit = 1.5
                   ^^^ out-of-range
"),
    );
    check(
        "format = 1
[wall]
name = \"W\"
columns = 2001
rows = 2000
       ^^^^ too-many-pixels
[strip]
part = \"ws2812b-30\"
[[panels]]
name = \"a\"
at = [0, 0]
columns = 10
rows = 10
",
    );
}

#[test]
fn zero_ohms_and_no_feeds_are_for_the_plan() {
    check(
        &(base() + "[power]\nfeeds = 0\nconnection_ohms = 0\nfeed_wire = { ohms_per_metre = 0 }\n"),
    );
    check(&(base() + "[power]\nfeeds = []\n"));
}

#[test]
fn units() {
    check(
        &(base()
            + "[baffle]
wall = \"0.8\"
       ^^^^^ missing-unit
depth = \"20 kg\"
        ^^^^^^^ wrong-unit
bed = [\"220 mm\"]
      ^^^^^^^^^^ wrong-type
flow = \"6 mm/s\"
       ^^^^^^^^ wrong-unit
nozzle = \"fine\"
         ^^^^^^ wrong-type
[hanging]
rated = \"1.8 m\"
        ^^^^^^^ wrong-unit
"),
    );
}

#[test]
fn panels_that_do_not_fit() {
    check(
        &format!(
            "{HEAD}{STRIP}[panel]
columns = 10
rows = 10
[[panels]]
name = \"a\"
at = [0, 0]
[[panels]]
name = \"b\"
at = [9, 9]
     ^^^^^^ panels-overlap outside-picture
[[panels]]
name = \"c\"
at = [11, 0]
     ^^^^^^^ outside-picture panels-overlap
"
        )
        .replace(
            "at = [11, 0]\n     ^^^^^^^ outside-picture panels-overlap",
            "at = [11, 0]\n     ^^^^^^^ outside-picture panels-overlap",
        ),
    );
}

/// A turned panel swaps its columns and rows, and so its reach.
#[test]
fn a_turned_panel_reaches_elsewhere() {
    check(&format!(
        "{HEAD}{STRIP}[[panels]]
name = \"a\"
at = [0, 0]
columns = 10
rows = 12
turn = 90
[[panels]]
name = \"b\"
at = [12, 0]
columns = 10
rows = 8
turn = 270
"
    ));
    check(&format!(
        "{HEAD}{STRIP}[[panels]]
name = \"a\"
at = [0, 0]
     ^^^^^^ outside-picture
columns = 12
rows = 10
turn = 90
"
    ));
}

#[test]
fn universes_and_addresses() {
    check(&format!(
        "{HEAD}{STRIP}[panel]
columns = 10
rows = 10
[[panels]]
name = \"a\"
at = [0, 0]
address = \"192.0.2.1\"
first_universe = 5
[[panels]]
name = \"b\"
at = [10, 0]
address = \"192.0.2.1:5568\"
          ^^^^^^^^^^^^^^^^ repeated-address
first_universe = 5
                 ^ repeated-universe
"
    ));
    check(
        &(base()
            + "address = \"192.0.2.300\"
          ^^^^^^^^^^^^^ wrong-address
first_universe = 64000
                 ^^^^^ out-of-range
"),
    );
    check(&format!(
        "{}first_universe = 63999
                 ^^^^^ universes-run-out
",
        base()
            .replace("rows = 10\n[strip]", "rows = 40\n[strip]")
            .replace("rows = 10\n", "rows = 40\n")
    ));
    check(
        &(base()
            + "[receiver]
sync_universe = 1
                ^ repeated-universe
"),
    );
    // A virtual panel's own place, written by hand for another panel.
    check(
        &(base()
            + "address = \"localhost:15569\"
[[panels]]
^ repeated-address
name = \"b\"
at = [10, 0]
columns = 10
rows = 10
"),
    );
}

#[test]
fn strips_lines_feeds_and_supplies() {
    check(
        &(base()
            + "data_lines = 11
             ^^ too-many-lines
"),
    );
    check(
        &(base()
            + "feeds = 11
        ^^ too-many-feeds
[power]
supplies_per_panel = 11
                     ^^ too-many-supplies
"),
    );
    check(&(base()
        + "feeds = [{ strip = 11, edge = \"near\" }, { strip = 2, edge = \"far\" }, { strip = 2, edge = \"far\" }]
                   ^^ no-such-strip
                                                                     ^^^ repeated-feed
"));
    check(
        &(base()
            + "feeds = [{ edge = \"left\" }]
         ^ missing-key
                  ^^^^^^ unknown-value
"),
    );
}

/// Nothing that is wrong hides another thing that has nothing to do with it.
#[test]
fn independent_problems_do_not_hide_each_other() {
    check(
        "format = 1
[wall]
name = \"W\"
columns = 20
rows = 10
[strip]
part = \"ws2812b-30\"
[panel]
columns = 10
rows = 10
[[panels]]
name = \"a\"
at = [0, 0]
address = \"192.0.2.1\"
first_universe = 1
[[panels]]
name = \"b\"
at = [10, 0]
address = \"192.0.2.1\"
          ^^^^^^^^^^^ repeated-address
first_universe = 1
                 ^ repeated-universe
[power]
supply = \"5v-61a\"
         ^^^^^^^^ unknown-value
jumper_wire = { gauge = \"2 mm2\" }
                        ^^^^^^^ unknown-gauge
fuses = [2, 1]
        ^^^^^^ out-of-range
[receiver]
board = \"esp\"
        ^^^^^ unknown-value
colour_bits = 16
              ^^ out-of-range
[baffle]
material = \"clay\"
           ^^^^^^ unknown-value
",
    );
}

/// A thousand panels on one spot, each of more strips than the picture holds: no feeds are laid out
/// for them, and each is told once.
#[test]
fn absurd_panels_are_told_once_each() {
    let panel = |n: usize| format!("[[panels]]\nname = \"p{n}\"\nat = [0, 0]\n");
    let panels: String = (0..1000).map(panel).collect();
    let text = format!(
        "{HEAD}{STRIP}[panel]\ncolumns = 65535\nrows = 1\n[power]\nfeeds = 65535\n{panels}"
    );
    let (marks, _) = found(&text);
    let count = |code: &str| marks.iter().filter(|mark| mark.code == code).count();
    assert_eq!(count("outside-picture"), 1000);
    assert_eq!(count("panels-overlap"), 999);
}

#[test]
fn wires_say_what_they_are_once() {
    check(
        &(base()
            + "[power]
feed_wire = { gauge = \"16 AWG\", ohms_per_metre = 0.01 }
                      ^^^^^^^^ wire-two-ways
jumper_wire = { gauge = \"2 mm2\" }
                        ^^^^^^^ unknown-gauge
"),
    );
}

#[test]
fn order_and_bits_agree() {
    check(&base().replace(
        "part = \"ws2812b-30\"\n",
        "part = \"ws2812b-30\"\norder = \"grbw\"\n        ^^^^^^ order-and-bits\n",
    ));
    check(&base().replace(
        "part = \"ws2812b-30\"\n",
        "part = \"ws2812b-30\"\norder = \"grbw\"\nbits_per_pixel = 32\n",
    ));
    check(&base().replace(
        "part = \"ws2812b-30\"\n",
        "part = \"ws2812b-30\"\norder = \"grg\"\n        ^^^^^ unknown-value\n",
    ));
}

#[test]
fn what_is_absent_is_named() {
    let (marks, _) = found("");
    let codes: Vec<_> = marks.iter().map(|m| m.code.as_str()).collect();
    assert_eq!(codes, ["missing-key"; 4], "format, wall, strip, panels");
    check(
        "format = 2\n         ^ unknown-format\n[wall]\nname = \"W\"\ncolumns = 10\nrows = 10\n[strip]\npart = \"ws2812b-30\"\n[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 10\nrows = 10\n",
    );
}

#[test]
fn not_a_wall_file() {
    let code = |bytes: &[u8]| read(bytes).unwrap_err()[0].code.as_str();
    assert_eq!(code(b"format = 1\n\xff\xfe"), "not-utf8");
    assert_eq!(code(&vec![b'#'; 100 << 20]), "too-large");
    assert_eq!(code(b"\x89PNG\r\n\x1a\n"), "not-utf8");
    check("format = 1\n[wall\n     ^ not-toml\n");
    check("format = 1\nformat = 1\n^ second-value\n");
}

#[test]
fn deep_nesting_ends() {
    let deep = format!("x = {}", "[".repeat(100_000));
    assert!(read(deep.as_bytes()).is_err());
    let deep = format!("x = {}", "{a=".repeat(100_000));
    assert!(read(deep.as_bytes()).is_err());
    let dotted = format!("{} = 1", vec!["a"; 100_000].join("."));
    assert!(read(dotted.as_bytes()).is_err());
}

#[test]
fn whites_that_cannot_be_mixed() {
    let strip = STRIP.replace(
        "[strip]",
        "[strip]
primaries = [[0.69, 0.31], [0.17, 0.7], [0.13, 0.08]]
white_point = [0.6, 0.2]
              ^^^^^^^^^^ white-outside",
    );
    check(
        &(base().replace(STRIP, &strip)
            + "[show]
white_point = [0.7, 0.29]
              ^^^^^^^^^^^ white-outside
saturation = 2.5
             ^^^ out-of-range
filter = \"blurred\"
         ^^^^^^^^^ unknown-value
"),
    );
    check(
        &(base()
            + "[show]
white_point = [0.7, 0.4]
              ^^^^^^^^^^ out-of-range
dither = 1
         ^ wrong-type
"),
    );
}

#[test]
fn addresses_of_the_page() {
    let long = |letters: usize| format!("http://192.0.2.10/{:a<1$}", "", letters - 18);
    for wrong in [
        "192.0.2.10",
        "ftp://192.0.2.10/",
        "http://",
        "http:///book",
        "http://192.0.2.10/#west",
        "http://192.0.2.10/my book",
        "https://näher.example/",
        "http://192.0.2.10/javascript:alert('<b>')",
        &long(81),
    ] {
        let (_, found) = found(&format!("{}[book]\npage = \"{wrong}\"\n", base()));
        let codes: Vec<_> = found.iter().map(|d| d.code.as_str()).collect();
        assert_eq!(codes, ["out-of-range"], "{wrong}");
    }
    for right in [
        "http://192.0.2.10/book/index.html",
        "https://[2001:db8::1]:8080/",
        "http://pi.local?w=1",
        &long(80),
    ] {
        let wall = read(format!("{}[book]\npage = \"{right}\"\n", base()).as_bytes()).unwrap();
        assert_eq!(wall.book_page.as_deref(), Some(right));
    }
}
