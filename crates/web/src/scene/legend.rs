//! The legend of a quantity: its ramp with numbers and the wanted limit, and the table of the same.

use maud::{Markup, html};

use super::{Overlay, n};
use crate::desk::View;
use crate::values;

/// Shades of a ramp.
const SHADES: usize = 24;

/// A ramp with its numbers, and the table of the same.
pub struct Legend {
    name: &'static str,
    unit: &'static str,
    pub low: f64,
    pub high: f64,
    wanted: Option<f64>,
    rows: Vec<(String, [String; 3])>,
    head: [&'static str; 3],
}

/// The ramp for the browser.
pub fn shades() -> String {
    let hex = |[r, g, b]: [u8; 3]| format!("{r:02x}{g:02x}{b:02x}");
    values::ramp(SHADES).into_iter().map(hex).collect::<Vec<_>>().join(" ")
}

/// The legend of an overlay that has one.
pub fn legend(view: &View, overlay: Overlay) -> Option<Legend> {
    let panels = &view.plan.power.panels;
    match overlay {
        Overlay::Volts => {
            let least = panels.iter().map(|p| p.least_volts.0).reduce(f64::min)?;
            let wanted = view.wall.power.least_volts.0;
            let low = (least.min(wanted) * 10.0).floor() / 10.0 - 0.1;
            let high = (view.wall.power.trim_volts.0 * 10.0).ceil() / 10.0;
            let rows = panels.iter().map(|p| {
                let [column, row] = p.least_volts_at;
                (
                    p.name.clone(),
                    [
                        format!("{:.2}", p.least_volts.0),
                        format!("{column}, {row}"),
                        format!("{:.1}", p.amps.0),
                    ],
                )
            });
            Some(Legend {
                name: "Volts at full white under the ceiling",
                unit: "V",
                low,
                high: high.max(low + 0.1),
                wanted: Some(wanted),
                rows: rows.collect(),
                head: ["least, V", "at column, row", "amps"],
            })
        }
        Overlay::Current => {
            let all = values::over_picture(&view.wall, values::Quantity::Current).ok()?;
            let live = || all.iter().copied().filter(|v| *v != values::NONE);
            let (low, high) = (f64::from(live().min()?) / 10.0, f64::from(live().max()?) / 10.0);
            let rows = panels.iter().map(|p| {
                (
                    p.name.clone(),
                    [
                        format!("{:.1}", p.amps.0),
                        format!("{:.0}", p.led_watts.0),
                        format!("{:.1}", p.copper_watts.0),
                    ],
                )
            });
            Some(Legend {
                name: "Current of a pixel at full white under the ceiling",
                unit: "mA",
                low: low.floor(),
                high: high.ceil().max(low.floor() + 1.0),
                wanted: None,
                rows: rows.collect(),
                head: ["amps", "light, W", "lost in copper, W"],
            })
        }
        _ => None,
    }
}

impl Legend {
    /// On the page.
    pub fn markup(&self) -> Markup {
        let share = |value: f64| (value - self.low) / (self.high - self.low) * 240.0;
        let ticks = (0..=4).map(|i| self.low + (self.high - self.low) * f64::from(i) / 4.0);
        html! {
            div .legend {
                svg viewBox="-12 -16 264 44" role="img" aria-label={ (self.name) ", from " (n2(self.low)) " to " (n2(self.high)) " " (self.unit) } {
                    @for (i, [r, g, b]) in values::ramp(SHADES).into_iter().enumerate() {
                        rect x=(i * 10) y="0" width="10.4" height="10" fill=(format!("#{r:02x}{g:02x}{b:02x}")) {}
                    }
                    @for tick in ticks { text x=(n(share(tick))) y="24" { (n2(tick)) } }
                    @if let Some(wanted) = self.wanted {
                        path .limit d={ "M" (n(share(wanted))) " -3V13" } {}
                        text x=(n(share(wanted))) y="-6" { "wanted" }
                    }
                }
                details {
                    summary { (self.name) ", " (self.unit) ", as a table" }
                    table .figures {
                        thead { tr { th scope="col" { "panel" } @for head in self.head { th scope="col" { (head) } } } }
                        tbody {
                            @for (name, values) in &self.rows {
                                tr { th scope="row" { (name) } @for value in values { td { (value) } } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn n2(value: f64) -> String {
    if value.fract().abs() < 1e-9 { format!("{value:.0}") } else { format!("{value:.2}") }
}
