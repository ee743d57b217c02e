//! Prices against sums by hand.

mod support;

use glowloom_plan::cost::{Cost, cost};
use glowloom_plan::material::made::Made;
use glowloom_plan::material::material;
use glowloom_plan::plan;

fn of(text: &str) -> Option<Cost> {
    let wall = support::read(text);
    let made = Made { rolls_to_buy: Some(15), ..Made::default() };
    cost(&wall, &material(&wall, &made, None).items, None)
}

fn close(found: f64, wanted: f64) {
    assert!((found - wanted).abs() <= 1e-9 * wanted.abs(), "{found}, not {wanted}");
}

#[test]
fn no_prices_no_cost() {
    assert_eq!(of(&support::tidewall()), None);
    let json = serde_json::to_value(plan(&support::read(&support::tidewall()))).expect("JSON");
    assert!(json["cost"].is_null());
}

/// 15 rolls at 14, 3 supplies at 30, 2 spools each of red and of white 16 AWG at 9.5 (8 feeds of 1.1 m
/// on 3 panels are 26.4 m, from spools of 25 m).
#[test]
fn a_bill_by_hand() {
    let text = support::tidewall()
        + "[prices]\ncurrency = \"EUR\"\n\"ws2812b-30\" = 14.0\n\"5v-60a\" = 30.0\n\"16 AWG\" = 9.5\n";
    let cost = of(&text).expect("prices");
    assert_eq!(cost.currency, "EUR");
    let lines: Vec<(&str, &str, f64, f64)> = cost
        .lines
        .iter()
        .map(|line| (line.item.as_str(), line.unit, line.quantity, line.total))
        .collect();
    assert_eq!(
        lines,
        [
            ("strip ws2812b-30", "roll", 15.0, 210.0),
            ("supply 5v-60a", "piece", 3.0, 90.0),
            ("wire 16 AWG red", "spool", 2.0, 19.0),
            ("wire 16 AWG white", "spool", 2.0, 19.0),
        ]
    );
    close(cost.total, 338.0);
    close(cost.total_per_panel, 338.0 / 3.0);
    for line in &cost.lines {
        close(line.total, line.price * line.quantity);
    }
}

/// What has no price, and what has one but no quantity, is named and in no total; nothing is lost.
#[test]
fn the_unpriced_are_named() {
    let text = support::tidewall()
        + "[board]\n[prices]\nesp8266 = 5\n\"corrugated-card\" = 4.0\nfixing = 1\n";
    let wall = support::read(&text);
    let items = material(&wall, &Made::default(), None).items;
    let cost = cost(&wall, &items, None).expect("prices");
    assert_eq!(cost.lines.len(), 1);
    close(cost.total, 15.0);
    assert_eq!(cost.lines.len() + cost.unpriced.len(), items.len());
    for name in ["supply 5v-60a", "strip ws2812b-30", "mains inlet"] {
        assert!(cost.unpriced.iter().any(|item| item == name), "{name}: {:?}", cost.unpriced);
    }
    assert!(cost.unpriced.contains(&"board corrugated-card (quantity not known)".to_owned()));
    // Nothing has a price: no total of minus nothing.
    let none = text.replace("esp8266 = 5\n", "");
    let none = of(&none.replace("\"corrugated-card\" = 4.0\nfixing = 1\n", "")).expect("prices");
    assert!(none.lines.is_empty() && none.total == 0.0 && none.total.is_sign_positive());
    // A price of nothing is a price.
    let free = text.replace("esp8266 = 5", "esp8266 = 0");
    assert!(of(&free).expect("prices").lines.iter().any(|line| line.item == "receiver esp8266"));
}

