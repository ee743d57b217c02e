//! `glowloom plan --meter` and `--measured`, as a person with a meter gives them.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::path::PathBuf;

use glowloom_design::wall::Edge;
use glowloom_plan::power::measure::Place;
use glowloom_plan::power::{Network, Sinks, Solver};
use serde_json::Value;

use support::{ends, tidewall};

/// A folder with the demo's wall and further lines at its end.
fn folder(more: &str) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("wall.toml"), tidewall() + more).unwrap();
    let path = folder.path().to_owned();
    (folder, path)
}

/// Readings of a wall whose strip is not as its file has it: 0.142 ohm/m and 14.5 mA, through a meter that
/// is off by up to 10 mV and 1 %, this way and that. `bad` is added to the feed of the middle panel's strip 9.
fn readings(bad: f64) -> String {
    let truth = tidewall().replace(
        "part = \"ws2812b-30\"",
        "part = \"ws2812b-30\"\nrail_ohms_per_metre = 0.142\nchannel_amps = 0.0145",
    );
    let truth = glowloom_design::read(truth.as_bytes()).unwrap();
    let mut text = String::new();
    let places = [
        ("west", 1, Edge::Near, 6.0),
        ("west", 12, Edge::Far, -8.0),
        ("middle", 9, Edge::Near, 3.0),
        ("middle", 20, Edge::Near, 9.0),
        ("east", 1, Edge::Near, -7.0),
        ("east", 7, Edge::Far, 2.0),
        ("east", 20, Edge::Near, -10.0),
    ];
    for (name, strip, edge, off) in places {
        let panel = truth.panels.iter().find(|panel| panel.name == name).unwrap();
        let mut network = Network::of(&truth, panel);
        if name == "middle" {
            let mut taps = network.taps().to_vec();
            let tap = taps.iter_mut().find(|tap| tap.strip == 9).unwrap();
            tap.ohms.0 += bad;
            network = network.with_feeds(taps);
        }
        let solution = Solver::new(&network).solve(&Sinks::white(network.law(), 0.6)).unwrap();
        let volts = Place::Pad { strip, edge }.volts(&solution).unwrap().0 + off / 1000.0;
        let edge = if edge == Edge::Near { "near" } else { "far" };
        text += &format!(
            "\n[[measured]]\npanel = \"{name}\"\nstrip = {strip}\nedge = \"{edge}\"\nvolts = {volts:.3}\n\
             volts_error = 0.02\n"
        );
        if name == "east" && strip == 1 {
            let amps = solution.amps().0 * 1.01;
            text += &format!("\n[[measured]]\npanel = \"east\"\namps = \"{amps:.2} A\"\n");
        }
    }
    text
}

#[test]
fn where_a_meter_goes() {
    let (_kept, at) = folder("");
    let (page, err) = ends(0, &at, &["plan", "wall.toml", "--meter"]);
    assert_eq!(err, "");
    // Three panels that are alike, once; places by strip and edge, from both sides.
    assert!(page.contains("west, middle, east   near edge at the bottom"), "{page}");
    for said in [
        "1 strip 19, near end: the feed that carries most",
        "back   2nd strip from the left, at its bottom end",
        "front  2nd strip from the right, at its bottom end",
        "60 %",
        "100 %",
        "Bench test",
        "wound up",
        "fuse",
        "Polarity before power",
        "volts_at_end = ...",
    ] {
        assert!(page.contains(said), "{said}\n{page}");
    }
    assert!(page.lines().all(|line| line.chars().count() <= 100), "{page}");

    let (json, err) = ends(0, &at, &["plan", "wall.toml", "--meter", "--json"]);
    assert_eq!(err, "");
    let json: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["format"], 1);
    let sheet = &json["meter"];
    assert_eq!(sheet["ceiling"], 0.6);
    let point = &sheet["kinds"][0]["points"][0];
    assert_eq!((&point["strip"], &point["edge"]), (&19.into(), &"near".into()));
    assert_eq!(point["pixel"], Value::Null);
    // The figures are those of the solved network.
    let wall = glowloom_design::read(tidewall().as_bytes()).unwrap();
    let network = Network::of(&wall, &wall.panels[0]);
    for (i, brightness) in [0.6, 1.0].into_iter().enumerate() {
        let sinks = Sinks::white(network.law(), brightness);
        let solution = Solver::new(&network).solve(&sinks).unwrap();
        let near = |found: &Value, wanted: f64| {
            assert!((found.as_f64().unwrap() - wanted).abs() < 1e-9, "{found} {wanted}");
        };
        near(&point["volts"][i]["expected"], solution.volts_at(19, Edge::Near).0);
        near(&sheet["kinds"][0]["amps"][i]["expected"], solution.amps().0);
    }
    assert!(sheet["bench"]["steps"].as_array().unwrap().len() > 8);
    ends(2, &at, &["plan", "wall.toml", "--meter", "--measured"]);
}

