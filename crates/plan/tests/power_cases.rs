//! The worked cases of the reference, to every digit printed there. Each was computed by another
//! program and agrees with ngspice; case B also with a deck written by hand.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

mod circuits;

use circuits::{all_printed, network, panel, printed, read, sixteen, solve, white, wires};
use glowloom_design::wall::Edge;
use glowloom_plan::power::{Network, Sinks, Solution};

fn strip_volts(solution: &Solution, strip: usize) -> Vec<f64> {
    let volts: Vec<f64> = solution.all_volts().map(|v| v.0).collect();
    let pixels = solution.network().strip_pixels();
    volts[(strip - 1) * pixels..strip * pixels].to_vec()
}

fn least(solution: &Solution) -> f64 {
    solution.all_volts().map(|v| v.0).fold(f64::INFINITY, f64::min)
}

fn plus(solution: &Solution) -> Vec<f64> {
    solution.feeds().map(|feed| feed.plus.0).collect()
}

fn minus(solution: &Solution) -> Vec<f64> {
    solution.feeds().map(|feed| feed.minus.0).collect()
}

fn pads(solution: &Solution) -> Vec<f64> {
    solution.feeds().map(|feed| feed.volts_at_strip.0).collect()
}

/// Case A: one strip of ten, fed at its start.
#[test]
fn one_strip_of_ten() {
    let wall = read(&panel(1, 10, "", "", &wires(0.05, 0.01)));
    let network = network(&wall);
    let solution = white(&network, 1.0);
    all_printed(pads(&solution), "4.939000");
    all_printed(
        strip_volts(&solution, 1),
        "4.936967 4.933307 4.930053 4.927207 4.924767 4.922733 4.921107 4.919887 4.919073 4.918667",
    );
    printed(solution.amps().0, "0.610000");
    printed(solution.heat().led.0, "3.004480");
    printed(solution.heat().copper.0, "0.045520");
}

/// Case B's panel: two strips of five, both fed at the near edge.
fn two_of_five(panel_lines: &str, power: &str) -> Network {
    let feeds = "feeds = [\n{ strip = 1, edge = \"near\", wire = { ohms_per_metre = 0.05, length = \
                 \"1 m\" } },\n{ strip = 2, edge = \"near\", wire = { ohms_per_metre = 0.10, length \
                 = \"1 m\" } }]\n";
    let power = format!("{}{feeds}{power}", wires(1.0, 0.01));
    let wall = read(&panel(2, 5, "", panel_lines, &power));
    network(&wall)
}

#[test]
fn two_strips_serpentine() {
    let network = two_of_five("", "");
    let solution = white(&network, 1.0);
    all_printed(strip_volts(&solution, 1), "4.960332 4.958180 4.956434 4.955095 4.954162");
    all_printed(strip_volts(&solution, 2), "4.952059 4.951940 4.952227 4.952921 4.954022");
    all_printed(plus(&solution), "0.383879 0.226121");
    all_printed(pads(&solution), "4.961612 4.954776");
}

#[test]
fn two_strips_progressive() {
    let network = two_of_five("path = \"progressive\"", "");
    // The jumper there is a strip longer; the case holds its resistance.
    let length = 0.01 / (1.0 + 5.0 / 30.0);
    let jumper = format!("ohms_per_metre = {length}, length");
    let text = panel(2, 5, "", "path = \"progressive\"", &wires(1.0, 0.01))
        .replace("ohms_per_metre = 0.01, length", &jumper)
        + "feeds = [{ strip = 1, wire = { ohms_per_metre = 0.05, length = \"1 m\" } }, \
           { strip = 2, wire = { ohms_per_metre = 0.10, length = \"1 m\" } }]\n";
    let wall = read(&text);
    let held = circuits::network(&wall);
    assert_ne!(network, held, "a progressive jumper is longer");
    let solution = white(&held, 1.0);
    all_printed(strip_volts(&solution, 1), "4.961050 4.958944 4.957244 4.955951 4.955065");
    all_printed(strip_volts(&solution, 2), "4.952370 4.950743 4.949523 4.948710 4.948303");
    all_printed(plus(&solution), "0.376934 0.233066");
    all_printed(pads(&solution), "4.962307 4.953387");
}

