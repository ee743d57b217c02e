//! Masses, fixings and sag against sums by hand and a beam integrated step by step.

mod support;

use glowloom_plan::material::made::Made;
use glowloom_plan::structure::bending::bending;
use glowloom_plan::structure::mass::Part;
use glowloom_plan::structure::{Structure, structure};
use glowloom_plan::{Code, Finding, plan};
use glowloom_units::{Kilograms, Metres, Pascals};

fn made(filament: Option<f64>) -> Made {
    Made { filament: filament.map(Kilograms), ..Made::default() }
}

fn of(text: &str, filament: Option<f64>) -> Structure {
    structure(&support::read(text), &made(filament)).expect("it hangs")
}

fn mass(structure: &Structure, part: Part) -> Option<f64> {
    let part = structure.parts.iter().find(|mass| mass.part == part).expect("it has one");
    part.kg.map(|kg| kg.0)
}

fn close(found: f64, wanted: f64) {
    assert!((found - wanted).abs() <= 1e-9 * wanted.abs().max(1.0), "{found}, not {wanted}");
}

fn found(text: &str, code: Code) -> Vec<Finding> {
    plan(&support::read(text)).findings.into_iter().filter(|f| f.code == code).collect()
}

/// One panel of 30 x 30 pixels, 1 m square, every figure of the file's own.
fn square(rest: &str) -> String {
    let wall = support::one(30, 30, "ws2812b-30", "", rest);
    wall.replace("[[panels]]", "kg_per_metre = 0.03\n[[panels]]")
}

const BODY: &str = "[board]\nmaterial = \"plywood\"\nthickness = \"6 mm\"\n[hanging]\nrated = \"5 kg\"\n\
                    fixings_per_panel = 4\nsupply_on = \"board\"\nsupply_mass = \"1 kg\"\n\
                    supply_at = [\"20 cm\", \"90 cm\"]\n[baffle]\ndepth = \"20 mm\"\n\
                    [diffuser]\nkg_per_square_metre = 0.2\n";

/// By hand: strip 30 m x 0.03; plywood 3.9 kg/m2 (650 kg/m3, a trade association's table); cloth of
/// (1000 + 2 x (20 + 6 + 40))^2 mm; filament as told; a supply of 1 kg.
#[test]
fn masses_by_hand() {
    let found = of(&square(BODY), Some(1.5));
    close(mass(&found, Part::Strip).expect("known"), 0.9);
    close(mass(&found, Part::Board).expect("known"), 3.9);
    close(mass(&found, Part::Cloth).expect("known"), 0.2 * 1.132 * 1.132);
    close(mass(&found, Part::Baffle).expect("known"), 1.5);
    close(mass(&found, Part::Supplies).expect("known"), 1.0);
    // Copper of 8.96 g/cm3 and 0.4 of it: a feed of 16 AWG (1.3087 mm2), 1 m there and 1 m back; the
    // 29 jumpers of 40 mm, two of 22 AWG (0.32555 mm2) and one of 0.5 mm2; the receiver's pair of
    // 0.5 mm2, 1 m each, and its lead, twice 0.3 m.
    let copper = 2.0 * 1.3087 + 29.0 * 0.04 * (2.0 * 0.32555 + 0.5) + 0.5 * (2.0 + 2.0 * 0.3);
    let wire = mass(&found, Part::Wire).expect("known");
    assert!((wire / (copper * 8.96 * 1.4 / 1000.0) - 1.0).abs() < 1e-3, "{wire}");
    let sum: f64 = found.parts.iter().filter_map(|part| part.kg).map(|kg| kg.0).sum();
    close(found.panel_kg.0, sum);
    let spread = sum - 1.0;
    close(mass(&found, Part::SmallThings).expect("known"), spread / 1.05 * 0.05);
    // The contract: rating x fixings over the mass.
    close(found.safety_factor, 5.0 * 4.0 / sum);
    close(found.load_per_fixing_kg.0, sum / 4.0);
    assert!(found.not_weighed.is_empty());
    assert!(found.parts.iter().all(|part| !part.source.is_empty()));
}

/// Every part that the file leaves to memory says so.
#[test]
fn sources_are_named() {
    let found = of(&format!("{}[board]\n[diffuser]\n[hanging]\n", support::tidewall()), None);
    for part in &found.parts {
        assert!(part.source.contains("from memory"), "{part:?}");
    }
    let found = of(&square(BODY), None);
    let source = |part: Part| {
        found.parts.iter().find(|mass| mass.part == part).map(|mass| mass.source.as_str())
    };
    assert_eq!(source(Part::Strip), Some("the wall file"));
    assert_eq!(source(Part::Supplies), Some("the wall file"));
    assert_eq!(source(Part::Board), Some("birch, 650 kg/m3, a trade association's table"));
    // An absent mass is none, and said.
    assert_eq!((mass(&found, Part::Baffle), found.not_weighed), (None, vec![Part::Baffle]));
}

