//! How a show is, as OpenMetrics text (version 1.0 of the open specification, written from memory and
//! read by an independent parser in the tests).

use std::fmt::Write;

use crate::running::{Panel, Running};

/// The text; of a wall that nothing plays on it says just that.
pub fn text(wall: &str, running: Option<&Running>) -> String {
    let mut out = String::new();
    let label = escaped(wall);
    let mut family = |name: &str, kind: &str, help: &str, samples: Vec<(String, f64)>| {
        if samples.is_empty() {
            return;
        }
        let suffix = if kind == "counter" { "_total" } else { "" };
        // Writing to a text does not fail.
        let _ = writeln!(out, "# TYPE {name} {kind}\n# HELP {name} {help}");
        for (labels, value) in samples {
            let _ = writeln!(out, "{name}{suffix}{{{labels}}} {value}");
        }
    };
    let wall = format!("wall=\"{label}\"");
    let one = |value: f64| vec![(wall.clone(), value)];
    family(
        "glowloom_up",
        "gauge",
        "Whether a show plays on the wall.",
        one(truth(running.is_some())),
    );
    if let Some(now) = running {
        family("glowloom_frames_sent", "counter", "Frames sent.", one(count(now.frames_sent)));
        family(
            "glowloom_frames_skipped",
            "counter",
            "Frames too late.",
            one(count(now.frames_skipped)),
        );
        family(
            "glowloom_frames_repeated",
            "counter",
            "Frames sent twice.",
            one(count(now.frames_repeated)),
        );
        family(
            "glowloom_frames_dimmed",
            "counter",
            "Frames dimmed by the supply guard.",
            one(count(now.frames_dimmed)),
        );
        family(
            "glowloom_bytes_held",
            "counter",
            "Bytes held to the ceiling last.",
            one(count(now.bytes_held)),
        );
        family(
            "glowloom_frame_rate",
            "gauge",
            "Frames a second.",
            now.frames_per_second.map(one).unwrap_or_default(),
        );
        family(
            "glowloom_source_well",
            "gauge",
            "Whether the source draws as it should.",
            one(truth(now.source_error.is_none())),
        );
        let mut of_panels =
            |name: &str, kind: &str, help: &str, value: &dyn Fn(&Panel) -> Option<f64>| {
                let sample = |panel: &Panel| {
                    let labels = format!("{wall},panel=\"{}\"", escaped(&panel.name));
                    value(panel).map(|value| (labels, value))
                };
                family(name, kind, help, now.panels.iter().filter_map(sample).collect());
            };
        of_panels(
            "glowloom_panel_well",
            "gauge",
            "Whether frames leave for the panel.",
            &|panel| Some(truth(panel.well)),
        );
        of_panels("glowloom_panel_frames_sent", "counter", "Frames that left whole.", &|panel| {
            Some(count(panel.frames_sent))
        });
        of_panels("glowloom_panel_frames_dropped", "counter", "Frames that did not.", &|panel| {
            Some(count(panel.frames_dropped))
        });
        of_panels("glowloom_panel_answers", "gauge", "Whether the receiver answers.", &|panel| {
            panel.answers.map(truth)
        });
        of_panels(
            "glowloom_panel_frames_shown",
            "counter",
            "Frames that a virtual panel has shown.",
            &|panel| panel.received.as_ref().map(|received| count(received.frames_shown)),
        );
        of_panels(
            "glowloom_panel_packets_lost",
            "counter",
            "Packets that never came to a virtual panel.",
            &|panel| panel.received.as_ref().map(|received| count(received.packets_lost)),
        );
    }
    out.push_str("# EOF\n");
    out
}

fn truth(is: bool) -> f64 {
    f64::from(u8::from(is))
}

#[expect(clippy::cast_precision_loss, reason = "nobody counts to 2^53 frames")]
fn count(count: u64) -> f64 {
    count as f64
}

/// A label's value: backslash, quote and line feed are escaped.
fn escaped(value: &str) -> String {
    value.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', "\\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wall_that_nothing_plays_on_says_so() {
        let text = text("Tide \"wall\" \\\n", None);
        let wanted = "# TYPE glowloom_up gauge\n# HELP glowloom_up Whether a show plays on the wall.\n\
                      glowloom_up{wall=\"Tide \\\"wall\\\" \\\\\\n\"} 0\n# EOF\n";
        assert_eq!(text, wanted);
    }
}
