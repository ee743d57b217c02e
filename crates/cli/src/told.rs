//! What receivers say of themselves, for the report of a show and in words.

use std::path::Path;
use std::time::Duration;

use glowloom_drive::{Health, Strain};

use crate::output;
use crate::running::{Panel, Told};

/// For the report. `print`: of the panel's settings as they should be.
pub fn of(told: &glowloom_drive::Told, print: u32) -> Told {
    let status = &told.status;
    // Texts come from outside, and may hold what a terminal would obey.
    let clean = |text: &Option<String>| text.as_deref().map(harmless);
    let receiver = [&status.model, &status.version].into_iter().filter_map(clean);
    let receiver = receiver.collect::<Vec<_>>().join(" ");
    Told {
        receiver: Some(receiver).filter(|receiver| !receiver.is_empty()),
        fits: status.print.map(|told| told == print),
        up_seconds: status.up,
        frames_shown: status.shown,
        packets_lost: status.lost,
        packets_late: status.late,
        round_trip_ms: millis(told.round_trip),
        shows: clean(&status.from),
        other_sender: clean(&status.other).map(|at| {
            match (clean(&status.other_name).filter(|name| !name.is_empty()), status.other_priority)
            {
                (Some(name), Some(priority)) => format!("{name} at {at}, priority {priority}"),
                (Some(name), None) => format!("{name} at {at}"),
                (None, _) => at,
            }
        }),
        rssi: status.rssi,
        celsius: status.celsius,
        volts: status.volts,
    }
}

/// A text without what a terminal would obey.
pub fn harmless(text: &str) -> String {
    output::shown(Path::new(text))
}

/// Milliseconds, for people and for the report.
pub fn millis(length: Duration) -> f64 {
    length.as_secs_f64() * 1e3
}

/// Why the rate is lower than wanted, in words.
pub fn eased(health: &Health) -> Option<String> {
    let eased = health.eased?;
    let panel = health.panels.get(eased.panel).map_or("a panel", |panel| &panel.name);
    let why = match eased.strain {
        Strain::Loses(share) => format!("{panel} lost {:.0} % of its packets", share * 100.0),
        Strain::Queues(length) => {
            format!("answers of {panel} took {:.0} ms, so its link is full", millis(length))
        }
    };
    Some(format!(
        "sending {:.1} frames a second, {:.0} % of what is wanted, because {why}; the rate rises again \
         when it goes well",
        health.aim.0,
        eased.share * 100.0
    ))
}

/// What a receiver says, in a few words; empty where it says nothing.
pub fn words(panel: &Panel) -> String {
    let Some(told) = &panel.told else { return String::new() };
    let mut words = Vec::new();
    if panel.received.is_none() {
        let counts = [
            (told.frames_shown, "shown"),
            (told.packets_lost, "packets lost"),
            (told.packets_late, "late"),
        ];
        words.extend(counts.iter().filter_map(|(n, what)| n.map(|n| format!("{n} {what}"))));
    }
    words.extend(told.rssi.map(|dbm| format!("signal {dbm:.0} dBm ({})", quality(dbm))));
    words.extend(told.celsius.map(|celsius| format!("{celsius:.0} \u{b0}C")));
    words.extend(told.volts.map(|volts| format!("{volts:.2} V")));
    if told.fits == Some(false) {
        words.push("made for another pixel map: flash it anew".into());
    }
    words.extend(told.other_sender.as_ref().map(|other| format!("another sender: {other}")));
    words.iter().map(|word| format!(", {word}")).collect()
}

/// How good a Wi-Fi signal is (common practice, no source).
fn quality(dbm: f64) -> &'static str {
    match dbm {
        -67.0.. => "good",
        -75.0.. => "fair",
        _ => "weak",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_drive::{Eased, PanelHealth};

    #[test]
    fn a_lower_rate_says_why() {
        let mut health = Health {
            aim: glowloom_drive::FramesPerSecond(24.0),
            panels: vec![PanelHealth { name: "west".into(), ..PanelHealth::default() }],
            ..Health::default()
        };
        assert_eq!(eased(&health), None);
        health.eased = Some(Eased { share: 0.8, panel: 0, strain: Strain::Loses(0.041) });
        let said = eased(&health).unwrap();
        assert!(said.starts_with("sending 24.0 frames a second, 80 % of what is wanted"), "{said}");
        assert!(said.contains("west lost 4 % of its packets"), "{said}");
    }

    #[test]
    fn a_receiver_s_words_move_no_cursor() {
        let status = glowloom_wire::status::Status {
            model: Some("esp32".into()),
            version: Some("0.1\u{1b}[2J".into()),
            print: Some(7),
            other: Some("192.0.2.7".into()),
            other_name: Some("desk".into()),
            other_priority: Some(120),
            rssi: Some(-80.0),
            ..Default::default()
        };
        let heard = glowloom_drive::Told {
            status,
            ago: Duration::ZERO,
            round_trip: Duration::from_millis(3),
        };
        let told = of(&heard, 8);
        assert_eq!(told.receiver.as_deref(), Some("esp32 0.1\u{fffd}[2J"));
        assert_eq!(told.fits, Some(false));
        let said = words(&Panel { told: Some(told), ..Panel::default() });
        let wanted = ", signal -80 dBm (weak), made for another pixel map: flash it anew, another sender: desk \
                      at 192.0.2.7, priority 120";
        assert_eq!(said, wanted);
    }
}