#[test]
fn what_hangs_elsewhere_does_not_count() {
    for place in ["wall", "floor"] {
        let text =
            square(BODY).replace("supply_on = \"board\"", &format!("supply_on = \"{place}\""));
        let found = of(&text, Some(1.5));
        assert!(found.parts.iter().all(|part| part.part != Part::Supplies));
        close(found.centre_of_gravity.right_m.0, 0.5);
        close(found.centre_of_gravity.down_m.0, 0.5);
    }
    // A file that is silent is taken at its worst.
    let text = square(BODY).replace("supply_on = \"board\"\n", "");
    assert!(of(&text, Some(1.5)).parts.iter().any(|part| part.part == Part::Supplies));
}

/// Moments by hand: a supply of 1 kg at (0.2, 0.9), all the rest in the middle.
#[test]
fn centre_of_gravity_and_peel() {
    let found = of(&square(BODY), Some(1.5));
    let all = found.panel_kg.0;
    let centre = found.centre_of_gravity;
    close(centre.right_m.0, ((all - 1.0) * 0.5 + 0.2) / all);
    close(centre.down_m.0, ((all - 1.0) * 0.5 + 0.9) / all);
    // Outwards: a gap of 50 mm with supply, wire and receiver in its middle, 6 mm of board with the
    // strip on it, 20 mm of baffle, the cloth.
    let of = |part| mass(&found, part).expect("known");
    let out = 0.025 * (of(Part::Supplies) + of(Part::Wire) + of(Part::Receiver))
        + 0.053 * of(Part::Board)
        + 0.056 * (of(Part::Strip) + of(Part::SmallThings))
        + 0.066 * of(Part::Baffle)
        + 0.076 * of(Part::Cloth);
    close(centre.out_m.0, out / all);
    // About the lower edge: two fixings at the upper edge, 1 m up, hold the moment.
    close(found.peel_per_fixing_kg.0 * 2.0 * 1.0, out);
    assert_eq!(found.peel_safety_factor, None, "no rating in peel is given");
}

/// A beam on two supports under an even load, its slope and sag integrated from its bending moment
/// w x (L - x) / 2 in 20,000 steps, with no formula of the result.
#[test]
fn sag_of_a_beam_integrated() {
    let (mass, width, height, thickness, stiffness) = (6.0, 0.8, 1.4, 0.006, 9e9);
    let found = bending(
        Kilograms(mass),
        (Metres(width), Metres(height)),
        Metres(thickness),
        Pascals(stiffness),
    );
    let rigidity = stiffness * width * thickness * thickness * thickness / 12.0;
    let load = mass * 9.80665 / height;
    let steps = 20_000;
    let step = height / 2.0 / f64::from(steps);
    // By symmetry the slope is nothing in the middle: go outwards from there.
    let (mut slope, mut fall) = (0.0, 0.0);
    for i in 0..steps {
        let x = height / 2.0 + (f64::from(i) + 0.5) * step;
        let moment = load * x * (height - x) / 2.0;
        fall += (slope + moment / rigidity * step / 2.0) * step;
        slope += moment / rigidity * step;
    }
    assert!((found.sag_m.0 / fall - 1.0).abs() < 1e-6, "{} against {fall}", found.sag_m.0);
    assert_eq!(found.span_m, Metres(1.4));
}

/// Only where stiffness is known: of card and foam nobody knows it, unless the file says so; skins on a
/// core have it at their own thickness alone.
#[test]
fn sag_where_stiffness_is_known() {
    let with = |board: &str| of(&square(&format!("[board]\n{board}\n[hanging]\n")), None).bending;
    assert!(with("material = \"plywood\"").is_some());
    assert!(with("material = \"plywood\"\nthickness = \"9 mm\"").is_some());
    assert!(with("material = \"aluminium-composite\"\nthickness = \"3 mm\"").is_some());
    assert!(with("material = \"aluminium-composite\"\nthickness = \"4 mm\"").is_none());
    assert!(with("material = \"corrugated-card\"").is_none());
    let own = with("material = \"corrugated-card\"\nstiffness = \"0.3 GPa\"").expect("given");
    assert_eq!(own.stiffness_pa, Pascals(3e8));
}