/// Small things have keys of their own.
#[test]
fn every_item_of_a_whole_wall_can_be_priced() {
    let body = "[baffle]\n[board]\nsheet = [\"1.2 m\", \"0.8 m\"]\n[diffuser]\n[hanging]\nsafety_cord = true\n";
    let wall = support::read(&(support::tidewall() + body));
    let made = Made { rolls_to_buy: Some(15), spools: Some(2), ..Made::default() };
    let items = material(&wall, &made, None).items;
    let mut keys: Vec<&str> = items.iter().map(|item| item.key.as_str()).collect();
    keys.sort_unstable();
    keys.dedup();
    let prices: String = keys.iter().map(|key| format!("\"{key}\" = 1.0\n")).collect();
    let wall = support::read(&(support::tidewall() + body + "[prices]\n" + &prices));
    let cost = cost(&wall, &items, None).expect("prices");
    assert_eq!(cost.unpriced, Vec::<String>::new());
    assert_eq!(cost.lines.len(), items.len());
    close(cost.total, items.iter().filter_map(|item| item.quantity).sum());
}

/// A price for something that no catalogue holds is a mistake of the file.
#[test]
fn an_unknown_key_is_told() {
    let text = support::tidewall() + "[prices]\nfixings = 1\n";
    let wrong = glowloom_design::read(text.as_bytes()).expect_err("not a key");
    assert_eq!(wrong[0].code.to_string(), "unknown-key");
    assert!(wrong[0].wanted.contains("fixing"), "{:?}", wrong[0]);
}

/// 1920 pixels at 3 x 20 x 0.33 + 1 mA and 3 receivers at 300 mA, 5 V, over 0.85: at 5 hours a day.
#[test]
fn energy_of_a_year() {
    let tariff = "[prices]\nenergy_per_kwh = 0.4\nhours_per_day = 5\n";
    let energy = of(&(support::tidewall() + tariff)).expect("prices").energy;
    let watts = (1920.0 * (3.0 * 0.020 * 0.33 + 0.001) + 0.9) * 5.0 / 0.85;
    close(energy.watts.0, watts);
    close(energy.kwh_per_year, watts * 5.0 * 365.0 / 1000.0);
    close(energy.cost_per_year, energy.kwh_per_year * 0.4);
    // A ceiling below the typical level holds here too.
    let dim = support::tidewall().replace("brightness_limit = 0.6", "brightness_limit = 0.1");
    let energy = of(&(dim + tariff)).expect("prices").energy;
    close(energy.watts.0, (1920.0 * (3.0 * 0.020 * 0.1 + 0.001) + 0.9) * 5.0 / 0.85);
}

/// Parts with figures of their own have the key of their kind.
#[test]
fn parts_of_no_catalogue_can_be_priced() {
    let text = support::tidewall().replace(
        "[power]\n",
        "[receiver]\nboard = { links = [\"wifi\"], data_pins = 1, pin_volts = 5.0 }\n\
         [power]\nsupply = { volts = 5, amps = 80 }\nfeed_wire = { ohms_per_metre = 0.008, amps = 10 }\n",
    ) + "[board]\nmaterial = \"cork\"\nkg_per_square_metre = 1\nsheet = [\"2 m\", \"2 m\"]\n\
         [prices]\nsupply = 40\nreceiver = 6\nwire = 7\nboard = 8\n";
    let cost = of(&text).expect("prices");
    let totals: Vec<(&str, f64)> =
        cost.lines.iter().map(|line| (line.item.as_str(), line.total)).collect();
    // Three boards of 667 mm lie side by side on a sheet of 2 m.
    assert_eq!(
        totals,
        [
            ("supply own figures", 120.0),
            ("receiver own figures", 18.0),
            ("wire 0.008 ohm/m red", 14.0),
            ("wire 0.008 ohm/m white", 14.0),
            ("board cork", 8.0),
        ]
    );
}

/// One feed for 60 strips: at full white most pixels are in brown-out and take far less than nominal.
/// The bill is of what the solved wall takes, as its power says.
#[test]
fn energy_is_that_of_the_solved_wall() {
    let rest = "[power]\nfeeds = 1\ntypical_level = 1.0\n[prices]\nenergy_per_kwh = 0.4\n";
    let plan = plan(&support::read(&support::one(60, 40, "ws2812b-60", "", rest)));
    let energy = plan.cost.expect("prices").energy;
    close(energy.kwh_per_year, plan.power.energy.expect("hours").kwh_per_year.0);
    assert!(energy.watts.0 < 0.5 * plan.power.full_white.watts.0, "{energy:?}");
}
