//! Changes of a wall file's own text: one value is another, everything else stays as it was written,
//! comments, order and spaces.

mod feeds;

use glowloom_design::Wall;
use glowloom_design::wall::{Edge, Feed};
use serde::{Deserialize, Serialize};
use toml_edit::{DocumentMut, Item, Table, TableLike, Value};

use crate::figures::{self, Form};
use feeds::feeds;

/// An end of a strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
pub struct End {
    /// From 1.
    pub strip: u32,
    /// At which edge of the panel.
    pub edge: Side,
}

/// An edge that strips end at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// Where the first strip starts.
    Near,
    /// The one opposite.
    Far,
}

impl Side {
    fn word(self) -> &'static str {
        match self {
            Self::Near => "near",
            Self::Far => "far",
        }
    }
}

impl From<&Feed> for End {
    fn from(feed: &Feed) -> Self {
        let edge = if feed.edge == Edge::Near { Side::Near } else { Side::Far };
        Self { strip: feed.strip, edge }
    }
}

/// One change.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(tag = "what", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Change {
    /// A figure gets that value, as a person writes it; an empty one goes back to what holds unsaid.
    Set {
        /// Of [`figures::FIGURES`].
        figure: String,
        /// As typed.
        value: String,
    },
    /// A scene of the running order changes places with another.
    MoveScene {
        /// From 0.
        from: usize,
        /// From 0.
        to: usize,
    },
    /// A value of one line of the running order or of the quiet hours is another.
    SetLine {
        /// Which list.
        list: List,
        /// From 0.
        line: usize,
        /// Of `List::keys`.
        key: String,
        /// As typed.
        value: String,
    },
    /// A feed goes to another strip end.
    MoveFeed {
        /// From 0 in the order of the file.
        panel: usize,
        /// Where it is.
        from: End,
        /// Where it goes.
        to: End,
    },
    /// A feed more.
    AddFeed {
        /// From 0 in the order of the file.
        panel: usize,
        /// Where.
        to: End,
    },
    /// A feed less.
    DropFeed {
        /// From 0 in the order of the file.
        panel: usize,
        /// Where.
        from: End,
    },
}

/// A list of what is shown when.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum List {
    /// What comes in what order.
    RunningOrder,
    /// When the wall is dim.
    QuietHours,
}