#[test]
fn readings_give_the_strip() {
    let (_kept, at) = folder(&readings(0.0));
    let (json, err) = ends(0, &at, &["plan", "wall.toml", "--measured", "--json"]);
    assert_eq!(err, "");
    let json: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["format"], 1);
    let measured = &json["measured"];
    let figure = |figure: &str, key: &str| measured[figure][key].as_f64().unwrap();
    for (key, wanted) in [("rail_ohms_per_metre", 0.142), ("channel_amps", 0.0145)] {
        let (least, most) = (figure(key, "least"), figure(key, "most"));
        assert!(least < wanted && wanted < most, "{key}: {least} to {most}");
        assert!(most / least < 1.3, "{key}: {least} to {most} says little");
    }
    assert_eq!(measured["odd"], Value::Null, "{measured:#}");
    assert_eq!(measured["readings"].as_array().unwrap().len(), 8);
    let before = &measured["before"]["amps"].as_f64().unwrap();
    let after = &measured["after"]["amps"].as_f64().unwrap();
    assert!(after < before);

    let (page, _) = ends(0, &at, &["plan", "wall.toml", "--measured"]);
    assert!(page.lines().all(|line| line.chars().count() <= 100), "{page}");
    assert!(page.contains("rail_ohms_per_metre = 0.1"), "{page}");
    assert!(page.contains("channel_amps = 0.01"), "{page}");
    assert!(page.contains("safe brightness") && !page.contains("Unlike"), "{page}");
    // What it says to put into [strip] is taken, and then it has nothing to change.
    let strip: Vec<&str> =
        measured["strip"].as_array().unwrap().iter().map(|l| l.as_str().unwrap()).collect();
    let part = "part = \"ws2812b-30\"";
    let wall =
        (tidewall() + &readings(0.0)).replace(part, &format!("{part}\n{}", strip.join("\n")));
    std::fs::write(at.join("wall.toml"), wall).unwrap();
    let (json, _) = ends(0, &at, &["plan", "wall.toml", "--measured", "--json"]);
    let again: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(again["measured"]["before"], measured["after"]);
    assert_eq!(again["measured"]["strip"], measured["strip"]);
    let (json, _) = ends(0, &at, &["plan", "wall.toml", "--meter", "--json"]);
    let sheet: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(sheet["meter"]["strip"]["measured"], true);
}

#[test]
fn a_bad_joint_is_named() {
    let (_kept, at) = folder(&readings(0.08));
    let (page, _) = ends(0, &at, &["plan", "wall.toml", "--measured"]);
    assert!(page.contains("Unlike the others   middle strip 9, near end"), "{page}");
    assert!(page.contains("look for a bad joint at middle strip 9, near end"), "{page}");
    assert!(page.contains("Without it: 0.1"), "{page}");
}

#[test]
fn without_readings_it_says_how_to_take_them() {
    let (_kept, at) = folder("");
    for more in [&[][..], &["--json"]] {
        let (out, err) = ends(2, &at, &[&["plan", "wall.toml", "--measured"], more].concat());
        assert_eq!(out, "");
        assert!(err.contains("no reading") && err.contains("plan wall.toml --meter"), "{err}");
    }
    let (_kept, at) = folder("\n[[measured]]\npanel = \"west\"\namps = 20\n");
    let (out, err) = ends(2, &at, &["plan", "wall.toml", "--measured"]);
    assert!(out.is_empty() && err.contains("take more"), "{err}");
    // The plan itself does without.
    ends(0, &at, &["plan", "wall.toml"]);
}

#[test]
fn wrong_readings_are_told_in_their_place() {
    let more =
        "\n[[measured]]\npanel = \"wset\"\nstrip = 21\nedge = \"near\"\nvolt = 4\nvolts = 4\n";
    let (_kept, at) = folder(more);
    let (out, err) = ends(2, &at, &["plan", "wall.toml", "--measured"]);
    assert_eq!(out, "");
    for said in ["did you mean \"west\"?", "did you mean `volts`?", "wall.toml:1"] {
        assert!(err.contains(said), "{said}\n{err}");
    }
    let (_kept, at) = folder(&more.replace("wset", "west").replace("volt = 4\n", ""));
    let (_, err) = ends(2, &at, &["check", "wall.toml"]);
    assert!(err.contains("west has no strip 21") && err.contains("1 to 20"), "{err}");
}