#[test]
fn two_strips_two_supplies() {
    let network = two_of_five("", "supplies_per_panel = 2\n");
    let solution = white(&network, 1.0);
    all_printed(strip_volts(&solution, 1), "4.964408 4.962518 4.961035 4.959959 4.959290");
    all_printed(strip_volts(&solution, 2), "4.942988 4.943132 4.943682 4.944639 4.946003");
    all_printed(plus(&solution), "0.305000 0.305000");
    all_printed(minus(&solution), "0.383879 0.226121");
    all_printed(pads(&solution), "4.965556 4.946888");
}

#[test]
fn two_strips_in_colour() {
    let network = two_of_five("", "");
    let mut levels = [[0.0; 4]; 10];
    levels[..3].fill([1.0, 0.0, 0.0, 0.0]);
    levels[3..6].fill([0.5, 0.25, 1.0, 0.0]);
    let sinks = Sinks::each(network.law(), 10, &levels, 1.0).unwrap();
    let solution = solve(&network, &sinks);
    all_printed(plus(&solution), "0.117112 0.057888");
    printed(least(&solution), "4.986275");
    let at = solution.all_volts().position(|v| v.0 == least(&solution));
    assert_eq!(at, Some(4), "strip 1 pixel 4");
    printed(solution.heat().led.0, "0.872690");
}

/// Case C: a hundred pixels on one end of one strip.
#[test]
fn brown_out() {
    let wall = read(&panel(1, 100, "", "", &wires(0.05, 0.01)));
    let network = network(&wall);
    let solution = white(&network, 1.0);
    all_printed(pads(&solution), "4.452534");
    let volts = strip_volts(&solution, 1);
    all_printed(
        [0, 1, 24, 25, 49, 50, 74, 75, 98, 99].map(|i| volts[i]),
        "4.434285 4.398194 3.680312 3.653958 3.136501 3.119567 2.818164 2.809884 2.711237 2.710909",
    );
    printed(solution.amps().0, "5.474663");
    printed(network.law().nominal_amps(1.0).0 * 100.0, "6.1");
    printed(solution.heat().led.0, "18.170783");
    printed(solution.heat().copper.0, "9.202533");
}

#[test]
fn sixteen_strips_with_three_feeds() {
    let wall = read(&sixteen("", "", ""));
    let network = network(&wall);
    printed(network.taps()[0].ohms.0, "0.020062");
    let strips: Vec<u32> = network.taps().iter().map(|tap| tap.strip).collect();
    assert_eq!(strips, [3, 8, 14]);
    assert!(network.taps().iter().all(|tap| tap.edge == Edge::Near));
    let solution = white(&network, 1.0);
    all_printed(plus(&solution), "10.142328 11.433535 10.166498");
    all_printed(pads(&solution), "4.593050 4.541242 4.592080");
    printed(solution.amps().0, "31.742361");
    printed(least(&solution), "2.508146");
    let at = solution.all_volts().position(|v| v.0 == least(&solution));
    assert_eq!(at, Some(10 * 36 + 34), "strip 11, pixel 34");
    printed(solution.heat().led.0, "108.181514");
    printed(solution.heat().copper.0, "50.530291");
    all_printed(
        (1..=16).map(|s| strip_volts(&solution, s).into_iter().fold(f64::INFINITY, f64::min)),
        "3.492915 3.777237 3.467594 2.771064 2.531585 2.531015 2.754887 3.434143 3.383242 2.719996 \
         2.508146 2.509617 2.757458 3.460793 3.776353 3.492074",
    );
    printed(solution.worst_rail().unwrap().amps.0, "5.860");
    printed(solution.worst_jumper().unwrap().amps.0, "5.677");
    let ceiling = white(&network, 0.324864);
    for (found, wanted) in plus(&ceiling).into_iter().zip([3.706355, 4.373290, 3.723646]) {
        // The printed brightness has six digits, which is 7e-6 A here.
        assert!((found - wanted).abs() < 1e-5, "{found}, not {wanted}");
    }
}

