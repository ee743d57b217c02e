//! The beginning: no file yet. A few sentences with gaps, the wall that follows drawn beside them, what it takes;
//! then the file is written.

use glowloom_design::catalogue::strip;
use glowloom_design::draft::Answers;
use glowloom_plan::sound::sound_brightness;
use glowloom_units::{FromText, Metres};
use maud::{Markup, html};
use serde::Deserialize;

use super::frame;
use crate::desk::{Desk, Look, Told, View};
use crate::edit::{Change, changed};
use crate::home::Trouble;
use crate::scene::{self, Overlay, Side};

/// What was filled in so far.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Filled {
    name: Option<String>,
    width: Option<String>,
    height: Option<String>,
    seen_from: Option<String>,
    strip: Option<String>,
    panels: Option<String>,
    bed: Option<String>,
    roll: Option<String>,
}

impl Filled {
    fn name(&self) -> &str {
        self.name.as_deref().filter(|name| !name.trim().is_empty()).unwrap_or("New wall")
    }

    fn width(&self) -> &str {
        self.width.as_deref().unwrap_or("2 m")
    }

    fn height(&self) -> &str {
        self.height.as_deref().unwrap_or("1 m")
    }

    fn seen_from(&self) -> &str {
        self.seen_from.as_deref().unwrap_or("4 m")
    }

    fn strip(&self) -> &str {
        self.strip.as_deref().unwrap_or("ws2812b-30")
    }

    fn panels(&self) -> &str {
        self.panels.as_deref().unwrap_or("3")
    }

    fn roll(&self) -> &str {
        self.roll.as_deref().unwrap_or("0")
    }

    fn bed(&self) -> &str {
        self.bed.as_deref().unwrap_or("220 mm")
    }

    /// The text of a sound wall file that is as filled in.
    ///
    /// # Errors
    /// What cannot be so, and what to write.
    pub fn text(&self) -> Result<String, Trouble> {
        let length = |text: &str, of: &str| {
            let wanted = "write a length with its unit, such as 2 m, 80 cm, 6 ft";
            Metres::from_text(text)
                .ok()
                .filter(|length| length.0 > 0.0)
                .ok_or_else(|| Trouble::new(format!("the {of} is \"{text}\""), wanted))
        };
        let part = strip::find(self.strip()).ok_or_else(|| {
            Trouble::new(format!("there is no strip {}", self.strip()), "choose one of the list")
        })?;
        let pixels = |length: Metres| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            let whole = (length.0 * part.pixels_per_metre.0).round().clamp(1.0, 65_535.0) as u32;
            whole
        };
        let columns = pixels(length(self.width(), "width")?);
        let rows = pixels(length(self.height(), "height")?);
        length(self.seen_from(), "distance")?;
        length(self.bed(), "printer's bed")?;
        let panels = self.panels().trim().parse().ok().filter(|n| (1..=columns).contains(n));
        let panels = panels.ok_or_else(|| {
            let found = format!("{} panels on {columns} columns", self.panels());
            Trouble::new(found, format!("give a whole number from 1 to {columns}"))
        })?;
        let mut answers = Answers {
            name: self.name().to_owned(),
            columns,
            rows,
            panels_across: panels,
            strip: part.key.to_owned(),
            ..Answers::default()
        };
        let wall = read(&answers.text())?;
        if let Some(level) =
            sound_brightness(&wall).filter(|level| *level < answers.brightness_limit)
        {
            answers.brightness_limit = level;
        }
        let text = answers.text();
        let set =
            |figure: &str, value: &str| Change::Set { figure: figure.into(), value: value.into() };
        let mut changes = vec![set("seen-from", self.seen_from())];
        changes.push(Change::Set { figure: "bed".into(), value: self.bed().to_owned() });
        if !matches!(self.roll().trim(), "" | "0") {
            changes.push(set("shelf", self.roll()));
        }
        let text = changed(&text, &read(&text)?, &changes)
            .map_err(|not| Trouble::new(not.found, not.remedy))?;
        read(&text)?;
        Ok(text)
    }
}

/// The wall of a text, or the first thing that is wrong with it.
fn read(text: &str) -> Result<glowloom_design::Wall, Trouble> {
    glowloom_design::read(text.as_bytes()).map_err(|wrong| {
        let first = wrong.first().map(|first| Told::of(text, first));
        first.map_or_else(
            || Trouble::new("this is no wall", "give other sizes"),
            |first| Trouble::new(first.message, first.remedy),
        )
    })
}

