//! The manuals that list what the code knows are made from the code: run with `BLESS=1` to write
//! them anew.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::fmt::Write;

use glowloom_design::catalogue::{
    Figure, board, cloth, filament, receiver, small, strip, supply, wire,
};
use glowloom_design::diagnostic::code;
use glowloom_design::text;
use glowloom_units::Gauge;

/// Compares a manual with what it should be.
fn holds(path: &str, wanted: &str) {
    let file = glowloom_tests::at(path);
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&file, wanted).unwrap();
    }
    let found = std::fs::read_to_string(&file).unwrap_or_default();
    let differ =
        wanted.lines().zip(found.lines().chain(std::iter::repeat(""))).find(|(a, b)| a != b);
    assert!(
        found == wanted,
        "{path} is not what the code says; run the test with BLESS=1: {differ:?}"
    );
}

/// The sheet that the README shows is the book's, byte for byte.
#[test]
fn picture_of_a_sheet() {
    let file = std::fs::read(glowloom_tests::at("examples/walls/tidewall.toml")).unwrap();
    let wall = glowloom_design::read(&file).unwrap();
    let plan = glowloom_plan::plan(&wall);
    let choice = glowloom_book::Choice { sheet: Some("panel-a-back"), panel: None };
    let sheet = glowloom_plan::meter::sheet(&wall).unwrap();
    let steps = glowloom_plan::steps::steps(&wall, &plan, Some(&sheet));
    let book = glowloom_book::Book {
        wall: &wall,
        file: &file,
        plan: &plan,
        sheet: Some(&sheet),
        steps: &steps,
    };
    let sheets = glowloom_book::chosen(&book, &choice).unwrap();
    let sheet = sheets.iter().find(|sheet| sheet.path().starts_with("sheets/")).unwrap();
    let mut bytes = Vec::new();
    sheet.write(&mut bytes).unwrap();
    holds("docs/pictures/sheet.svg", &String::from_utf8(bytes).unwrap());
}

#[test]
fn wall_file() {
    let mut out = String::from(
        "# The wall file\n\n\
         TOML. Unknown keys are errors that name the nearest known key. Lengths take a unit in the text:\n\
         `\"1.2 m\"`, `\"40 mm\"`, `\"48 in\"`, `\"4 ft\"`; wire takes `\"16 AWG\"` or `\"1.5 mm2\"`; keys whose\n\
         line below names a unit take a plain number, or a text with a unit. `examples/walls/` holds whole\n\
         files; `glowloom new` writes one with comments.\n\n\
         Required: `format = 1`; `[wall]` name, columns, rows; `[strip]` part; at least one `[[panels]]`\n\
         with name and at; columns and rows of each panel, in `[panel]` or its own entry. What `[baffle]`,\n\
         `[board]`, `[diffuser]`, `[hanging]`, `[stock]` or `[prices]` would say is not there when the\n\
         section is absent. Limits: 4,000,000 pixels, 1,000 panels.\n",
    );
    let mut section = |title: &str, keys: &[(&str, &str)]| {
        write!(out, "\n## {title}\n\n| key | |\n| --- | --- |\n").unwrap();
        for (key, line) in keys {
            writeln!(out, "| `{key}` | {} |", line.trim()).unwrap();
        }
    };
    section("`[wall]`", text::WallSection::KEYS);
    section("`[strip]`", text::Strip::KEYS);
    section("`[panel]`, and any `[[panels]]` entry", text::PanelShape::KEYS);
    section("`[[panels]]`", text::PanelOwn::KEYS);
    section("`[power]`", text::Power::KEYS);
    section("`supply = { .. }` in `[power]`", text::SupplyFigures::KEYS);
    section("An entry of `feeds`", text::Feed::KEYS);
    section("`feed_wire`, `jumper_wire`, and `wire` of a feed", text::Wire::KEYS);
    section("`mains` in `[power]`", text::Mains::KEYS);
    section("`[receiver]`", text::Receiver::KEYS);
    section("`board = { .. }` in `[receiver]`", text::ReceiverFigures::KEYS);
    section("`[baffle]`", text::Baffle::KEYS);
    section("`[board]`", text::Board::KEYS);
    section("`[stock]`", text::Stock::KEYS);
    section("`[diffuser]`", text::Diffuser::KEYS);
    section("`[hanging]`", text::Hanging::KEYS);
    section("`[prices]`, besides catalogue keys and wire sizes", text::Money::KEYS);
    section("`[book]`", text::Book::KEYS);
    section("`[cuts]`", text::Cuts::KEYS);
    section("`[show]`", text::Show::KEYS);
    section("An entry of `quiet_hours`", text::QuietHours::KEYS);
    section("An entry of `running_order`", text::Scene::KEYS);
    section("`[[measured]]`", text::Measured::KEYS);
    holds("docs/wall-file.md", &out);
}