#[test]
fn no_hanging_no_structure() {
    let wall = support::read(&support::tidewall());
    assert_eq!(structure(&wall, &Made::default()), None);
    assert!(serde_json::to_value(plan(&wall)).expect("JSON")["structure"].is_null());
}

/// The heaviest panel is the worst.
#[test]
fn the_worst_panel() {
    let text = "format = 1\n[wall]\nname = \"W\"\ncolumns = 30\nrows = 10\n[strip]\npart = \"ws2812b-30\"\n\
                [[panels]]\nname = \"small\"\nat = [0, 0]\ncolumns = 10\nrows = 10\n\
                [[panels]]\nname = \"large\"\nat = [10, 0]\ncolumns = 20\nrows = 10\n[hanging]\n";
    let found = of(text, None);
    assert_eq!(found.panel, "large");
    assert_eq!(found.panels.len(), 2);
    assert!(found.panels[0].kg < found.panels[1].kg);
    close(found.safety_factor, found.panels[1].safety_factor);
}

/// About 7.6 kg on four fixings.
#[test]
fn factors_below_two_and_below_one() {
    let rated =
        |rated: &str| square(BODY).replace("rated = \"5 kg\"", &format!("rated = \"{rated}\""));
    assert_eq!(found(&rated("5 kg"), Code::HangingNearLimit), []);
    let near = found(&rated("3 kg"), Code::HangingNearLimit);
    assert_eq!(near.len(), 1);
    // A baffle that contradicts itself has no mass: that is said.
    let odd = rated("3 kg").replace("[baffle]", "[baffle]\nchannel = [\"60 mm\", \"3 mm\"]");
    let odd = found(&odd, Code::HangingNearLimit);
    assert!(
        odd[0].detail.contains("printed baffle, which nobody has weighed"),
        "{}",
        odd[0].detail
    );
    assert_eq!(near[0].line, support::line_of(&rated("3 kg"), "rated"));
    assert_eq!(found(&rated("3 kg"), Code::HangingOverloaded), []);
    let over = found(&rated("1 kg"), Code::HangingOverloaded);
    assert_eq!(over.len(), 1);
    // What is advised holds.
    let advised = over[0].remedy.split("fixings_per_panel = ").nth(1).expect("advised");
    let advised: u32 = advised.split(',').next().expect("a number").parse().expect("a number");
    let mended =
        rated("1 kg").replace("fixings_per_panel = 4", &format!("fixings_per_panel = {advised}"));
    assert_eq!(found(&mended, Code::HangingOverloaded), []);
    assert_eq!(found(&mended, Code::HangingNearLimit), []);
    let less = rated("1 kg")
        .replace("fixings_per_panel = 4", &format!("fixings_per_panel = {}", advised - 1));
    assert_eq!(found(&less, Code::HangingNearLimit).len(), 1);
}

#[test]
fn fixings_that_are_pulled_off() {
    let peel = |rated: &str| {
        square(BODY).replace("[baffle]", &format!("rated_in_peel = \"{rated}\"\n[baffle]"))
    };
    let built = plan(&support::read(&square(BODY))).structure.expect("hangs");
    let pull = built.peel_per_fixing_kg.0;
    let grams = |factor: f64| peel(&format!("{} g", pull * 1000.0 * factor));
    assert_eq!(found(&grams(2.01), Code::HangingNearLimit), []);
    assert_eq!(found(&grams(1.5), Code::HangingNearLimit).len(), 1);
    assert_eq!(found(&grams(0.9), Code::HangingOverloaded).len(), 1);
}

/// A low panel is pulled harder than a high one that weighs more: it is the one that is told.
#[test]
fn the_panel_that_is_pulled_hardest_need_not_be_the_heaviest() {
    let text = "format = 1\n[wall]\nname = \"W\"\ncolumns = 40\nrows = 40\n[strip]\npart = \"ws2812b-30\"\n\
                [[panels]]\nname = \"high\"\nat = [0, 0]\ncolumns = 10\nrows = 40\n\
                [[panels]]\nname = \"low\"\nat = [10, 0]\ncolumns = 30\nrows = 3\n\
                [board]\nmaterial = \"plywood\"\nthickness = \"6 mm\"\n[hanging]\nrated = \"9 kg\"\n\
                supply_on = \"board\"\n";
    let plain = plan(&support::read(text)).structure.expect("hangs");
    assert_eq!(plain.panel, "high");
    let [high, low] = &plain.panels[..] else { panic!("two panels") };
    assert!(low.peel_per_fixing_kg > high.peel_per_fixing_kg && low.kg < high.kg);
    assert_eq!(high.peel_per_fixing_kg, plain.peel_per_fixing_kg);
    let grams = low.peel_per_fixing_kg.0 * 1500.0;
    let finding = found(&format!("{text}rated_in_peel = \"{grams} g\"\n"), Code::HangingNearLimit);
    assert_eq!(finding.len(), 1);
    assert!(finding[0].detail.starts_with("low tilts"), "{}", finding[0].detail);
}