/// The page.
pub fn page(desk: &Desk, look: &Look, filled: &Filled) -> Markup {
    let title = frame::Title { key: "a", name: Some("Begin"), view: Some("FRONT"), act: None };
    let drawn = filled.text().and_then(|text| {
        View::of(text).map_err(|(wrong, text)| {
            let first = wrong.first().map(|wrong| Told::of(&text, wrong));
            first.map_or_else(
                || Trouble::new("this is no wall", "give other sizes"),
                |first| Trouble::new(first.message, first.remedy),
            )
        })
    });
    // That there is no file is no trouble here.
    let look = Look { trouble: None, ..look.clone() };
    frame::page(
        &look,
        &desk.home().name(),
        &title,
        &html! {
            div .spread {
                @match &drawn {
                    Ok(view) => (scene::figure(view, Side::Front, Overlay::Panels, false)),
                    Err(trouble) => section .door { h2 { (trouble.found) } p { (trouble.remedy) } },
                }
                section .margin aria-label="The wall to be" {
                    h1 { "A wall to be" }
                    p { "There is no " code { (desk.home().name()) } " yet. Fill the gaps; the drawing follows." }
                    (form(filled))
                    @if let Ok(view) = &drawn { (takes(view)) }
                }
            }
        },
    )
}

fn form(filled: &Filled) -> Markup {
    let gap = |name: &str, label: &str, value: &str| {
        html! {
            tr {
                th scope="row" { label for={ "b-" (name) } { (label) } }
                td { input .write id={ "b-" (name) } name=(name) value=(value) size=(value.chars().count().max(3)) autocomplete="off"; }
            }
        }
    };
    html! {
        form #begin method="get" action="/" {
            table .figures.written { tbody {
                (gap("name", "it is called", filled.name()))
                (gap("width", "space, wide", filled.width()))
                (gap("height", "space, high", filled.height()))
                (gap("seen_from", "nearest viewer", filled.seen_from()))
                tr {
                    th scope="row" { label for="b-strip" { "strip" } }
                    td { select .write #b-strip name="strip" {
                        @for part in strip::ALL { option selected[part.key == filled.strip()] { (part.key) } }
                    } }
                }
                (gap("panels", "panels side by side", filled.panels()))
                (gap("bed", "printer's bed, a side", filled.bed()))
                (gap("roll", "strip on the shelf, pixels", filled.roll()))
            } }
            p .actions {
                button .act #write type="button" { "Write the file" }
                noscript { button type="submit" { "Draw it" } }
            }
        }
    }
}

/// What the wall takes, the most of it first: what drives its cost.
fn takes(view: &View) -> Markup {
    let items = view.plan.material.items.iter().filter_map(|item| Some((item, item.quantity?)));
    html! {
        h2 { "What follows" }
        table .figures { tbody {
            @for (name, value) in view.key_figures() { tr { th scope="row" { (name) } td { (value) } } }
        } }
        h2 { "What it takes" }
        table .figures { tbody {
            @for (item, quantity) in items {
                tr { th scope="row" { (item.item) } td { (format!("{quantity:.1}").trim_end_matches(".0")) " " (item.unit) } }
            }
        } }
        p .quiet { "Put prices into the file under [prices], and the page tells the cost." }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_filled_in_is_a_sound_wall() {
        let filled = Filled {
            name: Some("Slip \"A\"".into()),
            width: Some("6 ft".into()),
            height: Some("80 cm".into()),
            panels: Some("2".into()),
            bed: Some("300 mm".into()),
            roll: Some("90".into()),
            ..Filled::default()
        };
        let text = filled.text().unwrap();
        let wall = read(&text).unwrap();
        assert_eq!((wall.columns, wall.rows, wall.panels.len()), (55, 24, 2));
        assert_eq!(wall.name, "Slip \"A\"");
        assert_eq!(wall.stock, Some(vec![90]));
        assert_eq!(wall.baffle.as_ref().map(|baffle| baffle.bed.0.0), Some(0.3));
        let plan = glowloom_plan::plan(&wall);
        assert!(plan.power.highest_safe_brightness >= wall.power.brightness_limit - 1e-9);
        assert!(Filled::default().text().is_ok());
    }

    #[test]
    fn what_cannot_be_is_told() {
        for (width, panels, strip) in [
            ("wide", "1", "ws2812b-30"),
            ("2 m", "0", "ws2812b-30"),
            ("2 m", "1", "none"),
            ("-1 m", "1", "ws2812b-30"),
            ("1e9 m", "1", "ws2812b-30"),
        ] {
            let filled = Filled {
                width: Some(width.into()),
                panels: Some(panels.into()),
                strip: Some(strip.into()),
                height: Some("1e9 m".into()).filter(|_| width == "1e9 m"),
                ..Filled::default()
            };
            let trouble = filled.text().unwrap_err();
            assert!(!trouble.remedy.is_empty(), "{trouble:?}");
        }
    }
}
