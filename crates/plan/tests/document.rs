//! The plan as JSON: names and their order are a contract.

mod support;

use serde_json::Value;

/// The keys of a value, nested ones behind a dot, those of a list by its first entry.
fn keys(value: &Value, path: &str, out: &mut Vec<String>) {
    match value {
        Value::Object(entries) => {
            for (key, value) in entries {
                let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
                out.push(path.clone());
                keys(value, &path, out);
            }
        }
        Value::Array(list) => {
            if let Some(first) = list.first() {
                keys(first, path, out);
            }
        }
        _ => {}
    }
}

/// Everything that a wall may have, so that no part of the document is null.
const BODY: &str = "[baffle]\nrim = \"1.2 mm\"\n[board]\nmaterial = \"plywood\"\nsheet = [\"1.2 m\", \"0.8 m\"]\n[diffuser]\n\
                    [hanging]\nrated = \"9 kg\"\n[prices]\nws2812b-30 = 14.0\n";

#[test]
fn names_of_the_contract() {
    let text = support::tidewall().replace("columns = 60", "columns = 61") + BODY;
    let json = serde_json::to_string(&glowloom_plan::plan(&support::read(&text))).unwrap();
    let mut found = Vec::new();
    keys(&serde_json::from_str(&json).unwrap(), "", &mut found);
    let mut wanted = vec!["format".to_owned()];
    let sections = [
        ("geometry", "columns rows pixels pitch_m width_m height_m uncovered_pixels panels"),
        ("geometry.panels", "name columns rows strips strip_pixels pixels width_m height_m"),
        ("data", "lines wire_fps link receiver_fps fps bottleneck"),
        ("data.lines", "panel line pixels spare_pixels seconds_per_frame fps"),
        (
            "data.link",
            "kind protocol bytes_per_frame packets_per_frame bytes_per_second fps airtime_share model",
        ),
        (
            "power",
            "full_white typical mains panels picture highest_safe_brightness binding binding_panel shown energy",
        ),
        ("power.full_white", "amps watts"),
        ("power.typical", "amps watts"),
        ("power.mains", "amps watts circuit_share supply_heat_watts"),
        (
            "power.panels",
            "name amps supply_amps_rated supply_share least_volts least_volts_at least_volts_white \
             least_volts_brightness safe_brightness binding led_watts copper_watts supply_watts \
             watts_per_m2 copper_watts_per_m2 iterations residual_amps feeds worst_jumper worst_rail \
             dead_strips",
        ),
        ("power.panels.least_volts_white", "light shift"),
        (
            "power.panels.feeds",
            "strip edge supply amps minus_amps volts_at_strip drop_volts wire_ampacity fuse_amps",
        ),
        ("power.panels.worst_jumper", "strip step rail amps"),
        ("power.panels.worst_rail", "strip step rail amps"),
        (
            "power.shown",
            "picture brightness amps led_watts copper_watts least_volts least_volts_panel mains_watts",
        ),
        ("power.energy", "hours_per_day kwh_per_day kwh_per_year"),
        (
            "cuts",
            "rolls rolls_to_buy least_rolls_to_buy roll_pixels pieces rolls_cut joints least_joints \
             left_over_pixels longest_left_over proven_least joints_proven_least \
             left_over_proven_longest lines_at_connector shelf_untouched too_long instead",
        ),
        ("cuts.pieces", "pixels count"),
        ("cuts.rolls_cut", "pieces labels left_over pixels shelf connector"),
        ("cuts.instead", "splices rolls_to_buy joints"),
        (
            "tiles",
            "kinds count filament_kg filament_m hours cells rim volume_m3 spools left_over_kg plates \
             days calendar",
        ),
        ("tiles.kinds", "columns rows ends per_wall name width_m length_m volume_m3 tile_kg"),
        ("tiles.rim", "length_m per_wall name volume_m3 strip_kg"),
        ("tiles.plates", "part copies times hours_each"),
        ("tiles.calendar", "first_day last_day days_each plates"),
        ("tiles.calendar.plates", "part plates"),
        (
            "structure",
            "panel panel_kg parts not_weighed fixings load_per_fixing_kg rated_kg safety_factor \
             centre_of_gravity peel_per_fixing_kg peel_safety_factor supply_on bending panels",
        ),
        ("structure.parts", "part kg source"),
        ("structure.centre_of_gravity", "right_m down_m out_m"),
        ("structure.bending", "sag_m span_m stiffness_pa"),
        ("structure.panels", "name kg safety_factor peel_per_fixing_kg peel_safety_factor"),
        (
            "optics",
            "merge_distance_m rule_of_thumb_m cell_edge_to_centre wanted_evenness \
             depth_for_evenness_m light_on_cloth brightness_cd_m2 ceiling pixel_candela \
             letter_height_m text_dot_pixels text_rows text_columns assumptions",
        ),
        ("material", "wires spools boards cloth items"),
        (
            "material.wires",
            "joins conductor label colour colour_source size count length_m cut_m total_m soldered \
             lugs note",
        ),
        ("material.spools", "size colour total_m spool_m spools"),
        (
            "material.boards",
            "material thickness_m pieces sheet_m sheets sheets_at_least proven_least waste_share \
             layouts too_large",
        ),
        ("material.boards.pieces", "width_m height_m panels"),
        ("material.boards.layouts", "sheets boards"),
        ("material.boards.layouts.boards", "piece x_m y_m width_m height_m"),
        ("material.cloth", "pieces roll_width_m length_m length_at_least_m too_wide"),
        ("material.cloth.pieces", "width_m height_m panels"),
        ("material.items", "item key unit quantity note"),
        ("cost", "currency lines total total_per_panel unpriced energy"),
        ("cost.lines", "item unit quantity price total"),
        ("cost.energy", "watts hours_per_day kwh_per_year price_per_kwh cost_per_year"),
        ("findings", "kind code title detail remedy line column"),
    ];
    for (section, names) in sections {
        wanted.extend(names.split(' ').map(|name| format!("{section}.{name}")));
    }
    wanted.extend(
        [
            "geometry",
            "data",
            "power",
            "cuts",
            "tiles",
            "structure",
            "optics",
            "material",
            "cost",
            "findings",
        ]
        .map(String::from),
    );
    found.sort();
    wanted.sort();
    assert_eq!(found, wanted);
    // In the contract's order: each section's keys one after the other.
    let all = "format geometry data power cuts tiles structure optics material cost findings";
    for (section, names) in [("", all)].iter().chain(&sections) {
        // A name such as `panels` stands in several sections: each is looked for in its own.
        let within = |at: usize, name: &str| at + json[at..].find(&format!("\"{name}\":")).unwrap();
        let mut at = section.split('.').filter(|name| !name.is_empty()).fold(0, within);
        for name in names.split(' ') {
            let next = json[at..].find(&format!("\"{name}\":"));
            at += next.unwrap_or_else(|| panic!("{section}.{name} is not where it belongs"));
        }
    }
}

#[test]
fn values_are_of_the_contract() {
    let text = support::tidewall().replace("columns = 60", "columns = 61");
    let json = serde_json::to_value(glowloom_plan::plan(&support::read(&text))).unwrap();
    assert_eq!(json["format"], 1);
    assert_eq!(json["geometry"]["uncovered_pixels"], 32);
    assert_eq!(json["data"]["bottleneck"], "none");
    assert_eq!(json["data"]["link"]["kind"], "wifi");
    assert_eq!(json["findings"][0]["kind"], "advice");
    assert_eq!(json["findings"][0]["code"], "uncovered-pixels");
    assert_eq!(json["findings"][0]["line"], support::line_of(&text, "columns = 61"));
    let slow = text + "[receiver]\nframes_per_second = 60\n";
    let json = serde_json::to_value(glowloom_plan::plan(&support::read(&slow))).unwrap();
    assert_eq!(json["data"]["bottleneck"], "one-wire");
}
