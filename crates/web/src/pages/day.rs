//! The day: what comes in what order, when each is due, and the hours that are quiet; all of it changed where it
//! stands.

use glowloom_design::wall::Weekday;
use maud::{Markup, html};

use crate::desk::View;

/// Minutes of a day.
const DAY: u32 = 24 * 60;

/// The running order and the quiet hours, each over a ruler of the day.
pub fn day(view: &View) -> Markup {
    let show = &view.wall.show;
    let all = show.running_order.len();
    html! {
        h2 { "Running order" }
        @if show.running_order.is_empty() {
            p { "The wall file names nothing to show: add " code { "[[show.running_order]]" } " to it." }
        } @else {
            (clock())
            ol .day {
                @for (i, scene) in show.running_order.iter().enumerate() {
                    li {
                        div .row {
                            b dir="auto" { (i + 1) " " (scene.source) }
                            (field("running-order", i, "seconds", &format!("{}", scene.seconds.0), "seconds"))
                            (field("running-order", i, "from", &time(scene.from), "from"))
                            (field("running-order", i, "to", &time(scene.to), "to"))
                            @if i > 0 { button type="button" data-move={ (i) " " (i - 1) } aria-label={ (scene.source) " earlier" } { "earlier" } }
                            @if i + 1 < all { button type="button" data-move={ (i) " " (i + 1) } aria-label={ (scene.source) " later" } { "later" } }
                        }
                        @if scene.days.len() < 7 {
                            p .quiet { "on " (scene.days.iter().map(|day| weekday(*day)).collect::<Vec<_>>().join(", ")) }
                        }
                        (ruler("on", scene.from, scene.to))
                    }
                }
            }
        }
        @if !show.quiet_hours.is_empty() {
            h2 { "Quiet hours" }
            (clock())
            ol .day {
                @for (i, hours) in show.quiet_hours.iter().enumerate() {
                    li {
                        div .row {
                            b { "quiet" }
                            (field("quiet-hours", i, "from", &time(hours.from), "from"))
                            (field("quiet-hours", i, "to", &time(hours.to), "to"))
                            (field("quiet-hours", i, "brightness", &hours.brightness.to_string(), "of the ceiling, 0 to 1"))
                        }
                        (ruler("dim", hours.from, hours.to))
                    }
                }
            }
        }
    }
}

/// The hours over the rulers.
fn clock() -> Markup {
    html! {
        div .clock aria-hidden="true" { @for hour in [0, 6, 12, 18, 24] { span { (hour) } } }
    }
}

/// A bar from one minute to another; over midnight it is two.
fn ruler(class: &str, from: u32, to: u32) -> Markup {
    let bars = if from < to { vec![(from, to)] } else { vec![(from, DAY), (0, to)] };
    html! {
        svg .hours viewBox={ "0 0 " (DAY) " 10" } preserveAspectRatio="none" aria-hidden="true" {
            @for (from, to) in bars { rect class=(class) x=(from) y="1" width=(to.saturating_sub(from)) height="8" {} }
            path .whole d={ "M0 0V10M360 0V10M720 0V10M1080 0V10M" (DAY) " 0V10M0 9.5H" (DAY) } {}
        }
    }
}

fn field(list: &str, line: usize, key: &str, value: &str, name: &str) -> Markup {
    let id = format!("d-{list}-{line}-{key}");
    let change = serde_json::json!({ "what": "set-line", "list": list, "line": line, "key": key });
    html! {
        span {
            label for=(id) { (name) } " "
            input .write id=(id) data-change=(change) value=(value) size=(value.chars().count().max(2)) autocomplete="off";
        }
    }
}

fn time(minutes: u32) -> String {
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

fn weekday(day: Weekday) -> String {
    format!("{day:?}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_are_as_long_as_the_hours() {
        let of = |from, to| ruler("on", from, to).into_string();
        assert!(of(60, 120).contains("x=\"60\" y=\"1\" width=\"60\""));
        let night = of(23 * 60, 7 * 60);
        assert!(
            night.contains("x=\"1380\" y=\"1\" width=\"60\"")
                && night.contains("x=\"0\" y=\"1\" width=\"420\"")
        );
        assert!(of(0, DAY).contains("width=\"1440\""));
    }
}