/// Every way out that a remedy names, alone.
fn ways_out(text: &str, remedy: &str) -> Vec<String> {
    let set = |text: &str, key: &str, value: &str| {
        let old = text.lines().find(|line| line.starts_with(&format!("{key} = ")));
        match old {
            Some(old) => text.replace(old, &format!("{key} = {value}")),
            None => text.replace("[hanging]\n", &format!("[hanging]\n{key} = {value}\n")),
        }
    };
    let value = |part: &str, key: &str| {
        let rest = part.split(&format!("{key} = ")).nth(1)?;
        Some(rest.split([',', ';', '.']).next().unwrap_or_default().trim().to_owned())
    };
    let mass = |part: &str, key: &str| {
        let rest = part.split(&format!("{key} = \"")).nth(1)?;
        Some(format!("\"{}\"", rest.split('"').next().unwrap_or_default()))
    };
    let (first, off) = remedy.split_once(" Or let the wall").unwrap_or((remedy, ""));
    let mut ways = Vec::new();
    if let Some(fixings) = value(first, "fixings_per_panel") {
        ways.push(set(text, "fixings_per_panel", &fixings));
    }
    for key in ["rated", "rated_in_peel"] {
        ways.extend(mass(first, key).map(|mass| set(text, key, &mass)));
    }
    if !off.is_empty() {
        let off_board = set(text, "supply_on", "\"wall\"");
        let fixings = value(off, "fixings_per_panel");
        ways.push(fixings.map_or(off_board.clone(), |n| set(&off_board, "fixings_per_panel", &n)));
    }
    ways
}

/// Each remedy is enough by itself, in either figures; those that are not enough are not named.
#[test]
fn each_way_to_hang_it_that_is_advised_holds() {
    let trouble = |text: &str| {
        let mut all = found(text, Code::HangingOverloaded);
        all.extend(found(text, Code::HangingNearLimit));
        all
    };
    let mut seen = std::collections::BTreeSet::new();
    for figures in ["metric", "imperial"] {
        for hanging in [
            "rated = \"200 g\"",
            "rated = \"2.7 kg\"",
            "rated = \"1 g\"",
            "rated = \"9 kg\"\nrated_in_peel = \"60 g\"",
            "rated = \"9 kg\"\nrated_in_peel = \"250 g\"",
        ] {
            let text = square(&BODY.replace("rated = \"5 kg\"", hanging)).replace(
                "rows = 30\n[strip]",
                &format!("rows = 30\nfigures = \"{figures}\"\n[strip]"),
            );
            assert!(text.contains("figures"));
            let told = trouble(&text);
            assert_eq!(told.len(), 1, "{hanging}");
            let ways = ways_out(&text, &told[0].remedy);
            assert!(!ways.is_empty());
            for way in &ways {
                assert_eq!(trouble(way), [], "{}\n{way}", told[0].remedy);
            }
            let off = told[0].remedy.split(" Or let the wall").nth(1);
            seen.insert((ways.len(), off.map(|off| off.contains("fixings_per_panel"))));
        }
    }
    // More fixings, better ones, supplies off; the last alone and with more fixings; none of 1 g.
    assert_eq!(seen, [(1, None), (3, Some(false)), (3, Some(true))].into());
}

#[test]
fn glue_above_people() {
    let with = |more: &str| format!("{}[hanging]\nrated = \"9 kg\"\n{more}", support::tidewall());
    let hazard = with("above_people = true\n");
    let finding = found(&hazard, Code::AdhesiveAbovePeople);
    assert_eq!(finding.len(), 1);
    assert!(finding[0].remedy.contains("hook or cord besides"));
    assert_eq!(finding[0].line, support::line_of(&hazard, "above_people"));
    for sound in [
        "",
        "above_people = false\n",
        "above_people = true\nsafety_cord = true\n",
        "above_people = true\nkind = \"screws\"\n",
        "above_people = true\nkind = \"hooks\"\n",
    ] {
        assert_eq!(found(&with(sound), Code::AdhesiveAbovePeople), [], "{sound}");
    }
}