#[test]
fn a_fuse_opens() {
    let near = |strips: &[u32]| {
        let list: Vec<String> = strips.iter().map(|s| format!("{{ strip = {s} }}")).collect();
        let wall = read(&sixteen("", "", &format!("feeds = [{}]\n", list.join(", "))));
        let network = network(&wall);
        let solution = white(&network, 1.0);
        (plus(&solution), least(&solution))
    };
    for (left, amps, volts) in [
        ([8, 14], "12.62 10.18", "0.34"),
        ([3, 14], "11.27 11.27", "0.79"),
        ([3, 8], "10.16 12.60", "0.34"),
    ] {
        let (found, least) = near(&left);
        all_printed(found, amps);
        printed(least, volts);
    }
}

#[test]
fn a_bad_contact_in_the_middle_feed() {
    let wall = read(&sixteen("", "", ""));
    let sound = network(&wall);
    let mut taps = sound.taps().to_vec();
    taps[1].ohms.0 += 0.020;
    let bad = sound.with_feeds(taps);
    let solution = white(&bad, 1.0);
    all_printed(plus(&solution), "10.27 10.51 10.29");
    printed(least(&solution), "2.384");
}

#[test]
fn sixteen_strips_with_two_supplies() {
    let wall = read(&sixteen("", "", "supplies_per_panel = 2\n"));
    let network = network(&wall);
    let strips: Vec<u32> = network.taps().iter().map(|tap| tap.strip).collect();
    assert_eq!(strips, [2, 6, 12]);
    let solution = white(&network, 1.0);
    all_printed(plus(&solution), "8.623 8.609 13.218");
    all_printed(minus(&solution), "8.674 9.935 11.842");
    printed(least(&solution), "1.685");
    let supplies: Vec<f64> = solution.supplies().iter().map(|amps| amps.0).collect();
    let feeds = plus(&solution);
    assert!((supplies[0] - feeds[0] - feeds[1]).abs() < 1e-12);
    assert!((supplies[1] - feeds[2]).abs() < 1e-12);
}

#[test]
fn sixteen_strips_progressive() {
    let wall = read(&sixteen("", "path = \"progressive\"", ""));
    let network = network(&wall);
    let solution = white(&network, 1.0);
    // The printed figures come from resistances of six digits, and the long jumpers show it.
    let found = plus(&solution).into_iter().chain([least(&solution)]);
    for (found, wanted) in found.zip([9.216200, 9.944262, 10.197088, 1.963801]) {
        assert!((found - wanted).abs() < 5e-6, "{found}, not {wanted}");
    }
    // If its jumpers were as short as a serpentine's.
    let ohms = 0.052962 * 0.040 / 1.24;
    let jumper = format!("jumper_wire = {{ ohms_per_metre = {ohms}, length = \"40 mm\" }}\n");
    let wall = read(&sixteen("", "path = \"progressive\"", &jumper));
    printed(least(&white(&circuits::network(&wall), 1.0)), "2.499");
}

/// What softness does: the knees, the rail, the connections.
#[test]
fn soft_inputs() {
    let least_with = |strip: &str, power: &str| {
        let wall = read(&sixteen(strip, "", power));
        let network = network(&wall);
        least(&white(&network, 1.0))
    };
    printed(least_with("knee_volts = [2.2, 3.4, 3.4]", ""), "2.400");
    printed(least_with("knee_volts = [3.0, 4.2, 4.2]", ""), "2.637");
    printed(least_with("idle_knee_volts = 2.0", ""), "2.502");
    for (ohms, volts) in [
        (0.04, "3.488"),
        (0.05, "3.299"),
        (0.10, "2.508"),
        (0.12, "2.279"),
        (0.2, "1.632"),
        (0.4, "0.846"),
    ] {
        printed(least_with(&format!("rail_ohms_per_metre = {ohms}"), ""), volts);
    }
    for (milliohm, volts) in
        [(0.0, "2.607"), (1.0, "2.556"), (2.0, "2.508"), (5.0, "2.375"), (10.0, "2.180")]
    {
        printed(least_with("", &format!("connection_ohms = {}\n", milliohm / 1000.0)), volts);
    }
}

/// More feeds over the near edge.
#[test]
fn from_one_feed_to_sixteen() {
    for (feeds, volts) in
        [(1, ".334"), (2, "1.681"), (3, "2.508"), (4, "3.543"), (8, "3.673"), (16, "4.648")]
    {
        let wall = read(&sixteen("", "", &format!("feeds = {feeds}\n")));
        let network = network(&wall);
        printed(least(&white(&network, 1.0)), volts);
    }
}
