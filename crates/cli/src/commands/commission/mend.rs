//! Where the wall is not as the file says: what it is, and the change to the file, shown before it is made.

use glowloom_design::edit::{Section, difference, get, set};
use glowloom_design::wall::Panel;
use glowloom_plan::checks::{Check, order_seen};

use super::talk::{Answer, Talk};
use crate::failure::Failure;
use crate::opened::Opened;
use crate::{files, output};

/// Asks what is seen, and offers the change that follows. Gives whether the file was changed.
pub fn offer(opened: &mut Opened, check: Check, talk: &mut Talk) -> Result<bool, Failure> {
    let text = String::from_utf8_lossy(&opened.bytes).into_owned();
    let new = match check {
        Check::Colours => colours(opened, &text, talk)?,
        Check::Neighbours => neighbours(opened, &text, talk)?,
        Check::Turns | Check::Ends => corner(opened, &text, talk)?,
        Check::Count | Check::White => {
            talk.say(
                "That is no change of the file. A strip that is dark from some pixel on has its fault at that joint or at \
                 the pixel before it: mains plug out, then resolder. Then begin this again.\n",
            )?;
            None
        }
    };
    let Some(new) = new else { return Ok(false) };
    if let Err(wrong) = glowloom_design::read(new.as_bytes()) {
        let first = wrong.first().map(|one| one.message.clone()).unwrap_or_default();
        talk.say(&format!("The file would not be sound then ({first}): nothing was changed.\n"))?;
        return Ok(false);
    }
    let path = output::shown(&opened.path);
    talk.say(&format!("\n{path} would change in these lines:\n{}", difference(&text, &new)))?;
    if talk.ask("Write that?", "n if not")? != Answer::Yes {
        return Ok(false);
    }
    files::write_whole(&opened.path, new.as_bytes(), true)?;
    talk.say(&format!("{path} is written.\n"))?;
    Ok(true)
}

fn colours(opened: &Opened, text: &str, talk: &mut Talk) -> Result<Option<String>, Failure> {
    let question = "Which three colours do you see, in order? (such as grb)";
    let Some(seen) = talk.line(question)? else { return Ok(None) };
    let Some(order) = order_seen(opened.wall.strip.order.letters(), &seen.to_ascii_lowercase())
    else {
        talk.say("Three letters are wanted, r, g and b, each once. If one colour stays dark, look for its wire.\n")?;
        return Ok(None);
    };
    by_hand(set(text, Section::Table("strip"), "order", &format!("\"{order}\"")), talk)
}

fn neighbours(opened: &Opened, text: &str, talk: &mut Talk) -> Result<Option<String>, Failure> {
    let question =
        "Two panels exchanged: type both names with a comma. One panel turned: type its name.";
    let Some(line) = talk.line(question)? else { return Ok(None) };
    let names: Vec<&str> = line.split(',').map(str::trim).collect();
    for name in &names {
        if known(opened, name).is_none() {
            talk.say(&format!("There is no panel \"{name}\".\n"))?;
            return Ok(None);
        }
    }
    match names[..] {
        [one, other] => {
            let (a, b) = (Section::Panel(one), Section::Panel(other));
            let places = get(text, a, "at").zip(get(text, b, "at"));
            let exchanged = places.and_then(|(of_a, of_b)| {
                set(text, a, "at", &of_b).and_then(|text| set(&text, b, "at", &of_a))
            });
            by_hand(exchanged, talk)
        }
        [name] => {
            let question =
                "By how many degrees is it turned, clockwise, as it hangs? (0, 90, 180, 270)";
            let Some(turn) = talk.line(question)? else { return Ok(None) };
            by_hand(set(text, Section::Panel(name), "turn", &turn), talk)
        }
        _ => Ok(None),
    }
}

fn corner(opened: &Opened, text: &str, talk: &mut Talk) -> Result<Option<String>, Failure> {
    let Some(name) = talk.line("Which panel is it?")? else { return Ok(None) };
    if known(opened, &name).is_none() {
        talk.say(&format!("There is no panel \"{name}\".\n"))?;
        return Ok(None);
    }
    let question = "In which corner does its first strip begin, seen from the front before it was turned? \
        (top-left, top-right, bottom-left, bottom-right; Enter if that is right and the path jumps)";
    let Some(corner) = talk.line(question)? else { return Ok(None) };
    let panel = Section::Panel(&name);
    if !corner.is_empty() {
        return by_hand(set(text, panel, "enter", &format!("\"{corner}\"")), talk);
    }
    let question =
        "Does each next strip run back (serpentine) or begin at the same edge (progressive)?";
    let Some(path) = talk.line(question)? else { return Ok(None) };
    by_hand(set(text, panel, "path", &format!("\"{path}\"")), talk)
}

fn known<'w>(opened: &'w Opened, name: &str) -> Option<&'w Panel> {
    opened.wall.panels.iter().find(|panel| panel.name == name)
}

/// A file that is written in another way than with a header for each section is left to its writer.
fn by_hand(new: Option<String>, talk: &Talk) -> Result<Option<String>, Failure> {
    if new.is_none() {
        talk.say(
            "The file is written in a way that only you can change: edit it, then begin again.\n",
        )?;
    }
    Ok(new)
}