#[test]
fn supplies_on_card() {
    let with = |board: &str, hanging: &str| {
        format!(
            "{}[board]\nmaterial = \"{board}\"\n[hanging]\nrated = \"9 kg\"\n{hanging}",
            support::tidewall()
        )
    };
    for board in ["corrugated-card", "foam-board"] {
        let said = with(board, "supply_on = \"board\"\n");
        assert_eq!(found(&said, Code::SupplyOnCard).len(), 1);
        assert_eq!(found(&said, Code::SupplyPlaceUnsaid), []);
        let unsaid = with(board, "");
        assert_eq!(found(&unsaid, Code::SupplyOnCard), []);
        assert_eq!(found(&unsaid, Code::SupplyPlaceUnsaid).len(), 1);
    }
    for (board, place) in
        [("corrugated-card", "wall"), ("foam-board", "floor"), ("plywood", "board")]
    {
        let sound = with(board, &format!("supply_on = \"{place}\"\n"));
        assert_eq!(found(&sound, Code::SupplyOnCard), []);
        assert_eq!(found(&sound, Code::SupplyPlaceUnsaid), []);
    }
    let off = with("plywood", "supply_on = \"board\"\nsupply_at = [\"70 cm\", \"20 cm\"]\n");
    assert_eq!(found(&off, Code::SupplyOffBoard).len(), 1);
    assert_eq!(found(&off.replace("70 cm", "60 cm"), Code::SupplyOffBoard), []);
}

/// A rating in the wrong unit is a mistake of the file, told with what is wanted.
#[test]
fn a_rating_in_the_wrong_unit() {
    let text = format!("{}[hanging]\nrated = \"18 N\"\n", support::tidewall());
    let wrong = glowloom_design::read(text.as_bytes()).expect_err("newtons are no mass");
    assert_eq!(wrong.len(), 1);
    assert_eq!(wrong[0].code.to_string(), "wrong-unit");
    assert!(wrong[0].message.contains("`rated` is in \"N\""), "{}", wrong[0].message);
    assert!(wrong[0].wanted.contains("1.8 kg") && wrong[0].remedy.contains("lb"), "{wrong:?}");
}

/// Sheets, cloth and evenness that do not do.
#[test]
fn what_does_not_fit_is_said() {
    let board = |sheet: &str| format!("{}[board]\n{sheet}", support::tidewall());
    assert_eq!(found(&board(""), Code::SheetSizeUnsaid).len(), 1);
    let small = board("sheet = [\"1 m\", \"1 m\"]\n");
    let finding = found(&small, Code::BoardLargerThanSheet);
    assert_eq!(finding.len(), 1);
    assert!(finding[0].title.contains("west, middle and east"), "{}", finding[0].title);
    assert!(finding[0].detail.contains("667 mm x 1.07 m"), "{}", finding[0].detail);
    let fits = board("sheet = [\"1.2 m\", \"0.8 m\"]\n");
    assert_eq!(found(&fits, Code::BoardLargerThanSheet), []);
    assert_eq!(found(&fits, Code::SheetSizeUnsaid), []);
    let cloth =
        |roll: &str| format!("{}[diffuser]\nroll_width = \"{roll}\"\n", support::tidewall());
    assert_eq!(found(&cloth("70 cm"), Code::ClothTooNarrow).len(), 1);
    assert_eq!(found(&cloth("80 cm"), Code::ClothTooNarrow), []);
    let even = |depth: &str, wanted: &str| {
        format!("{}[baffle]\ndepth = \"{depth}\"\n[diffuser]\n{wanted}", support::tidewall())
    };
    assert_eq!(found(&even("10 mm", ""), Code::UnevenCells), [], "none is wanted");
    let finding = found(&even("10 mm", "wanted_evenness = 0.6\n"), Code::UnevenCells);
    assert_eq!(finding.len(), 1);
    let depth = finding[0].remedy.split('"').nth(1).expect("a depth");
    assert_eq!(found(&even(depth, "wanted_evenness = 0.6\n"), Code::UnevenCells), [], "{depth}");
}

/// Strips right on the wall and supplies elsewhere: nothing pulls, and no factor is infinite.
#[test]
fn nothing_pulls_on_what_lies_on_the_wall() {
    let rest = "[hanging]\nrated = \"1 kg\"\nrated_in_peel = \"200 g\"\nsupply_on = \"wall\"\n";
    let wall = support::read(&support::one(10, 10, "ws2812b-30", "", rest));
    let structure = glowloom_plan::plan(&wall).structure.expect("hanging");
    assert_eq!(structure.peel_per_fixing_kg.0, 0.0);
    assert_eq!(structure.peel_safety_factor, None);
}