#[test]
fn findings_and_errors_by_code() {
    let mut out = String::from(
        "# Findings and errors by code\n\n\
         Codes do not change once released.\n\n\
         ## Findings of the plan\n\n\
         `hazard` can hurt or burn, `fault` will not work, `advice` could be better. `glowloom check` ends\n\
         with 1 where there is a hazard or a fault.\n\n\
         | code | kind | meaning |\n| --- | --- | --- |\n",
    );
    for code in glowloom_plan::CODES {
        writeln!(out, "| `{}` | {} | {} |", code.key(), code.kind().word(), code.meaning())
            .unwrap();
    }
    out.push_str(
        "\n## Errors of the wall file\n\nWith any of these, commands end with 2 and write nothing.\n\n\
         | code | meaning |\n| --- | --- |\n",
    );
    for (code, meaning) in code::ALL {
        writeln!(out, "| `{code}` | {meaning} |").unwrap();
    }
    holds("docs/findings.md", &out);
}

#[test]
fn catalogue() {
    let mut out = String::from(
        "# The catalogue\n\n\
         Generic parts and where each figure comes from. Parts sold under one name differ by a factor of\n\
         two; every figure can be overridden in the wall file, and a meter on the bench beats them all.\n",
    );
    strips(&mut out);
    out.push_str("\n## Supplies\n\nThe key is the label: ");
    let keys: Vec<String> = supply::ALL.iter().map(|part| format!("`{}`", part.key)).collect();
    writeln!(out, "{}.", keys.join(", ")).unwrap();
    out.push_str("\n## Receivers\n\n| key | links | data pins | pin level | packets a second |\n| --- | --- | --- | --- | --- |\n");
    for part in receiver::ALL {
        let links: Vec<&str> = part.links.iter().map(|link| link.key()).collect();
        let cells = [
            cell(&part.data_pins, |pins| pins.to_string()),
            cell(&part.pin_volts, |volts| format!("{} V", volts.0)),
            cell(&part.packets_per_second, |rate| rate.0.to_string()),
        ];
        writeln!(out, "| `{}` | {} | {} |", part.key, links.join(", "), cells.join(" | ")).unwrap();
    }
    wires(&mut out);
    out.push_str(
        "\n## Boards\n\n| key | kg/m2 | of thickness | burns | stiffness |\n| --- | --- | --- | --- | --- |\n",
    );
    for part in board::ALL {
        let mass = cell(&part.mass, |mass| mass.0.to_string());
        let burns = if part.burns { "yes" } else { "no" };
        let stiffness = part.stiffness.map_or("not known".into(), |figure| {
            cell(&figure, |stiffness| format!("{} GPa", stiffness.0 / 1e9))
        });
        let thickness = part.thickness.0 * 1000.0;
        writeln!(out, "| `{}` | {mass} | {thickness} mm | {burns} | {stiffness} |", part.key)
            .unwrap();
    }
    out.push_str("\n## Filaments\n\n| key | g/cm3 |\n| --- | --- |\n");
    for part in filament::ALL {
        writeln!(out, "| `{}` | {} |", part.key, cell(&part.density, |d| d.0.to_string())).unwrap();
    }
    cloth_and_small_things(&mut out);
    holds("docs/catalogue.md", &out);
}

