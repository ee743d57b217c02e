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
            "glowloom_frame_rate_aimed",
            "gauge",
            "Frames a second that are aimed at.",
            one(now.frames_per_second_aimed),
        );
        family(
            "glowloom_panels_apart_seconds",
            "gauge",
            "From the first to the last panel that shows a frame, by their answers.",
            now.apart_ms.map(|ms| one(ms / 1e3)).unwrap_or_default(),
        );
        family(
            "glowloom_airtime_ratio",
            "gauge",
            "Share of the Wi-Fi channel's air time, by the plan's model.",
            now.airtime_share.map(one).unwrap_or_default(),
        );
        family(
            "glowloom_frame_late_seconds",
            "gauge",
            "Frames left no later than this after they were due, by share of all frames.",
            [("0.5", now.late_ms_median), ("0.99", now.late_ms_99)]
                .map(|(share, ms)| (format!("{wall},share=\"{share}\""), ms / 1e3))
                .into(),
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
        let shown = |panel: &Panel| {
            let here = panel.received.as_ref().map(|received| received.frames_shown);
            here.or_else(|| panel.told.as_ref()?.frames_shown).map(count)
        };
        of_panels("glowloom_panel_frames_shown", "counter", "Frames that it has shown.", &shown);
        let lost = |panel: &Panel| {
            let here = panel.received.as_ref().map(|received| received.packets_lost);
            here.or_else(|| panel.told.as_ref()?.packets_lost).map(count)
        };
        of_panels("glowloom_panel_packets_lost", "counter", "Packets that never came.", &lost);
        let late = |panel: &Panel| {
            let here = panel.received.as_ref().map(|received| received.packets_late);
            here.or_else(|| panel.told.as_ref()?.packets_late).map(count)
        };
        of_panels("glowloom_panel_packets_late", "counter", "Packets that came too late.", &late);
        of_panels(
            "glowloom_panel_round_trip_seconds",
            "gauge",
            "From a question to the receiver's answer.",
            &|panel| Some(panel.told.as_ref()?.round_trip_ms / 1e3),
        );
        of_panels(
            "glowloom_panel_signal_dbm",
            "gauge",
            "Strength of the Wi-Fi signal.",
            &|panel| panel.told.as_ref()?.rssi,
        );
        of_panels("glowloom_panel_celsius", "gauge", "Temperature of the receiver.", &|panel| {
            panel.told.as_ref()?.celsius
        });
        of_panels("glowloom_panel_volts", "gauge", "Volts at the receiver's input.", &|panel| {
            panel.told.as_ref()?.volts
        });
        of_panels(
            "glowloom_panel_other_sender",
            "gauge",
            "Whether another sender's frames come to the panel.",
            &|panel| Some(truth(panel.told.as_ref()?.other_sender.is_some())),
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