impl List {
    /// Its key in `[show]`, and what of a line may be changed.
    fn keys(self) -> (&'static str, &'static [(&'static str, Form)]) {
        match self {
            Self::RunningOrder => (
                "running_order",
                &[("seconds", Form::Number), ("from", Form::Text), ("to", Form::Text)],
            ),
            Self::QuietHours => (
                "quiet_hours",
                &[("brightness", Form::Number), ("from", Form::Text), ("to", Form::Text)],
            ),
        }
    }
}

/// Why a change cannot be made; nothing is changed then.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Impossible {
    /// What was found.
    pub found: String,
    /// What to do; never empty.
    pub remedy: String,
}

impl Impossible {
    fn new(found: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { found: found.into(), remedy: remedy.into() }
    }
}

/// The text with changes made, one after the other. `wall` is what the text says before.
///
/// # Errors
/// Where a change is not possible. Whether the new text is a sound wall file is for `design` to judge.
pub fn changed(text: &str, wall: &Wall, changes: &[Change]) -> Result<String, Impossible> {
    let mut document: DocumentMut = text.parse().map_err(|_| {
        Impossible::new("the wall file cannot be read", "mend it in the text first")
    })?;
    for change in changes {
        match change {
            Change::Set { figure, value } => set(&mut document, figure, value)?,
            Change::MoveScene { from, to } => swap(&mut document, *from, *to)?,
            Change::SetLine { list, line, key, value } => {
                set_line(&mut document, *list, *line, (key, value))?;
            }
            Change::MoveFeed { panel, from, to } => {
                feeds(&mut document, wall, *panel, Some(*from), Some(*to))?;
            }
            Change::AddFeed { panel, to } => feeds(&mut document, wall, *panel, None, Some(*to))?,
            Change::DropFeed { panel, from } => {
                feeds(&mut document, wall, *panel, Some(*from), None)?;
            }
        }
    }
    Ok(document.to_string())
}

fn set(document: &mut DocumentMut, figure: &str, typed: &str) -> Result<(), Impossible> {
    let known = figures::find(figure)
        .ok_or_else(|| Impossible::new("there is no such figure", "load the page again"))?;
    let typed = typed.trim();
    let path: Vec<&str> = known.at.split('.').collect();
    let Some((key, sections)) = path.split_last() else { return Ok(()) };
    if typed.is_empty() {
        if let Some(section) = inside(document.as_table_mut(), sections, false)? {
            section.remove(key);
        }
        return Ok(());
    }
    let value = value(known.form, typed);
    if let Some(section) = inside(document.as_table_mut(), sections, true)? {
        put(section, key, value);
    }
    Ok(())
}

fn no_line() -> Impossible {
    Impossible::new("there is no such line any more", "load the page again")
}

/// Two scenes change places, with the comments that stand before them.
fn swap(document: &mut DocumentMut, from: usize, to: usize) -> Result<(), Impossible> {
    let show = document.get_mut("show").and_then(Item::as_table_like_mut).ok_or_else(no_line)?;
    let order = show.get_mut("running_order").ok_or_else(no_line)?;
    if let Some(scenes) = order.as_array_of_tables_mut() {
        let get = |i: usize| scenes.get(i).cloned().ok_or_else(no_line);
        let (mut one, mut other) = (get(from)?, get(to)?);
        let (here, there) = (one.position(), other.position());
        one.set_position(there);
        other.set_position(here);
        for (i, table) in [(to, one), (from, other)] {
            if let Some(place) = scenes.get_mut(i) {
                *place = table;
            }
        }
        return Ok(());
    }
    let scenes = order.as_array_mut().ok_or_else(no_line)?;
    let get = |i: usize| scenes.get(i).cloned().ok_or_else(no_line);
    let (mut one, mut other) = (get(from)?, get(to)?);
    std::mem::swap(one.decor_mut(), other.decor_mut());
    scenes.replace_formatted(to, one);
    scenes.replace_formatted(from, other);
    Ok(())
}

fn set_line(
    document: &mut DocumentMut,
    list: List,
    line: usize,
    (key, typed): (&str, &str),
) -> Result<(), Impossible> {
    let (name, keys) = list.keys();
    let form = keys.iter().find(|known| known.0 == key).ok_or_else(no_line)?.1;
    let show = document.get_mut("show").and_then(Item::as_table_like_mut).ok_or_else(no_line)?;
    let lines = show.get_mut(name).ok_or_else(no_line)?;
    let table: &mut dyn TableLike = match lines {
        Item::ArrayOfTables(tables) => tables.get_mut(line).ok_or_else(no_line)?,
        Item::Value(Value::Array(array)) => {
            let table = array.get_mut(line).and_then(Value::as_inline_table_mut);
            table.ok_or_else(no_line)?
        }
        _ => return Err(no_line()),
    };
    if typed.trim().is_empty() {
        table.remove(key);
    } else {
        put(table, key, value(form, typed.trim()));
    }
    Ok(())
}

/// What a person typed as a value of TOML: a number where one is wanted and it is one, else a text, which
/// `design` judges.
fn value(form: Form, typed: &str) -> Value {
    // With the digits that were typed.
    let number = typed.parse::<Value>().ok();
    let whole = || number.clone().filter(Value::is_integer);
    let any = || number.clone().filter(|value| value.is_integer() || value.is_float());
    match form {
        Form::Whole => whole().unwrap_or_else(|| typed.into()),
        Form::Number => any().unwrap_or_else(|| typed.into()),
        Form::Text | Form::Choice(_) => typed.into(),
        Form::Square => Value::Array([typed, typed].into_iter().collect()),
        Form::One => Value::Array([whole().unwrap_or_else(|| typed.into())].into_iter().collect()),
    }
}

/// Puts a value where one is or may be; what stands around the old one stays.
fn put(section: &mut dyn TableLike, key: &str, mut value: Value) {
    match section.get_mut(key).and_then(Item::as_value_mut) {
        Some(old) => {
            *value.decor_mut() = old.decor().clone();
            *old = value;
        }
        None => {
            section.insert(key, Item::Value(value));
        }
    }
}

/// The section of that path; made where it is not there and `make` says so.
fn inside<'d>(
    root: &'d mut Table,
    path: &[&str],
    make: bool,
) -> Result<Option<&'d mut dyn TableLike>, Impossible> {
    let mut at: &mut dyn TableLike = root;
    for name in path {
        if at.get(name).is_none() {
            if !make {
                return Ok(None);
            }
            at.insert(name, Item::Table(Table::new()));
        }
        let here = at.get_mut(name).and_then(Item::as_table_like_mut);
        at = here.ok_or_else(|| {
            Impossible::new(
                format!("`{name}` of the wall file is no section"),
                "mend it in the text",
            )
        })?;
    }
    Ok(Some(at))
}