fn cloth_and_small_things(out: &mut String) {
    out.push_str("\n## Cloth and cells\n\n| figure | value |\n| --- | --- |\n");
    let share = |share: f64| share.to_string();
    let rows = [
        ("width of a roll", cell(&cloth::ROLL_WIDTH, |width| format!("{} m", width.0))),
        ("mass", cell(&cloth::MASS, |mass| format!("{} kg/m2", mass.0))),
        ("light that comes through", cell(&cloth::TRANSMISSION, share)),
        ("light that a cell throws back", cell(&cloth::CELL_REFLECTANCE, share)),
        ("tape on a roll", cell(&small::TAPE_ROLL, |length| format!("{} m", length.0))),
    ];
    for (name, value) in rows {
        writeln!(out, "| {name} | {value} |").unwrap();
    }
    out.push_str(
        "\n## Small things\n\nKeys for prices.\n\n| key | price of one | |\n| --- | --- | --- |\n",
    );
    for part in small::ALL {
        writeln!(out, "| `{}` | {} | {} |", part.key, part.unit, part.what).unwrap();
    }
}

/// `value (source)`
fn cell<T: Copy>(figure: &Figure<T>, show: impl Fn(T) -> String) -> String {
    format!("{} ({})", show(figure.value), figure.source)
}

fn strips(out: &mut String) {
    out.push_str("\n## Strips\n");
    for part in strip::ALL {
        let chip = part.chip;
        write!(out, "\n### `{}`\n\n| figure | value | source |\n| --- | --- | --- |\n", part.key)
            .unwrap();
        let knees = chip.knee_volts.value.map(|v| v.0.to_string()).join(", ");
        let mut row = |name: &str, value: String, source: &str| {
            writeln!(out, "| {name} | {value} | {source} |").unwrap();
        };
        row("roll", format!("{} pixels", part.roll_pixels.value), part.roll_pixels.source);
        row("supply", format!("{} V", chip.volts.value.0), chip.volts.source);
        row("withstands", format!("{} V", chip.max_volts.value.0), chip.max_volts.source);
        row(
            "one colour, full on",
            format!("{} mA", milli(chip.channel_amps.value.0)),
            chip.channel_amps.source,
        );
        row("dark", format!("{} mA", milli(chip.idle_amps.value.0)), chip.idle_amps.source);
        row("knees: red, green, blue, white", format!("{knees} V"), chip.knee_volts.source);
        row(
            "knee of the idle current",
            format!("{} V", chip.idle_knee_volts.value.0),
            chip.idle_knee_volts.source,
        );
        row(
            "one rail, one way",
            format!("{} ohm/m", chip.rail_ohms_per_metre.value.0),
            chip.rail_ohms_per_metre.source,
        );
        row("the rail carries", format!("{} A", chip.rail_amps.value.0), chip.rail_amps.source);
        row(
            "one bit",
            format!("{} us", milli(chip.bit_seconds.value.0 * 1000.0)),
            chip.bit_seconds.source,
        );
        row("bits to a pixel", chip.bits_per_pixel.value.to_string(), chip.bits_per_pixel.source);
        row(
            "reset",
            format!("{} us", milli(chip.reset_seconds.value.0 * 1000.0)),
            chip.reset_seconds.source,
        );
        row("order", chip.order.value.to_owned(), chip.order.source);
        row("bare strip", format!("{} kg/m", chip.mass.value.0), chip.mass.source);
    }
}

/// Thousandths, without the dust of binary fractions.
fn milli(value: f64) -> f64 {
    (value * 1e6).round() / 1e3
}

fn wires(out: &mut String) {
    out.push_str(
        "\n## Wire\n\nResistance at 20 C. Limits are quoted from mains codes as a yardstick: the code of the place rules.\n\n\
         | size | ohm/m | may carry |\n| --- | --- | --- |\n",
    );
    let awg = (10..=30).map(Gauge::Awg);
    for gauge in awg.chain(wire::metric_sizes().map(Gauge::SquareMillimetres)) {
        let ohms = wire::resistance(gauge)
            .map(|f| cell(&f, |r| format!("{:.6}", r.0)))
            .unwrap_or_default();
        let amps = wire::ampacity(gauge)
            .map(|f| cell(&f, |a| format!("{} A", milli(a.0 / 1000.0))))
            .unwrap_or_default();
        writeln!(out, "| {gauge} | {ohms} | {amps} |").unwrap();
    }
}