/// Lines that differ, for people: each with its sign and its number in the old or the new text.
#[must_use]
pub fn difference(before: &str, now: &str) -> Vec<(char, usize, String)> {
    let (old, new): (Vec<&str>, Vec<&str>) = (before.lines().collect(), now.lines().collect());
    let same_start = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let rest = old.len().min(new.len()) - same_start;
    let ends = old.iter().rev().zip(new.iter().rev()).take(rest);
    let same_end = ends.take_while(|(a, b)| a == b).count();
    let lines = |sign: char, all: &[&str]| -> Vec<(char, usize, String)> {
        let middle = all.get(same_start..all.len() - same_end).unwrap_or_default();
        let of = |(i, line): (usize, &&str)| (sign, same_start + i + 1, (*line).to_owned());
        middle.iter().enumerate().map(of).collect()
    };
    let mut all = lines('-', &old);
    all.extend(lines('+', &new));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    const TIDEWALL: &str = include_str!("../../../examples/walls/tidewall.toml");

    fn wall(text: &str) -> Wall {
        glowloom_design::read(text.as_bytes()).unwrap()
    }

    fn after(changes: &[Change]) -> String {
        changed(TIDEWALL, &wall(TIDEWALL), changes).unwrap()
    }

    fn set(figure: &str, value: &str) -> Change {
        Change::Set { figure: figure.into(), value: value.into() }
    }

    fn end(strip: u32, edge: Side) -> End {
        End { strip, edge }
    }

    #[test]
    fn one_line_is_another_and_its_comment_stays() {
        let now = after(&[set("brightness-limit", "0.5")]);
        let lines = difference(TIDEWALL, &now);
        assert_eq!(lines.len(), 2, "{lines:?}");
        assert_eq!(lines[0].1, lines[1].1);
        assert!(lines[1].2.starts_with("brightness_limit = 0.5"));
        assert!(lines[1].2.ends_with("# ceiling, 0 to 1, of every channel"));
    }

    #[test]
    fn inside_a_table_on_one_line_too() {
        let now = after(&[set("feed-wire-length", "2 m")]);
        assert!(
            now.contains("feed_wire = { gauge = \"2.5 mm2\", length = \"2 m\" }     # one way")
        );
        assert_eq!(wall(&now).panels[0].feed_wire.length.0, 2.0);
    }

    #[test]
    fn an_empty_value_goes_back_to_what_holds_unsaid() {
        let now = after(&[set("brightness-limit", "")]);
        assert!(!now.contains("brightness_limit"));
        assert_eq!(difference(TIDEWALL, &now).len(), 1);
    }

    #[test]
    fn what_is_no_number_is_left_to_the_reader_to_refuse() {
        let now = after(&[set("brightness-limit", "much \"more\"")]);
        let wrong = glowloom_design::read(now.as_bytes()).unwrap_err();
        assert_eq!(wrong.len(), 1);
        assert_eq!(&now[wrong[0].span.clone()], "'much \"more\"'");
    }

    #[test]
    fn counted_feeds_are_listed_when_one_moves() {
        let before = wall(TIDEWALL);
        let first = End::from(&before.panels[1].feeds[0]);
        let now = after(&[Change::MoveFeed { panel: 1, from: first, to: end(20, Side::Far) }]);
        let moved = wall(&now);
        let ends: Vec<End> = moved.panels[1].feeds.iter().map(End::from).collect();
        assert_eq!(ends.len(), before.panels[1].feeds.len());
        assert!(ends.contains(&end(20, Side::Far)) && !ends.contains(&first));
        // It is said once for all panels, and stays so.
        assert_eq!(moved.panels[0].feeds.len(), 8);
        assert!(now.contains("# spread evenly over the near edge"));
        assert_eq!(difference(TIDEWALL, &now).len(), 2);
    }

    #[test]
    fn a_feed_keeps_what_else_is_said_of_it() {
        let text = TIDEWALL.replace(
            "feeds = 8   ",
            "feeds = [{ strip = 3, wire = { gauge = \"4 mm2\", length = \"2 m\" } }, { strip = 9 }]   ",
        );
        let change =
            Change::MoveFeed { panel: 0, from: end(3, Side::Near), to: end(4, Side::Near) };
        let now = changed(&text, &wall(&text), &[change]).unwrap();
        assert_eq!(wall(&now).panels[0].feeds[0].strip, 4);
        assert_eq!(wall(&now).panels[0].feeds[0].wire.length.0, 2.0);
        let taken = Change::MoveFeed { panel: 0, from: end(3, Side::Near), to: end(9, Side::Near) };
        assert!(changed(&text, &wall(&text), &[taken]).is_err());
        let drop = |strip| Change::DropFeed { panel: 0, from: end(strip, Side::Near) };
        assert!(changed(&text, &wall(&text), &[drop(5)]).is_err());
        assert!(changed(&text, &wall(&text), &[drop(3), drop(9)]).is_err(), "one stays");
    }

    #[test]
    fn a_panel_with_feeds_of_its_own_keeps_them_to_itself() {
        let text = TIDEWALL.replace("at = [20, 0]", "at = [20, 0]\nfeeds = 4 # fewer");
        let add = Change::AddFeed { panel: 1, to: end(20, Side::Far) };
        let now = changed(&text, &wall(&text), &[add]).unwrap();
        let after = wall(&now);
        assert_eq!(after.panels.iter().map(|p| p.feeds.len()).collect::<Vec<_>>(), [8, 5, 8]);
        assert!(now.contains("# fewer"));
    }

    #[test]
    fn scenes_change_places_and_times_in_their_own_lines() {
        let text = TIDEWALL.replace(
            "seconds = 20",
            "seconds = 20\n\n# At dusk.\n[[show.running_order]]\nsource = \"drift\"\nseconds = 30 # long",
        );
        let before = wall(&text);
        let line = |list, key: &str, value: &str| Change::SetLine {
            list,
            line: 0,
            key: key.into(),
            value: value.into(),
        };
        let changes = [
            Change::MoveScene { from: 0, to: 1 },
            line(List::RunningOrder, "seconds", "45"),
            line(List::RunningOrder, "from", "18:30"),
            line(List::QuietHours, "to", "06:00"),
        ];
        let now = changed(&text, &before, &changes).unwrap();
        let after = wall(&now);
        let order: Vec<_> =
            after.show.running_order.iter().map(|s| (s.source.as_str(), s.seconds.0)).collect();
        assert_eq!(order, [("drift", 45.0), ("pictures/tide.gif", 20.0)]);
        assert_eq!(after.show.running_order[0].from, 18 * 60 + 30);
        assert_eq!(after.show.quiet_hours[0].to, 6 * 60);
        assert!(now.contains("seconds = 45 # long") && now.contains("# At dusk."), "{now}");
        assert!(changed(&text, &before, &[Change::MoveScene { from: 0, to: 2 }]).is_err());
        assert!(changed(&text, &before, &[line(List::QuietHours, "source", "x")]).is_err());
    }

    #[test]
    fn differences_are_whole_lines() {
        assert_eq!(difference("a\nb\nc\n", "a\nc\n"), [('-', 2, "b".into())]);
        assert_eq!(difference("a\n", "a\na\n"), [('+', 2, "a".into())]);
        assert!(difference("a", "a").is_empty());
        assert!(difference("", "").is_empty());
    }
}
